"""The plan: what each choice costs and gives, and which one is recommended."""

from __future__ import annotations

import csv
from dataclasses import replace
from math import inf, sqrt
from pathlib import Path

import pytest

from sessions.bench_time import Pace
from sessions.choice import Choice, weigh
from sessions.design import Design
from sessions.plan import ASSUMED_SD, Plan, Wanted, plan
from sessions.plan_result import plan_table
from solver.refused import Refused
from solver.variance import variances

TWELVE = Design(12, (0,))


def of(design: Design = TWELVE, **wishes: object) -> Plan:
    return plan(replace(Wanted(design), **wishes))  # type: ignore[arg-type]


def by_offsets(made: Plan, *offsets: int) -> Choice:
    return next(choice for choice in made.choices if choice.offsets == offsets)


def test_the_example_of_the_design_document() -> None:
    # Design document, section 6: 39 readings, 0.9 h, 0.4543, 0.034; section 6 on results: 14 degrees of freedom.
    choice = by_offsets(of(), 0, 1, 4)
    assert choice.readings == 39
    assert choice.hours == pytest.approx(0.9, abs=0.05)
    assert choice.variance_factor == pytest.approx(0.4543, abs=5e-5)
    assert choice.standard_uncertainty == pytest.approx(0.034, abs=5e-4)
    assert choice.degrees_of_freedom == 14
    assert choice.checked == pytest.approx(14 / 39)


def test_every_choice_follows_from_its_variances() -> None:
    made = of(accepted_sd=0.08)
    assert [len(choice.offsets) for choice in made.choices] == [2, 3, 4, 5, 6, 8, 10, 12]
    for choice in made.choices:
        found = variances(choice.design.model(), choice.offsets)
        assert choice.standard_uncertainty == pytest.approx(0.08 * sqrt(found.position))
        assert choice.any_two_mean == pytest.approx(0.08 * sqrt(found.any_two_mean))
        assert choice.any_two_worst == pytest.approx(0.08 * sqrt(found.any_two_worst))
        assert choice.interval_variance_factor == pytest.approx(found.interval)
        assert choice.coverage_factor is not None
        assert choice.expanded_uncertainty == pytest.approx(
            choice.coverage_factor * choice.standard_uncertainty
        )
        assert 0 < choice.efficiency <= 1 + 1e-12
    uncertainties = [choice.standard_uncertainty for choice in made.choices]
    assert uncertainties == sorted(uncertainties, reverse=True)


def test_coverage_factors_are_those_of_the_gum() -> None:
    # JCGM 100 table G.2, 95.45 % (read as NIST TN 1297 table B.1; recomputed).
    published = {2: 4.53, 14: 2.20, 26: 2.11, inf: 2.000}
    made = of()
    assert by_offsets(made, 0, 1).coverage_factor == pytest.approx(published[2], abs=0.005)
    assert by_offsets(made, 0, 1, 4).coverage_factor == pytest.approx(published[14], abs=0.005)
    open_ended = of(replace(TWELVE, closing=False), accepted_sd=0.05)
    assert by_offsets(open_ended, 0, 1).coverage_factor == pytest.approx(published[inf], abs=0.0005)


def test_without_degrees_of_freedom_the_accepted_standard_deviation_counts() -> None:
    bare = replace(TWELVE, closing=False)
    known = by_offsets(of(bare, accepted_sd=0.05, accepted_sd_dof=2), 0, 1)
    assert known.degrees_of_freedom == 0
    assert known.effective_degrees_of_freedom == 2
    assert known.coverage_factor == pytest.approx(4.53, abs=0.005)
    assumed = by_offsets(of(bare, tolerance=100.0), 0, 1)
    assert assumed.expanded_uncertainty is None
    assert assumed.decides is False
    assert assumed.acceptance_limit is None
    assert "no degree of freedom" in assumed.reason


def test_repeats_cost_time_and_bring_no_certainty() -> None:
    # Design document, section 2: repeats without moving buy repeatability, not degrees of freedom.
    once, twice = by_offsets(of(), 0, 1, 4), by_offsets(of(replace(TWELVE, repeats=2)), 0, 1, 4)
    assert twice.readings == 2 * once.readings
    assert twice.standard_uncertainty == once.standard_uncertainty
    assert twice.degrees_of_freedom == once.degrees_of_freedom
    assert twice.hours - once.hours == pytest.approx(39 * Pace().repeat / 3600)


