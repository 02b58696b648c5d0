"""Everywhere in a sound where a line, or the beginning of one, fits better than anything else would.

In: a sound, the stretches that hold sound, each line's words. Out: candidates, several a line, each with the evidence
for it: how much less its way costs than speech that nobody wrote.

Such speech costs, at each step that sounds, what free phones do and an allowance more: a right line cannot fit as well
as sounds that owe nothing to any word, in noise, in a room and in another language least of all. Silence that is far
from any sound is cut out first; a mean over the sounding steps and a few silent ones is taken away, so that a memo with
long pauses is heard like one without.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from timing.hearing.acoustic_model import PLAIN_STATES, acoustic_model
from timing.hearing.line_states import LineStates, Walk
from timing.hearing.missing_bands import filled
from timing.hearing.phone_costs import anything
from timing.hearing.recogniser import STEPS_PER_S
from timing.hearing.sound_features import band_energies, cepstra_of, edges_hz, with_differences
from timing.hearing.voice_size import voice_size
from timing.model.clock import Seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Chosen on the first half of ``tests/bench/bench_memo.py``.
_PLAIN_SHARE = 0.3  # of a state's cost comes from the plain phone, the rest from the phone in its context
_MOST = 60.0  # a step that does not fit at all costs so much: one word said differently must not undo its line
_QUIET_SHARE = 0.25  # of what the mean is taken over
_KEPT_QUIET_STEPS = 25  # beside every sound
_STEPS_AT_ONCE, _FREE_AT_ONCE = 500, 1000
_MOST_KEPT = 12_000_000  # scores kept from one look to the next: 48 MB, two to three minutes and a whole script
_PLACES, _BROKEN_PLACES = 10, 3  # candidates of a line, and of each of its beginnings
_BROKEN_FROM, _BROKEN_TO, _MOST_BROKEN = 0.25, 0.8, 5  # which beginnings: shares of its words; how many of them
_SAME = 0.3  # candidates of a line that share more than this of the shorter one are one place
_STILL = 100.0  # a whole line that fits so much worse than unscripted speech may still be meant, alone between pauses
_INSIDE = 300.0  # and an edge of it inside a stretch of sound counts as much against it (see ``memo_path``)
_AT_EDGE = 25  # steps: what begins or ends so near to an edge of a stretch does so at a pause


@dataclass(frozen=True, slots=True)
class Candidate:
    """The first ``words`` words of ``line``, all of them where ``is_whole``, between two steps of 10 ms.

    ``evidence`` is how much better that fits than unscripted speech, in units of about 0.1 nat; ``after_pause`` and
    ``before_pause`` say whether a pause is beside it, ``sounds`` of how many sounds its words are (0: nobody knows);
    ``lasts`` is how many steps it is long with the sound beside it up to the pause.
    """

    line: int
    words: int
    is_whole: bool
    start: int
    end: int
    evidence: float
    after_pause: bool = True
    before_pause: bool = True
    sounds: int = 0
    lasts: int = 0


class Prepared:
    """A sound made ready to be searched: features of what is near to sound, and what free phones cost there.

    ``is_narrow``: it holds only a telephone's band.
    """

    def __init__(self, samples: NDArray[np.int16], regions: Sequence[tuple[Seconds, Seconds]], is_narrow: bool = False):
        import numpy as np

        size = voice_size(samples, regions)
        energies = band_energies(samples, size)
        if is_narrow:
            energies = filled(energies, edges_hz(size)[1:-1])
        self._starts, self._ends = ([int(region[k] * STEPS_PER_S) for region in regions] for k in (0, 1))
        sounding = sounding_steps(len(energies), regions)
        self.kept = np.flatnonzero(_near(sounding, _KEPT_QUIET_STEPS))
        """The steps of the sound that are searched, in order."""
        self.sounding = sounding[self.kept]
        self.begins, self.ends = (
            _near(_marks(len(sounding), [region[k] for region in regions]), _AT_EDGE)[self.kept] for k in (0, 1)
        )
        self.jumps = np.diff(self.kept, prepend=self.kept[:1]) > 1
        self.features = with_differences(_levelled(energies[self.kept], self.sounding))
        model = acoustic_model()
        parts = (self.features[k : k + _FREE_AT_ONCE] for k in range(0, len(self.features), _FREE_AT_ONCE))
        self._scores: dict[tuple[int, bytes], NDArray[np.float32]] = {}
        self.free = anything(model.costs(part, range(PLAIN_STATES)) for part in parts)

    def scores(self, part: slice, states: NDArray[np.intp]) -> NDArray[np.float32]:
        """Return (steps, states): what ``states`` cost in a part of the steps; kept for the next look, if not large."""
        key = (part.start, states.tobytes())
        if key in self._scores:
            return self._scores[key]
        found = acoustic_model().costs(self.features[part], states)
        if len(self.features) * len(states) <= _MOST_KEPT:
            self._scores[key] = found
        return found

    def to_the_pauses(self, start: int, end: int) -> int:
        """Return how long a stretch is, out to the pauses that are near, in steps of the whole sound."""
        before, after = bisect_right(self._starts, start), bisect_left(self._ends, end)
        if before and start - self._starts[before - 1] <= _AT_EDGE:
            start = self._starts[before - 1]
        if after < len(self._ends) and self._ends[after] - end <= _AT_EDGE:
            end = self._ends[after]
        return end - start

    def sounding_between(self, start: int, end: int) -> int:
        """Return how many steps sound from ``start`` to ``end``, steps of the whole sound."""
        import numpy as np

        low, high = np.searchsorted(self.kept, (start, end))
        return int(self.sounding[low:high].sum())


def candidates(sound: Prepared, states: LineStates, allowance: float) -> list[Candidate]:
    """Return the candidates of every line in the order of their ends.

    ``allowance``: how much worse than free phones, at each sounding step, a line may fit and still tell for itself.
    """
    found = []
    for (line, words), ends, costs, begun in _walked(sound, states, allowance):
        is_whole = bool(words == states.counts[line])
        sounds = int(states.sounds[states.first[line] : states.first[line] + words].sum())
        for start, end, cost in _places(ends, costs, begun, sound, is_whole):
            steps = int(sound.kept[start]), int(sound.kept[end]) + 1
            edges = bool(sound.begins[start]), bool(sound.ends[end])
            length = sound.to_the_pauses(*steps)
            found.append(Candidate(line, words, is_whole, *steps, -cost, *edges, sounds, length))
    return sorted(found, key=lambda c: (c.end, c.start, c.line, c.words))


def sounding_steps(count: int, regions: Sequence[tuple[Seconds, Seconds]]) -> NDArray[np.bool_]:
    """Return for each of ``count`` steps whether it lies in one of the stretches that hold sound."""
    import numpy as np

    found = np.zeros(count, bool)
    for start, end in regions:
        found[int(start * STEPS_PER_S) : int(end * STEPS_PER_S) + 1] = True
    return found


def _marks(count: int, moments: Sequence[Seconds]) -> NDArray[np.bool_]:
    import numpy as np

    found = np.zeros(count, bool)
    found[[min(count - 1, int(moment * STEPS_PER_S)) for moment in moments]] = True
    return found


def _near(flags: NDArray[np.bool_], steps: int) -> NDArray[np.bool_]:
    import numpy as np

    return np.convolve(flags, np.ones(2 * steps + 1))[steps : steps + len(flags)] > 0.5


def _levelled(energies: NDArray[np.float32], sounding: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Return cepstra less their mean, in which silence counts for a quarter at most."""
    import numpy as np

    cepstra = cepstra_of(energies)
    loud, quiet = int(sounding.sum()), int((~sounding).sum())
    weight = min(1.0, _QUIET_SHARE / (1 - _QUIET_SHARE) * loud / max(1, quiet))
    weights = np.where(sounding, 1.0, weight)
    mean = (cepstra * weights[:, None]).sum(axis=0) / weights.sum()
    found: NDArray[np.float32] = cepstra - mean.astype(np.float32)
    return found


