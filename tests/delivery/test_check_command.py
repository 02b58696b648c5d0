"""``timing check`` as it is met late in the evening: what went wrong with files and folders, in one sentence each."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.delivery.deliveries import reading, write_clip
from tests.recording import flite
from timing.cli import cli


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An episode of two lines nobody recorded."""
    (tmp_path / "rock").mkdir()
    (tmp_path / "rock" / "script.txt").write_text("TANSY: The moon has no arms.\n\nBRAM: Hold on to your shell!\n")
    return tmp_path / "rock"


def check(*arguments: object) -> Result:
    return CliRunner().invoke(cli, ["check", *map(str, arguments)])


def test_a_folder_without_clips_is_bad_input(folder: Path) -> None:
    result = check(folder)
    assert result.exit_code == 2
    assert 'has no clips; put them into a folder "clips" beside the script' in result.output


def test_a_slip_in_clips_toml_is_told_before_any_clip_is_there(folder: Path) -> None:
    (folder / "clips.toml").write_text('[C01]\nstate = "askd"\n')
    result = check(folder)
    assert result.exit_code == 2
    assert 'clips.toml:2: [C01] state is one of asked, delivered, accepted, dropped, not "askd"' in result.output


@pytest.mark.parametrize("name", ["Clips", "clip", "CLIPS"])
def test_a_misspelt_clips_folder_is_named(folder: Path, name: str) -> None:
    (folder / name).mkdir()
    result = check(folder)
    assert result.exit_code == 2
    assert f'rename the folder "{name}" to it' in result.output


def test_a_misspelt_source_is_named(folder: Path) -> None:
    result = check(folder.with_name("rok"))
    assert result.exit_code == 2
    assert "did you mean rock?" in result.output


def test_a_script_alone_has_no_clips(folder: Path) -> None:
    result = check(folder / "script.txt")
    assert result.exit_code == 2
    assert "name the folder that has script and clips" in result.output


def test_an_empty_folder_is_no_fault(folder: Path) -> None:
    (folder / "clips").mkdir()
    result = check(folder, "--strict")
    assert result.exit_code == 0
    assert 'the folder "clips" has no sound or video yet; name each file after its clip, C04.mp4' in result.stdout
    assert "not back yet: C01, C02" in result.stdout


def test_files_that_are_no_clips_are_named_and_stop_nothing(folder: Path) -> None:
    clips = folder / "clips"
    write_clip(clips / "C01.mp4", None, seconds=3)  # a picture without sound
    (clips / "C02.mp4").write_text("this is no video")
    (clips / "C02.zip").write_text("nor this")
    (clips / "C09.mp4").write_bytes(b"")
    result = check(folder)
    assert result.exit_code == 0, result.output
    assert "C01.mp4: has no sound, and its line is to be heard in it" in result.stderr
    assert "C02.mp4: cannot be opened as a clip" in result.stderr
    assert "C09.mp4: is empty (0 bytes); fetch the clip again" in result.stderr
    assert "not looked at, no sound or video by their names: C02.zip" in result.stderr
    assert "back, but no take holds the whole line: C01, C02" in result.stdout
    assert check(folder, "--strict").exit_code == 1


def test_an_accepted_file_that_is_gone_is_told(folder: Path) -> None:
    write_clip(folder / "clips" / "C01.mp4", None, seconds=3)
    assert check(folder).exit_code == 0
    memory = folder / "clips.toml"
    memory.write_text(memory.read_text().replace("[C01]\n", '[C01]\naccepted = "C01 best.mp4"\n'))
    assert 'C01: clips.toml accepts "C01 best.mp4", which is not in clips' in check(folder).stderr


def test_what_is_accepted_is_named(folder: Path) -> None:
    write_clip(folder / "clips" / "C01.mp4", None, seconds=3)
    assert "accepted:" not in check(folder).stdout
    memory = folder / "clips.toml"
    memory.write_text(memory.read_text().replace("[C01]\n", '[C01]\naccepted = "C01.mp4"\n'))
    assert "accepted: C01 (C01.mp4)\n" in check(folder).stdout


@pytest.mark.skipif(not flite.is_installed(), reason="flite is not installed")
def test_names_of_all_kinds_find_their_clip_and_the_table_fits_80_columns(folder: Path) -> None:
    clips = folder / "clips"
    write_clip(clips / "day 1" / "C01.mp4", reading("The moon has no arms.", 3))
    (clips / "day 2").mkdir()
    (clips / "C01 a very long name, as a download has it, copy (3).mov").write_bytes(
        (clips / "day 1" / "C01.mp4").read_bytes()
    )
    shutil.copy(clips / "day 1" / "C01.mp4", clips / "day 2" / "C01.MP4")
    write_clip(clips / "C07.mp4", reading("Hold on to your shell!", 3))  # an id of nobody's, words of C02's
    write_clip(clips / "C08.mp4", reading("Seventeen yellow ducks went swimming.", 4))
    result = check(folder, "--json")
    values = json.loads(result.stdout)
    assert [(Path(f["file"]).name[:4].rstrip("."), f["clip"], f["take"]) for f in values["files"]] == [
        ("C01 ", "C01", 1), ("C01", "C01", 2), ("C01", "C01", 3), ("C07", "C02", 1), ("C08", None, 1),
    ]  # fmt: skip
    assert values["timed_lines"] == ["1", "2"]
    assert values["generated_s"] == sum(c["ask_s"] for c in _clips(folder))  # copies are no further takes
    result = check(folder)
    assert "C08.mp4: there is no clip C08 in the script as it is" in result.stderr
    assert max(len(row) for row in result.stdout.splitlines()) <= 80
    assert "timed by these clips, on the next sheets too: lines 1, 2" in result.stdout


def _clips(folder: Path) -> list[dict[str, float]]:
    found = json.loads(CliRunner().invoke(cli, ["lines", str(folder), "--json"]).stdout)
    return list(found["clips"])
