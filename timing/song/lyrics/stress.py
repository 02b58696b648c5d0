"""Where singing would press on the wrong syllable.

In: a placed line. Out: findings: a strong syllable on a weak beat right beside a weak syllable on a strong one, the
mismatch that listeners notice (J. Halle & F. Lerdahl, 1993; B. Hayes, 2009).
"""

from __future__ import annotations

from itertools import pairwise

from timing.model import Finding, Where
from timing.model.findings import FindingCode
from timing.model.metre import Metre
from timing.song.lyrics.setting import Placed
from timing.song.lyrics.weights import BEAT, HALF_BAR, STRENGTH, Place


def stress_findings(placed: Placed, metre: Metre, where: Where | None = None) -> list[Finding]:
    """Return a finding for each sung stress on a weak beat whose weak neighbour stands on a strong one."""
    levels = [Place.at(p, metre, placed.bars).level for p in placed.positions]
    found = []
    for i, j in pairwise(range(len(placed.notes))):
        for strong, weak in ((i, j), (j, i)):
            a, b = placed.notes[strong], placed.notes[weak]
            if STRENGTH[a.sort] == 2 and STRENGTH[b.sort] == 0 and levels[strong] < BEAT and levels[weak] >= HALF_BAR:
                _, beat = metre.bar_and_beat(placed.positions[strong])
                found.append(
                    Finding(
                        FindingCode.STRESS_OFF_BEAT,
                        f'"{a.text}" is stressed but falls between the beats (beat {float(beat):.3g}), while '
                        f'"{b.text}" beside it falls on a strong one.',
                        {"syllable": a.text, "neighbour": b.text, "beat": round(float(beat), 3)},
                        where,
                    )
                )
    return found
