"""How the widgets look together: kept pictures, to be looked at when they change."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from tests.tui.widget_demo import Board


async def wait_for_the_plot(pilot: Pilot[None]) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
def test_dark(snap_compare: Callable[..., bool], size: tuple[int, int]) -> None:
    assert snap_compare(Board(), terminal_size=size, run_before=wait_for_the_plot)


def test_light_in_plain_ascii(snap_compare: Callable[..., bool]) -> None:
    board = Board(ascii_only=True, light=True)
    assert snap_compare(board, terminal_size=(120, 36), run_before=wait_for_the_plot)


def test_no_color(snap_compare: Callable[..., bool], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    assert snap_compare(Board(), terminal_size=(120, 36), run_before=wait_for_the_plot)
