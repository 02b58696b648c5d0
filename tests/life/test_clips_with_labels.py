"""A clip that a person's labels speak of, when the words of its line change."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.life import fakes
from timing.memory.clips_toml import remember
from timing.model import Plan
from timing.pipeline import make_plan
from timing.script.source import open_source


@pytest.fixture(autouse=True)
def ears(monkeypatch: pytest.MonkeyPatch) -> None:
    fakes.put_in_place(monkeypatch)


def planned(folder: Path, words: str) -> Plan:
    (folder / "script.txt").write_text(f"TANSY: {words}\n", "utf-8")
    made = make_plan(open_source(folder), keep_ids=True)
    remember(made.plan, folder, made.checks)
    return made.plan


def test_a_labelled_clip_is_taken_for_its_own_words_only(tmp_path: Path) -> None:
    planned(tmp_path, "Where does the sea go?")
    (tmp_path / "clips").mkdir()
    (tmp_path / "clips" / "C01 take 1.mp4").write_text("where does the sea go")
    (tmp_path / "clips" / "C01 take 1.txt").write_text("0.5\t2.5\t1: Where does the sea go?\n")
    back = planned(tmp_path, "Where does the sea go?").delivered("C01")
    assert back is not None
    assert (back.is_measured, back.speech_start) == (True, 0.5)
    reworded = planned(tmp_path, "Where does the tide go?")
    assert reworded.line("1").delivered == ()
    assert planned(tmp_path, "Where does the sea go").line("1").delivered == ("clips/C01 take 1.mp4",)
