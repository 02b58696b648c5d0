"""Sung lines laid along a song: for each word which pronunciation, for each phone when it begins.

In: the costs of every phone at every step (``likeness``), the lines' words with their pronunciations, the room of
each line. Out: the cheapest way to sing all the lines in order, each within its room.

One search over everything at once (L. R. Rabiner, "A tutorial on hidden Markov models", Proc. IEEE 77, 1989: Viterbi),
so no line has to explain the words of its neighbours. What is known of singing goes in as costs: notes are held on
vowels, not on consonants; a line is sung in one breath, or nearly; a vowel lasts a while. A bonus may be given for a
vowel to begin at a step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from timing.hearing.phone_costs import COLUMN, anything
from timing.hearing.recogniser import HeardWord, Phones, phones_from
from timing.model import is_vowel

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Chosen on synthesised singing, two voices (the benchmark's first set); in the unit of the costs, for each step. The
# shortest vowel is short for the quick notes of a real song: up to 15 steps do as well for held ones.
CONSONANT_STAY = 20.0
PAUSE_STAY = 40.0  # inside a line; free between lines
SHORTEST_VOWEL, SHORTEST_CONSONANT = 8, 3  # steps
_PAUSE = 3  # states of a pause
_NEVER = 1e9


@dataclass(frozen=True, slots=True)
class LaidWord:
    """A word on its steps: its phones, the step each begins at, the step after the last."""

    phones: Phones
    starts: tuple[int, ...]
    end: int

    def heard(self, index: int) -> HeardWord:
        """Return the word in seconds, as the ``index``-th of a vocabulary."""
        phones = phones_from(self.phones, self.starts, self.end)
        return HeardWord(index, phones[0].start, phones[-1].end, 0.0, phones)


# Of one step: the first word it concerns, which pronunciation ended cheapest, whether a word is entered from its pause.
_Exits = tuple[int, "NDArray[np.int8]", "NDArray[np.bool_]"]


class Chain:
    """The states of some lines' words, in order: before each word a pause, then its pronunciations side by side."""

    def __init__(self, lines: Sequence[Sequence[Sequence[Phones]]]):
        import numpy as np

        columns: list[int] = []
        stay: list[float] = []
        onset: list[bool] = []
        self._phones: list[list[tuple[Phones, list[int]]]] = []  # of each word: pronunciations, phones' first states
        pauses: list[int] = []
        self.first_word = [0]

        def pause(cost: float) -> None:
            pauses.append(len(columns))
            columns.extend(COLUMN["SIL"] + k for k in range(_PAUSE))
            stay.extend([cost] * _PAUSE)
            onset.extend([False] * _PAUSE)

        for line in lines:
            for number, pronunciations in enumerate(line):
                pause(PAUSE_STAY if number else 0.0)
                variants = []
                for phones in pronunciations:
                    firsts = []
                    for phone in phones:
                        firsts.append(len(columns))
                        count = SHORTEST_VOWEL if is_vowel(phone) else SHORTEST_CONSONANT
                        column = COLUMN[phone]
                        columns += [column, *[column + 1] * (count - 2), column + 2]
                        stay += [0.0 if is_vowel(phone) else CONSONANT_STAY] * count
                        onset += [is_vowel(phone)] + [False] * (count - 1)
                    variants.append((tuple(phones), firsts))
                self._phones.append(variants)
            self.first_word.append(len(self._phones))
        pause(0.0)
        self._states = len(columns)
        self._columns, self._stay = np.array(columns), np.array(stay, np.float32)
        self._onset = np.array(onset, np.float32)
        self._pause = np.array(pauses)
        most = max(len(variants) for variants in self._phones)
        # State indices by word and pronunciation; those that a word has not point behind the last state.
        self._first = np.full((len(self._phones), most), self._states)
        self._last = np.full((len(self._phones), most), self._states)
        for word, variants in enumerate(self._phones):
            ends = [*(firsts[0] for _, firsts in variants[1:]), pauses[word + 1]]
            for variant, ((_, firsts), end) in enumerate(zip(variants, ends, strict=True)):
                self._first[word, variant], self._last[word, variant] = firsts[0], end - 1

    def lay(
        self, costs: NDArray[np.int16], rooms: Sequence[tuple[int, int]], bonus: NDArray[np.float32] | None = None
    ) -> list[LaidWord] | None:
        """Return every word on its steps; None where the rooms (first step, step after the last) leave no way.

        Rooms are in order: none begins or ends before the one before it. ``bonus``: for a vowel to begin at a step.
        """
        searched = self._searched(costs, rooms, bonus)
        return searched and self._traced(*searched[1:])

    def cost(self, costs: NDArray[np.int16]) -> float:
        """Return what the cheapest way costs where all of ``costs`` is every line's room."""
        rooms = [(0, len(costs))] * (len(self.first_word) - 1)
        searched = self._searched(costs, rooms, None)
        return searched[0] if searched else _NEVER

    def _searched(
        self, costs: NDArray[np.int16], rooms: Sequence[tuple[int, int]], bonus: NDArray[np.float32] | None
    ) -> tuple[float, int, int, list[tuple[int, NDArray[np.uint8]]], list[_Exits]] | None:
        """Return (cost, last word, last state, where a state was entered, how words were left)."""
        import numpy as np

        begins, ends = (np.array(side) for side in zip(*rooms, strict=True))
        now = np.full(self._states + 1, _NEVER, np.float32)
        now[self._pause[0]] = 0
        now[self._first[0]] = 0
        now[-1] = _NEVER
        moved: list[tuple[int, NDArray[np.uint8]]] = []
        left: list[_Exits] = []
        old, spent = (0, self._states), 0.0
        for step in range(len(costs)):
            # Lines whose room this is, and the pause after them.
            low = int(np.searchsorted(ends, step, "right"))
            high = int(np.searchsorted(begins, step, "right"))
            words = slice(self.first_word[low], self.first_word[max(high, low)])
            a, b = int(self._pause[words.start]), int(self._pause[words.stop]) + _PAUSE
            if step:
                now[old[0] : a] = _NEVER
                now[max(b, old[0]) : old[1]] = _NEVER
            old = (a, b)
            come = np.empty(b - a, np.float32)
            come[0], come[1:] = _NEVER, now[a : b - 1]
            last = now[self._last[words]]
            variant = last.argmin(axis=1) if last.size else np.zeros(0, np.intp)
            out = np.concatenate([[_NEVER], last.min(axis=1) if last.size else []]).astype(np.float32)
            come[self._pause[words.start : words.stop + 1] - a] = out
            rested = now[self._pause[words] + _PAUSE - 1]
            from_pause = rested <= out[:-1]
            entry = np.broadcast_to(np.minimum(rested, out[:-1])[:, None], last.shape)
            first = self._first[words]
            real = first < self._states
            come[first[real] - a] = entry[real]
            if bonus is not None:
                come -= bonus[step] * self._onset[a:b]
            stay = now[a:b] + self._stay[a:b]
            moves = come < stay
            if step:
                now[a:b] = np.where(moves, come, stay)
            now[a:b] += costs[step, self._columns[a:b]]
            cheapest = now[a:b].min()
            if cheapest >= _NEVER / 2:
                return None
            spent += float(cheapest)
            now[a:b] -= cheapest  # only differences count, and single precision keeps few digits
            moved.append((a, np.packbits(moves)))
            left.append((words.start, variant.astype(np.int8), from_pause))
        word = len(self._phones)  # the pause before this word, or the word
        state = int(self._pause[word]) + _PAUSE - 1
        final = int(self._last[word - 1, now[self._last[word - 1]].argmin()])
        if now[final] < now[state]:
            word, state = word - 1, final
        if now[state] >= _NEVER / 2:
            return None
        return spent + float(now[state]), word, state, moved, left

    def _traced(
        self, word: int, state: int, moved: list[tuple[int, NDArray[np.uint8]]], left: list[_Exits]
    ) -> list[LaidWord] | None:
        ends = {word: len(moved)}
        firsts: dict[int, int] = {}  # state: the step its stay began at
        for step in range(len(moved) - 1, -1, -1):
            firsts[state] = step
            if not step:
                break
            a, bits = moved[step]
            at = state - a
            if not bits[at >> 3] >> (7 - (at & 7)) & 1:
                continue
            offset, variant, from_pause = left[step]
            if state == self._pause[word]:
                word -= 1
                state = int(self._last[word, variant[word - offset]])
                ends[word] = step
            elif word < len(self._phones) and state in self._first[word]:
                if from_pause[word - offset]:
                    state = int(self._pause[word]) + _PAUSE - 1
                else:
                    word -= 1
                    state = int(self._last[word, variant[word - offset]])
                    ends[word] = step
            else:
                state -= 1
        laid = []
        for number, variants in enumerate(self._phones):
            found = next(((p, s) for p, s in variants if s[0] in firsts), None)
            if found is None:
                return None
            phones, states = found
            laid.append(LaidWord(phones, tuple(firsts[s] for s in states), ends[number]))
        return laid


def fits_of(laid: Sequence[LaidWord], costs: NDArray[np.int16]) -> list[float]:
    """Return how much better each word fits, at each step, than any phones at all (mostly below 0)."""
    free = anything(costs)
    fits = []
    for word in laid:
        lack = 0.0
        for phone, start, end in zip(word.phones, word.starts, (*word.starts[1:], word.end), strict=True):
            own = costs[start:end, COLUMN[phone] : COLUMN[phone] + 3].min(axis=1)
            lack += float((own - free[start:end]).sum())
        fits.append(-lack / (word.end - word.starts[0]))
    return fits
