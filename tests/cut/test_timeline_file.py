"""Timelines of the OpenTimelineIO library, made by the library itself and held against the ranges that it computes."""

from __future__ import annotations

import json
from fractions import Fraction

import opentimelineio as otio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timing.cut.listed import CutList
from timing.cut.timeline_file import read_timeline
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode as Code
from timing.plain.errors import InputError

schema, opentime = otio.schema, otio.opentime


def time(frames: float, rate: float = 24) -> opentime.RationalTime:
    return opentime.RationalTime(frames, rate)


def window(start: float, length: float, rate: float = 24) -> opentime.TimeRange:
    return opentime.TimeRange(time(start, rate), time(length, rate))


def clip(name: str, start: float, length: float, rate: float = 24, **more: object) -> schema.Clip:
    return schema.Clip(name, source_range=window(start, length, rate), **more)


def read(timeline: otio.core.SerializableObject, rate: str = "24") -> CutList:
    text = otio.adapters.write_to_string(timeline, "otio_json")
    return read_timeline(text, "cut.otio", [FrameRate.parse(rate)])


def timeline(*tracks: list[otio.core.Composable], kinds: str = "") -> schema.Timeline:
    made = schema.Timeline("low tide")
    for n, children in enumerate(tracks):
        kind = schema.TrackKind.Audio if kinds[n : n + 1] == "A" else schema.TrackKind.Video
        made.tracks.append(schema.Track(f"track {n + 1}", children, kind=kind))
    return made


def rows(cut: CutList) -> list[tuple[str, Fraction, Fraction, Fraction]]:
    """Return (name, start, end, source) in frames of 24 a second."""
    return [(e.name, e.start * 24, e.end * 24, e.source * 24) for e in cut.events]


def as_the_library_says(made: schema.Timeline) -> list[tuple[str, Fraction, Fraction, Fraction]]:
    """Return the same for each clip of a timeline without transitions, by the library's own transforms."""
    found = []
    for one in made.find_clips():
        own = one.trimmed_range()
        there = one.transformed_time_range(own, made.tracks)
        start, end = there.start_time.to_seconds(), there.end_time_exclusive().to_seconds()
        found.append(
            (one.name, *(Fraction(s).limit_denominator(10**6) * 24 for s in (start, end, own.start_time.to_seconds())))
        )
    return found


def test_clips_and_gaps_lie_where_the_library_says() -> None:
    made = timeline(
        [clip("C01", 6, 48), schema.Gap(source_range=window(0, 12)), clip("C02", 0, 36)],
        [schema.Gap(source_range=window(0, 30)), clip("C03", 4, 20)],
    )
    assert sorted(rows(read(made))) == sorted(as_the_library_says(made))
    assert [e.layer for e in read(made).events] == [0, 0, 1]
    assert read(made).length * 24 == made.duration().value == 96


def test_a_nest_lies_where_the_library_says() -> None:
    inner = schema.Stack("nest", [schema.Track("within", [clip("C03", 10, 40), clip("C04", 0, 24)])])
    made = timeline([clip("C01", 0, 24), inner, clip("C02", 0, 12)])
    assert sorted(rows(read(made))) == sorted(as_the_library_says(made))


def test_a_nest_that_is_trimmed_shows_what_is_left() -> None:
    """Of 64 frames the nest shows 44 from its frame 8: C03 from frame 18 of its source for 32 frames, C04 for 12."""
    inner = schema.Track("within", [clip("C03", 10, 40), clip("C04", 0, 24)], source_range=window(8, 44))
    made = timeline([clip("C01", 0, 24), inner, clip("C02", 0, 12)])
    assert rows(read(made)) == [("C01", 0, 24, 0), ("C03", 24, 56, 18), ("C04", 56, 68, 0), ("C02", 68, 80, 0)]


def test_rates_that_differ_are_exact() -> None:
    """30 frames at 30 a second are one second, 24 frames at 24; a clip counts in its own rate."""
    made = timeline([clip("C01", 15, 30, 30), clip("C02", 12, 24)])
    assert rows(read(made)) == [("C01", 0, 24, 12), ("C02", 24, 48, 12)]


def test_the_rate_of_the_pictures_is_said_where_it_is_another() -> None:
    made = timeline([clip("C01", 0, 50, 25), clip("C02", 0, 25, 25)])
    cut = read(made)
    assert (cut.rate, [f.code for f in cut.findings]) == (FrameRate.parse(25), [Code.CUT_RATE])
    ntsc = read(timeline([clip("C01", 0, 24, 24000 / 1001)]), "23.976")
    assert (ntsc.rate, ntsc.findings, ntsc.events[0].end) == (FrameRate.parse("23.976"), (), Fraction(1001, 1000))


def test_a_transition_shows_both_of_its_clips() -> None:
    """In 4, out 6: the one goes on for 6 frames after the cut, the other begins 4 before it, so at its frame 8 - 4."""
    cross = schema.Transition("cross", in_offset=time(4), out_offset=time(6))
    made = timeline([clip("C01", 0, 24), cross, clip("C02", 8, 24)])
    assert rows(read(made)) == [("C01", 0, 30, 0), ("C02", 20, 48, 4)]
    assert read(made).length == 2


