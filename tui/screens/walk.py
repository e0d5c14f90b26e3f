"""The walk through the principle, page by page."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Static

from sessions.practice.principle import N, Principle
from tui.screens.laid_out import LaidOut
from tui.screens.leave_once import LeaveOnce
from tui.screens.signs import Signs
from tui.walk_pages import Page, Walk
from tui.widgets.square_bar import square_bars


class WalkScreen(LaidOut, Signs, LeaveOnce, Screen[None]):
    """A few calm pages on why circle closure works.

    Parameters
    ----------
    seed : int, optional
        Of the example's numbers.
    """

    TITLE = "Why closure works"
    HELP = """The principle in eight pages, with two tables of four positions. All numbers come from a small simulated
    example and are worked out as you look; r simulates another one. Where an interval is marked, 1 to 4 mark
    another."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "right,enter,space,pagedown,n", "turn(1)", "On", key_display="Enter", tooltip="the next page"
        ),
        Binding("left,backspace,pageup,p", "turn(-1)", "Back", key_display="Left", tooltip="the page before"),
        *(
            Binding(str(each), f"mark({each})", "Interval", tooltip="mark another interval", show=False)
            for each in range(1, N + 1)
        ),
        Binding("r", "again", "Other numbers", tooltip="another simulated example"),
        Binding("escape,q", "leave", "Leave"),
    ]
    DEFAULT_CSS = """
    WalkScreen {
        #title { height: 1; padding: 0 1; background: $panel; text-style: bold; }
        #middle { align: center top; height: 1fr; }
        VerticalScroll { width: 84; max-width: 100%; padding: 1 2; }
        .heading { color: $primary; text-style: bold; margin-bottom: 1; }
        .text { margin-bottom: 1; }
        .figure { margin-bottom: 1; text-wrap: nowrap; }
        &.-high VerticalScroll { padding: 3 2; }
    }
    """
    VERTICAL_BREAKPOINTS = [(0, "-low"), (36, "-high")]  # noqa: RUF012

    def __init__(self, seed: int = 1) -> None:
        super().__init__()
        self._seed = seed
        self._example = Principle.of(seed)
        self._number = 0
        self._interval = 1

    def compose(self) -> ComposeResult:
        """Lay out the title and the page."""
        yield Static(id="title", markup=False)
        with Container(id="middle"):
            yield VerticalScroll()
        yield Footer(compact=True, show_command_palette=False)

    async def laid_out(self) -> None:
        """Show the first page."""
        if self._ascii:
            square_bars(self.query_one(VerticalScroll))
        await self._show()

    @property
    def page_number(self) -> int:
        """The page shown, from 0."""
        return self._number

    @property
    def _walk(self) -> Walk:
        return Walk(self._example, self._signs, self._interval)

    async def _show(self) -> None:
        walk = self._walk
        page = walk.page(self._number)
        scroll = self.query_one(VerticalScroll)
        with self.app.batch_update():
            self.query_one("#title", Static).update(f"{self.TITLE}   page {self._number + 1} of {len(walk)}")
            await scroll.remove_children()
            await scroll.mount(*self._drawn(page))
            scroll.scroll_home(animate=False)

    def _drawn(self, page: Page) -> list[Static]:
        drawn = [Static(self._sign(page.heading), classes="heading", markup=False)]
        for block in page.blocks:
            if isinstance(block, str):
                drawn.append(Static(self._sign(block), classes="text", markup=False))
                continue
            figure = Text("\n").join(
                Text.assemble(*((self._sign(text), style) for style, text in line)) for line in block
            )
            drawn.append(Static(figure, classes="figure"))
        if page.chosen:
            drawn.append(Static("Keys 1 to 4 mark another interval.", classes="text", markup=False))
        return drawn

    async def action_turn(self, by: int) -> None:
        """Turn to the next page or the one before; beyond the last one leads out."""
        number = self._number + by
        if number >= len(self._walk):
            self.dismiss(None)
        elif number >= 0:
            self._number = number
            await self._show()

    async def action_mark(self, interval: int) -> None:
        """Mark another interval."""
        self._interval = interval
        await self._show()

    async def action_again(self) -> None:
        """Simulate another example."""
        self._seed += 1
        self._example = Principle.of(self._seed)
        await self._show()

    def action_leave(self) -> None:
        """Leave the walk."""
        self.dismiss(None)
