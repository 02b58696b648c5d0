"""A song with clicks on its beats, to hear that the grid is right.

In: the song's file and its grid. Out: a WAV file, mono 22.05 kHz, peak at or under -12 dBFS. A click in a child's
headphones should be quiet; the command that writes this says so.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from timing.model import BeatGrid
from timing.plain.errors import OutputError
from timing.sound.decode import SONG_RATE_HZ, blocks

PEAK_DBFS = -12.0
CLICK_HZ, DOWNBEAT_HZ, CLICK_S = 1000.0, 1500.0, 0.03  # our own choice
SONG_SHARE = 0.6  # of the peak; the clicks have the rest


def write_preview(song: Path, grid: BeatGrid, out: Path) -> None:
    """Write the song with clicks, higher on downbeats; raises RecordingError, OutputError."""
    from timing.sound.container import AudioSegment

    sound = np.concatenate(list(blocks(song)))
    peak = 10 ** (PEAK_DBFS / 20)
    mixed: NDArray[np.float32] = sound * np.float32(SONG_SHARE * peak / max(float(np.abs(sound).max()), 1e-9))
    downbeats = set(grid.downbeats_s)
    for moment in grid.beats_s:
        is_downbeat = moment in downbeats
        _add(mixed, moment, _click(DOWNBEAT_HZ if is_downbeat else CLICK_HZ, (1 - SONG_SHARE) * peak))
    samples = np.clip(np.round(mixed * 32767), -32768, 32767).astype("<i2")
    segment = AudioSegment(samples.tobytes(), frame_rate=SONG_RATE_HZ, sample_width=2, channels=1)
    try:
        segment.export(str(out), format="wav").close()
    except OSError as error:
        raise OutputError(f"{out}: cannot be written ({error.strerror})") from None


def _click(hertz: float, level: float) -> NDArray[np.float32]:
    time = np.arange(int(CLICK_S * SONG_RATE_HZ)) / SONG_RATE_HZ
    return np.asarray(level * np.sin(2 * np.pi * hertz * time) * np.exp(-time / 0.006), np.float32)


def _add(sound: NDArray[np.float32], moment: float, click: NDArray[np.float32]) -> None:
    start = round(moment * SONG_RATE_HZ)
    low, high = max(start, 0), min(start + len(click), len(sound))
    if low < high:
        sound[low:high] += click[low - start : high - start]
