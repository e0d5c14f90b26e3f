"""Type, colours and page of the PDF."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from xml.sax.saxutils import escape

from matplotlib import get_data_path
from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from sessions.certificate.numbers import DIGIT_SPACE, POINT_SPACE

TEXT, BOLD, ITALIC, OTHER = "FullturnText", "FullturnBold", "FullturnItalic", "FullturnOther"
#: matplotlib brings these along: the STIX fonts for text, DejaVu for letters that they lack. Both may be embedded.
_FILES: Mapping[str, str] = {
    TEXT: "STIXGeneral.ttf",
    BOLD: "STIXGeneralBol.ttf",
    ITALIC: "STIXGeneralItalic.ttf",
    OTHER: "DejaVuSans.ttf",
}

PAGE = A4
LEFT, RIGHT, TOP, BOTTOM = 22 * mm, 18 * mm, 24 * mm, 22 * mm
WIDTH = PAGE[0] - LEFT - RIGHT
HEIGHT = PAGE[1] - TOP - BOTTOM

INK, SOFT, RULE, FAINT = (HexColor(color) for color in ("#1b1f24", "#5d646c", "#b9bec4", "#eef0f2"))
ACCENT, DRAFT = HexColor("#1f3f66"), HexColor("#8a1f17")


def _style(name: str, font: str, size: float, leading: float, **more: object) -> ParagraphStyle:
    return ParagraphStyle(name, fontName=font, fontSize=size, leading=leading, textColor=INK, **more)


TITLE = _style("title", TEXT, 25, 30)
HEADING = _style("heading", BOLD, 11.5, 14, spaceBefore=13, spaceAfter=4, keepWithNext=1)
SUBHEADING = _style("subheading", BOLD, 9.5, 12, spaceBefore=8, spaceAfter=3, keepWithNext=1)
BODY = _style("body", TEXT, 9.6, 12.6, spaceAfter=4)
SMALL = _style("small", TEXT, 8.2, 10.2)
SOURCE = _style("source", TEXT, 7, 8.4)
SOURCE.textColor = SOFT
SMALL_RIGHT = _style("small right", TEXT, 8.2, 10.2, alignment=TA_RIGHT)
LABEL = _style("label", TEXT, 8.6, 11.4)
VALUE = _style("value", TEXT, 9.6, 11.8)
LABEL.textColor = SOFT
NOTICE = _style("notice", TEXT, 9.2, 11.8)
NOTICE.textColor = DRAFT
END = _style("end", ITALIC, 9, 12, spaceBefore=14, alignment=1)


def register_fonts() -> None:
    """Let reportlab know the fonts; more than once does no harm."""
    folder = Path(get_data_path()) / "fonts" / "ttf"
    known = pdfmetrics.getRegisteredFontNames()
    for name, file in _FILES.items():
        if name not in known:
            pdfmetrics.registerFont(TTFont(name, str(folder / file)))


@cache
def _letters(font: str) -> frozenset[int]:
    return frozenset(pdfmetrics.getFont(font).face.charToGlyph)


@dataclass(frozen=True, slots=True)
class Writing:
    """Writes text in the fonts there are.

    Parameters
    ----------
    lacking : set of str
        Gathers the letters that no font has.
    """

    lacking: set[str]

    def markup(self, text: str, font: str = TEXT) -> str:
        """Return text for a paragraph in a font, letters that it lacks in another one."""
        if text.isascii() and text.isprintable():
            return escape(text)
        parts = []
        for letter in self.plain(text, font):
            drawn = "<br/>" if letter == "\n" else escape(letter)
            here = letter == "\n" or ord(letter) in _letters(font)
            parts.append(drawn if here else f'<font name="{OTHER}">{drawn}</font>')
        return "".join(parts)

    def plain(self, text: str, font: str = TEXT) -> str:
        """Return text with spaces that every font has, and letters that none has as "\ufffd"."""
        if text.isascii() and "\t" not in text:
            return text
        text = text.replace(DIGIT_SPACE, "\u00a0\u00a0").replace(POINT_SPACE, "\u00a0").replace("\t", " ")
        missing = {letter for letter in text if not (ord(letter) in _letters(font) or letter == "\n")}
        missing = {letter for letter in missing if ord(letter) not in _letters(OTHER)}
        self.lacking.update(missing)
        for letter in missing:
            text = text.replace(letter, "\ufffd")
        return text
