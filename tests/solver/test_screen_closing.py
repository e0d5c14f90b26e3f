"""Closing misfits that no single cell is to blame for: both ends of a run a little off, each within chance.

Source: the difference of two cells has twice the variance of one; Student's t with Bonferroni's bound over the closed
runs at a tenth of the level (scipy.stats, recomputed).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from solver.adjust import adjust
from solver.deleted import Accepted
from solver.flags import Limits
from tests.solver.invented import COMPLETE
from tests.solver.test_screen import drawn

SIGMA = 0.03
RUN = 4
FIRST, LAST = RUN * 13, RUN * 13 + 12


@pytest.mark.parametrize("known", [True, False])
def test_closing_misfit_of_a_run_whose_ends_are_off_in_opposite_senses(known: bool) -> None:
    limits = Limits(accepted=Accepted(SIGMA)) if known else Limits()
    strong = set()
    for size in np.arange(3.0, 8.0, 0.1):
        given = drawn(4, COMPLETE, resolution=None)
        typed = given.readings.typed
        off = size * SIGMA / 2
        given = given.typed([FIRST, LAST], typed[[FIRST, LAST]] + [-off, off])
        adjustment, typed = adjust(given.closure, given.offset, given.cells), given.readings.typed
        misfit = typed[LAST] - typed[FIRST]
        freedom = np.inf if known else adjustment.degrees_of_freedom - 1
        left = adjustment.residual @ adjustment.residual - misfit**2 / 2
        variance = SIGMA**2 if known else left / freedom
        chance = stats.norm if known else stats.t(freedom)
        statistic, critical = abs(misfit) / np.sqrt(2 * variance), chance.isf(0.005 / 2 / 12)
        flags = given.screened(limits).flags
        if any(flag.test == "residual" for flag in flags):
            break
        assert bool(flags) == (statistic > critical)
        for flag in flags:
            assert (flag.test, flag.run, flag.step, flag.entry) == ("closing", RUN, 12, LAST + 1)
            assert flag.statistic == pytest.approx(statistic, rel=1e-9)
            assert flag.critical == pytest.approx(critical, rel=1e-9)
            assert flag.strong == (statistic > chance.isf(0.001 / 2 / 12))
            assert (flag.value, flag.predicted) == (typed[LAST], pytest.approx(typed[FIRST]))
            assert flag.deviation == pytest.approx(np.sqrt(2 * variance), rel=1e-9)
            assert flag.rivals == ((RUN, 0),)
            strong.add(flag.strong)
    assert strong == {False, True}
