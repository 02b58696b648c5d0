"""What a rerun takes from the last plan.json: the register of printed sheets, and the ids of old episodes."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from timing.memory.line_ids import KnownLine
from timing.model.as_json import VERSION
from timing.plain.errors import SettingsError


@dataclass(frozen=True)
class PreviousPlan:
    """What the last run in an output folder left there; empty where there was none."""

    sheets: Mapping[str, Any] | None = None


def read_previous(path: Path) -> PreviousPlan:
    """Return what is to be known of the last plan, nothing where there is none or it cannot be read.

    Only what can be made again hangs on it: without it every sheet counts as printed for the first time.
    """
    try:
        found = json.loads(path.read_text("utf-8"))
        return PreviousPlan(found.get("sheets")) if found.get("timing_plan") == VERSION else PreviousPlan()
    except (OSError, ValueError, AttributeError, RecursionError):
        return PreviousPlan()


def lines_of_plan(path: Path) -> tuple[tuple[KnownLine, ...], tuple[KnownLine, ...]]:
    """Return the lines of a plan.json and those that had left the script, whose words it does not say.

    For episodes that have no lines.toml yet: their ids lie nowhere else, so one that cannot be read is a SettingsError.
    """
    advice = "the line numbers lie nowhere else: restore it, or delete it to number all lines anew"
    try:
        found = json.loads(path.read_text("utf-8"))
        if found["timing_plan"] != VERSION:
            raise SettingsError(f"is of version {found['timing_plan']}, not {VERSION}, and {advice}", path)
        lines = tuple(KnownLine(str(n["kind"]), n.get("speaker"), str(n["text"]), str(n["id"])) for n in found["lines"])
        here = {line.id for line in lines}
        gone = tuple(KnownLine("spoken", None, "", str(i)) for i in found.get("retired_ids", ()) if str(i) not in here)
        return lines, gone
    except OSError as error:
        raise SettingsError(f"cannot be read ({error.strerror or error}), and {advice}", path) from None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise SettingsError(f"cannot be read, and {advice}", path) from None
