"""Lanes that run across a page, time from left to right: sound, frame ruler, words, clip brackets.

Shared by bar sheets and strips. Positions are frames of a score, whole or not; ``x`` turns them into millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from timing.sheet.fonts import BOLD, ITALIC, REGULAR
from timing.sheet.frame.marks import VALUES_A_FRAME, Box, Score, Span
from timing.sheet.furniture import lips_mark
from timing.sheet.ink import HANDLE, Dash, Ink, cap_mm

WORD_SIZE, LEAST_WORD_SIZE, LEAST_SIZE = 12.0, 9.0, 6.5
CLEAR, TIGHT = 1.5, 0.9  # between a word and the next, in the smallest size
LEADER_FROM = 0.7  # a text nearer to its place needs no line to its tick
EDGE = 0.9  # between the last text and the bar line at the end
OFFSET = 0.8  # from the tick, or the bar line, to the text
BASE = 6.4  # from the lane's top to the words' baseline
FURTHEST_MOVED = 2.6  # a word further from its tick is set smaller instead, with the whole row
HELD_FROM = 3.5  # a shorter held line would only clutter
REST_DASH: Dash = (0.9, 1.3)
LEAST_TICK_MM = 0.8  # between two ticks of the ruler: nearer ones are a black band
VOWEL_SIZE, VOWEL_BASE = 10.5, 6.2  # of the signs, and how far under the words their baseline is


class Piece(NamedTuple):
    """A syllable's text as it is set, in millimetres across the page."""

    text: str
    style: str
    size: float
    left: float
    right: float


def side_by_side(wished: Sequence[float], widths: Sequence[float], least: float, most: float) -> list[float]:
    """Return a left edge for each text: in order, none on another, the sum of squared moves from ``wished`` smallest.

    Pooling neighbours that would overlap gives that optimum (isotonic regression: Barlow et al., Statistical Inference
    under Order Restrictions, 1972); held between ``least`` and ``most`` as far as there is room.

    >>> side_by_side([0, 1, 10], [4, 4, 4], 0, 20)
    [0.0, 4.0, 10.0]
    """
    before = [0.0]
    for width in widths:
        before.append(before[-1] + width)
    pools: list[tuple[float, int]] = []  # (mean place of the first text, were all before it of no width; how many)
    for at, place in enumerate(wished):
        mean, count = place - before[at], 1
        while pools and pools[-1][0] > mean:
            other, others = pools.pop()
            mean, count = (mean * count + other * others) / (count + others), count + others
        pools.append((mean, count))
    highest = most - before[-1]
    places = [max(min(mean, highest), least) for mean, count in pools for _ in range(count)]
    return [place + before[at] for at, place in enumerate(places)]


