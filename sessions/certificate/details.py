"""What only people can say of a certificate: laboratory, customer, number, rules. Recorded as an entry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Any, Literal

from sessions.entries import Entry, Setup, newest_records
from sessions.fields import Fields
from sessions.session import Session

WORKSHEET = "certificate"

Reference = Literal["mean", "position 0"]
Items = Literal["both", "lower", "upper"]

REFERENCES: tuple[Reference, ...] = ("mean", "position 0")
ITEMS: tuple[Items, ...] = ("both", "lower", "upper")


@dataclass(frozen=True, slots=True)
class Details:
    """Details of a certificate; a text that is empty is not filled in.

    Parameters
    ----------
    number : str
        Unique number of the certificate.
    laboratory, laboratory_address, customer, customer_address : str
        Who calibrates, and for whom.
    items : str
        Which circles are calibrated for the customer; another one only helped.
    condition, received : str
        Condition of the items, and when they came, where that matters.
    place : str
        Where it was done.
    instrument, instrument_calibration : str
        Identification of the instrument, and from where its scale is traceable.
    method : str
        Notes on the method besides what the session says.
    environment : str
        Notes on the conditions besides those noted in the session.
    reference : str
        What errors are decided on: those about the mean of the circle, or from position 0.
    decision_rule : str
        Words of a rule agreed with the customer, beside the guard band.
    deviations, remarks : str
        From the method, and whatever else must be said.
    authorised_by, authorised_as : str
        Name and function of the person.
    issued : str
        Date of issue, as 2026-03-05; empty until then.
    """

    number: str = ""
    laboratory: str = ""
    laboratory_address: str = ""
    customer: str = ""
    customer_address: str = ""
    items: Items = "both"
    condition: str = ""
    received: str = ""
    place: str = ""
    instrument: str = ""
    instrument_calibration: str = ""
    method: str = ""
    environment: str = ""
    reference: Reference = "mean"
    decision_rule: str = ""
    deviations: str = ""
    remarks: str = ""
    authorised_by: str = ""
    authorised_as: str = ""
    issued: str = ""

    @property
    def issue_date(self) -> date | None:
        """The date of issue."""
        return date.fromisoformat(self.issued) if self.issued else None


#: Every field's label, in the order in which they are asked for.
LABELS: Mapping[str, str] = {
    "number": "Certificate number",
    "laboratory": "Laboratory",
    "laboratory_address": "Address of the laboratory",
    "customer": "Customer",
    "customer_address": "Address of the customer",
    "items": "Calibrated items",
    "condition": "Condition of the items",
    "received": "Received on",
    "place": "Place of calibration",
    "instrument": "Instrument",
    "instrument_calibration": "Calibration of the instrument",
    "method": "Notes on the method",
    "environment": "Notes on the conditions",
    "reference": "Decided on errors from",
    "decision_rule": "Decision rule agreed",
    "deviations": "Deviations from the method",
    "remarks": "Remarks",
    "authorised_by": "Authorised by",
    "authorised_as": "Function",
    "issued": "Date of issue",
}

#: What ISO/IEC 17025:2017, 7.8.2.1 and 7.8.4.1, asks for and only people can say; the rest may stay empty.
ASKED: tuple[str, ...] = (
    "number",
    "laboratory",
    "laboratory_address",
    "customer",
    "customer_address",
    "condition",
    "place",
    "instrument",
    "instrument_calibration",
    "authorised_by",
    "authorised_as",
)

_NAMES = tuple(field.name for field in fields(Details))


def details_of(entries: Iterable[Entry]) -> Details:
    """Return the newest details among the entries of a session, all empty where there are none.

    Raises
    ------
    Refused
        Where what is recorded is no such thing.
    """
    newest = newest_records(entries).get(WORKSHEET)
    return Details() if newest is None else read_details(newest.result, f"entry {newest.number}")


def record(session: Session, details: Details) -> Setup:
    """Record details; the newest count.

    Raises
    ------
    Refused
        Where something does not fit, or nothing can be recorded.
    """
    table = details_table(details)
    read_details(table)
    return session.setup(WORKSHEET, table)


def details_table(details: Details) -> dict[str, Any]:
    """Return what is filled in, as it stands in the session file. `read_details` undoes it."""
    return {name: getattr(details, name) for name in _NAMES if getattr(details, name)}


def as_typed(text: str) -> str:
    """Return a recorded text as it stands in a field, which holds one line."""
    return " ".join(text.split("\n"))


def typed_over(typed: Mapping[str, str], before: Details) -> dict[str, Any]:
    """Return details as a table with what stands in the fields; a text of several lines that was left alone keeps them.

    `typed` holds the texts by field; fields that are not on the page keep what was recorded.
    """
    kept = {
        name: text
        for name, text in details_table(before).items()
        if name not in typed or as_typed(str(text)) == typed[name]
    }
    return {name: text for name, text in (dict(typed) | kept).items() if text}


def read_details(table: Mapping[str, Any], where: str = WORKSHEET) -> Details:
    """Read details and refuse whatever does not fit, with the field in `where`."""
    read = Fields(table, where, _NAMES)
    texts = {
        name: read.text(name, "", lines=True).strip()
        for name in _NAMES
        if name not in ("items", "reference", "issued")
    }
    return Details(
        items=read.choice("items", ITEMS, "both"),
        reference=read.choice("reference", REFERENCES, "mean"),
        issued=_day(read),
        **texts,
    )


def _day(read: Fields) -> str:
    text = read.text("issued", "").strip()
    if text:
        try:
            date.fromisoformat(text)
        except ValueError:
            raise read.refuse("issued", "a date such as 2026-03-05") from None
    return text
