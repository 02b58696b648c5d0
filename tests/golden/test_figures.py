"""Printed and exported figures against values worked out by hand, one at least for every column and key.

The episodes are those of ``outputs.py``. Arithmetic is written out beside each value: 25 frames a second and a head of
0.25 s, a tail of 0.35 s in ``ebbe``; 30000/1001 in ``landed``.
"""

import csv
import io
import json
from fractions import Fraction as F

import pytest

import timing
from tests.golden.outputs import run_episode
from timing.clips.plan import plan_clips
from timing.clips.replan import Handles, replan_clips
from timing.model.findings import FindingCode
from timing.pipeline import plan_source


@pytest.fixture(scope="module")
def ebbe(tmp_path_factory):
    return run_episode("ebbe", tmp_path_factory.mktemp("ebbe"))


@pytest.fixture(scope="module")
def landed(tmp_path_factory):
    return run_episode("landed", tmp_path_factory.mktemp("landed"))


def rows(outputs, name, key):
    return {row[key]: row for row in csv.DictReader(io.StringIO(outputs[name]))}


def plan_json(outputs):
    return json.loads(outputs["out/plan.json"])


# --- clips.csv -------------------------------------------------------------------------------------------


def test_a_picture_of_36_frames_at_25(ebbe):
    row = rows(ebbe, "out/clips.csv", "clip")["C01"]
    # 36 / 25 = 1.44 s; no handles; the default profile returns 3 s at least: 3 - 1.44 = 1.56 s over; 7 takes: 21 s.
    assert (row["speech_s"], row["need_s"], row["ask_s"], row["slack_s"]) == ("0.00", "1.44", "3.00", "1.56")
    assert (row["takes"], row["generate_s"], row["first_frame"], row["last_frame"]) == ("7", "21.00", "1", "36")
    assert (row["kind"], row["line"], row["part"], row["speaker"]) == ("picture", "1", "1 of 1", "")


def test_a_speech_needs_its_handles_and_is_asked_for_by_its_high_end(ebbe):
    for row in rows(ebbe, "out/clips.csv", "clip").values():
        if row["kind"] == "picture":
            continue
        menu = [F(3), F(5), F(8)] if row["profile"] == "muschel" else [F(n, 2) for n in range(4, 13)]
        # 0.25 s before and 0.35 s after; a later part of a line goes on from the one before, so it has nothing before.
        handles = F("0.6") if row["part"].startswith("1 ") else F("0.35")
        assert abs(F(row["need_s"]) - F(row["speech_s"]) - handles) <= F("0.01")
        assert F(row["high_s"]) >= F(row["speech_s"])
        assert F(row["ask_s"]) == min(n for n in menu if n >= F(row["high_s"]) + handles)
        assert abs(F(row["slack_s"]) - F(row["ask_s"]) + F(row["need_s"])) <= F("0.01")
        takes = 4 if row["profile"] == "muschel" else 3
        assert (int(row["takes"]), F(row["generate_s"])) == (takes, takes * F(row["ask_s"]))


def test_parts_of_a_split_line_say_so_and_follow_one_another(ebbe):
    clips = rows(ebbe, "out/clips.csv", "clip")
    parts = [clips[f"C03.{n}"] for n in (1, 2, 3)]
    assert [p["part"] for p in parts] == ["1 of 3", "2 of 3", "3 of 3"]
    assert all(int(a["last_frame"]) + 1 == int(b["first_frame"]) for a, b in zip(parts, parts[1:], strict=False))
    assert " ".join(p["text"] for p in parts) == clips["C03.1"]["text"] + (
        " und am Abend kommt es wieder herein, weil der Mond ganz leise am Wasser zieht."
    )


def test_two_bars_of_six_eight_at_60_are_100_frames(ebbe):
    row = rows(ebbe, "out/clips.csv", "clip")["C05"]
    # 2 bars x 2 beats x 1 s = 4 s = 100 frames of 25.
    assert int(row["last_frame"]) - int(row["first_frame"]) + 1 == 100
    assert (row["need_s"], row["ask_s"], row["generate_s"]) == ("4.00", "4.00", "28.00")


def test_a_pause_is_told_to_the_generator(ebbe):
    assert rows(ebbe, "out/clips.csv", "clip")["C02"]["said"] == "Bram, wach auf! (pause 0.8 s) Das Meer ist weg!"


