"""The start screen: the sessions of the folder, and the ways to begin."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static
from textual.worker import Worker, WorkerState

from solver.refused import Refused
from tui.screens.laid_out import LaidOut
from tui.show import of_system, show
from tui.typed_path import typed_path
from tui.widgets.session_list import SessionList

if TYPE_CHECKING:
    from sessions.folder import Listing
    from sessions.session import Session
    from tui.app import FullturnApp

_PURPOSE = (
    "Calibrates index tables and other divided circles by circle closure: plan the runs, type each reading "
    "as you take it, and see both circles solved, with their uncertainties, while you work."
)
_EMPTY = (
    "No sessions here yet.\n\n"
    "Press d to open the demo, a half-done session to try everything on,\n"
    "t to learn the method on a simulated bench,\n"
    "p to plan a session of your own, or n to begin one at once."
)


class StartScreen(LaidOut, Screen[None]):
    """Where Fullturn begins.

    Parameters
    ----------
    opening : Path or None
        The session that is about to be opened, if one was asked for; the folder can wait until one comes back.
    """

    TITLE = "Fullturn"
    HELP = """
    Each session is one file that grows with every reading; nothing has to be saved. Choose one with the arrow keys
    or the mouse to go on where you stopped, begin a new one, or open the demo, which is a copy that you may spoil.
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new", "New", tooltip="fill in the form of a session and begin"),
        Binding("p", "plan", "Plan", tooltip="what each choice of offsets costs and gives, then begin"),
        Binding("d", "demo", "Demo", tooltip="an invented, half-done session, on a copy"),
        Binding("t", "practice", "Practice", tooltip="the method explained, and a simulated bench"),
        Binding("c", "compare", "Compare", tooltip="has a circle changed? once on each session"),
        Binding(
            "s",
            "set_aside",
            "Set aside",
            tooltip="move a session begun by mistake out of the list, after a question",
            show=False,
        ),
        Binding("escape", "forget", "Compare nothing", tooltip="after c on one session", show=False),
        Binding("o", "folder", "Folder", tooltip="list the sessions of another folder"),
        Binding("h,question_mark", "app.help", "Help", show=False),
        Binding("q", "app.quit", "Quit", tooltip="asks first if something typed is not recorded"),
    ]
    DEFAULT_CSS = """
    StartScreen {
        align: center top;
        #desk { max-width: 120; padding: 1 2 0 2; height: 1fr; }
        #name { color: $primary; text-style: bold; }
        #purpose { margin-bottom: 1; }
        #folder { color: $text-muted; height: auto; margin-bottom: 1; }
        #empty { height: auto; margin: 1 2; }
    }
    """

    def __init__(self, opening: Path | None = None) -> None:
        super().__init__()
        self._opening = opening
        self._earlier: Path | None = None

    def compose(self) -> ComposeResult:
        """Lay out the purpose, the list and the keys."""
        with Vertical(id="desk"):
            yield Static("Fullturn", id="name")
            yield Static(_PURPOSE, id="purpose", markup=False)
            yield Static(id="folder", markup=False)
            yield Static(_EMPTY, id="empty", markup=False)
            yield SessionList(ascii_only=self._fullturn.ascii_only)
        yield Footer(compact=True, show_command_palette=False)

    @property
    def _fullturn(self) -> FullturnApp:
        return cast("FullturnApp", self.app)

    def laid_out(self) -> None:
        """Begin without either list or greeting: what is in the folder is not known yet."""
        self.query_one("#empty").display = False
        self.query_one(SessionList).display = False
        self._say("Looking into", self._fullturn.folder)
        if self._opening is not None:
            self._say("Opening", self._opening)

    def on_screen_resume(self) -> None:
        """Look into the folder, now and whenever one comes back here; what was to be compared is forgotten."""
        self._earlier = None
        if self._opening is None:
            self.call_after_refresh(self._look)
        self._opening = None

    def _look(self) -> None:
        folder = self._fullturn.folder
        self.run_worker(
            lambda: _listed(folder),
            name="look",
            group="look",
            thread=True,
            exclusive=True,
            exit_on_error=False,
        )

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Show what was found."""
        if event.worker.name != "look":
            return
        if event.state is WorkerState.ERROR:
            error = event.worker.error
            if not isinstance(error, Refused):
                raise RuntimeError("the folder could not be listed") from error
            show(error, self.app)
            self._show(())
        elif event.state is WorkerState.SUCCESS:
            self._show(cast("tuple[Listing, ...]", event.worker.result))

    def _show(self, listings: tuple[Listing, ...]) -> None:
        self._say("Sessions in", self._fullturn.folder)
        self.query_one("#empty").display = not listings
        found = self.query_one(SessionList)
        found.display = bool(listings)
        # A list without a session that opens offers no key in the footer.
        found.disabled = all(listing.problem for listing in listings)
        found.show(listings, self._fullturn.clock(), self._fullturn.left_session())
        if not found.disabled and self.focused is None:
            found.focus()

    def _say(self, words: str, path: Path) -> None:
        self.query_one("#folder", Static).update(f"{words} {_short(path)}")

    @on(OptionList.OptionSelected)
    def _resume(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        path = self.query_one(SessionList).chosen
        if path is not None:
            self._open(path)

    def _open(self, path: Path) -> None:
        try:
            self._fullturn.open_session(path)
        except Refused as refused:
            show(refused, self.app)
            self._look()

    def action_demo(self) -> None:
        """Open a copy of the demo."""
        from sessions.demo import copy_demo

        try:
            path = copy_demo(self._fullturn.folder)
        except Refused as refused:
            show(refused, self.app)
        else:
            self._open(path)

    def action_plan(self) -> None:
        """Weigh choices of offsets and begin a session with one of them."""
        from tui.screens.plan import PlanScreen

        self.app.push_screen(PlanScreen(self._fullturn.folder), self._begun)

    def action_new(self) -> None:
        """Fill in the form of a session and begin it."""
        from tui.screens.new_session import NewSessionScreen

        self.app.push_screen(NewSessionScreen(self._fullturn.folder), self._begun)

    def _begun(self, session: Session | None) -> None:
        if session is not None:
            self._fullturn.enter(session)

    def _chosen(self) -> Path | None:
        """Return the session under the cursor, if the list shows."""
        found = self.query_one(SessionList)
        return found.chosen if found.display else None

    def action_compare(self) -> None:
        """Compare two sessions: the first time the earlier one is marked, the second time both are opened."""
        path = self._chosen()
        if path is None:
            return
        earlier, self._earlier = self._earlier, None
        if earlier == path:
            self._look()
            return
        if earlier is None:
            self._earlier = path
            self.query_one("#folder", Static).update(
                f"Comparing from {path.name}: c on the later session compares, Esc gives it up"
            )
            return
        from tui.screens.compare import CompareScreen

        self.app.push_screen(CompareScreen([earlier, path]))

    def action_forget(self) -> None:
        """Compare nothing after all."""
        if self._earlier is not None:
            self._earlier = None
            self._look()

    def action_set_aside(self) -> None:
        """Ask whether the session under the cursor is to be moved out of the list."""
        path = self._chosen()
        if path is None:
            return
        from sessions.aside import ASIDE, readings_words
        from tui.screens.ask import Confirm

        try:
            readings = readings_words(path)
        except Refused as refused:
            show(refused, self.app)
            self._look()
            return
        asked = Confirm(
            f"Set {path.name} with its {readings} aside?",
            yes="Yes, set it aside",
            no="No",
            note=f"The file is moved into the folder “{ASIDE}” here. Nothing is deleted; o lists that folder.",
        )
        self.app.push_screen(asked, lambda sure: self._set_aside(path) if sure else None)

    def _set_aside(self, path: Path) -> None:
        from sessions.aside import set_aside

        try:
            target = set_aside(path, self._fullturn.clock())
        except Refused as refused:
            show(refused, self.app)
        else:
            self.app.notify(f"Now {target.parent.name}/{target.name}", markup=False)
        self._look()

    def action_practice(self) -> None:
        """Learn the method on a simulated bench."""
        self._fullturn.practice()

    def action_folder(self) -> None:
        """Ask for another folder."""
        from tui.screens.ask import AskText
        from tui.screens.paths import FolderSuggester

        self.app.push_screen(
            AskText(
                "Which folder?",
                initial=_short(self._fullturn.folder),
                suggestions=FolderSuggester(),
                check=_no_folder,
                note="~ is your home; the tab key completes a name.",
            ),
            self._change_folder,
        )

    def _change_folder(self, typed: str | None) -> None:
        if typed is not None:
            self._fullturn.folder = typed_path(typed).absolute()
            self._say("Looking into", self._fullturn.folder)
            self._look()


def _listed(folder: Path) -> tuple[Listing, ...]:
    # Imported here, in the worker: it brings numpy, for which the first paint need not wait.
    from sessions.folder import list_sessions

    return list_sessions(folder)


def _no_folder(typed: str) -> str:
    try:
        return "" if typed_path(typed).is_dir() else "There is no such folder."
    except Refused as refused:
        return str(refused)
    except OSError as error:
        return str(of_system(error))


def _short(folder: Path) -> str:
    """Return a folder's path with the home folder as ~."""
    try:
        return str(Path("~") / folder.relative_to(Path.home()))
    except (ValueError, RuntimeError):
        return str(folder)
