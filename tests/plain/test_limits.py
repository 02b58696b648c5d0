"""What a slip or a stranger's file asks for without end is refused in one sentence, at once."""

import io
import json
import time
import wave

import pytest

from timing.export.captions import captions_vtt
from timing.export.midi import song_files
from timing.memory.line_ids import KnownLine
from timing.memory.lines_toml import number_lines, read_lines
from timing.pipeline import make_plan, plan_source, write_plan
from timing.plain.errors import TimingError
from timing.script.source import open_source
from timing.sound import decode

SPEECH = "TANSY: Where does the sea go?\n"


def episode(folder, script=SPEECH, toml=""):
    (folder / "script.txt").write_text(script, "utf-8")
    (folder / "episode.toml").write_text(toml, "utf-8")
    return folder


SONG = "[song.s]\nbpm = 20\nmetre = '32/1'\n"
TOO_MUCH = {
    "bars": ("[[99999 bars]]\nWaves.\n\n[[song s, bar 1]]\n~ Out and in\n", SONG, "hours"),
    "a far bar": ("[[song s, bar 9999]]\n~ Out and in\n", SONG, "hours"),
    "seconds": ("[[999999 s]]\nWaves.\n\n" + SPEECH, "", "hours"),
    "a gap": (SPEECH * 2, "[gaps]\nline_s = 1e9\n", "line_s"),
    "a title": (SPEECH, f"title = '{'x' * 20_000}'\n", "20,000 characters"),
    "a title in the script": (f"Title: {'x' * 20_000}\n\n{SPEECH}", "", "20,000 characters"),
    "syllables": (f"~ {'la ' * 500}\n", "", "500 syllables"),
    "lines": (SPEECH * 200_000, "", "200,000 lines"),
    "sayings": (SPEECH, "[say]\n" + "".join(f'word{n} = "sea"\n' for n in range(20_000)), "20,000 words"),
}  # fmt: skip


@pytest.mark.parametrize("kind", TOO_MUCH)
def test_what_no_episode_needs_is_one_sentence_and_quick(tmp_path, kind):
    script, toml, told = TOO_MUCH[kind]
    episode(tmp_path, script, toml)
    began = time.process_time()
    with pytest.raises(TimingError, match=told) as caught:
        plan_source(tmp_path)
    assert "\n" not in str(caught.value)
    assert time.process_time() - began < 10


def test_a_recording_that_goes_on_for_hours_is_refused_without_being_kept(tmp_path, monkeypatch):
    monkeypatch.setattr(decode, "LONGEST_RECORDING_S", 2)
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16000)
        file.writeframes(bytes(2 * 16000 * 60))
    (tmp_path / "a.wav").write_bytes(out.getvalue())
    with pytest.raises(TimingError, match="longer than"):
        decode.read_audio(tmp_path / "a.wav")


@pytest.mark.parametrize("title", ["sea --> 00:00.000", "a ----> b", "---->>"])
def test_a_title_with_the_arrow_of_a_cue_makes_no_cue(tmp_path, title):
    """WebVTT (W3C), section 4.1: a comment block may not contain "-->"."""
    plan = plan_source(episode(tmp_path, SPEECH, f"title = '{title}'\n"))
    (note,) = [b for b in captions_vtt(plan, tmp_path)["captions.vtt"].decode().split("\n\n") if b.startswith("NOTE")]
    assert "-->" not in note


def test_two_songs_of_one_name_are_told_before_one_takes_the_others_place(tmp_path):
    episode(tmp_path, "[[song a?b]]\n~ Out and in\n", "['song'.'a?b']\nbpm = 90\n['song'.'a!b']\nbpm = 120\n")
    with pytest.raises(TimingError, match=r'episode.toml:3.*"a!b" and "a\?b" are one name'):
        plan_source(tmp_path)


def test_two_songs_whose_file_names_reduce_alike_are_two_files_and_told(tmp_path):
    """A file name keeps sixty characters of a song's name."""
    one, other = "tide-" * 12 + "out", "tide-" * 12 + "in"
    script = f"[[song {one}, bar 1]]\n~ Out and in\n\n{SPEECH}\n[[song {other}, bar 1]]\n~ In and out\n"
    plan = plan_source(episode(tmp_path, script, f"[song.{one}]\nbpm = 90\n[song.{other}]\nbpm = 120\n"))
    assert [float(song.bpm) for song in plan.songs] == [90, 120]
    first, second = song_files(plan, tmp_path)
    assert second == first.replace(".mid", "-2.mid")
    (told,) = [f for f in plan.findings if f.code == "song-files-alike"]
    assert (told.facts["song"], told.facts["file"]) == (other, second)


@pytest.mark.parametrize(
    "spoilt", [{"label": 3}, {"rows": 3}, {"index": "x"}, {"changed": [{}]}, {"part": []}, {"label": "²"}]
)
def test_a_register_of_sheets_of_another_shape_counts_as_none(tmp_path, spoilt):
    source = open_source(episode(tmp_path))
    out = tmp_path / "out"
    made = make_plan(source, out)
    write_plan(made.plan, out, tmp_path)
    plan = json.loads((out / "plan.json").read_text("utf-8"))
    plan["sheets"]["sheets"][0] |= spoilt
    (out / "plan.json").write_text(json.dumps(plan), "utf-8")
    episode(tmp_path, SPEECH + "BRAM: Out.\n")
    made = make_plan(source, out)
    write_plan(made.plan, out, tmp_path, made.previous, force=True)


def test_what_people_type_into_a_line_is_read_back_from_its_memory(tmp_path):
    odd = 'He said "sea"\x7f, and \\ \t \u2028 \x01 '
    for _ in range(2):
        number_lines(tmp_path, [KnownLine("spoken", "TANSY", odd)], keep=True)
    assert read_lines(tmp_path).lines[0].text == odd


def test_clips_toml_is_read_back_whatever_file_names_hold():
    import tomllib

    from timing.memory.clips import Entry, Wording
    from timing.memory.clips_toml import memory_text

    odd = 'C01 "take"\x7f\\.mp4'
    entry = Entry(
        wording=Wording('He said "sea"\x7f', "", ""), state="delivered", files={odd: "12345678"}, accepted=odd
    )
    text = memory_text({"C01": entry})
    assert tomllib.loads(text)["C01"]["files"] == {odd: "12345678"}
    again = memory_text({"C01": entry}, text)
    assert tomllib.loads(again)["C01"]["words"] == 'He said "sea"\x7f'


NINES = "9" * 4_400  # more digits than Python turns into a number


@pytest.mark.parametrize(
    "script",
    [
        f"~ the fall@{NINES} tide",
        f"~ the fall@{NINES}:{NINES} tide",
        f"~ fall@1+1/{NINES} down",
        f"~ the tide ={NINES}",
        f"[[song x, bar {NINES}]]\n~ la la",
        f"TANSY: I have {NINES} shells.",
        f"[[{NINES} s]]\nWaves.",
        f"[[{NINES} bars]]\nWaves.\n\n~ la la",
        f"[[again chorus x{NINES}]]\n~ la",
        f"Chorus (x{NINES})\n~ la la\n\nTANSY: Hi.\n\nChorus",
        f"TANSY: Hi [[pause {NINES} s]] there.",
    ],
)
def test_marks_and_notes_of_thousands_of_digits_are_planned_or_one_sentence(tmp_path, script):
    told = ""
    try:
        plan_source(episode(tmp_path, script + "\n"))
    except TimingError as error:
        told = str(error)
    assert len(told) < 400 + len(str(tmp_path))
    assert "\n" not in told
