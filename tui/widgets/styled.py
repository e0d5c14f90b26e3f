"""Component styles worked out once: working one out costs more than drawing a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.style import Style

if TYPE_CHECKING:
    from textual.widget import Widget as _Base
else:
    # No widget of its own: the style sheet follows the first widget among the bases.
    _Base = object


class Styled(_Base):
    """Mixed into a widget that draws its own lines.

    Styles are kept until the style sheet or the theme changes. `PARTS` is what the names of the component classes
    begin with.
    """

    PARTS: ClassVar[str] = ""

    def notify_style_update(self) -> None:
        """Drop the styles that were worked out."""
        self._kept_styles().clear()
        super().notify_style_update()

    def _style(self, name: str) -> Style:
        """Return the style of a part."""
        kept = self._kept_styles()
        style = kept.get(name)
        if style is None:
            style = kept[name] = self.get_component_rich_style(f"{self.PARTS}--{name}")
        return style

    def _kept_styles(self) -> dict[str, Style]:
        # Textual asks for a style update before the constructor of the widget is through.
        kept: dict[str, Style] = self.__dict__.setdefault("_styles_known", {})
        return kept
