"""Editing files: opened by the OpenTimelineIO library, time code read by it, rates mapped exactly."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from urllib.parse import unquote

import opentimelineio as otio
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.export.plans import line, plan_of, small_plan
from timing.export.cutting import cut_tracks
from timing.export.delivery import Target, targets
from timing.export.editing import episode_edl, markers_csv
from timing.export.timeline import episode_otio
from timing.model import Delivered, LineKind, Media, Plan
from timing.model.clock import FrameRate

FOLDER = Path()
RATES = ["12", "23.976", "24", "25", "29.97", "30", "50", "59.94", "60"]
EVENT = re.compile(r"(\d{3})  (\S{1,8}) +V     C        " + " ".join([r"(\d\d:\d\d:\d\d[:;]\d\d)"] * 4))


def opened(plan: Plan, name: str = "episode.otio") -> otio.schema.Timeline:
    timeline = otio.adapters.read_from_string(episode_otio(plan, FOLDER)[name].decode(), "otio_json")
    assert isinstance(timeline, otio.schema.Timeline)
    return timeline


@pytest.mark.parametrize("rate", RATES)
def test_the_library_opens_the_timeline_with_equal_durations(rate: str) -> None:
    plan = small_plan(rate)
    timeline = opened(plan)
    assert timeline.name == plan.title
    assert timeline.duration().rate == pytest.approx(float(plan.rate.fps), abs=1e-12)
    picture = timeline.tracks[0]
    ends = [item.range_in_parent().end_time_exclusive().value for item in picture if isinstance(item, otio.schema.Clip)]
    assert ends == [clip.end_frame for clip in plan.clips]
    starts = [item.range_in_parent().start_time.value for item in picture if isinstance(item, otio.schema.Clip)]
    assert starts == [clip.start_frame for clip in plan.clips]


def test_what_is_written_is_what_the_library_itself_would_write() -> None:
    """Read by the library, written by the library, read as JSON: nothing is lost and no field is unknown to it."""
    text = episode_otio(small_plan(), FOLDER)["episode.otio"].decode()
    again = otio.adapters.write_to_string(otio.adapters.read_from_string(text, "otio_json"), "otio_json")
    ours, theirs = json.loads(text), json.loads(again)

    def compare(a: object, b: object, path: str) -> None:
        if isinstance(a, dict) and isinstance(b, dict):
            for key in a:
                assert key in b, f"{path}.{key}"
                compare(a[key], b[key], f"{path}.{key}")
        elif isinstance(a, list) and isinstance(b, list):
            assert len(a) == len(b)
            for n, (x, y) in enumerate(zip(a, b, strict=True)):
                compare(x, y, f"{path}[{n}]")
        else:
            assert a == b, path

    compare(ours, theirs, "")


def test_clips_show_the_part_of_the_generated_clip_that_holds_the_speech() -> None:
    timeline = opened(small_plan())
    for clip in timeline.find_clips():
        if clip.media_reference.available_range is None:
            continue
        inside = clip.media_reference.available_range
        assert inside.start_time <= clip.source_range.start_time
        assert clip.source_range.end_time_exclusive() <= inside.end_time_exclusive()
        for marker in clip.markers:
            assert clip.source_range.start_time <= marker.marked_range.start_time


def test_words_bars_and_scenes_are_markers() -> None:
    timeline = opened(small_plan())
    words = [m.name for clip in timeline.tracks[0] for m in getattr(clip, "markers", [])]
    assert words[:3] == ["The", "sea", "goes"]
    assert [m.name for m in timeline.tracks.markers] == ["EXT. ROCK", "bar 1", "bar 2", "bar 3"]


def test_a_first_sound_keeps_its_place_in_the_cut() -> None:
    """Source frame of the first sound (head handle 0.25 s = 6 frames at 24) lies at the speech's frame."""
    plan = small_plan()
    for event in cut_tracks(plan, targets(plan)[0])[0]:
        if event.clip.head:
            assert event.start + (6 - event.source) == plan.rate.frame_at(event.clip.speech_start)


