"""The running sheet: the printed frame sheet's own marks, in pixels, on a strip that moves past a reading line.

In: the score of the whole episode. Out: marks of any stretch of frames, y 0 at the stretch's first frame. The strip
moves at the same speed at every rate (``SPEED``), so a frame is 10 pixels high at 24 frames a second.
"""

from __future__ import annotations

from collections.abc import Iterator

from timing.model import Plan
from timing.sheet.frame.marks import VALUES_A_FRAME, Score, Span
from timing.sheet.frame.marks import Box as Syllable
from timing.sheet.frame.score import ScoreWriter, passages_of
from timing.sheet.furniture import clock
from timing.sheet.paper import quarter_second
from timing.watch.marks import BOLD, INK, REGULAR, Box, Fonts, Mark, Text
from timing.watch.moments import Moments
from timing.watch.screen import Shape

COLUMNS = ("clip", "frame", "sound", "words", "mouth", "bar.beat")
SPEED = 240  # pixels a second
SOUND_GRAY, RULE_GRAY = 172, 110  # the sound strip is pale: what passes quickly must not flicker
MARGIN_FRAMES = 6  # text may reach out of its row


class Strip:
    def __init__(self, plan: Plan, moments: Moments, fonts: Fonts, shape: Shape):
        self.moments, self.fonts, self.rate = moments, fonts, plan.rate
        self.frames = plan.frames
        passages = passages_of(plan, whole_episode=True)
        self.score = ScoreWriter(plan).score(passages[0]) if passages else Score()
        edges = [0]
        for width in shape.columns:
            edges.append(edges[-1] + width)
        self._left = dict(zip(COLUMNS, edges, strict=False))
        self._right = dict(zip(COLUMNS, edges[1:], strict=False))
        self.width = edges[-1]

    def y(self, frame: int) -> int:
        """Return where a frame begins on the strip of the whole episode."""
        return round(frame * SPEED / float(self.rate.fps))

    def heads(self) -> Iterator[Mark]:
        """Yield the columns' names, to stand above the strip: y 0 is its upper edge."""
        for name in COLUMNS:
            yield Text((self._left[name] + self._right[name]) / 2, -7, name, REGULAR, 14, "centre")

    def marks(self, first: int, end: int) -> Iterator[Mark]:
        """Yield what stands on frames ``first`` to ``end``, y 0 at the first one's upper edge."""
        origin = self.y(first)
        near = self.score.near(max(0, first - MARGIN_FRAMES), end + MARGIN_FRAMES)
        for mark in self._all(near, first - MARGIN_FRAMES, end + MARGIN_FRAMES):
            if isinstance(mark, Box):
                yield mark._replace(y0=mark.y0 - origin, y1=mark.y1 - origin)
            else:
                yield mark._replace(y=mark.y - origin)

    def _all(self, score: Score, first: int, end: int) -> Iterator[Mark]:
        yield from self._sound(first, end)
        yield from self._ruler(first, end)
        yield from self._columns(first, end)
        for span in score.spans:
            yield from self._bracket(span, max(1, len(score.lanes)))
        for box in score.boxes:
            yield from self._syllable(box, max(1, len(score.lanes)))
        yield from self._mouth(score)
        yield from self._music(score)

    def _ruler(self, first: int, end: int) -> Iterator[Mark]:
        """Frames numbered as on paper, as many as the rows have room for; the clock is the episode's."""
        left, right = self._left["frame"], self._right["frame"]
        second = self.rate.nominal
        quarter, pitch = quarter_second(second), SPEED / float(self.rate.fps)
        each = next(n for n in range(1, second + 1) if n * pitch >= 15 and second % n == 0)
        for frame in range(max(0, first), min(end, self.frames)):
            y = self.y(frame)
            if frame % second == 0:
                yield Box(left, y, self._right["sound"], y + 3)
                yield Text(left + 3, y + 18, clock(frame, second), BOLD, 15)
            elif frame % quarter == 0:
                yield Box(left, y, self._right["sound"], y + 1)
            elif pitch >= 4:
                yield Box(right - 6, y, right, y + 1, RULE_GRAY)
            number = self.moments.number_on(frame)
            if number is not None and (number - 1) % each == 0 and frame % second >= 20 / pitch:
                yield Text(right - 9, y + 11, str(number), REGULAR, 13, "right")

    def _columns(self, first: int, end: int) -> Iterator[Mark]:
        top, foot = self.y(max(0, first)), self.y(min(end, self.frames))
        for name in COLUMNS:
            yield Box(self._left[name], top, self._left[name] + (2 if name in ("clip", "words") else 1), foot)
        yield Box(self.width - 1, top, self.width, foot)
        if self.frames <= end:
            yield Box(0, foot, self.width, foot + 3)

    def _sound(self, first: int, end: int) -> Iterator[Mark]:
        values = self.score.sound
        left, reach = self._left["sound"] + 1, self._right["sound"] - self._left["sound"] - 4
        for frame in range(max(0, first), min(end, self.frames)):
            part = values[frame * VALUES_A_FRAME : (frame + 1) * VALUES_A_FRAME]
            if part and max(part) > 0.004:
                y = self.y(frame)
                yield Box(left, y, left + max(2.0, max(part) ** 0.7 * reach), self.y(frame + 1), SOUND_GRAY)

    def _bracket(self, span: Span, lanes: int) -> Iterator[Mark]:
        left = self._left["clip"]
        width = (self._right["clip"] - left) / lanes
        x = left + 5 + span.lane * width
        yield Box(x, self.y(span.speech_start), x + 6, self.y(span.speech_end))
        for start, end in ((span.start, span.speech_start), (span.speech_end, span.end)):
            for y in range(self.y(start), self.y(end), 10):  # handles are dashed, as on paper
                yield Box(x, y, x + 3, min(y + 6, self.y(end)))
        edge = left + (span.lane + 1) * width - 2
        yield Box(x, self.y(span.start), edge, self.y(span.start) + 3)
        yield Box(x, self.y(span.end) - 3, edge, self.y(span.end))
        name = self.fonts.shortened(span.id, BOLD, 13, edge - x - 9)
        yield Text(x + 9, self.y(span.start) + 18, name, BOLD, 13)

    def _syllable(self, box: Syllable, lanes: int) -> Iterator[Mark]:
        column = self._left["words"]
        width = (self._right["words"] - column) / lanes
        left, right = column + box.lane * width + 7, column + (box.lane + 1) * width - 5
        top, foot = self.y(box.start), self.y(box.end)
        if box.opens_word:
            yield Box(left, top, right, top + 2)
        else:
            yield Box(left + 8, top, right, top + 1, RULE_GRAY)
        if box.closes_word:
            yield Box(left, foot - 1, right, foot)
        yield Box(right - 2, top, right, foot)
        yield Box(left, top, left + (7 if box.is_stressed else 2), foot - (3 if box.is_stressed else 0))
        style = BOLD if box.is_stressed else REGULAR
        size = min(20, max(12, foot - top - 2))
        indent = 12 if box.opens_word else 22
        text = self.fonts.shortened(box.text, style, size, right - left - indent)
        yield Text(left + indent, top + 2 + round(size * 0.82), text, style, size)

    def _mouth(self, score: Score) -> Iterator[Mark]:
        left = self._left["mouth"]
        for closure in score.closures:
            x = left + 5 + 10 * closure.lane
            top, foot = self.y(closure.start) + 1, self.y(closure.end) - 1
            if closure.on_teeth:  # an open block, as on paper
                yield from _frame(x, top, x + 9, foot)
            else:
                yield Box(x, top, x + 9, foot)
        for vowel in score.vowels:
            yield Text(left + 20 + 10 * vowel.lane, self.y(vowel.frame) + 12, vowel.sign, REGULAR, 17)

    def _music(self, score: Score) -> Iterator[Mark]:
        left, right = self._left["bar.beat"], self._right["bar.beat"]
        for beat in score.beats:
            y = self.y(beat.frame)
            if beat.bar == -1:
                yield Box(left, y, right, y + 4)
            elif beat.number == 0:
                yield Box(right - 8, y, right, y + 1, RULE_GRAY)
            elif beat.number == 1:
                yield Box(left, y, right, y + 4)
                yield Text(right - 4, y + 21, f"{beat.bar}.1", BOLD, 16, "right")
            else:
                yield Box(left + 0.4 * (right - left), y, right, y + 2)
                yield Text(right - 4, y + 17, f".{beat.number}", REGULAR, 14, "right")


def _frame(x0: float, y0: float, x1: float, y1: float) -> Iterator[Mark]:
    yield Box(x0, y0, x1, y0 + 1, INK)
    yield Box(x0, y1 - 1, x1, y1, INK)
    yield Box(x0, y0, x0 + 1, y1, INK)
    yield Box(x1 - 1, y0, x1, y1, INK)
