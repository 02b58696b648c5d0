"""Voices off camera, (V.O.) and (O.S.): no mouth is asked for, and a passage before them may be their picture.

The extensions are those of the trade's scripts (Fountain's syntax, "Character": "MOM (O.S.)"; fountain.io/syntax).
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from tests.episode.own_cut import as_its_own_cut
from timing.clips.queue import first_pictures, queue
from timing.export.requests import request_text
from timing.export.table import lines_csv
from timing.model import Plan
from timing.model.findings import FindingCode
from timing.model.script import is_off_camera
from timing.pipeline import plan_source
from timing.sheet.fonts import load_typeface
from timing.sheet.frame.score import ScoreWriter, passages_of
from timing.sheet.frame.sheets import FrameSheets

OVER = "[[8 s]]\nThe tide goes out.\n\nTANSY (V.O.)\nAnd so the sea went away.\n\nBRAM\nI am still here.\n"


def episode(folder: Path, script: str, toml: str = "") -> Plan:
    (folder / "script.fountain").write_text(script, "utf-8")
    (folder / "episode.toml").write_text(toml, "utf-8")
    return plan_source(folder)


def test_which_extensions_are_off_camera() -> None:
    yes = ("V.O.", "VO", "o.s.", "O.C.", "off", "OFF", "off screen", "off-camera", "voice-over", "V.O., softly")
    no = ("softly", "voice shaking", "off to the rock", "cont'd", "on screen", "")
    assert all(is_off_camera((text,)) for text in yes)
    assert not any(is_off_camera((text,)) for text in no)


def test_a_voice_over_lies_over_the_passage_before_it_and_asks_for_nothing(tmp_path: Path) -> None:
    plan = episode(tmp_path, OVER, "[profile.talking]\nlengths = [3, 8]\ncost_per_s = 1\ntakes = 2\n")
    passage, voice, bram = plan.lines
    assert [c.id for c in plan.clips] == ["C01", "C03"]
    assert voice.over == "1"
    assert voice.start == Fraction(14, 24)  # the usual gap of 0.6 s after the picture begins: 14.4 frames
    assert voice.end <= passage.end == 8
    assert bram.start >= passage.end
    # 8 s of picture and 3 s of BRAM, two takes each: 22 s; the voice adds nothing.
    assert (plan.totals.ask, plan.totals.generate, plan.totals.cost) == (11, 22, 22)
    assert plan.to_json()["lines"][1]["over"] == "1"
    told = request_text(plan, plan.clips[0])
    assert "heard over it, nobody is seen to speak: TANSY, “And so the sea went away.”, from 0.58 s" in told
    assert "2,C01,spoken" in lines_csv(plan, tmp_path)["lines.csv"].decode("utf-8-sig").replace("\r", "")


def test_a_passage_without_a_length_lasts_as_long_as_its_voices(tmp_path: Path) -> None:
    script = OVER.replace("[[8 s]]\n", "").replace("BRAM\n", "TANSY (V.O.)\nNobody knew where it had gone.\n\nBRAM\n")
    plan = episode(tmp_path, script)
    passage, one, two, bram = plan.lines
    assert (one.over, two.over) == ("1", "1")
    assert one.end + Fraction(3, 5) - two.start <= Fraction(1, 48)  # the usual gap, to the nearest frame
    assert passage.end == two.end + Fraction(3, 5)
    assert bram.start > passage.end


def test_a_noted_passage_is_never_made_longer(tmp_path: Path) -> None:
    plan = episode(tmp_path, OVER.replace("[[8 s]]", "[[1 s]]"))
    passage, voice, _ = plan.lines
    assert passage.length == 1
    assert voice.over is None
    assert [c.id for c in plan.clips] == ["C01", "C02", "C03"]
    assert [f.code for f in passage.findings] == [FindingCode.OVER_TOO_SHORT]


@pytest.mark.parametrize(
    "between",
    ["BRAM\nOh!\n\n", "EXT. CAVE - DAY\n\n", "[[wait 1 s]]\n\n"],
)
def test_a_voice_that_follows_something_else_has_its_own_clip_without_a_mouth(tmp_path: Path, between: str) -> None:
    plan = episode(tmp_path, OVER.replace("TANSY (V.O.)", between + "TANSY (V.O.)"))
    voice = next(line for line in plan.lines if line.is_off_camera)
    assert voice.over is None
    clip = next(c for c in plan.clips if c.line == voice.id)
    told = request_text(plan, clip)
    assert "voice off camera: TANSY, not seen" in told
    assert "no mouth is seen" in told
    assert "mouth closed" not in told
    picture = next(p for p in first_pictures(plan) if clip.id in p.clips)
    assert (picture.who, picture.mouth, picture.clips) == ("", "", (clip.id,))
    assert any(row.clip == clip.id for row in queue(plan))


def test_a_voice_with_a_profile_of_its_own_wants_a_clip(tmp_path: Path) -> None:
    toml = "[profile.effects]\nlengths = [5]\n"
    plan = episode(tmp_path, OVER.replace("away.\n", "away. [[with effects]]\n"), toml)
    assert plan.lines[1].over is None
    assert plan.clips[1].profile == "effects"


def test_the_sheet_of_a_voice_off_camera_has_no_mouth_column(tmp_path: Path) -> None:
    plan = episode(tmp_path, "TANSY (O.S.)\nBring me my moon boots.\n\nBRAM\nBring me my moon boots.\n")
    scores = ScoreWriter(plan)
    off, on = passages_of(plan)
    assert not scores.score(off).vowels
    assert not scores.score(off).closures
    assert scores.score(on).vowels
    assert scores.score(on).closures
    sheets = FrameSheets(plan, load_typeface(None), scores, None)
    assert ["mouth" in sheets._panels(p)[0].columns for p in (off, on)] == [False, True]


def test_in_the_real_cut_a_voice_goes_with_its_picture(tmp_path: Path) -> None:
    plan = episode(tmp_path, OVER)
    as_its_own_cut(tmp_path, plan)
    cut = plan_source(tmp_path).shown
    voice = next(line for line in cut.lines if line.id == "2")
    assert voice.text == "And so the sea went away."
    assert abs(voice.start - plan.lines[1].start) <= Fraction(1, 24)
    # With the picture two seconds later, the voice is: an event of the list has source in, out, record in, out.
    edl = (tmp_path / "cut.edl").read_text().replace("00:00:00:00 00:00:08:00\n", "00:00:02:00 00:00:10:00\n", 1)
    (tmp_path / "cut.edl").write_text(edl)
    later = next(line for line in plan_source(tmp_path).shown.lines if line.id == "2")
    assert later.start - voice.start == 2
