"""Measures the verdicts of ``timing dub`` on timed human readings; not collected by pytest.

    python tests/bench/bench_dub.py FILE [FILE ...]      lists of {"text", "seconds", "speaker", "style", "source"}

FILE is an evaluation set kept outside the project. No open set of the same lines timed in two languages was to be had,
so another voice stands for another language: a line's window is what another speaker of the same kind of speech took
for another line of about as many syllables (0.7 to 1.43 times), and the verdict is made from the text alone. What it
does not measure is how far a language's own rate is off.

A decided line is right where its measured length bears the verdict out: "too long" over the window and a tenth,
"short" under four fifths of it, "fits" not over the window and a tenth (and, counted apart, not under four fifths).
"""

from __future__ import annotations

import argparse
import collections
import json
import random
import re
import sys
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from timing.dub.verdicts import OVER, UNDER, verdict
from timing.language import read_line
from timing.model.dub import Verdict, Window
from timing.timers.delivery import SpeakerFactor, calibrate
from timing.timers.pace import PaceTimer

DELIVERIES = {"LJ": "narration", "Libri": "narration", "RAVDESS": "dialogue", "TESS": "slow"}
WINDOWS = 20  # for each line
RECORDED = 3  # lines of the speaker that are recorded before
Row = dict[str, object]


def delivery_of(row: Row) -> str | None:
    source, style = str(row.get("source", "")), str(row.get("style", ""))
    if not source:
        return None if str(row["speaker"]).lower().startswith("spk") else "narration"
    if source == "RAVDESS" and style.endswith("strong"):
        return "strong"
    return next((delivery for start, delivery in DELIVERIES.items() if source.startswith(start)), None)


def measure(rows: Sequence[Row]) -> None:
    groups: dict[str, list[Row]] = collections.defaultdict(list)
    for row in rows:
        if delivery := delivery_of(row):
            groups[delivery].append(row)
    print("delivery, pace: lines, windows | decided | right of these | too long, short, fits: decided (right) | fits, "
          "and in truth under four fifths")  # fmt: skip
    for delivery, own in groups.items():
        for recorded in (0, RECORDED):
            print(f"{delivery}, {f'{recorded} lines recorded' if recorded else 'from the text alone'}: ", end="")
            print(tally(own, delivery, recorded))


def tally(rows: Sequence[Row], delivery: str, recorded: int) -> str:
    dice = random.Random(7)
    utterances = {str(r["text"]): read_line(re.sub(r"\s*[()]\s*", ", ", str(r["text"])).strip(", ")) for r in rows}
    plain = PaceTimer(factor=SpeakerFactor(delivery, 1.0, 0.0, 0))
    ruled = {text: plain.time(utterance).length for text, utterance in utterances.items()}
    counts: collections.Counter[Verdict] = collections.Counter()
    right: collections.Counter[Verdict] = collections.Counter()
    lines = windows = slack = 0
    for row in rows:
        text, seconds = str(row["text"]), Fraction(str(row["seconds"]))
        others = [r for r in rows if r["speaker"] == row["speaker"] and r is not row]
        if recorded and len(others) < recorded:
            continue
        sample = [(ruled[str(r["text"])], Fraction(str(r["seconds"]))) for r in dice.sample(others, recorded)]
        factor = calibrate(sample, delivery) if recorded else None
        line = PaceTimer(delivery=delivery, factor=factor).time(utterances[text])
        count = utterances[text].syllable_count
        near = [
            r for r in rows
            if r["speaker"] != row["speaker"] and 0.7 <= utterances[str(r["text"])].syllable_count / count <= 1.43
        ]  # fmt: skip
        lines += bool(near)
        for other in dice.sample(near, min(WINDOWS, len(near))):
            window = Window(Fraction(0), Fraction(str(other["seconds"])))
            found = verdict(line.low, line.length, line.high, window)
            windows += 1
            counts[found] += 1
            right[found] += bears_out(found, seconds, window)
            slack += found is Verdict.FITS and seconds < window.length * UNDER
    decided = [v for v in Verdict if v is not Verdict.RECORD]
    sure, good = sum(counts[v] for v in decided), sum(right[v] for v in decided)
    parts = ", ".join(f"{v.value} {counts[v]} ({right[v]})" for v in decided)
    share = f"{100 * good / sure:.1f} %" if sure else "-"
    return f"{lines}, {windows} | {100 * sure / max(1, windows):.1f} % | {share} | {parts} | {slack}"


def bears_out(found: Verdict, seconds: Fraction, window: Window) -> bool:
    if found is Verdict.TOO_LONG:
        return seconds > window.length * OVER
    if found is Verdict.SHORT:
        return seconds < window.length * UNDER
    return seconds <= window.length * OVER


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", type=Path, nargs="+")
    measure([row for path in parser.parse_args().files for row in json.loads(path.read_text("utf-8"))])


if __name__ == "__main__":
    main()
