"""The page of the new session form: its sections, fields, words and hints."""

from __future__ import annotations

from collections.abc import Iterator

from sessions.new import FIELDS, Form
from tui.screens.form_line import FormLine, Section

_KINDS = {kind: kind for kind in ("index table", "polygon", "rotary table", "encoder")}


def _circle(which: str) -> tuple[FormLine, ...]:
    return (
        FormLine(f"{which}_kind", "Kind", options=_KINDS),
        FormLine(f"{which}_name", "Name", "what you call it"),
        FormLine(f"{which}_serial", "Serial number"),
        FormLine(f"{which}_divisions", "Divisions", "in all, or empty"),
        FormLine(f"{which}_tolerance", "Tolerance", "± arc seconds, or empty"),
    )


SECTIONS = (
    Section(
        "Session",
        "left",
        (
            FormLine("title", "Title", "or else the circles' names"),
            FormLine("operator", "Operator"),
        ),
    ),
    Section(
        "Plan",
        "left",
        (
            FormLine(
                "closure", "Closure", options={"dual": "dual, two circles", "single": "single, one circle"}
            ),
            FormLine(
                "reading",
                "Reading",
                options={"position": "position, nothing touched", "interval": "interval, rezeroed"},
            ),
            FormLine(
                "arrangement",
                "Arrangement",
                options={"counter-rotating": "counter-rotating", "face by face": "face by face"},
            ),
            FormLine("positions", "Positions", "how many on the circle"),
            FormLine("offsets", "Offsets", "such as 0, 1, 4 or all"),
            FormLine("runs", "Runs", "how often round the circle"),
            FormLine(
                "direction",
                "Direction",
                options={"forward": "forward", "forward and return": "forward and return"},
            ),
            FormLine("closing", "Closing reading", options={"yes": "yes", "no": "no"}),
            FormLine("repeats", "Repeats", "readings in each cell"),
            FormLine("drift", "Drift model", options={"none": "none", "linear": "linear in each run"}),
        ),
    ),
    Section("Lower circle", "right", _circle("lower")),
    Section("Upper circle", "right", _circle("upper")),
    Section(
        "Instrument",
        "right",
        (
            FormLine("instrument_kind", "Kind", "or electronic level, …"),
            FormLine("unit", "Unit", options={"arcsec": "arc seconds", "urad": "microradians"}),
            FormLine("resolution", "Resolution", "its last digit, or empty"),
            FormLine("range", "Range", "largest reading, or empty"),
            FormLine(
                "polarity",
                "Polarity",
                options={"1": "+ rises as the lower steps on", "-1": "− falls"},
            ),
            FormLine("accepted_sd", "Accepted s.d.", "standard dev. of a cell"),
            FormLine("accepted_sd_dof", "Deg. of freedom", "of it; empty: well known"),
        ),
    ),
)

CAUTIONS = (
    "The instrument's console carries mains voltage. Never look into a laser source. The stack is heavy and "
    "fingers fit between the plates: keep them out. Keep the teeth engaged except when stepping. Follow your "
    "local rules and the makers' instructions."
)


def words_for(form: Form) -> dict[str, tuple[str, str]]:
    """Return labels and hints by field that suit the circles chosen, where they are not those of the page."""
    dual = form.closure == "dual"
    words: dict[str, tuple[str, str]] = {}
    for which in ("lower", "upper") if dual else ("lower",):
        if getattr(form, f"{which}_kind") == "polygon":
            words[f"{which}_divisions"] = ("Faces", "in all, or empty")
    if dual and form.upper_kind == "polygon":
        words["positions"] = ("Faces measured", "every face, or fewer")
        words["offsets"] = ("Offsets", "first face of each run")
        words["lower_divisions"] = ("Divisions", "empty: stops at any angle")
    if not dual:
        words["positions"] = ("Intervals", "how many close the circle")
    return words


def heading_for(heading: str, form: Form) -> str:
    """Return the heading of a section that suits the circles chosen."""
    if form.closure == "single":
        return {"Lower circle": "Circle"}.get(heading, heading)
    if form.upper_kind == "polygon" and form.lower_kind in ("index table", "rotary table"):
        return {"Lower circle": "Table", "Upper circle": "Polygon"}.get(heading, heading)
    return heading


def lines() -> Iterator[FormLine]:
    """Yield every line of the page, which are the fields of the form in its order."""
    for section in SECTIONS:
        yield from section.lines


def form_of(values: dict[str, str]) -> Form:
    """Return the form with the values that stand on the page."""
    return Form(**{name: values[name] for name in FIELDS})
