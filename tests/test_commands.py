"""The commands as a person types them, mistakes included."""

import itertools
import json
import os
import re
import shutil
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from tests.export.clients import CLIENTS
from timing.cli import COMMANDS, cli

ROOT = Path(__file__).parent.parent
SCHEMA = json.loads((ROOT / "timing" / "model" / "plan.schema.json").read_text("utf-8"))

FORTY = "\n".join(
    f"{'TANSY' if n % 2 else 'BRAM'}: {text}"
    for n, text in enumerate(
        [
            "Where does the sea go?",
            "It goes out and it comes back in.",
            "Hold on to your shell!",
            "The moon pulls it.",
        ]
        * 10
    )
)
PORTUGUESE = """TANSY: Para onde vai o mar?
BRAM: O mar vai passear e volta na hora do lanche.
TANSY: A lua não tem braços!
"""


@pytest.fixture
def run():
    runner = CliRunner()

    def call(*arguments, code=0):
        done = runner.invoke(cli, [str(a) for a in arguments], catch_exceptions=False)
        assert done.exit_code == code, done.output
        return done

    return call


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "low-tide"
    done = CliRunner().invoke(cli, ["demo", str(folder)], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return folder


def test_every_command_has_help_and_stands_in_the_readme(run):
    readme = (ROOT / "README.md").read_text("utf-8")
    for name in COMMANDS:
        assert f"`timing {name}" in readme
        if (ROOT / "timing" / "commands" / f"{name}.py").exists():
            assert "Usage:" in run(name, "--help").output


def test_demo_writes_a_plan_that_keeps_its_schema(demo):
    plan = json.loads((demo / "out" / "plan.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(SCHEMA).validate(plan)
    assert {line["kind"] for line in plan["lines"]} == {"spoken", "sung", "picture"}
    assert any(len(c["part"]) == 2 and c["part"][1] > 1 for c in plan["clips"])


@pytest.mark.parametrize("client", CLIENTS, ids=lambda client: f"{client.file} {client.package or client.module}")
def test_independent_libraries_read_what_is_written_and_agree_with_the_plan(demo, client):
    if not client.is_there:
        pytest.skip(f"{client.package} is not installed")
    assert client.check(demo / "out", json.loads((demo / "out" / "plan.json").read_text("utf-8")))


def test_syllables_of_the_plan_join_to_words_and_lie_in_order(demo):
    plan = json.loads((demo / "out" / "plan.json").read_text("utf-8"))
    for line in plan["lines"]:
        syllables = [s for w in line["words"] for s in w["syllables"]]
        for word in line["words"]:
            assert "".join(s["text"] for s in word["syllables"]) == word["text"]
        for before, after in itertools.pairwise(syllables):
            assert before["end_s"] <= after["start_s"] + 1e-6
            assert before["end_frame"] <= after["start_frame"]
        assert all(s["end_frame"] > s["start_frame"] for s in syllables)
        if syllables:
            assert (line["start_frame"], line["end_frame"]) == (
                syllables[0]["start_frame"],
                syllables[-1]["end_frame"],
            )


def test_clips_hold_every_word_once_and_their_sums_are_the_totals(demo):
    plan = json.loads((demo / "out" / "plan.json").read_text("utf-8"))
    lines = {line["id"]: line for line in plan["lines"]}
    for line_id, line in lines.items():
        parts = [c for c in plan["clips"] if c["line"] == line_id and c["kind"] != "picture"]
        if line["words"]:
            assert " ".join(w["text"] for w in line["words"]).split() == " ".join(c["text"] for c in parts).split()
    for clip in plan["clips"]:
        if clip["ask_s"] is not None:
            assert clip["ask_s"] >= clip["need_s"] - 1e-6
            assert clip["slack_s"] == pytest.approx(clip["ask_s"] - clip["need_s"], abs=2e-6)
    totals = plan["totals"]
    assert totals["ask_s"] == pytest.approx(sum(c["ask_s"] or 0 for c in plan["clips"]))
    assert totals["generate_s"] == pytest.approx(sum((c["ask_s"] or 0) * c["takes"] for c in plan["clips"]))
    assert totals["speech_s"] == pytest.approx(sum(c["speech_s"] for c in plan["clips"]), abs=1e-4)


def test_same_input_gives_the_same_bytes(demo, tmp_path, run):
    copy = tmp_path / "again"
    shutil.copytree(demo, copy, ignore=shutil.ignore_patterns("out", "lines.toml", "clips.toml", "generated.csv"))
    run("sheet", copy)
    for name in ("sheets.pdf", "plan.json", "clips.csv", "lines.csv"):
        assert (copy / "out" / name).read_bytes() == (demo / "out" / name).read_bytes(), name


def test_where_an_episode_lies_does_not_show_in_its_plan(tmp_path, run):
    written = []
    for above in ("here", "there/deeper"):
        folder = tmp_path / above / "low-tide"
        (folder / "clips").mkdir(parents=True)
        (folder / "script.txt").write_text(
            "TANSY: Wait!\n\n[[pasue 1 s]]\n\nBRAM: Where does the sea go?\n\nTANSY: 7?\n"
        )
        (folder / "episode.toml").write_text("[cast.TANYS]\n[takes]\n1 = 'recordings/none.wav'\n")
        run("sheet", folder)
        (folder / "clips.toml").write_text(
            (folder / "clips.toml").read_text().replace("[C01]", "[C01]\naccepted = 'C01 gone.mp4'")
        )
        run("sheet", folder)
        written.append((folder / "out" / "plan.json").read_bytes())
    assert written[0] == written[1]
    plan = json.loads(written[0])
    found = [*plan["findings"], *(f for line in plan["lines"] for f in line["findings"])]
    places = {f["where"] for f in found if "where" in f}
    assert {"episode.toml", "clips.toml"} <= places
    assert any(p.startswith("script.txt:") for p in places)


def test_the_table_of_lines_fits_80_columns(demo, run):
    rows = run("lines", demo).stdout.splitlines()
    assert len(rows) > 20
    assert max(map(len, rows)) <= 80


def test_what_the_example_brings_as_heard_is_what_is_heard(tmp_path, run):
    from timing.pipeline import plan_source
    from timing.plain.resources import example_files, example_heard

    for name, content in example_files().items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(content)
    plan = plan_source(tmp_path)
    # examples/make_audio.py had the script's very words said: whoever hears others in them is wrong.
    found = {f.code for line in plan.lines for f in line.findings}
    assert not found & {"not-said", "said-differently", "extra-words"}
    heard = {p.name: p.read_bytes() for p in (tmp_path / "out" / ".store").glob("*.json")}
    kept = example_heard()
    kinds = {name.rpartition("-")[0] for name in kept}
    assert kinds == {"sound", "own-line", "all-lines", "reading"}
    assert {name: content for name, content in heard.items() if name.rpartition("-")[0] in kinds} == kept


def test_rerun_after_an_edit_keeps_ids(demo, tmp_path, run):
    copy = tmp_path / "edited"
    shutil.copytree(demo, copy)
    script = copy / "script.fountain"
    script.write_text(
        script.read_text("utf-8").replace(
            "TANSY\nThe moon has no arms.", "TANSY\nWhat moon?\n\nTANSY\nThe moon has no arms."
        ),
        "utf-8",
    )
    before = {n["id"]: n["text"] for n in json.loads((copy / "out" / "plan.json").read_text("utf-8"))["lines"]}
    run("sheet", copy)
    after = {n["id"]: n["text"] for n in json.loads((copy / "out" / "plan.json").read_text("utf-8"))["lines"]}
    assert {k: after[k] for k in before} == before
    assert after["5A"] == "What moon?"


def test_a_file_of_the_users_is_never_overwritten(tmp_path, run):
    script = tmp_path / "tide.txt"
    script.write_text("TANSY: Where does the sea go?\n", "utf-8")
    out = tmp_path / "tide-out"
    out.mkdir()
    (out / "lines.csv").write_text("mine", "utf-8")
    done = run("sheet", script, code=1)
    assert "--force" in done.stderr
    assert {p.name for p in out.iterdir() if p.name[0] != "."} == {"lines.csv", "lines.toml"}  # line numbers are kept
    assert (out / "lines.csv").read_text("utf-8") == "mine"
    run("sheet", script, "--force")
    assert (out / "lines.csv").read_text("utf-8-sig").startswith("line,")


def test_a_script_of_forty_lines_and_one_in_portuguese(tmp_path, run):
    (tmp_path / "forty.txt").write_text(FORTY, "utf-8")
    run("sheet", tmp_path / "forty.txt")
    plan = json.loads((tmp_path / "forty-out" / "plan.json").read_text("utf-8"))
    assert len(plan["lines"]) == 40
    episode = tmp_path / "mar"
    episode.mkdir()
    (episode / "episode.toml").write_text('language = "pt_BR"\n', "utf-8")
    (episode / "script.txt").write_text(PORTUGUESE, "utf-8")
    run("sheet", episode, "--paper", "letter")
    plan = json.loads((episode / "out" / "plan.json").read_text("utf-8"))
    assert plan["episode"]["language"] == "pt_BR"
    assert len(plan["lines"]) == 3


def test_a_language_may_be_written_as_a_name_and_an_unknown_one_is_told_with_its_file(tmp_path, run):
    (tmp_path / "script.txt").write_text(PORTUGUESE, "utf-8")
    for written, code in (("Portuguese", "pt_BR"), ("pt-br", "pt_BR"), ("German", "de_DE")):
        (tmp_path / "episode.toml").write_text(f'language = "{written}"\n', "utf-8")
        run("sheet", tmp_path)
        plan = json.loads((tmp_path / "out" / "plan.json").read_text("utf-8"))
        assert plan["episode"]["language"] == code
    (tmp_path / "episode.toml").write_text('language = "Portugese"\n', "utf-8")
    error = run("lines", tmp_path, code=2).stderr
    assert "episode.toml: language:" in error
    assert "did you mean pt_" in error


def test_new_starts_a_folder_that_sheet_accepts_and_never_replaces_it(tmp_path, run):
    run("new", tmp_path / "mine")
    run("sheet", tmp_path / "mine")
    assert (tmp_path / "mine" / "out" / "sheets.pdf").read_bytes().startswith(b"%PDF")
    done = run("new", tmp_path / "mine", code=1)
    assert "exists already" in done.stderr


def test_say_tells_seconds_what_to_ask_for_and_where_to_cut(run):
    short = run("say", "Good", "night,", "sea.").stdout
    assert re.search(r"\d\.\d s \(\d\.\d to \d\.\d\)", short)
    assert "ask for 3 s" in short
    long = run("say", "The water goes out, and the water comes in, and nobody ever asks it why, " * 3).stdout
    assert "cut here:" in long
    assert "syllables" in long
    as_json = json.loads(run("say", "--json", "Good night, sea.").stdout)
    assert as_json["clips"][0]["ask_s"] == 3


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["shet", "x"], 'did you mean "sheet"'),
        (["lines", "no-such-folder"], "no such file"),
        (["say", "..."], "no word to say"),
        (["say", "hello", "--lengths", ""], "--lengths"),
        (["say", "hello", "--lengths", "-3,5"], "--lengths"),
        (["say", "hello", "--rate", "0"], "frame rate"),
        (["say", "hello", "--language", "klingonish"], "language"),
        (["say", "hello", "--delivery", "sung"], "delivery"),
        (["sheet", "examples/low-tide", "--parts", "frmaes"], "no part"),
        (["new"], "DIR"),
    ],
)
def test_mistakes_get_one_sentence_and_exit_code_2(run, arguments, words):
    done = run(*arguments, code=2)
    assert words in done.stderr
    assert "Traceback" not in done.output


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.txt", b""),
        ("action.fountain", b"The sea goes out.\n"),
        ("speaker.fountain", b"TANSY\n\n"),
        ("latin.txt", "TANSY: Où est la mer, café ?".encode("cp1252")),
        ("utf16.txt", "TANSY: Where is the sea?".encode("utf-16")),
        ("emoji.txt", "TANSY: 🦀🌊 wow!\nBRAM: שלום עולם\nTANSY: 🦀\n".encode()),
        ("binary.txt", bytes(range(256)) * 20),
        ("long.txt", b"TANSY: " + b"sea and moon, " * 150_000),
        ("null.txt", b"TANSY: sea\0moon\n"),
    ],
)
def test_odd_scripts_end_in_work_done_or_one_sentence(tmp_path, name, content):
    path = tmp_path / name
    path.write_bytes(content)
    done = CliRunner().invoke(cli, ["lines", str(path)])
    assert done.exit_code in (0, 2), done.output
    assert done.exception is None or isinstance(done.exception, SystemExit)
    if done.exit_code == 2:
        assert name in done.stderr
        assert len(done.stderr.strip().splitlines()) <= 3


