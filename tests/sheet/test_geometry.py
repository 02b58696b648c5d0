"""The hard set, laid out: nothing on anything else, nothing off the paper, nothing too small, nothing dropped."""

from __future__ import annotations

import pytest

from tests.sheet.geometry import faults
from tests.sheet.hard_set import hard_set, with_sound
from timing.model import Plan
from timing.sheet.document import PARTS, lay_out

PAPERS = [(paper, layout) for paper in ("A4", "Letter") for layout in ("page", "wide")]
CASES = [
    pytest.param(with_sound(plan) if "came" in name else plan, id=f"{name}, {paper} {layout}")
    for paper, layout in PAPERS
    for name, plan in hard_set(paper=paper, layout=layout, parts=tuple(PARTS))
]


@pytest.mark.parametrize("plan", CASES)
def test_every_mark_of_the_hard_set_has_its_own_place(plan: Plan) -> None:
    found = [f"{page.key}: {fault}" for page in lay_out(plan) for fault in faults(page)]
    assert not found, "\n".join(found[:40])
