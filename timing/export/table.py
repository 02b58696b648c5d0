"""clips.csv and lines.csv: UTF-8 with a byte order mark (so that spreadsheets read accents), parted as is set.

Seconds have two decimals, frames count from 1 as on paper and the last frame is included.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import TypeVar

from timing.export.requests import said_words
from timing.model import Clip, LineKind, Plan, PlanLine
from timing.plain.csv_text import csv_bytes

Item = TypeVar("Item")


def clips_csv(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"clips.csv": bytes}: one row for each clip to request."""
    columns = list(CLIP_COLUMNS)
    after_text = [name for name, _ in columns].index("text") + 1
    columns.insert(after_text, ("said", lambda clip: said_words(plan, clip)))
    if plan.cut is not None:
        after_frames = [name for name, _ in columns].index("last_frame") + 1
        columns.insert(after_frames, ("frames_in_cut", lambda clip: frames_in_cut(plan, clip)))
    return {"clips.csv": csv_bytes([name for name, _ in columns], _rows(columns, plan.clips), plan.settings.csv)}


def lines_csv(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"lines.csv": bytes}: one row for each line."""
    clips: dict[str, list[str]] = {}
    for clip in plan.clips:
        for line_id in (*clip.lines, *(line.id for line in plan.heard_over(clip))):
            clips.setdefault(line_id, []).append(clip.id)
    columns = [*LINE_COLUMNS[:1], ("clips", lambda line: " ".join(clips.get(line.id, []))), *LINE_COLUMNS[1:]]
    return {"lines.csv": csv_bytes([name for name, _ in columns], _rows(columns, plan.lines), plan.settings.csv)}


def frames_in_cut(plan: Plan, clip: Clip) -> str:
    """Return the frames in which the real cut shows a clip, "97-144; 200-210", counted from 1 as on paper."""
    places = plan.cut.places(clip.id) if plan.cut is not None else ()
    return "; ".join(f"{start + 1}-{end}" for start, end in places)


def seconds_text(value: Fraction | None) -> str:
    """Return seconds with two decimals, rounded half up; empty for None.

    >>> seconds_text(Fraction(5, 8))
    '0.63'
    """
    if value is None:
        return ""
    hundredths = (200 * value.numerator + value.denominator) // (2 * value.denominator)
    return f"{hundredths / 100:.2f}"


def clip_request_note(clip: Clip) -> str:
    """Return what to say about first and last frames when a line is split over several generations."""
    part, parts = clip.part
    if parts == 1 or clip.kind is LineKind.PICTURE:
        return ""
    base = clip.id.rsplit(".", 1)[0]
    notes = []
    if part > 1:
        notes.append(f"first frame: the one in which {base}.{part - 1} leaves the cut")
    if part < parts:
        notes.append(f"last frame: mouth closed, goes on in {base}.{part + 1}")
    return "; ".join(notes)


CLIP_COLUMNS: tuple[tuple[str, Callable[[Clip], object]], ...] = (
    ("clip", lambda c: c.id),
    ("kind", lambda c: c.kind.value),
    ("line", lambda c: " ".join(c.lines)),
    ("part", lambda c: f"{c.part[0]} of {c.part[1]}"),
    ("scene", lambda c: c.scene or ""),
    ("speaker", lambda c: c.speaker or ""),
    ("text", lambda c: c.text),
    ("profile", lambda c: c.profile),
    ("speech_s", lambda c: seconds_text(c.speech)),
    ("high_s", lambda c: seconds_text(c.high)),
    ("need_s", lambda c: seconds_text(c.need)),
    ("ask_s", lambda c: seconds_text(c.ask)),
    ("slack_s", lambda c: seconds_text(c.slack)),
    ("takes", lambda c: c.takes),
    ("generate_s", lambda c: seconds_text(c.ask * c.takes if c.ask is not None else None)),
    ("first_frame", lambda c: c.start_frame + 1),
    ("last_frame", lambda c: c.end_frame),
    ("note", clip_request_note),
    ("findings", lambda c: " | ".join(f.message for f in c.findings)),
)

LINE_COLUMNS: tuple[tuple[str, Callable[[PlanLine], object]], ...] = (
    ("line", lambda n: n.id),
    ("kind", lambda n: n.shown_kind),
    ("scene", lambda n: n.scene or ""),
    ("speaker", lambda n: n.speaker or ""),
    ("text", lambda n: n.text),
    ("syllables", lambda n: len(n.syllables) or ""),
    ("syllables_per_s", lambda n: f"{n.rate:.1f}" if n.words else ""),
    ("split", lambda n: " ".join(w.broken for w in n.words)),
    ("seconds", lambda n: seconds_text(n.length)),
    ("low_s", lambda n: seconds_text(n.low)),
    ("high_s", lambda n: seconds_text(n.high)),
    ("origin", lambda n: n.origin.value),
    ("take", lambda n: n.take or " + ".join(n.delivered)),
    ("start_s", lambda n: seconds_text(n.start)),
    ("end_s", lambda n: seconds_text(n.end)),
    ("first_frame", lambda n: n.start_frame + 1),
    ("last_frame", lambda n: n.end_frame),
    ("findings", lambda n: " | ".join(f.message for f in n.findings)),
)


def _rows(columns: Sequence[tuple[str, Callable[[Item], object]]], items: Iterable[Item]) -> Iterable[list[object]]:
    return ([value(item) for _, value in columns] for item in items)
