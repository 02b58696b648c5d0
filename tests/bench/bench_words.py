"""Measures the reading of words and the length of lines; not collected by pytest.

    python tests/bench/bench_words.py --model                      unknown words, on the tenth never trained on
    python tests/bench/bench_words.py --syllables FOLDER           sets of {"word", "accept" or "counts"}
    python tests/bench/bench_words.py --durations FILE [FILE ...]  lists of {"text", "seconds", "speaker", "style"}
    python tests/bench/bench_words.py --languages                  factors that give each language its published rate
    python tests/bench/bench_words.py --speed

FOLDER and FILE are evaluation sets kept outside the project. A line's text may hold spoken parentheses, which
a script
would mean as directions: they are read as commas here.
"""

from __future__ import annotations

import argparse
import collections
import json
import math
import random
import re
import resource
import statistics
import subprocess
import sys
import time
import zlib
from collections.abc import Callable, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from timing.language import read_line, syllabify
from timing.timers.delivery import PRIOR_LINES, TABLE, Z80
from timing.timers.pace import PaceTimer

CODES = {"en": "en_US", "de": "de_DE", "es": "es", "fr": "fr", "it": "it_IT", "it_la": "it_IT", "pt": "pt_BR"}


# --- syllables -----------------------------------------------------------------------------------------------


def score_syllables(folder: Path) -> None:
    for path in sorted(folder.glob("*.json")):
        rows = json.loads(path.read_text("utf-8"))
        if path.stem in ("durations", "tokens") or not isinstance(rows, list):
            continue
        code = CODES.get(path.stem.split("_", 1)[1], "en_US") if path.stem[:2] != "en" else "en_US"
        groups = {path.stem: rows}
        if rows and "in_cmudict" in rows[0]:
            groups["  in the dictionary"] = [r for r in rows if r["in_cmudict"]]
            groups["  not in it"] = [r for r in rows if not r["in_cmudict"]]
        for name, group in groups.items():
            counted = exact = 0
            for row in group:
                pieces = syllabify(row["word"], code)
                accepted = row.get("accept")
                counts = {a.count("-") + 1 for a in accepted} if accepted else set(row["counts"])
                counted += len(pieces) in counts
                exact += bool(accepted) and _same(pieces, accepted, code)
            line = f"{name:22s} n {len(group):5d}  count {100 * counted / len(group):6.2f} %"
            print(line + (f"  exact {100 * exact / len(group):6.2f} %" if "accept" in group[0] else ""))


def _same(pieces: Sequence[str], accepted: Sequence[str], code: str) -> bool:
    """Compare breaks; in German s-t may stand before or between (old and new convention)."""
    found = "-".join(pieces)
    if found in accepted:
        return True
    return code.startswith("de") and any(re.sub("s-?t", "st", a) == re.sub("s-?t", "st", found) for a in accepted)


def score_model() -> None:
    """Count, sounds and stress of dictionary words that training left out, with the dictionary switched off
    for them."""
    from timing.language.english import rules as english
    from timing.language.english import table as english_table

    def is_left_out(word: str) -> bool:
        return zlib.crc32(word.encode()) % 10 == 0

    words = [line.split(b"\t")[0].decode() for line in english_table._lines().split(b"\n") if line]
    sample = [w for w in words if is_left_out(w) and len(w) > 1]
    random.Random(1).shuffle(sample)
    sample = sample[:3000]
    counted = sounds = 0
    started = time.process_time()
    for word in sample:
        known = english_table.find(word)
        guessed = english._guessed(word)
        vowels = {sum(p in english_vowels() for p in k.phones) for k in known}
        counted += sum(p in english_vowels() for p in guessed.phones) in vowels
        sounds += guessed.phones in {k.phones for k in known}
    spent = (time.process_time() - started) / len(sample)
    print(
        f"never seen: n {len(sample)}  vowels right {100 * counted / len(sample):.2f} %  "
        f"all sounds right {100 * sounds / len(sample):.2f} %  {1000 * spent:.1f} ms a word"
    )


def english_vowels() -> frozenset[str]:
    from timing.model import VOWELS

    return VOWELS


# --- lengths -------------------------------------------------------------------------------------------------

Row = tuple[str, float, float, float]  # speaker, seconds, predicted without a factor, at a constant syllable rate


