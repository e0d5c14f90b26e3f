"""The polar plot of a certificate: where errors are drawn, what leaves a gap, what is named."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from sessions.certificate import pdf_style
from sessions.certificate.dial import REACH, dial, drawn, numbered, stretches
from sessions.certificate.figures import ACCENT, BAND, INK, SOFT, svg
from sessions.certificate.polar import MOST_STROKES, polar_figure
from sessions.certificate.vector import draw
from sessions.circle_words import Words
from solver.closure import Floats

nan = np.nan
POSITION = Words("lower circle")


def errors(n: int) -> Floats:
    """Invented errors, once and twice a turn."""
    turn = 2 * np.pi * np.arange(n) / n
    return np.asarray(0.2 * np.cos(turn - 1) + 0.05 * np.cos(2 * turn))


def figure(error: Floats, expanded: Floats, tolerance: float | None = None, words: Words = POSITION):  # type: ignore[no-untyped-def]
    return polar_figure(error, expanded, tolerance, words, (INK, ACCENT, BAND, SOFT), 6.7)


def test_position_0_is_at_the_top_and_numbers_rise_clockwise() -> None:
    on = dial(np.zeros(4), np.full(4, 0.1), None)
    x, y = on.at(np.array([0.0, 90.0, 180.0]), np.zeros(3))
    np.testing.assert_allclose([x, y], [[0, 1, 0], [1, 0, -1]], atol=1e-12)


@pytest.mark.parametrize("size", [3e-4, 0.07, 1.0, 26.0])
def test_every_error_finds_room_and_a_few_circles_name_the_scale(size: float) -> None:
    error = errors(12) * size
    u = np.full(12, 0.3 * size)
    on = dial(error, u, None)
    assert on.scale * (np.abs(error) + u).max() == pytest.approx(REACH)
    rings = on.rings()
    assert 4 <= len(rings) <= 8
    assert np.all(np.abs(rings) * on.scale <= REACH * 1.001)
    assert float(f"{on.step:.0e}") == pytest.approx(on.step)


def test_a_tolerance_is_in_view_unless_it_would_flatten_the_errors() -> None:
    error, u = errors(12), np.full(12, 0.05)
    assert dial(error, u, 0.45).scale == pytest.approx(REACH / 0.45)
    assert dial(error, u, 40.0) == dial(error, u, None)
    assert "tolerance" in svg(figure(error, u, 0.45), "a")
    assert "tolerance" not in svg(figure(error, u, 40.0), "a")


@pytest.mark.parametrize(
    ("known", "expected"),
    [
        ("1111", [(0, 4)]),
        ("0000", []),
        ("0111", [(1, 3)]),
        ("1101", [(3, 5)]),
        ("1010", [(2, 2), (4, 4)]),
        ("110110", [(3, 4), (6, 7)]),
    ],
)
def test_stretches_go_on_across_position_0(known: str, expected: list[tuple[int, int]]) -> None:
    assert list(stretches(np.array([letter == "1" for letter in known]))) == expected


@pytest.mark.parametrize("n", [4, 12, 72, 360])
def test_every_error_is_drawn_at_its_place_and_no_other(n: int) -> None:
    error, u = errors(n), np.full(n, 0.04)
    error[1], u[2] = nan, nan
    known = drawn(error, u)
    made = figure(error, u)
    axes = made.axes[0]
    [dots] = [line for line in axes.lines if line.get_marker() == "o"]
    expected = dial(error, u, None).at(360 * np.flatnonzero(known) / n, error[known])
    np.testing.assert_allclose(dots.get_data(), expected, atol=1e-12)
    # Nothing of the errors' own line lies in the gap, from position 0 to position 3.
    way = np.concatenate(
        [
            np.array(line.get_data()).T
            for line in axes.lines
            if line.get_color() == ACCENT and line is not dots
        ]
    )
    turn = np.degrees(np.arctan2(way[:, 0], way[:, 1])) % 360
    assert not np.any((turn > 1e-6) & (turn < 3 * 360 / n - 1e-6))
    assert f"2 of {n} not determined" in svg(made, "a")


def test_few_positions_bear_strokes_of_u_and_many_a_band() -> None:
    for n, patches in ((MOST_STROKES, 1), (MOST_STROKES + 1, 2)):
        error, u = errors(n), np.full(n, 0.04)
        axes = figure(error, u).axes[0]
        assert len(axes.patches) == patches
        strokes = [line for line in axes.lines if line.get_linewidth() == 0.9]
        assert len(strokes) == (n if patches == 1 else 0)
        if patches == 1:
            low, high = np.hypot(*strokes[5].get_data())
            on = dial(error, u, None)
            assert (high - low) / on.scale == pytest.approx(2 * 0.04)
            assert ((high + low) / 2 - 1) / on.scale == pytest.approx(error[5])


def test_a_position_alone_between_gaps_shows_its_uncertainty_in_a_band_too() -> None:
    error = errors(72)
    error[[9, 11]] = nan
    axes = figure(error, np.full(72, 0.04)).axes[0]
    assert sum(line.get_linewidth() == 0.9 for line in axes.lines) == 1


@pytest.mark.parametrize(("n", "count"), [(4, 4), (7, 7), (24, 24), (37, 9), (72, 12), (360, 12), (1440, 12)])
def test_numbers_leave_room_for_each_other(n: int, count: int) -> None:
    assert numbered(n)[0] == 0
    assert len(numbered(n)) == count
    assert n - numbered(n)[-1] >= numbered(n).step / 2


def test_the_pdf_holds_lines_and_text_that_can_be_searched() -> None:
    pdf_style.register_fonts()
    file = BytesIO()
    canvas = Canvas(file)
    draw(figure(errors(8), np.full(8, 0.05), 0.4, Words("polygon", "face")), canvas, pdf_style.TEXT)
    canvas.showPage()
    canvas.save()
    page = PdfReader(file).pages[0]
    assert not page.images
    text = page.extract_text()
    for words in ("error of each face", "from face 0 at the top", "0.1″", "tolerance ±0.4″"):
        assert words in text


def test_errors_that_are_all_0_are_drawn() -> None:
    assert "error 0" in svg(figure(np.zeros(5), np.zeros(5)), "a")
