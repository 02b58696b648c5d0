"""Finds where the notes of a line most likely lie.

In: scores of notes at places and of steps between them. Out: the path with the greatest expected number of notes in
their right place. The scores make a chain of probabilities (a conditional random field); forward and backward sums
give each note's chance at each place (L. Rabiner, "A tutorial on hidden Markov models", 1989, section III), and the
path takes the greatest sum of chances. (Sharpened chances, nearer to the single likeliest path, set a few more whole
lines right on songs that were not learned from, and fewer stressed syllables on their beat.)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import exp, inf, log

Step = Callable[[int, int, int], float | None]  # (note, place of it, place of the next) -> score, None: not allowed


def expected_best(notes: Sequence[Sequence[float]], step: Step) -> tuple[float, list[int]] | None:
    """Return (log of the sum over all paths, best path), None when no path is allowed.

    ``notes[i][k]`` scores note i at place k, -infinity where it may not be. Steps lead to later places only.
    """
    count, places = len(notes), range(len(notes[0]))
    ahead = [list(notes[0])]
    edges: list[list[list[tuple[int, float]]]] = []  # for each step and later place: (earlier place, score)
    for i in range(1, count):
        into: list[list[tuple[int, float]]] = []
        row = []
        for b in places:
            found = []
            if notes[i][b] > -inf:
                for a in range(b):
                    if ahead[-1][a] > -inf and (score := step(i - 1, a, b)) is not None:
                        found.append((a, score))
            into.append(found)
            row.append(notes[i][b] + _log_sum([ahead[-1][a] + score for a, score in found]) if found else -inf)
        ahead.append(row)
        edges.append(into)
    total = _log_sum(ahead[-1])
    if total == -inf:
        return None
    behind = [[0.0] * len(notes[0])]
    for i in range(count - 2, -1, -1):
        out: list[list[float]] = [[] for _ in places]
        for b in places:
            for a, score in edges[i][b]:
                out[a].append(score + notes[i + 1][b] + behind[-1][b])
        behind.append([_log_sum(values) for values in out])
    behind.reverse()
    return total, _path(
        [[_chance(f + g - total) for f, g in zip(ahead[i], behind[i], strict=True)] for i in range(count)], edges
    )


def _path(chances: Sequence[Sequence[float]], edges: Sequence[Sequence[Sequence[tuple[int, float]]]]) -> list[int]:
    """Return the allowed path with the greatest sum of chances."""
    score = [c if c > 0 else -inf for c in chances[0]]
    back = []
    for i, into in enumerate(edges, 1):
        fresh, chosen = [], []
        for b, found in enumerate(into):
            best = max((a for a, _ in found), key=score.__getitem__, default=-1)
            fresh.append(score[best] + chances[i][b] if best >= 0 and chances[i][b] > 0 else -inf)
            chosen.append(best)
        score = fresh
        back.append(chosen)
    at = max(range(len(score)), key=score.__getitem__)
    path = [at]
    for chosen in reversed(back):
        path.append(chosen[path[-1]])
    return path[::-1]


def _chance(log_chance: float) -> float:
    # Never quite nothing for an allowed place, so that a path of allowed places is always found.
    return exp(min(log_chance, 0.0)) + 1e-12 if log_chance > -inf else 0.0


def _log_sum(values: Sequence[float]) -> float:
    top = max(values, default=-inf)
    if top == -inf:
        return -inf
    return top + log(sum(exp(v - top) for v in values))
