"""The hard set, laid out: nothing on anything else, nothing off the paper, nothing too small, nothing dropped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pytest

from tests.sheet.approved import as_approved
from tests.sheet.drawn_lots import COUNT, lot
from tests.sheet.geometry import faults
from tests.sheet.hard_set import hard_set, with_sound
from timing.model import Plan
from timing.sheet.document import PARTS, lay_out
from timing.sheet.ink import Page

LONG = ("long names, eighty clips", "120 bars", "ninety syllables")  # their pages are alike on every paper


def cases() -> Iterator[object]:
    for paper in ("A4", "Letter"):
        for layout in ("page", "wide"):
            for name, plan in hard_set(paper=paper, layout=layout, parts=tuple(PARTS)):
                is_first = (paper, layout) == ("A4", "page")
                if is_first or (
                    name not in LONG and (layout == "page" or "at" in name or name in ("came back", "cues"))
                ):
                    sounding = with_sound(plan) if "came" in name else plan
                    yield pytest.param(sounding, id=f"{name}, {paper} {layout}")


CASES = list(cases())


@pytest.mark.parametrize("plan", CASES)
def test_every_mark_of_the_hard_set_has_its_own_place(plan: Plan, request: pytest.FixtureRequest) -> None:
    pages = lay_out(plan)
    in_their_places(pages)
    as_approved(pages, request.node.callspec.id)


@pytest.mark.parametrize("number", range(COUNT))
def test_every_mark_of_a_plan_drawn_by_lot_has_its_own_place(number: int) -> None:
    plan, previous = lot(number)
    pages = lay_out(plan, previous, previous is not None)
    in_their_places(pages)
    as_approved(pages, f"lot {number}")


def in_their_places(pages: Sequence[Page]) -> None:
    found = [f"{page.key}: {fault}" for page in pages for fault in faults(page)]
    assert not found, "\n".join(found[:40])
