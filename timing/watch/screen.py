"""The reel's screen, wide or tall: where everything stands that is not the running sheet.

In: a :class:`Moment`. Out: marks in pixels. What changes from syllable to syllable (:meth:`Screen.still`) is kept
apart from what changes on every frame (:meth:`Screen.figures`), so that the painter need not draw both each time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from timing.watch.marks import BOLD, INK, ITALIC, LIT, PAPER, REGULAR, Box, Fonts, Mark, Text
from timing.watch.moments import ESTIMATE, Moment, Piece, Speech

CAPTION = 15
LEADING = 1.34
LARGEST_WORDS, LEAST_WORDS = 34, 20


class Area(NamedTuple):
    x0: int
    y0: int
    x1: int
    y1: int

    @property
    def width(self) -> int:
        return self.x1 - self.x0

    @property
    def height(self) -> int:
        return self.y1 - self.y0


@dataclass(frozen=True)
class Shape:
    """One of the two screens; every area lies within ``width`` x ``height``, both even for the encoder."""

    width: int
    height: int
    header: Area
    picture: Area  # 16:9
    words: Area
    figures: Area
    strip: Area  # below its column heads
    columns: tuple[int, ...]  # widths of the strip's columns, as in strip.COLUMNS
    reading_y: int  # top of the row that is heard now, from the top of the strip


WIDE = Shape(
    1280, 720, Area(24, 0, 1256, 76), Area(24, 84, 808, 525), Area(24, 537, 808, 645), Area(24, 652, 808, 704),
    Area(832, 106, 1256, 704), (44, 56, 62, 170, 50, 42), 200,
)  # fmt: skip
TALL = Shape(
    720, 1280, Area(24, 0, 696, 112), Area(24, 120, 696, 498), Area(24, 510, 696, 650), Area(24, 658, 696, 710),
    Area(24, 742, 696, 1264), (62, 72, 108, 280, 80, 70), 160,
)  # fmt: skip


@dataclass(frozen=True)
class Screen:
    shape: Shape
    fonts: Fonts
    title: str

    def still(self, moment: Moment, picture: str, has_picture: bool) -> tuple[Mark, ...]:
        """Return header, words and card; ``picture`` says what is seen in the picture's place."""
        marks = [*self._header(moment), *self._words(moment.speeches)]
        if not has_picture:
            marks += self._card(moment)
        marks += self._picture_name(picture)
        return tuple(marks)

    def figures(self, moment: Moment) -> tuple[Mark, ...]:
        """Return the numbers that change on every frame."""
        area = self.shape.figures
        values = (
            ("frame, as on paper", f"{moment.number} of {moment.of}"),
            ("episode frame", str(moment.episode_frame)),
            ("clock", moment.clock),
            ("bar.beat", moment.bar_beat or "–"),
        )
        step = min(area.width / 4, 140)
        places = (0.0, 1.3 * step, 2.3 * step, 3.3 * step)
        marks: list[Mark] = []
        for x, (caption, value) in zip(places, values, strict=True):
            marks.append(Text(area.x0 + x, area.y0 + 14, caption, REGULAR, CAPTION))
            marks.append(Text(area.x0 + x, area.y0 + 46, value, BOLD, 30))
        return tuple(marks)

    def _header(self, moment: Moment) -> Iterator[Mark]:
        area, fonts = self.shape.header, self.fonts
        is_tall = area.height > 100
        title = fonts.shortened(self.title, REGULAR, CAPTION, area.width * 0.45)
        yield Text(area.x1, area.y0 + 26, title, REGULAR, CAPTION, "right")
        name = moment.clip_name or "no clip here"
        size = fonts.fit(name, BOLD, 42, area.width * 0.35, 24)
        yield Text(area.x0, area.y0 + 60, name, BOLD, size)
        x = area.x0 + fonts.width(name, BOLD, size) + 28
        if moment.who:
            who = fonts.shortened(moment.who, BOLD, 28, area.width * 0.28)
            yield Text(x, area.y0 + 60, who, BOLD, 28)
            x += fonts.width(who, BOLD, 28) + 28
        if moment.ask:
            ask = fonts.shortened(moment.ask, BOLD, 28, area.x1 - x)
            yield Text(x, area.y0 + 60, ask, BOLD, 28)
            x += fonts.width(ask, BOLD, 28) + 28
        told = " · ".join(dict.fromkeys(s.told for s in moment.speeches))
        if is_tall:
            yield Text(area.x0, area.y0 + 96, fonts.shortened(told, REGULAR, 22, area.width), REGULAR, 22)
        elif x < area.x1 - 60:
            yield Text(area.x1, area.y0 + 60, fonts.shortened(told, REGULAR, 22, area.x1 - x), REGULAR, 22, "right")

    def _card(self, moment: Moment) -> Iterator[Mark]:
        """What stands in the picture's place while there is none: whose clip it will be."""
        area, fonts = self.shape.picture, self.fonts
        middle = (area.x0 + area.x1) / 2
        yield Box(*area, PAPER)
        if not moment.clips:
            return
        room = area.width - 80
        name = fonts.shortened(moment.clip_name, BOLD, 84, room)
        yield Text(middle, area.y0 + area.height * 0.45, name, BOLD, 84, "centre")
        if moment.who:
            who = fonts.shortened(moment.who, BOLD, 40, room)
            yield Text(middle, area.y0 + area.height * 0.62, who, BOLD, 40, "centre")
        yield Text(middle, area.y1 - 24, "no picture yet", REGULAR, 20, "centre")

    def _picture_name(self, picture: str) -> Iterator[Mark]:
        area, fonts = self.shape.figures, self.fonts
        x = area.x0 + 4.15 * min(area.width / 4, 140)
        if picture and x < area.x1 - 80:
            yield Text(x, area.y0 + 14, "picture", REGULAR, CAPTION)
            yield Text(x, area.y0 + 42, fonts.shortened(picture, REGULAR, 18, area.x1 - x), REGULAR, 18)

    def _words(self, speeches: Sequence[Speech]) -> Iterator[Mark]:
        area = self.shape.words
        yield Box(*area, PAPER)
        count = max(1, len(speeches))
        for n, speech in enumerate(speeches):
            y0 = area.y0 + area.height * n // count
            y1 = area.y0 + area.height * (n + 1) // count
            x = area.x0 + 12.0
            if count > 1:  # two at once: each with a name
                yield Text(x, y0 + 24, self.fonts.shortened(speech.who, BOLD, 18, 92), BOLD, 18)
                x += 100
            if speech.is_estimated:
                yield Text(x, (y0 + y1) / 2 + 10, ESTIMATE, BOLD, 32)
            yield from self._speech(speech, x + 26, y0 + 4, area.x1 - 12, y1 - 4)

    def _speech(self, speech: Speech, x0: float, y0: float, x1: float, y1: float) -> Iterator[Mark]:
        style = ITALIC if speech.is_picture else REGULAR
        size = LARGEST_WORDS
        rows = self._rows(speech, style, size, x1 - x0)
        while size > LEAST_WORDS and len(rows) * size * LEADING > y1 - y0:
            size -= 2
            rows = self._rows(speech, style, size, x1 - x0)
        # What does not fit even so is shown around the syllable that is heard now.
        fitting = max(1, int((y1 - y0) / (size * LEADING)))
        at = next((n for n, row in enumerate(rows) if any(k == speech.current for _, k, _ in row)), 0)
        first = max(0, min(at - fitting // 2, len(rows) - fitting))
        shown = rows[first : first + fitting]
        y0 += max(0.0, (y1 - y0 - len(shown) * size * LEADING) / 2)
        for n, row in enumerate(shown):
            baseline = round(y0 + n * size * LEADING + size * 1.02)
            for x, index, text in row:
                if index == speech.current:
                    width = self.fonts.width(text.rstrip(), style, size)
                    yield Box(x0 + x - 3, baseline - size, x0 + x + width + 3, baseline + size // 3, LIT)
                    yield Box(x0 + x - 3, baseline + size // 3 - 5, x0 + x + width + 3, baseline + size // 3, INK)
            for x, _, text in row:
                yield Text(x0 + x, baseline, text, style, size)

    def _rows(self, speech: Speech, style: str, size: int, room: float) -> list[list[tuple[float, int, str]]]:
        """Return rows of (x, index of the syllable, text); words stay whole where they fit a row."""
        rows: list[list[tuple[float, int, str]]] = [[]]
        x, space = 0.0, self.fonts.width(" ", style, size)
        for word in _words(speech):
            whole = "".join(piece.text for _, piece in word)
            if x and x + self.fonts.width(whole, style, size) > room:
                rows.append([])
                x = 0.0
            for index, piece in word:
                width = self.fonts.width(piece.text, style, size)
                if x and x + width > room:
                    rows.append([])
                    x = 0.0
                rows[-1].append((x, index, self.fonts.shortened(piece.text, style, size, room)))
                x += width
            x += space
        return rows


def _words(speech: Speech) -> list[list[tuple[int, Piece]]]:
    """Return the speech's pieces by word; a passage, which is one piece, by its printed words."""
    if speech.is_picture:
        return [[(-1, Piece(text, True))] for text in speech.pieces[0].text.split()]
    words: list[list[tuple[int, Piece]]] = []
    for index, piece in enumerate(speech.pieces):
        if piece.opens_word or not words:
            words.append([])
        words[-1].append((index, piece))
    return words