def _walked(
    sound: Prepared, states: LineStates, allowance: float
) -> Iterator[tuple[tuple[int, int], NDArray[np.intp], NDArray[np.float32], NDArray[np.int32]]]:
    """Yield for everything that is followed, (line, words), the steps at which it fits better than just before and
    no worse than just after, what it costs there (less than unscripted speech, a whole line little more), and where it
    began."""
    import numpy as np

    tracked = [(line, words) for line in range(len(states.counts)) for words in _ends(int(states.counts[line]))]
    numbers = np.array([states.first[line] + words - 1 for line, words in tracked])
    count = len(sound.kept)
    is_whole = np.array([words == states.counts[line] for line, words in tracked])
    lows = _Lows(np.where(is_whole, np.float32(_STILL), np.float32(0)))
    pairs, column = np.unique(np.stack([states.plain, states.context]), axis=1, return_inverse=True)
    column = column.ravel()
    used, where = np.unique(pairs, return_inverse=True)
    plain, context = where.reshape(pairs.shape)
    walk = Walk(states)
    for first in range(0, count, _STEPS_AT_ONCE):
        part = slice(first, first + _STEPS_AT_ONCE)
        scores = sound.scores(part, used)
        free = sound.free[part] + np.float32(allowance) * sound.sounding[part]
        table = _PLAIN_SHARE * scores[:, plain] + (1 - _PLAIN_SHARE) * scores[:, context] - free[:, None]
        table = np.minimum(table, _MOST).astype(np.float32)
        costs, begun = np.empty((len(table), len(tracked)), np.float32), np.empty((len(table), len(tracked)), np.int32)
        for k, row in enumerate(table):
            walk.step(row[column], first + k, bool(sound.jumps[first + k]))
            costs[k], begun[k] = walk.ends[numbers], walk.begun[numbers]
        lows.see(costs, begun)
    steps, cheapest, beginnings = lows.all()
    yield from zip(tracked, steps, cheapest, beginnings, strict=True)


