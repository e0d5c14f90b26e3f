"""Extending a session: which offset helps most next, given what is already read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static

from sessions.analysis import Analysis
from sessions.counted import counted, counted_are, verb_for
from sessions.extending import Candidate, Outlook, add_offset, outlook, reason_words, removable, remove_offset
from sessions.session import Session
from sessions.subdivision import coarse, refuse_finer
from solver.refused import Refused
from tui.extend_rows import ExtendTable
from tui.latest import Latest
from tui.screens.ask import AskText
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.widgets.bench import MessageLine, Said
from tui.widgets.pointed import POINTER
from tui.widgets.row_list import ROW_KEYS, RowList


@dataclass
class Weighed(Message):
    """The candidates are weighed."""

    outlook: Outlook


class ExtendScreen(LaidOut, Signs, LeaveOnce, Screen[bool]):
    """Adds an offset to the plan of a session, or takes the last one away; gives whether the plan changed.

    Parameters
    ----------
    session : Session
        Open; it stays open when this screen is left.
    analysis : Analysis
        Of its newest readings.
    """

    TITLE = "The next offset"
    HELP = """
    The table holds the offsets that help most, best first: the standard uncertainty of a position error of each
    circle now, and after one more run at that offset with every cell filled. Gaps count as gaps: what is planned but
    not read yet helps only once c counts it as read. It is worked out from the places that are read, exactly, not from
    a formula for complete runs; u is the root of the mean variance over the positions.

    Enter adds the offset under the cursor. The change is recorded with its reason, as everything is; the header in the
    file stays as it was. As long as nothing is read at the last offset it can be taken back.

    s goes on to finer steps: arcs of the circle, one interval long, read in fine steps and solved with all the rest.
    """
    VERTICAL_BREAKPOINTS = [(0, "-low"), (32, "-high")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "Add the offset", tooltip="with a reason, which is recorded", priority=True),
        Binding("c", "count", "Count planned", tooltip="as if what is planned were read, or not"),
        Binding(
            "asterisk",
            "take_back",
            "Take back",
            key_display="*",
            tooltip="the last offset, while nothing is read at it",
        ),
        Binding("s", "finer", "Finer steps", tooltip="inside arcs of the circle, after the runs round it"),
        *ROW_KEYS,
        Binding("escape", "leave", "Leave", tooltip="with the plan as it is"),
    ]
    DEFAULT_CSS = """
    ExtendScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #now { height: auto; padding: 1 1 0 1; max-width: 110; }
        .heading { height: 1; padding: 0 1; color: $text-muted; }
        #upper-heading { margin-top: 1; }
        #lower-heading { text-style: underline; }
        #about { height: auto; min-height: 2; padding: 0 1; background: $surface; }
        &.-high RowList { height: auto; max-height: 16; margin-bottom: 1; }
    }
    """

    def __init__(self, session: Session, analysis: Analysis) -> None:
        super().__init__()
        self.session = session
        self._analysis = analysis
        self._planned = False
        self._outlook: Outlook | None = None
        self._weighing: Latest[bool] = Latest(
            self, lambda planned: Weighed(outlook(analysis, planned=planned))
        )

    def compose(self) -> ComposeResult:
        """Lay out what is read, the table and what there is to say of a row."""
        yield Static(f"{self.TITLE}   {self._sign(self.session.header.title)}", id="title", markup=False)
        yield Static("Working out what each offset would give.", id="now", markup=False)
        yield Static(id="upper-heading", classes="heading", markup=False)
        yield Static(id="lower-heading", classes="heading", markup=False)
        yield RowList(ascii_only=self._ascii)
        yield Static(id="about", markup=False)
        yield MessageLine()
        yield Footer(compact=True, show_command_palette=False)

    def laid_out(self) -> None:
        """Weigh the candidates."""
        self.query_one(RowList).focus()
        self._weighing.request(self._planned)

    @property
    def _chosen(self) -> Candidate | None:
        at = self.query_one(RowList).highlighted
        return None if self._outlook is None or at is None else self._outlook.candidates[at]

    @on(Weighed)
    def _weighed(self, weighed: Weighed) -> None:
        if not self._weighing.done():
            return
        self._outlook = found = weighed.outlook
        table = ExtendTable(found, self._signs)
        with self.app.batch_update():
            self.query_one("#now", Static).update(
                self._sign(_now_words(found, table, arcs=bool(self.session.header.design.arcs)))
            )
            for name, words in zip(("#upper-heading", "#lower-heading"), table.headings(), strict=True):
                self.query_one(name, Static).update(self._sign(" " * POINTER + words), layout=False)
            rows = [Text(self._sign(table.row(candidate))) for candidate in found.candidates]
            self.query_one(RowList).show(rows, 0)
            self._about()

    @on(OptionList.OptionHighlighted)
    def _about(self) -> None:
        chosen, found = self._chosen, self._outlook
        if chosen is not None and found is not None:
            self.query_one("#about", Static).update(self._sign(_about_words(chosen, found)))

    # What the keys do

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Offer to take back, and to count planned cells, only where there is something of the kind."""
        if action == "take_back":
            return removable(self.session) is not None
        if action == "count":
            design = coarse(self.session.header.design)
            return int((self._analysis.cells.run < design.run_count).sum()) < design.planned_cells
        return True

    def action_row(self, by: int) -> None:
        """Move the cursor."""
        self.query_one(RowList).move(by)

    @on(OptionList.OptionSelected)
    def action_take(self) -> None:
        """Ask why, and add the offset under the cursor."""
        chosen, found = self._chosen, self._outlook
        if chosen is None or found is None:
            return
        single = found.design.closure == "single"
        question = "Why is a run added?" if single else f"Why is offset {chosen.offset} added?"
        self.app.push_screen(
            AskText(
                question,
                initial=self._sign(reason_words(chosen, found, ExtendTable(found, self._signs).stated)),
                note="It goes into the record. While nothing is read at it, it can be taken back here.",
            ),
            lambda reason: self._change(lambda why: add_offset(self.session, chosen.offset, why), reason),
        )

    def action_take_back(self) -> None:
        """Ask why, and take the last offset away."""
        offset = removable(self.session)
        if offset is not None:
            single = self.session.header.design.closure == "single"
            what = "the last run" if single else f"offset {offset}, the last one,"
            self.app.push_screen(
                AskText(f"Why is {what} taken away?", initial="not needed after all"),
                lambda reason: self._change(lambda why: remove_offset(self.session, why), reason),
            )

    def action_count(self) -> None:
        """Count planned cells as read, or not any more."""
        self._planned = not self._planned
        self._weighing.request(self._planned)

    def action_finer(self) -> None:
        """Go on to finer steps, or say why there are none."""
        try:
            refuse_finer(self.session.header)
        except Refused as refused:
            self.query_one(MessageLine).say(self._sign(refused.what), Said.REFUSED)
            self.app.bell()
            return
        from tui.screens.subdivide import SubdivideScreen

        self.app.push_screen(SubdivideScreen(self.session, self._analysis.deviation), self._subdivided)

    def _subdivided(self, changed: bool | None) -> None:
        if changed:
            self.dismiss(True)

    def action_leave(self) -> None:
        """Leave the plan as it is."""
        self.dismiss(False)

    def _change(self, record: Callable[[str], None], reason: str | None) -> None:
        if reason is None:
            return
        try:
            record(reason)
        except Refused as refused:
            self.query_one(MessageLine).say(self._sign(str(refused)), Said.REFUSED)
            self.app.bell()
        else:
            self.dismiss(True)


