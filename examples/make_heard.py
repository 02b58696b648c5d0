"""Listens to the example's recordings once and keeps the result, so that ``timing demo`` need not.

Run from the project's folder after any change to the recordings, the script or the way of listening:
``python examples/make_heard.py``. A test compares what is kept here with listening afresh.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from timing.pipeline import plan_source
from timing.plain.resources import example_files

HEARD = ("sound", "own-line", "all-lines", "reading")  # what takes long; the rest is made in a moment
KEPT = Path(__file__).parent / "low-tide-heard"


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for relative, content in example_files().items():
            (folder / relative).parent.mkdir(parents=True, exist_ok=True)
            (folder / relative).write_bytes(content)
        plan_source(folder)
        shutil.rmtree(KEPT, ignore_errors=True)
        KEPT.mkdir()
        for path in sorted((folder / "out" / ".store").iterdir()):
            if path.name.rpartition("-")[0] in HEARD:
                shutil.copyfile(path, KEPT / path.name)


if __name__ == "__main__":
    main()
