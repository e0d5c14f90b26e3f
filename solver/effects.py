"""How a source of uncertainty enters a result: what it does to each position error, and what cancels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from solver.closure import Flags, Floats, Ints

EffectKind = Literal["cell", "position", "constant", "proportional", "harmonic", "ramp", "shape"]
Touched = Literal["both", "lower", "upper"]


@dataclass(frozen=True, slots=True)
class Effect:
    """How a source with one standard uncertainty u enters the position errors of a circle.

    Parameters
    ----------
    kind : str
        "cell"
            Another value in every cell: it averages down over the adjustment like the scatter of the readings.
        "position"
            Another value at every position, the same in every run: it does not average down.
        "constant"
            The same at all positions.
        "proportional"
            The reading is wrong in proportion, so every result is: u is relative.
        "harmonic"
            u sin(order · angle + phase), with a phase that is known or not.
        "ramp"
            Grows evenly from position 0 round to position 0 again, by u over the whole turn.
        "shape"
            u times a given number at each position.
    circle : str
        Which circle: "both", "lower" or "upper".
    order : int
        Of a harmonic: how often it comes in a turn.
    phase : float or None
        Of a harmonic, degrees; None where it is not known. Then u is that of the effect at any one position, and the
        effects of two positions correlate by the cosine of `order` times the angle between them.
    shape : tuple of float
        Number at each position.
    """

    kind: EffectKind = "position"
    circle: Touched = "both"
    order: int = 1
    phase: float | None = None
    shape: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Results:
    """M results of one circle: position errors about its mean, or differences of two position errors.

    Parameters
    ----------
    circle : str
        "lower" or "upper".
    positions : int
        n, on the circle.
    to : (M,) int array
        Position of each result.
    start : (M,) int array or None
        Position from which the difference counts; None about the mean of the circle.
    value, root : (M,) arrays
        Result, arc seconds, and root of its cofactor.
    subdivision : int
        m where positions are fine ones, m to an interval; about the mean then means that of every m-th.
    """

    circle: str
    positions: int
    to: Ints
    start: Ints | None
    value: Floats
    root: Floats
    subdivision: int = 1

    @property
    def main(self) -> Flags:
        """Which results, (M,), are of positions whose mean counts: all but those inside an interval."""
        return np.asarray(self.to % self.subdivision == 0)


def spread(effect: Effect, results: Results) -> Floats:
    """Return the variance of each result for a source of unit standard uncertainty, shape (M,).

    Parameters
    ----------
    effect : Effect
        How the source enters.
    results : Results
        M results.

    Notes
    -----
    A result is a linear function a' d of the effects d at the positions: a is the unit vector of the position less
    1/n everywhere (about the mean), or less that of the start (a difference). For V the covariance of d its variance
    is a' V a (JCGM 100, 5.2.2, equation 13):

    - "cell": the cofactor of the result, by the adjustment itself.
    - "position", V = 1: (n-1)/n about the mean, (n+1)/n for a position that is not in the mean; 2 for
      a difference of two positions, 0 from a position to itself.
    - "constant", V = 11': a'1 = 0 for every result, so it cancels everywhere. Closure measures no absolute angle.
    - "proportional": the results are linear in the readings, so a reading that is wrong by a factor makes every result
      wrong by that factor: the square of the result. Constants of the runs absorb their own part.
    - A function f of the position with one unknown size, V = ff': (a'f)², which is the function about its mean, or its
      difference. A harmonic of unknown phase is two such functions, sine and cosine, with independent sizes of equal
      variance: their covariance is the cosine of the angle between, whatever the phase.
    """
    n = results.positions
    match effect.kind:
        case "cell":
            return np.asarray(results.root**2)
        case "position":
            if results.start is None:
                return np.where(results.main, (n - 1) / n, (n + 1) / n)
            return np.where(results.to == results.start, 0.0, 2.0)
        case "constant":
            return np.zeros(len(results.to))
        case "proportional":
            return np.asarray(results.value**2)
        case "harmonic" | "ramp" | "shape":
            fine = n * results.subdivision
            return np.asarray(sum(_of_function(each, results) for each in functions(effect, n, fine)))


def functions(effect: Effect, n: int, fine: int | None = None) -> tuple[Floats, ...]:
    """Return the functions of the position, (n,) each, whose independent unit sizes make an effect.

    With `fine` fine positions, a multiple of n, they are (fine,); a shape is nan between the n positions of it.

    One for a harmonic of known phase, a ramp and a shape, two for a harmonic of unknown phase; none for an effect that
    is no such function.
    """
    fine = fine or n
    turn = effect.order * 2 * np.pi * np.arange(fine) / fine
    match effect.kind:
        case "harmonic":
            if effect.phase is None:
                return np.sin(turn), np.cos(turn)
            return (np.sin(turn + np.radians(effect.phase)),)
        case "ramp":
            return (np.arange(fine) / fine,)
        case "shape":
            shape = np.full(fine, np.nan)
            shape[:: fine // n] = effect.shape
            return (shape,)
        case _:
            return ()


def _of_function(function: Floats, results: Results) -> Floats:
    main = function[:: results.subdivision]
    start = main.mean() if results.start is None else function[results.start]
    return np.asarray((function[results.to] - start) ** 2)
