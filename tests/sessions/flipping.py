"""One byte of a session file changed: it is refused, or what opens is what was written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sessions.parse import parse
from solver.refused import Refused


@dataclass(slots=True)
class Flips:
    """Bytes changed; how many files were refused, opened whole, or opened with the last entry taken for cut."""

    refused: int = 0
    whole: int = 0
    shorter: int = 0


def flip_every_byte(data: bytes, masks: Iterable[int]) -> Flips:
    """Change every byte by every mask (exclusive or), and check that no other value ever passes silently."""
    whole = parse(data, "whole").state
    count = len(whole.entries)
    last_check = data.rindex(b"check = ")
    found = Flips()
    for mask in masks:
        for position in range(len(data)):
            flipped = bytearray(data)
            flipped[position] ^= mask
            try:
                opened = parse(bytes(flipped), "s.toml")
            except Refused as refused:
                assert "s.toml" in refused.where
                found.refused += 1
                continue
            state = opened.state
            # The line end before the last check may become the sign of a remark: that entry then has no check.
            assert position >= last_check - 1, (position, mask)
            assert state.header == whole.header
            assert state.entries == whole.entries[: len(state.entries)]
            assert len(state.entries) == count or (len(state.entries) == count - 1 and opened.tail)
            found.whole += len(state.entries) == count
            found.shorter += len(state.entries) < count
    return found
