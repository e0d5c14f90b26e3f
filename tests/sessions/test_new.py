"""The form of a new session, its prospect, and the names of files."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sessions.demo import copy_demo
from sessions.design import Design
from sessions.equipment import ARCSEC_PER_URAD
from sessions.header import header_table, read_header
from sessions.names import file_name, free_path
from sessions.new import FIELDS, Form, applies, check, proposed_title, read_offsets
from sessions.prospect import degrees_of_freedom, prospect
from sessions.session import Session
from solver.adjust import adjust
from solver.cells import gather
from solver.refused import Refused

NOW = datetime(2026, 3, 2, 8, 41, tzinfo=UTC)


def wrong(**typed: str) -> dict[str, str]:
    """Return what is wrong with the form as it comes, but for what was typed."""
    return check(Form(**typed), NOW).wrong


def test_the_form_as_it_comes_makes_a_session() -> None:
    header = check(Form(), NOW).header
    assert header is not None
    assert header.design == Design(12, (0, 1, 4), "dual", "position", "counter-rotating", closing=True)
    assert header.created == NOW
    assert header.title == "index table against index table, 12 positions"


def test_every_field_reaches_the_header() -> None:
    form = Form(
        title=" Plate 7 ",
        operator="A. Example",
        reading="position",
        arrangement="face by face",
        positions="36",
        offsets="0 5;17",
        direction="forward and return",
        closing="no",
        repeats="2",
        drift="linear",
        lower_kind="rotary table",
        lower_name="RT",
        lower_serial="3",
        lower_tolerance="0,25",
        upper_kind="polygon",
        upper_name="P36",
        upper_serial="9",
        upper_tolerance="0.5",
        instrument_kind="electronic level",
        unit="urad",
        resolution="0,1",
        range="500",
        polarity="-1",
        accepted_sd="0.2",
        accepted_sd_dof="20",
    )
    header = check(form, NOW).header
    assert header is not None
    assert header_table(header) == {
        "format": "fullturn session",
        "version": 1,
        "title": "Plate 7",
        "operator": "A. Example",
        "created": NOW,
        "design": {
            "closure": "dual",
            "reading": "position",
            "arrangement": "face by face",
            "positions": 36,
            "offsets": [0, 5, 17],
            "direction": "forward and return",
            "closing": False,
            "repeats": 2,
            "drift": "linear",
        },
        "lower": {"kind": "rotary table", "name": "RT", "serial": "3", "tolerance": 0.25},
        "upper": {"kind": "polygon", "name": "P36", "serial": "9", "tolerance": 0.5},
        "instrument": {
            "kind": "electronic level",
            "unit": "urad",
            "resolution": 0.1,
            "range": 500.0,
            "polarity": -1,
            "accepted_sd": 0.2,
            "accepted_sd_dof": 20.0,
        },
    }
    assert header.instrument.arcsec_per_unit == ARCSEC_PER_URAD


def test_a_single_closure_asks_for_runs_and_has_no_upper_circle() -> None:
    form = Form(closure="single", runs="4", offsets="nonsense", upper_tolerance="nonsense", drift="linear")
    header = check(form, NOW).header
    assert header is not None
    assert header.upper is None
    assert header.design == Design(12, (0, 0, 0, 0), "single", "interval", closing=False)
    assert "offsets" not in applies(form)
    assert "runs" in applies(form)


def test_intervals_have_neither_closing_readings_nor_a_return() -> None:
    form = Form(reading="interval", direction="forward and return", closing="yes")
    header = check(form, NOW).header
    assert header is not None
    assert header.design.direction == "forward"
    assert not header.design.closing
    assert not applies(form) & {"direction", "closing"}


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("positions", ""),
        ("positions", "1"),
        ("positions", "1441"),
        ("positions", "12.5"),
        ("positions", "twelve"),
        ("positions", "²"),
        ("positions", "-12"),
        ("offsets", ""),
        ("offsets", "0, 12"),
        ("offsets", "0, -1"),
        ("offsets", "0, 1.5"),
        ("offsets", "0, ١"),
        ("repeats", "0"),
        ("repeats", "1e3"),
        ("lower_tolerance", "-0.1"),
        ("lower_tolerance", "0"),
        ("upper_tolerance", "1,2,3"),
        ("resolution", "fine"),
        ("range", "nan"),
        ("range", "1" + "0" * 400),
        ("accepted_sd", "inf"),
        ("title", "bell \a"),
    ],
)
def test_nonsense_is_refused_at_its_field(field: str, text: str) -> None:
    assert list(wrong(**{field: text})) == [field]


def test_figures_that_contradict_each_other_are_refused() -> None:
    assert list(wrong(resolution="0.1", range="0.01")) == ["range"]
    assert list(wrong(accepted_sd_dof="20")) == ["accepted_sd"]


def test_all_that_is_wrong_is_told_in_the_order_of_the_page() -> None:
    told = list(wrong(accepted_sd="x", positions="x", upper_tolerance="x"))
    assert told == sorted(told, key=FIELDS.index) == ["positions", "upper_tolerance", "accepted_sd"]


def test_the_plan_is_known_while_another_field_is_wrong() -> None:
    checked = check(Form(lower_tolerance="x"), NOW)
    assert checked.header is None
    assert checked.design == Design(12, (0, 1, 4))


@pytest.mark.parametrize("text", ["0, 1, 4", "0 1 4", " 0;1 ;4, ", "0,1,4"])
def test_offsets_are_read_with_commas_or_spaces(text: str) -> None:
    assert read_offsets(text, 12) == (0, 1, 4)
    assert read_offsets("All", 3) == (0, 1, 2)
    with pytest.raises(Refused, match="12"):
        read_offsets("0 12", 12)


@given(st.fixed_dictionaries({name: st.text(max_size=12) for name in FIELDS}))
def test_no_text_breaks_the_form(typed: dict[str, str]) -> None:
    for form in (Form(**typed), replace(Form(**typed), closure="dual", reading="position")):
        checked = check(form, NOW)
        assert (checked.header is None) == bool(checked.wrong)
        if checked.header is not None:
            assert read_header(header_table(checked.header)) == checked.header


def filled(design: Design) -> tuple[bool, int]:
    """Adjust a whole design with every cell filled; say whether all is determined, and its freedom."""
    runs = np.repeat(np.arange(design.run_count), len(design.steps))
    steps = np.tile(np.array(design.steps), design.run_count)
    readings = np.random.default_rng(4).normal(size=len(runs))
    found = adjust(
        design.model(), np.array([run.offset for run in design.runs]), gather(runs, steps, readings)
    )
    return found.determined, found.degrees_of_freedom


@pytest.mark.parametrize("positions", [2, 3, 4, 6, 7])
@pytest.mark.parametrize("reading", ["position", "interval"])
@pytest.mark.parametrize("closing", [True, False])
@pytest.mark.parametrize("drift", ["none", "linear"])
def test_the_prospect_agrees_with_the_adjustment(
    positions: int, reading: str, closing: bool, drift: str
) -> None:
    """Against the solver itself, over every set of offsets (design document, section 2; recomputed)."""
    for count in (1, 2, 3):
        for offsets in combinations(range(positions), count):
            form = Form(
                positions=str(positions),
                offsets=" ".join(map(str, offsets)),
                reading=reading,
                closing="yes" if closing else "no",
                drift=drift,
            )
            design = check(form, NOW).design
            assert design is not None
            determined, freedom = filled(design)
            told = prospect(design).summary.endswith("of freedom")
            assert told == determined, offsets
            if determined:
                assert degrees_of_freedom(design) == freedom, offsets


def test_the_prospect_of_a_single_closure_agrees_with_the_adjustment() -> None:
    design = check(Form(closure="single", positions="7", runs="2"), NOW).design
    assert design is not None
    assert filled(design) == (True, degrees_of_freedom(design))


def test_the_prospect_says_what_a_plan_comes_to() -> None:
    plan = prospect(Design(12, (0, 1, 4)))
    assert plan.summary == ("12 positions 30° apart, 3 runs, 39 cells, about 0.9 h, 14 degrees of freedom")
    assert plan.cautions == ()
    assert (
        "7 positions 51.4286° apart, 2 runs, 14 cells, 28 readings"
        in prospect(Design(7, (0, 1), closing=False, repeats=2)).summary
    )


@pytest.mark.parametrize(
    ("offsets", "said"),
    [((0,), "second offset"), ((0, 6), "share a factor with 12"), ((1, 4, 7), "factor 3")],
)
def test_the_prospect_warns_of_offsets_that_cannot_determine_the_circles(
    offsets: tuple[int, ...], said: str
) -> None:
    assert said in " ".join(prospect(Design(12, offsets)).cautions)


def test_the_prospect_warns_of_a_plan_without_a_reading_to_spare() -> None:
    plan = prospect(Design(12, (0, 1), closing=False))
    assert "0 degrees of freedom" in plan.summary
    assert "to spare" in plan.cautions[0]


def test_the_title_follows_the_circles() -> None:
    form = Form(lower_name="HT-04", upper_name="HT", upper_serial="11", positions="24")
    assert proposed_title(form) == "HT-04 against HT 11, 24 positions"
    assert proposed_title(replace(form, closure="single")) == "HT-04, 24 positions"


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("HT-04 against HT-11, 30° steps", "ht-04-against-ht-11-30-steps.toml"),
        ("Prüfling Größe ß", "prufling-grosse-ss.toml"),
        ("../../etc/passwd", "etc-passwd.toml"),
        ("con", "session-con.toml"),
        ("温度", "session.toml"),
        ("", "session.toml"),
        ("x" * 200, "x" * 60 + ".toml"),
    ],
)
def test_file_names_are_safe_everywhere(title: str, name: str) -> None:
    assert file_name(title) == name


def test_a_free_path_takes_nothing_that_is_there(tmp_path: Path) -> None:
    (tmp_path / "a.toml").touch()
    (tmp_path / "a-2.toml").mkdir()
    assert free_path(tmp_path, "a.toml") == tmp_path / "a-3.toml"
    assert free_path(tmp_path / "nowhere", "a.toml") == tmp_path / "nowhere" / "a.toml"


def test_each_demo_is_a_copy_of_its_own(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "folder"
    first, second = copy_demo(folder), copy_demo(folder)
    assert (first.name, second.name) == ("demo.toml", "demo-2.toml")
    with Session.open(first) as session:
        before = len(session.entries)
        session.note("spoiled")
        assert 0 < session.matrix.filled < session.header.design.planned_cells
    with Session.read(second) as other:
        assert len(other.entries) == before
        assert "invented" in other.header.title


def test_a_demo_that_cannot_be_copied_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(Refused, match="--folder"):
        copy_demo(tmp_path / "file" / "folder")
