"""What of a song is followed: its voice, and another signal of it to hold the result against.

In: a song's file. Out: sounds at 16 kHz in the file's own clock. Of a stereo mix the voice is its middle, less what the
band plays again and again; the other signal is the middle with the band. A mono file is followed as it is. With its
instrumental at hand the voice is what is left of the mix without it, and the other signal the voice of the mix.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
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


def voice_of(path: str | os.PathLike[str], instrumental: str | os.PathLike[str] | None = None) -> SongVoice:
    """Return what is to be followed in a song's file; with the file of its ``instrumental``, less that.

    Raises RecordingError, also for an instrumental that is not this song's.
    """
    from timing.plain.errors import RecordingError
    from timing.sound.decode import read_audio, read_stereo
    from timing.sound.instrumental import without_instrumental

    stereo, facts = read_stereo(path)
    if instrumental is not None:
        stem = without_instrumental(stereo, read_stereo(instrumental)[0], facts.rate_hz)
        if stem is None:
            message = f"is not the instrumental of {os.path.basename(path)}: nothing of it was found in the song"
            raise RecordingError(message, Path(instrumental))
        return SongVoice(
            _spoken_rate(stem.mean(axis=1).round().astype(stem.dtype), facts), _of_mix(stereo, facts).voice
        )
    if facts.channels < 2 or (stereo[:, 0] == stereo[:, 1]).all():
        alone = read_audio(path)
        return SongVoice(alone, alone)
    return _of_mix(stereo, facts)


def _of_mix(stereo: NDArray[np.int16], facts: Sound) -> SongVoice:
    from timing.sound.accompaniment import repeating
    from timing.sound.centre import centre

    untouched = _spoken_rate(centre(stereo, facts.rate_hz), facts)
    gains = repeating(stereo, facts.rate_hz)
    return SongVoice(
        untouched if gains is None else _spoken_rate(centre(stereo, facts.rate_hz, gains), facts), untouched
    )


def _spoken_rate(samples: NDArray[np.int16], facts: Sound) -> Sound:
    from timing.sound.decode import SPEECH_RATE_HZ, resample

    return replace(facts, samples=resample(samples, facts.rate_hz, SPEECH_RATE_HZ), rate_hz=SPEECH_RATE_HZ)
