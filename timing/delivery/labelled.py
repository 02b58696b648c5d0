"""A person's word about a clip that came back, over what was heard in it.

In: the verdict on a file, its labels. Out: the clip that the file is, and the verdict with the words where the labels
have them. What a person said holds against doubts; a doubt stays a finding.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from difflib import SequenceMatcher
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.delivery.verdict import Check
from timing.delivery.words import clip_utterance
from timing.model import Finding, LineKind, Plan, TimedLine, TimedWord, Utterance
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.labels import Label, sorted_out, unused_label, with_pins, words_meant
from timing.plain.errors import RecordingError
from timing.store.plain_values import from_line, to_line
from timing.store.store import Kind, Store

if TYPE_CHECKING:
    from timing.model.words import Pronounce
    from timing.sound.decode import Sound

SHORTEST = Fraction(6, 100)  # seconds in which any word can be followed


def clip_meant(plan: Plan, labels: Sequence[Label], by_name: str | None) -> str | None:
    """Return the clip that a file is by the rows of lines beside it, ``by_name`` where there is none.

    Of several parts of a line the one that the name says, else the one whose words the row has.
    """
    rows, _ = sorted_out(labels, _words_of(plan))
    found = []
    for row in rows:
        said = row.line.text.partition(":")[2] if row.line else ""
        clips = [c for c in plan.clips if row.id in (c.lines or (c.line,)) and c.kind is LineKind.SPOKEN]
        found += [(SequenceMatcher(None, said.casefold(), c.text.casefold()).ratio(), c.id) for c in clips]
    if not found or by_name in {clip_id for _, clip_id in found}:
        return by_name
    return max(found, key=lambda f: f[0])[1]


def with_labels(
    plan: Plan, pronounce: Pronounce, check: Check, sound: Sound, labels: Sequence[Label], store: Store
) -> Check:
    """Return the verdict with its words where the labels have them; labels that fit nothing become findings.

    Raises InputError for labels that contradict each other.
    """
    clip = next((c for c in plan.clips if c.id == check.clip), None)
    rows, loose = sorted_out(labels, _words_of(plan))
    own = [row for row in rows if clip and row.id in (clip.lines or (clip.line,)) and row.line]
    unfit = [row.line for row in rows if row not in own and row.line]
    if clip is None or clip.kind is not LineKind.SPOKEN:
        return _with_unfit(check, [*labels], "belongs to no spoken clip, so it is not used")
    parts = [*loose, *(part for row in own for part in row.parts)]
    follow = _Follower(sound, check.content, pronounce, store)
    utterance = clip_utterance(plan, clip)
    starts = [row.line.start for row in own if row.line]
    ends = [row.line.end for row in own if row.line]
    edges = replace(own[0].line, start=min(starts), end=max(ends)) if own and own[0].line else None
    base = check.heard or follow.line(utterance, edges)
    if base is None:
        return _with_unfit(check, [*labels], "cannot be used: nothing could be followed there")
    words, strange = words_meant(parts, base.words)
    line = with_pins(base, edges, words, lambda *room: follow.words(utterance, *room))
    kept = tuple(f for f in check.findings if f.code is not FindingCode.WRONG_LINE)
    tail = max(Fraction(0), sound.seconds - line.end)
    frames = float(plan.rate.fps)
    check = replace(
        check, heard=line, findings=kept, tail=tail, is_pinned=True, confidence=line.confidence,
        head_frames=round(float(line.start) * frames, 1), tail_frames=round(float(tail) * frames, 1),
    )  # fmt: skip
    return _with_unfit(check, [*strange, *unfit], f"fits nothing in {clip.id}, so it is not used")


def _words_of(plan: Plan) -> dict[str, list[str]]:
    return {line.id: [w.text for w in line.words] for line in plan.lines if line.words and line.song is None}


def _with_unfit(check: Check, labels: Sequence[Label], why: str) -> Check:
    found: list[Finding] = [unused_label(label, why) for label in labels]
    return replace(check, findings=(*check.findings, *found))


class _Follower:
    """Follows words of a clip again in a part of its sound; what was followed before is remembered."""

    def __init__(self, sound: Sound, content: str, pronounce: Pronounce, store: Store):
        self.sound, self.content, self.pronounce, self.store = sound, content, pronounce, store

    def line(self, utterance: Utterance, edges: Label | None) -> TimedLine | None:
        return self._follow(utterance, edges.start, edges.end) if edges else None

    def words(
        self, utterance: Utterance, first: int, last: int, low: Seconds, high: Seconds
    ) -> Sequence[TimedWord] | None:
        part = Utterance(utterance.text, utterance.words[first:last], utterance.language)
        found = self._follow(part, low, high)
        return found.words if found else None

    def _follow(self, utterance: Utterance, low: Seconds, high: Seconds) -> TimedLine | None:
        from timing.hearing.aligner import align_line

        def follow() -> TimedLine | None:
            try:
                piece = replace(self.sound, samples=self.sound.cut(low, high))
                return align_line(piece, utterance, self.pronounce).moved(low)
            except (RecordingError, ValueError):
                return None

        kind: Kind[TimedLine | None] = Kind(
            "clip-words", 1, lambda line: line and from_line(line), lambda kept: kept and to_line(kept, utterance)
        )
        if high - low < SHORTEST:
            return None
        return self.store.made(kind, (self.content, low, high, utterance), follow)
