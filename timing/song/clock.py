"""A song's own clock: which moment a bar and beat is.

In: measured beats and downbeats, or a steady tempo. Out: moments, in seconds from the start of the song's file (from
the pick-up bar, or bar 1, where there is no file). Between measured beats time runs evenly; beyond the first and last
beat it goes on at the song's tempo.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from timing.model.clock import Seconds
from timing.model.labels import SAME, Label
from timing.model.metre import Metre

MICROSECOND = 1_000_000


def exact(seconds: float) -> Seconds:
    """Return a measured time as a whole number of microseconds.

    >>> exact(2.6130004)
    Fraction(2613, 1000)
    """
    return Fraction(round(seconds * MICROSECOND), MICROSECOND)


@dataclass(frozen=True)
class SongClock:
    """Beats of a song; ``first`` is the index of the beat on which bar 1 begins, ``starts`` the beat index of bars.

    ``starts`` has the index in ``beats`` of each bar from bar 1 on.
    """

    bpm: Fraction
    metre: Metre
    beats: tuple[Seconds, ...]
    starts: tuple[int, ...]

    @classmethod
    def steady(cls, bpm: Fraction, metre: Metre, bars: int, pick_up: bool) -> SongClock:
        """Return the clock of a song still to be made: exact beats from 0, with a pick-up bar where asked for."""
        a_bar = metre.beats
        total = (bars + pick_up) * a_bar
        beats = tuple(60 * n / bpm for n in range(total))
        return cls(bpm, metre, beats, tuple(range(a_bar if pick_up else 0, total, a_bar)))

    @property
    def downbeats(self) -> tuple[Seconds, ...]:
        """Bar n begins at ``downbeats[n - 1]``."""
        return tuple(self.beats[i] for i in self.starts)

    @property
    def end(self) -> Seconds:
        """The end of the last beat."""
        return self.beats[-1] + 60 / self.bpm

    def with_bars(self, told: Mapping[int, Label]) -> SongClock:
        """Return the clock with bars where labels have their first beats; what lies between two moves in proportion.

        Before the first label and after the last one the beats keep their distances. Raises InputError for labels
        that are out of order, or so far off that bars would lie over one another.
        """
        moved = [(self.beats[self.starts[bar - 1]], told[bar]) for bar in sorted(told) if 1 <= bar <= len(self.starts)]
        anchors = [(at, at if abs(label.start - at) <= SAME else label.start, label) for at, label in moved]
        for (_, before, _), (_, after, label) in pairwise(anchors):
            if after <= before:
                raise label.error(f"“{label.text}” begins before the bar that comes first; correct the seconds")

        def where(moment: Seconds) -> Seconds:
            after = next((n for n, (at, _, _) in enumerate(anchors) if at >= moment), len(anchors))
            if after in (0, len(anchors)):
                at, new, _ = anchors[min(after, len(anchors) - 1)]
                return moment + new - at
            (a, new_a, _), (b, new_b, _) = anchors[after - 1 : after + 1]
            return new_a + (moment - a) * (new_b - new_a) / (b - a)

        return replace(self, beats=tuple(map(where, self.beats))) if anchors else self

    def beat_moment(self, index: Fraction) -> Seconds:
        """Return the moment of a beat index, which may lie between beats or outside the measured ones."""
        whole = math.floor(index)
        if whole < 0:
            return self.beats[0] + index * 60 / self.bpm
        if whole >= len(self.beats) - 1:
            return self.beats[-1] + (index - (len(self.beats) - 1)) * 60 / self.bpm
        return self.beats[whole] + (index - whole) * (self.beats[whole + 1] - self.beats[whole])

    def index_of_bar(self, bar: int) -> int:
        """Return the beat index on which ``bar`` begins (beyond the measured bars: counted on)."""
        a_bar = self.metre.beats
        if 1 <= bar <= len(self.starts):
            return self.starts[bar - 1]
        if bar < 1:
            return self.starts[0] + (bar - 1) * a_bar
        return self.starts[-1] + (bar - len(self.starts)) * a_bar

    def moment(self, bar: int, position: Fraction) -> Seconds:
        """Return the moment ``position`` beats after beat 1 of ``bar`` (before it where negative).

        Positions are read bar by bar, so that a bar line after a break in the music stays where it was measured.
        """
        ahead, within = divmod(position, self.metre.beats)
        return self.beat_moment(self.index_of_bar(bar + int(ahead)) + within)
