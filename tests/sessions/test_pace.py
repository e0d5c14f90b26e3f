"""The time that is left."""

from datetime import UTC, datetime, timedelta

from sessions.pace import duration_words, seconds_left

START = datetime(2026, 3, 2, 8, tzinfo=UTC)


def moments(*seconds: float) -> list[datetime]:
    return [START + timedelta(seconds=value) for value in seconds]


def test_short_repeats_count_in_their_proportion() -> None:
    assert seconds_left(moments(0, 5, 45, 50, 90, 95), 10) == 10 * (5 + 40 + 5 + 40 + 5) / 5


def test_a_pasted_column_has_no_pace() -> None:
    assert seconds_left(moments(*[0] * 13), 26) is None
    assert seconds_left(moments(0, 0, 0, 0, 20, 40), 10) == 200


def test_a_break_is_left_aside() -> None:
    assert seconds_left(moments(0, 20, 40, 4000, 4020), 10) == 200


def test_no_pace_from_two_readings() -> None:
    assert seconds_left(moments(0, 20), 10) is None


def test_a_clock_set_back_makes_no_negative_time() -> None:
    assert seconds_left(moments(100, 0, 0, 0), 5) is None
    assert seconds_left(moments(100, 0, 20, 40), 5) == 100


def test_words() -> None:
    assert [duration_words(s) for s in (10, 1500, 7200, 7800)] == [
        "under a minute",
        "25 min",
        "2 h",
        "2 h 10 min",
    ]
