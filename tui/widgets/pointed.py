"""A list of options of which the one under the cursor carries a sign of its own, so that it hangs on no colour."""

from __future__ import annotations

from rich.console import RenderableType
from textual.widgets.option_list import Option

from tui.widgets.options import Options
from tui.widgets.square_bar import square_bars

#: Columns that the sign takes.
POINTER = 2


class Pointed(Options):
    """Draws its options anew as the cursor moves; whoever derives from it says how an option is drawn.

    Parameters
    ----------
    ascii_only : bool, optional
        Whether the sign is plain ASCII.
    """

    DEFAULT_CSS = """
    Pointed { background: $background; border: none; padding: 0; height: 1fr; }
    Pointed:focus { border: none; background-tint: $background 0%; }
    Pointed > .option-list--option { padding: 0 1; }
    """

    def __init__(self, *, ascii_only: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._sign = "> " if ascii_only else "▸ "
        self._at: int | None = None
        if ascii_only:
            square_bars(self)

    def drawn(self, index: int) -> RenderableType:
        """Return an option as it is drawn, with its pointer."""
        raise NotImplementedError

    def pointer(self, index: int) -> str:
        """Return the sign before an option, blank where the cursor is not."""
        return self._sign if index == self._at else " " * POINTER

    def draw(self, count: int, at: int | None, *, disabled: frozenset[int] = frozenset()) -> None:
        """Draw so many options, the cursor on option `at`."""
        self._at = None
        self.set_options(Option(self.drawn(index), disabled=index in disabled) for index in range(count))
        self.highlighted = at

    def watch_highlighted(self, highlighted: int | None) -> None:
        """Move the sign along with the cursor."""
        super().watch_highlighted(highlighted)
        before, self._at = self._at, highlighted
        for index in {before, highlighted} - {None}:
            if index is not None and index < self.option_count:
                self.replace_option_prompt_at_index(index, self.drawn(index))
