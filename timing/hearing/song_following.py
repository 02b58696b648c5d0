"""Sung lines in a finished song: each word and vowel onset in the song file's own clock.

In: the song (a mix or, better, the vocal stem alone), its sung lines in order, about when each is sung where somebody
knows, its beats where they are known. Out: a TimedLine for each line; lines that fit badly carry the finding
"unclear".

How: the middle of a stereo mix is followed (``centre``). All lines are laid along the song at once, in order, each
within its room (``chain``), so that no line has to explain foreign words. Where the vowels that were heard gather
around the beats or parts of them, the song is followed once more with that known (``beats``): among several places
that sound alike the one near a beat is likelier. An onset is where it is heard, never moved onto a beat.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf
from statistics import fmean
from typing import TYPE_CHECKING

from timing.hearing.recogniser import STEPS_PER_S, VOWEL_EARLIER, WINDOW_CENTRE, moment
from timing.model import Finding, TimedLine, Utterance, is_vowel
from timing.model.findings import FindingCode
from timing.model.words import Pronounce

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.hearing.followed_words import Token
    from timing.hearing.song_search import LaidWord
    from timing.sound.decode import Sound

_ANCHOR_S = 1.3  # by which an approximate time may be wrong, and a little more
_STRAY_S = 1.5  # a line found farther than this from where it should be is lost
# A line is doubted where the best of some other lines of the song would fit nearly as well as it does (a step). Chosen
# on synthesised songs with other words sung in one line of six; how many are told and missed is in the benchmark.
_CLEARLY = 3.0
_RIVALS = 3
_AROUND = 20  # steps before and after a line that belong to the comparison
_BAD_FIT = -40.0  # or its words fit worse than that, in the mean, beside any phones at all: squeezed into their room


@dataclass(frozen=True, slots=True)
class SungScriptedLine:
    """A sung line and about when it begins and ends in the song's file (seconds; None where nobody knows)."""

    id: str
    utterance: Utterance
    approx_start_s: float | None = None
    approx_end_s: float | None = None


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
    voice: Sound, lines: Sequence[SungScriptedLine], pronounce: Pronounce, beats_s: Sequence[float] = ()
) -> dict[str, TimedLine]:
    """Return what ``align_song`` does, for a voice that has been read."""
    from timing.hearing.beat_prior import habit
    from timing.hearing.followed_words import tokens_of
    from timing.hearing.phone_costs import likeness
    from timing.hearing.song_search import Chain, fits_of

    lines = [line for line in lines if line.utterance.words]
    if not lines:
        return {}
    tokens = [tokens_of(line.utterance, pronounce) for line in lines]
    chain = Chain([[token.pronunciations for token in own] for own in tokens])
    costs = likeness(voice.samples)
    rooms = _rooms(lines, len(costs))
    laid = chain.lay(costs, rooms)
    if laid is None:
        # Anchors too close for the words, or out of order: as if nobody had said anything.
        rooms = [(0, len(costs))] * len(lines)
        laid = chain.lay(costs, rooms)
    if laid is None:
        return {}
    sung_at = habit(_onsets(laid), beats_s)
    if sung_at is not None:
        laid = chain.lay(costs, rooms, sung_at.bonus(_moments(len(costs)))) or laid
    fits = fits_of(laid, costs)
    found = {}
    for number, (line, own) in enumerate(zip(lines, tokens, strict=True)):
        words = slice(chain.first_word[number], chain.first_word[number + 1])
        timed = _timed(line.utterance, own, laid[words], fits[words])
        place = costs[max(0, laid[words][0].starts[0] - _AROUND) : laid[words][-1].end + _AROUND]
        is_clear = fmean(fits[words]) >= _BAD_FIT and _clearness(place, tokens, number) >= _CLEARLY
        found[line.id] = replace(timed, findings=_doubts(timed, line, is_clear))
    return found


def voice_of(path: str | os.PathLike[str]) -> Sound:
    """Return what is to be followed in a song: its middle at 16 kHz, or the whole of a mono file."""
    from timing.sound.centre import centre
    from timing.sound.decode import SPEECH_RATE_HZ, read_audio, read_stereo, resample

    stereo, facts = read_stereo(path)
    if facts.channels < 2:
        return read_audio(path)
    alike = (stereo[:, 0] == stereo[:, 1]).all()
    voice = stereo[:, 0] if alike else centre(stereo, facts.rate_hz)
    return replace(facts, samples=resample(voice, facts.rate_hz, SPEECH_RATE_HZ), rate_hz=SPEECH_RATE_HZ)


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


def _clearness(place: NDArray[np.int16], tokens: Sequence[Sequence[Token]], number: int) -> float:
    """Return how much more each step would cost with another line's words there; infinite without any."""
    from timing.hearing.song_search import Chain

    own = {token.text for token in tokens[number]}
    length = len(tokens[number])
    others = {tuple(t.text for t in line): line for line in tokens}
    unlike = [line for words, line in others.items() if len(own & set(words)) * 2 <= min(len(own), len(set(words)))]
    rivals = sorted(unlike, key=lambda line: abs(len(line) - length))[:_RIVALS]
    if not rivals:
        return inf

    def cost(line: Sequence[Token]) -> float:
        return Chain([[token.pronunciations for token in line]]).cost(place)

    return (min(cost(line) for line in rivals) - cost(tokens[number])) / len(place)


def _timed(utterance: Utterance, tokens: Sequence[Token], laid: Sequence[LaidWord], fits: Sequence[float]) -> TimedLine:
    from timing.hearing.aligner import timed_line
    from timing.hearing.differences import Reading, Verdict

    words = tuple(word.heard(index) for index, word in enumerate(laid))
    reading = Reading(words, tuple(fits), (Verdict.SAID,) * len(words))
    return timed_line(utterance, tokens, reading, Fraction(0))


def _doubts(timed: TimedLine, line: SungScriptedLine, is_clear: bool) -> tuple[Finding, ...]:
    away = 0.0 if line.approx_start_s is None else abs(float(timed.start) - line.approx_start_s)
    if is_clear and away <= _STRAY_S:
        return ()
    message = "this sung line could not be followed surely; listen to it, or give a vocal-only stem of the song"
    return (Finding(FindingCode.UNCLEAR, message, {"away_s": round(away, 2)}),)
