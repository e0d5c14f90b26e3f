"""Faults at every call to the disk: refused in words, nothing lost, nothing half-written."""

import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from sessions.disk import Disk
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.faults_everywhere import fail_everywhere
from tests.sessions.faulty import BROKEN, FULL, FaultyDisk
from tests.sessions.kit import Clock, example_header


@pytest.fixture
def disk() -> FaultyDisk:
    return FaultyDisk()


@pytest.fixture
def session(tmp_path: Path, disk: FaultyDisk) -> Session:
    session = Session.create(tmp_path / "s.toml", example_header(), clock=Clock(), disk=disk)
    session.take(0, 0, 1.0)
    return session


ACTIONS: dict[str, Callable[[Session], object]] = {
    "take": lambda session: session.take(0, 1, 2.5),
    "strike": lambda session: session.strike(1, "door"),
    "keep": lambda session: session.keep(1, "seen"),
    "split": lambda session: session.split(0, 3, "mirror"),
    "note": lambda session: session.note("Türe"),
    "conditions": lambda session: session.conditions(20.0),
    "amend": lambda session: session.amend("design.offsets", [0, 1, 4, 9], "more"),
    "setup": lambda session: session.setup("axis", {"tilt": 1.0}),
}


def state(session: Session) -> tuple:
    matrix = session.matrix.snapshot()
    return (
        session.header,
        session.entries,
        matrix.count.tolist(),
        matrix.cells,
        matrix.splits,
        matrix.accepted,
    )


@pytest.mark.parametrize("action", ACTIONS)
@pytest.mark.parametrize("call", ["write", "sync"])
@pytest.mark.parametrize("partly", [0, 1, 50])
def test_failed_append_changes_nothing(
    session: Session, disk: FaultyDisk, action: str, call: str, partly: int
) -> None:
    before, held = session.path.read_bytes(), state(session)
    disk.fail, disk.partly, disk.at, disk.calls = {call: FULL}, partly, 0, 0
    with pytest.raises(Refused, match=r"not recorded: the disk is full.*[Ff]ree some space"):
        ACTIONS[action](session)
    assert session.path.read_bytes() == before
    assert state(session) == held
    ACTIONS[action](session)
    session.close()
    assert Session.read(session.path).entries == session.entries
    assert len(session.entries) == 2


def test_fault_at_every_single_write(session: Session, disk: FaultyDisk) -> None:
    """Short writes of seven bytes: the fault comes at each of them in turn, and in the middle of it."""
    before = session.path.read_bytes()
    for at in range(100):
        disk.fail, disk.partly, disk.at, disk.calls = {"write": BROKEN}, 3, at, 0
        try:
            session.take(0, 1, 2.5)
        except Refused as refused:
            assert "the disk reports an error" in refused.what
            assert session.path.read_bytes() == before
            assert len(session.entries) == 1
        else:
            break
    assert at > 15
    assert Session.read(session.path).entries == session.entries
    assert len(session.entries) == 2


