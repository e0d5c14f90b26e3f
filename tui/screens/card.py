"""How the small screens look that stand before another: one card for all of them."""

from __future__ import annotations

CARD = """
    align: center middle;
    .card {
        width: 64; max-width: 94%; height: auto; max-height: 94%; padding: 1 2;
        background: $surface; border-left: wide $primary;
    }
    .question { text-style: bold; margin-bottom: 1; }
    .wrong { color: $error; height: auto; }
    .keys { color: $text-muted; margin-top: 1; }
    Input { background: $panel; }
    OptionList, OptionList:focus { height: auto; max-height: 12; background: $panel; border: none; padding: 0; }
"""
