"""Line ids lie in the episode folder, outlive everything that is thrown away, and are never replaced by nothing."""

from __future__ import annotations

import json
import shutil
import threading
from pathlib import Path

import pytest

from timing.memory.line_ids import KnownLine
from timing.memory.lines_toml import FILE_NAME, lines_text, number_lines, read_lines
from timing.pipeline import make_plan, write_plan
from timing.plain.errors import SettingsError
from timing.script.source import open_source

SEA = ["Where does the sea go?", "The moon pulls it.", "It comes back at tea time.", "Listen to the pebbles hum."]
NEW = "Hold on to your shell, Bram!"


def spoken(*texts: str) -> list[KnownLine]:
    return [KnownLine("spoken", "TANSY", text) for text in texts]


def number(folder: Path, *texts: str) -> list[str]:
    return number_lines(folder, spoken(*texts), keep=True)[0]


def script(folder: Path, texts: list[str], name: str = "script.txt") -> Path:
    folder.mkdir(exist_ok=True)
    (folder / name).write_text("".join(f"TANSY: {text}\n\n" for text in texts), "utf-8")
    return folder / name


def sheet(source: Path, out: Path | None = None) -> list[str]:
    """Do what ``timing sheet`` does and return the ids."""
    opened = open_source(source)
    made = make_plan(opened, out, keep_ids=True)
    write_plan(made.plan, out or opened.default_out, opened.folder, made.previous)
    return [line.id for line in made.plan.lines]


@pytest.fixture
def edited(tmp_path: Path) -> Path:
    """An episode planned once, into which a line was then inserted and planned again."""
    folder = tmp_path / "low-tide"
    script(folder, SEA)
    assert sheet(folder) == ["1", "2", "3", "4"]
    script(folder, [SEA[0], NEW, *SEA[1:]])
    assert sheet(folder) == ["1", "1A", "2", "3", "4"]
    return folder


def test_ids_stay_when_the_output_folder_is_deleted(edited: Path) -> None:
    shutil.rmtree(edited / "out")
    assert sheet(edited) == ["1", "1A", "2", "3", "4"]


def test_ids_stay_when_results_go_elsewhere(edited: Path, tmp_path: Path) -> None:
    assert sheet(edited, tmp_path / "elsewhere") == ["1", "1A", "2", "3", "4"]


@pytest.mark.parametrize("content", ["", "{", '{"timing_plan": 7}', '{"timing_plan": 1, "lines": 3}'])
def test_a_damaged_or_other_plan_changes_no_id(edited: Path, content: str) -> None:
    (edited / "out" / "plan.json").write_text(content)
    assert [line.id for line in make_plan(open_source(edited)).plan.lines] == ["1", "1A", "2", "3", "4"]


def test_the_memory_of_a_lone_script_lies_in_its_own_results_even_when_o_names_others(tmp_path: Path) -> None:
    source = script(tmp_path, SEA, "tide.txt")
    assert sheet(source, tmp_path / "a") == ["1", "2", "3", "4"]
    script(tmp_path, [SEA[0], NEW, *SEA[1:]], "tide.txt")
    assert sheet(source, tmp_path / "b") == ["1", "1A", "2", "3", "4"]
    assert sheet(source, tmp_path / "c") == ["1", "1A", "2", "3", "4"]
    assert (tmp_path / "tide-out" / FILE_NAME).is_file()


def test_an_episode_whose_ids_lie_only_in_its_plan_is_taken_over(edited: Path) -> None:
    (edited / FILE_NAME).unlink()
    script(edited, [SEA[0], NEW, SEA[1], SEA[3]])
    assert sheet(edited) == ["1", "1A", "2", "4"]
    shutil.rmtree(edited / "out")
    script(edited, [SEA[0], NEW, SEA[1], SEA[3], "Good night, everyone in the pool."])
    assert sheet(edited) == ["1", "1A", "2", "4", "5"]


@pytest.mark.parametrize("content", ["{", '{"timing_plan": 7}', "[]"])
def test_an_old_episodes_damaged_plan_is_not_taken_for_nothing(edited: Path, content: str) -> None:
    (edited / FILE_NAME).unlink()
    (edited / "out" / "plan.json").write_text(content)
    with pytest.raises(SettingsError, match=r"plan\.json: .*the line numbers lie nowhere else"):
        make_plan(open_source(edited), keep_ids=True)
    assert not (edited / FILE_NAME).exists()


def test_words_put_back_get_their_id_back(tmp_path: Path) -> None:
    number(tmp_path, *SEA)
    assert number(tmp_path, SEA[0], *SEA[2:]) == ["1", "3", "4"]
    assert number(tmp_path, SEA[0], NEW, *SEA[2:]) == ["1", "1A", "3", "4"]
    assert number(tmp_path, *SEA) == ["1", "2", "3", "4"]
    # Reworded step by step until nothing is left of it, then put back.
    steps = ["The moon pulls it away.", "The pulls away water.", "Away water crab shell."]
    assert [number(tmp_path, SEA[0], step, *SEA[2:])[1] for step in steps] == ["2", "2", "2"]
    assert number(tmp_path, *SEA) == ["1", "2", "3", "4"]


