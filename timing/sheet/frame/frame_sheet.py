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
from timing.sheet.furniture import SMALL, clock, left_over_line, lips_mark, middle, teeth_mark
from timing.sheet.ink import BREAK, DOTTED, HANDLE, INNER, Ink, cap_mm
from timing.sheet.paper import COLUMNS, HEAD_BAND, Rows
from timing.sheet.wrapped import wrap

WORDS_LEFT, WORDS_RIGHT = 1.6, 1.0  # the boxes' distance from the column's edges
TEXT_LEFT, INNER_INDENT = 2.8, 3.0
STRESS_BAR, WORD_BAR = 2.0, 0.6
BRACKET_X = 1.6
CROSSED = (("words", 0.0, 1.3), ("mouth", 0.8, 1.0), ("music", 1.2, 1.2))  # where heavier rules show, before and after
SYLLABLE_SIZE, READ_SIZE, LEAST_SIZE = 11.0, 9.0, 6.5
LETTERS_EM = 0.93  # from the top of a capital to the foot of a g
VOWEL_SIZE = 11.5  # phonetic letters stay apart on a photocopy at 100 dots an inch
LEADING_EM = 0.36  # mm a point, between the lines of a broken word
CUE_LEADING = 3.5  # mm, between the lines of a cue
TICK_ACTION = (5.0, 2.5)  # whole and quarter seconds where the lines to write on do not fall on them


@dataclass
class Window:
    """Rows ``f0`` to ``f1`` of a passage in one panel: where each frame edge lies on paper."""

    rows: Rows
    f0: int
    f1: int
    end: int  # last numbered frame edge

    @property
    def foot(self) -> float:
        return self.rows.foot

    @property
    def pitch(self) -> float:
        return self.rows.pitch

    @property
    def columns(self) -> dict[str, tuple[float, float]]:
        return self.rows.panel.columns

    def y(self, frame: int) -> float:
        return self.rows.top + (frame - self.f0) * self.rows.pitch

    def clamped(self, frame: int) -> float:
        return self.y(min(max(frame, self.f0), self.f1))


def grid(face: Typeface, rows: Rows, phase: int) -> Ink:
    """Return the rules, ticks and column heads of rows whose first is ``phase`` frames into its second."""
    ink = Ink(face)
    panel, at, top, foot = rows.panel, rows.panel.columns, rows.top, rows.foot
    for column in COLUMNS:
        if column.name not in at:
            continue
        left, right = at[column.name]
        if column.name != "words":  # its head is the speakers' names where two are heard
            align, x = ("right", right - 1.2) if column.name == "frame" else ("center", (left + right) / 2)
            ink.text(x, top - 1.4, column.head, BOLD, SMALL, align)
        ink.line(left, top - HEAD_BAND, left, foot, 1.0 if column.is_edge_heavy else 0.35)
    ink.line(panel.right, top - HEAD_BAND, panel.right, foot, 0.35)
    ink.line(panel.left, top - HEAD_BAND, panel.right, top - HEAD_BAND, 0.35)
    for y in (top, foot):
        ink.line(panel.left, y, panel.right, y, 1.2)
    crossed = [(at[name][0], b, a) for name, b, a in CROSSED if name in at]
    falls_even = rows.second % rows.line == 0 and rows.quarter % rows.line == 0
    every = 1 if rows.pitch >= 2.0 else 2
    for row in range(1, rows.count):
        y, frame = top + row * rows.pitch, row + phase
        in_second = frame % rows.second
        weight = 1.2 if in_second == 0 else 0.5 if in_second % rows.quarter == 0 else 0
        _written_rule(ink, at["action"], y, weight, frame % rows.line == 0, falls_even)
        edge = at["frame"][1]
        if weight:
            if in_second == 0:
                ink.line(at["frame"][0], y, at["sound"][1], y, weight)
            else:
                ink.line(edge - 2.6, y, at["sound"][1], y, weight)
            for x, before, after in crossed:
                ink.line(x - before, y, x + after, y, weight)
        elif frame % every == 0:
            ink.line(edge - (2.2 if in_second % 2 == 0 else 1.3), y, edge, y, 0.3)
            for x, _, after in crossed:
                ink.line(x, y, x + (1.0 if after > 1.2 else 0.7), y, 0.3)
    return ink


