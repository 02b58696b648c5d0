"""The pages of first pictures and of the queue, read back from the PDF's text beside pictures.csv and queue.csv."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from tests.clips.test_queue import by_hand
from tests.sheet import plans
from tests.sheet.geometry import texts
from tests.sheet.hard_set import BRIEF, LONGER, many_short
from tests.sheet.test_tie_out import Read, read
from timing.clips.queue import pictures_csv, queue_csv
from timing.model import Delivered, Plan
from timing.model.settings import SheetSettings
from timing.sheet import render_sheets
from timing.sheet.document import lay_out


def worked_out() -> Plan:
    """Return the plan whose pictures and queue tests/clips/test_queue.py worked out by hand."""
    plan = by_hand()
    halves = {"C03.1": (0, 4), "C03.2": (4, 8)}
    return replace(plan, clips=tuple(replace(c, words=halves.get(c.id, c.words)) for c in plan.clips))


def printed(plan: Plan, part: str) -> Plan:
    return replace(plan, settings=replace(plan.settings, sheet=SheetSettings(parts=(part,))))


def rows_of(runs: list[Read], left: float, right: float, heads: list[str]) -> list[str]:
    """Return the text of each row; a row begins where one of ``heads`` stands between ``left`` and ``right``."""
    starts = [run for run in runs if left < run.left < right and run.text in heads]
    starts.sort(key=lambda run: run.top)
    assert [run.text for run in starts] == heads
    edges = [run.top - 1.0 for run in starts] + [1000.0]
    return [" ".join(r.text for r in runs if a <= r.top < b) for a, b in zip(edges, edges[1:], strict=False)]


def table(made: dict[str, bytes]) -> list[dict[str, str]]:
    (content,) = made.values()
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))


def test_every_first_picture_stands_on_paper_as_in_its_csv() -> None:
    plan = worked_out()
    rows = table(pictures_csv(plan, Path()))
    (runs,) = read(render_sheets(printed(plan, "pictures")).pdf)
    for row, told in zip(rows, rows_of(runs, 16, 30, [row["picture"] for row in rows]), strict=True):
        who = row["who"].title() or "picture"
        wanted = (who, row["scene"], row["mouth"], row["clips"].replace(" ", ", "), row["longest_s"], row["text"])
        assert all(part in told for part in wanted), (row, told)
    # By hand: TANSY's picture is held for 5 s by C03.1, C02 and C04 start from it too, and she is quiet at first.
    told = " ".join(told_of(runs, rows[1]["picture"]).split())
    assert "Tansy" in told
    assert "closed C02, C03.1, C04 5" in told


def told_of(runs: list[Read], picture: str) -> str:
    top = next(run.top for run in runs if run.text == picture)
    return " ".join(run.text for run in runs if abs(run.top - top) < 2.0)


def test_a_first_picture_has_room_to_draw_and_a_box_to_tick() -> None:
    page = lay_out(printed(worked_out(), "pictures"))[0]
    boxes = [line for pen, lines in page.ink.lines.items() if pen.weight == 0.4 for line in lines]
    assert len(boxes) == 4 * 4  # four pictures, the four sides of each
    wide, high = boxes[0][2] - boxes[0][0], boxes[1][3] - boxes[1][1]
    assert high == pytest.approx(wide * 9 / 16)
    ticks = [line for pen, lines in page.ink.lines.items() if pen.weight == 0.6 for line in lines]
    assert len(ticks) == 4 * 4


def test_every_step_of_the_queue_stands_on_paper_as_in_its_csv() -> None:
    plan = worked_out()
    rows = table(queue_csv(plan, Path()))
    (runs,) = read(render_sheets(printed(plan, "queue")).pdf)
    for row, told in zip(rows, rows_of(runs, 16, 27, [row["order"] for row in rows]), strict=True):
        ask = f"{'~' * (row['estimated'] == 'yes')}{row['ask_s']}"
        start = f"{row['order']} {row['clip']} {row['takes']} {ask}"
        assert start in " ".join(told.split()), (row, told)
        assert (row["picture"] or "seam of C03.1") in told
        assert (row["waits_for"] or "–") in told


def test_the_queue_sums_up_each_profile() -> None:
    """By hand from tests/clips/test_queue.py: pans 1 + 1 takes of 10 s, a quarter of an hour each.

    talking: 1 + 1 + 2 + 3 + 2 + 3 + 3 takes; C03.1, C03.2 of 5 s three times each, C02, C05, C04 of 3 s three times each.
    """
    page = lay_out(printed(worked_out(), "queue"))[0]
    told = [t.text for t in texts(page)]
    assert "pans · 2 takes · 20 s · 0 h 30 min at 15 min each" in told
    assert "talking · 15 takes · 57 s" in told
    assert "effects · 2 takes · 10 s" in told
    assert "19" in told  # takes to make, in the corner


def test_nothing_left_to_make_is_no_page() -> None:
    plan = plans.talk_plan(parts=("queue",))
    back = tuple(Delivered(c.id, f"clips/{c.id}.mp4", 1, "accepted", True) for c in plan.clips)
    assert lay_out(replace(plan, deliveries=back))[0].key == "empty"


def test_five_minutes_in_a_hundred_clips_are_at_most_seventy_pages() -> None:
    """Speech without a picture between: a hundred clips of 81 frames (14 syllables, pauses, handles), 5:37 in all."""
    talk = [
        (("TANSY", "BRAM")[n % 2], "*peb-bles, *foam and *mos-sy *pools, *ve-ry *far a-*way, I *count")
        for n in range(100)
    ]
    plan = plans.talk_plan(talk, frames=(3, 4))
    assert len(plan.clips) == 100
    assert plan.frames >= 5 * 60 * 24
    pages = lay_out(plan)
    assert {"cliptable", "pictures", "queue", "sheet-C01-1"} <= {page.key for page in pages}
    assert len(pages) <= 70


@pytest.mark.parametrize(
    ("count", "said", "frames"), [(97, LONGER, (6, 6, 5, 6)), (129, BRIEF, (6, 5, 6))], ids=["97 clips", "129 clips"]
)
def test_five_minutes_of_short_lines_of_every_length_are_at_most_seventy_pages(
    count: int, said: Sequence[str], frames: Sequence[int]
) -> None:
    """Clips of 3.1 and 2.4 seconds on average in any order, from 1.8 to 6.2 and from 0.8 to 3.6 seconds long."""
    plan = many_short(count, said, frames)
    assert plan.frames >= 5 * 60 * 24
    pages = lay_out(plan)
    assert {"cliptable", "pictures", "queue", "sheet-C01-1"} <= {page.key for page in pages}
    assert len(pages) <= 70
