"""What a rerun takes from the last plan.json: ids, retired ids, and the register of printed sheets."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from timing.memory.line_ids import KnownLine
from timing.model.as_json import VERSION


@dataclass(frozen=True)
class PreviousPlan:
    """What a rerun takes from the last plan.json; empty where there was none."""

    lines: tuple[KnownLine, ...] = ()
    retired_ids: tuple[str, ...] = ()
    sheets: Mapping[str, Any] | None = None
    whole: Mapping[str, Any] = field(default_factory=dict)


def read_previous(path: Path) -> PreviousPlan:
    """Return the last plan, or an empty one where there is none or it cannot be read."""
    try:
        found = json.loads(path.read_text("utf-8"))
        if found.get("timing_plan") != VERSION:
            return PreviousPlan()
        lines = tuple(KnownLine(str(n["kind"]), n.get("speaker"), str(n["text"]), str(n["id"])) for n in found["lines"])
        retired = tuple(str(i) for i in found.get("retired_ids", ()))
        return PreviousPlan(lines, retired, found.get("sheets"), found)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return PreviousPlan()
