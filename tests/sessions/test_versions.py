"""Files of every released version open for ever: one of each is kept here and never written again."""

import hashlib
from datetime import datetime
from pathlib import Path

from sessions.entries import Amend, Conditions, Keep, Note, Reading, Restore, Setup, Split, Strike
from sessions.session import Session

FILES = Path(__file__).parent / "versions"


def test_version_1() -> None:
    path = FILES / "1.toml"
    data = path.read_bytes().replace(b"\r\n", b"\n")
    # The file itself must not follow a later change of the writer.
    assert (
        hashlib.sha256(data).hexdigest() == "84c48a152da917f1397cef18f3ac7694459db4687d10b216e7695ec412f3d1d0"
    )
    session = Session.read(path)
    assert session.notices == ()
    assert session.header.title == "HT-04 against Prüfling"
    assert session.header.design.offsets == (0, 1, 4, 9)
    assert session.header.instrument.accepted_sd_dof == 20
    kinds = [Reading, Reading, Reading, Strike, Restore, Conditions, Note, Amend, Setup, Keep, Split, Reading]
    assert [type(entry) for entry in session.entries] == [*kinds, Restore, Reading]
    readings = [entry for entry in session.entries if isinstance(entry, Reading)]
    assert [(r.run, r.step, r.value) for r in readings] == [
        (0, 0, 0.12),
        (0, 0, -0.05),
        (0, 1, 1e-05),
        (3, 12, 123456.789),
        (2, 7, -3.0),
    ]
    assert session.entries[0].time == datetime.fromisoformat("2026-03-02T08:52:30+00:00")
    assert session.matrix.splits == ()
    assert session.matrix.readings(0, 1)[0].status == "kept"
    assert (session.matrix.accepted, session.matrix.struck, session.matrix.filled) == (5, 0, 4)
