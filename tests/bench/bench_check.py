"""How many planted faults ``timing check`` finds in clips that came back, and how many it invents.

    python tests/bench/bench_check.py [--seeds 3] [--clips 20] [--show]

Twenty lines are said by the synthesiser of the tests (three voices, a different breath for each seed), planned with
these as scratch recordings, and sent back as clips: well, in another timbre, read anew, and with one fault each. The
truth is what was planted. "found": the fault is among the findings; "invented": findings beside it, of any kind.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.delivery.deliveries import (
    RATE_HZ,
    clipped,
    other_voice,
    samples_of,
    shifted,
    stretched,
    write_clip,
)
from tests.recording.flite import say
from timing.delivery.check import Checker
from timing.delivery.matching import ClipFile
from timing.episode.guide_sound import guide_files
from timing.export.guide import wav_bytes
from timing.model import LineKind, Plan
from timing.pipeline import make_plan
from timing.script.source import open_source

LINES = (
    "Somebody has taken the sea.",
    "It went out for a walk this morning.",
    "The moon has no arms.",
    "It pulls, and the water follows.",
    "Those are rock pools, the sea's little pockets.",
    "Then it is nearly time to hold on.",
    "My toes are wet.",
    "Good night, sea. See you in the morning.",
    "Did you hear the pebbles humming?",
    "A very small shrimp lives under this stone.",
    "I am not afraid of the big waves any more.",
    "Come and look at my new shell.",
    "We need a longer rope and two buckets.",
    "Where do the stars go when it is light?",
    "Nobody told me that it would be so cold.",
    "The wind is full of salt and feathers.",
    "Please wait for me on the other side.",
    "Yesterday the whole beach was under water.",
    "That was the best breakfast of my life.",
    "Up we go, one step after the other.",
)
VOICES = ("slt", "rms", "awb")
KINDS: dict[str, set[str]] = {
    "good": set(), "other timbre": set(), "read anew": set(),
    "late 5 frames": {"shift"}, "last word cut": {"cut-off-end"}, "file ends early": {"cut-off-end"},
    "wrong line": {"wrong-line"}, "23.976": {"rate"}, "silent": {"silent"}, "clipped": {"clipped"},
    "drift 1 %": {"drift"}, "word left out": {"not-said"},
}  # fmt: skip
# True as well: the files are shorter or longer than was asked for.
BESIDE = {kind: {"too-short", "length"} for kind in ("file ends early", "wrong line", "read anew", "word left out")}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--first", type=int, default=1, help="the first seed")
    parser.add_argument("--clips", type=int, default=20)
    parser.add_argument("--kind", action="append", help="only this kind of delivery")
    parser.add_argument("--show", action="store_true", help="print every verdict that is not as planted")
    options = parser.parse_args()
    totals: Counter[tuple[str, str]] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(options.first, options.first + options.seeds):
            for name, kind, codes, more in verdicts(Path(folder) / str(seed), seed, options.clips, options.kind):
                wanted, beside = KINDS[kind], BESIDE.get(kind, set())
                if kind == "word left out" and "not-said" not in codes:
                    wanted = {"said-differently"}  # the word before or after it taken for it
                totals[kind, "clips"] += 1
                totals[kind, "found"] += wanted <= codes
                totals[kind, "invented"] += bool(codes - wanted - beside)
                totals[kind, "named"] += more == "named"
                totals[kind, "too short to tell"] += more == "short"
                if options.show and (not wanted <= codes or codes - wanted - beside):
                    print(seed, name, kind, sorted(codes), more, flush=True)
    print(f"{'':16} {'clips':>6} {'found':>6} {'invented':>9}")
    for kind in KINDS:
        if not totals[kind, "clips"]:
            continue
        extra = ", ".join(f"{totals[kind, k]} {k}" for k in ("named", "too short to tell") if totals[kind, k])
        found = totals[kind, "found"] if KINDS[kind] else "-"
        print(f"{kind:16} {totals[kind, 'clips']:6} {found:>6} {totals[kind, 'invented']:9}  {extra}")


def verdicts(folder: Path, seed: int, count: int, kinds: list[str] | None) -> Iterator[tuple[str, str, set[str], str]]:
    """Yield (clip, kind, codes found, remark) for each delivery."""
    lines = LINES[:count]
    (folder / "recordings").mkdir(parents=True)
    (folder / "episode.toml").write_text("[profile.default]\nlengths = [3, 4, 5, 6]\n")
    (folder / "script.txt").write_text("".join(f"TANSY: {text}\n\n" for text in lines))
    for n, text in enumerate(lines, 1):
        (folder / "recordings" / f"{n}.wav").write_bytes(wav_bytes(raised(spoken(text, n, seed)), []))
    plan = make_plan(open_source(folder)).plan
    files = guide_files(plan, folder)
    sounds = {c.id: samples_of(files[f"scratch/{c.id}.wav"]) for c in plan.clips}
    checker, begun, done = Checker(plan, folder), time.perf_counter(), 0
    for n, clip in enumerate(plan.clips, 1):
        assert clip.kind is LineKind.SPOKEN
        other = plan.clips[n % len(plan.clips)]
        for kind in kinds or KINDS:
            path = folder / "clips" / f"{clip.id}.mp4"
            sound = delivery(kind, plan, clip.id, sounds, lines[n - 1], n, seed)
            write_clip(path, sound, Fraction(24000, 1001) if kind == "23.976" else Fraction(24))
            check = checker.check(ClipFile(path, path.name, clip.id))
            found = {f.code: f for f in check.findings}
            more = ""
            if kind == "wrong line" and "wrong-line" in found:
                more = "named" if found["wrong-line"].facts.get("clip") == other.id else str(found["wrong-line"].facts)
            if kind == "drift 1 %" and check.drift is None:
                more = "short"
            done += 1
            yield clip.id, kind, set(found), more
    print(f"seed {seed}: {(time.perf_counter() - begun) / max(1, done):.2f} s a clip", file=sys.stderr)


def spoken(text: str, n: int, seed: int) -> NDArray[np.int16]:
    return say(text, VOICES[n % len(VOICES)], seed)[0]


def raised(sound: NDArray[np.int16]) -> NDArray[np.int16]:
    """From the synthesiser's 16 kHz to 48 kHz, with a quarter of a second of faint noise on both sides."""
    long = np.interp(np.arange(len(sound) * 3) / 3, np.arange(len(sound)), sound)
    quiet = np.zeros(RATE_HZ // 4)
    noise = np.random.default_rng(len(sound)).normal(0, 6, len(long) + 2 * len(quiet))
    return (np.concatenate([quiet, long, quiet]) + noise).astype(np.int16)


def delivery(
    kind: str, plan: Plan, clip_id: str, sounds: dict[str, NDArray[np.int16]], text: str, n: int, seed: int
) -> NDArray[np.int16]:
    """Return the sound of one delivery."""
    clips = list(plan.clips)
    at = next(i for i, c in enumerate(clips) if c.id == clip_id)
    clip, sound = clips[at], sounds[clip_id]
    last = plan.line(clip.line).words[-1]
    middle = int(float(clip.head + (last.start + last.end) / 2 - clip.speech_start) * RATE_HZ)
    if kind == "other timbre":
        return other_voice(sound)
    if kind in ("read anew", "word left out"):
        words = text.split()
        if kind == "word left out":
            del words[len(words) // 2]
        fresh = raised(say(" ".join(words), VOICES[(n + (kind == "read anew")) % len(VOICES)], seed + 100)[0])
        out = np.random.default_rng(n).normal(0, 6, max(len(sound), len(fresh))).astype(np.int16)
        out[: len(fresh)] = fresh
        return out
    if kind == "late 5 frames":
        return shifted(sound, 5)
    if kind == "last word cut":
        return np.where(np.arange(len(sound)) < middle, sound, 0).astype(np.int16)
    if kind == "file ends early":
        return sound[:middle]
    if kind == "wrong line":
        return sounds[clips[(at + 1) % len(clips)].id]
    if kind == "silent":
        return np.zeros_like(sound)
    if kind == "clipped":
        return clipped(sound)
    return stretched(sound, 1.01) if kind == "drift 1 %" else sound


if __name__ == "__main__":
    main()
