"""Beats and bars of a song."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from timing.model.basics import Finding, Origin
from timing.model.clock import Seconds
from timing.model.metre import Metre


@dataclass(frozen=True)
class BeatGrid:
    """Beats of a recording, in seconds from the start of its file.

    ``downbeats_s`` are the first beats of bars (empty where nobody said which they are), ``pieces`` the
    steady stretches as (start_s, bpm, number of beats).
    """

    bpm: float
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]
    metre: Metre
    pieces: tuple[tuple[float, float, int], ...] = ()
    confidence: float = 0.0
    findings: tuple[Finding, ...] = ()


class CountedBeat(NamedTuple):
    """A beat with its place in the song; bar 0 is the pick-up bar."""

    moment: Seconds
    bar: int
    number: int


@dataclass(frozen=True, slots=True)
class Song:
    """A song placed on the episode's clock.

    ``beats`` and ``downbeats`` are moments of the episode; bar n begins at ``downbeats[n - 1]``.
    ``start`` is where the song's file (or bar 1, where there is no file) begins; ``heard_from`` is later where an edit
    has taken the file's beginning away.
    """

    id: str
    bpm: Fraction
    metre: Metre
    start: Seconds
    end: Seconds
    beats: tuple[Seconds, ...]
    downbeats: tuple[Seconds, ...]
    origin: Origin
    file: str | None = None
    findings: tuple[Finding, ...] = ()
    heard_from: Seconds | None = None

    @property
    def bars(self) -> int:
        return len(self.downbeats)

    @property
    def first_downbeat(self) -> Seconds:
        return self.downbeats[0] if self.downbeats else self.start

    @property
    def counted(self) -> tuple[CountedBeat, ...]:
        """Every beat with its bar and its number there; beats before bar 1 are counted back from it, in bar 0.

        The one place where a song's beats get their numbers. Beats of an introduction longer than a bar, which
        nobody has numbered, come out below 1.
        """
        first = bisect_right(self.beats, self.first_downbeat) - 1
        found, bar, began = [], 0, first - self.metre.beats
        for at, moment in enumerate(self.beats):
            while bar < len(self.downbeats) and self.downbeats[bar] <= moment:
                bar, began = bar + 1, at
            found.append(CountedBeat(moment, bar, at - began + 1))
        return tuple(found)

    def position_of(self, moment: Seconds) -> tuple[int, Fraction] | None:
        """Return (bar, beat) at a moment, None outside the song; bar 0 is the pick-up bar."""
        if not self.beats or not self.start <= moment < self.end:
            return None
        at = bisect_right(self.beats, moment) - 1
        if at < 0:
            return None
        span = self.beats[at + 1] - self.beats[at] if at + 1 < len(self.beats) else 60 / self.bpm
        within = min((moment - self.beats[at]) / span, Fraction(999, 1000))
        beat = self.counted[at]
        return beat.bar, beat.number + within
