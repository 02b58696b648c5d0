"""A line of which a clip came back keeps its cuts: no other estimate asks for it anew in other parts."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.life import fakes
from timing.memory.clips import Changes
from timing.memory.clips_toml import remember
from timing.model import Plan
from timing.pipeline import make_plan
from timing.script.source import open_source

WORDS = "kelp moon rock tide foam crab shell gull wave sand stone reef".split()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    fakes.put_in_place(monkeypatch)
    (tmp_path / "script.txt").write_text(f"TANSY: {' '.join(WORDS)}.\n")
    (tmp_path / "clips").mkdir()
    return tmp_path


def sheet(folder: Path, pace: str) -> tuple[Plan, Changes]:
    """Run the tool with a speaker as slow as ``pace``; 12 words take about 5 s, twice that is too much for a clip."""
    (folder / "episode.toml").write_text(f"[cast.TANSY]\npace = {pace}\n")
    made = make_plan(open_source(folder), keep_ids=True)
    return made.plan, remember(made.plan, folder, made.checks)


def ids(plan: Plan) -> list[str]:
    return [clip.id for clip in plan.clips]


def test_a_line_that_came_back_whole_is_not_cut(folder: Path) -> None:
    assert ids(sheet(folder, "1")[0]) == ["C01"]
    assert ids(sheet(folder, "2")[0]) == ["C01.1", "C01.2"]  # nothing is back yet
    sheet(folder, "1")
    (folder / "clips" / "C01.mp4").write_text(" ".join(WORDS))
    sheet(folder, "1")
    plan, changes = sheet(folder, "2")
    assert (ids(plan), changes.new, changes.again, changes.dropped) == (["C01"], (), (), ())
    assert plan.line("1").delivered == ("clips/C01.mp4",)


def test_a_line_of_which_a_part_came_back_keeps_its_parts(folder: Path) -> None:
    plan, _ = sheet(folder, "2")
    first = plan.clips[0]
    (folder / "clips" / "C01.1.mp4").write_text(" ".join(WORDS[: first.words[1]]))
    sheet(folder, "2")
    plan, changes = sheet(folder, "1")
    assert (ids(plan), changes.new, changes.again) == (["C01.1", "C01.2"], (), ("C01.2",))  # of another length
    assert plan.clips[0].words == first.words
    assert plan.delivered("C01.1") is not None


def test_other_words_are_cut_anew(folder: Path) -> None:
    sheet(folder, "1")
    (folder / "clips" / "C01.mp4").write_text(" ".join(WORDS))
    sheet(folder, "1")
    (folder / "script.txt").write_text(f"TANSY: {' '.join([*WORDS[:-1], 'harbour'])}.\n")
    assert ids(sheet(folder, "2")[0]) == ["C01.1", "C01.2"]
    (folder / "script.txt").write_text(f"TANSY: {' '.join(WORDS)}!\n")
    assert ids(sheet(folder, "2")[0]) == ["C01"]