def score_durations(paths: Sequence[Path]) -> None:
    groups: dict[str, list[Row]] = collections.defaultdict(list)
    timer = PaceTimer(delivery="narration")
    timer.scale = 1.0
    cache: dict[str, tuple[float, float]] = {}
    for path in paths:
        for row in json.loads(path.read_text("utf-8")):
            text = re.sub(r"\s*[()]\s*", ", ", row["text"]).strip(", ").replace(",,", ",")
            if text not in cache:
                utterance = read_line(text)
                cache[text] = float(timer.time(utterance).length), 0.2 * utterance.syllable_count
            entry = (row["speaker"], row["seconds"], *cache[text])
            for group in _groups(row):
                groups[group].append(entry)
    print(
        "group, speakers, lines: factor, sd speaker, sd line | with the delivery's factor, the speaker's own "
        "(leave one "
        "out: plain / shrunk), from three lines (plain / shrunk) | constant rate the same | 80 % range holds, of "
        "speakers not fitted on; with our table"
    )
    for group, rows in groups.items():
        ours = _errors(rows, lambda r: r[2])
        constant = _errors(rows, lambda r: r[3])
        delivery = {"narrators": "narration", "acted": "dialogue", "acted strong": "strong", "careful": "slow"}.get(
            group
        )
        cover = _coverage(rows)
        table = f"{_coverage_of_table(rows, delivery):.0f}" if delivery else "-"
        print(f"{group:22s} {ours} | {constant.split(' | ')[1]} | {cover:.0f} %, {table} %")


def _groups(row: dict[str, str]) -> list[str]:
    source, style = row.get("source", ""), row.get("style", "")
    if source == "RAVDESS":
        return ["acted strong" if style.endswith("strong") else "acted", "acted, all"]
    if source == "TESS":
        return ["careful"]
    if "second language" in style:
        return ["second language, child" if "child" in style else "second language"]
    speaker = row["speaker"].lower()
    if not source:
        found = ["sentences" if speaker.startswith("spk") else "narrators"]
    elif source.startswith(("LJ", "Libri")):
        found = ["narrators"]
    else:
        found = ["sentences"]
    return [*found, "one narrator"] if speaker.startswith("lj") or source.startswith("LJ") else found


def _by_speaker(rows: Sequence[Row], predict: Callable[[Row], float]) -> list[list[tuple[float, float]]]:
    found: dict[str, list[tuple[float, float]]] = collections.defaultdict(list)
    for row in rows:
        found[row[0]].append((row[1], predict(row)))
    return list(found.values())


def _spread(speakers: Sequence[Sequence[float]]) -> tuple[float, float, float]:
    """Return mean, sd between and sd within of log factors: one-way random effects by analysis of variance."""
    sizes = [len(s) for s in speakers]
    total, groups = sum(sizes), len(speakers)
    means = [statistics.fmean(s) for s in speakers]
    grand = statistics.fmean([x for s in speakers for x in s])
    within = sum((x - m) ** 2 for s, m in zip(speakers, means, strict=True) for x in s) / max(1, total - groups)
    if groups == 1:
        return grand, 0.0, within**0.5
    between = sum(n * (m - grand) ** 2 for n, m in zip(sizes, means, strict=True)) / (groups - 1)
    size = (total - sum(n * n for n in sizes) / total) / (groups - 1)
    variance = max(0.0, (between - within) / size)
    weights = [1 / (variance + within / n) for n in sizes]
    mean = sum(w * m for w, m in zip(weights, means, strict=True)) / sum(weights)
    return mean, variance**0.5, within**0.5


def _errors(rows: Sequence[Row], predict: Callable[[Row], float]) -> str:
    speakers = _by_speaker(rows, predict)
    mean, between, within = _spread([[math.log(s / p) for s, p in lines] for lines in speakers])
    generator = random.Random(7)
    given, own, own_shrunk, three, three_shrunk = [], [], [], [], []
    for lines in speakers:
        given += [abs(math.exp(mean) * p - s) / s for s, p in lines]
        if len(lines) > 2:
            for index, (s, p) in enumerate(lines):
                others = [pair for i, pair in enumerate(lines) if i != index]
                plain, shrunk = _factors(others, mean)
                own.append(abs(plain * p - s) / s)
                own_shrunk.append(abs(shrunk * p - s) / s)
        if len(lines) > 4:
            for _ in range(40):
                order = generator.sample(range(len(lines)), min(13, len(lines)))
                plain, shrunk = _factors([lines[i] for i in order[:3]], mean)
                for s, p in (lines[i] for i in order[3:]):
                    three.append(abs(plain * p - s) / s)
                    three_shrunk.append(abs(shrunk * p - s) / s)
    shown = [f"{100 * statistics.fmean(e):.1f}" if e else "-" for e in (given, own, own_shrunk, three, three_shrunk)]
    return (
        f"{len(speakers):3d} {len(rows):4d}: {math.exp(mean):.2f} {between:.3f} {within:.3f} | "
        f"{shown[0]}, {shown[1]} / {shown[2]}, {shown[3]} / {shown[4]}"
    )


