"""Deliveries with planted faults: each is found, none is invented on good ones. The truth is what was planted.

The clips are made from the example episode's own scratch recordings, through a lossy sound codec.
"""

from __future__ import annotations

import json
import wave
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from numpy.typing import NDArray

from tests.delivery.deliveries import (
    RATE_HZ,
    clipped,
    example_folder,
    other_voice,
    reading,
    samples_of,
    shifted,
    stretched,
    write_clip,
)
from tests.recording import flite
from timing.cli import cli
from timing.delivery.check import Checker, check_deliveries
from timing.delivery.matching import ClipFile, delivered_files
from timing.delivery.verdict import Check, with_best
from timing.episode.guide_sound import guide_files
from timing.model import Plan
from timing.pipeline import make_plan
from timing.script.source import open_source

CLIPS = ("C02", "C03", "C08")


@pytest.fixture(scope="module")
def episode(tmp_path_factory: pytest.TempPathFactory) -> tuple[Plan, Path, dict[str, NDArray[np.int16]]]:
    """The example's plan, its folder, and the scratch sound of some of its clips."""
    folder = example_folder(tmp_path_factory.mktemp("episode") / "low-tide")
    plan = make_plan(open_source(folder)).plan
    files = guide_files(plan, folder)
    return plan, folder, {clip_id: samples_of(files[f"scratch/{clip_id}.wav"]) for clip_id in CLIPS}


@pytest.fixture(scope="module")
def checked(episode: tuple[Plan, Path, dict[str, NDArray[np.int16]]]) -> dict[str, Check]:
    """Every kind of delivery of every clip, checked in one go, by "C02 kind"."""
    plan, folder, sounds = episode
    for n, (clip_id, sound) in enumerate(sounds.items()):
        clip = next(c for c in plan.clips if c.id == clip_id)
        word = plan.line(clip.line).words[clip.words[1] - 1]
        middle = int(float(clip.head + (word.start + word.end) / 2 - clip.speech_start) * RATE_HZ)
        silent_from = np.where(np.arange(len(sound)) < middle, sound, 0).astype(np.int16)
        kinds = {
            "good": sound,
            "timbre": other_voice(sound),
            "late": shifted(sound, 5),
            "cut": silent_from,
            "ends": sound[:middle],
            "silent": np.zeros_like(sound),
            "clipped": clipped(sound),
            "drift": stretched(sound, 1.01),
            "wrong": sounds[CLIPS[(n + 1) % len(CLIPS)]],
        }
        for kind, samples in kinds.items():
            write_clip(folder / "clips" / f"{clip_id} {kind}.mp4", samples)
        write_clip(folder / "clips" / f"{clip_id} ntsc.mp4", sound, Fraction(24000, 1001))
    write_clip(folder / "clips" / "no name.mp4", sounds["C03"])
    (folder / "clips" / "C09.mp4").write_bytes(b"")
    return {Path(c.file).stem: c for c in check_deliveries(plan, folder)}


def codes(check: Check) -> set[str]:
    return {f.code for f in check.findings}


@pytest.mark.parametrize("clip_id", CLIPS)
@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("good", set()), ("timbre", set()), ("late", {"shift"}), ("cut", {"cut-off-end"}), ("silent", {"silent"}),
        ("clipped", {"clipped"}), ("drift", {"drift"}), ("wrong", {"wrong-line"}), ("ntsc", {"rate"}),
        ("ends", {"too-short", "cut-off-end"}),
    ],
)  # fmt: skip
def test_a_planted_fault_is_found_and_no_other(
    checked: dict[str, Check], clip_id: str, kind: str, expected: set[str]
) -> None:
    assert codes(checked[f"{clip_id} {kind}"]) == expected


@pytest.mark.parametrize("clip_id", CLIPS)
def test_the_figures_are_those_that_were_planted(checked: dict[str, Check], clip_id: str) -> None:
    assert checked[f"{clip_id} late"].shift_frames == pytest.approx(5, abs=0.1)
    assert checked[f"{clip_id} good"].shift_frames == pytest.approx(0, abs=0.1)
    assert checked[f"{clip_id} drift"].drift == pytest.approx(0.01, abs=0.002)
    assert checked[f"{clip_id} good"].drift == pytest.approx(0, abs=0.002)
    assert checked[f"{clip_id} good"].head_frames == pytest.approx(6, abs=1.5)  # the handle: 0.25 s at 24
    assert checked[f"{clip_id} ntsc"].rate == Fraction(24000, 1001)


def test_a_wrong_line_is_named(checked: dict[str, Check]) -> None:
    (finding,) = checked["C02 wrong"].findings
    assert finding.facts == {"clip": "C03"}


def test_a_clip_without_a_name_is_known_by_its_words(checked: dict[str, Check]) -> None:
    assert checked["no name"].clip == "C03"


