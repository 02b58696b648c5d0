"""Clips of a plan: shared generations, songs cut at bars, handles that meet, findings."""

import json
import tempfile
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.export import plans
from timing.clips.plan import plan_clips
from timing.clips.sharing import cheapest_groups
from timing.export.cutting import cut_tracks
from timing.export.delivery import Target
from timing.export.requests import request_text
from timing.memory.clips_toml import remember
from timing.model import LineKind
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.settings import DELIVERIES, ClipProfile, EpisodeSettings
from timing.pipeline import plan_source


def episode(tmp_path, script, toml=""):
    (tmp_path / "script.fountain").write_text(script, "utf-8")
    (tmp_path / "episode.toml").write_text(toml, "utf-8")
    return plan_source(tmp_path)


RATE = FrameRate(Fraction(24))
SHORT = "TANSY\nQuick, Bram.\n\nTANSY\nThe tide!\n\nBRAM\nI am coming.\n"


def test_short_speeches_of_one_speaker_share_a_generation_when_asked_to(tmp_path):
    apart = episode(tmp_path, SHORT)
    assert [c.id for c in apart.clips] == ["C01", "C02", "C03"]
    together = episode(tmp_path, SHORT, "share_short_lines = true\n")
    assert [(c.id, c.lines) for c in together.clips] == [("C01", ("1", "2")), ("C03", ("3",))]
    first = together.clips[0]
    assert first.speech == together.lines[1].end - together.lines[0].start
    assert first.findings[0].code == "shared"
    assert together.totals.ask < apart.totals.ask


def sung(line_id, start, seconds, **more):
    """A sung line of words of half a second, or of ``seconds`` in all."""
    return plans.line(
        line_id, "Out and in", start, RATE, LineKind.SUNG, a_word=Fraction(seconds) / 3, song="tide", **more
    )


def shared_asks(lines, profile, **more):
    own = EpisodeSettings(profiles={"own": profile}, default_profile="own", share_short_lines=True, **more)
    return [(c.lines, c.ask) for c in plan_clips(lines, own).clips]


def test_sung_neighbours_share_a_generation_where_that_is_cheaper():
    """4.3 s and 0.6 s of handles: 4.9 s, so 8 s each; together 4.3 + 4.3 + 0.6 = 9.2 s, so 10 s in place of 16."""
    profile = ClipProfile("own", (Fraction(8), Fraction(10)))
    lines = [sung("1", "1", "4.3"), sung("2", "5.3", "4.3")]
    assert shared_asks(lines, profile) == [(("1", "2"), 10)]
    # On a menu with 5 they ask for 5 + 5 apart, which is no more than 10: they stay apart.
    menu = ClipProfile("own", (Fraction(5), Fraction(8), Fraction(10)))
    assert shared_asks(lines, menu) == [(("1",), 5), (("2",), 5)]
    # Paid by the generation, one is cheaper than two.
    each = ClipProfile("own", (Fraction(5), Fraction(10)), price_each=Fraction(3))
    assert shared_asks(lines, each) == [(("1", "2"), 10)]
    # Without a limit what counts is how many there are to wait for.
    free = ClipProfile("own", (Fraction(5), Fraction(10)), unlimited=True)
    assert shared_asks(lines, free) == [(("1", "2"), 10)]


def test_lines_of_others_scenes_songs_and_kinds_do_not_share():
    profile = ClipProfile("own", (Fraction(8), Fraction(10)))
    one = sung("1", "1", "4")
    for other in (
        sung("2", "5", "4", speaker="BRAM"), sung("2", "5", "4", scene="INT. CAVE"), sung("2", "5", "4", is_dual=True),
        replace(sung("2", "5", "4"), song="other"), replace(sung("2", "5", "4"), still="close"),
        plans.line("2", "Out and in", "5", RATE),
    ):  # fmt: skip
        assert len(shared_asks([one, other], profile)) == 2


