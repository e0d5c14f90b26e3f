"""What stands against a certificate, as far as there is room for it; the rest is counted."""

from __future__ import annotations

from collections.abc import Sequence

from sessions.certificate.readiness import within_sentence

#: Said while the readings are being judged.
STILL_LOOKING = "Looking through the readings …"


def readings_words(reasons: Sequence[str] | None, *, draft: bool) -> str:
    """Return what the readings leave open in one sentence.

    Parameters
    ----------
    reasons : sequence of str, or None
        Why the readings make a draft of it; None while that is not known.
    draft : bool
        Whether it is a draft for other reasons as well.
    """
    if reasons is None:
        return STILL_LOOKING
    if not reasons:
        return f"All cells are read, and no flag stands{'; still a draft' if draft else ''}."
    return f"A draft: {reasons[0]}{_more(len(reasons) - 1)}."


def unfilled_words(labels: Sequence[str], room: int) -> str:
    """Return what is not filled in, as many labels as `room` letters hold and how many more there are."""
    if not labels:
        return "Everything is filled in."
    for named in range(len(labels), 0, -1):
        told = f"Not filled in: {within_sentence(labels[:named])}{_more(len(labels) - named)}."
        if len(told) <= room:
            break
    return told


def _more(number: int) -> str:
    return f" and {number} more (F8 lists all)" if number else ""
