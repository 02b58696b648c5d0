"""generated.csv: what was generated, row by row, over months and episodes.

The tool adds rows, and columns where some are lacking; it changes none.

A row is added for each file in clips/ whose content is not yet in the ledger, so a copy, a renamed file or another run
counts nothing twice. Seconds are those of the profile's menu that the file's length is nearest to, else the file's own.
People add rows for what they threw away; theirs need no file and no content. The ledger lies beside series.toml where
there is one in the folder above, else in the episode folder.
"""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from timing.memory.kept_text import kept_text
from timing.model import Plan
from timing.model.clock import Seconds
from timing.model.month import Month, Used
from timing.model.settings import ClipProfile, EpisodeSettings
from timing.plain.csv_text import harmless
from timing.plain.errors import SettingsError
from timing.plain.figures import at_most
from timing.plain.nearest import meant
from timing.plain.series import series_folder

if TYPE_CHECKING:
    from timing.delivery.verdict import Check

FILE_NAME = "generated.csv"
COLUMNS = ("date", "profile", "clip", "seconds", "cost", "file", "note", "content")
NEEDED = ("date", "profile", "seconds")
NEAR_S = Fraction(1, 2)  # a file that is so near to a length of the menu was returned for it (our own choice)


@dataclass(frozen=True, slots=True)
class Row:
    """One generation; ``cost`` None where it was not known, ``content`` "" in rows of people's own."""

    day: date
    profile: str
    seconds: Seconds
    cost: Fraction | None = None
    clip: str = ""
    file: str = ""
    note: str = ""
    content: str = ""


