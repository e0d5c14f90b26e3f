"""The bench that judges: what the keys do about suspects."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.binding import Binding, BindingType

from sessions.accused import accused
from sessions.analysis import Analysis
from sessions.bench import Place
from sessions.counted import counted, counted_are, verb_for
from sessions.flags import OF_A_RUN, acceptable
from sessions.matrix import CellReading
from sessions.screening_words import contradiction
from sessions.session import Session
from sessions.typed import wrong_reason
from sessions.what_if import WhatIf, if_split, if_struck
from solver.flags import Flag
from tui.panes import reading_words
from tui.screens.ask import AskText, Confirm
from tui.screens.bench import SOLVING, BenchScreen
from tui.screens.cell import CellScreen
from tui.screens.suspects import NOT_FROM_DIGITS, Doing, Suspects, SuspectsScreen, preview_words
from tui.widgets.bench import Said

#: Reasons offered when a reading is struck or kept.
REASONS = (
    "typing slip",
    "mirror knocked",
    "wrong position set",
    "not seated",
    "door opened",
    "vibration",
    "instrument not settled",
)
KEPT = ("checked, the reading stands", "read again, the same")


#: Actions that write to the record, with their keys: not offered where nothing can be written.
RECORDING = {
    "accept": "a",
    "keep": "k",
    "split": "m",
    "strike_run": "S",
    "undo": "asterisk",
    "strike": "s",
    "restore": "r",
    "note": "n",
    "conditions": "t",
}


class JudgingScreen(BenchScreen):
    """The bench with its suspects: see them, accept what explains them, strike, keep, split."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "suspects", "Suspects", tooltip="all that looks wrong, heaviest first"),
        Binding("a", "accept", "Accept", tooltip="strike the suspect and take the value suggested"),
        Binding("k", "keep", "Keep", tooltip="the suspect, on purpose, with a reason", show=False),
        Binding("j", "next_suspect", "Next suspect", tooltip="go to it", show=False),
        Binding(
            "m", "split", "Mirror knocked", tooltip="split the run at this cell, or undo that", show=False
        ),
        Binding(
            "S", "strike_run", "Strike run", tooltip="every reading of it, or restore them all", show=False
        ),
        Binding("b", "bell", "Bell", tooltip="ring when something looks wrong, or not", show=False),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._closed_itself = False

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Offer what can be done only while it can."""
        if self.session.read_only and action in RECORDING:
            return False
        if action == "suspects":
            return bool(self.suspicion.flags)
        if action == "accept":
            flag = self._flag_here()
            return flag is not None and acceptable(flag, self.session.header)
        if action == "go":
            return self.flow.next is not None and self.flow.place != self.flow.next
        return True

    def _steer(self, key: str) -> bool:
        """Say why a key that is not offered does nothing."""
        if self.session.read_only and key in RECORDING.values():
            self._refuse_to_record()
            return True
        words = {"x": "suspects", "a": "accept", "g": "go"}
        if key in words and not self.check_action(words[key], ()):
            self._say(self._why_not(key))
            return True
        return super()._steer(key)

    def _refuse_to_record(self) -> None:
        self._say(f"Read-only: {self.session.read_only}.", Said.REFUSED)
        self.app.bell()

    def _why_not(self, key: str) -> str:
        if key == "g":
            return self.flow.done_words() or "The cursor is where the bench goes next."
        if not self.suspicion.flags:
            caution = "" if self._current is None else contradiction(self._current)
            return f"No single reading stands out. {caution}" if caution else "Nothing looks wrong."
        if self._flag_here() is None:
            return "Nothing is suspect here; x lists the suspects."
        return NOT_FROM_DIGITS

    # What the keys do

    def action_suspects(self) -> None:
        """List the suspects."""
        if self.analysis is None or not self.suspicion.flags:
            self._say("Nothing is suspect.")
            return
        listed = SuspectsScreen(
            self._suspects(self.analysis),
            self._act,
            self.words,
            self._signs,
            lambda flag: acceptable(flag, self.session.header),
            self._list_closed,
        )
        self.app.push_screen(listed, lambda flag: self._go_to(flag) if flag is not None else None)

    def action_next_suspect(self) -> None:
        """Jump to the next suspect."""
        flag = self.suspicion.after(self.flow.place.run, self.flow.place.step)
        if flag is None:
            self._say("Nothing is suspect.")
            return
        self._go_to(flag)

    def action_accept(self) -> None:
        """Accept what is suggested for the suspect here."""
        flag = self._flag_here()
        if flag is None:
            self._say("Nothing is suspect here; x lists the suspects.", Said.REFUSED)
            return
        self._accept(flag)

    def action_keep(self) -> None:
        """Keep the suspect here."""
        flag = self._flag_here()
        if flag is None:
            self._say("Nothing is suspect here; x lists the suspects.", Said.REFUSED)
            return
        self._ask_keep(flag)

    def action_split(self) -> None:
        """Split the run at this cell, or undo the split that is there."""
        place = self.flow.place
        if (place.run, place.step) in self.session.matrix.splits:
            if self._attempt(lambda: self.flow.unsplit(place.run, place.step)):
                self.changed(f"Run {place.run} has one constant again.")
            return
        # Whoever moved the cursor away from the bench means the cell that it was moved to.
        flag = self._flag_here() if place == self.flow.next else None
        at = Place(flag.run, flag.step) if flag is not None and flag.suggestion == "jump" else place
        self._ask_split(at)

    def action_strike_run(self) -> None:
        """Strike every reading of the run, after a question."""
        self._ask_strike_run(self.flow.place.run)

    def _ask_strike_run(self, run: int) -> None:
        if not any(reading.counts for reading in self.flow.readings_of(run)):
            self._ask_restore_run(run)
            return
        self.app.push_screen(
            AskText(f"Why is the whole of run {run} struck?", choices=REASONS, check=wrong_reason),
            lambda reason: self._strike_run(run, reason),
        )

    def _ask_restore_run(self, run: int) -> None:
        if not self.flow.readings_of(run):
            self._say(f"Run {run} has no reading to strike.", Said.REFUSED)
            return
        self.app.push_screen(
            Confirm(
                f"All of run {run} is struck. Restore it?",
                yes="Restore it",
                no="Leave it",
                note="What was struck before for another reason stays struck.",
            ),
            lambda yes: self._restore_run(run) if yes else None,
        )

    def _restore_run(self, run: int) -> None:
        restored: list[int] = []
        if self._attempt(lambda: restored.append(self.flow.restore_run(run))):
            self.changed(f"{counted_are(restored[0], 'reading')} restored in run {run}.")

    def action_bell(self) -> None:
        """Switch the bell on or off."""
        self.bell_on = not self.bell_on
        self._show_title()
        self._say(
            "The bell is on."
            if self.bell_on
            else "The bell is off until b is pressed again: watch the marks."
        )

    # What follows

    def _flag_here(self) -> Flag | None:
        """Return the flag of the cell under the cursor, else of the reading typed last, else the one spoken of."""
        here = self.suspicion.at(self.flow.place.run, self.flow.place.step)
        last = self.session.matrix.last
        typed = None if last is None else self.suspicion.of_entry(last.number)
        told = None if self.told is None else self.suspicion.of_entry(self.told)
        return here or typed or told

    def _go_to(self, flag: Flag) -> None:
        self.flow.move(flag.run, flag.step)
        self.show_place()
        self._say(self.words(flag), Said.SUSPECT, flag)
        self._offer()

    # The list of suspects, which stays open while they are dealt with

    def _suspects(self, analysis: Analysis) -> Suspects:
        """Return what is suspect now, and a way to try what striking or splitting would change."""
        snapshot = self.session.matrix.snapshot()

        def preview(flag: Flag) -> tuple[str, WhatIf]:
            if flag.suggestion == "jump":
                return "the run were split there", if_split(snapshot, analysis, flag.run, flag.step)
            bad = accused(flag, snapshot)
            what = "the reading" if len(bad) == 1 else f"its {len(bad)} readings"
            what = "the run" if flag.suggestion in OF_A_RUN else what
            return f"{what} were struck", if_struck(snapshot, analysis, *bad)

        return Suspects(self.suspicion.flags, preview)

    def _listed(self) -> list[SuspectsScreen]:
        return [screen for screen in self.app.screen_stack if isinstance(screen, SuspectsScreen)]

    def _show_analysed(self, analysis: Analysis) -> None:
        """Show an analysis here and in the list."""
        super()._show_analysed(analysis)
        for listed in self._listed():
            listed.renew(self._suspects(analysis))

    def _say(self, text: str, kind: Said = Said.PLAIN, about: Flag | None = None) -> None:
        """Say something here, and in the list unless it is of a suspect, which stands there itself."""
        super()._say(text, kind, about)
        for listed in self._listed() if kind is not Said.SUSPECT else ():
            listed.say(text, kind)

    def _list_closed(self) -> None:
        self._closed_itself = True

    def typed_key(self, key: str, character: str | None) -> bool:
        """Handle a key of the entry line; after any but Escape the list that closed is forgotten."""
        if key != "escape":
            self._closed_itself = False
        return super().typed_key(key, character)

    def meant_for_the_list(self) -> bool:
        """Return whether an Escape was meant for the list that had just closed by itself, and say so."""
        closed, self._closed_itself = self._closed_itself, False
        if closed:
            self._say("The list of suspects has closed by itself. Esc again leaves the session.")
        return closed

    def _act(self, choice: Doing, flag: Flag) -> None:
        """Do something about a suspect of the list."""
        if self.session.read_only:
            self._refuse_to_record()
            return
        if self.solving.busy:
            self._say(SOLVING)
            return
        match choice:
            case "accept":
                self._accept(flag)
            case "keep":
                self._ask_keep(flag)
            case "strike":
                self._strike_suspect(flag)
            case "split":
                self._ask_split(Place(flag.run, flag.step))

    def _strike_suspect(self, flag: Flag) -> None:
        """Ask which reading of a pair is bad, where the others do not tell, and why it or its run is struck."""
        if flag.suggestion in OF_A_RUN:
            self._ask_strike_run(flag.run)
            return
        bad = accused(flag, self.session.matrix)
        doubted = (*flag.others, *bad)
        readings = tuple(
            each for each in self.session.matrix.readings(flag.run, flag.step) if each.number in doubted
        )
        self.choose_reading("Which of these is bad?", readings, self.ask_strike, bad)

    def choose_reading(
        self,
        question: str,
        readings: tuple[CellReading, ...],
        then: Callable[[tuple[int, ...]], None],
        marked: tuple[int, ...] = (),
    ) -> None:
        """Go on with the reading that is meant, or with all; ask only where there are several, some `marked`."""
        if len(readings) == 1:
            then((readings[0].number,))
            return
        self.app.push_screen(
            CellScreen(question, readings, self._written, marked),
            lambda numbers: then(numbers) if numbers is not None else None,
        )

    def _accept(self, flag: Flag) -> None:
        bad = self.named(flag.entry)
        if self._attempt(lambda: self.flow.accept(flag)):
            self.return_to_bench(flag)
            last = self.session.matrix.last
            meant = (
                "" if last is None else reading_words(last.value, self.session.header, self.flow, self._signs)
            )
            self.changed(f"{bad} is struck, {meant} taken in its place.")

    def _ask_keep(self, flag: Flag) -> None:
        self.app.push_screen(
            AskText(f"Why is {self.named(flag.entry)} kept?", choices=KEPT, check=wrong_reason),
            lambda reason: self._keep(flag, reason),
        )

    def _keep(self, flag: Flag, reason: str | None) -> None:
        if reason is not None and self._attempt(lambda: self.flow.keep(flag.entry, reason)):
            self.return_to_bench(flag)
            self.changed(f"{self.named(flag.entry)} is kept: {reason}.")

    def _written(self, reading: CellReading) -> str:
        return reading_words(reading.value, self.session.header, self.flow, self._signs)

    def named(self, *numbers: int) -> str:
        """Return a reading as a person knows it, its value, run and step; of several how many they are."""
        reading, place = self.session.matrix.reading(numbers[0]), self.session.matrix.place(numbers[0])
        if reading is None or place is None:
            return f"reading {numbers[0]}"
        what = self._written(reading) if len(numbers) == 1 else counted(len(numbers), "reading")
        return f"{what} of run {place[0]} step {place[1]}"

    def return_to_bench(self, flag: Flag) -> None:
        """Go on with the bench if the cursor stood on the suspect."""
        if (self.flow.place.run, self.flow.place.step) == (
            flag.run,
            flag.step,
        ) and self.flow.next is not None:
            self.flow.move(self.flow.next.run, self.flow.next.step)

    def ask_strike(self, numbers: tuple[int, ...]) -> None:
        """Ask why a reading is struck, or several of a cell are, and strike them."""
        verb = verb_for(len(numbers))
        self.app.push_screen(
            AskText(f"Why {verb} {self.named(*numbers)} struck?", choices=REASONS, check=wrong_reason),
            lambda reason: self._strike(numbers, reason),
        )

    def _strike(self, numbers: tuple[int, ...], reason: str | None) -> None:
        if reason is not None and self._attempt(lambda: self.flow.strike_all(numbers, reason)):
            self.changed(f"{self.named(*numbers)} {verb_for(len(numbers))} struck: {reason}.")

    def _strike_run(self, run: int, reason: str | None) -> None:
        if reason is not None and self._attempt(lambda: self.flow.strike_run(run, reason)):
            self.changed(f"Every reading of run {run} is struck: {reason}.")

    def _ask_split(self, place: Place) -> None:
        analysis = self._current
        if analysis is None:
            self._say(SOLVING)
            return
        snapshot = self.session.matrix.snapshot()

        def note() -> str:
            what_if = if_split(snapshot, analysis, place.run, place.step)
            done = f"run {place.run} had a constant of its own from step {place.step} on"
            return preview_words(what_if, done, self._signs)

        self.app.push_screen(
            Confirm(
                f"Was the mirror knocked before step {place.step} of run {place.run}?",
                yes="Yes, split the run",
                no="No",
                note=note,
            ),
            lambda yes: self._split(place, bool(yes)),
        )

    def _split(self, place: Place, yes: bool) -> None:
        if yes and self._attempt(lambda: self.flow.split(place.run, place.step)):
            self.changed(f"Run {place.run} is split before step {place.step}; m on that cell undoes it.")
