"""Completion of a folder's path as it is typed."""

from __future__ import annotations

import os
from pathlib import Path

from textual.suggester import Suggester


class FolderSuggester(Suggester):
    """Suggests the folders that begin with what is typed; "~" stands for the user's home."""

    def __init__(self) -> None:
        super().__init__(use_cache=False, case_sensitive=True)

    async def get_suggestion(self, value: str) -> str | None:
        """Return what is typed, completed to the first folder that fits, or None."""
        if value == "~":
            return "~" + os.sep
        cut = max(value.rfind("/"), value.rfind(os.sep)) + 1
        parent, start = value[:cut], value[cut:]
        if not parent:
            return None
        try:
            names = sorted(
                entry.name
                for entry in os.scandir(Path(parent).expanduser())
                if entry.name.startswith(start) and entry.name != start and entry.is_dir()
            )
        except (OSError, RuntimeError):  # no such folder, not readable, no such user: nothing to suggest
            return None
        seen = [name for name in names if start or not name.startswith(".")]
        return f"{parent}{seen[0]}{os.sep}" if seen else None
