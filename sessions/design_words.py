"""A design in a few words, for those who know them: "dual closure by position, additive, forward, closing readings"."""

from __future__ import annotations

from sessions.design import Design


def design_words(design: Design) -> str:
    """Return the closure with what is read, how the circles are stacked and stepped, and whether runs close."""
    if design.closure == "single":
        return "single closure, intervals against one fixed angle"
    words = f"dual closure by {design.reading}, {design.arrangement}, {design.direction}"
    if design.reading == "position":
        words += ", closing readings" if design.closing else ", no closing readings"
    return words