@pytest.mark.parametrize(
    ("toml", "words"),
    [
        ("rate = 0", "rate"),
        ("rtae = 24", "rate"),
        ("[profile.x]\nlengths = []", "lengths"),
        ("[profile.x]\nlengths = [-3]", "length"),
        ("[profile.x]\nlengths = [3]\nhead_s = 2\ntail_s = 2", "head"),
        ("title = ", "episode.toml:1"),
    ],
)
def test_bad_settings_name_the_file_and_keep_the_outputs(tmp_path, run, toml, words):
    (tmp_path / "script.txt").write_text("TANSY: Where does the sea go?\n", "utf-8")
    run("sheet", tmp_path)
    before = {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir() if p.is_file()}
    (tmp_path / "episode.toml").write_text(toml, "utf-8")
    done = run("sheet", tmp_path, code=2)
    assert words in done.stderr
    assert "episode.toml" in done.stderr
    assert {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir() if p.is_file()} == before


def test_unsorted_menus_are_sorted(tmp_path, run):
    (tmp_path / "script.txt").write_text("TANSY: Where does the sea go?\n", "utf-8")
    (tmp_path / "episode.toml").write_text("[profile.x]\nlengths = [8, 3, 5, 3]\n", "utf-8")
    plan = json.loads(run("lines", tmp_path, "--json").stdout)
    assert plan["clips"][0]["ask_s"] == 3


