"""The events of a cut list on the plan: which clip each is, where in its file it begins, what is seen and heard.

In: what the list says, the plan, the files that came back. Out: the :class:`Cut`, and findings on events that are no
clip, ask for frames that are not there, or count otherwise.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from timing.cut.laid import clip_laid_at
from timing.cut.listed import CutList, Listed
from timing.cut.matching import Known, Sources
from timing.delivery.verdict import Check
from timing.model import Clip, Cut, CutEvent, Finding, Media, Plan, Where
from timing.model.clock import Seconds
from timing.model.findings import FindingCode

MOST_NAMED = 6  # unknown sources in one finding
ROUNDED = 2  # frames by which an edit may reach over a file's end, rates and rounding being what they are

MediaOf = Callable[[str], Media | None]


def placed(listed: CutList, plan: Plan, checks: Sequence[Check], media_of: MediaOf) -> tuple[Cut, list[Finding]]:
    """Return the cut; ``media_of`` says what a file is, by its name relative to the episode folder."""
    sources = Sources(plan, checks)
    known = [sources.of(event) for event in listed.events]
    findings = list(listed.findings)
    strange = list(
        dict.fromkeys(e.name for e, k in zip(listed.events, known, strict=True) if k == Known() and e.is_seen)
    )
    if strange:
        findings.append(_unknown(strange, listed.file))
    events = []
    clips = {clip.id: clip for clip in plan.clips}
    for event, what in zip(listed.events, known, strict=True):
        one, found = _event(event, what, plan, clips, media_of, listed)
        events.append(one)
        findings += found
    frames = plan.rate.frame_at(listed.length)
    shown = _uncovered(_heard(events, plan), plan)
    ordered = sorted(shown, key=lambda e: (e.start, not e.is_seen, e.layer, e.end, e.name))
    return Cut(listed.file, listed.rate, listed.length, frames, tuple(_joined(ordered))), findings


def _unknown(names: Sequence[str], path: str) -> Finding:
    shown = ", ".join(f"“{name[:60]}”" for name in names[:MOST_NAMED])
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    is_are = "is no clip" if len(names) == 1 else "are no clips"
    message = f"{shown}{more} {is_are} of the script; name a file after its clip, C04.mp4, if it is one"
    return Finding(FindingCode.CUT_UNKNOWN, message, {"names": list(names)}, Where(path))


def _event(
    event: Listed, known: Known, plan: Plan, clips: Mapping[str, Clip], media_of: MediaOf, listed: CutList
) -> tuple[CutEvent, list[Finding]]:
    rate, found = plan.rate, []
    file = known.file or known.recording
    source, is_followed = event.source - (event.source_zero or 0), event.speed == 1
    if known.clip is not None and is_followed:
        own_file = known.voice.file if known.voice else file
        media = media_of(own_file) if own_file else None
        length = media.seconds if media and media.seconds else None
        if length is None:
            clip = clips[known.clip]
            length = clip.ask if clip.ask is not None else clip.need
            length = max(length, clip.end - clip.start + clip.head)
        inside = _inside(event, media, length, listed, plan)
        if inside is None:
            is_followed = False
            message = (
                f"{event.place}: {known.clip} has no such frames ({file or 'as asked for'}); its words are not followed"
            )
            facts = {"clip": known.clip, "file": file or ""}
            found.append(Finding(FindingCode.CUT_OUTSIDE, message, facts, Where(listed.file)))
        else:
            source = inside if known.voice is None else known.voice.in_clip(inside)
    planned = None
    if known.clip is not None and is_followed:
        planned = clip_laid_at(plan, clips[known.clip]) + source
    return CutEvent(
        event.name, event.start, event.end, rate.frame_at(event.start), rate.frame_at(event.end), source, known.clip,
        file, event.line_id if known.recording else None, known.song, event.is_seen, event.is_heard, is_followed,
        event.layer, planned,
    ), found  # fmt: skip


def _inside(event: Listed, media: Media | None, length: Seconds, listed: CutList, plan: Plan) -> Seconds | None:
    """Return where in the file an event begins, None where the file has no such frames.

    Where the list does not say on which code the file begins, it begins on its own time code, or at 0, or, as many
    edits number what has none, at a whole hour.
    """
    slack = ROUNDED / min(listed.rate.fps, plan.rate.fps)
    asked = event.end - event.start

    def fits(begin: Seconds) -> bool:
        return -slack <= begin and begin + asked <= length + slack

    if event.source_zero is not None:
        zeros = [event.source_zero]
    else:
        own = [media.starts] if media and media.starts is not None else []
        hour = listed.rate.moment_of(listed.rate.frame_of("01:00:00:00"))
        zeros = [*own, Fraction(0), event.source // hour * hour]
    begins = [event.source - zero for zero in zeros]
    found = next((begin for begin in begins if fits(begin)), None)
    return None if found is None else max(Fraction(0), found)


def _heard(events: Sequence[CutEvent], plan: Plan) -> list[CutEvent]:
    """Return the events with those pictures heard that bring their clip's only sound: no track has it by itself."""
    alone = [event for event in events if not event.is_seen and event.is_heard]
    apart = {event.clip for event in alone}
    takes = {event.file for event in alone if event.clip is None and event.song is None}
    recorded = {line.id for line in plan.lines if line.take in takes and line.take is not None}
    apart |= {clip.id for clip in plan.clips if set(clip.lines or (clip.line,)) & recorded}
    return [
        replace(event, is_heard=True) if event.is_seen and event.clip is not None and event.clip not in apart else event
        for event in events
    ]