@dataclass
class Across:
    """Frames ``f0`` to ``f1`` of a score laid across a page."""

    ink: Ink
    score: Score
    x: Callable[[float], float]
    f0: int
    f1: int
    right: float  # where text must end
    _inked: float = 0.0  # where the last word's text ends

    def clamped(self, frame: float) -> float:
        return self.x(min(max(frame, self.f0), self.f1))

    def sound(self, y: float, height: float) -> None:
        """Draw the loudness on both sides of a thin line; silence draws nothing."""
        middle = y + height / 2
        values = self.score.sound[self.f0 * VALUES_A_FRAME : self.f1 * VALUES_A_FRAME]
        upper: list[tuple[float, float]] = []
        for n, value in enumerate([*values, 0.0]):
            x = self.x(self.f0 + (n + 0.5) / VALUES_A_FRAME)
            if value > 0.004:
                upper.append((x, middle - max(value**0.7, 0.03) * height / 2))
            elif upper:
                self.ink.polygon(upper + [(px, 2 * middle - py) for px, py in reversed(upper)], 0.5)
                upper = []
        self.ink.line(self.x(self.f0), middle, self.x(self.f1), middle, 0.25)

    def ruler(self, y: float) -> None:
        """Draw a tick for every frame, a longer one for every even frame; for fewer frames where they are too near."""
        self.ink.line(self.x(self.f0), y, self.x(self.f1), y, 0.5)
        frame_mm = abs(self.x(self.f1) - self.x(self.f0)) / max(1, self.f1 - self.f0)
        step = next(n for n in (1, 2, 4, 5, 10, 20, 50) if n * frame_mm >= LEAST_TICK_MM or n == 50)
        for frame in range(-(-self.f0 // step) * step, self.f1 + 1, step):
            x = self.x(frame)
            self.ink.line(x, y, x, y + (0.9 if frame // step % 2 else 1.4), 0.25)

    def boxes_of(self, lane: int = 0) -> list[Box]:
        return [b for b in self.score.boxes if b.lane == lane and b.end > self.f0 and b.start < self.f1]

    def size_for(self, lane: int = 0) -> float:
        """Return the type size at which a lane's words stand near their ticks."""
        pieces = self._set(self.boxes_of(lane), WORD_SIZE)
        return pieces[0].size if pieces else WORD_SIZE

    def words(
        self, y: float, lane: int = 0, rest_frames: float | None = None, size: float = WORD_SIZE,
        has_vowels: bool = False,
    ) -> None:  # fmt: skip
        """Set the syllables with their baseline ``BASE`` below ``y``; lip closures go under them, then vowels.

        ``rest_frames`` is the silence from which a rest is boxed, None for none; ``size`` the largest type.
        """
        self._inked = 0.0
        boxes = self.boxes_of(lane)
        base = y + BASE
        pieces = self._set(boxes, size)
        for at, box in enumerate(boxes):
            following = boxes[at + 1] if at + 1 < len(boxes) else None
            self._word(box, pieces[at], pieces[at + 1] if following else None, y, base)
            if rest_frames is not None:
                until = following.start if following else self.f1
                if until - box.end > rest_frames:
                    stop = min(self.clamped(until), pieces[at + 1].left) if following else self.clamped(until)
                    self._rest(max(self.clamped(box.end), self._inked - 0.6), stop, base)
        if boxes and rest_frames is not None and boxes[0].start - self.f0 > rest_frames:
            self._rest(self.x(self.f0), min(self.x(boxes[0].start), pieces[0].left), base)
        for closure in self.score.closures:
            if closure.lane == lane and self.f0 <= closure.start < self.f1:
                x0, x1 = self.x(closure.start), self.clamped(closure.end)
                width = max(1.2, x1 - x0 - 0.2)
                if closure.on_teeth:
                    self.ink.box(x0 + 0.15, base + 1.45, width - 0.3, 1.2, 0.5)
                else:
                    lips_mark(self.ink, x0, base + 1.3, base + 2.8, width)

        if has_vowels:
            self._vowels(base + VOWEL_BASE, lane)

    def _vowels(self, base: float, lane: int) -> None:
        """Set the vowels' signs from where they begin, none on another."""
        vowels = [v for v in self.score.vowels if v.lane == lane and self.f0 <= v.frame < self.f1]
        widths = [self.ink.width(v.sign, REGULAR, VOWEL_SIZE) + TIGHT for v in vowels]
        lefts = side_by_side([self.x(v.frame) for v in vowels], widths, self.x(self.f0), self.right)
        for vowel, left in zip(vowels, lefts, strict=True):
            self.ink.text(left, base, vowel.sign, REGULAR, VOWEL_SIZE)

    def _set(self, boxes: Sequence[Box], size: float) -> list[Piece]:
        """Return every syllable's text in its place: all of one size, side by side, as near their ticks as can be."""
        face = self.ink.face
        shown: list[tuple[str, str]] = []
        for box in boxes:
            if box.start < self.f0:
                shown.append((face.printable(f"({box.text})"), ITALIC))
            else:
                shown.append((face.printable(box.text), BOLD if box.is_stressed else REGULAR))
        wished = [self.clamped(box.start) + OFFSET for box in boxes]
        left = self.x(self.f0)
        while True:
            widths = [face.width_mm(text, style, size) for text, style in shown]
            gap = CLEAR if size > LEAST_WORD_SIZE else TIGHT
            needs = [width + (gap if width else 0.0) for width in widths]
            lefts = side_by_side(wished, needs, left + 0.3, self.right + gap - EDGE)
            furthest = max((abs(a - b) for a, b in zip(lefts, wished, strict=True)), default=0.0)
            fits = not lefts or lefts[-1] + widths[-1] <= self.right - EDGE + 0.01
            if (furthest <= FURTHEST_MOVED and fits) or size <= (LEAST_WORD_SIZE if fits else LEAST_SIZE):
                break
            size -= 0.5
        return [
            Piece(text, style, size, x, x + width) for (text, style), x, width in zip(shown, lefts, widths, strict=True)
        ]

    def _word(self, box: Box, piece: Piece, following: Piece | None, y: float, base: float) -> None:
        """Set one syllable with the tick of its first frame, a line from the tick to a text that had to move."""
        ink = self.ink
        x, end = self.clamped(box.start), self.clamped(box.end)
        if box.start >= self.f0:
            ink.line(x, y - 0.5, x, y + 0.9, 0.9)
            if abs(piece.left - x - OFFSET) > LEADER_FROM:
                ink.line(x, y + 0.9, piece.left + 0.6, base - cap_mm(piece.size) - 0.4, 0.35)
        ink.text(piece.left, base, piece.text, piece.style, piece.size)
        right = piece.right + 0.8
        self._inked = max(right, self._inked)
        stop = min(end - 0.3, following.left - 0.8) if following else end - 0.3
        if stop - right > HELD_FROM - 1.1:
            ink.line(right, base, stop, base, 1.4 if box.is_stressed else 0.7)
            if box.end <= self.f1:
                ink.line(stop, base - 1, stop, base + 1, 0.7)

    def _rest(self, left: float, right: float, base: float) -> None:
        if right - left < 4:
            return
        self.ink.box(left + 1.2, base - 2.5, right - left - 2.4, 2.9, 0.6, REST_DASH)
        if right - left > 9:
            self.ink.text((left + right) / 2, base - 0.35, "rest", BOLD, 7, "center")

    def bracket(self, y: float, span: Span) -> None:
        """Draw a clip's bracket lying down."""
        ink = self.ink
        lo, hi = max(span.start, self.f0), min(max(span.end, span.ask_end), self.f1)
        if hi <= lo:
            return
        for start, end, weight, dash in (
            (span.start, span.speech_start, 1.2, HANDLE), (span.speech_start, span.speech_end, 2.4, ()),
            (span.speech_end, span.end, 1.2, HANDLE), (span.end, span.ask_end, 0.4, ()),
        ):  # fmt: skip
            a, b = self.clamped(start), self.clamped(end)
            if b - a < 0.05:
                continue
            ink.line(a, y, b, y, weight, dash)
        for frame in (span.start, span.end):
            if self.f0 <= frame <= self.f1:
                ink.line(self.x(frame), y - 1.6, self.x(frame), y + 0.4, 1.6)
