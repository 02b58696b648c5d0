"""Rows -> a CSV file that spreadsheets read: UTF-8 with a byte order mark, comma separated."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

RISKY_STARTS = ("=", "+", "-", "@", "\t", "\r")


def csv_bytes(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """Return the file's bytes; no cell is run as a formula."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(heads)
    for row in rows:
        writer.writerow([_harmless(cell) for cell in row])
    return ("\ufeff" + out.getvalue()).encode()


def _harmless(cell: object) -> object:
    """Return a cell that a spreadsheet does not run as a formula (a leading apostrophe keeps it text)."""
    if isinstance(cell, str) and cell.startswith(RISKY_STARTS):
        return "'" + cell
    return cell