def test_forward_and_return_doubles_the_readings_and_halves_the_variance() -> None:
    once, both = (
        by_offsets(of(), 0, 1, 4),
        by_offsets(of(replace(TWELVE, direction="forward and return")), 0, 1, 4),
    )
    assert both.readings == 78
    assert both.variance_factor == pytest.approx(once.variance_factor / 2)
    assert both.efficiency == pytest.approx(once.efficiency)
    assert both.degrees_of_freedom == 78 - 6 - 22


def test_the_pace_is_seconds_for_cells_repeats_and_offsets() -> None:
    pace = Pace(reading=10.0, repeat=2.0, offset=60.0)
    choice = weigh(replace(TWELVE, offsets=(0, 1), repeats=3), deviation=0.1, pace=pace)
    assert choice.hours == pytest.approx((26 * (10 + 2 * 2) + 2 * 60) / 3600)


def test_a_tolerance_is_decided_with_a_third_for_the_guard_band() -> None:
    made = of(accepted_sd=0.05, tolerance=0.25)
    for choice in made.choices:
        expanded = choice.expanded_uncertainty
        assert expanded is not None
        assert choice.decides is (expanded <= 0.25 / 3)
        assert choice.acceptance_limit == pytest.approx(0.25 - expanded)
    assert {choice.decides for choice in made.choices} == {True, False}


def test_recommended_is_the_quickest_that_decides_and_is_checked() -> None:
    made = of(accepted_sd=0.05, tolerance=0.1)
    quicker = [choice for choice in made.choices if choice.hours < made.recommended.hours]
    assert made.recommended.decides
    assert quicker
    assert not any(choice.decides for choice in quicker)
    assert "±0.1″" in made.recommended.reason


def test_without_a_tolerance_the_quickest_in_which_a_bad_reading_shows() -> None:
    made = of()
    assert made.recommended.offsets == (0, 1, 3, 7)
    assert made.recommended.decides is None
    assert "50 %" in made.recommended.reason


@pytest.mark.parametrize("tolerance", [None, 10.0, 0.2, 0.06, 0.02, 1e-4])
@pytest.mark.parametrize("positions", [2, 3, 7, 12, 36])
def test_exactly_one_choice_is_recommended_and_each_has_a_reason(
    positions: int, tolerance: float | None
) -> None:
    made = of(Design(positions, (0,)), tolerance=tolerance)
    assert sum(choice.recommended for choice in made.choices) == 1
    assert all(choice.reason for choice in made.choices)
    if any(choice.decides for choice in made.choices):
        assert made.recommended.decides


def test_whole_closures_are_repeated_where_one_is_not_enough() -> None:
    made = of(Design(4, (0,)), accepted_sd=0.05, tolerance=0.05)
    assert len(made.recommended.offsets) % 4 == 0
    assert len(made.recommended.offsets) > 4
    assert made.recommended.decides
    assert not any(choice.decides for choice in made.choices[:-1])


def test_a_tolerance_that_nothing_decides_is_said_so() -> None:
    made = of(accepted_sd=0.05, tolerance=1e-4)
    assert made.recommended.offsets == tuple(range(12))
    assert "no choice decides ±0.0001″" in made.recommended.reason


def test_perfect_difference_sets_have_a_row_of_their_own() -> None:
    # Singer: n = 73 = 8² + 8 + 1 with 9 offsets (memory; the bound is recomputed).
    made = of(Design(73, (0,)))
    perfect = next(choice for choice in made.choices if len(choice.offsets) == 9)
    assert perfect.efficiency == pytest.approx(1.0)


def test_offsets_that_are_asked_for_stand_beside_better_ones() -> None:
    made = of(offsets=(0, 1, 2))
    assert [choice.offsets for choice in made.choices] == [(0, 1, 2), (0, 1, 4)]
    assert made.recommended.offsets == (0, 1, 4)
    gain = 1 - made.choices[1].variance_factor / made.choices[0].variance_factor
    assert f"{100 * gain:.2g} %" in made.recommended.reason


