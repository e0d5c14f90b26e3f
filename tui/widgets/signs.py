"""Widgets that draw with signs, of which there is a plain ASCII set."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypedDict

from textual.reactive import var

from tui.widgets.marks import Characters, characters

if TYPE_CHECKING:
    from textual.widget import Widget as _Base
else:
    # No widget of its own: the style sheet follows the first widget among the bases.
    _Base = object


class Common(TypedDict, total=False):
    """What every such widget may be made with.

    Parameters
    ----------
    ascii_only : bool
        Whether to draw with plain ASCII signs.
    name, id, classes : str or None
        As of any widget.
    """

    ascii_only: bool
    name: str | None
    id: str | None
    classes: str | None


class InSigns(_Base):
    """Mixed into a widget that draws with signs; it is drawn anew when the set of signs changes."""

    ascii_only: var[bool] = var(False)

    def __init__(self, *, ascii_only: bool = False, **common: Any) -> None:
        super().__init__(**common)
        self.set_reactive(InSigns.ascii_only, ascii_only)

    @property
    def _signs(self) -> Characters:
        return characters(self.ascii_only)

    def watch_ascii_only(self) -> None:
        """Draw with the other set of signs."""
        self.refresh()
