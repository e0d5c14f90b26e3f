"""A line of text that keeps the order of the keys, however fast they come."""

from __future__ import annotations

from collections.abc import Mapping

from textual import events
from textual.widgets import Input

#: Keys that edit, by what they do. As bindings they would wait for the letters typed after them.
_EDITS: Mapping[str, str] = {
    "backspace": "delete_left",
    "delete": "delete_right",
    "left": "cursor_left",
    "right": "cursor_right",
    "home": "home",
    "end": "end",
    "ctrl+u": "delete_left_all",
    "ctrl+w": "delete_left_word",
}


class SteadyInput(Input):
    """An input that edits in one place, where letters come as well."""

    def on_key(self, event: events.Key) -> None:
        """Do what an editing key does, before the next key is looked at."""
        if event.key in _EDITS:
            event.stop()
            event.prevent_default()
            getattr(self, f"action_{_EDITS[event.key]}")()
