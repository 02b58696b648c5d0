"""What came back from the generator, as the tables say it: a box to tick, and the best take's name."""

from __future__ import annotations

from pathlib import PurePosixPath

from timing.model import Delivered
from timing.sheet.fonts import Typeface
from timing.sheet.ink import Ink
from timing.sheet.wrapped import shorten_middle

DELIVERED, ACCEPTED = "delivered", "accepted"  # the states of clips.toml that a box shows


def state_box(ink: Ink, x: float, y: float, side: float, state: str = "") -> None:
    """Draw the box to tick: empty, one stroke for a clip that came back, a tick for one that was accepted."""
    ink.box(x, y, side, side, 0.6)
    if state == ACCEPTED:
        ink.line(x + side * 0.15, y + side * 0.5, x + side * 0.42, y + side * 0.82, 1.2)
        ink.line(x + side * 0.42, y + side * 0.82, x + side * 0.9, y + side * 0.1, 1.2)
    elif state == DELIVERED:
        ink.line(x, y + side, x + side, y, 0.8)


def take_line(face: Typeface, back: Delivered, style: str, size: float, room_mm: float, name: str = "") -> str:
    """Return "3 takes back, best: C02 take 2.mp4", ``name`` before it; the file's name is shortened in its middle."""
    if back.state == ACCEPTED:
        told = "accepted: "
    elif back.takes > 1:
        told = f"{back.takes} takes back, best: "
    else:
        told = "back: "
    told = f"{name}: {told}" if name else told
    room = room_mm - face.width_mm(told, style, size)
    return told + shorten_middle(face, PurePosixPath(back.file).name, style, size, room)
