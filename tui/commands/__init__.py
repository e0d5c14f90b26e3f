"""The commands without a screen, one module each.

A module has `add_parser(subparsers)`, which adds its parser and sets `run`, a function from the parsed
arguments to the exit status. It is imported only to be run or listed; what is heavy it imports in `run`.
"""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules
from typing import TYPE_CHECKING, Any, Protocol, cast

if TYPE_CHECKING:
    import argparse

    #: What `ArgumentParser.add_subparsers` returns.
    Subparsers = argparse._SubParsersAction[Any]


class Command(Protocol):
    """What a module of this package offers."""

    def add_parser(self, subparsers: Subparsers) -> None:
        """Add the command's parser, with its `run` as a default."""


def names() -> tuple[str, ...]:
    """Return the names of all commands without importing them, a module's trailing underscore dropped."""
    return tuple(sorted(module.name.rstrip("_") for module in iter_modules(__path__)))


def load(name: str) -> Command:
    """Import the module of a command."""
    found = next(module.name for module in iter_modules(__path__) if module.name.rstrip("_") == name)
    return cast("Command", import_module(f"{__name__}.{found}"))
