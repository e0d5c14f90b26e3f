"""Help on a screen: what it is for and every key, taken from where the actions are declared."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import ActiveBinding, Binding, BindingType
from textual.containers import Grid, VerticalScroll
from textual.screen import ModalScreen, Screen
from textual.widgets import Footer, Static

from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.widgets.square_bar import square_bars


@dataclass(frozen=True, slots=True)
class KeyLine:
    """One action: the keys that do it and what it does."""

    keys: str
    text: str


def key_lines(app: App[object], bindings: Iterable[ActiveBinding]) -> tuple[KeyLine, ...]:
    """Gather the lines of a help page from the bindings that are active.

    Only what the footer shows or a tooltip explains is listed: the rest moves a cursor or scrolls, as in every
    program. Keys that do the same stand on one line.
    """
    keys: dict[str, list[str]] = {}
    for _node, binding, _enabled, _tooltip in bindings:
        if binding.system or not binding.description or not (binding.show or binding.tooltip):
            continue
        text = binding.description
        if binding.tooltip:
            text += f": {binding.tooltip[:1].lower()}{binding.tooltip[1:]}"
        shown = keys.setdefault(text, [])
        display = app.get_key_display(binding)
        if display not in shown:
            shown.append(display)
    return tuple(KeyLine(" ".join(shown), text) for text, shown in keys.items())


def declared(screen: type) -> Iterable[Binding]:
    """Yield the bindings that a screen declares, offered just now or not."""
    for kind in screen.__mro__:
        if kind is Screen:
            return
        yield from Binding.make_bindings(vars(kind).get("BINDINGS", ()))


class HelpScreen(LaidOut, Signs, LeaveOnce, ModalScreen[None]):
    """The help page of another screen.

    Parameters
    ----------
    about : Screen
        The screen that needs explaining. Its `HELP` is the text above the keys, its `TITLE` the heading; a `legend`
        that it has explains its signs.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter,f1,h,question_mark,q", "dismiss", "Close")]
    DEFAULT_CSS = """
    HelpScreen {
        align: center middle;
        VerticalScroll {
            width: 84; max-width: 100%; height: auto; max-height: 94%; padding: 1 2; scrollbar-gutter: stable;
            background: $surface; border-left: wide $primary;
        }
        .heading { text-style: bold; color: $primary; margin-bottom: 1; }
        .text { margin-bottom: 1; }
        Grid { grid-size: 2; grid-columns: 16 1fr; grid-rows: auto; height: auto; }
        .key { text-style: bold; color: $primary; }
    }
    """

    def __init__(self, about: Screen[object]) -> None:
        super().__init__()
        self._about = about

    def compose(self) -> ComposeResult:
        """Lay out the heading, the text and a line for each action."""
        active = self._about.active_bindings
        others = (
            ActiveBinding(self._about, binding, False)
            for binding in declared(type(self._about))
            if binding.key not in active
        )
        lines = key_lines(self.app, (*active.values(), *others))
        with VerticalScroll(classes="card"):
            yield Static(self._about.title or "Help", classes="heading", markup=False)
            for paragraph in (self._about.HELP or "").strip().split("\n\n"):
                yield Static(self._sign(" ".join(paragraph.split())), classes="text", markup=False)
            legend = getattr(self._about, "legend", "")
            if legend:
                yield Static(legend, classes="text", markup=False)
            with Grid():
                for line in lines:
                    yield Static(line.keys, classes="key", markup=False)
                    yield Static(self._sign(line.text), markup=False)
        yield Footer(show_command_palette=False)

    def laid_out(self) -> None:
        """Let the arrow keys scroll."""
        page = self.query_one(VerticalScroll)
        if self._ascii:
            square_bars(page)
        page.focus()
