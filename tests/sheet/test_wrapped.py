"""How rows fill pages and names their room; all figures by hand."""

from __future__ import annotations

import pytest

from timing.sheet.fonts import REGULAR, load_typeface
from timing.sheet.wrapped import name_lines, paginate, shorten_middle

FACE = load_typeface(None)


@pytest.mark.parametrize(
    ("heights", "last_extra", "together", "pages"),
    [
        ([10] * 4, 0, (), [[0, 1, 2, 3]]),  # 40 of 50
        ([10] * 5, 0, (), [[0, 1, 2, 3, 4]]),  # exactly 50
        ([10] * 6, 0, (), [[0, 1, 2], [3, 4, 5]]),  # two pages, and even ones
        ([10] * 5, 5, (), [[0, 1, 2], [3, 4]]),  # what stands under the last row needs a page more
        ([10] * 4, 10, (), [[0, 1, 2, 3]]),
        ([20, 20, 20], 0, (1,), [[0], [1, 2]]),  # row 1 stays with row 2
        ([60], 0, (), [[0]]),  # a row higher than a page stands alone
    ],
)
def test_rows_fill_as_few_pages_as_they_can_and_evenly(heights, last_extra, together, pages):
    assert paginate(heights, lambda _page: 50, last_extra, together) == pages


def test_a_first_page_with_less_room_takes_fewer_rows():
    # Two of three rows and four of five: the least share of both pages' room that takes no third page.
    assert paginate([10] * 6, lambda page: 30 if page == 0 else 50, 0) == [[0, 1], [2, 3, 4, 5]]


def test_a_long_file_name_keeps_both_ends():
    whole = "C03 take 1 tansy by the sea in the morning.mp4"
    room = FACE.width_mm("C03 take 1 tan…rning.mp4", REGULAR, 9)
    shown = shorten_middle(FACE, whole, REGULAR, 9, room)
    left, dots, right = shown.partition("…")
    assert dots
    assert whole.startswith(left)
    assert whole.endswith(right)
    assert len(right) in (len(left), len(left) - 1)  # as much of the end, and the odd letter to the beginning
    assert FACE.width_mm(shown, REGULAR, 9) <= room
    longer = f"{whole[: len(left) + 1]}…{whole[len(whole) - len(right) - 1 :]}"
    assert FACE.width_mm(longer, REGULAR, 9) > room
    assert shorten_middle(FACE, "short.mp4", REGULAR, 9, 100) == "short.mp4"


def test_a_name_of_one_endless_word_is_broken_where_the_room_ends():
    lines, size = name_lines(FACE, "W" * 40, REGULAR, 12, 20)
    assert "".join(lines) == "W" * 40
    assert len(lines) > 2
    assert all(FACE.width_mm(line, REGULAR, size) <= 20 for line in lines)
    assert all(FACE.width_mm(line + "W", REGULAR, size) > 20 for line in lines[:-1])
