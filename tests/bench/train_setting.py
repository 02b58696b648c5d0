"""Learns the weights of ``timing/song/weights.py`` from printed songs and measures them.

usage: train_setting.py [LINES.json ...] [--write FILE] [--folds 5]

``nursery_lines.txt`` beside this file always counts (its head says how it is written). LINES.json holds more as a list
of {"song", "lang", "metre": "6/8", "bars", "text": "twin-kle twin-kle", "pos": [eighths from the first full bar],
"kind"}; a nursery line that is in both counts once. The model is a conditional random field (J. Lafferty et al., 2001)
over the same features that the program reads, with a Gaussian prior, fitted by L-BFGS. Figures come from folds by
song: no song is in both halves. Run it with the project on PYTHONPATH.
"""

from __future__ import annotations

import argparse
import json
import random
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

import numpy as np

from timing.language import read_line
from timing.metre import parts_a_beat
from timing.model import Where
from timing.song.lyrics import parse_lyric
from timing.song.notes import notes_of
from timing.song.search import expected_best
from timing.song.setting import features_of, grid
from timing.song.weights import STRENGTH, Place

NURSERY = Path(__file__).with_name("nursery_lines.txt")
LONGEST_STEP = 12  # eighths
SPREAD = 0.4  # of the Gaussian prior on weights
NURSERY_WEIGHT = 2.0  # of a nursery line, art songs counting 1
STEPS = 40
LANGUAGES = {"en": "en_US", "de": "de_DE"}


class Names(dict):
    """Feature names to numbers, growing until frozen."""

    frozen = False

    def number(self, key: str) -> int:
        if self.frozen:
            return self.get(key, -1)
        return self.setdefault(key, len(self))


class Line:
    """One line made ready: feature numbers of every note at every place, of every step."""

    def __init__(self, record: dict, utterance_of):
        self.record = record
        self.metre = tuple(int(x) for x in record["metre"].split("/"))
        parts = parts_a_beat(self.metre)
        lyric = parse_lyric(record["text"], Where("lines"))
        notes = notes_of(utterance_of(lyric, record["lang"]), lyric.marks)
        self.features = features_of(notes, self.metre, record["bars"])
        self.places = [Place.at(p, self.metre, record["bars"]) for p in grid(self.metre, record["bars"])]
        self.at = [round((p - self.places[0].part) * 2) for p in record["pos"]]
        self.strong = [STRENGTH[n.sort] == 2 for n in notes]
        self.parts = parts
        last = len(self.places)
        self.usable = (
            len(notes) == len(self.at)
            and all(0 <= k < last for k in self.at)
            and all(b - a <= 2 * LONGEST_STEP for a, b in pairwise(self.at))
        )

    def prepare(self, names: Names, cache: dict) -> None:
        f, places = self.features, self.places
        rows = [[[names.number(k) for k in f.note(i, p)] for p in places] for i in range(f.count)]
        width = [max(len(c) for c in row) for row in rows]
        self.note_ids = [np.array([c + [-1] * (w - len(c)) for c in row]) for row, w in zip(rows, width, strict=True)]
        pairs = [(a, b) for a in range(len(places)) for b in range(a + 1, min(len(places), a + 2 * LONGEST_STEP + 1))]
        self.pairs = np.array(pairs)
        index = {pair: j for j, pair in enumerate(pairs)}
        self.true_pairs = [index[pair] for pair in pairwise(self.at)]
        own = {}
        for b in range(1, 2 * LONGEST_STEP + 1):
            name = next(iter(f.step(0, places[0], Place(places[0].part + b / 2, 0, 0, 0)))) if f.count > 1 else ""
            own[b] = names.number(name)
        self.gap_ids = np.array([own[b - a] for a, b in pairs])
        self.step_ids = []
        for i in range(f.count - 1):
            key = (f.metre, f.bars, f.pair(i), f.behind)
            if key not in cache:
                lists = [[names.number(k) for k in f.shared(i, places[a], places[b])] for a, b in pairs]
                most = max(map(len, lists))
                cache[key] = np.array([x + [-1] * (most - len(x)) for x in lists])
            self.step_ids.append(cache[key])


