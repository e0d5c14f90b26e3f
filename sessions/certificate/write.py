"""Writes a certificate to a file, in the format that its ending names."""

from __future__ import annotations

from pathlib import Path

from sessions.certificate_data import Certificate
from sessions.output import refuse_existing, write_output
from solver.refused import Refused

ENDINGS = (".pdf", ".html", ".csv")


def refuse_ending(path: Path) -> None:
    """Refuse a file that ends in none of the known ways."""
    if path.suffix.lower() not in ENDINGS:
        ending = f"“{path.suffix}”" if path.suffix else "no ending"
        raise Refused(
            f"a certificate cannot be written as {ending}",
            where=str(path),
            remedy="end the file name in .pdf, .html or .csv",
        )


def write(certificate: Certificate, path: Path, *, overwrite: bool = False) -> tuple[str, ...]:
    """Write a certificate.

    Parameters
    ----------
    certificate : Certificate
        What to write.
    path : Path
        Where to; its ending is the format.
    overwrite : bool, optional
        Whether a file that is there already may go.

    Returns
    -------
    tuple of str
        What the reader should know, such as letters that the fonts of the PDF lack.

    Raises
    ------
    Refused
        For another ending, a file that is there already, or one that cannot be written; nothing is left half written.
    """
    refuse_ending(path)
    refuse_existing(path, overwrite=overwrite)
    data, notices = _render(certificate, path.suffix.lower())
    write_output(path, data, overwrite=overwrite)
    return notices


def _render(certificate: Certificate, ending: str) -> tuple[bytes, tuple[str, ...]]:
    if ending == ".csv":
        from sessions.certificate.csv import csv_text

        return csv_text(certificate).encode(), ()
    if ending == ".html":
        from sessions.certificate.html import html

        return html(certificate).encode(), ()
    from sessions.certificate.pdf import pdf

    data, lacking = pdf(certificate)
    if not lacking:
        return data, ()
    letters = " ".join(sorted(lacking))
    return data, (f"The fonts of the PDF lack these letters: {letters}. The HTML has them all.",)
