"""Files written for somebody: whole or not at all, and what was there before stays until the new one is."""

from __future__ import annotations

from pathlib import Path

import pytest

from sessions.demo import copy_demo
from sessions.design import Design
from sessions.output import refuse_existing, write_output
from sessions.practice.begin import begin
from sessions.practice.parameters import Parameters
from solver.refused import Refused
from tests.sessions.faulty import FULL, FaultyDisk


class FullAfter(FaultyDisk):
    """A disk that is full after some calls to write."""

    def __init__(self, calls: int) -> None:
        super().__init__()
        self.fail, self.at, self.partly = {"write": FULL}, calls, 3


def test_written_and_written_over(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    write_output(path, b"first")
    with pytest.raises(Refused, match="there already"):
        write_output(path, b"second")
    assert path.read_bytes() == b"first"
    write_output(path, b"second", overwrite=True)
    assert path.read_bytes() == b"second"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("overwrite", [False, True])
@pytest.mark.parametrize("calls", [0, 2])
def test_a_full_disk_leaves_what_was_there(tmp_path: Path, overwrite: bool, calls: int) -> None:
    path = tmp_path / "out.csv"
    if overwrite:
        path.write_bytes(b"last year's")
    with pytest.raises(Refused, match="the disk is full"):
        write_output(path, b"x" * 100, overwrite=overwrite, disk=FullAfter(calls))
    assert [each.read_bytes() for each in tmp_path.iterdir()] == ([b"last year's"] if overwrite else [])


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    for overwrite in (False, True):
        with pytest.raises(Refused, match="there is no such folder"):
            write_output(tmp_path / "none" / "out.csv", b"x", overwrite=overwrite)


def test_a_demo_cut_short_is_not_left_behind(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="the disk is full"):
        copy_demo(tmp_path, disk=FullAfter(5))
    assert list(tmp_path.iterdir()) == []


def test_a_simulated_session_without_its_parameters_is_not_left_behind(tmp_path: Path) -> None:
    """It would open as a real one."""
    path = tmp_path / "practice.toml"
    disk = FaultyDisk()
    counted = FaultyDisk()
    counted.fail, counted.at = {"write": FULL}, 10**6
    begin(tmp_path / "whole.toml", Design(4, (0, 1)), Parameters(1), disk=counted).close()
    disk.fail, disk.at = {"write": FULL}, counted.calls - 2
    with pytest.raises(Refused, match="the disk is full"):
        begin(path, Design(4, (0, 1)), Parameters(1), disk=disk)
    assert not path.exists()


def test_a_link_to_nothing_is_there_already(tmp_path: Path) -> None:
    """Before any work is done, as the writing itself would find (POSIX open with O_EXCL: memory)."""
    link = tmp_path / "out.pdf"
    link.symlink_to(tmp_path / "nowhere")
    with pytest.raises(Refused, match="there already"):
        refuse_existing(link, overwrite=False)
    refuse_existing(link, overwrite=True)
    refuse_existing(tmp_path / "other.pdf", overwrite=False)
