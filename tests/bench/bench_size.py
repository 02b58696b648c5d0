"""How time and memory grow with what is given: lines, hours of scratch, clips that came back, songs.

    python tests/bench/bench_size.py [--only lines,hours] [--dry]

Every row is one whole process on a folder of its own, measured by the operating system: processor seconds of the
process and of those that it starts, and the highest memory of any of them. The table in DEVELOPERS.md is rewritten;
rows that were not measured stay as they were. The greatest rows take long (an hour of scratch some minutes). Needs a
POSIX system.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import wave
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
EXAMPLE = ROOT / "examples" / "low-tide"
MOST_MB = {"listen": 400, "lines": 300}  # by command: what is promised of an hour of scratch and of 20,000 lines
SENTENCES = (
    "Where does the sea go when nobody is looking at it?",
    "It goes out and it comes back in, twice a day, every day.",
    "Hold on to your shell, the little wave is coming!",
    "I counted 37 puddles and 12 limpets this morning.",
    "Nobody knows.",
    "Then we ask the gull!",
)
CHILD = """
import json, resource, subprocess, sys
code = subprocess.call(sys.argv[1:], stdout=subprocess.DEVNULL)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([code, used.ru_utime + used.ru_stime, used.ru_maxrss]))
"""


def measured(arguments: list[str]) -> tuple[float, float]:
    """Return (processor seconds, peak MB) of ``timing`` with these arguments."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    command = [sys.executable, "-c", CHILD, sys.executable, "-m", "timing", *arguments]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    code, seconds, peak = json.loads(done.stdout.splitlines()[-1])
    if code:
        raise SystemExit(f"failed: timing {' '.join(arguments)}\n{done.stderr[-2000:]}")
    return seconds, peak / (1024 if sys.platform != "darwin" else 1024 * 1024)


def script_of(lines: int) -> str:
    """So many lines; 20,000 of them last 23 hours, and 24 are the most."""
    return (
        "\n".join(f"{'TANSY' if n % 2 else 'BRAM'}: {n % 1000}, {SENTENCES[n % len(SENTENCES)]}" for n in range(lines))
        + "\n"
    )


def lines_at(folder: Path, count: int) -> Path:
    (folder / "script.txt").write_text(script_of(count), "utf-8")
    (folder / "episode.toml").write_text("[gaps]\nline_s = 0.6\n", "utf-8")
    return folder


