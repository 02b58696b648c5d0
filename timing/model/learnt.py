"""What other episodes of a series taught: how fast each speaker speaks, how many takes each profile needs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

FEWEST_LINES = 3  # from so many recorded lines on a pace is used: three make the next estimates better (README's table)
FEWEST_CLIPS = 3  # from so many accepted clips on the takes they needed are used (our own choice)


@dataclass(frozen=True, slots=True)
class LearntPace:
    """How long a speaker's lines last, as a factor on what the delivery promises (1.1: a tenth longer)."""

    pace: float
    lines: int


@dataclass(frozen=True, slots=True)
class LearntTakes:
    """How many takes each accepted clip needed, on average."""

    takes: Fraction
    clips: int


@dataclass(frozen=True)
class Learnt:
    """By upper-case speaker and by profile, then by the episode that taught it, as it stands in learnt.toml."""

    paces: Mapping[str, Mapping[str, LearntPace]] = field(default_factory=dict)
    takes: Mapping[str, Mapping[str, LearntTakes]] = field(default_factory=dict)

    def without(self, episode: str) -> Learnt:
        """Return what the other episodes taught."""
        return Learnt(
            {who: {e: row for e, row in rows.items() if e != episode} for who, rows in self.paces.items()},
            {name: {e: row for e, row in rows.items() if e != episode} for name, rows in self.takes.items()},
        )

    def pace_of(self, speaker: str) -> LearntPace | None:
        """Return a speaker's pace over all episodes, each line counted alike; None where nothing was learnt.

        >>> rows = {"one": LearntPace(1.1, 2), "two": LearntPace(1.21, 2)}
        >>> found = Learnt({"TANSY": rows}).pace_of("TANSY")
        >>> round(found.pace, 4), found.lines  # sqrt(1.1 x 1.21)
        (1.1537, 4)
        """
        rows = self.paces.get(speaker.upper(), {}).values()
        lines = sum(row.lines for row in rows)
        return (
            LearntPace(math.exp(sum(row.lines * math.log(row.pace) for row in rows) / lines), lines) if lines else None
        )

    def takes_of(self, profile: str) -> LearntTakes | None:
        """Return the takes of a profile over all episodes, each clip counted alike; None where nothing was learnt."""
        rows = self.takes.get(profile, {}).values()
        clips = sum(row.clips for row in rows)
        return LearntTakes(sum((row.takes * row.clips for row in rows), Fraction(0)) / clips, clips) if clips else None
