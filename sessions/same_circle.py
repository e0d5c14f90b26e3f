"""Which circle of each session is compared: chosen, or found by what it is, its name and its serial."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from sessions.equipment import Circle
from sessions.header import Header
from solver.refused import Refused

Which = Literal["lower", "upper"]
Identity = tuple[str, str, str]

WHICH: tuple[Which, ...] = ("lower", "upper")

Choice = Literal["the lower one", "of the first", "of each", "of each all the same", "any", "turns"]

_NEUTRAL: Mapping[Choice, str] = {
    "the lower one": "choose the lower one",
    "of the first": "choose one, as it stands in the first session",
    "of each": "choose one for each session",
    "of each all the same": "if it is the same one all the same, choose one for each session",
    "any": "choose the lower or the upper one, or one for each session",
    "turns": "check the turns",
}


class ToChoose(Refused):
    """A comparison that waits for somebody's choice.

    Parameters
    ----------
    what, where
        As for `Refused`.
    choice : str
        What is to be chosen; `remedy` says it without saying how, and `told` with that.
    """

    def __init__(self, what: str, choice: Choice, *, where: str = "") -> None:
        super().__init__(what, where=where, remedy=_NEUTRAL[choice])
        self.choice = choice

    def told(self, how: Mapping[Choice, str]) -> Refused:
        """Return the refusal with the remedy as it is done in one place: by an option, by a key."""
        return Refused(self.what, where=self.where, remedy=how[self.choice])


def circle_of(header: Header, which: Which) -> Circle | None:
    """Return the circle, or None where the session has no such one."""
    if which == "lower":
        return header.lower
    return header.upper if header.design.closure == "dual" else None


def identity(circle: Circle) -> Identity | None:
    """Return what tells a circle from others, None where it has neither name nor serial."""
    if not (circle.name.strip() or circle.serial.strip()):
        return None
    name, serial = (" ".join(word.split()).casefold() for word in (circle.name, circle.serial))
    return circle.kind, name, serial


def named(circle: Circle) -> str:
    """Return a circle in words, as "index table HT-04 17"."""
    return " ".join(word for word in (circle.kind, circle.name.strip(), circle.serial.strip()) if word)


def choose_circles(
    headers: tuple[Header, ...], files: tuple[str, ...], chosen: tuple[Which, ...] = ()
) -> tuple[Which, ...]:
    """Choose the circle of each session.

    Parameters
    ----------
    headers : tuple of Header
        One for each session, two at least.
    files : tuple of str
        Their names, for refusals.
    chosen : tuple of "lower" or "upper"
        One for each session; or one, which is meant of the first session and followed by kind, name and serial;
        or none.

    Raises
    ------
    Refused
        Where there is no such circle, or where more than one may be meant.
    """
    if len(chosen) not in (0, 1, len(headers)):
        raise Refused(
            f"{len(chosen)} circles are chosen for {len(headers)} sessions",
            remedy="choose one for the first session, or one for each",
        )
    if len(chosen) == len(headers):
        for header, file, which in zip(headers, files, chosen, strict=True):
            _present(header, file, which)
        return chosen
    if chosen:
        return _follow(headers, files, chosen[0])
    return _find(headers, files)


def _present(header: Header, file: str, which: Which) -> Circle:
    circle = circle_of(header, which)
    if circle is None:
        raise ToChoose("a single closure has no upper circle", "the lower one", where=file)
    return circle


def _follow(headers: tuple[Header, ...], files: tuple[str, ...], which: Which) -> tuple[Which, ...]:
    """Return where the circle of the first session stands in the others."""
    circle = _present(headers[0], files[0], which)
    wanted = identity(circle)
    chosen: list[Which] = [which]
    for header, file in zip(headers[1:], files[1:], strict=True):
        places = _places(header)
        if wanted is None:
            _present(header, file, which)
            found: list[Which] = [which]
        else:
            found = [place for place, known in places.items() if known == wanted]
        if not found:
            raise _absent(circle, header, file)
        if len(found) > 1:
            raise ToChoose(f"both circles are called {named(circle)}", "of each", where=file)
        chosen += found
    return tuple(chosen)


def circles_in_every(headers: tuple[Header, ...]) -> tuple[Which, ...]:
    """Return the circles of the first session that stand in every other one too, by kind, name and serial."""
    first, *others = (_places(header) for header in headers)
    return tuple(
        which
        for which, known in first.items()
        if known is not None and all(known in place.values() for place in others)
    )


def _find(headers: tuple[Header, ...], files: tuple[str, ...]) -> tuple[Which, ...]:
    """Return the one circle that stands in every session."""
    places = [_places(header) for header in headers]
    if all(len(place) == 1 for place in places) and any(place["lower"] is None for place in places):
        return tuple("lower" for _ in headers)
    candidates = circles_in_every(headers)
    if len(candidates) == 1:
        return _follow(headers, files, candidates[0])
    if candidates:
        names = " and ".join(
            f"{named(_present(headers[0], files[0], which))} ({which})" for which in candidates
        )
        raise ToChoose(f"{names} stand in every session", "of the first", where=files[0])
    if any(known is None for place in places for known in place.values()):
        raise ToChoose(
            "the circles have no names by which to find the same one", "any", where=", ".join(files)
        )
    raise ToChoose(
        f"no circle stands in every session: {files[0]} has {_listed(headers[0])}, "
        f"{files[-1]} has {_listed(headers[-1])}",
        "of each all the same",
    )


def _places(header: Header) -> dict[Which, Identity | None]:
    circles = ((which, circle_of(header, which)) for which in WHICH)
    return {which: identity(circle) for which, circle in circles if circle is not None}


def _listed(header: Header) -> str:
    circles = (circle_of(header, which) for which in WHICH)
    return " and ".join(named(circle) for circle in circles if circle is not None)


def _absent(circle: Circle, header: Header, file: str) -> Refused:
    return ToChoose(
        f"{named(circle)} does not stand here, but {_listed(header)}", "of each all the same", where=file
    )
