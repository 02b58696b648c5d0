"""Which candidates of a memo are what was read: the likeliest way through all of them at once.

In: candidates (a line, where, how good the evidence is), in the order of their ends. Out: those on the likeliest way,
and for every candidate how likely it lies on the true one.

What is known before anyone listens: a line is mostly followed by the next one; sometimes it is read again, or one or a
few are left out; more rarely the reader goes anywhere else; a line that is broken off is begun again. A line is read
between pauses, or right beside another one ("again" inside a sentence that nobody wrote is not the line "Again?"), and
about as fast as the others. Sound
that is no line is rarer than a line. What the sound says is each candidate's evidence. All that is added up over the
whole memo (a sum over all ways, forwards and backwards).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from timing.hearing.line_candidates import Candidate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Probabilities of what follows a line (our own estimate of how people read); the rest is shared by all lines.
_NEXT, _AGAIN, _LEFT_OUT = 0.75, 0.08, (0.03, 0.015, 0.0075)  # of one line, two, three
_ANYWHERE = 0.06
_AFTER_BROKEN, _ELSEWHERE_AFTER_BROKEN = 0.9, 0.05
_FIRST, _FIRST_ANYWHERE = 0.7, 0.3
# Neighbouring steps tell nearly the same: evidence counts so much, in nats for a unit. Fitted on eleven memos of the
# benchmark's first half: 252 lines are over 90 % sure, 99 of 100 of them right (with 0.03: 249, 98; 0.05: 241, 96).
# Between 0.01 and 0.013, and for the costs below between half and twice of each, the same lines are found.
_WEIGHT = 0.01
_LINE, _BROKEN = 2.0, 6.0  # nats that a reading must be better than unscripted speech
_OVERLAP = 4  # steps that two readings may share
_INSIDE = 3.0  # nats against an edge inside a stretch of sound with no other reading beside it
_BESIDE = 35  # steps
_UNSCRIPTED, _MOST_UNSCRIPTED = 1.5, 3  # nats against each stretch between two readings that is neither; how many count

PACE = 9.0  # steps a sound, and two sounds more a line, before the memo has told its own (synthesised voices: 7 to 11)
_MORE = 2
_ENOUGH, _TELLING = 5, 10  # readings; sounds of one
_USUAL, _SPREAD, _MOST_UNUSUAL = 0.5, 0.15, 6.0  # logarithm of a length against the pace; nats at most


def likeliest(
    found: Sequence[Candidate], lines: int, stretches: Sequence[tuple[int, int]] = (), pace: float = PACE
) -> tuple[list[int], NDArray[np.float64]]:
    """Return (indices of the candidates on the likeliest way, each candidate's probability).

    ``stretches`` are those that hold sound, in steps of 10 ms; ``pace`` is how many steps a sound lasts.
    """
    import numpy as np

    if not found:
        return [], np.zeros(0)
    gain = np.array([_WEIGHT * c.evidence - (_LINE if c.is_whole else _BROKEN) - _unusual(c, pace) for c in found])
    follows = _Follows(found, lines, stretches)
    begins = np.log([_FIRST if c.line == 0 else _FIRST_ANYWHERE / lines for c in found])
    begins -= _INSIDE * ~_flags(found, "after_pause") + _unscripted(follows.before_start)
    ends = -_INSIDE * ~_flags(found, "before_pause") - _unscripted(len(stretches) - follows.before_end)
    nothing = -float(_unscripted(np.array(len(stretches))))
    best, came = np.empty(len(found)), np.full(len(found), -1)
    forward, backward = np.empty(len(found)), np.zeros(len(found))
    for j in range(len(found)):
        into = follows.into(j)
        ways = best[:j] + into
        best[j] = begins[j] + gain[j]
        if j and ways.max() > begins[j]:
            came[j] = int(ways.argmax())
            best[j] = ways[came[j]] + gain[j]
        forward[j] = np.logaddexp.reduce(np.append(forward[:j] + into, begins[j])) + gain[j]
    for i in range(len(found) - 1, -1, -1):
        after = follows.out_of(i) + gain[i + 1 :] + backward[i + 1 :]
        backward[i] = np.logaddexp.reduce(np.append(after, ends[i]))
    total = np.logaddexp.reduce(np.append(forward + ends, nothing))
    whole = best + ends
    path, at = [], int(whole.argmax()) if whole.max() > nothing else -1
    while at >= 0:
        path.append(at)
        at = int(came[at])
    return path[::-1], np.minimum(np.exp(forward + backward - total), 1.0)


def pace_of(readings: Sequence[Candidate]) -> float:
    """Return how many steps a sound lasts in the middle of some readings, PACE where there are too few."""
    paces = sorted((r.end - r.start) / (r.sounds + _MORE) for r in readings if r.sounds >= _TELLING)
    return paces[len(paces) // 2] if len(paces) >= _ENOUGH else PACE


def _unusual(candidate: Candidate, pace: float) -> float:
    """Return what speaks against a reading far shorter or longer than its words ask for, in nats."""
    if not candidate.sounds:
        return 0.0
    usual = pace * (candidate.sounds + _MORE)
    lasts = candidate.lasts or candidate.end - candidate.start
    off = max(0.0, abs(math.log(max(1, lasts) / usual)) - _USUAL)
    return min(_MOST_UNUSUAL, (off / _SPREAD) ** 2 / 2)


def _flags(found: Sequence[Candidate], name: str) -> NDArray[np.bool_]:
    import numpy as np

    return np.array([getattr(c, name) for c in found], bool)


def _unscripted(count: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return what so many stretches that are no line cost."""
    import numpy as np

    return np.asarray(_UNSCRIPTED * np.clip(count, 0, _MOST_UNSCRIPTED), np.float64)


class _Follows:
    """The logarithm of how likely each candidate follows each other one; -inf where it cannot.

    A row or a column at a time: a long script has thousands of candidates, and thousands of them squared do not fit.
    """

    def __init__(self, found: Sequence[Candidate], lines: int, stretches: Sequence[tuple[int, int]]):
        import numpy as np

        self._line, self._start, self._end = (
            np.array([getattr(c, name) for c in found]) for name in ("line", "start", "end")
        )
        self._is_whole = np.array([c.is_whole for c in found])
        self._lines = lines
        self._runs_on = ~_flags(found, "before_pause") & self._is_whole
        self._comes_on = ~_flags(found, "after_pause")
        middles = np.array(sorted((start + end) / 2 for start, end in stretches))
        self.before_start, self.before_end = (np.searchsorted(middles, m) for m in (self._start, self._end))
        """How many stretches of sound lie before each candidate begins, and before it ends."""

    def into(self, j: int) -> NDArray[np.float64]:
        """Return it for the candidates before ``j``, each followed by ``j``."""
        return self._between(slice(0, j), slice(j, j + 1))

    def out_of(self, i: int) -> NDArray[np.float64]:
        """Return it for ``i`` followed by each of the candidates after it."""
        return self._between(slice(i, i + 1), slice(i + 1, None))

    def _between(self, first: slice, then: slice) -> NDArray[np.float64]:
        import numpy as np

        ahead = self._line[then] - self._line[first]
        after = np.full(ahead.shape, _ANYWHERE / self._lines)
        after[ahead == 1] = _NEXT
        after[ahead == 0] = _AGAIN
        for left_out, chance in enumerate(_LEFT_OUT, 1):
            after[ahead == 1 + left_out] = chance
        broken = np.where(ahead == 0, _AFTER_BROKEN, _ELSEWHERE_AFTER_BROKEN / self._lines)
        can = (self._start[then] >= self._end[first] - _OVERLAP) & (self._end[then] > self._end[first])
        alone = self._start[then] - self._end[first] > _BESIDE
        inside = self._runs_on[first].astype(int) + self._comes_on[then]
        cost = _INSIDE * inside * alone + _unscripted(self.before_start[then] - self.before_end[first])
        likely = np.log(np.where(self._is_whole[first], after, broken)) - cost
        found: NDArray[np.float64] = np.where(can, likely, -np.inf)
        return found
