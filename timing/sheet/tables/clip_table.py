"""The clip table, first page of the set: how many seconds to ask for, what is left over, what must be split.

One row a clip; above the parts of a split line a flagged row for the line; a low row for frames that no clip fills, so
that the rows together are the whole episode. Totals stand on the last page, ruler and cautions on the first, the
legend on each.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from timing.model import Clip, Delivered, LineKind, Plan
from timing.model.findings import FindingCode
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.frame.score import display_name
from timing.sheet.furniture import caution_square, footer, header
from timing.sheet.ink import Ink, Page
from timing.sheet.origin import said_how, timed_by
from timing.sheet.paper import FOOT, LEFT, RIGHT, paper_size
from timing.sheet.tables.came_back import ACCEPTED, DELIVERED, state_box, take_line
from timing.sheet.tables.clip_rows import ClipRow, GapRow, Row, SplitRow, what_is_wrong
from timing.sheet.tables.fit_bar import LONGEST_BAR_MM, ROW, FitBar
from timing.sheet.wrapped import name_lines, paginate, wrap

GAP_ROW, FLAG_LINE, FLAGGED_EXTRA = 5.0, 4.2, 5.0
TOTALS_HEIGHT, FIRST_PAGE_HEIGHT, LEGEND_HEIGHT = 16.0, 15.0, 7.0
FIRST_WORDS = {"page": 5, "wide": 16}
X_CLIP, X_SPEAKER, X_WORDS = LEFT, LEFT + 14, LEFT + 31
NAME_LEADING, SMALL_LEADING = 0.37, 2.7  # mm a point of a name; mm
FROM_RIGHT = {"seconds": 101.0, "bar": 96.0, "ask": 38.5, "takes": 30.0, "sheet": 18.0}
CAUTION = (
    "Print at 100 % (actual size), not “fit to page”. Paper is only a copy: throw away old sheets. Use a cloned or "
    "converted voice only with its owner’s written consent, a guardian’s for a child. "
    "No personal data of a child on sheets or in file names."
)


@dataclass
class Table:
    """Lays the table out on as many pages as it needs."""

    plan: Plan
    face: Typeface
    rows: list[Row]
    sheet_label: Callable[[Clip], str]
    sheet_key: Callable[[Clip], str | None]
    sentences: Sequence[str] = ()
    sheet_counts: str = ""

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

    def pages(self) -> list[Page]:
        flags = [self._flag_lines(row) for row in self.rows]
        heights = [self._row_height(row, lines) for row, lines in zip(self.rows, flags, strict=True)]
        split = {n for n, row in enumerate(self.rows) if isinstance(row, SplitRow)}
        pages: list[Page] = []
        for numbers in paginate(heights, self._room, TOTALS_HEIGHT, split):
            ink, y = self._open(pages)
            for n in numbers:
                self._row(ink, y, heights[n], self.rows[n], flags[n])
                y += heights[n]
                ink.line(LEFT, y, self.right, y, 0.25)
        self._totals(ink, y + 5)
        return pages

    def _room(self, page: int) -> float:
        first = FIRST_PAGE_HEIGHT + self._reprint_height() + 4 * len(self._close_cuts()) if page == 0 else 0.0
        return self.height - FOOT - LEGEND_HEIGHT - 26.6 - first

    def _row_height(self, row: Row, flag: Sequence[str]) -> float:
        return self._body(row) + (FLAGGED_EXTRA + FLAG_LINE * (len(flag) - 1) if flag else 0)

    def _body(self, row: Row) -> float:
        """Return the height of a row without the lines of its flag."""
        if isinstance(row, GapRow):
            return GAP_ROW
        names, size = self._names(row)
        name_height = 2.6 + len(names) * size * NAME_LEADING
        return max(ROW + SMALL_LEADING * (len(self._small_lines(row)) - 1), name_height)

    def _flag_lines(self, row: Row) -> list[str]:
        if isinstance(row, GapRow):
            return []
        text = row.flag if isinstance(row, SplitRow) else what_is_wrong(row.clip)
        return wrap(self.face, text, BOLD, 8.5, self.right - X_WORDS) if text else []

    # --- one page ----------------------------------------------------------------------------------------

    def _open(self, pages: list[Page]) -> tuple[Ink, float]:
        ink = Ink(self.face)
        number = len(pages) + 1
        plan = self.plan
        facts = [("frames", str(plan.frames)), ("seconds", f"{float(plan.length):.1f}"), ("fps", str(plan.rate))]
        facts.append(("lines", str(len({line for clip in self.clips for line in clip.lines or (clip.line,)}))))
        count = ("clips", str(len(self.clips)))
        header(ink, self.width, plan, "what to ask for, clip by clip", "Clip table", facts, count)
        footer(ink, self.width, self.height, plan, number)
        y = 25.0
        if number == 1:
            y = self._reprint(ink, y)
            self._first_foot(ink)
        for text, x, align in (
            ("clip", X_CLIP, "left"), ("speaker", X_SPEAKER, "left"),
            ("first words; frames, where the time is from", X_WORDS, "left"),
            ("speech s", self.x["seconds"], "right"), ("ask s", self.x["ask"], "right"),
            ("takes", self.x["takes"], "right"), ("sheet", self.x["sheet"], "right"), ("got it", self.right, "right"),
        ):  # fmt: skip
            ink.text(x, y, text, align=align)
        self.bar.scale_above(ink, y)
        y += 1.6
        ink.line(LEFT, y, self.right, y, 1.2)
        self._legend(ink)
        key = "cliptable" if number == 1 else f"cliptable{number}"
        outline = ((0, "Clip table", key),) if number == 1 else ()
        pages.append(Page(self.width, self.height, key, ink, outline=outline))
        return ink, y

    def _reprint_lines(self) -> list[str]:
        room = self.right - X_WORDS
        return [line for sentence in self.sentences for line in wrap(self.face, sentence, REGULAR, 9.5, room)]

    def _reprint_height(self) -> float:
        return 4.4 * len(self._reprint_lines()) + 3.1 if self.sentences else 0.0

    def _reprint(self, ink: Ink, y: float) -> float:
        if not self.sentences:
            return y
        top = y - 3.4
        ink.text(LEFT, y, "Since the last set", BOLD, 9.5)
        for line in self._reprint_lines():
            ink.text(X_WORDS, y, line, REGULAR, 9.5)
            y += 4.4
        ink.fill(LEFT - 3.2, top, 1.8, y - top - 2.4)
        return y + 3.1

    def _legend(self, ink: Ink) -> None:
        y, x = self.height - FOOT, LEFT
        self.bar.sample(ink, x, y)
        text = (
            "thick: speech · thin: handles (hollow: not on screen) · frame: to ask for · number: slack · "
            "line with an end: longest estimate"
        )
        ink.text(x + 10, y, text, REGULAR, 6.5)
        x, y = LEFT, y - 3.4
        self.bar.picture_sample(ink, x, y)
        ink.text(x + 5.2, y, "picture", REGULAR, 6.5)
        x += 16
        if any(isinstance(row, SplitRow) for row in self.rows) or any(c.ask is None for c in self.clips):
            caution_square(ink, x, y + 0.4, 2.6)
            ink.text(x + 3.6, y, "too long", REGULAR, 6.5)
            x += 15
        for state, label in (("", "nothing back"), (DELIVERED, "came back"), (ACCEPTED, "accepted")):
            state_box(ink, x, y - 2.1, 2.6, state)
            ink.text(x + 3.6, y, label, REGULAR, 6.5)
            x += 6.6 + ink.width(label, REGULAR, 6.5)
        text = "needs = speech with handles · slack = what is asked for less what is needed"
        ink.text(x + 2, y, text, REGULAR, 6.5)

    # --- rows --------------------------------------------------------------------------------------------

    def _row(self, ink: Ink, y: float, height: float, row: Row, flag: Sequence[str]) -> None:
        if isinstance(row, GapRow):
            self._gap(ink, y, row)
            return
        body = self._body(row)
        if isinstance(row, SplitRow):
            self._split(ink, y, row)
        else:
            self._clip(ink, y, row)
            if target := self.sheet_key(row.clip):
                ink.link(LEFT, y, self.right, y + height, target)
        if isinstance(row, SplitRow):  # one bar beside the line and its parts
            ink.fill(LEFT - 3.2, y + 0.4, 1.8, height - 0.4)
        elif row.is_flagged:
            is_last = row.clip.part[0] == row.clip.part[1]
            ink.fill(LEFT - 3.2, y + (0 if row.is_part else 0.4), 1.8, height - (0.4 if is_last else 0))
        for n, line in enumerate(flag):
            ink.text(X_WORDS, y + body + 3.0 + FLAG_LINE * n, line, BOLD, 8.5)

    def _gap(self, ink: Ink, y: float, row: GapRow) -> None:
        base = y + 3.6
        frames = row.end_frame - row.start_frame
        ink.text(X_CLIP, base, "no clip", ITALIC, 8)
        ink.text(X_WORDS, base, f"{row.start_frame + 1}–{row.end_frame}", ITALIC, 7)
        shown = f"needs {frames / float(self.plan.rate.fps):.1f}"
        ink.text(self.x["seconds"], base, shown, ITALIC, 7, "right")
        place = self._time_code(row.start_frame, row.end_frame)
        ink.text(self.x["bar"], base, place, ITALIC, 6.5)
        what = f"{row.what}: " + (f"{row.runs_on} can run on" if row.runs_on else "fill with a picture")
        x = self.x["bar"] + ink.width(place, ITALIC, 6.5) + 3
        ink.text(x, base, self.face.shorten(self.face.printable(what), ITALIC, 8, self.right - x), ITALIC, 8)

    def _split(self, ink: Ink, y: float, row: SplitRow) -> None:
        name = row.clips[0].id.split(".")[0]
        self._head(ink, y, row, name, row.line.text, row.line.kind is LineKind.SUNG)
        self._figures(ink, y, f"{float(row.line.length):.1f}", float(row.need), BOLD, "parts need")
        stops = [float(clip.speech_end - row.line.start) for clip in row.clips[:-1]]
        first, last = row.clips[0], row.clips[-1]
        self.bar.split(ink, y, float(first.head), float(row.line.length), float(last.tail), stops)
        ink.text(self.x["ask"], y + 4.8, f"{len(row.clips)} parts", ITALIC, 8, "right")

    def _clip(self, ink: Ink, y: float, row: ClipRow) -> None:
        clip, base = row.clip, y + 4.8
        self._head(ink, y, row, clip.id, clip.text, clip.kind is not LineKind.SPOKEN, row.is_part)
        self._figures(ink, y, "–" if row.is_picture else f"{float(clip.speech):.1f}", float(clip.need), REGULAR)
        self.bar.clip(ink, y, clip)
        place = self._time_code(clip.start_frame, clip.end_frame)
        if (clip.end_frame - clip.start_frame) < self.plan.rate.frame_at(clip.need):
            place += f" · on screen {float(clip.end - clip.start):.1f} s"
        ink.text(self.x["bar"], y + 7.5, place, REGULAR, 6.5)
        ask = "–" if clip.ask is None else f"{float(clip.ask):g}"
        ink.text(self.x["ask"], base, ask, BOLD, 12, "right")
        ink.text(self.x["takes"], base, str(clip.takes), REGULAR, 10.5, "right")
        ink.text(self.x["sheet"], base, self.sheet_label(clip), REGULAR, 10.5, "right")
        back = self.back.get(clip.id)
        state_box(ink, self.right - 4.1, y + 1.2, 4.1, back.state if back else "")
        if back:
            self._back(ink, y, back)

    def _first_words(self, text: str, style: str) -> str:
        """Return as many whole words as there is room for."""
        words = text.split()
        room = self.x["seconds"] - 10 - X_WORDS
        for count in range(min(len(words), self.word_count), 1, -1):
            first = self.face.printable(" ".join(words[:count]) + (" …" if len(words) > count else ""))
            if self.face.width_mm(first, style, 9.5) <= room:
                return first
        return self.face.shorten(self.face.printable(text), style, 9.5, room)

    def _names(self, row: ClipRow | SplitRow) -> tuple[list[str], float]:
        """Return the speaker's name in lines, and their type size."""
        is_picture = isinstance(row, ClipRow) and row.is_picture
        shown = "picture" if is_picture else display_name(row.line.speaker) or "–"
        style = ITALIC if is_picture else REGULAR
        return name_lines(self.face, shown, style, 9.5, X_WORDS - X_SPEAKER - 1.5)

    def _small_lines(self, row: ClipRow | SplitRow) -> list[str]:
        """Return what stands small under the words: frames, where the time is from, what is on screen with it."""
        clips = row.clips if isinstance(row, SplitRow) else (row.clip,)
        text = f"{clips[0].start_frame + 1}–{clips[-1].end_frame} · "
        text += said_how(row.line) + timed_by(self.plan, row.line, names_file=False)
        if isinstance(row, ClipRow) and row.beside:
            text += f" · together with {', '.join(row.beside)}"
        return wrap(self.face, text, REGULAR, 7, self.x["seconds"] - 10.5 - X_WORDS)

    def _time_code(self, start: int, end: int) -> str:
        """Return in and out; out is the first frame that is not shown any more, as in the cut list."""
        return f"{self.plan.rate.timecode(start)}–{self.plan.rate.timecode(end)}"

    def _figures(self, ink: Ink, y: float, speech: str, need: float, style: str, needs: str = "needs") -> None:
        ink.text(self.x["seconds"], y + 4.3, speech, style, 10.5, "right")
        ink.text(self.x["seconds"], y + 7.4, f"{needs} {need:.1f}", REGULAR, 7, "right")

    def _head(
        self, ink: Ink, y: float, row: ClipRow | SplitRow, name: str, text: str, is_slanted: bool,
        is_part: bool = False,
    ) -> None:  # fmt: skip
        base = y + 4.8
        x = X_CLIP + (2.0 if is_part else 0.0)
        ink.text(x, base, name, BOLD, self.face.fit(name, BOLD, 9.5 if is_part else 11, X_SPEAKER - x - 1, 7))
        style = ITALIC if isinstance(row, ClipRow) and row.is_picture else REGULAR
        lines, size = self._names(row)
        top = max(base - (len(lines) - 1) / 2 * size * NAME_LEADING, y + 0.9 + size * 0.27)
        for n, line in enumerate(lines):
            ink.text(X_SPEAKER, top + n * size * NAME_LEADING, line, style, size)
        style = ITALIC if is_slanted else REGULAR
        ink.text(X_WORDS, base - 0.5, self._first_words(text, style), style, 9.5)
        for n, line in enumerate(self._small_lines(row)):
            ink.text(X_WORDS, y + 7.4 + SMALL_LEADING * n, line, REGULAR, 7)

    def _back(self, ink: Ink, y: float, back: Delivered) -> None:
        """Name the best take that came back, small, under the figures."""
        room = self.right - self.x["bar"] - LONGEST_BAR_MM - 2
        ink.text(self.right, y + 7.5, take_line(self.face, back, REGULAR, 6.5, room), REGULAR, 6.5, "right")

    # --- once a set --------------------------------------------------------------------------------------

    def _totals(self, ink: Ink, y: float) -> None:
        plan = self.plan
        gaps = sum(row.end_frame - row.start_frame for row in self.rows if isinstance(row, GapRow))
        sums = {
            "speech": sum(float(c.speech) for c in self.clips),
            "on screen, with handles": self._frames_on_screen() / float(plan.rate.fps),
            "without a clip": gaps / float(plan.rate.fps),
        }
        asked = sum(float(c.ask or 0) for c in self.clips)
        figures = [(name, f"{value:.1f} s") for name, value in sums.items() if value]
        figures += [
            ("to ask for, one take each", f"{asked:g} s"),
            ("with all takes", f"{sum(float(c.ask or 0) * c.takes for c in self.clips):g} s"),
            ("lines to split", str(sum(isinstance(row, SplitRow) for row in self.rows))),
        ]
        prices = [(c, plan.settings.profiles[c.profile].cost_per_s) for c in self.clips]
        if any(price is not None for _, price in prices):
            cost = sum(float((c.ask or 0) * c.takes * price) for c, price in prices if price is not None)
            currency = plan.settings.budget.currency
            figures.append((f"cost, {currency}" if currency else "cost, in your prices’ unit", f"{cost:.2f}"))
        step = (self.right - LEFT) / len(figures)
        ink.line(LEFT, y - 1, self.right, y - 1, 1.2)
        for n, (caption, value) in enumerate(figures):
            ink.text(LEFT + n * step, y + 3.3, caption, REGULAR, 7)
            ink.text(LEFT + n * step, y + 9, value, BOLD, 13)

    def _frames_on_screen(self) -> int:
        """Return how many frames show a clip; frames of clips that are on screen together count once."""
        shown, at = 0, 0
        for start, end in sorted((c.start_frame, c.end_frame) for c in self.clips):
            shown += max(0, end - max(start, at))
            at = max(at, end)
        return shown

    def _close_cuts(self) -> list[str]:
        close = next((f for f in self.plan.findings if f.code == FindingCode.CUTS_CLOSE), None)
        if close is None:
            return []
        text = f"{close.message[0].upper()}{close.message[1:]}."
        return wrap(self.face, text, BOLD, 8.5, self.right - LEFT - 5)

    def _first_foot(self, ink: Ink) -> None:
        """Draw the 50 mm check ruler and the cautions."""
        y = self.height - FOOT - LEGEND_HEIGHT - 6.5
        ink.line(LEFT, y, LEFT + 50, y, 0.5)
        for mm in range(0, 51, 5):
            ink.line(LEFT + mm, y, LEFT + mm, y - (2.4 if mm % 10 == 0 else 1.4), 0.5)
        ink.text(LEFT, y + 3.3, "0", size=7)
        ink.text(LEFT + 50, y + 3.3, "50 mm if printed at 100 %", size=7, align="right")
        room, x = self.right - LEFT - 56, LEFT + 56
        for n, line in enumerate(wrap(self.face, CAUTION, REGULAR, 7, room)):
            ink.text(x, y - 0.4 + 3.1 * n, line, size=7)
        notes = [self.sheet_counts] if self.sheet_counts else []
        if split := [row for row in self.rows if isinstance(row, SplitRow)]:
            name = split[0].clips[0].id.split(".")[0]
            notes.append(f"clips have their line’s number; a line made in parts ({name}) is several clips")
        ink.text(x, y - 3.9, " · ".join(notes), REGULAR, 7)
        close = self._close_cuts()
        if close:
            caution_square(ink, LEFT, y - 7.4)
        for n, line in enumerate(reversed(close)):
            ink.text(LEFT + 5, y - 8 - 3.8 * n, line, BOLD, 8.5)
