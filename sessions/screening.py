"""The readings of a session screened: what is suspect, by what the header says of instrument and circles."""

from __future__ import annotations

import numpy as np

from sessions.header import Header
from sessions.matrix import Snapshot
from sessions.reading_table import KEPT, STRUCK
from solver.adjust import Adjustment
from solver.cells import Cells
from solver.closure import Ints
from solver.deleted import Accepted
from solver.flags import Limits, Readings, Screening
from solver.screen import screen


def screen_snapshot(snapshot: Snapshot, cells: Cells, group: Ints, adjustment: Adjustment) -> Screening:
    """Screen the readings of a snapshot.

    Parameters
    ----------
    snapshot : Snapshot
        The readings.
    cells, group, adjustment
        Filled cells in arc seconds, their groups and their adjustment.
    """
    columns = snapshot.columns
    counts = columns.status != STRUCK
    readings = Readings(
        run=columns.run[counts],
        step=columns.step[counts],
        typed=columns.value[counts],
        number=columns.number[counts],
        kept=columns.status[counts] == KEPT,
    )
    return screen(adjustment, adjustment.runs, cells, readings, limits(snapshot.header), group)


def limits(header: Header) -> Limits:
    """Return what a header says of instrument and circles."""
    instrument = header.instrument
    accepted = None
    if instrument.accepted_sd is not None:
        freedom = instrument.accepted_sd_dof
        accepted = Accepted(
            instrument.accepted_sd * instrument.arcsec_per_unit, np.inf if freedom is None else freedom
        )
    return Limits(
        unit=instrument.arcsec_per_unit,
        resolution=instrument.resolution,
        range=instrument.range,
        lower=header.lower.tolerance,
        upper=None if header.upper is None else header.upper.tolerance,
        accepted=accepted,
        repeats=header.design.repeats,
        planned=header.design.planned_cells,
    )
