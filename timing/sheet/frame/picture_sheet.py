"""A picture passage on paper: the whole passage, room for a sketch, a box for each take of each of its clips."""

from __future__ import annotations

from collections.abc import Sequence

from timing.model import Clip, Plan
from timing.sheet.fonts import BOLD, REGULAR
from timing.sheet.frame.band import asked
from timing.sheet.furniture import SMALL
from timing.sheet.ink import Ink
from timing.sheet.paper import GUTTER, LINE_MM
from timing.sheet.tables.came_back import DELIVERED, TAKE_STEP, state_box

ROW = 5.4  # of the list of a passage's clips
STILL_ROOM = 0.62  # of the height, at most


def seconds_from(clips: Sequence[Clip], clip: Clip) -> str:
    """Return from when to when a clip is seen, in seconds of its passage.

    Both are counted from the passage's first frame, halves up to the tenth.
    """
    from timing.sheet.figures import tenths

    zero = clips[0].start
    return f"{tenths(clip.start - zero)}–{tenths(clip.end - zero)} s"


def draw_picture(ink: Ink, plan: Plan, clips: Sequence[Clip], x: float, y: float, width: float, foot: float) -> None:
    """Fill the room under a picture passage's band: two pictures to sketch, its clips, lines to write on."""
    listed = len(clips) if len(clips) > 1 else 0
    room = foot - y - listed * ROW - 4
    beside = width > 150
    still = (width - GUTTER) / 2 if beside else width
    high = min(still * 9 / 16, room * STILL_ROOM if beside else (room - 3) / 2 * 0.9)
    names = ("first picture", "last picture")
    for n, name in enumerate(names):
        left = x + n * (still + GUTTER) if beside else x
        top = y + (0 if beside else n * (high + 3))
        ink.box(left, top, min(still, high * 16 / 9), high, 0.6)
        ink.text(left + 1.2, top + 3.4, name, BOLD, SMALL)
    y += high if beside else 2 * high + 3
    for clip in clips if listed else ():
        y = _listed(ink, plan, clips, clip, x, y, width)
    y += 3
    while (y := y + LINE_MM) < foot:
        ink.line(x, y, x + width, y, 0.25)


def _listed(ink: Ink, plan: Plan, clips: Sequence[Clip], clip: Clip, x: float, y: float, width: float) -> float:
    base, (part, parts) = y + ROW - 1, clip.part
    ink.text(x, base, clip.id, BOLD, 9.5)
    ink.text(x + 17, base, f"{part} of {parts}", REGULAR, 9)
    ink.text(x + 34, base, seconds_from(clips, clip), REGULAR, 9)
    ink.text(x + width - 20, base, asked(clip), BOLD, 9.5, "right")
    back = plan.delivered(clip.id)
    for n in range(3):
        state = DELIVERED if back and n < back.takes else ""
        state_box(ink, x + width - 16 + n * TAKE_STEP, y + 1.2, 3.6, state)
    ink.line(x, y + ROW, x + width, y + ROW, 0.25)
    return y + ROW