def test_write_that_takes_nothing_is_an_error(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    disk = Disk()
    monkeypatch.setattr(disk, "write", lambda descriptor, data: 0)
    with pytest.raises(OSError, match="nothing was written"):
        disk.write_all(0, b"a")


def test_nothing_is_written_after_what_cannot_be_taken_back(session: Session, disk: FaultyDisk) -> None:
    disk.fail, disk.partly = {"write": FULL, "truncate": BROKEN}, 30
    with pytest.raises(Refused, match="disk is full"):
        session.take(0, 1, 2.5)
    disk.fail = {}
    half = session.path.read_bytes()
    for _ in range(2):
        with pytest.raises(Refused, match=r"could not be taken back.*[Cc]lose the session and open it again"):
            session.take(0, 1, 2.5)
    assert session.path.read_bytes() == half
    session.close()
    with Session.open(session.path, clock=Clock()) as again:
        assert again.entries == session.entries
        assert "cut entry" in again.notices[0]
        again.take(0, 1, 2.5)


def test_interrupt_in_the_middle_of_a_write_takes_it_back(session: Session, disk: FaultyDisk) -> None:
    before = session.path.read_bytes()
    disk.fail, disk.partly = {"write": KeyboardInterrupt()}, 30
    with pytest.raises(KeyboardInterrupt):
        session.take(0, 1, 2.5)
    assert session.path.read_bytes() == before
    disk.fail = {}
    session.take(0, 1, 2.5)


def test_file_grown_by_somebody_else(session: Session) -> None:
    with session.path.open("ab") as file:
        file.write(b"# a remark\n")
    grown = session.path.read_bytes()
    with pytest.raises(Refused, match="another program changed the file"):
        session.take(0, 1, 2.5)
    assert session.path.read_bytes() == grown
    session.close()
    with Session.open(session.path, clock=Clock()) as again:
        again.take(0, 1, 2.5)


@pytest.mark.skipif(os.name == "nt", reason="Windows neither removes nor replaces an open file")
@pytest.mark.parametrize("what", ["deleted", "moved", "replaced"])
def test_file_taken_away_is_saved_under_another_name(session: Session, what: str) -> None:
    before = session.path.read_bytes()
    if what == "deleted":
        session.path.unlink()
    elif what == "moved":
        session.path.rename(session.path.with_name("moved.toml"))
    else:
        other = session.path.with_name("other.toml")
        other.write_bytes(b"something else")
        other.replace(session.path)
    for _ in range(2):
        with pytest.raises(Refused, match=r"moved, deleted or replaced.*[Gg]o on with s\.rescued-"):
            session.take(0, 1, 2.5)
    (rescued,) = session.path.parent.glob("s.rescued-*.toml")
    assert rescued.read_bytes() == before
    assert Session.read(rescued).entries == session.entries
    assert len(session.entries) == 1
    if what == "replaced":
        assert session.path.read_bytes() == b"something else"


@pytest.mark.skipif(os.name == "nt", reason="Windows does not remove the folder of an open file")
def test_folder_taken_away(session: Session) -> None:
    shutil.rmtree(session.path.parent)
    with pytest.raises(Refused, match=r"moved, deleted or replaced.*could not be saved"):
        session.take(0, 1, 2.5)


def test_file_put_back_is_written_again(session: Session) -> None:
    if os.name == "nt":
        pytest.skip("Windows does not move an open file")
    away = session.path.with_name("away.toml")
    session.path.rename(away)
    with pytest.raises(Refused):
        session.take(0, 1, 2.5)
    away.rename(session.path)
    session.take(0, 1, 2.5)
    assert Session.read(session.path).entries == session.entries


@pytest.mark.parametrize("number", [errno.EACCES, errno.EPERM, errno.EROFS])
def test_file_that_cannot_be_written_opens_for_reading(
    session: Session, disk: FaultyDisk, number: int
) -> None:
    session.close()
    disk.fail = {"open": OSError(number, os.strerror(number))}
    with Session.open(session.path, disk=disk) as again:
        assert "cannot be written" in again.read_only
        assert again.entries == session.entries
        with pytest.raises(Refused, match="cannot be written"):
            again.take(0, 1, 2.5)
    with Session.open(session.path, clock=Clock()) as again:
        assert again.read_only == ""


@pytest.mark.parametrize("call", ["write", "sync", "sync_folder", "truncate"])
def test_cut_entry_that_cannot_be_set_aside_stays(session: Session, disk: FaultyDisk, call: str) -> None:
    session.close()
    data = session.path.read_bytes() + b"\n[[entry]]\nkind"
    session.path.write_bytes(data)
    disk.fail = {call: FULL}
    with Session.open(session.path, clock=Clock(), disk=disk) as again:
        assert "could not be moved aside: the disk is full" in again.read_only
        assert again.entries == session.entries
    assert session.path.read_bytes() == data
    assert call == "truncate" or not list(session.path.parent.glob("s.cut-*"))
    with Session.open(session.path, clock=Clock()) as again:
        assert again.read_only == ""
        again.take(0, 1, 2.5)


@pytest.mark.parametrize("call", ["write", "sync", "sync_folder"])
def test_session_that_cannot_be_begun_leaves_nothing(tmp_path: Path, disk: FaultyDisk, call: str) -> None:
    disk.fail, disk.partly = {call: FULL}, 5
    with pytest.raises(Refused, match="the disk is full"):
        Session.create(tmp_path / "s.toml", example_header(), disk=disk)
    assert not (tmp_path / "s.toml").exists()
    disk.fail = {}
    Session.create(tmp_path / "s.toml", example_header(), disk=disk).close()


def test_file_that_cannot_be_read(session: Session, disk: FaultyDisk) -> None:
    session.close()
    disk.fail = {"read": BROKEN}
    for opening in (Session.open, Session.read):
        with pytest.raises(Refused, match="the disk reports an error"):
            opening(session.path, disk=disk)


def test_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("not a folder", encoding="utf-8")
    with pytest.raises(Refused):
        Session.create(tmp_path / "a" / "s.toml", example_header())


def test_fault_at_one_call_after_another_of_a_whole_session(tmp_path: Path) -> None:
    assert fail_everywhere(tmp_path, every=17).faults > 30
