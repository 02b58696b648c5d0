"""Sung lines in a finished song: each word and vowel onset in the song file's own clock.

In: the song (a mix, a mix with its instrumental, or the vocal stem alone), its sung lines in order, about when each is
sung where somebody knows, moments that are known for sure, its beats. Out: a TimedLine for each line; lines that were
not followed surely carry the finding "unclear" and by how much other readings of the song move them.

How: the voice is taken from the middle of a stereo mix, less what its band plays again and again. All lines are laid
along it at once, in order, each within its room (``song_search``), so that no line has to explain foreign words. Costs
are the model's states in context and alone; a vowel is likelier to begin where the voice rises and, where the vowels
that were heard gather around the beats or parts of them, near a beat. An onset is where it is heard, never moved onto a
beat. A line is doubted where other readings put it elsewhere: one of another signal (the middle with its band), two of
other costs, one without beats. Of the lines that are more than half a second off that tells five in six.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from statistics import fmean
from typing import TYPE_CHECKING

from timing.hearing.recogniser import STEPS_PER_S, VOWEL_EARLIER, WINDOW_CENTRE, moment
from timing.model import Finding, TimedLine, Utterance, is_vowel
from timing.model.words import Pronounce

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.hearing.followed_words import Token
    from timing.hearing.phone_costs import StateCosts
    from timing.hearing.song_search import Chain, LaidWord
    from timing.sound.decode import Sound

_CONTEXT = 0.7  # how much states in context count; .5 to 1 do alike
_ANCHOR_S = 1.3  # by which an approximate time may be wrong, and a little more
_STRAY_S = 1.5  # a line found farther than this from where it should be is lost
_READING_S = 5.0  # by which another reading may move a line
_MOST_MOVED_S = 1.0  # by a line that is lost altogether
DOUBTED_S, LOST_S = 0.2, 0.3  # mean of what the other readings move a line by
_BAD_FIT = -40.0  # its words fit worse than that, in the mean, beside any phones at all: squeezed into their room


@dataclass(frozen=True, slots=True)
class SungScriptedLine:
    """A sung line and about when it begins and ends in the song's file (seconds; None where nobody knows)."""

    id: str
    utterance: Utterance
    approx_start_s: float | None = None
    approx_end_s: float | None = None


@dataclass(frozen=True, eq=False)
class SongVoice:
    """The voice that is followed, and the same middle of the mix with its band (the same sound where there is none)."""

    voice: Sound
    untouched: Sound


def align_song(
    path: str | os.PathLike[str],
    lines: Sequence[SungScriptedLine],
    pronounce: Pronounce,
    beats_s: Sequence[float] = (),
) -> Mapping[str, TimedLine]:
    """Return the lines that could be followed, by id, in the song file's clock; raises RecordingError.

    ``beats_s``: the song's beats in seconds, in order.
    """
    return follow_song(voice_of(path), lines, pronounce, beats_s)


def follow_song(
    song: SongVoice, lines: Sequence[SungScriptedLine], pronounce: Pronounce, beats_s: Sequence[float] = ()
) -> dict[str, TimedLine]:
    """Return what ``align_song`` does, for a voice that has been read."""
    from timing.hearing.followed_words import tokens_of
    from timing.hearing.song_search import Chain, fits_of

    lines = [line for line in lines if line.utterance.words]
    if not lines or not len(song.voice.samples):
        return {}
    tokens = [tokens_of(line.utterance, pronounce) for line in lines]
    chain = Chain([[token.pronunciations for token in own] for own in tokens])
    followed = _followed(song, chain, lines, beats_s)
    if followed is None:
        return {}
    fits = fits_of(followed.laid, followed.costs)
    found = {}
    for number, (line, own) in enumerate(zip(lines, tokens, strict=True)):
        words = slice(chain.first_word[number], chain.first_word[number + 1])
        timed = _timed(line.utterance, own, followed.laid[words], fits[words])
        found[line.id] = replace(timed, findings=_doubts(timed, line, followed.moved_s[number], fmean(fits[words])))
    return found


@dataclass(frozen=True, eq=False)
class _Followed:
    laid: list[LaidWord]
    costs: StateCosts
    moved_s: list[float]


def _followed(
    song: SongVoice, chain: Chain, lines: Sequence[SungScriptedLine], beats_s: Sequence[float]
) -> _Followed | None:
    from timing.hearing.beat_prior import habit
    from timing.hearing.phone_costs import likeness, state_costs
    from timing.hearing.rising_voice import rises
    from timing.hearing.sound_features import band_energies, cepstra_of, features_of, with_differences

    energies = band_energies(song.voice.samples)
    bonus = rises(energies)
    costs = state_costs(with_differences(cepstra_of(energies)), chain.contexts, _CONTEXT)
    rooms: list[tuple[int, int]] | None = _rooms(lines, len(costs))
    first = chain.lay(costs, rooms, bonus)
    if first is None:
        # Anchors too close for the words, or out of order: as if nobody had said anything.
        rooms = None
        first = chain.lay(costs, rooms, bonus)
    if first is None:
        return None
    sung_at = habit(_onsets(first), beats_s)
    best = first
    if sung_at is not None:
        best = chain.lay(costs, rooms, bonus + sung_at.bonus(_moments(len(costs)))) or first
    near = _near(chain, best, len(costs))
    others = [costs.reading(0), costs.reading(1)]
    if song.untouched is not song.voice:
        others.append(likeness(features_of(song.untouched.samples)))
    readings = [chain.lay(other, near) for other in others]
    return _Followed(best, costs, _moved(chain, best, [first, *(r for r in readings if r)]))


