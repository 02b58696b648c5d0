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
from tests.sheet.hard_set import LONGER, came_back, counted, long_names, many_short, sung
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
    "shared columns": many_short(10, LONGER, (5, 6, 5)),
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
        numbers = [run for run in runs if run.text.isdigit() and run.right - run.left < 6 and run.top > 27]
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


# --- strips, line list, clocks ---------------------------------------------------------------------------


def test_every_clock_of_a_frame_sheet_stands_at_the_frame_where_its_second_begins() -> None:
    """At 24 frames a second 0:02 begins at frame 2 x 24 + 1, and +6 is six frames further."""
    clocks = quarters = 0
    for page in pypdfium2.PdfDocument(render_sheets(plans.talk_plan(parts=("frames",))).pdf):
        for row in page.get_textpage().get_text_range().splitlines():
            if match := re.match(r"(\d+):(\d\d) (\d+)\b", row):
                minutes, seconds, frame = map(int, match.groups())
                assert frame == (60 * minutes + seconds) * FPS + 1, row
                clocks += 1
            elif match := re.match(r"\+(\d+) (\d+)\b", row):
                assert (int(match[2]) - 1) % FPS == int(match[1]), row
                quarters += 1
    assert clocks >= 12
    assert quarters >= 24


def test_every_frame_and_syllable_of_a_strip_stands_where_plan_json_says() -> None:
    """A4 lying: 297 mm less 18 and 8 at the sides and 4 for the lanes' names are 8 s, 192 frames."""
    plan = plans.talk_plan(parts=("strips",))
    told = plan.to_json()
    frame_mm, left = (297 - 18 - 8 - 4) / 192, 18 + 4
    numbers = syllables = 0
    lines = {line["id"]: line for line in told["lines"]}
    strips: dict[str, list[Read]] = {}
    for runs in read(render_sheets(plan).pdf):
        heads = sorted((run for run in runs if re.fullmatch(r"C\d\d", run.text) and run.left < 25), key=lambda r: r.top)
        for n, head in enumerate(heads):
            foot = heads[n + 1].top if n + 1 < len(heads) else 195
            strips[head.text] = [run for run in runs if head.top - 1 <= run.top < foot - 1]
    for clip in told["clips"]:
        runs = strips[clip["id"]]
        assert any(f"ask {clip['ask_s']:g} s" in run.text for run in runs)
        for run in runs:
            if run.text.isdigit():
                assert run.left == pytest.approx(left + (int(run.text) - 1) * frame_mm + 0.5, abs=0.5), run
                numbers += 1
        words = sorted((r for r in runs if r.top > min(x.top for x in runs) + 12), key=lambda r: r.left)
        for syllable in (s for word in lines[clip["line"]]["words"] for s in word["syllables"]):
            at = left + (syllable["start_frame"] - clip["start_frame"]) * frame_mm + 0.8
            near = [r for r in words if abs(r.left - at) < 3.2]
            assert any(letters(r.text) == letters(syllable["text"]) for r in near), (clip["id"], syllable["text"])
            syllables += 1
    assert numbers > 40
    assert syllables > 40


def test_every_figure_of_the_line_list_is_plan_jsons() -> None:
    plan = plans.talk_plan(parts=("lines",))
    told = plan.to_json()
    texts = " ".join(run.text for runs in read(render_sheets(plan).pdf) for run in runs)
    clips = {clip["line"]: clip for clip in told["clips"]}
    for line in told["lines"]:
        count = sum(len(word["syllables"]) for word in line["words"])
        seconds = line["end_s"] - line["start_s"]
        figures = f"{count} {tenths(round(seconds, 6))} {tenths(count / seconds)}"
        assert figures in texts, (line["id"], figures)
        assert f"planned for {clips[line['id']]['ask_s']:g} s" in texts


# --- copied out of the file ------------------------------------------------------------------------------


def test_a_copied_row_is_a_row() -> None:
    """What a reader gets who marks a page and copies it: of a table its rows, of a frame sheet its frames in order."""
    plan = plans.talk_plan(parts=("clips", "queue", "frames"))
    document = pypdfium2.PdfDocument(render_sheets(plan).pdf)
    table = document[0].get_textpage().get_text_range().splitlines()
    assert any(re.match(r"C02 Bram Nobody has taken it\. 1\.4 \d\.\d 5 7 1$", row) for row in table), table
    queue = document[1].get_textpage().get_text_range().splitlines()
    assert any(re.match(r"\d+ C02 \d ~?5 Bram: Nobody has taken", row) for row in queue), queue
    # The reader takes a hyphen at the end of a row for one that divides a word, and joins the rows with U+FFFE.
    sheet = document[2].get_textpage().get_text_range().replace("\ufffe", "- ")
    first, second = sheet.index("C01"), sheet.index("C02")
    read_out = re.sub(r"\+\d+ |\d:\d\d ", "", sheet[first:second]).split()
    rows = read_out[read_out.index("1") :]
    at = [rows.index(str(n)) for n in range(1, 79)]
    assert at == sorted(at)  # frames 1 to 78 one after another
    # By hand: six frames of head, then syllables of 5, 4, 6, 3 and 5 frames; four frames of pause after a comma.
    for frame, syllable in ((7, "Bram,"), (16, "wake"), (20, "up!"), (30, "Some-")):
        assert rows[rows.index(str(frame)) + 1] == syllable
    assert rows[-1] == "78"
