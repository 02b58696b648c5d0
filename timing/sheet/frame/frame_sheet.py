"""The frame sheet: one row a frame, written on the left, heard on the right.

In: a :class:`Score` and a window of it. Out: marks in millimetres. The grid that never changes is laid out once
and shared by every sheet (:func:`grid`); rules run only where somebody writes or counts, so every full line in
the words column says something about the speech.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.frame.marks import VALUES_A_FRAME, Box, Score, Span
from timing.sheet.frame.score import Passage
from timing.sheet.furniture import GOES_ON, caution_square, clock, lips_mark, middle, teeth_mark
from timing.sheet.ink import BREAK, DOTTED, HANDLE, INNER, Ink, cap_mm
from timing.sheet.paper import COLUMNS, HEAD_BAND, ROWS_TOP, Layout, Panel
from timing.sheet.wrapped import name_lines

WORDS_LEFT, WORDS_RIGHT = 2.0, 1.3  # the boxes' distance from the column's edges
TEXT_LEFT, INNER_INDENT = 3.0, 4.0
STRESS_BAR, WORD_BAR = 2.0, 0.6
BRACKET_X = 2.2
CROSSED = (("words", 0.0, 1.7), ("mouth", 1.0, 1.2), ("music", 1.6, 1.4))  # where heavier rules show, before and after
SYLLABLE_SIZE, LEAST_SYLLABLE_SIZE, LEAST_ONE_FRAME_SIZE = 11.0, 8.0, 6.5


@dataclass
class Window:
    """Rows ``f0`` to ``f1`` of a passage in one panel: where each frame edge lies on paper."""

    layout: Layout
    panel: Panel
    f0: int
    f1: int
    end: int  # last numbered frame edge

    @property
    def foot(self) -> float:
        return self.layout.foot

    def y(self, frame: int) -> float:
        return ROWS_TOP + (frame - self.f0) * self.layout.pitch

    def clamped(self, frame: int) -> float:
        return self.y(min(max(frame, self.f0), self.f1))


def grid(face: Typeface, layout: Layout, phase: int) -> Ink:
    """Return the rules, ticks and column heads of a sheet whose first row is ``phase`` frames into its second."""
    ink = Ink(face)
    for number, panel in enumerate(layout.panels):
        _panel_grid(ink, layout, panel, phase + number * layout.rows)
    return ink


def _panel_grid(ink: Ink, layout: Layout, panel: Panel, phase: int) -> None:
    at, top, foot = panel.columns, ROWS_TOP, layout.foot
    for column in COLUMNS:
        if column.name not in at:
            continue
        left, right = at[column.name]
        if column.name != "words":  # its head is the speakers' names where two are heard
            ink.text((left + right) / 2, top - 1.6, column.head, align="center")
        ink.line(left, top - HEAD_BAND, left, foot, 1.0 if column.is_edge_heavy else 0.35)
    ink.line(panel.right, top - HEAD_BAND, panel.right, foot, 0.35)
    ink.line(panel.left, top - HEAD_BAND, panel.right, top - HEAD_BAND, 0.35)
    written = (panel.left, at["clip"][0])
    crossed = [(at[name][0], b, a) for name, b, a in CROSSED if name in at]
    for row in range(layout.rows + 1):
        y, frame = top + row * layout.pitch, row + phase
        if row in (0, layout.rows):
            ink.line(panel.left, y, panel.right, y, 1.2)
            continue
        in_second = frame % layout.second
        weight = 1.2 if in_second == 0 else 0.5 if in_second % layout.quarter == 0 else 0
        if weight:
            ink.line(*_level(written, y), weight)
            ink.line(at["time"][0], y, at["sound"][1], y, weight)
            for x, before, after in crossed:
                ink.line(x - before, y, x + after, y, weight)
        else:
            edge = at["frame"][1]
            ink.line(edge - (2.2 if in_second % 2 == 0 else 1.3), y, edge, y, 0.3)
            for x, _, after in crossed:
                ink.line(x, y, x + (1.2 if after > 1.5 else 0.8), y, 0.3)
            if in_second % 2 == 0:
                ink.line(*_level(written, y), 0.25)


def _level(span: tuple[float, float], y: float) -> tuple[float, float, float, float]:
    return span[0], y, span[1], y


def draw_panel(ink: Ink, window: Window, score: Score, passage: Passage) -> None:
    """Add everything that changes from sheet to sheet, for one panel."""
    whole, score = score, score.near(window.f0, window.f1)
    _numbers(ink, window, passage)
    _sound(ink, window, score)
    lanes = max(1, len(score.lanes))
    left, right = window.panel.columns["words"]
    if lanes == 1:
        ink.text(left + 1.2, ROWS_TOP - 1.6, "words")
    else:
        for n, name in enumerate(score.lanes):
            _lane_name(ink, left + (right - left) * n / lanes + 1, name, (right - left) / lanes - 2)
    _words(ink, window, score, lanes)
    _mouth(ink, window, score, lanes)
    for span in score.spans:
        if span.start < window.f1 and max(span.end, span.ask_end) > window.f0:
            _bracket(ink, window, span, score)
    _cuts(ink, window, score)
    _continuations(ink, window, score, whole, lanes)
    _joins(ink, window, score)
    _music(ink, window, score)


def _lane_name(ink: Ink, x: float, name: str, room: float) -> None:
    """Head a lane with its speaker, on a second line where one is too short."""
    lines, size = name_lines(ink.face, name, BOLD, 7, room)
    if len(lines) > 2:
        lines = [lines[0], ink.face.shorten(" ".join(lines[1:]), BOLD, size, room)]
    for n, line in enumerate(reversed(lines)):
        ink.text(x, ROWS_TOP - (1.6 if len(lines) == 1 else 0.7 + 2.2 * n), line, BOLD, size)


def _numbers(ink: Ink, window: Window, passage: Passage) -> None:
    layout, at = window.layout, window.panel.columns
    offset = passage.first if passage.counts_from_episode else 0
    size = 7.5 if layout.pitch >= 2.9 else 7 if layout.pitch >= 2.6 else 6.5
    right, time_left, time_right = at["frame"][1] - 2.8, at["time"][0] + 0.9, at["time"][1] - 1
    for frame in range(window.f0, min(window.f1, window.end)):
        y = window.y(frame)
        counted = frame + offset
        in_second = counted % layout.second
        baseline = middle(y, layout.pitch, size)
        ink.text(right, baseline, str(counted + 1), REGULAR if in_second else BOLD, size, "right")
        if in_second == 0:
            ink.text(time_left, y + 0.7 + cap_mm(10), clock(counted, layout.second), BOLD, 10)
        elif frame == window.f0:  # a sheet that begins within a second says where it is
            text = f"{clock(counted, layout.second)}+{in_second}"
            ink.text(time_right, middle(y, layout.pitch, 7), text, REGULAR, 7, "right")
        elif in_second % layout.quarter == 0:
            ink.text(time_right, middle(y, layout.pitch, 7), f"+{in_second}", REGULAR, 7, "right")


def _sound(ink: Ink, window: Window, score: Score) -> None:
    values = score.sound[window.f0 * VALUES_A_FRAME : window.f1 * VALUES_A_FRAME]
    left, right = window.panel.columns["sound"]
    reach, step = right - left - 0.8, window.layout.pitch / VALUES_A_FRAME
    points: list[tuple[float, float]] = []
    for n, value in enumerate([*values, 0.0]):
        if value > 0.004:
            if not points:
                points.append((left + 0.2, ROWS_TOP + n * step))
            points.append((left + 0.2 + max(value**0.7, 0.02) * reach, ROWS_TOP + (n + 0.5) * step))
        elif points:
            points.append((left + 0.2, ROWS_TOP + n * step))
            ink.polygon(points, 0.5)
            points = []


def _lane(window: Window, column: str, lane: int, lanes: int) -> tuple[float, float]:
    left, right = window.panel.columns[column]
    width = (right - left) / lanes
    return left + lane * width, left + (lane + 1) * width


def _words(ink: Ink, window: Window, score: Score, lanes: int) -> None:
    for rest in score.rests:
        if rest.start < window.f1 and rest.end > window.f0:
            x = _lane(window, "words", rest.lane, lanes)[0] + WORDS_LEFT + 1
            ink.line(x, window.clamped(rest.start), x, window.clamped(rest.end), 0.9, DOTTED)
    following: dict[int, int] = {}  # the next start in each lane
    visible = [box for box in score.boxes if box.end > window.f0]
    rooms = []
    for box in reversed(visible):
        rooms.append(following.get(box.lane, window.f1))
        following[box.lane] = box.start
    for box, next_start in zip(visible, reversed(rooms), strict=True):
        _box(ink, window, box, _lane(window, "words", box.lane, lanes), next_start)


def _box(ink: Ink, window: Window, box: Box, lane: tuple[float, float], next_start: int) -> None:
    left, right = lane[0] + WORDS_LEFT, lane[1] - WORDS_RIGHT
    top, foot = window.clamped(box.start), window.clamped(box.end)
    begins, ends = box.start >= window.f0, box.end <= window.f1
    if begins and box.opens_word:
        ink.line(left, top, right, top, 1.0)
    elif begins:
        ink.line(left + STRESS_BAR, top, right, top, 0.35, INNER)
    if ends and box.closes_word:
        ink.line(left, foot, right, foot, 1.0)
    ink.line(right, top, right, foot, 1.0)
    if begins and box.fault:
        _fault(ink, window, box.fault, right, top, foot)
    shortened = 0.7 if ends and box.is_stressed else 0.0
    ink.fill(left, top, STRESS_BAR if box.is_stressed else WORD_BAR, foot - top - shortened)
    if not box.text:
        return
    style = BOLD if box.is_stressed else REGULAR
    if not begins:
        text = f"({box.text})"
        size = ink.face.fit(text, ITALIC, 8.5, right - left - TEXT_LEFT - 0.4, 6.5)
        ink.text(left + TEXT_LEFT, top + 0.8 + cap_mm(size), text, ITALIC, size)
        return
    if not box.is_read and not box.fault and box.opens_word:
        ink.text(right - 1.2, top + 0.8 + cap_mm(6.5), "not read", ITALIC, 6.5, "right")
        right -= ink.width("not read", ITALIC, 6.5) + 1
    indent = TEXT_LEFT + (0 if box.opens_word else INNER_INDENT)
    room = right - left - indent - 0.4
    least = LEAST_SYLLABLE_SIZE if lane[1] - lane[0] > 25 else LEAST_ONE_FRAME_SIZE
    if ink.face.width_mm(box.text, style, least) > room:
        indent = TEXT_LEFT
        room = right - left - indent - 0.4
    size = ink.face.fit(box.text, style, SYLLABLE_SIZE, room, least)
    pitch = window.layout.pitch
    rows = min(next_start, window.f1) - box.start
    if rows < 2:
        one_row = max(LEAST_ONE_FRAME_SIZE, int((pitch - 0.7) / 0.3528 / 0.95 * 2) / 2)
        size = min(size, one_row)
    gap = min(0.75, max(0.3, (max(rows, 1) * pitch - cap_mm(size)) / 2 - 0.15))
    ink.text(left + indent, top + gap + cap_mm(size), ink.face.shorten(box.text, style, size, room + 0.4), style, size)


def _fault(ink: Ink, window: Window, fault: str, right: float, top: float, foot: float) -> None:
    """Say in the corner of a word what is wrong with it in the clip that came back."""
    size = min(3.0, window.layout.pitch - 0.4)
    y = max(top + size + 0.3, min(foot, top + window.layout.pitch) - 0.2)
    caution_square(ink, right - size - 0.5, y, size)
    ink.text(right - size - 1.1, y - (size - cap_mm(6.5)) / 2, fault, BOLD, 6.5, "right")


def _mouth(ink: Ink, window: Window, score: Score, lanes: int) -> None:
    pitch = window.layout.pitch
    block = 3.0 if lanes == 1 else 2.0
    for vowel in score.vowels:
        x = _lane(window, "mouth", vowel.lane, lanes)[0] + (6.0 if lanes == 1 else 3.2)
        size = 9.5 if lanes == 1 else 8.5
        ink.text(x, middle(window.y(vowel.frame), pitch, size), vowel.sign, REGULAR, size)
    for closure in score.closures:
        if closure.start < window.f1 and closure.end > window.f0:
            x = _lane(window, "mouth", closure.lane, lanes)[0] + (1.6 if lanes == 1 else 0.9)
            draw = teeth_mark if closure.on_teeth else lips_mark
            draw(ink, x, window.clamped(closure.start) + 0.2, window.clamped(closure.end) - 0.2, block)


def _bracket(ink: Ink, window: Window, span: Span, score: Score) -> None:
    """Draw a clip's bracket, left open where it is cut, and its label turned upwards."""
    left, right = window.panel.columns["clip"]
    lanes = max(1, len(score.lanes))
    width = (right - left) / lanes
    x = left + span.lane * width + (BRACKET_X if lanes == 1 else 0.9)
    edge = left + (span.lane + 1) * width - 0.8
    cuts = {cut.frame for cut in score.cuts}
    pieces = (
        (span.start, span.speech_start, 1.2, HANDLE),
        (span.speech_start, span.speech_end, 2.4, ()),
        (span.speech_end, span.end, 1.2, HANDLE),
        (span.end, span.ask_end, 0.9, DOTTED),
    )
    for start, end, weight, dash in pieces:
        if start < window.f1 and end > window.f0 and end > start:
            y0 = window.clamped(start) + (1.1 if start in cuts else 0)
            y1 = window.clamped(end) - (1.1 if end in cuts else 0)
            if y1 > y0:
                ink.line(x, y0, x, y1, weight, dash)
    for frame, is_inside in ((span.start, window.f0 <= span.start < window.f1),
                             (span.end, window.f0 < span.end <= window.f1)):  # fmt: skip
        if is_inside and frame not in cuts:
            ink.line(x - 0.4, window.y(frame), edge, window.y(frame), 1.8)
    top, foot = window.clamped(span.start), window.clamped(span.end)
    for label in (f"{span.id} {span.speaker} · {span.ask}", f"{span.id} · {span.ask}", span.id):
        size = 9 if lanes == 1 else 8 if width > 4.5 else 6.5
        length = ink.width(label, BOLD, size)
        if length <= foot - top - 3.2:
            baseline = edge - 1.4 if lanes == 1 else edge + 0.1
            ink.upward(baseline, top + 1.6 + length, label, BOLD, size)
            break


