"""The practice bench on the screen: the reading screen, with a simulated instrument beside the prompt."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from sessions.analysis import analyse
from sessions.counted import counted_are
from sessions.practice.bench import PracticeBench
from sessions.practice.debrief import debrief
from sessions.session import Session
from tui.panes import unit_sign
from tui.screens.ask import Confirm
from tui.screens.reading import ReadingScreen
from tui.screens.truth import TruthScreen
from tui.widgets.formats import signed


class Instrument(Static):
    """What the simulated instrument shows at the setting of the prompt."""

    DEFAULT_CSS = """
    Instrument { height: 1; width: 1fr; padding: 0 1; background: $panel; }
    """


class PracticeScreen(ReadingScreen):
    """A simulated session at the bench.

    Parameters
    ----------
    session : Session
        Open, and simulated; the screen closes it when it leaves.
    """

    HELP = """The bench is simulated: whatever the prompt says is set, and the line above it shows what the instrument
    reads there. Type that, press Enter, and go on as at a real bench; move to any cell to read it again. With slips,
    an assistant calls the readings out: watch what the program says of them, and strike or split what is wrong. When
    all is read, e shows the truth. The rest is as on every session."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "e", "truth", "The truth", tooltip="the true errors beside the solved ones, and what was missed"
        ),
    ]
    DEFAULT_CSS = """
    PracticeScreen {
        &.-narrow, &.-low {
            #bench { height: 8; }
        }
        &.-tiny #bench { height: 1fr; }
        &.-wide.-high {
            #desk { grid-rows: 1fr 16; }
            #bench { height: 16; }
            Instrument { margin-bottom: 1; }
        }
    }
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.title = "Practice"
        self._simulated = PracticeBench(session)
        self._instrument = Instrument(markup=False)

    def laid_out(self) -> None:
        """Put the instrument above the prompt."""
        super().laid_out()
        self.query_one("#bench", Vertical).mount(self._instrument, before=0)

    def show_place(self) -> None:
        """Show where the bench is, and what the instrument reads there."""
        super().show_place()
        self._instrument.update(self._reads(), layout=False)

    def _reads(self) -> Text:
        place, last = self.flow.place, self.session.matrix.last
        done = (
            self.flow.next is None and last is not None and (last.run, last.step) == (place.run, place.step)
        )
        if done:
            return Text("All readings are taken: e shows the truth.", "bold")
        shown = self._simulated.shows(place.run, place.step)
        value = signed(shown.value, self._simulated.decimals, self._signs)
        says = "The assistant calls out" if self._simulated.parameters.slips else "The instrument shows"
        unit = unit_sign(self._simulated.instrument, self._signs)
        return Text.assemble(f"{says}  ", (f" {value}{unit} ", "bold reverse"))

    def action_truth(self) -> None:
        """Show the truth, once all is read or the learner insists."""
        left = self.flow.remaining()
        if not left:
            self._show_truth(True)
            return
        self.app.push_screen(
            Confirm(
                "See the truth before all is read?",
                yes="Yes, show it",
                no="No, read on",
                note=f"{counted_are(left, 'reading')} still to be taken. "
                "What one has seen one cannot find out any more.",
            ),
            self._show_truth,
        )

    def _show_truth(self, sure: bool | None) -> None:
        if sure:
            self._attempt(self._debrief)

    def _debrief(self) -> None:
        found = debrief(self.session, analyse(self.session.matrix.snapshot()))
        self.app.push_screen(TruthScreen(found, self.session.header.title, decimals=self._simulated.decimals))
