"""The printed set: a plan in, a PDF out.

    score      plan -> whole frames of a passage       content, revise   which sheets are still true
    paper      millimetres of every column             frame_sheet, clip_table, line_list, strips, bar_sheet
    ink        marks with settled places               draw              marks -> PDF

Layout settles every position; drawing copies. See ``render_sheets``.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from timing.model import Plan
    from timing.sheet.printed_set import SheetSet


def render_sheets(plan: Plan, previous: Mapping[str, Any] | None = None, was_printed: bool = False) -> SheetSet:
    """Return the printed set of ``plan``; the same plan and ``previous`` give the same bytes.

    ``previous`` is the register of the last set (``SheetSet.register``); ``was_printed``: there may have been one,
    even where its register is not at hand.

    Raises SettingsError for a paper, layout, part or font that cannot be used.
    """
    from timing.sheet.document import render

    return render(plan, previous, was_printed)
