"""Sessions compared: which circle, which positions, what changed, what is offered and what is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from sessions.analysis import analyse
from sessions.budget import Budget, expanded
from sessions.budget import record as record_budget
from sessions.comparison import compare, compare_files
from sessions.comparison_result import comparison_table
from sessions.comparison_source import Source, source_of
from sessions.design import Design
from sessions.equipment import Circle, Instrument
from sessions.header import Header
from sessions.same_circle import choose_circles
from sessions.session import Session
from solver.budget import Line
from solver.closure import Floats
from solver.effects import Effect
from solver.refused import Refused
from solver.turned import Turn
from tests.sessions.simulated import DAY, HT04, HT11, errors, header, record, snapshot

YEAR = timedelta(days=365.25)
PARTIAL, COMPLETE = Design(12, (0, 1, 4)), Design(12, tuple(range(12)))
OTHER = Circle("index table", "HT-20", "3")
A, B, C = errors(12, 1), errors(12, 2), errors(12, 3)


def source(
    head: Header, lower: Floats, upper: Floats, seed: int, years: float = 0.0, sd: float = 0.05
) -> Source:
    generator = np.random.default_rng(seed)
    return source_of(snapshot(head, lower, upper, sd, generator, DAY + years * YEAR), f"s{seed}.toml")


def old() -> Source:
    return source(header(COMPLETE), A, B, 1)


def test_the_same_circle_is_found_whichever_place_it_has() -> None:
    new = source(header(PARTIAL, lower=OTHER, upper=HT04), C, A, 2, years=1)
    found = compare((old(), new))
    assert [part.which for part in found.parts] == ["lower", "upper"]
    assert found.pairs[0].change.whole.p_value > 0.01
    assert found.pairs[0].offer is None
    about = A - A.mean()
    for part in found.parts:
        assert part.measured.error == pytest.approx(about, abs=0.15)
    assert found.drift is not None
    assert found.drift.per_year == pytest.approx(found.pairs[0].change.difference, rel=1e-4)


def test_unit_and_polarity_do_not_matter() -> None:
    instrument = Instrument(unit="urad", polarity=-1)
    new = source(header(COMPLETE, upper=OTHER, instrument=instrument), A, C, 3, years=1)
    found = compare((old(), new))
    assert found.pairs[0].change.whole.p_value > 0.01
    assert found.deviations.unit == "urad"
    assert found.deviations.proposed_in_unit == pytest.approx(found.deviations.pooled / 0.206264806247)
    assert found.deviations.pooled == pytest.approx(0.05, abs=0.005)
    assert found.deviations.pooled_freedom == 244


def test_a_worn_tooth_is_seen_and_no_turn_is_offered() -> None:
    worn = A.copy()
    worn[4] += 0.3
    found = compare((old(), source(header(COMPLETE, upper=OTHER), worn, C, 4, years=2)))
    change = found.pairs[0].change
    assert 4 in change.beyond
    assert change.whole.p_value < 1e-6
    assert found.pairs[0].offer is None
    assert found.attention
    one = found.pairs[0].one
    assert one is not None
    assert one.index == 4
    assert one.change == pytest.approx(0.3, abs=one.expanded)
    assert one.others.p_value > 0.05
    table = comparison_table(found)["comparisons"][0]["one_changed"]
    assert table["position"] == 4
    assert table["difference"] == one.change
    assert compare((old(), source(header(COMPLETE, upper=OTHER), A, C, 4, years=2))).pairs[0].one is None


@pytest.mark.parametrize("turn", [Turn(3), Turn(5, True)])
def test_a_turned_circle_is_recognised_offered_and_only_then_applied(turn: Turn) -> None:
    j = np.arange(12)
    turned = -A[(turn.positions - j) % 12] if turn.reversed else A[(turn.positions + j) % 12]
    first, new = old(), source(header(PARTIAL, upper=OTHER), turned, C, 5, years=1)
    found = compare((first, new))
    assert found.pairs[0].change.whole.p_value < 1e-6
    assert found.parts[1].turn == Turn()
    offer = found.pairs[0].offer
    assert offer is not None
    assert offer.found.turn == turn
    assert offer.found.p_value <= 0.01
    applied = compare((first, new), turns=(turn,))
    assert applied.pairs[0].offer is None
    assert applied.pairs[0].change.whole == offer.whole
    assert offer.whole.p_value > 0.01
    assert applied.parts[1].measured.error == pytest.approx(A - A.mean(), abs=0.15)


def test_fewer_positions_are_compared_at_the_common_angles() -> None:
    fine = errors(36, 7)
    first = source(header(Design(36, (0, 1, 3, 7, 12, 20))), fine, errors(36, 8), 6)
    new = source(header(COMPLETE, upper=OTHER), fine[::3], C, 7, years=1)
    found = compare((first, new))
    assert found.parts[0].index.tolist() == list(range(0, 36, 3))
    assert found.angle.tolist() == list(range(0, 360, 30))
    assert found.pairs[0].change.whole.rank == 11
    assert found.pairs[0].change.whole.p_value > 0.01
    assert found.parts[0].measured.error.sum() == pytest.approx(0, abs=1e-12)


def test_positions_that_do_not_divide_are_refused() -> None:
    new = source(header(Design(8, (0, 1, 3)), upper=OTHER), errors(8, 1), errors(8, 2), 8)
    with pytest.raises(Refused, match="12 positions and 8 do not divide"):
        compare((old(), new))


def test_no_turn_is_offered_where_neither_number_of_positions_divides_the_other() -> None:
    """24 and 36 positions pass beside 12; they have 12 places in common, or none if turned by a step of 36."""
    fine = errors(36, 7)
    designs = (Design(24, (0, 1, 3, 7)), Design(36, (0, 1, 3, 7)), COMPLETE)
    truths = (errors(24, 8), fine, fine[::3])
    sources = tuple(
        source(header(design, upper=OTHER), truth, errors(design.positions, 9), 40 + number, years=number)
        for number, (design, truth) in enumerate(zip(designs, truths, strict=True))
    )
    found = compare(sources, ("lower",) * 3)
    assert [pair.change.whole.rank for pair in found.pairs] == [11, 11]
    assert [pair.change.whole.p_value < 1e-6 for pair in found.pairs] == [True, True]
    assert found.pairs[0].offer is None
    turned = source(
        header(Design(36, (0, 1, 3, 7)), upper=OTHER), np.roll(fine, -9), errors(36, 9), 44, years=4
    )
    offer = compare((sources[1], turned, sources[2]), ("lower",) * 3).pairs[0].offer
    assert offer is not None
    assert offer.found.turn == Turn(9)


def test_three_sessions() -> None:
    third = source(header(PARTIAL, upper=OTHER), A, C, 10, years=2.5)
    found = compare((old(), source(header(COMPLETE, upper=OTHER), A, C, 9, years=1), third))
    assert [pair.session for pair in found.pairs] == [1, 2]
    assert found.agreement is not None
    assert found.agreement.rank == 22
    assert found.agreement.p_value > 0.01
    assert found.drift is not None
    assert found.drift.rest is not None
    assert found.drift.rest.rank == 11
    assert found.deviations.homogeneity is not None
    assert found.deviations.homogeneity.test == "Bartlett"
    assert found.deviations.proposed
    assert found.deviations.pooled_freedom == 122 + 122 + 14


def test_sessions_that_scatter_differently_suggest_no_accepted_deviation() -> None:
    found = compare((old(), source(header(COMPLETE, upper=OTHER), A, C, 11, years=1, sd=0.2)))
    assert not found.deviations.proposed
    assert found.deviations.chart.outside == (0, 1)


def test_standard_deviations_of_unlike_cells_are_neither_compared_nor_pooled() -> None:
    """The mean of four readings scatters half as much as one (JCGM 100, 4.2.3), whatever the instrument."""
    repeated = source(header(replace(COMPLETE, repeats=4), upper=OTHER), A, C, 21, years=1, sd=0.05)
    found = compare((old(), repeated))
    assert found.deviations.value[1] == pytest.approx(0.05 / 2, rel=0.2)
    assert found.deviations.homogeneity is None
    assert not found.deviations.chart.outside
    assert not found.deviations.proposed
    assert "differ in the readings to a cell" in found.deviations.unlike
    assert comparison_table(found)["standard_deviations"]["accepted_sd"] is None
    # Not because they happen to differ: at twice the scatter of a reading the cells agree by chance.
    alike = source(header(replace(COMPLETE, repeats=4), upper=OTHER), A, C, 22, years=1, sd=0.1)
    assert not compare((old(), alike)).deviations.proposed
    assert compare((repeated, alike), ("lower",)).deviations.unlike == ""


def test_no_drift_within_a_day_or_without_dates() -> None:
    found = compare((old(), source(header(COMPLETE, upper=OTHER), A, C, 12, years=0.001)))
    assert found.drift is None
    assert found.no_drift == "the sessions are of the same day"
    dateless = Source("x.toml", old().analysis, None)
    assert compare((old(), dateless), ("lower",)).no_drift == "the date of a session is not known"


def test_without_degrees_of_freedom_nothing_is_claimed_but_attention() -> None:
    bare = Design(12, (0, 1), closing=False)
    first = old()
    found = compare((first, source(header(bare, upper=OTHER), A, C, 13, years=1)))
    assert np.isnan(found.pairs[0].change.e_n).all()
    assert found.attention
    assert any("no accepted standard deviation" in notice for notice in found.notices)
    table = comparison_table(found)
    assert table["comparisons"][0]["e_n"] == [None] * 12
    assert table["comparisons"][0]["p_value"] is None
    known = Instrument(accepted_sd=0.05)
    found = compare((first, source(header(bare, upper=OTHER, instrument=known), A, C, 13, years=1)))
    assert found.parts[1].measured.freedom == np.inf
    assert found.pairs[0].change.whole.p_value > 0.01
    assert any("from its accepted standard deviation" in notice for notice in found.notices)


def test_a_budget_gives_the_expanded_uncertainty() -> None:
    first, new = old(), source(header(COMPLETE, upper=OTHER), A, C, 14, years=1)
    found = compare(
        (first, budgeted(new, Line("plate", standard_uncertainty=0.5, effect=Effect("position"))))
    )
    # Beside a known 0.5″ at each position the scatter hardly counts: k = 2, and 11/12 of the variance about the mean.
    u = 2 * np.hypot(0.5 * np.sqrt(11 / 12), found.parts[1].measured.standard)
    part = found.parts[0].measured
    expected = found.pairs[0].change.difference / np.hypot(part.expanded, u)
    assert found.pairs[0].change.e_n == pytest.approx(expected, rel=1e-4)
    assert comparison_table(found)["sessions"][1]["expanded_from"] == "budget"


def budgeted(source: Source, *lines: Line) -> Source:
    return replace(source, budget=Budget(0.9545, lines))


def test_sessions_without_a_budget_beside_one_with_are_named() -> None:
    bare = [source(header(PARTIAL, upper=OTHER), A, C, seed, years=seed) for seed in (1, 2)]
    line = Line("plate", standard_uncertainty=0.1, effect=Effect("position"))
    assert "s1.toml has no uncertainty budget: U is of type A there." in said(budgeted(old(), line), bare[0])
    named = "s1.toml and s2.toml have no uncertainty budget: U is of type A there."
    assert named in said(budgeted(old(), line), *bare)


def said(*sources: Source) -> tuple[str, ...]:
    return compare(sources).notices


def twelve_and_three(*lines: Line) -> tuple[Source, Source]:
    """Sessions of 12 and 3 positions of one circle that scatter too little to count beside a budget."""
    few = Design(3, (0, 1, 2))
    return (
        budgeted(source(header(COMPLETE), A, B, 31, sd=1e-6), *lines),
        budgeted(source(header(few, upper=OTHER), A[::4], C[:3], 32, years=1, sd=1e-6), *lines),
    )


def test_a_budget_counts_about_the_mean_of_the_places_compared() -> None:
    """JCGM 100, 5.2.2 (13): 0.1″ each at 3 places makes 0.1 root(2/3) about their mean, not root(11/12)."""
    sources = twelve_and_three(Line("teeth", standard_uncertainty=0.1, effect=Effect("position")))
    for part in compare(sources).parts:
        assert part.measured.expanded == pytest.approx([2 * 0.1 * np.sqrt(2 / 3)] * 3, rel=1e-4)


def test_what_a_source_does_alike_at_the_places_compared_cancels() -> None:
    """An error of order 3 is the same 120° on; about the mean of all 12 it has 0.1″ left."""
    line = Line("order 3", standard_uncertainty=0.1, effect=Effect("harmonic", order=3))
    first, later = twelve_and_three(line)
    assert first.measured("lower").expanded == pytest.approx([0.2] * 12, rel=1e-4)
    for part in compare((first, later)).parts:
        assert part.measured.expanded == pytest.approx([0] * 3, abs=1e-5)


@pytest.mark.parametrize("turn", [Turn(), Turn(5), Turn(2, True)])
def test_every_line_of_a_budget_counts_at_the_places_compared(turn: Turn) -> None:
    """Against covariances written out: C M V M' C' with the scatter and each line in V (JCGM 100, 5.2.2)."""
    shape = np.random.default_rng(3).normal(0, 1, 12)
    lines = (
        Line("teeth", standard_uncertainty=0.02, effect=Effect("position")),
        Line("scale", standard_uncertainty=0.1, effect=Effect("proportional")),
        Line("drift", standard_uncertainty=0.06, effect=Effect("ramp", "lower")),
        Line("plate", standard_uncertainty=0.03, effect=Effect("shape", shape=tuple(shape))),
        Line("axes", standard_uncertainty=0.04, effect=Effect("harmonic", order=2)),
        Line("not of this circle", standard_uncertainty=9.0, effect=Effect("position", "upper")),
    )
    first = source(header(Design(4, (0, 1, 3))), A[::3], C[:4], 33)
    later = budgeted(source(header(COMPLETE, upper=OTHER), A, B, 34, years=1), *lines)
    part = compare((first, later), ("lower",), (turn,)).parts[1]
    centred = np.eye(4) - 1 / 4
    rows = centred @ np.eye(12)[part.index]
    error = later.measured("lower").error
    angle = 2 * 2 * np.pi * np.arange(12) / 12
    scatter = later.measured("lower").cofactor * later.analysis.deviation**2
    known = (
        0.02**2 * np.eye(12)
        + 0.1**2 * np.outer(error, error)
        + 0.06**2 * np.outer(np.arange(12), np.arange(12)) / 144
        + 0.03**2 * np.outer(shape, shape)
        + 0.04**2 * np.cos(angle[:, None] - angle)
    )
    by_scatter, by_lines = (np.diagonal(rows @ each @ rows.T) for each in (scatter, known))
    total = by_scatter + by_lines
    freedom = later.freedom * (total / by_scatter) ** 2  # Welch and Satterthwaite, JCGM 100, G.2b
    k = stats.t.isf(0.02275, freedom)
    assert part.measured.expanded == pytest.approx(k * np.sqrt(total), rel=1e-9)


def test_without_a_budget_type_a_is_that_about_the_places_compared() -> None:
    """By own dense least squares of the readings, with the contrasts of the places taken of its covariance."""
    few, plan = Design(3, (0, 1, 2)), header(PARTIAL)
    first = source(plan, A, B, 35)
    part = compare((first, source(header(few, upper=OTHER), A[::4], C[:3], 36, years=1))).parts[0]
    cells = first.analysis.cells
    design = np.zeros((len(cells), 24 + 3))
    row = np.arange(len(cells))
    design[row, cells.step % 12] = 1
    design[row, 12 + (np.array(PARTIAL.offsets)[cells.run] - cells.step) % 12] = 1
    design[row, 24 + cells.run] = 1
    value = cells.value + cells.base[cells.run]
    solution, _, rank, _ = np.linalg.lstsq(design, value)
    variance = np.sum((value - design @ solution) ** 2) / (len(cells) - rank)
    rows = (np.eye(3) - 1 / 3) @ np.eye(27)[[0, 4, 8]]
    covariance = variance * rows @ np.linalg.pinv(design.T @ design) @ rows.T
    k = stats.t.isf(0.02275, len(cells) - rank)
    assert part.measured.error == pytest.approx(rows @ solution, abs=1e-9)
    assert part.measured.expanded == pytest.approx(k * np.sqrt(np.diagonal(covariance)), rel=1e-7)


def test_recorded_budgets_count_as_on_the_certificates(tmp_path: Path) -> None:
    """E_n by ISO 13528 / ISO/IEC 17043 from the U that the sessions' certificates state (definition from memory)."""
    paths = [
        record(tmp_path / f"{name}.toml", header(PARTIAL, upper=OTHER), A, B, 0.05, seed, DAY + years * YEAR)
        for name, seed, years in (("a", 1, 0), ("b", 2, 1))
    ]
    stated = []
    for path in paths:
        with Session.open(path) as session:
            line = Line("plate", half_width=0.2, effect=Effect("position"))
            record_budget(session, Budget(0.99, (line,)))
            u = expanded(session.entries, analyse(session.matrix.snapshot()), Budget(0.9545, (line,)))
            stated.append(dict(u.circles)["lower"].position.expanded)
    found = compare_files(paths, ("lower",))[0]
    change = found.pairs[0].change
    assert change.e_n == pytest.approx(change.difference / np.hypot(*stated))
    assert not any("no uncertainty budget" in notice for notice in found.notices)


