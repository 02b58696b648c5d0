"""What is heard: the guide track, with each song's recording under its clicks.

Samples are mono int16 at 48 kHz from the start of the episode, as long as its frames.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from timing.episode.guide_sound import guide_track
from timing.export.guide import RATE_HZ
from timing.model import Plan
from timing.model.clock import Seconds, round_half_up
from timing.plain.errors import RecordingError
from timing.sound.decode import read_audio

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SONG_PEAK = 0.16  # of full scale, under the voices
_SAMPLES_AT_ONCE = 60 * RATE_HZ  # of an hour one copy is held, not four


def sound_of(plan: Plan, folder: Path) -> tuple[NDArray[np.int16], list[str]]:
    """Return the samples of the whole episode, and a sentence for each song whose file cannot be heard."""
    import numpy as np

    track = guide_track(plan, folder)
    notes = []
    for song in plan.songs:
        if song.file is None:
            continue
        try:
            sound = read_audio(folder / song.file, RATE_HZ).samples
        except RecordingError as error:
            notes.append(f"the song is not heard: {error}")
            continue
        highest = max(1, int(np.max(np.abs(sound.astype(np.int32)), initial=0)))
        at = round_half_up(song.start * RATE_HZ)
        begin, end = max(0, at), min(len(track), at + len(sound))
        if song.heard_from is not None:  # an edit plays a part of it
            begin, end = (
                max(begin, round_half_up(song.heard_from * RATE_HZ)),
                min(end, round_half_up(song.end * RATE_HZ)),
            )
        for first in range(begin, end, _SAMPLES_AT_ONCE):
            heard = track[first : min(end, first + _SAMPLES_AT_ONCE)]
            under = (sound[first - at : first - at + len(heard)] * (SONG_PEAK * 32767 / highest)).astype(np.int32)
            heard[:] = np.clip(heard + under, -32767, 32767)
    return track, notes


def part(track: NDArray[np.int16], start: Seconds, end: Seconds) -> NDArray[np.int16]:
    """Return the samples from ``start`` to ``end`` seconds, edges rounded alike so that parts join without a gap."""
    return track[round_half_up(start * RATE_HZ) : round_half_up(end * RATE_HZ)]
