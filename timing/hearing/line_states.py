"""All words of all lines as one row of states, walked step by step through a sound.

In: each line's words with their pronunciations; what each state costs at each step. Out, after every step: for every
word the cheapest way from the beginning of its line to the end of that word, wherever in the sound that line began,
and where it began. So one pass through a sound tells of every line and every beginning of a line how well it fits
anywhere. Nothing is pruned.

A word's pronunciations lie side by side; after each word a pause may come; one word may be passed over.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from timing.hearing.acoustic_model import (
    ALONE,
    BEGINS,
    ENDS,
    INSIDE,
    MODEL_PHONES,
    STATES,
    acoustic_model,
)
from timing.hearing.recogniser import Phones

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.intp]
    Costs = NDArray[np.float32]

NEVER = 1e9
_SILENCE = "SIL"
_QUIET_STATE = STATES * MODEL_PHONES.index(_SILENCE) + 1
# In the model's unit (about 0.1 nat); chosen on the benchmark's first half.
_SKIP = 250.0  # a word passed over
_PAUSE = 10.0  # a pause between two words
_PAUSE_GOES_ON = 0.3  # each step of it
_LONG_PAUSE = 40.0  # one so long that part of the silence was cut out


class LineStates:
    """States of the words of ``lines``; word numbers run through all lines.

    ``lines[l][w]`` holds the pronunciations of word ``w`` of line ``l``. ``first[l]`` is the number of line ``l``'s
    first word and ``counts[l]`` how many it has; ``plain`` and ``context`` are each state's columns in the model;
    ``sounds`` says how many sounds each word has.
    """

    def __init__(self, lines: Sequence[Sequence[Sequence[Phones]]]):
        import numpy as np

        plain: list[int] = []
        context: list[int] = []
        entries: list[list[int]] = []
        exits: list[list[int]] = []
        sounds: list[int] = []
        pauses: list[int] = []
        for words in lines:
            for w, pronunciations in enumerate(words):
                before = words[w - 1][0][-1] if w else _SILENCE
                after = words[w + 1][0][0] if w + 1 < len(words) else _SILENCE
                entries.append([])
                exits.append([])
                sounds.append(len(pronunciations[0]))
                for phones in pronunciations:
                    entries[-1].append(len(plain))
                    for states in _states_of(phones, before, after):
                        plain += states[0]
                        context += states[1]
                    exits[-1].append(len(plain) - 1)
                pauses.append(len(plain))
                plain.append(_QUIET_STATE)
                context.append(_QUIET_STATE)
        self.counts = np.array([len(words) for words in lines])
        self.first = np.concatenate([[0], np.cumsum(self.counts)[:-1]]).astype(np.intp)
        self.plain, self.context = np.array(plain, np.intp), np.array(context, np.intp)
        self.pauses = np.array(pauses, np.intp)
        self.sounds = np.array(sounds)
        most = max(len(row) for row in exits)
        self.exits = np.array([row + row[:1] * (most - len(row)) for row in exits], np.intp)
        self.entries = np.array([state for row in entries for state in row], np.intp)
        self.entered = np.array([word for word, row in enumerate(entries) for _ in row], np.intp)
        self.is_first = np.zeros(len(exits), bool)
        self.is_first[self.first] = True
        self.is_second = np.zeros(len(exits), bool)
        self.is_second[self.first[self.counts > 1] + 1] = True

    @property
    def words(self) -> int:
        return len(self.exits)


def _states_of(phones: Phones, before: str, after: str) -> list[tuple[list[int], list[int]]]:
    """Return for each phone of a word its three plain states and its three states in context."""
    model = acoustic_model()
    found = []
    for i, phone in enumerate(phones):
        left = phones[i - 1] if i else before
        right = phones[i + 1] if i + 1 < len(phones) else after
        place = ALONE if len(phones) == 1 else BEGINS if not i else ENDS if i + 1 == len(phones) else INSIDE
        number = STATES * MODEL_PHONES.index(phone)
        found.append((list(range(number, number + STATES)), [int(s) for s in model.states(phone, left, right, place)]))
    return found


class Walk:
    """A walk through a sound, one step after another.

    ``ends`` has for each word the least cost of a way that ends with it at the last step, ``begun`` the step at which
    that way began its line.
    """

    def __init__(self, states: LineStates):
        import numpy as np

        self._states = states
        count = len(states.plain)
        self.now = np.full(count, NEVER, np.float32)
        self._start = np.zeros(count, np.int32)
        self.ends = np.full(states.words, NEVER, np.float32)
        self.begun = np.zeros(states.words, np.int32)
        self._after, self._after_begun = self.ends.copy(), self.begun.copy()  # with or without a pause after it
        self._come, self._come_start = np.empty(count, np.float32), np.empty(count, np.int32)
        self._each = np.arange(states.words)

    def step(self, costs: Costs, number: int, is_jump: bool = False) -> None:
        """Go on by one step; ``costs`` are those of each state, ``is_jump``: silence was cut out before it."""
        import numpy as np

        states, come, begun = self._states, self._come, self._come_start
        if is_jump:
            self.now += np.float32(_LONG_PAUSE)
            self._after += np.float32(_LONG_PAUSE)
        enter, enter_begun = self._enter(number)
        come[1:], begun[1:] = self.now[:-1], self._start[:-1]
        come[states.entries], begun[states.entries] = enter[states.entered], enter_begun[states.entered]
        come[states.pauses], begun[states.pauses] = self.ends + np.float32(_PAUSE), self.begun
        moved = come < self.now
        np.minimum(self.now, come, out=self.now)
        self._start = np.where(moved, begun, self._start)
        self.now += costs
        last = self.now[states.exits]
        best = last.argmin(axis=1)
        self.ends, self.begun = last[self._each, best], self._start[states.exits[self._each, best]]
        rest = self.now[states.pauses]
        paused = rest < self.ends
        self._after = np.where(paused, rest, self.ends)
        self._after_begun = np.where(paused, self._start[states.pauses], self.begun)

    def _enter(self, number: int) -> tuple[Costs, NDArray[np.int32]]:
        """Return for each word the cheapest way up to its beginning, and where that began."""
        import numpy as np

        states = self._states
        enter, begun = _moved(self._after, 1), _moved(self._after_begun, 1)
        enter[states.is_first], begun[states.is_first] = 0, number
        over, over_begun = _moved(self._after, 2) + np.float32(_SKIP), _moved(self._after_begun, 2)
        over[states.is_first] = NEVER
        over[states.is_second], over_begun[states.is_second] = _SKIP, number
        is_over = over < enter
        return np.where(is_over, over, enter), np.where(is_over, over_begun, begun)


def _moved(values: NDArray[Any], by: int) -> NDArray[Any]:
    """Return ``values``, each ``by`` places later; what comes first belongs to no word before it and is not used."""
    import numpy as np

    out = np.empty_like(values)
    out[:by], out[by:] = values[0], values[:-by]
    return out
