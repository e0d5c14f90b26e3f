"""The certificate as PDF, by reportlab: plain Python, works offline, sets long tables over pages."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from io import BytesIO
from typing import Any

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    HRFlowable,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)
from reportlab.platypus import Frame as TextFrame
from reportlab.platypus.doctemplate import LayoutError

from sessions.certificate import pdf_style as style
from sessions.certificate.annex import Grid
from sessions.certificate.facts import Fact
from sessions.certificate.figures import figures, polar_name
from sessions.certificate.fine import FineSheet
from sessions.certificate.layout import (
    CHECKS_NOTE,
    DRAFT_WORDS,
    HARMONICS_NOTE,
    MATRIX_NOTE,
    NO_DEVIATION,
    RESULTS_NOTE,
    VALIDITY,
    authorised,
    blocks,
    draft_lines,
    empty_words,
    fine_heading,
    fine_note,
    footer,
    header,
    identity,
    results_heading,
)
from sessions.certificate.pdf_parts import Bar, Drawing, Frame, Numbered, ToBottom, facts, table
from sessions.certificate.pdf_style import Writing
from sessions.certificate.results import BudgetSheet, CircleSheet
from sessions.certificate_data import Certificate
from solver.refused import Refused

#: Sizes of the type in the reading matrix: where all runs fit beside each other, and where they do not.
_LARGE, _SMALL = 8.2, 6.9
#: Rows up to which a table is not cut.
_SHORT = 24


def pdf(certificate: Certificate) -> tuple[bytes, frozenset[str]]:
    """Return the certificate as a PDF file, and the letters in it that no font at hand has.

    The same certificate gives the same bytes.

    Raises
    ------
    Refused
        Where a name or remark is too long for a page.
    """
    style.register_fonts()
    writing = Writing(set())
    file = BytesIO()
    document = BaseDocTemplate(
        file,
        pagesize=style.PAGE,
        title=f"{certificate.title} {certificate.number}".strip(),
        author=certificate.details.laboratory,
        subject="; ".join(fact.value for fact in certificate.items[:2]),
        creator=certificate.program,
        invariant=1,
    )
    frame = TextFrame(
        style.LEFT, style.BOTTOM, style.WIDTH, style.HEIGHT, leftPadding=0, rightPadding=0, topPadding=0
    )
    document.addPageTemplates(PageTemplate(frames=[frame]))
    around = Frame(
        writing.plain(header(certificate)), writing.plain(footer(certificate)), bool(certificate.draft)
    )
    story = _Story(certificate, writing)
    with _binary():
        try:
            document.build(story.flow(), canvasmaker=partial(Numbered, frame=around, invariant=1))
        except LayoutError:
            raise Refused(
                "a name or remark is too long for a page of the PDF",
                remedy="shorten it, or write the certificate as .html",
            ) from None
    return file.getvalue(), frozenset(writing.lacking)


@contextmanager
def _binary() -> Iterator[None]:
    """Let reportlab write streams as they are: coding them as text takes longer than all the rest."""
    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


class _Story:
    """What flows over the pages."""

    def __init__(self, certificate: Certificate, writing: Writing) -> None:
        self._of = certificate
        self._writing = writing
        self._figures = figures(certificate)

    def flow(self) -> list[Any]:
        """Return the whole certificate."""
        parts = [*self._first_page(), PageBreak(), *self._how()]
        for circle in self._of.circles:
            parts += self._results(circle)
        if "harmonics" in self._figures:
            parts.append(self._together("Harmonics", self._spectrum()))
        parts += [*self._uncertainty(), *self._checks(), *self._ending(), *self._annex()]
        parts.append(self._text("End of the certificate", style.END))
        return parts

    def _first_page(self) -> list[Any]:
        of, details = self._of, self._of.details
        name = details.laboratory or "Laboratory: not filled in"
        address = self._text(details.laboratory_address or "address: not filled in", style.SMALL)
        number = of.number or "not filled in"
        head = Table(
            [
                [self._text(name, style.SUBHEADING), self._text("Certificate number", style.SMALL_RIGHT)],
                [address, self._text(number, style.SMALL_RIGHT)],
            ],
            colWidths=[style.WIDTH * 0.65, style.WIDTH * 0.35],
            style=TableStyle(
                [
                    ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                    ("TOPPADDING", (0, 0), (-1, -1), 0),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
                    ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
                    ("VALIGN", (0, 1), (-1, 1), "TOP"),
                ]
            ),
        )
        parts: list[Any] = [
            head,
            HRFlowable(width="100%", thickness=0.8, color=style.INK, spaceBefore=4, spaceAfter=14),
            self._text(of.title, style.TITLE),
            Spacer(1, 8),
        ]
        if of.draft:
            parts += [self._notice(), Spacer(1, 6)]
        if of.empty:
            parts += [self._text(empty_words(of), style.NOTICE), Spacer(1, 8)]
        for lines in (of.parties[2:], of.items, of.work, identity(of)):
            parts += [facts(lines, self._writing), Spacer(1, 7)]
        parts += self._heading("Result")
        for circle in of.circles:
            parts.append(self._text(f"{circle.words.heading}: {circle.decided}.", style.BODY))
        if of.decision_rule:
            parts.append(self._text(of.decision_rule, style.BODY))
        parts += [self._text(VALIDITY, style.SMALL), ToBottom(52, 14), self._signature()]
        return parts

    def _notice(self) -> Table:
        lines = [self._text(DRAFT_WORDS, style.NOTICE)]
        lines += [self._text(f"– {line}", style.NOTICE) for line in draft_lines(self._of)]
        return Table(
            [[lines]],
            colWidths=[style.WIDTH],
            style=TableStyle(
                [("BOX", (0, 0), (-1, -1), 0.8, style.DRAFT), ("LEFTPADDING", (0, 0), (-1, -1), 7)]
            ),
        )

    def _signature(self) -> KeepTogether:
        line = HRFlowable(width=70 * mm, thickness=0.6, color=style.INK, hAlign="LEFT", spaceAfter=3)
        return KeepTogether([line, self._text(authorised(self._of), style.SMALL)])

    def _how(self) -> list[Any]:
        of = self._of
        return [
            *self._heading("Method"),
            *(self._text(paragraph, style.BODY) for paragraph in of.method),
            *self._heading("Traceability"),
            self._text(of.traceability, style.BODY),
            *self._heading("Conditions and readings"),
            facts((*of.conditions, *of.quality), self._writing),
        ]

    def _results(self, circle: CircleSheet) -> list[Any]:
        """Return table and plot of one circle."""
        width = style.WIDTH
        widths = [width * part for part in (0.09, 0.13, 0.13, 0.13, 0.13, 0.13, 0.13, 0.13)]
        rows = [
            [
                row.position,
                row.angle,
                row.error,
                row.error_u,
                row.from_first,
                row.from_first_u,
                row.interval,
                row.interval_u,
            ]
            for row in circle.rows
        ]
        words = f"Results, {circle.words.item}" if len(self._of.circles) > 1 else "Results"
        parts: list[Any] = [
            CondPageBreak(150 * mm if circle.name in self._figures else 90 * mm),
            *self._heading(words),
            self._text(circle.title, style.BODY),
        ]
        if circle.name in self._figures:
            parts += [Drawing(self._figures[circle.name]), Drawing(self._figures[polar_name(circle)])]
        parts += [facts_of(circle, self._writing), Spacer(1, 6)]
        parts.append(self._text(RESULTS_NOTE.format(k=circle.factor), style.SMALL))
        parts.append(Spacer(1, 4))
        results = table(results_heading(circle.words), rows, widths, self._writing, left=())
        parts.append(KeepTogether([results]) if len(rows) <= _SHORT else results)
        if circle.fine is not None:
            parts += self._fine(circle, circle.fine)
        if circle.name == "lower" and self._of.reference_angle:
            parts += [Spacer(1, 4), self._text(self._of.reference_angle, style.BODY)]
        return parts

    def _fine(self, circle: CircleSheet, fine: FineSheet) -> list[Any]:
        """Return the table of what runs over arcs measured of a circle."""
        rows = [[row.angle, row.error, row.error_u, row.from_first, row.from_first_u] for row in fine.rows]
        widths = [style.WIDTH * part for part in (0.2, 0.2, 0.2, 0.2, 0.2)]
        return [
            CondPageBreak(50 * mm),
            Spacer(1, 6),
            self._text(f"In fine steps, {circle.words.item}", style.SUBHEADING),
            self._text(fine_note(fine), style.SMALL),
            Spacer(1, 4),
            table(fine_heading(circle.words), rows, widths, self._writing, left=()),
        ]

    def _spectrum(self) -> list[Any]:
        parts = [self._text(HARMONICS_NOTE, style.SMALL), Drawing(self._figures["harmonics"])]
        lines = [
            Fact(f"{circle.words.heading}: {label[:1].lower()}{label[1:]}", words)
            for circle in self._of.circles
            for label, words in circle.harmonics
        ]
        return [*parts, facts(lines, self._writing, 62 * mm)] if lines else parts

    def _uncertainty(self) -> list[Any]:
        of = self._of
        parts = [*self._heading("Uncertainty"), self._text(of.uncertainty, style.BODY)]
        return parts + [
            KeepTogether(self._budget(circle, circle.budget))
            for circle in of.circles
            if circle.budget is not None
        ]

    def _budget(self, circle: CircleSheet, budget: BudgetSheet) -> list[Any]:
        width = style.WIDTH
        widths = [width * part for part in (0.235, 0.2, 0.215, 0.07, 0.1, 0.18)]
        small = style.SMALL
        rows: list[list[Any]] = [
            [
                [
                    self._text(row.name, small),
                    *([self._text(row.source, style.SOURCE)] if row.source else []),
                ],
                self._text(row.figure, small),
                self._text(row.effect, small),
                row.freedom if row.counted else "",
                row.standard if row.counted else "not counted",
                Bar(row.share, widths[-1] - 8) if row.counted else "",
            ]
            for row in budget.rows
        ]
        total = (
            f"Combined standard uncertainty {budget.combined}″, effective degrees of freedom {budget.freedom}, "
            f"k = {budget.factor}, U = {budget.expanded}″."
        )
        heading = ("contribution", "figure", "effect", "ν", "u, ″", "share of the variance")
        return [
            self._text(f"{circle.words.heading}, {budget.result}", style.SUBHEADING),
            table(heading, rows, widths, self._writing, left=(0, 1, 2), size=8.2),
            Spacer(1, 3),
            self._text(total, style.BODY),
        ]

    def _checks(self) -> list[Any]:
        width = style.WIDTH
        small = style.SMALL
        rows = [
            [self._text(cell, small) for cell in (check.name, check.figures, check.verdict, check.meaning)]
            for check in self._of.checks
        ]
        widths = [width * part for part in (0.25, 0.25, 0.11, 0.39)]
        heading = ("test", "figures", "", "what it says")
        head: list[Any] = [
            *self._heading("Does the model hold?"),
            self._text(CHECKS_NOTE, style.SMALL),
            Spacer(1, 3),
        ]
        if "residuals" in self._figures:
            head.append(Drawing(self._figures["residuals"]))
        return [
            KeepTogether(head),
            Spacer(1, 4),
            KeepTogether([table(heading, rows, widths, self._writing, left=(0, 1, 2, 3), size=8.2)]),
        ]

    def _ending(self) -> list[Any]:
        of = self._of
        parts = self._heading("Setup")
        if of.setup:
            rows = [
                [
                    self._text(cell, style.SMALL)
                    for cell in (check.name, check.verdict, check.found, check.time)
                ]
                for check in of.setup
            ]
            widths = [style.WIDTH * part for part in (0.2, 0.13, 0.45, 0.22)]
            parts.append(
                table(
                    ("worksheet", "verdict", "found", "recorded"),
                    rows,
                    widths,
                    self._writing,
                    left=(0, 1, 2, 3),
                )
            )
        else:
            parts.append(self._text("No setup worksheet is recorded.", style.BODY))
        parts += self._heading("Deviations and remarks")
        parts += [self._text(deviation, style.BODY) for deviation in of.deviations or (NO_DEVIATION,)]
        if of.remarks:
            parts.append(self._text(of.remarks, style.BODY))
        return parts

    def _annex(self) -> list[Any]:
        annex, writing = self._of.annex, self._writing
        parts = [PageBreak(), *self._heading(f"Annex A: readings as typed, {annex.unit}")]
        parts += [self._text(MATRIX_NOTE, style.SMALL), Spacer(1, 4)]
        for grid in annex.grids:
            if grid.title:
                parts += [CondPageBreak(40 * mm), self._text(grid.title, style.SUBHEADING)]
            parts += self._grid(grid)
        parts += [CondPageBreak(40 * mm), *self._heading("Annex B: what else was recorded")]
        if not annex.log:
            parts.append(self._text("Nothing.", style.BODY))
            return parts
        rows = [
            [str(line.number), line.time, line.what, self._text(line.words, style.SMALL)]
            for line in annex.log
        ]
        widths = [34, 104, 56, style.WIDTH - 194]
        parts.append(table(("entry", "time", "what", ""), rows, widths, writing, left=(1, 2, 3), size=8.2))
        return parts

    def _grid(self, grid: Grid) -> list[Any]:
        """Return the readings of runs of the same steps, in blocks beside each other as wide as the page."""
        parts: list[Any] = []
        size = _LARGE if _steps(grid, _LARGE) + sum(_widths(grid, _LARGE)) <= style.WIDTH else _SMALL
        steps = _steps(grid, size)
        for first, columns in blocks(grid, _widths(grid, size), style.WIDTH - steps):
            here = slice(first, first + len(columns))
            rows = [[step, *cells[here]] for step, cells in zip(grid.steps, grid.cells, strict=True)]
            block = table(
                ("step", *grid.runs[here]),
                rows,
                (steps, *columns),
                self._writing,
                size=size,
                leading=size * 1.21,
                left=(),
            )
            whole = len(rows) * size * 1.21 < style.HEIGHT - 70
            parts += [KeepTogether([block]) if whole else block, Spacer(1, 8)]
        return parts

    def _together(self, heading: str, parts: list[Any]) -> KeepTogether:
        return KeepTogether([*self._heading(heading), *parts])

    def _heading(self, words: str) -> list[Any]:
        return [self._text(words, style.HEADING)]

    def _text(self, words: str, kind: Any) -> Paragraph:
        return Paragraph(self._writing.markup(words, kind.fontName), kind)


def facts_of(circle: CircleSheet, writing: Writing) -> Any:
    """Return what is largest about a circle."""
    lines = [Fact(label, value) for label, value in circle.largest]
    if circle.tolerance is not None:
        lines.append(Fact("Decision", circle.decided))
    return facts(lines, writing, 62 * mm) if lines else Spacer(1, 1)


def _steps(grid: Grid, size: float) -> float:
    """Return how wide the column of steps must be in a size of type."""
    return float(max(stringWidth(step, style.TEXT, size) for step in ("step", *grid.steps)) + 9)


def _widths(grid: Grid, size: float) -> list[float]:
    """Return how wide each run's column must be in a size of type."""
    widths = []
    for run, heading in enumerate(grid.runs):
        texts = {cells[run] for cells in grid.cells} | set(heading.split("\n"))
        longest = sorted(texts, key=len)[-3:]
        widths.append(max(stringWidth(text, style.TEXT, size) for text in longest) + 9)
    return widths
