"""Times of clips that came back in place of estimates, and what is asked for hanging on none of it.

The example episode with its own scratch recordings as deliveries, and one line nobody recorded, read by the
synthesiser of the tests, whose own segment times are the truth.
"""

from __future__ import annotations

import re
import shutil
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tests.delivery.deliveries import RATE_HZ, example_folder, reading, samples_of, write_clip
from tests.recording import flite
from timing.delivery.check import Checker
from timing.episode.guide_sound import guide_files
from timing.memory.clips_toml import read_memory, remember
from timing.model import Origin, Plan
from timing.pipeline import Made, make_plan, write_plan
from timing.script.source import open_source
from timing.sheet.document import lay_out

SAID = "All of it? At once?"  # line 4, which has no recording
FRAME_S = 1 / 24


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example episode as it is shipped, with what was heard in its recordings."""
    return example_folder(tmp_path_factory.mktemp("example") / "low-tide")


@pytest.fixture(scope="module")
def asked(fresh: Path) -> Plan:
    return run(fresh).plan


@pytest.fixture(scope="module")
def came_back(fresh: Path, asked: Plan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder with C02, C03, both parts of line 5 and (read by the synthesiser) C04 delivered, and a first run."""
    folder = tmp_path_factory.mktemp("back") / "low-tide"
    shutil.copytree(fresh, folder)
    files = guide_files(asked, folder)
    for clip_id in ("C02", "C03", "C05.1", "C05.2"):
        write_clip(folder / "clips" / f"{clip_id}.mp4", samples_of(files[f"scratch/{clip_id}.wav"]))
    if flite.is_installed():
        write_clip(folder / "clips" / "C04.mp4", reading(SAID, 3))
    run(folder)
    return folder


@pytest.fixture
def folder(came_back: Path, tmp_path: Path) -> Path:
    """A copy to change."""
    shutil.copytree(came_back, tmp_path / "low-tide")
    return tmp_path / "low-tide"


def run(folder: Path) -> Made:
    """Do what ``timing sheet`` does with the memory and plan.json, without drawing."""
    made = make_plan(open_source(folder))
    write_plan(made.plan, folder / "out", folder, made.previous)
    remember(made.plan, folder, made.checks)
    return made


def ids_and_asks(plan: Plan) -> list[tuple[str, Fraction | None, str]]:
    return [(c.id, c.ask, c.text) for c in plan.clips]


needs_flite = pytest.mark.skipif(not flite.is_installed(), reason="flite is not installed")


@needs_flite
def test_an_estimated_line_takes_the_times_of_its_clip(asked: Plan, came_back: Path) -> None:
    plan = make_plan(open_source(came_back)).plan
    line = plan.line("4")
    assert (asked.line("4").origin, line.origin) == (Origin.ESTIMATED, Origin.MEASURED)
    assert (line.take, line.delivered) == ("clips/C04.mp4", ("clips/C04.mp4",))
    truth = flite.say(SAID, "slt")[1]
    assert line.take_start is not None
    for word, true in zip(line.words, truth, strict=True):
        heard = float(word.start - line.start + line.take_start) - 0.25
        assert heard == pytest.approx(true.start, abs=2 * FRAME_S), word.text
    assert line.low == line.high == line.length
    assert line.length != asked.line("4").length


def test_nothing_is_asked_for_again_because_it_came_back(asked: Plan, folder: Path) -> None:
    made = make_plan(open_source(folder))
    assert ids_and_asks(made.plan) == ids_and_asks(asked)
    assert made.plan.totals.generate == asked.totals.generate
    changes = remember(made.plan, folder, made.checks)
    assert (changes.new, changes.again, changes.dropped) == ((), (), ())
    assert read_memory(folder).clips["C02"].state == "delivered"


def test_parts_of_a_line_are_joined_at_their_clips_edges(asked: Plan, came_back: Path) -> None:
    plan = make_plan(open_source(came_back)).plan
    line, before = plan.line("5"), asked.line("5")
    assert (line.take, line.delivered) == (None, ("clips/C05.1.mp4", "clips/C05.2.mp4"))
    first, second = (c for c in plan.clips if c.line == "5")
    # The deliveries are the scratch itself: every word lies where it lay, nearly all of them to a frame.
    pairs = zip(line.words, before.words, strict=True)
    off = [abs(float((w.start - line.start) - (old.start - before.start))) / FRAME_S for w, old in pairs]
    assert max(off) < 3
    assert sum(o < 1.5 for o in off) >= 30
    assert second.speech_start - first.speech_end >= 0
    assert [s.file for s in plan.soundings() if s.line == "5"] == ["clips/C05.1.mp4", "clips/C05.2.mp4"]


def test_a_part_that_is_not_back_keeps_what_it_had(asked: Plan, folder: Path) -> None:
    (folder / "clips" / "C05.1.mp4").unlink()
    plan = make_plan(open_source(folder)).plan
    line, before = plan.line("5"), asked.line("5")
    assert line.delivered == ("clips/C05.2.mp4",)
    count = next(c for c in asked.clips if c.id == "C05.1").words[1]  # the words of the part that is not back
    for word, old in zip(line.words[:count], before.words[:count], strict=True):
        assert word.start - line.start == old.start - before.start
    sounds = [s for s in plan.soundings() if s.line == "5"]
    assert [s.file for s in sounds] == ["recordings/5 bram long one.ogg", "clips/C05.2.mp4"]


