"""Exact moments, frame rates, time code.

In: rates as people type them ("24", "29.97", 25). Out: frame numbers, frame edges in seconds, labels.
Conventions: a moment is a ``Fraction`` of a second; ranges include their start and exclude their end;
frames count from 0 here (the paper counts from 1). A moment becomes a frame in one place only,
:meth:`FrameRate.frame_at`, counted from the start of the episode, so nothing drifts.

Sources: SMPTE ST 12-1 (drop-frame labels) as described by D. Heidelberger, "Drop-Frame Timecode" (2010);
R. Hummel (ed.), American Cinematographer Manual, 8th ed. (35 mm: 16 frames a foot).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from timing.plain.numbers import exact

Seconds = Fraction

_NTSC = {
    "23.976": Fraction(24000, 1001),
    "23.98": Fraction(24000, 1001),
    "29.97": Fraction(30000, 1001),
    "47.952": Fraction(48000, 1001),
    "47.95": Fraction(48000, 1001),
    "59.94": Fraction(60000, 1001),
    "119.88": Fraction(120000, 1001),
}
LOWEST_RATE, HIGHEST_RATE = 12, 120


def seconds(value: str | int | float | Fraction) -> Seconds:
    """Return an exact number of seconds; a float is read as it prints, not as its binary value.

    >>> seconds(0.1)
    Fraction(1, 10)
    """
    if isinstance(value, float):
        value = repr(value)
    return exact(value) if isinstance(value, str) else Fraction(value)


def round_half_up(value: Fraction) -> int:
    """Return the nearest whole number, halves going up (Python's own ``round`` sends them to even).

    >>> [round_half_up(Fraction(n, 2)) for n in (1, 3, 5)]
    [1, 2, 3]
    """
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


@dataclass(frozen=True)
class FrameRate:
    """Frames a second, exact; ``drop_frame`` chooses the labelling of 29.97 and 59.94 only."""

    fps: Fraction
    drop_frame: bool = False

    def __post_init__(self) -> None:
        if not LOWEST_RATE <= self.fps <= HIGHEST_RATE:
            raise ValueError(f"a frame rate lies between {LOWEST_RATE} and {HIGHEST_RATE}, not {self.fps}")
        if self.drop_frame and self.fps not in (Fraction(30000, 1001), Fraction(60000, 1001)):
            raise ValueError(f"drop-frame time code exists for 29.97 and 59.94 only, not for {self}")

    @classmethod
    def parse(cls, value: str | int | float | Fraction, drop_frame: bool = False) -> FrameRate:
        """Return the rate that a person means by ``value``; raises ValueError with a plain sentence.

        >>> FrameRate.parse("23.976").fps
        Fraction(24000, 1001)
        """
        try:
            text = str(value).strip().lower().removesuffix("fps").strip()
            fps = _NTSC.get(text) or exact(text)
        except ValueError:
            shown = value[:60] if isinstance(value, str) else value
            raise ValueError(f'"{shown}" is not a frame rate; write for example 24, 25 or 23.976') from None
        return cls(fps, drop_frame)

    @property
    def nominal(self) -> int:
        """Frames in one second of time code: 24 for 23.976."""
        return round_half_up(self.fps)

    def frame_at(self, moment: Seconds) -> int:
        """Return the frame edge nearest to ``moment`` (seconds from the episode's start), halves up.

        >>> FrameRate.parse(24).frame_at(Fraction(5, 16))   # 7.5 frames
        8
        """
        top = 2 * moment.numerator * self.fps.numerator
        bottom = moment.denominator * self.fps.denominator
        return (top + bottom) // (2 * bottom)  # in whole numbers: asked for every sound of an episode

    def moment_of(self, frame: int) -> Seconds:
        """Return the moment at which ``frame`` begins."""
        return frame / self.fps

    def convert(self, frame: int, other: FrameRate) -> int:
        """Return the edge at ``other`` nearest to the edge of ``frame`` at this rate.

        >>> FrameRate.parse(24).convert(96, FrameRate.parse(60))
        240
        """
        return other.frame_at(self.moment_of(frame))

    def timecode(self, frame: int) -> str:
        """Return the label of ``frame`` (counted from 0), wrapping at 24 hours; ``;`` marks drop-frame.

        >>> FrameRate.parse("29.97", drop_frame=True).timecode(1800)
        '00:01:00;02'
        """
        if self.drop_frame:
            dropped = self.nominal // 15
            per_minute = 60 * self.nominal - dropped
            per_ten = 10 * 60 * self.nominal - 9 * dropped
            tens, rest = divmod(frame, per_ten)
            # The first minute of ten keeps all its labels; the nine others lose their first ones.
            minutes = 0 if rest < 60 * self.nominal else 1 + (rest - 60 * self.nominal) // per_minute
            frame += dropped * (9 * tens + minutes)
        total, frames = divmod(frame, self.nominal)
        minutes_total, secs = divmod(total, 60)
        hours, minutes = divmod(minutes_total, 60)
        mark = ";" if self.drop_frame else ":"
        width = len(str(self.nominal - 1))
        return f"{hours % 24:02d}:{minutes:02d}:{secs:02d}{mark}{frames:0{width}d}"

    def frame_of(self, timecode: str) -> int:
        """Return the frame (from 0) that carries a label; raises ValueError for one that does not exist.

        >>> FrameRate.parse("29.97", drop_frame=True).frame_of("00:10:00;00")
        17982
        """
        match = re.fullmatch(r"(\d{1,2}):([0-5]\d):([0-5]\d)[:;.](\d{2,3})", timecode.strip())
        if not match:
            raise ValueError(f'"{timecode}" is not time code; write hours:minutes:seconds:frames, 00:00:04:12')
        hours, minutes, secs, frames = map(int, match.groups())
        if hours > 23 or frames >= self.nominal:
            raise ValueError(f'"{timecode}" does not exist at {self}: frames run from 0 to {self.nominal - 1}')
        label = ((hours * 60 + minutes) * 60 + secs) * self.nominal + frames
        if not self.drop_frame:
            return label
        dropped = self.nominal // 15
        if frames < dropped and secs == 0 and minutes % 10:
            raise ValueError(f'"{timecode}" does not exist: drop-frame time code skips it')
        all_minutes = hours * 60 + minutes
        return label - dropped * (all_minutes - all_minutes // 10)

    def frames_per_beat(self, bpm: Fraction) -> Fraction:
        """Return the exact frames in one beat: 60 x fps / bpm (M. Mayerson, "Bar Sheets and Metronomes", 2006).

        >>> FrameRate.parse(24).frames_per_beat(Fraction(96))
        Fraction(15, 1)
        """
        return 60 * self.fps / bpm

    @property
    def name(self) -> str:
        """The exact rate as plan.json writes it: "24", "24000/1001"."""
        return str(self.fps)

    def __str__(self) -> str:
        for text, fps in _NTSC.items():
            if fps == self.fps:
                return text
        return str(self.fps) if self.fps.denominator == 1 else f"{float(self.fps):g}"
