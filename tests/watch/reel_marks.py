"""What the reel's layout puts on its two screens, for the plans drawn by lot: a short mark for each screen."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator

from timing.model import Plan
from timing.watch.marks import Fonts, Mark
from timing.watch.moments import Moments
from timing.watch.paint import Painter
from timing.watch.screen import TALL, WIDE, Screen, Shape
from timing.watch.strip import Strip

EVERY_FRAMES = 23
SHAPES = {"wide": WIDE, "tall": TALL}
LOTS = range(12)


def frames_of(plan: Plan) -> range:
    return range(0, plan.frames, max(EVERY_FRAMES, plan.frames // 12))


def marks(plan: Plan, shape: Shape) -> Iterator[tuple[str, Mark]]:
    """Yield every mark with what it belongs to: "screen", or "strip" (whose own corner is 0, 0)."""
    fonts, moments = Fonts.load(None), Moments(plan)
    screen, strip = Screen(shape, fonts, plan.title), Strip(plan, moments, fonts, shape)
    for frame in frames_of(plan):
        moment = moments.at(frame)
        picture = "a photograph of the far side of the bay.png" if frame % 2 else ""
        for mark in (*screen.still(moment, picture, frame % 3 == 0), *screen.figures(moment)):
            yield "screen", mark
        for mark in strip.marks(frame, frame + 14):
            yield "strip", mark


def reel_mark(plan: Plan, shape: Shape) -> str:
    said = [f"{where} {_near(mark)}" for where, mark in marks(plan, shape)]
    return hashlib.sha256("\n".join(said).encode()).hexdigest()[:10]


def _near(mark: Mark) -> str:
    return " ".join(f"{v:.1f}" if isinstance(v, float) else str(v) for v in mark)


def screen_images(plan: Plan) -> list[bytes]:
    """Return one frame of each screen as PNG, to be looked at."""
    found = []
    for shape in SHAPES.values():
        fonts, moments = Fonts.load(None), Moments(plan)
        painter = Painter(shape, fonts, Strip(plan, moments, fonts, shape))
        frame = frames_of(plan)[-1]
        still = Screen(shape, fonts, plan.title).still(moments.at(frame), "", False)
        image = io.BytesIO()
        painter.paint(still, Screen(shape, fonts, plan.title).figures(moments.at(frame)), frame, None).save(
            image, "PNG"
        )
        found.append(image.getvalue())
    return found