# --- lines.csv and plan.json -----------------------------------------------------------------------------


def test_low_seconds_and_high_are_those_of_the_estimate(ebbe):
    own = timing.estimate("Ich habe 7 Pfützen gezählt.", "de_DE", "dialogue")
    row = rows(ebbe, "out/lines.csv", "line")["6"]
    for column, value in (("low_s", own.low_s), ("seconds", own.seconds), ("high_s", own.high_s)):
        assert float(row[column]) == pytest.approx(float(value), abs=0.006)
    assert F(row["low_s"]) < F(row["seconds"]) < F(row["high_s"])
    line = next(n for n in plan_json(ebbe)["lines"] if n["id"] == "6")
    assert line["low_s"] == pytest.approx(float(own.low_s), abs=1e-6)
    assert line["high_s"] == pytest.approx(float(own.high_s), abs=1e-6)
    assert line["end_s"] - line["start_s"] == pytest.approx(float(own.seconds), abs=2e-6)


def test_a_line_begins_after_the_head_of_its_clip(ebbe):
    row = rows(ebbe, "out/lines.csv", "line")["2"]
    # The picture ends at 1.44 s, the head lasts 0.25 s: 1.69 s is frame 42.25, the nearest edge 42 = 1.68 s; paper: 43.
    assert (row["start_s"], row["first_frame"]) == ("1.68", "43")
    assert row["syllables"] == "7"  # Bram, wach auf! Das Meer ist weg!
    assert (row["kind"], row["speaker"], row["origin"], row["clips"]) == ("spoken", "TANSY", "estimated", "C02")


def test_a_measured_line_has_no_range(landed):
    row = rows(landed, "out/lines.csv", "line")["3"]
    assert (row["origin"], row["take"]) == ("measured", "clips/C3 take 1.ogg")
    assert row["low_s"] == row["seconds"] == row["high_s"]


def test_sung_syllables_lie_on_their_bars_and_beats(ebbe):
    line = next(n for n in plan_json(ebbe)["lines"] if n["text"] == "Das Meer geht hinaus")
    syllables = {s["text"]: s for word in line["words"] for s in word["syllables"]}
    # "Das | Meer": the bar line pins Meer to bar 1, beat 1; the pick-up before it lies in bar 0.
    assert (syllables["Meer"]["bar"], syllables["Meer"]["beat"]) == (1, 1)
    assert syllables["Das"]["bar"] == 0
    held = next(n for n in plan_json(ebbe)["lines"] if n["text"] == "die ganze Nacht")["words"][-1]["syllables"][0]
    # "Nacht__" is held two beats longer than its own one: three seconds at 60 to the minute.
    assert held["end_s"] - held["start_s"] == pytest.approx(3, abs=1e-6)


def test_plan_json_of_a_song(ebbe):
    song = plan_json(ebbe)["songs"][0]
    assert (song["id"], song["bpm"], song["metre"]) == ("ebbe", 60, [6, 8])
    steps = [b - a for a, b in zip(song["beats_s"], song["beats_s"][1:], strict=False)]
    assert steps == pytest.approx([1] * len(steps), abs=2e-6)
    bars = [b - a for a, b in zip(song["downbeats_s"], song["downbeats_s"][1:], strict=False)]
    assert bars == pytest.approx([2] * len(bars), abs=2e-6)
    assert song["first_downbeat_s"] == song["downbeats_s"][0]


def test_totals_are_the_sums_of_the_clips(ebbe):
    plan = plan_json(ebbe)
    clips = plan["clips"]
    totals = plan["totals"]
    assert totals["ask_s"] == pytest.approx(sum(c["ask_s"] for c in clips))
    assert totals["generate_s"] == pytest.approx(sum(c["ask_s"] * c["takes"] for c in clips))
    assert totals["speech_s"] == pytest.approx(sum(c["speech_s"] for c in clips), abs=1e-4)
    assert totals["screen_s"] <= plan["episode"]["seconds"]


def test_the_episode_counts_its_frames_from_its_seconds(ebbe, landed):
    for outputs, rate in ((ebbe, F(25)), (landed, F(30000, 1001))):
        episode = plan_json(outputs)["episode"]
        assert abs(episode["frames"] - F(str(episode["seconds"])) * rate) <= 1
    assert plan_json(landed)["episode"]["rate"] == "30000/1001"
    assert plan_json(landed)["episode"]["drop_frame"] is True
    assert plan_json(ebbe)["episode"]["rate"] == "25"