def _written_rule(
    ink: Ink, span: tuple[float, float], y: float, weight: float, is_line: bool, falls_even: bool
) -> None:
    """Rule the column that is written in: evenly, at every rate; seconds that fall between two lines are ticks."""
    left, right = span
    if weight and falls_even:
        ink.line(left, y, right, y, weight)
        return
    if is_line:
        ink.line(left, y, right, y, 0.25)
    if weight:
        ink.line(right - TICK_ACTION[0 if weight > 1 else 1], y, right, y, weight)


def draw_panel(ink: Ink, window: Window, score: Score) -> None:
    """Add everything that changes from sheet to sheet, for one panel; its numbers are :func:`numbers`."""
    whole, score = score, score.near(window.f0, window.f1)
    _sound(ink, window, score)
    lanes = max(1, len(score.lanes))
    left, right = window.columns["words"]
    if lanes == 1:
        ink.text(left + 1.2, window.rows.top - 1.4, "words", BOLD, SMALL)
    else:
        for n, name in enumerate(score.lanes):
            _lane_name(ink, window, left + (right - left) * n / lanes + 1, name, (right - left) / lanes - 2)
    _words(ink, window, score, lanes)
    _mouth(ink, window, score, lanes)
    for span in score.spans:
        if span.start < window.f1 and max(span.end, span.ask_end) > window.f0:
            _bracket(ink, window, span, score)
    _cuts(ink, window, score)
    _cues(ink, window, score)
    _continuations(ink, window, score, whole, lanes)
    _music(ink, window, score)


def _lane_name(ink: Ink, window: Window, x: float, name: str, room: float) -> None:
    """Head a lane with its speaker's first words; the whole name stands in the band above."""
    lines = wrap(ink.face, name, BOLD, READ_SIZE, room)
    text = lines[0] if len(lines) == 1 else ink.face.shorten(ink.face.printable(name), BOLD, READ_SIZE, room)
    ink.text(x, window.rows.top - 1.2, text, BOLD, READ_SIZE)


def numbers(face: Typeface, window: Window, passage: Passage) -> Ink:
    """Return the numbers of a panel's frames, and its clock; the same for all panels that lie and count alike.

    They are bold: thin strokes of small figures vanish on a black and white copy of 100 dots an inch.
    """
    ink, rows, at = Ink(face), window.rows, window.columns
    offset = passage.first if passage.counts_from_episode else 0
    size = 8.5 if rows.pitch >= 2.9 else 8.0 if rows.pitch >= 2.7 else 7.5 if rows.pitch >= 2.5 else 6.5
    right, left = at["frame"][1] - 3.0, at["frame"][0] + 0.7
    every = 1 if rows.pitch >= 2.3 else 2
    for frame in range(window.f0, min(window.f1, window.end)):
        y, counted = window.y(frame), frame + offset
        in_second = counted % rows.second
        baseline = middle(y, rows.pitch, size)
        if in_second % every == 0:
            ink.text(right, baseline, str(counted + 1), BOLD, size, "right")
        if in_second == 0:
            large = _fitting(READ_SIZE, rows.foot - y)
            ink.text(left, y + 0.45 + cap_mm(large), clock(counted, rows.second), BOLD, large)
        elif frame == window.f0:  # a sheet that begins within a second says where it is, over its first row
            ink.text(left, rows.top - 1.4, f"{clock(counted, rows.second)}+{in_second}", BOLD, SMALL)
        elif in_second % rows.quarter == 0:
            ink.text(left, middle(y, rows.pitch, size), f"+{in_second}", BOLD, size)
    return ink