def hours_at(folder: Path, minutes: int) -> Path:
    """The example with one recording: its takes over and over, two seconds apart, for so many minutes."""
    from timing.sound.decode import read_audio

    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("out", "recordings"), dirs_exist_ok=True)
    (folder / "recordings").mkdir()
    takes = [read_audio(p).samples.tobytes() for p in sorted((EXAMPLE / "recordings").iterdir())]
    with wave.open(str(folder / "recordings" / "memo.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        while file.getnframes() < minutes * 60 * 16_000:
            for take in takes:
                file.writeframes(take + bytes(2 * 2 * 16_000))
    return folder


def clips_at(folder: Path, count: int) -> Path:
    """So many lines, a clip of five seconds with picture and noise back for each."""
    from fractions import Fraction

    import av
    import numpy as np

    lines_at(folder, count)
    (folder / "clips").mkdir()
    rng = np.random.default_rng(1)
    for number in range(1, count + 1):
        with av.open(str(folder / "clips" / f"C{number:02d}.mp4"), "w") as file:
            picture, sound = file.add_stream("mpeg4", rate=24), file.add_stream("aac", rate=48_000, layout="mono")
            picture.width, picture.height, picture.pix_fmt = 320, 180, "yuv420p"
            for n in range(120):
                frame = av.VideoFrame.from_ndarray(np.full((180, 320, 3), 90, np.uint8), "rgb24")
                frame.pts, frame.time_base = n, Fraction(1, 24)
                file.mux(picture.encode(frame))
            noise = rng.normal(0, 2000, 5 * 48_000).astype(np.int16)
            for at in range(0, len(noise), 1024):
                block = av.AudioFrame.from_ndarray(noise[at : at + 1024].reshape(1, -1), "s16", "mono")
                block.sample_rate, block.pts, block.time_base = 48_000, at, Fraction(1, 48_000)
                file.mux(sound.encode(block))
            for stream in (picture, sound):
                file.mux(stream.encode(None))
    return folder


def songs_at(folder: Path, count: int) -> Path:
    """So many songs of three minutes with forty lines each."""
    import numpy as np

    (folder / "songs").mkdir()
    time = np.arange(180 * 22_050) / 22_050
    beat = np.exp(-(time % 0.5) * 18) * np.sin(2 * np.pi * 110 * time) + 0.2 * np.sin(2 * np.pi * 440 * time)
    samples = (0.4 * beat * 32767).astype("<i2").tobytes()
    script, toml = [], []
    for number in range(1, count + 1):
        with wave.open(str(folder / "songs" / f"s{number}.wav"), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(22_050)
            file.writeframes(samples)
        toml.append(f'[song.s{number}]\nfile = "songs/s{number}.wav"\nbpm = 120\nmetre = "4/4"\ndownbeat_s = 0\n')
        script.append(f"[[song s{number}, bar 2]]\n" + "".join(f"~ Out and in the sea goes {n}\n" for n in range(40)))
        script.append(f"\nTANSY: That was song {number}.\n")
    (folder / "script.txt").write_text("\n".join(script), "utf-8")
    (folder / "episode.toml").write_text("\n".join(toml), "utf-8")
    return folder


Make = Callable[[Path, int], Path]
ROWS: tuple[tuple[str, str, Make, int, tuple[str, ...]], ...] = (
    *(("lines", f"lines, {n:,} lines", lines_at, n, ("lines",)) for n in (100, 1_000, 5_000, 20_000)),
    *(("lines", f"sheet, {n:,} lines", lines_at, n, ("sheet",)) for n in (100, 1_000, 5_000)),
    *(("hours", f"listen, {n} min of scratch", hours_at, n, ("listen",)) for n in (5, 15, 60)),
    *(("clips", f"check, {n} clips of 5 s", clips_at, n, ("check",)) for n in (10, 40, 160)),
    *(("songs", f"sheet, {n} songs of 3 min", songs_at, n, ("sheet",)) for n in (1, 4, 16)),
)


def rewrite(rows: dict[str, str]) -> None:
    """Put the rows into the table of DEVELOPERS.md."""
    path = ROOT / "DEVELOPERS.md"
    text = path.read_text("utf-8")
    start, end = text.index("<!-- size -->"), text.index("<!-- /size -->")
    old = [line for line in text[start:end].splitlines() if line.startswith("| ")][2:]
    kept = {line.split(" | ")[0].removeprefix("| "): line for line in old} | rows
    order = {f"timing {label}": n for n, (_, label, *_) in enumerate(ROWS)}
    body = [kept[name] for name in sorted(kept, key=lambda name: order.get(name, 999))]
    table = ["| over size | processor seconds | peak MB |", "| --- | --- | --- |", *body]
    path.write_text(text[:start] + "<!-- size -->\n" + "\n".join(table) + "\n" + text[end:], "utf-8")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--only", default="", help="kinds, separated by commas: lines, hours, clips, songs")
    parser.add_argument("--least", type=int, default=0, help="no size below this")
    parser.add_argument("--most", type=int, default=10**9, help="no size above this")
    parser.add_argument("--dry", action="store_true", help="leave DEVELOPERS.md as it is")
    options = parser.parse_args()
    over = 0
    for kind, label, make, size, command in ROWS:
        if not options.least <= size <= options.most or (options.only and kind not in options.only.split(",")):
            continue
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name) / "episode"
            folder.mkdir()
            seconds, peak = measured([*command, str(make(folder, size))])
        is_over = peak > MOST_MB.get(command[0], 1_000)
        over += is_over
        print(f"timing {label:32s} {seconds:9.2f} s {peak:7.0f} MB{'  more than promised' * is_over}", flush=True)
        if not options.dry:
            rewrite({f"timing {label}": f"| timing {label} | {seconds:.2f} | {peak:.0f} |"})
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main())
