"""Project memory: what is asked again is only what changed, and the file survives people."""

from __future__ import annotations

import hashlib
import json
import threading
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.export.plans import small_plan
from timing.delivery.matching import clip_in_name, delivered_files
from timing.memory.clips import Earlier, Memory, Wording, update_memory, wording_of
from timing.memory.clips_toml import FILE_NAME, check_names, memory_text, read_memory, remember, write_memory
from timing.model import Plan
from timing.pipeline import plan_source
from timing.plain.errors import SettingsError


def changed(plan: Plan, clip_id: str, text: str) -> Plan:
    return replace(plan, clips=tuple(replace(c, text=text) if c.id == clip_id else c for c in plan.clips))


def test_a_first_run_asks_for_everything_and_a_second_for_nothing(tmp_path: Path) -> None:
    plan = small_plan()
    assert remember(plan, tmp_path).new == ("C01", "C02", "C03", "C04")
    again = remember(plan, tmp_path)
    assert (again.new, again.again, again.dropped) == ((), (), ())
    assert again.open == ("C01", "C02", "C03", "C04")
    assert again.sentences() == []


def test_after_a_changed_line_only_its_clip_is_asked_again(tmp_path: Path) -> None:
    plan = small_plan()
    remember(plan, tmp_path)
    changes = remember(changed(plan, "C03", "Where does the sea go?"), tmp_path)
    assert (changes.new, changes.again, changes.dropped) == ((), ("C03",), ())
    assert "the request changed (its words or its length), ask as it is now: C03" in changes.sentences()


def test_a_clip_that_is_gone_is_dropped_once_and_its_seconds_stay_counted(tmp_path: Path) -> None:
    plan = small_plan()
    (tmp_path / "clips").mkdir()
    (tmp_path / "clips" / "C03 take 1.mp4").touch()
    remember(plan, tmp_path)
    ask = plan.clips[2].ask
    shorter = replace(plan, clips=plan.clips[:2])
    assert remember(shorter, tmp_path).dropped == ("C03", "C04")
    assert remember(shorter, tmp_path).dropped == ()
    assert read_memory(tmp_path).generated == ask


def test_delivered_files_count_their_seconds_once(tmp_path: Path) -> None:
    plan = small_plan()
    (tmp_path / "clips").mkdir()
    for name, content in (("C01.mp4", "one"), ("c01_v2.mp4", "two"), ("copy of C01.mp4", "one")):
        (tmp_path / "clips" / name).write_text(content)
    for _ in range(3):
        remember(plan, tmp_path)
    entry = read_memory(tmp_path).clips["C01"]
    assert entry.state == "delivered"
    assert list(entry.files) == ["clips/C01.mp4", "clips/c01_v2.mp4", "clips/copy of C01.mp4"]
    assert plan.clips[0].ask is not None
    assert entry.generated == 2 * plan.clips[0].ask


def test_another_length_is_asked_for_again_only_while_nothing_came_back(tmp_path: Path) -> None:
    plan = small_plan()
    (tmp_path / "clips").mkdir()
    (tmp_path / "clips" / "C01.mp4").write_text("one")
    remember(plan, tmp_path)
    assert plan.clips[0].ask is not None
    longer = replace(plan, clips=tuple(replace(c, ask=plan.clips[0].ask + 2) for c in plan.clips))
    changes = remember(longer, tmp_path)
    assert (changes.new, changes.again) == ((), ("C02", "C03", "C04"))
    assert read_memory(tmp_path).clips["C01"].ask == plan.clips[0].ask
    assert remember(longer, tmp_path).again == ()


def test_what_came_back_for_older_words_is_no_answer_to_new_ones(tmp_path: Path) -> None:
    plan = small_plan()
    (tmp_path / "clips").mkdir()
    clip = tmp_path / "clips" / "C03.mp4"
    clip.write_text("old")
    remember(plan, tmp_path)
    reworded = changed(plan, "C03", "Where does the sea go?")
    assert read_memory(tmp_path).outdated(reworded)["C03"] == {*read_memory(tmp_path).clips["C03"].files.values()}
    remember(reworded, tmp_path)
    assert read_memory(tmp_path).clips["C03"].state == "asked"
    clip.write_text("new, under the old name")
    remember(reworded, tmp_path)
    entry = read_memory(tmp_path).clips["C03"]
    assert entry.state == "delivered"
    assert not {*entry.files.values()} & read_memory(tmp_path).outdated(reworded)["C03"]
    assert entry.generated == 2 * entry.ask


def test_what_a_person_wrote_is_kept(tmp_path: Path) -> None:
    plan = small_plan()
    remember(plan, tmp_path)
    path = tmp_path / FILE_NAME
    path.write_text(
        path.read_text().replace('[C02]\nstate = "asked"', '[C02]\naccepted = "clips/x.mp4"\nstate = "accepted"')
    )
    remember(plan, tmp_path)
    assert read_memory(tmp_path).clips["C02"].state == "accepted"
    assert read_memory(tmp_path).clips["C02"].accepted == "clips/x.mp4"


