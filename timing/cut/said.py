"""What the cut does to the plan, in findings: words taken away, clips moved, repeated, left out, gaps, other takes."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from timing.cut.heard import Followed
from timing.cut.laid import clip_laid_at
from timing.model import Clip, CutEvent, Finding, LineKind, Plan, Where
from timing.model.clock import Seconds
from timing.model.cut import without_number
from timing.model.findings import FindingCode
from timing.plain.figures import counted
from timing.plain.words import bare

CUT_INTO_FRAMES = Fraction(3, 2)  # an edit falls on frames, so up to a frame of a word's edge may go
APART_FRAMES = 1  # mouth and sound may be a frame apart (ITU-R BS.1204)
SAME_GAP = 1  # frame: a gap is rounded at both ends
MOST_GAPS = 6


@dataclass(frozen=True)
class Found:
    """Findings of clips, by id, and of the whole cut."""

    clips: Mapping[str, tuple[Finding, ...]]
    whole: tuple[Finding, ...]


def findings_of(followed: Followed) -> Found:
    """Return everything that a person should know of the cut."""
    clips: dict[str, list[Finding]] = defaultdict(list)
    where = Where(followed.cut.file)
    shown: dict[str, list[CutEvent]] = defaultdict(list)
    for event in followed.cut.events:
        shown[event.clip or ""].append(event)
    left = _left_of_words(followed)
    for clip in followed.plan.clips:
        events = shown[clip.id]
        if not any(e.is_seen for e in events):
            clips[clip.id].append(_left_out(clip, bool(events), where))
        clips[clip.id] += _taken(followed, left, clip, events, where)
        clips[clip.id] += _repeated(followed.plan, clip, events, where)
        clips[clip.id] += _other_take(followed.plan, clip, events, where)
        clips[clip.id] += _apart(followed, clip, events, where)
    for clip_id, finding in _moved(followed, where):
        clips[clip_id].append(finding)
    return Found({clip_id: tuple(found) for clip_id, found in clips.items() if found}, tuple(_gaps(followed, where)))


def _left_out(clip: Clip, is_heard: bool, where: Where) -> Finding:
    what = "heard in the cut and not seen" if is_heard else "not in the cut"
    return Finding(FindingCode.CUT_LEFT_OUT, what, {"clip": clip.id, "heard": is_heard}, where)


def _left_of_words(followed: Followed) -> dict[tuple[str, int], tuple[Fraction, Seconds]]:
    """Return the share of each word that is left where most of it is heard, and what is gone of it, below 0."""
    best: dict[tuple[str, int], tuple[Fraction, Seconds]] = {}
    for said in followed.said:
        place = (said.line, said.index)
        best[place] = max(best.get(place, (Fraction(0), Fraction(0))), (said.left, -said.lost))
    return best


def _taken(
    followed: Followed,
    best: Mapping[tuple[str, int], tuple[Fraction, Seconds]],
    clip: Clip,
    events: Sequence[CutEvent],
    where: Where,
) -> list[Finding]:
    if clip.kind is not LineKind.SPOKEN or not events or not all(e.is_followed for e in events):
        return []
    plan = followed.plan
    lost, cut_into = [], []
    for line_id, first, last in plan.words_of(clip):
        for n in range(first, last):
            left, gone = best.get((line_id, n), (Fraction(0), Fraction(0)))
            if left < Fraction(1, 2):
                lost.append((line_id, n))
            elif -gone * plan.rate.fps > CUT_INTO_FRAMES:
                cut_into.append((line_id, n))
    if not lost and not cut_into:
        return []
    told = [
        f"{verb} {_named(followed, places)}" for verb, places in (("takes", lost), ("cuts into", cut_into)) if places
    ]
    facts = {
        "clip": clip.id,
        "taken": [followed.lines[line_id].words[n].text for line_id, n in lost],
        "cut_into": [followed.lines[line_id].words[n].text for line_id, n in cut_into],
    }
    return [Finding(FindingCode.CUT_TAKES_WORDS, f"the cut {' and '.join(told)}", facts, where)]


def _named(followed: Followed, places: Sequence[tuple[str, int]]) -> str:
    """Return words as people say which: each run of neighbours in quotes."""
    runs: list[list[str]] = []
    before: tuple[str, int] | None = None
    for line_id, n in places:
        text = bare(followed.lines[line_id].words[n].text)
        if before == (line_id, n - 1):
            runs[-1].append(text)
        else:
            runs.append([text])
        before = (line_id, n)
    return ", ".join(f"“{' '.join(run)}”" for run in runs)


def _repeated(plan: Plan, clip: Clip, events: Sequence[CutEvent], where: Where) -> list[Finding]:
    seen = sorted((e for e in events if e.is_seen and e.is_followed), key=lambda e: (e.file or "", e.source))
    places = []
    for a, b in pairwise(seen):
        again = a.source + a.end - a.start - b.source
        if a.file == b.file and again * plan.rate.fps >= 1:
            places.append(max(a.start_frame, b.start_frame))
    if not places:
        return []
    at = " and ".join(plan.rate.timecode(frame) for frame in sorted(set(places)))
    facts = {"clip": clip.id, "frames": sorted(set(places))}
    return [Finding(FindingCode.CUT_REPEATED, f"shown again at {at}", facts, where)]


def _other_take(plan: Plan, clip: Clip, events: Sequence[CutEvent], where: Where) -> list[Finding]:
    back = plan.delivered(clip.id)
    others = sorted({e.file for e in events if e.file and back is not None and e.file != back.file})
    if back is None or not others:
        return []
    what = "accepted" if back.state == "accepted" else "the best take"
    message = f"the cut uses {' and '.join(others)}; {back.file} is {what}"
    facts = {"clip": clip.id, "files": others, "best": back.file}
    return [Finding(FindingCode.CUT_OTHER_TAKE, message, facts, where)]


def _apart(followed: Followed, clip: Clip, events: Sequence[CutEvent], where: Where) -> list[Finding]:
    """Return a finding where a clip's picture lies beside its own sound, or beside its song."""
    plan = followed.plan
    seen = [e for e in events if e.is_seen and e.is_followed]
    most = 0
    if clip.kind is LineKind.SUNG:
        shift = followed.song_shift.get(plan.line(clip.line).song or "")
        begins = clip_laid_at(plan, clip)
        if shift is not None:
            songs = [s for s in followed.songs if without_number(s.id) == plan.line(clip.line).song]
            for event in seen:
                by = event.start - event.source - begins
                near = [s.start - _own_start(plan, s.id) for s in songs] or [shift]
                off = min((plan.rate.frame_at(abs(by - one)) * (1 if by > one else -1) for one in near), key=abs)
                most = max(most, off, key=abs)
    elif clip.kind is LineKind.SPOKEN:
        sound = [e for e in events if e.is_heard and not e.is_seen and e.is_followed]
        for event in seen:
            for other in sound:
                if other.file == event.file and other.start < event.end and event.start < other.end:
                    by = (event.start - event.source) - (other.start - other.source)
                    most = max(most, plan.rate.frame_at(abs(by)) * (1 if by > 0 else -1), key=abs)
    if abs(most) <= APART_FRAMES:
        return []
    what = "its song" if clip.kind is LineKind.SUNG else "its sound"
    message = f"its picture lies {counted(abs(most), 'frame')} {'after' if most > 0 else 'before'} {what}"
    return [Finding(FindingCode.CUT_APART, message, {"clip": clip.id, "frames": most}, where)]


