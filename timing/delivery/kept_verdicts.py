"""A verdict as plain values, so that a file is listened to once; its words come back from the plan."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from timing.delivery.words import clip_utterance
from timing.model import Finding, Origin, Plan, TimedLine, TimedSyllable, TimedWord, Utterance
from timing.model.findings import FindingCode

if TYPE_CHECKING:
    from timing.delivery.verdict import Check

VERSION = 1  # raised when the same file would be judged differently
PLAIN = (
    "clip", "frames", "asked_frames", "head_frames", "tail_frames", "shift_frames", "drift", "drift_error",
    "confidence",
)  # fmt: skip


def to_kept(check: Check) -> dict[str, Any]:
    """Return everything of a verdict that the file's name and its rivals do not decide."""
    found: dict[str, Any] = {name: getattr(check, name) for name in PLAIN}
    found["rate"] = None if check.rate is None else str(check.rate)
    found["tail"] = None if check.tail is None else str(check.tail)
    found["findings"] = [_finding(f) for f in check.findings]
    found["heard"] = None if check.heard is None else _line(check.heard)
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
        heard = _to_line(kept["heard"], clip_utterance(plan, clip))
    return Check(
        name, rate=None if kept["rate"] is None else Fraction(kept["rate"]),
        tail=None if kept["tail"] is None else Fraction(kept["tail"]),
        findings=tuple(Finding(FindingCode(f[0]), *f[1:]) for f in kept["findings"]),
        heard=heard, content=content, **plain,
    )  # fmt: skip


def _finding(finding: Finding) -> list[Any]:
    return [finding.code, finding.message, dict(finding.facts)]


def _line(line: TimedLine) -> list[Any]:
    words = [[w.confidence, [_syllable(s) for s in w.syllables]] for w in line.words]
    return [line.confidence, words, [_finding(f) for f in line.findings]]


def _syllable(syllable: TimedSyllable) -> list[Any]:
    starts = [str(p) for p in syllable.phone_starts]
    return [str(syllable.start), str(syllable.end), syllable.origin.value, list(syllable.phones), starts]


def _to_line(kept: Any, utterance: Utterance) -> TimedLine:
    confidence, words, findings = kept
    timed = []
    for word, (sure, syllables) in zip(utterance.words, words, strict=True):
        made = tuple(
            TimedSyllable(
                s.text, Fraction(start), Fraction(end), Origin(origin), s.stress, tuple(phones), s.said,
                tuple(Fraction(p) for p in starts),
            )
            for s, (start, end, origin, phones, starts) in zip(word.syllables, syllables, strict=True)
        )  # fmt: skip
        timed.append(TimedWord.of(word, made, sure))
    length = timed[-1].end - timed[0].start
    line = TimedLine(tuple(timed), Origin.MEASURED, length, length, confidence)
    return replace(line, findings=tuple(Finding(FindingCode(f[0]), *f[1:]) for f in findings))
