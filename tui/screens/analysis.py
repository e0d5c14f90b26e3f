"""The analysis screen: what the errors of a circle are made of, and what remains when some of it is taken off."""

from __future__ import annotations

from typing import ClassVar

import numpy as np
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static

from sessions.analysis import Analysis
from sessions.budget import Budget
from sessions.circle_analysis import CircleAnalysis, analyse_circle
from sessions.circle_words import circle_names
from sessions.same_circle import Which
from solver.refused import Refused
from tui.analyse_text import notes, summary, uncertainty_words
from tui.analysis_rows import HarmonicRows
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.paned import Paned
from tui.screens.signs import Signs
from tui.widgets.formats import fit
from tui.widgets.plot import ErrorPlot, PlotView
from tui.widgets.pointed import POINTER
from tui.widgets.row_list import ROW_KEYS, RowList

#: What the plot shows, in turn.
PLOTS = ("what remains", "position error", "error from the start")


class AnalysisScreen(LaidOut, Paned, Signs, LeaveOnce, Screen[None]):
    """The harmonics of a circle, its largest errors, and the plot of what remains.

    Parameters
    ----------
    analysis : Analysis
        Of a session; it is only looked at.
    budget : Budget or None
        As recorded in the session.
    """

    TITLE = "Analysis"
    HELP = """What the errors of a circle are made of: each line is an error that comes so many times in a turn.
    Once a turn is mostly eccentricity, twice an ellipse or a tilt. The stroke across the bars is what scatter alone
    may make; * is significant for the order alone, ** even among all orders looked at.

    Behind ± stands the expanded uncertainty with the lines of the recorded budget: a line that comes as often per turn
    counts whole for that order, one that differs from position to position averages down, and what is the same at all
    positions cancels.

    The space bar takes the order under the cursor off, and puts it back: the plot and the figures then show what
    remains. The results themselves stay as they are.

    The plot shows what remains, the position errors about the mean, or the errors from the start, which are the
    interval errors summed up."""
    PANES = ("harmonics", "errors")
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "space",
            "take_off",
            "Take off",
            key_display="Space",
            tooltip="take the order under the cursor off, or put it back",
            priority=True,
        ),
        Binding("enter", "take_off", "Take off", show=False, priority=True),
        Binding("0", "take_all_back", "All back", tooltip="put every order back"),
        Binding("o", "other_circle", "Other circle", tooltip="the other circle of the session"),
        Binding("p", "next_plot", "Plot", tooltip="what remains, position errors, errors from the start"),
        Binding(
            "tab,slash", "next_pane", "Pane", tooltip="harmonics or errors, on a narrow screen", priority=True
        ),
        Binding("h,question_mark", "app.help", "Help", show=False),
        Binding("escape,q", "leave", "Leave", tooltip="back"),
        *ROW_KEYS,
    ]
    DEFAULT_CSS = """
    AnalysisScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #desk { height: 1fr; }
        #heading { height: 3; padding: 0 1; color: $text-muted; }
        #says { height: auto; max-height: 60%; padding: 0 1; scrollbar-size: 1 1; }
        #words { height: auto; }
        #notes { height: auto; color: $text-muted; margin-top: 1; }
        #plot { height: 1fr; min-height: 8; padding: 0 1; }
        #harmonics, #errors { height: 1fr; }
        &.-narrow {
            #harmonics, #errors { display: none; width: 1fr; }
            &.-pane-harmonics #harmonics { display: block; }
            &.-pane-errors #errors { display: block; }
            #notes { display: none; }
        }
        &.-wide {
            #desk { layout: horizontal; }
            #harmonics { width: 1fr; }
            #errors { width: 1fr; padding-left: 1; }
        }
    }
    """

    def __init__(self, analysis: Analysis, budget: Budget | None = None) -> None:
        super().__init__()
        self.title = "Analysis"
        self.analysis = analysis
        self.budget = budget
        self.circle: CircleAnalysis | None = None
        self.refused: Refused | None = None
        self.pane = self.PANES[0]
        self.plotted = PLOTS[0]
        self._which: Which = "lower"
        self._removed: dict[Which, frozenset[int]] = {"lower": frozenset(), "upper": frozenset()}

    def compose(self) -> ComposeResult:
        """Lay out harmonics and errors; the style sheet says whether they stand side by side."""
        yield Static(id="title", markup=False)
        with Container(id="desk"):
            with Vertical(id="harmonics"):
                yield Static(id="heading", markup=False)
                yield RowList(ascii_only=self._ascii, id="rows")
            with Vertical(id="errors"):
                with VerticalScroll(id="says", can_focus=False):
                    yield Static(id="words", markup=False)
                    yield Static(id="notes", markup=False)
                yield ErrorPlot(ascii_only=self._ascii, id="plot")
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Take the lower circle apart."""
        self.show_pane(self.pane)
        self.query_one(RowList).focus()
        self._work_out()

    @on(RowList.Resized)
    def _fit(self) -> None:
        """Fit the rows to the width."""
        self._show_rows()

    def _work_out(self) -> None:
        try:
            self.circle = analyse_circle(
                self.analysis, self._which, tuple(self._removed[self._which]), budget=self.budget
            )
            self.refused = None
        except Refused as refused:
            self.circle, self.refused = None, refused
        self._show()

    def _show(self) -> None:
        circle, header = self.circle, self.analysis.header
        title = header.title or "Analysis"
        name = circle_names(header)[0 if self._which == "lower" else 1]
        self.query_one("#title", Static).update(self._sign(f"{title}: {name}"))
        self.query_one("#desk").display = True
        plot = self.query_one(ErrorPlot)
        if circle is None:
            self.query_one("#heading", Static).update(self._sign(str(self.refused)))
            self.query_one(RowList).show((), None)
            self.query_one("#words", Static).update(self._sign(str(self.refused)))
            self.query_one("#notes", Static).update("")
            plot.display = False
        else:
            self.query_one("#words", Static).update(self._sign("\n".join(summary(circle))))
            self.query_one("#notes", Static).update(self._sign("\n".join(notes(circle, self.analysis))))
            plot.display = True
            self._show_rows()
            self._show_plot()
        self.refresh_bindings()

    def _show_rows(self) -> None:
        circle, listed = self.circle, self.query_one(RowList)
        # What the sign of the cursor, the padding on both sides and the scroll bar take.
        width = listed.size.width - POINTER - 2 - 2
        if circle is None or width <= 0:
            return
        rows = HarmonicRows(circle, width, self._signs)
        # Where the titles need two lines, what stands behind ± is left to the words beside or behind the rows.
        titles = "; ".join(rows.titles)
        above = (uncertainty_words(circle), titles) if len(titles) <= width else rows.titles
        lines = [fit(self._sign(line), width, self._signs) for line in (*above, rows.heading)]
        self.query_one("#heading", Static).update("\n".join(" " * POINTER + line for line in lines))
        at = listed.highlighted or 0
        listed.show(
            [
                Text(rows.row(index), "bold" if circle.significant[index] else "", no_wrap=True)
                for index in range(len(circle.found.order))
            ],
            min(at, len(circle.found.order) - 1),
        )

    def _show_plot(self) -> None:
        circle = self.circle
        if circle is None:
            return
        n = circle.positions
        estimate, u = {
            "what remains": (circle.remaining, circle.u.remaining),
            "position error": (circle.position, circle.u.position),
            "error from the start": (circle.from_first, circle.u.from_first),
        }[self.plotted]
        what = self.plotted
        if what == "what remains":
            orders = ", ".join(map(str, circle.removed))
            what = f"error without order {orders}" if circle.removed else "position error"
        self.query_one(ErrorPlot).show(
            PlotView(
                np.arange(n, dtype=np.float64) * (360.0 / n),
                estimate.value,
                u.expanded,
                bars="U",
                what=what,
            )
        )

    # Keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Offer only what can be done now."""
        if action == "other_circle":
            return self.analysis.upper is not None
        if action == "take_off":
            return self.circle is not None
        if action == "take_all_back":
            return bool(self._removed[self._which])
        return True

    def action_row(self, by: int) -> None:
        """Move the cursor; on a narrow screen that shows the errors, scroll them."""
        if self.has_class("-narrow") and self.pane == "errors":
            self.query_one("#says").scroll_relative(y=by, animate=False)
        else:
            self.query_one(RowList).move(by)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take the order off that was clicked, or put it back."""
        event.stop()
        self.action_take_off()

    def action_take_off(self) -> None:
        """Take the order under the cursor off, or put it back."""
        index = self.query_one(RowList).highlighted
        if self.circle is None or index is None:
            return
        self._removed[self._which] ^= {int(self.circle.found.order[index])}
        self.plotted = PLOTS[0]
        self._work_out()

    def action_take_all_back(self) -> None:
        """Put every order back."""
        self._removed[self._which] = frozenset()
        self._work_out()

    def action_other_circle(self) -> None:
        """Take the other circle apart."""
        self._which = "upper" if self._which == "lower" else "lower"
        self._work_out()

    def action_next_plot(self) -> None:
        """Plot the next kind of errors."""
        self.plotted = PLOTS[(PLOTS.index(self.plotted) + 1) % len(PLOTS)]
        self._show_plot()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)
