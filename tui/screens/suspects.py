"""The suspects: every flag that stands, heaviest first, and what striking the reading would change."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Literal

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from sessions.counted import counted, freedom_words
from sessions.rounding import decimals_for
from sessions.what_if import WhatIf
from solver.flags import Flag
from tui.latest import Latest
from tui.screens.card import CARD
from tui.screens.leave_once import LeaveOnce
from tui.typing import READING_CHARACTERS
from tui.widgets.bench import MessageLine, Said
from tui.widgets.formats import plain, signed
from tui.widgets.marks import ASCII, Characters, Tone
from tui.widgets.options import Options

#: Said where the value suggested may not be taken.
NOT_FROM_DIGITS = "What was meant does not follow from the digits: s strikes it, then read it again."

#: Said where a reading is typed that cannot go anywhere while the list is open.
NOT_HERE = "Esc closes the list; readings are typed at the bench."

#: Keys after which Enter means the marked suspect again, and no longer what was typed.
_MOVES = frozenset({"up", "down", "pageup", "pagedown", "home", "end"})

Doing = Literal["accept", "keep", "strike", "split"]


@dataclass(frozen=True, slots=True)
class Suspects:
    """What is listed: the flags, heaviest first, and what doing the obvious about one would change.

    Parameters
    ----------
    flags : tuple of Flag
        None once everything is dealt with.
    preview : callable
        Works that out, off the screen's thread: what is tried, in words, and what it would change.
    """

    flags: tuple[Flag, ...]
    preview: Callable[[Flag], tuple[str, WhatIf]]


@dataclass
class Previewed(Message):
    """What is tried, as "the reading were struck", and what it would change."""

    done: str
    what_if: WhatIf


class SuspectsScreen(LeaveOnce, ModalScreen[Flag | None]):
    """Choose a suspect and what to do about it; gives the flag to go to, or None.

    It stays open while suspects are dealt with, one after another, and closes by itself once none is left.

    Parameters
    ----------
    suspects : Suspects
        At least one.
    act : callable
        Does something about a flag; whoever opened the list says what came of it with `say` and `renew`.
    words : callable
        A flag in words.
    signs : Characters
        The set of characters.
    acceptable : callable
        Whether the value suggested for a flag may be taken.
    done : callable
        Called when the list closes by itself.
    """

    TITLE = "Suspects"
    HELP = """Readings that do not fit, the heaviest first, each against what chance allows. Nothing is done by itself:
    accept the value that a slip would explain, strike the reading, or keep it with a reason. The list stays open until
    Esc, or until no suspect is left; readings are typed at the bench, not here."""
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
        MessageLine {{ height: auto; padding: 0; margin-top: 1; display: none; }}
        MessageLine.-said {{ display: block; }}
    }}"""

    def __init__(
        self,
        suspects: Suspects,
        act: Callable[[Doing, Flag], None],
        words: Callable[[Flag], str],
        signs: Characters,
        acceptable: Callable[[Flag], bool],
        done: Callable[[], None],
    ) -> None:
        super().__init__()
        self._suspects = suspects
        self._act = act
        self._words = words
        self._signs = signs
        self._acceptable = acceptable
        self._done = done
        self._typed = False
        self._trying: Latest[Callable[[], Previewed]] = Latest(self, lambda job: job())

    def compose(self) -> ComposeResult:
        """Lay out a line for each flag and the preview of the marked one."""
        with Vertical(classes="card"):
            yield Static("Suspects, the heaviest first", classes="question", markup=False)
            yield Options(*self._options())
            yield Static("", classes="preview", markup=False)
            yield MessageLine(ascii_only=self._signs is ASCII)
            yield Static(
                "Enter goes there, a accepts the value suggested, s strikes, k keeps, m splits the run, "
                "Esc closes, F1 helps.",
                classes="keys",
                markup=False,
            )

    def _options(self) -> list[Option]:
        return [Option(self._line(flag)) for flag in self._suspects.flags]

    def _line(self, flag: Flag) -> Text:
        mark = self._signs.mark(Tone.STRONG_SUSPECT if flag.strong else Tone.SUSPECT)
        return Text(f"{mark} {self._words(flag)}")

    # What whoever opened it says

    def renew(self, suspects: Suspects) -> None:
        """List what is suspect now; the cursor stays on its suspect, or is on the one that comes after it."""
        marked = self._marked()
        self._suspects = suspects
        for listed in self.query(OptionList):
            at = min(listed.highlighted or 0, len(suspects.flags) - 1)
            same = (index for index, flag in enumerate(suspects.flags) if _same(flag, marked))
            listed.set_options(self._options())
            listed.highlighted = next(same, at) if suspects.flags else None
        self._close_if_done()

    def say(self, text: str, kind: Said = Said.PLAIN) -> None:
        """Say what came of something."""
        for line in self.query(MessageLine):
            line.set_class(bool(text), "-said")
            line.say(text, kind)
            line.refresh(layout=True)

    def on_screen_resume(self) -> None:
        """Close if the last suspect was dealt with while a question stood before the list."""
        self._close_if_done()

    def _close_if_done(self) -> None:
        if not self._suspects.flags and self.is_active:
            self.dismiss(None)
            self._done()

    # What is typed

    def on_key(self, event: events.Key) -> None:
        """Refuse a reading, and the Enter behind it, which would lead to the marked suspect."""
        if event.character in READING_CHARACTERS:
            self._typed = True
        elif event.key in _MOVES:
            self._typed = False
            self.say("")
        if event.character in READING_CHARACTERS or (self._typed and event.key == "enter"):
            event.stop()
            event.prevent_default()
            self._refuse(NOT_HERE)

    def on_paste(self, event: events.Paste) -> None:
        """Refuse a pasted column."""
        event.stop()
        self._refuse(NOT_HERE)

    def _refuse(self, why: str) -> None:
        self.say(why, Said.REFUSED)
        self.app.bell()

    @on(OptionList.OptionHighlighted)
    def _try(self) -> None:
        flag = self._marked()
        if flag is not None:
            self.query_one(".preview", Static).update("…")
            preview = self._suspects.preview
            self._trying.request(lambda: Previewed(*preview(flag)))

    @on(Previewed)
    def _show(self, previewed: Previewed) -> None:
        if self._trying.done():
            words = preview_words(previewed.what_if, previewed.done, self._signs)
            self.query_one(".preview", Static).update(words)

    @on(OptionList.OptionSelected)
    def _go(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(self._marked())

    def action_choose(self, choice: Doing) -> None:
        """Do something about the marked suspect."""
        flag = self._marked()
        if flag is None:
            return
        if choice == "accept" and not self._acceptable(flag):
            self._refuse(NOT_FROM_DIGITS)
            return
        self._act(choice, flag)

    def action_leave(self) -> None:
        """Do nothing."""
        self.dismiss(None)

    def _marked(self) -> Flag | None:
        flags = self._suspects.flags
        at = (listed.highlighted for listed in self.query(OptionList))
        return next((flags[index] for index in at if index is not None and index < len(flags)), None)


def _same(flag: Flag, other: Flag | None) -> bool:
    return other is not None and (flag.entry, flag.test) == (other.entry, other.test)


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