def test_offsets_as_good_as_the_best_stand_alone() -> None:
    # 0, 1, 9 is 0, 1, 4 mirrored.
    made = of(offsets=(9, 0, 1))
    assert [choice.offsets for choice in made.choices] == [(9, 0, 1)]
    assert made.recommended.offsets == (9, 0, 1)


def test_counts_that_are_asked_for_are_the_only_ones() -> None:
    assert [len(choice.offsets) for choice in of(counts=(7, 9)).choices] == [7, 9]


def test_a_single_closure_repeats_its_run() -> None:
    made = of(Design(12, (0,), closure="single", reading="interval"))
    first, second = made.choices[0], made.choices[1]
    assert first.offsets == (0,)
    assert first.readings == 12
    assert first.degrees_of_freedom == 0
    assert second.variance_factor == pytest.approx(first.variance_factor / 2)
    # closure_factors.csv, single interval error: (n-1)/n.
    assert first.interval_variance_factor == pytest.approx(11 / 12)
    assert first.standard_uncertainty == pytest.approx(ASSUMED_SD * sqrt(143 / 144))


def test_intervals_add_up_to_larger_uncertainties() -> None:
    published = Path(__file__).parents[1] / "published" / "closure_factors.csv"
    with published.open(encoding="utf-8") as file:
        line = next(line for line in csv.DictReader(file) if line["n"] == "12")
    complete = of(replace(TWELVE, reading="interval")).choices[-1]
    assert complete.readings == 144
    assert complete.interval_variance_factor == pytest.approx(float(line["dual_position_or_interval"]))
    assert complete.any_two_worst_factor == pytest.approx(float(line["dual_interval_reading_worst_position"]))


@pytest.mark.parametrize(
    ("design", "wishes", "where"),
    [
        (Design(1, (0,)), {}, "--positions"),
        (Design(1441, (0,)), {}, "--positions"),
        (replace(TWELVE, repeats=0), {}, "--repeats"),
        (replace(TWELVE, reading="interval", direction="forward and return"), {}, "--direction"),
        (TWELVE, {"accepted_sd": 0.0}, "--accepted-sd"),
        (TWELVE, {"accepted_sd": float("nan")}, "--accepted-sd"),
        (TWELVE, {"tolerance": -0.1}, "--tolerance"),
        (TWELVE, {"tolerance": inf}, "--tolerance"),
        (TWELVE, {"accepted_sd": 0.1, "accepted_sd_dof": 0}, "--accepted-sd-dof"),
        (TWELVE, {"accepted_sd_dof": 5}, "--accepted-sd-dof"),
        (TWELVE, {"counts": (1,)}, "--counts"),
        (TWELVE, {"counts": (121,)}, "--counts"),
        (TWELVE, {"offsets": (0, 3)}, "offsets"),
        (replace(TWELVE, drift="linear"), {}, "drift"),
    ],
)
def test_figures_that_make_no_plan_are_refused(design: Design, wishes: dict[str, object], where: str) -> None:
    with pytest.raises(Refused) as refused:
        of(design, **wishes)
    assert refused.value.where == where
    assert refused.value.remedy


@pytest.mark.parametrize("bad", [{"reading": -1.0}, {"repeat": float("nan")}, {"offset": inf}])
def test_a_pace_that_no_clock_shows_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(Refused, match="seconds"):
        Pace(**bad)


def test_the_table_holds_plain_values_and_null_for_what_is_not_determined() -> None:
    table = plan_table(of(replace(TWELVE, closing=False), tolerance=0.2))
    assert table["format"] == "fullturn plan"
    assert table["version"] == 1
    assert table["positions"] == 12
    assert table["accepted_sd_assumed"] is True
    bare = table["choices"][0]
    assert bare["offsets"] == [0, 1]
    assert bare["expanded_uncertainty"] is None
    assert bare["coverage_factor"] is None
    known = plan_table(of(replace(TWELVE, closing=False), accepted_sd=0.05))["choices"][0]
    assert known["effective_degrees_of_freedom"] is None
    assert known["coverage_factor"] == pytest.approx(2.0, abs=1e-4)
