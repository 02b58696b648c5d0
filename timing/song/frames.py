"""Beats and frames: how many frames a beat lasts, where beat n falls, tempos that fall on whole frames.

In: a tempo and a frame rate. Out: exact frames, click-table notation, proposals.
Sources: frames a beat = 60 x fps / bpm (M. Mayerson, "Bar Sheets and Metronomes", 2006); clicks are written in frames
and eighths of a frame, "12-2" = 12 2/8 frames (film-scoring practice). Position n is counted from the start, never by
adding rounded beats: at 96.7 bpm and 24 fps the sum would be 22 frames off after 200 beats.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from timing.model.clock import FrameRate, round_half_up
from timing.model.metre import COMMON_TIME, Metre

EIGHTHS = 8


def click(bpm: Fraction, rate: FrameRate) -> str:
    """Return frames a beat as click tables write them: whole frames, then eighths, rounded to the nearest.

    >>> click(Fraction(120), FrameRate.parse(24)), click(Fraction("117.55"), FrameRate.parse(24))
    ('12-0', '12-2')
    """
    frames, eighths = divmod(round_half_up(rate.frames_per_beat(bpm) * EIGHTHS), EIGHTHS)
    return f"{frames}-{eighths}"


@dataclass(frozen=True, slots=True)
class WholeFrameTempo:
    """A tempo at which every beat, or every bar, lasts a whole number of frames."""

    bpm: Fraction
    frames: int
    of: str  # "beat" or "bar"


def whole_frame_tempos_within(
    wish: Fraction, rate: FrameRate, metre: Metre, beats_within: Fraction, bars_within: Fraction
) -> list[WholeFrameTempo]:
    """Return every tempo with whole frames a beat, or a bar, that is no farther from ``wish`` than these parts of it.

    A tempo of whole beats is named as such, though its bars are whole too.
    """
    found = []
    for of, count, within in (("beat", 1, beats_within), ("bar", metre.beats, bars_within)):
        fewest, most = (count * rate.frames_per_beat(wish * (1 + sign * within)) for sign in (1, -1))
        for frames in range(ceil(fewest), floor(most) + 1):
            if frames > 0 and (of == "beat" or frames % metre.beats):
                found.append(WholeFrameTempo(60 * rate.fps * count / frames, frames, of))
    return found


def whole_frame_tempos(
    wish: Fraction, rate: FrameRate, metre: Metre = COMMON_TIME, each_way: int = 1
) -> tuple[WholeFrameTempo, ...]:
    """Return tempos near ``wish`` with whole frames a beat and a bar, nearest first; for a song still to be made.

    >>> [(t.of, t.frames, round(float(t.bpm), 3)) for t in whole_frame_tempos(Fraction("118.5"), FrameRate.parse(24))]
    [('bar', 49, 117.551), ('beat', 12, 120.0), ('beat', 13, 110.769)]
    """
    beats = metre.beats
    found = []
    for of, count in (("beat", 1), ("bar", beats)):
        exact = count * rate.frames_per_beat(wish)
        below = exact.numerator // exact.denominator
        for frames in range(below - each_way + 1, below + each_way + 1):
            if frames > 0 and (of == "beat" or frames % beats):  # a bar of whole beats is named as such
                found.append(WholeFrameTempo(60 * rate.fps * count / frames, frames, of))
    return tuple(sorted(found, key=lambda t: (abs(t.bpm - wish), t.of != "beat")))