@pytest.mark.parametrize("content", [b"", b"RIFF", b"RIFF\x24\x00\x00\x00WAVEfmt ", b"not sound at all" * 99])
def test_broken_recordings_are_findings_and_the_work_goes_on(tmp_path, run, content):
    (tmp_path / "script.txt").write_text("TANSY: Where does the sea go?\n", "utf-8")
    (tmp_path / "recordings").mkdir()
    (tmp_path / "recordings" / "1.wav").write_bytes(content)
    done = run("lines", tmp_path)
    assert "1.wav" in done.stderr
    assert run("lines", tmp_path, "--strict", code=1)


def test_a_script_name_with_odd_characters(tmp_path, run):
    path = tmp_path / "maré — 1 (últimas).txt"
    path.write_text("TANSY: Where does the sea go?\n", "utf-8")
    run("sheet", path)
    assert (tmp_path / "maré — 1 (últimas)-out" / "sheets.pdf").exists()


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="the administrator may write everywhere")
def test_a_read_only_folder_is_named(tmp_path, run):
    path = tmp_path / "tide.txt"
    path.write_text("TANSY: Where does the sea go?\n", "utf-8")
    tmp_path.chmod(0o500)
    try:
        assert str(tmp_path) in run("sheet", path, code=1).stderr
    finally:
        tmp_path.chmod(0o700)


