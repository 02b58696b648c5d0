"""The cut at its limits: a case on each side of every one, frames and seconds worked out by hand."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction as F

import pytest

from tests.cut.test_edit_list import read
from tests.cut.test_follow import RATE, codes, event, in_cut, three_speeches, words
from tests.export.plans import line
from timing.cut.as_it_runs import _runs, _shown, _soundings, _text
from timing.cut.edit_list import _beginning, _is_marked
from timing.cut.heard import Said, _between, _stretch
from timing.cut.listed import Listed
from timing.cut.matching import Sources, _plain, _reel
from timing.cut.placed import _inside, _joined, _left, _merged
from timing.cut.said import _longest_rise
from timing.cut.timeline_file import _exact_rate, _file_name, _trimmed, read_timeline
from timing.delivery.verdict import Check
from timing.model import Cut, CutEvent, Delivered, Media, Origin, Sounding, TimedSyllable, TimedWord, Voice
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode as Code
from timing.plain.errors import InputError

# Edit lists.


@pytest.mark.parametrize(
    ("first", "begins"),
    [("00:00:05:00", 0), ("01:00:05:00", 3600), ("01:01:00:00", 3600), ("01:01:00:01", None), ("09:59:59:00", None)],
)
def test_an_edit_that_begins_within_a_minute_of_an_hour_begins_at_it(first, begins):
    at = RATE.moment_of(RATE.frame_of(first))
    assert _beginning([at + 9, at], RATE) == (at if begins is None else begins)


@pytest.mark.parametrize(
    ("code", "marked"),
    [
        ("01:00:00;02", True),
        ("01:00:00,02", True),
        ("01:00:00.02", True),
        ("01.00.00.02", False),
        ("01:00:00:02", False),
    ],
)
def test_a_mark_before_the_frames_says_drop_frame(code, marked):
    assert _is_marked(code) is marked


def one(codes_, tracks="V", cut="C", before="", after="", reel="C01"):
    return read(before + f"001  {reel} {tracks} {cut} {codes_}\n" + after)


PLAIN = "00:00:00:00 00:00:02:00 00:00:00:00 00:00:02:00"


@pytest.mark.parametrize(
    ("source_out", "told"), [("00:00:02:00", None), ("00:00:02:01", 1), ("00:00:01:22", -2), ("00:00:03:00", 24)]
)
def test_a_source_of_another_length_than_its_place_is_told(source_out, told):
    cut = one(f"00:00:00:00 {source_out} 00:00:00:00 00:00:02:00")
    assert [f.facts["frames"] for f in cut.findings] == ([told] if told else [])
    if told:
        how = "longer" if told > 0 else "shorter"
        frames = "1 frame" if abs(told) == 1 else f"{abs(told)} frames"
        assert f"its source is {frames} {how} than its place" in cut.findings[0].message
    assert (cut.events[0].end, cut.length) == (2, 2)


@pytest.mark.parametrize(
    ("fps", "speed"),
    [("024.1", 1), ("024.2", F(242, 240)), ("023.9", 1), ("023.8", F(238, 240)), ("000.0", 0), ("-024.0", -1)],
)
def test_a_speed_within_half_a_per_cent_is_none(fps, speed):
    cut = one(PLAIN, after=f"M2   C01       {fps}       00:00:00:00\n")
    assert cut.events[0].speed == speed
    assert [f.code for f in cut.findings] == ([] if speed == 1 else [Code.CUT_SPEED])


def test_how_a_speed_is_told():
    (told,) = one(PLAIN, after="M2   C01       012.0       00:00:00:00\n").findings
    assert "event 001, C01: runs at 12 frames a second (50 %)" in told.message
    assert told.facts["speed"] == 0.5
    (held,) = one(PLAIN, after="M2   C01       000.0       00:00:00:00\n").findings
    assert "holds one frame" in held.message


@pytest.mark.parametrize(
    ("tracks", "seen", "heard", "layer"),
    [
        ("V", True, False, 0), ("V1", True, False, 0), ("V2", True, False, 1), ("A", False, True, 0),
        ("A2/V3", True, True, 2), ("B", True, True, 0), ("BOTH", True, True, 0), ("NONE", False, False, 0),
        ("AA", False, True, 0), ("V0", True, False, 0),
    ],
)  # fmt: skip
def test_what_a_track_shows_and_lets_hear(tracks, seen, heard, layer):
    (found,) = one(PLAIN, tracks).events
    assert (found.is_seen, found.is_heard, found.layer) == (seen, heard, layer)


def test_a_key_lies_over_what_it_keys_and_a_key_out_is_refused():
    assert one(PLAIN, cut="K B").events[0].layer == 0
    assert one(PLAIN, cut="K").events[0].layer == 1
    with pytest.raises(InputError, match="event 001: a key is not read"):
        one(PLAIN, cut="K O")


def test_an_event_that_ends_before_it_begins_is_refused():
    for codes_ in (
        "00:00:02:00 00:00:01:23 00:00:00:00 00:00:02:00",
        "00:00:00:00 00:00:02:00 00:00:02:00 00:00:01:23",
    ):
        with pytest.raises(InputError, match=r"event 001 ends before it begins") as caught:
            one(codes_)
        assert caught.value.line_number == 1


def test_a_dissolve_shows_what_goes_out_for_its_length_and_no_longer_than_its_place():
    two = (
        "001  C01 V C     00:00:00:00 00:00:02:00 00:00:00:00 00:00:02:00\n"
        "002  C02 V D {:03d} 00:00:00:00 00:00:01:00 00:00:02:00 00:00:03:00\n"
    )
    assert [e.end for e in read(two.format(12)).events] == [F(5, 2), 3]
    assert [e.end for e in read(two.format(36)).events] == [3, 3]
    assert [e.end for e in read(two.format(0)).events] == [2, 3]
    legs = (
        "001  C01 V C     00:00:05:00 00:00:05:00 00:00:00:00 00:00:00:00\n"
        "001  C02 V D 012 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
    )
    found = read(legs).events
    assert sorted((e.name, e.start, e.end, e.source) for e in found) == [("C01", 0, F(1, 2), 5), ("C02", 0, 1, 0)]
    gap = (
        "001  C01 V C     00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
        "002  C02 V D 012 00:00:00:00 00:00:01:00 00:00:02:00 00:00:03:00\n"
    )
    assert [e.end for e in read(gap).events] == [1, 3]  # nothing goes out where nothing is
    black = two.format(12).replace("C01", "BL ")
    assert [(e.name, e.end) for e in read(black).events] == [("C02", 3)]


def test_the_rate_is_the_first_that_can_hold_the_codes():
    for frame, rate in (
        (23, "24"),
        (24, "25"),
        (25, "30"),
        (29, "30"),
        (30, "48"),
        (49, "50"),
        (59, "60"),
        (119, "120"),
    ):
        codes_ = f"00:00:00:00 00:00:02:00 00:00:00:{frame:02d} 00:00:02:{frame:02d}"
        cut = one(codes_)
        assert str(cut.rate) == rate
        assert ([f.code for f in cut.findings] == [Code.CUT_RATE]) is (rate != "24")
    with pytest.raises(InputError, match="has frame 120, and no rate"):
        one("00:00:00:00 00:00:02:00 00:00:00:120 00:00:02:120")
    assert str(one(PLAIN.replace("02:00", "02:24", 1), before="* RATE: 25 FRAMES A SECOND\n").rate) == "25"
    with pytest.raises(InputError, match="says 24 frames a second, and its time code has frame 24"):
        one("00:00:00:00 00:00:02:24 00:00:00:00 00:00:02:24", before="* RATE: 24 FRAMES A SECOND\n")
    with pytest.raises(InputError, match="its rate cannot be used"):
        one(PLAIN, before="* RATE: 0 FRAMES A SECOND\n")


# Timelines.


def test_names_of_files_in_urls():
    for url, name in (
        ("file:///card/C01%20take.mov", "C01 take.mov"), ("clips\\C02.mp4", "C02.mp4"), ("C03.mp4/", "C03.mp4"),
        ("http://[bad", "[bad"), (None, ""), ("x" * 4001, ""), ("x" * 4000, "x" * 4000), ("a/b.mov?x=1", "b.mov?x=1"),
    ):  # fmt: skip
        assert _file_name(url) == name


@pytest.mark.parametrize(
    ("fps", "exact"),
    [(23.976, F(24000, 1001)), (23.98, F(24000, 1001)), (24, F(24)), (59.94, F(60000, 1001)), (47.952, F(48000, 1001)),
     (119.88, F(120000, 1001)), (29.97, F(30000, 1001)), (12.5, F(25, 2)), (48000, F(48000)), (23.9815, F(239815, 10000).limit_denominator(10000))],
)  # fmt: skip
def test_a_decimal_rate_stands_for_an_exact_one(fps, exact):
    assert _exact_rate(fps) == exact


def listed(start=1, end=3, source=10, **more):
    return Listed(("x",), F(start), F(end), F(source), "event 1", **more)


def test_what_a_window_leaves_of_an_event():
    assert _trimmed(listed(), None) == listed()
    cut = _trimmed(listed(), (F(2), F(5)))
    assert (cut.start, cut.end, cut.source) == (0, 1, 11)
    cut = _trimmed(listed(), (F(0), F(2)))
    assert (cut.start, cut.end, cut.source) == (1, 2, 10)
    assert _trimmed(listed(), (F(3), F(5))) is None
    assert _trimmed(listed(), (F(0), F(1))) is None


def time(value, rate=24.0):
    return {"OTIO_SCHEMA": "RationalTime.1", "value": value, "rate": rate}


def span(start, length, rate=24.0):
    return {"OTIO_SCHEMA": "TimeRange.1", "start_time": time(start, rate), "duration": time(length, rate)}


def clip(start, length, name="C01", **more):
    return {"OTIO_SCHEMA": "Clip.2", "name": name, "source_range": span(start, length), **more}


def timeline(*tracks, **more):
    children = [{"OTIO_SCHEMA": "Track.1", "kind": kind, "children": list(items)} for kind, items in tracks]
    return json.dumps({"OTIO_SCHEMA": "Timeline.1", "tracks": {"OTIO_SCHEMA": "Stack.1", "children": children, **more}})


def read_otio(text, rate="24"):
    return read_timeline(text, "cut.otio", [FrameRate.parse(rate)])


def test_tracks_lie_over_one_another_and_sound_lies_on_none():
    cut = read_otio(timeline(("Video", [clip(0, 24)]), ("Audio", [clip(0, 24)]), ("Video", [clip(0, 12)])))
    assert [(e.is_seen, e.is_heard, e.layer, e.end) for e in cut.events] == [
        (True, False, 0, 1), (False, True, 1, 1), (True, False, 1, F(1, 2))
    ]  # fmt: skip
    assert cut.length == 1


def test_a_transition_reaches_out_on_both_sides():
    change = {"OTIO_SCHEMA": "Transition.1", "in_offset": time(6), "out_offset": time(12)}
    cut = read_otio(timeline(("Video", [clip(10, 24), change, clip(48, 24, "C02")])))
    first, second = cut.events
    assert (first.start, first.end, first.source) == (0, F(3, 2), F(10, 24))
    assert (second.start, second.end, second.source) == (F(3, 4), 2, F(42, 24))


def test_speeds_are_multiplied_and_told():
    def warp(scalar, **more):
        return {"OTIO_SCHEMA": "LinearTimeWarp.1", "time_scalar": scalar, **more}

    held = {"OTIO_SCHEMA": "FreezeFrame.1"}
    for effects, speed, how in (
        ([warp(2)], 2, "runs at 200 %"), ([warp(2), warp(0.25)], F(1, 2), "runs at 50 %"), ([held], 0, "holds one frame"),
        ([{"OTIO_SCHEMA": "TimeEffect.1"}], -1, "has its time changed"), ([warp(-1)], -1, "has its time changed"),
    ):  # fmt: skip
        cut = read_otio(timeline(("Video", [clip(0, 24, effects=effects)])))
        assert cut.events[0].speed == speed
        assert how in cut.findings[0].message
        assert cut.findings[0].facts["speed"] == float(speed)
    for effects in ([warp(2, enabled=False)], [{"OTIO_SCHEMA": "Effect.1"}], [warp(2), warp(0.5)]):
        assert read_otio(timeline(("Video", [clip(0, 24, effects=effects)]))).findings == ()
    with pytest.raises(InputError, match="no number"):
        read_otio(timeline(("Video", [clip(0, 24, effects=[warp(True)])])))


@pytest.mark.parametrize(
    ("value", "rate", "said"),
    [
        (24 * 10**6, 24.0, None), (24 * 10**6 + 24, 24.0, "cannot be right"), (10**12, 10**9, "far too long"), (1, 0, "its rate is none"),
        (10**12 - 1, 10**9, None), (1, 10**9 + 1, "its rate is none"), (True, 24.0, "no value and rate"), (-1, 24.0, "shorter than nothing"),
    ],
)  # fmt: skip
def test_times_that_cannot_be(value, rate, said):
    text = timeline(
        (
            "Video",
            [
                {
                    "OTIO_SCHEMA": "Clip.2",
                    "name": "a",
                    "source_range": {"start_time": time(0), "duration": time(value, rate)},
                }
            ],
        )
    )
    if said is None:
        assert read_otio(text).length == F(value) / F(rate)
    else:
        with pytest.raises(InputError, match=said):
            read_otio(text)


def test_forty_compositions_may_lie_in_one_another():
    def nest(depth):
        item = clip(0, 24)
        for _ in range(depth):
            item = {"OTIO_SCHEMA": "Stack.1", "children": [item]}
        return timeline(("Video", [item]))

    assert len(read_otio(nest(35)).events) == 1
    with pytest.raises(InputError, match="nests more than 40 compositions"):
        read_otio(nest(42))


def test_a_file_that_says_where_its_clock_begins():
    media = {"OTIO_SCHEMA": "ExternalReference.1", "target_url": "C01.mp4", "available_range": span(86400, 48)}
    cut = read_otio(timeline(("Video", [clip(86412, 24, media_reference=media)])))
    assert (cut.events[0].source, cut.events[0].source_zero) == (F(86412, 24), 3600)
    whole = {"OTIO_SCHEMA": "Clip.1", "name": "x", "media_reference": media}
    assert read_otio(timeline(("Video", [whole]))).events[0].end == 2


# Where events lie in their files.


def test_stretches_that_are_not_covered():
    covered = [(F(1), F(2)), (F(3), F(4))]
    assert list(_left(F(0), F(5), covered)) == [(0, 1), (2, 3), (4, 5)]
    assert list(_left(F(1), F(2), covered)) == []
    assert list(_left(F(1), F(5, 2), covered)) == [(2, F(5, 2))]
    assert list(_left(F(2), F(3), covered)) == [(2, 3)]
    assert list(_left(F(7, 2), F(6), covered)) == [(4, 6)]
    assert list(_left(F(0), F(1), [])) == [(0, 1)]
    assert _merged([(F(3), F(4)), (F(0), F(1)), (F(1), F(2))]) == [(0, 2), (3, 4)]
    assert _merged([(F(0), F(5)), (F(1), F(2))]) == [(0, 5)]


@pytest.mark.parametrize(
    ("source", "length", "found"),
    [
        (0, 2, 0), (F(1), 2, F(1)), (F(26, 24), 2, F(26, 24)), (F(27, 24), 2, None),  # two frames over its end
        (3600, 2, 0), (F(3600) - F(2, 24), 2, None), (7201, 2, 1), (3600, 3601, 3600),
    ],
)  # fmt: skip
def test_where_in_a_file_an_event_of_a_second_begins(source, length, found):
    plan = three_speeches()
    cut = read(f"001 C01 V C {PLAIN}\n")
    got = _inside(listed(0, 1, source), None, F(length), cut, plan)
    assert got == found


def test_a_file_with_its_own_code_begins_there_first():
    plan, cut = three_speeches(), read(f"001 C01 V C {PLAIN}\n")
    media = Media(F(24), F(4), F(36000))
    assert _inside(listed(0, 1, 36002), media, F(4), cut, plan) == 2
    assert _inside(listed(0, 1, 2), media, F(4), cut, plan) == 2
    assert _inside(listed(0, 1, F(36000) - F(1, 24)), media, F(4), cut, plan) == 0  # a frame before it is rounding
    assert _inside(listed(0, 1, 12, source_zero=F(10)), media, F(4), cut, plan) == 2
    assert _inside(listed(0, 1, 2, source_zero=F(10)), media, F(4), cut, plan) is None


def cut_event(start, end, source=0, **more):
    given = {"clip": "C01", **more}
    return CutEvent("x", F(start), F(end), RATE.frame_at(F(start)), RATE.frame_at(F(end)), F(source), **given)


def test_pieces_that_go_on_are_joined():
    a, b = cut_event(0, 1), cut_event(1, 2, 1)
    assert [(e.start, e.end, e.end_frame) for e in _joined([a, b])] == [(0, 2, 48)]
    assert len(_joined([a, cut_event(1, 2, 2)])) == 2  # another place of the file
    assert len(_joined([a, cut_event(F(3, 2), 2, F(3, 2))])) == 2  # a hole between
    assert len(_joined([a, replace(b, file="y")])) == 2
    assert len(_joined([a, replace(b, is_heard=True)])) == 2
    over = _joined([cut_event(0, 2), cut_event(1, F(3, 2), 1)])
    assert [(e.start, e.end) for e in over] == [(0, 2)]
    other = [a, cut_event(F(1, 2), 1, 5, clip="C02"), b]
    assert [(e.clip, e.end) for e in _joined(other)] == [("C01", 2), ("C02", 1)]


def test_names_are_compared_as_lists_write_them():
    assert _reel("C01 take two") == "c01_take"
    assert _plain("é–1") == "e_1"


def test_a_source_is_a_file_a_song_a_recording_or_a_clips_id():
    plan = three_speeches()
    taken = replace(plan.lines[2], take="scratch/Three.wav", take_start=F(0))
    voice = Voice("clips/C02 voice.wav", is_used=True)
    backs = (Delivered("C02", "clips/two.mp4", voice=voice), Delivered("C01", "clips/best.mp4"))
    plan = replace(plan, lines=(*plan.lines[:2], taken), deliveries=backs)
    checks = [Check("clips/a/x.mp4", "C01", is_best=True), Check("clips/b/x.mp4", "C03"), Check("clips/y.mp4", "C99")]
    known = Sources(plan, checks)

    def of(*names, seen=True, **more):
        found = known.of(Listed(names, F(0), F(1), F(0), "e", is_seen=seen, **more))
        return found.clip, found.file, found.recording, found.song

    assert of("X.MP4") == ("C01", "clips/a/x.mp4", None, None)  # of two files with one name the best one
    assert of("c02 voice.wav") == ("C02", "clips/two.mp4", None, None)
    assert of("y.mp4") == (None, None, None, None)  # another script's clip
    assert of("three.wav", seen=False) == (None, None, "scratch/Three.wav", None)
    assert of("three.wav") == (None, None, None, None)
    assert of("C01") == ("C01", "clips/best.mp4", None, None)
    assert of("low-tide c3 final") == ("C03", None, None, None)
    assert of("odd", clip_id="C03") == ("C03", None, None, None)
    assert of("odd", clip_id="C77") == (None, None, None, None)


# Words that are heard.


def word(text, start, end, syllables=1):
    step = (F(end) - F(start)) / syllables
    made = tuple(
        TimedSyllable(text, F(start) + n * step, F(start) + (n + 1) * step, Origin.MEASURED, start_frame=9, end_frame=9)
        for n in range(syllables)
    )
    return TimedWord(text, text, made)


def said(index, start, end, left=1, file="a.wav", at=0, line_id="1"):
    return Said(line_id, index, word("w", start, end), F(left), F(0), None, file, F(at), F(start))


def test_a_word_is_pressed_into_what_is_left_of_it():
    moved = _between(word("water", 1, 2, 2), F(3), F(4))
    assert [(s.start, s.end, s.start_frame) for s in moved.syllables] == [(3, F(7, 2), None), (F(7, 2), 4, None)]
    half = _between(word("water", 1, 2, 2), F(3), F(7, 2))
    assert [(s.start, s.end) for s in half.syllables] == [(3, F(13, 4)), (F(13, 4), F(7, 2))]


def test_words_are_heard_in_runs():
    row = [said(0, 0, 1), said(1, 1, 2), said(2, 2, 3)]
    assert [[s.index for s in run] for run in _runs(row)["1"]] == [[0, 1, 2]]
    assert [[s.index for s in run] for run in _runs([*row, said(1, 4, 5)])["1"]] == [[0, 1, 2], [1]]
    assert [[s.index for s in run] for run in _runs([row[0], said(1, F(1, 2), 2)])["1"]] == [
        [0],
        [1],
    ]  # at the same time
    assert [[s.index for s in run] for run in _runs([row[0], row[0], row[1]])["1"]] == [[0, 1]]  # on two tracks
    assert [[s.index for s in run] for run in _runs([row[0], said(1, 1, 2, F(1, 2))])["1"]] == [[0, 1]]
    assert [[s.index for s in run] for run in _runs([row[0], said(1, 1, 2, F(49, 100))])["1"]] == [[0]]


def test_what_is_left_of_a_lines_print():
    own = line("1", "The sea, they say, goes out.", "1", RATE)
    assert _text(own, [0, 1]) == "The sea,"
    assert _text(own, [1, 5]) == "sea, out."
    assert _text(replace(own, text="Other"), [1, 5]) == "sea, out."


def test_words_that_lie_as_in_their_file_are_heard_in_one_stretch():
    own = three_speeches().lines[0]
    run = [said(0, 10, 11, at=3), said(1, 11, F(23, 2), at=4), said(2, 13, 14, at=5), said(3, 14, 15, file=None)]
    assert _soundings(own, "1", run) == [
        Sounding("1", "a.wav", F(3), F(10), F(3, 2)), Sounding("1", "a.wav", F(5), F(13), F(1)),
    ]  # fmt: skip
    assert _soundings(replace(own, song="x"), "1", run) == []


def test_what_is_shown_of_a_cut_with_gaps():
    cut = Cut("cut.edl", RATE, F(4), 96, (cut_event(1, 2), cut_event(F(5, 2), 3)))
    assert cut.gaps == ((0, 24), (48, 60), (72, 96))
    assert _shown(cut) == [(24, 48), (60, 72)]


def test_the_longest_rise_stays():
    assert sorted(_longest_rise([2, 0, 1, 3])) == [1, 2, 3]
    assert sorted(_longest_rise([])) == []
    assert sorted(_longest_rise([3, 2, 1])) == [2]


# What is told.


def test_a_word_cut_into_by_more_than_a_frame_and_a_half_is_told():
    # "out." ends on frame 6 + 4 x 9.6 = 44.4 of the clip.
    def told(length):
        text = event(1, "C01", 0, 0, length) + event(2, "C02", 0, length, 53) + event(3, "C03", 0, length + 53, 43)
        return codes(in_cut(three_speeches(), text)).get("C01")

    assert told(43) is None  # 1.4 frames
    assert told(42) == [Code.CUT_TAKES_WORDS]  # 2.4 frames
    cut_into = in_cut(three_speeches(), event(1, "C01", 0, 0, 41)).clips[0].findings[0]
    assert cut_into.message == "the cut cuts into “out”"
    assert (cut_into.facts["taken"], cut_into.facts["cut_into"]) == ([], ["out."])
    both = in_cut(three_speeches(), event(1, "C01", 0, 0, 21)).clips[0].findings[0]
    assert both.message == "the cut takes “goes out” and cuts into “sea”"  # of "sea", frames 15.6 to 25.2, 5.4 are left
    half = in_cut(three_speeches(), event(1, "C01", 0, 0, 20)).clips[0].findings[0]
    assert half.message == "the cut takes “sea goes out”"  # 4.4 of 9.6 are less than half


@pytest.mark.parametrize(("late", "told"), [(1, None), (2, "2 frames before"), (-2, "2 frames after")])
def test_a_picture_may_lie_a_frame_beside_its_sound(late, told):
    text = event(1, "C01", 0, 10, 53) + event(2, "C01", 0, 10 + late, 53, "A")
    found = [f.message for f in in_cut(three_speeches(), text).clips[0].findings if f.code == Code.CUT_APART]
    assert found == ([f"its picture lies {told} its sound"] if told else [])


@pytest.mark.parametrize(("source", "told"), [(30, None), (29, [30])])
def test_a_frame_that_is_shown_again_is_told(source, told):
    text = event(1, "C01", 0, 0, 30) + event(2, "C01", source, 30, 20)
    found = [f for f in in_cut(three_speeches(), text).clips[0].findings if f.code == Code.CUT_REPEATED]
    assert [f.facts["frames"] for f in found] == ([told] if told else [])
    if told:
        assert found[0].message == "shown again at 00:00:01:06"


def test_gaps_are_named_up_to_six():
    rows = [event(n + 1, "C01", 0, 10 * n, 9) for n in range(9)]
    (gap,) = [f for f in in_cut(three_speeches(), "".join(rows)).findings if f.code == Code.CUT_GAP]
    assert gap.message.startswith("the cut shows nothing for 1 frame at 00:00:00:09, 1 frame at 00:00:00:19, ")
    assert gap.message.endswith("at 00:00:02:11 and 2 more")
    assert len(gap.facts["gaps"]) == 8
    (two,) = [
        f for f in in_cut(three_speeches(), rows[0] + event(2, "C02", 0, 11, 9)).findings if f.code == Code.CUT_GAP
    ]
    assert two.message == "the cut shows nothing for 2 frames at 00:00:00:09"


def test_strange_sources_are_named_up_to_six():
    text = "".join(event(n, "AX", 0, 10 * n, 10, name=f"beach {n}") for n in range(1, 9))
    (found,) = [f for f in in_cut(three_speeches(), text).findings if f.code == Code.CUT_UNKNOWN]
    assert found.message.startswith(
        "“beach 1”, “beach 2”, “beach 3”, “beach 4”, “beach 5”, “beach 6” and 2 more are no clips"
    )
    (one_,) = [
        f
        for f in in_cut(three_speeches(), event(1, "AX", 0, 0, 10, name="beach")).findings
        if f.code == Code.CUT_UNKNOWN
    ]
    assert one_.message.startswith("“beach” is no clip of the script")


def test_who_stands_elsewhere_is_told_with_whom_it_follows():
    rows = [("C02", 0), ("C03", 53), ("C01", 96)]
    found = in_cut(three_speeches(), "".join(event(n, c, 0, at, 43) for n, (c, at) in enumerate(rows, 1)))
    assert {c.id: [f.message for f in c.findings if f.code == Code.CUT_MOVED] for c in found.clips} == {
        "C01": ["stands after C03 in the cut"], "C02": [], "C03": [],
    }  # fmt: skip
    first = in_cut(
        three_speeches(),
        "".join(event(n, c, 0, at, 43) for n, (c, at) in enumerate([("C03", 0), ("C01", 53), ("C02", 96)], 1)),
    )
    assert [f.message for c in first.clips for f in c.findings if f.code == Code.CUT_MOVED] == [
        "stands first in the cut"
    ]


def test_a_picture_covered_in_its_middle_is_two_stretches_with_its_sound_all_through():
    text = event(1, "C01", 0, 0, 53, "B") + event(2, "C02", 0, 20, 10, "V2") + event(3, "C02", 0, 53, 53)
    there = in_cut(three_speeches(), text)
    assert [(e.start_frame, e.end_frame, e.source * 24) for e in there.cut.events if e.clip == "C01" and e.is_seen] == [
        (0, 20, 0), (30, 53, 30),
    ]  # fmt: skip
    assert [(e.start_frame, e.end_frame) for e in there.cut.events if e.clip == "C01" and e.is_heard] == [(0, 53)]
    assert [w for w, _ in words(there)][:4] == ["The", "sea", "goes", "out."]


def test_a_song_in_a_stretch_of_the_cut_has_the_beats_that_lie_in_it():
    from tests.cut.test_follow import sung

    song = sung().songs[0]  # beats each 0.625 s from 2 s, bars each 2.5 s
    found = _stretch(song, F(3), F(8), F(1), 2)
    assert found.id == "out-and-in (2)"
    assert (found.start, found.end, found.heard_from) == (3, 8, 3)
    assert found.beats == tuple(3 + F(5, 8) * n for n in range(8))  # 8 itself is no longer in it
    assert found.downbeats == (3, F(11, 2))
