"""A cut as its file lists it, before anybody knows which clips it is about."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from timing.model import Finding
from timing.model.clock import FrameRate, Seconds

MOST_EVENTS = 20_000  # one for each line that a script may have


@dataclass(frozen=True, slots=True)
class Listed:
    """One stretch of the cut, seconds on its own clock.

    ``names`` are what its source is called, the surest first: file, clip name, reel. ``source`` is where it begins on
    the source's clock, ``source_zero`` where that clock begins if the list says so. ``layer`` counts picture tracks
    from 0, a higher one covers a lower one. ``speed`` is 1 unless the list changes it; 0 is a held frame. ``place``
    says where it stands ("event 004"), for messages.
    """

    names: tuple[str, ...]
    start: Seconds
    end: Seconds
    source: Seconds
    place: str
    is_seen: bool = True
    is_heard: bool = False
    layer: int = 0
    speed: Fraction = Fraction(1)
    source_zero: Seconds | None = None
    clip_id: str | None = None
    line_id: str | None = None

    @property
    def name(self) -> str:
        return next((name for name in self.names if name), "")


@dataclass(frozen=True, slots=True)
class CutList:
    """Everything that one file lists; ``rate`` is what its frames count in, ``length`` where its last event ends."""

    file: str
    rate: FrameRate
    events: tuple[Listed, ...]
    length: Seconds
    findings: tuple[Finding, ...] = ()