@pytest.mark.parametrize(
    ("toml", "words"),
    [
        ('[song.a]\nfile = "C:\\Users\\me\\a.mp3"', '"/"'),
        ('[song.a]\nfile = "songs\\my.mp3"', '"/"'),
        ('[song.a]\nfile = "songs\\tide.mp3"', "backslash"),
    ],
)
def test_windows_paths_in_quotes_are_explained(tmp_path, run, toml, words):
    (tmp_path / "script.txt").write_text("TANSY: Where does the sea go?\n", "utf-8")
    (tmp_path / "episode.toml").write_text(toml, "utf-8")
    done = run("lines", tmp_path, code=2)
    assert "episode.toml:2" in done.stderr
    assert words in done.stderr


def test_backslashes_in_plain_quotes_are_slashes(tmp_path):
    from timing.script.episode import parse_episode

    assert parse_episode("[song.a]\nfile = 'songs\\a.mp3'", "episode.toml").songs["a"].file == "songs/a.mp3"


def test_what_say_leaves_out_in_brackets_is_told(run):
    assert "said (quietly)" in run("say", "Look (quietly) at that.").stdout
    assert "speaker's name" in run("say", "CRAB: Look at that.").stdout
    paused, plain = (
        float(run("say", f"One {pause}two").stdout.split("\n")[1].split(" ")[0]) for pause in ("[[pause 2 s]] ", "")
    )
    assert 1.7 < paused - plain < 2.3
    assert "brackets" in run("say", "(beat)", code=2).stderr


