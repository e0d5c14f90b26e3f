"""What comes of a worksheet: the verdict, what to do now, the results."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from sessions.sentences import capital
from sessions.worksheets.sheet import LOOK_AT, Outcome, Verdict
from tui.streams import in_ascii
from tui.widgets.formats import wrapped
from tui.widgets.trace import bars

_MARKS = {Verdict.PASSES.value: "+", Verdict.FAILS.value: "!", Verdict.OPEN.value: "?"}
_LABEL = 20
#: Width from which the results stand in two columns.
_ROOMY = 60


def mark_of(verdict: str) -> str:
    """Return the sign before a verdict, so that it does not hang on its colour; a blank where there is none."""
    return _MARKS.get(verdict, " ")


class Findings(VerticalScroll, can_focus=False):
    """Shows an outcome; it scrolls where there is little room.

    Parameters
    ----------
    ascii_only : bool, optional
        Whether to draw with plain ASCII characters.
    """

    DEFAULT_CSS = """
    Findings {
        height: 1fr; width: 1fr; scrollbar-size: 1 1; padding: 0 1;
        Static { height: auto; width: 1fr; }
        #verdict { text-style: bold; }
        #verdict.-passes { color: $text-success; }
        #verdict.-fails { color: $text-error; }
        #verdict.-open { color: $text-warning; }
        #todo { margin-bottom: 1; }
    }
    """

    def __init__(self, *, ascii_only: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._ascii = ascii_only
        self._outcome = Outcome()
        self._barred = True

    def compose(self) -> ComposeResult:
        """Lay out verdict, advice and results."""
        yield Static(id="verdict", markup=False)
        yield Static(id="todo", markup=False)
        yield Static(id="lines", markup=False)

    def show(self, outcome: Outcome, waiting: str, *, barred: bool) -> None:
        """Show an outcome, `waiting` being said while there is no verdict; `barred`: with a line of bars."""
        verdict = self.query_one("#verdict", Static)
        for name in Verdict:
            verdict.set_class(outcome.verdict is name, f"-{name.name.lower()}")
        said = waiting
        if outcome.verdict is not None:
            said = f"{mark_of(outcome.verdict.value)} {capital(outcome.verdict.value)}"
        verdict.update(self._sign(said))
        todo = self.query_one("#todo", Static)
        todo.display = bool(outcome.todo)
        todo.update(self._sign(outcome.todo))
        self._outcome, self._barred = outcome, barred
        self._show_lines()

    def on_resize(self) -> None:
        """Lay the results out for another width."""
        self._show_lines()

    def _show_lines(self) -> None:
        width = self.scrollable_content_region.width
        rows = list(self._outcome.lines)
        if self._outcome.trace is not None and self._barred:
            rows.insert(2, ("Readings", bars(self._outcome.trace, 20, ascii_only=self._ascii)))
        # A suspect reading comes first, or it would be below the edge of a small screen.
        rows.sort(key=lambda row: row[0] != LOOK_AT)
        signed = [(self._sign(label), self._sign(text)) for label, text in rows]
        self.query_one("#lines", Static).update(
            _columns(signed) if width >= _ROOMY else _run_in(signed, width)
        )

    def _sign(self, text: str) -> str:
        return in_ascii(text) if self._ascii else text


def _columns(rows: list[tuple[str, str]]) -> Table:
    """Return names and results side by side."""
    table = Table.grid(expand=True, padding=(0, 1, 0, 0))
    table.add_column(width=_LABEL)
    table.add_column(ratio=1)
    for label, text in rows:
        table.add_row(Text(label, "dim"), Text(text))
    return table


def _run_in(rows: list[tuple[str, str]], width: int) -> Text:
    """Return each result behind its name where it fits, else indented below it."""
    drawn = Text()
    for label, text in rows:
        drawn.append(label, "dim")
        if len(label) + 2 + len(text) <= width:
            drawn.append(f"  {text}\n")
        else:
            drawn.append("".join(f"\n  {line}" for line in wrapped(text, width - 2)) + "\n")
    return drawn
