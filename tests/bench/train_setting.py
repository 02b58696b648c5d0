"""Learns the weights of ``timing/song/lyrics/weights.py`` from printed songs and measures them.

usage: train_setting.py [LINES.json ...] [--write FILE] [--folds 5] [--seed 7]

``nursery_lines.txt`` beside this file always counts (its head says how it is written). LINES.json holds more as a list
of {"song", "lang", "metre": "6/8", "bars", "text": "twin-kle twin-kle", "pos": [eighths from the first full bar],
"kind"}; a nursery line that is in both counts once. One rhythm can be written in several metres (two bars of 4/4 as
four of 2/4, a jig as a slow waltz): each nursery line is learned in those as well, and measured as it is printed.

The model is a conditional random field (J. Lafferty et al., 2001) over the same features that the program reads, with
a Gaussian prior, fitted by L-BFGS; sums over all settings as products of matrices, scaled at each note (L. Rabiner,
"A tutorial on hidden Markov models", 1989, V.A). Figures come from folds by song: no song is in both halves. Run it
with the project on PYTHONPATH.
"""

from __future__ import annotations

import argparse
import json
import random
from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from timing.language import read_line
from timing.model import Where
from timing.model.metre import parse_metre
from timing.song.lyrics.lyrics import parse_lyric
from timing.song.lyrics.notes import notes_of
from timing.song.lyrics.search import expected_best
from timing.song.lyrics.setting import features_of, grid
from timing.song.lyrics.weights import STRENGTH, Place

NURSERY = Path(__file__).with_name("nursery_lines.txt")
LONGEST_STEP = 24  # places of the grid, half eighths
SPREAD = 0.5  # of the Gaussian prior on weights
COUNTS = {"nursery": 2.0, "rewritten": 1.0}  # what a line counts in learning; art songs 1
STEPS = 40
TINY = 1e-300  # keeps a sum of nothing from dividing
LANGUAGES = {"en": "en_US", "de": "de_DE"}


class Line:
    """One line made ready: its features, the places of the grid, and where in them its notes are sung."""

    def __init__(self, record: dict, utterance_of):
        self.record, self.kind = record, record["kind"]
        self.metre = parse_metre(record["metre"])
        self.parts = self.metre.parts
        lyric = parse_lyric(record["text"], Where("lines"))
        notes = notes_of(utterance_of(lyric, record["lang"]), lyric.marks)
        self.features = features_of(notes, self.metre, record["bars"])
        self.places = [Place.at(p, self.metre, record["bars"]) for p in grid(self.metre, record["bars"])]
        self.at = [round((p - self.places[0].part) * 2) for p in record["pos"]]
        self.strong = [STRENGTH[n.sort] == 2 for n in notes]
        self.usable = (
            len(notes) == len(self.at)
            and all(0 <= k < len(self.places) for k in self.at)
            and all(b - a <= LONGEST_STEP for a, b in pairwise(self.at))
        )


class Rows:
    """Sets of features, each once: scores of all of them are one product with the weights."""

    def __init__(self, names: dict[str, int]):
        self.names, self.numbers = names, {}

    def number(self, keys: Iterator[str]) -> int:
        row = tuple(self.names.setdefault(key, len(self.names)) for key in keys)
        return self.numbers.setdefault(row, len(self.numbers))

    def matrix(self) -> csr_matrix:
        columns = [c for row in self.numbers for c in row]
        starts = np.cumsum([0, *map(len, self.numbers)])
        return csr_matrix((np.ones(len(columns)), columns, starts), (len(self.numbers), len(self.names)))


