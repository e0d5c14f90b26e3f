"""A file cut at any byte opens with every whole entry; the cut one is set aside, and nothing is ever lost."""

import re
from pathlib import Path

import pytest

from sessions.parse import parse
from sessions.session import Session
from solver.refused import Refused
from tests.sessions.cutting import LATER, go_on_after_cuts
from tests.sessions.kit import DESIGN_EXAMPLE, Clock, QuickDisk, every_kind, without_checks

_END = re.compile(rb"^end = \d+", re.MULTILINE)


def small_file(folder: Path) -> bytes:
    with every_kind(folder / "whole.toml") as session:
        pass
    return session.path.read_bytes()


def whole_entries(data: bytes, cut: int) -> int:
    """Return how many `end` lines stand in the first `cut` bytes, their line ends apart."""
    return sum(match.end() <= cut for match in _END.finditer(data))


@pytest.fixture(params=["checks", "plain", "crlf"])
def data(request: pytest.FixtureRequest, tmp_path: Path) -> bytes:
    data = small_file(tmp_path)
    # A note of the file has "end = 3" within its text, but there no line begins with it.
    assert len(_END.findall(data)) == 14
    return {"checks": data, "plain": without_checks(data), "crlf": data.replace(b"\n", b"\r\n")}[
        request.param
    ]


def test_cut_at_every_byte(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "cut.toml"
    entries = parse(data, "whole").state.entries
    first = re.search(rb"^\[\[entry\]\]", data, re.MULTILINE)
    assert first is not None
    for cut in range(len(data) + 1):
        part = data[:cut]
        # The blank line before the first entry belongs to that.
        if cut < first.start() - len(b"\r\n" if b"\r" in data else b"\n"):
            with pytest.raises(Refused):
                parse(part, "cut")
            if cut % 20 == 0:
                path.write_bytes(part)
                with pytest.raises(Refused):
                    Session.open(path, disk=QuickDisk())
                assert path.read_bytes() == part
            continue
        found = parse(part, "cut")
        assert found.state.entries == entries[: whole_entries(data, cut)], cut
        assert part[found.length :] == found.tail


def test_cut_entry_is_set_aside_and_the_session_goes_on(tmp_path: Path) -> None:
    data = small_file(tmp_path)
    first = data.index(b"\n[[entry]]")
    assert go_on_after_cuts(tmp_path, data, range(first, len(data) + 1, 3)) > 100


def test_dripped_growth(tmp_path: Path) -> None:
    """A file that grows byte by byte shows one entry more with each whole one, and never another value."""
    data = small_file(tmp_path)
    path = tmp_path / "s.toml"
    path.write_bytes(data)
    entries = Session.read(path).entries
    first = data.index(b"\n[[entry]]")
    path.write_bytes(data[:first])
    seen = 0
    with path.open("ab", buffering=0) as file:
        for byte in data[first:]:
            file.write(bytes([byte]))
            now = Session.read(path).entries
            assert now == entries[: len(now)]
            assert len(now) in (seen, seen + 1)
            seen = len(now)
    assert seen == len(entries)


def test_header_of_another_program_is_cut_anywhere_without_a_wrong_value(tmp_path: Path) -> None:
    path = tmp_path / "s.toml"
    text = re.sub(r"[ ]+#.*", "", DESIGN_EXAMPLE)
    path.write_bytes(text.encode())
    whole = Session.read(path).header
    opened = 0
    for cut in range(text.index("[[entry]]")):
        path.write_bytes(text.encode()[:cut])
        try:
            header = Session.read(path).header
        except Refused:
            continue
        opened += 1
        assert header.design.positions == 12
        for value, right in ((header.instrument, whole.instrument), (header.lower, whole.lower)):
            for name in type(right).__dataclass_fields__:
                default = type(right).__dataclass_fields__[name].default
                assert getattr(value, name) in (getattr(right, name), default), (cut, name)
    assert opened  # a cut between two lines of such a header cannot be told from a shorter header


def test_seal_tells_a_header_cut_between_two_lines(tmp_path: Path) -> None:
    data = small_file(tmp_path)
    header = data[: data.index(b"\n[[entry]]")]
    path = tmp_path / "s.toml"
    lines = header.splitlines(keepends=True)
    for count in range(1, len(lines)):
        path.write_bytes(b"".join(lines[:count]))
        with pytest.raises(Refused) as caught:
            Session.open(path, disk=QuickDisk())
        assert f"has {len(lines)} lines and only {count} of them" in caught.value.what
    path.write_bytes(header)
    assert Session.read(path).entries == ()


def test_side_files_never_overwrite_each_other(tmp_path: Path) -> None:
    data = small_file(tmp_path)
    path = tmp_path / "s.toml"
    for cut in (len(data) - 30, len(data) - 20, len(data) - 20):
        path.write_bytes(data[:cut])
        Session.open(path, clock=Clock(), disk=QuickDisk()).close()
    sides = sorted(tmp_path.glob("s.cut-*"))
    assert [side.name for side in sides] == [
        "s.cut-20260302T085220-2.toml",
        "s.cut-20260302T085220-3.toml",
        "s.cut-20260302T085220.toml",
    ]


@pytest.mark.parametrize("rest", [b"\n", b"   ", b"\n\n\t\n", b"# a remark\n", b"# a remark", b"\r\n"])
def test_space_and_comments_at_the_end_stay_where_they_are(tmp_path: Path, rest: bytes) -> None:
    data = small_file(tmp_path) + rest
    path = tmp_path / "s.toml"
    path.write_bytes(data)
    with Session.open(path, clock=Clock(LATER), disk=QuickDisk()) as session:
        session.take(0, 5, 1.0)
    assert path.read_bytes().startswith(data)
    assert len(Session.read(path).entries) == 15
    assert session.notices == ()
    assert not list(tmp_path.glob("s.cut-*"))


def test_zeros_left_by_a_power_failure_are_set_aside(tmp_path: Path) -> None:
    data = small_file(tmp_path)
    path = tmp_path / "s.toml"
    for tail in (b"\0" * 150, b'\n[[entry]]\nkind = "rea' + b"\0" * 100):
        path.write_bytes(data + tail)
        with Session.open(path, clock=Clock(LATER), disk=QuickDisk()) as session:
            assert len(session.entries) == 14
            assert len(session.notices) == 1
        assert path.read_bytes() == data


def test_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "s.toml"
    data = b"\xef\xbb\xbf" + small_file(tmp_path)
    path.write_bytes(data + b"\n[[entr")
    with Session.open(path, clock=Clock(LATER), disk=QuickDisk()) as session:
        session.take(0, 5, 1.0)
    assert path.read_bytes().startswith(data)
    assert len(Session.read(path).entries) == 15
