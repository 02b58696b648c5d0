"""What stands between two lines of one song: the bars decide how much room there is. Four four at 120: a bar is 2 s.

The first line's cue is bar 1, the second's bar 5, so it begins at 8 s. Handles by default: 0.25 s before, 0.35 s after.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import timing
from timing.model import LineKind

SONG = '[song.a]\nbpm = 120\nmetre = "4/4"\n'


def planned(tmp_path, between, bar=5):
    (tmp_path / "episode.toml").write_text(SONG)
    sung = "\n[[song a, bar {}]]\nTANSY:\n~ {}@1 two three four\n\n"
    (tmp_path / "script.txt").write_text("Title: T\n" + sung.format(1, "one") + between + sung.format(bar, "five"))
    return timing.plan(tmp_path)


def test_a_picture_fills_the_room_that_the_bars_leave(tmp_path):
    first, picture, second = planned(tmp_path, "A wave rolls in.\n").lines
    assert second.start == 8  # bars 1 to 4 take 4 x 2 s
    # It begins when the first line's tail is over and ends where the second's head begins.
    assert (picture.kind, picture.start, picture.end) == (LineKind.PICTURE, first.end + Fraction(35, 100), 7.75)


def test_without_room_it_lies_under_the_singing_and_has_no_clip(tmp_path):
    plan = planned(tmp_path, "A wave rolls in.\n", bar=3)  # from 4 s: less than a picture's least after 3.75 + 0.35 s
    _, picture, second = plan.lines
    assert (picture.start, picture.end) == (second.start, second.end)
    assert [f.code for f in picture.findings] == ["picture-under-song"]
    assert [clip.line for clip in plan.clips] == ["1", "3"]


def test_a_length_noted_beside_it_is_kept(tmp_path):
    picture = planned(tmp_path, "[[1.5 s]]\nA wave rolls in.\n").lines[1]
    assert picture.end - picture.start == 1.5


def test_a_wait_there_moves_no_bar_and_says_so(tmp_path):
    _first, wait, second = planned(tmp_path, "(waits 2 s for an answer)\n").lines
    assert second.start == 8
    assert wait.end - wait.start == 2
    assert [f.code for f in wait.findings] == ["pause-alone"]


@pytest.mark.parametrize("bars", [1, 2])
def test_a_length_in_bars_is_the_songs(tmp_path, bars):
    picture = planned(tmp_path, f"[[{bars} bars]]\nA wave rolls in.\n", bar=9).lines[1]
    assert picture.end - picture.start == 2 * bars
