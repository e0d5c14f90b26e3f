"""What the circles of a session are called on the screen and in prompts: what the person has before them."""

from __future__ import annotations

from dataclasses import dataclass

from sessions.design import Design
from sessions.equipment import Circle
from sessions.header import Header
from sessions.sentences import capital


@dataclass(frozen=True, slots=True)
class Words:
    """How a certificate speaks of one circle.

    Parameters
    ----------
    item : str
        What it is called in a sentence: "lower circle", "table", "polygon".
    place : str
        What an error belongs to: "position" or "face".
    error : str
        "position error" or "face error".
    interval : str
        What lies between two places: "interval", or "angle" from face to face.
    mean : str
        What errors are about: "the mean of the circle", "the mean of all faces".
    """

    item: str
    place: str = "position"
    error: str = "position error"
    interval: str = "interval"
    mean: str = "the mean of the circle"

    @property
    def heading(self) -> str:
        """What the circle is called where it begins a sentence."""
        return capital(self.item)


def circle_words(header: Header) -> tuple[Words, ...]:
    """Return how to speak of each circle, lower first; of the one circle of a single closure."""
    circles = (
        (header.lower,) if header.design.closure == "single" else (header.lower, header.upper or Circle())
    )
    items = _items(header, circles)
    return tuple(
        Words(item, "face", "face error", "angle", "the mean of all faces")
        if circle.kind == "polygon"
        else Words(item)
        for item, circle in zip(items, circles, strict=True)
    )


def item_names(header: Header) -> tuple[str, ...]:
    """Return the short name of each circle as a thing, lower first: "table" and "polygon", "lower" and "upper"."""
    return tuple("polygon" if name == "face" else name for name in circle_names(header))


def _items(header: Header, circles: tuple[Circle, ...]) -> tuple[str, ...]:
    if len(circles) == 1:
        return (circles[0].kind,)
    names = item_names(header)
    if names[0] == names[1]:
        return tuple(f"{place} {name}" for place, name in zip(("lower", "upper"), names, strict=True))
    return tuple(f"{name} circle" if name in ("lower", "upper") else name for name in names)


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
