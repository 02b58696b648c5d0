"""A line sung alone, as in a scratch recording: followed as songs are, for its held notes.

In: samples that hold one line, its tokens. Out: a Reading, every word said. What is told of speech (words left out,
replaced or added) is not told of singing: speech's way takes its long vowels for something unscripted, and puts
65 % of the vowels within a frame where this puts 95 % (14 lines of synthesised singing, two voices).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from timing.hearing.differences import Reading, Verdict
from timing.hearing.followed_words import Token

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_HELD = 6.0  # held vowels fit this much worse than spoken ones at each step: what "unclear" allows for
_DOUBTED = -25.0  # what the words of a line are given whose readings disagree: half a confidence


def held(samples: NDArray[np.int16], tokens: Sequence[Token]) -> Reading | None:
    """Return the line where it is sung; None where its words have no room."""
    from timing.hearing.song_readings import follow_words
    from timing.hearing.song_voice import SongVoice
    from timing.sound.decode import Sound

    sound = Sound(samples)
    followed = follow_words(SongVoice(sound, sound), [[token.pronunciations for token in tokens]])
    if followed is None:
        return None
    (line,) = followed
    most = _DOUBTED if line.is_doubted else 0.0
    words = tuple(word.heard(index) for index, word in enumerate(line.words))
    return Reading(words, tuple(min(most, fit + _HELD) for fit in line.fits), (Verdict.SAID,) * len(words))