def _sound(ink: Ink, window: Window, score: Score) -> None:
    values = score.sound[window.f0 * VALUES_A_FRAME : window.f1 * VALUES_A_FRAME]
    left, right = window.columns["sound"]
    reach, step = right - left - 0.8, window.pitch / VALUES_A_FRAME
    points: list[tuple[float, float]] = []
    for n, value in enumerate([*values, 0.0]):
        if value > 0.004:
            if not points:
                points.append((left + 0.2, window.rows.top + n * step))
            points.append((left + 0.2 + max(value**0.7, 0.02) * reach, window.rows.top + (n + 0.5) * step))
        elif points:
            points.append((left + 0.2, window.rows.top + n * step))
            ink.polygon(points, 0.5)
            points = []


def _lane(window: Window, column: str, lane: int, lanes: int) -> tuple[float, float]:
    left, right = window.columns[column]
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
    is_low = foot - top < READ_SIZE * LETTERS_EM * 0.3528 + 0.5
    rule_end = left + TEXT_LEFT - 0.4 if is_low else right  # one row is all the words' own
    if begins and box.opens_word:
        ink.line(left, top, rule_end, top, 1.0)
    elif begins:
        ink.line(left + STRESS_BAR, top, right if rule_end == right else rule_end, top, 0.35, INNER)
    if ends and box.closes_word:
        ink.line(left, foot, rule_end, foot, 1.0)
    ink.line(right, top, right, foot, 1.0)
    shortened = 0.7 if ends and box.is_stressed else 0.0
    ink.fill(left, top, STRESS_BAR if box.is_stressed else WORD_BAR, foot - top - shortened)
    mark = _fault(ink, box.fault, left, right, top, foot) if begins and box.fault else 0.0
    if not box.text:
        return
    if not begins:
        text = f"({box.text})"
        tall = int((foot - top - 0.75) / (LETTERS_EM * 0.3528) * 2) / 2
        size = ink.face.fit(text, ITALIC, min(READ_SIZE, tall), right - left - TEXT_LEFT - 0.4, LEAST_SIZE)
        if tall >= LEAST_SIZE:
            gap = min(0.9, max(0.4, (foot - top - size * LETTERS_EM * 0.3528) / 2))
            shown = ink.face.shorten(ink.face.printable(text), ITALIC, size, right - left - TEXT_LEFT - 0.4)
            ink.text(left + TEXT_LEFT, top + gap + cap_mm(size), shown, ITALIC, size)
        return
    below = window.clamped(max(next_start, box.end)) - 0.3 if is_low else foot - 0.4
    high = min(below, window.foot - 0.4) - top
    _syllable(ink, box, left, right - 0.7 - mark, top, high)
    if not box.is_read and not box.fault and box.opens_word and foot - top > 8:
        ink.text(right - 0.8, foot - 1.2, "not read", BOLD, SMALL, "right")


def _syllable(ink: Ink, box: Box, left: float, right: float, top: float, high: float) -> None:
    """Set a syllable into its box: on one line, as large as its row allows, or broken over as many as it has."""
    style, face = BOLD if box.is_stressed else REGULAR, ink.face
    text = face.printable(box.text)
    indent = TEXT_LEFT + (0 if box.opens_word else INNER_INDENT)
    if face.width_mm(text, style, READ_SIZE) > right - left - indent:
        indent = TEXT_LEFT
    room = right - left - indent
    tall = int(high / (LETTERS_EM * 0.3528) * 2) / 2
    most = max(LEAST_SIZE, min(SYLLABLE_SIZE, tall))
    size = face.fit(text, style, most, room, min(READ_SIZE, most))
    lines = [text]
    if face.width_mm(text, style, size) > room:
        lines = wrap(face, text, style, size, room)
        while len(lines) > 1 and (len(lines) - 1) * size * LEADING_EM + size * LETTERS_EM * 0.3528 > high:
            if size <= LEAST_SIZE:  # the whole line stands above the rows
                lines = [face.shorten(text, style, size, room)]
                break
            size -= 0.5
            lines = wrap(face, text, style, size, room)
    gap = min(0.75, max(0.2, (high - size * LETTERS_EM * 0.3528) / 2 + 0.2))
    for n, line in enumerate(lines):
        ink.text(left + indent, top + gap + cap_mm(size) + n * size * LEADING_EM, line, style, size)


