"""The sound files that are written: reads the takes of a plan and hands them to the guide's writer."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from timing.model import Plan

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

TAKES_KEPT = 4  # recordings kept decoded at a time; lines of one recording usually stand together


def guide_files(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return guide.wav and scratch/CLIP.wav; empty where the plan has neither takes nor songs.

    Raises RecordingError for a take that can no longer be read.
    """
    if not plan.songs and not plan.soundings():
        return {}
    from timing.export.guide import clip_sounds, guide_wav

    take = _takes(folder)
    return {"guide.wav": guide_wav(plan, take), **clip_sounds(plan, take)}


def guide_track(plan: Plan, folder: Path) -> NDArray[np.int16]:
    """Return the samples of guide.wav, silent all through where the plan has neither takes nor songs."""
    from timing.export.guide import guide_samples

    return guide_samples(plan, _takes(folder))


def _takes(folder: Path) -> Callable[[str], NDArray[np.int16]]:
    """Return a reader of recordings, by their names in the plan."""
    from timing.export.guide import RATE_HZ
    from timing.sound.decode import read_audio

    @lru_cache(maxsize=TAKES_KEPT)
    def take(name: str) -> NDArray[np.int16]:
        return read_audio(folder / name, RATE_HZ).samples

    return take