class Corpus:
    """All lines as numbers of feature sets: one for each note at each place, one for each step."""

    def __init__(self, lines: list[Line]):
        self.lines = lines
        names: dict[str, int] = {}
        notes, steps = Rows(names), Rows(names)
        self.pairs: dict[int, tuple[np.ndarray, np.ndarray]] = {}
        self.notes = [np.array([[notes.number(m.features.note(i, p)) for p in m.places]
                                for i in range(m.features.count)]) for m in lines]  # fmt: skip
        self.tables: list[tuple[np.ndarray, np.ndarray]] = []  # rows of a step's features, for each pair of places
        self.sizes: list[int] = []  # places of each table
        self.steps = []  # of each line: the table of each step
        known: dict[tuple, int] = {}
        cells: dict[tuple, int] = {}
        for m in lines:
            f, size = m.features, len(m.places)
            if size not in self.pairs:
                both = [(a, b) for a in range(size) for b in range(a + 1, min(size, a + LONGEST_STEP + 1))]
                self.pairs[size] = tuple(np.array(both).T)
            gaps = [steps.number([f.stretch(gap / 2)]) for gap in range(1, LONGEST_STEP + 1)]
            long = np.array(gaps)[self.pairs[size][1] - self.pairs[size][0] - 1]
            mine = []
            for i in range(f.count - 1):
                like = (f.metre, f.pair(i), f.behind if i == f.count - 2 else None)
                key = (*like, f.even, size)
                if key not in known:
                    known[key] = len(self.tables)
                    table = []
                    for a, b in zip(*self.pairs[size], strict=True):
                        cell = (like, m.places[a].part % f.a_bar, b - a)
                        if cell not in cells:
                            cells[cell] = steps.number(f.shared(i, m.places[a], m.places[b]))
                        table.append(cells[cell])
                    self.tables.append((np.array(table), long))
                    self.sizes.append(size)
                mine.append(known[key])
            self.steps.append(mine)
        self.names = names
        self.note_rows, self.step_rows = notes.matrix(), steps.matrix()

    def scores(self, w: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return self.note_rows @ w, self.step_rows @ w

    def step_scores(self, number: int, steps: np.ndarray) -> np.ndarray:
        """Return the scores of one table, from place to place, -infinity where no step leads."""
        shared, long = self.tables[number]
        table = np.full((self.sizes[number],) * 2, -np.inf)
        table[self.pairs[self.sizes[number]]] = steps[shared] + steps[long]
        return table

    def train(self, chosen: Sequence[int]) -> np.ndarray:
        """Return the weights learned from the chosen lines."""
        groups = defaultdict(list)
        for j in chosen:
            groups[len(self.lines[j].places)].append(j)
        batches = [Batch(self, sorted(js, key=lambda j: -len(self.lines[j].at))) for js in groups.values()]

        def objective(w):
            notes, steps = self.scores(w)
            on_notes, on_steps = np.zeros_like(notes), np.zeros_like(steps)
            value = sum(batch.loss(notes, steps, on_notes, on_steps) for batch in batches)
            slope = self.note_rows.T @ on_notes + self.step_rows.T @ on_steps
            return value + 0.5 * float(w @ w) / SPREAD**2, slope + w / SPREAD**2

        start = np.zeros(len(self.names))
        return minimize(objective, start, jac=True, method="L-BFGS-B", options={"maxiter": STEPS}).x

    def decode(self, j: int, scores: tuple[np.ndarray, np.ndarray], which: str) -> list[int]:
        """Return the path the program finds for a line with these scores, its ends pinned as told."""
        line, notes = self.lines[j], scores[0][self.notes[j]]
        made = {t: self.step_scores(t, scores[1]).tolist() for t in set(self.steps[j])}
        steps = [made[t] for t in self.steps[j]]
        for i in {"": [], "both": [0, len(line.at) - 1]}[which]:
            keep = notes[i, line.at[i]]
            notes[i] = -np.inf
            notes[i, line.at[i]] = keep

        def step(i, a, b):
            return None if steps[i][a][b] == -np.inf else steps[i][a][b]

        found = expected_best(notes.tolist(), step)
        assert found is not None
        return found[1]


class Batch:
    """Lines with equally many places, the longest first: their sums are worked out together."""

    def __init__(self, corpus: Corpus, chosen: list[int]):
        lines = [corpus.lines[j] for j in chosen]
        self.corpus, self.counts = corpus, [COUNTS.get(m.kind, 1.0) for m in lines]
        self.notes = [corpus.notes[j] for j in chosen]
        self.note_rows = np.concatenate([ids.ravel() for ids in self.notes])
        self.at = [m.at for m in lines]
        self.lengths = np.array([len(m.at) for m in lines])
        self.step_at: list[list[tuple[int, np.ndarray]]] = []  # of each step: its tables, and the lines of each
        for i in range(self.lengths[0] - 1):
            by_table = defaultdict(list)
            for row, j in enumerate(chosen):
                if i < len(corpus.steps[j]):
                    by_table[corpus.steps[j][i]].append(row)
            self.step_at.append([(t, np.array(rows)) for t, rows in by_table.items()])
        size = len(lines[0].places)
        where = np.full((size, size), -1)
        where[corpus.pairs[size]] = np.arange(len(corpus.pairs[size][0]))
        true = [(*corpus.tables[t], where[a, b], weight) for j, m, weight in zip(chosen, lines, self.counts, strict=True)
                for t, (a, b) in zip(corpus.steps[j], pairwise(m.at), strict=True)]  # fmt: skip
        self.true_steps = np.array([(shared[k], long[k]) for shared, long, k, _ in true]).ravel()
        self.true_counts = np.repeat([weight for *_, weight in true], 2)
        self.tables = sorted({t for step in self.step_at for t, _ in step})
        self.rows = np.concatenate([rows for t in self.tables for rows in corpus.tables[t]])

    def loss(self, notes: np.ndarray, steps: np.ndarray, on_notes: np.ndarray, on_steps: np.ndarray) -> float:
        """Return minus the log chance of the lines as sung; add its slopes in the scores of notes and steps."""
        count, weight = len(self.at), np.array(self.counts)
        most, size = self.lengths[0], self.notes[0].shape[1]
        tables = {t: np.exp(self.corpus.step_scores(t, steps)) for t in self.tables}
        local = np.ones((most, count, size))
        value = 0.0
        for row, ids in enumerate(self.notes):
            scores = notes[ids]
            top = scores.max(axis=1, keepdims=True)
            local[: len(ids), row] = np.exp(scores - top)
            truth = ids[np.arange(len(ids)), self.at[row]]
            value += weight[row] * float(top.sum() - notes[truth].sum())
            np.subtract.at(on_notes, truth, weight[row])  # two notes may share a row
        alive = [int((self.lengths > i).sum()) for i in range(most)]
        ahead, scale = np.zeros_like(local), np.ones((most, count))
        for i in range(most):
            if i == 0:
                ahead[0] = local[0]
            for t, rows in self.step_at[i - 1] if i else ():
                ahead[i, rows] = (ahead[i - 1, rows] @ tables[t]) * local[i, rows]
            scale[i, : alive[i]] = ahead[i, : alive[i]].sum(axis=1) + TINY
            ahead[i, : alive[i]] /= scale[i, : alive[i], None]
        value += float((np.log(scale) @ weight).sum() - self.true_counts @ steps[self.true_steps])
        on_steps -= np.bincount(self.true_steps, self.true_counts, len(on_steps))
        behind = np.ones_like(local)
        used = {t: np.zeros((size, size)) for t in tables}
        for i in range(most - 2, -1, -1):
            later = behind[i + 1] * local[i + 1]
            for t, rows in self.step_at[i]:
                back = later[rows] @ tables[t].T
                total = (ahead[i, rows] * back).sum(axis=1) + TINY
                used[t] += (ahead[i, rows] * (weight[rows] / total)[:, None]).T @ later[rows]
                behind[i, rows] = back / (back.max(axis=1, keepdims=True) + TINY)
        pairs = self.corpus.pairs[size]
        expected = [(used[t] * table)[pairs] for t, table in tables.items()]
        expected = np.concatenate([values for values in expected for _ in ("shared", "long")])
        on_steps += np.bincount(self.rows, expected, len(on_steps))
        chances = ahead * behind
        chances *= weight[:, None] / (chances.sum(axis=2, keepdims=True) + TINY)
        at_notes = np.concatenate([chances[: len(ids), row].ravel() for row, ids in enumerate(self.notes)])
        on_notes += np.bincount(self.note_rows, at_notes, len(on_notes))
        return value


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


def cross_validate(corpus: Corpus, folds: int, seed: int) -> dict:
    songs = sorted({m.record["song"] for m in corpus.lines})
    random.Random(seed).shuffle(songs)
    fold = {s: i % folds for i, s in enumerate(songs)}
    of = [fold[m.record["song"]] for m in corpus.lines]
    found: dict[tuple, list] = defaultdict(list)
    for k in range(folds):
        scores = corpus.scores(corpus.train([j for j, own in enumerate(of) if own != k]))
        for j, m in enumerate(corpus.lines):
            if of[j] == k and m.kind != "rewritten":
                for which in ("", "both"):
                    found[m.record["file"], m.kind, which].append((m, corpus.decode(j, scores, which)))
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


def rewritten(record: dict) -> Iterator[dict]:
    """Yield a nursery line's rhythm as it would be written in other metres, up to four bars."""
    bars, eighths = record["bars"], record["pos"]
    ways = {
        "4/4": [("2/4", 2, 1.0), ("2/4", 1, 0.5)],
        "2/4": [("4/4", 0.5, 1.0), ("4/4", 1, 2.0)],
        "6/8": [("3/4", 2, 2.0)],
        "3/4": [("6/8", 0.5, 0.5)],
    }
    for metre, longer, slower in ways.get(record["metre"], []) if record["kind"] == "nursery" else []:
        pos = [p * slower for p in eighths]
        if bars * longer in (1, 2, 3, 4) and all((2 * p).is_integer() for p in pos):
            yield {**record, "metre": metre, "bars": int(bars * longer), "pos": pos, "kind": "rewritten"}


def load(paths: list[Path], reader=utterance_of) -> Corpus:
    seen: dict[str, dict] = {}
    for record in [{**r, "file": path.name} for path in paths for r in records_of(path)]:
        seen.setdefault(record["text"].lower(), record)  # the same line in two files counts once
    records = [*seen.values(), *(again for r in seen.values() for again in rewritten(r))]
    return Corpus([m for m in (Line(r, reader) for r in records) if m.usable])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("lines", type=Path, nargs="*")
    parser.add_argument("--write", type=Path)
    parser.add_argument("--folds", type=int, default=5)
    parser.add_argument("--seed", type=int, default=7, help="another one shares the songs out otherwise")
    options = parser.parse_args()
    corpus = load([*options.lines, NURSERY])
    print(sum(m.kind != "rewritten" for m in corpus.lines), "lines,", len(corpus.names), "features")
    if options.folds:
        report(cross_validate(corpus, options.folds, options.seed))
    if options.write:
        w = corpus.train(range(len(corpus.lines)))
        kept = {k: round(float(w[i]), 3) for k, i in sorted(corpus.names.items()) if abs(w[i]) >= 0.02}
        text = json.dumps({"source": "learned by tests/bench/train_setting.py", "weights": kept}, indent=0)
        options.write.parent.mkdir(exist_ok=True)
        options.write.write_text(text + "\n", "utf-8")
        print(len(kept), "weights written")


if __name__ == "__main__":
    main()