def test_without_a_choice_every_circle_that_stands_in_all_is_compared(tmp_path: Path) -> None:
    plan = header(PARTIAL, upper=OTHER)
    paths = [record(tmp_path / f"{seed}.toml", plan, A, B, 0.05, seed, DAY + seed * YEAR) for seed in (1, 2)]
    both = compare_files(paths)
    assert [comparison.parts[0].which for comparison in both] == ["lower", "upper"]
    table = comparison_table(*both)
    assert [each["sessions"][0]["circle"] for each in (table, *table["further"])] == ["lower", "upper"]
    with pytest.raises(Refused, match="stand in every session"):
        compare_files(paths, turns=(Turn(3),))


def test_a_copy_is_no_second_measurement(tmp_path: Path) -> None:
    first = record(tmp_path / "a.toml", header(PARTIAL, upper=OTHER), A, B, 0.05, 1)
    copy = tmp_path / "copy.toml"
    copy.write_bytes(first.read_bytes())
    assert (
        "copy.toml holds the very readings of a.toml: no second measurement."
        in compare_files([first, copy])[0].notices
    )


def test_errors_not_determined_are_refused_with_what_is_missing() -> None:
    new = source(header(Design(12, (0,)), upper=OTHER), A, C, 15)
    with pytest.raises(Refused, match="not determined yet") as refused:
        compare((old(), new))
    assert refused.value.where == "s15.toml"
    assert refused.value.remedy


