"""Whatever a table holds and whatever is said of it: understood or refused with a remedy, never anything else."""

from __future__ import annotations

import random
from typing import Any

from sessions.import_table import understand
from sessions.import_wanted import Wanted
from sessions.import_words import note_words
from solver.refused import Refused

CELLS = (
    *(
        "",
        "0",
        "1",
        "2",
        "3",
        "12",
        "0,12",
        "-0.5",
        "1 234",
        "step",
        "offset 0",
        "offset 1",
        "run 0 offset 1",
        "30°",
    ),
    *(
        "0°",
        "closing",
        "3 closing",
        "n/a",
        '"a',
        '"x;y"',
        "1e5",
        "−1",
        "mean",
        "22.5",
        "0.12",
        "90",
        "180",
        "270",
    ),
    *("forward", "offset 2 return", "step (3 positions)", "angle"),
)
SAID: dict[str, tuple[Any, ...]] = {
    "positions": (None, None, 1, 2, 3, 4),
    "closing": (None, True, False),
    "offsets": ("", "", "0 1", "all", "0"),
    "header": (None, None, True, False),
    "steps": (None, None, True, False),
    "repeats": (None, None, 1, 2),
    "repeated": (None, None, "rows", "columns"),
    "closure": (None, None, "single", "dual"),
    "reading": (None, None, "position", "interval"),
    "direction": (None, None, "forward", "forward and return"),
    "decimal": (None, ".", ","),
    "cells": ("", "", "A1:B3"),
}


def test_any_table() -> None:
    chance = random.Random(3)
    understood = refusals = 0
    for _ in range(6000):
        delimiter, end = chance.choice(",;\t"), chance.choice(["\n", "\r\n"])
        rows, columns = chance.randint(0, 7), chance.randint(1, 4)
        cell = [
            [
                chance.choice(CELLS) if chance.random() < 0.4 else str(row) if column == 0 else "1.5"
                for column in range(columns)
            ]
            for row in range(rows)
        ]
        text = end.join(delimiter.join(row) for row in cell)
        wanted = Wanted(**{key: chance.choice(values) for key, values in SAID.items()})
        try:
            found = understand(text.encode(), "t.csv", wanted, {})
        except Refused as refused:
            refusals += 1
            assert refused.remedy, (text, wanted)
        else:
            understood += 1
            assert note_words(found, "x")
            plan = found.header.design
            for reading in found.readings:
                assert 0 <= reading.run < plan.run_count
                assert reading.step in range(plan.first_step, plan.positions + 1)
    assert min(understood, refusals) > 50