def today() -> date:
    """Return the date that new rows get: SOURCE_DATE_EPOCH (reproducible-builds.org) where it is set, else today's."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    return datetime.fromtimestamp(int(epoch), UTC).date() if re.fullmatch("[0-9]{1,11}", epoch) else date.today()


def ledger_path(folder: Path) -> Path:
    return (series_folder(folder) or folder) / FILE_NAME


def read_ledger(path: Path, settings: EpisodeSettings | None = None) -> tuple[Row, ...]:
    """Return the rows of a ledger, none where there is no file; with ``settings`` profiles are held against them.

    Raises SettingsError with the line for a slip: nothing is counted from a ledger that is not understood.
    """
    text = kept_text(path) or ""
    return _Reader(path, text, settings).rows() if text.strip() else ()


class _Reader:
    def __init__(self, path: Path, text: str, settings: EpisodeSettings | None):
        self.path, self.text, self.settings = path, text, settings

    def rows(self) -> tuple[Row, ...]:
        first = self.text.splitlines()[0]
        sign = max(",;\t", key=first.count)  # a spreadsheet of another country saves semicolons
        lines = self._cells(sign)
        heads = [head.strip().casefold() for head in lines[0][1]]
        for head in NEEDED:
            if head not in heads:
                advice = meant(head, heads, f"the first row has the names {', '.join(COLUMNS)}")
                raise SettingsError(f'there is no column "{head}"; {advice}', self.path, 1)
        rows = []
        for number, cells in lines[1:]:
            if any(cell.strip() for cell in cells):
                if extra := [cell for cell in cells[len(heads) :] if cell.strip()]:
                    advice = 'a comma inside a cell needs quotes around it, "0,25"'
                    raise SettingsError(f'"{extra[0]}" stands beyond the last column; {advice}', self.path, number)
                rows.append(self._row({h: c.strip() for h, c in zip(heads, cells, strict=False)}, number))
        return _once(rows)

    def _cells(self, sign: str) -> list[tuple[int, list[str]]]:
        """Return each row with its line number; a cell in quotes may run over several lines."""
        reader = csv.reader(io.StringIO(self.text, newline=""), delimiter=sign, strict=True)
        found, begins = [], 1
        try:
            for cells in reader:
                found.append((begins, cells))
                begins = reader.line_num + 1
        except csv.Error:
            message = "a cell's quotes are not closed, or something stands behind them; mend this row"
            raise SettingsError(message, self.path, begins) from None
        return found

    def _row(self, cells: Mapping[str, str], number: int) -> Row:
        def wrong(message: str) -> SettingsError:
            return SettingsError(message, self.path, number)

        try:
            day = date.fromisoformat(cells.get("date", ""))
        except ValueError:
            raise wrong(f'"{cells.get("date", "")}" is not a date; write year-month-day: 2026-03-31') from None
        profile, known = cells.get("profile", ""), self.settings.profiles if self.settings else None
        is_own = bool(cells.get("content"))  # a row of the tool's: another episode of the series has that profile
        if not profile or (known is not None and not is_own and profile not in known and meant(profile, known)):
            advice = meant(profile, known or (), "name the profile that made it")
            raise wrong(f'there is no clip profile "{profile}"; {advice}')
        seconds = self._number(cells.get("seconds", ""), "seconds", number)
        if seconds is None:
            raise wrong("the seconds are missing")
        cost = self._number(cells.get("cost", ""), "cost", number)
        words = {key: cells.get(key, "") for key in ("clip", "file", "note", "content")}
        return Row(day, profile, seconds, cost, **words)

    def _number(self, cell: str, name: str, number: int) -> Fraction | None:
        if not cell:
            return None
        if not re.fullmatch(r"\d{1,9}([.,]\d{1,9})?", cell):
            raise SettingsError(f'{name} is a number without a unit, not "{cell}"', self.path, number)
        return Fraction(cell.replace(",", "."))


def _once(rows: Sequence[Row]) -> tuple[Row, ...]:
    """Return the rows without a second one for the same content: two copies of a ledger, put together, count once."""
    seen: set[str] = set()
    kept = []
    for row in rows:
        if not row.content or row.content not in seen:
            kept.append(row)
        seen.add(row.content)
    return tuple(kept)


def record(plan: Plan, folder: Path, checks: Sequence[Check], day: date) -> tuple[Row, ...]:
    """Add a row for every new file in clips/ and return the rows added; nothing is written where nothing is new.

    Raises SettingsError for a ledger that is not understood, which then stays as it is.
    """
    from timing.plain.files import locked, replace_file

    path = ledger_path(folder)
    if not _new(plan, folder, path, checks, day):
        read_ledger(path, plan.settings)
        return ()
    with locked(path.parent):
        added = _new(plan, folder, path, checks, day)
        replace_file(path, _with_rows(path.read_bytes() if path.exists() else b"", added))
    return added


def _new(plan: Plan, folder: Path, path: Path, checks: Sequence[Check], day: date) -> tuple[Row, ...]:
    from timing.delivery.matching import content_sum

    asked = plan.requested or plan
    clips = {clip.id: clip for clip in asked.clips}
    seen = {row.content for row in read_ledger(path, plan.settings) if row.content}
    prefix = "" if path.parent == folder else f"{folder.resolve().name}/"
    rows = []
    for check in checks:
        clip, content = clips.get(check.clip or ""), content_sum(check.content)
        if clip is None or not content or content in seen:
            continue
        seen.add(content)
        profile = plan.settings.profiles[clip.profile]
        own = check.frames / check.rate if check.frames and check.rate else None
        seconds = returned(profile, own, clip.ask)
        rows.append(
            Row(day, profile.name, seconds, profile.price(seconds), clip.id, prefix + check.file, content=content)
        )
    return tuple(rows)


def returned(profile: ClipProfile, own: Seconds | None, ask: Seconds | None) -> Seconds:
    """Return what was generated for a file: the length of the menu nearest to its own, its own where none is near.

    >>> returned(ClipProfile(lengths=(Fraction(5), Fraction(8))), Fraction(121, 24), Fraction(8))
    Fraction(5, 1)
    """
    if own is None:
        return ask or Fraction(0)
    near = min(profile.lengths, key=lambda length: abs(length - own))
    return near if abs(near - own) <= NEAR_S else own


def _with_rows(old: bytes, rows: Sequence[Row]) -> bytes:
    """Return a ledger with rows at its end; what stood in it stays, the first row gets the columns that it lacks."""
    new_line = "\n" if b"\n" in old and b"\r\n" not in old else "\r\n"
    lines = old.decode("utf-8-sig").rstrip("\r\n")
    first, rest = [*lines.split(new_line, 1), ""][:2] if lines.strip() else (",".join(COLUMNS), "")
    sign = max(",;\t", key=first.count)
    heads = [h.strip().strip('"').casefold() for h in first.split(sign)]
    lacking = [h for h in COLUMNS if h not in heads and h != "note"]
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=sign, lineterminator=new_line)
    for row in rows:
        cells = {
            "date": row.day.isoformat(), "profile": row.profile, "clip": row.clip, "seconds": at_most(row.seconds, 3),
            "cost": "" if row.cost is None else at_most(row.cost, 4), "file": row.file, "note": row.note,
            "content": row.content,
        }  # fmt: skip
        writer.writerow([harmless(cells.get(head, ""), sign) for head in (*heads, *lacking)])
    mark = "\ufeff" if old.startswith(b"\xef\xbb\xbf") else ""
    body = rest + new_line if rest else ""
    return f"{mark}{sign.join([first, *lacking])}{new_line}{body}{out.getvalue()}".encode()


def month_of(rows: Sequence[Row], day: date) -> Month | None:
    """Return what was generated in the month of ``day``, by profile; None for a ledger without a row."""
    used: dict[str, Used] = {}
    for row in rows:
        if (row.day.year, row.day.month) == (day.year, day.month):
            before = used.get(row.profile, Used())
            used[row.profile] = Used(
                before.seconds + row.seconds, before.generations + 1, before.money + (row.cost or 0),
                before.unpriced + (row.cost is None),
            )  # fmt: skip
    return Month(f"{day.year}-{day.month:02d}", used) if rows else None


def this_month(folder: Path, settings: EpisodeSettings) -> Month | None:
    """Return what the ledger of an episode folder says of this month."""
    return month_of(read_ledger(ledger_path(folder), settings), today())


def left_this_month(month: Month, settings: EpisodeSettings) -> list[str]:
    """Return a sentence for each allowance: what of it is used in a month, and what is left."""
    return [f"used this month, {a.name}: {month.told(a, settings.budget.currency)}" for a in settings.allowances]
