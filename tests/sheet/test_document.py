"""The whole PDF, read back with other libraries; and the laid-out pages against what a printer can do."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from reportlab.lib.pagesizes import A4, letter

from tests.sheet import plans
from tests.sheet.geometry import faults
from timing.model import Plan
from timing.model.metre import Metre
from timing.plain.errors import SettingsError
from timing.sheet import render_sheets
from timing.sheet.document import PARTS, lay_out
from timing.sheet.tables.clip_rows import ClipRow, rows_of

EVERYTHING = tuple(PARTS)


def many_plans() -> Iterator[tuple[str, Plan]]:
    for paper in ("A4", "Letter"):
        for layout in ("page", "wide"):
            yield f"talk {paper} {layout}", plans.talk_plan(paper=paper, layout=layout, parts=EVERYTHING)
    yield "90 rows", plans.talk_plan(rows=90, paper="Letter", parts=EVERYTHING)
    yield "split", plans.split_plan(parts=EVERYTHING)
    yield "together", plans.together_plan(parts=EVERYTHING)
    yield "whole episode", plans.split_plan(parts=EVERYTHING, every_frame=True)
    yield "song", plans.song_plan(plans.song(pickup=1, bpms=(96, 96, 110), bars=9), parts=EVERYTHING)
    yield "6/8", plans.song_plan(plans.song(metre=Metre(6, 8), bpms=(170,)), parts=EVERYTHING)
    long_name = [("THE VERY OLD AND EXTREMELY SLOW SEA CUCUMBER OF THE NORTHERN BAY", text) for _, text in plans.TALK]
    yield "long names", plans.talk_plan(long_name * 6, parts=EVERYTHING)


CASES = [pytest.param(replace(plan, loudness=(plans.loudness_of(plan),)), id=name) for name, plan in many_plans()]


@pytest.mark.parametrize("plan", CASES)
def test_nothing_lies_on_anything_else_or_near_the_edge_and_no_type_is_too_small(plan: Plan) -> None:
    assert not [f"{page.key}: {fault}" for page in lay_out(plan) for fault in faults(page)]


@pytest.mark.parametrize("plan", CASES)
def test_only_embedded_subsets_of_the_shipped_font(plan: Plan) -> None:
    reader = pypdf.PdfReader(io.BytesIO(render_sheets(plan).pdf))
    names = set()
    for page in reader.pages:
        fonts = page["/Resources"].get("/Font", {})
        for font in fonts.values():
            font = font.get_object()
            names.add(font["/BaseFont"])
            assert "/FontFile2" in font["/FontDescriptor"]
    assert names
    assert all(name[7:8] == "+" and "NotoSans-Condensed" in name for name in names), names


@pytest.mark.parametrize("plan", CASES)
def test_links_and_outline_land_on_pages_that_show_their_clip(plan: Plan) -> None:
    reader = pypdf.PdfReader(io.BytesIO(render_sheets(plan).pdf))
    texts = [page.extract_text() for page in reader.pages]
    numbers = {page.indirect_reference.idnum: n for n, page in enumerate(reader.pages)}
    linked = [row.clip.id for row in rows_of(plan, plan.clips) if isinstance(row, ClipRow)]
    targets = []
    for page in reader.pages:
        if "Clip table" not in page.extract_text():
            continue
        notes = [note.get_object() for note in page.get("/Annots") or ()]
        notes.sort(key=lambda note: -float(note["/Rect"][3]))  # the rows from the top down
        targets += [numbers[note["/Dest"][0].idnum] for note in notes]
    assert len(targets) == len(linked)
    for clip_id, number in zip(linked, targets, strict=True):
        assert clip_id in texts[number]
        assert "frame sheet" in texts[number]
    for page, text in zip(reader.pages, texts, strict=True):  # clip numbers on strips and in the line list
        if "Clip table" not in text:
            for note in page.get("/Annots") or ():
                landed = texts[numbers[note.get_object()["/Dest"][0].idnum]]
                assert ("Clip table" if "frame sheet" in text else "frame sheet") in landed  # and back again

    def walk(entries: list) -> Iterator[pypdf.generic.Destination]:
        for entry in entries:
            if isinstance(entry, list):
                yield from walk(entry)
            else:
                yield entry

    titles = []
    for entry in walk(reader.outline):
        titles.append(entry.title)
        number = reader.get_destination_page_number(entry)
        if entry.title.startswith("C") and entry.title[1].isdigit():
            assert entry.title.split(" ")[0].split(".")[0].split("–")[0] in texts[number]
    assert {"Clip table", "Strips", "Frame sheets", "Line list"} <= set(titles)


def test_metadata_and_page_labels() -> None:
    reader = pypdf.PdfReader(io.BytesIO(render_sheets(plans.talk_plan()).pdf))
    assert reader.metadata.title == "E01 Where Does the Sea Go?: timing sheets"
    xmp = reader.xmp_metadata  # read by pypdf, as ISO 16684-1 says
    assert xmp is not None
    assert (xmp.dc_title["x-default"], xmp.dc_language) == (reader.metadata.title, ["en-US"])
    assert reader.metadata.subject == "clip table, first pictures, queue, frame sheets, bar sheets"
    assert reader.trailer["/Root"]["/Lang"] == "en-US"
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert reader.page_labels[2:5] == ["page 3", "frame sheet 1", "frame sheet 2"]
    titles = [entry.title for part in reader.outline if isinstance(part, list) for entry in part]
    assert "C02 Bram: Nobody has taken it. (frame sheet 1)" in titles


# reportlab's own A4 and letter: ISO 216 and 8.5 x 11 in as points.
@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("Letter", letter)])
def test_pages_have_the_size_of_the_paper(paper: str, size: tuple[float, float]) -> None:
    reader = pypdf.PdfReader(io.BytesIO(render_sheets(plans.talk_plan(paper=paper)).pdf))
    assert [float(v) for v in reader.pages[0].mediabox[2:]] == pytest.approx(size, abs=0.01)


def test_words_and_sounds_come_back_whole() -> None:
    plan = plans.talk_plan([("TANSY", "*Stür-misch, *naïve *pebbles"), ("BRAM", "*mor-ning")])
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(render_sheets(plan).pdf)).pages)
    for expected in ("Stür-", "misch,", "naïve", "pebbles", "mor-", "ning", "ɑ", "ɪ", "ɛ"):
        assert expected in text


SCRIPT = """
import hashlib, sys
sys.path.insert(0, {root!r})
from dataclasses import replace
from tests.sheet import plans
from timing.sheet import render_sheets
from timing.sheet.tables.clip_rows import rows_of
plan = plans.song_plan(plans.song(pickup=1), parts=("clips", "strips", "frames", "bars", "lines"))
plan = replace(plan, loudness=(plans.loudness_of(plan),))
print(hashlib.sha256(render_sheets(plan).pdf).hexdigest())
"""


def test_the_same_bytes_in_another_process_with_another_hash_seed() -> None:
    root = str(Path(__file__).resolve().parents[2])
    found = set()
    for seed in ("0", "4711"):
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT.format(root=root)],
            env=os.environ | {"PYTHONHASHSEED": seed}, capture_output=True, text=True, check=True, cwd=root,
        )  # fmt: skip
        found.add(done.stdout.strip())
    assert len(found) == 1


def test_the_same_bytes_on_another_day(monkeypatch: pytest.MonkeyPatch) -> None:
    today = render_sheets(plans.talk_plan()).pdf
    real = time.time
    monkeypatch.setattr(time, "time", lambda: real() + 400 * 86400)
    assert render_sheets(plans.talk_plan()).pdf == today


def test_strips_alone_are_what_the_clip_table_leads_to() -> None:
    reader = pypdf.PdfReader(io.BytesIO(render_sheets(plans.talk_plan(parts=("clips", "strips"))).pdf))
    numbers = {page.indirect_reference.idnum: n for n, page in enumerate(reader.pages)}
    targets = [numbers[note.get_object()["/Dest"][0].idnum] for note in reader.pages[0]["/Annots"]]
    assert targets == [1] * 4 + [2] * 2  # four strips a page


def test_choosing_prints_less_and_numbers_nothing_anew() -> None:
    whole = render_sheets(plans.talk_plan())
    for choice in (
        {"only_clips": ("C04",)},
        {"only_clips": ("c03", "C04")},
        {"only_clips": ("c4",)},
    ):
        part = render_sheets(plans.talk_plan(**choice))
        assert part.register == whole.register
        assert len(pypdf.PdfReader(io.BytesIO(part.pdf)).pages) < len(pypdf.PdfReader(io.BytesIO(whole.pdf)).pages)
    only = render_sheets(plans.talk_plan(only_clips=("C04",), parts=("frames",)))
    text = pypdf.PdfReader(io.BytesIO(only.pdf)).pages[0].extract_text()
    assert "C04" in text
    label = next(s["label"] for s in whole.register["sheets"] if "C04/1" in s["facts"].split(" "))
    assert f"\n{label}\n" in f"\n{text}\n"


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"only_clips": ("C99",)}, 'no clip "C99"'), ({"only_speakers": ("CRAB",)}, 'no speaker "CRAB"'),
        ({"only_scenes": ("MOON",)}, 'no scene "MOON"'), ({"parts": ("poster",)}, 'part "poster" is not known'),
        ({"paper": "A5"}, "A4 or Letter"), ({"layout": "round"}, "page or wide"),
        ({"font": "/nowhere/Font"}, "font not found"),
        ({"only_speakers": ("TANYS",)}, 'did you mean "TANSY"'),
    ],
)  # fmt: skip
def test_what_is_not_there_cannot_be_chosen(settings: dict, message: str) -> None:
    with pytest.raises(SettingsError, match=message):
        render_sheets(plans.talk_plan(**settings))


def test_an_episode_without_speech_still_has_its_pages() -> None:
    seen, shown = plans.picture("1", 0, 96, plans.FrameRate.parse(24))
    made = render_sheets(plans.plan([seen], [shown]))
    assert "1–96" in pypdf.PdfReader(io.BytesIO(made.pdf)).pages[0].extract_text()
