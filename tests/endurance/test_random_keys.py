"""A hundred thousand random keys and pastes on the screens."""

from __future__ import annotations

from pathlib import Path

from tests.tui.typing_at_random import type_at_random


async def test_hundred_thousand_random_keys(tmp_path: Path) -> None:
    done = await type_at_random(tmp_path, 100_000, seed=1)
    print(f"\n{done}")
    assert done.keys == 100_000
    assert done.entries > 1_000
