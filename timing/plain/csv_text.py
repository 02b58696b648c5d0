"""Rows -> a CSV file that spreadsheets read: UTF-8 with a byte order mark, no cell a formula.

Where the decimal sign is a comma, spreadsheets part cells at semicolons; :class:`CsvForm` says what the reader needs. A
file that is opened under another locale than it was written for is parted elsewhere, so signs that begin a formula
are kept from standing first there too.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

_RISKY_START = re.compile(r"\s*[=+\-@]|[\t\r\n]")
SEPARATORS = (",", ";", "\t")
_DECIMAL = re.compile(r"-?\d+\.\d+")
_NUMBER = re.compile(r"-\d+(?:[.,]\d+)?")


@dataclass(frozen=True, slots=True)
class CsvForm:
    """What parts the cells of a row, and what parts whole seconds from hundredths."""

    separator: str = ","
    decimal: str = "."


def csv_bytes(heads: Sequence[str], rows: Iterable[Sequence[object]], form: CsvForm | None = None) -> bytes:
    """Return the file's bytes; no cell is run as a formula."""
    form = form or CsvForm()
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=form.separator, lineterminator="\r\n")
    writer.writerow(heads)
    for row in rows:
        writer.writerow([harmless(_local(cell, form), form.separator) for cell in row])
    return ("\ufeff" + out.getvalue()).encode()


def harmless(cell: object, separator: str = ",") -> object:
    """Return a cell that a spreadsheet does not run as a formula: an apostrophe keeps it text.

    >>> harmless("=1+1"), harmless("wait;=1+1"), harmless("one, two")
    ("'=1+1", "wait;'=1+1", 'one, two')
    """
    if not isinstance(cell, str) or _NUMBER.fullmatch(cell):
        return cell
    others = "".join(sign for sign in SEPARATORS if sign != separator)
    cell = re.sub(rf"([{others}\r\n][\s\"]*)([=+\-@])", r"\1'\2", cell)
    return "'" + cell if _RISKY_START.match(cell) else cell


def as_meant(cell: str) -> str:
    """Return a cell without the apostrophe that :func:`harmless` put before it.

    >>> as_meant("'=1+1"), as_meant("'Twas")
    ('=1+1', "'Twas")
    """
    return cell[1:] if cell[:1] == "'" and _RISKY_START.match(cell[1:]) else cell


def _local(cell: object, form: CsvForm) -> object:
    """Return a number with the reader's decimal sign, anything else as it is."""
    if isinstance(cell, str) and _DECIMAL.fullmatch(cell):
        return cell.replace(".", form.decimal)
    return cell