def test_voices_at_once_lie_on_two_tracks() -> None:
    rate = FrameRate(Fraction(24))
    plan = plan_of([line("1", "Wait for me!", 1, rate), line("2", "Wait for me!", 1, rate, speaker="BRAM")])
    timeline = opened(plan)
    assert [track.kind for track in timeline.tracks] == ["Video", "Video"]
    assert sorted(episode_edl(plan, FOLDER)) == ["episode-2.edl", "episode.edl"]


# --- the edit list -----------------------------------------------------------------------------------------


def _frame(code: str, rate: float) -> int:
    if rate == 12:  # a rate the library's time code does not know: whole seconds of 12 frames
        hours, minutes, seconds, frames = map(int, code.split(":"))
        return ((hours * 60 + minutes) * 60 + seconds) * 12 + frames
    return int(otio.opentime.from_timecode(code, rate).to_frames())


def events(text: str, rate: float) -> list[tuple[str, list[int]]]:
    """Read an edit list's events; the library turns the time code into frames."""
    found = []
    for number, reel, *codes in EVENT.findall(text):
        assert int(number) == len(found) + 1
        found.append((reel, [_frame(code, rate) for code in codes]))
    return found


@pytest.mark.parametrize(("rate", "drop"), [*((r, False) for r in RATES), ("29.97", True), ("59.94", True)])
def test_the_edit_lists_totals_equal_the_plans(rate: str, drop: bool) -> None:
    plan = small_plan(rate, drop_frame=drop)
    text = episode_edl(plan, FOLDER)["episode.edl"].decode("ascii")
    assert text.startswith("TITLE: Where Does the Sea Go?\r\nFCM: " + ("DROP FRAME" if drop else "NON-DROP FRAME"))
    found = events(text, float(plan.rate.fps))
    at = 0
    for _, (source_in, source_out, record_in, record_out) in found:
        assert record_in == at
        assert source_out - source_in == record_out - record_in > 0
        at = record_out
    assert at == plan.clips[-1].end_frame
    shown = sum(c.end_frame - c.start_frame for c in plan.clips)
    assert sum(e[3] - e[2] for reel, e in found if reel != "BL") == shown


def test_the_edit_list_is_read_by_the_librarys_own_adapter() -> None:
    pytest.importorskip("otio_cmx3600_adapter")
    plan = small_plan()
    text = episode_edl(plan, FOLDER)["episode.edl"].decode("ascii")
    timeline = otio.adapters.read_from_string(text, "cmx_3600", rate=24)
    assert timeline.duration().value == plan.clips[-1].end_frame
    names = [c.name for c in timeline.find_clips() if c.name.startswith("C")]
    assert names == [c.id for c in plan.clips]


def test_drop_frame_labels_in_the_edit_list_are_the_published_ones() -> None:
    """D. Heidelberger, "Drop-Frame Timecode" (2010): frame 1800 is 00:01:00;02, frame 17982 is 00:10:00;00."""
    rate = FrameRate.parse("29.97", drop_frame=True)
    start = Fraction(1800 * 1001, 30000) + Fraction(1, 4)
    late = Fraction(17982 * 1001, 30000) + Fraction(1, 4)
    base = small_plan("29.97", drop_frame=True).settings
    plan = plan_of([line("1", "One.", start, rate), line("2", "Two.", late, rate)], base)
    text = episode_edl(plan, FOLDER)["episode.edl"].decode()
    assert " 00:01:00;02 " in text
    assert " 00:10:00;00 " in text


# --- delivery ----------------------------------------------------------------------------------------------


@given(
    frame=st.integers(0, 90 * 60 * 24),
    pair=st.sampled_from([("24", "60"), ("23.976", "59.94"), ("24", "30"), ("25", "60")]),
)
def test_a_delivery_edge_is_never_more_than_half_a_frame_off_over_ninety_minutes(
    frame: int, pair: tuple[str, str]
) -> None:
    native, delivery = map(FrameRate.parse, pair)
    target = Target(delivery, native, "delivery/")
    off = abs(delivery.moment_of(target.frame(frame)) - native.moment_of(frame)) * delivery.fps
    assert off <= Fraction(1, 2)


