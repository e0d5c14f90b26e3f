"""The comparison screen: the same circle in two or more sessions, its differences in numbers and as a plot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Static
from textual.worker import Worker, WorkerState

from solver.refused import Refused
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.paned import Paned
from tui.screens.signs import Signs
from tui.widgets.plot import ErrorPlot, PlotView

if TYPE_CHECKING:
    from sessions.comparison import Comparison
    from sessions.comparison_source import Source
    from sessions.same_circle import Choice, Which
    from solver.turned import Turn

#: Places of circles, as the keys know them.
WHICH: tuple[Which, ...] = ("lower", "upper")

_KEYS: Mapping[Choice, str] = {
    "the lower one": "press l for the lower circle, or o for the next pair of circles",
    "of the first": "press l or u for the lower or the upper one of the first session",
    "of each": "press o to go through the pairs of circles",
    "of each all the same": "if it is the same one all the same, press o until the two stand beside each other",
    "any": "press l for the lower circles, u for the upper ones, o to go through the pairs",
    "turns": "press l, u or o to take the circles as numbered",
}


class CompareScreen(LaidOut, Paned, Signs, LeaveOnce, Screen[None]):
    """Sessions of one circle compared; the files are only read.

    Parameters
    ----------
    paths : sequence of Path
        Two session files at least, the oldest first.
    """

    TITLE = "Comparison"
    HELP = """The same circle in two or more sessions: what changed, and whether that is more than chance. The first
    session is the one that the others are compared with. E_n beyond 1 is marked with <. The circle is found by its
    kind, name and serial; l and u go to the lower or the upper one of the first session, o to pairs of any names.
    A circle turned in its mounting is recognised and offered, and turned only when you say so."""
    PANES = ("numbers", "plot")
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab,slash", "next_pane", "Pane", tooltip="numbers or plot, on a narrow screen"),
        Binding("l", "choose('lower')", "Lower", tooltip="the lower circle of the first session"),
        Binding("u", "choose('upper')", "Upper", tooltip="the upper circle of the first session"),
        Binding("o", "pair", "Other pair", tooltip="the next pair of circles, called alike or not"),
        Binding("t", "turn", "Turn", tooltip="take the circle as turned, as offered; once more: as it was"),
        Binding("n", "next_session", "Next session", tooltip="plot the next session against the first"),
        Binding("h,question_mark", "app.help", "Help", show=False),
        Binding("escape,q", "leave", "Leave", tooltip="back; the files were only read"),
    ]
    DEFAULT_CSS = """
    CompareScreen {
        #title { height: 1; padding: 0 1; background: $panel; }
        #desk { height: 1fr; }
        #words { width: 80; height: auto; }
        #numbers { padding: 0 1; scrollbar-size: 1 1; overflow-x: auto; }
        #plot { height: 1fr; padding: 0 1; }
        #what { height: auto; color: $text-muted; margin-bottom: 1; }
        &.-narrow {
            #numbers, #plot { display: none; width: 1fr; height: 1fr; }
            #words { width: 1fr; max-width: 80; }
            #numbers { padding: 0; }
            &.-pane-numbers #numbers { display: block; }
            &.-pane-plot #plot { display: block; }
        }
        &.-wide {
            #desk { layout: horizontal; }
            #numbers { width: 84; }
            #plot { width: 1fr; }
        }
    }
    """

    def __init__(self, paths: Sequence[Path]) -> None:
        super().__init__()
        self.title = "Comparison"
        self.paths = tuple(paths)
        self.pane = self.PANES[0]
        self.comparison: Comparison | None = None
        self.refused: Refused | None = None
        self._sources: tuple[Source, ...] = ()
        self._chosen: tuple[Which, ...] = ()
        self._turns: tuple[Turn, ...] = ()
        self._plotted = 0

    def compose(self) -> ComposeResult:
        """Lay out numbers and plot; the style sheet says whether they stand side by side."""
        yield Static(id="title", markup=False)
        with Container(id="desk"):
            with VerticalScroll(id="numbers"):
                yield Static("Reading the sessions …", id="words", markup=False)
            with Vertical(id="plot"):
                yield Static(id="what", markup=False)
                yield ErrorPlot(ascii_only=self._ascii)
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Read and compare."""
        self.show_pane(self.pane)
        self.query_one("#title", Static).update(" against ".join(path.name for path in reversed(self.paths)))
        self._begin()

    # Comparing, off the screen's thread; the newest choice wins

    def _begin(self) -> None:
        sources, chosen, turns = self._sources, self._chosen, self._turns
        self.run_worker(
            lambda: _compared(self.paths, sources, chosen, turns),
            name="compare",
            group="compare",
            thread=True,
            exclusive=True,
            exit_on_error=False,
        )

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Show what came out, or why nothing did."""
        if event.worker.name != "compare":
            return
        event.stop()
        if event.state is WorkerState.ERROR:
            error = event.worker.error
            if not isinstance(error, Refused):
                raise RuntimeError("the sessions could not be compared") from error
            self._refuse(error)
        elif event.state is WorkerState.SUCCESS:
            self._show(cast("Comparison", event.worker.result))

    def _refuse(self, refused: Refused) -> None:
        self.comparison, self.refused = None, refused
        self.query_one("#words", Static).update(self._sign(str(refused)))
        self.query_one("#what", Static).update("")
        self.query_one(ErrorPlot).display = False
        self.refresh_bindings()

    def _show(self, comparison: Comparison) -> None:
        from tui.compare_text import compare_text

        words = compare_text(comparison, lambda _: "press t").rstrip()
        self.comparison, self.refused = comparison, None
        self._sources = tuple(part.source for part in comparison.parts)
        self._turns = tuple(part.turn for part in comparison.parts[1:])
        self._plotted %= len(comparison.pairs)
        self.query_one("#words", Static).update(self._sign(words))
        self._plot()
        self.refresh_bindings()

    def _plot(self) -> None:
        comparison = self.comparison
        if comparison is None:
            return
        pair = comparison.pairs[self._plotted]
        change = pair.change
        words = f"Session {pair.session + 1} minus session 1: {comparison.parts[pair.session].source.file}"
        self.query_one("#what", Static).update(self._sign(words))
        plot = self.query_one(ErrorPlot)
        plot.display = True
        plot.show(PlotView(comparison.angle, change.difference, change.expanded, bars="U"))

    # Keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Offer only what can be done now."""
        comparison = self.comparison
        if action == "turn":
            return comparison is not None and (self._offered() or self._turned())
        if action == "next_session":
            return comparison is not None and len(comparison.pairs) > 1
        return True

    def _offered(self) -> bool:
        return self.comparison is not None and any(pair.offer for pair in self.comparison.pairs)

    def _turned(self) -> bool:
        return any(turn.positions or turn.reversed for turn in self._turns)

    def show_pane(self, pane: str) -> None:
        """Show a pane, which the arrow keys then scroll."""
        super().show_pane(pane)
        self.query_one(f"#{pane}").focus()

    def action_choose(self, which: Which) -> None:
        """Compare that circle of the first session."""
        self._chosen, self._turns = (which,), ()
        self._begin()

    def action_pair(self) -> None:
        """Compare the next pair of circles, called alike or not."""
        pairs = [(first, *[later] * (len(self.paths) - 1)) for first in WHICH for later in WHICH]
        parts = self.comparison.parts if self.comparison is not None else ()
        shown = tuple(part.which for part in parts) or self._chosen
        here = pairs.index(shown) if shown in pairs else -1
        self._chosen, self._turns = pairs[(here + 1) % len(pairs)], ()
        self._begin()

    def action_turn(self) -> None:
        """Apply the turns that are offered; where none is, take those applied back."""
        comparison = self.comparison
        if comparison is None:
            return
        if self._offered():
            self._turns = tuple(
                pair.offer.found.turn if pair.offer else comparison.parts[pair.session].turn
                for pair in comparison.pairs
            )
        else:
            self._turns = ()
        self._begin()

    def action_next_session(self) -> None:
        """Plot the next session against the first."""
        if self.comparison is not None:
            self._plotted = (self._plotted + 1) % len(self.comparison.pairs)
            self._plot()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)


def _compared(
    paths: tuple[Path, ...], sources: tuple[Source, ...], chosen: tuple[Which, ...], turns: tuple[Turn, ...]
) -> Comparison:
    # Imported here, in the worker: they bring numpy and scipy, for which the first paint need not wait.
    from sessions.comparison import compare
    from sessions.comparison_source import load_all
    from sessions.same_circle import ToChoose, circles_in_every

    sources = sources or load_all(paths)
    if not chosen:
        # Where both stand in every session the other is one key away.
        chosen = circles_in_every(tuple(source.header for source in sources))[:1]
    try:
        return compare(sources, chosen, turns)
    except ToChoose as refused:
        raise refused.told(_KEYS) from refused
