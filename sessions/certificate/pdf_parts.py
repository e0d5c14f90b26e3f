"""Building blocks of the PDF: facts, tables, bars, figures, and the frame of each page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, LongTable, Paragraph, Table, TableStyle

from sessions.certificate import pdf_style as style
from sessions.certificate.vector import draw

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sessions.certificate.facts import Fact
    from sessions.certificate.pdf_style import Writing

_BARE = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 6),
    ("TOPPADDING", (0, 0), (-1, -1), 1.6),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]


def facts(lines: Sequence[Fact], writing: Writing, label: float = 44 * mm) -> Table:
    """Return labelled lines, labels so wide; what is empty says so."""
    rows = [
        [
            Paragraph(writing.markup(line.label), style.LABEL),
            Paragraph(writing.markup(line.value), style.VALUE)
            if line.value
            else Paragraph("not filled in", style.LABEL),
        ]
        for line in lines
    ]
    return Table(rows, colWidths=[label, style.WIDTH - label], style=TableStyle(_BARE), hAlign="LEFT")


def table(
    heading: Sequence[str],
    rows: Sequence[Sequence[Any]],
    widths: Sequence[float],
    writing: Writing,
    *,
    size: float = 8.6,
    left: Sequence[int] = (0,),
    leading: float | None = None,
) -> LongTable:
    """Return a table with a heading that comes again on each page; a column not named in `left` is flush right.

    Texts are set on one line each, other cells as they are.
    """
    step = leading or size * 1.42
    drawn = [
        [writing.plain(cell) if isinstance(cell, str) else cell for cell in row] for row in (heading, *rows)
    ]
    styled = [
        ("FONT", (0, 1), (-1, -1), style.TEXT, size, size * 1.15),
        ("FONT", (0, 0), (-1, 0), style.TEXT, size - 0.4, size * 1.1),
        ("TEXTCOLOR", (0, 0), (-1, 0), style.SOFT),
        ("TEXTCOLOR", (0, 1), (-1, -1), style.INK),
        ("ALIGN", (0, 0), (-1, -1), "RIGHT"),
        *(("ALIGN", (column, 0), (column, -1), "LEFT") for column in left),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("VALIGN", (0, 1), (-1, -1), "MIDDLE"),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), (step - size * 1.15) / 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), (step - size * 1.15) / 2),
        ("LINEABOVE", (0, 0), (-1, 0), 0.7, style.INK),
        ("LINEBELOW", (0, 0), (-1, 0), 0.4, style.INK),
        ("LINEBELOW", (0, -1), (-1, -1), 0.7, style.INK),
    ]
    styled += [("LINEBELOW", (0, row), (-1, row), 0.25, style.RULE) for row in range(3, len(rows), 3)]
    return LongTable(drawn, colWidths=list(widths), style=TableStyle(styled), repeatRows=1, hAlign="LEFT")


class Bar(Flowable):  # type: ignore[misc]
    """A bar for a share between 0 and 1, with its figure beside it."""

    def __init__(self, share: float, width: float) -> None:
        super().__init__()
        self.width, self.height = width, 7.0
        self._share = share

    def draw(self) -> None:
        """Draw bar and figure."""
        canvas, length = self.canv, self.width - 26
        canvas.setFillColor(style.FAINT)
        canvas.rect(0, 0.5, length, 5.5, stroke=0, fill=1)
        canvas.setFillColor(style.ACCENT)
        canvas.rect(0, 0.5, length * self._share, 5.5, stroke=0, fill=1)
        canvas.setFillColor(style.INK)
        canvas.setFont(style.TEXT, 8.2)
        canvas.drawRightString(self.width, 0.6, f"{100 * self._share:.0f} %")


class Drawing(Flowable):  # type: ignore[misc]
    """A figure of matplotlib."""

    def __init__(self, figure: Figure) -> None:
        super().__init__()
        self._figure = figure
        width, height = figure.get_size_inches() * 72
        self._scale = min(1.0, style.WIDTH / float(width))
        self.width, self.height = float(width) * self._scale, float(height) * self._scale

    def draw(self) -> None:
        """Draw the figure."""
        self.canv.scale(self._scale, self._scale)
        draw(self._figure, self.canv, style.TEXT)


class ToBottom(Flowable):  # type: ignore[misc]
    """Room down to where `reserved` points are left on the page, but no less than `least`."""

    def __init__(self, reserved: float, least: float) -> None:
        super().__init__()
        self._reserved, self._least = reserved, least

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the room that it takes of what is left."""
        return width, max(height - self._reserved, self._least)

    def draw(self) -> None:
        """Draw nothing."""


class Numbered(Canvas):  # type: ignore[misc]
    """A canvas that knows how many pages there are before it writes the first, for "page x of y"."""

    def __init__(self, *arguments: Any, frame: Frame, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._pages: list[dict[str, Any]] = []
        self._frame = frame

    def showPage(self) -> None:  # noqa: N802 - the name is reportlab's
        """Keep the page for later."""
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Write all pages, each with its number."""
        for number, page in enumerate(self._pages, 1):
            self.__dict__.update(page)
            self._frame.draw(self, number, len(self._pages))
            super().showPage()
        super().save()


class Frame:
    """What stands on every page: number of the certificate, page x of y, laboratory, the draft's mark."""

    def __init__(self, head: str, foot: str, draft: bool) -> None:
        self._head = head
        self._foot = foot
        self._draft = draft

    def draw(self, canvas: Canvas, number: int, count: int) -> None:
        """Draw the frame of one page."""
        width, height = style.PAGE
        right = width - style.RIGHT
        if self._draft:
            canvas.saveState()
            canvas.setFont(style.BOLD, 30)
            canvas.setFillColor(style.DRAFT)
            canvas.drawRightString(right, height - 17.5 * mm, "DRAFT")
            canvas.restoreState()
        canvas.setFillColor(style.SOFT)
        canvas.setFont(style.TEXT, 8.4)
        if number > 1:
            canvas.drawString(style.LEFT, height - 15.5 * mm, self._head)
            canvas.setStrokeColor(style.RULE)
            canvas.setLineWidth(0.5)
            canvas.line(style.LEFT, height - 19.5 * mm, right, height - 19.5 * mm)
        canvas.setStrokeColor(style.RULE)
        canvas.setLineWidth(0.5)
        canvas.line(style.LEFT, 16 * mm, right, 16 * mm)
        canvas.drawString(style.LEFT, 11.5 * mm, self._foot)
        canvas.drawRightString(right, 11.5 * mm, f"page {number} of {count}")
