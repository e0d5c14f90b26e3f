"""What accounts for the readings: single bad cells, a jump in a run, or a run that is not what it is called."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from solver.case import Case, Solved
from solver.changes import MOST, Change, changed, possible
from solver.closure import Floats, Ints
from solver.deleted import Accepted, Scale
from solver.esd import generalized_esd
from solver.jump import Jump, best_jump
from solver.quantile import fisher
from solver.suspects import Search

#: Part of the level at which jumps are looked for, and again changes of runs.
SHARE = 0.1

#: Faults of whole runs that are looked for one after the other.
FAULTS = 3

#: Runs and cells up to which changes are tried though nothing stands out: with few runs, all suffer alike.
SMALL_RUNS, SMALL = 4, 64

#: Cells up to which every change is judged in full if cells are guilty; else as many as leave least squares.
WHOLE, LIKELIEST = 300, 5

#: Guilty cells of one run that together point to the run, and so many that they are not explained one by one.
MANY, TOO_MANY = 2, 4


@dataclass(frozen=True, slots=True)
class Standard:
    """By what to judge: level, accepted standard deviation of one cell, least variance, cells planned."""

    level: float
    accepted: Accepted | None
    least: float
    planned: int = 0


@dataclass(frozen=True, slots=True)
class Fault:
    """A change of a run or a jump in it.

    Parameters
    ----------
    what : Change or Jump
        The fault.
    statistic, critical : float
        Root of twice the logarithm by which it makes the readings likelier, on the scale of a normal
        deviate, and what chance allows.
    strong : bool
        Whether it stands out at a fifth of the level as well.
    """

    what: Change | Jump
    statistic: float
    critical: float
    strong: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """What accounts for the readings.

    Parameters
    ----------
    solved : Solved
        The case with all faults allowed for.
    search : Search
        The bad cells of that case.
    faults : tuple of Fault
        What was allowed for.
    likelihood : float
        Natural logarithm of how much likelier the readings are than as recorded with no cell bad, the bad
        cells paid for.
    paid : float
        What the faults cost.
    """

    solved: Solved
    search: Search
    faults: tuple[Fault, ...]
    likelihood: float
    paid: float

    @property
    def score(self) -> float:
        """By what verdicts are compared."""
        return self.likelihood - self.paid

    @property
    def guilty(self) -> Ints:
        """The bad cells."""
        return np.array([each.suspect.cell for each in self.search.guilty], dtype=np.int64)


def investigate(solved: Solved, standard: Standard) -> Verdict:
    """Find what accounts for the readings best.

    Suppositions are compared by the likelihood of the readings with the scatter integrated out. Every bad
    cell and every fault costs as much as makes it just significant, given how many there are to choose from.

    Parameters
    ----------
    solved : Solved
        The case as recorded.
    standard : Standard
        Level and scatter.
    """
    inquiry = _Inquiry(standard, Scale(solved.squares, solved.freedom, standard.accepted, standard.least))
    best = inquiry.judged(solved)
    for found in range(FAULTS):
        left = best.solved.struck(best.guilty)
        small = 0 if found else SMALL
        suppositions = [*inquiry.jumps(best, left), *inquiry.changes(best, left, small)]
        # A supposition that leaves no degree of freedom has no score: nan is not better.
        better = [verdict for verdict in suppositions if verdict.score > best.score]
        if not better:
            break
        best = max(better, key=lambda verdict: verdict.score)
    return best


@dataclass(frozen=True, slots=True)
class _Inquiry:
    standard: Standard
    origin: Scale

    def judged(self, solved: Solved) -> Verdict:
        """Return the verdict on a case with no fault but bad cells."""
        standard = self.standard
        left = solved.left
        search = generalized_esd(
            left, standard.level, standard.accepted, standard.least, planned=standard.planned
        )
        gained = float(self.origin.evidence(self.origin.squares, left.squares))
        return Verdict(solved, search, (), gained + search.evidence, 0.0)

    def supposed(self, before: Verdict, case: Case, what: Change | Jump, places: int) -> Verdict:
        """Return the verdict with one fault more, one of `places` that there were to choose from."""
        after = self.judged(case.solved())
        # A part of a run that is split off has a drift of its own as well.
        terms = case.closure.shared_terms if isinstance(what, Jump) else 1
        if isinstance(what, Change):
            # A case with more degrees of freedom leaves more squares, however true it is; one with fewer leaves less,
            # and what it gains so is a test of all that it adds at once.
            more = after.solved.freedom - before.solved.freedom
            terms, idle = 1 + max(-more, 0), max(more, 0)
            squares = after.solved.squares
            variance = float(after.search.remaining.without(0.0, 0)[0]) if idle else 0.0
            corrected = float(self.origin.evidence(squares, max(squares - idle * variance, 0.0)))
            after = replace(after, likelihood=after.likelihood + corrected)
        level = self.standard.level * SHARE
        # A change of a run may leave few degrees of freedom, on whose scale it would be cheap: it is judged as before.
        scale = self.origin if isinstance(what, Change) else after.search.remaining
        price, dear = (self.price(after, scale, places, each, terms) for each in (level, level / 5))
        gained = max(after.likelihood - before.likelihood, 0.0)
        fault = Fault(what, float(np.sqrt(2 * gained)), float(np.sqrt(2 * price)), gained > dear)
        return replace(after, faults=(*before.faults, fault), paid=before.paid + price)

    def price(self, verdict: Verdict, scale: Scale, places: int, level: float, terms: int = 1) -> float:
        """Return what one of `places` faults of some terms costs: as much as makes it just significant.

        The significance is that of F at the degrees of freedom of the verdict, told on a `scale` of likelihood.
        """
        after = verdict.search.remaining
        variance, freedom = after.without(0.0, 0)
        if freedom <= 0:
            return np.inf
        places = max(places, self.standard.planned)
        room = terms * float(fisher(level / places, terms, freedom)) * variance
        return float(scale.evidence(after.squares + room, after.squares))

    def jumps(self, verdict: Verdict, left: Floats) -> Iterator[Verdict]:
        """Yield the verdicts with one jump more, as far as the residuals call for any."""
        case = verdict.solved.case
        if not case.closure.dual or case.closure.reading != "position" or verdict.solved.freedom < 2:
            return
        guilty = verdict.guilty
        found = []
        jump = best_jump(verdict.solved, left, guilty)
        if jump is not None:
            now = verdict.search.remaining
            gained = float(now.evidence(now.squares, max(now.squares - jump.gain, 0.0)))
            if gained > self.price(verdict, now, jump.places, self.standard.level * SHARE):
                found.append(jump)
        if len(guilty) > 1:
            # Cells that were struck one by one may be what a jump moved, in whichever runs they lie: with few offsets
            # a jump in one run and a few cells of several can leave the same residuals.
            jump = best_jump(verdict.solved, verdict.solved.residual)
            found += [jump] if jump is not None else []
        for jump in found:
            if jump.drift < jump.gain:
                yield self.supposed(verdict, case.split(jump.group, jump.step), jump, jump.places)

    def changes(self, verdict: Verdict, left: Floats, small: int) -> Iterator[Verdict]:
        """Yield the verdicts with one run changed, as far as the residuals call for any."""
        case = verdict.solved.case
        runs = np.unique(case.run)
        done = {fault.what.run for fault in verdict.faults if isinstance(fault.what, Change)}
        suspect = self.suspect_runs(verdict, left, MANY, 1.0) - done
        if len(case) <= small and len(runs) <= SMALL_RUNS and verdict.solved.freedom > 1:
            suspect = set(runs.tolist()) - done
        trials = [
            (change, changed(case, change))
            for run in runs.tolist()
            if run in suspect
            for change in possible(case.closure, case.runs, run)
        ]
        places = len(runs) * MOST
        if not len(verdict.guilty) or len(case) > WHOLE:
            trials = _likeliest(trials, verdict)
        for change, trial in trials:
            after = self.supposed(verdict, trial, change, places)
            if change.run not in self.suspect_runs(after, after.solved.struck(after.guilty)):
                yield after

    def suspect_runs(
        self, verdict: Verdict, left: Floats, many: int = TOO_MANY, share: float = SHARE
    ) -> set[int]:
        """Return the runs that scatter more than the others at a share of the level, or hold many guilty cells."""
        run = verdict.solved.case.run
        freedom = verdict.solved.freedom - len(verdict.guilty)
        if freedom < 2:
            return set()
        count = int(run.max()) + 1
        crowded = np.bincount(run[verdict.guilty], minlength=count) >= many
        redundancy = verdict.solved.redundancy.copy()
        redundancy[verdict.guilty] = 0.0
        own = np.bincount(run, redundancy, count)
        squares = np.bincount(run, left**2, count)
        told = (own > 1) & (freedom - own > 1)
        own = np.where(told, own, 1.0)
        rest = np.maximum(freedom - own, 1.0)
        ratio = squares / own / (np.maximum(squares.sum() - squares, 1e-300) / rest)
        high = told & (ratio > fisher(self.standard.level * share / count, own, rest))
        return set(np.flatnonzero(crowded | high).tolist())


def _likeliest(trials: list[tuple[Change, Case]], verdict: Verdict) -> list[tuple[Change, Case]]:
    """Return the changes that leave the least squares among the cells that are not guilty elsewhere."""
    guilty, run = verdict.guilty, verdict.solved.case.run
    bound = np.inf if len(guilty) else verdict.search.remaining.squares
    squares = [trial.without(guilty[run[guilty] != change.run]).squares() for change, trial in trials]
    return [trials[i] for i in np.argsort(squares, kind="stable")[:LIKELIEST] if squares[i] < bound]
