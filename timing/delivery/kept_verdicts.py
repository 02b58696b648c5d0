"""A verdict as plain values, so that a file is listened to once; its words come back from the plan."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from timing.delivery.words import clip_utterance
from timing.model import Plan
from timing.store.plain_values import from_finding, from_line, to_finding, to_line
from timing.store.store import Kind

if TYPE_CHECKING:
    from timing.delivery.verdict import Check

VERSION = 5  # raised when the same file would be judged differently
PLAIN = (
    "clip", "frames", "asked_frames", "head_frames", "tail_frames", "shift_frames", "drift", "drift_error",
    "confidence",
)  # fmt: skip


def verdict_kind(plan: Plan, name: str, content: str) -> Kind[Check | None]:
    """Return how the verdict on one file is kept; None stands for one that hangs on other lines than its own."""
    return Kind(
        "verdict",
        VERSION,
        lambda check: None if check is None else to_kept(check),
        lambda kept: None if kept is None else from_kept(kept, plan, name, content),
    )


def to_kept(check: Check) -> dict[str, Any]:
    """Return everything of a verdict that the file's name and its rivals do not decide."""
    found: dict[str, Any] = {name: getattr(check, name) for name in PLAIN}
    found["rate"] = None if check.rate is None else str(check.rate)
    found["tail"] = None if check.tail is None else str(check.tail)
    found["findings"] = [from_finding(f) for f in check.findings]
    found["heard"] = None if check.heard is None else from_line(check.heard)
    return found


def from_kept(kept: Any, plan: Plan, name: str, content: str) -> Check:
    """Return the verdict again; raises LookupError, TypeError or ValueError for damaged values."""
    from timing.delivery.verdict import Check

    clip = next((c for c in plan.clips if c.id == kept["clip"]), None)
    if kept["clip"] is not None and clip is None:
        raise LookupError(kept["clip"])
    plain = {key: kept[key] for key in PLAIN}
    heard = None
    if clip is not None and kept["heard"] is not None:
        heard = to_line(kept["heard"], clip_utterance(plan, clip))
    return Check(
        name, rate=None if kept["rate"] is None else Fraction(kept["rate"]),
        tail=None if kept["tail"] is None else Fraction(kept["tail"]),
        findings=tuple(to_finding(f) for f in kept["findings"]), heard=heard, content=content, **plain,
    )  # fmt: skip