def test_a_file_that_cannot_be_read_is_a_finding(checked: dict[str, Check]) -> None:
    assert codes(checked["C09"]) == {"unreadable"}


@pytest.mark.parametrize("clip_id", CLIPS)
def test_the_best_take_is_a_good_one(checked: dict[str, Check], clip_id: str) -> None:
    best = [name for name, check in checked.items() if check.is_best and check.clip == clip_id]
    assert best in ([f"{clip_id} good"], [f"{clip_id} timbre"], ["no name"])


def test_the_command_prints_a_table_and_json(episode: tuple[Plan, Path, dict[str, NDArray[np.int16]]]) -> None:
    _, folder, sounds = episode
    for path in list((folder / "clips").iterdir()) if (folder / "clips").exists() else []:
        path.unlink()
    write_clip(folder / "clips" / "C03 take 1.mp4", sounds["C03"])
    result = CliRunner().invoke(cli, ["check", str(folder)])
    assert result.exit_code == 0, result.output
    assert "C03 take 1.mp4" in result.output
    assert "generated so far: 5 s of" in result.output
    assert "timed by these clips, on the next sheets too: line 3" in result.output
    result = CliRunner().invoke(cli, ["check", str(folder), "--json", "--strict"])
    values = json.loads(result.stdout)
    assert values["files"][0]["clip"] == "C03"
    assert values["files"][0]["findings"] == []
    assert "C02" in values["missing"]


@pytest.mark.skipif(not flite.is_installed(), reason="flite is not installed")
@pytest.mark.parametrize(
    ("clip_id", "text", "really"),
    [
        ("C21", "All of it? At once?", "C04"), ("C04", "There it is! My toes are wet!", "C21"),
        ("C12", "Good night, sea. See you in the morning.", "C22"),
        ("C22", "Then it is nearly time. Hold on to your shell!", "C12"),
        ("C08", "The moon has no arms.", "C06"), ("C06", "Seven old ducks sat on a warm red roof.", None),
    ],
)  # fmt: skip
def test_the_line_a_clip_really_holds_is_named_in_another_voice_too(
    episode: tuple[Plan, Path, dict[str, NDArray[np.int16]]],
    tmp_path: Path,
    clip_id: str,
    text: str,
    really: str | None,
) -> None:
    plan, folder, _ = episode
    path = tmp_path / f"{clip_id}.mp4"
    write_clip(path, reading(text, 5))
    check = Checker(plan, folder).check(ClipFile(path, path.name, clip_id))
    (finding,) = [f for f in check.findings if f.code == "wrong-line"]
    assert finding.facts == ({"clip": really} if really else {})
    assert not check.is_whole


@pytest.mark.skipif(not flite.is_installed(), reason="flite is not installed")
def test_a_scratch_of_one_word_takes_no_other_lines_clips(tmp_path: Path) -> None:
    """Any syllable has the outline of any other: 0.4 s of recording tell nothing."""
    folder = tmp_path / "episode"
    (folder / "recordings").mkdir(parents=True)
    (folder / "script.txt").write_text("TANSY: Hey.\n\nBRAM: Wait for me!\n\nTANSY: All of it? At once?\n", "utf-8")
    word = flite.say("Hey.", "slt")[0]
    with wave.open(str(folder / "recordings" / "1.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(np.concatenate([np.zeros(4000), word, np.zeros(4000)]).astype("<i2").tobytes())
    plan = make_plan(open_source(folder)).plan
    assert plan.line("1").take == "recordings/1.wav"
    for name, text in (("C02.mp4", "Wait for me!"), ("a.mp4", "Wait for me!"), ("C01.mp4", "Wait for me!")):
        write_clip(folder / "clips" / name, reading(text, 3))
    found = {Path(c.file).name: c for c in check_deliveries(plan, folder)}
    assert found["C02.mp4"].clip == "C02"
    assert "wrong-line" not in codes(found["C02.mp4"])
    assert found["a.mp4"].clip == "C02"
    assert "wrong-line" in codes(found["C01.mp4"])


def test_takes_come_in_the_natural_order_of_their_names(tmp_path: Path) -> None:
    for name in ("C01 take 10.mp4", "C01 take 2.mp4", "C01 take 1.mp4"):
        (tmp_path / "clips").mkdir(exist_ok=True)
        (tmp_path / "clips" / name).write_bytes(b"x")
    assert [f.name[-6:-4].strip() for f in delivered_files(tmp_path, ["C01"])] == ["1", "2", "10"]
    checks = [Check(f.name, "C01") for f in delivered_files(tmp_path, ["C01"])]
    assert [c.take for c in with_best(checks[::-1], ["C01"], {})] == [1, 2, 3]
    assert [c.file for c in with_best(checks[::-1], ["C01"], {})] == [c.file for c in checks]
