"""Beats and bars of a song."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from timing.model.basics import Finding, Origin
from timing.model.clock import Seconds
from timing.model.metre import beats_a_bar


@dataclass(frozen=True)
class BeatGrid:
    """Beats of a recording, in seconds from the start of its file.

    ``downbeats_s`` are the first beats of bars (empty where nobody said which they are), ``pieces`` the
    steady stretches as (start_s, bpm, number of beats).
    """

    bpm: float
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]
    metre: tuple[int, int]
    pieces: tuple[tuple[float, float, int], ...] = ()
    confidence: float = 0.0
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Song:
    """A song placed on the episode's clock.

    ``beats`` and ``downbeats`` are moments of the episode; bar n begins at ``downbeats[n - 1]``.
    ``start`` is where the song's file (or bar 1, where there is no file) begins.
    """

    id: str
    bpm: Fraction
    metre: tuple[int, int]
    start: Seconds
    end: Seconds
    beats: tuple[Seconds, ...]
    downbeats: tuple[Seconds, ...]
    origin: Origin
    file: str | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def bars(self) -> int:
        return len(self.downbeats)

    @property
    def first_downbeat(self) -> Seconds:
        return self.downbeats[0] if self.downbeats else self.start

    def position_of(self, moment: Seconds) -> tuple[int, Fraction] | None:
        """Return (bar, beat) at a moment, None outside the song; bar 0 is the pick-up bar."""
        from bisect import bisect_right

        if not self.beats or not self.start <= moment < self.end:
            return None
        at = bisect_right(self.beats, moment) - 1
        if at < 0:
            return None
        span = self.beats[at + 1] - self.beats[at] if at + 1 < len(self.beats) else 60 / self.bpm
        within = min((moment - self.beats[at]) / span, Fraction(999, 1000))
        bar = bisect_right(self.downbeats, self.beats[at])
        if bar:
            first = bisect_right(self.beats, self.downbeats[bar - 1]) - 1
            return bar, at - first + 1 + within
        ahead = bisect_right(self.beats, self.first_downbeat) - 1 - at  # beats before bar 1
        return 0, beats_a_bar(self.metre) - ahead + 1 + within
