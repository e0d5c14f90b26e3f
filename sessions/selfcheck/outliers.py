"""Outlier tests: Grubbs, Cochran, the critical range."""

from __future__ import annotations

from functools import partial

import numpy as np

from sessions.selfcheck.check import Check
from sessions.selfcheck.tables import column, table
from solver.repeats import cochran_critical, critical_range_factor, grubbs, grubbs_critical

_TOPIC = "Outliers among repeats"
_LEVELS = (("5 %", 0.05, "5pct"), ("1 %", 0.01, "1pct"))
_NIST = "NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1, read in copies and recomputed"


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    return (*_grubbs(), _cochran(), _range())


def _grubbs() -> tuple[Check, ...]:
    lines = table("grubbs_critical")
    cells = [
        (int(line["n"]), words, level, float(line[f"two_sided_{heading}"]))
        for words, level, heading in _LEVELS
        for line in lines
    ]
    nist = partial(Check, _TOPIC, source=_NIST, mark="read")
    masses = column("grubbs_uranium_8", "x")
    return (
        Check(
            _TOPIC,
            "Grubbs, two-sided critical",
            "two table copies; as ISO 5725-2, table 5, from memory",
            "read",
            "solver.repeats.grubbs_critical",
            {f"n = {n}, {words}": value for n, words, _, value in cells},
            1e-3,
            lambda: [grubbs_critical(n, level) for n, _, level, _ in cells],
        ),
        nist(
            "Grubbs, statistic of 8 masses",
            function="solver.repeats.grubbs",
            expected={"": 2.4687646},
            tolerance=5e-8,
            obtain=lambda: grubbs(masses)[0],
        ),
        nist(
            "the outlier among the 8 masses",
            function="solver.repeats.grubbs",
            expected={"": 245.57},
            tolerance=0,
            obtain=lambda: masses[grubbs(masses)[1]],
        ),
        nist(
            "Grubbs, one-sided critical, 8",
            function="solver.repeats.grubbs_critical",
            expected={"": 2.0316520},
            tolerance=5e-8,
            obtain=lambda: grubbs_critical(8, two_sided=False),
        ),
    )


def _cochran() -> Check:
    cells = [
        (int(line["groups"]), int(line["replicates"]), words, level, float(line[f"critical_{heading}"]))
        for words, level, heading in _LEVELS
        for line in table("cochran_critical")
        if line[f"critical_{heading}"]
    ]
    return Check(
        _TOPIC,
        "Cochran, critical values",
        "table copies; as ISO 5725-2, table 4, from memory",
        "read",
        "solver.repeats.cochran_critical",
        {f"{groups} groups of {count}, {words}": value for groups, count, words, _, value in cells},
        6e-4,
        lambda: [cochran_critical(groups, count, level) for groups, count, _, level, _ in cells],
        note="the table copies differ from the F quantile by as much as the tolerance",
    )


def _range() -> Check:
    factors = column("critical_range_factor", "factor")
    counts = np.arange(2, 2 + len(factors))
    return Check(
        _TOPIC,
        "critical range factor, 95 %",
        "ISO 5725-6; every value recomputed from the studentized range",
        "memory",
        "solver.repeats.critical_range_factor",
        {f"n = {n}": float(factor) for n, factor in zip(counts, factors, strict=True)},
        0.05,
        lambda: [critical_range_factor(int(n)) for n in counts],
    )
