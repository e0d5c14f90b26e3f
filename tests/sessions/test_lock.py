"""One writer at a time, and a lock that dies with its process."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from filelock import BaseFileLock

from sessions.disk import Disk
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.kit import Clock, QuickDisk, example_header
from tests.sessions.writers import write_together

HOLD = """
import sys
from sessions.session import Session
session = Session.open(sys.argv[1])
print(session.read_only or "writing", flush=True)
sys.stdin.read()
"""


def hold(path: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", HOLD, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "s.toml"
    Session.create(path, example_header(), clock=Clock(), disk=QuickDisk()).close()
    return path


def test_second_process_reads_and_says_who_writes(path: Path) -> None:
    with hold(path) as other:
        assert other.stdout.readline() == "writing\n"
        session = Session.open(path)
        assert f"process {other.pid}" in session.read_only
        assert "since" in session.read_only
        with pytest.raises(Refused, match=f"process {other.pid}"):
            session.take(0, 0, 1.0)
        session.close()
        other.kill()
        other.wait()
    with Session.open(path) as session:
        assert session.read_only == ""
        session.take(0, 0, 1.0)
        with hold(path) as other:
            assert f"process {os.getpid()}" in other.stdout.readline()
            other.kill()


def test_second_session_in_one_process_reads_only(path: Path) -> None:
    with Session.open(path, clock=Clock()) as first:
        first.take(0, 0, 1.0)
        with Session.open(path) as second:
            assert f"process {os.getpid()}" in second.read_only
            assert second.entries == first.entries
        first.take(0, 0, 2.0)
    with Session.open(path) as third:
        assert third.read_only == ""


def test_link_leads_to_the_same_lock(path: Path, tmp_path: Path) -> None:
    link = tmp_path / "folder" / "link.toml"
    link.parent.mkdir()
    try:
        link.symlink_to(path)
    except OSError:
        pytest.skip("no links here")
    with Session.open(path), Session.open(link) as second:
        assert second.read_only


@pytest.mark.skipif(os.name == "nt", reason="Windows does not remove an open file")
def test_create_under_a_held_name_is_refused(path: Path) -> None:
    with Session.open(path):
        path.unlink()
        with pytest.raises(Refused, match="has it open"):
            Session.create(path, example_header())
    assert not path.exists()


def test_cut_entry_under_another_writer_stays(path: Path) -> None:
    with Session.open(path):
        data = path.read_bytes() + b"\n[[entry]]\nkind"
        path.write_bytes(data)
        with Session.open(path) as second:
            assert second.read_only
            assert "left where it is" in second.notices[0]
        assert path.read_bytes() == data


def test_only_hidden_files_are_left(path: Path) -> None:
    Session.open(path).close()
    assert [each.name for each in path.parent.iterdir() if not each.name.startswith(".")] == ["s.toml"]
    assert not (path.parent / ".s.toml.holder").exists()


class NoLocks(Disk):
    def __init__(self, error: Exception) -> None:
        self.error = error

    def lock(self, path: Path) -> BaseFileLock:
        lock = super().lock(path)

        def fail() -> None:
            raise self.error

        lock.acquire = fail
        return lock


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (PermissionError(13, "Permission denied"), "folder cannot be written"),
        (OSError(30, "Read-only file system"), "read-only"),
        (NotImplementedError("no flock"), "cannot keep two programs apart"),
    ],
)
def test_where_no_lock_can_be_had_nothing_is_written(path: Path, error: Exception, words: str) -> None:
    with Session.open(path, disk=NoLocks(error)) as session:
        assert words in session.read_only
        with pytest.raises(Refused, match=words):
            session.note("a")
    with pytest.raises(Refused):
        Session.create(path.with_name("t.toml"), example_header(), disk=NoLocks(error))
    assert not path.with_name("t.toml").exists()


def test_processes_that_write_in_turn_lose_nothing(tmp_path: Path) -> None:
    found = write_together(tmp_path, processes=3, opens=20)
    assert found.taken > 20
