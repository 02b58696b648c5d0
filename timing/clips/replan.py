"""The clips of a plan laid over new times: what was asked for stays, what is shown follows.

In: the clips as they were asked for, the same lines with other times (some were measured in clips that came back),
what handles those clips really have. Out: the same clips, same ids, words and lengths asked for, on the new times.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from timing.clips.plan import ClipPlan, Handles, on_screen
from timing.model import Clip, LineKind, PlanLine, Song
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.settings import EpisodeSettings


def replan_clips(
    asked: ClipPlan,
    lines: Sequence[PlanLine],
    settings: EpisodeSettings,
    songs: Sequence[Song] = (),
    handles: Mapping[str, Handles] | None = None,
) -> ClipPlan:
    """Return ``asked`` on the times of ``lines``; ``handles`` by clip id cut a clip's own handles back."""
    by_id = {line.id: line for line in lines}
    picture_at: dict[str, Seconds] = {}
    moved = []
    for clip in asked.clips:
        if clip.kind is LineKind.PICTURE:
            start = picture_at.get(clip.line, by_id[clip.line].start)
            # What lies between two sung lines has the room that they leave.
            end = by_id[clip.line].end if clip.part[0] == clip.part[1] else start + clip.need
            picture_at[clip.line] = end
            moved.append(replace(clip, start=start, end=end, speech_start=start, speech_end=start, need=end - start))
        else:
            moved.append(_speech(clip, by_id, (handles or {}).get(clip.id)))
    cleared = [replace(c, findings=tuple(f for f in c.findings if f.code != FindingCode.NO_PICTURE)) for c in moved]
    shown = tuple(on_screen(cleared, lines, settings, {song.id: song for song in songs}, handles))
    findings = {
        line_id: tuple(f for f in found if f.code != FindingCode.NO_PICTURE)
        for line_id, found in asked.findings.items()
    }
    for clip in shown:
        if gaps := tuple(f for f in clip.findings if f.code == FindingCode.NO_PICTURE):
            findings[clip.line] = (*findings.get(clip.line, ()), *gaps)
    return ClipPlan(shown, findings)


def _handles(clip: Clip, real: Handles) -> tuple[Seconds, Seconds]:
    """Return head and tail of a clip that came back: at a seam all of it is there to be shown, else what was wanted."""
    head = real.head if clip.follows else min(clip.head, real.head)
    return head, real.tail if clip.part[0] < clip.part[1] else min(clip.tail, real.tail)


def _speech(clip: Clip, lines: Mapping[str, PlanLine], handles: Handles | None) -> Clip:
    line = lines[clip.line]
    words = line.words[clip.words[0] : clip.words[1]]
    start, end = words[0].start, words[-1].end
    if len(clip.lines) > 1:
        end = lines[clip.lines[-1]].end
    speech = end - start
    head, tail = (clip.head, clip.tail) if handles is None else _handles(clip, handles)
    if clip.speech == speech and (head, tail) == (clip.head, clip.tail):
        high = clip.high
    else:
        high = speech if handles or not line.length else speech * line.high / line.length
    return replace(
        clip, speech=speech, need=head + speech + tail, head=head, tail=tail, high=high,
        start=start - head, end=end + tail, speech_start=start, speech_end=end,
    )  # fmt: skip
