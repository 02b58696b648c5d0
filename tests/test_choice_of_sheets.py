"""What is printed when only some clips, speakers or scenes are asked for on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from timing.cli import cli
from timing.plain.errors import ScriptError
from timing.script.source import open_source

TALK = "Where is the sea on such a morning, and who has taken it away from us all?"
ANSWER = "It went out for a walk along the bay, and will be back by the evening again."
SCRIPT = "EXT. ROCK - MORNING\n\n" + f"TANSY\n{TALK}\n\n" * 4 + "EXT. CAVE - NIGHT\n\n" + f"BRAM\n{ANSWER}\n\n" * 4


def pages(folder: Path, *options: str) -> str:
    (folder / "script.fountain").write_text(SCRIPT, "utf-8")
    done = CliRunner().invoke(cli, ["sheet", str(folder), "--parts", "frames", *options], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    assert len(json.loads((folder / "out" / "plan.json").read_text("utf-8"))["lines"]) == 8  # the plan is the whole one
    return "\n".join(page.extract_text() for page in PdfReader(folder / "out" / "sheets.pdf").pages)


@pytest.mark.parametrize(
    ("options", "shown", "gone"),
    [
        (("--scene", "cave"), "walk", "Where"),
        (("--scene", "ROCK"), "Where", "walk"),
        (("--speaker", "bram"), "walk", "Where"),
        (("--clip", "C01"), "Where", "walk"),
    ],
)
def test_only_what_is_asked_for_has_frame_sheets(
    tmp_path: Path, options: tuple[str, ...], shown: str, gone: str
) -> None:
    """A sheet is printed whole: four clips of one speaker fill sheets of their own."""
    text = pages(tmp_path, *options)
    assert shown in text
    assert gone not in text


@pytest.mark.parametrize("options", [("--speaker", ""), ("--speaker", "TANSIE"), ("--scene", "beach")])
def test_a_choice_of_nothing_is_one_sentence(tmp_path: Path, options: tuple[str, ...]) -> None:
    (tmp_path / "script.fountain").write_text(SCRIPT, "utf-8")
    done = CliRunner().invoke(cli, ["sheet", str(tmp_path), *options])
    assert done.exit_code == 2
    assert f'there is no {options[0].removeprefix("--")} "{options[1]}" in this episode' in done.stderr


def test_a_text_that_cannot_be_read_may_be_the_script(tmp_path: Path) -> None:
    """Of two texts one has no speech: the other is taken, or, where it cannot be read, asked about by its name."""
    (tmp_path / "notes.txt").write_text("A wave rolls in.\n", "utf-8")
    (tmp_path / "tide.txt").write_text("TANSY: Where is the sea?\n", "utf-8")
    assert open_source(tmp_path).script.name == "tide.txt"
    (tmp_path / "tide.txt").write_bytes(bytes(range(256)) * 4)
    assert open_source(tmp_path).script.name == "tide.txt"
    (tmp_path / "notes.txt").unlink()
    (tmp_path / "tide.txt").unlink()
    with pytest.raises(ScriptError, match="no script"):
        open_source(tmp_path)
