"""The state of the air as typed at the bench; the ranges are common practice, no source."""

from __future__ import annotations

import pytest

from sessions.air import EXAMPLE, Air, read_air, wrong_air
from solver.refused import Refused


@pytest.mark.parametrize(
    ("typed", "air"),
    [
        (EXAMPLE, Air(20.1, 1013.0, 45.0)),
        ("20,1 - 45", Air(20.1, None, 45.0)),
        ("- − - sun on the wall", Air(None, None, None, "sun on the wall")),
        ("-5 860 0", Air(-5.0, 860.0, 0.0)),
    ],
)
def test_what_is_typed_is_read(typed: str, air: Air) -> None:
    assert read_air(typed) == air
    assert wrong_air(typed) == ""


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("20.1", "three values"),
        ("20.1 1013", "three values"),
        ("warm 1013 45", "“warm” is not a number"),
        ("2000 1013 45", "temperature of 2000 °C"),
        ("20.1 45 1013", "pressure of 45 hPa"),
        ("20.1 1013 130", "humidity of 130 %"),
        ("- - -", "nothing is known"),
    ],
)
def test_what_makes_no_sense_is_refused_with_the_remedy(typed: str, said: str) -> None:
    with pytest.raises(Refused, match=said):
        read_air(typed)
    assert said in wrong_air(typed)
