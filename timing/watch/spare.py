"""Speech that stands in no line, and readings that were not chosen: to be heard, and given to a line, on the page.

In: the plan and what was heard in the recordings. Out: stretches of recordings, and one sound that holds them all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from timing.export.guide import RATE_HZ, VOICE_PEAK
from timing.model.clock import Seconds, round_half_up
from timing.plain.errors import RecordingError
from timing.recording.files import recordings_in
from timing.recording.results import Heard, Take
from timing.sound.decode import read_audio
from timing.sound.levels import sound_regions

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SHORTEST = Fraction(2, 5)  # seconds; what is shorter is a breath or a knock
AROUND = Fraction(1, 5)  # heard before and after a stretch
GAP = Fraction(2, 5)  # silence between two stretches
LONGEST_IN_ALL_S = 900  # so that a page with hours of talk beside the lines stays small


@dataclass(frozen=True, slots=True)
class Stretch:
    """From ``start`` to ``end`` of a recording (its own clock); ``at`` is where ``start`` lies in the page's sound."""

    file: str
    start: Seconds
    end: Seconds
    at: Seconds | None = None


def left_over(heard: Heard | None, folder: Path) -> tuple[Stretch, ...]:
    """Return the stretches of speech in the recordings that belong to no reading of any line, in their order."""
    if heard is None:
        return ()
    found: list[Stretch] = []
    for path in recordings_in(folder):
        name = path.relative_to(folder).as_posix()
        try:
            regions = sound_regions(read_audio(path))
        except RecordingError:
            continue
        taken = sorted((t.start, t.end) for t in heard.takes if t.file == name)
        found += [Stretch(name, a, b) for region in regions for a, b in _without(region, taken) if b - a >= SHORTEST]
    return tuple(found)


def _without(
    region: tuple[Seconds, Seconds], taken: Iterable[tuple[Seconds, Seconds]]
) -> list[tuple[Seconds, Seconds]]:
    """Return what is left of a region; a quarter of a second around a reading is its own breath."""
    at, end = region
    breath = Fraction(1, 4)
    left = []
    for start, stop in taken:
        if stop + breath <= at or start - breath >= end:
            continue
        if start - breath > at:
            left.append((at, start - breath))
        at = max(at, stop + breath)
    if at < end:
        left.append((at, end))
    return left


def other_readings(heard: Heard | None) -> tuple[Take, ...]:
    """Return every complete reading that was not chosen."""
    return tuple(t for t in heard.takes if not t.is_chosen and t.is_complete) if heard else ()


def with_sound(stretches: Sequence[Stretch], folder: Path, begin: Seconds) -> tuple[list[Stretch], NDArray[np.int16]]:
    """Return the stretches with their places, and their sound, which is to stand at ``begin`` of the page's sound."""
    import numpy as np

    placed, parts, length = [], [], 0
    sounds: dict[str, NDArray[np.int16]] = {}
    for one in stretches:
        if one.file not in sounds:
            try:
                sounds = {one.file: read_audio(folder / one.file, RATE_HZ).samples}  # one at a time: they are long
            except RecordingError:
                continue
        first = max(Fraction(0), one.start - AROUND)
        piece = sounds[one.file][round_half_up(first * RATE_HZ) : round_half_up((one.end + AROUND) * RATE_HZ)]
        if length + len(piece) > LONGEST_IN_ALL_S * RATE_HZ:
            placed.append(one)
            continue
        at = begin + Fraction(length, RATE_HZ) + one.start - first
        highest = max(1, int(np.max(np.abs(piece.astype(np.int32)), initial=0)))
        parts.append((piece * (VOICE_PEAK * 32767 / highest)).astype(np.int16))
        parts.append(np.zeros(round_half_up(GAP * RATE_HZ), np.int16))
        length += len(parts[-2]) + len(parts[-1])
        placed.append(Stretch(one.file, one.start, one.end, at))
    return placed, np.concatenate(parts) if parts else np.zeros(0, np.int16)