def test_written_and_read_back_is_the_same(tmp_path: Path) -> None:
    memory, _ = update_memory(Memory(), small_plan(), {"C01": {"clips/Où “x”.mp4": "1f3a9c02"}})
    known = memory.clips["C01"]
    earlier = (
        Earlier(Wording("TANSY: all of it"), "accepted", Fraction(3), {"clips/x.mp4": "00"}, "x.mp4", ("loud",)),
    )
    entry = replace(known, generated=Fraction("7.5"), outdated=("0a0b0c0d",), earlier=earlier, accepted='a "b".mp4')
    memory = Memory({**memory.clips, "C01": entry})
    write_memory(memory, tmp_path)
    assert read_memory(tmp_path) == memory
    text = (tmp_path / FILE_NAME).read_text("utf-8")
    assert memory_text(memory.clips, text) == text


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[C01", "cannot be read"),
        ("C01 = 3", r"each clip is a table such as \[C04\]"),
        ('[C01]\nstate = "lost"', 'state is one of asked, delivered, accepted, dropped, not "lost"'),
        ("[C01]\ngenerated_s = -1", "generated_s is a number of seconds"),
        ("[C01]\ngenerated_s = inf", "cannot be read|generated_s is a number"),
        ("[C01]\nfiles = 'x'", "files is a table of file names"),
        ("[C01]\noutdated = 'x'", "outdated is a list of texts"),
        ("[C01]\nrequest = 3", r"toml:2: \[C01\] request is a text"),
        ('[C01]\nacepted = "x"', r'toml:2: \[C01\] there is no key "acepted"; did you mean "accepted"'),
        ('[C01]\nstate = "acepted"', r'toml:2: .*not "acepted"; did you mean "accepted"'),
        ("[C01]\n[c02]", r'toml:2: "c02" is no clip; did you mean \[C02\]'),
        ("[C01]\nearlier = 3", "earlier is written as tables"),
    ],
)
def test_a_damaged_file_is_one_sentence(tmp_path: Path, text: str, message: str) -> None:
    (tmp_path / FILE_NAME).write_text(text)
    with pytest.raises(SettingsError, match=message):
        read_memory(tmp_path)


@pytest.mark.parametrize(
    ("name", "clip"),
    [
        ("C04", "C04"), ("c04 take 2", "C04"), ("C4", "C04"), ("C04-2", "C04"), ("low-tide_C05.1_v3", "C05.1"),
        ("C05_2", "C05.2"), ("C04A final", "C04A"), ("C99", None), ("voice", None), ("C04 and C05.1", None),
        ("mac04", None), ("", None),
    ],
)  # fmt: skip
def test_a_clips_id_is_found_in_a_files_name(name: str, clip: str | None) -> None:
    assert clip_in_name(name, ["C04", "C04A", "C05.1", "C05.2"]) == clip


def test_hidden_and_foreign_files_are_no_deliveries(tmp_path: Path) -> None:
    (tmp_path / "clips" / "day 1").mkdir(parents=True)
    for name in (".C01.mp4", "C01.txt", "day 1/C02.mov"):
        (tmp_path / "clips" / name).touch()
    assert [(f.name, f.clip) for f in delivered_files(tmp_path, ["C01", "C02"])] == [("clips/day 1/C02.mov", "C02")]


# --- a line's words are what is spoken --------------------------------------------------------------------


def accepted(tmp_path: Path) -> Plan:
    """A plan of which C03 came back and was accepted by a person."""
    plan = small_plan()
    (tmp_path / "clips").mkdir()
    (tmp_path / "clips" / "C03.mp4").write_text("one")
    remember(plan, tmp_path)
    path = tmp_path / FILE_NAME
    path.write_text(path.read_text().replace("[C03]\n", '[C03]\naccepted = "C03.mp4"  # Ada likes it\n'))
    remember(plan, tmp_path)
    return plan


@pytest.mark.parametrize("rewrite", [str.upper, str.lower, lambda t: f"“{t.replace('.', '')}” -", lambda t: f"{t}..."])
def test_capitals_and_punctuation_do_not_make_an_accepted_clip_outdated(tmp_path: Path, rewrite) -> None:
    plan = accepted(tmp_path)
    text = plan.clips[2].text
    rewritten = changed(plan, "C03", rewrite(text))
    assert remember(rewritten, tmp_path).again == ()
    memory = read_memory(tmp_path)
    assert memory.accepted(rewritten) == {"C03": "C03.mp4"}
    assert memory.outdated(rewritten)["C03"] == frozenset()


