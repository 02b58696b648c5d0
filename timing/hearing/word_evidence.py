"""How much speaks against a word having been said as written, from the sound alone.

In: a line's words as they were followed, and for each step of 10 ms how much better any phone at all would have
fitted than the path did (the lack). Out: for each word the log-odds that something else is there, and how much lacks
in the worst stretch around it.

Each fact alone misses what another shows. How badly the word's phones fit, the worst and all of them, each held
against what such a phone lacks where it was said (a stop always fits worse than a vowel); how many of them are
squeezed to the shortest the model allows (a word left out hides between its neighbours); the worst stretch from the
word before to the word after (a word too many hides in a pause or in one long phone); how badly the line's other
phones fit (an unusual voice lacks everywhere); and how long the word is, as a long one cannot hide.

The weights are a logistic regression (``tests/bench/train_word_evidence.py``) on readings as written, with a word left
out and with one replaced. They lie in ``data/word-evidence.json``, hang on the acoustic model, and carry its
hash: with another model they would be noise. What they are worth on other lines, another voice and human speech is what
``tests/bench/bench_listen.py mismatch`` prints.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from timing.hearing.recogniser import HeardPhone, HeardWord, model_hash, step_at
from timing.plain.errors import RecordingError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_ALLOWED = 4.0  # lack for one step that a good word may have: more than this adds up to a bad stretch
_SHORTEST_PHONE = 3  # steps: three states, one step each
_SHORT_WORD, _SHORT_PHONE = 4, 2  # steps: a score over n steps counts n / (n + 4): three steps say little
_BAD_FIT = 20.0  # squeezed phones count in so far as the word fits this badly: "the" is short by nature
_WORST_MOST = 6.0  # one phone that does not fit at all is as bad as it gets
_OTHERS_FROM, _OTHERS_TO = (-2.0, 3.0), (-1.0, 2.0)  # one word that was not said must not excuse the next


FEATURES = ("squeezed", "stretch", "others", "worst", "mean", "phones", "steps")


@dataclass(frozen=True, slots=True)
class Evidence:
    """``against`` a word as written (log-odds); ``stretch`` is the most that lacks in one piece around it."""

    against: float
    stretch: float


@dataclass(frozen=True)
class Learnt:
    """``weights`` of FEATURES, in order; ``usual`` is what each phone lacks where it was said: mean and spread."""

    constant: float
    weights: tuple[float, ...]
    usual: Mapping[str, tuple[float, float]]


@cache
def learnt() -> Learnt:
    """Return what was learnt; raises RecordingError where the recogniser's model is not the one it was learnt with."""
    text = resources.files("timing.hearing").joinpath("data/word-evidence.json").read_text("utf-8")
    return from_json(text, model_hash())


def from_json(text: str, model: str) -> Learnt:
    """Return what ``text`` holds for the acoustic model with this hash; raises RecordingError for another model."""
    found = json.loads(text)
    if found["model"] != model:
        raise RecordingError(
            "cannot be judged: the installed pocketsphinx has another acoustic model than the one this version of the "
            "tool was taught with; install the version named in its requirements"
        )
    weights = tuple(found["weights"][name] for name in FEATURES)
    return Learnt(found["constant"], weights, {p: (mean, spread) for p, (mean, spread) in found["usual"].items()})


def evidence(words: Sequence[HeardWord], lack: NDArray[np.float64]) -> list[Evidence]:
    """Return the evidence for each word; ``lack`` is in the recogniser's unit (about 0.1 nat) for each step.

    Raises RecordingError where the recogniser's model is not the one the weights were learnt with.
    """
    known = learnt()
    found = []
    for values, stretch in features(words, lack, known.usual):
        against = sum(weight * value for weight, value in zip(known.weights, values, strict=True)) + known.constant
        found.append(Evidence(against, stretch))
    return found


def features(
    words: Sequence[HeardWord], lack: NDArray[np.float64], usual: Mapping[str, tuple[float, float]]
) -> list[tuple[tuple[float, ...], float]]:
    """Return for each word the values of FEATURES, and the most that lacks in one piece around it."""
    spans = [(max(0, step_at(w.start)), max(1, step_at(w.end))) for w in words]
    unusual = [[_unusual(phone, lack, usual) for phone in word.phones] for word in words]
    kept = [[_within(u, *_OTHERS_FROM) for u in row] for row in unusual]
    found: list[tuple[tuple[float, ...], float]] = []
    for i, word in enumerate(words):
        start = spans[i - 1][1] if i else spans[i][0]
        end = spans[i + 1][0] if i + 1 < len(words) else spans[i][1]
        stretch = worst_stretch(lack[start:end])
        others = [u for k, row in enumerate(kept) if k != i for u in row]
        fit = _weighed(lack[slice(*spans[i])], _SHORT_WORD)
        squeezed = sum(step_at(p.end) - step_at(p.start) <= _SHORTEST_PHONE for p in word.phones) / len(word.phones)
        values = (
            squeezed * _within(fit / _BAD_FIT, 0, 1),
            math.log1p(stretch / 100),
            _within(_mean(others), *_OTHERS_TO),
            min(max(unusual[i]), _WORST_MOST),
            _mean(unusual[i]),
            float(len(word.phones)),
            float(spans[i][1] - spans[i][0]),
        )
        found.append((values, stretch))
    return found


def worst_stretch(lack: NDArray[np.float64]) -> float:
    """Return the greatest sum of any run of steps, each less what a good word may lack (never negative).

    >>> worst_stretch([0, 14, 24, 1, 24, 0])  # 10 + 20 - 3 + 20
    47.0
    """
    best = total = 0.0
    for value in lack:
        total = max(0.0, total + float(value) - _ALLOWED)
        best = max(best, total)
    return best


def _unusual(phone: HeardPhone, lack: NDArray[np.float64], usual: Mapping[str, tuple[float, float]]) -> float:
    """Return how far a phone's lack is from what is usual for it, in spreads."""
    mean, spread = usual[phone.name]
    return (phone_lack(phone, lack) - mean) / spread


def phone_lack(phone: HeardPhone, lack: NDArray[np.float64]) -> float:
    """Return what a phone lacks for one step, three steps of it counting little."""
    start = step_at(phone.start)
    return _weighed(lack[start : max(step_at(phone.end), start + 1)], _SHORT_PHONE)


def _weighed(lack: NDArray[np.float64], short: int) -> float:
    return float(lack.sum()) / (len(lack) + short)


def _mean(values: Sequence[float]) -> float:
    return sum(values) / max(1, len(values))


def _within(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)