def _cuts(ink: Ink, window: Window, score: Score) -> None:
    at = window.panel.columns
    for cut in score.cuts:
        if not window.f0 <= cut.frame <= window.f1:
            continue
        y = window.y(cut.frame)
        left, right = at["clip"][0] + 0.6, at["clip"][1] - 0.6
        ink.line(left, y - 1.1, right, y - 1.1, 1.4)
        ink.line(left, y + 1.1, right, y + 1.1, 1.4)
        ink.line(at["time"][0] - 1, y, at["words"][0], y, 1.2, BREAK)
        ink.text(at["clip"][0] - 1.2, y + cap_mm(9) + 0.6, f"{cut.after} begins here", BOLD, 9, "right")


def _continuations(ink: Ink, window: Window, score: Score, whole: Score, lanes: int) -> None:
    """Say at the head and foot of the words that a line runs on, and with which syllable."""
    right = window.panel.columns["words"][1]
    for span in score.spans:
        if span.speech_start < window.f0 < span.speech_end and lanes == 1:
            y = ROWS_TOP
            ink.polygon([(right - 3.2, y - 4.2), (right - 1.2, y - 1.5), (right - 5.2, y - 1.5)])
            ink.text(right - 6, y - 1.6, f"{span.id} goes on", BOLD, 7.5, "right")
        if span.speech_start < window.f1 < span.speech_end:
            following = whole.boxes[bisect_left(whole.boxes, (window.f1,)) :][:8]  # of all who speak at once
            coming = next((f"“{box.text}”" for box in following if box.lane == span.lane), "")
            if lanes == 1:
                _goes_on(ink, window, window.foot, f"{span.id} goes on: {coming}" if coming else f"{span.id} goes on")
            else:
                _goes_on_in_lane(ink, window, _lane(window, "words", span.lane, lanes), coming)


