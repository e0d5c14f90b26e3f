"""A worksheet on the screen: steps and caution, its lines, what comes of them, where one types."""

from __future__ import annotations

from collections.abc import Callable

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.widgets import Static

from sessions.worksheets.filling import Filling
from sessions.worksheets.sheet import Column, Outcome, Worksheet
from sessions.worksheets.slot import Slot
from tui.streams import in_ascii
from tui.widgets.bench import EntryLine, MessageLine, Said
from tui.widgets.findings import Findings
from tui.widgets.marks import characters
from tui.widgets.slots import SlotLine, SlotList
from tui.widgets.trace import TracePlot


class Paper(Container):
    """Shows a worksheet that is being filled in.

    The screen gives it its layout by the classes -guideless (steps hidden where there is little room), -wide (room for
    everything side by side) and -tall (and for a picture of the readings).

    Parameters
    ----------
    worksheet : Worksheet
        What is filled in.
    typing, pasting : callable
        Where keys and pastes of the entry line go.
    ascii_only : bool, optional
        Whether to draw with plain ASCII characters.
    """

    DEFAULT_CSS = """
    Paper {
        height: 1fr; layout: horizontal;
        #guide { dock: top; height: auto; padding: 0 1; margin: 0 0 1 0; }
        #steps { height: auto; }
        #caution { height: auto; color: $text-warning; }
        #slots, #right { width: 1fr; height: 1fr; }
        #bench { dock: bottom; height: 4; background: $surface; }
        #ask, #how { height: 1; width: 1fr; padding: 0 1; }
        #ask { text-style: bold; }
        #how { color: $text-muted; }
        EntryLine { background: $panel; }
        TracePlot { display: none; padding: 0 1; }
        &.-guideless #guide { display: none; }
        &.-wide {
            layout: grid; grid-size: 2 3; grid-columns: 1fr 52; grid-rows: auto 1fr 6; grid-gutter: 0 2;
            #guide { dock: none; display: block; max-width: 96; padding: 1 1; margin: 0; }
            #caution { margin-top: 1; }
            #slots { row-span: 3; margin: 1 1 0 0; }
            #bench { dock: none; padding: 1 0; height: 6; }
        }
        &.-tall TracePlot.-drawn { display: block; }
    }
    """

    def __init__(
        self,
        worksheet: Worksheet,
        typing: Callable[[str, str | None], bool],
        pasting: Callable[[str], None],
        *,
        ascii_only: bool = False,
    ) -> None:
        super().__init__()
        self._worksheet = worksheet
        self._typing = typing
        self._pasting = pasting
        self._ascii = ascii_only

    def compose(self) -> ComposeResult:
        """Lay out the parts; the style sheet says where they stand."""
        steps = "\n".join(f"{number} {step}" for number, step in enumerate(self._worksheet.steps, start=1))
        with Vertical(id="guide"):
            yield Static(self._sign(steps), id="steps", markup=False)
            yield Static(self._sign(f"! {self._worksheet.caution}"), id="caution", markup=False)
        yield SlotList(ascii_only=self._ascii, id="slots")
        with Vertical(id="right"):
            yield Findings(ascii_only=self._ascii, id="findings")
            yield TracePlot(ascii_only=self._ascii, id="trace")
        with Vertical(id="bench"):
            yield Static(id="ask", markup=False)
            yield Static(id="how", markup=False)
            yield EntryLine(self._typing, self._pasting, id="entry")
            yield MessageLine(id="message")

    def say(self, text: str, kind: Said = Said.PLAIN) -> None:
        """Say something in the message line."""
        self.query_one(MessageLine).say(self._sign(text), kind)

    def doubt(self, why: str) -> None:
        """Say why what is being typed cannot become a number, "" once it can again."""
        self.query_one(MessageLine).doubt(self._sign(why))

    def show_outcome(self, outcome: Outcome, waiting: str) -> None:
        """Show what comes of the answers, `waiting` being said while there is no verdict."""
        self.query_one(TracePlot).show(outcome.trace)
        self.query_one(TracePlot).set_class(outcome.trace is not None, "-drawn")
        self.query_one(Findings).show(outcome, waiting, barred=not self.has_class("-tall"))

    def show_lines(self, filling: Filling) -> None:
        """Show the lines of the worksheet, and which is the present one."""
        lines = tuple(
            SlotLine(
                self._sign(slot.label),
                self._sign(slot.text),
                self._unit(slot),
                slot.typed,
                isinstance(slot.item, Column),
            )
            for slot in filling.slots
        )
        self.query_one(SlotList).show(lines, filling.place)

    def ask(self, question: str, how: str) -> None:
        """Show what is asked for, and how to come by it."""
        self.query_one("#ask", Static).update(self._sign(question), layout=False)
        self.tell(how)

    def tell(self, how: str) -> None:
        """Show how to come by what is asked for."""
        text = Text(self._sign(how), no_wrap=True, overflow="ellipsis")
        self.query_one("#how", Static).update(text, layout=False)

    def show_entry(self, typed: str, slot: Slot | None) -> None:
        """Show what is typed so far, or what Enter alone would do."""
        unit = "" if slot is None else self._unit(slot)
        if slot is None:
            hint = " r records it, an arrow key goes back up"
        elif slot.text:
            text = self._sign(slot.text)
            hint = f" Enter keeps {text} {unit}" if slot.typed else f" Enter takes ({text}) {unit}"
        else:
            hint = " type the number" + (f", {unit}" if unit else "")
        self.query_one(EntryLine).show(typed, unit, hint, characters(self._ascii))

    def focus_entry(self) -> None:
        """Let the entry line have the keys."""
        self.query_one(EntryLine).focus()

    def scroll_results(self, by: int) -> None:
        """Scroll what came of the answers by lines."""
        self.query_one(Findings).scroll_relative(y=by, animate=False)

    def _unit(self, slot: Slot) -> str:
        return self._sign(slot.unit).strip()

    def _sign(self, text: str) -> str:
        return in_ascii(text) if self._ascii else text
