"""The verdict on one file that came back, and which of several is the best take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from timing.delivery.matching import FOLDER_NAME
from timing.model import Finding, TimedLine
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.plain.names import natural_key

WEIGHTS = {
    FindingCode.OUTDATED: 300,
    FindingCode.WRONG_LINE: 100,
    FindingCode.SILENT: 100,
    FindingCode.UNREADABLE: 100,
    FindingCode.NOT_SAID: 30,
    FindingCode.CUT_OFF_END: 30,
    FindingCode.CUT_OFF_START: 30,
}


@dataclass(frozen=True, slots=True)
class Check:
    """The verdict on one file; lengths in frames of the plan's rate, None where it could not be told.

    ``drift`` 0.01: it runs 1 % slow, give or take ``drift_error`` (one standard error); ``tail`` is what lies after
    the last sound, exactly; ``content`` is the SHA-256 of the file. ``is_pinned``: a person said where its words lie.
    """

    file: str
    clip: str | None
    take: int = 1
    rate: Fraction | None = None
    frames: int | None = None
    asked_frames: int | None = None
    head_frames: float | None = None
    tail_frames: float | None = None
    shift_frames: float | None = None
    drift: float | None = None
    drift_error: float | None = None
    confidence: float | None = None
    is_best: bool = False
    heard: TimedLine | None = None
    findings: tuple[Finding, ...] = ()
    tail: Seconds | None = None
    content: str = ""
    is_pinned: bool = False

    @property
    def is_whole(self) -> bool:
        """True where the whole line is in it and was followed surely enough to take its times."""
        if self.heard is not None and self.is_pinned:
            return True
        spoilt = (FindingCode.CLIPPED, FindingCode.DAMAGED)  # in such a sound words are not told apart well enough
        if self.heard is None or any(f.code.spoils or f.code in spoilt for f in self.findings):
            return False
        return not any(f.code in (FindingCode.UNCLEAR, FindingCode.ROUGH) for f in self.heard.findings)

    @property
    def badness(self) -> float:
        """How far from good, for choosing a take: findings first, then words, then sync."""
        faults = sum(WEIGHTS.get(f.code, 5) for f in self.findings)
        return faults + 2 * (1 - (self.confidence or 0)) + abs(self.shift_frames or 0) / 10


def with_best(checks: list[Check], order: list[str], accepted: Mapping[str, str]) -> list[Check]:
    """Return verdicts in order of clip (``order``) and name, takes counted, the best take of each clip marked.

    ``accepted`` names the file a person chose, by clip id.
    """
    place = {clip_id: n for n, clip_id in enumerate(order)}
    checks = sorted(checks, key=lambda c: (place.get(c.clip or "", len(order)), natural_key(c.file)))
    best: dict[str, Check] = {}
    counts: dict[str, int] = {}
    out = []
    for check in checks:
        clip_id = check.clip
        if clip_id is not None:
            counts[clip_id] = counts.get(clip_id, 0) + 1
            check = replace(check, take=counts[clip_id])
            before = best.get(clip_id)
            if before is None or _rank(check, accepted) < _rank(before, accepted):
                best[clip_id] = check
        out.append(check)
    chosen = {check.file for check in best.values()}
    return [replace(c, is_best=c.file in chosen) for c in out]


def _rank(check: Check, accepted: Mapping[str, str]) -> tuple[bool, float]:
    name = accepted.get(check.clip or "")
    return name is None or check.file not in (name, f"{FOLDER_NAME}/{name}"), check.badness
