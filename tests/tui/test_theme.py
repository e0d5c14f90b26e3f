"""The colours can be read."""

from __future__ import annotations

import pytest
from textual.color import Color
from textual.theme import Theme

from tui.theme import DARK, LIGHT


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.1, definition of contrast ratio; memory)."""

    def luminance(name: str) -> float:
        parts = [part / 255 for part in Color.parse(name).rgb]
        red, green, blue = (
            part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
        )
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", ["background", "surface", "panel"])
@pytest.mark.parametrize("ink", ["foreground", "primary", "secondary", "success", "warning", "error"])
def test_every_ink_can_be_read_on_every_ground(theme: Theme, ground: str, ink: str) -> None:
    """At least 4.5 (WCAG 2.1, success criterion 1.4.3), text itself at least 7 (1.4.6); memory."""
    least = 7 if ink == "foreground" else 4.5
    assert contrast(getattr(theme, ink), getattr(theme, ground)) >= least


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
def test_the_cursor_can_be_read(theme: Theme) -> None:
    variables = theme.variables
    assert contrast(variables["block-cursor-foreground"], variables["block-cursor-background"]) >= 7
    assert contrast(variables["footer-key-foreground"], variables["footer-background"]) >= 4.5
