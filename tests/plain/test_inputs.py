"""A stranger's folder: nothing written or deleted outside the output folder, nothing read that never ends."""

import hashlib
import json
import os
from datetime import date
from fractions import Fraction

import pytest

from timing.memory.clips_toml import read_memory
from timing.memory.earlier_plan import lines_of_plan, read_previous
from timing.memory.labels import read_labels
from timing.memory.learnt_toml import read_learnt
from timing.memory.ledger import read_ledger, today
from timing.memory.lines_toml import read_lines
from timing.pipeline import make_plan, write_plan
from timing.plain.errors import OutputError, TimingError
from timing.plain.files import RECORD, beneath, locked, write_outputs
from timing.plain.inputs import read_regular
from timing.plain.numbers import exact, whole
from timing.script.episode import parse_episode, read_episode
from timing.script.reader import read_script
from timing.script.source import open_source
from timing.sheet.fonts import load_typeface
from timing.song.tunes.reader import read_tune
from timing.sound.decode import read_audio
from timing.store.store import Kind, Store

needs_posix = pytest.mark.skipif(os.name == "nt", reason="links and pipes of POSIX")


# --- names and links ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["../x", "/x", "a/../x", "a//x", "", "..", "a\\x", "C:x", "a\nb", "./x"])
def test_a_name_that_is_none_of_a_file_in_the_folder_is_refused(tmp_path, name):
    with pytest.raises(OutputError, match="no name of a file"):
        write_outputs(tmp_path / "out", {name: b"x"}, force=True)
    assert [p.name for p in tmp_path.rglob("*") if p.is_file()] == []


@needs_posix
@pytest.mark.parametrize("force", [False, True])
def test_nothing_is_written_through_a_link(tmp_path, force):
    (tmp_path / "out").mkdir()
    (tmp_path / "other").mkdir()
    (tmp_path / "out" / "requests").symlink_to(tmp_path / "other")
    with pytest.raises(OutputError, match="is a link"):
        write_outputs(tmp_path / "out", {"requests/C01.txt": b"x", "a.txt": b"y"}, force)
    assert not list((tmp_path / "other").iterdir())
    assert not (tmp_path / "out" / "a.txt").exists()


@needs_posix
def test_nothing_is_deleted_through_a_link(tmp_path):
    out, other = tmp_path / "out", tmp_path / "other"
    out.mkdir()
    other.mkdir()
    (other / "C01.txt").write_bytes(b"mine")
    (out / "requests").symlink_to(other)
    record = {"requests/C01.txt": [hashlib.sha256(b"mine").hexdigest()]}
    (out / RECORD).write_text(json.dumps(record))
    write_outputs(out, {"a.txt": b"x"}, prune=("requests/",))
    assert (other / "C01.txt").read_bytes() == b"mine"


@pytest.mark.parametrize("line_id", ["/../../victim/x", "..", "1/2", "²", "٣", "9" * 40, 7, None, "1" + "A" * 200])
def test_a_plan_with_an_id_that_is_none_stops_the_run_and_writes_nothing(tmp_path, line_id):
    (tmp_path / "ep" / "out").mkdir(parents=True)
    (tmp_path / "ep" / "script.txt").write_text("TANSY: Where does the sea go?\n", "utf-8")
    line = {"id": line_id, "kind": "spoken", "speaker": "TANSY", "text": "Where does the sea go?"}
    plan = {"timing_plan": 1, "lines": [line]}
    (tmp_path / "ep" / "out" / "plan.json").write_text(json.dumps(plan))
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(TimingError, match=r"plan\.json"):
        _sheet(tmp_path / "ep")
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    "content",
    [
        b"[]",
        b"3",
        b"{}",
        b'{"timing_plan": 1, "lines": 3}',
        b'{"timing_plan": 1, "lines": [3]}',
        b"[" * 100_000,
        b"\xff",
    ],
)
def test_a_plan_of_another_shape_is_one_sentence(tmp_path, content):
    (tmp_path / "plan.json").write_bytes(content)
    read_previous(tmp_path / "plan.json")
    with pytest.raises(TimingError, match="cannot be read"):
        lines_of_plan(tmp_path / "plan.json")


