"""The real cut: what the edit shows and lets hear, on its own clock."""

from __future__ import annotations

import re
from dataclasses import dataclass

from timing.model.clock import FrameRate, Seconds


def numbered(name: str, number: int) -> str:
    """Return what a clip, line or song is called where the cut has it for the ``number``-th time.

    >>> numbered("C04", 1), numbered("C04", 2)
    ('C04', 'C04 (2)')
    """
    return name if number == 1 else f"{name} ({number})"


def without_number(name: str) -> str:
    """Return what :func:`numbered` was given.

    >>> without_number("C04 (2)"), without_number("C04")
    ('C04', 'C04')
    """
    return re.sub(r" \(\d+\)$", "", name)


@dataclass(frozen=True, slots=True)
class CutEvent:
    """One stretch of the cut; frames are the episode's.

    ``clip`` is the clip's id (None: something else, called ``name``), ``file`` what came back for it as the cut uses
    it, relative to the episode folder. ``source`` is where the stretch begins in that file. ``is_followed`` is False
    where the speed is changed or the file has no such frames: what is said in it is not known. ``planned`` is where the
    stretch begins on the plan's own clock, None for what is no clip or not followed.
    """

    name: str
    start: Seconds
    end: Seconds
    start_frame: int
    end_frame: int
    source: Seconds
    clip: str | None = None
    file: str | None = None
    line: str | None = None
    song: str | None = None
    is_seen: bool = True
    is_heard: bool = False
    is_followed: bool = True
    layer: int = 0
    planned: Seconds | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut as it was read from ``file``; ``rate`` is the one that the file counts in."""

    file: str
    rate: FrameRate
    length: Seconds
    frames: int
    events: tuple[CutEvent, ...]

    def places(self, clip_id: str) -> tuple[tuple[int, int], ...]:
        """Return the frames (start, end; end excluded) in which a clip is seen, in order; none where it is left out."""
        found: list[tuple[int, int]] = []
        for start, end in sorted((e.start_frame, e.end_frame) for e in self.events if e.is_seen and e.clip == clip_id):
            if found and start <= found[-1][1]:
                found[-1] = (found[-1][0], max(end, found[-1][1]))
            elif end > start:
                found.append((start, end))
        return tuple(found)

    def frames_of(self, clip_id: str, moment: Seconds, rate: FrameRate) -> tuple[int, ...]:
        """Return the frames at which a clip shows a moment of the plan's own clock, in order; none where it is cut."""
        return tuple(
            sorted(
                rate.frame_at(e.start + moment - e.planned)
                for e in self.events
                if e.is_seen
                and e.clip == clip_id
                and e.planned is not None
                and e.planned <= moment < e.planned + e.end - e.start
            )
        )

    def used(self, clip_id: str) -> tuple[Seconds, Seconds] | None:
        """Return from when to when a clip is used, on the plan's own clock; None where nothing of it is seen."""
        spans = [
            (e.planned, e.planned + e.end - e.start)
            for e in self.events
            if e.is_seen and e.clip == clip_id and e.planned is not None
        ]
        return (min(start for start, _ in spans), max(end for _, end in spans)) if spans else None

    @property
    def gaps(self) -> tuple[tuple[int, int], ...]:
        """The stretches of frames in which nothing is seen, in order."""
        found, at = [], 0
        for start, end in sorted((e.start_frame, e.end_frame) for e in self.events if e.is_seen):
            if start > at:
                found.append((at, start))
            at = max(at, end)
        return (*found, (at, self.frames)) if at < self.frames else tuple(found)
