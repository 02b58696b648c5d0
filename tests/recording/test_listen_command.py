"""``timing listen`` on a folder: one row for each reading, what is unread, findings on the other stream."""

from __future__ import annotations

import json

import numpy as np
import pytest
from click.testing import CliRunner

from tests.recording.material import LINES
from tests.recording.sounds import write_wav
from timing.cli import cli

SCRIPT = f"TANSY: {LINES[2]}\n\nBRAM: {LINES[5]}\n"


@pytest.fixture
def episode(tmp_path, say):
    (tmp_path / "script.txt").write_text(SCRIPT, encoding="utf-8")
    (tmp_path / "recordings").mkdir()
    write_wav(tmp_path / "recordings" / "memo.wav", say(LINES[2], "rms")[0])
    return tmp_path


def test_the_table_tells_take_seconds_and_what_is_unread(episode):
    result = CliRunner().invoke(cli, ["listen", str(episode)])
    assert result.exit_code == 0, result.output
    (row,) = [line for line in result.stdout.splitlines() if "memo.wav" in line]
    assert row.split()[0] == "1"
    assert "*recordings/memo.wav@" in row
    assert "Not found in any recording, so estimated: 2." in result.stdout


def test_json_holds_the_same_as_values(episode):
    result = CliRunner().invoke(cli, ["listen", str(episode), "--json"])
    first, second = json.loads(result.stdout)["lines"]
    assert first["take"] == "recordings/memo.wav"
    assert 2 < first["seconds"] < 4
    assert second["take"] is None
    assert json.loads(result.stdout)["unread"] == ["2"]


def test_a_folder_without_recordings_says_where_they_go(tmp_path):
    (tmp_path / "script.txt").write_text(SCRIPT, encoding="utf-8")
    result = CliRunner().invoke(cli, ["listen", str(tmp_path)])
    assert result.exit_code == 2
    assert 'folder "recordings"' in result.stderr


def listened(folder, *options):
    result = CliRunner().invoke(cli, ["listen", str(folder), *options])
    assert result.exit_code == 0, result.output
    return result.stdout


def test_the_estimate_is_the_one_that_the_plan_made(episode):
    """Three seconds of pause, a direction and a respelling belong to what a reading is compared with."""
    first, second = LINES[2].split(" shells ")
    (episode / "script.txt").write_text(f"TANSY: (slowly) {first} shells [[pause 3 s]] {second}\n", "utf-8")
    (episode / "episode.toml").write_text('[say]\nshells = "shellsesserseller"\n', "utf-8")
    (line,) = json.loads(listened(episode, "--json"))["lines"]
    (episode / "recordings" / "memo.wav").rename(episode / "memo.wav")
    CliRunner().invoke(cli, ["sheet", str(episode)])
    (planned,) = json.loads((episode / "out" / "plan.json").read_text("utf-8"))["lines"]
    assert planned["origin"] == "estimated"
    assert line["estimate_s"] == pytest.approx(planned["end_s"] - planned["start_s"], abs=1e-5)
    assert line["estimate_s"] > 3


def test_a_line_that_a_clip_times_is_not_said_to_be_estimated(episode, say):
    assert "Not found in any recording, so estimated: 2." in listened(episode)
    (episode / "clips").mkdir()
    write_wav(episode / "clips" / "C02.wav", say(LINES[5], "rms")[0])
    text = listened(episode)
    assert "Not found in any recording, timed by the clips that came back: 2." in text
    assert "estimated" not in text