@needs_posix
def test_a_linked_plan_record_lock_or_store_is_not_followed(tmp_path):
    out, other = tmp_path / "out", tmp_path / "other"
    out.mkdir()
    other.mkdir()
    (other / "plan.json").write_text('{"timing_plan": 1, "lines": [], "sheets": {"a": 1}}')
    (out / "plan.json").symlink_to(other / "plan.json")
    assert read_previous(out / "plan.json").sheets is None
    (out / ".lock").symlink_to(other / "new")
    with pytest.raises((OutputError, OSError)), locked(out):
        pass
    assert not (other / "new").exists()
    (out / ".store").symlink_to(other)
    kind = Kind("number", 1, lambda value: value, int)
    assert Store.below(out).made(kind, (1,), lambda: 7) == 7
    assert [p.name for p in other.iterdir()] == ["plan.json"]


def test_an_ordinary_name_stays_in_the_folder(tmp_path):
    assert beneath(tmp_path, "requests/C04.1.txt") == tmp_path / "requests" / "C04.1.txt"


def _sheet(folder):
    source = open_source(folder)
    made = make_plan(source, source.default_out)
    write_plan(made.plan, source.default_out, source.folder, made.previous)


# --- devices and pipes -------------------------------------------------------------------------------------


def _pipe(folder, name):
    os.mkfifo(folder / name)
    return folder / name


def _device(folder, name):
    (folder / name).symlink_to("/dev/zero")
    return folder / name


READERS = {
    "script.txt": read_script,
    "episode.toml": read_episode,
    "lines.toml": lambda path: read_lines(path.parent),
    "clips.toml": lambda path: read_memory(path.parent),
    "plan.json": lines_of_plan,
    "song.wav": read_audio,
    "tune.mid": read_tune,
    "tune.musicxml": read_tune,
    "tune.mxl": read_tune,
    "generated.csv": read_ledger,
    "learnt.toml": lambda path: read_learnt(path.parent),
    "memo.txt": read_labels,
    "My.ttf": lambda path: load_typeface(str(path)),
}


@needs_posix
@pytest.mark.parametrize("make", [_pipe, _device])
@pytest.mark.parametrize("name", READERS)
def test_a_pipe_or_a_device_in_the_place_of_a_file_is_refused_at_once(tmp_path, name, make):
    with pytest.raises(TimingError):
        READERS[name](make(tmp_path, name))


@pytest.mark.parametrize(
    "ledger",
    [
        "date,profile,seconds\n2026-03-31,talking," + "9" * 200_000,
        "date,profile,seconds\n2026-03-31,talking,1e99999999",
        "date,profile,seconds\n²,talking,3",
        'date,profile,seconds\n2026-03-31,"' + "x" * 200_000,
    ],
)
def test_a_ledger_with_what_no_table_holds_is_one_sentence(tmp_path, ledger):
    (tmp_path / "generated.csv").write_text(ledger, "utf-8")
    with pytest.raises(TimingError, match=r"generated\.csv"):
        read_ledger(tmp_path / "generated.csv")


