"""The rows of the clip table: together they show every frame of the episode once.

In: the plan and the chosen clips. Out, in order: a row for each clip; before the parts of a line that must be split a
row for the line; and, where all clips are shown, a row for each stretch of frames that no clip fills.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from timing.clock import Seconds
from timing.model import Clip, LineKind, Plan, PlanLine


@dataclass(frozen=True)
class ClipRow:
    """One clip: one generation to ask for."""

    clip: Clip
    line: PlanLine

    @property
    def is_part(self) -> bool:
        return self.clip.part[1] > 1 and not self.is_picture

    @property
    def is_picture(self) -> bool:
        return self.clip.kind is LineKind.PICTURE

    @property
    def seconds(self) -> Seconds:
        return self.clip.need if self.is_picture else self.clip.speech


@dataclass(frozen=True)
class SplitRow:
    """A line that no generation holds, above the rows of its parts; ``flag`` says what to do."""

    line: PlanLine
    clips: tuple[Clip, ...]
    flag: str


@dataclass(frozen=True)
class GapRow:
    """Frames (end excluded) without a clip."""

    start_frame: int
    end_frame: int
    what: str


Row = ClipRow | SplitRow | GapRow


def rows_of(plan: Plan, clips: Sequence[Clip]) -> list[Row]:
    """Return the table's rows, in the order of the clips."""
    lines = {line.id: line for line in plan.lines}
    gaps = list(plan.gaps) if len(clips) == len(plan.clips) else []
    rows: list[Row] = []
    of_line: dict[str, list[Clip]] = {}
    for clip in clips:
        of_line.setdefault(clip.line, []).append(clip)
    for clip in clips:
        while gaps and gaps[0][1] <= clip.start_frame:
            rows.append(_gap(plan, *gaps.pop(0)))
        row = ClipRow(clip, lines[clip.line])
        if row.is_part and clip is of_line[clip.line][0]:
            rows.append(SplitRow(row.line, tuple(of_line[clip.line]), _flag(row.line)))
        rows.append(row)
    return rows + [_gap(plan, *gap) for gap in gaps]


def what_is_wrong(clip: Clip) -> str:
    """Return why a clip cannot be asked for at all; empty where it can."""
    return next((f.message for f in clip.findings if f.code == "no-length-holds-it"), "")


def _flag(line: PlanLine) -> str:
    for finding in line.findings:
        if finding.code == "too-long":
            facts = finding.facts
            places = ", ".join(f"“{place}”" for place in facts["break_after"])
            return (
                f"{facts['seconds']:.1f} s with handles, too long for one generation ({facts['limit_s']:g} s): "
                f"make {len(facts['parts_s'])} clips, break after {places}"
            )
    return "made in several clips"


def _gap(plan: Plan, start: int, end: int) -> GapRow:
    middle = Seconds(start + end, 2) / plan.rate.fps
    song = next((song for song in plan.songs if song.start <= middle < song.end), None)
    return GapRow(start, end, f"song {song.id}, nobody sings" if song else "nobody speaks")
