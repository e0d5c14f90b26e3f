"""Random keys and pastes: no crash, and every reading acknowledged is in the file; a hundred thousand in endurance."""

from __future__ import annotations

from pathlib import Path

from tests.tui.typing_at_random import type_at_random


async def test_random_keys(tmp_path: Path) -> None:
    done = await type_at_random(tmp_path, 1_000, seed=20260302)
    assert done.entries > 95
    assert done.pastes