def test_every_frame_of_ninety_minutes_from_24_to_60_is_five_halves() -> None:
    target = Target(FrameRate.parse(60), FrameRate.parse(24), "")
    assert all(abs(2 * target.frame(n) - 5 * n) <= 1 for n in range(90 * 60 * 24 + 1))
    assert target.frame(96) == 240  # 96 frames at 24 are 4 s, 240 frames at 60


def test_every_editing_file_is_written_at_both_rates() -> None:
    plan = small_plan("24", "60")
    files = {**episode_otio(plan, FOLDER), **episode_edl(plan, FOLDER), **markers_csv(plan, FOLDER)}
    assert sorted(files) == [
        *("delivery/episode.edl", "delivery/episode.otio", "delivery/markers.csv"),
        *("episode.edl", "episode.otio", "markers.csv"),
    ]
    native, delivery = opened(plan), opened(plan, "delivery/episode.otio")
    assert delivery.duration().rate == 60
    for a, b in zip(native.tracks[0], delivery.tracks[0], strict=True):
        assert abs(b.range_in_parent().start_time.to_seconds() - a.range_in_parent().start_time.to_seconds()) <= 1 / 120
    last = events(files["delivery/episode.edl"].decode(), 60)[-1][1][3]
    assert abs(last * 2 - plan.clips[-1].end_frame * 5) <= 1


def test_markers_carry_frame_and_time_code_of_words_bars_and_scenes() -> None:
    plan = small_plan()
    rows = list(csv.DictReader(io.StringIO(markers_csv(plan, FOLDER)["markers.csv"].decode("utf-8-sig"))))
    assert {row["kind"] for row in rows} == {"scene", "clip", "line", "word", "bar"}
    for row in rows:
        assert otio.opentime.from_timecode(row["timecode"], 24).to_frames() == int(row["frame"])
    # 96 bpm at 24 frames a second is 15 frames a beat (60 x 24 / 96), so a bar of four is 60.
    bars = [int(row["frame"]) for row in rows if row["kind"] == "bar"]
    assert bars == [288, 348, 408]


def test_a_clip_that_came_back_lies_in_the_cut_with_its_first_sound_in_place() -> None:
    plan = small_plan()
    clip = next(c for c in plan.clips if c.kind is LineKind.SPOKEN)
    file = "clips/C 02 take 2.mp4"
    back = Delivered(clip.id, file, is_measured=True, speech_start=Fraction(3, 2))
    child = next(c for c in opened(replace(plan, deliveries=(back,))).find_clips() if c.name == clip.id)
    assert unquote(child.media_reference.target_url) == f"../{file}"
    shown_before = plan.rate.frame_at(clip.speech_start) - clip.start_frame
    assert child.source_range.start_time.value == 36 - shown_before  # 1.5 s at 24
    unmeasured = opened(replace(plan, deliveries=(replace(back, is_measured=False),)))
    assert next(c for c in unmeasured.find_clips() if c.name == clip.id).media_reference.is_missing_reference


# --- files that came back --------------------------------------------------------------------------------------


def returned(
    file: str, media: Media | None, index: int = 0, state: str = "accepted", measured: bool = True, rate: str = "24"
) -> tuple[Plan, str]:
    """Return a plan with one clip back, its first sound at 1.5 s, and that clip's id."""
    plan = small_plan(rate, "60" if rate == "24" else None)
    clip = plan.clips[index]
    start = Fraction(3, 2) if measured else None
    back = Delivered(clip.id, file, state=state, is_measured=measured, speech_start=start, media=media)
    return replace(plan, deliveries=(back,)), clip.id


