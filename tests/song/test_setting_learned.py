"""How the weights of text setting are learned: chances against all settings written out, slopes against differences."""

from itertools import combinations
from math import exp, log

import numpy as np
import pytest

from tests.bench.train_setting import Batch, Corpus, Line, rewritten, utterance_of

# Traditional, rhythm from memory.
RAIN = {"song": "Rain", "lang": "en", "metre": "2/4", "bars": 1, "text": "rain rain rain", "pos": [0.0, 1.0, 2.0],
        "kind": "nursery"}  # fmt: skip
AWAY = {**RAIN, "text": "go a-way", "pos": [-1.0, 0.0, 2.0]}
TWINKLE = {**RAIN, "metre": "4/4", "bars": 2, "text": "twin-kle twin-kle lit-tle star", "pos": [0, 2, 4, 6, 8, 10, 12]}


def learned_from(*records):
    corpus = Corpus([Line({**r, "kind": "song"}, utterance_of) for r in records])  # a song counts once
    return corpus, np.random.default_rng(1).normal(0, 0.3, len(corpus.names))


def loss(corpus, weights):
    notes, steps = corpus.scores(weights)
    on_notes, on_steps = np.zeros_like(notes), np.zeros_like(steps)
    value = Batch(corpus, list(range(len(corpus.lines)))).loss(notes, steps, on_notes, on_steps)
    return value, corpus.note_rows.T @ on_notes + corpus.step_rows.T @ on_steps


@pytest.mark.parametrize("record", [RAIN, AWAY])
def test_a_lines_chance_is_its_share_of_all_settings(record):
    corpus, weights = learned_from(record)
    line = corpus.lines[0]
    given = dict(zip(corpus.names, weights, strict=True))

    def score(path):
        at = [line.places[k] for k in path]
        keys = [key for i, place in enumerate(at) for key in line.features.note(i, place)]
        keys += [key for i in range(2) for key in line.features.step(i, at[i], at[i + 1])]
        return sum(given[key] for key in keys)

    everything = sum(exp(score(path)) for path in combinations(range(len(line.places)), 3))
    assert loss(corpus, weights)[0] == pytest.approx(log(everything) - score(line.at))


def test_slopes_are_those_of_the_chance():
    corpus, weights = learned_from(TWINKLE)
    # Weak syllables of Twinkle on the same kind of beat share their features.
    way = np.random.default_rng(2).normal(0, 1, len(weights))
    rise = (loss(corpus, weights + 1e-5 * way)[0] - loss(corpus, weights - 1e-5 * way)[0]) / 2e-5
    assert loss(corpus, weights)[1] @ way == pytest.approx(rise, rel=1e-5)


def test_a_rhythm_in_another_metre_keeps_its_proportions():
    found = {(r["metre"], r["bars"]): r["pos"] for r in rewritten(TWINKLE)}
    assert found == {("2/4", 4): TWINKLE["pos"], ("2/4", 2): [0, 1, 2, 3, 4, 5, 6]}
    jig = {**TWINKLE, "metre": "6/8", "pos": [-1, 0, 2, 3, 5, 6]}
    assert [(r["metre"], r["bars"], r["pos"]) for r in rewritten(jig)] == [("3/4", 4, [-2, 0, 4, 6, 10, 12])]
    assert list(rewritten({**TWINKLE, "kind": "art-en"})) == []
