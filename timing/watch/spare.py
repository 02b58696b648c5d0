"""Speech that stands in no line, and readings that were not chosen: to be heard, and given to a line, on the page.

In: the plan and what was heard in the recordings. Out: stretches of recordings, and one sound that holds them all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from timing.export.guide import RATE_HZ, VOICE_PEAK
from timing.model import Plan
from timing.model.clock import Seconds, round_half_up
from timing.plain.errors import RecordingError
from timing.recording.results import Heard, Take
from timing.recording.three_lists import three_lists
from timing.sound.decode import Pieces, pieces

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

AROUND = Fraction(1)  # heard before and after a stretch: its edges can be moved as far
GAP = Fraction(2, 5)  # silence between two stretches
LONGEST_IN_ALL_S = 900  # so that a page with hours of talk beside the lines stays small


@dataclass(frozen=True, slots=True)
class Stretch:
    """From ``start`` to ``end`` of a recording (its own clock); ``at`` is where ``start`` lies in the page's sound.

    What is heard with it reaches from ``low`` to ``high``. ``near`` are the lines that it may be, likeliest first.
    """

    file: str
    start: Seconds
    end: Seconds
    at: Seconds | None = None
    near: tuple[str, ...] = ()
    low: Seconds = Fraction(0)
    high: Seconds = Fraction(0)


def left_over(heard: Heard | None, plan: Plan) -> tuple[Stretch, ...]:
    """Return the stretches of speech in the recordings that belong to no reading of any line, as ``listen`` lists."""
    if heard is None:
        return ()
    lines = [(line.id, " ".join(w.text for w in line.words)) for line in plan.lines if line.words]
    return tuple(Stretch(n.file, n.start, n.end, near=n.nearest) for n in three_lists(heard, lines).left_over)


def other_readings(heard: Heard | None) -> tuple[Take, ...]:
    """Return every complete reading that was not chosen."""
    return tuple(t for t in heard.takes if not t.is_chosen and t.is_complete) if heard else ()


def with_sound(stretches: Sequence[Stretch], folder: Path, begin: Seconds) -> tuple[list[Stretch], NDArray[np.int16]]:
    """Return the stretches with their places, and their sound, which is to stand at ``begin`` of the page's sound."""
    import numpy as np

    placed, parts, length = [], [], 0
    reach = {one: (max(Fraction(0), one.start - AROUND), one.end + AROUND) for one in stretches}
    sounds: dict[str, Pieces] = {}
    for one in stretches:
        if one.file not in sounds:
            try:
                own = [reach[other] for other in stretches if other.file == one.file]
                sounds = {one.file: pieces(folder / one.file, RATE_HZ, own)}  # one at a time, and no more of it
            except RecordingError:
                continue
        first, last = reach[one]
        piece = sounds[one.file][round_half_up(first * RATE_HZ) : round_half_up(last * RATE_HZ)]
        if length + len(piece) > LONGEST_IN_ALL_S * RATE_HZ:
            placed.append(one)
            continue
        at = begin + Fraction(length, RATE_HZ) + one.start - first
        highest = max(1, int(np.max(np.abs(piece.astype(np.int32)), initial=0)))
        parts.append((piece * (VOICE_PEAK * 32767 / highest)).astype(np.int16))
        parts.append(np.zeros(round_half_up(GAP * RATE_HZ), np.int16))
        length += len(parts[-2]) + len(parts[-1])
        placed.append(replace(one, at=at, low=first, high=first + Fraction(len(piece), RATE_HZ)))
    return placed, np.concatenate(parts) if parts else np.zeros(0, np.int16)