def _now_words(found: Outlook, table: ExtendTable, *, arcs: bool) -> str:
    design = found.design
    cells = design.planned_cells
    counting = "all planned cells count as read" if found.planned else "what is not read counts for nothing"
    round_it = " round the circle" if arcs else ""
    read = cells - found.to_read
    words = [f"{read} of {counted(cells, 'planned cell')}{round_it} {verb_for(read)} read"]
    words.append(f"; {counting}." if found.to_read else ".")
    if found.missing:
        words.append(f" {counted_are(found.missing, 'error')} undetermined by them.")
    if isfinite(found.deviation):
        words.append(f" Standard deviation of a cell: {table.number(found.deviation)}{table.unit}.")
    else:
        words.append(" The standard deviation of a cell is not known yet: uncertainties are in units of it.")
    return "".join(words)


def _about_words(chosen: Candidate, found: Outlook) -> str:
    if chosen.unread:
        runs = f"run {chosen.unread[0]}"
        return f"This offset is in the plan already, and nothing of {runs} is read yet: read that first."
    if chosen.missing:
        return f"{counted_are(chosen.missing, 'error')} still undetermined after it."
    if found.to_read and not found.planned:
        return f"{counted_are(found.to_read, 'planned cell')} still to be read; c counts what is planned as read."
    return ""
