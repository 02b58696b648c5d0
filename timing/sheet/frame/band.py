"""The band over a clip's rows: what to draw, who says what and how, how many seconds to ask for, room for its takes.

In: the clips of a passage. Out: marks from (0, 0) on, and how high they are; the sheet puts them in their place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from timing.model import Clip, LineKind, Plan, PlanLine
from timing.sheet import cautions
from timing.sheet.figures import tenths
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.frame.marks import Cue
from timing.sheet.frame.score import Passage, display_name
from timing.sheet.furniture import READ, SMALL, caution_square
from timing.sheet.ink import Ink
from timing.sheet.origin import timed_by
from timing.sheet.tables.came_back import take_boxes, take_line
from timing.sheet.wrapped import wrap

STEP = 1.0  # bands have heights in whole steps, so that neighbours often share their rows' places
BELOW = 1.2  # mm, at least, under the last line
STILL = (17.6, 9.9)  # a small first or last picture, 16 : 9
WORDS_SIZE, DIRECTION_SIZE = 10.5, 10.0
LEADING = 0.385  # mm a point


@dataclass(frozen=True)
class Band:
    """A band as it is drawn from (0, 0) on; ``low`` is its height where clips share a column."""

    ink: Ink
    height: float
    low: float = 0.0


class _Pencil:
    """Sets lines of text below each other in a column."""

    def __init__(self, ink: Ink, x: float, y: float, width: float):
        self.ink, self.x, self.y, self.width = ink, x, y, width

    def write(self, text: str, style: str, size: float, indent: float = 0.0) -> None:
        for line in wrap(self.ink.face, text, style, size, self.width - indent):
            self.y += size * LEADING
            self.ink.text(self.x + indent, self.y, line, style, size)

    def caution(self, text: str) -> None:
        top = self.y + 0.6
        caution_square(self.ink, self.x, top + 3.1, 2.9)
        self.y += 0.5
        self.write(text, BOLD, READ, 4.2)


def asked(clip: Clip) -> str:
    return "too long" if clip.ask is None else f"ask {float(clip.ask):g} s"


def band(plan: Plan, face: Typeface, passage: Passage, width: float, cues: Sequence[Cue] = ()) -> Band:
    """Return the band of a passage's first sheet; ``cues`` are what happens in it without a clip of its own."""
    ink = Ink(face)
    y = 0.0
    for clip in passage.clips[:1] if passage.is_picture else passage.clips:
        y = _clip(ink, plan, passage, clip, y, width)
    pencil = _Pencil(ink, 0, y, width)
    for cue in cues if not passage.is_wait else ():
        pencil.write(_told(cue, passage, plan), BOLD, READ)
    for told in _heard_over(plan, passage):
        pencil.write(told, BOLD, READ)
    y = pencil.y
    height = -(-(y + 1.6) // STEP) * STEP
    return Band(ink, height, y + BELOW)


def _clip(ink: Ink, plan: Plan, passage: Passage, clip: Clip, y: float, width: float) -> float:
    """Draw one clip's part of the band from ``y`` on; return where it ends."""
    lines = plan.lines_of(clip)
    y = _names(ink, plan, passage, clip, lines, y, width)
    is_alone = len(passage.clips) == 1 and not passage.is_picture
    stills = 2 * STILL[0] + 4.5 if is_alone else 0.0
    left = _Pencil(ink, 0, y, width - stills)
    left.write(clip.scene or "", REGULAR, READ)
    told = _directions(lines)
    if told:
        left.write(told, BOLD, DIRECTION_SIZE)
    if len(passage.clips) == 1 or not passage.is_picture:
        back = plan.delivered(clip.id)
        left.y = take_boxes(ink, 0, left.y + 1.3, width - stills, clip, back)
        for told in take_line(ink.face, back, REGULAR, READ, width - stills) if back else ():
            left.write(told, REGULAR, READ)
    below = left.y
    if is_alone:
        _stills(ink, width - stills + 3, y + 0.9)
        below = max(below, y + 0.9 + STILL[1])
    pencil = _Pencil(ink, 0, below + 0.6, width)
    for line in lines:
        who = f"{display_name(line.speaker)}: " if len(lines) > 1 else ""
        is_own = passage.is_wait or (line.id == clip.line and clip.part[1] > 1)
        words = clip.text if is_own else line.text
        pencil.write(f"{who}{words}", ITALIC if line.kind is LineKind.SUNG else REGULAR, WORDS_SIZE)
    for text in cautions.of_clip(plan, clip):
        pencil.caution(text)
    pencil.write(_where_from(plan, passage, clip, lines), REGULAR, READ)
    return pencil.y


def _names(
    ink: Ink, plan: Plan, passage: Passage, clip: Clip, lines: Sequence[PlanLine], y: float, width: float
) -> float:
    """Set the clip's number, who is heard and what to ask for, on one line; a long name takes more."""
    number = passage.name if passage.is_picture else clip.id
    ink.text(0, y + 5.6, number, BOLD, 16)
    x = ink.width(number, BOLD, 16) + 2.5
    ask = asked(clip)
    if passage.is_picture and len(passage.clips) > 1:
        asks = {c.ask for c in passage.clips}
        ask = f"{len(passage.clips)} × {ask}" if len(asks) == 1 else f"{len(passage.clips)} clips"
    ink.text(width, y + 5.6, ask, BOLD, 13, "right")
    profile = clip.profile if len(plan.settings.profiles) > 1 or clip.profile != "default" else ""
    stop = width - ink.width(ask, BOLD, 13) - 2
    part, parts = clip.part
    name = who(clip)
    told = " · ".join(
        filter(None, (name, f"{part} of {parts}" if parts > 1 and not passage.is_picture else "", profile))
    )
    pencil = _Pencil(ink, x, y + 1.4, stop - x)
    pencil.write(told, BOLD, 11 if ink.width(told, BOLD, 11) <= stop - x else READ)
    return max(y + 6.4, pencil.y + 0.8)


def who(clip: Clip) -> str:
    """Return who is heard or seen in a clip, in words that also say whether it is sung or waited."""
    name = display_name(clip.speaker)
    if clip.kind is LineKind.SUNG:
        return f"{name} sings" if name else "sung, nobody is named"
    if clip.kind is LineKind.PICTURE:
        return f"{name} waits" if name else "picture"
    return name


def _told(cue: Cue, passage: Passage, plan: Plan) -> str:
    """Return a cue with the frame at which it begins; one that comes when the clip is over says so."""
    if passage.is_picture and cue.start < passage.length:
        return f"at {tenths(cue.start / plan.rate.fps)} s {cue.told}"
    return f"then {cue.told}" if cue.start >= passage.length else f"frame {cue.start + 1} {cue.told}"


def _directions(lines: Sequence[PlanLine]) -> str:
    return " ".join(f"({d})" for line in lines for d in line.directions)


def _where_from(plan: Plan, passage: Passage, clip: Clip, lines: Sequence[PlanLine]) -> str:
    """Say where the times come from and how the clip's own frames lie to the rows."""
    told = "; ".join(dict.fromkeys(timed_by(plan, line) for line in lines))
    cut = clip.frames_cut(plan.rate)
    if cut and len(passage.clips) == 1:
        told += f" · frame 1 here is frame {cut + 1} of the clip as made"
    part, parts = clip.part
    if parts > 1 and clip.kind is not LineKind.PICTURE and lines:
        name, words = clip.id.rsplit(".", 1)[0], lines[0].words
        if seam := plan.seam(clip):
            told += f" · starts from frame {seam.frame + 1} of {seam.clip}: “{words[clip.words[0] - 1].text}”"
        if part < parts:
            told += f" · {name}.{part + 1} goes on: “{words[clip.words[1]].text}”"
    return told


def _heard_over(plan: Plan, passage: Passage) -> list[str]:
    """Return who is heard in these clips without being seen, and when (seconds from their beginning)."""
    over = {line.id: line for clip in passage.clips for line in plan.heard_over(clip)}
    zero = plan.rate.moment_of(passage.first)
    return [
        f"heard, {tenths(line.start - zero)}–{tenths(line.end - zero)} s: {display_name(line.speaker)}: {line.text}"
        for line in over.values()
    ]


def _stills(ink: Ink, x: float, y: float) -> None:
    for n, name in enumerate(("first", "last")):
        at = x + n * (STILL[0] + 1.5)
        ink.box(at, y, *STILL, 0.4)
        ink.text(at + 0.9, y + 2.9, name, BOLD, SMALL)
