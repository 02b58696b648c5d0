"""Two runs of the tool at once, as processes, on one folder: what a person has who starts it in two windows."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = "TANSY: Where does the sea go?\n\nBRAM: It goes out and it comes back in.\n\n"
GUARDED = ("lines.toml", "clips.toml", "out/plan.json", "out/clips.csv", "out/sheets.pdf")


def sheet(folder: Path) -> subprocess.Popen[str]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "timing", "sheet", str(folder)]
    return subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def finished(run: subprocess.Popen[str]) -> None:
    said = "".join(run.communicate())
    assert run.returncode == 0, said
    assert "Traceback" not in said


def test_two_runs_at_once_leave_what_one_run_leaves(tmp_path: Path) -> None:
    both, alone = tmp_path / "both" / "tide", tmp_path / "alone" / "tide"
    both.mkdir(parents=True)
    (both / "script.txt").write_text(SCRIPT, "utf-8")
    finished(sheet(both))
    shutil.copytree(both, alone)
    for folder in (both, alone):  # a line is put in between: both runs want to give it an id
        (folder / "script.txt").write_text(SCRIPT.replace("\n\nBRAM", "\n\nBRAM: Hold on!\n\nBRAM"), "utf-8")
    runs = [sheet(both), sheet(both)]
    for run in runs:
        finished(run)
    finished(sheet(alone))
    for name in GUARDED:
        assert (both / name).read_bytes() == (alone / name).read_bytes(), name
    assert not list(both.rglob(".part-*"))
