"""How an unknown English word is probably said: two small networks that decide together.

In: a word in lower case. Out: the phones of each letter. One network reads forwards, one backwards (see
``guess_features``); each proposes its best readings, both judge all proposals, and what known words suggest
(a known word with a common ending, two known words together) is judged beside them with a head start. Then the
number of syllables is settled first, by the sum of the chances, and the likeliest reading with it is taken.

The weights are bytes, so that no numerical library need be loaded for a few names.
"""

from __future__ import annotations

import json
import math
import zlib
from array import array
from collections.abc import Iterable, Sequence
from functools import cache
from importlib import resources
from operator import add, mul

from timing.language.english.guess_features import LETTERS, state_rows, window_rows
from timing.language.english.letters_and_sounds import Pairs, bare
from timing.model import is_vowel

Chunks = tuple[tuple[str, ...], ...]

WIDTH = 4  # readings kept while a word is read
FALLEN = 6.0  # a reading this much less likely (natural log) than the best is dropped
HEAD_START = 1.5  # of readings made of known words; best on the words left out of training
FULLER = 0.5  # for each vowel: rare words keep vowels that names, most of the training words, run together


def split_name(text: str) -> tuple[str, ...]:
    return tuple(text.split())


class Network:
    """One reading direction; weights as signed bytes with one scale a row (first table) or a label (second)."""

    def __init__(self, names: Sequence[tuple[str, ...]], pairs: Pairs, hidden: int, packed: bytes, backwards: bool):
        self.names, self.hidden, self.backwards = names, hidden, backwards
        self._numbers = {name: number for number, name in enumerate(names)}
        self._allowed = {
            letter: [n for n, name in enumerate(names) if bare(name) in pairs.get(letter, {})] for letter in LETTERS
        }
        rows = (len(packed) - 4 * (hidden + len(names))) // (hidden + 4) - len(names)
        scales = array("f", packed[: 4 * (rows + len(names))])
        biases = array("f", packed[4 * (rows + len(names)) : 4 * (rows + 2 * len(names) + hidden)])
        self._scales, self._row_count = scales, rows
        self._bias, self._label_bias = list(biases[:hidden]), list(biases[hidden:])
        self._bytes = array("b", packed[4 * (rows + 2 * len(names) + hidden) :])
        self._rows: dict[int, list[float]] = {}

    def _row(self, number: int) -> list[float]:
        """Return a row of the first table, or a label's weights from ``_row_count`` on."""
        row = self._rows.get(number)
        if row is None:
            scale = self._scales[number]
            row = [scale * b for b in self._bytes[number * self.hidden : (number + 1) * self.hidden]]
            self._rows[number] = row
        return row

    def _sum(self, start: list[float], numbers: Iterable[int]) -> list[float]:
        for number in numbers:
            start = list(map(add, start, self._row(number)))
        return start

    def _chances(self, base: list[float], letter: str, answers: tuple[int, ...]) -> dict[int, float]:
        """Return the log chance of each label that the letter can have."""
        active = [x if x > 0 else 0.0 for x in self._sum(base, state_rows(answers, self.names))]
        allowed = self._allowed[letter]
        scores = [
            sum(map(mul, active, self._row(self._row_count + label))) + self._label_bias[label] for label in allowed
        ]
        highest = max(scores)
        total = highest + math.log(sum(math.exp(s - highest) for s in scores))
        return {label: score - total for label, score in zip(allowed, scores, strict=True)}

    def readings(self, word: str, others: Iterable[Chunks] = ()) -> dict[Chunks, float]:
        """Return the best readings and those in ``others`` with their log chances."""
        letters = word[::-1] if self.backwards else word
        bases = [self._sum(self._bias, window_rows(letters, i)) for i in range(len(letters))]
        seen: dict[tuple[int, ...], dict[int, float]] = {}

        def chances(answers: tuple[int, ...]) -> dict[int, float]:
            if answers not in seen:
                seen[answers] = self._chances(bases[len(answers)], letters[len(answers)], answers)
            return seen[answers]

        beam: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]
        for _ in letters:
            longer = [(s + chance, (*a, label)) for s, a in beam for label, chance in chances(a).items()]
            longer.sort(reverse=True)
            beam = [entry for entry in longer[:WIDTH] if entry[0] > longer[0][0] - FALLEN]
        found = {self._chunks(answers): score for score, answers in beam}
        for other in others:
            if other in found or any(chunk not in self._numbers for chunk in other):
                continue
            labels = [self._numbers[chunk] for chunk in (reversed(other) if self.backwards else other)]
            score = 0.0
            for index, label in enumerate(labels):
                score += chances(tuple(labels[:index])).get(label, -20.0)
                if score < -40:
                    break
            found[other] = score
        return found

    def _chunks(self, answers: Sequence[int]) -> Chunks:
        ordered = reversed(answers) if self.backwards else answers
        return tuple(self.names[a] for a in ordered)


@cache
def pairs() -> Pairs:
    """Return the letter-sound pairs that alignment uses."""
    text = resources.files("timing.language.english").joinpath("data", "english-letters.json").read_text("utf-8")
    return {letter: {split_name(s): p for s, p in sounds.items()} for letter, sounds in json.loads(text).items()}


@cache
def _networks() -> tuple[Network, Network]:
    packed = zlib.decompress(
        resources.files("timing.language.english").joinpath("data", "english-guess.bin").read_bytes()
    )
    head, _, body = packed.partition(b"\n")
    facts = json.loads(head)
    names = [split_name(name) for name in facts["names"]]
    half = len(body) // 2
    return (
        Network(names, pairs(), facts["hidden"], body[:half], backwards=False),
        Network(names, pairs(), facts["hidden"], body[half:], backwards=True),
    )


@cache
def guess(word: str, suggestions: frozenset[Chunks] = frozenset()) -> Chunks:
    """Return the likely phones of each letter; ``suggestions`` are readings made of known words.

    Letters outside a-z and the apostrophe stay silent.
    """
    known = "".join(c if c in LETTERS else "'" for c in word)
    forwards, backwards = _networks()
    first = forwards.readings(known, suggestions)
    second = backwards.readings(known, first)
    first |= forwards.readings(known, [c for c in second if c not in first])
    scores = {c: (first[c] + second[c]) / 2 + HEAD_START * (c in suggestions) for c in first if c in second}
    by_count: dict[int, list[Chunks]] = {}
    for chunks in scores:
        by_count.setdefault(vowel_count(chunks), []).append(chunks)
    chances = {n: sum(math.exp(scores[c] + FULLER * n) for c in readings) for n, readings in by_count.items() if n}
    if not chances:
        return max(scores, key=lambda c: scores[c])
    count = max(chances, key=lambda n: chances[n])
    return max(by_count[count], key=lambda c: scores[c])


def vowel_count(chunks: Chunks) -> int:
    """Return the number of vowel sounds."""
    return sum(is_vowel(p.rstrip("012")) for chunk in chunks for p in chunk)
