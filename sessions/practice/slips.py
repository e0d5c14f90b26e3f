"""The slips of the simulated assistant: where they happen, and what they make of a reading."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import floor
from typing import Literal

from sessions.design import Design
from sessions.practice.stack import SLIP, Stack
from solver.slips import decimals

SlipKind = Literal["sign", "digits", "decimal", "neighbour", "knocked"]
KINDS: tuple[SlipKind, ...] = ("sign", "digits", "decimal", "neighbour", "knocked")

#: A slip that moves a reading by less than so many standard deviations of a cell is no slip to find.
_FOUND = 8.0
#: By how many of them a knocked mirror jumps, at least and at most.
_KNOCK = (20.0, 60.0)
#: Resolution of the readings where the header names none, in the unit.
_RESOLUTION = 0.01


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip.

    Parameters
    ----------
    kind : str
        "sign", "digits" (two swapped), "decimal" (the point moved), "neighbour" (the next position set), or
        "knocked" (the mirror, before this step).
    run, step : int
        Where.
    jump : float
        By how much the mirror was knocked, arc seconds.
    """

    kind: SlipKind
    run: int
    step: int
    jump: float = 0.0


class Slips:
    """What the assistant does wrong on a stack, run by run, so that one more run changes nothing before it."""

    def __init__(self, stack: Stack) -> None:
        self._stack = stack
        self._known: dict[int, tuple[Slip, ...]] = {}

    def of_run(self, run: int) -> tuple[Slip, ...]:
        """Return the slips of a run."""
        if run not in self._known:
            self._known[run] = self._drawn(run)
        return self._known[run]

    def at(self, run: int, step: int) -> Slip | None:
        """Return the slip at a cell; a knock is at the cell before which it happens."""
        return next((slip for slip in self.of_run(run) if slip.step == step), None)

    def knock(self, run: int, step: int) -> float:
        """Return by how much the mirror was knocked on the way to a cell, arc seconds."""
        order = self._stack.header.design.order_of(run)
        passed = order[: order.index(step) + 1]
        return sum(slip.jump for slip in self.of_run(run) if slip.step in passed)

    def misread(self, slip: Slip, value: float) -> float | None:
        """Return what becomes of a reading in the unit typed; None where the slip would not be noticed."""
        stack = self._stack
        instrument = stack.header.instrument
        if slip.kind == "sign":
            wrong = -value
        elif slip.kind == "digits":
            wrong = _swapped(value, resolution_of(stack))
        elif slip.kind == "decimal":
            wrong = round(value * 10, 9)
        elif slip.kind == "neighbour":
            order = self._stack.header.design.order_of(slip.run)
            place = order.index(slip.step)
            other = order[place + 1] if place + 1 < len(order) else order[place - 1]
            moved = stack.expected(slip.run, other) - stack.expected(slip.run, slip.step)
            wrong = rounded(value * instrument.arcsec_per_unit + moved, stack)
        else:
            return value
        far = _FOUND * stack.cell_deviation / instrument.arcsec_per_unit
        beyond = instrument.range is not None and abs(wrong) > instrument.range
        return None if abs(wrong - value) < far or beyond else wrong

    def _drawn(self, run: int) -> tuple[Slip, ...]:
        stack = self._stack
        design, share = stack.header.design, stack.parameters.slips
        stream = stack.stream(SLIP, run)
        # Evenly over the runs: so many slips a run on the average, and in all as many as the share says.
        begun = stack.stream(SLIP).random()
        before, after = (floor(_expected(design, share, each) + begun) for each in (run, run + 1))
        count = after - before
        slips: list[Slip] = []
        order = self._stack.header.design.order_of(run)
        cells = [order[place] for place in stream.permutation(len(order))]
        kinds = [KINDS[place] for place in stream.permutation(len(KINDS))]
        while cells and len(slips) < count:
            step = cells.pop()
            for kind in kinds:
                slip = self._possible(kind, run, step)
                if slip is not None and not (kind == "knocked" and any(s.kind == kind for s in slips)):
                    slips.append(slip)
                    kinds.remove(kind)
                    kinds.append(kind)
                    break
        return tuple(slips)

    def _possible(self, kind: SlipKind, run: int, step: int) -> Slip | None:
        stack, order = self._stack, self._stack.header.design.order_of(run)
        if kind == "knocked":
            if stack.header.design.reading != "position" or not 2 <= order.index(step) <= len(order) - 3:
                return None
            stream = stack.stream(SLIP, run, step)
            size = stream.uniform(*_KNOCK) * stack.cell_deviation
            return Slip(kind, run, step, float(size if stream.integers(2) else -size))
        slip = Slip(kind, run, step)
        value = rounded(stack.reading(run, step, 0, 0), stack)
        return None if self.misread(slip, value) is None else slip


def _expected(design: Design, share: float, run: int) -> float:
    """Return how many slips are expected in the runs before a run."""
    whole = min(run, design.whole_runs)
    return whole * (share * len(design.steps)) + (run - whole) * (share * len(design.arc_steps))


def resolution_of(stack: Stack) -> float:
    """Return the resolution of the simulated instrument, in the unit."""
    return stack.header.instrument.resolution or _RESOLUTION


def rounded(value: float, stack: Stack) -> float:
    """Return a value, arc seconds, as the instrument shows it, in its unit."""
    resolution = resolution_of(stack)
    steps = round(value / stack.header.instrument.arcsec_per_unit / resolution)
    return round(steps * resolution, decimals(resolution)) + 0.0


def _swapped(value: float, resolution: float) -> float:
    """Return a value with two neighbouring digits swapped, those that differ most."""
    digits = list(f"{abs(value):.{decimals(resolution)}f}")
    places = [place for place, digit in enumerate(digits) if digit != "."]
    pairs = list(pairwise(places))
    first, second = max(pairs, key=lambda pair: abs(int(digits[pair[0]]) - int(digits[pair[1]])))
    digits[first], digits[second] = digits[second], digits[first]
    return float("".join(digits)) * (-1 if value < 0 else 1)
