"""Where the picture may cut in a song: bar lines and rests.

In: a song and its sung lines on one clock. Out: moments. A cut belongs a little before the beat so that the accent
can land on it; that is the cutter's taste: the moments here are the bar lines themselves, and the middles of rests.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from timing.model import Finding, Song, TimedLine
from timing.model.clock import Seconds
from timing.model.findings import FindingCode

REST_BEATS = Fraction(1, 2)  # a silence between syllables at least this long is a rest
FLASHING_MOST = 6  # cuts in any second (FLASHING: three flashes a second, WCAG 2.3.1; each is two changes)
ON_BEAT_S = Fraction(1, 20)


def good_cuts(song: Song, lines: Sequence[TimedLine]) -> tuple[Seconds, ...]:
    """Return the moments where the picture may cut, sorted: rests, and bar lines that no syllable is held over."""
    syllables = sorted((s for line in lines for s in line.syllables), key=lambda s: s.start)
    found = {(a.end + b.start) / 2 for a, b in pairwise(syllables) if (b.start - a.end) * song.bpm / 60 >= REST_BEATS}
    starts = [s.start for s in syllables]
    for bar in song.downbeats:
        before = bisect_left(starts, bar) - 1
        if before < 0 or syllables[before].end <= bar:
            found.add(bar)
    return tuple(sorted(found))


def cut_findings(song: Song, cuts: Sequence[Seconds]) -> list[Finding]:
    """Return findings on cuts inside a song: off the beat, and more than six in any second."""
    inside = sorted(c for c in cuts if song.start < c < song.end)
    found = []
    off = [c for c in inside if song.beats and min(abs(c - b) for b in song.beats) > ON_BEAT_S]
    if off:
        found.append(
            Finding(
                FindingCode.CUT_OFF_BEAT,
                f"{len(off)} cut{'s' * (len(off) != 1)} off this song's beat, the first at {float(off[0]):.2f} s.",
                {"cuts_s": [round(float(c), 3) for c in off]},
            )
        )
    for i, cut in enumerate(inside[FLASHING_MOST:]):
        if cut - inside[i] < 1:
            found.append(
                Finding(
                    FindingCode.CUTS_FLASH,
                    f"More than {FLASHING_MOST} cuts within one second from {float(inside[i]):.2f} s: if "
                    "shots differ much in brightness or are strongly red, it can flash. Have it tested.",
                    {"from_s": round(float(inside[i]), 3)},
                )
            )
            break
    return found
