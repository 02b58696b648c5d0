"""``timing listen`` on a folder: one row for each reading, what is unread, findings on the other stream."""

from __future__ import annotations

import json

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
