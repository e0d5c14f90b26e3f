"""What the tests of the record share: a header, a clock that ticks, a session of every kind of entry."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sessions.design import Design
from sessions.disk import Disk
from sessions.equipment import Circle, Instrument
from sessions.header import Header
from sessions.session import Session

START = datetime(2026, 3, 2, 8, 52, 10, tzinfo=UTC)

#: The example of the design document, section 5 (read), with a made-up operator, and its two entries.
DESIGN_EXAMPLE = """\
format = "fullturn session"
version = 1
title = "HT-04 against HT-11, 30 degree steps"
operator = "A. Example"
created = 2026-03-02T08:41:00+00:00

[design]
closure = "dual"                    # "dual" | "single"
reading = "position"                # "position" | "interval"
arrangement = "counter-rotating"    # "counter-rotating" | "face by face"
positions = 12
offsets = [0, 1, 4]                 # one run each
direction = "forward"
closing = true                      # closing reading at step n ("position" only)
repeats = 2                         # readings planned in each cell
drift = "none"                      # "none" | "linear"

[lower]
kind = "index table"
name = "HT-04"
serial = "1"
tolerance = 0.25                    # ± arc seconds, optional

[upper]
kind = "index table"

[instrument]
kind = "autocollimator"
unit = "arcsec"
resolution = 0.01
range = 150.0
polarity = 1                        # +1 | -1
accepted_sd = 0.05
accepted_sd_dof = 20

[[entry]]
kind = "reading"
time = 2026-03-02T08:52:10+00:00
run = 0
step = 0
value = 0.12
end = 1

[[entry]]
kind = "strike"
time = 2026-03-02T08:52:40+00:00
entry = 1
reason = "door opened"
end = 2
"""


class Clock:
    """A clock that ticks ten seconds at each look."""

    def __init__(self, start: datetime = START) -> None:
        self.time = start

    def __call__(self) -> datetime:
        self.time += timedelta(seconds=10)
        return self.time


class QuickDisk(Disk):
    """A disk that does not wait for the platter, for tests that open a file a thousand times."""

    def sync(self, descriptor: int) -> None:
        """Do not wait."""

    def sync_folder(self, folder: Path) -> None:
        """Do not wait."""


def example_header() -> Header:
    """Return a header with every field set."""
    return Header(
        design=Design(12, (0, 1, 4), repeats=2),
        lower=Circle("index table", 'HT-04 "old"', "17", 0.25),
        upper=Circle("polygon", "Prüfling", "ß-1", 0.5),
        instrument=Instrument("autocollimator", "arcsec", 0.01, 150.0, 1, 0.05, 20.0),
        title="HT-04 against Prüfling",
        operator="A. Example",
        created=START,
    )


def every_kind(path: Path, disk: Disk | None = None) -> Session:
    """Begin a session and record every kind of entry, fourteen in all."""
    session = Session.create(path, example_header(), clock=Clock(), disk=disk or QuickDisk())
    session.take(0, 0, 0.12)
    session.take(0, 0, -0.05)
    session.take(0, 1, 1e-05)
    session.strike(2, 'the door: "bang", Türe\n\\ second line [[entry]]\nend = 3')
    session.restore(4, "it was the other door")
    session.conditions(20.12, 1013.2, None, "sun on the wall")
    session.note("Mörtel 温度\t⌀ end = 7")
    session.amend("design.offsets", [0, 1, 4, 9], "one more run")
    session.setup("axis", {"tilt of axis": 1.5, "steps": [1, 2, 3], "ok": True, "why": 'a"b', "in": {"x": 0}})
    session.keep(3, "seen in the eyepiece")
    session.split(1, 5, "mirror touched")
    session.take(3, 12, 123456.789)
    session.restore(11)
    session.take(2, 7, -3)
    return session


def without_checks(data: bytes) -> bytes:
    """Return a file as other programs or people write it, without check lines."""
    return re.sub(rb'check = "[0-9a-f]{8}"\n', b"", data)
