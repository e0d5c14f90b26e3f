"""Agreement of laboratories, and the risk of a decision."""

from __future__ import annotations

import numpy as np

from sessions.selfcheck.check import Check
from sessions.selfcheck.tables import column, table
from solver.comparison import e_n
from solver.decision import Verdict, decide, probability_outside

_TOPIC = "Comparison and decision"
_COMPARED = {"KRISS": -0.849696, "LGC": 0.620891, "NIM": 0.779848, "LNE": 1.582685}


def checks() -> tuple[Check, ...]:
    """Return the checks of this topic."""
    laboratories = [line["lab"] for line in table("en_9_laboratories")]
    value, expanded = (column("en_9_laboratories", heading) for heading in ("value_mg_kg", "U"))
    rows = [laboratories.index(each) for each in _COMPARED]
    return (
        Check(
            _TOPIC,
            "E_n against NMIJ",
            "key comparison CCQM-K30, values read; formula of ISO/IEC 17043",
            "recomputed",
            "solver.comparison.e_n",
            _COMPARED,
            5e-7,
            lambda: e_n(value - value[1], expanded, expanded[1])[rows],
        ),
        Check(
            _TOPIC,
            "risk at the guarded limit, k = 2",
            "the normal tail beyond 2; ILAC-G8:09/2019, guard band w = U: below 2.5 %, read as quoted",
            "recomputed",
            "solver.decision.decide",
            {"": 0.0227501},
            5e-8,
            _guarded,
        ),
        Check(
            _TOPIC,
            "risk without a guard band",
            "ILAC-G8:09/2019: up to 50 %, read as quoted",
            "read",
            "solver.decision.probability_outside",
            {"": 0.5},
            1e-12,
            lambda: probability_outside(1.0, 1.0, 0.01),
        ),
    )


def _guarded() -> float:
    """Return the risk stated with a value accepted at the very edge of the guarded limit, k = 2."""
    one = np.array([0.8])
    found = decide(one, np.array([0.2]), 1.0, np.array([0.1]), np.array([np.inf]))
    return found.risk if found.verdict is Verdict.CONFORMS else np.nan