def test_a_file_lies_in_the_cut_by_its_name_with_all_its_frames_and_its_own_code() -> None:
    """C01: speech at 1 s, cut from 0.75 s, so the file is shown from its 1.5 - 0.25 s, frame 30 of 24 a second. Its own
    code begins at 10 h = frame 864000; it has 4 s = 96 frames. Seven words of 0.4 s and 0.35 s after them end at 4.15 s,
    frame 100, so 82 frames are seen."""
    plan, clip_id = returned("clips/C01 – “take” 2.mp4", Media(Fraction(24), Fraction(4), Fraction(36000)))
    child = next(c for c in opened(plan).find_clips() if c.name == clip_id)
    assert child.media_reference.name == "C01 – “take” 2.mp4"
    assert child.media_reference.available_range == window(864000, 96)
    assert child.source_range.start_time == otio.opentime.RationalTime(864030, 24)
    assert all(child.source_range.contains(m.marked_range) for m in child.markers)
    text = episode_edl(plan, FOLDER)["episode.edl"].decode("ascii")
    assert '* FROM CLIP NAME: C01 - "take" 2.mp4\r\n' in text
    assert re.search(r"C01 +V     C        10:00:01:06 10:00:04:16 00:00:00:18 00:00:04:04", text)


def test_a_file_of_another_rate_is_counted_in_its_own() -> None:
    """The same place, 1.25 s, in a file of 25 a second: frame 31.25, so 31; 4 s are 100 frames."""
    plan, clip_id = returned("clips/C01.mp4", Media(Fraction(25), Fraction(4)))
    for name, rate in (("episode.otio", 24), ("delivery/episode.otio", 60)):
        child = next(c for c in opened(plan, name).find_clips() if c.name == clip_id)
        assert child.media_reference.available_range == window(0, 100, 25)
        assert (child.source_range.start_time.value, child.source_range.start_time.rate) == (31, 25)
        assert child.source_range.duration.rate == rate
    text = episode_edl(plan, FOLDER)["episode.edl"].decode("ascii")
    assert "* SOURCE RATE: 25 FRAMES A SECOND, SOURCE IN AT THAT RATE: 00:00:01:06\r\n" in text


def test_pictures_and_accepted_files_are_laid_in_and_useless_ones_are_not() -> None:
    media = Media(Fraction(24), Fraction(3))
    picture, clip_id = returned("clips/C02.mp4", media, 1, "delivered", measured=False)
    assert next(c for c in opened(picture).find_clips() if c.name == clip_id).media_reference.target_url
    accepted, clip_id = returned("clips/C01.mp4", media, 0, "accepted", measured=False)
    assert next(c for c in opened(accepted).find_clips() if c.name == clip_id).media_reference.target_url
    doubtful, clip_id = returned("clips/C01.mp4", media, 0, "delivered", measured=False)
    assert next(c for c in opened(doubtful).find_clips() if c.name == clip_id).media_reference.is_missing_reference
    assert "FROM CLIP NAME: C01\r\n" in episode_edl(doubtful, FOLDER)["episode.edl"].decode()


def test_the_delivery_rate_too_is_read_by_the_librarys_adapter() -> None:
    pytest.importorskip("otio_cmx3600_adapter")
    plan, _ = returned("clips/C01 take 2.mp4", Media(Fraction(24), Fraction(4), Fraction(36000)))
    text = episode_edl(plan, FOLDER)["delivery/episode.edl"].decode("ascii")
    made = otio.adapters.read_from_string(text, "cmx_3600", rate=60)
    assert abs(made.duration().value * 2 - plan.clips[-1].end_frame * 5) <= 1
    assert next(c.name for c in made.find_clips() if c.name.startswith("C")) == "C01 take 2.mp4"


def test_a_title_keeps_its_quotes() -> None:
    plan = replace(small_plan(), title="“Où va la mer?” – ‘Out & In’…")
    assert episode_edl(plan, FOLDER)["episode.edl"].startswith(b"TITLE: \"Ou va la mer?\" - 'Out & In'...\r\n")


def window(start: int, length: int, rate: float = 24) -> otio.opentime.TimeRange:
    time = otio.opentime.RationalTime
    return otio.opentime.TimeRange(time(start, rate), time(length, rate))
