"""Record and flow of the bench as a state machine: what a person, a clock or a disk may do, in any order."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from sessions.design import Design
from sessions.entries import Entry, Reading
from sessions.equipment import Circle, Instrument
from sessions.flow import Flow
from sessions.header import Header
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.faulty import BROKEN, FULL, FaultyDisk
from tests.sessions.kit import START

#: Designs of every way of reading, small enough to be filled and overfilled.
DESIGNS = (
    Design(4, (0, 1), repeats=2),
    Design(3, (0, 1, 2), closing=False),
    Design(3, (0, 1), direction="forward and return", drift="linear"),
    Design(4, (0, 1, 2, 3), reading="interval", closing=False),
    Design(4, (0, 0), closure="single", reading="interval", closing=False),
    Design(5, (0, 2), arrangement="face by face"),
)
#: What is typed: mostly numbers, some of them odd, some none.
TYPED = st.one_of(
    st.decimals(-200, 200, places=2).map(str),
    st.from_regex(r"[-+−]?[0-9]{0,4}[.,]?[0-9]{0,3}", fullmatch=True),
    st.sampled_from(
        ["1e5", "nan", "inf", "", "٣", "0x1", "1,2,3", "--1", "9" * 400, "1\x1b[31m", "１", "1_0"]
    ),
)
ENDS = st.sampled_from(["\n", "\r\n", "\r", "\n\n", "\u2028"])
RUBBISH = st.text(max_size=12)
WORDS = st.one_of(
    st.sampled_from(["", " ", "door\n[[entry]]\nend = 3", "x\x1b]2;y\x07", "\u202ex", "ü\r\nv"]), RUBBISH
)
NUMBERS = st.integers(-1, 60)
BEGINNING = b'\n[[entry]]\nkind = "reading"\ntime = 2026-03-02T08:52:10+00:00\n'


class Record(RuleBasedStateMachine):
    """What was acknowledged is in the file, and a session opened anew is the one that was left."""

    done = 0

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.time = START
        self.disk = FaultyDisk()
        self.acknowledged: list[Entry] = []

    @initialize(design=st.sampled_from(DESIGNS))
    def begin(self, design: Design) -> None:
        """Begin a session."""
        upper = None if design.closure == "single" else Circle()
        header = Header(design, Circle(tolerance=1.0), upper, Instrument(resolution=0.01, range=150.0))
        path = self.folder / "s.toml"
        self.session = Session.create(path, header, clock=lambda: self.time, disk=self.disk)
        self.flow = Flow(self.session)

    def attempt(self, act: Callable[[], object]) -> None:
        """Do something: it is recorded or refused, and nothing else."""
        type(self).done += 1
        self.time += timedelta(seconds=7)
        held = self.session.entries
        try:
            act()
        except Refused as refusal:
            assert "\n" not in str(refusal).strip()
        entries = self.session.entries
        assert entries[: len(held)] == held
        self.acknowledged = list(entries)

    # At the bench

    @rule(text=TYPED)
    def enter(self, text: str) -> None:
        """Type a reading."""
        place, count = self.flow.place, len(self.session.entries)
        self.attempt(lambda: self.flow.enter(text))
        new = self.session.entries[count:]
        assert len(new) <= 1
        for entry in new:
            assert isinstance(entry, Reading)
            assert (entry.run, entry.step) == (place.run, place.step)

    @rule(lines=st.lists(TYPED, max_size=6), end=ENDS, rubbish=st.one_of(st.just(""), RUBBISH))
    def paste(self, lines: list[str], end: str, rubbish: str) -> None:
        """Paste a column, or what was meant to be one."""

        def paste() -> None:
            assert self.flow.paste(end.join(lines) + rubbish).readings

        self.attempt(paste)

    @rule(run=st.integers(0, 3), step=st.integers(0, 5))
    def move(self, run: int, step: int) -> None:
        """Go to another cell of the design."""
        design = self.session.header.design
        self.flow.move(run % design.run_count, design.steps[step % len(design.steps)])

    @rule()
    def undo(self) -> None:
        """Take the last reading back."""
        self.attempt(self.flow.undo)

    @rule(number=NUMBERS, reason=WORDS)
    def strike(self, number: int, reason: str) -> None:
        """Strike a reading."""
        self.attempt(lambda: self.flow.strike(number, reason))

    @rule(number=NUMBERS)
    def restore(self, number: int) -> None:
        """Restore what was struck, kept or split."""
        self.attempt(lambda: self.flow.restore(number))

    @rule(number=NUMBERS, reason=WORDS)
    def keep(self, number: int, reason: str) -> None:
        """Keep a reading on purpose."""
        self.attempt(lambda: self.flow.keep(number, reason))

    @rule(run=st.integers(-1, 4), step=st.integers(-1, 6))
    def split(self, run: int, step: int) -> None:
        """Split a run."""
        self.attempt(lambda: self.flow.split(run, step))

    @rule(run=st.integers(-1, 4), step=st.integers(-1, 6))
    def unsplit(self, run: int, step: int) -> None:
        """Undo a split."""
        self.attempt(lambda: self.flow.unsplit(run, step))

    @rule(run=st.integers(0, 3), reason=WORDS)
    def strike_run(self, run: int, reason: str) -> None:
        """Strike a whole run."""
        run %= self.session.header.design.run_count
        self.attempt(lambda: self.flow.strike_run(run, reason))

    @rule(words=WORDS)
    def note(self, words: str) -> None:
        """Note something."""
        self.attempt(lambda: self.session.note(words))

    @rule(words=st.one_of(WORDS, st.sampled_from(["20,1 1013 45 sun", "20", "- - 40", "20 1e9"])))
    def conditions(self, words: str) -> None:
        """Note the conditions."""
        self.attempt(lambda: self.flow.conditions(words))

    @rule(
        amendment=st.sampled_from(
            [
                ("title", "other"),
                ("title", "x\x1b[31m"),
                ("operator", 3),
                ("design.offsets", [0, 1, 2]),
                ("design.offsets", [0]),
                ("design.repeats", 3),
                ("design.repeats", 0),
                ("design.positions", 5),
                ("design.drift", "linear"),
                ("design.closing", True),
                ("instrument.unit", "urad"),
                ("instrument.polarity", -1),
                ("lower.tolerance", float("nan")),
                ("lower.nothing", 1),
            ]
        ),
        reason=WORDS,
    )
    def amend(self, amendment: tuple[str, object], reason: str) -> None:
        """Amend the header."""
        self.attempt(lambda: self.session.amend(*amendment, reason))
        self.flow.header_changed()

    @rule(offsets=st.lists(st.integers(0, 3), max_size=3))
    def replan(self, offsets: list[int]) -> None:
        """Take the last offset off the plan, or put further ones behind it."""
        planned = [*self.session.header.design.offsets]
        self.attempt(
            lambda: self.session.amend(
                "design.offsets", planned + offsets if offsets else planned[:-1], "plan"
            )
        )
        self.flow.header_changed()

    # What happens

    @rule(days=st.integers(-20_000, 20_000), hours=st.integers(-14, 14))
    def clock_jumps(self, days: int, hours: int) -> None:
        """Let the clock jump, and the zone with it."""
        time = datetime(2026, 3, 2, 12, tzinfo=UTC) + timedelta(days=days)
        self.time = time.replace(tzinfo=UTC) + timedelta(hours=hours)

    @rule(
        call=st.sampled_from(["write", "sync", "truncate", "size"]),
        error=st.sampled_from([FULL, BROKEN]),
        partly=st.integers(0, 60),
        at=st.integers(0, 30),
        text=TYPED,
    )
    def disk_fails(self, call: str, error: OSError, partly: int, at: int, text: str) -> None:
        """Let the disk fail while a reading is taken, perhaps so that it cannot be taken back either."""
        fail = {call: error} if call != "truncate" else {call: error, "sync": error}
        self.disk.fail, self.disk.partly, self.disk.at, self.disk.calls = fail, partly, at, 0
        self.attempt(lambda: self.flow.enter(text))
        self.disk.fail = {}

    @rule()
    def second_writer(self) -> None:
        """Open the file a second time: it is read-only, and says so."""
        with Session.open(self.session.path, disk=self.disk) as second:
            assert "has it open" in second.read_only
            assert second.entries == self.session.entries
            try:
                second.take(0, 1, 1.0)
            except Refused as refusal:
                assert "has it open" in refusal.what
            else:
                raise AssertionError("two writers")

    @rule(cut=st.integers(0, 40))
    def killed_in_a_write(self, cut: int) -> None:
        """End without a word, the beginning of a further entry behind the last, and open again."""
        self.session.close()
        with Session.read(self.session.path) as left:
            beginning = b"" if left.notices else BEGINNING[:cut]
        with self.session.path.open("ab") as file:
            file.write(beginning)
        self._open()

    @precondition(lambda self: self.session.entries)
    @rule()
    def open_again(self) -> None:
        """Close and open again."""
        self.session.close()
        self._open()

    def _open(self) -> None:
        held = state(self.session)
        self.session = Session.open(self.session.path, clock=lambda: self.time, disk=self.disk)
        assert self.session.read_only == ""
        assert state(self.session) == held
        self.flow = Flow(self.session)

    # What holds always

    @invariant()
    def all_that_was_acknowledged_is_in_the_file(self) -> None:
        """The file opened by another one holds just what was acknowledged, and comes to the same state."""
        if not hasattr(self, "session"):
            return
        with Session.read(self.session.path) as other:
            assert list(other.entries) == self.acknowledged
            assert state(other) == state(self.session)

    @invariant()
    def the_place_lies_in_the_design(self) -> None:
        """What is typed next goes to a cell of the design, and it can be said what to set there."""
        if not hasattr(self, "session"):
            return
        design, place = self.session.header.design, self.flow.place
        assert 0 <= place.run < design.run_count
        assert place.step in design.steps
        assert self.flow.instruction().set_to
        assert self.flow.remaining() >= 0

    def teardown(self) -> None:
        """Put everything away."""
        if hasattr(self, "session"):
            self.session.close()
        shutil.rmtree(self.folder)


def state(session: Session) -> tuple[object, ...]:
    """Return all that a session has come to."""
    matrix = session.matrix.snapshot()
    assert np.array_equal(matrix.count, session.matrix.count)
    return (
        session.header,
        session.entries,
        matrix.count.tolist(),
        matrix.cells,
        matrix.splits,
        matrix.accepted,
        matrix.struck,
    )
