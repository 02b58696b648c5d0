"""Learns the weights of ``timing/hearing/word_evidence.py`` and measures them on lines they were not learnt on.

usage: train_word_evidence.py [--readings 1320] [--seed 4] [--write timing/hearing/data/word-evidence.json]

Readings of this project's own lines by three voices of Debian's flite: a third as written, in a third a word is left
out, in a third one is replaced; one in four is faster, one slower, one in a telephone's band. First what each phone
lacks where it was said (mean and spread, from readings as written), then a logistic regression with a small Gaussian
prior (Newton's method): is this word wrong? Words right beside a wrong one are left out of it: what they lack is not
theirs. Every second line of the script is learnt on, the others are measured; what is written was learnt on all of
them, and holds the hash of the acoustic model it hangs on. Run it with the project on PYTHONPATH.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench")]

from bad_sound import telephone  # noqa: E402

from tests.recording import flite  # noqa: E402
from tests.recording.material import LINES, pronounce_english, utterance_of, words_in  # noqa: E402
from timing.hearing.differences import lack_of  # noqa: E402
from timing.hearing.followed_words import tokens_of  # noqa: E402
from timing.hearing.recogniser import PHONES, HeardWord, Recogniser, model_hash  # noqa: E402
from timing.hearing.word_evidence import FEATURES, features, learnt, phone_lack  # noqa: E402

VOICES = ("slt", "rms", "awb")
WAYS = ("plain", "faster", "slower", "telephone")
FASTER, SLOWER = 1.15, 0.87
PRIOR = 0.01  # of the Gaussian on weights
LEAST_SPREAD = 2.0  # a phone that was heard a few times only must not seem sure
CONFIDENT = 0.5


@dataclass
class Followed:
    """One reading followed as the script has it: its words, what each step lacks, and which word is wrong (or -1)."""

    line: int
    words: list[HeardWord]
    lack: np.ndarray
    wrong: int


def said(text: str, voice: str, way: str, seed: int) -> np.ndarray:
    """Return 16 kHz samples of a text in one of WAYS."""
    samples = flite.say(text, voice, seed)[0]
    if way == "telephone":
        return np.clip(telephone(samples), -32768, 32767).astype(np.int16)
    speed = {"faster": FASTER, "slower": SLOWER}.get(way, 1.0)
    at = np.arange(0, len(samples) - 1, speed)
    return samples if speed == 1.0 else np.interp(at, np.arange(len(samples)), samples).astype(np.int16)


def readings(count: int, seed: int) -> Iterator[Followed]:
    """Yield ``count`` readings, the three kinds in turn."""
    dice = random.Random(seed)
    pool = sorted({w for text in LINES for w in words_in(text) if len(w) > 3})
    for number in range(count):
        line = number // 3 % len(LINES)
        text, script = LINES[line], words_in(LINES[line])
        wrong, spoken = -1, text
        if number % 3:
            wrong = dice.randrange(1, len(script) - 1) if len(script) > 2 else 0
            other = dice.choice([w for w in pool if w not in script])
            changed = [other] if number % 3 == 2 else []
            spoken = " ".join([*script[:wrong], *changed, *script[wrong + 1 :]])
        samples = said(spoken, VOICES[number // 3 % 3], WAYS[dice.randrange(4)], number)
        tokens = tokens_of(utterance_of(" ".join(script) if wrong >= 0 else text), pronounce_english)
        recogniser = Recogniser([t.pronunciations for t in tokens])
        found = recogniser.align_scored(samples, range(len(tokens)))
        free = recogniser.free_scores(samples)
        if found and free is not None:
            yield Followed(line, found[0], lack_of(free, found[1]), wrong)


def usual_of(followed: Sequence[Followed]) -> dict[str, tuple[float, float]]:
    """Return what each phone lacks where it was said: mean and spread over all phones of readings as written."""
    values = defaultdict(list)
    for one in followed:
        if one.wrong < 0:
            for phone in (p for w in one.words for p in w.phones):
                values[phone.name].append(phone_lack(phone, one.lack))
    everything = [v for of_phone in values.values() for v in of_phone]
    return {
        phone: (
            round(float(np.mean(values[phone] or everything)), 1),
            round(max(LEAST_SPREAD, float(np.std(values[phone] or everything))), 1),
        )
        for phone in sorted(PHONES)
    }


def table_of(followed: Sequence[Followed], usual: dict[str, tuple[float, float]]) -> tuple[np.ndarray, np.ndarray]:
    """Return (features, is it wrong) for every word that is not right beside a wrong one."""
    rows, wrong = [], []
    for one in followed:
        for index, (values, _) in enumerate(features(one.words, one.lack, usual)):
            if one.wrong < 0 or abs(index - one.wrong) != 1:
                rows.append(values)
                wrong.append(index == one.wrong)
    return np.asarray(rows), np.asarray(wrong, float)


def regression(rows: np.ndarray, wrong: np.ndarray) -> tuple[np.ndarray, float]:
    """Return (weights, constant) of a logistic regression, by Newton's method."""
    design = np.column_stack([rows, np.ones(len(rows))])
    prior = np.diag([PRIOR] * rows.shape[1] + [0.0])
    found = np.zeros(design.shape[1])
    for _ in range(50):
        share = 1 / (1 + np.exp(-np.clip(design @ found, -50, 50)))
        slope = design.T @ (share - wrong) + prior @ found
        curve = (design * (share * (1 - share))[:, None]).T @ design + prior
        step = np.linalg.solve(curve + 1e-9 * np.eye(len(curve)), slope)
        found -= step
        if np.abs(step).max() < 1e-8:
            break
    return found[:-1], float(found[-1])


