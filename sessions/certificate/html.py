"""The certificate as one HTML file that needs nothing else, and prints well."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from sessions.certificate.annex import Grid
from sessions.certificate.figures import figures, polar_name, svg
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
    identity,
    results_heading,
)
from sessions.certificate_data import Certificate

#: Room for a block of the reading matrix, in letters, and what a column needs besides its own.
_ROOM, _GAP = 130, 3


@dataclass(frozen=True, slots=True)
class Block:
    """Some runs of the reading matrix: a title or none, headings, and step with cells for each row."""

    title: str
    runs: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def html(certificate: Certificate) -> str:
    """Return the certificate as HTML, plots and styles inside. The same certificate gives the same text."""
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    template = environment.from_string(
        files("sessions.certificate").joinpath("certificate.html").read_text(encoding="utf-8")
    )
    drawn = {name: Markup(svg(figure, name)) for name, figure in figures(certificate).items()}  # noqa: S704
    return template.render(
        c=certificate,
        drawn=drawn,
        foot=Markup(_css_text(footer(certificate))),  # noqa: S704
        footer=footer(certificate),
        draft=draft_lines(certificate),
        draft_words=DRAFT_WORDS,
        checks_note=CHECKS_NOTE,
        no_deviation=NO_DEVIATION,
        empty=empty_words(certificate),
        identity=identity(certificate),
        validity=VALIDITY,
        authorised=authorised(certificate),
        heading=results_heading,
        polar=polar_name,
        note=RESULTS_NOTE,
        harmonics=HARMONICS_NOTE,
        matrix_words=MATRIX_NOTE,
        blocks=tuple(block for grid in certificate.annex.grids for block in _blocks(grid)),
        fine_heading=fine_heading,
        fine_note=fine_note,
    )


def _blocks(grid: Grid) -> tuple[Block, ...]:
    widths = [
        max((len(cells[run]) for cells in grid.cells), default=0) + _GAP for run in range(len(grid.runs))
    ]
    widths = [
        max(width, *(len(line) + _GAP for line in heading.split("\n")))
        for width, heading in zip(widths, grid.runs, strict=True)
    ]
    return tuple(
        Block(
            "" if first else grid.title,
            grid.runs[first : first + len(columns)],
            tuple(
                (step, cells[first : first + len(columns)])
                for step, cells in zip(grid.steps, grid.cells, strict=True)
            ),
        )
        for first, columns in blocks(grid, widths, _ROOM)
    )


def _css_text(text: str) -> str:
    """Return a text as CSS writes it, every letter that is not plain by its number."""
    letters = [
        letter if letter.isascii() and (letter.isalnum() or letter in " .:-,") else f"\\{ord(letter):06x}"
        for letter in text
    ]
    return f'"{"".join(letters)}"'
