"""The certificate as PDF, HTML and CSV: opened and read, not only written."""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from sessions.analysis import analyse
from sessions.budget import expanded
from sessions.certificate.csv import COLUMNS, csv_text
from sessions.certificate.html import html
from sessions.certificate.pdf import pdf
from sessions.certificate.write import write
from sessions.certificate_data import Certificate, certificate
from sessions.demo import copy_demo
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.certified import DETAILS, certified, header, taken

DAY = date(2026, 5, 1)


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Certificate:
    with certified(tmp_path_factory.mktemp("finished") / "a.toml") as session:
        return certificate(session, DAY)


@pytest.fixture(scope="module")
def draft(tmp_path_factory: pytest.TempPathFactory) -> Certificate:
    with Session.read(copy_demo(tmp_path_factory.mktemp("draft"))) as session:
        return certificate(session, DAY)


def pages(data: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(data)).pages]


class Text(HTMLParser):
    """Gathers the text of a page and the addresses that it names."""

    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []
        self.named: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.named += [value or "" for name, value in attrs if name in ("src", "href", "xlink:href")]
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.named += [value or "" for name, value in attrs if name in ("src", "href", "xlink:href")]

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text.append(data)


def read(page: str) -> Text:
    reader = Text()
    reader.feed(page)
    assert not reader.open
    return reader


def one_line(text: str) -> str:
    return " ".join(text.split())


def said(found: Certificate) -> list[str]:
    """Return what every format for people must say."""
    return [
        found.title,
        found.details.laboratory or "not filled in",
        found.digest,
        found.file,
        found.program,
        f"{found.issued:%Y-%m-%d}",
        *found.method,
        found.traceability,
        found.uncertainty,
        found.decision_rule,
        *(fact.value for fact in found.items + found.work + found.conditions + found.quality),
        *(circle.decided for circle in found.circles),
        *(check.meaning for check in found.checks),
        *(check.found for check in found.setup),
        *(line.words for line in found.annex.log),
        *(row.error.strip() for circle in found.circles for row in circle.rows),
        "End of the certificate",
    ]


@pytest.mark.parametrize("which", ["finished", "draft"])
def test_pdf_says_it_all(which: str, request: pytest.FixtureRequest) -> None:
    found: Certificate = request.getfixturevalue(which)
    data, lacking = pdf(found)
    assert not lacking
    text = pages(data)
    together = re.sub(r"\s+", "", "".join(text))
    for words in said(found):
        assert re.sub(r"\s+", "", words) in together, words
    for number, page in enumerate(text, 1):
        assert f"page {number} of {len(text)}" in page
        assert found.digest[:16] in page
        assert ("DRAFT" in page) == bool(found.draft)


def test_pdf_lists_what_is_empty_and_invents_nothing(draft: Certificate) -> None:
    first = one_line(pages(pdf(draft)[0])[0])
    assert "This is no certificate yet" in first
    assert "6 of 52 cells are not read yet" in first
    assert "not filled in: certificate number, laboratory, address of the laboratory, customer" in first
    assert "Authorised by: not filled in" in first


def test_every_page_bears_the_number(finished: Certificate) -> None:
    assert all("No. FT-2026-017" in page for page in pages(pdf(finished)[0]))


@pytest.mark.parametrize("which", ["finished", "draft"])
def test_html_says_it_all(which: str, request: pytest.FixtureRequest) -> None:
    found: Certificate = request.getfixturevalue(which)
    text = one_line("".join(read(html(found)).text))
    for words in said(found):
        assert one_line(words) in text, words
    assert ("DRAFT" in text) == bool(found.draft)


def test_html_needs_nothing_else(finished: Certificate) -> None:
    page = html(finished)
    assert all(address.startswith("#") for address in read(page).named)
    assert "@import" not in page
    assert "<script" not in page
    assert "<Ltd>" not in page
    assert "Example Works &amp; Sons &lt;Ltd&gt;" in page
    identifiers = re.findall(r'\bid="([^"]+)"', page)
    assert len(identifiers) == len(set(identifiers))
    assert set(re.findall(r'url\(#([^)]+)\)|href="#([^"]+)"', page))
    assert {a or b for a, b in re.findall(r'url\(#([^)]+)\)|href="#([^"]+)"', page)} <= set(identifiers)
    assert page.count("<svg") == 6


