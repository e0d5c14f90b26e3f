"""What the circles of a session are called on the screen and in prompts: what the person has before them."""

from __future__ import annotations

from sessions.header import Circle, Design, Header


def circle_names(header: Header) -> tuple[str, ...]:
    """Return the short name of each circle, lower first; of the one circle of a single closure.

    A polygon is spoken of by its faces, and what it stands on is its table; two indexes are "lower" and "upper".
    """
    if header.design.closure == "single":
        return ("polygon" if header.lower.kind == "polygon" else "circle",)
    upper = header.upper or Circle()
    if upper.kind == "polygon":
        return (_stand(header.lower), "face")
    if upper.kind == "encoder" and header.design.arrangement == "face by face":
        return (_stand(header.lower), "encoder")
    return ("lower", "upper")


def by_faces(header: Header) -> bool:
    """Return whether the positions read against the lower circle, or of the only circle, are faces."""
    return circle_names(header)[-1] in ("face", "polygon")


def _stand(circle: Circle) -> str:
    return "table" if circle.kind in ("index table", "rotary table") else circle.kind


def step_words(design: Design) -> str:
    """Return the nominal angle between positions in words."""
    return angle_words(1, design.positions)


def angle_words(position: int, positions: int) -> str:
    """Return the nominal angle of a position, degrees to four decimals at the most."""
    return f"{360 * position / positions:.4f}".rstrip("0").rstrip(".") + "°"
