"""The plan with its cut: what the cut does to it, and the plan as it runs there.

In: the plan, what the cut's file lists, the verdicts on what came back. Out: the plan with the cut beside it
(``plan.cut``), with findings, and as it runs there (``plan.in_cut``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from timing.cut.as_it_runs import Framed, as_it_runs
from timing.cut.heard import followed
from timing.cut.listed import CutList
from timing.cut.placed import MediaOf, placed
from timing.cut.said import findings_of
from timing.delivery.verdict import Check
from timing.model import Plan


def in_the_cut(
    plan: Plan,
    listed: CutList,
    checks: Sequence[Check],
    media_of: MediaOf,
    framed: Framed,
    rows: Mapping[str, tuple[int, int]] | None = None,
) -> Plan:
    """Return the plan with its cut.

    ``media_of`` says what a file of the episode folder is, ``framed`` settles the frames of a line's syllables,
    ``rows`` has for each clip the plan's frame of its sheet's first row and how many rows there are.
    """
    cut, findings = placed(listed, plan, checks, media_of)
    known = followed(plan, cut, checks)
    found = findings_of(known)
    clips = tuple(replace(c, findings=(*c.findings, *found.clips.get(c.id, ()))) for c in plan.clips)
    plan = replace(plan, clips=clips, cut=cut, findings=(*plan.findings, *findings, *found.whole))
    return replace(plan, in_cut=as_it_runs(replace(known, plan=plan), framed, rows or {}))
