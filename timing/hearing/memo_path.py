"""Which candidates of a memo are what was read: the likeliest way through all of them at once.

In: candidates (a line, where, how good the evidence is), in the order of their ends. Out: those on the likeliest way,
and for every candidate how likely it lies on the true one.

What is known before anyone listens: a line is mostly followed by the next one; sometimes it is read again, or one or a
few are left out; more rarely the reader goes anywhere else; a line that is broken off is begun again. What the sound
says is each candidate's evidence. Both are added up over the whole memo (a sum over all ways, forwards and backwards).
"""

from __future__ import annotations

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
# Neighbouring steps tell nearly the same: evidence counts so much, in nats for a unit (chosen with the calibration).
_WEIGHT = 0.03
_LINE, _BROKEN = 2.0, 6.0  # nats that a reading must be better than unscripted speech
_OVERLAP = 4  # steps that two readings may share


def likeliest(found: Sequence[Candidate], lines: int) -> tuple[list[int], NDArray[np.float64]]:
    """Return (indices of the candidates on the likeliest way, each candidate's probability)."""
    import numpy as np

    if not found:
        return [], np.zeros(0)
    gain = np.array([_WEIGHT * c.evidence - (_LINE if c.is_whole else _BROKEN) for c in found])
    follows = _Follows(found, lines)
    begins = np.log([_FIRST if c.line == 0 else _FIRST_ANYWHERE / lines for c in found])
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
        backward[i] = np.logaddexp.reduce(np.append(follows.out_of(i) + gain[i + 1 :] + backward[i + 1 :], 0.0))
    total = np.logaddexp.reduce(np.append(forward, 0.0))
    path, at = [], int(best.argmax()) if best.max() > 0 else -1
    while at >= 0:
        path.append(at)
        at = int(came[at])
    return path[::-1], np.minimum(np.exp(forward + backward - total), 1.0)


class _Follows:
    """The logarithm of how likely each candidate follows each other one; -inf where it cannot.

    A row or a column at a time: a long script has thousands of candidates, and thousands of them squared do not fit.
    """

    def __init__(self, found: Sequence[Candidate], lines: int):
        import numpy as np

        self._line, self._start, self._end = (
            np.array([getattr(c, name) for c in found]) for name in ("line", "start", "end")
        )
        self._is_whole = np.array([c.is_whole for c in found])
        self._lines = lines

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
        found: NDArray[np.float64] = np.where(can, np.log(np.where(self._is_whole[first], after, broken)), -np.inf)
        return found
