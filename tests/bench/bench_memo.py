"""Whole scripts read in one memo, or several: which lines are found, where, and how true "sure" is.

    python tests/bench/bench_memo.py [quick | chosen | reported | kept | "kept again" | languages | people] --kept FOLDER
        [--speech FOLDER] [--only TEXT]

``quick`` is a few memos of the half on which things are chosen; ``languages`` the reported half of the five other
languages; ``kept`` the scripts and voices that nothing was chosen or looked at on, ``kept again`` others,
for what was chosen after ``kept`` had been reported. ``--kept`` holds what the
synthesisers said (needs Debian's flite and espeak-ng) and what was heard, so that a second run is quick; ``--only``
takes the memos whose name contains a text. What is searched anew when the search changes is up to the store's keys.

A line counts as placed when both its edges lie within 3 frames (24 a second) of its last whole reading; "other" is an
earlier whole reading of it. A line is "wrong" where it is placed on anything else, or was never read. What is not sure
(below ``SURE``) a person is asked about: "asked" counts those, right or wrong. "Left over" is the share of false starts
and talk that is told, as a broken-off reading or as left-over speech.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench")]

from memo_material import Memo, Spec, human, memo  # noqa: E402

from tests.recording.sounds import write_wav  # noqa: E402
from timing.language import phones_for, read_line  # noqa: E402
from timing.recording.listen import Heard, ScriptedLine, listen  # noqa: E402
from timing.store.store import Store  # noqa: E402

EDGE_S = 3 / 24
SURE = 0.5
LOCALES = {"en": "en_US", "pt": "pt_BR", "es": "es", "fr": "fr", "de": "de", "it": "it"}
OUTCOMES = ("placed", "other", "edge", "wrong", "not found")


@dataclass
class Tally:
    """Outcomes of lines that were read (``lines``), and of the whole memo."""

    lines: int = 0
    outcomes: Counter[str] = field(default_factory=Counter)
    asked: Counter[str] = field(default_factory=Counter)  # outcomes of lines that are not sure
    left_over: list[bool] = field(default_factory=list)
    sure: list[tuple[float, bool]] = field(default_factory=list)  # (confidence, is right)
    seconds: float = 0.0
    cost_s: float = 0.0

    def add(self, other: Tally) -> None:
        self.lines += other.lines
        self.outcomes += other.outcomes
        self.asked += other.asked
        self.left_over += other.left_over
        self.sure += other.sure
        self.seconds += other.seconds
        self.cost_s += other.cost_s

    def row(self, name: str) -> str:
        shares = " ".join(f"{100 * self.outcomes[o] / max(1, self.lines):8.1f}" for o in OUTCOMES)
        asked = f"{100 * self.asked['placed'] / max(1, self.lines):7.1f} {100 * self.asked['wrong'] / max(1, self.lines):6.1f}"
        told = f"{100 * np.mean(self.left_over):6.0f}" if self.left_over else "     -"
        return f"{name:46s} {self.lines:5d} {shares} {asked} {told}  {self.cost_s / max(1, self.seconds):6.3f}"

    @staticmethod
    def head() -> str:
        asked = "ask:rt ask:wr"
        return f"{'':46s} {'lines':>5s} {' '.join(f'{o:>8s}' for o in OUTCOMES)} {asked} l.over  x real time"

    def calibration(self) -> str:
        parts = []
        for low, high in ((0.9, 1.01), (0.7, 0.9), (0.5, 0.7), (0.0, 0.5)):
            inside = [right for confidence, right in self.sure if low <= confidence < high]
            share = f"{100 * np.mean(inside):.0f} % right" if inside else "none"
            parts.append(f"{100 * low:.0f} to {100 * min(high, 1):.0f} %: {len(inside)} lines, {share}")
        return "sure by " + "; ".join(parts)


def score(memo: Memo, heard: Heard) -> Tally:
    """Return what became of every line of a memo."""
    tally = Tally(seconds=sum(len(f) for f in memo.files) / 16_000)
    chosen = {take.line_id: take for take in heard.takes if take.is_chosen}
    for number in range(len(memo.lines)):
        whole = [r for r in memo.readings if r.line == number and r.is_whole]
        tally.lines += bool(whole)
        line = heard.lines.get(str(number))
        if line is None or line.take is None or line.take_start is None:
            tally.outcomes["not found"] += bool(whole)
            continue
        file, start = _file(line.take), float(line.take_start)
        end = start + float(line.words[-1].end - line.words[0].start)
        outcome = _outcome(memo, number, file, start, end)
        confidence = chosen[str(number)].confidence if str(number) in chosen else 0.0
        tally.outcomes[outcome] += 1
        tally.asked[outcome] += confidence < SURE
        tally.sure.append((confidence, outcome in ("placed", "other", "edge")))
    told = [(_file(t.file), float(t.start), float(t.end)) for t in heard.takes if not t.is_complete]
    whole = [(_file(t.file), float(t.start), float(t.end)) for t in heard.takes if t.is_complete]
    told += [
        (_file(name), float(a), float(b))
        for name, stretches in getattr(heard, "sounding", {}).items()
        for a, b in stretches
        if not any(f == _file(name) and min(b, y) - max(a, x) > (b - a) / 2 for f, x, y in whole)
    ]
    for file, start, end in memo.left_over:
        covered = sum(max(0.0, min(b, end) - max(a, start)) for f, a, b in told if f == file)
        tally.left_over.append(covered > 0.5 * (end - start))
    return tally


def _outcome(memo: Memo, number: int, file: int, start: float, end: float) -> str:
    whole = [r for r in memo.readings if r.line == number and r.is_whole and r.file == file]
    last = [r for r in memo.readings if r.line == number and r.is_whole][-1:]
    fits = [r for r in whole if abs(r.start - start) <= EDGE_S and abs(r.end - end) <= EDGE_S]
    if fits:
        return "placed" if fits[-1] in last else "other"
    covered = [min(r.end, end) - max(r.start, start) for r in whole]
    lengths = [max(r.end - r.start, end - start) for r in whole]
    return "edge" if any(c > 0.4 * n for c, n in zip(covered, lengths, strict=True)) else "wrong"


def _file(name: str) -> int:
    return int(Path(name).stem.split()[-1]) - 1


def hear(memo: Memo, kept: Path) -> tuple[Heard, float]:
    """Return what the product hears in a memo and the processor seconds it took."""
    locale = LOCALES[memo.language]
    lines = [ScriptedLine(str(n), read_line(text, locale)) for n, text in enumerate(memo.lines)]
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "recordings").mkdir()
        for number, samples in enumerate(memo.files, 1):
            write_wav(Path(folder) / "recordings" / f"New Recording {number}.wav", samples)
        begun = time.process_time()
        heard = listen(
            Path(folder), lines, language=locale, pronounce=lambda w: phones_for(w, locale), store=Store(kept / "heard")
        )
        return heard, time.process_time() - begun


def specs(what: str) -> list[Spec]:
    """Return the memos of one part of the benchmark."""
    if what == "quick":
        return [
            Spec(voice=0, way="lived in"), Spec(voice=1, sound="15 dB"), Spec(voice=2, way="out of order"),
            Spec(voice=2, way="lived in", sound="room"), Spec("pt", way="lived in"), Spec("de", sound="20 dB"),
        ]  # fmt: skip
    if what == "languages":
        return [
            Spec(language, "reported", 0, way, sound)
            for language in ("pt", "es", "fr", "de", "it")
            for way, sound in (("in order", "clean"), ("lived in", "clean"), ("in order", "15 dB"))
        ]
    if what in ("kept", "kept again"):
        return [
            *(Spec("en", what, v, way, sound) for v, (way, sound) in product((0, 1), _SHORT)),
            *(Spec("pt" if what == "kept" else "es", what, 0, way, sound) for way, sound in _SHORT),
            *(Spec("en", what, v, "lived in", "room") for v in (0, 1) if what == "kept again"),
        ]
    ways = [("in order", "clean"), ("lived in", "clean"), ("out of order", "clean")]
    ways += [("lived in", sound) for sound in ("room", "phone", "30 dB", "20 dB", "15 dB", "10 dB")]
    found = [Spec("en", what, voice, way, sound) for voice in range(3) for way, sound in ways]
    return [*found, *(Spec("en", what, voice, "lived in", "clean", 3) for voice in range(3))]


_SHORT = (("in order", "clean"), ("lived in", "clean"), ("in order", "15 dB"), ("lived in", "phone"))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("part", nargs="?", default="quick")
    parser.add_argument("--kept", type=Path, required=True)
    parser.add_argument("--speech", type=Path)
    parser.add_argument("--only", default="")
    asked = parser.parse_args()
    if asked.part == "people":
        jobs = [(f"people, {s}", s, lambda s=s: human(asked.speech, s)) for s in ("clean", "20 dB", "15 dB")]
    else:
        jobs = [
            (s.name, f"{s.language}: {s.way}, {s.sound}", lambda s=s: memo(s, asked.kept)) for s in specs(asked.part)
        ]
    print(Tally.head())
    groups: dict[str, Tally] = {}
    everything = Tally()
    for name, group, make in jobs:
        if asked.only not in name:
            continue
        made = make()
        heard, cost_s = hear(made, asked.kept)
        tally = score(made, heard)
        tally.cost_s = cost_s
        print(tally.row(name), flush=True)
        groups.setdefault(group, Tally()).add(tally)
        everything.add(tally)
    print()
    for group, tally in groups.items():
        print(tally.row(group))
    print(everything.row("all"))
    print(everything.calibration())


if __name__ == "__main__":
    main()