def _own_start(plan: Plan, song_id: str) -> Seconds:
    return next(song.start for song in plan.songs if song.id == without_number(song_id))


def _moved(followed: Followed, where: Where) -> list[tuple[str, Finding]]:
    """Return a finding for each clip that stands before or after others it should follow; as few as say it all."""
    plan = followed.plan
    order = {clip.id: n for n, clip in enumerate(sorted(plan.clips, key=lambda c: (c.start_frame, c.end_frame, c.id)))}
    first: dict[str, Seconds] = {}
    for event in followed.cut.events:
        if event.is_seen and event.clip is not None:
            first.setdefault(event.clip, event.start)
    row = sorted(first, key=lambda clip_id: (first[clip_id], order[clip_id]))
    stay = _longest_rise([order[clip_id] for clip_id in row])
    found = []
    for at, clip_id in enumerate(row):
        if at in stay:
            continue
        before = row[at - 1] if at else None
        message = f"stands after {before} in the cut" if before else "stands first in the cut"
        found.append((clip_id, Finding(FindingCode.CUT_MOVED, message, {"clip": clip_id, "after": before}, where)))
    return found


def _longest_rise(values: Sequence[int]) -> set[int]:
    """Return the places of a longest rising row of values: those need not have moved.

    >>> sorted(_longest_rise([0, 3, 1, 2]))
    [0, 2, 3]
    """
    ends: list[int] = []
    last: list[int] = []  # the place of the value that each row of this length ends with
    before: list[int] = []
    for at, value in enumerate(values):
        n = bisect_left(ends, value)
        before.append(last[n - 1] if n else -1)
        if n == len(ends):
            ends.append(value)
            last.append(at)
        else:
            ends[n], last[n] = value, at
    found, at = set(), last[-1] if last else -1
    while at >= 0:
        found.add(at)
        at = before[at]
    return found


def _gaps(followed: Followed, where: Where) -> list[Finding]:
    cut, rate = followed.cut, followed.plan.rate
    planned = _planned_gaps(followed.plan)
    gaps = [
        (start, end)
        for start, end in cut.gaps
        if (own := planned.get(_around(followed, (start, end)))) is None or abs(own - (end - start)) > SAME_GAP
    ]
    if not gaps:
        return []
    shown = [f"{counted(end - start, 'frame')} at {rate.timecode(start)}" for start, end in gaps[:MOST_GAPS]]
    more = f" and {len(gaps) - MOST_GAPS} more" if len(gaps) > MOST_GAPS else ""
    message = f"the cut shows nothing for {', '.join(shown)}{more}"
    return [Finding(FindingCode.CUT_GAP, message, {"gaps": [list(gap) for gap in gaps]}, where)]


def _planned_gaps(plan: Plan) -> dict[tuple[str | None, str | None], int]:
    """Return how many frames without a picture lie between two clips of the plan, by the two."""
    found: dict[tuple[str | None, str | None], int] = {}
    last, at = None, 0
    for clip in sorted(plan.clips, key=lambda clip: (clip.start_frame, clip.end_frame)):
        if clip.start_frame > at:
            found[last, clip.id] = clip.start_frame - at
        if clip.end_frame >= at:
            last, at = clip.id, clip.end_frame
    return {**found, (last, None): plan.frames - at} if plan.frames > at else found


def _around(followed: Followed, gap: tuple[int, int]) -> tuple[str | None, str | None]:
    """Return the clips before and after a gap of the cut, None at its beginning and end."""
    seen = [event for event in followed.cut.events if event.is_seen]
    before = next((event.clip for event in seen if event.end_frame == gap[0]), None)
    return before, next((event.clip for event in seen if event.start_frame == gap[1]), None)
