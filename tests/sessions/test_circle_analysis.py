"""A circle of a session taken apart: the published sets through a session, causes, eccentricity, what is refused."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import Analysis, analyse
from sessions.budget import Budget, expanded
from sessions.circle_analysis import analyse_circle, tooth_words
from sessions.circle_analysis_result import circle_analysis_table
from sessions.design import Design
from sessions.entries import Reading
from sessions.equipment import Circle, Instrument
from sessions.header import Header
from sessions.matrix import Matrix
from solver.budget import Line
from solver.closure import Floats
from solver.effects import Effect
from solver.refused import Refused
from tests.sessions.certified import header as certified_header
from tests.sessions.certified import taken
from tests.sessions.simulated import DAY, HT04, HT11, errors, header, snapshot

PUBLISHED = Path(__file__).parents[1] / "published"


def column(name: str, key: str) -> Floats:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8") as file:
        return np.array([float(line[key]) for line in csv.DictReader(file)])


def session(lower: Floats, upper: Floats, offsets: tuple[int, ...] = (), sd: float = 0.0) -> Analysis:
    n = len(lower)
    head = header(Design(n, offsets or tuple(range(n))), HT04, HT11, Instrument(accepted_sd=0.05))
    return analyse(snapshot(head, lower, upper, sd, np.random.default_rng(1)), screened=False)


def test_the_published_twelve_points_through_a_session() -> None:
    """An engineering-mathematics worked example (recomputed): a1 1.255459161, b1 0.761442225, a6 0.058333333."""
    circle = analyse_circle(session(column("harmonic_12pt", "y"), errors(12, 3)))
    assert circle.found.cosine[0] == pytest.approx(1.255459161, abs=1e-8)
    assert circle.found.sine[0] == pytest.approx(0.761442225, abs=1e-8)
    assert circle.found.cosine[5] == pytest.approx(0.058333333, abs=1e-8)
    assert circle.root_mean_square[0] ** 2 == pytest.approx(1.5590972222, abs=1e-8)


@pytest.mark.parametrize("way", ["forward", "reverse"])
def test_the_published_encoder_as_an_upper_circle(way: str) -> None:
    """Sensors 24 (2024) 1400, table 6 (read): the spectrum and what remains by numpy.fft (recomputed)."""
    error = column("harmonic_24pt_encoder", f"{way}_arcsec")
    circle = analyse_circle(session(errors(24, 4), error, (0, 1, 3, 10)), "upper", remove=(8, 4, 8))
    transform = np.fft.rfft(error - error.mean())
    amplitude = 2 * np.abs(transform[1:]) / 24
    amplitude[-1] /= 2
    np.testing.assert_allclose(circle.found.amplitude, amplitude, atol=1e-9)
    assert circle.removed == (4, 8)
    transform[[4, 8]] = 0
    rest = np.fft.irfft(transform, 24)
    np.testing.assert_allclose(circle.remaining.value, rest, atol=1e-9)
    assert circle.between_left.value == pytest.approx(rest.max() - rest.min())
    interval = np.roll(error, -1) - error
    at = int(np.argmax(np.abs(interval)))
    assert (circle.interval.start, circle.interval.to) == (at, (at + 1) % 24)
    assert circle.interval.value == pytest.approx(interval[at])
    assert (circle.between.start, circle.between.to) == (int(error.argmin()), int(error.argmax()))


def test_an_eccentricity_is_told_from_scatter_and_measured() -> None:
    """1 µm on a diameter of 100 mm is 4.1253″ (encoder makers' documents, read): it comes out as 1 µm."""
    at = 2 * np.pi * np.arange(12) / 12
    lower = 4.1253 * np.cos(at - np.radians(77.0))
    circle = analyse_circle(session(lower, errors(12, 5), sd=0.05), diameter=100.0)
    assert circle.eccentricity is not None
    assert circle.eccentricity.value == pytest.approx(1.0, abs=4 * circle.eccentricity.uncertainty)
    assert circle.eccentricity.uncertainty == pytest.approx(
        circle.found.amplitude_uncertainty[0] / 4.1253, rel=1e-4
    )
    assert circle.significant_among_all.tolist() == [True] + [False] * 5
    assert circle.found.peak[0] == pytest.approx(77.0, abs=4 * circle.found.phase_uncertainty[0])


def test_uncertainties_are_those_of_the_session() -> None:
    """Complete closure of 12: variance of an amplitude 2/n of σ²/n each, of any two positions 2σ²/n (design)."""
    analysis = session(errors(12, 6), errors(12, 7), sd=0.05)
    without_closing = Design(12, tuple(range(12)), closing=False)
    head = header(without_closing, HT04, HT11)
    analysis = analyse(
        snapshot(head, errors(12, 6), errors(12, 7), 0.05, np.random.default_rng(2)), screened=False
    )
    circle = analyse_circle(analysis, "upper")
    s = analysis.deviation
    np.testing.assert_allclose(circle.found.amplitude_uncertainty[:5], s * np.sqrt(2) / 12, rtol=1e-9)
    assert circle.between.uncertainty == pytest.approx(s * np.sqrt(2 / 12))


def test_causes_are_named_and_teeth_fold() -> None:
    circle = analyse_circle(session(errors(12, 8), errors(12, 9)), teeth=(3, 8, 12))
    assert circle.causes == ("eccentricity", "ellipse or tilt", "3 teeth", "8 teeth", "", "even against odd")
    assert "order 3" in tooth_words(3, 12)
    assert "fall on order 4" in tooth_words(8, 12)
    assert "do not show" in tooth_words(1440, 12)


def test_one_circle_alone_is_analysed_with_its_own_covariance() -> None:
    n, runs = 12, 2
    design = Design(n, (0,) * runs, closure="single", reading="interval", closing=False)
    matrix = Matrix(Header(design=design, lower=Circle(), upper=None))
    beta, rng = errors(n, 10), np.random.default_rng(11)
    for number in range(n * runs):
        run, step = divmod(number, n)
        value = beta[(step + 1) % n] - beta[step] + rng.normal(0, 0.02)
        matrix.add(Reading(number + 1, DAY, run, step + 1, float(value)))
    analysis = analyse(matrix.snapshot(), screened=False)
    circle = analyse_circle(analysis)
    # The intervals are white, so order h of the positions carries 1/(4 sin² (h pi/n)) of their variance (algebra).
    expected = analysis.deviation * np.sqrt(2 / n / runs) / (2 * np.sin(np.arange(1, 6) * np.pi / n))
    np.testing.assert_allclose(circle.found.amplitude_uncertainty[:5], expected, rtol=1e-9)
    with pytest.raises(Refused, match="one circle only"):
        analyse_circle(analysis, "upper")


def test_a_circle_that_is_not_determined_is_refused_with_what_is_missing() -> None:
    analysis = session(errors(12, 1), errors(12, 2), (0, 6))
    with pytest.raises(Refused) as refused:
        analyse_circle(analysis)
    assert "share a factor" in refused.value.remedy
    assert not refused.value.remedy.endswith(".")


def test_an_order_that_the_positions_do_not_show_is_refused() -> None:
    with pytest.raises(Refused, match="no order 7"):
        analyse_circle(session(errors(12, 1), errors(12, 2)), remove=(7,))


def test_without_scatter_nothing_is_called_significant() -> None:
    head = header(Design(5, (0, 1), closing=False))
    analysis = analyse(snapshot(head, errors(5, 1), errors(5, 2), 0.0, np.random.default_rng(3)))
    assert analysis.adjustment.degrees_of_freedom == 0
    circle = analyse_circle(analysis)
    assert not circle.significant.any()
    table = json.loads(json.dumps(circle_analysis_table(circle), allow_nan=False))
    assert [each["significant"] for each in table["harmonics"]] == [None, None]
    assert [each["p_value"] for each in table["harmonics"]] == [None, None]
    assert table["harmonics"][0]["amplitude"] > 0
    assert table["largest_between"]["standard_uncertainty"] is None


def test_everything_may_be_taken_off() -> None:
    circle = analyse_circle(session(errors(12, 1), errors(12, 2), sd=0.05), remove=(1, 2, 3, 4, 5, 6))
    np.testing.assert_allclose(circle.remaining.value, 0, atol=1e-12)
    np.testing.assert_allclose(circle.remaining.uncertainty, 0, atol=1e-7)


def test_the_lines_of_the_budget_reach_every_result() -> None:
    """An effect of order 2 stands whole in order 2 and leaves what remains without it."""
    analysis = session(errors(12, 6), errors(12, 7), sd=0.05)
    budget = Budget(
        lines=(
            Line("axes", standard_uncertainty=0.3, effect=Effect("harmonic", order=2)),
            Line("other", standard_uncertainty=5.0, effect=Effect("position", "upper")),
        )
    )
    alone = analyse_circle(analysis, remove=(2,))
    counted = analyse_circle(analysis, remove=(2,), budget=budget)
    assert (alone.u.recorded, alone.u.lines) == (False, 0)
    assert (counted.u.recorded, counted.u.lines) == (True, 1)
    np.testing.assert_allclose(alone.u.amplitude.standard, alone.found.amplitude_uncertainty, rtol=1e-9)
    np.testing.assert_allclose(alone.u.largest.standard[0], alone.interval.uncertainty)
    np.testing.assert_allclose(alone.u.largest.standard[3], alone.between_left.uncertainty)
    expected = alone.u.amplitude.standard.copy()
    expected[1] = np.hypot(expected[1], 0.3)
    np.testing.assert_allclose(counted.u.amplitude.standard, expected, rtol=1e-9)
    np.testing.assert_allclose(counted.u.remaining.standard, alone.u.remaining.standard, rtol=1e-9)
    np.testing.assert_allclose(
        counted.u.position.expanded, expanded((), analysis, budget).lower.position.expanded
    )
    assert counted.u.largest.standard[0] > alone.u.largest.standard[0]
    assert (counted.found.p_value == alone.found.p_value).all()
    table = circle_analysis_table(counted)
    assert table["budget_lines"] == 1
    assert table["harmonics"][1]["amplitude_expanded_uncertainty"] == counted.u.amplitude.expanded[1]
    assert circle_analysis_table(alone)["budget_lines"] is None


def test_an_order_that_the_budget_may_make_is_named() -> None:
    at = 2 * np.pi * np.arange(12) / 12
    analysis = session(0.4 * np.cos(2 * at), errors(12, 7), sd=0.05)
    budget = Budget(lines=(Line("axes", standard_uncertainty=0.3, effect=Effect("harmonic", order=2)),))
    assert analyse_circle(analysis).within_budget == ()
    assert analyse_circle(analysis, budget=budget).within_budget == (2,)


def test_an_eccentric_or_tilted_polygon_turns_no_face(tmp_path: Path) -> None:
    """To first order a face normal does not depend on where the polygon stands (common practice, no source)."""
    plan = replace(
        certified_header(12, arrangement="face by face"), upper=Circle("polygon", "P-1", "7", tolerance=0.6)
    )
    with taken(tmp_path / "a.toml", plan) as session:
        analysis = analyse(session.matrix.snapshot())
    found = analyse_circle(analysis, "upper")
    assert found.words.place == "face"
    assert set(found.causes) == {"", "even against odd"}
    assert "eccentricity" in analyse_circle(analysis, "lower").causes[0]
    with pytest.raises(Refused, match="a face does not turn"):
        analyse_circle(analysis, "upper", diameter=100.0)
