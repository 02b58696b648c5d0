"""A plan in its cut: every word on its frame, and what the cut does to it. Values are worked out by hand.

The plan has three speeches of 0.4 s a word at 24 frames a second, handles 0.25 s (6 frames) and 0.35 s: C01 "The sea
goes out." at 1 s (frames 18 to 71), C02 "It comes back in." at 4 s (90 to 143), C03 "Twice a day." at 7 s (162 to 205).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import opentimelineio as otio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.dub.editions import edition_of
from tests.export.plans import line, plan_of, small_plan
from timing.cut.edit_list import read_edit_list
from timing.cut.follow import in_the_cut
from timing.cut.timeline_file import read_timeline
from timing.delivery.verdict import Check
from timing.dub.outputs import edition_files
from timing.dub.windows import windows_of
from timing.episode.frame_edges import framed
from timing.export.captions import captions_srt, make_captions
from timing.export.cut_table import cut_csv, told_of_cut
from timing.export.editing import episode_edl
from timing.export.timeline import episode_otio
from timing.model import Delivered, LineKind, Media, Origin, Plan, Song, TimedLine, Voice
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode as Code
from timing.model.metre import COMMON_TIME
from timing.model.settings import EpisodeSettings
from timing.watch.moments import Moments

RATE = FrameRate(Fraction(24))
FOLDER = Path()


def three_speeches() -> Plan:
    return plan_of(
        [
            line("1", "The sea goes out.", "1", RATE),
            line("2", "It comes back in.", "4", RATE, speaker="BRAM"),
            line("3", "Twice a day.", "7", RATE),
        ]
    )


def in_cut(plan: Plan, text: str, checks: tuple[Check, ...] = (), media: dict[str, Media] | None = None) -> Plan:
    rows = {clip.id: (clip.start_frame, clip.end_frame - clip.start_frame) for clip in plan.clips}
    rates = [rate for rate in (plan.rate, plan.settings.delivery_rate) if rate]
    read = read_timeline if text.lstrip().startswith("{") else read_edit_list
    return in_the_cut(plan, read(text, "cut.edl", rates), checks, (media or {}).get, framed, rows)


def event(n: int, reel: str, source: int, start: int, length: int, track: str = "V", name: str = "") -> str:
    codes = " ".join(RATE.timecode(f) for f in (source, source + length, start, start + length))
    return f"{n:03d}  {reel} {track} C {codes}\n" + (f"* FROM CLIP NAME: {name}\n" if name else "")


def words(plan: Plan) -> list[tuple[str, Fraction]]:
    """Return each word of the cut with its start in frames."""
    assert plan.in_cut is not None
    return [(w.text, w.start * 24) for n in plan.in_cut.lines for w in n.words]


def codes(plan: Plan) -> dict[str, list[Code]]:
    found = {clip.id: [f.code for f in clip.findings] for clip in plan.clips if clip.findings}
    return found | ({"": [f.code for f in plan.findings]} if plan.findings else {})


@pytest.mark.parametrize("write", [episode_edl, episode_otio])
def test_our_own_timeline_read_back_changes_nothing(write: object) -> None:
    plan = three_speeches()
    (text,) = write(plan, FOLDER).values()  # type: ignore[operator]
    there = in_cut(plan, text.decode())
    assert words(there) == [(w.text, w.start * 24) for n in plan.lines for w in n.words]
    assert make_captions(there) == make_captions(plan)
    assert codes(there) == {}  # what the plan itself shows nothing for is no news
    assert [there.cut and there.cut.places(c.id) for c in plan.clips] == [((18, 71),), ((90, 143),), ((162, 205),)]


def test_words_move_with_their_clips() -> None:
    """C02 first, from its first frame; C01 at frame 53 from its frame 4. "It" lies 6 frames into C02, so on 6; "The"
    6 frames into C01, so on 53 + 6 - 4 = 55, "sea" 9.6 frames later."""
    there = in_cut(
        three_speeches(), event(1, "C02", 0, 0, 53) + event(2, "C01", 4, 53, 49) + event(3, "C03", 0, 102, 43)
    )
    found = dict(words(there))
    assert (found["It"], found["The"], found["sea"], found["Twice"]) == (6, 55, Fraction(323, 5), 108)
    assert there.in_cut is not None
    # The sheet of C01 has 53 rows; the cut shows it from the fifth, which is frame 53 of the cut.
    assert Moments(there.in_cut).at(53).number == 5
    assert Moments(there.in_cut).at(53).of == 53
    first = make_captions(there)[0]
    assert (first.start_ms, first.rows) == (250, ("It comes back in.",))
    assert codes(there) == {"C02": [Code.CUT_MOVED]}
    assert there.clips[1].findings[0].message == "stands first in the cut"


def test_a_trim_that_takes_words_says_which() -> None:
    """From frame 12 of C01: "The" (6 to 15.6) has 3.6 of 9.6 frames left, so it is taken. To frame 41: "out." (34.8 to
    44.4) has 6.2 of 9.6 left, so it is cut into. "sea" begins 15.6 - 12 = 3.6 frames into the cut."""
    there = in_cut(
        three_speeches(), event(1, "C01", 12, 0, 29) + event(2, "C02", 0, 29, 53) + event(3, "C03", 0, 82, 43)
    )
    assert codes(there) == {"C01": [Code.CUT_TAKES_WORDS]}
    finding = there.clips[0].findings[0]
    assert finding.message == "the cut takes “The” and cuts into “out”"
    assert (finding.facts["taken"], finding.facts["cut_into"]) == (["The"], ["out."])
    assert words(there)[:3] == [("sea", Fraction(18, 5)), ("goes", Fraction(66, 5)), ("out.", Fraction(114, 5))]
    assert captions_srt(there, FOLDER)["captions.srt"].decode().split("\n")[2] == "sea goes out."


def test_what_is_left_out_repeated_or_empty_is_said() -> None:
    text = event(1, "C01", 0, 0, 53) + event(2, "C01", 10, 60, 43) + event(3, "AX", 0, 103, 20, name="waves.mov")
    there = in_cut(three_speeches(), text + event(4, "C03", 0, 123, 43))
    assert codes(there) == {
        "C01": [Code.CUT_REPEATED],
        "C02": [Code.CUT_LEFT_OUT],
        "": [Code.CUT_UNKNOWN, Code.CUT_GAP],
    }
    assert there.cut is not None
    assert there.cut.gaps == ((53, 60),)
    assert there.clips[0].findings[0].message == "shown again at 00:00:02:12"
    assert there.findings[-1].message == "the cut shows nothing for 7 frames at 00:00:02:05"
    assert there.in_cut is not None
    assert [n.id for n in there.in_cut.lines] == ["1", "1 (2)", "3"]
    assert [c.id for c in there.in_cut.clips] == ["C01", "C01 (2)", "C03"]
    rows = cut_csv(there, FOLDER)["cut.csv"].decode("utf-8-sig").splitlines()
    assert rows[2] == "54,60,00:00:02:05,00:00:02:12,0.29,,nothing,,,,,"


def test_a_jump_within_a_clip_is_one_line() -> None:
    """C01 without its frames 25 to 34, in which "goes" (25.2 to 34.8) is said: "out." goes on at frame 25 + 0.8."""
    there = in_cut(
        three_speeches(), event(1, "C01", 0, 0, 25) + event(2, "C01", 34, 25, 19) + event(3, "C02", 0, 44, 53)
    )
    assert there.in_cut is not None
    assert [n.id for n in there.in_cut.lines] == ["1", "2"]
    assert there.in_cut.lines[0].text == "The sea out."
    assert words(there)[2] == ("out.", Fraction(129, 5))
    assert codes(there)["C01"] == [Code.CUT_TAKES_WORDS]


def test_a_cutaway_covers_the_picture_and_not_the_words() -> None:
    text = event(1, "C01", 0, 0, 53) + event(2, "AX", 0, 10, 20, "V2", "waves.mov") + event(3, "C02", 0, 53, 53)
    there = in_cut(three_speeches(), text + event(4, "C03", 0, 106, 43))
    assert [w for w, _ in words(there)][:4] == ["The", "sea", "goes", "out."]
    assert there.cut is not None
    assert there.cut.places("C01") == ((0, 10), (30, 53))
    assert codes(there) == {"": [Code.CUT_UNKNOWN]}


def test_words_are_where_their_sound_is() -> None:
    """The sound of C01 lies 12 frames after its picture: "The" on frame 12 + 6."""
    text = event(1, "C01", 0, 0, 53) + event(2, "C01", 0, 12, 53, "AA") + event(3, "C02", 0, 65, 53, "B")
    there = in_cut(three_speeches(), text + event(4, "C03", 0, 118, 43, "B"))
    assert words(there)[0] == ("The", 18)
    assert codes(there)["C01"] == [Code.CUT_APART]
    assert there.clips[0].findings[0].message == "its picture lies 12 frames before its sound"


def test_two_sound_tracks_of_one_clip_are_heard_once() -> None:
    text = event(1, "C01", 0, 0, 53) + event(2, "C01", 0, 0, 53, "A") + event(3, "C01", 0, 0, 53, "A2")
    there = in_cut(three_speeches(), text)
    assert [w for w, _ in words(there)] == ["The", "sea", "goes", "out."]


def test_a_speed_change_leaves_its_words_without_a_place() -> None:
    text = event(1, "C01", 0, 0, 53) + "M2   C01   048.0   00:00:00:00\n" + event(2, "C02", 0, 53, 53)
    there = in_cut(three_speeches(), text + event(3, "C03", 0, 106, 43))
    assert [w for w, _ in words(there)][:1] == ["It"]
    assert codes(there) == {"": [Code.CUT_SPEED]}
    assert there.cut is not None
    assert there.cut.places("C01") == ((0, 53),)


def test_a_file_is_known_by_its_name_its_reel_the_clips_id_and_its_words() -> None:
    plan = three_speeches()
    checks = (Check("clips/one.mp4", "C01", is_best=True), Check("clips/C02 take 2.mp4", "C02", is_best=True))
    for reel, name in (
        ("AX", "one.mp4"),
        ("AX", "/media/card/ONE.MP4"),
        ("ONE", ""),
        ("C01", ""),
        ("AX", "low-tide c1 v3"),
    ):
        there = in_cut(plan, event(1, reel, 0, 0, 53, name=name), checks)
        assert there.cut is not None
        assert there.cut.events[0].clip == "C01", (reel, name)
    odd = (*checks[1:], Check("clips/première – “un”.mp4", "C01", is_best=True))
    for name in ("première – “un”.mp4", "premie\u0300re – “un”.mp4", 'premiere - "un".mp4'):
        there = in_cut(plan, event(1, "AX", 0, 0, 53, name=name), odd)
        assert there.cut is not None
        assert there.cut.events[0].clip == "C01", name
    for reel, name in (("C02_TAKE", ""), ("AX", "C02 take 2"), ("AX", "C02.new.mov")):
        there = in_cut(plan, event(1, reel, 0, 0, 53, name=name), checks)
        assert there.cut is not None
        assert there.cut.events[0].clip == "C02", (reel, name)


def delivered(plan: Plan, speech_start: str = "1/2", seconds: int = 4, starts: Fraction | None = None) -> Plan:
    """Return the plan with C01 back: 4 s, its first sound at 0.5 s (frame 12)."""
    media = Media(Fraction(24), Fraction(seconds), starts)
    back = Delivered("C01", "clips/C01.mp4", is_measured=True, speech_start=Fraction(speech_start), media=media)
    return replace(plan, deliveries=(back,))


@pytest.mark.parametrize(
    ("starts", "source"), [(None, 12), (None, 86412), (Fraction(36000), 864012), (Fraction(36000), 12)]
)
def test_a_source_counts_from_the_files_own_code_from_0_or_from_an_hour(starts: Fraction | None, source: int) -> None:
    """The file begins at its own code (10 h is frame 864000 at 24), at 0 or at 1 h: its frame 12 holds the first sound."""
    plan = delivered(three_speeches(), starts=starts)
    media = {"clips/C01.mp4": Media(Fraction(24), Fraction(4), starts)}
    checks = (Check("clips/C01.mp4", "C01", is_best=True),)
    there = in_cut(plan, event(1, "AX", source, 0, 50, name="C01.mp4"), checks, media)
    assert words(there)[0] == ("The", 0)
    assert there.cut is not None
    assert there.cut.events[0].source == Fraction(1, 2)


def test_frames_that_a_file_does_not_have_are_said() -> None:
    plan = delivered(three_speeches())
    checks = (Check("clips/C01.mp4", "C01", is_best=True),)
    text = event(1, "AX", 80, 0, 50, name="C01.mp4") + event(2, "C02", 0, 50, 53) + event(3, "C03", 0, 103, 43)
    there = in_cut(plan, text, checks, {"clips/C01.mp4": Media(Fraction(24), Fraction(4))})
    assert codes(there) == {"": [Code.CUT_OUTSIDE]}
    assert next(w for w, _ in words(there)) == "It"


def test_another_take_brings_its_own_words() -> None:
    """The best take has its first sound at frame 12, the other at frame 24, and speaks twice as slowly."""
    plan = delivered(three_speeches())
    slow = tuple(
        replace(w, syllables=tuple(replace(s, start=Fraction(1) + Fraction(4, 5) * n, end=Fraction(1) + Fraction(4, 5) * (n + 1)) for s in w.syllables))
        for n, w in enumerate(plan.lines[0].words)
    )  # fmt: skip
    heard = TimedLine(slow, Origin.MEASURED, Fraction(16, 5), Fraction(16, 5))
    checks = (Check("clips/C01.mp4", "C01", is_best=True), Check("clips/C01 take 2.mp4", "C01", heard=heard))
    text = event(1, "AX", 10, 0, 100, name="C01 take 2.mp4") + event(2, "C02", 0, 100, 53) + event(3, "C03", 0, 153, 43)
    there = in_cut(plan, text, checks, {"clips/C01 take 2.mp4": Media(Fraction(24), Fraction(5))})
    assert words(there)[:2] == [("The", 14), ("sea", Fraction(166, 5))]
    assert codes(there)["C01"] == [Code.CUT_OTHER_TAKE]
    assert there.in_cut is not None
    assert [s.file for s in there.in_cut.soundings()] == ["clips/C01 take 2.mp4"]
    assert there.in_cut.soundings()[0].file_start == 1


def sung() -> Plan:
    """Return a song from 2 s to 12 s, one bar each 2.5 s, with two sung lines, and a speech after it."""
    beat = Fraction(60, 96)
    song = Song(
        "out-and-in", Fraction(96), COMMON_TIME, Fraction(2), Fraction(12), tuple(2 + beat * n for n in range(16)),
        tuple(2 + 4 * beat * n for n in range(4)), Origin.FITTED, "songs/out-and-in.ogg",
    )  # fmt: skip
    lines = [
        line("1", "Out and in", "2.5", RATE, LineKind.SUNG, song="out-and-in"),
        line("2", "goes the sea", "7.5", RATE, LineKind.SUNG, song="out-and-in"),
        line("3", "Twice a day.", "13", RATE),
    ]
    return plan_of(lines, EpisodeSettings(rate=RATE), (song,))


def test_a_song_moves_as_its_pictures_do_and_its_words_with_it() -> None:
    """C01 begins on frame 54 of the plan; here on 30, so all is 24 frames earlier: "Out" on 60 - 24, bar 1 on 48 - 24."""
    there = in_cut(sung(), event(1, "C01", 0, 30, 40) + event(2, "C02", 0, 150, 40) + event(3, "C03", 0, 190, 43))
    assert dict(words(there))["Out"] == 36
    assert dict(words(there))["goes"] == 156
    assert there.in_cut is not None
    assert there.in_cut.songs[0].downbeats[0] * 24 == 24


def test_a_sung_clip_beside_its_song_is_said() -> None:
    text = event(1, "out-and-in", 0, 24, 240, "AA") + event(2, "C01", 0, 30, 40) + event(3, "C02", 0, 155, 40)
    there = in_cut(sung(), text + event(4, "C03", 0, 195, 43))
    assert dict(words(there))["goes"] == 156
    assert [f.message for f in there.clips[1].findings] == ["its picture lies 5 frames after its song"]
    assert not there.clips[0].findings


def test_a_song_that_is_cut_loses_what_is_cut_out() -> None:
    """From 2 s to 6 s of the plan, then from 7 s on: the sound of 96 frames, then from its frame 120, 24 frames early."""
    text = event(1, "out-and-in", 0, 48, 96, "AA") + event(2, "out-and-in", 120, 144, 100, "AA")
    there = in_cut(sung(), text + event(3, "C01", 0, 54, 40) + event(4, "C02", 0, 150, 40))
    assert (dict(words(there))["Out"], dict(words(there))["goes"]) == (60, 156)
    assert there.in_cut is not None
    # Bars at 2, 4.5, 7 and 9.5 s: the first two stay on 48 and 108, the others come 24 frames earlier.
    assert [m * 24 for s in there.in_cut.songs for m in s.downbeats] == [48, 108, 144, 204]


def test_ten_trims_by_a_library_leave_every_caption_on_its_frame() -> None:
    """Twelve speeches of two words; the first ten lose 2 frames at the head and n at the tail (n = 0..9), so speech k
    begins 2 k + (0 + 1 + ... + k - 1) + 2 frames earlier than planned, less the gaps, which stay as they are."""
    pytest.importorskip("otio_cmx3600_adapter")
    plan = plan_of([line(str(n + 1), "Out again.", Fraction(1) + 3 * n, RATE) for n in range(12)])
    text = episode_edl(plan, FOLDER)["episode.edl"].decode()
    made = otio.adapters.read_from_string(text, "cmx_3600", rate=24)
    clips = [c for c in made.find_clips() if c.name.startswith("C")]
    for n, one in enumerate(clips[:10]):
        own, frames = one.source_range, otio.opentime.RationalTime
        one.source_range = otio.opentime.TimeRange(own.start_time + frames(2, 24), own.duration - frames(2 + n, 24))
    there = in_cut(plan, otio.adapters.write_to_string(made, "cmx_3600"))
    captions = make_captions(there)
    assert len(captions) == 12
    for k, caption in enumerate(captions):
        trims = min(k, 10)
        early = 2 * trims + sum(range(trims)) + (2 if k < 10 else 0)
        start = 24 * (1 + 3 * k) - early
        assert caption.start_ms == round(start * 1000 / 24), k
    # A tail handle has 8 frames: the trim of 9 reaches a frame into "again.", which is no loss. The gaps are the plan's.
    assert codes(there) == {}


def test_a_gap_of_the_plans_own_is_told_where_it_became_another() -> None:
    """Between C01 (to frame 71) and C02 (from 90) the plan shows nothing for 19 frames: 18 and 20 are rounding, 21 not;
    and 19 frames between C01 and C03 are another gap."""
    plan = three_speeches()
    for gap, told in ((18, False), (20, False), (21, True), (17, True)):
        text = event(1, "C01", 0, 0, 53) + event(2, "C02", 0, 53 + gap, 53) + event(3, "C03", 0, 106 + gap + 19, 43)
        found = [f.facts["gaps"] for f in in_cut(plan, text).findings if f.code is Code.CUT_GAP]
        assert found == ([[[53, 53 + gap]]] if told else []), gap
    swapped = event(1, "C01", 0, 0, 53) + event(2, "C03", 0, 72, 43) + event(3, "C02", 0, 115, 53)
    assert [f.facts["gaps"] for f in in_cut(plan, swapped).findings if f.code is Code.CUT_GAP] == [[[53, 72]]]
    one = event(1, "C01", 0, 0, 53) + event(2, "C03", 0, 54, 43) + event(3, "C02", 0, 97, 53)
    message = next(f.message for f in in_cut(plan, one).findings if f.code is Code.CUT_GAP)
    assert message == "the cut shows nothing for 1 frame at 00:00:02:05"


def test_what_was_generated_for_each_second_seen() -> None:
    """53 frames of C01 and 43 of C03 are 4.0 s at 24; 20 frames of something else come between. 28 s / 4 s = 7."""
    text = event(1, "C01", 0, 0, 53) + event(2, "AX", 0, 53, 20, name="waves.mov") + event(3, "C03", 0, 73, 43)
    there = in_cut(three_speeches(), text)
    assert told_of_cut(there, Fraction(28)) == (
        "cut.edl: 4.8 s, of which 4 s show clips; 28 s generated, 7 for each second seen"
    )
    assert told_of_cut(there, Fraction(0)) == "cut.edl: 4.8 s, of which 4 s show clips"


@settings(max_examples=40, deadline=None)
@given(
    rows=st.lists(
        st.tuples(
            st.sampled_from(("C01", "C02", "C03", "C04", "out-and-in", "waves", "BL")),
            st.integers(0, 40), st.integers(0, 160), st.integers(0, 60),
            st.sampled_from(("V", "V", "V2", "A", "AA/V", "B", "NONE")),
            st.sampled_from(("", "", "", "M2   C01   048.0   00:00:00:00\n")),
        ),
        min_size=1, max_size=12,
    )
)  # fmt: skip
def test_whatever_an_edit_does_the_plan_runs_there(rows: list[tuple[str, int, int, int, str, str]]) -> None:
    plan = sung()
    text = "".join(
        event(n, reel, source, start, length, tracks) + after
        for n, (reel, source, start, length, tracks, after) in enumerate(rows, 1)
    )
    there = in_cut(plan, text)
    assert there.in_cut is not None
    assert there.cut is not None
    captions = make_captions(there)
    assert all(a.end_ms <= b.start_ms for a, b in pairwise(captions))
    known = {line.id for line in there.in_cut.lines}
    assert len(known) == len(there.in_cut.lines)
    assert len({clip.id for clip in there.in_cut.clips}) == len(there.in_cut.clips)
    assert all(set(clip.lines) <= known for clip in there.in_cut.clips)
    moments = Moments(there.in_cut)
    for frame in range(0, there.cut.frames, 7):
        assert moments.at(frame).of > 0
    for clip in there.in_cut.clips:
        line = there.in_cut.line(clip.line)
        assert clip.words[1] <= len(line.words)
        assert 0 <= clip.start_frame < clip.end_frame <= there.cut.frames
    seen = sum(b - a for clip in plan.clips for a, b in there.cut.places(clip.id))
    gaps = sum(b - a for a, b in there.cut.gaps)
    assert seen >= 0
    assert gaps <= there.cut.frames
    assert cut_csv(there, FOLDER)
    assert there.to_json()["cut"]["frames"] == there.cut.frames


def test_what_of_a_clip_is_used_is_known_on_the_plans_clock_too() -> None:
    """C01 begins on frame 18 of the plan; its frames 12 to 41 are 30 to 59 there. C02 is left out."""
    there = in_cut(three_speeches(), event(1, "C01", 12, 0, 20) + event(2, "C01", 32, 20, 9))
    assert there.cut is not None
    assert there.cut.used("C01") == (Fraction(30, 24), Fraction(59, 24))
    assert there.cut.used("C02") is None


def test_a_scratch_recording_is_heard_where_the_cut_has_its_clip() -> None:
    """Line 1 lies at 10 s of a memo. The cut shows C01 from its frame 12 on: "The" (0.4 s) is gone, so "sea" is the
    first word, at 10.4 s of the memo and 0.65 - 0.5 = 0.15 s of the cut. A second time nothing is to be corrected."""
    plan = three_speeches()
    line_1 = replace(plan.lines[0], origin=Origin.MEASURED, take="recordings/memo.wav", take_start=Fraction(10))
    plan = replace(plan, lines=(line_1, *plan.lines[1:]))
    there = in_cut(plan, event(1, "C01", 12, 0, 41) + event(2, "C01", 12, 41, 41)).in_cut
    assert there is not None
    first, again = there.soundings()
    assert (first.file, first.file_start, first.start) == ("recordings/memo.wav", Fraction(104, 10), Fraction(3, 20))
    assert (again.line, again.file_start, again.start) == (
        "1 (2)",
        Fraction(104, 10),
        Fraction(3, 20) + Fraction(41, 24),
    )
    assert [(n.take, n.take_start) for n in there.lines] == [("recordings/memo.wav", Fraction(104, 10)), (None, None)]


def test_a_converted_voice_is_heard_in_place_of_the_clips_own_sound() -> None:
    """The voice's file begins 0.25 s before the clip's: its frame 12 of 24 a second is the clip's 6. Laid on frame 6 with
    the picture's frame 0 on frame 0 it is in step, three frames later it is not."""
    plan = delivered(three_speeches())
    voice = Voice("clips/C01 voice.wav", Fraction(1, 4), None, 0.9, is_used=True)
    plan = replace(plan, deliveries=(replace(plan.deliveries[0], voice=voice),))
    checks = (Check("clips/C01.mp4", "C01", is_best=True),)
    media = {"clips/C01.mp4": Media(Fraction(24), Fraction(4)), "clips/C01 voice.wav": Media(None, Fraction(5))}
    for late in (0, 3):
        text = event(1, "AX", 0, 0, 60, name="C01.mp4") + event(2, "AX", 12, 6 + late, 54, "A", "C01 voice.wav")
        there = in_cut(plan, text + event(3, "C02", 0, 70, 53) + event(4, "C03", 0, 123, 43), checks, media)
        assert words(there)[0] == ("The", 12 + late)  # the clip's first sound is at 0.5 s
        assert codes(there).get("C01") == ([Code.CUT_APART] if late else None)
        assert there.in_cut is not None
        sound = there.in_cut.soundings()[0]
        assert (sound.file, sound.file_start) == ("clips/C01 voice.wav", Fraction(3, 4))


