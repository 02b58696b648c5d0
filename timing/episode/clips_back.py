"""Lines as they were really spoken in the clips that came back, over their estimates and scratch recordings.

In: the plan that was asked for, its lines before they were placed, the files in ``clips/``. Out: what came back for
each clip, and the lines with the times of the takes that hold them whole: no word missing or cut off, no other line.
Parts of a split line are joined where their clips meet; a part that has not come back keeps what it had. Nothing that
is asked for hangs on these times: neither the lengths nor the cuts, nor another line's estimate. A take that a person
accepted is used whatever was found wrong with it; the doubts stay findings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from timing.clips.plan import Handles
from timing.episode.placing import Draft
from timing.model import (
    Clip,
    Delivered,
    Finding,
    LineKind,
    Origin,
    Plan,
    TimedLine,
    TimedWord,
    Where,
    WordFault,
    WordMark,
)
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.store.store import Store

if TYPE_CHECKING:
    from timing.delivery.check import Progress
    from timing.delivery.matching import ClipFile
    from timing.delivery.verdict import Check
    from timing.delivery.voices import ClipVoice
    from timing.memory.clips import Earlier, Entry, Memory

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
    findings: tuple[Finding, ...] = ()
    voices: tuple[ClipVoice, ...] = ()


def with_deliveries(
    plan: Plan, drafts: Sequence[Draft], folder: Path, store: Store, progress: Progress | None = None
) -> CameBack:
    """Return ``drafts`` with the lines that came back timed by their clips; unchanged where there is no clips/.

    Verdicts are kept in ``store`` by content. Raises SettingsError for a damaged clips.toml.
    """
    from timing.memory.clips_toml import check_names, read_memory

    memory = read_memory(folder)
    check_names(memory, plan, folder)
    if not (folder / "clips").is_dir():
        return CameBack(drafts, findings=_accepted_findings(plan, memory, {}, folder))
    from timing.delivery.check import check_deliveries
    from timing.delivery.container import media_of
    from timing.delivery.matching import SUFFIXES, files_below
    from timing.delivery.voices import check_voices
    from timing.memory.labels import labels_below

    below = files_below(folder, [clip.id for clip in plan.clips], memory.voices, memory.named)
    files: list[ClipFile] = [file for file in below if not file.is_voice]
    chosen = memory.chosen(plan, files)
    found = list(_accepted_findings(plan, memory, chosen, folder, [file.name for file in files]))
    labels, unfit = labels_below(folder, "clips", SUFFIXES)
    found += unfit
    checks = check_deliveries(
        plan, folder, progress, store, accepted=chosen, outdated=memory.outdated(plan), labels=labels, takes=files
    )
    voices = check_voices(plan, folder, [file for file in below if file.is_voice], checks, store, memory.voices)
    found += [finding for one in voices for finding in one.voice.findings]
    spoken = {one.clip: one.voice for one in sorted(voices, key=lambda one: one.voice.is_used)}
    best = {c.clip: c for c in checks if c.is_best and c.clip is not None}
    used = {}
    for clip in plan.clips:
        check = best.get(clip.id)
        if check is None or clip.kind is not LineKind.SPOKEN:
            continue
        is_accepted = _is_accepted(memory, plan, clip, check, chosen)
        if (check.is_whole or is_accepted) and _fits(plan, clip, check):
            used[clip.id] = check
        elif is_accepted:
            message = f"{clip.id}: {check.file} is accepted, but its words cannot be followed: its line keeps its times"
            found.append(Finding(FindingCode.NOT_FOLLOWED, message, {"clip": clip.id, "file": check.file}))
        found += _changed_directions(plan, clip, check, memory)
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
                state=_state(memory, plan, clip, check, chosen),
                is_measured=measured,
                has_picture=check.rate is not None,
                speech_start=heard.start if measured and heard else None,
                word_marks=_marks(plan, clip, check),
                findings=check.findings,
                media=media_of(folder, store, check.file),
                voice=spoken.get(clip.id),
            )
        )
    handles = {clip_id: Handles(c.heard.start, c.tail) for clip_id, c in used.items() if c.heard and c.tail is not None}
    timed = _timed(plan, drafts, used)
    return CameBack(timed, tuple(deliveries), tuple(checks), handles, tuple(found), tuple(voices))


def _is_accepted(memory: Memory, plan: Plan, clip: Clip, check: Check, chosen: Mapping[str, str]) -> bool:
    """True where a person accepted this file, by its name or by accepting the clip as it is."""
    from timing.memory.clips import ACCEPTED

    if clip.id in chosen:
        return chosen[clip.id] == check.file
    known = memory.current(plan, clip)
    is_old = any(f.code is FindingCode.OUTDATED for f in check.findings)
    return known is not None and known.state == ACCEPTED and known.accepted is None and not is_old


def _accepted_findings(
    plan: Plan, memory: Memory, chosen: Mapping[str, str], folder: Path, files: Sequence[str] = ()
) -> tuple[Finding, ...]:
    """Return a finding for each choice of a person's that fits nothing; a slip in a file's name is a SettingsError."""
    from timing.memory.clips_toml import check_accepted

    where, found = Where("clips.toml"), []
    wishes = memory.accepted(plan)
    for clip_id, name in wishes.items():
        if clip_id not in chosen:
            check_accepted(memory.clips[clip_id], clip_id, name, files, folder)
            message = f'{clip_id}: clips.toml accepts "{name}", which is not in clips; the best take there counts'
            facts = {"clip": clip_id, "file": name}
            found.append(Finding(FindingCode.ACCEPTED_MISSING, message, facts, where))
    for clip in plan.clips:
        known = memory.clips.get(clip.id)
        here = memory.current(plan, clip)
        ever: list[Entry | Earlier] = [known, *known.earlier] if known else []
        old = [one.accepted for one in ever if one is not here and one.accepted]
        if old and clip.id not in wishes:
            message = f"{clip.id}: {old[-1]} was accepted for other words; ask anew, or accept it for these too"
            facts = {"clip": clip.id, "file": old[-1]}
            found.append(Finding(FindingCode.ACCEPTED_FOR_OTHER_WORDS, message, facts, where))
    return tuple(found)


def _changed_directions(plan: Plan, clip: Clip, check: Check, memory: Memory) -> list[Finding]:
    """Return a finding where a clip came back for the same words, said in another way."""
    from timing.memory.clips import directions_of

    known, now = memory.current(plan, clip), directions_of(plan, clip)
    if known is None or not known.wording.words or not known.files or known.directions == now:
        return []
    before, after = (", ".join(f"({d})" for d in which) or "no direction" for which in (known.directions, now))
    message = f"{clip.id} came back for {before}, the script now says {after}: listen whether {check.file} still fits"
    return [Finding(FindingCode.DIRECTIONS_CHANGED, message, {"clip": clip.id, "file": check.file})]


def _fits(plan: Plan, clip: Clip, check: Check) -> bool:
    return check.heard is not None and len(check.heard.words) == sum(b - a for _, a, b in _ranges(plan, clip))


def _state(memory: Memory, plan: Plan, clip: Clip, check: Check, chosen: Mapping[str, str]) -> str:
    from timing.memory.clips import ACCEPTED, ASKED, DELIVERED

    if _is_accepted(memory, plan, clip, check, chosen):
        return ACCEPTED
    if any(f.code == FindingCode.OUTDATED for f in check.findings):
        return ASKED
    return DELIVERED


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
        if own and used and draft.timed is not None:
            draft = replace(draft, reach=(_reach(own[0], used)[0], _reach(own[-1], used)[1]))
        if draft.timed is None or not any(clip.id in used for clip in own):
            out.append(draft)
        elif len(own[0].lines) > 1:
            out.append(_from_shared(plan, draft, own[0], used[own[0].id]))
        else:
            out.append(_joined(draft, draft.timed, own, used))
    return out


def _reach(clip: Clip, used: Mapping[str, Check]) -> tuple[Seconds, Seconds]:
    """Return how much a clip can show before its first sound and after its last one: it came back, or is asked for."""
    check = used.get(clip.id)
    if check and check.heard:
        return check.heard.start, clip.tail if check.tail is None else check.tail
    spare = max(Fraction(0), (clip.ask or 0) - clip.need)
    return clip.head + spare, clip.tail + spare


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
        tuple(w.moved(-start) for w in words), _origin([check]), length, length, check.confidence, check.file, start
    )
    gap = start - check.heard.words[at - 1].end if at else None
    return replace(draft, timed=timed, delivered=(check.file,), gap=gap)


def _origin(checks: Sequence[Check]) -> Origin:
    return Origin.PINNED if any(check.is_pinned for check in checks) else Origin.MEASURED


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
            # The earlier clip holds on until the later one begins, which is shown from its very first frame: the
            # frame in which the cut leaves the earlier one stays the same whatever comes back for the later one.
            held = max(Fraction(0), before.words[first].start - before.words[first - 1].end - clip.head)
            held = held if room is None else min(held, room)
            pause = held + (check.heard.start if check and check.heard else clip.head)
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
            tuple(words), _origin(own), words[-1].end, words[-1].end,
            min(check.confidence or 0.0 for check in own),
            single.file if single else None, single.heard.start if single and single.heard else None,
            tuple(f for line in heard for f in line.findings),
        )  # fmt: skip
    else:
        timed = replace(before, words=tuple(words), low=low, high=high, take=None, take_start=None)
    return replace(draft, timed=timed, delivered=tuple(check.file for check in own))
