"""Clips in parts small enough for paper: what is asked now, spare handles, beats, groups, verdicts."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from tests.export.plans import clip_of, line, plan_of
from timing.clips.budget import Limit
from timing.clips.plan import Handles, _asked_now, _on_beat, _spare, plan_clips
from timing.clips.savings import make_savings
from timing.clips.sharing import _run
from timing.clips.split import Part, split_picture
from timing.model import LineKind, Origin, Song
from timing.model.clock import FrameRate
from timing.model.metre import Metre
from timing.model.month import Allowance
from timing.model.settings import ClipProfile, EpisodeSettings

RATE = FrameRate(F(24))
MENU = ClipProfile("default", (F(3), F(5), F(8)), head=F(1, 4), tail=F(1, 2))


def test_a_kept_part_asks_for_the_length_it_takes_now() -> None:
    """Ten words of 0.4 s: words 2 to 8 are six, 2.4 s, after a part's seam 0, before the next its tail of 0.5: 2.9 s."""
    one = line("1", "a b c d e f g h i j", 10, RATE)
    assert _asked_now(one, Part(2, 8, F(8)), MENU, F(1)) == Part(2, 8, F(3))
    assert _asked_now(one, Part(2, 8, F(3)), MENU, F(2)) == Part(2, 8, F(8))  # 4.8 + 0.5
    assert _asked_now(one, Part(0, 8, F(3)), MENU, F(1)) == Part(0, 8, F(5))  # 0.25 + 3.2 + 0.5
    assert _asked_now(one, Part(2, 8, F(5)), MENU, F(4)) == Part(2, 8, F(5))  # nothing holds 10.1 s: as it was


def test_what_more_there_is_of_a_clip() -> None:
    """Four words: 1.6 s, on screen for 2.35 of the 3 s asked for: 0.65 s on either side."""
    clip = clip_of(line("1", "a b c d", 10, RATE), RATE, MENU)
    assert _spare(clip, {}) == (F("0.65"), F("0.65"))
    assert _spare(replace(clip, ask=F(2)), {}) == (0, 0)
    assert _spare(replace(clip, ask=None), {}) == (0, 0)
    assert _spare(clip, {"C01": Handles(F(1), F("0.6"))}) == (F("0.75"), F("0.1"))
    assert _spare(clip, {"C01": Handles(F("0.1"), F("0.1"))}) == (0, 0)
    assert _spare(replace(clip, kind=LineKind.PICTURE), {}) == (0, 0)


def test_a_cut_goes_to_the_nearest_bar_line_else_beat() -> None:
    beats = tuple(F(n, 2) for n in range(9))
    song = Song("tide", F(120), Metre(4, 4), F(0), F(9, 2), beats, (F(0), F(2), F(4)), Origin.PINNED)
    assert _on_beat(F("1.2"), F(1), F(3), song) == 2
    assert _on_beat(F("1.2"), F(0), F(3), song) == 2  # 0.8 away, and 0 is 1.2
    assert _on_beat(F("0.9"), F(0), F(2), song) == 0
    assert _on_beat(F("1.2"), F("0.6"), F("1.9"), song) == 1
    assert _on_beat(F("1.3"), F(1), F("1.5"), song) == F("1.5")
    assert _on_beat(F("1.2"), F("1.1"), F("1.4"), song) == F("1.2")


def test_a_clip_is_one_frame_long_at_least() -> None:
    none = ClipProfile("default", (F(3),), head=F(0), tail=F(0))
    settings = EpisodeSettings(profiles={"default": none})
    (clip,) = plan_clips([line("1", "a", 1, RATE, a_word="0.01")], settings).clips
    assert (clip.start_frame, clip.end_frame) == (24, 25)


def test_lines_that_may_share_are_counted_from_the_first() -> None:
    settings = EpisodeSettings(share_short_lines=True)
    lines = [line(str(n), "a b", n, RATE) for n in range(1, 5)]
    lines.append(replace(line("5", "a b", 5, RATE), speaker="BRAM"))
    assert [_run(lines, at, settings, {}, {}) for at in range(5)] == [4, 3, 2, 1, 1]
    assert _run(lines, 1, settings, {"3": ()}, {}) == 1
    assert _run(lines, 0, settings, {"3": ()}, {}) == 2
    assert _run(lines, 1, settings, {}, {"4": 2}) == 2


@pytest.mark.parametrize(
    ("length", "clips"),
    [("2", [("2", "3")]), ("3", [("3", "3")]), ("8", [("8", "8")]), ("8.8", [("4.4", "5"), ("4.4", "5")]),
     ("11", [("8", "8"), ("3", "3")]), ("12", [("96/13", "8"), ("60/13", "5")])],
)  # fmt: skip
def test_a_passage_is_shared_out_in_proportion_to_what_is_asked_for(length: str, clips: list[tuple[str, str]]) -> None:
    """8.8 s need two clips: of 3 + 8, 5 + 5 and so on the least that holds it is 5 + 5; of 12 s it is 8 + 5."""
    assert split_picture(F(length), MENU) == tuple((F(a), F(b)) for a, b in clips)


def test_a_passage_of_many_clips_asks_for_the_longest_but_for_the_last_eight() -> None:
    """75 s: ten clips of 8 s would be 80, nine hold 72 only; with ten the least that holds 75 is 75 (nine 8s and a 3)."""
    found = split_picture(F(75), MENU)
    assert [ask for _, ask in found] == [8] * 9 + [3]
    assert sum(length for length, _ in found) == 75


def limit(needed: int, allowed: int, still: int, left: int | None) -> Limit:
    return Limit(
        Allowance(None, "seconds", F(allowed), ("default",)),
        F(needed),
        (),
        None,
        F(still),
        None if left is None else F(left),
    )


def test_months_and_what_lacks_of_an_allowance() -> None:
    assert limit(90, 60, 0, None).months == F(3, 2)
    assert limit(90, 60, 50, 20).lacking == 30
    assert limit(90, 60, 20, 20).lacking == 0
    assert limit(90, 60, 50, None).lacking == 0


def test_lines_that_could_share_a_generation_are_told_with_what_that_saves() -> None:
    """Two lines of 0.8 s, 0.2 s apart, estimated with no range: 1.8 s and handles of 0.75 need 2.55 s: one of 3 s
    in place of two: 3 s less, 21 with seven takes. A line that nothing holds shares with none."""
    profile = replace(MENU, takes=7, cost_per_s=F(1, 10))
    settings = EpisodeSettings(profiles={"default": profile})
    plan = plan_of([line("1", "a b", 1, RATE), line("2", "a b", 2, RATE)], settings)
    (one,) = make_savings(plan).together
    assert (one.lines, one.asks, one.to, one.saves, one.cost) == (("1", "2"), (3, 3), 3, 21, F("2.1"))
    lost = replace(plan, clips=(replace(plan.clips[0], ask=None), plan.clips[1]))
    assert make_savings(lost).together == ()