def test_a_second_run_listens_to_nothing_and_gives_the_same(came_back: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = make_plan(open_source(came_back))

    def listens(*_: object) -> None:
        raise AssertionError("listened again")

    monkeypatch.setattr(Checker, "check", listens)
    second = make_plan(open_source(came_back))
    assert second.checks == first.checks
    assert second.plan == first.plan


def test_after_a_changed_line_only_its_clip_is_asked_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script = folder / "script.fountain"
    script.write_text(script.read_text().replace("Somebody has taken the sea!", "Somebody has taken the whole sea!"))
    listened = []
    check = Checker.check
    monkeypatch.setattr(Checker, "check", lambda self, file: listened.append(file.name) or check(self, file))
    made = make_plan(open_source(folder))
    # What is expected of C04, an estimate, moves with the measured lines of its speaker; the others are not heard again.
    assert set(listened) <= {"clips/C02.mp4", "clips/C04.mp4"}
    changes = remember(made.plan, folder, made.checks)
    assert (changes.new, changes.again, changes.dropped) == ((), ("C02",), ())
    # What came back for the old words is no answer to the new ones, however alike they are.
    assert made.plan.line("2").delivered == ()
    assert made.plan.line("3").delivered == ("clips/C03.mp4",)
    (old,) = (d for d in made.plan.deliveries if d.clip == "C02")
    assert (old.state, old.is_measured) == ("asked", False)
    assert "outdated" in {f.code for f in old.findings}
    again = make_plan(open_source(folder))
    assert remember(again.plan, folder, again.checks).again == ()


def test_removed_clips_give_the_plan_that_was_asked_for(asked: Plan, folder: Path) -> None:
    shutil.rmtree(folder / "clips")
    made = make_plan(open_source(folder))
    assert made.plan.to_json() == asked.to_json() | {"findings": made.plan.to_json()["findings"]}
    changes = remember(made.plan, folder, made.checks)
    assert (changes.new, changes.again, changes.dropped) == ((), (), ())


def test_an_accepted_take_wins_over_a_better_one(folder: Path, asked: Plan) -> None:
    files = guide_files(asked, folder)
    late = np.concatenate([np.zeros(RATE_HZ // 2, np.int16), samples_of(files["scratch/C02.wav"])])
    write_clip(folder / "clips" / "C02 late.mp4", late[: 5 * RATE_HZ])
    assert make_plan(open_source(folder)).plan.line("2").take == "clips/C02.mp4"
    memory = folder / "clips.toml"
    memory.write_text(re.sub(r"(\[C02\]\n)", r'\1accepted = "C02 late.mp4"\n', memory.read_text()))
    plan = make_plan(open_source(folder)).plan
    assert plan.line("2").take == "clips/C02 late.mp4"
    assert plan.line("2").take_start == pytest.approx(0.75, abs=0.03)
    assert next(d for d in plan.deliveries if d.clip == "C02").state == "accepted"


def test_a_take_that_does_not_hold_its_line_changes_no_time_and_is_marked(folder: Path, asked: Plan) -> None:
    clip = next(c for c in asked.clips if c.id == "C02")
    sound = samples_of(guide_files(asked, folder)["scratch/C02.wav"])
    word = asked.line("2").words[-1]
    middle = int(float(clip.head + (word.start + word.end) / 2 - clip.speech_start) * RATE_HZ)
    write_clip(folder / "clips" / "C02.mp4", np.where(np.arange(len(sound)) < middle, sound, 0).astype(np.int16))
    plan = make_plan(open_source(folder)).plan
    assert plan.line("2").delivered == ()
    assert plan.line("2").words[0].start - plan.line("2").start == 0
    assert plan.line("2").length == asked.line("2").length
    back = plan.delivered("C02")
    assert back is not None
    assert [(m.line, m.word, m.fault.value) for m in back.word_marks] == [("2", 7, "cut off")]
    memory = folder / "clips.toml"
    memory.write_text(memory.read_text().replace("[C02]\n", '[C02]\naccepted = "C02.mp4"\n'))
    accepted = make_plan(open_source(folder)).plan
    assert accepted.line("2").delivered == ("clips/C02.mp4",)  # the person has the last word
    kept = accepted.delivered("C02")
    assert kept is not None
    assert (kept.state, kept.is_measured) == ("accepted", True)
    assert "cut-off-end" in {f.code for f in kept.findings}  # and the doubt stays
    page = next(p for p in lay_out(plan) if p.key.startswith("sheet-C02"))
    texts = [text for placed in page.ink.texts.values() for _, _, text in placed]
    assert "cut off" in texts
    assert "do not trust" in texts
    table = next(p for p in lay_out(plan) if p.key == "cliptable")
    shown = " ".join(text for placed in table.ink.texts.values() for *_, text in placed)
    assert "back: C02.mp4" in shown
    assert "is cut off" in shown  # the reason, in words
