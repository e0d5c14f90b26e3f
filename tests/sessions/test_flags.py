"""Flags in words, with the number behind them."""

import pytest

from sessions.design import Design
from sessions.equipment import Instrument
from sessions.flags import acceptable, flag_words
from sessions.header import Header
from solver.flags import Flag

HEADER = Header(
    design=Design(positions=12, offsets=(0, 1)), instrument=Instrument(range=150.0, resolution=0.01)
)


def flag(**fields: object) -> Flag:
    base = {
        "run": 2,
        "step": 7,
        "entry": 91,
        "test": "residual",
        "statistic": 36.0,
        "critical": 4.0,
        "strong": True,
        "value": -0.31,
        "predicted": 0.31,
        "deviation": 0.05,
    }
    return Flag(**{**base, **fields})


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            {"suggestion": "sign", "suggested_value": 0.31, "suggested_typed": 0.31},
            "+0.31 expected, −0.31 typed: 9.0× chance; fits with the sign changed",
        ),
        ({}, "+0.31 expected, −0.31 typed: 9.0× chance"),
        ({"statistic": 96.0}, "+0.31 expected, −0.31 typed: 24× chance"),
        ({"test": "repeats"}, "−0.31 typed, +0.31 by repeats: 9.0× chance"),
        ({"test": "repeats", "predicted": None}, "repeats differ: 9.0× chance"),
        ({"value": -0.001, "predicted": 0.4}, "+0.40 expected, 0.00 typed: 9.0× chance"),
        ({"statistic": 4.08}, "+0.31 expected, −0.31 typed: 1.02× chance"),
        ({"test": "range", "value": 151.2}, "+151.20 typed, beyond the range of ±150"),
        ({"test": "resolution", "value": 0.315}, "0.315 typed, not a multiple of 0.01"),
        (
            {"suggestion": "decimal", "suggested_typed": 1.52},
            "+0.31 expected, −0.31 typed: 9.0× chance; fits as +1.52, the point moved",
        ),
        (
            {"test": "closing", "suggestion": "jump", "jump": 0.8},
            "closing misfit: 9.0× chance; fits a mirror knocked before step 7 by +0.80",
        ),
        (
            {"suggestion": "run shifted", "moved": (1, -1)},
            "run 2 fits with the lower 1 position on and the upper 1 position back: 9.0× chance",
        ),
    ],
)
def test_words(given: dict[str, object], said: str) -> None:
    assert flag_words(flag(**given), HEADER, decimals=2, where=False) == said


def test_the_place_comes_first_and_the_kind_of_slip_may_be_left_out() -> None:
    given = flag(suggestion="digits", suggested_typed=1.27, value=1.72, predicted=1.25)
    assert flag_words(given, HEADER, decimals=2, short=True) == (
        "run 2 step 7: +1.25 expected, +1.72 typed: 9.0× chance; fits as +1.27"
    )


def test_other_cells_that_may_be_bad_instead_are_named() -> None:
    given = flag(rivals=((0, 3), (1, 4), (1, 5)))
    assert flag_words(given, HEADER, decimals=2).endswith("; or it is run 0 step 3 or run 1 step 4")
    assert "or it is" not in flag_words(given, HEADER, decimals=2, short=True)


@pytest.mark.parametrize(
    ("suggestion", "typed", "meant", "may"),
    [
        ("sign", -0.31, 0.31, True),
        ("decimal", 15.2, 1.52, True),
        ("digits", 1.72, 1.27, True),
        ("doubled digit", 1.552, 1.52, True),
        ("dropped digit", 1.5, 1.52, False),
        ("decimal", 0.02, 1.53, False),
        ("neighbour", 3.48, 7.99, False),
        ("run shifted", 3.48, None, False),
    ],
)
def test_only_what_follows_from_the_digits_typed_may_be_taken(
    suggestion: str, typed: float, meant: float | None, may: bool
) -> None:
    assert acceptable(flag(suggestion=suggestion, value=typed, suggested_typed=meant), HEADER) is may


def test_numbers_are_said_in_the_unit_typed() -> None:
    header = Header(design=HEADER.design, instrument=Instrument(unit="urad"))
    given = flag(value=-0.206264806247, predicted=0.206264806247)
    assert flag_words(given, header, decimals=2, where=False).startswith("+1.00 expected, −1.00 typed")
