"""The words of a song on its voice, read in several ways: where each lies, and by how much the readings disagree.

In: a ``SongVoice``, the words of its lines with their pronunciations, rooms of lines, what is fixed, beats. Out: every
word on its steps, how well it fits, and for each line by how much other readings move it.

How: costs are the model's states in context and alone; a vowel is likelier to begin where the voice rises and, where
the vowels that were heard gather around the beats or parts of them, near a beat. An onset is where it is heard, never
moved onto a beat. The other readings: one of another signal (the middle of the mix with its band), two of other costs,
one without beats. Where they move a line and its words fit worse than the song's others do it is doubted; where they
fit as well, only if they move it far; where they fit far worse, in any case. Lines that come again are followed
together in the end (``song_repeats``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median
from typing import TYPE_CHECKING

from timing.hearing.recogniser import RATE_HZ, STEPS_PER_S, VOWEL_EARLIER, WINDOW_CENTRE, Phones, moment
from timing.model import is_vowel

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.hearing.song_search import Chain, Fixed, LaidWord
    from timing.hearing.song_voice import SongVoice

# How much states in context count. In mixes .5 to 1 do alike; in a voice alone held notes are followed better without:
# 94 instead of 90 % of the vowels of synthesised singing within a frame (real songs: the same to a point in a hundred).
_CONTEXT, _CONTEXT_ALONE = 0.7, 0.0
_REACH_S = 5.0  # by which another reading may move a line
_TOGETHER_S = 1.0  # by which lines move that are followed together with those of the same words
_MOST_MOVED_S = 1.0  # by a line that is lost altogether
# Means of what the other readings move a line by: one whose words fit worse than the song's median by _WORSE, any other
# one, and one that is lost altogether; and by how much worse words fit that are perhaps not the ones that are sung.
# Chosen on seven songs, lines near their bars and not: 24 of 26 lost lines were told, 23 of 506 good ones doubted (46
# with 0.2 s for all), and of 48 lines with the words of another one 35 were told (22). On seven other songs: 8 of 9, 16
# of 491, 40 of 48.
DOUBTED_S, DOUBTED_ANYWAY_S, LOST_S = 0.2, 0.4, 0.3
_WORSE, _FAR_WORSE = 2.0, 10.0
_FEW = 5  # lines, of which the median says little

Words = Sequence[Sequence[Phones]]  # of a line: each word's pronunciations
Rooms = Sequence[tuple[int, int]]  # of each line its first step, and the step after its last


@dataclass(frozen=True, slots=True)
class FollowedLine:
    """A line's words on their steps; ``fits``: beside any phones at all (mostly below 0); ``moved_s``: see above.

    ``worse_by``: than the median of the song's lines; None where these are few.
    """

    words: tuple[LaidWord, ...]
    fits: tuple[float, ...]
    moved_s: float
    worse_by: float | None

    @property
    def is_doubted(self) -> bool:
        is_worse = self.worse_by is None or self.worse_by > _WORSE
        return self.has_other_words or self.moved_s > (DOUBTED_S if is_worse else DOUBTED_ANYWAY_S)

    @property
    def has_other_words(self) -> bool:
        """True where its words fit so badly that others may be sung."""
        return self.worse_by is not None and self.worse_by > _FAR_WORSE


def steps_of(song: SongVoice) -> int:
    """Return how many steps a song has."""
    return -(-len(song.voice.samples) * STEPS_PER_S // RATE_HZ)


def follow_words(
    song: SongVoice,
    lines: Sequence[Words],
    rooms: Rooms | None = None,
    fixed: Sequence[Fixed] = (),
    beats_s: Sequence[float] = (),
) -> list[FollowedLine] | None:
    """Return every line followed; None where the words have no room, or what is fixed leaves no way.

    Each line has a word. Where ``rooms`` leave no way, the lines are followed as if nobody had said anything.
    """
    from timing.hearing.beat_prior import habit
    from timing.hearing.phone_costs import likeness, state_costs
    from timing.hearing.rising_voice import rises
    from timing.hearing.song_repeats import averaged, repeats_of
    from timing.hearing.song_search import Chain, fits_of
    from timing.hearing.sound_features import band_energies, cepstra_of, features_of, with_differences

    if not lines or not steps_of(song):
        return None
    is_alone = song.untouched is song.voice
    chain = Chain(lines, is_alone)
    energies = band_energies(song.voice.samples)
    bonus = rises(energies)
    share = _CONTEXT_ALONE if is_alone else _CONTEXT
    costs = state_costs(with_differences(cepstra_of(energies)), chain.contexts, share)
    first = chain.lay(costs, rooms, bonus, fixed)
    if first is None and rooms is not None:
        rooms = None
        first = chain.lay(costs, rooms, bonus, fixed)
    if first is None:
        return None
    # What is pinned says nothing about far away: the beats are learnt as if nothing were.
    free = chain.lay(costs, rooms, bonus) if fixed and beats_s else first
    best, sung_at = first, habit(_onsets(free or first), beats_s)
    if sung_at is not None:
        bonus = bonus + sung_at.bonus(_moments(len(costs)))
        best = chain.lay(costs, rooms, bonus, fixed) or first
    others = [costs.reading(_CONTEXT if is_alone else 0), costs.reading(1)]
    if not is_alone:
        others.append(likeness(features_of(song.untouched.samples)))
    near = _near(chain, best, len(costs), _REACH_S)
    readings = [reading for other in others if (reading := chain.lay(other, near, None, fixed))]
    moved = _moved(chain, best, [first, *readings])
    spans = list(pairwise(chain.first_word))
    places = [(best[a].starts[0], best[b - 1].end) for a, b in spans]
    words = [tuple(tuple(map(tuple, word)) for word in line) for line in lines]
    if again := repeats_of(words, places, [away <= DOUBTED_S for away in moved], energies):
        near = _near(chain, best, len(costs), _TOGETHER_S)
        best = chain.lay(averaged(costs, again), near, bonus, fixed) or best
    fits = fits_of(best, costs)
    worse = _worse_by([fits[a:b] for a, b in spans])
    return [
        FollowedLine(tuple(best[a:b]), tuple(fits[a:b]), away, by)
        for (a, b), away, by in zip(spans, moved, worse, strict=True)
    ]


def _worse_by(fits: Sequence[Sequence[float]]) -> list[float] | list[None]:
    """Return by how much each line's words fit worse than the median of all lines; None for each of a few."""
    means = [fmean(own) for own in fits]
    usual = median(means)
    return [usual - mean for mean in means] if len(means) >= _FEW else [None] * len(means)


def _near(chain: Chain, laid: Sequence[LaidWord], steps: int, reach_s: float) -> Rooms:
    """Return rooms around where lines were found."""
    reach = int(reach_s * STEPS_PER_S)
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


def _moments(steps: int) -> NDArray[np.float64]:
    """Return the seconds at which a vowel begins that begins with each step."""
    import numpy as np

    return np.arange(steps) / STEPS_PER_S + float(WINDOW_CENTRE - VOWEL_EARLIER)


def _onsets(laid: Sequence[LaidWord]) -> list[float]:
    steps = (step for word in laid for phone, step in zip(word.phones, word.starts, strict=True) if is_vowel(phone))
    return [float(moment(step) - VOWEL_EARLIER) for step in steps]
