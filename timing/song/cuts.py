"""What cuts within a song mean: off the beat, or so close together that they can flash.

In: a song and the moments of the picture's cuts on one clock. Out: findings. A cut belongs a little before the beat so
that the accent can land on it; that is the cutter's taste: the moments here are the cuts themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from timing.model import Finding, Song
from timing.model.clock import Seconds
from timing.model.findings import FindingCode

FLASHING_MOST = 6  # cuts in any second (FLASHING: three flashes a second, WCAG 2.3.1; each is two changes)
ON_BEAT_S = Fraction(1, 20)


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