# Which circle


def headers(*pairs: tuple[Circle, Circle]) -> tuple[Header, ...]:
    return tuple(header(PARTIAL, lower, upper) for lower, upper in pairs)


FILES = ("old.toml", "new.toml", "newer.toml")


def test_one_choice_is_followed_by_name() -> None:
    found = headers((HT04, HT11), (HT11, HT04), (HT04, OTHER))
    assert choose_circles(found, FILES, ("lower",)) == ("lower", "upper", "lower")
    assert choose_circles(found[:2], FILES[:2], ("upper",)) == ("upper", "lower")


def test_capitals_and_blanks_do_not_tell_circles_apart() -> None:
    found = headers((HT04, HT11), (OTHER, Circle("index table", " ht-04 ", "17")))
    assert choose_circles(found, FILES[:2]) == ("lower", "upper")


def test_both_circles_the_same_is_ambiguous() -> None:
    with pytest.raises(Refused, match=r"HT-04 17 \(lower\) and .*HT-11 5 \(upper\) stand in every session"):
        choose_circles(headers((HT04, HT11), (HT11, HT04)), FILES[:2])


def test_no_common_circle_is_refused() -> None:
    with pytest.raises(Refused, match="no circle stands in every session"):
        choose_circles(headers((HT04, HT11), (OTHER, Circle("polygon", "HT-04", "17"))), FILES[:2])


