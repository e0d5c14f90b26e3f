"""The page of a certificate's details: its sections, fields, hints and words to choose from."""

from __future__ import annotations

from sessions.certificate.details import LABELS
from sessions.certificate.identification import named_labels
from sessions.circle_words import item_names
from sessions.header import Header
from tui.screens.form_line import FormLine, Section


def _line(name: str, hint: str = "", options: dict[str, str] | None = None) -> FormLine:
    return FormLine(name, LABELS[name], hint, options or {})


def _items(header: Header) -> FormLine:
    alone = [f"{name} alone" for name in item_names(header)]
    return _line("items", options={"both": "both", "lower": alone[0], "upper": alone[-1]})


def sections(header: Header) -> tuple[Section, ...]:
    """Return what is asked for the certificate of a session, in the words of its circles."""
    return (
        Section(
            "Certificate",
            "left",
            (
                _line("number", "unique"),
                _line("issued", "as 2026-03-05; empty: the day it is written"),
                _line("authorised_by", "name"),
                _line("authorised_as"),
            ),
        ),
        Section(
            "Laboratory and customer",
            "left",
            (
                _line("laboratory"),
                _line("laboratory_address"),
                _line("place"),
                _line("customer"),
                _line("customer_address"),
            ),
        ),
        Section(
            "Items",
            "left",
            (
                _items(header),
                _line("condition", "as received, clean, damage"),
                _line("received", "where the day matters"),
            ),
        ),
        Section(
            "As the session names them",
            "left",
            tuple(
                FormLine(field, label, "a change is recorded as an amendment")
                for field, label in named_labels(header).items()
            ),
        ),
        Section(
            "How it was done",
            "left",
            (
                _line("instrument", "maker, type, number"),
                _line("instrument_calibration", "certificate and date, for its scale"),
                _line("method", "besides what the session says"),
                _line("environment", "besides what is noted"),
                _line("deviations", "empty: none"),
                _line("remarks"),
            ),
        ),
        Section(
            "Decision",
            "left",
            (
                _line("reference", options={"mean": "the mean of the circle", "position 0": "position 0"}),
                _line("decision_rule", "if more than the guard band is agreed"),
            ),
        ),
    )