def test_where_each_line_begins_is_said():
    profile = ClipProfile("own", (Fraction(8), Fraction(10)), head=Fraction(1, 4))
    own = EpisodeSettings(profiles={"own": profile}, default_profile="own", share_short_lines=True)
    lines = [sung("1", "1", "4.3"), sung("2", "5.5", "4.3")]  # the second begins 4.5 s after the first, and 4.75 in
    planned = plan_clips(lines, own)
    (clip,) = planned.clips
    assert clip.findings[0].message == (
        "one generation holds lines 1, 2 of TANSY: line 1 begins at 0.25 s, line 2 begins at 4.75 s"
    )
    assert clip.findings[0].facts == {"begins_s": {"1": 0.25, "2": 4.75}}
    plan = replace(plans.plan_of(lines, own), clips=planned.clips)
    assert "from 0.25 s: Out and in\nfrom 4.75 s: Out and in\n" in request_text(plan, clip)


@given(
    st.lists(st.tuples(st.integers(2, 40), st.integers(0, 20)), min_size=1, max_size=7),
    st.sets(st.integers(2, 12), min_size=1, max_size=4),
)
def test_no_grouping_is_cheaper_than_the_one_chosen(parts, menu):
    """Against every way to divide the run, each group priced by its seconds on the menu."""
    at, lines = Fraction(0), []
    for n, (tenths, gap) in enumerate(parts, 1):
        lines.append(sung(str(n), at, Fraction(tenths, 10)))
        at += Fraction(tenths + gap, 10)
    profile = ClipProfile("own", tuple(Fraction(n) for n in menu))
    own = EpisodeSettings(profiles={"own": profile}, default_profile="own", share_short_lines=True)

    def seconds(group):
        ask = profile.ask_for(profile.head + group[-1].end - group[0].start + profile.tail)
        return (0 if len(group) == 1 else None) if ask is None else ask

    chosen = cheapest_groups(lines, own)
    assert [line for group in chosen for line in group] == lines
    ways = []
    for cuts in range(2 ** (len(lines) - 1)):
        edges = [0, *(n + 1 for n in range(len(lines) - 1) if cuts >> n & 1), len(lines)]
        asks = [seconds(lines[a:b]) for a, b in pairwise(edges)]
        if None not in asks:
            ways.append(sum(asks))
    assert sum(seconds(group) for group in chosen) == min(ways)


def test_lines_that_came_back_in_one_clip_stay_together(tmp_path):
    """However the estimates move: only changed words are asked for again."""
    toml = "share_short_lines = true\n[profile.own]\nlengths = [8, 10]\n"
    plan = episode(tmp_path, SHORT, toml)
    assert plan.clips[0].lines == ("1", "2")
    remember(plan, tmp_path)
    (tmp_path / "clips").mkdir()
    (tmp_path / "clips" / "C01.mp4").write_bytes(b"x")
    remember(plan, tmp_path)
    again = episode(tmp_path, SHORT, toml.replace("[8, 10]", "[2, 3, 10]"))  # now 2 + 2 is no more than 3
    assert again.clips[0].lines == ("1", "2")
    other = episode(tmp_path, SHORT.replace("tide", "sea"), toml.replace("[8, 10]", "[2, 10]"))
    assert [c.lines for c in other.clips] == [("1",), ("2",), ("3",)]


def test_a_word_too_long_for_the_menu_is_a_finding(tmp_path):
    plan = episode(tmp_path, "TANSY\nNo.\n\nTANSY\nSuperextraunbelievableness.\n", "[profile.x]\nlengths = [1]\n")
    assert plan.clips[-1].ask is None
    assert plan.clips[-1].slack is None
    assert plan.clips[-1].findings[0].code == "no-length-holds-it"
    json.dumps(plan.to_json())