def potentials(line: Line, w: np.ndarray):
    """Return note scores (n x K) and step scores (n-1 lists of K x K); ``w`` ends in a 0 for feature -1."""
    size = len(line.places)
    notes = np.array([w[ids].sum(axis=1) for ids in line.note_ids])
    gap = w[line.gap_ids]
    steps, done = [], {}
    for ids in line.step_ids:
        if id(ids) not in done:
            table = np.full((size, size), -1e9)
            table[line.pairs[:, 0], line.pairs[:, 1]] = w[ids].sum(axis=1) + gap
            done[id(ids)] = table
        steps.append(done[id(ids)])
    return notes, steps


def log_sum(values: np.ndarray, axis: int) -> np.ndarray:
    top = values.max(axis=axis, keepdims=True)
    return np.squeeze(top, axis) + np.log(np.exp(values - top).sum(axis=axis))


def loss(line: Line, w: np.ndarray, grad: np.ndarray, weight: float) -> float:
    notes, steps = potentials(line, w)
    n = len(notes)
    ahead = [notes[0]]
    for i in range(1, n):
        ahead.append(notes[i] + log_sum(ahead[-1][:, None] + steps[i - 1], 0))
    behind = [np.zeros(notes.shape[1])]
    for i in range(n - 2, -1, -1):
        behind.append(log_sum(steps[i] + (notes[i + 1] + behind[-1])[None], 1))
    behind = behind[::-1]
    total = float(log_sum(ahead[-1], 0))
    gold = float(sum(notes[i, k] for i, k in enumerate(line.at)))
    gold += sum(float(steps[i][a, b]) for i, (a, b) in enumerate(pairwise(line.at)))
    used: list[tuple[np.ndarray, np.ndarray]] = []
    for i in range(n):
        p = np.exp(ahead[i] + behind[i] - total)
        p[line.at[i]] -= 1
        used.append((line.note_ids[i], p))
    by_table: dict[int, list] = {}
    rows, cols = line.pairs[:, 0], line.pairs[:, 1]
    for i in range(n - 1):
        p = np.exp(ahead[i][rows] + steps[i][rows, cols] + notes[i + 1][cols] + behind[i + 1][cols] - total)
        p[line.true_pairs[i]] -= 1
        found = by_table.setdefault(id(line.step_ids[i]), [line.step_ids[i], 0.0])
        found[1] = found[1] + p
    for ids, p in by_table.values():
        used += [(ids, p), (line.gap_ids[:, None], p)]
    ids = np.concatenate([ids.ravel() for ids, _ in used])
    values = np.concatenate([np.repeat(p, ids.shape[1]) for ids, p in used])
    grad += weight * np.bincount(ids % len(grad), values, len(grad))
    return weight * (total - gold)


def train(lines: list[Line], count: int) -> np.ndarray:
    """Return the weights, with a 0 at the end for feature -1."""
    from scipy.optimize import minimize

    def objective(x):
        w = np.append(x, 0.0)
        grad = np.zeros_like(w)
        value = sum(loss(m, w, grad, NURSERY_WEIGHT if m.record["kind"] == "nursery" else 1.0) for m in lines)
        return value + 0.5 * float(x @ x) / SPREAD**2, grad[:-1] + x / SPREAD**2

    found = minimize(objective, np.zeros(count), jac=True, method="L-BFGS-B", options={"maxiter": STEPS})
    return np.append(found.x, 0.0)


def decode(line: Line, w: np.ndarray, pins: dict[int, int] | None = None) -> list[int]:
    notes, steps = potentials(line, w)
    for i, k in (pins or {}).items():
        keep = notes[i, k]
        notes[i] = -1e9
        notes[i, k] = keep

    def step(i, a, b):
        return steps[i][a, b] if steps[i][a, b] > -1e8 else None

    allowed = np.where(notes > -1e8, notes, -np.inf)
    found = expected_best(allowed.tolist(), step)
    assert found is not None
    return found[1]