def _factors(lines: Sequence[tuple[float, float]], mean: float) -> tuple[float, float]:
    """Return the plain ratio of sums and the factor that the calibration gives."""
    logs = statistics.fmean([math.log(s / p) for s, p in lines])
    weight = len(lines) / (len(lines) + PRIOR_LINES)
    return sum(s for s, _ in lines) / sum(p for _, p in lines), math.exp(mean + weight * (logs - mean))


def _coverage(rows: Sequence[Row]) -> float:
    """Return how many per cent of lines the 80 % range holds when it was fitted on the other speakers."""
    speakers = [[math.log(s / p) for s, p in lines] for lines in _by_speaker(rows, lambda r: r[2])]
    if len(speakers) < 3:
        return math.nan
    inside = 0
    for index, lines in enumerate(speakers):
        mean, between, within = _spread([s for i, s in enumerate(speakers) if i != index])
        inside += sum(abs(x - mean) < Z80 * math.hypot(between, within) for x in lines)
    return 100 * inside / len(rows)


def _coverage_of_table(rows: Sequence[Row], delivery: str) -> float:
    row = TABLE[delivery]
    spread = Z80 * math.hypot(row.speaker_sd, row.line_sd)
    inside = sum(abs(math.log(r[1] / r[2] / row.factor)) < spread for r in rows)
    return 100 * inside / len(rows)


# --- languages and speed ---------------------------------------------------------------------------------------

SAMPLES = json.loads((Path(__file__).parents[1] / "language" / "data" / "reading_rates.json").read_text("utf-8"))


def show_languages() -> None:
    lengths = {}
    for row in SAMPLES:
        code = row["language"]
        utterance = read_line(row["text"], code)
        timer = PaceTimer("en_US", "narration")
        timer.scale = 1.0
        spoken = sum(float(s.end - s.start) for w in timer.time(utterance).words for s in w.syllables)
        lengths[code] = spoken / utterance.syllable_count
    rates = {row["language"]: row["syllables_per_s"] for row in SAMPLES}
    for code, length in lengths.items():
        factor = lengths["en_US"] * rates["en_US"] / rates[code] / length
        print(f"{code:6s} {1000 * length:5.0f} ms a syllable by rule, factor {factor:.2f}")


def show_speed() -> None:
    root = str(Path(__file__).parents[2])
    text = "Where does the sea go, little limpet, when nobody looks and the moon is over the rocks? "
    code = (
        f"import sys,time,resource;t=time.process_time();sys.path.insert(0,{root!r});"
        "from timing.language import read_line;from timing.timers.pace import PaceTimer;"
        "PaceTimer().time(read_line('Tansy'));a=time.process_time()-t;"
        f"[PaceTimer().time(read_line({text!r})) for _ in range(63)];b=time.process_time()-t-a;"
        "print(f'first word {a:.3f} s, then 1,071 words {b:.3f} s, %d MB' % (resource.getrusage("
        "resource.RUSAGE_SELF).ru_maxrss//1024))"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
    print(f"this process {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--syllables", type=Path)
    parser.add_argument("--durations", type=Path, nargs="+")
    parser.add_argument("--model", action="store_true")
    parser.add_argument("--languages", action="store_true")
    parser.add_argument("--speed", action="store_true")
    asked = parser.parse_args()
    if asked.syllables:
        score_syllables(asked.syllables)
    if asked.durations:
        score_durations(asked.durations)
    if asked.model:
        score_model()
    if asked.languages:
        show_languages()
    if asked.speed:
        show_speed()


if __name__ == "__main__":
    main()
