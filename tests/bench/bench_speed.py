"""How long the tool takes and how much memory it needs, beside the bare libraries doing the same step.

    python tests/bench/bench_speed.py [--runs 3] [--long] [--dry]

Every row is a whole process, measured by the operating system: processor seconds (median of the runs) and peak memory.
``--long`` adds the 90 minute episode and ten minutes of scratch. The table in DEVELOPERS.md is rewritten; rows that
were not measured stay as they were. Needs a POSIX system.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
UNHEARD = "timing sheet, the example, nothing heard yet"
AGAIN = "timing sheet, the example, unchanged"
REWORDED = "timing sheet, the example, one line changed"
SENTENCES = [
    "Where does the sea go when nobody is looking at it?",
    "It goes out and it comes back in, twice a day, every day.",
    "Hold on to your shell, the little wave is coming!",
    "I counted 37 puddles and 12 limpets this morning.",
]


def script_of(lines: int) -> str:
    return "\n".join(f"{'TANSY' if n % 2 else 'BRAM'}: {SENTENCES[n % 4]}" for n in range(lines)) + "\n"


def measured(arguments: list[str], runs: int) -> tuple[float, float]:
    """Return (median processor seconds, peak MB) of a command run as a process of its own."""
    seconds, peaks = [], []
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    for _ in range(runs):
        child = os.fork()
        if child == 0:
            null = os.open(os.devnull, os.O_WRONLY)
            os.dup2(null, 1)
            os.dup2(null, 2)
            os.execve(sys.executable, [sys.executable, *arguments], environment)
        _, status, usage = os.wait4(child, 0)
        if status:
            raise SystemExit(f"failed: {' '.join(arguments)}")
        seconds.append(usage.ru_utime + usage.ru_stime)
        peaks.append(usage.ru_maxrss / 1024)
    return statistics.median(seconds), max(peaks)


def scratch(folder: Path) -> Path:
    """Return an episode whose one recording holds the example's takes over and over, ten minutes of them."""
    import shutil
    import wave

    from timing.sound.decode import read_audio

    episode = folder / "scratch"
    shutil.copytree(ROOT / "examples" / "low-tide", episode, ignore=shutil.ignore_patterns("out", "recordings"))
    (episode / "recordings").mkdir()
    takes = [read_audio(p).samples for p in sorted((ROOT / "examples" / "low-tide" / "recordings").iterdir())]
    with wave.open(str(episode / "recordings" / "memo.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        while file.getnframes() < 600 * 16_000:
            for take in takes:
                file.writeframes(take.tobytes() + bytes(2 * 16_000))
    return episode


def rewrite(rows: dict[str, str]) -> str:
    """Put the rows into the table of DEVELOPERS.md and return the table."""
    path = ROOT / "DEVELOPERS.md"
    text = path.read_text("utf-8")
    start, end = text.index("<!-- speed -->"), text.index("<!-- /speed -->")
    old = [line for line in text[start:end].splitlines() if line.startswith("| ")][2:]
    kept = {line.split(" | ")[0].removeprefix("| "): line for line in old}
    table = ["| a whole process | processor seconds | peak MB |", "| --- | --- | --- |", *(kept | rows).values()]
    path.write_text(text[:start] + "<!-- speed -->\n" + "\n".join(table) + "\n" + text[end:], "utf-8")
    return "\n".join(table)


def example(folder: Path) -> str:
    """Return a new copy of the example episode, with nothing heard in it yet."""
    import shutil

    shutil.copytree(ROOT / "examples" / "low-tide", folder, ignore=shutil.ignore_patterns("out"))
    return str(folder)


def reworded(episode: str) -> None:
    """Change one spoken line of the example."""
    script = Path(episode) / "script.fountain"
    text = script.read_text("utf-8")
    assert "The moon has no arms." in text
    script.write_text(text.replace("The moon has no arms.", "The moon has two arms."), "utf-8")


def song(path: Path, seconds: int) -> None:
    import wave

    import numpy as np

    rate = 22_050
    time = np.arange(seconds * rate) / rate
    beat = np.exp(-(time % 0.5) * 18) * np.sin(2 * np.pi * 110 * time) + 0.2 * np.sin(2 * np.pi * 440 * time)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes((0.4 * beat * 32767).astype("<i2").tobytes())


def main() -> None:
    parser = argparse.ArgumentParser(description="Speed and memory of the commands.")
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--long", action="store_true")
    parser.add_argument("--dry", action="store_true", help="leave DEVELOPERS.md as it is")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for count in (40, 1000):
            (folder / f"s{count}.txt").write_text(script_of(count), "utf-8")
        (folder / "five.txt").write_text(script_of(85), "utf-8")
        (folder / "ninety.txt").write_text(script_of(1530), "utf-8")
        song(folder / "song.wav", 240)
        run = ["-m", "timing"]
        rows = [
            ("python -c pass", ["-c", "pass"]),
            ("python -c 'import click'", ["-c", "import click"]),
            ("timing --help", [*run, "--help"]),
            ("timing say", [*run, "say", "Where does the sea go?"]),
            ("timing lines, 40 lines", [*run, "lines", str(folder / "s40.txt")]),
            ("timing lines, 1,000 lines", [*run, "lines", str(folder / "s1000.txt")]),
            ("timing sheet, 5 min of speech", [*run, "sheet", str(folder / "five.txt"), "--force"]),
            ("timing proof, 5 min of speech", [*run, "proof", str(folder / "five.txt"), "--force"]),
            ("timing reel, 1 min of it", [*run, "reel", str(folder / "five.txt"), "--to", "1:00", "--force"]),
            ("import reportlab (bare)", ["-c", "import reportlab.pdfgen.canvas"]),
            ("timing tempo, 4 min song", [*run, "tempo", str(folder / "song.wav"), "--bpm", "120"]),
            ("import numpy, av (bare)", ["-c", "import numpy, av"]),
            ("timing demo", [*run, "demo", str(folder / "demo"), "--force"]),
            ("timing demo, again", [*run, "demo", str(folder / "demo"), "--force"]),
        ]
        plain = example(folder / "plain")
        rows += [(label, [*run, "sheet", plain]) for label in (UNHEARD, AGAIN, REWORDED)]
        if options.long:
            rows.append(("timing sheet, 90 min of speech", [*run, "sheet", str(folder / "ninety.txt"), "--force"]))
            episode = str(scratch(folder))
            rows += [
                ("timing listen, 10 min of scratch", [*run, "listen", episode]),
                ("timing listen, the same again", [*run, "listen", episode]),
            ]
        table: dict[str, str] = {}
        print(f"{'':44s} {'CPU s':>7s} {'peak MB':>8s}")
        for label, arguments in rows:
            runs = 1 if "demo" in label or "example" in label or "min of s" in label else options.runs
            if label == REWORDED:
                reworded(plain)
            seconds, peak = measured(arguments, runs)
            print(f"{label:44s} {seconds:7.2f} {peak:8.0f}", flush=True)
            table[label] = f"| {label} | {seconds:.2f} | {peak:.0f} |"
    if not options.dry:
        rewrite(table)


if __name__ == "__main__":
    main()
