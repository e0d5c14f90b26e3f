"""Every screen explains itself, and every command shows how it is used."""

from __future__ import annotations

import importlib
import pkgutil

import pytest
from textual.binding import Binding
from textual.screen import ModalScreen, Screen

import tui.screens
from tui.screens.bench import BenchScreen
from tui.screens.bench_view import BenchView
from tui.screens.help import HelpScreen
from tui.screens.judging import JudgingScreen

#: Those that are no screens of their own, and the help itself.
_NOT_SHOWN = {BenchView, BenchScreen, JudgingScreen, HelpScreen}


def screens() -> list[type[Screen[object]]]:
    """Return every screen of the program."""
    found: set[type[Screen[object]]] = set()
    for module in pkgutil.iter_modules(tui.screens.__path__, "tui.screens."):
        for thing in vars(importlib.import_module(module.name)).values():
            if isinstance(thing, type) and issubclass(thing, Screen) and thing.__module__ == module.name:
                found.add(thing)
    return sorted(found - _NOT_SHOWN, key=lambda screen: screen.__name__)


@pytest.mark.parametrize("screen", screens(), ids=lambda screen: screen.__name__)
def test_every_screen_has_help_of_its_own(screen: type[Screen[object]]) -> None:
    assert len((screen.HELP or "").split()) >= 10
    assert screen.HELP not in {base.HELP for base in screen.__mro__[1:] if issubclass(base, Screen)}


@pytest.mark.parametrize("screen", screens(), ids=lambda screen: screen.__name__)
def test_every_screen_is_left_by_escape_and_explains_its_keys(screen: type[Screen[object]]) -> None:
    bound = [
        binding
        for base in screen.__mro__
        if issubclass(base, Screen) and base.__module__.startswith("tui.")
        for binding in vars(base).get("BINDINGS", ())
        if isinstance(binding, Binding)
    ]
    keys = {key for binding in bound for key in binding.key.split(",")}
    assert "escape" in keys or "q" in keys
    # Keys of the app do not reach a screen that stands before another.
    assert "f1" in keys or not issubclass(screen, ModalScreen)
    explained = {_name(binding) for binding in bound if binding.show or binding.tooltip}
    for binding in bound:
        assert binding.description
        assert _name(binding) in {*explained, "app.help"}, f"{binding.key} is in no help page"


def _name(binding: Binding) -> str:
    return binding.action.partition("(")[0]
