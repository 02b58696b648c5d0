"""The person's word about a clip: which line it holds, where its words lie; the three lists at the end of a check."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from tests.delivery.deliveries import reading, write_clip
from timing.cli import cli
from timing.model import Origin
from timing.pipeline import make_plan
from timing.script.source import open_source

SCRIPT = "TANSY: All of it? At once?\n\nBRAM: There it is! My toes are wet!\n\nTANSY: The moon has no arms.\n"


@pytest.fixture
def episode(tmp_path: Path, say: object) -> Path:
    (tmp_path / "script.txt").write_text(SCRIPT, "utf-8")
    write_clip(tmp_path / "clips" / "C01.mp4", reading("All of it? At once?", 3))
    write_clip(tmp_path / "clips" / "C02.mp4", reading("The moon has no arms.", 3))
    noise = np.random.default_rng(3).normal(0, 900, 48_000 * 2).astype(np.int16)
    write_clip(tmp_path / "clips" / "strange.mp4", noise)
    return tmp_path


def check(folder: Path, *options: str) -> str:
    result = CliRunner().invoke(cli, ["check", str(folder), *options])
    assert result.exit_code == 0, result.output
    return result.stdout


def test_the_three_lists_say_what_is_placed_unsure_and_left_over(episode: Path) -> None:
    text = check(episode)
    assert "placed (1): C01" in text
    assert "C02.mp4 is C02 by its name; its words are those of C03" in text
    assert "\t3: The moon has no arms." in text
    assert "left over (1): files that are no clip" in text
    values = json.loads(check(episode, "--json"))
    assert values["placed"] == ["C01"]
    assert [(u["clip"], u["or_clip"]) for u in values["unsure"]] == [("C02", "C03")]
    assert [left["file"] for left in values["left_over"]] == ["clips/strange.mp4"]


def test_the_row_that_is_printed_settles_it(episode: Path) -> None:
    row = next(line for line in check(episode).splitlines() if line.endswith("\t3: The moon has no arms."))
    name, _, label = row.strip().partition(":  ")
    (episode / name).write_text(label + "\n", "utf-8")
    plan = make_plan(open_source(episode)).plan
    line = plan.line("3")
    assert line.take == "clips/C02.mp4"
    assert line.origin is Origin.PINNED
    text = check(episode)
    assert "placed (2): C01, C03" in text
    assert "unsure (0)" in text


def test_labels_of_a_clip_moved_beside_it_change_no_time_and_one_word_moves_alone(episode: Path) -> None:
    from timing.episode.labels_out import label_files

    before = make_plan(open_source(episode)).plan
    content = label_files(before, episode)["labels/clips/C01.txt"].decode()
    (episode / "clips" / "C01.txt").write_text(content, "utf-8")
    after = make_plan(open_source(episode)).plan
    assert [(s.start, s.end) for s in after.line("1").syllables] == [
        (s.start, s.end) for s in before.line("1").syllables
    ]
    assert after.line("1").origin is Origin.PINNED
    rows = content.splitlines()
    assert rows[-1].endswith("\tonce?")
    start, end, text = rows[-1].split("\t")
    rows[-1] = f"{float(start) + 0.05:.6f}\t{end}\t{text}"
    (episode / "clips" / "C01.txt").write_text("\n".join(rows), "utf-8")
    moved = make_plan(open_source(episode)).plan.line("1")
    by = [float(a.start - b.start) for a, b in zip(moved.words, before.line("1").words, strict=True)]
    assert by == pytest.approx([0, 0, 0, 0, 0.05], abs=1e-5)
