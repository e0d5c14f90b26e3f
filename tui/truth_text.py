"""The truth of a practice session as text for a terminal of 80 columns."""

from __future__ import annotations

from sessions.practice.debrief import Debrief
from tui.truth_words import OUTSIDE, TruthTable, judgement, summary
from tui.widgets.formats import wrapped
from tui.widgets.marks import UNICODE

_WIDTH = 80


def truth_text(found: Debrief, title: str, decimals: int) -> str:
    """Return how well it went, the table, and what was missed."""
    table = TruthTable(found, UNICODE)
    blocks = [
        wrapped(title, _WIDTH),
        [line for words in summary(found, UNICODE) for line in wrapped(words, _WIDTH)],
        ["position error about the mean, ″", *table.headings, *table.rows],
    ]
    said = judgement(found, UNICODE, decimals)
    if any((circle.known & ~circle.inside).any() for circle in found.circles):
        blocks[2].append(f"{OUTSIDE} not within U")
    if said:
        blocks.append([line for words in said for line in wrapped(words, _WIDTH, later="  ")])
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"
