"""cut.csv: the real cut as it was understood, one row for each stretch, those in which nothing is seen among them.

Frames count from 1 as on paper, the last one included; time code counts from 0 as in the edit.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from timing.export.table import seconds_text
from timing.model import Cut, Plan
from timing.plain.csv_text import csv_bytes
from timing.plain.figures import at_most

COLUMNS = (
    "first_frame", "last_frame", "in", "out", "seconds", "clip", "name", "file", "source_s", "seen", "heard",
    "followed",
)  # fmt: skip


def cut_csv(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"cut.csv": bytes}; empty where there is no real cut."""
    return {} if plan.cut is None else {"cut.csv": csv_bytes(COLUMNS, _rows(plan, plan.cut), plan.settings.csv)}


def _rows(plan: Plan, cut: Cut) -> list[list[object]]:
    code = plan.rate.timecode
    stretches = [(e.start_frame, e.end_frame, e) for e in cut.events]
    gaps = [(start, end, None) for start, end in cut.gaps]
    rows = []
    for start, end, event in sorted([*stretches, *gaps], key=lambda row: (row[0], row[1])):
        place = [start + 1, end, code(start), code(end)]
        if event is None:
            rows.append([*place, seconds_text(plan.rate.moment_of(end - start)), "", "nothing", "", "", "", "", ""])
            continue
        told = ["yes" if fact else "" for fact in (event.is_seen, event.is_heard, event.is_followed)]
        rows.append(
            [
                *place, seconds_text(event.end - event.start), event.clip or "", event.name, event.file or "",
                seconds_text(event.source), *told,
            ]
        )  # fmt: skip
    return rows


def told_of_cut(plan: Plan, generated: Fraction) -> str:
    """Return a sentence on the cut: its length, how much of it shows clips, what was generated for a second of them."""
    cut = plan.cut
    if cut is None:
        return ""
    seen = seen_s(cut, plan)
    told = f"{cut.file}: {at_most(cut.length, 1)} s, of which {at_most(seen, 1)} s show clips"
    if generated and seen:
        told += f"; {at_most(generated, 1)} s generated, {at_most(generated / seen, 1)} for each second seen"
    return told


def seen_s(cut: Cut, plan: Plan) -> Fraction:
    """Return how long clips of the script are seen in the cut, what is seen together counted once."""
    frames, at = 0, 0
    for start, end in sorted((e.start_frame, e.end_frame) for e in cut.events if e.is_seen and e.clip is not None):
        frames += max(0, end - max(start, at))
        at = max(at, end)
    return plan.rate.moment_of(frames)
