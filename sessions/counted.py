"""Numbers with their nouns."""

from __future__ import annotations


def counted(number: int, word: str) -> str:
    """Return a number with its noun, as "1 run", "5 runs", "1,200 readings"."""
    return f"{number:,} {word}" if number == 1 else f"{number:,} {word}s"


def verb_for(number: int, verb: str = "are") -> str:
    """Return the verb that goes with so many: of "are", "were", "have", "hold" and "stand" the form for one."""
    alone = {"are": "is", "were": "was", "have": "has", "hold": "holds", "stand": "stands"}
    return alone[verb] if number == 1 else verb


def counted_are(number: int, word: str, verb: str = "are") -> str:
    """Return a number with its noun and its verb, as "1 cell is", "5 cells are".

    Examples
    --------
    >>> counted_are(1, "reading"), counted_are(2, "reading", "have")
    ('1 reading is', '2 readings have')
    """
    return f"{counted(number, word)} {verb_for(number, verb)}"


def freedom_words(number: int) -> str:
    """Return degrees of freedom in words, as "1 degree of freedom"."""
    return f"{counted(number, 'degree')} of freedom"
