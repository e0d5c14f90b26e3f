"""The walk through the principle: a few pages, every number of them from a small simulated example."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sessions.practice.principle import SCATTER, N, Principle
from solver.closure import Floats
from tui.widgets.formats import plain, signed
from tui.widgets.marks import Characters

#: A line: pieces of text, each with its style.
Line = tuple[tuple[str, str], ...]

_MARGIN = "    "
_CELL = 11
#: Positions for which nobody reads a complete closure gladly.
_MANY = 36


@dataclass(frozen=True, slots=True)
class Page:
    """A heading, paragraphs and figures; `chosen` says whether an interval can be chosen on it."""

    heading: str
    blocks: tuple[str | tuple[Line, ...], ...]
    chosen: bool = False


class Walk:
    """The pages.

    Parameters
    ----------
    example : Principle
        The simulated example.
    signs : Characters
        The set of characters.
    interval : int
        The interval, 1 to 4, whose readings are marked.
    """

    def __init__(self, example: Principle, signs: Characters, interval: int) -> None:
        self._example = example
        self._signs = signs
        self._interval = interval
        self._pages: tuple[Callable[[], Page], ...] = (
            self._nobody_knows,
            self._the_circle_closes,
            self._one_reading,
            self._sixteen,
            self._four_times_upper,
            self._four_times_lower,
            self._scatter,
            self._at_the_bench,
        )

    def __len__(self) -> int:
        return len(self._pages)

    def page(self, number: int) -> Page:
        """Return a page, from 0."""
        return self._pages[number]()

    def _nobody_knows(self) -> Page:
        return Page(
            "Two circles that nobody knows",
            (
                "An index table stops at positions that should be equally far apart, and are so only nearly. How "
                "far off is each? A better table would tell, but somebody had to calibrate that one too.",
                (
                    _bold("    mirror        faces the autocollimator, which reads small angles"),
                    _bold("    upper table   turned back by one interval at each step"),
                    _bold("    lower table   turned forward by one interval at each step"),
                ),
                "Circle closure needs no better table. Put one unknown table on another, with a mirror on top. Step "
                "the lower one forward and the upper one back: the mirror stays where it was, but for the errors "
                "of both. Out of such readings come the errors of both tables, each by itself.",
                "Here is how, with two tables of four positions, 90° apart.",
            ),
        )

    def _the_circle_closes(self) -> Page:
        figure = (
            self._row("interval", [str(j) for j in range(1, N + 1)], "sum"),
            self._row("lower", self._numbers(self._example.lower), self._sum(self._example.lower)),
            self._row("upper", self._numbers(self._example.upper), self._sum(self._example.upper)),
        )
        return Page(
            "A circle closes on itself",
            (
                "Four intervals make a full turn, 360° exactly, whatever the table is like. What one interval has "
                "too much the others have too little: the interval errors of a whole circle sum to zero. This is "
                "the only thing that is known beforehand, and it is enough.",
                f"The errors of our two tables, {self._signs.arcsec}:",
                figure,
                "At the bench nobody sees these. We shall find them from readings alone.",
            ),
        )

    def _one_reading(self) -> Page:
        example, met = self._example, int(self._example.met[0, 0])
        value = self._number(example.exact[0, 0])
        lower, upper = self._number(example.lower[0]), self._number(example.upper[met - 1])
        return Page(
            "One reading says little",
            (
                f"Zero the instrument. Step the lower table forward by its interval 1, the upper one back by its "
                f"interval {met}. The mirror is turned by one interval forward and by another one back, so the "
                "instrument reads what the one has more than the other:",
                (
                    _bold(f"    reading  =  error of lower 1  -  error of upper {met}"),
                    (("", f"    {value:>7}  =  {lower:>16}  - ({upper})"),),
                ),
                "There is one reading, and there are two unknown errors. It says nothing of either.",
            ),
        )

    def _sixteen(self) -> Page:
        return Page(
            "Sixteen readings",
            (
                "So go all the way round, four steps. Then shift the upper table by one position and go round "
                "again, until all four offsets are done. By then every interval of the lower table was read "
                "against every interval of the upper one, just once. In brackets: the upper interval.",
                self._matrix(self._example.exact, lambda _t, _k: False),
                "Rows are steps, the lower interval. Columns are runs, one at each offset.",
            ),
        )

    def _four_times_upper(self) -> Page:
        example, j = self._example, self._interval
        runs, true = example.with_upper(j), self._number(example.upper[j - 1])
        four = example.exact[np.arange(N), runs]
        total = self._number(four.sum())
        return Page(
            "Four of them sum to four times one error",
            (
                f"Take the four readings that hold upper interval {j}. There is one in each row, so each lower "
                "interval is among them once:",
                self._matrix(example.exact, lambda t, k: runs[t] == k),
                (
                    _bold(f"    {self._added(four)}  =  {total}"),
                    (("", f"    = (sum of all lower errors) - 4 x upper {j}  =  0 - 4 x upper {j}"),),
                    _bold(f"    upper {j}  =  {total} / -4  =  {self._number(four.sum() / -N)}"),
                ),
                f"The lower table has dropped out, since a circle closes. True is {true}.",
            ),
            chosen=True,
        )

    def _four_times_lower(self) -> Page:
        example, t = self._example, self._interval
        four = example.exact[t - 1]
        total = self._number(four.sum())
        whole = self._number(example.exact.sum())
        return Page(
            "The other circle in the same way",
            (
                f"The four readings of step {t} hold lower interval {t} each time, and every upper interval once:",
                self._matrix(example.exact, lambda row, _k: row == t - 1),
                (
                    _bold(f"    {self._added(four)}  =  {total}"),
                    (("", f"    = 4 x lower {t} - (sum of all upper errors)  =  4 x lower {t} - 0"),),
                    _bold(f"    lower {t}  =  {total} / 4  =  {self._number(four.sum() / N)}"),
                ),
                f"True is {self._number(example.lower[t - 1])}. All sixteen readings together sum to {whole}: both "
                "circles close.",
            ),
            chosen=True,
        )

    def _scatter(self) -> Page:
        example = self._example
        solved = example.solved()
        upper = solved.upper
        deviation = solved.standard_deviation
        pairs = [("lower", example.lower, solved.lower)]
        if upper is not None:
            pairs.append(("upper", example.upper, upper))
        lines: list[Line] = [self._row("interval", [str(j) for j in range(1, N + 1)])]
        for name, true, circle in pairs:
            lines.append(self._row(f"{name}, true", self._numbers(true, 3)))
            lines.append(self._row("solved", self._numbers(circle.interval.value, 3), bold=True))
        uncertainty = plain(deviation * float(solved.lower.interval.root[0]), 3, self._signs)
        return Page(
            "With scatter",
            (
                f"No reading is exact. These are the same readings with a scatter of {SCATTER:g}{self._signs.arcsec}. "
                f"All sixteen now sum to {self._number(example.scattered.sum(), 2)} instead of zero. The adjustment "
                "finds the errors that close and fit all readings best:",
                tuple(lines),
                f"Sixteen readings for {solved.rank} unknowns leave {solved.degrees_of_freedom} to spare. From what "
                f"is left over comes the scatter, {plain(deviation, 3, self._signs)}{self._signs.arcsec} by these "
                f"readings, and from that the standard uncertainty of each error, {uncertainty}{self._signs.arcsec}: "
                f"a reading's own, divided by the root of {N * N}/{N - 1}. And they check each other, so that a bad "
                "one shows.",
            ),
        )

    def _at_the_bench(self) -> Page:
        return Page(
            "At the bench",
            (
                "One need not zero before every step. Read by position, nothing is touched in a run: each reading "
                "belongs to one position of each table, and the run has a constant of its own, which the "
                "adjustment takes out. A reading more, back at the start, shows whether something drifted.",
                f"Nor does one need every offset. Tables of {_MANY} positions would take {_MANY**2:,} readings. A few "
                "offsets, well chosen, determine both circles too, with readings to spare; the planner says which, "
                "and what they give. This is a partial closure.",
                "Now try it: the menu has a calm bench, an ordinary one, and one with an assistant who makes slips. "
                "Set what the prompt says, read the instrument, type.",
            ),
        )

    # Figures

    def _number(self, value: float, decimals: int = 1) -> str:
        return signed(float(value), decimals, self._signs)

    def _numbers(self, values: Floats, decimals: int = 1) -> list[str]:
        return [self._number(value, decimals) for value in values]

    def _sum(self, values: Floats) -> str:
        return self._number(values.sum())

    def _added(self, values: Floats) -> str:
        """Return a sum written out: the first value with its sign, the others with theirs between."""
        first, *others = values
        written = self._number(first)
        for value in others:
            sign = self._signs.minus if value < 0 else "+"
            written += f" {sign} {plain(abs(float(value)), 1, self._signs)}"
        return written

    def _row(self, name: str, cells: list[str], last: str = "", *, bold: bool = False) -> Line:
        line = f"{_MARGIN}{name:<12}" + "".join(f"{cell:>9}" for cell in cells)
        return ((("bold" if bold else ""), f"{line}{last:>10}"),)

    def _matrix(self, readings: Floats, marked: Callable[[int, int], bool]) -> tuple[Line, ...]:
        heading = f"{_MARGIN}{'':8}" + "".join(f"{f'run {k}':>{_CELL}} " for k in range(N))
        lines: list[Line] = [(("dim", heading),)]
        for t in range(N):
            pieces = [("dim", f"{_MARGIN}step {t + 1}  ")]
            for k in range(N):
                words = f"{self._number(readings[t, k])} ({self._example.met[t, k]})"
                mark = marked(t, k)
                pieces.append(("bold reverse" if mark else "", f"{'*' if mark else ' '}{words:>{_CELL - 1}}"))
                pieces.append(("", " "))
            lines.append(tuple(pieces))
        return tuple(lines)


def _bold(text: str) -> Line:
    return (("bold", text),)
