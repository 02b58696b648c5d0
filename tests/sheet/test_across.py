"""Words across a page: side by side, in order, as near their ticks as can be."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.sheet import plans
from timing.sheet.bars import strips
from timing.sheet.bars.across import side_by_side
from timing.sheet.document import lay_out

TEXTS = st.lists(st.tuples(st.floats(0, 270), st.floats(0.1, 12)), min_size=1, max_size=20).map(sorted)


@given(TEXTS)
def test_no_text_stands_on_another_and_the_row_keeps_its_order(texts: list[tuple[float, float]]) -> None:
    wished, widths = zip(*texts, strict=True)
    lefts = side_by_side(wished, widths, 0, 275)
    assert all(b >= a + width - 1e-6 for (a, b), width in zip(itertools.pairwise(lefts), widths, strict=False))
    assert lefts[0] >= -1e-9
    assert lefts[-1] + widths[-1] <= max(275, sum(widths)) + 1e-6


@given(TEXTS)
def test_texts_with_room_stand_where_they_were_wished(texts: list[tuple[float, float]]) -> None:
    wished = list(itertools.accumulate(12 + start % 9 for start, _ in texts))
    widths = [width for _, width in texts]
    assert side_by_side(wished, widths, 0, 900) == pytest.approx(wished)


# The optimum by an independent method: a quadratic programme with the same constraints.
def test_moves_are_the_smallest_sum_of_squares() -> None:
    optimise = pytest.importorskip("scipy.optimize")
    wished, widths = [10.0, 11.0, 13.0, 30.0, 31.0], [4.0, 6.0, 3.0, 5.0, 5.0]
    order = [{"type": "ineq", "fun": lambda x, n=n: x[n + 1] - x[n] - widths[n]} for n in range(len(wished) - 1)]
    best = optimise.minimize(
        lambda x: sum((a - b) ** 2 for a, b in zip(x, wished, strict=True)), wished, constraints=order
    )
    assert side_by_side(wished, widths, -99, 999) == pytest.approx(best.x, abs=1e-3)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_strips_leave_room_to_write_and_set_a_clip_in_one_size(paper: str) -> None:
    plan = plans.talk_plan(frames=(1, 2, 3), paper=paper, parts=("strips",))
    page = lay_out(plan)[0]
    level = {
        weight: sorted(y0 for x0, y0, x1, y1 in page.ink.lines[weight, ()] if y0 == y1 and x1 - x0 > 200)
        for weight in (0.25, 0.5)
    }
    lane = max(level[0.5]) - max(y for y in level[0.25] if y < max(level[0.5]))
    assert lane >= 13  # two lines of handwriting (common practice)
    spoken = {s.text for s in plan.lines[0].syllables}
    baselines: dict[float, set[float]] = {}
    for (_, size, _gray), texts in page.ink.texts.items():
        for _, y, text in texts:
            if text.strip("-") in spoken and size >= 8 and y < page.height - 20:
                baselines.setdefault(round(y, 2), set()).add(size)
    assert len({size for sizes in baselines.values() for size in sizes}) == 1
    assert 1 <= len(baselines) <= strips.ROWS
