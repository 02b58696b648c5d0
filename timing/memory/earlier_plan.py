"""What a rerun takes from the last plan.json: the register of printed sheets, and the ids of old episodes."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from timing.memory.line_ids import LINE_ID, KnownLine
from timing.model.as_json import VERSION
from timing.plain.errors import OutputError, SettingsError
from timing.plain.files import beneath
from timing.plain.inputs import read_regular


@dataclass(frozen=True)
class PreviousPlan:
    """What the last run in an output folder left there; empty where there was none.

    ``was_worked_on``: the episode had been run before, here or with another output folder.
    """

    sheets: Mapping[str, Any] | None = None
    was_worked_on: bool = False


def read_previous(path: Path) -> PreviousPlan:
    """Return what is to be known of the last plan, nothing where there is none or it cannot be read.

    Only what can be made again hangs on it: without it every sheet counts as printed for the first time.
    """
    try:
        found = json.loads(read_regular(beneath(path.parent, path.name)))
        return PreviousPlan(found.get("sheets")) if found.get("timing_plan") == VERSION else PreviousPlan()
    except (OSError, OutputError, ValueError, AttributeError, RecursionError):
        return PreviousPlan()


def lines_of_plan(path: Path) -> tuple[tuple[KnownLine, ...], tuple[KnownLine, ...]]:
    """Return the lines of a plan.json and those that had left the script, whose words it does not say.

    For episodes that have no lines.toml yet: their ids lie nowhere else, so one that cannot be read is a SettingsError.
    """
    advice = "the line numbers lie nowhere else: restore it, or delete it to number all lines anew"
    try:
        found = json.loads(read_regular(beneath(path.parent, path.name)))
        if found["timing_plan"] != VERSION:
            raise SettingsError(f"is of version {found['timing_plan']}, not {VERSION}, and {advice}", path)
        lines = tuple(_line(n) for n in found["lines"])
        here = {line.id for line in lines}
        gone = tuple(KnownLine("spoken", None, "", _id(i)) for i in found.get("retired_ids", ()) if i not in here)
        return lines, gone
    except OSError as error:
        raise SettingsError(f"cannot be read ({error.strerror or error}), and {advice}", path) from None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise SettingsError(f"cannot be read, and {advice}", path) from None


def _line(row: Mapping[str, Any]) -> KnownLine:
    kind, speaker, text = row["kind"], row.get("speaker"), row["text"]
    if not (isinstance(kind, str) and isinstance(speaker, str | None) and isinstance(text, str)):
        raise TypeError("a line of another shape")
    return KnownLine(kind, speaker, text, _id(row["id"]))


def _id(found: Any) -> str:
    """Return a line's id, which becomes part of file names; raises ValueError for what is none."""
    if not isinstance(found, str) or not LINE_ID.fullmatch(found):
        raise ValueError("no id of a line")
    return found