def figures(lines: list[Line], found: list[list[int]]) -> tuple[float, float, float, int]:
    """Return syllables exact, stressed syllables on the right beat, whole lines (in percent), and lines."""
    hit = total = right = strong = whole = 0
    for line, path in zip(lines, found, strict=True):
        same = [a == b for a, b in zip(path, line.at, strict=True)]
        hit, total, whole = hit + sum(same), total + len(same), whole + all(same)
        first = line.places[0].part
        for a, b, s in zip(path, line.at, line.strong, strict=True):
            if s:
                strong += 1
                right += (first + a / 2) // line.parts == (first + b / 2) // line.parts
    return 100 * hit / total, 100 * right / max(1, strong), 100 * whole / len(lines), len(lines)


def pins_of(line: Line, which: str) -> dict[int, int]:
    ends = {"": [], "first": [0], "both": [0, len(line.at) - 1]}[which]
    return {i: line.at[i] for i in ends}


def cross_validate(lines: list[Line], count: int, folds: int) -> dict:
    songs = sorted({m.record["song"] for m in lines})
    random.Random(7).shuffle(songs)
    fold = {s: i % folds for i, s in enumerate(songs)}
    found: dict[tuple, list] = defaultdict(list)
    for k in range(folds):
        w = train([m for m in lines if fold[m.record["song"]] != k], count)
        for m in lines:
            if fold[m.record["song"]] == k:
                for which in ("", "first", "both"):
                    found[m.record["file"], m.record["kind"], which].append((m, decode(m, w, pins_of(m, which))))
    return found


def report(found: dict) -> None:
    together: dict[tuple, list] = defaultdict(list)
    for (_, kind, which), pairs in found.items():
        together[kind, which] += pairs
    for (kind, which), pairs in sorted(together.items()):
        print(f"{kind:8} {in_words(pairs, which)}")
    for (file, kind, which), pairs in sorted(found.items()):
        if len(pairs) < len(together[kind, which]):
            print(f"  of these in {file}: {kind} {in_words(pairs, which)}")


def in_words(pairs: list, which: str) -> str:
    s, b, w, n = figures([m for m, _ in pairs], [p for _, p in pairs])
    return (
        f"{n:3} lines, pinned {which or 'nothing':7}: "
        f"syllables {s:.1f} %, stressed on the right beat {b:.1f} %, whole line {w:.1f} %"
    )


def utterance_of(lyric, lang):
    return read_line(lyric.text, LANGUAGES[lang], splits=lyric.splits)


def records_of(path: Path) -> list[dict]:
    if path.suffix == ".json":
        return json.loads(path.read_text("utf-8"))
    found = []
    for row in path.read_text("utf-8").splitlines():
        if row.startswith("["):
            song, metre = row.strip("[]").split()
        elif "|" in row and not row.startswith("#"):
            bars, text, pos = (part.strip() for part in row.split("|"))
            found.append(
                {"song": song, "lang": "en", "metre": metre, "bars": int(bars), "text": text,
                 "pos": [float(p) for p in pos.split()], "kind": "nursery"}
            )  # fmt: skip
    return found


def load(paths: list[Path], reader=utterance_of) -> tuple[list[Line], Names]:
    seen: dict[str, dict] = {}
    for record in [{**r, "file": path.name} for path in paths for r in records_of(path)]:
        seen.setdefault(record["text"].lower(), record)  # the same line in two files counts once
    lines = [Line(r, reader) for r in seen.values()]
    usable = [m for m in lines if m.usable]
    names, cache = Names(), {}
    for m in usable:
        m.prepare(names, cache)
    return usable, names


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("lines", type=Path, nargs="*")
    parser.add_argument("--write", type=Path)
    parser.add_argument("--folds", type=int, default=5)
    options = parser.parse_args()
    lines, names = load([*options.lines, NURSERY])
    print(len(lines), "lines,", len(names), "features")
    if options.folds:
        report(cross_validate(lines, len(names), options.folds))
    if options.write:
        w = train(lines, len(names))
        kept = {k: round(float(w[i]), 3) for k, i in sorted(names.items()) if abs(w[i]) >= 0.02}
        text = json.dumps({"source": "learned by tests/bench/train_setting.py", "weights": kept}, indent=0)
        options.write.parent.mkdir(exist_ok=True)
        options.write.write_text(text + "\n", "utf-8")
        print(len(kept), "weights written")


if __name__ == "__main__":
    main()
