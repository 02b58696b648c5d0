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

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "examples" / "low-tide"
NAMES = ("script", "toml", "lyric", "midi", "xml")


def instrumented(scratch: Path) -> dict[str, tuple[Callable[[bytes], object], list[bytes]]]:
    """Import the readers under the fuzzer's eyes; return each with the good inputs it starts from."""
    import atheris

    sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench")]
    with atheris.instrument_imports(include=["timing", "mido"]):
        import fuzz
        import mido  # noqa: F401

        import timing.song.tunes.musicxml
        import timing.song.tunes.smf  # noqa: F401
        from timing.model import Where
        from timing.script.episode import TEMPLATE, parse_episode
        from timing.script.reader import read_script
        from timing.song.lyrics.lyrics import parse_lyric
        from timing.song.tunes.reader import read_tune

    def file(name: str, data: bytes) -> Path:
        path = scratch / name
        path.write_bytes(data)
        return path

    def text(data: bytes) -> str:
        return data.decode("utf-8", "replace")

    example = (EXAMPLE / "script.fountain").read_bytes()
    settings = (EXAMPLE / "episode.toml").read_bytes()
    return {
        "script": (
            lambda data: read_script(file("a.fountain" if data[:1] < b"\x80" else "a.txt", data)),
            [example, b"TANSY: Where [[pause 1 s]] now? (shouted)\n# A\n~ la"],
        ),
        "toml": (
            lambda data: parse_episode(text(data), "episode.toml"),
            [TEMPLATE.replace("# ", "").encode(), settings],
        ),
        "lyric": (
            lambda data: parse_lyric(text(data), Where("a.txt", 1)),
            [b"the | wheels fall@2:3 back__ and~on =2 gen-tly @1:1+1/3"],
        ),
        "midi": (lambda data: read_tune(file("a.mid", data)), [fuzz.midi_bytes()]),
        "xml": (lambda data: read_tune(file("a.musicxml", data)), [fuzz.MUSICXML]),
    }


def main() -> None:
    if len(sys.argv) < 2 or sys.argv[1] not in NAMES:
        raise SystemExit(__doc__)
    scratch = Path(tempfile.mkdtemp(prefix="fuzz-"))
    read, seeds = instrumented(scratch)[sys.argv.pop(1)]
    import atheris

    from timing.plain.errors import TimingError

    corpus = scratch / "corpus"
    corpus.mkdir()
    for number, seed in enumerate(seeds):
        (corpus / str(number)).write_bytes(seed)

    def once(data: bytes) -> None:
        with contextlib.suppress(TimingError):
            read(data)

    atheris.Setup([*sys.argv, "-timeout=5", "-rss_limit_mb=1500", str(corpus)], once)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