def _near(chain: Chain, laid: Sequence[LaidWord], steps: int) -> list[tuple[int, int]]:
    """Return rooms around where lines were found."""
    reach = int(_READING_S * STEPS_PER_S)
    edges = [(laid[a].starts[0], laid[b - 1].end) for a, b in pairwise(chain.first_word)]
    return [(max(0, begin - reach), min(steps, end + reach)) for begin, end in edges]


def _moved(chain: Chain, laid: Sequence[LaidWord], readings: Sequence[Sequence[LaidWord]]) -> list[float]:
    """Return by how many seconds other readings move each line: the median of its words, the mean of the readings."""
    import numpy as np

    def starts(words: Sequence[LaidWord]) -> NDArray[np.float64]:
        return np.array([word.starts[0] for word in words]) / STEPS_PER_S

    away = [np.abs(starts(reading) - starts(laid)) for reading in readings]
    return [
        float(np.mean([min(_MOST_MOVED_S, float(np.median(one[a:b]))) for one in away]))
        for a, b in pairwise(chain.first_word)
    ]


def voice_of(path: str | os.PathLike[str]) -> SongVoice:
    """Return what is to be followed in a song, at 16 kHz: the voice of its middle, or the whole of a mono file."""
    from timing.sound.accompaniment import repeating
    from timing.sound.centre import centre
    from timing.sound.decode import SPEECH_RATE_HZ, read_audio, read_stereo, resample

    stereo, facts = read_stereo(path)
    if facts.channels < 2 or (stereo[:, 0] == stereo[:, 1]).all():
        alone = read_audio(path)
        return SongVoice(alone, alone)

    def sound(samples: NDArray[np.int16]) -> Sound:
        return replace(facts, samples=resample(samples, facts.rate_hz, SPEECH_RATE_HZ), rate_hz=SPEECH_RATE_HZ)

    untouched = sound(centre(stereo, facts.rate_hz))
    gains = repeating(stereo, facts.rate_hz)
    return SongVoice(untouched if gains is None else sound(centre(stereo, facts.rate_hz, gains)), untouched)


def _rooms(lines: Sequence[SungScriptedLine], steps: int) -> list[tuple[int, int]]:
    """Return the steps each line may lie on: around its anchors, for a line without them from those before and after.

    A line may last until the next begins, whatever its own end: bars say little about how long it is held. None
    begins before, or ends before, the one before it.
    """
    begins = [0 if x.approx_start_s is None else int((x.approx_start_s - _ANCHOR_S) * STEPS_PER_S) for x in lines]
    ends = [steps if x.approx_end_s is None else int((x.approx_end_s + _ANCHOR_S) * STEPS_PER_S) for x in lines]
    for n in range(1, len(lines)):
        begins[n] = begins[n - 1] if lines[n].approx_start_s is None else begins[n]
        ends[-n - 1] = ends[-n] if lines[-n - 1].approx_end_s is None else ends[-n - 1]
    later = [begin + int(2 * _ANCHOR_S * STEPS_PER_S) for begin in begins[1:]]
    ends = [max(pair) for pair in zip(ends, [*later, steps], strict=True)]
    for n in range(1, len(lines)):
        begins[-n - 1] = min(begins[-n - 1], begins[-n])
        ends[n] = max(ends[n], ends[n - 1])
    return [(max(0, begin), min(steps, end)) for begin, end in zip(begins, ends, strict=True)]


def _moments(steps: int) -> NDArray[np.float64]:
    """Return the seconds at which a vowel begins that begins with each step."""
    import numpy as np

    return np.arange(steps) / STEPS_PER_S + float(WINDOW_CENTRE - VOWEL_EARLIER)


def _onsets(laid: Sequence[LaidWord]) -> list[float]:
    steps = (step for word in laid for phone, step in zip(word.phones, word.starts, strict=True) if is_vowel(phone))
    return [float(moment(step) - VOWEL_EARLIER) for step in steps]


def _timed(utterance: Utterance, tokens: Sequence[Token], laid: Sequence[LaidWord], fits: Sequence[float]) -> TimedLine:
    from timing.hearing.aligner import timed_line
    from timing.hearing.differences import Reading, Verdict

    words = tuple(word.heard(index) for index, word in enumerate(laid))
    reading = Reading(words, tuple(fits), (Verdict.SAID,) * len(words))
    return timed_line(utterance, tokens, reading, Fraction(0))


def _doubts(timed: TimedLine, line: SungScriptedLine, moved_s: float, fit: float) -> tuple[Finding, ...]:
    away = 0.0 if line.approx_start_s is None else abs(float(timed.start) - line.approx_start_s)
    if moved_s <= DOUBTED_S and fit >= _BAD_FIT and away <= _STRAY_S:
        return ()
    message = "this sung line could not be followed surely; listen to it, or give a vocal-only stem of the song"
    return (Finding("unclear", message, {"away_s": round(away, 2), "moved_s": round(moved_s, 2)}),)
