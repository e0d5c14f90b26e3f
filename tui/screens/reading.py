"""The reading screen: type the readings, see both circles solved."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Footer, Static

from sessions.analysis import Analysis
from sessions.flow import Flow, Took
from sessions.matrix import CellReading, Snapshot
from sessions.pace import duration_words
from sessions.session import Session
from solver.refused import Refused
from tui.panes import plot_view, progress, reading_words, results_view, unit_sign
from tui.screens.ask import AskText
from tui.screens.cell import CellScreen
from tui.solving import Solved, Solving
from tui.typing import TypedLine
from tui.views import MatrixView, Sight, View
from tui.widgets.bench import EntryLine, MessageLine, Prompt, Said
from tui.widgets.digits import Digits
from tui.widgets.marks import Characters, Tone, characters
from tui.widgets.matrix import Matrix
from tui.widgets.plot import ErrorPlot
from tui.widgets.results import Results

#: Panes that a narrow screen shows one at a time.
PANES = ("matrix", "results", "plot")

#: Reasons offered when a reading is struck.
REASONS = (
    "typing slip",
    "mirror knocked",
    "wrong position set",
    "not seated",
    "door opened",
    "vibration",
    "instrument not settled",
)


class ReadingScreen(Screen[None]):
    """One session at the bench.

    Parameters
    ----------
    session : Session
        Open; the screen closes it when it leaves.
    """

    HELP = """Set what the prompt says, type the reading, press Enter: it is on the disk before it shows in the
    matrix, and the cursor goes where the bench goes next. The numeric keypad is enough. Move with the arrow keys or
    the mouse and type to add a repeat or to fill a gap; paste a column to fill a run. Nothing is ever deleted: a
    reading that should not count is struck, with a reason, and can be restored."""
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-low"), (32, "-high")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab,slash", "next_pane", "Pane", tooltip="readings, errors or plot, on a narrow screen"),
        Binding("v", "next_view", "View", tooltip="readings, residuals, spread of repeats, predicted values"),
        Binding("asterisk", "undo", "Take back", key_display="*", tooltip="strike the reading typed last"),
        Binding("s", "strike", "Strike", tooltip="strike a reading of this cell, with a reason"),
        Binding("r", "restore", "Restore", tooltip="restore a struck reading of this cell"),
        Binding("g", "go", "Go on", tooltip="to the cell that the bench does next"),
        Binding("n", "note", "Note", tooltip="write something into the record"),
        Binding("t", "conditions", "Air", tooltip="note temperature, pressure, humidity"),
        Binding("escape", "leave", "Leave", tooltip="back to the sessions; nothing is unsaved"),
    ]
    DEFAULT_CSS = """
    ReadingScreen {
        #title { height: 1; padding: 0 1; background: $panel; }
        #desk { height: 1fr; }
        #bench { background: $surface; }
        #set { height: 6; }
        #left { width: 1fr; height: 6; }
        Digits { width: 1fr; height: 6; }
        EntryLine { background: $panel; }
        &.-narrow, &.-low {
            #desk { layout: vertical; }
            #bench { height: 7; dock: bottom; }
            #matrix, #results, #plot { display: none; height: 1fr; }
            &.-pane-matrix #matrix { display: block; }
            &.-pane-results #results { display: block; }
            &.-pane-plot #plot { display: block; }
        }
        &.-wide.-high {
            #desk {
                layout: grid; grid-size: 2 2; grid-columns: 1fr 1fr; grid-rows: 1fr 14; grid-gutter: 0 2;
            }
            #bench { height: 14; padding: 1 0; }
            #matrix, #results, #plot { display: block; }
        }
    }
    """

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.title = "Reading"
        self.session = session
        self.flow = Flow(session)
        self.line = TypedLine()
        self.view = View.READINGS
        self.source: MatrixView | None = None
        self.pane = PANES[0]
        self.analysis: Analysis | None = None
        self.solving = Solving(self, self._newest)

    # Layout

    def compose(self) -> ComposeResult:
        """Lay out matrix, results, bench and plot; the style sheet says which stand side by side."""
        plain = self._ascii
        yield Static(id="title", markup=False)
        with Container(id="desk"):
            yield Matrix(typing=self.typed_key, pasting=self.pasted, ascii_only=plain, id="matrix")
            yield Results(ascii_only=plain, id="results")
            with Vertical(id="bench"):
                with Horizontal(id="set"):
                    with Vertical(id="left"):
                        yield Prompt()
                        yield EntryLine(self.typed_key, self.pasted, id="entry")
                    yield Digits(ascii_only=plain)
                yield MessageLine(id="message")
            yield ErrorPlot(ascii_only=plain, id="plot")
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Show the session as it stands and solve it."""
        self.set_class(True, f"-pane-{self.pane}")
        self._show_all()
        self._greet()
        self.query_one(EntryLine).focus()
        self.solving.request()

    def on_unmount(self) -> None:
        """Give the session back, so that another program may write to it."""
        self.session.close()

    # Typing: every key comes here first, in order

    def typed_key(self, key: str, character: str | None) -> bool:
        """Handle a key of the entry line; return whether it was one."""
        if key == "enter":
            self._enter()
        elif (
            (key == "backspace" and self.line.rub_out())
            or (key == "escape" and self.line.clear())
            or self.line.type(character)
        ):
            self._show_entry()
        else:
            return self._steer(key)
        return True

    def _steer(self, key: str) -> bool:
        """Hand a cursor key to the pane that shows; return whether it was one."""
        results = self.query_one(Results)
        if results.display and not self.query_one(Matrix).display:
            return results.steer(key)
        return self.query_one(Matrix).steer(key)

    def pasted(self, text: str) -> None:
        """Take a pasted column."""
        if self.line.text:
            self._say(
                f"“{self.line.text}” is still in the line: press Enter or Escape, then paste.", Said.REFUSED
            )
            return
        if not self._attempt(lambda: self._took(self.flow.paste(text))):
            # The disk may have filled half-way: what was taken until then is shown.
            self._show_matrix()
            self._show_place()
            self.solving.request()

    def _enter(self) -> None:
        if not self.line.text:
            self.action_go()
            return
        self._attempt(lambda: self._took(self.flow.enter(self.line.text)))

    def _took(self, took: Took) -> None:
        """Show what was taken, all in one repaint."""
        self.line.clear()
        with self.app.batch_update():
            for reading in took.readings:
                self.query_one(Matrix).refresh_cell(reading.run, reading.step)
            self._show_place()
            self._say_taken(took)
        self.solving.request()

    def _attempt(self, act: Callable[[], object]) -> bool:
        """Do something that may be refused; a refusal goes to the message line, and what was typed stays."""
        try:
            act()
        except Refused as refusal:
            self._say(str(refusal), Said.REFUSED)
            self.app.bell()
            return False
        return True

    # Showing

    @property
    def _signs(self) -> Characters:
        return characters(self._ascii)

    @property
    def _ascii(self) -> bool:
        return bool(getattr(self.app, "ascii_only", False))

    def _newest(self) -> tuple[Snapshot, int]:
        return self.session.matrix.snapshot(), len(self.session.entries)

    def _say(self, text: str, kind: Said = Said.PLAIN) -> None:
        self.query_one(MessageLine).say(text, kind)

    def _greet(self) -> None:
        """Say how the session was found."""
        if self.session.read_only:
            self._say(f"Read-only: {self.session.read_only}.", Said.REFUSED)
        elif self.session.notices:
            self._say(" ".join(self.session.notices), Said.SUSPECT)
        elif self.session.matrix.last is not None:
            done, planned = progress(self.flow)
            self._say(f"Resumed where it was left: {done} of {planned} readings are taken.")
        else:
            self._say("Every reading is on the disk as soon as it shows in the matrix.")

    def _show_all(self) -> None:
        """Show everything from the session and its newest analysis, in one repaint."""
        with self.app.batch_update():
            self._show_matrix()
            self._show_place()
            self._show_analysis()

    def _show_matrix(self) -> None:
        sight = Sight(self.flow, self.analysis, self._signs, self._tones())
        matrix, before = self.query_one(Matrix), self.source.shape if self.source is not None else None
        if self.source is None or before is None or before[0] is not self.view:
            self.source = MatrixView(self.view, sight)
        else:
            self.source.see(sight)
        if self.source.shape == before:
            # A person who scrolled away is not pulled back to the cursor.
            matrix.refresh_all()
        else:
            matrix.show(self.source)

    def _show_place(self) -> None:
        """Show where the bench is: cursor, prompt, entry line, last reading, progress."""
        place = self.flow.place
        self.query_one(Matrix).move_to(place.run, place.step)
        self.query_one(Prompt).instruct(self.flow.instruction())
        self._show_entry()
        self._show_digits()
        self._show_title()

    def _show_entry(self) -> None:
        unit = unit_sign(self.session.header, self._signs)
        hint = (
            "no readings can be taken: read-only" if self.session.read_only else f" type the reading, {unit}"
        )
        if self.flow.next is None and not self.line.text:
            hint = " all planned readings are taken"
        self.query_one(EntryLine).show(self.line.text, unit, hint, self._signs)

    def _show_digits(self) -> None:
        last = self.session.matrix.last
        digits = self.query_one(Digits)
        if last is None:
            digits.show("")
            return
        shown = reading_words(last.value, self.session.header, self.flow, self._signs)
        reading = self.session.matrix.reading(last.number)
        tone = self._tones().get((last.run, last.step), Tone.PLAIN)
        if reading is not None and not reading.counts:
            tone = Tone.STRUCK
        digits.show(shown, f"last reading: run {last.run}, step {last.step}", tone)

    def _show_title(self) -> None:
        title = self.session.header.title or self.session.path.name
        done, planned = progress(self.flow)
        seconds = self.flow.seconds_left()
        far = f"{done} of {planned} readings"
        if seconds is not None and done < planned:
            far += f", {duration_words(seconds)} left"
        line = Text(no_wrap=True, overflow="ellipsis")
        line.append(title, "bold")
        line.append(f"   {far}   ")
        if self.session.read_only:
            line.append("read-only", "reverse")
        elif not self.has_class("-wide") or not self.has_class("-high"):
            line.append(f"{self.pane if self.pane != 'matrix' else self.view.value}", "underline")
        elif self.view is not View.READINGS:
            line.append(self.view.explained, "underline")
        self.query_one("#title", Static).update(line, layout=False)

    def _show_analysis(self) -> None:
        self.query_one(Results).show(results_view(self.flow, self.analysis))
        self.query_one(ErrorPlot).show(plot_view(self.session.header, self.analysis))

    def _tones(self) -> dict[tuple[int, int], Tone]:
        return {}

    def _say_taken(self, took: Took) -> None:
        last = took.readings[-1]
        shown = reading_words(last.value, self.session.header, self.flow, self._signs)
        where = f"run {last.run}, step {last.step}"
        count = len(took.readings)
        self._say(
            f"{shown} taken: {where}." if count == 1 else f"{count} readings taken, the last at {where}."
        )

    @on(Solved)
    def _show_solved(self, solved: Solved) -> None:
        """Show an adjustment unless readings came in since: then a newer one is under way."""
        self.solving.done()
        if solved.version == len(self.session.entries):
            self.analysis = solved.analysis
            with self.app.batch_update():
                self._show_matrix()
                self._show_analysis()

    @on(Matrix.Moved)
    def _follow(self, moved: Matrix.Moved) -> None:
        self.flow.move(moved.run, moved.step)
        self.query_one(EntryLine).focus()
        with self.app.batch_update():
            self._show_place()

    # What the keys do

    def action_next_pane(self) -> None:
        """Show the next pane of a narrow screen."""
        self.remove_class(f"-pane-{self.pane}")
        self.pane = PANES[(PANES.index(self.pane) + 1) % len(PANES)]
        self.add_class(f"-pane-{self.pane}")
        self._show_title()

    def action_next_view(self) -> None:
        """Show the next view of the matrix."""
        self.view = self.view.following()
        self._show_matrix()
        self._show_title()
        self._say(f"Shown: {self.view.explained}.")

    def action_go(self) -> None:
        """Go to the cell that the bench does next."""
        if self.flow.next is None:
            self._say("All planned readings are taken. A repeat can still go into any cell.")
            return
        self.flow.move(self.flow.next.run, self.flow.next.step)
        self._show_place()

    def action_undo(self) -> None:
        """Strike the reading typed last."""
        if self._attempt(self.flow.undo):
            self._changed("The last reading is struck; type it again.")

    def action_strike(self) -> None:
        """Strike a reading of the present cell."""
        readings = tuple(reading for reading in self._here() if reading.counts)
        if not readings:
            self._say("This cell has no reading to strike.", Said.REFUSED)
            return
        self._choose("Which reading is to be struck?", readings, self._ask_strike)

    def action_restore(self) -> None:
        """Restore a struck reading of the present cell."""
        readings = tuple(reading for reading in self._here() if not reading.counts)
        if not readings:
            self._say("This cell has no struck reading.", Said.REFUSED)
            return
        self._choose("Which reading is to be restored?", readings, self._restore)

    def action_note(self) -> None:
        """Write a note into the record."""
        self.app.push_screen(AskText("A note for the record"), self._note)

    def action_conditions(self) -> None:
        """Note the surroundings."""
        self.app.push_screen(
            AskText("Temperature, pressure, humidity", note="°C, hPa, %, with blanks between; - for unknown"),
            self._conditions,
        )

    def action_leave(self) -> None:
        """Leave to the sessions."""
        self.dismiss(None)

    def _here(self) -> tuple[CellReading, ...]:
        return self.session.matrix.readings(self.flow.place.run, self.flow.place.step)

    def _choose(self, question: str, readings: tuple[CellReading, ...], then: Callable[[int], None]) -> None:
        if len(readings) == 1:
            then(readings[0].number)
            return
        self.app.push_screen(
            CellScreen(question, readings), lambda number: then(number) if number is not None else None
        )

    def _ask_strike(self, number: int) -> None:
        reading = self.session.matrix.reading(number)
        value = "" if reading is None else f" ({reading.value!r})"
        self.app.push_screen(
            AskText(f"Why is reading {number}{value} struck?", suggestions=REASONS, note=", ".join(REASONS)),
            lambda reason: self._strike(number, reason),
        )

    def _strike(self, number: int, reason: str | None) -> None:
        if reason is not None and self._attempt(lambda: self.flow.strike(number, reason)):
            self._changed(f"Reading {number} is struck: {reason}.")

    def _restore(self, number: int) -> None:
        if self._attempt(lambda: self.flow.restore(number)):
            self._changed(f"Reading {number} counts again.")

    def _note(self, text: str | None) -> None:
        if text is not None and self._attempt(lambda: self.session.note(text)):
            self._say("Noted.")

    def _conditions(self, text: str | None) -> None:
        if text is not None and self._attempt(lambda: self.flow.conditions(text)):
            self._say("Conditions noted.")

    def _changed(self, said: str) -> None:
        """Show a change of the record and solve again."""
        self._show_all()
        self._say(said)
        self.solving.request()