def test_lines_of_the_same_words_come_back_in_their_places(tmp_path: Path) -> None:
    la = "La la la."
    number(tmp_path, la, SEA[0], la, SEA[1], la)
    assert number(tmp_path, SEA[0], SEA[1]) == ["2", "4"]
    assert number(tmp_path, SEA[0], la, SEA[1]) == ["2", "3", "4"]
    assert number(tmp_path, la, SEA[0], la, SEA[1], la) == ["1", "2", "3", "4", "5"]


def test_a_row_a_line_in_the_scripts_order_and_nothing_changes_without_cause(tmp_path: Path) -> None:
    number(tmp_path, SEA[0], SEA[1])
    number(tmp_path, "Where does the big sea go?", NEW)
    text = (tmp_path / FILE_NAME).read_text("utf-8")
    assert text.split("\n\n", 1)[1] == (
        '[lines]\n1 = { speaker = "TANSY", text = "Where does the big sea go?", was = ["Where does the sea go?"] }\n'
        '3 = { speaker = "TANSY", text = "Hold on to your shell, Bram!" }\n\n'
        '[gone]\n2 = { speaker = "TANSY", text = "The moon pulls it." }\n'
    )
    changed = (tmp_path / FILE_NAME).stat().st_mtime_ns
    number(tmp_path, "Where does the big sea go?", NEW)
    assert (tmp_path / FILE_NAME).stat().st_mtime_ns == changed
    assert lines_text(read_lines(tmp_path)) == text


def test_what_people_wrote_into_the_file_stays(tmp_path: Path) -> None:
    number(tmp_path, *SEA)
    path = tmp_path / FILE_NAME
    text = path.read_text("utf-8")
    text = text.replace("2 = {", "# the hard one\n2 = {").replace('it." }', 'it.", for = ["Ada"] }  # ask her')
    path.write_text("# Our numbers.\n\n" + text + "\n# the end\n\n[ours]\nmoon = 3\n", "utf-8")
    assert number(tmp_path, SEA[0], SEA[1], NEW, SEA[2]) == ["1", "2", "2A", "3"]
    after = path.read_text("utf-8")
    assert '# the hard one\n2 = { speaker = "TANSY", text = "The moon pulls it.", for = ["Ada"] }  # ask her\n' in after
    assert after.startswith("# Our numbers.")
    assert after.endswith("\n\n# the end\n[ours]\nmoon = 3\n")
    assert number(tmp_path, SEA[0], SEA[1], NEW, SEA[2]) == ["1", "2", "2A", "3"]
    assert path.read_text("utf-8") == after


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", r"lines\.toml: has no table \[lines\]"),
        ("[lines", r"lines\.toml:1: not valid TOML"),
        ('[lines]\n1 = { text = "a" }\n1 = { text = "b" }\n', r"toml:3: line 1 stands on row 2 already; .* free number, 1A"),
        ('[lines]\n<<<<<<< ours\n1 = { text = "a" }\n', r"toml:2: a merge is not finished here"),
        ('[lines]\n1 = { txet = "a" }\n', 'toml:2: line 1: there is no key "txet"; did you mean "text"'),
        ('[lines]\n1 = { text = "a", kind = "spokn" }\n', 'no kind "spokn"; did you mean "spoken"'),
        ('[lines]\none = { text = "a" }\n', r'toml:2: "one" is no number of a line'),
        ("[lines]\n1 = 3\n", r"toml:2: line 1 is written"),
        ('[lines]\n1 = { text = "a", was = "b" }\n', "was is a list"),
        ("[lines]\n[gnoe]\n", 'no table "gnoe" here; did you mean gone'),
    ],
)  # fmt: skip
def test_a_memory_that_cannot_be_read_stops_the_run_and_stays(tmp_path: Path, text: str, message: str) -> None:
    (tmp_path / FILE_NAME).write_text(text)
    with pytest.raises(SettingsError, match=message):
        number(tmp_path, *SEA)
    assert (tmp_path / FILE_NAME).read_text() == text


def test_memory_in_another_encoding_stops_the_run(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes('[lines]\n1 = { text = "Où" }\n'.encode("latin-1"))
    with pytest.raises(SettingsError, match=r"toml:2: is not UTF-8"):
        number(tmp_path, *SEA)


def test_two_runs_at_once_give_no_id_twice(tmp_path: Path) -> None:
    number(tmp_path, *SEA)
    added = [f"Crab{n} waves{n} its{n} claw{n}." for n in range(8)]
    runs = [threading.Thread(target=number, args=(tmp_path, *SEA, text)) for text in added]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    memory = read_lines(tmp_path)
    ids = {line.text: line.id for line in (*memory.lines, *memory.gone)}
    assert len(set(ids.values())) == len(ids) == len(SEA) + len(added)


def test_the_numbers_that_a_plan_says_are_those_of_the_memory(edited: Path) -> None:
    script(edited, [SEA[0], *SEA[1:]])
    sheet(edited)
    plan = json.loads((edited / "out" / "plan.json").read_text())
    assert plan["retired_ids"] == ["1A"]
    assert [line.id for line in read_lines(edited).gone] == ["1A"]