def test_short_lines_share_one_generation(landed):
    row = rows(landed, "out/clips.csv", "clip")["C04"]
    # (Oh.) + the gap + (Good.) + 0.6 s of handles are under 4 s, the shortest on the menu.
    assert (row["line"], row["ask_s"], row["takes"], row["generate_s"]) == ("4 5", "4.00", "5", "20.00")


# --- captions, cut, markers ------------------------------------------------------------------------------


def test_captions_begin_with_their_words(ebbe):
    # Line 2 begins at frame 42 of 25: 1.680 s.
    assert ebbe["out/captions.srt"].startswith("1\n00:00:01,680 --> ")
    assert "00:00:01.680 --> " in ebbe["out/captions.vtt"]


def test_the_example_is_one_cut_list(tmp_path):
    found = run_episode("low-tide", tmp_path)
    assert "out/episode.edl" in found
    assert "out/episode-2.edl" not in found  # nobody speaks at the same time: clips that meet share one track


def test_drop_frame_time_code(landed):
    # SMPTE ST 12-1: ten minutes drop 18 numbers; within the first minute none is dropped, so frame 45 is 00:00:01;15.
    assert "FCM: DROP FRAME" in landed["out/episode.edl"]
    first = next(row for row in landed["out/episode.edl"].splitlines() if row.startswith("001"))
    # A picture of 1.5 s is 44.955 frames, nearest edge 45: source and record times are its length.
    assert first.split()[-4:] == ["00:00:00;00", "00:00:01;15", "00:00:00;00", "00:00:01;15"]


def test_markers_name_bars_and_words_on_their_frames(ebbe):
    markers = list(csv.DictReader(io.StringIO(ebbe["out/markers.csv"].lstrip("\ufeff"))))
    bars = [int(m["frame"]) for m in markers if m["kind"] == "bar"]
    assert [b - a for a, b in zip(bars, bars[1:], strict=False)] == [50] * (len(bars) - 1)  # two beats of 25 frames
    line = next(m for m in markers if m["kind"] == "line" and m["name"].startswith("2 "))
    assert (line["frame"], line["timecode"], line["seconds"]) == ("42", "00:00:01:17", "1.680")


def test_a_song_as_midi(ebbe):
    text = ebbe["out/song-ebbe.mid"]
    assert "numerator=6, denominator=8" in text
    # 60 dotted quarters a minute: a quarter lasts 2/3 s = 666,667 microseconds.
    assert "tempo=666667" in text


# --- flashing, delivered handles -------------------------------------------------------------------------


def pictures(tmp_path, frames, count):
    script = "\n\n".join(f"[[{frames} frames]]\nPebble {n}." for n in range(count))
    (tmp_path / "script.fountain").write_text(script + "\n\n[[9 s]]\nThe sea.\n\nTANSY\nOh!\n", "utf-8")
    (tmp_path / "episode.toml").write_text("rate = 24\n", "utf-8")
    return [f.facts for f in plan_source(tmp_path).findings if f.code is FindingCode.CUTS_CLOSE]


def test_cuts_are_counted_within_one_second(tmp_path):
    # A cut every 4 frames of 24: six in any second (0, 4, ... 20 frames), which is allowed; every 3 frames: eight.
    assert pictures(tmp_path, 4, 12) == []
    found = pictures(tmp_path, 3, 12)
    assert [f["cuts"] for f in found] == [8]


def test_a_clip_shows_no_more_than_the_file_has(tmp_path):
    (tmp_path / "script.fountain").write_text("TANSY\nThe sea is here!\n", "utf-8")
    plan = plan_source(tmp_path)
    asked = plan_clips(plan.lines, plan.settings, plan.songs)
    shown = replan_clips(asked, plan.lines, plan.settings, (), {"C01": Handles(F(1, 10), F(1, 20))}).clips[0]
    # The file has 0.1 s before and 0.05 s after its words; the profile's own handles are 0.25 and 0.35 s.
    assert (shown.head, shown.tail) == (F(1, 10), F(1, 20))
    assert shown.need == shown.speech + F(15, 100)
    long = replan_clips(asked, plan.lines, plan.settings, (), {"C01": Handles(F(2), F(3))}).clips[0]
    assert (long.head, long.tail) == (F(1, 4), F(35, 100))
