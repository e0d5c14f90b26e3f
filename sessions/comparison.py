"""The same circle in two or more sessions: what changed, whether that is more than chance, how it drifts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sessions.comparison_notices import notices
from sessions.comparison_source import Source, load_all
from sessions.counted import counted, counted_are
from sessions.deviations import Deviations, deviations
from sessions.equipment import Circle
from sessions.same_circle import ToChoose, Which, choose_circles, circles_in_every
from solver.closure import Floats, Ints
from solver.comparison import Change, Measured, WholeTest, change, whole_change
from solver.history import Drift, agreement, drift
from solver.one_changed import OneChanged, one_changed
from solver.refused import Refused
from solver.turned import Found, Turn, best_turn, common_places

#: Level below which the whole is said to have changed, and below which a turn is offered.
LEVEL, OFFER_LEVEL = 0.05, 0.01
_DAY, _YEAR = 86400.0, 365.25 * 86400.0


@dataclass(frozen=True, slots=True)
class Offer:
    """A turn that would make two sessions agree better; applied only when somebody says so.

    Parameters
    ----------
    found : Found
        The turn, and how likely chance finds one as good.
    whole : WholeTest
        Of the differences as they would then be.
    """

    found: Found
    whole: WholeTest


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One session's part in a comparison.

    Parameters
    ----------
    source : Source
        The session.
    which : str
        Which of its circles.
    turn : Turn
        How its numbers are taken to lie against those of the first session.
    index : (m,) int array
        Its own positions at the common places.
    measured : Measured
        Errors at the common places, about their mean, in the direction of the first session's numbers.
    """

    source: Source
    which: Which
    turn: Turn
    index: Ints
    measured: Measured

    @property
    def circle(self) -> Circle:
        """The circle by its header."""
        return self.source.circle(self.which)


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """A later session against the first one.

    Parameters
    ----------
    session : int
        Which one, from 0.
    change : Change
        Its differences from the first.
    offer : Offer or None
        A turn that would fit better, if there is one.
    one : OneChanged or None
        The one position whose change alone explains the differences, if there is one and no turn is offered.
    """

    session: int
    change: Change
    offer: Offer | None
    one: OneChanged | None


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Sessions compared at m common positions, arc seconds.

    Parameters
    ----------
    parts : tuple of Part
        The sessions as they were named; the first is the one the others are compared with.
    angle : (m,) array
        Degrees of the common positions, in the first session's numbers.
    pairs : tuple of Pair
        Each later session against the first.
    agreement : WholeTest or None
        Of three sessions or more together.
    drift : Drift or None
        Change per year; None where the dates are not known or not different, for the reason in `no_drift`.
    deviations : Deviations
        Standard deviations of the sessions beside each other.
    notices : tuple of str
        What to keep in mind.
    """

    parts: tuple[Part, ...]
    angle: Floats
    pairs: tuple[Pair, ...]
    agreement: WholeTest | None
    drift: Drift | None
    no_drift: str
    deviations: Deviations
    notices: tuple[str, ...]

    @property
    def attention(self) -> bool:
        """Whether something needs attention: a change, or that none could be tested."""
        wholes = [pair.change.whole for pair in self.pairs]
        wholes += [self.agreement] if self.agreement is not None else []
        beyond = any(pair.change.beyond.size for pair in self.pairs)
        return beyond or any(not whole.p_value >= LEVEL for whole in wholes)


def compare_files(
    paths: Sequence[Path], chosen: tuple[Which, ...] = (), turns: tuple[Turn, ...] = ()
) -> tuple[Comparison, ...]:
    """Compare session files; see `load_all` and `compare`.

    Without a choice every circle that stands in all of them is compared, one after the other; a turn is of one circle,
    which must then be chosen.
    """
    sources = load_all(paths)
    if not chosen and not turns:
        found = circles_in_every(tuple(source.header for source in sources))
        if len(found) > 1:
            return tuple(compare(sources, (which,)) for which in found)
    return (compare(sources, chosen, turns),)


def compare(
    sources: tuple[Source, ...], chosen: tuple[Which, ...] = (), turns: tuple[Turn, ...] = ()
) -> Comparison:
    """Compare the same circle in several sessions.

    Parameters
    ----------
    sources : tuple of Source
        Two at least, the oldest first.
    chosen : tuple of "lower" or "upper"
        See `sessions.same_circle.choose_circles`.
    turns : tuple of Turn
        How each later session's numbers lie against those of the first; none: not turned.

    Raises
    ------
    Refused
        Where it cannot be told which circle is meant, errors are not determined, or there are no common places.
    """
    if len(sources) < 2:
        raise Refused("one session alone cannot be compared", remedy="name two or more")
    files = tuple(source.file for source in sources)
    which = choose_circles(tuple(source.header for source in sources), files, chosen)
    taken = _turns(turns, sources)
    index = _common(sources, taken)
    parts = tuple(
        Part(source, place, turn, at, source.measured(place).at(at, -1 if turn.reversed else 1))
        for source, place, turn, at in zip(sources, which, taken, index, strict=True)
    )
    measured = tuple(part.measured for part in parts)
    line, why_not = _drift(parts)
    return Comparison(
        parts,
        np.asarray(index[0] * (360.0 / sources[0].positions), dtype=np.float64),
        tuple(_pair(parts[0], part, number) for number, part in enumerate(parts) if number),
        agreement(measured) if len(parts) > 2 else None,
        line,
        why_not,
        deviations(sources),
        notices(sources, which),
    )


def _turns(turns: tuple[Turn, ...], sources: tuple[Source, ...]) -> tuple[Turn, ...]:
    later = len(sources) - 1
    if not turns:
        return (Turn(),) * len(sources)
    if len(turns) != later:
        raise Refused(
            f"{counted_are(len(turns), 'turn')} given for {counted(later, 'later session')}",
            remedy="give one for each session after the first; 0 is not turned",
        )
    for turn, source in zip(turns, sources[1:], strict=True):
        finer = max(source.positions, sources[0].positions)
        if turn.positions >= finer:
            raise Refused(
                f"there is no position {turn.positions} among {finer}",
                where=source.file,
                remedy=f"give a turn of 0 to {finer - 1}",
            )
    return (Turn(), *turns)


def _common(sources: tuple[Source, ...], turns: tuple[Turn, ...]) -> tuple[Ints, ...]:
    counts = tuple(source.positions for source in sources)
    fewest = min(counts)
    for source in sources:
        if source.positions % fewest:
            raise Refused(
                f"{source.positions} positions and {fewest} do not divide each other",
                where=source.file,
                remedy="compare sessions of which the fewer positions divide the more",
            )
    index = common_places(counts, turns)
    if len(index[0]) < fewest:
        raise ToChoose("turned like this the sessions have no positions in common", "turns")
    return index


def _pair(first: Part, later: Part, number: int) -> Pair:
    found = change(first.measured, later.measured)
    offer = _offer(first, later, found.whole)
    one = one_changed(first.measured, later.measured, found.whole, LEVEL) if offer is None else None
    return Pair(number, found, offer, one)


def _offer(first: Part, later: Part, as_it_is: WholeTest) -> Offer | None:
    """Return the turn that explains a difference, if one does so beyond chance.

    Where neither number of positions divides the other, as 24 and 36 do not, some turns leave fewer places in common
    than others, so that their fits cannot be weighed against each other; none is offered.
    """
    fewer, more = sorted((first.source.positions, later.source.positions))
    if as_it_is.p_value >= LEVEL or more % fewer:
        return None
    old, new = first.source.measured(first.which), later.source.measured(later.which)
    found = best_turn(old.error, new.error)
    if found.turn == later.turn or found.p_value >= OFFER_LEVEL:
        return None
    places = common_places((len(old.error), len(new.error)), (Turn(), found.turn))
    whole = whole_change(old.at(places[0]), new.at(places[1], -1 if found.turn.reversed else 1))
    # Without uncertainties both are nan, and the correlation alone decides.
    return None if whole.chi_squared >= as_it_is.chi_squared else Offer(found, whole)


def _drift(parts: tuple[Part, ...]) -> tuple[Drift | None, str]:
    dates = [part.source.date for part in parts]
    known = [date for date in dates if date is not None]
    if len(known) < len(dates):
        return None, "the date of a session is not known"
    seconds = np.array([(date - known[0]).total_seconds() for date in known])
    if float(np.ptp(seconds)) < _DAY:
        return None, "the sessions are of the same day"
    return drift(tuple(part.measured for part in parts), seconds / _YEAR), ""
