"""episode.toml: every key, every wrong value one sentence with file and line; the folder as a source."""

from __future__ import annotations

import contextlib
import re
from fractions import Fraction
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from timing.cli import cli
from timing.commands.sheet import command
from timing.model import LineKind, ScriptLine, Where
from timing.model.findings import FindingCode
from timing.model.settings import (
    DEFAULT_PROFILE,
    DELIVERIES,
    ClipProfile,
    EpisodeSettings,
    Gaps,
    SayEntry,
    SheetSettings,
)
from timing.plain.errors import ScriptError, SettingsError
from timing.script.episode import TEMPLATE, parse_episode, read_episode
from timing.script.source import open_source
from timing.script.template import SAMPLE

UNCOMMENTED = re.sub(r"(?m)^# (?=\[|[\w-]+ = )", "", TEMPLATE)


def test_the_template_as_written_changes_nothing() -> None:
    assert parse_episode(TEMPLATE, "episode.toml") == EpisodeSettings()


def test_the_template_without_comment_marks_sets_what_it_says() -> None:
    episode = parse_episode(UNCOMMENTED, "episode.toml")
    assert episode.title == "Where Does the Sea Go?"
    assert episode.delivery_rate is not None
    assert episode.delivery_rate.fps == 60
    assert episode.cast["TANSY"].pace == Fraction("1.1")
    assert episode.profile_of(ScriptLine(LineKind.SPOKEN, "Oh!", Where("s"), "Tansy")).lengths == (3, 5, 8)
    assert episode.profiles["wide"].lengths == tuple(Fraction(n, 2) for n in range(4, 21))
    song = episode.songs["out-and-in"]
    assert (song.bpm, song.metre, song.downbeat) == (96, (4, 4), Fraction("2.5"))
    assert episode.gaps == Gaps()
    assert episode.budget.seconds_a_month == 1800
    assert episode.say["plippering"] == SayEntry("plippering", ("plip", "per", "ing"), 0)
    assert episode.say["limpet"].phones == ("L", "IH1", "M", "P", "AH0", "T")
    assert episode.say["bram"].sounds_like == "bramm"
    assert episode.takes == {
        "12": "recordings/tansy-12-take3.wav",
        "14": "recordings/memo.m4a@41.5",
        "15": "recordings/memo.m4a@52.1-55.8",
    }
    assert episode.rest == {"8": (FindingCode.SAID_DIFFERENTLY,)}


def test_a_finding_that_nobody_knows_cannot_be_put_to_rest() -> None:
    with pytest.raises(SettingsError, match=r'e:2: rest.8: .*"said-diferently".*said-differently'):
        parse_episode('[rest]\n8 = ["said-diferently"]\n', "e")


def test_a_chosen_stretch_that_means_nothing_is_an_error_with_its_line() -> None:
    with pytest.raises(SettingsError, match=r"episode\.toml:3: takes\.8: \"@31-\" is no second and no stretch; write"):
        parse_episode('title = "T"\n[takes]\n8 = "memo.m4a@31-"\n', "episode.toml")


def test_the_template_shows_every_key_that_is_known() -> None:
    message = ""
    for table in ("", "[profile.x]\n", "[cast.X]\n", "[song.x]\n", "[gaps]\n", "[budget]\n", "[sheet]\n"):
        with pytest.raises(SettingsError) as caught:
            parse_episode(f"{table}qqqqqq = 1", "e")
        message += caught.value.message.split("known are: ")[1] + ", "
    known = set(message.split(", ")) - {
        "",
        "profile",
        "cast",
        "song",
        "gaps",
        "budget",
        "sheet",
        "say",
        "takes",
        "rest",
    }
    assert [key for key in sorted(known) if not re.search(rf"(?m)^# {key} = ", TEMPLATE)] == []


