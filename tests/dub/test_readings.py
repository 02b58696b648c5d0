"""A recorded reading decides: the example's own recordings stand for readings of a British edition."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

import timing
from timing.cli import cli
from timing.dub.verdicts import OVER, UNDER
from timing.model import Origin
from timing.model.dub import Edition, Verdict
from timing.plain.resources import example_files

SCRIPT = """TANSY: Bram, wake up! Somebody has taken the sea!
BRAM: Nobody has taken it. It went out for a walk.
TANSY: Good night, sea.
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same words in both languages; the original's second line is short of time, the reading is as it is."""
    folder = tmp_path_factory.mktemp("episode")
    (folder / "episode.toml").write_text('language = "en_US"\n', "utf-8")
    (folder / "script.txt").write_text(SCRIPT.replace("It went out for a walk.", "It went."), "utf-8")
    (folder / "script.en_GB.txt").write_text(SCRIPT, "utf-8")
    (folder / "recordings.en_GB").mkdir()
    (folder / "recordings.en_GB" / "2 bram.ogg").write_bytes(example_files()["recordings/3 bram.ogg"])
    return folder


@pytest.fixture(scope="module")
def edition(folder: Path) -> Edition:
    return timing.edition(folder, "en_GB")


def test_a_reading_takes_the_place_of_the_estimate(edition: Edition) -> None:
    dub = edition.lines[1]
    assert dub.line.origin is Origin.MEASURED
    assert dub.line.take == "recordings.en_GB/2 bram.ogg"
    assert dub.line.low == dub.line.length == dub.line.high
    assert edition.lines[0].line.origin is Origin.ESTIMATED


def test_a_reading_is_always_decided_by_its_length(edition: Edition) -> None:
    dub = edition.lines[1]
    share = dub.line.length / dub.window.length
    expected = Verdict.TOO_LONG if share > OVER else Verdict.SHORT if share < UNDER else Verdict.FITS
    assert dub.verdict is expected is Verdict.TOO_LONG  # five words more than the window was planned for
    assert dub.risk == 1


def test_phrases_are_held_against_the_clips_own(edition: Edition) -> None:
    """Both have two sentences; the first begins with the window."""
    dub = edition.lines[1]
    assert [phrase.text for phrase in dub.phrases] == ["Nobody has taken", "It went out"]
    assert dub.phrases[0].late == 0
    first = next(w for w in dub.original.words if w.text == "It").start - dub.original.start
    second = next(w for w in dub.line.words if w.text == "It").start - dub.line.start
    assert dub.phrases[1].late == second - first
    assert dub.drift == dub.line.length - dub.window.length > 0


def test_the_command_says_what_was_found_in_the_recordings_as_listening_does(folder: Path) -> None:
    done = CliRunner().invoke(cli, ["dub", str(folder), "en_GB"], catch_exceptions=False)
    assert "placed (1 of 3): 2" in done.stdout
    assert "left over (0)" in done.stdout


def test_the_labels_of_a_reading_lie_ready_to_be_corrected(edition: Edition) -> None:
    from timing.dub.outputs import edition_files

    rows = edition_files(edition)["labels/recordings.en_GB/2 bram.txt"].decode().splitlines()
    assert rows[0].split("\t")[2].startswith("2: Nobody has taken it.")
    assert rows[1].split("\t")[2] == "Nobody"
