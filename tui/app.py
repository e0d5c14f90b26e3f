"""The app: its colours, the screen it begins with, and what every screen shares."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.events import Event, InputEvent, Paste
from textual.filter import LineFilter
from textual.screen import Screen

from sessions.clock import Clock, local_time
from solver.refused import Refused
from tui.harmless import Harmless
from tui.screens.start import StartScreen
from tui.screens.unsaved import Unsaved
from tui.theme import DARK, LIGHT

if TYPE_CHECKING:
    from sessions.session import Session

_KEYS = {
    "up": "Up",
    "down": "Down",
    "left": "Left",
    "right": "Right",
    "enter": "Enter",
    "escape": "Esc",
    "tab": "Tab",
    "f1": "F1",
    "f7": "F7",
    "f8": "F8",
    "f9": "F9",
    "f10": "F10",
    "home": "Home",
    "end": "End",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "ctrl+o": "^O",
    "ctrl+q": "^Q",
    "ctrl+s": "^S",
    "ctrl+t": "^T",
}


class FullturnApp(App[None]):
    """Fullturn on the screen.

    Parameters
    ----------
    folder : Path
        The folder of the sessions; it need not exist yet.
    path : Path or None
        The session to open at once, else the start screen.
    ascii_only : bool
        Whether marks are drawn with plain ASCII signs.
    light : bool
        Whether it begins with the light colours.

    Attributes
    ----------
    clock : callable
        Gives the time that "yesterday" and the like are told by.
    begin_with_practice : bool
        Whether it begins with the menu of the practice bench.
    refused : Refused or None
        Why the app ended, if not because the person wished so.
    """

    TITLE = "Fullturn"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Help", tooltip="what a screen is for and its keys"),
        Binding("ctrl+t", "light", "Light or dark", tooltip="the other colours", show=False),
        Binding(
            "ctrl+q",
            "quit",
            "Quit",
            tooltip="asks first if a form holds what is not recorded",
            show=False,
            priority=True,
        ),
    ]
    CSS = """
    Screen { background: $background; color: $foreground; }
    ModalScreen { background: $background 60%; }
    Footer { padding: 0 1; }
    .-ascii .card { border-left: ascii $primary; }
    """

    def __init__(
        self, folder: Path, path: Path | None = None, ascii_only: bool = False, light: bool = False
    ) -> None:
        super().__init__()
        self.folder = folder
        self.ascii_only = ascii_only
        self.clock: Clock = local_time
        self.refused: Refused | None = None
        self.begin_with_practice = False
        self._path = path
        self._entered: Path | None = None
        self._harmless = Harmless()
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.set_class(ascii_only, "-ascii")
        self.theme = LIGHT.name if light else DARK.name

    async def action_quit(self) -> None:
        """End, unless something that was typed on a form would be gone: then that screen asks, as Escape does."""
        typed = [
            screen
            for screen in self.screen_stack
            if isinstance(screen, Unsaved) and screen.is_mounted and screen.unsaved
        ]
        if not typed:
            self.exit()
        elif typed[-1] is self.screen:
            typed[-1].action_leave()
        else:
            # Something else is being asked there just now.
            self.bell()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Return what every line goes through before it is painted."""
        return [*super().get_line_filters(), self._harmless]

    async def on_event(self, event: Event) -> None:
        """Handle an event; keys, clicks and pastes in flight are dropped while no screen is laid out to take them."""
        ready = self.is_running and self.screen_stack and self.screen.is_mounted
        if isinstance(event, InputEvent | Paste) and not ready:
            return
        await super().on_event(event)

    def get_default_screen(self) -> Screen[None]:
        """Return the screen under all others."""
        return StartScreen(opening=self._path)

    def on_mount(self) -> None:
        """Open the session that was asked for, once the first frame stands: opening needs slow imports."""
        if self._path is not None:
            self.call_after_refresh(self._open_first, self._path)
        elif self.begin_with_practice:
            self.call_after_refresh(self.practice)

    def _open_first(self, path: Path) -> None:
        try:
            self.open_session(path)
        except Refused as refused:
            self.refused = refused
            self.exit()

    def open_session(self, path: Path) -> None:
        """Open a session and go to its reading screen.

        Raises
        ------
        Refused
            If the file cannot be opened.
        """
        from sessions.session import Session

        self.enter(Session.open(path))

    def left_session(self) -> Path | None:
        """Return the file of the session entered last, once: where one goes on from when it was left."""
        path, self._entered = self._entered, None
        return path

    def enter(self, session: Session) -> None:
        """Go to the reading screen of an open session, which closes it when left; to the practice bench if it is one.

        Raises
        ------
        Refused
            If what the session says of its simulation makes no sense; it is then closed.
        """
        from sessions.practice.parameters import parameters_of

        self._entered = session.path
        try:
            simulated = parameters_of(session.entries) is not None
        except Refused:
            session.close()
            raise
        if simulated:
            from tui.screens.practice import PracticeScreen

            self.push_screen(PracticeScreen(session))
        else:
            from tui.screens.reading import ReadingScreen

            self.push_screen(ReadingScreen(session))

    def practice(self) -> None:
        """Go to the menu of the practice bench."""
        from tui.screens.practice_menu import PracticeMenu

        self.push_screen(PracticeMenu(self.folder), self._begun)

    def _begun(self, session: Session | None) -> None:
        if session is not None:
            self.enter(session)

    def get_key_display(self, binding: Binding) -> str:
        """Return a key in words where it would be a picture: pictures of keys are small, and not everywhere."""
        return _KEYS.get(binding.key) or super().get_key_display(binding)

    def action_help(self) -> None:
        """Explain the screen on top."""
        from tui.screens.help import HelpScreen

        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(self.screen))

    def action_light(self) -> None:
        """Change between light and dark colours."""
        self.theme = DARK.name if self.theme == LIGHT.name else LIGHT.name

    def _fatal_error(self) -> None:
        """Leave the screen because of a fault of the program; what to say waits in `refused`."""
        from tui.fault import fault

        if self._exception is not None:
            self.refused = fault(self._exception)
        self._close_messages_no_wait()