@pytest.mark.parametrize("name", ["script.docx", "scirpt.text", "script"])
def test_a_folder_without_script_names_what_may_be_one(tmp_path, run, name):
    (tmp_path / name).write_bytes(b"TANSY: Where does the sea go?\n")
    assert name in run("lines", tmp_path, code=2).stderr


@pytest.mark.parametrize("name", ["con", "nul", "aux", "lpt1"])
def test_names_that_windows_keeps_make_no_file_of_that_name(tmp_path, run, name):
    # Microsoft, "Naming Files, Paths, and Namespaces": these names are reserved whatever the ending
    (tmp_path / "script.txt").write_text(f"{name.upper()}: Where does it go?\n[[song {name}]]\n~ Out and in\n", "utf-8")
    (tmp_path / "episode.toml").write_text(f'[song.{name}]\nbpm = 96\nmetre = "4/4"\n', "utf-8")
    run("sheet", tmp_path)
    stems = {p.name.split(".")[0].casefold() for p in (tmp_path / "out").rglob("*")}
    assert name not in stems


def test_very_long_names_and_another_working_folder(tmp_path, run, monkeypatch):
    folder = tmp_path / ("sea " * 50)
    folder.mkdir()
    speaker = "A" * 60
    (folder / "script.txt").write_text(f"{speaker}: Where does the sea go?\n", "utf-8")
    monkeypatch.chdir(tmp_path)
    run("sheet", folder.name)
    assert (folder / "out" / "sheets.pdf").exists()
    long = folder / ("b" * 240 + ".txt")
    long.write_text("TANSY: Where does the sea go?\n", "utf-8")
    done = CliRunner().invoke(cli, ["sheet", str(long)])
    assert done.exit_code in (0, 1)
    assert done.exit_code == 0 or "cannot be written" in done.stderr


@pytest.mark.parametrize(("word", "hint"), [("brisk", "0.9"), ("slow", 'delivery = "slow"')])
def test_a_pace_in_words_is_told_what_to_write(tmp_path, run, word, hint):
    (tmp_path / "script.txt").write_text("TANSY: Where does the sea go?\n", "utf-8")
    (tmp_path / "episode.toml").write_text(f'[cast.TANSY]\npace = "{word}"\n', "utf-8")
    assert hint in run("lines", tmp_path, code=2).stderr
