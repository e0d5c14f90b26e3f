"""What a form is made of: lines under headings."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class FormLine:
    """One field as it stands on the page: its name in the form, label, hint, and words to choose from."""

    name: str
    label: str
    hint: str = ""
    options: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Section:
    """Lines under a heading; `side` says in which half of a wide screen."""

    heading: str
    side: str
    lines: tuple[FormLine, ...]