def test_a_later_part_that_begins_with_its_file_stays_where_it_is() -> None:
    """A later part of a split line is shown from the first frame of its file, whatever its head; our own list says so."""
    plan = three_speeches()
    parts = (
        replace(plan.clips[0], id="C01.1", part=(1, 2), words=(0, 2)),
        replace(plan.clips[1], id="C01.2", part=(2, 2)),
    )
    plan = replace(plan, clips=(*parts, plan.clips[2]))
    (text,) = episode_edl(plan, FOLDER).values()
    there = in_cut(plan, text.decode())
    assert dict(words(there))["It"] == 96


def test_the_windows_of_another_language_follow_the_cut() -> None:
    """The cut shows C01 from frame 12 to 41 of its file, 1.25 s to 59/24 s of the plan (its words last from 1 s to
    2.6 s), and C02 right behind it, whose first word comes 12 frames after the last one that is left of C01."""
    there = in_cut(
        three_speeches(), event(1, "C01", 12, 0, 29) + event(2, "C02", 0, 35, 53) + event(3, "C03", 0, 88, 43)
    )
    window = windows_of(there.shown)["1"]  # on the cut's clock, where these 29 frames stand first
    # "The" is trimmed; "sea" is heard 0.25 + 0.4 s into the file, whose frame 12 (0.5 s) the cut begins with.
    assert (window.start, window.end) == (Fraction(3, 20), Fraction(29, 24))
    # "out." is left until frame 29 of the cut, "It" begins on 35 + 6.
    assert window.free == Fraction(41 - 29, 24)


