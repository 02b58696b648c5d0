"""Findings that a person looked into and put to rest, for as long as the line's words and its take stay the same.

In: the plan, what ``[rest]`` in episode.toml says, what is remembered of it. Out: what is at rest now. A rest is
remembered in lines.toml, in its line's row, with a short hash of the words and the sound that it was given for; for
others it does not hold, and that is a finding, until they are put back or the person says it again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from timing.memory.line_ids import spoken_words
from timing.model import Finding, Plan, PlanLine
from timing.model.findings import FindingCode

if TYPE_CHECKING:
    from timing.delivery.verdict import Check

Rests = Mapping[str, Mapping[str, str]]  # by line id: each code at rest, and what it was given for


@dataclass(frozen=True)
class AtRest:
    """The codes at rest by line id, what is to be remembered, and a finding for each rest that no longer holds."""

    codes: Mapping[str, frozenset[FindingCode]]
    kept: Rests
    lapsed: Mapping[str, tuple[Finding, ...]]

    def left(self, line_id: str | None, findings: Iterable[Finding]) -> tuple[Finding, ...]:
        """Return the findings of a line that are not at rest."""
        codes = self.codes.get(line_id or "", frozenset())
        return tuple(f for f in findings if f.code not in codes)

    def without(self, plan: Plan) -> Plan:
        """Return the plan without what is at rest."""
        if not (self.codes or self.lapsed):
            return plan
        line_of = {clip.id: clip.line for clip in plan.clips}
        lines = (replace(n, findings=(*self.left(n.id, n.findings), *self.lapsed.get(n.id, ()))) for n in plan.lines)
        return replace(
            plan,
            lines=tuple(lines),
            clips=tuple(replace(c, findings=self.left(c.line, c.findings)) for c in plan.clips),
            deliveries=tuple(replace(d, findings=self.left(line_of[d.clip], d.findings)) for d in plan.deliveries),
            findings=tuple(f for f in plan.findings if self.left(str(f.facts.get("line", "")), [f])),
        )

    def without_checks(self, plan: Plan, checks: Iterable[Check]) -> tuple[Check, ...]:
        """Return verdicts on files without what is at rest."""
        line_of = {clip.id: clip.line for clip in plan.clips}
        return tuple(replace(c, findings=self.left(line_of.get(c.clip or ""), c.findings)) for c in checks)


def at_rest(plan: Plan, wanted: Mapping[str, Collection[FindingCode]], kept: Rests, folder: Path) -> AtRest:
    """Return what is at rest of ``wanted``; ``kept`` is remembered from earlier runs, ``folder`` has the sound."""
    codes: dict[str, frozenset[FindingCode]] = {}
    remembered: dict[str, dict[str, str]] = {}
    lapsed: dict[str, tuple[Finding, ...]] = {}
    for line in plan.lines:
        own = wanted.get(line.id, ())
        if not own:
            continue
        now = _made_for(plan, line, folder)
        known = {code.value: kept.get(line.id, {}).get(code.value, now) for code in own}
        remembered[line.id] = known
        codes[line.id] = frozenset(code for code in own if known[code.value] == now)
        lapsed[line.id] = tuple(_lapsed(line, code) for code in own if known[code.value] != now)
    return AtRest(codes, remembered, {line_id: found for line_id, found in lapsed.items() if found})


def _lapsed(line: PlanLine, code: FindingCode) -> Finding:
    message = (
        f"“{code.value}” was put to rest for other words or another take: look again, and take “rest” out of row "
        f"{line.id} of lines.toml to put it to rest for these too"
    )
    return Finding(FindingCode.REST_LAPSED, message, {"line": line.id, "rest": code.value})


def _made_for(plan: Plan, line: PlanLine, folder: Path) -> str:
    """Return a short hash of a line's words and of what is heard of it: files by content, readings to the second."""
    from timing.delivery.matching import ClipFile

    own = {clip.id for clip in plan.clips if line.id in (clip.lines or (clip.line,))}
    files = [d.file for d in plan.deliveries if d.clip in own] + ([line.take] if line.take else [])
    sums = sorted({ClipFile(folder / name, name, None).content for name in files})
    second = None if line.take_start is None else round(line.take_start)
    return hashlib.sha256(repr((spoken_words(line.text), sums, second)).encode()).hexdigest()[:8]
