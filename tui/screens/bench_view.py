"""The bench as the screen shows it: its layout, and what the session says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Container, Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Footer, Static

from sessions.analysis import Analysis
from sessions.counted import counted
from sessions.flags import flag_words
from sessions.flow import Flow
from sessions.pace import duration_words
from sessions.session import Session
from solver.flags import Flag
from tui.panes import plot_view, progress, reading_words, results_view, unit_sign
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.paned import Paned
from tui.screens.signs import Signs
from tui.solving import Solved, Solving
from tui.suspicion import Suspicion, cell_words
from tui.typing import TypedLine
from tui.views import MatrixView, Sight, View, part_words, reading_decimals
from tui.widgets.bench import EntryLine, MessageLine, Prompt, Said
from tui.widgets.digits import Digits
from tui.widgets.formats import fit
from tui.widgets.marks import Tone
from tui.widgets.matrix import Matrix
from tui.widgets.plot import ErrorPlot
from tui.widgets.results import Results

#: Lines from which the screen has the bench below the matrix.
_TALL = 10


class BenchView(LaidOut, Paned, Signs, LeaveOnce, Screen[None]):
    """One session as it is shown; what is typed and what the keys do stands in the screens made of it.

    Parameters
    ----------
    session : Session
        Open; the screen closes it when it leaves.
    """

    PANES = ("matrix", "results", "plot")
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-tiny"), (10, "-low"), (32, "-high")]  # noqa: RUF012
    DEFAULT_CSS = """
    BenchView {
        #title { height: 1; padding: 0 1; background: $panel; }
        #desk { height: 1fr; }
        #bench { background: $surface; }
        #set { height: 6; }
        #left { width: 1fr; height: 6; }
        Digits { width: 1fr; height: 6; }
        EntryLine { background: $panel; }
        &.-narrow, &.-low, &.-tiny {
            #desk { layout: vertical; }
            #bench { height: 7; dock: bottom; }
            #matrix, #results, #plot { display: none; height: 1fr; }
            &.-pane-matrix #matrix { display: block; }
            &.-pane-results #results { display: block; }
            &.-pane-plot #plot { display: block; }
            &.-talk {
                #set, #left, Digits { height: 5; }
                Prompt { height: 4; }
                MessageLine { height: 2; }
            }
        }
        &.-tiny {
            #title, #matrix, #results, #plot, Digits, Footer { display: none; }
            #bench { height: 1fr; }
            #set, #left { height: 1fr; }
            Prompt { height: 1fr; }
        }
        &.-wide.-high {
            #desk {
                layout: grid; grid-size: 2 2; grid-columns: 1fr 1fr; grid-rows: 1fr 14; grid-gutter: 0 2;
            }
            #bench { height: 14; padding: 1 0 0 0; }
            #set { layout: vertical; height: 11; }
            #left { height: 5; }
            Prompt { height: 4; }
            Digits { margin-left: 1; }
            MessageLine { height: 2; }
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
        self.bell_on = True
        self.view = View.READINGS
        self.source: MatrixView | None = None
        self.pane = self.PANES[0]
        self.analysis: Analysis | None = None
        self.suspicion = Suspicion()
        self._said: set[tuple[int, str]] = set()
        self.told: int | None = None
        self._notices = len(session.notices)
        self._offered: tuple[bool, ...] = ()
        self.solving = Solving(self, session.matrix.snapshot, self._show_analysed)

    @property
    def legend(self) -> str:
        """What the signs in the matrix mean, for the help."""
        return self._signs.legend

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
                        yield Prompt(ascii_only=plain)
                        yield EntryLine(self.typed_key, self.pasted, id="entry")
                    yield Digits(ascii_only=plain)
                yield MessageLine(ascii_only=plain, id="message")
            yield ErrorPlot(ascii_only=plain, id="plot")
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Show the session as it stands and solve it."""
        self.show_pane(self.pane)
        self._show_all()
        self._greet()
        self.query_one(EntryLine).focus()
        self.solving.request()

    def on_resize(self) -> None:
        """Fit title and message to the width."""
        self._show_title()
        self._make_room()

    def on_unmount(self) -> None:
        """Give the session back, so that another program may write to it."""
        self.session.close()

    # What is typed and pasted goes to the screen made of this

    def typed_key(self, key: str, character: str | None) -> bool:
        """Handle a key of the entry line; return whether it was one."""
        raise NotImplementedError

    def pasted(self, text: str) -> None:
        """Take a pasted column."""
        raise NotImplementedError

    # Showing

    @property
    def _current(self) -> Analysis | None:
        """The newest analysis, unless the plan was amended since."""
        found = self.analysis
        return found if found is not None and found.header.design == self.session.header.design else None

    def _say(self, text: str, kind: Said = Said.PLAIN, about: Flag | None = None) -> None:
        """Say something; `about` is the flag that it is of, which keys then mean."""
        self.told = None if about is None else about.entry
        self.query_one(MessageLine).say(text, kind)
        self._make_room()

    def _make_room(self) -> None:
        """Give what is said a second line where it needs one; the bench is a line lower then."""
        line = self.query_one(MessageLine)
        self.set_class(line.length > self.size.width - 2 and self.size.height >= _TALL, "-talk")

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
            self.show_place()
            self._show_analysis()

    def _show_matrix(self, changed: Iterable[tuple[int, int]] | None = None) -> None:
        """Show the matrix anew, or only the cells that `changed` while its layout stays."""
        sight = Sight(self.flow, self._current, self._signs, self._tones())
        matrix, before = self.query_one(Matrix), self.source.shape if self.source is not None else None
        if self.source is None or before is None or before[0] is not self.view:
            self.source = MatrixView(self.view, sight)
        else:
            self.source.see(sight)
        if self.source.shape != before:
            matrix.show(self.source)
        elif changed is not None and self.view is View.READINGS:
            for run, step in changed:
                matrix.refresh_cell(run, step)
        else:
            # A person who scrolled away is not pulled back to the cursor.
            matrix.refresh_all()

    def show_place(self) -> None:
        """Show where the bench is: cursor, prompt, entry line, last reading, progress.

        A bench that has more to show of a place adds it here.
        """
        place = self.flow.place
        if self.source is not None and not self.source.holds(place.run):
            self._show_matrix()
            self._show_analysis()
            self._show_title()
        self.query_one(Matrix).move_to(place.run, place.step)
        self.query_one(Prompt).instruct(self.flow.instruction())
        self._show_entry()
        self._show_digits()
        self._show_title()

    def _show_entry(self) -> None:
        unit = unit_sign(self.session.header.instrument, self._signs)
        hint = f"type the reading, {unit}"
        if self.flow.next is None:
            hint = f"a further reading, {unit}"
        if self.session.read_only:
            hint = "read-only: no readings are taken"
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
        """Show how far the session is, what is suspect and what is shown; the title takes the room that is left."""
        done, planned = progress(self.flow)
        seconds = self.flow.seconds_left()
        parts = [f"{done} of {planned}"]
        if seconds is not None and done < planned:
            parts[0] += f", {duration_words(seconds)} left"
        part = part_words(self.session.header.design, self.flow.place.run)
        if part:
            parts.append(part.replace("°", self._signs.degree))
        count = len(self.suspicion.flags)
        if count:
            parts.append(f"{self._signs.mark(Tone.SUSPECT)} {counted(count, 'suspect')}")
        if not self.bell_on:
            parts.append("bell off")
        if self.session.read_only:
            parts.append("read-only")
        elif not (self.has_class("-wide") and self.has_class("-high")):
            parts.append(self._pane_words())
        elif self.view is not View.READINGS:
            parts.append(self.view.value)
        right = "   ".join(parts)
        title = self.session.header.title or self.session.path.name
        room = max(self.size.width - 2 - len(right) - 3, 0)
        line = Text(no_wrap=True, overflow="ellipsis")
        line.append(fit(title, room, self._signs).ljust(room), "bold")
        line.append(f"   {right}")
        self.query_one("#title", Static).update(line, layout=False)

    def _pane_words(self) -> str:
        """Return what the pane shows, and of the results that the arrow keys scroll them."""
        scrolls = f" {self._signs.up}{self._signs.down}"
        words = {"matrix": self.view.value, "results": f"results{scrolls}"}
        return words.get(self.pane, self.pane)

    def _show_analysis(self) -> None:
        self.query_one(Results).show(results_view(self.flow, self._current))
        self.query_one(ErrorPlot).show(plot_view(self.session.header, self._current))

    def _tones(self) -> Mapping[tuple[int, int], Tone]:
        return self.suspicion.tones

    @on(Solved)
    def _show_solved(self, solved: Solved) -> None:
        self.solving.done(solved)

    def _show_analysed(self, analysis: Analysis) -> None:
        """Show an analysis of the newest readings."""
        self.analysis = analysis
        before, self.suspicion = self.suspicion, Suspicion.of(analysis, self.session.matrix)
        with self.app.batch_update():
            self._show_matrix(self.suspicion.changed_since(before))
            self._show_analysis()
            self._show_digits()
            self._show_title()
            self._say_suspects()
            self._offer()

    def _say_suspects(self) -> None:
        """Say what became suspect for the first time, the reading typed last before others, and ring."""
        last = self.session.matrix.last
        flag = self.suspicion.to_say(self._said, last)
        self._said.update(self.suspicion.keys)
        if flag is None:
            return
        own = last is not None and flag.entry == last.number
        self._say(self.words(flag, where=not own, short=not own), Said.SUSPECT, flag)
        if self.bell_on:
            self.app.bell()

    def words(self, flag: Flag, *, where: bool = True, short: bool = False) -> str:
        """Return a flag in words, in the unit typed."""
        header = self.session.header
        decimals = reading_decimals(header, self.session.matrix)
        return self._sign(flag_words(flag, header, decimals=decimals, where=where, short=short))

    def _offer(self) -> None:
        """Bring the footer up to date if other keys make sense now; it is costly to draw."""
        offered = tuple(bool(self.check_action(action, ())) for action in ("suspects", "accept", "go"))
        if offered != self._offered:
            self._offered = offered
            self.refresh_bindings()

    def _say_here(self) -> None:
        """Say what is the matter with the cell under the cursor, else what stands in it."""
        flag = self.suspicion.at(self.flow.place.run, self.flow.place.step)
        readings = self.session.matrix.readings(self.flow.place.run, self.flow.place.step)
        if flag is not None:
            self._say(self.words(flag), Said.SUSPECT, flag)
        elif readings:
            self._say(
                cell_words(readings, reading_decimals(self.session.header, self.session.matrix), self._signs)
            )
        else:
            self._say("")