def test_words_put_back_bring_their_clip_and_its_acceptance_back(tmp_path: Path) -> None:
    plan = accepted(tmp_path)
    before = (tmp_path / FILE_NAME).read_text()
    other = changed(plan, "C03", "Entirely other words.")
    assert remember(other, tmp_path).again == ("C03",)
    assert read_memory(tmp_path).accepted(other) == {}
    assert read_memory(tmp_path).outdated(other)["C03"] == {*read_memory(tmp_path).clips["C03"].contents}
    assert remember(plan, tmp_path).again == ()
    assert read_memory(tmp_path).accepted(plan) == {"C03": "C03.mp4"}
    assert read_memory(tmp_path).outdated(plan)["C03"] == frozenset()
    assert read_memory(tmp_path).clips["C03"].state == "accepted"
    assert before.count("C03.mp4") == (tmp_path / FILE_NAME).read_text().count("C03.mp4")


def test_a_clip_that_leaves_the_script_comes_back_as_it_was(tmp_path: Path) -> None:
    plan = accepted(tmp_path)
    before = read_memory(tmp_path).clips["C03"]
    remember(replace(plan, clips=plan.clips[:2]), tmp_path)
    assert read_memory(tmp_path).clips["C03"].state == "dropped"
    remember(plan, tmp_path)
    assert read_memory(tmp_path).clips["C03"] == before


def test_what_a_person_dropped_is_not_asked_for(tmp_path: Path) -> None:
    plan = small_plan()
    remember(plan, tmp_path)
    path = tmp_path / FILE_NAME
    path.write_text(path.read_text().replace('[C02]\nstate = "asked"', '[C02]\nstate = "dropped"'))
    for _ in range(2):
        changes = remember(plan, tmp_path)
        assert "C02" not in (*changes.new, *changes.again, *changes.open)
    assert read_memory(tmp_path).clips["C02"].state == "dropped"


def test_a_changed_direction_asks_for_nothing_again(tmp_path: Path) -> None:
    plan = accepted(tmp_path)
    lines = tuple(replace(n, directions=("whispered",)) if n.id == plan.clips[2].line else n for n in plan.lines)
    whispered = replace(plan, lines=lines)
    assert remember(whispered, tmp_path).again == ()
    assert read_memory(tmp_path).clips["C03"].directions == ()


def test_comments_order_and_own_keys_stay(tmp_path: Path) -> None:
    plan = small_plan()
    remember(replace(plan, clips=plan.clips[2:]), tmp_path)
    path = tmp_path / FILE_NAME
    text = path.read_text().replace('[C03]\nstate = "asked"', '# hard\n[C03]\nwho = "Ada"\nstate = "asked"  # urgent')
    path.write_text(text + "\n[ours]\nmoon = 3\n# the end\n")
    (tmp_path / "clips").mkdir()
    (tmp_path / "clips" / "C03.mp4").write_text("one")
    remember(plan, tmp_path)
    after = path.read_text()
    assert '# hard\n[C03]\nwho = "Ada"\nstate = "delivered"  # urgent\n' in after
    assert after.endswith("\n[ours]\nmoon = 3\n# the end\n")
    assert [line for line in after.split("\n") if line.startswith("[")] == [
        "[C01]",
        "[C02]",
        "[C03]",
        "[C04]",
        "[ours]",
    ]
    remember(plan, tmp_path)
    assert path.read_text() == after


def test_a_file_of_an_earlier_version_is_taken_over(tmp_path: Path) -> None:
    plan = small_plan()
    clip = plan.clips[2]
    facts = [clip.kind.value, clip.speaker, clip.text, clip.part, clip.profile, [plan.line(clip.line).directions]]
    request = hashlib.sha256(json.dumps(facts, ensure_ascii=False).encode()).hexdigest()[:8]
    text = f'[C03]\nstate = "delivered"\nrequest = "{request}"\nask_s = 4\ngenerated_s = 8\n'
    text += 'files = { "clips/C03.mp4" = "1f3a9c02", "clips/old.mp4" = "00000000" }\noutdated = ["00000000"]\n'
    (tmp_path / FILE_NAME).write_text(text)
    assert read_memory(tmp_path).outdated(plan)["C03"] == {"00000000"}
    changes = remember(plan, tmp_path)
    assert "C03" not in (*changes.new, *changes.again)
    entry = read_memory(tmp_path).clips["C03"]
    assert (entry.state, dict(entry.files), entry.generated) == ("delivered", {"clips/C03.mp4": "1f3a9c02"}, 8)
    assert read_memory(tmp_path).outdated(plan)["C03"] == {"00000000"}
    # Words that were changed while the earlier version was away are known by its hash when they are put back.
    (tmp_path / FILE_NAME).write_text(text)
    other = changed(plan, "C03", "Entirely other words.")
    assert remember(other, tmp_path).again == ("C03",)
    assert remember(plan, tmp_path).again == ()
    assert read_memory(tmp_path).clips["C03"].state == "delivered"


