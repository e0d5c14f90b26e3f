"""Worksheets filled in with anything that can be typed: worked out or refused, never a fault of the program."""

from __future__ import annotations

import contextlib
import random

import pytest

from sessions.worksheets import WORKSHEETS
from sessions.worksheets.filling import Filling
from sessions.worksheets.sheet import Worksheet
from solver.refused import Refused
from tests.sessions.kit import example_header

TYPED = ("0", "1", "-1", "2", "4", "8", "90", "0.00001", "999999999999", "-999999999999", "123456", "324000")
TYPED += ("-648000", "0.01", "100", "3", "360", "-0.5", "0.000000000001", "x", "", "", "")


@pytest.mark.parametrize("worksheet", WORKSHEETS, ids=lambda worksheet: worksheet.name)
def test_anything_typed_is_worked_out_or_refused(worksheet: Worksheet) -> None:
    chance = random.Random(1)
    worked = refused = 0
    for _ in range(80):
        filling = Filling(worksheet, example_header())
        for _ in range(chance.randrange(4, 30)):
            try:
                filling.enter(chance.choice(TYPED))
            except Refused:
                refused += 1
                with contextlib.suppress(Refused):
                    filling.enter(chance.choice("14"))
        try:
            outcome = filling.outcome
            worked += outcome.verdict is not None or bool(outcome.lines)
        except Refused:
            refused += 1
    assert worked
    assert refused
