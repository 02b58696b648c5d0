"""Trains the letter model: a network of one hidden layer that answers, letter by letter, which sounds it carries.

The task and the design are those of T. Sejnowski and C. Rosenberg, "Parallel networks that learn to pronounce
English text" (Complex Systems 1, 1987), with the earlier answers fed back. Training: Adam, cross-entropy.
Every word whose CRC-32 is a multiple of ten is left out, here and for ever, so that the model can be measured
on words it has never seen.
"""

from __future__ import annotations

import json
import zlib
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from scipy.sparse import csr_matrix  # type: ignore[import-untyped]

from timing.language.english.guess_features import MEMORY, VOWELS_COUNTED, WINDOW_ROWS, state_rows, window_rows
from timing.language.english.letters_and_sounds import Pairs, align, bare

HIDDEN, ROUNDS, BATCH, RATE, DROPOUT = 512, 20, 2048, 2e-3, 0.15
STATE_ROWS = 2 + (VOWELS_COUNTED + 1) + 4  # main stress met or not, vowels so far, stress of the last one
RAREST = 3  # a chunk seen less often is not learned


def rows(labels: int) -> int:
    """Return how many rows the first table has."""
    return WINDOW_ROWS + MEMORY * (labels + 1) + STATE_ROWS


def is_held_out(word: str) -> bool:
    """True for the tenth of all words that training never sees."""
    return zlib.crc32(word.encode()) % 10 == 0


def aligned_words(words: Mapping[str, Sequence[tuple[str, ...]]], pairs: Pairs) -> dict[str, list[tuple[str, ...]]]:
    """Return word -> sounds of each letter, for the words whose spelling explains their sounds.

    The first pronunciation counts, so ``words`` should hold the preferred one first.
    """
    found = {}
    for word, pronunciations in words.items():
        phones = pronunciations[0]
        ranges = align(word, phones, pairs)
        if ranges is None or len(word) < 2:
            continue
        chunks = [tuple(phones[a:b]) for a, b in ranges]
        if all(bare(chunk) in pairs.get(letter, {}) for letter, chunk in zip(word, chunks, strict=True)):
            found[word] = chunks
    return found


def examples(aligned: Mapping[str, Sequence[tuple[str, ...]]], names: Sequence[tuple[str, ...]]) -> tuple[Any, Any]:
    """Return feature rows and label of every letter as arrays."""
    number = {name: i for i, name in enumerate(names)}
    xs, ys = [], []
    for word, chunks in aligned.items():
        answers: list[int] = []
        if any(chunk not in number for chunk in chunks):
            continue
        for index in range(len(word)):
            xs.append(window_rows(word, index) + state_rows(answers, names))
            answers.append(number[chunks[index]])
            ys.append(answers[-1])
    return np.array(xs, dtype=np.int32), np.array(ys, dtype=np.int32)


def label_names(aligned: Mapping[str, Sequence[tuple[str, ...]]]) -> list[tuple[str, ...]]:
    """Return the answers the model can give, the sounds of one letter each, in a fixed order."""
    counts = Counter(chunk for chunks in aligned.values() for chunk in chunks)
    return sorted(chunk for chunk, n in counts.items() if n >= RAREST)


def train(
    aligned: Mapping[str, Sequence[tuple[str, ...]]],
    names: Sequence[tuple[str, ...]],
    backwards: bool,
    hidden: int = HIDDEN,
    rounds: int = ROUNDS,
) -> list[Any]:
    """Return the weights of one reading direction: first table, its bias, second table, its bias (float32)."""
    kept = {w: c for w, c in aligned.items() if not is_held_out(w)}
    if backwards:
        kept = {w[::-1]: c[::-1] for w, c in kept.items()}
    xs, ys = examples(kept, names)
    generator = np.random.default_rng(0)
    width = rows(len(names))
    weights = [
        generator.normal(0, 0.15, (width, hidden)), np.zeros(hidden),
        generator.normal(0, hidden**-0.5, (hidden, len(names))), np.zeros(len(names)),
    ]  # fmt: skip
    weights = [w.astype(np.float32) for w in weights]
    firsts, seconds = [np.zeros_like(w) for w in weights], [np.zeros_like(w) for w in weights]
    steps = rounds * (len(xs) // BATCH + 1)
    step = 0
    for number in range(rounds):
        order = generator.permutation(len(xs))
        loss = 0.0
        for at in range(0, len(xs), BATCH):
            step += 1
            batch = order[at : at + BATCH]
            gradients, cost = _gradients(weights, xs[batch], ys[batch], width, generator)
            loss += cost * len(batch)
            rate = RATE * min(1.0, step / 200) * max(0.02, 1 - step / steps)
            for w, g, m, v in zip(weights, gradients, firsts, seconds, strict=True):
                m += 0.1 * (g - m)
                v += 0.01 * (g * g - v)
                w -= rate * (m / (1 - 0.9**step)) / (np.sqrt(v / (1 - 0.99**step)) + 1e-8)
        print(f"round {number + 1}: loss {loss / len(xs):.4f}", flush=True)
    return weights


def _gradients(weights: list[Any], xs: Any, ys: Any, width: int, generator: Any) -> tuple[list[Any], float]:
    first, first_bias, second, second_bias = weights
    size = len(xs)
    seen = csr_matrix(
        (np.ones(xs.size, dtype=np.float32), xs.ravel(), np.arange(0, xs.size + 1, xs.shape[1])), shape=(size, width)
    )
    hidden = np.maximum(seen @ first + first_bias, 0)
    keep = (generator.random(hidden.shape, dtype=np.float32) >= DROPOUT) / np.float32(1 - DROPOUT)
    hidden *= keep
    scores = hidden @ second + second_bias
    scores -= scores.max(1, keepdims=True)
    chances = np.exp(scores)
    chances /= chances.sum(1, keepdims=True)
    cost = float(-np.log(chances[np.arange(size), ys] + 1e-9).mean())
    chances[np.arange(size), ys] -= 1
    chances /= size
    back = (chances @ second.T) * keep * (hidden > 0)
    return [seen.T @ back, back.sum(0), hidden.T @ chances, chances.sum(0)], cost


def pack(weights: Sequence[Any]) -> bytes:
    """Return one direction's weights as the reader wants them: scales, biases, then signed bytes."""
    first, first_bias, second, second_bias = weights
    table = np.concatenate([first, second.T])
    scales = np.maximum(np.abs(table).max(1), 1e-6) / 127
    whole = np.clip(np.round(table / scales[:, None]), -127, 127).astype(np.int8)
    floats = np.concatenate([scales, first_bias, second_bias]).astype("<f4")
    return bytes(floats.tobytes() + whole.tobytes())


def guess_bytes(names: Sequence[tuple[str, ...]], directions: Sequence[Sequence[Any]]) -> bytes:
    """Return the model file: a line of JSON, then the forward and the backward weights; compressed."""
    head = json.dumps({"names": [" ".join(n) for n in names], "hidden": int(directions[0][0].shape[1])})
    return zlib.compress(head.encode() + b"\n" + b"".join(pack(weights) for weights in directions), 9)
