"""Lanes that run across a page, time from left to right: sound, frame ruler, words, clip brackets.

Shared by bar sheets and strips. Positions are frames of a score, whole or not; ``x`` turns them into millimetres.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from timing.sheet.fonts import BOLD, ITALIC, REGULAR
from timing.sheet.furniture import lips_mark
from timing.sheet.ink import DOTTED, HANDLE, Dash, Ink, cap_mm
from timing.sheet.score import VALUES_A_FRAME, Box, Score, Span

WORD_SIZE, LEAST_WORD_SIZE = 12.0, 10.0  # a word that needs less goes into the row above
CLEAR = 1.5  # between a word and the next
OFFSET = 0.8  # from the tick, or the bar line, to the text
FURTHEST_RAISED = 6.0  # from its tick; then it is set small and tight rather than left out
BASE = 7.9  # from the lane's top to the words' baseline
RAISE, RAISED_SIZE, LEAST_RAISED_SIZE = 4.6, 9.0, 8.0  # clears the capitals of the words below it
HELD_FROM = 3.5  # a shorter held line would only clutter
REST_DASH: Dash = (0.9, 1.3)


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
    _raised: float = 0.0  # where the last raised word ends

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
        """Draw a tick for every frame, a longer one for every even frame."""
        self.ink.line(self.x(self.f0), y, self.x(self.f1), y, 0.5)
        for frame in range(self.f0, self.f1 + 1):
            x = self.x(frame)
            self.ink.line(x, y, x, y + (0.9 if frame % 2 else 1.4), 0.25)

    def words(self, y: float, lane: int = 0, rest_frames: float | None = None) -> None:
        """Set the syllables with their baseline ``BASE`` below ``y``; lip closures go under them.

        ``rest_frames`` is the silence from which a rest is boxed, None for none.
        """
        self._inked = self._raised = 0.0
        boxes = [b for b in self.score.boxes if b.lane == lane and b.end > self.f0 and b.start < self.f1]
        base = y + BASE
        for at, box in enumerate(boxes):
            following = boxes[at + 1] if at + 1 < len(boxes) else None
            self._word(box, following, y, base)
            if rest_frames is not None:
                until = following.start if following else self.f1
                if until - box.end > rest_frames:
                    self._rest(max(self.clamped(box.end), self._inked - 0.6), self.clamped(until), base)
        if boxes and rest_frames is not None and boxes[0].start - self.f0 > rest_frames:
            self._rest(self.x(self.f0), self.x(boxes[0].start), base)
        for closure in self.score.closures:
            if closure.lane == lane and self.f0 <= closure.start < self.f1:
                x0, x1 = self.x(closure.start), self.clamped(closure.end)
                width = max(1.2, x1 - x0 - 0.2)
                if closure.on_teeth:
                    self.ink.box(x0 + 0.15, base + 1.45, width - 0.3, 1.2, 0.5)
                else:
                    lips_mark(self.ink, x0, base + 1.3, base + 2.8, width)

    def _word(self, box: Box, following: Box | None, y: float, base: float) -> None:
        ink, face = self.ink, self.ink.face
        x, end = self.clamped(box.start), self.clamped(box.end)
        stop = self.x(following.start) if following else self.x(self.f1)
        begins = box.start >= self.f0
        if begins:
            ink.line(x, y - 0.5, x, y + 0.9, 0.9)
        style = ITALIC if not begins else BOLD if box.is_stressed else REGULAR
        text = box.text if begins else f"({box.text})"
        room = stop - x - OFFSET + 0.5 - CLEAR
        size = face.fit(text, style, WORD_SIZE if begins else 9, room, LEAST_WORD_SIZE if begins else 8)
        if self._raised > x + OFFSET and face.width_mm(text, style, size) > room + CLEAR - 0.6:
            size = face.fit(text, style, size, room, LEAST_RAISED_SIZE)  # the row above is taken
        if face.width_mm(text, style, size) > room + CLEAR - 0.6:
            at = max(x + OFFSET, self._raised)
            if at - x <= FURTHEST_RAISED:  # too short for its word: the word stands higher, over the next one
                size = face.fit(text, style, RAISED_SIZE, room + 12, LEAST_RAISED_SIZE)
                width = ink.width(text, style, size)
                ink.text(min(at, self.right - width), base - RAISE, text, style, size)
                if at - x > 2 * OFFSET:
                    ink.line(x, y + 0.9, at - 0.3, base - RAISE - 0.6, 0.25)  # leads from its tick to it
                self._raised = at + width + 1.4
                self._inked = x
                return
            size = face.fit(text, style, size, room + CLEAR - 0.6, 6)
        width = ink.width(text, style, size)
        ink.text(min(x + OFFSET, self.right - width), base, text, style, size)
        self._inked = right = x + OFFSET + width + 0.8
        if end - right > HELD_FROM - 0.8:
            stop_x = end - 0.3
            ink.line(right, base, stop_x, base, 1.4 if box.is_stressed else 0.7)
            if box.end <= self.f1:
                ink.line(stop_x, base - 1, stop_x, base + 1, 0.7)

    def _rest(self, left: float, right: float, base: float) -> None:
        if right - left < 4:
            return
        self.ink.box(left + 1.2, base - 2.2, right - left - 2.4, 2.4, 0.6, REST_DASH)
        if right - left > 9:
            self.ink.text((left + right) / 2, base - 0.3, "rest", ITALIC, 7.5, "center")

    def bracket(self, y: float, span: Span, label: str = "") -> None:
        """Draw a clip's bracket lying down, its label in a gap of the speech."""
        ink = self.ink
        lo, hi = max(span.start, self.f0), min(max(span.end, span.ask_end), self.f1)
        if hi <= lo:
            return
        gap = (0.0, 0.0)
        room_from = self.clamped(max(span.speech_start, self.f0))
        width = ink.width(label, BOLD, 8.5)
        if label and self.clamped(span.speech_end) - room_from > width + 9:
            gap = (room_from + 3, room_from + width + 5)
            ink.text(room_from + 4, y + cap_mm(8.5) / 2, label, BOLD, 8.5)
        for start, end, weight, dash in (
            (span.start, span.speech_start, 1.2, HANDLE), (span.speech_start, span.speech_end, 2.4, ()),
            (span.speech_end, span.end, 1.2, HANDLE), (span.end, span.ask_end, 0.9, DOTTED),
        ):  # fmt: skip
            a, b = self.clamped(start), self.clamped(end)
            if b - a < 0.05:
                continue
            if weight == 2.4 and gap[1] > gap[0]:
                ink.line(a, y, gap[0], y, weight)
                ink.line(gap[1], y, b, y, weight)
            else:
                ink.line(a, y, b, y, weight, dash)
        for frame in (span.start, span.end):
            if self.f0 <= frame <= self.f1:
                ink.line(self.x(frame), y - 1.6, self.x(frame), y + 0.4, 1.6)
