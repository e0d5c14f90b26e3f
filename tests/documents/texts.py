"""The README and the notes for developers, as the checks read them."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
#: The README with its lines joined, for sentences that run over a line's end.
README_LINE = re.sub(r"\s+", " ", README)


def section(text: str, title: str) -> str:
    """Return what stands under a heading of the second level."""
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^## |\Z)", text, re.M | re.S)
    assert found, title
    return found[1]