def test_the_template_names_what_is_allowed() -> None:
    """The numbers are those that the command takes and the sheets use."""
    rows = next(option for option in command.params if option.name == "rows").type
    assert isinstance(rows, click.IntRange)
    assert rows.min
    assert rows.max
    text = re.sub(r"\n#\s{8,}# ", " ", TEMPLATE)
    line = {m[1]: m[0] for m in re.finditer(r"(?m)^# (\w+) = .*$", text)}
    assert f"{rows.min} to {rows.max}" in line["rows"]
    for n, is_allowed in ((rows.min - 1, False), (rows.min, True), (rows.max, True), (rows.max + 1, False)):
        with contextlib.nullcontext() if is_allowed else pytest.raises(SettingsError, match="rows"):
            parse_episode(f"[sheet]\nrows = {n}", "e")
    assert all(name in line["delivery"] for name in DELIVERIES)
    assert all(part in line["parts"].split("#")[2] for part in ("clips", "strips", "frames", "bars", "lines"))
    assert tuple(re.findall(r'"(\w+)"', line["parts"])) == SheetSettings().parts


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('title = "Sea', "e:1: .*closing quote missing"),
        ("a = 1\ntitle = 'Sea\n[x]", "e:2: .*closing quote missing"),
        ('title = "Sea\ncode = "LT"', "e:1: .*closing quote missing"),
        ('a = 1\nx = ["a, "b"]', "e:2: .*closing quote missing"),
        ('[cast."TANSY]\n', "e:1: .*closing quote missing"),
        ('title = """Sea\n\nb = 1', "e:1: .*closing quotes missing"),
        ("title = \u201cSea\u201d", "e:1: .*curly quotes"),
        ('title = Sea"', "e:1: .*put text in quotes"),
        ("rate = 24 # it's\nx = [", "e:2: not valid TOML: (?!closing)"),
    ],
)  # fmt: skip
def test_a_missing_quote_is_called_so(text: str, message: str) -> None:
    with pytest.raises(SettingsError, match=message):
        parse_episode(text, "e")


def test_numbers_are_exact() -> None:
    episode = parse_episode("rate = 23.976\n[song.x]\nbpm = 96.55\noffset_ms = -12.5", "e")
    assert episode.rate.fps == Fraction(24000, 1001)
    assert episode.songs["x"].bpm == Fraction("96.55")
    assert episode.songs["x"].offset == Fraction(-1, 80)


def test_handles_may_be_nothing_but_not_less() -> None:
    """A clip that begins with the first sound has no handle: 0 is a length, -0.1 none."""
    profile = parse_episode("[profile.x]\nlengths = [3]\nhead_s = 0\ntail_s = 0", "e").profiles["x"]
    assert (profile.head, profile.tail) == (0, 0)
    for key in ("head_s", "tail_s"):
        with pytest.raises(SettingsError, match=f"{key} cannot be negative"):
            parse_episode(f"[profile.x]\nlengths = [3]\n{key} = -0.1", "e")


def test_a_single_profile_is_everybodys() -> None:
    episode = parse_episode("[profile.mine]\nlengths = [8, 3, 5, 3]", "e")
    assert episode.default_profile == "mine"
    assert episode.profile_of(ScriptLine(LineKind.PICTURE, "The bay.", Where("s"))).lengths == (3, 5, 8)
    assert episode.profiles[DEFAULT_PROFILE] == ClipProfile()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("rat = 24", r'e:1: there is no key "rat"; did you mean "rate"\?'),
        ('\n[cast.TANSY]\n\ndelivry = "slow"', r'e:4: there is no key "delivry" in .*; did you mean "delivery"\?'),
        ("rate = 0", "e:1: rate: a frame rate lies between 12 and 120, not 0"),
        ("rate = true", "e:1: rate is a frame rate such as 24"),
        ("rate = nan", "e:1: rate is a frame rate such as 24"),
        ("rate = 25\ndrop_frame = true", "e:2: drop-frame time code exists for 29.97 and 59.94 only"),
        ("[profile.x]\nlengths = []", "e:2: profile.x.lengths is a list of seconds with at least one entry"),
        ("[profile.x]\nlengths = [3, -5]", "e:2: .* more than 0 seconds, not -5"),
        ("[profile.x]\nlengths = [3]\nhead_s = 2\ntail_s = 1", "e:1: .* leave no room in the longest length"),
        ("[profile.x]\nlengths = [3]\nstep_s = 1", "e:2: give either lengths or"),
        ("[profile.x]\nshortest_s = 9\nlongest_s = 2", "e:2: shortest_s .9. is more than longest_s"),
        ("[profile.x]\nshortest_s = 1\nlongest_s = 9\nstep_s = 1e-9", "e:4: step_s is too small"),
        ("[profile.x]\nshortest_s = 1", "e:1: profile.x.longest_s is missing"),
        ("[profile.x]\ntakes = 1.5", "e:2: profile.x.takes is a whole number"),
        ('[cast.A]\nprofile = "talk"\n[profile.talking]', r'e:2: .* "talk"; did you mean "talking"\?'),
        ('[cast.A]\ndelivery = "shouted"', "e:2: cast.A.delivery is one of narration, dialogue, strong, slow"),
        ("[cast.A]\npace = 90", "e:2: cast.A.pace lies between 0.25 and 4"),
        ('[song.x]\nmetre = "4"', r'e:2: song.x.metre is beats over note value in quotes, such as "4/4"'),
        ("[song.x]\nbpm = 1e999", "e:2: song.x.bpm is a number, not inf"),
        ("[song]\nbpm = 96", r"e:2: song.bpm: name what it is for, as in \[song.NAME\]"),
        ("cast = 3", r"e:1: cast is a table"),
        ("title = 3", "e:1: title is text in quotes, not 3"),
        ("title = Sea", "e:1: not valid TOML: .* put text in quotes"),
        ("title: Sea", "e:1: not valid TOML: .* write key = value"),
        ("a = [\n1,", "e:2: not valid TOML"),
        ("title = 'a'\ntitle = 'b'", "not valid TOML"),
        ("language = 'de!'", "e:1: language is a language such as"),
        ('fit_by = "hihg"', r'e:1: fit_by is one of high, likely, not "hihg"; did you mean "high"\?'),
        ('[sheet]\nparts = ["clip"]', r'did you mean "clips"\?'),
        ('[sheet]\npaper = "A3"', "e:2: sheet.paper is one of A4, Letter"),
        ('[say]\nplip = { syllables = "pl-ap" }', 'e:2: the syllables "pl-ap" do not join to the word "plip"'),
        ('[say]\nplip = { sounds = "P L QQ" }', 'e:2: .* "QQ" is not an ARPABET sound'),
        ('[say]\nplip = { stress = 3, syllables = "pl-ip" }', "whole number from 1 to 2"),
        ("[say]\nplip = {}", '"plip" in .say. says nothing'),
        ("x = " + "[" * 5000, "e: this cannot be read as TOML|e:1: not valid TOML"),
        ("title = " + "1" * 5000, "e: this cannot be read as TOML|e:1: "),
    ],
)  # fmt: skip
def test_a_wrong_value_is_one_sentence_with_its_line(text: str, message: str) -> None:
    with pytest.raises(SettingsError, match=message) as caught:
        parse_episode(text, "e")
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 500


