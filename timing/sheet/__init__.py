"""The printed set: a plan in, a PDF out.

    score      plan -> whole frames of a passage       content, revise   which sheets are still true
    paper      millimetres of every column             frame_sheet, clip_table, line_list, strips, bar_sheet
    ink        marks with settled places               draw              marks -> PDF

Layout settles every position; drawing copies. See ``render_sheets``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from timing.model import Finding, Plan


@dataclass(frozen=True)
class SheetSet:
    """The printed set and what is known about it.

    ``register`` (plain JSON) says which sheets exist, their labels and what each is a digest of; hand it back as
    ``previous`` next time. ``reprint`` are sentences for people: what to print again, what to throw away.
    """

    pdf: bytes
    register: dict[str, Any] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    reprint: tuple[str, ...] = ()


def render_sheets(plan: Plan, previous: Mapping[str, Any] | None = None) -> SheetSet:
    """Return the printed set of ``plan``; the same plan and ``previous`` give the same bytes.

    Raises SettingsError for a paper, layout, part or font that cannot be used.
    """
    from timing.sheet.document import render

    return render(plan, previous)
