"""The header: what may stand in it, what need not, and what is refused by name."""

import copy
import tomllib
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sessions.blocks import header_text
from sessions.design import ARRANGEMENTS, DIRECTIONS, DRIFTS, READINGS, Design, Run
from sessions.equipment import CIRCLE_KINDS, UNITS, Circle, Instrument
from sessions.header import KNOWN, Header, header_table, read_header
from solver.refused import Refused
from tests.sessions.kit import DESIGN_EXAMPLE, example_header

LEAST = {"format": "fullturn session", "version": 1, "design": {"positions": 12, "offsets": [0, 1, 4]}}


def table_with(path: str, value: object, table: dict | None = None) -> dict:
    changed = copy.deepcopy(header_table(example_header()) if table is None else table)
    part, _, key = path.rpartition(".")
    (changed.setdefault(part, {}) if part else changed)[key] = value
    return changed


def refused(table: dict) -> Refused:
    with pytest.raises(Refused) as caught:
        read_header(table)
    return caught.value


def test_example_of_the_design_document_is_read_to_the_letter() -> None:
    table = tomllib.loads(DESIGN_EXAMPLE)
    del table["entry"]
    header = read_header(table)
    assert header.design == Design(12, (0, 1, 4), repeats=2)
    assert header.lower == Circle("index table", "HT-04", "1", 0.25)
    assert header.upper == Circle("index table")
    assert header.instrument == Instrument("autocollimator", "arcsec", 0.01, 150.0, 1, 0.05, 20.0)
    assert header.title == "HT-04 against HT-11, 30 degree steps"
    assert header.created == datetime(2026, 3, 2, 8, 41, tzinfo=UTC)


def test_only_format_version_positions_and_offsets_are_needed() -> None:
    header = read_header(LEAST)
    assert header == Header(Design(12, (0, 1, 4)))
    assert header.design.closing
    assert header.instrument.polarity == 1
    for missing in ("format", "version", "design"):
        assert missing in str(refused({key: value for key, value in LEAST.items() if key != missing}))
    for missing in ("positions", "offsets"):
        design = {key: value for key, value in LEAST["design"].items() if key != missing}
        assert refused(LEAST | {"design": design}).where == f"design.{missing}"


def test_single_closure_needs_no_upper_circle_and_reads_intervals() -> None:
    header = read_header(table_with("design.closure", "single", LEAST))
    assert header.upper is None
    assert header.design.reading == "interval"
    assert not header.design.model(1).dual
    assert read_header(header_table(header)) == header
    assert refused(
        table_with("design.reading", "position", table_with("design.closure", "single", LEAST))
    ).where == ("design.reading")


def test_closing_means_nothing_by_interval() -> None:
    design = LEAST["design"] | {"reading": "interval", "closing": True}
    header = read_header(LEAST | {"design": design})
    assert header.design.steps == range(1, 13)
    assert header.design.planned_cells == 36


@pytest.mark.parametrize("closure", ["dual", "single"])
def test_forward_and_return_goes_with_position_only(closure: str) -> None:
    design = LEAST["design"] | {"closure": closure, "reading": "interval", "direction": "forward and return"}
    assert refused(LEAST | {"design": design}).where == "design.direction"


def test_runs_are_numbered_forward_then_return() -> None:
    design = Design(12, (4, 1), direction="forward and return")
    assert design.runs == (
        Run(0, 4, "forward"),
        Run(1, 4, "return"),
        Run(2, 1, "forward"),
        Run(3, 1, "return"),
    )
    assert design.run_count == 4
    assert design.planned_cells == 4 * 13


@pytest.mark.parametrize(
    ("reading", "closing", "steps"),
    [
        ("position", True, range(13)),
        ("position", False, range(12)),
        ("interval", True, range(1, 13)),
        ("interval", False, range(1, 13)),
    ],
)
def test_steps_agree_with_the_model(reading: str, closing: bool, steps: range) -> None:
    design = Design(12, (0,), reading=reading, closing=closing)
    assert design.steps == steps
    assert design.first_step == design.model(1).first_step
    assert design.last_step == design.model(1).last_step(closing)


def test_microradian_in_arc_seconds() -> None:
    # 648000 / (pi 1e6), from the definition of the radian (recomputed).
    assert Instrument(unit="urad").arcsec_per_unit == pytest.approx(
        648000 / 3.141592653589793 / 1e6, rel=1e-12
    )
    assert Instrument().arcsec_per_unit == 1.0


