"""Whole folders of recordings: lines found wherever they are, the right reading taken, nothing heard twice."""

from __future__ import annotations

import numpy as np
import pytest

from tests.recording.material import LINES, pronounce_english, utterance_of
from tests.recording.sounds import DATA, write_wav
from timing.model import Origin
from timing.recording.files import line_named, recordings_in
from timing.recording.listen import ScriptedLine, listen
from timing.store.store import Store

SCRIPT = {"1": LINES[0], "2": LINES[2], "3": LINES[5], "4": LINES[11], "5": LINES[25], "6": LINES[34]}
LINES_OF_SCRIPT = [ScriptedLine(i, utterance_of(text)) for i, text in SCRIPT.items()]


def hear(folder, **options):
    return listen(folder, LINES_OF_SCRIPT, language="en_US", pronounce=pronounce_english, **options)


@pytest.fixture
def episode(tmp_path):
    (tmp_path / "recordings").mkdir()
    return tmp_path


@pytest.fixture
def take(say, room, episode):
    """One take: line 2 begun and broken off, then read; 4 before 3; chatter; 1 read twice; 6 never read."""
    parts, where, at = [], {}, 0.0

    def put(samples, line_id=None, first=0.0):
        nonlocal at
        if line_id:
            where[line_id] = at + first
        parts.append(samples)
        at += len(samples) / 16000

    put(room(1.0))
    for line_id in ("1", "1", "begun", "2", "4", "chatter", "3", "5"):
        if line_id == "chatter":
            put(say("Hang on, is this thing recording, somebody shut the door.", "rms")[0])
        elif line_id == "begun":
            samples, truth = say(SCRIPT["2"], "rms")
            put(samples[: int(truth[3].end * 16000)])
        else:
            samples, truth = say(SCRIPT[line_id], "rms")
            put(samples, line_id, truth[0].start)
        put(room(0.8))
    write_wav(episode / "recordings" / "memo 7.wav", np.concatenate(parts))
    return where


def test_every_line_of_a_messy_take_is_found_and_the_missing_one_is_listed(episode, take):
    heard = hear(episode)
    assert heard.unread == ("6",)
    starts = {line_id: float(line.take_start) for line_id, line in heard.lines.items()}
    assert starts == pytest.approx(take, abs=0.1)
    assert {line.take for line in heard.lines.values()} == {"recordings/memo 7.wav"}
    assert all(line.origin is Origin.MEASURED and line.start == 0 for line in heard.lines.values())
    readings = [t for t in heard.takes if t.line_id == "1"]
    assert [t.is_chosen for t in readings] == [False, True]
    assert any(t.line_id == "2" and not t.is_complete for t in heard.takes)


def test_a_person_may_choose_an_earlier_reading(episode, take):
    kept = episode / "out"
    first = hear(episode, store=Store(kept)).takes[0]
    assert first.line_id == "1"
    heard = hear(episode, store=Store(kept), chosen={"1": f"memo 7.wav@{float(first.start):.1f}"})
    assert float(heard.lines["1"].take_start) == pytest.approx(float(first.start), abs=0.05)
    missing = hear(episode, store=Store(kept), chosen={"1": "other.wav"})
    assert [f.code for f in missing.findings] == ["chosen-missing"]
    assert "1" in missing.lines


def test_a_second_run_hears_nothing_again_and_says_the_same(episode, take, monkeypatch):
    kept = episode / "out"
    first = hear(episode, store=Store(kept))

    def refuse(*_):
        raise AssertionError("decoded again")

    monkeypatch.setattr("timing.sound.decode.read_audio", refuse)
    second = hear(episode, store=Store(kept))
    assert (second.lines, second.takes, second.unread) == (first.lines, first.takes, first.unread)
    for path in kept.glob("*.json"):
        path.write_text("{")
    with pytest.raises(AssertionError, match="decoded again"):
        hear(episode, store=Store(kept))


def test_a_file_named_after_a_line_is_heard_for_that_line_only(episode, say):
    write_wav(episode / "recordings" / "4 take 2.wav", say(SCRIPT["4"], "slt")[0])
    heard = hear(episode)
    assert list(heard.lines) == ["4"]
    assert heard.unread == ("1", "2", "3", "5", "6")
    strip = heard.loudness("4", 24)
    assert len(strip) == pytest.approx(float(heard.lines["4"].length) * 24, abs=1.01)
    assert max(strip) == 1
    assert min(strip) >= 0


