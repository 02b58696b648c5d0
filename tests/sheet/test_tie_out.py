"""Every figure on paper against plan.json, read back from the PDF's text by an independent library (pypdfium2)."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from math import floor

import pypdfium2
import pytest

from tests.sheet import plans
from tests.sheet.hard_set import came_back, counted, long_names, sung
from timing.model import Plan
from timing.model.metre import Metre
from timing.sheet import render_sheets

FPS = 24
MM = 25.4 / 72


@dataclass(frozen=True)
class Read:
    """A run of text as the reader finds it, in millimetres from the top left corner."""

    text: str
    left: float
    top: float
    right: float
    foot: float


def read(pdf: bytes) -> list[list[Read]]:
    """Return the text of every page, run by run."""
    pages = []
    for page in pypdfium2.PdfDocument(pdf):
        text, height = page.get_textpage(), page.get_height()
        runs = []
        for n in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(n)
            told = text.get_text_bounded(left, bottom, right, top).strip()
            runs.append(Read(told, left * MM, (height - top) * MM, right * MM, (height - bottom) * MM))
        pages.append(runs)
    return pages


def tenths(seconds: float) -> str:
    """Return seconds to a tenth, halves up, by the decimal library."""
    return str(Decimal(str(seconds)).quantize(Decimal("0.1"), ROUND_HALF_UP))


def label_of(frame: int) -> str:
    """Return SMPTE time code of a frame at 24 a second, worked out by division."""
    seconds, frames = divmod(frame, FPS)
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}:{frames:02d}"


def letters(text: str) -> str:
    """Return a text's letters: the reader joins what a hyphen divides, with a sign of its own."""
    return "".join(c for c in text if c.isalnum())


PLANS = {
    "talk": plans.talk_plan(),
    "split": plans.split_plan(),
    "long names": replace(long_names(), lines=long_names().lines[:12], clips=long_names().clips[:12]),
    "came back": came_back(),
    "wide": plans.talk_plan(layout="wide"),
}


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_every_syllable_stands_on_the_frame_that_plan_json_says(plan: Plan) -> None:
    told = json.loads(json.dumps(plan.to_json()))
    lines = {line["id"]: line for line in told["lines"]}
    checked = 0
    found: dict[str, list[tuple[str, int]]] = {}
    for runs in read(render_sheets(plan).pdf):
        if not any(run.text == "frame sheet" for run in runs):
            continue
        numbers = [run for run in runs if run.text.isdigit() and run.right - run.left < 6 and run.top > 35]
        columns = sorted({round(run.right, 0) for run in numbers})
        columns = [c for c in columns if sum(abs(run.right - c) < 1.2 for run in numbers) > 15]
        for run in runs:
            beside = [n for n in numbers if any(abs(n.right - c) < 1.2 for c in columns) and n.right < run.left]
            if not beside or run in numbers:
                continue
            nearest = max(n.right for n in beside)
            row = min((n for n in beside if nearest - n.right < 3), key=lambda n: abs(n.top - run.top))
            if abs(row.top - run.top) < 1.6:
                found.setdefault(run.text, []).append((row.text, round(run.left)))
    used: dict[str, int] = {}  # words of a line that its parts before have
    for clip in (clip for clip in told["clips"] if clip["kind"] != "picture"):
        line, first = lines[clip["line"]], used.get(clip["line"], 0)
        used[clip["line"]] = first + len(clip["text"].split())
        for word in line["words"][first : used[clip["line"]]]:
            for syllable in word["syllables"]:
                if syllable["start_frame"] < clip["start_frame"]:
                    continue  # the made-up split lies within a word
                frame = str(syllable["start_frame"] - clip["start_frame"] + 1)
                shown = [t for t in found if letters(t) == letters(syllable["text"])]
                assert any(frame == number for text in shown for number, _ in found[text]), (clip["id"], syllable)
                checked += 1
    assert checked >= 20


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_every_figure_of_the_clip_table_is_plan_jsons(plan: Plan) -> None:
    told = json.loads(json.dumps(plan.to_json()))
    pages = [runs for runs in read(render_sheets(plan).pdf) if any(run.text == "Clip table" for run in runs)]
    runs = [run for page in pages for run in page]
    texts = " ".join(run.text for run in runs)
    for clip in told["clips"]:
        assert f"{clip['start_frame'] + 1}–{clip['end_frame']} ·" in texts, clip["id"]
        assert f"{label_of(clip['start_frame'])}–{label_of(clip['end_frame'])}" in texts
        assert f"needs {tenths(clip['need_s'])}" in texts
    spoken = [tenths(clip["speech_s"]) for clip in told["clips"] if clip["kind"] != "picture"]
    printed = sum(Decimal(value) for value in spoken)  # whoever adds the column up gets the sum below it
    assert f"{printed} s" in texts
    ask = sum(clip["ask_s"] or 0 for clip in told["clips"])
    assert f"{ask:g} s" in texts
    assert f"{sum((clip['ask_s'] or 0) * clip['takes'] for clip in told['clips']):g} s" in texts


def test_every_beat_of_a_bar_sheet_carries_the_frame_that_plan_json_says() -> None:
    plan = sung(counted(Metre(4, 4), 4, 12, 0, (96, 110)), 2, parts=("bars",))
    song = json.loads(json.dumps(plan.to_json()))["songs"][0]
    texts = [run.text for runs in read(render_sheets(plan).pdf) for run in runs]
    shown = {int(text) for run in texts for text in re.findall(r"\b\d+\b", run)}
    start = floor(song["start_s"] * FPS + 0.5)
    for beat in song["beats_s"]:
        assert floor((beat - start / FPS) * FPS + 0.5) + 1 in shown