class _Lows:
    """The steps at which each column is at its lowest, collected while the steps go by; the rest is not kept.

    ``below`` is what each column's costs must stay below.
    """

    def __init__(self, below: NDArray[np.float32]):
        import numpy as np

        columns, self._below = len(below), below
        self._seen = 0
        self._costs = np.full((1, columns), np.inf, np.float32)  # of the last steps: what follows them is not known
        self._begun = np.zeros((1, columns), np.int32)
        self._found: list[tuple[NDArray[Any], ...]] = []

    def see(self, costs: NDArray[np.float32], begun: NDArray[np.int32]) -> None:
        import numpy as np

        around = np.concatenate([self._costs, costs])
        begins = np.concatenate([self._begun, begun])
        inner = around[1:-1]
        steps, columns = np.nonzero((inner < around[:-2]) & (inner <= around[2:]) & (inner < self._below))
        zero = self._seen - len(self._costs) + 1
        self._found.append((columns, steps + zero, inner[steps, columns], begins[steps + 1, columns]))
        self._costs, self._begun, self._seen = around[-2:], begins[-2:], self._seen + len(costs)

    def all(self) -> tuple[list[NDArray[np.intp]], list[NDArray[np.float32]], list[NDArray[np.int32]]]:
        """Return the steps, the costs and the beginnings, a list with an array for each column."""
        import numpy as np

        self.see(np.full((1, self._costs.shape[1]), np.inf, np.float32), self._begun[-1:])
        columns, *rest = (np.concatenate(parts) for parts in zip(*self._found, strict=True))
        order = np.argsort(columns, kind="stable")
        edges = np.searchsorted(columns[order], np.arange(1, self._costs.shape[1]))
        steps, costs, begun = (np.split(values[order], edges) for values in rest)
        return steps, costs, begun


def _ends(count: int) -> list[int]:
    """Return after how many words of a line candidates are looked for: some of its beginnings, and all of it.

    >>> _ends(1), _ends(4), _ends(12)
    ([1], [2, 3, 4], [3, 5, 7, 8, 10, 12])
    """
    low, high = max(2, round(_BROKEN_FROM * count)), min(count - 1, round(_BROKEN_TO * count))
    steps = max(1, min(_MOST_BROKEN, high - low + 1) - 1)
    some = [low + round((high - low) * k / steps) for k in range(steps + 1)] if high >= low else []
    return sorted({*some, count})


def _places(
    steps: NDArray[np.intp], costs: NDArray[np.float32], begun: NDArray[np.int32], sound: Prepared, is_whole: bool
) -> list[tuple[int, int, float]]:
    """Return (first step, last step, cost) of the cheapest ways that do not lie on one another."""
    import numpy as np

    inside = (~sound.begins[begun]).astype(int) + (~sound.ends[steps] if is_whole else 0)
    found: list[tuple[int, int, float]] = []
    for low in np.argsort(costs + _INSIDE * inside, kind="stable"):
        start, end = int(begun[low]), int(steps[low])
        if all(min(end, b) - max(start, a) <= _SAME * min(end - start, b - a) for a, b, _ in found):
            found.append((start, end, float(costs[low])))
            if len(found) == (_PLACES if is_whole else _BROKEN_PLACES):
                break
    return found
