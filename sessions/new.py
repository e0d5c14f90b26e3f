"""The form of a new session: from what was typed to a header, field by field."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, fields
from datetime import datetime

from sessions.design import MOST_POSITIONS, MOST_REPEATS, Design
from sessions.divisions import FEWEST_DIVISIONS, MOST_DIVISIONS, refuse_faces, refuse_positions, used_words
from sessions.form_reader import FormReader
from sessions.header import FORMAT, VERSION, Header, read_header
from sessions.sentences import capital
from solver.refused import Refused

_MOST_RUNS = 999


@dataclass(frozen=True, slots=True)
class Form:
    """What stands in the form, as typed. The order of the fields is that on the page.

    Offsets may be "0, 1, 4", "0 1 4", "all", or "all, 0, 4" for a complete closure and two runs more; numbers
    may have a decimal comma; what may be left out is empty. Divisions are those of the whole circle, the faces of a
    polygon: asked for so that it can be said whether the circle stops at every position; no header keeps them.
    """

    title: str = ""
    operator: str = ""
    closure: str = "dual"
    reading: str = "position"
    arrangement: str = "counter-rotating"
    positions: str = "12"
    offsets: str = "0, 1, 4"
    runs: str = "3"
    direction: str = "forward"
    closing: str = "yes"
    repeats: str = "1"
    drift: str = "none"
    lower_kind: str = "index table"
    lower_name: str = ""
    lower_serial: str = ""
    lower_divisions: str = ""
    lower_tolerance: str = ""
    upper_kind: str = "index table"
    upper_name: str = ""
    upper_serial: str = ""
    upper_divisions: str = ""
    upper_tolerance: str = ""
    instrument_kind: str = "autocollimator"
    unit: str = "arcsec"
    resolution: str = ""
    range: str = ""
    polarity: str = "1"
    accepted_sd: str = ""
    accepted_sd_dof: str = ""


#: The fields of a form in the order of the page.
FIELDS = tuple(entry.name for entry in fields(Form))

_PLAN = frozenset(FIELDS[FIELDS.index("closure") : FIELDS.index("lower_kind")])
_DUAL_ONLY = frozenset({"reading", "arrangement", "offsets", "drift"}) | {
    name for name in FIELDS if name.startswith("upper_")
}
_BY_POSITION_ONLY = frozenset({"direction", "closing"})


@dataclass(frozen=True, slots=True)
class Checked:
    """A form that was looked through.

    Parameters
    ----------
    header : Header or None
        The session's header; None while something is wrong.
    design : Design or None
        The plan alone; None while something of the plan is wrong.
    wrong : dict of str to str
        What is wrong with a field, by its name, in the order of the page.
    ways_out : tuple of str
        Sentences: what to do where the circles cannot stop at the positions.
    used : tuple of str
        Sentences: which divisions are measured where the circles have more than that, worth a note in the record.
    """

    header: Header | None
    design: Design | None
    wrong: dict[str, str] = field(default_factory=dict)
    ways_out: tuple[str, ...] = ()
    used: tuple[str, ...] = ()


def applies(form: Form) -> frozenset[str]:
    """Return the fields that mean something with the choices made; the others are to be hidden."""
    names = set(FIELDS)
    if form.closure == "single":
        names -= _DUAL_ONLY | _BY_POSITION_ONLY
    else:
        names -= {"runs"}
        if form.reading == "interval":
            names -= _BY_POSITION_ONLY
    return frozenset(names)


def check(form: Form, created: datetime) -> Checked:
    """Look the form through and build the header.

    Parameters
    ----------
    form : Form
        What was typed.
    created : datetime
        When, with its offset from UTC.

    Returns
    -------
    Checked
        The header, or what is wrong with each field that applies.
    """
    reader = _HeaderReader(form)
    table = reader.table(created)
    wrong = reader.wrong
    plan = {key: table[key] for key in ("format", "version", "design")}
    design = None if wrong.keys() & _PLAN else _unless_refused(plan, wrong)
    header = None if wrong else _unless_refused(table, wrong)
    return Checked(
        header,
        design.design if design else None,
        {name: wrong[name] for name in FIELDS if name in wrong},
        tuple(reader.ways_out),
        tuple(reader.used),
    )


def _unless_refused(table: dict[str, object], wrong: dict[str, str]) -> Header | None:
    """Read a header, or note what was refused at its field."""
    try:
        return read_header(table)
    except Refused as refused:
        wrong[_field_of(refused.where)] = refused.what
        return None


def proposed_title(form: Form) -> str:
    """Return the title that a form gets if none is typed, from the names of its circles."""
    title = _name(form.lower_name, form.lower_serial, form.lower_kind)
    what = "positions"
    if form.closure == "dual":
        upper = _name(form.upper_name, form.upper_serial, form.upper_kind)
        on_table = form.upper_kind == "polygon" and form.arrangement == "face by face"
        what = "faces" if on_table else what
        title = f"{upper} on {title}" if on_table else f"{title} against {upper}"
    elif form.lower_kind == "polygon":
        what = "faces"
    positions = form.positions.strip()
    return f"{title}, {positions} {what}" if positions.isdecimal() else title


def _name(name: str, serial: str, kind: str) -> str:
    return " ".join(part for part in (name.strip(), serial.strip()) if part) or kind


def read_offsets(text: str, positions: int) -> tuple[int, ...]:
    """Read typed offsets: numbers parted by commas, spaces or both; "all" stands for every one of the circle.

    Raises
    ------
    Refused
        Naming the one that is not an offset of the circle.
    """
    words = [word for word in re.split(r"[\s,;]+", text.strip()) if word]
    if not words:
        raise Refused("type one or more, or “all”")
    offsets: list[int] = []
    for word in words:
        if word.lower() == "all":
            offsets.extend(range(positions))
            continue
        if not word.isascii() or not word.isdigit() or len(word) > 6 or int(word) >= positions:
            raise Refused(f"“{word}” is no offset: 0 to {positions - 1}")
        offsets.append(int(word))
    return tuple(offsets)


class _HeaderReader(FormReader):
    """Reads the fields of a form into the tables of a header, and notes what is wrong."""

    def __init__(self, form: Form) -> None:
        super().__init__(form, applies(form))
        self._typed = form
        self.ways_out: list[str] = []
        self.used: list[str] = []

    def table(self, created: datetime) -> dict[str, object]:
        form = self._typed
        table: dict[str, object] = {
            "format": FORMAT,
            "version": VERSION,
            "title": form.title.strip() or proposed_title(form),
            "operator": form.operator.strip(),
            "created": created,
            "design": self._design(),
            "lower": self._circle("lower"),
            "instrument": self._instrument(),
        }
        if form.closure == "dual":
            table["upper"] = self._circle("upper")
        self._stops()
        return table

    def _stops(self) -> None:
        """Check that every circle stops at the positions planned."""
        form, n = self._typed, self._required("positions", 2, MOST_POSITIONS)
        polygon = form.closure == "dual" and form.upper_kind == "polygon"
        for which in ("lower", "upper"):
            name = f"{which}_divisions"
            divisions = self.whole(name, FEWEST_DIVISIONS, MOST_DIVISIONS)
            if not n or not divisions:
                continue
            faces = getattr(form, f"{which}_kind") == "polygon"
            circle = "table" if polygon else f"{which} circle" if form.closure == "dual" else "circle"
            circle = "polygon" if faces else circle
            try:
                if polygon and which == "lower":
                    refuse_faces(n, divisions, name)
                refuse_positions(n, divisions, circle, name, faces=faces)
            except Refused as refused:
                self.wrong[name] = refused.what
                self.ways_out.append(f"{capital(refused.what)}: {refused.remedy}.")
                continue
            words = used_words(n, divisions, circle, faces=faces)
            if words:
                self.used.append(words)

    def _design(self) -> dict[str, object]:
        form = self._typed
        dual = form.closure == "dual"
        by_position = dual and form.reading == "position"
        positions = self._required("positions", 2, MOST_POSITIONS)
        return {
            "closure": form.closure,
            "reading": form.reading if dual else "interval",
            "arrangement": form.arrangement,
            "positions": positions,
            "offsets": self._offsets(positions) if dual else [0] * self._required("runs", 1, _MOST_RUNS),
            "direction": form.direction if by_position else "forward",
            "closing": by_position and form.closing == "yes",
            "repeats": self._required("repeats", 1, MOST_REPEATS),
            "drift": form.drift if dual else "none",
        }

    def _offsets(self, positions: int) -> list[int]:
        if not positions:
            return []
        return list(self.read("offsets", lambda text: read_offsets(text, positions), required=True) or ())

    def _circle(self, which: str) -> dict[str, object]:
        table: dict[str, object] = {key: self.text(f"{which}_{key}") for key in ("kind", "name", "serial")}
        return self._with(table, tolerance=self.positive(f"{which}_tolerance"))

    def _instrument(self) -> dict[str, object]:
        form = self._typed
        resolution = self.positive("resolution")
        reach = self.positive("range")
        if resolution and reach and reach < resolution:
            self.wrong["range"] = "smaller than the resolution"
        deviation = self.positive("accepted_sd")
        freedom = self.positive("accepted_sd_dof")
        self.freedom_of("accepted_sd", freedom)
        table: dict[str, object] = {
            "kind": form.instrument_kind.strip() or "autocollimator",
            "unit": form.unit,
            "polarity": -1 if form.polarity == "-1" else 1,
        }
        return self._with(
            table, resolution=resolution, range=reach, accepted_sd=deviation, accepted_sd_dof=freedom
        )

    @staticmethod
    def _with(table: dict[str, object], **given: object) -> dict[str, object]:
        return table | {key: value for key, value in given.items() if value is not None}

    def _required(self, name: str, low: int, high: int) -> int:
        return self.whole(name, low, high, required=True) or 0


def _field_of(where: str) -> str:
    """Return the field of the form that a place in the header, such as "lower.tolerance", comes from."""
    section, _, key = where.rpartition(".")
    for name in (f"{section}_{key}", key):
        if name in FIELDS:
            return name
    return "title"
