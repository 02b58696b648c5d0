"""What is measured in eleven made songs, to the millisecond, against what was read and approved by a person.

The songs are synthesised from beats we choose; how far the beats found lie from them stands in the approved file
(``from_truth_s``), which is what a person judges it by. ``python -m tests.golden songs`` writes it anew.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.song.band import play, save, sing, steady
from timing.model.metre import COMMON_TIME, Metre
from timing.song.beats.grid import measure_song

APPROVED = Path(__file__).parent / "expected" / "songs.json"
NEAR_S, NEAR_SHARE = 0.002, 0.004  # other versions of numpy add up in another order


def _changed() -> np.ndarray:
    one = 0.5 + np.arange(48) * 60 / 126
    return np.concatenate([one, one[-1] + 60 / 126 + np.arange(40) * 60 / 84])


def _paused() -> np.ndarray:
    one = 0.5 + np.arange(40) * 60 / 112
    return np.concatenate([one, one[-1] + 60 / 112 + 1.37 + np.arange(40) * 60 / 112])


def _slowing() -> np.ndarray:
    x = np.arange(12) / 12  # as players slow down: A. Friberg and J. Sundberg, JASA 105 (1999), q = 2
    steps = np.concatenate([np.full(60, 60 / 93), 60 / 93 / (1 + (0.4**2 - 1) * x) ** (1 / 2)])
    return 0.5 + np.concatenate([[0], np.cumsum(steps)])


def _drifting() -> np.ndarray:
    wave = np.sin(2 * np.pi * np.arange(90) / 60)
    return 0.5 + np.concatenate([[0], np.cumsum(60 / 96 / (1 + 0.02 * wave))])


def _sixths() -> np.ndarray:
    long_short = np.tile([2, 1, 2, 1], 20)  # quarter, eighth, quarter, eighth in 6/8 at 60 felt beats
    return 0.4 + np.concatenate([[0], np.cumsum(long_short / 3)])


MARCH, WALTZ = steady(104, 16), steady(132, 20, 3)
SONGS: dict[str, tuple[Callable[[], np.ndarray], np.ndarray, dict[str, Any]]] = {
    "a march, nothing told": (lambda: play(MARCH), MARCH, {}),
    "a march, one downbeat": (lambda: play(MARCH), MARCH, {"bpm": 104, "metre": COMMON_TIME, "downbeat_s": MARCH[8] + 0.04}),
    "a march, moved": (lambda: play(MARCH), MARCH, {"bpm": 103, "offset_ms": 20, "half_beat_shift": True}),
    "a waltz": (lambda: play(WALTZ, 3), WALTZ, {"metre": Metre(3, 4), "downbeat_s": WALTZ[3]}),
    "a waltz, nothing told": (lambda: play(WALTZ, 3, hats=False), WALTZ, {}),
    "two tempos": (lambda: play(_changed(), hats=False), _changed(), {"bpm": 126, "metre": COMMON_TIME, "downbeat_s": 0.5}),
    "a pause": (lambda: play(_paused()), _paused(), {"bpm": 112, "metre": COMMON_TIME, "downbeat_s": 0.5}),
    "slowing down": (lambda: play(_slowing()), _slowing(), {"bpm": 93}),
    "drifting": (lambda: play(_drifting()), _drifting(), {"bpm": 96}),
    "a voice in six-eight": (lambda: sing(_sixths()), _sixths()[::2], {"bpm": 60, "metre": Metre(6, 8)}),
    "noise": (lambda: np.random.default_rng(3).normal(size=22050 * 20) * 0.1, MARCH, {}),
}  # fmt: skip


def measured(name: str, folder: Path) -> dict[str, Any]:
    sound, truth, told = SONGS[name]
    song = measure_song(save(sound(), folder / "song.wav"), **told)
    grid = song.grid
    beats = np.asarray(grid.beats_s)
    away = [float(np.abs(beats - moment).min()) for moment in truth] if len(beats) else []
    return {
        "from_truth_s": {"median": float(np.median(away)), "most": max(away)},
        "length_s": song.length_s,
        "bpm": grid.bpm,
        "metre": str(grid.metre),
        "confidence": grid.confidence,
        "beats": len(beats),
        "every_eighth_beat_s": [float(b) for b in beats[::8]],
        "downbeats": len(grid.downbeats_s),
        "every_fourth_downbeat_s": [float(b) for b in grid.downbeats_s[::4]],
        "pieces": [[float(start), float(bpm), count] for start, bpm, count in grid.pieces],
        "tempos": [[float(one.bpm), float(one.score)] for one in song.tempos[:4]],
        "bars": [[str(one.metre), float(one.first_s), float(one.score)] for one in song.bars[:4]],
        "findings": [{"code": str(f.code), "facts": json.loads(json.dumps(f.facts, default=float))} for f in grid.findings],
    }  # fmt: skip


def differences(found: Any, wanted: Any, where: str = "") -> list[str]:
    """Return in words where two values differ; numbers may by :data:`NEAR_S` or :data:`NEAR_SHARE`."""
    if isinstance(found, dict) and isinstance(wanted, dict) and found.keys() == wanted.keys():
        return [one for key in found for one in differences(found[key], wanted[key], f"{where}/{key}")]
    if isinstance(found, list) and isinstance(wanted, list) and len(found) == len(wanted):
        pairs = enumerate(zip(found, wanted, strict=True))
        return [one for n, (a, b) in pairs for one in differences(a, b, f"{where}[{n}]")]
    if isinstance(found, float) and isinstance(wanted, int | float):
        is_near = found == pytest.approx(wanted, rel=NEAR_SHARE, abs=NEAR_S)
        return [] if is_near else [f"{where}: {found} for {wanted}"]
    return [] if found == wanted else [f"{where}: {found} for {wanted}"]


@pytest.mark.parametrize("name", SONGS)
def test_a_made_song_is_measured_as_approved(name: str, tmp_path: Path) -> None:
    approved = json.loads(APPROVED.read_text("utf-8"))
    assert differences(measured(name, tmp_path), approved[name]) == []


def rewrite(folder: Path) -> None:
    found = {name: measured(name, folder) for name in SONGS}
    APPROVED.write_text(json.dumps(found, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