def test_circles_without_names_must_be_chosen() -> None:
    bare = headers((Circle(), Circle()), (Circle(), Circle()))
    with pytest.raises(Refused, match="no names"):
        choose_circles(bare, FILES[:2])
    assert choose_circles(bare, FILES[:2], ("upper",)) == ("upper", "upper")
    assert choose_circles(bare, FILES[:2], ("upper", "lower")) == ("upper", "lower")


def test_twins_in_one_session_must_be_chosen() -> None:
    with pytest.raises(Refused, match="both circles are called"):
        choose_circles(headers((HT04, HT11), (HT04, HT04)), FILES[:2])


def test_a_single_closure_has_a_lower_circle_only() -> None:
    single = Design(12, (0, 0), closure="single", reading="interval")
    bare = Header(design=single, lower=Circle(), upper=None)
    assert choose_circles((bare, bare), FILES[:2]) == ("lower", "lower")
    with pytest.raises(Refused, match="no upper circle"):
        choose_circles(
            (header(PARTIAL), Header(design=single, lower=HT04, upper=None)), FILES[:2], ("lower", "upper")
        )


def test_too_many_choices_and_turns_are_refused() -> None:
    with pytest.raises(Refused, match="3 circles are chosen for 2"):
        choose_circles(headers((HT04, HT11), (HT04, HT11)), FILES[:2], ("lower",) * 3)
    pair = old(), source(header(PARTIAL, upper=OTHER), A, C, 16)
    with pytest.raises(Refused, match="2 turns are given for 1"):
        compare(pair, turns=(Turn(1), Turn(2)))
    with pytest.raises(Refused, match="no position 12 among 12"):
        compare(pair, turns=(Turn(12),))
    with pytest.raises(Refused, match="one session alone"):
        compare(pair[:1])


