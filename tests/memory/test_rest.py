"""Findings put to rest stay so while the line's words and its take do, and no longer."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.life import fakes
from timing.memory.lines_toml import FILE_NAME, read_lines
from timing.model.findings import FindingCode
from timing.pipeline import make_plan
from timing.script.source import open_source

LONG = " ".join(["Where does the sea go when nobody is looking at the moon above the rock"] * 3)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An episode whose first line is too long, which was put to rest."""
    fakes.put_in_place(monkeypatch)
    write(tmp_path, f"TANSY: {LONG}.")
    (tmp_path / "episode.toml").write_text('[rest]\n1 = ["too-long"]\n')
    return tmp_path


def write(folder: Path, *lines: str) -> None:
    (folder / "script.txt").write_text("\n\n".join(lines) + "\n")


def codes(folder: Path, keep: bool = True) -> set[str]:
    made = make_plan(open_source(folder), keep_ids=keep)
    return {f.code.value for line in made.plan.lines for f in line.findings}


def test_what_is_at_rest_is_not_said(folder: Path) -> None:
    assert not {"too-long", "rest-lapsed"} & codes(folder)
    (folder / "episode.toml").write_text("")
    assert "too-long" in codes(folder)


def test_punctuation_wakes_nothing_and_other_words_do(folder: Path) -> None:
    codes(folder)
    write(folder, f"TANSY: {LONG.upper()}!")
    assert not {"too-long", "rest-lapsed"} & codes(folder)
    write(folder, f"TANSY: {LONG}, Bram.")
    assert {"too-long", "rest-lapsed"} <= codes(folder)
    write(folder, f"TANSY: {LONG}.")
    assert not {"too-long", "rest-lapsed"} & codes(folder)


def test_another_take_wakes_it(folder: Path) -> None:
    (folder / "recordings").mkdir()
    take = folder / "recordings" / "1 take.wav"
    take.write_text("one")
    codes(folder)
    take.write_text("two")
    assert "rest-lapsed" in codes(folder)
    take.write_text("one")
    take.rename(take.with_name("1 best.wav"))
    assert "rest-lapsed" not in codes(folder)


def test_it_is_put_to_rest_anew_where_its_row_says_nothing(folder: Path) -> None:
    codes(folder)
    write(folder, f"TANSY: {LONG}, Bram.")
    assert "rest-lapsed" in codes(folder)
    assert list(read_lines(folder).rests) == ["1"]
    path = folder / FILE_NAME
    path.write_text(path.read_text().split(", rest")[0] + " }\n")
    assert not {"too-long", "rest-lapsed"} & codes(folder)


def test_what_is_no_longer_asked_for_is_forgotten(folder: Path) -> None:
    codes(folder)
    (folder / "episode.toml").write_text("")
    codes(folder)
    assert read_lines(folder).rests == {}


def test_reading_alone_remembers_nothing(folder: Path) -> None:
    assert "too-long" not in codes(folder, keep=False)
    assert not (folder / FILE_NAME).exists()


def test_a_rest_for_a_line_that_is_not_there_is_said(folder: Path) -> None:
    (folder / "episode.toml").write_text('[rest]\n7 = "too-long"\n')
    made = make_plan(open_source(folder))
    assert FindingCode.REST_UNUSED in {f.code for f in made.plan.findings}
