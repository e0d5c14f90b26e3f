"""A handbook's Latin square, taken as a session: typed, written to a file, read from it, solved."""

from __future__ import annotations

from functools import cached_property, partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from sessions.analysis import Analysis, analyse
from sessions.design import Design
from sessions.header import Header
from sessions.result import result
from sessions.selfcheck.check import Check
from sessions.selfcheck.tables import table
from sessions.session import Session

_N = 5
_TOPIC = "Session file to results"
_SOURCE = (
    "Montgomery, Design and Analysis of Experiments, rocket-propellant Latin square, 5 × 5; data read in two course "
    "copies, results recomputed with statsmodels"
)
_MISSING = "the same data without row 3, column 2; missing-plot formula of Allan and Wishart (1930)"
_PATH = "sessions.session.Session, sessions.analysis.analyse, sessions.result.result"


class _Square:
    """The example as a session in a temporary folder, solved as it stands in the file, once.

    A cyclic Latin square is a complete dual closure by "position": row is the step, column the upper position,
    treatment the offset.
    """

    @cached_property
    def _both(self) -> tuple[tuple[dict[str, Any], Analysis], tuple[dict[str, Any], Analysis]]:
        design = Design(_N, tuple(range(_N)), closing=False)
        with TemporaryDirectory(prefix="fullturn-", ignore_cleanup_errors=True) as folder:
            path = Path(folder) / "latin-square.toml"
            with Session.create(path, Header(design=design, title="Latin square 5 × 5")) as session:
                for line in table("latin_square_5x5"):
                    row, column = int(line["row"]) - 1, int(line["col"]) - 1
                    reading = session.take((row + column) % _N, row, float(line["y"]))
                    if (row, column) == (2, 1):
                        left_out = reading.number
            whole = _solved(path)
            with Session.open(path) as session:
                session.strike(left_out, "left out on purpose")
            return whole, _solved(path)

    @property
    def whole(self) -> dict[str, Any]:
        """The result with all 25 cells."""
        return self._both[0][0]

    @property
    def without(self) -> dict[str, Any]:
        """The result with the reading of row 3, column 2 struck."""
        return self._both[1][0]

    def errors(self, circle: str, name: str) -> list[float]:
        """Return values of a circle."""
        return list(self.whole["circles"][circle][name])

    def constants(self) -> list[float]:
        """Return the constants of the runs about their mean."""
        constants = np.array([run["constant"] for run in self.whole["runs"]])
        return list(constants - constants.mean())

    def predicted(self) -> float:
        """Return what the other cells predict in row 3, column 2."""
        run = np.array([3])
        return float(self._both[1][1].adjustment.predict(run, np.array([2]), run).value[0])


def _solved(path: Path) -> tuple[dict[str, Any], Analysis]:
    with Session.read(path) as session:
        snapshot = session.matrix.snapshot()
        analysis = analyse(snapshot)
        return result(snapshot, analysis, session.entries), analysis


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    square = _Square()
    one = partial(Check, _TOPIC, source=_SOURCE, mark="recomputed", function=_PATH)
    gap = partial(Check, _TOPIC, source=_MISSING, mark="recomputed", function=_PATH)
    rows = dict(zip(("row 1", "row 2", "row 3", "row 4", "row 5"), (-3.2, 1.4, 0.6, 0.2, 1.0), strict=True))
    columns = dict(zip((f"column {j}" for j in range(1, 6)), (-4.0, 3.2, -1.2, 0.6, 1.4), strict=True))
    treatments = dict(zip("ABCDE", (3.2, -5.2, -3.0, 4.4, 0.6), strict=True))
    return (
        one(
            "row effects, lower circle",
            expected=rows,
            tolerance=1e-9,
            obtain=lambda: square.errors("lower", "position_error"),
        ),
        one(
            "column effects, upper circle",
            expected=columns,
            tolerance=1e-9,
            obtain=lambda: square.errors("upper", "position_error"),
        ),
        one(
            "treatment effects, runs",
            expected=treatments,
            tolerance=1e-9,
            obtain=square.constants,
        ),
        one(
            "sums of squares",
            expected={"rows": 68, "columns": 150, "treatments": 330, "error": 128},
            tolerance=1e-9,
            obtain=lambda: [
                *(
                    _N * float(np.sum(np.square(effects)))
                    for effects in (
                        square.errors("lower", "position_error"),
                        square.errors("upper", "position_error"),
                        square.constants(),
                    )
                ),
                square.whole["standard_deviation"] ** 2 * square.whole["degrees_of_freedom"],
            ],
        ),
        one(
            "degrees of freedom",
            expected={"": 12},
            tolerance=0,
            obtain=lambda: square.whole["degrees_of_freedom"],
        ),
        one(
            "standard deviation of a cell",
            expected={"": 3.265986},
            tolerance=5e-7,
            obtain=lambda: square.whole["standard_deviation"],
        ),
        one(
            "uncertainty of an effect",
            expected=dict.fromkeys((*rows, *columns), 1.306395),
            tolerance=5e-7,
            obtain=lambda: [
                each
                for circle in ("lower", "upper")
                for each in square.errors(circle, "standard_uncertainty")
            ],
        ),
        one(
            "uncertainty of a difference",
            expected=dict.fromkeys([*rows][1:] + [*columns][1:], 2.065591),
            tolerance=5e-7,
            obtain=lambda: [
                each
                for circle in ("lower", "upper")
                for each in square.errors(circle, "from_first_standard_uncertainty")[1:]
            ],
        ),
        gap(
            "one missing: predicted value",
            expected={"": 28.833333},
            tolerance=5e-7,
            obtain=square.predicted,
        ),
        gap(
            "one missing: sum of squares",
            expected={"": 87.666667},
            tolerance=5e-7,
            obtain=lambda: square.without["standard_deviation"] ** 2 * square.without["degrees_of_freedom"],
        ),
        gap(
            "one missing: degrees of freedom",
            expected={"": 11},
            tolerance=0,
            obtain=lambda: square.without["degrees_of_freedom"],
        ),
    )
