"""How much each moment of a sound is like each phone of the recogniser's model, and like any phones at all.

In: features of a sound. Out: costs, a row for each 10 ms; of the plain phones, three columns each (beginning, middle,
end), and of phones between others. 0 is the most that any of the states asked for offers there; the unit is the
recogniser's, about 0.1 nat. Held vowels are nearer to the plain phones, quick syllables to those that the model keeps
for their neighbours; singing has both, so both count (``StateCosts``).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

from timing.hearing.acoustic_model import MODEL_PHONES, PLAIN_STATES, AcousticModel, acoustic_model

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

COLUMN = {phone: 3 * number for number, phone in enumerate(MODEL_PHONES)}
# The model learnt from readers; singing fits it worse everywhere, and a model that is less sure of itself errs less:
# words of eleven real songs within two frames 81 % with 1.5, 79 % with 1, 74 % with 2.5.
_BLUNTED = 1.5
COARSE = 2.0  # a fifth of a nat; anything dearer than 255 of these is as unlikely as they are
_NEXT_PHONE = 30.0  # so that phones in a free loop last about as long as in speech


@dataclass(frozen=True, eq=False)
class StateCosts:
    """Costs of plain states, (steps, PLAIN_STATES), and of chosen states in context, (steps, states chosen).

    Those in context are kept in steps of ``COARSE``, so that minutes of a song with many words fit. ``share`` is how
    much the context counts, 0 to 1.
    """

    plain: NDArray[np.float16]
    context: NDArray[np.uint8]
    share: float

    def __len__(self) -> int:
        return len(self.plain)

    def reading(self, share: float) -> StateCosts:
        """Return the same with another share."""
        return replace(self, share=share)

    def piece(self, first: int, last: int, pairs: NDArray[np.intp]) -> NDArray[np.float32]:
        """Return (steps, pairs) of the steps ``first`` .. ``last - 1``; ``pairs`` (2, n): a plain column, another."""
        import numpy as np

        plain = self.plain[first:last].astype(np.float32)[:, pairs[0]]
        if not self.share:
            return plain
        context = self.context[first:last][:, pairs[1]].astype(np.float32) * np.float32(COARSE)
        mixed: NDArray[np.float32] = plain * np.float32(1 - self.share) + context * np.float32(self.share)
        return mixed


def state_costs(features: NDArray[np.float32], states: NDArray[np.intp], share: float) -> StateCosts:
    """Return the costs of all plain states and of ``states``, each step counted from the cheapest of them all."""
    import numpy as np

    wanted = np.concatenate([np.arange(PLAIN_STATES), states])
    plain = np.empty((len(features), PLAIN_STATES), np.float16)
    context = np.empty((len(features), len(states)), np.uint8)
    for first in range(0, len(features), 1000):
        costs = singing_model().costs(features[first : first + 1000], wanted)
        costs -= costs.min(axis=1, keepdims=True)
        plain[first : first + 1000] = costs[:, :PLAIN_STATES]
        context[first : first + 1000] = np.minimum(np.round(costs[:, PLAIN_STATES:] / COARSE), 255)
    return StateCosts(plain, context, share)


def likeness(features: NDArray[np.float32]) -> StateCosts:
    """Return the costs of the plain states alone."""
    import numpy as np

    return state_costs(features, np.empty(0, np.intp), 0.0)


@cache
def singing_model() -> AcousticModel:
    """Return the model as songs are held against it."""
    return acoustic_model().blunted(_BLUNTED)


def anything(blocks: Iterable[NDArray[Any]]) -> NDArray[np.float32]:
    """Return what each step costs on the cheapest way through any plain phones; a right word comes near to that.

    ``blocks`` are the costs of the plain states, a row for each step, some steps at a time. All ways that are still
    open have come from one state not long ago: what lies before that is settled, and no longer kept.
    """
    import numpy as np

    begins = np.arange(PLAIN_STATES) % 3 == 0
    now = come = np.empty(0, np.float32)
    settled: list[NDArray[np.float32]] = []
    costs, moved, left = np.empty((0, PLAIN_STATES)), np.empty((0, PLAIN_STATES), bool), np.empty(0, np.intp)
    for block in blocks:
        first = len(costs)
        costs = np.concatenate([costs, block]) if first else block
        moved = np.concatenate([moved, np.zeros(block.shape, bool)])
        left = np.concatenate([left, np.zeros(len(block), np.intp)])
        for step in range(first, len(costs)):
            if not len(now):
                now, come = costs[0].astype(np.float32), np.empty(PLAIN_STATES, np.float32)
                continue
            come[1:] = now[:-1]
            left[step] = 2 + 3 * int(now[2::3].argmin())
            come[begins] = now[left[step]] + _NEXT_PHONE
            moved[step] = come < now
            now = np.minimum(come, now) + costs[step]
            now -= now.min()  # only differences count, and single precision keeps few digits
        step, state = _where_all_ways_meet(moved, left)
        settled.append(_way_back(costs[: step + 1], moved, left, state))
        costs, moved, left = costs[step + 1 :], moved[step + 1 :], left[step + 1 :]
    if len(costs):
        settled.append(_way_back(costs, moved, left, int(now.argmin())))
    return np.concatenate(settled) if settled else np.empty(0, np.float32)


def _where_all_ways_meet(moved: NDArray[np.bool_], left: NDArray[np.intp]) -> tuple[int, int]:
    """Return (step, state): the last step at which all ways that end at the last one are in one state; (-1, 0)."""
    import numpy as np

    states = np.arange(PLAIN_STATES)
    for step in range(len(moved) - 1, -1, -1):
        if len(states) == 1:
            return step, int(states[0])
        states = np.unique(np.where(moved[step, states], np.where(states % 3 == 0, left[step], states - 1), states))
    return -1, 0


def _way_back(costs: NDArray[Any], moved: NDArray[np.bool_], left: NDArray[np.intp], state: int) -> NDArray[np.float32]:
    """Return the cost of each step on the way that ends in ``state`` at the last step of ``costs``."""
    import numpy as np

    found = np.empty(len(costs), np.float32)
    for step in range(len(costs) - 1, -1, -1):
        found[step] = costs[step, state]
        if moved[step, state]:
            state = int(left[step]) if state % 3 == 0 else state - 1
    return found