@pytest.mark.parametrize("epoch", ["²", "9" * 5000, "-1", "x"])
def test_a_day_that_is_none_in_the_environment_is_today(monkeypatch, epoch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
    assert today() == date.today()


def test_a_font_that_is_none_is_one_sentence(tmp_path):
    for content in (b"", b"\0\1\0\0" + b"\xff" * 400, b"OTTO" + bytes(100)):
        (tmp_path / "My.ttf").write_bytes(content)
        with pytest.raises(TimingError, match="font cannot be used"):
            load_typeface(str(tmp_path / "My.ttf"))


def test_a_file_larger_than_its_limit_is_refused_unread(tmp_path):
    (tmp_path / "a").write_bytes(b"12345")
    assert read_regular(tmp_path / "a", 5) == b"12345"
    with pytest.raises(OSError, match="larger"):
        read_regular(tmp_path / "a", 4)


def test_a_list_of_other_files_is_no_sound(tmp_path):
    """FFmpeg's concat script (its documentation, "concat") names files that the decoder would open."""
    import wave

    with wave.open(str(tmp_path / "real.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16000)
        file.writeframes(b"\1\1" * 16000)
    assert len(read_audio(tmp_path / "real.wav").samples) == 16000
    (tmp_path / "list.wav").write_text("ffconcat version 1.0\n" + "file real.wav\n" * 3)
    with pytest.raises(TimingError, match="cannot be read as sound"):
        read_audio(tmp_path / "list.wav")


# --- numbers -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "1e99999999",
        "1e-99999999",
        "1e31",
        "9" * 5000,
        "1/0",
        "²",
        "½",
        "nan",
        "inf",
        "",
        "1_0",
        "0x10",
        "1/" + "9" * 99,
    ],
)
def test_what_is_no_number_a_person_writes_is_refused_before_arithmetic(text):
    with pytest.raises(ValueError, match=r"number|digits|divides|large"):
        exact(text)


@pytest.mark.parametrize("text", ["²", "9" * 5000, "-1", "100", "1.5", ""])
def test_what_is_no_whole_number_in_its_range_is_refused(text):
    with pytest.raises(ValueError, match="is not a whole number"):
        whole(text, 0, 99)


@pytest.mark.parametrize(
    "toml", ['rate = "1e99999999"', "rate = 1e99999999", f"rate = {'9' * 4000}", "[song.s]\nbpm = 1e999999999"]
)
def test_settings_with_huge_numbers_are_one_sentence(toml):
    with pytest.raises(TimingError):
        parse_episode(toml, "episode.toml")


@pytest.mark.parametrize("value", ["1e100000000", "1e29", "9" * 5000, "nan"])
def test_a_huge_length_in_clips_toml_is_one_sentence(tmp_path, value):
    (tmp_path / "clips.toml").write_text(f"[C01]\nask_s = {value}\n")
    with pytest.raises(TimingError, match=r"clips\.toml"):
        read_memory(tmp_path)


SCORE = """<score-partwise><part><measure number="1">{}<attributes><divisions>{}</divisions><time><beats>{}</beats>
<beat-type>{}</beat-type></time></attributes><note><duration>{}</duration><lyric number="{}"><text>sea</text></lyric>
</note></measure></part></score-partwise>"""


def _score(folder, tempo="", divisions="1", beats="4", unit="4", duration="4", verse="1"):
    path = folder / "a.musicxml"
    sound = f'<sound tempo="{tempo}"/>' if tempo else ""
    path.write_text(SCORE.format(sound, divisions, beats, unit, duration, verse), "utf-8")
    return path


def test_a_plain_score_is_read(tmp_path):
    tune = read_tune(_score(tmp_path, tempo="90"))
    assert (tune.bpm, tune.syllables[0].length) == (Fraction(90), Fraction(4))


@pytest.mark.parametrize(
    "odd",
    [
        {"tempo": "0"}, {"tempo": "1e100000000"}, {"tempo": "1e-9"}, {"divisions": "1e100000000"}, {"divisions": "0"},
        {"duration": "1e100000000"}, {"duration": "-4"}, {"beats": "²"}, {"beats": str(2**60)}, {"unit": str(2**60)},
        {"beats": "9" * 5000}, {"duration": "1000000000"},
    ],
)  # fmt: skip
def test_a_score_with_numbers_that_cannot_be_is_one_sentence(tmp_path, odd):
    with pytest.raises(TimingError):
        read_tune(_score(tmp_path, **odd))


def test_an_odd_digit_as_the_number_of_a_verse_is_the_first_verse(tmp_path):
    assert [s.verse for s in read_tune(_score(tmp_path, verse="²")).syllables] == [1]