def _uncovered(events: Sequence[CutEvent], plan: Plan) -> Iterator[CutEvent]:
    """Yield what is seen and heard: a picture where no higher track covers it, its sound all through."""
    covered: list[tuple[Seconds, Seconds]] = []  # disjoint, in order
    layers = sorted({event.layer for event in events if event.is_seen}, reverse=True)
    for layer in layers:
        own = [event for event in events if event.is_seen and event.layer == layer]
        for event in own:
            pieces = list(_left(event.start, event.end, covered))
            if pieces == [(event.start, event.end)]:
                yield event
                continue
            yield from (replace(_part(event, *piece, plan), is_heard=False) for piece in pieces)
            if event.is_heard:
                yield replace(event, is_seen=False)
        covered = _merged([*covered, *((event.start, event.end) for event in own)])
    yield from (event for event in events if not event.is_seen)


def _left(
    start: Seconds, end: Seconds, covered: Sequence[tuple[Seconds, Seconds]]
) -> Iterator[tuple[Seconds, Seconds]]:
    """Yield what of a stretch is not covered."""
    at = start
    for first, last in covered[max(0, bisect_left(covered, (start, start)) - 1) :]:
        if first >= end or at >= end:
            break
        if first > at:
            yield at, first
        at = max(at, last)
    if at < end:
        yield at, end


def _merged(stretches: Sequence[tuple[Seconds, Seconds]]) -> list[tuple[Seconds, Seconds]]:
    found: list[tuple[Seconds, Seconds]] = []
    for start, end in sorted(stretches):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return found


def _part(event: CutEvent, start: Seconds, end: Seconds, plan: Plan) -> CutEvent:
    frame_at, by = plan.rate.frame_at, start - event.start
    return replace(
        event, start=start, end=end, source=event.source + by, start_frame=frame_at(start), end_frame=frame_at(end),
        planned=None if event.planned is None else event.planned + by,
    )  # fmt: skip


def _joined(events: Sequence[CutEvent]) -> list[CutEvent]:
    """Return the events with pieces that go on where another of the same source ends made one, as an edit leaves them
    around a transition."""
    found: list[CutEvent] = []
    places: dict[tuple[object, ...], int] = {}
    for event in events:
        key = (event.clip, event.file, event.name if event.clip is None else "", event.is_seen, event.is_heard,
               event.is_followed, event.layer, event.line, event.song)  # fmt: skip
        at = places.get(key)
        before = None if at is None else found[at]
        same = before is not None and event.source - event.start == before.source - before.start
        if at is not None and before is not None and same and event.start <= before.end:
            end = max(event.end, before.end)
            found[at] = replace(before, end=end, end_frame=max(event.end_frame, before.end_frame))
            continue
        places[key] = len(found)
        found.append(event)
    return found
