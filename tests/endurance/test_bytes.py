"""A small file cut at every byte and gone on with; every byte changed to every other one."""

from __future__ import annotations

from pathlib import Path

from tests.sessions.cutting import go_on_after_cuts
from tests.sessions.flipping import flip_every_byte
from tests.sessions.kit import every_kind


def small_file(folder: Path) -> bytes:
    with every_kind(folder / "whole.toml") as session:
        pass
    return session.path.read_bytes()


def test_cut_at_every_byte_and_gone_on_with(tmp_path: Path) -> None:
    data = small_file(tmp_path)
    cuts = range(data.index(b"\n[[entry]]"), len(data) + 1)
    set_aside = go_on_after_cuts(tmp_path, data, cuts)
    print(f"\n{len(cuts)} cuts of {len(data)} bytes, {set_aside} cut entries set aside")
    assert set_aside > len(cuts) * 0.9


def test_every_byte_changed_to_every_other(tmp_path: Path) -> None:
    data = small_file(tmp_path)
    found = flip_every_byte(data, range(1, 256))
    print(f"\n{255 * len(data)} changes: {found}")
    assert found.refused + found.whole + found.shorter == 255 * len(data)
    assert found.refused > 0.98 * 255 * len(data)
