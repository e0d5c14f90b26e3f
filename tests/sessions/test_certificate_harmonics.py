"""The harmonics that a certificate names, with their expanded uncertainties."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from sessions.analysis import analyse
from sessions.budget import Budget, expanded, record
from sessions.certificate.harmonics import harmonic_words
from sessions.certificate.html import html
from sessions.certificate_data import certificate
from sessions.circle_analysis import analyse_circle
from sessions.design import Design
from sessions.equipment import Instrument
from solver.budget import Line
from solver.effects import Effect
from tests.sessions.certified import header as certified_header
from tests.sessions.certified import taken
from tests.sessions.simulated import HT04, HT11, header, snapshot

N = 12
TURN = 2 * np.pi * np.arange(N) / N


def words(error: np.ndarray, budget: Budget | None = None, sd: float = 0.05) -> tuple[tuple[str, str], ...]:
    head = header(Design(N, tuple(range(N))), HT04, HT11, Instrument(accepted_sd=0.05))
    made = snapshot(head, error, np.zeros(N), sd, np.random.default_rng(1))
    return harmonic_words(analyse_circle(analyse(made, screened=False), budget=budget))


def test_orders_that_scatter_does_not_explain_are_named_with_their_peaks() -> None:
    [(once, first), (thrice, second)] = words(
        2.0 * np.cos(TURN - np.radians(60)) + np.cos(3 * TURN - np.radians(90))
    )
    assert once == "Once per turn"
    assert first.startswith(("2.0", "1.9"))
    place, _, rest = first.partition("highest at ")[2].partition("° ± ")
    assert float(place) == pytest.approx(60, abs=1)
    assert float(rest.removesuffix("°")) < 1
    assert thrice == "3 times per turn"
    assert second.endswith("° and every 120° on")
    assert float(second.partition("highest at ")[2].partition("°")[0]) == pytest.approx(30, abs=1)


def test_even_against_odd_has_a_sign_and_no_phase() -> None:
    [(times, told)] = words(np.where(np.arange(N) % 2, 1.0, -1.0))
    assert times == "6 times per turn"
    assert told.endswith("highest at 30° and every 60° on")


def test_what_the_budget_may_make_is_said() -> None:
    budget = Budget(lines=(Line("axes", standard_uncertainty=2.0, effect=Effect("harmonic", order=1)),))
    [(_, told)] = words(2.0 * np.cos(TURN), budget)
    assert told.endswith("within its uncertainty, so the budget's lines may make it")


def test_at_the_most_five_are_named_in_the_order_of_their_orders() -> None:
    error = np.sum([h * np.cos(h * TURN) for h in range(1, 7)], axis=0)
    assert [times.split()[0] for times, _ in words(error)] == ["Twice", "3", "4", "5", "6"]


def test_the_certificate_holds_them_with_its_budget(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", certified_header(8)) as session:
        record(session, Budget(lines=(Line("axes", half_width=0.1, effect=Effect("harmonic", order=2)),)))
        made = certificate(session, date(2026, 5, 1))
        analysis = analyse(session.matrix.snapshot())
        budget = expanded(session.entries, analysis).budget
    for circle, which in zip(made.circles, ("lower", "upper"), strict=True):
        found = analyse_circle(analysis, which, budget=budget)  # type: ignore[arg-type]
        np.testing.assert_array_equal(circle.amplitude_u, found.u.amplitude.expanded)
        assert circle.amplitude_u[1] > 0.115
        assert circle.harmonics == harmonic_words(found)
        for _, told in circle.harmonics:
            assert told in html(made).replace("&#39;", "'")


def test_a_circle_that_is_not_determined_has_none(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", certified_header(8, offsets=(0, 4))) as session:
        made = certificate(session, date(2026, 5, 1))
    assert all(circle.harmonics == () and not circle.amplitude_u.size for circle in made.circles)
