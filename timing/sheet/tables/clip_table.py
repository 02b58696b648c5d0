"""The clip table, first page of the set: how many seconds to ask for, what is left over, what must be split.

One row a clip; above the parts of a split line a flagged row for the line; a low row for frames that no clip fills, so
that the rows together are the whole episode. Totals stand on the last page, ruler and cautions on the first, the
legend on each.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from timing.model import Clip, LineKind, Plan
from timing.model.basics import Passage as Happening
from timing.model.findings import FindingCode
from timing.plain.figures import figure
from timing.sheet import cautions
from timing.sheet.figures import sum_printed, tenth, tenths
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.frame.score import HAPPENS, display_name
from timing.sheet.furniture import (
    BLANKS,
    READ,
    SMALL,
    Mark,
    caution_square,
    changed_bar,
    footer,
    footer_text,
    header,
    legend,
)
from timing.sheet.ink import Ink, Page
from timing.sheet.origin import said_how, timed_by
from timing.sheet.paper import FOOT, LEFT, RIGHT, paper_size
from timing.sheet.tables.came_back import ACCEPTED, DELIVERED, state_box, state_of, take_line
from timing.sheet.tables.clip_rows import (
    ClipRow,
    CueRow,
    GapRow,
    OmittedRow,
    Row,
    SplitRow,
    places_of,
    what_is_wrong,
)
from timing.sheet.tables.fit_bar import ROW, FitBar
from timing.sheet.tables.line_list import box_mark
from timing.sheet.wrapped import name_lines, paginate, wrap

LOW_ROW, NOTE_LINE = 5.4, 3.8
TOTALS_HEIGHT, LEGEND_HEIGHT, RULER_HEIGHT = 16.0, 12.0, 5.5
MOST_WIDER = 4.0  # mm more for each row where a page has the room: to write beside it
FIRST_WORDS = {"page": 5, "wide": 16}
X_CLIP, X_SPEAKER, X_WORDS = LEFT, LEFT + 14, LEFT + 33
PLACE = 8.5  # points: frames and time code
MOST_NAME_LINES = 2  # beside the words; a longer name stands above them
NEEDS_ROOM = 13.0  # mm left of the seconds' edge: what a clip needs
BESIDE_SECONDS, BESIDE_NEEDS = 10.0, 17.0  # mm left of it: what stands beside the seconds, beside "parts need 10.2"
NOT_CUT = "not in the cut"
FIRST, SECOND = 4.3, 8.0  # mm from a row's top to its baselines
NAME_LEADING, SMALL_LEADING = 0.37, 2.9  # mm a point of a name; mm
FROM_RIGHT = {"seconds": 99.0, "bar": 95.0, "ask": 39.0, "takes": 29.0, "sheet": 16.0}
CAUTION = (
    "Print at 100 % (actual size), not “fit to page”. Paper is only a copy: throw away old sheets. Use a cloned or "
    "converted voice only with its owner’s written consent, a guardian’s for a child. "
    "No personal data of a child on sheets or in file names."
)


@dataclass
class Table:
    """Lays the table out on as many pages as it needs.

    ``news`` says of a clip what has changed since the last set: "new", "words changed: ask again".
    """

    plan: Plan
    face: Typeface
    rows: list[Row]
    sheet_label: Callable[[Clip], str]
    sheet_key: Callable[[Clip], str | None]
    sentences: Sequence[str] = ()
    sheet_counts: str = ""
    news: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        sheet = self.plan.settings.sheet
        self.width, self.height = paper_size(sheet.paper, is_landscape=sheet.layout == "wide")
        self.word_count = FIRST_WORDS[sheet.layout]
        self.right = self.width - RIGHT
        self.x = {name: self.right - back for name, back in FROM_RIGHT.items()}
        self.clips = [row.clip for row in self.rows if isinstance(row, ClipRow)]
        self.back = {back.clip: back for back in self.plan.deliveries}
        known = self.plan.settings.profiles
        profiles = {c.profile for c in self.clips if c.profile in known} or {self.plan.settings.default_profile}
        self.bar = FitBar(self.x["bar"], tuple(sorted({float(n) for p in profiles for n in known[p].lengths})))
        self.top = self._header(Ink(self.face)) + 5.6

    def pages(self) -> list[Page]:
        notes = [self._notes(row) for row in self.rows]
        heights = [self._body(row) + self._notes_height(lines) for row, lines in zip(self.rows, notes, strict=True)]
        split = {n for n, row in enumerate(self.rows) if isinstance(row, SplitRow)}
        pages: list[Page] = []
        y = self.top
        in_pages = paginate(heights, self._room, TOTALS_HEIGHT, split)
        for at, numbers in enumerate(in_pages):
            ink, y = self._open(pages)
            is_last = at + 1 == len(in_pages)
            spare = self._room(at) - sum(heights[n] for n in numbers) - (TOTALS_HEIGHT if is_last else 0)
            wider = min(MOST_WIDER, max(0.0, spare) / max(1, len(numbers)))
            for n in numbers:
                heights[n] += wider
            keys = []
            for n in numbers:
                row = self.rows[n]
                self._row(ink, y, heights[n], row, notes[n])
                keys += [f"row-{row.clip.id}"] if isinstance(row, ClipRow) else []
                y += heights[n]
                ink.line(LEFT, y, self.right, y, 0.25)
            pages[-1].extra_keys = tuple(keys)
            self._legend(ink, len(pages))
        self._totals(pages[-1].ink if pages else self._open(pages)[0], y + 5)
        return pages

    def _room(self, page: int) -> float:
        first = self._first_height() if page == 0 else 0.0
        return self.height - FOOT - LEGEND_HEIGHT - self.top - first

    def _first_height(self) -> float:
        """Return what the first page needs besides: what to print again, the ruler, the cautions."""
        return self._reprint_height() + RULER_HEIGHT + 6.5 + 3.8 * len(self._close_cuts()) + 3.8 * len(self._advice())

    def _body(self, row: Row) -> float:
        """Return the height of a row without what is noted under it."""
        if isinstance(row, GapRow | CueRow | OmittedRow):
            return LOW_ROW + NOTE_LINE * (len(self._low(row)[1]) - 1)
        names, size = self._names(row)
        name_height = 2.8 + len(names) * size * NAME_LEADING
        small, places = len(self._small_lines(row)), len(self._place_lines(row))
        words_height = ROW + self._name_above(row) + SMALL_LEADING * (small - 1)
        return max(words_height, ROW + NOTE_LINE * (places - 1), name_height)

    def _notes(self, row: Row) -> list[tuple[str, str]]:
        """Return what stands under a row, each as (mark, text): "!" a caution, "*" news, "" what came back."""
        if isinstance(row, SplitRow):
            return [("!", row.flag)]
        if not isinstance(row, ClipRow):
            return []
        found = []
        if text := self.news.get(row.clip.id):
            found.append(("*", text))
        if back := self.back.get(row.clip.id):
            found += [("", text) for text in take_line(self.face, back, REGULAR, READ, self.right - X_WORDS)]
        wrong = [what_is_wrong(row.clip)] if what_is_wrong(row.clip) else []
        return found + [("!", text) for text in (*wrong, *cautions.of_clip(self.plan, row.clip))]

    def _note_lines(self, notes: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
        found = []
        for mark, text in notes:
            style, indent = (REGULAR, 0.0) if not mark else (BOLD, 4.4)
            lines = wrap(self.face, text, style, READ, self.right - X_WORDS - indent)
            found += [(mark if n == 0 else mark and " ", line) for n, line in enumerate(lines)]
        return found

    def _notes_height(self, notes: Sequence[tuple[str, str]]) -> float:
        lines = self._note_lines(notes)
        return NOTE_LINE * len(lines) + 1.4 if lines else 0.0

    # --- one page ----------------------------------------------------------------------------------------

    def _header(self, ink: Ink) -> float:
        plan = self.plan
        frames, length = (plan.frames, plan.length) if plan.cut is None else (plan.cut.frames, plan.cut.length)
        facts = [("frames", str(frames)), ("seconds", tenths(length)), ("fps", str(plan.rate))]
        own = {line for clip in self.clips for line in clip.lines or (clip.line,)}
        is_whole = len(self.clips) == len(plan.clips)
        facts.append(("lines", str(len(plan.lines) if is_whole else len(own))))
        corner = ("clips", str(len(self.clips)))
        kind = "what to ask for, clip by clip" + (f", frames of {plan.cut.file}" if plan.cut else "")
        return header(ink, self.width, self.height, plan, kind, "Clip table", facts, corner)

    def _open(self, pages: list[Page]) -> tuple[Ink, float]:
        ink = Ink(self.face)
        number = len(pages) + 1
        y = self._header(ink) + 4
        footer(ink, self.width, self.height, self.plan, number)
        if number == 1:
            y = self._reprint(ink, y)
            self._first_foot(ink)
        for text, x, align in (
            ("clip", X_CLIP, "left"), ("speaker", X_SPEAKER, "left"),
            ("first words; where the time is from", X_WORDS, "left"),
            ("speech s", self.x["seconds"], "right"), ("ask s", self.x["ask"], "right"),
            ("takes", self.x["takes"], "right"), ("sheet", self.x["sheet"], "right"), ("got it", self.right, "right"),
        ):  # fmt: skip
            ink.text(x, y, text, align=align)
        self.bar.scale_above(ink, y)
        y += 1.6
        ink.line(LEFT, y, self.right, y, 1.2)
        key = "cliptable" if number == 1 else f"cliptable{number}"
        outline = ((0, "Clip table", key),) if number == 1 else ()
        pages.append(Page(self.width, self.height, key, ink, outline=outline))
        return ink, y

    def _legend(self, ink: Ink, number: int) -> None:
        marks = [
            Mark(_room_mark, ""),
            Mark(lambda ink, x, y: self.bar.sample(ink, x - 4.0, y), "thick: speech, thin: handles, frame: to ask for"),
            Mark(_number_mark, "slack, s"), Mark(_longest_mark, "longest estimate"),
            Mark(_hollow_mark, "handle not on screen"),
            Mark(lambda ink, x, y: self.bar.picture_sample(ink, x + 0.4, y), "picture"),
            box_mark("", "nothing back"), box_mark(DELIVERED, "came back"), box_mark(ACCEPTED, "accepted"),
            Mark(lambda ink, x, y: caution_square(ink, x + 1.4, y + 0.3, 2.6), "look here: too long, or do not trust"),
            Mark(lambda ink, x, y: ink.fill(x + 2.6, y - 2.3, 0.8, 2.6), "new or changed"),
        ]  # fmt: skip
        if ink.has_blanks:
            marks.append(BLANKS)
        legend(ink, self.width, self.height, marks, footer_text(ink, self.plan, number))

    def _reprint_lines(self) -> list[str]:
        room = self.right - X_WORDS - 3
        return [line for sentence in self.sentences for line in wrap(self.face, sentence, REGULAR, 9.5, room)]

    def _reprint_height(self) -> float:
        return 4.4 * len(self._reprint_lines()) + 5.0 if self.sentences else 0.0

    def _reprint(self, ink: Ink, y: float) -> float:
        """Say in a box what to print again."""
        if not self.sentences:
            return y
        top = y - 2.6
        y += 1.6
        for n, line in enumerate(wrap(self.face, "Since the last set", BOLD, 9.5, X_WORDS - LEFT - 4)):
            ink.text(LEFT + 2, y + 4.4 * n, line, BOLD, 9.5)
        for line in self._reprint_lines():
            ink.text(X_WORDS, y, line, REGULAR, 9.5)
            y += 4.4
        ink.box(LEFT, top, self.right - LEFT, max(y - top - 2.2, 6.0), 0.8)
        return top + self._reprint_height() + 2.6

    # --- rows --------------------------------------------------------------------------------------------

    def _row(self, ink: Ink, y: float, height: float, row: Row, notes: Sequence[tuple[str, str]]) -> None:
        if isinstance(row, GapRow | CueRow | OmittedRow):
            head, lines = self._low(row)
            ink.text(X_CLIP, y + 3.9, head, ITALIC, READ)
            for n, line in enumerate(lines):
                ink.text(X_WORDS, y + 3.9 + NOTE_LINE * n, line, ITALIC, READ)
            return
        if isinstance(row, SplitRow):
            self._split(ink, y, row)
        else:
            self._clip(ink, y, row)
            if target := self.sheet_key(row.clip):
                ink.link(LEFT, y, self.right, y + height, target)
            if row.clip.id in self.news:
                changed_bar(ink, self.width, y + 0.4, y + height - 0.4)
        base = y + self._body(row) + 2.6
        for mark, line in self._note_lines(notes):
            if mark == "!":
                caution_square(ink, X_WORDS, base + 0.4, 3.0)
            elif mark == "*":
                ink.fill(X_WORDS + 1.2, base - 2.2, 0.8, 2.6)
            ink.text(X_WORDS + (4.4 if mark else 0), base, line, BOLD if mark else REGULAR, READ)
            base += NOTE_LINE

    def _gap_text(self, row: GapRow) -> str:
        frames = row.end_frame - row.start_frame
        shown = tenths(frames / self.plan.rate.fps)
        advice = f"{row.runs_on} can run on" if row.runs_on else row.advice
        what = f"{row.what}: {advice}" if advice else row.what
        place = f"{row.start_frame + 1}–{row.end_frame}, {self._time_code(row.start_frame, row.end_frame)}"
        return f"{what} · {shown} s · {place}"

    def _cue_text(self, row: CueRow) -> str:
        line = row.line
        frames = line.end_frame - line.start_frame
        lasts = "" if line.passage is Happening.SOUND else f" · {tenths(frames / self.plan.rate.fps)} s"
        inside = f" · in {row.clip}" if row.clip else ""
        return f"{HAPPENS[line.passage]}: {line.text}{lasts}{self._cue_place(row)}{inside}"

    def _cue_place(self, row: CueRow) -> str:
        """Return at which frame something without a clip comes; a real cut knows it only of what lies in a clip."""
        rate, frames = self.plan.rate, [row.line.start_frame]
        if self.plan.cut is not None:
            frames = [*self.plan.cut.frames_of(row.clip, row.line.start, rate)] if row.clip else []
        told = " and ".join(f"frame {frame + 1}, {rate.timecode(frame)}" for frame in frames)
        return f" · {told or NOT_CUT}" if told or row.clip else ""

    def _low(self, row: GapRow | CueRow | OmittedRow) -> tuple[str, list[str]]:
        """Return the head and the lines of a row without a clip."""
        if isinstance(row, GapRow):
            head, text = "no clip", self._gap_text(row)
        elif isinstance(row, CueRow):
            head, text = f"line {row.line.id}", self._cue_text(row)
        else:
            head, text = "omitted:", ", ".join(row.ids)
        return head, wrap(self.face, text, ITALIC, READ, self.right - X_WORDS)

    def _split(self, ink: Ink, y: float, row: SplitRow) -> None:
        name = row.clips[0].id.split(".")[0]
        self._head(ink, y, row, name, row.line.text, row.line.kind is LineKind.SUNG)
        self._figures(ink, y, tenths(row.line.length), "parts need " + tenths(row.need), BOLD)
        stops = [float(clip.speech_end - row.line.start) for clip in row.clips[:-1]]
        first, last = row.clips[0], row.clips[-1]
        self.bar.split(ink, y, float(first.head), float(row.line.length), float(last.tail), stops)
        ink.text(self.x["ask"], y + FIRST, f"{len(row.clips)} parts", ITALIC, READ, "right")
        for n, line in enumerate(self._place_lines(row)):
            ink.text(self.x["bar"], y + SECOND + NOTE_LINE * n, line, BOLD, PLACE)

    def _clip(self, ink: Ink, y: float, row: ClipRow) -> None:
        clip, base = row.clip, y + FIRST
        part, parts = clip.part
        text = f"{part} of {parts}: {clip.text}" if row.is_picture and parts > 1 else clip.text
        self._head(ink, y, row, clip.id, text, clip.kind is not LineKind.SPOKEN, row.is_part)
        self._figures(ink, y, "–" if row.is_picture else tenths(clip.speech), "needs " + tenths(clip.need), REGULAR)
        self.bar.clip(ink, y, clip)
        for n, line in enumerate(self._place_lines(row)):
            ink.text(self.x["bar"], y + SECOND + NOTE_LINE * n, line, BOLD, PLACE)
        ask = figure(clip.ask, "–")
        ink.text(self.x["ask"], base, ask, BOLD, 12, "right")
        ink.text(self.x["takes"], base, str(clip.takes), REGULAR, 10.5, "right")
        ink.text(self.x["sheet"], base, self.sheet_label(clip), REGULAR, 10.5, "right")
        state_box(ink, self.right - 4.1, y + 1.2, 4.1, state_of(self.back.get(clip.id), clip.kind))

    def _first_words(self, text: str, style: str, aside: float) -> str:
        """Return as many whole words as there is room for ``aside`` mm left of the seconds' edge; the sheet has all."""
        words = text.split()
        room = self.x["seconds"] - aside - X_WORDS
        for count in range(min(len(words), self.word_count), 1, -1):
            first = self.face.printable(" ".join(words[:count]) + (" …" if len(words) > count else ""))
            if self.face.width_mm(first, style, 9.5) <= room:
                return first
        return self.face.shorten(self.face.printable(text), style, 9.5, room)

    def _names(self, row: ClipRow | SplitRow) -> tuple[list[str], float]:
        """Return the speaker's name in lines, and their type size."""
        is_picture = isinstance(row, ClipRow) and row.is_picture and not row.clip.speaker
        shown = "picture" if is_picture else display_name(row.line.speaker) or "–"
        style = ITALIC if is_picture else REGULAR
        found = name_lines(self.face, shown, style, 9.5, X_WORDS - X_SPEAKER - 1.5)
        if len(found[0]) <= MOST_NAME_LINES:
            return found
        return wrap(self.face, shown, style, READ, self.x["seconds"] - NEEDS_ROOM - X_SPEAKER), READ

    def _name_above(self, row: ClipRow | SplitRow) -> float:
        """Return how much lower the words begin under a name that is too long to stand beside them."""
        lines, size = self._names(row)
        room = X_WORDS - X_SPEAKER - 1.5
        is_beside = all(self.face.width_mm(line, REGULAR, size) <= room for line in lines)
        return 0.0 if is_beside else len(lines) * size * NAME_LEADING + 0.4

    def _small_lines(self, row: ClipRow | SplitRow) -> list[str]:
        """Return what stands small under the words: where the time is from, what is on screen with it."""
        told = [timed_by(self.plan, row.line, names_file=False)]
        if isinstance(row, ClipRow) and (seam := self.plan.seam(row.clip)):
            told.append(f"starts from frame {seam.frame + 1} of {seam.clip}")
        if isinstance(row, ClipRow):
            others = [line for line in self.plan.lines_of(row.clip) if line.id != row.line.id]
            told += [f"and line {line.id}, {display_name(line.speaker) or 'no name'}: {line.text}" for line in others]
        if isinstance(row, ClipRow) and row.beside:
            told.append(f"together with {', '.join(row.beside)}")
        room = self.x["seconds"] - BESIDE_NEEDS - X_WORDS
        return [line for text in told for line in wrap(self.face, text, BOLD, SMALL, room)]

    def _place(self, start: int, end: int) -> str:
        return f"{start + 1}–{end} · {self._time_code(start, end)}"

    def _place_lines(self, row: ClipRow | SplitRow) -> list[str]:
        """Return what stands under the bar: frames, in and out, how much of the clip is on screen."""
        room = self.right - 6 - self.x["bar"]
        if isinstance(row, SplitRow):
            found = [place for clip in row.clips for place in places_of(self.plan, clip)]
            told = self._place(min(found)[0], max(end for _, end in found)) if found else NOT_CUT
            return wrap(self.face, told, BOLD, PLACE, room)
        clip, places = row.clip, places_of(self.plan, row.clip)
        told = " and ".join(self._place(*one) for one in places[:2]) or NOT_CUT
        told += f" and {len(places) - 2} more" if len(places) > 2 else ""
        shown = sum(end - start for start, end in places)
        if places and shown < self.plan.rate.frame_at(clip.need):
            seconds = clip.end - clip.start if self.plan.cut is None else self.plan.rate.moment_of(shown)
            told += f" · on screen {tenths(seconds)} s"
        return wrap(self.face, told, BOLD, PLACE, room)

    def _time_code(self, start: int, end: int) -> str:
        """Return in and out; out is the first frame that is not shown any more, as in the cut list."""
        return f"{self.plan.rate.timecode(start)}–{self.plan.rate.timecode(end)}"

    def _figures(self, ink: Ink, y: float, speech: str, need: str, style: str) -> None:
        ink.text(self.x["seconds"], y + FIRST, speech, style, 10.5, "right")
        ink.text(self.x["seconds"], y + SECOND, need, BOLD, SMALL, "right")

    def _head(
        self, ink: Ink, y: float, row: ClipRow | SplitRow, name: str, text: str, is_slanted: bool,
        is_part: bool = False,
    ) -> None:  # fmt: skip
        base = y + FIRST
        x = X_CLIP + (2.0 if is_part else 0.0)
        ink.text(x, base, name, BOLD, self.face.fit(name, BOLD, 9.5 if is_part else 11, X_SPEAKER - x - 1, SMALL))
        style = ITALIC if isinstance(row, ClipRow) and row.is_picture else REGULAR
        lines, size = self._names(row)
        for n, line in enumerate(lines):
            ink.text(X_SPEAKER, base + n * size * NAME_LEADING, line, style, size)
        style = ITALIC if is_slanted else REGULAR
        how = said_how(row.line).removesuffix(" · ")
        above = self._name_above(row)
        words = self._first_words(f"{how} {text}".strip(), style, BESIDE_NEEDS if above else BESIDE_SECONDS)
        ink.text(X_WORDS, base + above, words, style, 9.5)
        for n, line in enumerate(self._small_lines(row)):
            ink.text(X_WORDS, y + above + SECOND + SMALL_LEADING * n, line, BOLD, SMALL)

    # --- once a set --------------------------------------------------------------------------------------

    def _totals(self, ink: Ink, y: float) -> None:
        """Write the sums of what is printed above them."""
        plan, fps = self.plan, self.plan.rate.fps
        whole = len(self.clips) == len(plan.clips)
        gaps = sum(row.end_frame - row.start_frame for row in self.rows if isinstance(row, GapRow)) / fps
        length = plan.length if plan.cut is None else plan.cut.length
        seen = tenth(length) - tenth(gaps) if whole else tenth(self._frames_on_screen() / fps)
        sums = {
            "speech": sum_printed(c.speech for c in self.clips if c.kind is not LineKind.PICTURE),
            "on screen, with handles": seen,
            "without a clip": tenth(gaps),
        }
        asked = sum((c.ask or 0 for c in self.clips), Fraction(0))
        figures = [(name, f"{tenths(value)} s") for name, value in sums.items() if value]
        figures += [
            ("to ask for, one take each", f"{float(asked):g} s"),
            ("with all takes", f"{float(sum((c.ask or 0) * c.takes for c in self.clips)):g} s"),
            ("lines to split", str(sum(isinstance(row, SplitRow) for row in self.rows))),
        ]
        profiles = plan.settings.profiles
        prices = [(c, profiles[c.profile].price(c.ask)) for c in self.clips if c.ask is not None]
        if any(price is not None for _, price in prices):
            cost = sum(float(c.takes * price) for c, price in prices if price is not None)
            currency = plan.settings.budget.currency
            caption = f"cost, {currency}" if currency else "cost, your unit"
            lacking = sum(price is None for _, price in prices)
            caption += f"; {lacking} clip{'s' * (lacking != 1)} unpriced" if lacking else ""
            figures.append((caption, f"{cost:.2f}{' +' if lacking else ''}"))
        ink.line(LEFT, y - 1, self.right, y - 1, 1.2)
        needs = [max(ink.width(c), ink.width(v, BOLD, 13)) for c, v in figures]
        gap = max(2.0, (self.right - LEFT - sum(needs)) / max(1, len(figures) - 1))
        x = LEFT
        for (caption, value), need in zip(figures, needs, strict=True):
            ink.text(x, y + 3.3, caption, BOLD, SMALL)
            ink.text(x, y + 9, value, BOLD, 13)
            x += need + min(gap, 12)

    def _frames_on_screen(self) -> int:
        """Return how many frames show a clip; frames of clips that are on screen together count once."""
        shown, at = 0, 0
        for start, end in sorted(place for c in self.clips for place in places_of(self.plan, c)):
            shown += max(0, end - max(start, at))
            at = max(at, end)
        return shown

    def _close_cuts(self) -> list[str]:
        close = next((f for f in self.plan.findings if f.code == FindingCode.CUTS_CLOSE), None)
        if close is None:
            return []
        text = f"{close.message[0].upper()}{close.message[1:]}."
        return wrap(self.face, text, BOLD, READ, self.right - LEFT - 5)

    def _advice(self) -> list[str]:
        """Return the note on the sheets' numbers and the cautions, in lines beside the ruler."""
        notes = [self.sheet_counts] if self.sheet_counts else []
        if split := [row for row in self.rows if isinstance(row, SplitRow)]:
            name = split[0].clips[0].id.split(".")[0]
            notes.append(f"clips have their line’s number; a line made in parts ({name}) is several clips")
        text = " ".join(filter(None, (f"{' · '.join(notes)}." if notes else "", CAUTION)))
        return wrap(self.face, text[0].upper() + text[1:], REGULAR, READ, self.right - LEFT)

    def _first_foot(self, ink: Ink) -> None:
        """Draw the 50 mm check ruler and the cautions."""
        advice = self._advice()
        y = self.height - FOOT - LEGEND_HEIGHT - 0.4
        for n, line in enumerate(reversed(advice)):
            ink.text(LEFT, y - 3.8 * n, line, REGULAR, READ)
        y -= 3.8 * len(advice) + 0.6
        ink.line(LEFT, y, LEFT + 50, y, 0.5)
        for mm in range(0, 51, 5):
            ink.line(LEFT + mm, y, LEFT + mm, y - (2.4 if mm % 10 == 0 else 1.4), 0.5)
        ink.text(LEFT + 52, y, "50 mm if printed at 100 %", size=SMALL)
        close = self._close_cuts()
        for n, line in enumerate(reversed(close)):
            ink.text(LEFT + 5, y - 5 - 3.8 * n, line, BOLD, READ)
        if close:
            caution_square(ink, LEFT, y - 4.4 - 3.8 * (len(close) - 1))


def _number_mark(ink: Ink, x: float, y: float) -> None:
    ink.text(x + 0.8, y, "1.2", BOLD, 7.5)


def _room_mark(ink: Ink, x: float, y: float) -> None:
    """Leave room: the bar's sample is wider than other marks."""


def _longest_mark(ink: Ink, x: float, y: float) -> None:
    ink.line(x + 0.4, y - 0.9, x + 4, y - 0.9, 0.9)
    ink.line(x + 4, y - 1.9, x + 4, y + 0.1, 0.9)


def _hollow_mark(ink: Ink, x: float, y: float) -> None:
    ink.box(x + 0.6, y - 1.5, 3.4, 1.0, 0.35)
