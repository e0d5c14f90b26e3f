"""Options for the dialect of a table; its signs may be typed as themselves too."""

from __future__ import annotations

from tui.option_types import word

delimiter = word("comma", "semicolon", "tab", signs={",": "comma", ";": "semicolon", "\t": "tab"})
decimal = word("point", "comma", signs={".": "point", ",": "comma"})