def test_another_language_is_captioned_as_the_cut_runs() -> None:
    """C02 stands first: its line's window begins on frame 6 there; C01 is left out; C03 begins on 53 + 6."""
    there = in_cut(three_speeches(), event(1, "C02", 0, 0, 53) + event(2, "C03", 0, 53, 43))
    edition = edition_of(there, {"1": "Das Meer geht.", "2": "Es kommt.", "3": "Jeden Tag."})
    files = edition_files(edition)
    captions = files["captions.srt"].decode()
    assert [row for row in captions.splitlines() if "-->" in row or row.endswith(".")][:2] == [
        "00:00:00,250 --> " + captions.split("--> ")[1][:12],
        "Es kommt.",
    ]
    assert "00:00:02,458 --> " in captions  # 59 frames of 24 a second
    assert "Meer" not in captions
    rows = [row.split("\t") for row in files["labels.txt"].decode().splitlines()]
    assert [(float(a), text) for a, _, text in rows if ": " in text] == [
        (0.25, "2: Es kommt."),
        (2.458333, "3: Jeden Tag."),
    ]


@pytest.mark.parametrize(
    ("rate", "drop"),
    [(r, False) for r in ("12", "23.976", "24", "25", "29.97", "30", "50", "59.94", "60")] + [("29.97", True)],
)
def test_at_any_rate_our_own_timeline_changes_nothing(rate: str, drop: bool) -> None:
    plan = small_plan(rate, drop_frame=drop)
    for write in (episode_edl, episode_otio):
        (text,) = write(plan, FOLDER).values()
        there = in_cut(plan, text.decode())
        assert there.in_cut is not None
        starts = {(n.id, w.text): w.start for n in plan.lines for w in n.words}
        assert {(n.id, w.text): w.start for n in there.in_cut.lines for w in n.words} == starts
        assert [there.cut and there.cut.places(c.id) for c in plan.clips] == [
            ((c.start_frame, c.end_frame),) for c in plan.clips
        ]


def test_our_timeline_at_the_delivery_rate_is_within_half_a_frame_of_it() -> None:
    plan = small_plan("24", "60")
    for write in (episode_edl, episode_otio):
        text = next(text for name, text in write(plan, FOLDER).items() if name.startswith("delivery/"))
        there = in_cut(plan, text.decode())
        assert there.cut is not None
        assert there.cut.rate == FrameRate.parse(60)
        assert Code.CUT_RATE not in [f.code for f in there.findings]
        assert there.in_cut is not None
        for line_here, own in zip(there.in_cut.lines, plan.lines, strict=True):
            assert abs(line_here.start - own.start) <= Fraction(1, 60)