def test_a_named_file_is_searched_only_where_something_else_is_said(episode, say, room, monkeypatch):
    samples, truth = say(SCRIPT["5"], "slt")
    begun = samples[: int(truth[3].end * 16000)]
    write_wav(episode / "recordings" / "5.wav", samples)
    write_wav(episode / "recordings" / "4.wav", np.concatenate([say(SCRIPT["4"], "slt")[0], room(0.5), begun]))
    searched = []

    def search(lines):
        searched.append([number for number, _ in lines])
        return ()

    monkeypatch.setattr("timing.hearing.line_places.locate", lambda _1, _2, lines, _3: search(lines))
    monkeypatch.setattr("timing.hearing.line_places.find_lines", lambda _1, lines, *_2: search(lines))
    heard = hear(episode)
    assert searched == [[3]]  # line 4, whose file goes on
    assert float(heard.lines["5"].take_start) == pytest.approx(truth[0].start, abs=0.05)


def test_a_named_file_stays_with_its_line_though_words_of_the_line_were_changed(episode, say):
    write_wav(episode / "recordings" / "5.wav", say(SCRIPT["5"], "slt")[0])
    words = SCRIPT["5"].split()
    changed = " ".join([*words[:2], "three", *words[3:]])
    lines = [line if line.id != "5" else ScriptedLine("5", utterance_of(changed)) for line in LINES_OF_SCRIPT]
    for others in (lines, [line for line in lines if line.id == "5"]):
        heard = heard_for(episode, others, Store())
        assert set(heard.lines) == {"5"}
        assert "named-wrongly" not in [f.code for f in heard.findings]


def of(*ids):
    return [line for line in LINES_OF_SCRIPT if line.id in ids]


def heard_for(folder, lines, store):
    return listen(folder, lines, language="en_US", pronounce=pronounce_english, store=store)


@pytest.mark.parametrize("now", [("1", "2", "3", "4"), ("4",), ("4", "1")])
def test_named_recordings_stay_with_their_lines_when_others_come_and_go(episode, say, now):
    for line_id in ("1", "3", "4"):
        write_wav(episode / "recordings" / f"{line_id}.wav", say(SCRIPT[line_id], "slt")[0])
    before = heard_for(episode, of("1", "3", "4"), Store(episode / "out"))
    assert set(before.lines) == {"1", "3", "4"}
    lines = sorted(of(*now), key=lambda line: now.index(line.id))
    after = heard_for(episode, lines, Store(episode / "out"))
    for line_id in {"1", "3", "4"} & set(now):
        assert after.lines[line_id] == before.lines[line_id]
    assert "2" not in after.lines


def test_what_was_heard_does_not_hang_on_what_was_heard_before(episode, say, take):
    write_wav(episode / "recordings" / "3.wav", say(SCRIPT["3"], "slt")[0])
    for ids in (("1", "3", "5"), ("3", "4", "1"), tuple(SCRIPT)):
        lines = sorted(of(*ids), key=lambda line: ids.index(line.id))
        kept = heard_for(episode, lines, Store(episode / "out"))
        fresh = heard_for(episode, lines, Store())
        assert (kept.lines, kept.takes, kept.findings) == (fresh.lines, fresh.takes, fresh.findings)


def test_a_number_in_a_name_is_believed_only_when_it_is_heard(episode, say, room):
    parts = [say(SCRIPT["3"], "slt")[0], room(0.8), say(SCRIPT["5"], "slt")[0]]
    write_wav(episode / "recordings" / "1 May kitchen.wav", np.concatenate(parts))
    heard = hear(episode)
    assert set(heard.lines) == {"3", "5"}
    assert [f.code for f in heard.findings] == ["named-wrongly"]
    assert heard.findings[0].facts["heard"] == ["3", "5"]


def test_the_last_reading_in_a_named_file_counts(episode, say, room):
    samples, truth = say(SCRIPT["5"], "slt")
    begun = samples[: int(truth[3].end * 16000)]
    write_wav(episode / "recordings" / "5.wav", np.concatenate([begun, room(0.5), samples]))
    start = len(begun) / 16000 + 0.5 + truth[0].start
    assert float(hear(episode).lines["5"].take_start) == pytest.approx(start, abs=0.05)


