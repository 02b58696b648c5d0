"""A coverage-guided fuzzer over the readers; run by hand, its finds are kept as cases in the tests.

    python tests/bench/fuzz_guided.py script -max_total_time=120
    readers: script, toml, lyric, midi, xml

Needs atheris (PyPI), in an environment that also has the project's dependencies; arguments after the reader's name go
to libFuzzer. An answer is a result or a TimingError; any other exception, or five seconds without an answer, stops
the run with the input that caused it (crash-…, timeout-… in the working folder).
"""

from __future__ import annotations

import contextlib
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import atheris

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench")]

with atheris.instrument_imports(include=["timing", "mido"]):
    import fuzz
    import mido  # noqa: F401

    import timing.song.musicxml
    import timing.song.smf  # noqa: F401
    from timing.errors import TimingError
    from timing.model import Where
    from timing.script.episode import TEMPLATE, parse_episode
    from timing.script.reader import read_script
    from timing.song.lyrics import parse_lyric
    from timing.song.tune import read_tune

SCRATCH = Path(tempfile.mkdtemp(prefix="fuzz-"))
EXAMPLE = ROOT / "examples" / "low-tide"


def _file(name: str, data: bytes) -> Path:
    path = SCRATCH / name
    path.write_bytes(data)
    return path


READERS: dict[str, Callable[[bytes], object]] = {
    "script": lambda data: read_script(_file("a.fountain" if data[:1] < b"\x80" else "a.txt", data)),
    "toml": lambda data: parse_episode(data.decode("utf-8", "replace"), "episode.toml"),
    "lyric": lambda data: parse_lyric(data.decode("utf-8", "replace"), Where("a.txt", 1)),
    "midi": lambda data: read_tune(_file("a.mid", data)),
    "xml": lambda data: read_tune(_file("a.musicxml", data)),
}
SEEDS: dict[str, Callable[[], list[bytes]]] = {
    "script": lambda: [
        (EXAMPLE / "script.fountain").read_bytes(),
        b"TANSY: Where [[pause 1 s]] now? (shouted)\n# A\n~ la",
    ],
    "toml": lambda: [TEMPLATE.replace("# ", "").encode(), (EXAMPLE / "episode.toml").read_bytes()],
    "lyric": lambda: [b"the | wheels fall@2:3 back__ and~on =2 gen-tly @1:1+1/3"],
    "midi": lambda: [fuzz.midi_bytes()],
    "xml": lambda: [fuzz.MUSICXML],
}


def main() -> None:
    if len(sys.argv) < 2 or sys.argv[1] not in READERS:
        raise SystemExit(__doc__)
    name = sys.argv.pop(1)
    corpus = SCRATCH / "corpus"
    corpus.mkdir()
    for number, seed in enumerate(SEEDS[name]()):
        (corpus / str(number)).write_bytes(seed)
    read = READERS[name]

    def once(data: bytes) -> None:
        with contextlib.suppress(TimingError):
            read(data)

    atheris.Setup([*sys.argv, "-timeout=5", "-rss_limit_mb=1500", str(corpus)], once)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
