"""A second process that listens too: recordings are heard apart from one another, so two halves take half the time.

What it hears it leaves in the store, under the same keys; the first process then goes through all recordings in order
and finds everything there. Without a store, with one recording, or where no process can be started, nothing is lost:
whatever is not in the store is heard in the ordinary way. The job goes over a pipe from the parent, nowhere else.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from timing.model.words import Pronounce
from timing.recording.results import ScriptedLine

# A process costs more than a second of the processor to start, a second of sound a thirtieth; a phone memo has about
# 10 kB a second.
WORTHWHILE_BYTES = 300_000


@dataclass(frozen=True)
class Job:
    """What the second process needs: its recordings (path, name), and all that the first one listens with."""

    files: tuple[tuple[Path, str], ...]
    lines: tuple[ScriptedLine, ...]
    language: str
    pronounce: Pronounce
    chosen: Mapping[str, str]
    store: Path


def halves(files: Sequence[tuple[Path, str]]) -> tuple[list[tuple[Path, str]], list[tuple[Path, str]]]:
    """Return the recordings in two parts of about the same size; the second is empty where it would not pay."""
    sizes = {name: path.stat().st_size for path, name in files}
    first: list[tuple[Path, str]] = []
    second: list[tuple[Path, str]] = []
    for file in sorted(files, key=lambda f: (-sizes[f[1]], f[1])):
        lighter = min((first, second), key=lambda part: sum(sizes[name] for _, name in part))
        lighter.append(file)
    if sum(sizes[name] for _, name in second) < WORTHWHILE_BYTES or (os.cpu_count() or 1) < 2:
        return [*first, *second], []
    return first, second


def start(job: Job) -> subprocess.Popen[bytes] | None:
    """Start the second process on its job; None where that cannot be done."""
    package = str(Path(__file__).resolve().parents[2])
    path = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
    try:
        content = pickle.dumps(job)
        process = subprocess.Popen(
            [sys.executable, "-m", "timing.recording.second_process"],
            stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            env=os.environ | {"PYTHONPATH": path},
        )  # fmt: skip
        assert process.stdin is not None
        process.stdin.write(content)
        process.stdin.close()
    except (OSError, pickle.PicklingError, AttributeError, TypeError):
        return None
    return process


def main() -> None:
    """Hear the recordings of the job that comes in; what cannot be heard is left to the first process."""
    from timing.plain.errors import RecordingError
    from timing.recording.listener import Listener
    from timing.store.store import Store

    job: Job = pickle.load(sys.stdin.buffer)
    listener = Listener(job.lines, job.language, job.pronounce, job.chosen, Store(job.store))
    for path, name in job.files:
        try:
            listener.hear(path, name)
        except RecordingError:
            continue


if __name__ == "__main__":
    main()