def test_a_take_is_heard_alike_whatever_was_heard_before(episode, say, take):
    alone = hear(episode)
    write_wav(episode / "recordings" / "memo 1.wav", say("It goes out twice a day, and comes back.", "awb")[0])
    after = hear(episode)
    assert [t for t in after.takes if t.file == "recordings/memo 7.wav"] == list(alone.takes)
    assert after.lines == alone.lines


@pytest.mark.parametrize("memo", ["0 memo.wav", "memo.wav"])
def test_a_file_named_after_a_line_goes_before_what_other_files_hold(episode, say, memo):
    write_wav(episode / "recordings" / "4.wav", say(SCRIPT["4"], "slt")[0])
    write_wav(episode / "recordings" / memo, say(SCRIPT["4"], "rms")[0])
    assert hear(episode).lines["4"].take == "recordings/4.wav"


def test_a_file_with_the_wrong_number_is_told_and_does_not_count(episode, say):
    write_wav(episode / "recordings" / "4.wav", say(SCRIPT["2"], "slt")[0])
    heard = hear(episode)
    assert "4" not in heard.lines
    assert "4" in heard.unread
    assert heard.lines["2"].take == "recordings/4.wav"
    assert [f.code for f in heard.findings] == ["named-wrongly"]


def test_bad_files_are_findings_and_do_not_stop_the_others(episode, say):
    write_wav(episode / "recordings" / "1.wav", say(SCRIPT["1"], "slt")[0])
    (episode / "recordings" / "2.m4a").write_bytes(b"nothing")
    (episode / "recordings" / "._1.wav").write_bytes(b"left by a copy")
    write_wav(episode / "recordings" / "still.wav", np.zeros(16000))
    heard = hear(episode)
    assert list(heard.lines) == ["1"]
    assert sorted(f.code for f in heard.findings) == ["silent", "unreadable"]


def test_a_recording_of_something_else_is_left_unplaced(episode):
    (episode / "recordings" / "mary.wav").write_bytes((DATA / "mary.wav").read_bytes())
    heard = hear(episode)
    assert heard.lines == {}
    assert [f.code for f in heard.findings] == ["unplaced"]


def test_a_language_without_sounds_is_timed_roughly_and_says_so(episode):
    (episode / "recordings" / "1.wav").write_bytes((DATA / "mary.wav").read_bytes())
    line = ScriptedLine("1", utterance_of("Мэри катила бочку", "ru_RU", lambda _: ()))
    heard = listen(episode, [line], language="ru_RU", pronounce=lambda _: ())
    assert [f.code for f in heard.lines["1"].findings] == ["rough"]
    # The label's words run from 0.315 to 1.518 s.
    assert float(heard.lines["1"].take_start) == pytest.approx(0.315, abs=0.15)
    assert float(heard.lines["1"].length) == pytest.approx(1.2, abs=0.25)


def test_no_recordings_is_every_line_unread(tmp_path):
    assert hear(tmp_path).unread == tuple(SCRIPT)


@pytest.mark.parametrize(
    ("name", "line_id"),
    [
        ("12 take 2.wav", "12"), ("12A.m4a", "12A"), ("012_b.mp3", "12"), ("1.wav", "1"), ("line 1.wav", "1"),
        ("123.wav", None), ("12B.wav", None), ("2026-11-25 memo.m4a", None), ("1-12-2026.m4a", None),
        ("20261125_101500.m4a", None), ("New Recording 12.m4a", None),
    ],
)  # fmt: skip
def test_names_bind_by_the_whole_id_only(name, line_id):
    assert line_named(name, ["1", "12", "12A", "20261125"[:4]]) == line_id


def test_recordings_come_in_natural_order(tmp_path):
    root = tmp_path / "recordings" / "monday"
    root.mkdir(parents=True)
    for name in ("take 10.wav", "take 2.wav", "notes.txt", "take 1.MP4"):
        (root / name).write_bytes(b"x")
    assert [p.name for p in recordings_in(tmp_path)] == ["take 1.MP4", "take 2.wav", "take 10.wav"]
