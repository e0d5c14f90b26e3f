"""The certificate on the screen: its details filled in, what is still missing, written to a file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, Input, Static

from sessions.analysis import analyse
from sessions.certificate.details import (
    WORKSHEET,
    Details,
    as_typed,
    details_of,
    details_table,
    read_details,
    record,
    typed_over,
)
from sessions.certificate.earlier import earlier_details, filled_in, filled_words
from sessions.certificate.identification import named, record_names, with_names
from sessions.certificate.readiness import draft_reasons, lacking, never_to_issue
from sessions.certificate.write import ENDINGS
from sessions.certificate_data import Basis
from sessions.session import Session
from solver.refused import Refused
from tui.certificate_file import Written, written, wrong_file
from tui.open_words import STILL_LOOKING, readings_words, unfilled_words
from tui.screens.ask import AskText, Confirm
from tui.screens.certificate_page import sections
from tui.screens.laid_out import LaidOut
from tui.screens.signs import Signs
from tui.screens.still_open import StillOpen
from tui.screens.unsaved import Unsaved
from tui.show import show
from tui.typed_path import typed_path
from tui.widgets.bench import MessageLine, Said
from tui.widgets.choice import Choice
from tui.widgets.field import FIELD_KEYS, Field
from tui.widgets.square_bar import square_bars

if TYPE_CHECKING:
    from tui.app import FullturnApp

#: Said until one has gone to a field.
NO_FIELD = "Tab or an arrow key goes to the first field."

#: Lines for what is not filled in.
_EMPTY_LINES = 3


@dataclass
class Judged(Message):
    """It is known why the certificate would be a draft."""

    draft: tuple[str, ...]


@dataclass
class Earlier(Message):
    """The details of an earlier certificate were looked for."""

    found: tuple[Details, str] | None


class CertificateScreen(LaidOut, Signs, Unsaved, Screen[None]):
    """Asks for what only people can say of a certificate, and writes it.

    Parameters
    ----------
    session : Session
        Open; it stays open when this screen is left.
    """

    TITLE = "Certificate"
    #: No field takes the keys at first: a reading typed right after the key that leads here would stand in it.
    AUTO_FOCUS = ""
    HELP = """
    Fill in what the certificate needs to name; all else is in the session already. Nothing is made up: while cells are
    missing, flags stand, or something is not filled in that a certificate must say, it is a draft, and says so on every
    page. Tab or an arrow key goes to the first field. Where something does not apply, say so in its field, as
    “in-house”. Record writes the details into the session, so that it gives the same certificate for ever; then write
    it as .pdf, .html or .csv.
    """
    LEAVING = ("Leave the certificate?", "What you typed here is not recorded.")
    BINDINGS: ClassVar[list[BindingType]] = [
        *FIELD_KEYS,
        Binding("ctrl+s,f10", "record", "Record", tooltip="write the details into the session"),
        Binding("f7", "fill", "As last time", tooltip="laboratory, instrument, who authorises: where empty"),
        Binding("f8,ctrl+l", "list", "What is open", tooltip="every point that stands against it, in full"),
        Binding("ctrl+o,f9", "write", "Write it", tooltip="record, then write .pdf, .html or .csv"),
        # With priority these move before the next key arrives; otherwise keys typed fast stay in the field before.
        Binding("down", "app.focus_next", "Next", tooltip="to the next field", show=False, priority=True),
        Binding("enter", "next", "Next", tooltip="to the next field", show=False, priority=True),
        Binding("up", "app.focus_previous", "Back", tooltip="to the field before", show=False, priority=True),
        Binding("escape", "leave", "Leave"),
    ]
    DEFAULT_CSS = """
    CertificateScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        VerticalScroll { height: 1fr; padding: 0 1; }
        .heading { color: $primary; text-style: bold; margin: 1 0 0 0; }
        Field .label { width: 30; }
        Field Input { width: 1fr; max-width: 60; }
        Field .note { width: 32; display: none; }
        Field.-wrong .note { display: block; }
        #missing { height: auto; max-height: 6; padding: 0 1; background: $surface; }
        MessageLine { background: $surface; }
        &.-wide Field .note { display: block; width: 46; }
    }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._initial = Details()
        self._named = named(session.header)
        self._writing = False
        self._issuable = False
        self._begun = False
        self._filled = ""
        self._draft: tuple[str, ...] | None = None
        self._open: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        try:
            self._initial = details_of(self.session.entries)
        except Refused as refused:
            show(refused, self.app)
        yield Static(self.TITLE, id="title", markup=False)
        with VerticalScroll(can_focus=False):
            for section in sections(self.session.header):
                yield Static(section.heading, classes="heading", markup=False)
                for line in section.lines:
                    if line.name == "items" and self.session.header.design.closure == "single":
                        continue
                    yield Field(
                        line.name,
                        line.label,
                        self._known(line.name),
                        hint=line.hint,
                        options=line.options or None,
                        ascii_only=self._ascii,
                    )
        yield Static(id="missing", markup=False)
        yield MessageLine(ascii_only=self._ascii)
        yield Footer(compact=True, show_command_palette=False)

    def _known(self, name: str) -> str:
        """Return what is recorded of a field; a form's line holds one line of text."""
        return as_typed(self._named[name] if name in self._named else str(getattr(self._initial, name)))

    def laid_out(self) -> None:
        """Say what is missing; why it is a draft is found out meanwhile."""
        if self._ascii:
            square_bars(self.query_one(VerticalScroll))
        snapshot, header = self.session.matrix.snapshot(), self.session.header

        def judge() -> None:
            self.post_message(Judged(draft_reasons(header, snapshot, analyse(snapshot))))

        self.run_worker(judge, thread=True, group="judging", exit_on_error=True)

    def on_key(self, event: events.Key) -> None:
        """Say that what is typed goes nowhere while one is in no field."""
        if self.focused is None and event.is_printable:
            self._refuse_typed()

    def on_descendant_focus(self) -> None:
        """Stop saying how to begin."""
        if not self._begun:
            self._begun = True
            self._look()

    def on_resize(self) -> None:
        """Name as much as there is room for."""
        self._look()

    @property
    def values(self) -> dict[str, Any]:
        """What stands in the fields of the details; an entry of several lines that nobody touched keeps them."""
        typed = {name: text for name, text in self._typed().items() if name not in self._named}
        return typed_over(typed, self._initial)

    @property
    def names(self) -> dict[str, str]:
        """What stands in the fields that the session names."""
        return {name: text for name, text in self._typed().items() if name in self._named}

    def _typed(self) -> dict[str, str]:
        return {field.field: field.value.strip() for field in self.query(Field)}

    def details(self) -> Details:
        """Return the details as they stand on the page.

        Raises
        ------
        Refused
            Where a field does not fit, with its name in `where`.
        """
        return read_details(self.values, "certificate")

    @on(Input.Changed)
    @on(Choice.Changed)
    def _look(self) -> None:
        for field in self.query(Field):
            field.complain("")
        try:
            header, details = with_names(self.session.header, self.names), self.details()
        except Refused as refused:
            self._complain(refused)
            return
        entries = self.session.entries
        empty, open_ = lacking(header, details, entries), never_to_issue(header, details, entries)
        self._open = (
            ("Readings", (STILL_LOOKING,) if self._draft is None else self._draft),
            (
                "Not filled in, so that it is a draft (on the reading screen: t temperature, u budget)",
                empty.needed,
            ),
            ("Not filled in", empty.other),
        )
        self._issuable = self._draft == () and not open_
        # Lines break at blanks, so that some letters of each stay empty.
        room = _EMPTY_LINES * (self.size.width - 12)
        told = readings_words(self._draft, draft=bool(open_)), unfilled_words(empty.all, room)
        self.query_one("#missing", Static).update(self._sign("\n".join(told)))
        line = self.query_one(MessageLine)
        otherwise = "" if self._begun else NO_FIELD
        line.say(self._sign(self._filled or ("Not recorded yet." if self.changed else otherwise)))

    def _complain(self, refused: Refused) -> None:
        """Say what does not fit, beside the field if it is of one."""
        place = refused.where.removeprefix(f"{WORKSHEET}.")
        for field in self.query(Field):
            if field.field == place:
                field.complain(refused.remedy)
                field.scroll_visible()
        self.query_one(MessageLine).say(self._sign(f"{refused.what}."), Said.REFUSED)

    @on(Judged)
    def _judged(self, judged: Judged) -> None:
        self._draft = judged.draft
        self._look()

    @property
    def changed(self) -> bool:
        """Whether the page says something else than what is recorded."""
        return self.values != details_table(self._initial) or self.names != self._named

    @property
    def unsaved(self) -> bool:
        """Whether something would be gone if the program ended."""
        return self.changed

    # What the keys do

    def action_next(self) -> None:
        """Go to the next field, but not to the first: this Enter may stand behind a reading."""
        if self.focused is None:
            self._refuse_typed()
        else:
            self.app.action_focus_next()

    def _refuse_typed(self) -> None:
        self.query_one(MessageLine).say(NO_FIELD, Said.REFUSED)
        self.app.bell()

    def action_record(self) -> bool:
        """Write the details into the session; return whether they are there."""
        if not self.changed:
            self.query_one(MessageLine).say("Nothing has changed.")
            return True
        try:
            with_names(self.session.header, self.names)
            details = self.details()
        except Refused as refused:
            self._complain(refused)
            self.app.bell()
            return False
        try:
            record_names(self.session, self.names)
            self._named = self.names
            if details != self._initial:
                record(self.session, details)
        except Refused as refused:
            show(refused, self.app)
            return False
        self._initial, self._filled = details, ""
        self._look()
        self.query_one(MessageLine).say("Recorded.")
        return True

    def action_fill(self) -> None:
        """Fill what is empty as the newest certificate beside this session has it."""
        path = self.session.path
        self.run_worker(
            lambda: self.post_message(Earlier(earlier_details(path))),
            thread=True,
            group="earlier",
            exit_on_error=True,
        )

    @on(Earlier)
    def _fill(self, earlier: Earlier) -> None:
        line = self.query_one(MessageLine)
        if earlier.found is None:
            line.say("No other session in this folder has the details of a certificate.", Said.REFUSED)
            return
        details, file = earlier.found
        lasting = filled_in({field.field: field.value for field in self.query(Field)}, details)
        for field in self.query(Field):
            field.value = lasting.get(field.field, field.value)
        self._filled = filled_words(len(lasting), file)
        self._look()

    def action_list(self) -> None:
        """List every point that stands against it."""
        self.app.push_screen(
            StillOpen(self._open, "All cells are read, no flag stands, everything is filled in.")
        )

    def action_write(self) -> None:
        """Record the details, then ask for a file and write the certificate."""
        if self._writing:
            self.query_one(MessageLine).say(self._sign("Still writing …"), Said.REFUSED)
            self.app.bell()
            return
        self._date_it()
        if self.changed and not self.action_record():
            return
        asked = AskText(
            "Write the certificate to which file?",
            initial=str(self.session.path.with_suffix(".pdf")),
            choices=tuple(str(self.session.path.with_suffix(ending)) for ending in ENDINGS),
            note="The ending says what is written: .pdf, .html or .csv.",
            check=wrong_file,
        )
        self.app.push_screen(asked, self._begin)

    def _date_it(self) -> None:
        """Let a certificate that is no draft bear the day on which it is first written, for ever."""
        day = self.query_one("#field-issued", Field)
        if self._issuable and not day.value.strip():
            day.value = cast("FullturnApp", self.app).clock().date().isoformat()

    def _begin(self, text: str | None) -> None:
        if text is None:
            return
        path = typed_path(text)
        if not path.exists():
            self._write_file(path)
            return
        asked = Confirm(
            "Write over it?", yes="Write over it", no="Leave it", note=f"{path.name} is there already."
        )
        self.app.push_screen(asked, lambda sure: self._write_file(path) if sure else None)

    def _write_file(self, path: Path) -> None:
        self.query_one(MessageLine).say("Writing …")
        self._writing = True
        app, basis = cast("FullturnApp", self.app), Basis.of(self.session)
        today = app.clock().date()
        # On the app: what became of it is said even if this screen was left meanwhile.
        app.run_worker(
            lambda: app.call_from_thread(self._told, written(basis, path, today)),
            thread=True,
            group="writing",
            exit_on_error=True,
        )

    def _told(self, came: Written) -> None:
        self._writing = False
        if not self.is_attached:
            refused = came.refused is not None
            self.app.notify(came.said, severity="error" if refused else "information", markup=False)
            return
        if came.refused is not None:
            show(came.refused, self.app)
        self.query_one(MessageLine).say(
            self._sign(came.said), Said.REFUSED if came.refused is not None else Said.PLAIN
        )
