"""The clip planner against exhaustive search, and by hand."""

from fractions import Fraction as F
from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from timing.clips.split import CUT_PENALTY, split_picture, split_words, syllables_to_cut
from timing.model import Break
from timing.model.settings import ClipProfile


def exhaustive(starts, ends, breaks, profile):
    """Every set of cuts, judged by the order of wishes in plain words; returns the least cost."""
    count = len(starts)
    places = [i for i in range(1, count) if breaks[i - 1] != Break.NEVER]
    costs = []
    for size in range(len(places) + 1):
        for cuts in combinations(places, size):
            bounds = [0, *cuts, count]
            unfit, asked, squares, legal = 0, F(0), F(0), True
            for a, b in pairwise(bounds):
                length = ends[b - 1] - starts[a]
                # A later part has no head; an earlier one holds on through the pause, for both handles at most.
                need = length + (0 if a else profile.head) + profile.tail
                if b < count and starts[b] - ends[b - 1] > profile.tail:
                    need += min(starts[b] - ends[b - 1] - profile.tail, profile.head)
                fits = [n for n in profile.lengths if n >= need]
                if fits:
                    asked += min(fits)
                else:
                    unfit += 1
                    # what fits nothing is allowed only where it cannot be cut
                    legal &= all(breaks[i] == Break.NEVER for i in range(a, b - 1))
                squares += length * length
            if legal:
                penalty = sum(CUT_PENALTY[breaks[c - 1]] for c in cuts)
                costs.append((unfit, len(bounds) - 1, asked, penalty, squares))
    return min(costs)


def cost_of(parts, starts, ends, breaks):
    lengths = [ends[p.last - 1] - starts[p.first] for p in parts]
    return (
        sum(p.ask is None for p in parts),
        len(parts),
        sum((p.ask or F(0) for p in parts), F(0)),
        sum(CUT_PENALTY[breaks[p.first - 1]] for p in parts[1:]),
        sum((n * n for n in lengths), F(0)),
    )


words = st.lists(
    st.tuples(st.integers(1, 40), st.integers(0, 12), st.sampled_from(list(Break))), min_size=1, max_size=9
)
menus = st.lists(st.integers(2, 9), min_size=1, max_size=4).map(
    lambda n: ClipProfile(lengths=tuple(map(F, n)), head=F(1, 4), tail=F(7, 20))
)


@given(words, menus)
def test_planner_agrees_with_exhaustive_search(drawn, profile):
    starts, ends, breaks, at = [], [], [], F(0)
    for length, gap, quality in drawn:
        starts.append(at)
        ends.append(at + F(length, 10))
        breaks.append(quality)
        at = ends[-1] + F(gap, 10)
    parts = split_words(starts, ends, breaks, profile)
    assert [p.first for p in parts] == [0, *[p.last for p in parts[:-1]]]
    assert parts[-1].last == len(starts)
    assert cost_of(parts, starts, ends, breaks) == exhaustive(starts, ends, breaks, profile)


@given(st.integers(1, 900), menus)
def test_picture_passages_are_covered_by_the_fewest_clips(tenths, profile):
    length = F(tenths, 10)
    parts = split_picture(length, profile)
    assert sum(n for n, _ in parts) == length
    assert all(0 < n <= ask and ask in profile.lengths for n, ask in parts)
    assert len(parts) == -(-length // profile.longest)


def test_picture_of_nine_seconds_asks_for_nine_not_eleven():
    assert sum(ask for _, ask in split_picture(F(9), ClipProfile())) == 9  # 5 + 4, not 8 + 3


def test_syllables_to_cut_by_hand():
    # 8.3 s of speech, 36 syllables, 8 s menu, 0.6 s of handles: (8.3 + 0.6 - 8) * 36 / 8.3 = 3.9 -> 4
    assert syllables_to_cut(F("8.3"), 36, ClipProfile()) == 4
    assert syllables_to_cut(F("7.4"), 36, ClipProfile()) == 0


def test_article_and_noun_stay_together_even_where_the_cut_would_be_more_even():
    starts, ends = [F(0), F(3), F(4)], [F(3), F(4), F(7)]
    profile = ClipProfile(lengths=(F(5),), head=F(0), tail=F(0))
    parts = split_words(starts, ends, [Break.WORD, Break.NEVER, Break.SENTENCE], profile)
    assert [(p.first, p.last) for p in parts] == [(0, 1), (1, 3)]
