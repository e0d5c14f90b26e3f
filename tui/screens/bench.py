"""The bench on the screen: what is typed goes into the record, and the cursor where the bench goes."""

from __future__ import annotations

from collections.abc import Callable

from textual import on

from sessions.bench import Place
from sessions.flow import Fill, Took
from solver.refused import Refused
from tui.panes import reading_words
from tui.screens.ask import AskText
from tui.screens.bench_view import BenchView
from tui.typing import IN_THE_WAY, Key, doubt, without_unit
from tui.widgets.bench import EntryLine, MessageLine, Said
from tui.widgets.matrix import Matrix
from tui.widgets.results import Results

SOLVING = "Still being solved: once more in a moment."


class BenchScreen(BenchView):
    """One session at the bench: typing; what the other keys do stands in `ReadingScreen`.

    Parameters
    ----------
    session : Session
        Open; the screen closes it when it leaves.
    """

    # Every key comes here first, in order

    def typed_key(self, key: str, character: str | None) -> bool:
        """Handle a key of the entry line; return whether it was one."""
        match self.line.take(key, character):
            case Key.ENTER:
                self._enter()
            case Key.CHANGED:
                self._show_entry()
                doubts = doubt(self.line.text, self.session.header.instrument.unit)
                self.query_one(MessageLine).doubt(doubts)
                self._make_room()
            case Key.OTHER:
                return self._steer(key)
        return True

    def _steer(self, key: str) -> bool:
        """Hand a cursor key to the pane that shows; return whether it was one."""
        results = self.query_one(Results)
        if results.display and not self.query_one(Matrix).display:
            return results.steer(key)
        place = self.query_one(Matrix).steer(key)
        if place is not None and Place(*place) != self.flow.place:
            self.stand_at(*place)
        return place is not None

    def pasted(self, text: str) -> None:
        """Take a pasted column."""
        if self.line.text:
            self._say(IN_THE_WAY.format(self.line.text), Said.REFUSED)
            return
        unit = self.session.header.instrument.unit
        column = "\n".join(without_unit(line, unit) for line in text.splitlines())
        self._attempt(lambda: self._paste(column, self.flow.fills(column)))

    def _paste(self, column: str, fills: tuple[Fill, ...]) -> None:
        """Take a column; ask how it is meant where it can go into the cells in two ways."""
        if len(fills) == 1:
            self._took(self.flow.paste(column, fills[0]))
            return

        def answered(words: str | None) -> None:
            if words is not None:
                self._attempt(lambda: self._took(self.flow.paste(column, Fill(words))))

        choices = tuple(fill.value for fill in fills)
        self.app.push_screen(
            AskText(
                f"{self.session.header.design.repeats} readings are planned in each cell: "
                f"how are these {len(column.split())} meant?",
                choices=choices,
                check=lambda words: "" if words in choices else "Type 1 or 2.",
            ),
            answered,
        )

    def _enter(self) -> None:
        if not self.line.text:
            self.go_on()
            return
        unit = self.session.header.instrument.unit
        self.line.refused = not self._attempt(lambda: self._took(self.flow.enter(self.line.reading(unit))))

    def _took(self, took: Took) -> None:
        """Show what was taken, all in one repaint."""
        self.line.clear()
        with self.app.batch_update():
            for reading in took.readings:
                self.query_one(Matrix).refresh_cell(reading.run, reading.step)
            self.show_place()
            self._say_taken(took)
            self.solving.request()

    def _attempt(self, act: Callable[[], object]) -> bool:
        """Do something that may be refused; a refusal goes to the message line, and what was typed stays."""
        before = self.session.recorded
        try:
            act()
        except Refused as refusal:
            if self.session.recorded != before:
                # The disk may have filled half-way: what was recorded until then is shown.
                self._show_all()
                self.solving.request()
            self._say(str(refusal), Said.REFUSED)
            self.app.bell()
            return False
        return True

    def _say_taken(self, took: Took) -> None:
        last = took.readings[-1]
        shown = reading_words(last.value, self.session.header, self.flow, self._signs)
        where = f"run {last.run}, step {last.step}"
        count = len(took.readings)
        said = f"{shown} taken: {where}." if count == 1 else f"{count} readings taken, the last at {where}."
        fresh = self.session.notices[self._notices :]
        self._notices += len(fresh)
        self._say(" ".join((said, *fresh)), Said.SUSPECT if fresh else Said.PLAIN)

    def go_on(self) -> None:
        """Go to the cell that the bench does next."""
        if self.flow.next is None:
            self._say(self.flow.done_words())
            return
        self.flow.move(self.flow.next.run, self.flow.next.step)
        self.show_place()
        self._say_here()
        self._offer()

    def changed(self, said: str = "") -> None:
        """Show a change of the record and solve again; where there is nothing to say, what stands is left."""
        if self.leaving:
            # The answer of a question that was still open when the program ended.
            return
        self._show_all()
        if said:
            self._say(said)
        self.solving.request()

    @on(Matrix.Moved)
    def _follow(self, moved: Matrix.Moved) -> None:
        self.stand_at(moved.run, moved.step)

    def stand_at(self, run: int, step: int) -> None:
        """Go to a cell: what is typed now goes there."""
        self.flow.move(run, step)
        self.query_one(EntryLine).focus()
        with self.app.batch_update():
            self.show_place()
            self._say_here()
            self._offer()
