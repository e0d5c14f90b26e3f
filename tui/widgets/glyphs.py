"""Large digits as patterns: five rows and three rows of half blocks, and their plain ASCII twins."""

from __future__ import annotations

from collections.abc import Mapping

#: Pixels of the five-row digits: two pixels to a row, one to a column, strokes two pixels wide.
_TALL = {
    "0": ".####. ###### ##..## ##..## ##..## ##..## ##..## ##..## ###### .####.",
    "1": "..##.. .###.. ####.. ..##.. ..##.. ..##.. ..##.. ..##.. ###### ######",
    "2": ".####. ###### ##..## ....## ...### ..###. .###.. ###... ###### ######",
    "3": ".####. ###### ##..## ....## ..###. ..###. ....## ##..## ###### .####.",
    "4": "...### ..#### .##.## ##..## ##..## ###### ###### ....## ....## ....##",
    "5": "###### ###### ##.... ##.... #####. ###### ....## ##..## ###### .####.",
    "6": ".####. ###### ##.... ##.... #####. ###### ##..## ##..## ###### .####.",
    "7": "###### ###### ....## ....## ...##. ...##. ..##.. ..##.. ..##.. ..##..",
    "8": ".####. ###### ##..## ##..## .####. .####. ##..## ##..## ###### .####.",
    "9": ".####. ###### ##..## ##..## ###### .##### ....## ....## ###### .####.",
    "+": "...... ...... ..##.. ..##.. ###### ###### ..##.. ..##.. ...... ......",
    "-": "...... ...... ...... ...... ###### ###### ...... ...... ...... ......",
    ".": ".. .. .. .. .. .. .. .. ## ##",
    " ": "...... ...... ...... ...... ...... ...... ...... ...... ...... ......",
}

#: Pixels of the three-row digits, strokes one pixel wide.
_SHORT = {
    "0": ".##. #..# #..# #..# #..# .##.",
    "1": ".#.. ##.. .#.. .#.. .#.. ###.",
    "2": "###. ...# ..#. .#.. #... ####",
    "3": "###. ...# .##. ...# ...# ###.",
    "4": "#..# #..# #..# #### ...# ...#",
    "5": "#### #... ###. ...# ...# ###.",
    "6": ".##. #... ###. #..# #..# .##.",
    "7": "#### ...# ..#. ..#. .#.. .#..",
    "8": ".##. #..# .##. #..# #..# .##.",
    "9": ".##. #..# #..# .### ...# .##.",
    "+": "... ... .#. ### .#. ...",
    "-": "... ... ... ### ... ...",
    ".": ". . . . . #",
    " ": ".... .... .... .... .... ....",
}

_TALL_ASCII = {
    "0": ".###. #...# #...# #...# .###.",
    "1": "..#.. .##.. ..#.. ..#.. .###.",
    "2": "####. ....# .###. #.... #####",
    "3": "####. ....# .###. ....# ####.",
    "4": "#..#. #..#. ##### ...#. ...#.",
    "5": "##### #.... ####. ....# ####.",
    "6": ".###. #.... ####. #...# .###.",
    "7": "##### ....# ...#. ..#.. ..#..",
    "8": ".###. #...# .###. #...# .###.",
    "9": ".###. #...# .#### ....# .###.",
    "+": "..... ..#.. ##### ..#.. .....",
    "-": "..... ..... ##### ..... .....",
    ".": ". . . . #",
    " ": "..... ..... ..... ..... .....",
}


_SHORT_ASCII = {
    "0": (" _ ", "| |", "|_|"),
    "1": ("   ", "  |", "  |"),
    "2": (" _ ", " _|", "|_ "),
    "3": (" _ ", " _|", " _|"),
    "4": ("   ", "|_|", "  |"),
    "5": (" _ ", "|_ ", " _|"),
    "6": (" _ ", "|_ ", "|_|"),
    "7": (" _ ", "  |", "  |"),
    "8": (" _ ", "|_|", "|_|"),
    "9": (" _ ", "|_|", " _|"),
    "+": ("   ", "_|_", " | "),
    "-": ("   ", "__ ", "   "),
    ".": (" ", " ", "."),
    " ": ("   ", "   ", "   "),
}

#: A pair of pixels, upper and lower, as a character.
_HALVES = {"..": " ", "#.": "▀", ".#": "▄", "##": "█"}


def large(text: str, rows: int, *, ascii_only: bool) -> tuple[str, ...]:
    """Return a number in large digits.

    Parameters
    ----------
    text : str
        Digits, signs, a point and spaces; a real minus sign counts as one.
    rows : int
        5 or 3.
    ascii_only : bool
        Whether to use plain ASCII characters instead of half blocks.

    Returns
    -------
    tuple of str
        `rows` lines of one length.

    Raises
    ------
    KeyError
        If a character has no large shape, or there is no such size.
    """
    shapes = _SHAPES[rows, ascii_only]
    glyphs = [shapes[character] for character in text.replace("−", "-")]
    return tuple(" ".join(glyph[row] for glyph in glyphs) for row in range(rows))


def has_shapes(text: str) -> bool:
    """Return whether every character of a text has a large shape."""
    return bool(text) and all(character in _TALL or character == "−" for character in text)


def _half_blocks(pixels: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    shapes = {}
    for character, pattern in pixels.items():
        lines = pattern.split()
        pairs = zip(lines[::2], lines[1::2], strict=True)
        shapes[character] = tuple(
            "".join(_HALVES[upper + lower] for upper, lower in zip(*pair, strict=True)) for pair in pairs
        )
    return shapes


def _hashes(pixels: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    return {
        character: tuple(line.replace(".", " ") for line in pattern.split())
        for character, pattern in pixels.items()
    }


_SHAPES: Mapping[tuple[int, bool], Mapping[str, tuple[str, ...]]] = {
    (5, False): _half_blocks(_TALL),
    (3, False): _half_blocks(_SHORT),
    (5, True): _hashes(_TALL_ASCII),
    (3, True): _SHORT_ASCII,
}
