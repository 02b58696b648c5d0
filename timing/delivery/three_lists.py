"""Where checking ends: clips that are placed, files that may be this clip or that, files that are no clip.

In: the verdicts and the plan that was asked for. Out: the three lists, each entry with the label row that would settle
it (:mod:`timing.memory.labels`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

from timing.delivery.verdict import Check
from timing.model import Clip, LineKind, Plan
from timing.model.findings import FindingCode

UNSURE = 0.6  # confidence of a clip's words below which they may be another's
NEAREST = 3


@dataclass(frozen=True)
class UnsureFile:
    """A file that is ``clip`` by its name, and may be ``other``; ``rows`` are (start and end, line) to choose from."""

    file: str
    clip: str
    why: str
    other: str | None
    rows: tuple[str, ...]


@dataclass(frozen=True)
class LeftOverFile:
    """A file that is no clip; ``nearest`` are clips that nothing came back for, likeliest first by their length."""

    file: str
    seconds: float | None
    nearest: tuple[str, ...]


@dataclass(frozen=True)
class ThreeLists:
    """``placed`` are clips, in the plan's order."""

    placed: tuple[str, ...]
    unsure: tuple[UnsureFile, ...]
    left_over: tuple[LeftOverFile, ...]


def three_lists(plan: Plan, checks: Sequence[Check]) -> ThreeLists:
    """Return the lists; a clip of which one take is sure is placed, whatever its other takes are."""
    clips = {clip.id: clip for clip in plan.clips}
    sure = {c.clip for c in checks if c.is_best and (c.is_whole or not c.findings)}
    placed = tuple(clip.id for clip in plan.clips if clip.id in sure)
    unsure = tuple(u for c in checks if c.clip in clips and (u := _unsure(c, clips, plan)))
    free = [clip for clip in plan.clips if clip.id not in {c.clip for c in checks} and clip.kind is LineKind.SPOKEN]
    left = tuple(_left_over(c, free, plan) for c in checks if c.clip not in clips)
    return ThreeLists(placed, unsure, left)


def _unsure(check: Check, clips: dict[str, Clip], plan: Plan) -> UnsureFile | None:
    own = clips[check.clip or ""]
    if check.is_pinned or own.kind is not LineKind.SPOKEN:
        return None
    wrong = next((f for f in check.findings if f.code is FindingCode.WRONG_LINE), None)
    other = clips.get(str(wrong.facts.get("clip"))) if wrong else None
    if wrong is None and (check.confidence is None or check.confidence >= UNSURE):
        return None
    length = _seconds(check, plan)
    start = float(check.heard.start) if check.heard else 0.0
    end = float(check.heard.end) if check.heard else length or 0.0
    choices = [own, *([other] if other else [])]
    rows = tuple(f"{start:.3f}\t{end:.3f}\t{clip.line}: {clip.text}" for clip in choices) if end > start else ()
    why = f"its words are those of {other.id}" if other else "its words fit badly"
    return UnsureFile(check.file, own.id, why, other.id if other else None, rows)


def _left_over(check: Check, free: Sequence[Clip], plan: Plan) -> LeftOverFile:
    length = _seconds(check, plan)
    near = sorted(free, key=lambda clip: abs(float(clip.ask or clip.need) - (length or 0.0)))
    return LeftOverFile(check.file, length, tuple(clip.id for clip in near[:NEAREST]))


def _seconds(check: Check, plan: Plan) -> float | None:
    return None if check.frames is None else check.frames / float(plan.rate.fps)


def label_file(sound: str) -> str:
    """Return the name of the label file beside a file.

    >>> label_file("clips/C04 take 2.mp4")
    'clips/C04 take 2.txt'
    """
    return PurePosixPath(sound).with_suffix(".txt").as_posix()
