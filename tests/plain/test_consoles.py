"""Consoles and file systems that are not UTF-8: nothing stops, tables stay in line."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from timing.cli import cli

ROOT = Path(__file__).parent.parent.parent
LINE = "TANSY: It goes out… “and” it comes back in — twice a day, naïve café, because the moon is pulling at it.\n"


def timing_in(encoding, *arguments, utf8="0"):
    environment = {
        **os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding, "PYTHONUTF8": utf8, "LC_ALL": "C",
    }  # fmt: skip
    return subprocess.run(
        [sys.executable, "-m", "timing", *map(str, arguments)], env=environment, capture_output=True, check=False
    )


@pytest.mark.parametrize("encoding", ["cp1252", "cp437"])
def test_tables_are_written_in_old_code_pages(tmp_path, encoding):
    script = tmp_path / "tide.txt"
    script.write_text(LINE, "utf-8")
    done = timing_in(encoding, "lines", script, "--wide")
    shown = (done.stdout + done.stderr).decode(encoding)
    assert done.returncode == 0, shown
    assert "Traceback" not in shown
    assert "?" not in shown
    assert "twice a day" in shown


def test_the_machine_form_stays_json_in_an_old_code_page(tmp_path):
    script = tmp_path / "tide.txt"
    script.write_text(LINE, "utf-8")
    done = timing_in("cp437", "lines", script, "--json")
    assert json.loads(done.stdout)["lines"][0]["text"] == LINE.removeprefix("TANSY: ").strip()


@pytest.mark.skipif(os.name == "nt", reason="arguments of POSIX are bytes")
def test_arguments_outside_the_locale_are_read_as_utf_8(tmp_path):
    done = timing_in("utf-8", "say", "naïve crab")
    assert done.returncode == 0, done.stderr.decode()
    assert "na-ÏVE" in done.stdout.decode()
    assert timing_in("ascii", "new", tmp_path / "maré").returncode == 0


@pytest.mark.parametrize(("folder", "command"), [("recordings", "sheet"), ("clips", "check")])
def test_a_file_whose_name_is_no_text_is_refused_in_words(tmp_path, folder, command):
    (tmp_path / "script.txt").write_text("TANSY: Where does the sea go?\n", "utf-8")
    (tmp_path / folder).mkdir()
    try:
        (tmp_path / folder / os.fsdecode(b"1 mar\xe9.wav")).write_bytes(b"RIFF")
    except (OSError, UnicodeError):
        pytest.skip("this file system keeps names that are text")
    done = CliRunner().invoke(cli, [command, str(tmp_path)])
    assert done.exit_code == 2, done.output
    assert "rename it" in done.stderr


def test_piped_output_holds_no_terminal_codes(tmp_path):
    script = tmp_path / "tide.txt"
    script.write_text(LINE, "utf-8")
    for arguments in (["--help"], ["lines", script], ["lines", tmp_path / "tidy.txt"], ["sheet", script]):
        done = timing_in("utf-8", *arguments)
        assert b"\x1b" not in done.stdout + done.stderr