def _down(ink: Ink, right: float, y: float) -> None:
    ink.polygon([(right - 5, y + 0.9), (right - 1.4, y + 0.9), (right - 3.2, y + 3.2)])


def _goes_on_in_lane(ink: Ink, window: Window, lane: tuple[float, float], coming: str) -> None:
    left, right = lane
    _down(ink, right, window.foot)
    room = right - 6 - left - 0.5
    size = ink.face.fit(ink.face.printable(coming), BOLD, 8, room, 6.5)
    ink.text(right - 6, window.foot + 3.2, ink.face.shorten(coming, BOLD, size, room), BOLD, size, "right")


def _goes_on(ink: Ink, window: Window, y: float, text: str) -> None:
    left, right = window.panel.columns["words"]
    _down(ink, right, y)
    room = right - 6 - left + GOES_ON - 1
    size = ink.face.fit(ink.face.printable(text), BOLD, 8, room, 6.5)
    ink.text(right - 6, y + 3.2, ink.face.shorten(text, BOLD, size, room), BOLD, size, "right")


def _joins(ink: Ink, window: Window, score: Score) -> None:
    """Say where a part of a split line goes on: above its first row, below its last."""
    right = window.panel.columns["words"][1]
    for join in score.joins:
        if join.is_head and window.f0 == join.frame:
            y = ROWS_TOP
            ink.polygon([(right - 3.2, y - 4.2), (right - 1.2, y - 1.5), (right - 5.2, y - 1.5)])
            room = right - 6 - window.panel.columns["words"][0] - 9
            size = ink.face.fit(ink.face.printable(join.text), BOLD, 7.5, room, 6.5)
            ink.text(right - 6, y - 1.6, ink.face.shorten(join.text, BOLD, size, room), BOLD, size, "right")
        elif not join.is_head and window.f0 < join.frame <= window.f1:
            y = window.y(join.frame)
            y = y if window.foot - y > 4 else window.foot  # clear of the rule at the foot
            _goes_on(ink, window, y, join.text)


def _music(ink: Ink, window: Window, score: Score) -> None:
    left, right = window.panel.columns.get("music", (0.0, 0.0))
    for beat in score.beats:
        if not (window.f0 <= beat.frame < window.f1 or (beat.bar == -1 and beat.frame == window.f1)):
            continue
        y = window.y(beat.frame)
        if beat.bar == -1:
            ink.line(left, y, right, y, 2.0)
            ink.line(left, y - 0.9, right, y - 0.9, 0.5)
        elif beat.number == 0:
            ink.line(right - 2, y, right, y, 0.4)
        elif beat.number == 1:
            ink.line(left, y, right, y, 2.0)
            ink.text(left + 1.4, y + 0.9 + cap_mm(12), str(beat.bar), BOLD, 12)
            ink.text(right - 1.2, y + 0.9 + cap_mm(8.5), ".1", REGULAR, 8.5, "right")
        else:
            ink.line(left + (right - left) * 0.4, y, right, y, 1.0)
            ink.text(right - 1.2, y + 0.8 + cap_mm(8.5), f".{beat.number}", REGULAR, 8.5, "right")
