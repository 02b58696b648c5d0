"""The life of a cut: written, trimmed, read, everything made again, taken away: what was there returns."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import opentimelineio as otio
import pytest
from click.testing import CliRunner

from timing.cli import cli

SCRIPT = """Title: Low Tide

TANSY: Where does the sea go?
BRAM: Out and in again.
(The tide turns.) [[3 s]]
TANSY: Then where does it sleep at night?
BRAM: It never sleeps.
"""


def run(*arguments: str, code: int = 0) -> str:
    done = CliRunner().invoke(cli, list(arguments))
    assert done.exit_code == code, done.output
    return done.output


def everything(out: Path) -> dict[str, bytes]:
    return {
        p.relative_to(out).as_posix(): p.read_bytes()
        for p in sorted(out.rglob("*"))
        if p.is_file() and not p.relative_to(out).as_posix().startswith(".")
    }


@pytest.fixture
def episode(tmp_path: Path) -> Path:
    folder = tmp_path / "low-tide"
    folder.mkdir()
    (folder / "episode.toml").write_text('title = "Low Tide"\nrate = 24\n', encoding="utf-8")
    (folder / "script.txt").write_text(SCRIPT, encoding="utf-8")
    return folder


def test_everything_returns_when_the_cut_is_taken_away(episode: Path) -> None:
    out = episode / "out"
    run("sheet", str(episode))
    run("sheet", str(episode))  # the second run knows what was printed
    before = everything(out)
    assert "cut.csv" not in before

    made = otio.adapters.read_from_file(str(out / "episode.otio"))
    first = next(iter(made.find_clips()))
    own = first.source_range
    frames = otio.opentime.RationalTime
    first.source_range = otio.opentime.TimeRange(own.start_time, own.duration - frames(6, 24))
    otio.adapters.write_to_file(made, str(episode / "cut.otio"))
    told = run("sheet", str(episode))
    assert "cut-gap" not in told  # these clips meet
    plan = json.loads((out / "plan.json").read_text("utf-8"))
    old = json.loads(before["plan.json"])
    assert plan["cut"]["frames"] == old["episode"]["frames"] - 6
    assert plan["clips"] == [c | {"findings": plan["clips"][n]["findings"]} for n, c in enumerate(old["clips"])]
    with_cut = everything(out)
    assert with_cut["captions.srt"] != before["captions.srt"]
    assert [with_cut[n] for n in ("episode.edl", "queue.csv", "clips.csv")][:2] == [
        before[n] for n in ("episode.edl", "queue.csv")
    ]

    shutil.rmtree(out)
    run("sheet", str(episode))
    again = everything(out)
    for name in ("captions.srt", "captions.vtt", "cut.csv", "clips.csv", "lines.csv", "episode.otio"):
        assert again[name] == with_cut[name], name

    (episode / "cut.otio").unlink()
    run("sheet", str(episode))
    run("sheet", str(episode))
    after = everything(out)
    assert sorted(after) == sorted(before)
    for name in set(before) - {"sheets.pdf", "plan.json"}:  # those remember that the first set was thrown away
        assert after[name] == before[name], name
    assert {k: v for k, v in json.loads(after["plan.json"]).items() if k != "sheets"} == {
        k: v for k, v in old.items() if k != "sheets"
    }


def test_a_cut_may_be_named_and_two_are_a_question(episode: Path, tmp_path: Path) -> None:
    run("sheet", str(episode))
    named = tmp_path / "second version.edl"
    shutil.copy(episode / "out" / "episode.edl", named)
    run("sheet", str(episode), "--cut", str(named))
    assert json.loads((episode / "out" / "plan.json").read_text("utf-8"))["cut"]["file"] == "second version.edl"
    shutil.copy(named, episode / "cut.edl")
    shutil.copy(episode / "out" / "episode.otio", episode / "cut.otio")
    assert "has cut.edl and cut.otio; keep the one that is the cut" in run("sheet", str(episode), code=2)
    run("sheet", str(episode), "--cut", str(named))
    assert "there is no such file" in run("sheet", str(episode), "--cut", "nowhere.edl", code=2)
    assert "export it as an edit list" in run("sheet", str(episode), "--cut", str(episode / "script.txt"), code=2)
    (episode / "cut.otio").unlink()
    (episode / "cut.edl").unlink()
    (episode / "cut.edl").mkdir()
    assert "it is a folder" in run("sheet", str(episode), code=2)


def test_a_cut_that_cannot_be_read_stops_before_anything_is_written(episode: Path) -> None:
    (episode / "cut.edl").write_text("TITLE: X\n001 C01 V C 00:00:00:00 00:00\n", encoding="utf-8")
    told = run("sheet", str(episode), code=2)
    assert "cut.edl:2: this event is not understood" in told
    assert not (episode / "out" / "captions.srt").exists()


def test_cuts_that_come_close_in_the_real_cut_are_cautioned(episode: Path) -> None:
    """Eight stretches of three frames each begin within a second: seven cuts after the first (WCAG 2.3.1: six)."""
    rows = [
        f"{n + 1:03d} C0{n % 2 + 1} V C 00:00:00:00 00:00:00:03 00:00:0{3 * n // 24}:{3 * n % 24:02d} "
        f"00:00:0{3 * (n + 1) // 24}:{3 * (n + 1) % 24:02d}\n"
        for n in range(8)
    ]
    for count, told in ((8, [7]), (7, [])):
        (episode / "cut.edl").write_text("".join(rows[:count]), encoding="utf-8")
        run("sheet", str(episode))
        found = json.loads((episode / "out" / "plan.json").read_text("utf-8"))["findings"]
        assert [f["cuts"] for f in found if f["code"] == "cuts-close"] == told


def test_lines_says_what_a_named_cut_does(episode: Path) -> None:
    """The whole of C01 (frames 0 to 38 of its file) and nothing else: the other three clips are left out."""
    cut = episode / "version 3.edl"
    cut.write_text("001 C01 V C 00:00:00:00 00:00:01:14 00:00:00:00 00:00:01:14\n", encoding="utf-8")
    told = run("lines", str(episode), "--cut", str(cut), "--findings", "cut-left-out")
    assert "cut-left-out (3)" in told
    assert "cut-left-out" not in run("lines", str(episode))