def test_speed_and_held_frames_are_said() -> None:
    fast = clip("C01", 0, 24, effects=[schema.LinearTimeWarp(time_scalar=2.0)])
    held = clip("C02", 0, 24, effects=[schema.FreezeFrame()])
    plain = clip("C03", 0, 24, effects=[schema.Effect(effect_name="glow"), schema.LinearTimeWarp(time_scalar=1.0)])
    cut = read(timeline([fast, held, plain]))
    assert [(e.name, e.speed) for e in cut.events] == [("C01", 2), ("C02", 0), ("C03", 1)]
    assert [(f.code, f.facts["name"]) for f in cut.findings] == [(Code.CUT_SPEED, "C01"), (Code.CUT_SPEED, "C02")]


def test_what_is_off_is_not_there() -> None:
    off = clip("C02", 0, 24)
    off.enabled = False
    made = timeline([clip("C01", 0, 24), off, clip("C03", 0, 24)])
    assert rows(read(made)) == [("C01", 0, 24, 0), ("C03", 48, 72, 0)]


def test_files_and_their_own_codes_are_told() -> None:
    media = schema.ExternalReference("file:///D:/episode/clips/C04%20take%202.mp4", window(86400, 96))
    made = timeline([schema.Clip("shot", media, window(86406, 24))], [clip("memo", 0, 24)], kinds="VA")
    one, sound = read(made).events
    assert (one.names, one.source, one.source_zero) == (("C04 take 2.mp4", "shot"), Fraction(86406, 24), 3600)
    assert (sound.is_seen, sound.is_heard) == (False, True)


def test_a_clip_without_a_range_shows_all_of_its_file() -> None:
    made = timeline([schema.Clip("C04", schema.ExternalReference("C04.mp4", window(0, 60)))])
    assert rows(read(made)) == [("C04.mp4", 0, 60, 0)]


def test_a_collection_of_one_timeline_is_that_timeline() -> None:
    made = timeline([clip("C01", 0, 24)])
    assert len(read(schema.SerializableCollection("bin", [made])).events) == 1
    with pytest.raises(InputError, match="holds 2 timelines"):
        read(schema.SerializableCollection("bin", [made, made.deepcopy()]))


def nested(depth: int) -> str:
    text = '{"OTIO_SCHEMA":"Gap.1","source_range":null}'
    for _ in range(depth):
        text = '{"OTIO_SCHEMA":"Stack.1","children":[' + text + "]}"
    return text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[]", "no OTIO_SCHEMA"),
        ("{", "JSON cannot be read"),
        ("[" * 100_000, "JSON cannot be read"),
        (nested(60), "nests more than"),
        ('{"OTIO_SCHEMA":"Timeline.1","tracks":{"OTIO_SCHEMA":"Stack.1","children":[]}}', "holds no clip"),
        ('{"OTIO_SCHEMA":"Clip.2"}', "not with a timeline"),
        (json.dumps({"OTIO_SCHEMA": "Track.1", "children": [{"OTIO_SCHEMA": "Clip.2", "name": "C01"}]}), "has no length"),
        *(
            (
                json.dumps({"OTIO_SCHEMA": "Track.1", "children": [{"OTIO_SCHEMA": "Clip.2", "source_range": {
                    "start_time": {"value": 0, "rate": 24}, "duration": {"value": value, "rate": rate}}}]}),
                said,
            )
            for value, rate, said in (
                (-1, 24, "shorter than nothing"), (1e300, 24, "far too long"), (float("nan"), 24, "far too long"),
                (1, 0, "rate is none"), (10**11, 24, "cannot be right"), ("1", 24, "no value and rate"),
            )
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_a_reason(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_timeline(text, "cut.otio", [FrameRate.parse(24)])


@settings(max_examples=25, deadline=None)
@given(
    lengths=st.lists(st.tuples(st.integers(0, 50), st.integers(1, 50), st.booleans()), min_size=1, max_size=8),
    trim=st.integers(0, 20),
)
def test_any_row_of_clips_lies_where_the_library_says(lengths: list[tuple[int, int, bool]], trim: int) -> None:
    children = [
        clip(f"C{n:02d}", start, length) if is_clip or not n else schema.Gap(source_range=window(0, length))
        for n, (start, length, is_clip) in enumerate(lengths)
    ]
    made = timeline(children)
    assert rows(read(made)) == as_the_library_says(made)
    whole = int(made.duration().value)
    if trim < whole:
        made.tracks[0].source_range = window(trim, whole - trim)
        ends = [(name, start - trim, end - trim, source) for name, start, end, source in as_if_whole(children)]
        left = [(n, max(a, 0), b, s + max(0, -a)) for n, a, b, s in ends if b > 0]
        if left:
            assert rows(read(made)) == left


def as_if_whole(children: list[otio.core.Composable]) -> list[tuple[str, int, int, int]]:
    found, at = [], 0
    for child in children:
        length = int(child.source_range.duration.value)
        if isinstance(child, schema.Clip):
            found.append((child.name, at, at + length, int(child.source_range.start_time.value)))
        at += length
    return found
