"""Words made into sentences."""

from __future__ import annotations


def capital(words: str) -> str:
    """Return words with a capital letter at their beginning, the rest as it is."""
    return words[:1].upper() + words[1:]
