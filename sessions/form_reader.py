"""Reads the fields of a form one by one and notes what is wrong with each."""

from __future__ import annotations

from collections.abc import Callable, Set
from typing import TypeVar

from sessions.form_values import positive, whole
from solver.refused import Refused

_T = TypeVar("_T")


class FormReader:
    """Reads fields that apply.

    Parameters
    ----------
    form : object
        Has every field as an attribute, as typed.
    names : set of str
        The fields that apply; the others read as None, whatever stands in them.
    """

    def __init__(self, form: object, names: Set[str]) -> None:
        self._form = form
        self.names = names
        #: What is wrong with a field, by its name.
        self.wrong: dict[str, str] = {}

    def text(self, name: str) -> str:
        """Return what was typed, without blanks around it; "" where the field does not apply."""
        return str(getattr(self._form, name)).strip() if name in self.names else ""

    def read(self, name: str, read: Callable[[str], _T], *, required: bool = False) -> _T | None:
        """Return what `read` makes of a field: None where it does not apply, is empty or wrong, which is noted."""
        if name not in self.names or not (required or self.text(name)):
            return None
        try:
            return read(self.text(name))
        except Refused as refused:
            self.wrong[name] = refused.what
            return None

    def whole(self, name: str, low: int, high: int, *, required: bool = False) -> int | None:
        """Return a whole number from `low` to `high`."""
        return self.read(name, lambda text: whole(text, low, high), required=required)

    def positive(self, name: str) -> float | None:
        """Return a number above 0."""
        return self.read(name, positive)

    def freedom_of(self, deviation: str, freedom: float | None) -> None:
        """Note that the field `deviation` is missing if only its degrees of freedom were given."""
        if freedom and not self.text(deviation):
            self.wrong[deviation] = "missing, though its degrees of freedom are given"