def _fault(ink: Ink, fault: str, left: float, right: float, top: float, foot: float) -> float:
    """Mark a word that is not said as written; say how where there is room. Return what the mark takes of its row."""
    size = min(3.0, foot - top - 0.3)
    ink.fill(right - size - 0.5, top + 0.3, size, size)
    if size >= 2.4:
        ink.text(right - size / 2 - 0.5, top + 0.3 + size * 0.83, "!", BOLD, max(6.5, size * 2.4), "center", gray=1.0)
    lines = wrap(ink.face, fault, BOLD, READ_SIZE, right - left - TEXT_LEFT - 0.7)
    if foot - top > 4.6 + 3.3 * len(lines):
        for n, line in enumerate(reversed(lines)):
            ink.text(left + TEXT_LEFT, foot - 1.0 - 3.3 * n, line, BOLD, READ_SIZE)
    return size + 0.6


def _mouth(ink: Ink, window: Window, score: Score, lanes: int) -> None:
    pitch = window.pitch
    size = min(VOWEL_SIZE, int((pitch - 0.3) / 0.72 / 0.3528 * 2) / 2)
    for vowel in score.vowels:
        left, right = _lane(window, "mouth", vowel.lane, lanes)
        x = left + (5.2 if right - left > 9.5 else 3.9)
        fitted = ink.face.fit(vowel.sign, REGULAR, size, right - x - 0.3, LEAST_SIZE)
        ink.text(x, middle(window.y(vowel.frame), pitch, fitted), vowel.sign, REGULAR, fitted)
    for closure in score.closures:
        if closure.start < window.f1 and closure.end > window.f0:
            left, right = _lane(window, "mouth", closure.lane, lanes)
            draw = teeth_mark if closure.on_teeth else lips_mark
            y0, y1 = window.clamped(closure.start) + 0.2, window.clamped(closure.end) - 0.2
            draw(ink, left + 1.3, y0, y1, 3.2 if right - left > 9.5 else 2.2)


def _bracket(ink: Ink, window: Window, span: Span, score: Score) -> None:
    """Draw a clip's bracket, left open where it is cut; its number stands in the band, or turned where many follow."""
    left, right = window.columns["clip"]
    lanes = max(1, len(score.lanes))
    width = (right - left) / lanes
    x = left + span.lane * width + BRACKET_X
    edge = left + (span.lane + 1) * width - 0.7
    cuts = {cut.frame for cut in score.cuts}
    for start, end, weight, dash in (
        (span.start, span.speech_start, 1.2, HANDLE),
        (span.speech_start, span.speech_end, 2.4, ()),
        (span.speech_end, span.end, 1.2, HANDLE),
    ):
        if start < window.f1 and end > window.f0 and end > start:
            y0 = window.clamped(start) + (1.1 if start in cuts else 0)
            y1 = window.clamped(end) - (1.1 if end in cuts else 0)
            if y1 > y0:
                ink.line(x, y0, x, y1, weight, dash)
    if span.ask_end > span.end and span.end < window.f1 and span.ask_end > window.f0:
        left_over_line(ink, x, window.clamped(span.end), window.clamped(span.ask_end))
    for frame, is_inside in ((span.start, window.f0 <= span.start < window.f1),
                             (span.end, window.f0 < span.end <= window.f1)):  # fmt: skip
        if is_inside and frame not in cuts:
            ink.line(x - 0.4, window.y(frame), edge, window.y(frame), 1.8)


