"""Coverage factors and quantiles."""

from __future__ import annotations

from sessions.selfcheck.check import Check
from sessions.selfcheck.tables import table
from solver.coverage import coverage_factor
from solver.quantile import fisher

_TOPIC = "Coverage factors and quantiles"
_SOURCE = "JCGM 100 (GUM), table G.2, read as NIST TN 1297, table B.1"

#: In this cell the copy has 1.70; the quantile is 1.69.
_MISPRINT = (35.0, 0.90)

#: The table's 68.27, 95.45 and 99.73 % stand for 1, 2 and 3 standard deviations and are cut to four digits, which
#: shows most in this cell.
_STEEP = (1.0, 0.9973)


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    cells = [
        (float(line["nu"]), float(heading.removesuffix("_percent")) / 100, printed)
        for line in table("student_t_table_g2")
        for heading, printed in line.items()
        if heading != "nu"
    ]
    kept = [cell for cell in cells if not _close(cell, _MISPRINT)]
    fine = [cell for cell in kept if len(cell[2].partition(".")[2]) == 3]
    steep = [cell for cell in kept if _close(cell, _STEEP)]
    coarse = [cell for cell in kept if cell not in fine and cell not in steep]
    return (
        _students("Student's t, two decimals", coarse, 5e-3, "ν = 35 at 90 % is left out: a misprint"),
        _students("Student's t, three decimals", fine, 5e-4),
        _students("Student's t", steep, 0.05, "99.73 % is rounded, which matters at ν = 1"),
        Check(
            _TOPIC,
            "F quantile, 95 %",
            "JCGM 100 (GUM), H.5; the quantile recomputed",
            "recomputed",
            "solver.quantile.fisher",
            {"ν = 9 and 40": 2.124029},
            5e-7,
            lambda: fisher(0.05, 9, 40),
        ),
    )


def _close(cell: tuple[float, float, str], to: tuple[float, float]) -> bool:
    return cell[0] == to[0] and abs(cell[1] - to[1]) < 1e-9


def _students(name: str, cells: list[tuple[float, float, str]], tolerance: float, note: str = "") -> Check:
    return Check(
        _TOPIC,
        name,
        _SOURCE,
        "read",
        "solver.coverage.coverage_factor",
        {f"ν = {freedom:g}, {100 * share:.4g} %": float(printed) for freedom, share, printed in cells},
        tolerance,
        lambda: [coverage_factor(freedom, share) for freedom, share, _ in cells],
        note=note,
    )
