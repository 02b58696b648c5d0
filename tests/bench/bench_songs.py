"""Figures for songs: beat grids, bars, speed, lines set to beats.

usage: bench_songs.py songs SONGS_DIR TRUTH_DIR [--library]   beats of rendered songs against their truth
       bench_songs.py lines LINES.json                        lyric lines through timing.set_to_beat
       bench_songs.py speed SONG [--library]                  one song: seconds of one core, memory

SONGS_DIR holds NAME.wav, TRUTH_DIR NAME.json (beats, downbeats, steady_from, bpb). F30/F70: F measure at 30
and 70 ms; CMLt/AMLt: continuity (mir_eval). ``--library`` runs a general audio-analysis library (librosa, ISC licence, where
installed; nothing else here needs it) on the same songs in the same run: its beats as they come, with the bpm given
and 28 ms earlier (its own lateness on these songs), and those put on one straight line. Its first call compiles; that
is not counted with the songs. Run it with the project on PYTHONPATH and OMP_NUM_THREADS=1.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import resource
import statistics
import sys
import time
from collections import defaultdict
from fractions import Fraction
from pathlib import Path

import numpy as np

from timing.model.metre import COMMON_TIME, Metre

LIBRARY, LIBRARY_LATE_S = "library", 0.028
UNSTEADY = ("drift", "change", "rit", "pause", "break", "rubato")


def score(truth: dict, beats, downbeats, bpm: float) -> dict[str, float]:
    import mir_eval

    ref = np.array([b for b in truth["beats"] if b >= truth["steady_from"] - 0.01])
    true_bpm = 60 / np.median(np.diff(ref))

    def near(times):
        at = np.asarray(times, float)
        return at[(at > ref[0] - 0.5) & (at < ref[-1] + 0.5)]

    found, bars = near(beats), near(downbeats)
    cml = mir_eval.beat.continuity(ref, found)
    off = found[np.abs(found[:, None] - ref).argmin(0)] - ref if len(found) else np.array([9.0])
    hits = off[np.abs(off) < 0.07]
    ref_bars = np.array([b for b in truth["downbeats"] if b >= truth["steady_from"] - 0.01])
    is_right = abs(bpm / true_bpm - 1) < 0.04
    return {
        "F70": mir_eval.beat.f_measure(ref, found),
        "F30": mir_eval.beat.f_measure(ref, found, 0.03),
        "CMLt": cml[1],
        "AMLt": cml[3],
        "offset ms": 1000 * abs(float(np.median(hits))) if len(hits) else np.nan,
        "bpm error": abs(bpm - true_bpm) if is_right else np.nan,
        "octave right": float(is_right),
        "bars F70": mir_eval.beat.f_measure(ref_bars, bars) if len(bars) else np.nan,
    }


def metre_of(truth: dict) -> tuple[int, int]:
    return {2: Metre(6, 8) if "six8" in truth["name"] else Metre(2, 4), 3: Metre(3, 4)}.get(truth["bpb"], COMMON_TIME)


def songs(folder: Path, truth_folder: Path, library: bool) -> None:
    from timing.song.beats.grid import find_tempo, measure_song

    rows: dict[tuple[str, str], list[dict]] = defaultdict(list)
    warned = missed = false_alarms = 0
    spent = library_spent = length = 0.0
    if library:
        began = time.process_time()
        list(run_library(next(folder.glob("*.wav")), 100.0))
        print(f"library: {time.process_time() - began:.1f} s of processor time for its first song, compiling included")
    for file in sorted(truth_folder.glob("*.json")):
        truth = json.loads(file.read_text())
        song = folder / f"{truth['name']}.wav"
        kind = "unsteady" if truth["name"].startswith(UNSTEADY) else "steady"
        ref = [b for b in truth["beats"] if b >= truth["steady_from"] - 0.01]
        bpm, metre = float(60 / np.median(np.diff(ref))), metre_of(truth)
        bars = [b for b in truth["downbeats"] if b >= truth["steady_from"] - 0.01]
        began = time.process_time()
        measured = measure_song(song)
        spent += time.process_time() - began
        alone, length = measured.grid, length + measured.length_s
        hinted = find_tempo(song, bpm)
        told = find_tempo(song, bpm, metre, bars[len(bars) // 2])
        for name, grid in (("no help", alone), ("bpm given", hinted), ("bpm, metre, one downbeat", told)):
            rows[kind, name].append(score(truth, grid.beats_s, grid.downbeats_s, grid.bpm))
        wrong = rows[kind, "no help"][-1]["octave right"] == 0
        says = any(f.code == "tempo-octave" for f in alone.findings)
        warned, missed, false_alarms = (
            warned + (wrong and says),
            missed + (wrong and not says),
            false_alarms + (says and not wrong),
        )
        if library:
            for name, beats, found, seconds in run_library(song, bpm):
                rows[kind, name].append(score(truth, beats, [], found))
                library_spent += seconds if name == LIBRARY else 0.0
        bad = rows[kind, "bpm, metre, one downbeat"][-1]
        if min(bad["F30"], bad["CMLt"], bad["bars F70"]) < 0.97:
            print(f"  {truth['name']}: " + ", ".join(f"{k} {v:.3f}" for k, v in bad.items()))
    for (kind, name), found in sorted(rows.items()):
        print(f"{kind:8} {name:26} n={len(found)} " + "  ".join(summary(k, found) for k in found[0]))
    print(f"octave errors without help: {warned + missed}, warned of {warned}; warnings on right tempos {false_alarms}")
    print(f"{spent:.1f} s of processor time for {length / 60:.0f} minutes of songs without help")
    if library:
        print(f"{library_spent:.1f} s for the library's beats of the same songs")


def summary(key: str, rows: list[dict]) -> str:
    values = [r[key] for r in rows if not np.isnan(r[key])]
    if not values:
        return f"{key} -"
    if key in ("bpm error", "offset ms"):
        return f"{key} median {statistics.median(values):.4f} max {max(values):.3f}"
    return f"{key} {statistics.mean(values):.3f}"


def run_library(song: Path, bpm: float):
    """Yield (name, beats, bpm, seconds of processor time)."""
    import librosa

    began = time.process_time()
    sound, rate = librosa.load(song, sr=22050)
    tempo, beats = librosa.beat.beat_track(y=sound, sr=rate, units="time")
    yield LIBRARY, beats, float(np.atleast_1d(tempo)[0]), time.process_time() - began
    tempo, beats = librosa.beat.beat_track(y=sound, sr=rate, units="time", bpm=bpm)
    beats = beats - LIBRARY_LATE_S
    yield f"{LIBRARY}, bpm given", beats, float(np.atleast_1d(tempo)[0]), 0.0
    if len(beats) > 2:
        slope, first = np.polyfit(np.arange(len(beats)), beats, 1)
        yield f"{LIBRARY}, bpm, one line", first + slope * np.arange(len(beats)), 60 / slope, 0.0


def lines(path: Path) -> None:
    from timing import set_to_beat

    tally: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0] * 6)
    for record in json.loads(path.read_text("utf-8")):
        metre = tuple(int(x) for x in record["metre"].split("/"))
        parts = metre.parts
        wanted = [Fraction(p) / parts for p in record["pos"]]
        for which in ("nothing", "first", "both ends"):
            pins = {}
            if which != "nothing":
                pins["first"] = pin(wanted[0], metre)
            if which == "both ends" and len(wanted) > 1:
                pins["last"] = pin(wanted[-1], metre)
            language = {"en": "en_US", "de": "de_DE"}[record["lang"]]
            found = set_to_beat(record["text"], 96, metre, record["bars"], language, **pins)
            row = tally[record["kind"], which]
            row[5] += 1
            places = [metre.position_of(s.bar, s.beat) for s in found]
            same = [a == b for a, b in zip(places, wanted, strict=False)]
            row[0] += sum(same)
            row[1] += len(wanted)
            row[2] += all(same) and len(places) == len(wanted)
            for s, a, b in zip(found, places, wanted, strict=False):
                if s.stress == 1:
                    row[3] += a // 1 == b // 1
                    row[4] += 1
    for (kind, which), (hit, total, whole, right, strong, count) in sorted(tally.items()):
        print(
            f"{kind:8} {count:3} lines, pinned {which:9}: syllables {100 * hit / total:.1f} %, "
            f"stressed on the right beat {100 * right / max(1, strong):.1f} %, whole line {100 * whole / count:.1f} %"
        )


def pin(position: Fraction, metre) -> tuple[int, Fraction]:

    return metre.bar_and_beat(position)


def speed(song: Path, library: bool) -> None:
    """Run each in a process of its own, so that memory and imports are its own too."""
    for work in (_ours, _library) if library else (_ours,):
        process = multiprocessing.get_context("spawn").Process(target=work, args=(song,))
        process.start()
        process.join()


def _ours(song: Path) -> None:
    began = time.process_time()
    from timing.song.beats.grid import measure_song

    measured = measure_song(song)
    _say("timing", time.process_time() - began, measured.length_s)


def _library(song: Path) -> None:
    for name in ("library, first call", "library, second call"):
        began = time.process_time()
        import librosa

        sound, rate = librosa.load(song, sr=22050)
        librosa.beat.beat_track(y=sound, sr=rate, units="time")
        _say(name, time.process_time() - began, len(sound) / rate)


def _say(name: str, spent: float, length_s: float) -> None:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{name}: {length_s:.0f} s of song, {spent:.2f} s of processor time with imports, {peak:.0f} MB at most")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=["songs", "lines", "speed"])
    parser.add_argument("paths", nargs="+", type=Path)
    parser.add_argument("--library", action="store_true")
    options = parser.parse_args()
    if options.what == "songs":
        songs(*options.paths, options.library)
    elif options.what == "speed":
        speed(*options.paths, options.library)
    else:
        lines(*options.paths)


if __name__ == "__main__":
    sys.exit(main())
