"""The sound files that are written: reads the takes of a plan and hands them to the guide's writer."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from timing.model import Plan
from timing.model.clock import Seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.sound.decode import Pieces

TAKES_KEPT = 4  # recordings kept decoded at a time; lines of one recording usually stand together


def guide_files(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return guide.wav and scratch/CLIP.wav; empty where the plan has neither takes nor songs.

    Raises RecordingError for a take that can no longer be read.
    """
    if not plan.songs and not plan.soundings():
        return {}
    from timing.export.guide import clip_sounds, guide_wav

    take = _takes(plan, folder)
    return {"guide.wav": guide_wav(plan, take), **clip_sounds(plan, take)}


def guide_track(plan: Plan, folder: Path) -> NDArray[np.int16]:
    """Return the samples of guide.wav, silent all through where the plan has neither takes nor songs."""
    from timing.export.guide import guide_samples

    return guide_samples(plan, _takes(plan, folder))


def _takes(plan: Plan, folder: Path) -> Callable[[str], Pieces]:
    """Return a reader of recordings, by their names in the plan; only what its lines need of them is kept."""
    from timing.export.guide import RATE_HZ
    from timing.sound.decode import pieces

    asked = plan.requested or plan
    around = max((max(clip.head, clip.tail) for clip in asked.clips), default=Fraction(0)) + 1
    needed: dict[str, list[tuple[Seconds, Seconds]]] = {}
    for one in plan.soundings():
        needed.setdefault(one.file, []).append((one.file_start, one.file_start + one.length))
    for line in asked.lines:
        if line.take is not None and line.take_start is not None:
            stretch = line.take_start - around, line.take_start + line.length + around
            needed.setdefault(line.take, []).append(stretch)

    @lru_cache(maxsize=TAKES_KEPT)
    def take(name: str) -> Pieces:
        return pieces(folder / name, RATE_HZ, needed.get(name, ()))

    return take
