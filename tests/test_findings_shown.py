"""What was found is all there: grouped, the worst first, each said once."""

import re

from click.testing import CliRunner

from timing.cli import cli
from timing.commands.findings import print_findings
from timing.model import Finding
from timing.model.findings import FindingCode


def shown(capsys, found, **wanted):
    print_findings(found, **wanted)
    return capsys.readouterr().err


def test_every_line_is_named_however_many_there_are(capsys):
    found = [(f"line {n}", Finding(FindingCode.TOO_LONG, f"this is {n} s too long")) for n in range(1, 31)]
    text = shown(capsys, found)
    assert text.startswith("30 findings:")
    assert {int(n) for n in re.findall(r"\b\d+\b", text.partition("generation.")[2])} >= set(range(1, 31))
    assert len(text.splitlines()) < 12


def test_all_of_one_kind_are_said_in_full_when_asked_for(capsys):
    found = [(f"line {n}", Finding(FindingCode.TOO_LONG, f"this is {n} s too long")) for n in range(1, 31)]
    text = shown(capsys, [*found, ("", Finding(FindingCode.SONG, "a song"))], kind="too-long", most=None)
    assert all(f"line {n}: this is {n} s too long" in text for n in range(1, 31))
    assert "a song" not in text


def test_what_several_lines_share_is_said_once_with_all_of_them(capsys):
    found = [(f"line {n}", Finding(FindingCode.GUESSED_WORD, '"frondle" is read as fron-dle')) for n in (2, 5, 9)]
    text = shown(capsys, [*found, found[0]])
    assert text.count("frondle") == 1
    assert "lines 2, 5, 9: " in text
    assert text.startswith("3 findings:")


def test_the_worst_come_first_whatever_their_order(capsys):
    codes = [FindingCode.UNSPOKEN_EMOJI, FindingCode.GUESSED_WORD, FindingCode.TOO_LONG, FindingCode.CUTS_CLOSE]
    text = shown(capsys, [("line 1", Finding(code, "m")) for code in codes])
    assert [line.split(" (")[0] for line in text.splitlines() if not line.startswith(" ")][1:] == [
        "cuts-close",  # can hurt
        "too-long",  # costs a generation
        "guessed-word",
        "unspoken-emoji",
    ]


def test_the_command_prints_what_the_summary_points_to(tmp_path):
    script = tmp_path / "s.txt"
    words = [f"zib{'a' * (n % 2)}bl{c}k" for n, c in enumerate("aeiouy")] + ["frondle", "grubbick", "snarfly"]
    script.write_text("\n".join(f"TANSY: The {word} is here." for word in words), "utf-8")
    summary = CliRunner().invoke(cli, ["lines", str(script)]).stderr
    assert re.search(r"also lines [\d, ]+; all of them in full: timing lines … --findings guessed-word", summary)
    full = CliRunner().invoke(cli, ["lines", str(script), "--findings", "guessed-word"])
    assert full.stderr.count("is not in the dictionary") == len(words)
    wrong = CliRunner().invoke(cli, ["lines", str(script), "--findings", "guesed-word"])
    assert wrong.exit_code == 2
    assert 'did you mean "guessed-word"?' in wrong.stderr
