"""The suspects: every flag that stands, heaviest first, and what striking the reading would change."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Literal

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from sessions.counted import counted, freedom_words
from sessions.flags import OF_A_RUN
from sessions.rounding import decimals_for
from sessions.what_if import WhatIf
from solver.flags import Flag
from tui.latest import Latest
from tui.screens.card import CARD
from tui.screens.leave_once import LeaveOnce
from tui.widgets.formats import plain, signed
from tui.widgets.marks import Characters, Tone
from tui.widgets.options import Options

#: Said where the value suggested may not be taken.
NOT_FROM_DIGITS = "What was meant does not follow from the digits: s strikes it, then read it again."

Choice = Literal["go", "accept", "keep", "strike", "split"]


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is to be done, and about which flag."""

    choice: Choice
    flag: Flag


@dataclass
class Previewed(Message):
    """What striking, or splitting, would change for a flag."""

    flag: Flag
    what_if: WhatIf


class SuspectsScreen(LeaveOnce, ModalScreen[Chosen | None]):
    """Choose a suspect and what to do about it.

    Parameters
    ----------
    flags : tuple of Flag
        At least one, heaviest first.
    words : callable
        A flag in words.
    preview : callable
        Works out, off the screen's thread, what doing the obvious about a flag would change.
    signs : Characters
        The set of characters.
    acceptable : callable
        Whether the value suggested for a flag may be taken.
    """

    TITLE = "Suspects"
    HELP = """Readings that do not fit, the heaviest first, each against what chance allows. Nothing is done by itself:
    accept the value that a slip would explain, strike the reading, or keep it with a reason."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "choose('accept')", "Accept", tooltip="strike the reading and take the value suggested"),
        Binding(
            "s", "choose('strike')", "Strike", tooltip="the reading, or the run where all of it is meant"
        ),
        Binding("k", "choose('keep')", "Keep", tooltip="it leaves the list, marked as kept"),
        Binding("m", "choose('split')", "Split run", tooltip="the mirror was knocked: a constant of its own"),
        Binding("f1", "app.help", "Help", tooltip="this page"),
        Binding("escape,x", "leave", "Leave"),
    ]
    DEFAULT_CSS = f"""SuspectsScreen {{ {CARD}
        .card {{ width: 100; max-width: 100%; max-height: 100%; }}
        .preview {{ height: 2; margin-top: 1; }}
    }}"""

    def __init__(
        self,
        flags: tuple[Flag, ...],
        words: Callable[[Flag], str],
        preview: Callable[[Flag], WhatIf],
        signs: Characters,
        acceptable: Callable[[Flag], bool],
    ) -> None:
        super().__init__()
        self._flags = flags
        self._words = words
        self._signs = signs
        self._acceptable = acceptable
        self._trying: Latest[Flag] = Latest(self, lambda flag: Previewed(flag, preview(flag)))

    def compose(self) -> ComposeResult:
        """Lay out a line for each flag and the preview of the marked one."""
        with Vertical(classes="card"):
            yield Static("Suspects, the heaviest first", classes="question", markup=False)
            yield Options(*[Option(self._line(flag)) for flag in self._flags])
            yield Static("", classes="preview", markup=False)
            yield Static(
                "Enter goes there, a accepts the value suggested, s strikes, k keeps, m splits the run, "
                "Esc leaves, F1 helps.",
                classes="keys",
                markup=False,
            )

    def _line(self, flag: Flag) -> Text:
        mark = self._signs.mark(Tone.STRONG_SUSPECT if flag.strong else Tone.SUSPECT)
        return Text(f"{mark} {self._words(flag)}")

    @on(OptionList.OptionHighlighted)
    def _try(self, event: OptionList.OptionHighlighted) -> None:
        flag = self._flags[event.option_index]
        self.query_one(".preview", Static).update("…")
        self._trying.request(flag)

    @on(Previewed)
    def _show(self, previewed: Previewed) -> None:
        if self._trying.done():
            done = (
                "the run were split there"
                if previewed.flag.suggestion == "jump"
                else "the run were struck"
                if previewed.flag.suggestion in OF_A_RUN
                else "the reading were struck"
            )
            words = preview_words(previewed.what_if, done, self._signs)
            self.query_one(".preview", Static).update(words)

    @on(OptionList.OptionSelected)
    def _go(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(Chosen("go", self._flags[event.option_index]))

    def action_choose(self, choice: Choice) -> None:
        """Do something about the marked suspect."""
        flag = self._marked()
        if flag is None:
            return
        if choice == "accept" and not self._acceptable(flag):
            self.query_one(".preview", Static).update(NOT_FROM_DIGITS)
            self.app.bell()
            return
        self.dismiss(Chosen(choice, flag))

    def action_leave(self) -> None:
        """Do nothing."""
        self.dismiss(None)

    def _marked(self) -> Flag | None:
        index = self.query_one(OptionList).highlighted
        return None if index is None else self._flags[index]


def preview_words(what_if: WhatIf, done: str, signs: Characters) -> str:
    """Say what would change: the standard deviation, and the result that moves most."""
    before = _deviation(what_if.deviation_before, signs)
    after = _deviation(what_if.deviation_after, signs)
    if math.isnan(what_if.deviation_before) and math.isnan(what_if.deviation_after):
        return "No other run checks these readings yet."
    words = f"If {done}: residual s {before} → {after}, {freedom_words(what_if.freedom_after)}."
    if what_if.lost:
        words += f"\n{counted(what_if.lost, 'position error')} would no longer be determined."
    elif math.isfinite(what_if.change):
        change = signed(what_if.change, decimals_for(what_if.deviation_before), signs)
        words += f"\nLargest change: {what_if.circle} position {what_if.position} by {change}{signs.arcsec}."
    return words if signs.minus != "-" else words.replace("→", "->")


def _deviation(value: float, signs: Characters) -> str:
    if math.isnan(value):
        return "not determined"
    return f"{plain(value, decimals_for(value), signs)}{signs.arcsec}"