LINES = [line for line in UNCOMMENTED.split("\n") if line and not line.startswith("#")]


@settings(max_examples=200, deadline=None)
@given(
    lines=st.lists(st.sampled_from(LINES), max_size=12),
    junk=st.sampled_from(["", "x", "=", "[", "inf", "-1", "'", '"""', "1979-05-27", "{}", "0x", "\u00e9"]),
    at=st.integers(0, 200),
)
def test_no_damage_to_the_file_escapes_as_anything_but_a_settings_error(lines: list[str], junk: str, at: int) -> None:
    text = "\n".join(lines)
    with contextlib.suppress(SettingsError):
        parse_episode(text[:at] + junk + text[at:], "e")


@settings(max_examples=200, deadline=None)
@given(
    key=st.sampled_from(re.findall(r"(?m)^(\w+) =", UNCOMMENTED)),
    table=st.sampled_from(["", "[song.x]", "[sheet]"]),
    value=st.sampled_from("1|-1|inf|nan|1e400|'x'|[]|[[]]|{}|true|1979-05-27|'a\\u0000'".split("|")),
)
def test_any_value_under_any_key_is_taken_or_refused(key: str, table: str, value: str) -> None:
    with contextlib.suppress(SettingsError):
        parse_episode(f"{table}\n{key} = {value}", "e")


def test_a_file_with_a_mark_or_in_an_old_encoding_is_read(tmp_path: Path) -> None:
    path = tmp_path / "episode.toml"
    path.write_bytes(b'\xef\xbb\xbftitle = "x"\r\n')
    assert read_episode(path).title == "x"
    path.write_bytes('title = "Où"'.encode("cp1252"))
    assert read_episode(path).title == "Où"
    path.write_bytes(b"\0\1\2\xff")
    with pytest.raises(SettingsError):
        read_episode(path)
    with pytest.raises(SettingsError, match="folder"):
        read_episode(tmp_path)


# --- sources -----------------------------------------------------------------------------------------------


def make(folder: Path, *names: str) -> Path:
    for name in names:
        (folder / name).write_text("TANSY: Hello.\n" if not name.endswith(".toml") else 'title = "T"\n')
    return folder


def test_a_folder_gives_its_script_settings_and_out(tmp_path: Path) -> None:
    source = open_source(make(tmp_path, "script.fountain", "episode.toml", "other.txt"))
    assert source.script.name == "script.fountain"
    assert source.settings.title == "T"
    assert source.default_out == tmp_path / "out"
    assert open_source(tmp_path / "episode.toml") == source
    assert open_source(tmp_path / "script.fountain") == source