@pytest.mark.parametrize("part", sorted(KNOWN))
def test_unknown_key_is_refused_by_name_with_the_nearest(part: str) -> None:
    for known in KNOWN[part]:
        wrong = known[:-1] + "x" if part or known not in KNOWN else known + "s"
        error = refused(table_with(f"{part}.{wrong}" if part else wrong, 1))
        assert wrong in str(error)
        assert f'"{known}"' in error.remedy


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("design.positions", True),
        ("design.positions", 12.0),
        ("design.positions", "12"),
        ("design.positions", 1),
        ("design.positions", 1441),
        ("design.positions", -12),
        ("design.offsets", 0),
        ("design.offsets", []),
        ("design.offsets", [0, 12]),
        ("design.offsets", [-1]),
        ("design.offsets", [0.0]),
        ("design.offsets", [False]),
        ("design.offsets", [10**30]),
        ("design.closure", "triple"),
        ("design.closure", 2),
        ("design.reading", "positions"),
        ("design.arrangement", "counter rotating"),
        ("design.direction", "return"),
        ("design.closing", 1),
        ("design.closing", "true"),
        ("design.repeats", 0),
        ("design.repeats", 1.5),
        ("design.drift", "quadratic"),
        ("design", []),
        ("lower", "HT-04"),
        ("lower.kind", "table"),
        ("lower.name", 4),
        ("lower.tolerance", 0),
        ("lower.tolerance", -0.25),
        ("lower.tolerance", float("nan")),
        ("lower.tolerance", float("inf")),
        ("lower.tolerance", True),
        ("lower.tolerance", 10**400),
        ("upper.serial", "a\x1b[31m"),
        ("upper.serial", "a\nb"),
        ("instrument.kind", ""),
        ("instrument.unit", "arcmin"),
        ("instrument.resolution", 0.0),
        ("instrument.range", "150"),
        ("instrument.polarity", 0),
        ("instrument.polarity", 1.0),
        ("instrument.polarity", True),
        ("instrument.accepted_sd", -1),
        ("instrument.accepted_sd_dof", 0),
        ("title", 4),
        ("title", "\x00"),
        ("title", "\x9f"),
        ("operator", True),
        ("created", "2026-03-02"),
        ("created", datetime(2026, 3, 2)),  # noqa: DTZ001
        ("version", 0),
        ("version", 1.0),
        ("version", True),
        ("format", "another session"),
    ],
)
def test_wrong_value_is_refused_where_it_stands(path: str, value: object) -> None:
    assert refused(table_with(path, value)).where == path


@pytest.mark.parametrize("path", ["design.positions", "instrument.range", "instrument.polarity", "version"])
def test_number_too_long_to_be_written_out_is_refused_too(path: str) -> None:
    assert refused(table_with(path, 16**5000)).where == path


def test_whole_number_will_do_where_a_number_is_meant() -> None:
    header = read_header(table_with("instrument.range", 150))
    assert header.instrument.range == 150.0
    assert isinstance(header.instrument.range, float)


def test_degrees_of_freedom_need_their_standard_deviation() -> None:
    instrument = {"accepted_sd_dof": 20}
    assert refused(LEAST | {"instrument": instrument}).where == "instrument.accepted_sd_dof"


def test_newer_version_is_refused_before_its_unknown_keys() -> None:
    error = refused(table_with("colour", "red", table_with("version", 2)))
    assert error.where == "version"
    assert "newer" in error.remedy


TEXTS = st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=20)
POSITIVE = st.none() | st.floats(1e-9, 1e9) | st.sampled_from([0.1, 0.01, 1e-5])
ZONES = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))


@st.composite
def designs(draw: st.DrawFn) -> Design:
    positions = draw(st.integers(2, 1440))
    closure = draw(st.sampled_from(["dual", "single"]))
    reading = "interval" if closure == "single" else draw(st.sampled_from(READINGS))
    return Design(
        positions=positions,
        offsets=tuple(draw(st.lists(st.integers(0, positions - 1), min_size=1, max_size=8))),
        closure=closure,
        reading=reading,
        arrangement=draw(st.sampled_from(ARRANGEMENTS)),
        direction="forward" if reading == "interval" else draw(st.sampled_from(DIRECTIONS)),
        closing=draw(st.booleans()),
        repeats=draw(st.integers(1, 9)),
        drift="none" if closure == "single" else draw(st.sampled_from(DRIFTS)),
    )


CIRCLES = st.builds(Circle, st.sampled_from(CIRCLE_KINDS), TEXTS, TEXTS, POSITIVE)


@st.composite
def headers(draw: st.DrawFn) -> Header:
    design = draw(designs())
    accepted = draw(POSITIVE)
    return Header(
        design=design,
        lower=draw(CIRCLES),
        upper=None if design.closure == "single" and draw(st.booleans()) else draw(CIRCLES),
        instrument=Instrument(
            kind=draw(TEXTS.filter(str.strip)),
            unit=draw(st.sampled_from(UNITS)),
            resolution=draw(POSITIVE),
            range=draw(POSITIVE),
            polarity=draw(st.sampled_from([1, -1])),
            accepted_sd=accepted,
            accepted_sd_dof=None if accepted is None else draw(POSITIVE),
        ),
        title=draw(TEXTS),
        operator=draw(TEXTS),
        created=draw(
            st.none() | st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1), timezones=ZONES)  # noqa: DTZ001
        ),
    )


@settings(max_examples=150, deadline=None)
@given(headers())
def test_header_comes_back_from_its_text_as_it_was(header: Header) -> None:
    assert read_header(tomllib.loads(header_text(header))) == header


@settings(max_examples=50, deadline=None)
@given(headers())
def test_text_of_a_header_tells_its_own_length(header: Header) -> None:
    text = header_text(header)
    assert f"has {text.count(chr(10))} lines" in text.splitlines()[0]