def test_clips_do_not_overlap_on_the_screen(tmp_path):
    plan = episode(tmp_path, SHORT, "[gaps]\nline_s = 0.2\n")
    for before, after in zip(plan.clips, plan.clips[1:], strict=False):
        assert before.end_frame <= after.start_frame
        assert before.speech_end <= before.end
        assert after.start <= after.speech_start


def test_two_speakers_at_once_may_overlap(tmp_path):
    plan = episode(tmp_path, "TANSY\nThe sea is here!\n\nBRAM ^\nThe sea is back!\n")
    assert plan.lines[0].start == plan.lines[1].start
    assert plan.lines[1].is_dual


def test_seven_cuts_in_a_second_are_a_flashing_caution(tmp_path):
    pictures = "\n\n".join(f"[[3 frames]]\nPebble {n}." for n in range(9))
    plan = episode(tmp_path, pictures + "\n\nTANSY\nOh!\n")
    assert [f.code for f in plan.findings] == ["cuts-close"]
    calm = episode(tmp_path, pictures.replace("[[3 frames]]", "[[1 s]]") + "\n\nTANSY\nOh!\n")
    assert not calm.findings


@pytest.mark.parametrize(("fit_by", "longer"), [("high", True), ("likely", False)])
def test_lengths_are_asked_for_by_the_end_of_the_range_that_is_set(tmp_path, fit_by, longer):
    text = "TANSY\nWhere does the sea go when it goes out so far?\n"
    menu = "[profile.x]\nlengths = [1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5]\n"
    plan = episode(tmp_path, text, f'fit_by = "{fit_by}"\n{menu}')
    line, clip = plan.lines[0], plan.clips[0]
    assert (clip.ask >= clip.head + line.high + clip.tail) is longer
    assert clip.ask >= clip.need


def test_sung_lines_hang_on_the_bars_of_their_song(tmp_path):
    script = "TANSY\n[[song tide, bar 1]]\n~ Out and in the sea goes\n\nBRAM\nHa!\n\nTANSY\n[[song tide, bar 5]]\n~ Out and in again\n"
    plan = episode(tmp_path, script, "[song.tide]\nbpm = 96\n")
    song = plan.songs[0]
    for line, bar in ((plan.lines[0], 1), (plan.lines[2], 5)):
        on_beat_one = [s for s in line.syllables if s.bar == bar and s.beat == 1]
        assert all(s.start == song.downbeats[bar - 1] for s in on_beat_one)
    # 96 bpm at 24 frames a second: 15 frames a beat (M. Mayerson's formula, 1440 / bpm), 60 a bar
    frames = [plan.rate.frame_at(d - song.start) for d in song.downbeats]
    assert {b - a for a, b in zip(frames, frames[1:], strict=False)} == {60}


def test_a_song_that_episode_toml_does_not_know_is_named_with_its_nearest(tmp_path):
    from timing.plain.errors import ScriptError

    with pytest.raises(ScriptError, match='did you mean "out-and-in"'):
        episode(tmp_path, "TANSY\n[[song out-an-in]]\n~ La la la\n", "[song.out-and-in]\nbpm = 96\n")


SLOW = "TANSY\nOne shell, [[pause 1.2 s]] two shells, [[pause 1.2 s]] three shells, and [[pause 1.2 s]] four.\n"


def test_a_pause_inside_a_split_line_is_covered_by_its_clips(tmp_path):
    plan = episode(tmp_path, SLOW, "[profile.x]\nlengths = [3, 5]\nhead_s = 0.1\ntail_s = 0.1\n")
    parts = [c for c in plan.clips if c.line == "1"]
    assert len(parts) > 1
    assert all(a.end_frame == b.start_frame for a, b in zip(parts, parts[1:], strict=False))
    assert all(c.end - c.start <= c.ask for c in parts)
    assert not [f for f in plan.lines[0].findings if f.code == "no-picture"]


