"""The dub sheet: one clip, the same frames, the words of both languages side by side.

In: an edition. Out: pages. The original's words and mouth stand in the first lane (its lip closures are black), the
new ones in the second, beside the bar of their window.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from timing.language.registry import language_of, name_of
from timing.model import Plan
from timing.model.dub import DubLine, Edition, Verdict
from timing.sheet import furniture
from timing.sheet.figures import tenths
from timing.sheet.fonts import BOLD, REGULAR, Typeface
from timing.sheet.frame.frame_sheet import Window as Rows
from timing.sheet.frame.frame_sheet import draw_panel, grid, numbers
from timing.sheet.frame.marks import Score
from timing.sheet.frame.score import Passage, ScoreWriter, display_name, passages_of
from timing.sheet.furniture import READ, SMALL, Mark
from timing.sheet.ink import Ink, Page
from timing.sheet.ipa import key_of
from timing.sheet.paper import (
    GUTTER,
    LEAST_PITCH,
    LEAST_WORD_PITCH,
    LEFT,
    RIGHT,
    Panel,
    frame_layout,
    rows_for,
    rows_in,
)
from timing.sheet.tables.dub_table import facts
from timing.sheet.wrapped import wrap

# Millimetres of each column of a half page; the words take what is left, the action column is for ticks only.
COLUMNS = {"action": 12.0, "clip": 4.2, "frame": 15.0, "sound": 7.0, "mouth": 14.0, "music": 9.0}
ORDER = ("action", "clip", "frame", "sound", "words", "mouth", "music")
LANGUAGES = ("the original's", "the edition's")  # lanes where one speaks at a time
CAPTION = "dub sheet"
WRITE_MM = 8.5  # between lines for handwriting
MOST_VOWELS = 4  # lanes; beside more there is room for the lips only
EDGE = 2.0  # points: the bar of a window
WINDOW = Mark(lambda ink, x, y: ink.line(x + 2.6, y - 2.4, x + 2.6, y + 0.3, EDGE), "window: the mouth moves")
TENTH = Mark(lambda ink, x, y: ink.line(x + 2.6, y - 2.4, x + 2.6, y + 0.3, 0.4), "a tenth over it")


@dataclass(frozen=True)
class _Pair:
    """A passage in both languages: the same clips and frames."""

    passage: Passage
    score: Score
    own: int  # lanes of the original, which come first
    lines: tuple[DubLine, ...]


class DubSheets:
    """The dub sheets of an edition, in order."""

    def __init__(self, edition: Edition, face: Typeface):
        self.edition, self.face = edition, face
        self.plan: Plan = edition.plan
        settings = self.plan.settings.sheet
        old, new = ScoreWriter(edition.original), ScoreWriter(self.plan)
        self.pairs = []
        for a, b in zip(passages_of(edition.original), passages_of(self.plan), strict=True):
            lines = self._lines(a)
            if lines:
                was = old.score(a)
                self.pairs.append(_Pair(a, self._both(was, new.score(b)), max(1, len(was.lanes)), lines))
        first = frame_layout(settings, self.plan.rate)
        self.kind = f"{self.plan.rate} fps · counts from the clip’s frame 1"
        corners = [(CAPTION, f"{pair.passage.name} · 8 of 8") for pair in self.pairs] or [(CAPTION, "")]
        self.title_room = min(furniture.slim_room(face, first.width, self.kind, corner) for corner in corners)
        extra = 4.2 * (len(furniture.title_lines(face, self.plan, self.title_room)) - 1)
        self.layout = frame_layout(settings, self.plan.rate, first.top + extra + 1.2)
        self._home = {dub.id: pair.passage.anchor for pair in reversed(self.pairs) for dub in pair.lines}
        self.grids: dict[str, Ink] = {}

    def key_of(self, dub: DubLine) -> str | None:
        """Return the bookmark of a line's first sheet."""
        anchor = self._home.get(dub.id)
        return None if anchor is None else _key(anchor, 0)

    def pages(self, before: int) -> Iterator[Page]:
        """Yield the sheets; ``before`` pages stand before them."""
        number = before
        for pair in self.pairs:
            for page in self._passage(pair, number):
                if number == before:
                    page.outline = ((0, "Dub sheets", "dub-sheets"), *page.outline)
                    page.extra_keys = ("dub-sheets", *page.extra_keys)
                number += 1
                yield page

    # --- both languages on the same frames ---------------------------------------------------------------

    def _lines(self, passage: Passage) -> tuple[DubLine, ...]:
        ids = dict.fromkeys(i for clip in passage.clips for i in (clip.lines or (clip.line,)))
        return tuple(dub for i in ids if (dub := self.edition.line(i)))

    def _both(self, old: Score, new: Score) -> Score:
        """Return one score: the original's lanes, then those of the new words."""
        by = max(1, len(old.lanes))
        names = [name_of(self.edition.original.language), name_of(self.edition.language)]
        lanes = [
            f"{who} · {name}" if len(score.lanes) > 1 else name
            for score, name in zip((old, new), names, strict=True)
            for who in (score.lanes or ("",))
        ]
        both = Score(
            [*old.boxes, *(b._replace(lane=b.lane + by) for b in new.boxes)],
            [*old.rests, *(r._replace(lane=r.lane + by) for r in new.rests)],
            [*old.vowels, *(v._replace(lane=v.lane + by) for v in new.vowels)] if len(lanes) <= MOST_VOWELS else [],
            [*old.closures, *(c._replace(lane=c.lane + by) for c in new.closures)],
            spans=[*old.spans], cuts=[*old.cuts], beats=[*old.beats], lanes=tuple(lanes), sound=old.sound,
        )  # fmt: skip
        both.settle()
        return both

    # --- drawn -------------------------------------------------------------------------------------------

    def _passage(self, pair: _Pair, before: int) -> Iterator[Page]:
        layout, score = self.layout, pair.score
        band, height = self._band(pair)
        ends = max([pair.passage.length, *(box.end for box in score.boxes)])
        panels = self._panels(score, ends * LEAST_WORD_PITCH <= layout.room(height))
        has_short = any(box.end - box.start < 2 for box in score.boxes)
        least = LEAST_WORD_PITCH if has_short else LEAST_PITCH
        count, each = rows_for(layout, height, ends, ends, len(panels), None, least)
        for index in range(count):
            ink = Ink(self.face)
            name = pair.passage.name + (f" · {index + 1} of {count}" if count > 1 else "")
            size = layout.width, layout.height
            furniture.slim_header(ink, *size, self.plan, self.kind, (CAPTION, name), self.title_room)
            if index == 0:
                ink.place(band, LEFT, layout.top)
            else:
                ink.text(LEFT, layout.top + 5.6, f"{pair.passage.name} goes on", BOLD, 14)
            first = index * each * len(panels)
            forms = []
            for n, panel in enumerate(panels):
                rows = rows_in(layout, panel, height, each)
                forms.append(self._rows(ink, pair, Rows(rows, first + n * each, first + (n + 1) * each, ends)))
            self._room_to_write(ink, panels[-1].right, layout.top + height)
            self._foot(ink, score.near(first, first + each * len(panels)), pair.own, before + index + 1)
            key = _key(pair.passage.anchor, index)
            page = Page(layout.width, layout.height, key, ink, tuple(forms), label=f"dub sheet {name}")
            if index == 0:
                page.outline = ((1, f"{pair.passage.name}: {' '.join(pair.lines[0].line.text.split()[:5])}", key),)
            yield page

    def _panels(self, score: Score, is_short: bool) -> tuple[Panel, ...]:
        """Return where the rows stand: half a page for a short clip, two halves, all of it where several speak."""
        inner = self.layout.width - LEFT - RIGHT
        if len(score.lanes) > len(LANGUAGES):
            return self.layout.panels(len(score.lanes), bool(score.beats), is_full=True)
        width = (inner - GUTTER) / 2
        widths = {name: each for name, each in COLUMNS.items() if name != "music" or score.beats}
        widths["words"] = width - sum(widths.values())
        panels = []
        for left in (LEFT,) if is_short else (LEFT, LEFT + width + GUTTER):
            columns, x = {}, left
            for name in ORDER:
                if name in widths:
                    columns[name] = (x, x + widths[name])
                    x += widths[name]
            panels.append(Panel(columns, left, left + width))
        return tuple(panels)

    def _rows(self, ink: Ink, pair: _Pair, window: Rows) -> tuple[str, Ink]:
        """Draw the marks of one panel; return the name and the ink of its rules."""
        rows, score = window.rows, pair.score
        ink.place(numbers(self.face, window, pair.passage), 0, 0)
        draw_panel(ink, window, score)
        self._edges(ink, window, pair)
        phase = window.f0 % rows.second
        form = f"grid-{rows.panel.left:.0f}-{rows.top:.1f}-{rows.count}-{phase}-{len(score.lanes)}{bool(score.beats):d}"
        self.grids.setdefault(form, grid(self.face, rows, phase))
        return form, self.grids[form]

    def _room_to_write(self, ink: Ink, x: float, top: float) -> None:
        """Rule what is left beside a short clip, for other words."""
        left, right = x + GUTTER, self.layout.width - RIGHT
        if right - left < GUTTER:
            return
        ink.text(left, top + 3.2, "other words", BOLD, SMALL)
        y = top + WRITE_MM
        while y < self.layout.foot:
            ink.line(left, y, right, y, 0.25)
            y += WRITE_MM

    def _band(self, pair: _Pair) -> tuple[Ink, float]:
        """Return what stands over the rows, drawn from (0, 0) on, and how high it is."""
        ink, width = Ink(self.face), self.layout.width - LEFT - RIGHT
        ink.text(0, 5.6, pair.passage.name, BOLD, 16)
        who = " & ".join(dict.fromkeys(filter(None, (display_name(d.original.speaker) for d in pair.lines))))
        x = ink.width(pair.passage.name, BOLD, 16) + 3
        rows = wrap(self.face, who, BOLD, 11, width - x)
        for n, row in enumerate(rows):
            ink.text(x, 5.6 + 4.4 * n, row, BOLD, 11)
        y = 2.4 + 4.4 * len(rows)
        for dub in pair.lines:
            y = self._told(ink, dub, y, width)
        return ink, y + 1.8

    def _told(self, ink: Ink, dub: DubLine, y: float, width: float) -> float:
        """Write what is to be known of a line from ``y`` on; return where that ends."""
        line = dub.line
        length = tenths(line.length) + (f" ({tenths(line.low)}–{tenths(line.high)})" if line.low < line.high else "")
        change = f" · lose {dub.lose}" if dub.lose else f" · gain {dub.gain}" if dub.gain else ""
        told = f"{dub.verdict.value} · {length} s in {tenths(dub.window.length)} s{change}"
        y += 4.6
        ink.text(0, y, told, BOLD, 11)
        parts = [
            (dub.original.text, REGULAR, 10.5),
            (line.text, BOLD, 10.5),
            (facts(dub), REGULAR, READ),
        ]
        if dub.losses and dub.verdict is not Verdict.FITS:
            words = ", ".join(f"“{loss.text}” ({tenths(loss.seconds)} s)" for loss in dub.losses)
            parts.append((f"fits without one of: {words}", REGULAR, READ))
        for text, style, size in parts:
            for row in wrap(self.face, text, style, size, width):
                y += size * 0.4
                ink.text(0, y, row, style, size)
        return y

    def _edges(self, ink: Ink, window: Rows, pair: _Pair) -> None:
        """Draw each line's window beside its new words, broken where the mouth rests, and the tenth over it."""
        left, right = window.columns["words"]
        x = left + (right - left) * pair.own / len(pair.score.lanes) + 0.5
        rate, first = self.plan.rate, pair.passage.first
        for dub in pair.lines:
            rests = [at for pause in dub.window.pauses for at in pause]
            marks = [rate.frame_at(at) - first for at in (dub.window.start, *rests, dub.window.end)]
            over = rate.frame_at(dub.window.end + dub.window.room / 10) - first
            for start, end in pairwise([*marks, over]):
                is_over = end == over and start == marks[-1]
                is_rest = not is_over and marks.index(start) % 2 == 1
                if end > window.f0 and start < window.f1 and not is_rest:
                    ink.line(x, window.clamped(start), x, window.clamped(end), 0.4 if is_over else EDGE)
            for frame in (marks[0], marks[-1]):
                if window.f0 <= frame <= window.f1:
                    ink.line(x - 0.4, window.y(frame), x + 1.1, window.y(frame), 1.4)

    def _foot(self, ink: Ink, seen: Score, own: int, number: int) -> None:
        layout = self.layout
        marks: Sequence[Mark] = (
            furniture.WORD, furniture.STRESS, furniture.SYLLABLE, furniture.LIPS, furniture.TEETH, furniture.SILENCE,
            furniture.SPEECH_MARK, furniture.HANDLE_MARK, WINDOW, TENTH,
            *((furniture.BLANKS,) if ink.has_blanks else ()),
        )  # fmt: skip
        corner = furniture.footer_text(ink, self.plan, number)
        y = furniture.legend(ink, layout.width, layout.height, marks, corner)
        words = language_of(self.edition.original.language).vowel_words
        told = key_of({v.sign for v in seen.vowels if v.lane < own}, words)
        for n, row in enumerate(reversed(wrap(self.face, told, REGULAR, READ, layout.width - LEFT - RIGHT))):
            ink.text(LEFT, y - 0.9 - 3.6 * n, row, REGULAR, READ)
        furniture.footer(ink, layout.width, layout.height, self.plan, number)


def _key(anchor: str, index: int) -> str:
    return f"dub-{anchor}-{index + 1}"
