"""Measures the printed set: time a page against the floor (the same pages with only the shared grid), memory, size.

    python tests/bench/bench_sheets.py [MINUTES ...]      default 5 90

Dense speech at 24 frames a second: clips of exactly three seconds, two on a sheet, so every sheet is full. Each size
runs in a process of its own, so that memory peaks do not mix.
"""

from __future__ import annotations

import gc
import resource
import subprocess
import sys
import time
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

SENTENCE = (
    "It *goes *out and it *comes back *in, *ve-ry *far a-*way, be-*cause the *moon is *pul-ling",
    "*Peb-bles, *foam and *mos-sy *pools, I *counted *thir-ty of them, *Tan-sy, *in the *mor-ning",
)


def dense_plan(minutes: int):
    """Return a plan whose every three seconds are one clip of about 20 syllables."""
    from tests.sheet import plans
    from timing.model.clock import FrameRate

    rate = FrameRate(Fraction(24))
    lines, clips = [], []
    for n in range(minutes * 20):
        text = SENTENCE[n % 2]
        count = text.replace("-", " ").count(" ") + 1
        length = [(2, 2, 3)[(k + n) % 3] for k in range(count)]
        length[-1] += 58 - sum(length)
        of = plans.line(str(n + 1), text, n * 72 + 6, length, ("TANSY", "BRAM")[n % 2])
        lines.append(of)
        clips.append(plans.part_clip(of, rate, f"C{n + 1:02d}", (1, 1), (0, len(of.words)), n * 72, n * 72 + 72, 4))
    plan = plans.plan(lines, clips, rate=rate, parts=("frames",))
    return replace(plan, loudness=(plans.loudness_of(plan),))


def floor(count: int) -> float:
    """Return the process time of ``count`` pages with only the shared grid."""
    from timing.model.clock import FrameRate
    from timing.model.settings import SheetSettings
    from timing.sheet.draw import About, Writer
    from timing.sheet.fonts import load_typeface
    from timing.sheet.frame.frame_sheet import grid
    from timing.sheet.ink import Ink, Page
    from timing.sheet.paper import frame_layout, rows_in

    started = time.process_time()
    layout = frame_layout(SheetSettings(), FrameRate(Fraction(24)))
    face = load_typeface()
    shared = tuple(
        (f"grid{n}", grid(face, rows_in(layout, panel, 28, 72), 0)) for n, panel in enumerate(layout.panels())
    )
    writer = Writer(face, About("floor", "", "", "en"))
    for n in range(count):
        writer.add(Page(layout.width, layout.height, f"p{n}", Ink(face), shared))
    writer.finish()
    return time.process_time() - started


def measure(minutes: int) -> None:
    import reportlab.pdfgen.canvas

    from timing.sheet import render_sheets

    assert reportlab
    plan = dense_plan(minutes)
    gc.collect()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    runs = 3 if minutes <= 10 else 1
    floor(3)
    times, floors = [], []
    pages = 0
    for _ in range(runs):
        started = time.process_time()
        made = render_sheets(plan)
        times.append(time.process_time() - started)
        pages = len(made.register["sheets"]) - sum(s["part"] != "frames" for s in made.register["sheets"])
        size = len(made.pdf)
        if _ == 0:
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        del made
    floors = [floor(pages) for _ in range(runs)]
    best, lowest = min(times), min(floors)
    print(
        f"{minutes} min, {pages} sheets: {best * 1000 / pages:.2f} ms a sheet (floor {lowest * 1000 / pages:.3f}, "
        f"{best / lowest:.1f} times), {best:.2f} s in all; memory peak {peak:.0f} MB, of it {before:.0f} MB before "
        f"(Python, libraries, plan); {size / 1e6:.2f} MB file"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        measure(int(sys.argv[2]))
    else:
        for minutes in sys.argv[1:] or ["5", "90"]:
            subprocess.run([sys.executable, __file__, "--one", minutes], check=True)
