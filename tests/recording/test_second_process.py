"""A second process hears half of the recordings: nothing that is said changes by it."""

from __future__ import annotations

from tests.recording.material import pronounce_english
from tests.recording.sounds import write_wav
from tests.recording.test_listen import LINES_OF_SCRIPT, SCRIPT, hear
from timing.recording import second_process as second
from timing.recording.listen import Listener
from timing.store.store import Store


def test_two_processes_say_what_one_says(tmp_path, say, monkeypatch):
    for number, (line_id, voice) in enumerate((("1", "slt"), ("2", "rms"), ("4", "slt"), ("6", "rms"))):
        for name in ("one", "two"):
            (tmp_path / name / "recordings").mkdir(parents=True, exist_ok=True)
            write_wav(tmp_path / name / "recordings" / f"memo {number}.wav", say(SCRIPT[line_id], voice)[0])
    monkeypatch.setattr(second.os, "cpu_count", lambda: 1)
    one = hear(tmp_path / "one", store=Store(tmp_path / "one" / "kept"))
    monkeypatch.setattr(second.os, "cpu_count", lambda: 2)
    monkeypatch.setattr(second, "WORTHWHILE_BYTES", 30_000)
    started = []
    real = second.start
    monkeypatch.setattr(second, "start", lambda job: started.append(job) or real(job))
    two = hear(tmp_path / "two", store=Store(tmp_path / "two" / "kept"))
    assert [len(job.files) for job in started] == [2]
    assert (two.lines, two.takes, two.findings) == (one.lines, one.takes, one.findings)
    kept = [{p.name: p.read_bytes() for p in (tmp_path / n / "kept").rglob("*.json")} for n in ("one", "two")]
    assert kept[0] == kept[1]


def test_without_a_second_process_all_is_heard_all_the_same(tmp_path, say, monkeypatch):
    (tmp_path / "recordings").mkdir()
    for number, line_id in enumerate(("1", "2", "4")):
        write_wav(tmp_path / "recordings" / f"memo {number}.wav", say(SCRIPT[line_id], "slt")[0])
    monkeypatch.setattr(second.os, "cpu_count", lambda: 2)
    monkeypatch.setattr(second, "WORTHWHILE_BYTES", 30_000)
    monkeypatch.setattr(second.sys, "executable", str(tmp_path / "nothing"))
    assert set(hear(tmp_path, store=Store(tmp_path / "kept")).lines) == {"1", "2", "4"}


def test_the_second_process_leaves_what_it_hears_in_the_store(tmp_path, say):
    path = tmp_path / "memo.wav"
    write_wav(path, say(SCRIPT["2"], "slt")[0])
    shared = (tuple(LINES_OF_SCRIPT), "en_US", pronounce_english, {})
    assert not Listener(*shared, Store(tmp_path / "kept")).knows(path)
    process = second.start(second.Job(((path, "memo.wav"),), *shared, tmp_path / "kept"))
    assert process is not None
    assert process.wait() == 0
    assert Listener(*shared, Store(tmp_path / "kept")).knows(path)
