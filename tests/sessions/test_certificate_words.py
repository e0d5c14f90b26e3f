"""A certificate speaks of what was calibrated: polygon and table, encoder, one circle alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from sessions.certificate.csv import csv_text
from sessions.certificate.html import html
from sessions.certificate_data import Certificate, certificate
from sessions.circle_words import circle_words, item_names
from sessions.equipment import Circle
from sessions.flags import suggestion_words
from sessions.header import Header
from solver.flags import Flag
from tests.sessions.certified import certified, header

TABLE = Circle("index table", "RT-1", "1", 0.6)
POLYGON = Circle("polygon", "P-8", "2", 0.6)
ENCODER = Circle("encoder", "E-8", "3", 0.6)


def plan(lower: Circle, upper: Circle | None, **design: object) -> Header:
    return replace(header(8, **design), lower=lower, upper=upper)


ON_TABLE = plan(TABLE, POLYGON, arrangement="face by face", offsets=(0, 1, 3))
WITH_ENCODER = plan(TABLE, ENCODER, arrangement="face by face", offsets=(0, 1, 3))
ALONE = plan(POLYGON, None, closure="single", reading="interval", closing=False, offsets=(0, 0))
ENCODER_ALONE = plan(ENCODER, None, closure="single", reading="interval", closing=False, offsets=(0, 0))


def said(made: Certificate) -> str:
    """Return everything that the HTML says, without the plots' own marks."""
    return " ".join(html(made).split())


def made(path: Path, header: Header) -> Certificate:
    with certified(path / "a.toml", header) as session:
        return certificate(session, date(2026, 5, 1))


@pytest.mark.parametrize(
    ("header", "present", "absent"),
    [
        (
            ON_TABLE,
            (
                "Item, table",
                "Item, polygon",
                "of the table, the 8 positions used",
                "<h2>Results, table</h2>",
                "<h2>Results, polygon</h2>",
                "<p>Polygon: ",
                "The polygon stood on the table.",
                "of the polygon on the table",
                '<th scope="col">face</th>',
                "from face 0 at the top",
                "from position 0 at the top",
                "Largest face error about the mean",
                "Largest error from a face to the next",
                "face errors about the mean of all faces",
                "position errors about the mean of the circle",
                "grows round the circle; table only",
            ),
            ("lower", "upper", "stacked"),
        ),
        (
            WITH_ENCODER,
            ("<h2>Results, encoder</h2>", "and the encoder with it", "Item, encoder", "of the encoder;"),
            ("lower", "upper", "face", "polygon", "stacked"),
        ),
        (
            ALONE,
            (
                "The polygon was calibrated by closure",
                "one angle from face to face against the fixed angle",
                "8 angles from face to face",
                "<p>Polygon: ",
                "The fixed angle differs from 45°",
            ),
            ("lower", "upper", "table", "position", "interval to"),
        ),
        (
            ENCODER_ALONE,
            ("The encoder was calibrated by closure", "<p>Encoder: ", "every interval was compared"),
            ("lower", "upper", "face", "polygon", "index table"),
        ),
        (
            header(8, offsets=(0, 1, 3)),
            ("<h2>Results, lower circle</h2>", "They were stacked", "Largest interval error"),
            ("face to", "polygon"),
        ),
    ],
)
def test_each_kind_reads_as_made_for_it(
    tmp_path: Path, header: Header, present: tuple[str, ...], absent: tuple[str, ...]
) -> None:
    text = said(made(tmp_path, header))
    for words in present:
        assert words in text
    body = text[text.index("<body>") :].replace("<table", "").replace("</table", "")
    for words in ("lower-", "upper-"):
        body = body.replace(words, "")
    for words in absent:
        assert words not in body.replace("surface", "").replace("font-face", "")


def test_the_csv_keeps_its_keys_and_says_what_they_mean(tmp_path: Path) -> None:
    lines = csv_text(made(tmp_path, ON_TABLE)).splitlines()
    assert "# column circle: lower: the table, upper: the polygon" in lines
    assert any(line.startswith("# polygon, decision: ") for line in lines)
    assert any(line.startswith("upper,position_error,,0,") for line in lines)


def test_two_of_a_kind_are_told_apart() -> None:
    both = plan(ENCODER, ENCODER, arrangement="face by face")
    assert [words.item for words in circle_words(both)] == ["lower encoder", "upper encoder"]


@pytest.mark.parametrize(
    ("header", "names"),
    [
        (ON_TABLE, ("table", "polygon")),
        (WITH_ENCODER, ("table", "encoder")),
        (ALONE, ("polygon",)),
        (ENCODER_ALONE, ("circle",)),
        (header(8), ("lower", "upper")),
    ],
)
def test_names_of_things(header: Header, names: tuple[str, ...]) -> None:
    assert item_names(header) == names


@pytest.mark.parametrize(
    ("header", "suggestion", "moved", "words"),
    [
        (
            ON_TABLE,
            "run shifted",
            (1, -2),
            "run 1 fits with the table 1 position on and the polygon 2 faces back",
        ),
        (ON_TABLE, "circles confused", None, "run 1 fits with table and polygon exchanged"),
        (ALONE, "run shifted", (-1, 0), "run 1 fits with the polygon 1 face back"),
        (header(8), "run shifted", (0, 1), "run 1 fits with the upper 1 position on"),
        (header(8), "circles confused", None, "run 1 fits with lower and upper exchanged"),
    ],
)
def test_a_slip_of_a_whole_run_is_told_in_the_same_words(
    header: Header, suggestion: str, moved: tuple[int, int] | None, words: str
) -> None:
    flag = Flag(1, 3, 20, "residual", 9.0, 4.0, 0.1, 5.0, suggestion=suggestion, moved=moved)  # type: ignore[arg-type]
    assert suggestion_words(flag, header, decimals=2) == words