def test_same_input_same_bytes(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml", header(5)) as session:
        one, two = certificate(session, DAY), certificate(session, DAY)
    assert pdf(one)[0] == pdf(two)[0]
    assert html(one) == html(two)
    assert csv_text(one) == csv_text(two)


def test_csv_holds_every_digit(tmp_path: Path) -> None:
    with certified(tmp_path / "a.toml") as session:
        analysis = analyse(session.matrix.snapshot())
        u = expanded(session.entries, analysis)
        text = csv_text(certificate(session, DAY))
    head = [line for line in text.splitlines() if line.startswith("# ")]
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    for column in COLUMNS:
        assert any(line.startswith(f"# column {column}: ") for line in head)
    rows = list(csv.DictReader(lines))
    assert list(rows[0]) == list(COLUMNS)
    assert len(rows) == 2 * 3 * 12
    for name, errors in analysis.circles:
        uncertainty = dict(u.circles)[name]
        for result, estimate, found in (
            ("position_error", errors.position, uncertainty.position),
            ("from_first", errors.from_first, uncertainty.from_first),
            ("interval_error", errors.interval, uncertainty.interval),
        ):
            here = [row for row in rows if (row["circle"], row["result"]) == (name, result)]
            np.testing.assert_array_equal([float(row["error_arcsec"]) for row in here], estimate.value)
            np.testing.assert_array_equal(
                [float(row["expanded_uncertainty_arcsec"]) for row in here], found.expanded
            )
            np.testing.assert_array_equal(
                [float(row["coverage_factor"] or "nan") for row in here], found.factor
            )
    last = [row for row in rows if row["result"] == "interval_error"][11]
    assert (last["from_position"], last["position"], last["angle_deg"]) == ("11", "0", "0.0")


def test_csv_says_at_its_head_what_the_figures_rest_on(finished: Certificate) -> None:
    head = [line[2:] for line in csv_text(finished).splitlines() if line.startswith("#")]
    for begins in (
        "operator: ",
        "date of calibration: ",
        "place of calibration: ",
        "temperature: ",
        "readings: ",
    ):
        assert any(line.startswith(begins) for line in head), begins
    budget = [line for line in head if line.startswith("budget: ")]
    sheet = finished.circles[0].budget
    assert sheet is not None
    assert [line.split(";")[0] for line in budget] == [f"budget: {row.name}" for row in sheet.rows]
    assert budget[-1] == "budget: not known; not assessed; grows round the circle; lower only; not counted"


def test_csv_leaves_what_is_not_determined_empty(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", header(4, offsets=(0, 2))) as session:
        text = csv_text(certificate(session, DAY))
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    assert {row["error_arcsec"] for row in rows if row["result"] == "position_error"} == {""}
    assert text.startswith("# DRAFT")


@pytest.mark.parametrize(
    "design",
    [
        {"closure": "single", "reading": "interval", "offsets": (0, 0)},
        {"arrangement": "face by face", "reading": "interval"},
        {"direction": "forward and return", "offsets": (0, 1), "drift": "linear", "repeats": 2},
        {"positions": 2},
        {"positions": 3, "offsets": (0,)},
        {"positions": 40, "offsets": (0, 1, 3)},
    ],
)
@pytest.mark.parametrize("empty", [False, True])
def test_all_kinds_of_sessions_print(tmp_path: Path, design: dict[str, object], empty: bool) -> None:
    n = int(design.pop("positions", 6)) if "positions" in design else 6  # type: ignore[call-overload]
    plan = header(n, **design)
    design["positions"] = n
    session = Session.create(tmp_path / "a.toml", plan) if empty else certified(tmp_path / "a.toml", plan)
    with session:
        found = certificate(session, DAY)
    assert pages(pdf(found)[0])
    read(html(found))
    csv_text(found)


def test_letters_that_no_font_has_are_reported(tmp_path: Path) -> None:
    with taken(tmp_path / "a.toml", header(4)) as session:
        strange = certificate(
            session, DAY, details=replace(DETAILS, customer="Łódź Ж 温度", laboratory="ß <b>")
        )
    data, lacking = pdf(strange)
    assert lacking == {"温", "度"}
    assert "Łódź" in pages(data)[0]
    notices = write(strange, tmp_path / "a.pdf")
    assert "温" in notices[0]
    assert write(strange, tmp_path / "a.html") == ()
    assert "温度" in (tmp_path / "a.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("ending", [".pdf", ".HTML", ".csv"])
def test_write(finished: Certificate, tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"out{ending}"
    write(finished, path)
    first = path.read_bytes()
    with pytest.raises(Refused, match="there already"):
        write(finished, path)
    assert path.read_bytes() == first
    write(finished, path, overwrite=True)
    assert path.read_bytes() == first
    assert [entry.name for entry in tmp_path.iterdir()] == [path.name]


@pytest.mark.parametrize("name", ["out.doc", "out", "pdf"])
def test_other_endings_are_refused(finished: Certificate, tmp_path: Path, name: str) -> None:
    with pytest.raises(Refused) as refusal:
        write(finished, tmp_path / name)
    assert ".pdf, .html or .csv" in refusal.value.remedy
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_not_there_is_refused(finished: Certificate, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no such folder"):
        write(finished, tmp_path / "nowhere" / "out.csv")