def test_turns_without_common_places_are_refused() -> None:
    fine = errors(36, 7)
    first = source(header(COMPLETE), A, B, 17)
    others = [
        source(header(Design(36, (0, 1, 3)), upper=OTHER), fine, errors(36, 3), seed) for seed in (18, 19)
    ]
    coarse = source(header(COMPLETE, upper=OTHER), A, C, 20)
    assert len(compare((first, *others)).angle) == 12
    with pytest.raises(Refused, match="no positions in common"):
        compare((others[0], first, coarse), turns=(Turn(0), Turn(1)))


# Files


def test_a_file_is_not_compared_with_itself(tmp_path: Path) -> None:
    path = record(tmp_path / "a.toml", header(PARTIAL), A, B, 0.05, 1)
    with pytest.raises(Refused, match="stands twice"):
        compare_files([path, tmp_path / "." / "a.toml"])


def test_files_are_left_as_they_are(tmp_path: Path) -> None:
    first = record(tmp_path / "a.toml", header(PARTIAL), A, B, 0.05, 1)
    second = record(tmp_path / "b.toml", header(PARTIAL, upper=OTHER), A, C, 0.05, 2, DAY - YEAR)
    before = sorted((path.name, path.read_bytes()) for path in tmp_path.iterdir())
    (found,) = compare_files([first, second])
    assert sorted((path.name, path.read_bytes()) for path in tmp_path.iterdir()) == before
    assert found.notices == ("b.toml is of an earlier date than a.toml, with which it is compared.",)
    assert found.parts[0].source.date == pytest.approx(
        DAY + timedelta(seconds=15 * 40), abs=timedelta(minutes=1)
    )