def area_under_curve(scores: np.ndarray, wrong: np.ndarray) -> float:
    """Return the share of (wrong, right) pairs of words in which the wrong one has more against it."""
    order = np.argsort(np.argsort(scores)) + 1.0
    bad = wrong > CONFIDENT
    count, others = bad.sum(), (~bad).sum()
    return float((order[bad].sum() - count * (count + 1) / 2) / (count * others))


def report(label: str, rows: np.ndarray, wrong: np.ndarray, weights: np.ndarray, constant: float) -> None:
    scores = rows @ weights + constant
    bad = wrong > CONFIDENT
    limit = np.quantile(scores[~bad], 0.99)
    print(
        f"{label}: {int(bad.sum())} wrong words, {int((~bad).sum())} right ones, area under the curve "
        f"{area_under_curve(scores, wrong):.4f}, {100 * np.mean(scores[bad] > limit):.1f} % found at 1 % false"
    )


def as_text(weights: np.ndarray, constant: float, usual: dict[str, tuple[float, float]]) -> str:
    """Return the data file."""
    phones = ",\n".join(f"  {json.dumps(p)}: {json.dumps(list(values))}" for p, values in usual.items())
    named = {name: round(float(w), 4) for name, w in zip(FEATURES, weights, strict=True)}
    return (
        '{\n "learnt_by": "tests/bench/train_word_evidence.py",\n'
        f' "model": {json.dumps(model_hash())},\n "constant": {round(constant, 4)},\n'
        f' "weights": {json.dumps(named)},\n "usual": {{\n{phones}\n }}\n}}\n'
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--readings", type=int, default=1320)
    parser.add_argument("--seed", type=int, default=4)
    parser.add_argument("--write", type=Path)
    asked = parser.parse_args()
    followed = list(readings(asked.readings, asked.seed))
    learn, judge = ([f for f in followed if f.line % 2 == half] for half in (0, 1))
    usual = usual_of(learn)
    weights, constant = regression(*table_of(learn, usual))
    print(" ".join(f"{name} {w:.3f}" for name, w in zip(FEATURES, weights, strict=True)), f"constant {constant:.3f}")
    report("learnt on the other lines", *table_of(judge, usual), weights, constant)
    shipped = learnt()
    report("as shipped", *table_of(judge, dict(shipped.usual)), np.asarray(shipped.weights), shipped.constant)
    if asked.write:
        usual = usual_of(followed)
        asked.write.write_text(as_text(*regression(*table_of(followed, usual)), usual), "utf-8")


if __name__ == "__main__":
    main()