def test_a_gap_that_no_clip_can_cover_is_told(tmp_path):
    plan = episode(tmp_path, SLOW.replace("1.2", "9"), "[profile.x]\nlengths = [3]\nhead_s = 0.1\ntail_s = 0.1\n")
    (first, *_) = [f for f in plan.lines[0].findings if f.code == "no-picture"]
    assert first.facts["before"] == "C01.2"


def test_a_gap_of_a_few_frames_between_two_speeches_is_closed(tmp_path):
    toml = "[profile.x]\nlengths = [4]\nhead_s = 0.1\ntail_s = 0.1\n[gaps]\nline_s = 0.4\n"
    plan = episode(tmp_path, SHORT, toml)
    assert all(a.end_frame == b.start_frame for a, b in zip(plan.clips, plan.clips[1:], strict=False))
    wide = episode(tmp_path, SHORT, toml.replace("0.4", "2"))
    assert all(a.end_frame < b.start_frame for a, b in zip(wide.clips, wide.clips[1:], strict=False))


WITH_PICTURES = """[[4 s]]
Waves.

TANSY
Bram, wake up! Somebody has taken the sea!

[[36 frames]]
A gull.

BRAM
Nobody has taken it. It went out for a walk.

[[2 s]]
Foam.

TANSY
All of it? At once?
"""


@pytest.mark.parametrize("handles", ["", "[profile.x]\nhead_s = 0.3\ntail_s = 0.4\n"])
@pytest.mark.parametrize("rate", ["12", "23.976", "24", "25", "29.97", "30", "48", "50", "59.94", "60", "120"])
def test_pictures_keep_their_length_and_no_rate_leaves_a_frame_without_a_picture(tmp_path, rate, handles):
    plan = episode(tmp_path, WITH_PICTURES, f'rate = "{rate}"\n{handles}')
    fps = plan.rate.fps
    pictures = [c for c in plan.clips if c.kind is LineKind.PICTURE]
    wanted = [4 * fps, Fraction(36), 2 * fps]
    assert [c.end_frame - c.start_frame for c in pictures] == pytest.approx([float(w) for w in wanted], abs=1)
    for before, after in zip(plan.clips, plan.clips[1:], strict=False):
        hole = after.start_frame - before.end_frame
        assert hole == 0 or hole >= fps / 2
        assert before.end >= before.speech_end
        assert after.start <= after.speech_start


def test_time_on_screen_counts_once_where_two_speak_together(tmp_path):
    """Fountain's syntax for dual dialogue is a caret after the second name (fountain.io/syntax, "Dual Dialogue")."""
    one_by_one = episode(tmp_path, "TANSY\nThe tide is coming in.\n\nBRAM\nThe tide is coming in.\n")
    together = episode(tmp_path, "TANSY\nThe tide is coming in.\n\nBRAM ^\nThe tide is coming in.\n")
    first, second = together.clips
    assert (first.start, first.end) == (second.start, second.end)
    assert together.totals.screen == first.end - first.start
    assert one_by_one.totals.screen == sum(c.end - c.start for c in one_by_one.clips)
    assert together.totals.ask == one_by_one.totals.ask


