"""Sung lines laid along a song: for each word which pronunciation, for each phone when it begins.

In: the lines' words with their pronunciations, the costs of the model's states at every step (``StateCosts``), the
room of each line, words and syllables whose moments are known. Out: the cheapest way to sing all the lines in order.

One search over everything at once (L. R. Rabiner, "A tutorial on hidden Markov models", Proc. IEEE 77, 1989: Viterbi),
so no line has to explain the words of its neighbours. What is known of singing goes in as costs: notes are held on
vowels, not on consonants; a line is sung in one breath, or nearly; a vowel lasts a while. A bonus may be given for a
vowel to begin at a step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from timing.hearing.acoustic_model import ALONE, BEGINS, ENDS, INSIDE
from timing.hearing.phone_costs import COLUMN, StateCosts, anything, singing_model
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
_HUSH_STAY = 10.0  # in the end of a pause where a voice is alone: a held vowel can be more like it than like itself
_PAUSE = 3  # states of a pause
_NEVER = 1e9
_STEPS_AT_ONCE = 500


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


@dataclass(frozen=True, slots=True)
class Fixed:
    """What is known: the syllable of the ``vowel``-th vowel of the ``word``-th word begins at ``step``.

    Vowel 0 stands for the word's own beginning. ``end``: the word's last step + 1. None where that is not known.
    """

    word: int
    vowel: int
    step: int | None
    end: int | None = None


@dataclass(frozen=True, slots=True)
class _Variant:
    """One pronunciation of a word: the first state of each phone, and the state after the last."""

    phones: Phones
    firsts: tuple[int, ...]
    stop: int


class Chain:
    """The states of some lines' words, in order: before each word a pause, then its pronunciations side by side."""

    def __init__(self, lines: Sequence[Sequence[Sequence[Phones]]], is_alone: bool = False):
        """Make the chain; ``is_alone``: pauses are quiet, not whatever a band plays in them."""
        import numpy as np

        self._hush_stay = _HUSH_STAY if is_alone else 0.0
        self._plain: list[int] = []
        self._context: list[int] = []
        self._stays: list[float] = []
        self._is_onset: list[bool] = []
        self._words: list[list[_Variant]] = []
        self._pauses: list[int] = []
        self.first_word = [0]
        for line in lines:
            for number in range(len(line)):
                self._add_pause(PAUSE_STAY if number else 0.0)
                self._words.append([self._add_word(phones, line, number) for phones in line[number]])
            self.first_word.append(len(self._words))
        self._add_pause(0.0)
        self._states = len(self._plain)
        self._stay = np.array(self._stays, np.float32)
        self._onset = np.array(self._is_onset, np.float32)
        self.contexts, columns = np.unique(self._context, return_inverse=True)
        both = np.stack([np.array(self._plain), columns])
        self._pairs, column = np.unique(both, axis=1, return_inverse=True)
        self._column = column.ravel()
        self._find_ways()

    def _add_pause(self, cost: float) -> None:
        self._pauses.append(len(self._plain))
        states = range(COLUMN["SIL"], COLUMN["SIL"] + _PAUSE)
        self._plain += states
        self._context += states
        self._stays += [cost] * (_PAUSE - 1) + [cost + self._hush_stay]
        self._is_onset += [False] * _PAUSE

    def _add_word(self, phones: Phones, line: Sequence[Sequence[Phones]], number: int) -> _Variant:
        firsts = []
        # Neighbours' commonest pronunciations; a line begins and ends in a pause.
        before = line[number - 1][0][-1] if number else "SIL"
        after = line[number + 1][0][0] if number + 1 < len(line) else "SIL"
        around = (before, *phones, after)
        for at, phone in enumerate(phones):
            firsts.append(len(self._plain))
            last = at == len(phones) - 1
            place = ALONE if len(phones) == 1 else ENDS if last else INSIDE if at else BEGINS
            states = singing_model().states(phone, around[at], around[at + 2], place)
            count = SHORTEST_VOWEL if is_vowel(phone) else SHORTEST_CONSONANT
            thirds = [0, *[1] * (count - 2), 2]
            self._plain += [COLUMN[phone] + third for third in thirds]
            self._context += [int(states[third]) for third in thirds]
            self._stays += [0.0 if is_vowel(phone) else CONSONANT_STAY] * count
            self._is_onset += [is_vowel(phone)] + [False] * (count - 1)
        return _Variant(tuple(phones), tuple(firsts), len(self._plain))

    def _find_ways(self) -> None:
        """Find the states that are entered from elsewhere than the state before: ``_entries``, from ``_ways``."""
        import numpy as np

        ways: dict[int, list[int]] = {}
        ends: list[int] = []
        for pause, variants in zip(self._pauses, [*self._words, []], strict=True):
            ways[pause] = ends
            for variant in variants:
                ways[variant.firsts[0]] = [pause + _PAUSE - 1, *ends]
            ends = [variant.stop - 1 for variant in variants]
        most = max(map(len, ways.values()))
        self._entries = np.array(sorted(ways))
        # One that does not exist points behind the last state, where nothing ever is.
        self._ways = np.array([ways[entry] + [self._states] * (most - len(ways[entry])) for entry in sorted(ways)])

    def lay(
        self,
        costs: StateCosts,
        rooms: Sequence[tuple[int, int]] | None = None,
        bonus: NDArray[np.float32] | None = None,
        fixed: Sequence[Fixed] = (),
    ) -> list[LaidWord] | None:
        """Return every word on its steps; None where rooms and what is fixed leave no way.

        ``rooms``: of each line its first step and the step after its last, none beginning or ending before the one
        before it. ``bonus``: for a vowel to begin at a step.
        """
        searched = self._searched(costs, self._windows(len(costs), rooms, fixed), bonus)
        return searched and self._traced(*searched[1:])

    def cost(self, costs: StateCosts) -> float:
        """Return what the cheapest way costs through all of ``costs``."""
        searched = self._searched(costs, self._windows(len(costs), None, ()), None)
        return searched[0] if searched else _NEVER

    def _windows(
        self, steps: int, rooms: Sequence[tuple[int, int]] | None, fixed: Sequence[Fixed]
    ) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return of each state the first step it may stand for and the step after the last.

        Neither falls from a state to the next, except within a word some syllable of which is fixed.
        """
        import numpy as np

        begins, ends = np.zeros(self._states, np.intp), np.full(self._states, steps)
        for number, (begin, end) in enumerate(rooms or ()):
            first, last = (self._pauses[w] for w in self.first_word[number : number + 2])
            begins[first:last], ends[first:last] = begin, end
            # The pause before a line begins while the line before it may still be sung.
            begins[first : first + _PAUSE] = rooms[number - 1][0] if rooms and number else 0
        if rooms:
            begins[self._pauses[-1] :] = rooms[-1][0]
        for one in fixed:
            first = self._words[one.word][0].firsts[0]
            if not one.vowel and one.step is not None:
                begins[first:] = np.maximum(begins[first:], one.step)
                ends[:first] = np.minimum(ends[:first], one.step)
            if one.end is not None:
                after = self._pauses[one.word + 1]
                begins[after:] = np.maximum(begins[after:], one.end)
                ends[:after] = np.minimum(ends[:after], one.end)
        for one in fixed:
            if not one.vowel or one.step is None:
                continue
            for variant in self._words[one.word]:
                at = syllable_start(variant.phones, one.vowel)
                if at is None:  # this pronunciation has no such syllable
                    ends[variant.firsts[0] : variant.stop] = 0
                else:
                    middle = variant.firsts[at]
                    begins[middle : variant.stop] = np.maximum(begins[middle : variant.stop], one.step)
                    own = slice(variant.firsts[0], middle)
                    ends[own] = np.minimum(ends[own], one.step)
        return begins, ends

    def _searched(
        self, costs: StateCosts, windows: tuple[NDArray[np.intp], NDArray[np.intp]], bonus: NDArray[np.float32] | None
    ) -> tuple[float, int, list[tuple[int, NDArray[np.uint8]]], list[tuple[int, NDArray[np.int8]]]] | None:
        """Return (cost, last state, where a state was entered, by which way)."""
        import numpy as np

        begins, ends = windows
        # Outermost states that may stand for a step; what lies between is shut off one by one where it may not.
        reach, floor = np.maximum.accumulate(ends), np.minimum.accumulate(begins[::-1])[::-1]
        is_ragged = bool((reach != ends).any() or (floor != begins).any())
        now = np.full(self._states + 1, _NEVER, np.float32)
        now[0] = 0
        for variant in self._words[0]:
            now[variant.firsts[0]] = 0
        moved: list[tuple[int, NDArray[np.uint8]]] = []
        picked: list[tuple[int, NDArray[np.int8]]] = []
        spent = 0.0
        piece = np.empty((0, 0), np.float32)
        for step in range(len(costs)):
            if step % _STEPS_AT_ONCE == 0:
                piece = costs.piece(step, step + _STEPS_AT_ONCE, self._pairs)
            a, b = int(np.searchsorted(reach, step, "right")), int(np.searchsorted(floor, step, "right"))
            if a >= b:
                return None
            low, high = np.searchsorted(self._entries, (a, b))
            new = now[a:b].copy()
            if step:
                come = np.empty(b - a, np.float32)
                come[1:] = now[a : b - 1]
                come[0] = _NEVER
                ways = now[self._ways[low:high]]
                pick = ways.argmin(axis=1)
                come[self._entries[low:high] - a] = ways[np.arange(high - low), pick]
                if bonus is not None:
                    come -= bonus[step] * self._onset[a:b]
                new += self._stay[a:b]
                enters = come < new
                np.copyto(new, come, where=enters)
                moved.append((a, np.packbits(enters)))
                picked.append((int(low), pick.astype(np.int8)))
            else:
                moved.append((a, np.empty(0, np.uint8)))
                picked.append((0, np.empty(0, np.int8)))
            new += piece[step % _STEPS_AT_ONCE, self._column[a:b]]
            if is_ragged:
                new[(begins[a:b] > step) | (ends[a:b] <= step)] = _NEVER
            best = float(new.min())
            if best > _NEVER / 2:
                return None
            spent += best
            now[:] = _NEVER
            now[a:b] = np.minimum(new - np.float32(best), np.float32(_NEVER))
        finals = [self._states - 1, *(variant.stop - 1 for variant in self._words[-1])]
        state = min(finals, key=lambda k: now[k])
        if now[state] > _NEVER / 2:
            return None
        return spent + float(now[state]), state, moved, picked

    def _traced(
        self, state: int, moved: list[tuple[int, NDArray[np.uint8]]], picked: list[tuple[int, NDArray[np.int8]]]
    ) -> list[LaidWord]:
        import numpy as np

        firsts: dict[int, int] = {}  # state: the step its stay began at
        stops = {state: len(moved)}  # state: the step after its stay
        for step in range(len(moved) - 1, 0, -1):
            a, bits = moved[step]
            at = state - a
            if not bits[at >> 3] >> (7 - (at & 7)) & 1:
                continue
            firsts[state] = step
            entry = int(np.searchsorted(self._entries, state))
            if entry < len(self._entries) and self._entries[entry] == state:
                low, pick = picked[step]
                state = int(self._ways[entry, pick[entry - low]])
            else:
                state -= 1
            stops[state] = step
        firsts[state] = 0
        return [
            LaidWord(v.phones, tuple(firsts[s] for s in v.firsts), stops[v.stop - 1])
            for variants in self._words
            for v in variants
            if v.firsts[0] in firsts
        ]


def least_steps(phones: Phones) -> int:
    """Return in how many steps phones can be sung at all."""
    return sum(SHORTEST_VOWEL if is_vowel(phone) else SHORTEST_CONSONANT for phone in phones)


def syllable_start(phones: Phones, vowel: int) -> int | None:
    """Return which phone begins the syllable of a vowel: a consonant before it, else the vowel itself."""
    vowels = [at for at, phone in enumerate(phones) if is_vowel(phone)]
    if vowel >= len(vowels):
        return None
    at = vowels[vowel]
    return at - 1 if at and not is_vowel(phones[at - 1]) else at


def fits_of(laid: Sequence[LaidWord], costs: StateCosts) -> list[float]:
    """Return how much better each word fits, at each step, than any phones at all (mostly below 0)."""
    free = anything([costs.plain])
    fits = []
    for word in laid:
        lack = 0.0
        for phone, start, end in zip(word.phones, word.starts, (*word.starts[1:], word.end), strict=True):
            own = costs.plain[start:end, COLUMN[phone] : COLUMN[phone] + 3].min(axis=1)
            lack += float((own - free[start:end]).sum())
        fits.append(-lack / (word.end - word.starts[0]))
    return fits