def test_a_lone_script_writes_beside_itself(tmp_path: Path) -> None:
    source = open_source(make(tmp_path, "tide.txt") / "tide.txt")
    assert source.default_out == tmp_path / "tide-out"
    assert source.settings == EpisodeSettings()


def test_a_single_script_of_any_name_is_the_folders(tmp_path: Path) -> None:
    assert open_source(make(tmp_path, "tide.md", "README.md")).script.name == "tide.md"


def test_what_is_not_there_is_said_with_what_is_near(tmp_path: Path) -> None:
    make(tmp_path, "low-tide.fountain")
    with pytest.raises(ScriptError, match=r"did you mean low-tide\.fountain\?"):
        open_source(tmp_path / "lowtide.fountain")
    with pytest.raises(ScriptError, match=r"the folder .* does not exist"):
        open_source(tmp_path / "none" / "x.txt")


def test_a_folder_without_or_with_several_scripts_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ScriptError, match=r"no script; put script.fountain or script.txt into it"):
        open_source(tmp_path)
    make(tmp_path, "a.txt", "b.txt")
    with pytest.raises(ScriptError, match=r"several scripts \(a.txt, b.txt\); name the one you mean$"):
        open_source(tmp_path)


def test_a_sample_that_nobody_changed_is_named_beside_a_script(tmp_path: Path) -> None:
    sample = SAMPLE.format(title="My episode", first="SOMEBODY", second="BRAM")
    make(tmp_path, "script.txt")
    told = "; script.fountain is the sample that timing new wrote, unchanged, and may be deleted"
    for text, ending in ((sample, told), (sample.replace("\n", "\r\n"), told), (sample + "\nBRAM\nNo.\n", "")):
        (tmp_path / "script.fountain").write_bytes(text.encode())
        with pytest.raises(ScriptError, match=f"name the one you mean{ending}$"):
            open_source(tmp_path)


@pytest.mark.parametrize("name", ["DEVELOPERS.md", "README.txt", "LICENSE-MIT.txt", "changelog.md", "leia-me.txt"])
def test_a_text_about_a_folder_is_no_script(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("TANSY: Hi.\nBRAM: Ho.\n", "utf-8")
    with pytest.raises(ScriptError, match=rf"no script \(there is {name}, by its name no script\)"):
        open_source(tmp_path)
    (tmp_path / "tide.txt").write_text("TANSY: Hi.\nBRAM: Ho.\n", "utf-8")
    assert open_source(tmp_path).script.name == "tide.txt"
    assert open_source(tmp_path / name).script.name == name  # who names it means it


def test_a_folders_only_text_is_its_script_if_somebody_speaks_there(tmp_path: Path) -> None:
    (tmp_path / "list.txt").write_text("milk\neggs\n", "utf-8")
    with pytest.raises(ScriptError, match=r"no script \(there is list.txt, nothing is spoken there\)"):
        open_source(tmp_path)
    (tmp_path / "tide.md").write_text("TANSY: Hi.\nBRAM: Ho.\n", "utf-8")
    assert open_source(tmp_path).script.name == "tide.md"
    (tmp_path / "tide.md").unlink()
    (tmp_path / "episode.toml").write_text("", "utf-8")  # an episode of pictures alone
    assert open_source(tmp_path).script.name == "list.txt"


def test_of_many_texts_none_is_looked_into(tmp_path: Path) -> None:
    """Eight are; a folder with more is no episode's."""
    for n in range(7):
        (tmp_path / f"list{n}.txt").write_text("milk\neggs\n", "utf-8")
    (tmp_path / "tide.txt").write_text("TANSY: Hi.\nBRAM: Ho.\n", "utf-8")
    assert open_source(tmp_path).script.name == "tide.txt"
    (tmp_path / "list8.txt").write_text("milk\neggs\n", "utf-8")
    with pytest.raises(ScriptError, match="several scripts"):
        open_source(tmp_path)


def test_which_file_of_a_folder_was_taken_is_said(tmp_path: Path) -> None:
    (tmp_path / "tide.txt").write_text("TANSY: Hi.\nBRAM: Ho.\n", "utf-8")
    said = CliRunner().invoke(cli, ["lines", str(tmp_path)]).stderr
    assert said.startswith(f"script: {tmp_path / 'tide.txt'}")
    (tmp_path / "tide.txt").rename(tmp_path / "script.txt")
    assert "script:" not in CliRunner().invoke(cli, ["lines", str(tmp_path)]).stderr
