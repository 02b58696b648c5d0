"""The cut as an edit sees it: on each track clips in order, none overlapping, gaps between them.

A clip shows part of what was generated: its first frame in the generated clip is the one that puts its speech, which
begins after the head handle, in the right place; in a clip that came back and was measured, where it really begins.
"""

from __future__ import annotations

from dataclasses import dataclass

from timing.export.delivery import Target
from timing.model import Clip, Delivered, LineKind, Plan


@dataclass(frozen=True, slots=True)
class Event:
    """One clip in the cut, in frames of the target rate: ``start``/``end`` on the episode, ``source`` in the clip.

    ``back`` is the file that came back for it and may be laid into the cut.
    """

    clip: Clip
    start: int
    end: int
    source: int
    available: int
    back: Delivered | None = None

    @property
    def length(self) -> int:
        return self.end - self.start


def cut_tracks(plan: Plan, target: Target) -> list[list[Event]]:
    """Return the picture tracks; the second and later ones hold clips of voices that speak at the same time."""
    tracks: list[list[Event]] = []
    for clip in sorted(plan.clips, key=lambda c: (c.start_frame, c.end_frame)):
        event = _event(clip, target, plan.delivered(clip.id))
        if event.length <= 0:
            continue
        for track in tracks:
            if event.start >= track[-1].end:
                track.append(event)
                break
        else:
            tracks.append([event])
    return tracks


def _event(clip: Clip, target: Target, back: Delivered | None) -> Event:
    start, end = target.frame(clip.start_frame), target.frame(clip.end_frame)
    source = 0
    if clip.kind is not LineKind.PICTURE and clip.follows is None:  # a later part is shown from its first frame
        # The frame of the first sound in the generated clip, less the frames the cut shows before it.
        sound = back.speech_start if back and back.is_measured and back.speech_start is not None else clip.head
        source = max(0, target.rate.frame_at(sound) - (target.frame_at(clip.speech_start) - start))
    asked = clip.ask if clip.ask is not None else clip.need
    usable = back if back is not None and is_usable(clip, back) else None
    return Event(clip, start, end, source, max(target.rate.frame_at(asked), source + end - start), usable)


def is_usable(clip: Clip, back: Delivered) -> bool:
    """True for a file that may be laid into the cut: a person accepted it, or nothing makes it useless.

    Of speech that could not be followed nobody knows where it would lie.
    """
    if back.state == "accepted" or back.is_measured:
        return True
    return clip.kind is not LineKind.SPOKEN and not any(f.code.spoils for f in back.findings)