def test_a_renamed_file_is_still_the_accepted_one_and_no_second_take(tmp_path: Path) -> None:
    plan = accepted(tmp_path)
    (tmp_path / "clips" / "C03.mp4").rename(tmp_path / "clips" / "c03 best.mp4")
    files = delivered_files(tmp_path, [clip.id for clip in plan.clips])
    remember(plan, tmp_path)
    assert read_memory(tmp_path).chosen(plan, files) == {"C03": "clips/c03 best.mp4"}
    assert read_memory(tmp_path).clips["C03"].generated == plan.clips[2].ask


def test_a_table_for_a_clip_that_never_was_is_a_slip(tmp_path: Path) -> None:
    plan = small_plan()
    (tmp_path / FILE_NAME).write_text('# ours\n[C33]\naccepted = "x.mp4"\n')
    with pytest.raises(SettingsError, match=r"toml:2: there is no clip C33 in the script; did you mean C03"):
        check_names(read_memory(tmp_path), plan, tmp_path)


def test_two_runs_at_once_lose_nothing(tmp_path: Path) -> None:
    plan = small_plan()
    runs = [
        threading.Thread(target=remember, args=(replace(plan, clips=plan.clips[n : n + 1]), tmp_path))
        for n in (0, 1, 2, 3) * 3
    ]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    assert list(read_memory(tmp_path).clips) == ["C01", "C02", "C03", "C04"]
    assert {entry.wording for entry in read_memory(tmp_path).clips.values()} == {
        replace(wording_of(plan, clip), old="") for clip in plan.clips
    }


def test_takes_are_in_the_order_that_people_count_in(tmp_path: Path) -> None:
    (tmp_path / "clips").mkdir()
    for number in (10, 2, 1):
        (tmp_path / "clips" / f"C03 take {number}.mp4").write_text(str(number))
    names = [file.name for file in delivered_files(tmp_path, ["C03"])]
    assert names == ["clips/C03 take 1.mp4", "clips/C03 take 2.mp4", "clips/C03 take 10.mp4"]


def test_a_clip_that_lies_there_before_the_first_run_is_not_asked_for(tmp_path):
    plan = plan_source(_one_line(tmp_path))
    memory, changes = update_memory(Memory(), plan, {"C01": {"clips/C01.mp4": "ab12cd34"}})
    assert (changes.new, memory.clips["C01"].state) == ((), "delivered")
    assert update_memory(Memory(), plan)[1].new == ("C01",)


def _one_line(folder):
    (folder / "script.txt").write_text("TANSY: The sea is here!\n", "utf-8")
    return folder / "script.txt"


def test_an_accepted_file_is_meant_also_when_another_comes_back_under_the_name_that_it_had(tmp_path):
    plan = plan_source(_one_line(tmp_path))
    memory, _ = update_memory(Memory(), plan, {"C01": {"clips/C01 take 9.mp4": "aaaa"}})
    accepted = replace(memory.clips["C01"], accepted="C01 take 9.mp4")
    renamed, _ = update_memory(Memory({"C01": accepted}), plan, {"C01": {"clips/C01 x.mp4": "aaaa"}})
    assert renamed.clips["C01"].accepted == "C01 take 9.mp4"  # a rename alone leaves the person's word as it is
    both = {"C01": {"clips/C01 x.mp4": "aaaa", "clips/C01 take 9.mp4": "bbbb"}}
    after, _ = update_memory(renamed, plan, both)
    assert after.clips["C01"].accepted == "clips/C01 x.mp4"
    # Overwritten under its name, with the old file gone, the name is all there is.
    over, _ = update_memory(renamed, plan, {"C01": {"clips/C01 take 9.mp4": "bbbb"}})
    assert over.clips["C01"].accepted == "C01 take 9.mp4"


def test_a_take_that_a_person_accepts_makes_its_clip_accepted_whatever_state_stood_there(tmp_path):
    plan = plan_source(_one_line(tmp_path))
    memory, _ = update_memory(Memory(), plan, {"C01": {"clips/C01.mp4": "aaaa"}})
    assert memory.clips["C01"].state == "delivered"
    chosen = Memory({"C01": replace(memory.clips["C01"], accepted="C01.mp4")})
    after, _ = update_memory(chosen, plan, {"C01": {"clips/C01.mp4": "aaaa"}})
    assert (after.clips["C01"].state, after.clips["C01"].accepted) == ("accepted", "C01.mp4")
    gone, _ = update_memory(chosen, plan, {})  # the file is not there: nothing can be said of it
    assert gone.clips["C01"].state == "delivered"
