"""Frame edges: halves up from the start of the episode, at least one frame a syllable, never beyond the line."""

import itertools
from fractions import Fraction as F

from hypothesis import given
from hypothesis import strategies as st

from timing.episode.frame_edges import framed
from timing.model import Origin, TimedLine, TimedSyllable, TimedWord
from timing.model.clock import FrameRate

rates = st.sampled_from(["12", "23.976", "24", "25", "29.97", "30", "60"]).map(FrameRate.parse)


def line_of(start, parts):
    words, at = [], start
    for length, gap in parts:
        at += gap
        words.append(TimedWord("a", "a", (TimedSyllable("a", at, at + length, Origin.MEASURED),)))
        at += length
    span = at - start
    return TimedLine(tuple(words), Origin.MEASURED, span, span)


lengths = st.tuples(st.integers(5, 900), st.sampled_from([0, 0, 0, 3, 40, 200])).map(
    lambda t: (F(t[0], 1000), F(t[1], 1000))
)


@given(st.integers(0, 10_000_000), st.lists(lengths, min_size=1, max_size=25), rates)
def test_frames_of_a_line(start, parts, rate):
    line = line_of(F(start, 1000), parts)
    syllables = framed(line, rate).syllables
    assert all(s.end_frame - s.start_frame >= 1 for s in syllables)
    for before, after in itertools.pairwise(syllables):
        assert before.end_frame <= after.start_frame
        if before.end == after.start:
            assert before.end_frame == after.start_frame
    assert syllables[0].start_frame == rate.frame_at(line.start)
    room = rate.frame_at(line.end) - rate.frame_at(line.start)
    if room >= len(syllables):
        assert syllables[-1].end_frame == rate.frame_at(line.end)


@given(st.integers(0, 1_000_000), st.lists(lengths, min_size=1, max_size=25), rates)
def test_edges_stay_where_they_belong_when_every_syllable_has_room(start, parts, rate):
    parts = [(length + F(1, 6), gap) for length, gap in parts]  # at least two frames at 12 fps
    line = line_of(F(start, 1000), parts)
    for syllable in framed(line, rate).syllables:
        assert syllable.start_frame == rate.frame_at(syllable.start)
        assert syllable.end_frame == rate.frame_at(syllable.end)


def test_an_edge_gives_way_by_one_frame_only():
    rate = FrameRate.parse(24)
    line = line_of(F(0), [(F(4, 24), F(0)), (F(1, 100), F(0)), (F(4, 24), F(0))])
    frames = [(s.start_frame, s.end_frame) for s in framed(line, rate).syllables]
    assert frames == [(0, 4), (4, 5), (5, 8)]
