"""A list of options whose pages can be turned before it has been drawn."""

from __future__ import annotations

from textual.widgets import OptionList


class Options(OptionList):
    """Textual's list, but that it turns pages by counting options: lines are not known yet while keys come fast."""

    def action_page_up(self) -> None:
        """Move the cursor up by about a page."""
        self._turn(-1)

    def action_page_down(self) -> None:
        """Move the cursor down by about a page."""
        self._turn(1)

    def _turn(self, direction: int) -> None:
        enabled = [index for index, option in enumerate(self.options) if not option.disabled]
        if not enabled:
            return
        lines = max(self.virtual_size.height // self.option_count, 1)
        page = max(self.scrollable_content_region.height // lines, 1)
        goal = (self.highlighted or 0) + direction * page
        self.highlighted = min(enabled, key=lambda index: abs(index - goal))