def test_the_three_lists_come_last_and_what_was_given_to_no_line_is_named(episode, say, room):
    chatter = say("Somebody shut the window please, there is a terrible noise outside today.", "rms")[0]
    parts = [say(LINES[2], "rms")[0], room(1.0), chatter]
    write_wav(episode / "recordings" / "memo.wav", np.concatenate(parts))
    text = listened(episode)
    assert text.index("lines measured") < text.index("placed (1 of 2): 1") < text.index("unsure (0)")
    values = json.loads(listened(episode, "--json"))
    (left,) = values["left_over"]
    begin = len(parts[0]) / 16000 + 1
    assert left["start_s"] == pytest.approx(begin, abs=0.4)
    assert left["end_s"] == pytest.approx(begin + len(chatter) / 16000, abs=0.4)
    assert (left["after"], left["before"], left["nearest"]) == ("1", None, ["2"])
    row = next(line for line in text.splitlines() if line.endswith("\t2"))
    assert row.strip().startswith("if it is line 2, recordings/memo.txt:  ")
    # Written where it says, that row is line 2.
    (episode / "recordings" / "memo.txt").write_text(row.partition(":  ")[2] + "\n", "utf-8")
    values = json.loads(listened(episode, "--json"))
    assert values["left_over"] == []
    assert values["lines"][1]["take"] == "recordings/memo.wav"


def test_a_line_with_a_better_earlier_reading_is_unsure_until_a_row_says_which(episode, say, room):
    whole, truth = say(LINES[5], "rms")
    mended = np.concatenate([whole[: int(truth[2].start * 16000)], whole[int(truth[4].start * 16000) :]])
    write_wav(episode / "recordings" / "memo.wav", np.concatenate([whole, room(1.0), mended]))
    (unsure,) = json.loads(listened(episode, "--json"))["unsure"]
    assert unsure["id"] == "2"
    assert len(unsure["readings"]) == 2
    assert unsure["readings"][0]["start_s"] < 1 < unsure["readings"][1]["start_s"]
    rows = [line for line in listened(episode).splitlines() if line.endswith("\t2")]
    assert len(rows) == 2
    (episode / "recordings" / "memo.txt").write_text(rows[1].partition(":  ")[2] + "\n", "utf-8")
    values = json.loads(listened(episode, "--json"))
    assert values["unsure"] == []
    assert values["lines"][1]["take_start_s"] == pytest.approx(unsure["readings"][1]["start_s"], abs=0.01)


def test_rows_that_were_obeyed_are_told_where_they_stand(episode, say):
    words = say(LINES[2], "rms")[1]
    third, row = words[2], f"{words[0].start + 0.01:.3f}\t{words[-1].end:.3f}\t1"
    text = f"# mine\n{row}\n{third.start:.3f}\t{third.start:.3f}\t{third.text}\n0.1\t0.2\tmackerel\n"
    (episode / "recordings" / "memo.txt").write_text(text, "utf-8")
    said = listened(episode)
    rows = said[said.index("as you wrote (2)") :].splitlines()
    assert rows[1] == f"  recordings/memo.txt:2: line 1, {words[0].start + 0.01:.3f} to {words[-1].end:.3f} s"
    assert rows[2] == f"  recordings/memo.txt:3: “{third.text}” in line 1, {third.start:.3f} s"
    obeyed = json.loads(listened(episode, "--json"))["obeyed"]
    assert [(o["where"], o["line"]) for o in obeyed] == [("recordings/memo.txt:2", "1"), ("recordings/memo.txt:3", "1")]


def test_words_changed_after_the_recording_are_named_until_they_are_read_anew(episode, say):
    """The first run knows the line as it was read; then its last word is another one."""
    listened(episode)
    old, new = LINES[2].rsplit(" ", 1)[1].strip(".!?"), "lighthouse"
    (episode / "script.txt").write_text(SCRIPT.replace(old, new, 1), "utf-8")
    values = json.loads(listened(episode, "--json"))
    (finding,) = [f for f in values["lines"][0]["findings"] if f["code"] != "noisy"]
    assert finding["code"] == "script-changed"
    assert finding["words"] == [len(LINES[2].split()) - 1]
    assert f"“{new}” is not in it" in finding["message"]
    assert [(u["id"], u["why"]) for u in values["unsure"]] == [("1", "the script was changed after the recording")]
    # Named before the memo, and still the one that counts: it has the words of now.
    write_wav(episode / "recordings" / "a pick-up.wav", say(LINES[2].replace(old, new), "rms")[0])
    values = json.loads(listened(episode, "--json"))
    assert values["lines"][0]["take"] == "recordings/a pick-up.wav"
    assert not [f for f in values["lines"][0]["findings"] if f["code"] == "script-changed"]
    assert values["unsure"] == []