@settings(max_examples=60, deadline=None)
@given(
    delivery=st.sampled_from(DELIVERIES),
    head=st.sampled_from(["0", "0.1", "0.3", "0.5", "1"]),
    tail=st.sampled_from(["0", "0.1", "0.3", "0.7", "1"]),
    pause=st.sampled_from(["0.2", "0.5", "0.7", "0.8", "1", "1.3"]),
    rate=st.sampled_from(["12", "23.976", "24", "25", "29.97", "30", "48", "50", "60"]),
    lengths=st.sampled_from(["[3]", "[3, 5]", "[4, 6, 8]"]),
)
@example("young", "0.3", "0.7", "0.7", "24", "[3]")
@example("young", "0.1", "0.7", "0.5", "60", "[3, 5]")
def test_the_clips_of_a_line_meet_without_a_black_frame(delivery, head, tail, pause, rate, lengths):
    """Three flashes a second are the limit (WCAG 2.3.1); one black frame in every joint is a flash."""
    words = f" [[pause {pause} s]] ".join(
        ["One shell, two shells,", "three shells, and then", "four of them,", "five."]
    )
    toml = (
        f'rate = "{rate}"\n[cast.TANSY]\ndelivery = "{delivery}"\n'
        f"[profile.x]\nlengths = {lengths}\nhead_s = {head}\ntail_s = {tail}\n"
    )
    with tempfile.TemporaryDirectory() as folder:
        plan = episode(Path(folder), f"TANSY\n{words}\n", toml)
    told = {f.facts["before"] for c in plan.clips for f in c.findings if f.code == "no-picture"}
    for a, b in pairwise(plan.clips):
        assert a.end_frame == b.start_frame or b.id in told, (a.id, b.start_frame - a.end_frame)
        assert a.speech_end <= a.end <= b.start <= b.speech_start or b.id in told
    assert_seams(plan)


def assert_seams(plan):
    """A later part of a line is shown from its very first frame, and starts from the last one shown of the earlier."""
    (events,) = cut_tracks(plan, Target(plan.rate, plan.rate, ""))
    shown = {event.clip.id: event for event in events}
    for clip in plan.clips:
        if clip.kind is not LineKind.PICTURE:
            assert clip.need == clip.head + clip.speech + clip.tail
        if clip.follows is None:
            assert plan.seam(clip) is None
            continue
        assert shown[clip.id].source == 0
        assert clip.frames_cut(plan.rate) == 0
        before = shown[clip.follows]
        seam = plan.seam(clip)
        assert (seam.clip, seam.frame) == (clip.follows, before.source + before.length - 1)
        assert f"frame {seam.frame + 1} of its take" in request_text(plan, clip)
        if clip.kind is not LineKind.PICTURE:
            assert clip.head == clip.speech_start - clip.start  # nothing before its first sound is cut away


def test_a_seam_by_hand(tmp_path):
    """Four lines of 1.6 s cannot be one clip of 5 s; where there is a pause the earlier part holds on through it."""
    plan = episode(tmp_path, SLOW, "[profile.x]\nlengths = [3, 5]\nhead_s = 0.1\ntail_s = 1.3\n")
    first, second = plan.clips[:2]
    assert second.head == 0
    assert first.end == second.start == second.speech_start  # the pause of 1.2 s is shorter than the tail
    assert second.need == second.speech + second.tail
    assert_seams(plan)
    brief = episode(tmp_path, SLOW, "[profile.x]\nlengths = [3, 5]\nhead_s = 0.4\ntail_s = 1\n").clips
    assert brief[0].tail == brief[1].speech_start - brief[0].speech_end  # 1.2 s and the gap: more than the tail of 1 s


def test_sung_parts_are_cut_on_the_beat_and_begin_there(tmp_path):
    script = "TANSY\n~Out and in and out and in and out and in again, out and in and out and in, the sea is here\n"
    plan = episode(tmp_path, script, "[song.a]\nbpm = 60\nbars_a_line = 4\n[profile.x]\nlengths = [6]\n")
    parts = [c for c in plan.clips if c.follows]
    assert parts
    assert_seams(plan)
    for clip in parts:
        assert 0 <= clip.head <= Fraction(1, 4)


def test_after_two_links_in_a_row_a_clip_goes_back_to_a_master_picture(tmp_path):
    """Links: .1 to .2, .2 to .3, .3 to .4; the third is told, and so is the third after it."""
    plan = episode(tmp_path, "[[55 s]]\nThe bay.\n", "[profile.x]\nlengths = [8]\n")
    assert len(plan.clips) == 7
    told = [c.id for c in plan.clips for f in c.findings if f.code is FindingCode.MASTER_PICTURE]
    assert told == ["C01.4", "C01.7"]
    assert_seams(plan)
