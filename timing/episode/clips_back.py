"""Lines as they were really spoken in the clips that came back, over their estimates and scratch recordings.

In: the plan that was asked for, its lines before they were placed, the files in ``clips/``. Out: what came back for
each clip, and the lines with the times of the takes that hold them whole: no word missing or cut off, no other line.
Parts of a split line are joined where their clips meet; a part that has not come back keeps what it had. Nothing that
is asked for hangs on these times: neither the lengths nor the cuts, nor another line's estimate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from timing.clips.replan import Handles
from timing.episode.placing import Draft
from timing.model import (
    Clip,
    Delivered,
    LineKind,
    Origin,
    Plan,
    TimedLine,
    TimedWord,
    WordFault,
    WordMark,
)
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.store.store import Store

if TYPE_CHECKING:
    from timing.delivery.check import Progress
    from timing.delivery.verdict import Check
    from timing.memory.clips_toml import Memory

FAULTS = {
    FindingCode.NOT_SAID: WordFault.MISSING,
    FindingCode.CUT_OFF_START: WordFault.CUT_OFF,
    FindingCode.CUT_OFF_END: WordFault.CUT_OFF,
    FindingCode.SAID_DIFFERENTLY: WordFault.DIFFERENT,
}


@dataclass(frozen=True)
class CameBack:
    """What lies in clips/: a verdict on every file, the best of each clip, and the lines with its times.

    ``handles`` has an entry for each clip whose times are used; without any, ``drafts`` are as they were.
    """

    drafts: Sequence[Draft]
    deliveries: tuple[Delivered, ...] = ()
    checks: tuple[Check, ...] = ()
    handles: Mapping[str, Handles] = field(default_factory=dict)


def with_deliveries(
    plan: Plan, drafts: Sequence[Draft], folder: Path, store: Store, progress: Progress | None = None
) -> CameBack:
    """Return ``drafts`` with the lines that came back timed by their clips; unchanged where there is no clips/.

    Verdicts are kept in ``store`` by content. Raises SettingsError for a damaged clips.toml.
    """
    if not (folder / "clips").is_dir():
        return CameBack(drafts)
    from timing.delivery.check import check_deliveries
    from timing.memory.clips_toml import read_memory

    memory = read_memory(folder)
    checks = check_deliveries(
        plan, folder, progress, store,
        accepted=memory.accepted(plan), outdated=memory.outdated(plan),
    )  # fmt: skip
    best = {c.clip: c for c in checks if c.is_best and c.clip is not None}
    used = {
        clip.id: check
        for clip in plan.clips
        if clip.kind is LineKind.SPOKEN and (check := best.get(clip.id)) and check.is_whole and _fits(plan, clip, check)
    }
    deliveries = []
    for clip in plan.clips:
        if (check := best.get(clip.id)) is None:
            continue
        heard = check.heard
        measured = clip.id in used and heard is not None
        deliveries.append(
            Delivered(
                clip=clip.id,
                file=check.file,
                takes=sum(c.clip == clip.id for c in checks),
                state=_state(memory, clip, check),
                is_measured=measured,
                speech_start=heard.start if measured and heard else None,
                word_marks=_marks(plan, clip, check),
                findings=check.findings,
            )
        )
    handles = {clip_id: Handles(c.heard.start, c.tail) for clip_id, c in used.items() if c.heard and c.tail is not None}
    return CameBack(_timed(plan, drafts, used), tuple(deliveries), tuple(checks), handles)


def _fits(plan: Plan, clip: Clip, check: Check) -> bool:
    return check.heard is not None and len(check.heard.words) == sum(b - a for _, a, b in _ranges(plan, clip))


def _state(memory: Memory, clip: Clip, check: Check) -> str:
    from timing.memory.clips_toml import ACCEPTED, ASKED, DELIVERED

    known = memory.clips.get(clip.id)
    if any(f.code == FindingCode.OUTDATED for f in check.findings):
        return ASKED
    return ACCEPTED if known and (known.state == ACCEPTED or known.accepted) else DELIVERED


def _ranges(plan: Plan, clip: Clip) -> list[tuple[str, int, int]]:
    """Return (line, first word, word after the last) for each line that a clip holds."""
    return [
        (line_id, *(clip.words if line_id == clip.line else (0, len(plan.line(line_id).words))))
        for line_id in clip.lines or (clip.line,)
    ]


def _marks(plan: Plan, clip: Clip, check: Check) -> tuple[WordMark, ...]:
    places = [(line_id, n) for line_id, first, last in _ranges(plan, clip) for n in range(first, last)]
    found: dict[tuple[str, int], WordFault] = {}
    for finding in check.findings:
        fault = FAULTS.get(finding.code)
        for word in finding.facts.get("words", ()) if fault else ():
            if fault and 0 <= word < len(places):
                found.setdefault(places[word], fault)
    return tuple(WordMark(line_id, n, fault) for (line_id, n), fault in sorted(found.items(), key=lambda i: i[0]))


# --- the lines -------------------------------------------------------------------------------------------


def _timed(plan: Plan, drafts: Sequence[Draft], used: Mapping[str, Check]) -> list[Draft]:
    clips: dict[str, list[Clip]] = {}
    for clip in plan.clips:
        for line_id in clip.lines or (clip.line,):
            clips.setdefault(line_id, []).append(clip)
    out = []
    for draft in drafts:
        own = clips.get(draft.id, [])
        if draft.timed is None or not any(clip.id in used for clip in own):
            out.append(draft)
        elif len(own[0].lines) > 1:
            out.append(_from_shared(plan, draft, own[0], used[own[0].id]))
        else:
            out.append(_joined(draft, draft.timed, own, used))
    return out


def _from_shared(plan: Plan, draft: Draft, clip: Clip, check: Check) -> Draft:
    """Return a line out of a clip that holds several, with the silence before it as it is there."""
    assert check.heard is not None
    at = 0
    for line_id, first, last in _ranges(plan, clip):
        if line_id == draft.id:
            break
        at += last - first
    words = check.heard.words[at : at + last - first]
    start, length = words[0].start, words[-1].end - words[0].start
    timed = TimedLine(
        tuple(w.moved(-start) for w in words), Origin.MEASURED, length, length, check.confidence, check.file, start
    )
    gap = start - check.heard.words[at - 1].end if at else None
    return replace(draft, timed=timed, delivered=(check.file,), gap=gap)


def _joined(draft: Draft, before: TimedLine, clips: Sequence[Clip], used: Mapping[str, Check]) -> Draft:
    """Return a line with the words of its delivered parts measured, those of the others as they were."""
    words: list[TimedWord] = []
    low = high = Fraction(0)
    spread = (before.low / before.length, before.high / before.length) if before.length else (Fraction(1),) * 2
    room: Seconds | None = None  # what the clip before can show after its last sound; None: as much as is wanted
    for clip in clips:
        check, (first, last) = used.get(clip.id), clip.words
        part = check.heard.words if check and check.heard else before.words[first:last]
        at = Fraction(0)
        if words:
            pause = max(Fraction(0), before.words[first].start - before.words[first - 1].end)
            here = check.heard.start if check and check.heard else None
            if room is not None or here is not None:
                # Where two clips meet there is no more silence than their handles have.
                pause = min(pause, (clip.tail if room is None else room) + (clip.head if here is None else here))
            at = words[-1].end + pause
            low, high = low + pause, high + pause
        length = part[-1].end - part[0].start
        low += length * (1 if check else spread[0])
        high += length * (1 if check else spread[1])
        words += [w.moved(at - part[0].start) for w in part]
        room = check.tail if check else None
    whole = all(clip.id in used for clip in clips)
    own = [used[clip.id] for clip in clips if clip.id in used]
    single = own[0] if len(clips) == 1 else None
    if whole:
        heard = [check.heard for check in own if check.heard]
        timed = TimedLine(
            tuple(words), Origin.MEASURED, words[-1].end, words[-1].end,
            min(check.confidence or 0.0 for check in own),
            single.file if single else None, single.heard.start if single and single.heard else None,
            tuple(f for line in heard for f in line.findings),
        )  # fmt: skip
    else:
        timed = replace(before, words=tuple(words), low=low, high=high, take=None, take_start=None)
    return replace(draft, timed=timed, delivered=tuple(check.file for check in own))
