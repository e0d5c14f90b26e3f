"""Changes of the header that a worksheet offered and a person agreed to."""

from __future__ import annotations

from sessions.session import Session
from sessions.worksheets.sheet import Proposal
from solver.refused import Refused


def amend_as_proposed(session: Session, proposal: Proposal) -> tuple[bool, str]:
    """Amend field by field; return whether all were amended, and what became of it in a sentence.

    What is refused leaves the fields before it amended, and the sentence names these.
    """
    done: list[str] = []
    try:
        for field, value in proposal.amendments:
            session.amend(field, value, proposal.reason)
            done.append(field)
    except Refused as refused:
        only = f"Amended {', '.join(done)} only" if done else "Not amended"
        return False, f"{only}: {refused}"
    return True, f"Amended: {proposal.reason}."
