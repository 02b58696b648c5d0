"""What of a song is followed: its voice, and another signal of it to hold the result against.

In: a song's file. Out: sounds at 16 kHz in the file's own clock. Of a stereo mix the voice is its middle, less what the
band plays again and again; the other signal is the middle with the band. A mono file is followed as it is.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.sound.decode import Sound


@dataclass(frozen=True, eq=False)
class SongVoice:
    """The voice that is followed, and the same with its band; one and the same sound where there is nothing else."""

    voice: Sound
    untouched: Sound


def voice_of(path: str | os.PathLike[str]) -> SongVoice:
    """Return what is to be followed in a song's file; raises RecordingError."""
    from timing.sound.decode import read_audio, read_stereo

    stereo, facts = read_stereo(path)
    if facts.channels < 2 or (stereo[:, 0] == stereo[:, 1]).all():
        alone = read_audio(path)
        return SongVoice(alone, alone)
    return _of_mix(stereo, facts)


def _of_mix(stereo: NDArray[np.int16], facts: Sound) -> SongVoice:
    from timing.sound.accompaniment import repeating
    from timing.sound.centre import centre
    from timing.sound.decode import SPEECH_RATE_HZ, resample

    def sound(samples: NDArray[np.int16]) -> Sound:
        return replace(facts, samples=resample(samples, facts.rate_hz, SPEECH_RATE_HZ), rate_hz=SPEECH_RATE_HZ)

    untouched = sound(centre(stereo, facts.rate_hz))
    gains = repeating(stereo, facts.rate_hz)
    return SongVoice(untouched if gains is None else sound(centre(stereo, facts.rate_hz, gains)), untouched)