def _cuts(ink: Ink, window: Window, score: Score) -> None:
    at = window.columns
    for cut in score.cuts:
        if not window.f0 <= cut.frame <= window.f1:
            continue
        y = window.y(cut.frame)
        left, right = at["clip"][0] + 0.6, at["clip"][1] - 0.6
        ink.line(left, y - 1.1, right, y - 1.1, 1.4)
        ink.line(left, y + 1.1, right, y + 1.1, 1.4)
        ink.line(at["sound"][0], y, at["words"][0], y, 1.2, BREAK)


def _cues(ink: Ink, window: Window, score: Score) -> None:
    """Set a box into the pencil's column where a sound, a wait or something to be seen begins; a bar says how long."""
    left, right = window.columns["action"]
    stop = window.rows.top
    for cue in score.cues:
        if cue.start >= window.f1 or max(cue.end, cue.start + 1) <= window.f0:
            continue
        top, foot = window.clamped(cue.start), window.clamped(cue.end)
        ink.line(right - 0.7, top, right - 0.7, foot, 1.4)
        if cue.start < window.f0:
            continue
        lines = wrap(ink.face, cue.told, BOLD, READ_SIZE, right - left - 4)
        high = CUE_LEADING * len(lines) + 1.5
        y = min(max(top, stop), window.foot - high - 0.3)
        ink.line(left + 0.8 if y == top else right - 1.4, top, right, top, 1.0)
        ink.fill(left + 0.8, y, right - left - 2.2, high, 1.0)
        ink.box(left + 0.8, y, right - left - 2.2, high, 0.5)
        for n, line in enumerate(lines):
            ink.text(left + 1.8, y + CUE_LEADING * (n + 1), line, BOLD, READ_SIZE)
        stop = y + high + 0.4


def _continuations(ink: Ink, window: Window, score: Score, whole: Score, lanes: int) -> None:
    """Say at the head and foot of the words that a line runs on, and with which syllable."""
    for span in score.spans:
        lane = _lane(window, "words", span.lane, lanes)
        if span.speech_start < window.f0 < span.speech_end and lanes == 1:
            right, y = lane[1], window.rows.top
            ink.polygon([(right - 2.6, y - 3.8), (right - 0.8, y - 1.3), (right - 4.4, y - 1.3)])
        if span.speech_start < window.f1 < span.speech_end:
            following = whole.boxes[bisect_left(whole.boxes, (window.f1,)) :][:8]  # of all who speak at once
            coming = next((f"“{box.text}”" for box in following if box.lane == span.lane), "goes on")
            _goes_on(ink, window, lane, coming)


def _goes_on(ink: Ink, window: Window, lane: tuple[float, float], coming: str) -> None:
    """Name the next syllable under a lane, with a triangle that points on."""
    left, right = lane
    y = window.foot
    ink.polygon([(right - 4.4, y + 0.9), (right - 0.8, y + 0.9), (right - 2.6, y + 3.4)])
    room = right - 5.2 - left
    text = ink.face.printable(coming)
    size = ink.face.fit(text, BOLD, READ_SIZE, room, LEAST_SIZE)
    ink.text(right - 5.2, y + 3.5, ink.face.shorten(text, BOLD, size, room), BOLD, size, "right")


def _music(ink: Ink, window: Window, score: Score) -> None:
    left, right = window.columns.get("music", (0.0, 0.0))
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
            size = min(12.0, int((min(window.pitch * 1.6, window.foot - y) - 0.85) / 0.72 / 0.3528 * 2) / 2)
            ink.text(left + 1.4, y + 0.55 + cap_mm(size), str(beat.bar), BOLD, size)
        else:
            ink.line(left + (right - left) * 0.4, y, right, y, 1.0)
            size = _fitting(READ_SIZE, window.foot - y)
            ink.text(right - 1.0, y + 0.45 + cap_mm(size), f".{beat.number}", REGULAR, size, "right")


def _fitting(size: float, room: float) -> float:
    """Return the type in which figures stand between a rule and the foot of the rows."""
    return min(size, int((room - 0.8) / 0.714 / 0.3528 * 2) / 2)
