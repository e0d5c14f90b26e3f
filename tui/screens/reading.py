"""The reading screen: the bench, and what the keys do to the record."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType

from sessions.accused import accused
from sessions.air import EXAMPLE, wrong_air
from sessions.counted import counted
from sessions.matrix import CellReading
from solver.refused import Refused
from tui.screens.ask import AskText
from tui.screens.bench import SOLVING
from tui.screens.judging import JudgingScreen
from tui.show import show
from tui.widgets.bench import Said


class ReadingScreen(JudgingScreen):
    """One session at the bench.

    Parameters
    ----------
    session : Session
        Open; the screen closes it when it leaves.
    """

    HELP = """Set what the prompt says, type the reading, press Enter: it is on the disk before it shows in the
    matrix, and the cursor goes where the bench goes next. The numeric keypad is enough. Move with the arrow keys or
    the mouse and type to add a repeat or to fill a gap; paste a column to fill a run. Nothing is ever deleted: a
    reading that should not count is struck, with a reason, and can be restored.

    Sign: with polarity + a reading rises when the mirror turns the way the lower circle steps on; where it falls the
    polarity is −. The worksheet “polarity and scale” (w) finds it with a small turn."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab,slash", "next_pane", "Pane", tooltip="readings, errors or plot, on a narrow screen"),
        Binding("v", "next_view", "View", tooltip="readings, residuals, spread of repeats, predicted values"),
        Binding(
            "asterisk",
            "undo",
            "Undo",
            key_display="*",
            tooltip="empty the line, or strike the reading typed last",
        ),
        Binding("s", "strike", "Strike", tooltip="a reading of this cell, or all, with a reason"),
        Binding("r", "restore", "Restore", tooltip="a struck reading of this cell, or all", show=False),
        Binding("g", "go", "Go on", tooltip="to the cell that the bench does next"),
        Binding("l", "record", "Record", tooltip="everything that happened, in order", show=False),
        Binding("n", "note", "Note", tooltip="for the record", show=False),
        Binding(
            "t", "conditions", "Air", tooltip="temperature, pressure, humidity, for the record", show=False
        ),
        Binding(
            "w", "worksheets", "Setup worksheets", tooltip="level, centre, polarity, warm-up, …", show=False
        ),
        Binding(
            "u",
            "budget",
            "Uncertainty budget",
            tooltip="what adds to the scatter of readings",
            show=False,
        ),
        Binding(
            "e",
            "extend",
            "Offsets",
            tooltip="which further one helps most; finer steps inside an arc",
            show=False,
        ),
        Binding("h", "harmonics", "Harmonics", tooltip="what the errors are made of", show=False),
        Binding("c", "certificate", "Certificate", tooltip="its details, and write it", show=False),
        Binding("escape", "leave", "Leave", tooltip="back to the sessions; nothing is unsaved"),
    ]

    # What the keys do

    def show_pane(self, pane: str) -> None:
        """Show a pane, and which it is."""
        super().show_pane(pane)
        self._show_title()

    def action_next_view(self) -> None:
        """Show the next view of the matrix, and on a narrow screen the matrix with it."""
        self.show_pane(self.PANES[0])
        self.view = self.view.following()
        self._show_matrix()
        self._show_title()
        self._say(f"Shown: {self.view.explained}.")

    def action_go(self) -> None:
        """Go to the cell that the bench does next."""
        self.go_on()

    def action_undo(self) -> None:
        """Take back what is half typed, else strike the reading typed last."""
        if self.line.clear():
            self._show_entry()
            self._say("The line is empty again; no reading was struck.")
        else:
            again: list[int | None] = []
            if self._attempt(lambda: again.append(self.flow.undo())):
                number = again[0]
                self.changed(
                    "The last reading is struck; type it again."
                    if number is None
                    else f"{self.named(number)} counts again, as it was typed."
                )

    def action_strike(self) -> None:
        """Strike a reading of the present cell."""
        readings = tuple(reading for reading in self._here() if reading.counts)
        if not readings:
            self._say("This cell has no reading to strike.", Said.REFUSED)
            return
        flag = self.suspicion.at(self.flow.place.run, self.flow.place.step)
        suspect = () if flag is None else accused(flag, self.session.matrix)
        marked = tuple(each.number for each in readings if each.number in suspect)
        self.choose_reading("Which reading is to be struck?", readings, self.ask_strike, marked)

    def action_restore(self) -> None:
        """Restore a struck reading of the present cell."""
        readings = tuple(reading for reading in self._here() if not reading.counts)
        if not readings:
            self._say("This cell has no struck reading.", Said.REFUSED)
            return
        self.choose_reading("Which reading is to be restored?", readings, self._restore)

    def action_note(self) -> None:
        """Write a note into the record."""
        self.app.push_screen(AskText("A note for the record"), self._note)

    def action_conditions(self) -> None:
        """Note the surroundings."""
        self.app.push_screen(
            AskText(
                "Temperature, pressure, humidity",
                note=f"°C, hPa, %, with blanks between, as {EXAMPLE}; - for unknown",
                check=wrong_air,
            ),
            self._conditions,
        )

    def action_worksheets(self) -> None:
        """Open the setup worksheets of this session."""
        from tui.screens.worksheets import WorksheetsScreen

        self.app.push_screen(WorksheetsScreen(self.session), lambda _: self._amended())

    def action_budget(self) -> None:
        """Open the uncertainty budget."""
        from tui.screens.budget import BudgetScreen

        self.app.push_screen(BudgetScreen(self.session), lambda _: self._amended())

    def action_harmonics(self) -> None:
        """Take the solved circles apart."""
        analysis = self._current
        if analysis is None:
            self._say(SOLVING)
            return
        from sessions.budget import budget_of
        from tui.screens.analysis import AnalysisScreen

        try:
            budget = budget_of(self.session.entries, self.session.header.design.positions)
        except Refused as refused:
            show(refused, self.app)
            return
        self.app.push_screen(AnalysisScreen(analysis, budget))

    def action_certificate(self) -> None:
        """Open the certificate."""
        from tui.screens.certificate import CertificateScreen

        self.app.push_screen(CertificateScreen(self.session), lambda _: self._amended())

    def action_record(self) -> None:
        """List everything that happened."""
        from tui.screens.record import RecordScreen

        self.app.push_screen(RecordScreen(self.session), self._look_at)

    def _look_at(self, cell: tuple[int, int] | None) -> None:
        if cell is not None:
            self.flow.move(*cell)
            self.show_place()
            self._say_here()
            self._offer()

    def action_extend(self) -> None:
        """Weigh further offsets and take one into the plan."""
        analysis = self._current
        if analysis is None:
            self._say(SOLVING)
            return
        from tui.screens.extend import ExtendScreen

        self.app.push_screen(ExtendScreen(self.session, analysis), self._extended)

    def action_leave(self) -> None:
        """Leave to the sessions."""
        if not self.meant_for_the_list():
            self.dismiss(None)

    def _extended(self, changed: bool | None) -> None:
        self._amended()
        if changed:
            self._say(f"The plan has {counted(self.session.header.design.run_count, 'run')} now.")

    def _amended(self) -> None:
        """Follow whatever was amended on another screen."""
        self.flow.header_changed()
        self.changed()

    def _here(self) -> tuple[CellReading, ...]:
        return self.session.matrix.readings(self.flow.place.run, self.flow.place.step)

    def _restore(self, numbers: tuple[int, ...]) -> None:
        if self._attempt(lambda: self.flow.restore(*numbers)):
            again = "counts" if len(numbers) == 1 else "count"
            self.changed(f"{self.named(*numbers)} {again} again.")

    def _note(self, text: str | None) -> None:
        if text is not None and self._attempt(lambda: self.session.note(text)):
            self._say("Noted.")

    def _conditions(self, text: str | None) -> None:
        if text is not None and self._attempt(lambda: self.flow.conditions(text)):
            self._say("Conditions noted.")
