"""Runs that end early: Ctrl-C, a kill between two files, a folder that can only be read. What is said, what is left."""

import json
import os
import shutil
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from timing.__main__ import STOPPED
from timing.cli import cli
from timing.plain import files
from timing.plain.errors import OutputError
from timing.plain.files import RECORD, locked, replace_file, write_outputs

ROOT = Path(__file__).parent.parent.parent
needs_posix = pytest.mark.skipif(os.name == "nt", reason="timers, kills and permissions of POSIX")
SCRIPT = "TANSY: Where does the sea go?\n\nBRAM: Out and in.\n"


@pytest.fixture
def episode(tmp_path):
    folder = tmp_path / "ep"
    folder.mkdir()
    (folder / "script.txt").write_text(SCRIPT, "utf-8")
    return folder


def run(*arguments):
    return CliRunner().invoke(cli, [str(a) for a in arguments], catch_exceptions=False)


# --- Ctrl-C ------------------------------------------------------------------------------------------------

CTRL_C = """
import signal, sys
from timing.__main__ import main  # until here it is Python's own start
after = float(sys.argv[1])
sys.argv = ["timing", *sys.argv[2:]]
signal.signal(signal.SIGALRM, lambda *_: signal.raise_signal(signal.SIGINT))
signal.setitimer(signal.ITIMER_REAL, after)
main()
"""


@needs_posix
@pytest.mark.parametrize("after_s", [0.005, 0.03, 0.08, 0.15, 0.3, 0.6])
def test_ctrl_c_at_any_moment_is_one_line_and_leaves_no_half_file(episode, after_s):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", CTRL_C, str(after_s), "sheet", str(episode)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True)
    if done.returncode == 0:  # it was done before
        return
    assert done.returncode == 1
    assert done.stderr.splitlines() == [STOPPED]
    assert not list(episode.rglob(".part-*"))
    assert not list(episode.rglob(".lock"))


# --- what was killed ---------------------------------------------------------------------------------------


def test_what_a_killed_run_staged_beside_the_script_and_in_the_store_is_taken_away(episode):
    run("sheet", episode)
    store = episode / "out" / ".store"
    store.mkdir(exist_ok=True)
    old, new = store / ".part-old.tmp", store / ".part-new.tmp"
    for path in (episode / ".part-x.tmp", old, new):
        path.write_bytes(b"half")
    os.utime(old, (time.time() - 3600,) * 2)  # another run may be writing the new one
    (episode / "script.txt").write_text(SCRIPT + "\nTANSY: All of it?\n", "utf-8")
    run("sheet", episode)
    assert not (episode / ".part-x.tmp").exists()
    assert (old.exists(), new.exists()) == (False, True)


@needs_posix
def test_files_of_two_runs_side_by_side_are_told_until_they_are_written_anew(episode):
    run("sheet", episode)
    (episode / "script.txt").write_text(SCRIPT.replace("sea", "whole sea"), "utf-8")
    code = """
        import os, signal, sys
        from timing.plain import files
        real, left = os.replace, 3
        def replace(a, b):
            global left
            if "out" in str(b).split(os.sep)[-2] and ".store" not in str(b):
                if left == 0:
                    os.kill(os.getpid(), signal.SIGKILL)
                left -= 1
            real(a, b)
        files.os.replace = replace
        sys.argv = ["timing", "sheet", sys.argv[1]]
        from timing.__main__ import main
        main()
        """
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    killed = subprocess.run([sys.executable, "-c", textwrap.dedent(code), str(episode)], env=environment, check=False)
    assert killed.returncode == -9
    told = "a run was stopped while it replaced files"
    assert told in run("lines", episode).stderr
    assert told in run("sheet", episode).stderr
    assert told not in run("lines", episode).stderr


# --- what could not be written -----------------------------------------------------------------------------


def test_a_file_that_cannot_be_taken_away_is_not_called_nothing_changed(tmp_path, monkeypatch):
    write_outputs(tmp_path, {"requests/C01.txt": b"1", "a.txt": b"1"}, prune=("requests/",))
    unlink = Path.unlink

    def held(path, missing_ok=False):
        if path.name == "C01.txt":
            raise PermissionError(13, "it is open in another program", str(path))
        unlink(path, missing_ok=missing_ok)

    monkeypatch.setattr(Path, "unlink", held)
    with pytest.raises(OutputError, match="every other file is new") as caught:
        write_outputs(tmp_path, {"a.txt": b"2"}, prune=("requests/",))
    assert "nothing was changed" not in str(caught.value)
    assert (tmp_path / "a.txt").read_bytes() == b"2"


def test_which_sheets_to_print_again_is_told_once_more_when_the_run_that_found_it_failed(episode, monkeypatch):
    """The advice is kept in plan.json: a run that ends before anybody saw it must not leave it behind as told."""
    run("sheet", episode)
    (episode / "script.txt").write_text(SCRIPT.replace("sea", "whole sea"), "utf-8")
    replace = os.replace

    def held(source, target):
        if Path(target).name == "clips.csv":
            raise PermissionError(13, "it is open in another program")
        replace(source, target)

    with monkeypatch.context() as patch:
        patch.setattr("os.replace", held)
        failed = run("sheet", episode)
    assert failed.exit_code == 1
    assert "cannot be replaced" in failed.stderr
    again = run("sheet", episode)
    assert "Frame sheets: print 1 A in place of 1 (words)." in again.stdout
    assert "As the last run said" not in again.stdout


def test_the_machine_form_leaves_the_advice_to_people_on_standard_error(episode):
    run("sheet", episode)
    (episode / "script.txt").write_text(SCRIPT.replace("sea", "whole sea"), "utf-8")
    done = run("sheet", episode, "--json")
    assert json.loads(done.stdout)["timing_plan"] == 1
    assert "Frame sheets: print 1 A in place of 1 (words)." in done.stderr


@pytest.mark.parametrize("command", ["sheet", "check"])
def test_an_episode_that_can_only_be_read_is_reported_on_before_that_is_said(episode, tmp_path, monkeypatch, command):
    (episode / "clips").mkdir()
    run("sheet", episode)
    shutil.rmtree(episode / "out")
    (episode / "clips.toml").unlink()
    real = files._open_lock

    def refused(path):
        if path.parent == episode:
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(files, "_open_lock", refused)  # as in a folder without the right to write (also for root)
    done = run(command, episode, "-o", tmp_path / "elsewhere")
    assert done.exit_code == 1
    assert "cannot be written" in done.stderr
    assert "C01" in done.stdout if command == "check" else "2 lines, 2 clips" in done.stdout


def test_a_lock_that_cannot_be_made_is_one_sentence(tmp_path, monkeypatch):
    def refused(path):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(files, "_open_lock", refused)
    with pytest.raises(OutputError, match="cannot be written"), locked(tmp_path):
        pass


def test_the_record_of_what_was_written_names_each_file_once_when_all_is_done(tmp_path):
    write_outputs(tmp_path, {"a.txt": b"1", "b.txt": b"1"})
    write_outputs(tmp_path, {"a.txt": b"2", "b.txt": b"2"})
    assert {len(h) for h in json.loads((tmp_path / RECORD).read_text()).values()} == {1}
    replace_file(tmp_path / "c.txt", b"3")
    assert not files.was_stopped(tmp_path)
