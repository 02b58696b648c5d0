"""What came back from the generator: a box to tick for each take, and the best take's name."""

from __future__ import annotations

from pathlib import PurePosixPath

from timing.model import Clip, Delivered, LineKind
from timing.sheet import cautions
from timing.sheet.fonts import REGULAR, Typeface
from timing.sheet.furniture import caution_square
from timing.sheet.ink import Ink
from timing.sheet.wrapped import wrap

ACCEPTED = cautions.ACCEPTED
DELIVERED = "delivered"  # with ACCEPTED the states of clips.toml that a box shows
DOUBTFUL = "doubtful"  # came back, and is not what was asked for
TAKE_BOX, TAKE_STEP, TAKE_ROW = 3.6, 5.4, 5.0


def state_of(back: Delivered | None, kind: LineKind) -> str:
    """Return what a clip's box shows: "" for nothing back, DOUBTFUL for a take that may not be trusted."""
    if back is None:
        return ""
    return DOUBTFUL if cautions.is_doubtful(back, kind) else back.state


def state_box(ink: Ink, x: float, y: float, side: float, state: str = "") -> None:
    """Draw the box to tick: empty, one stroke for a clip that came back, a tick for one accepted, a caution."""
    ink.box(x, y, side, side, 0.6)
    if state == ACCEPTED:
        ink.line(x + side * 0.15, y + side * 0.5, x + side * 0.42, y + side * 0.82, 1.2)
        ink.line(x + side * 0.42, y + side * 0.82, x + side * 0.9, y + side * 0.1, 1.2)
    elif state == DELIVERED:
        ink.line(x, y + side, x + side, y, 0.8)
    elif state == DOUBTFUL:
        caution_square(ink, x, y + side, side)


def take_boxes(ink: Ink, x: float, y: float, width: float, clip: Clip, back: Delivered | None) -> float:
    """Draw a box for each take, numbered, those that came back with a stroke; return where the rows end."""
    shown = ink.width("takes", REGULAR, 9) + 2
    ink.text(x, y + 3.1, "takes", REGULAR, 9)
    a_row = max(1, int((width - shown) / TAKE_STEP))
    count = max(clip.takes, back.takes if back else 0)
    for n in range(count):
        row, at = divmod(n, a_row)
        left, top = x + shown + at * TAKE_STEP, y + row * TAKE_ROW
        state_box(ink, left, top, TAKE_BOX, DELIVERED if back and n < back.takes else "")
    return y + TAKE_ROW * ((count - 1) // a_row) + TAKE_BOX + 0.8


def take_line(face: Typeface, back: Delivered, style: str, size: float, room_mm: float, name: str = "") -> list[str]:
    """Return "3 takes back, best: C02 take 2.mp4, voice: C02 voice.wav" in lines, ``name`` before it."""
    if back.state == ACCEPTED:
        told = "accepted: "
    elif back.takes > 1:
        told = f"{back.takes} takes back, best: "
    else:
        told = "back: "
    told = f"{name}: {told}" if name else told
    told += PurePosixPath(back.file).name
    if back.voice and back.voice.is_used:
        told += f", voice: {PurePosixPath(back.voice.file).name}"
    return wrap(face, told, style, size, room_mm)
