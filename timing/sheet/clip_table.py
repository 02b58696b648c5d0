"""The clip table, first page of the set: how many seconds to ask for, what is left over, what must be split.

One row a line of the script (a line that must be split shows its parts in one flagged row); picture passages are
rows of their own. Totals and legend stand on the last page, ruler and cautions on the first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from timing.clock import Seconds
from timing.model import Clip, LineKind, Plan, PlanLine
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.furniture import caution_square, footer, header
from timing.sheet.ink import BEAT, Ink, Page
from timing.sheet.paper import FOOT, LEFT, RIGHT, paper_size
from timing.sheet.score import display_name, range_name

ROW, FLAG_LINE = 9.2, 4.2
FLAGGED_EXTRA = 5.2
SCALE_MM, LONGEST_BAR_MM = 4.5, 45.0
HANDLE_GRAY = 0.62
TOTALS_HEIGHT, FIRST_PAGE_HEIGHT = 28.0, 22.0
WORD_COUNT = 5
X_SPEAKER, X_WORDS, X_SPEECH, X_BAR, X_ASK, X_TAKES, X_SHEET = (LEFT + x for x in (13, 30, 87, 92, 149, 158, 169))
CAUTION = (
    "Print at 100 % (actual size), not “fit to page”. Paper is only a copy: throw away old sheets. Use a cloned or "
    "converted voice only with its owner’s written consent, a guardian’s for a child. "
    "No personal data of a child on sheets or in file names."
)


@dataclass(frozen=True)
class Row:
    """One row: the clips of one line, in order; ``flag`` is its second line where it must be split."""

    line: PlanLine
    clips: tuple[Clip, ...]
    flag: str = ""
    facts: Mapping[str, Any] | None = None

    @property
    def is_shared(self) -> bool:
        """True when short speeches share this one generation."""
        return len(self.clips[0].lines) > 1

    @property
    def text(self) -> str:
        return self.clips[0].text if self.is_shared else self.line.text

    @property
    def speech(self) -> Seconds:
        return self.clips[0].speech if self.is_shared else self.line.length


def rows_of(plan: Plan, clips: Sequence[Clip]) -> list[Row]:
    """Return the table's rows; clips of one line that lie together share a row, picture clips do not."""
    lines = {line.id: line for line in plan.lines}
    rows: list[Row] = []
    for clip in clips:
        line = lines[clip.line]
        if rows and clip.kind is not LineKind.PICTURE and rows[-1].line.id == clip.line:
            rows[-1] = Row(line, (*rows[-1].clips, clip), rows[-1].flag, rows[-1].facts)
            continue
        flag, facts = _flag(line) if clip.kind is not LineKind.PICTURE else ("", None)
        rows.append(Row(line, (clip,), flag, facts))
    return rows


def _flag(line: PlanLine) -> tuple[str, Mapping[str, Any] | None]:
    for finding in line.findings:
        if finding.code == "too-long":
            facts = finding.facts
            parts = " + ".join(f"{p:.1f}" for p in facts["parts_s"])
            places = ", ".join(f"“{place}”" for place in facts["break_after"])
            return (
                f"{facts['seconds']:.1f} s with handles, too long for one generation ({facts['limit_s']:g} s): "
                f"make {len(facts['parts_s'])} clips, break after {places}: {parts} s",
                facts,
            )
    for finding in line.findings:
        if finding.code == "no-length-holds-it":
            return finding.message, finding.facts
    return "", None


def wrap(face: Typeface, text: str, style: str, size: float, room_mm: float) -> list[str]:
    """Return ``text`` in lines no wider than ``room_mm``; a single longer word is shortened."""
    found = [""]
    for word in text.split():
        longer = f"{found[-1]} {word}".strip()
        if found[-1] and face.width_mm(face.printable(longer), style, size) > room_mm:
            found.append(word)
        else:
            found[-1] = longer
    return [face.shorten(face.printable(line), style, size, room_mm) for line in found]


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
        self.width, self.height = paper_size(self.plan.settings.sheet.paper)
        self.right = self.width - RIGHT
        profiles = {clip.profile for row in self.rows for clip in row.clips}
        known = self.plan.settings.profiles
        menus = {n for name in profiles if name in known for n in known[name].lengths}
        self.menu = sorted(float(n) for n in menus) or [
            float(n) for n in known[self.plan.settings.default_profile].lengths
        ]
        self.scale = min(SCALE_MM, LONGEST_BAR_MM / (self.menu[-1] * 1.25))

    def pages(self) -> list[Page]:
        pages: list[Page] = []
        ink, y = self._open(pages)
        for at, row in enumerate(self.rows):
            lines = wrap(self.face, row.flag, BOLD, 8.5, self.right - X_WORDS) if row.flag else []
            height = ROW + (FLAGGED_EXTRA + FLAG_LINE * (len(lines) - 1) if lines else 0)
            reserve = FIRST_PAGE_HEIGHT if len(pages) == 1 else 0
            if at == len(self.rows) - 1:
                reserve += TOTALS_HEIGHT
            if y + height > self.height - FOOT - 5 - reserve and y > 60:
                ink, y = self._open(pages)
            self._row(ink, y, height, row, lines)
            y += height
            ink.line(LEFT, y, self.right, y, 0.25)
        self._totals(ink, y + 5)
        return pages

    def _open(self, pages: list[Page]) -> tuple[Ink, float]:
        ink = Ink(self.face)
        number = len(pages) + 1
        clips = sum(len(row.clips) for row in self.rows)
        plan = self.plan
        facts = [("frames", str(plan.frames)), ("seconds", f"{float(plan.length):.1f}"), ("fps", str(plan.rate))]
        header(ink, self.width, plan, "what to ask for, clip by clip", "Clip table", facts, ("clips", str(clips)))
        footer(ink, self.width, self.height, plan, number)
        y = 25.0
        if number == 1:
            if self.sentences:
                y = self._reprint(ink, y)
            self._first_foot(ink)
        for text, x, align in (
            ("clip", LEFT, "left"), ("speaker", X_SPEAKER, "left"),
            ("first words, frames of the episode", X_WORDS, "left"), ("speech s", X_SPEECH, "right"),
            ("ask s", X_ASK, "right"), ("takes", X_TAKES, "right"), ("sheet", X_SHEET, "right"),
            ("got it", self.right, "right"),
        ):  # fmt: skip
            ink.text(x, y, text, align=align)
        shown, last_x = [0.0, *self.menu], -9.0
        for length in shown:
            x = X_BAR + length * self.scale
            if x - last_x > 3.5:
                ink.text(x, y, "0 s" if length == 0 else f"{length:g}", align="center")
                last_x = x
        y += 1.6
        ink.line(LEFT, y, self.right, y, 1.2)
        key = "cliptable" if number == 1 else f"cliptable{number}"
        outline = ((0, "Clip table", key),) if number == 1 else ()
        pages.append(Page(self.width, self.height, key, ink, outline=outline))
        return ink, y

    def _reprint(self, ink: Ink, y: float) -> float:
        top = y - 3.4
        ink.text(LEFT, y, "Since the last set", BOLD, 9.5)
        for sentence in self.sentences:
            for line in wrap(self.face, sentence, REGULAR, 9.5, self.right - X_WORDS):
                ink.text(X_WORDS, y, line, REGULAR, 9.5)
                y += 4.4
        y += 1.6
        ink.fill(LEFT - 3.2, top, 1.8, y - top - 4)
        return y + 1.5

    def _row(self, ink: Ink, y: float, height: float, row: Row, flag: Sequence[str]) -> None:
        first, base = row.clips[0], y + 5.4
        is_picture = first.kind is LineKind.PICTURE
        names = [clip.id for clip in row.clips]
        name = names[0] if len(names) == 1 else names[0].split(".")[0]
        ink.text(LEFT, base, name, BOLD, self.face.fit(name, BOLD, 11, X_SPEAKER - LEFT - 1, 8))
        speaker = "picture" if is_picture else display_name(row.line.speaker) or "–"
        style = ITALIC if is_picture else REGULAR
        speaker = self.face.shorten(self.face.printable(speaker), style, 9.5, X_WORDS - X_SPEAKER - 1.5)
        ink.text(X_SPEAKER, base, speaker, style, 9.5)
        words = row.text.split()
        text = " ".join(words[:WORD_COUNT]) + (" …" if len(words) > WORD_COUNT else "")
        style = REGULAR if first.kind is LineKind.SPOKEN else ITALIC
        ink.text(
            X_WORDS,
            base,
            self.face.shorten(self.face.printable(text), style, 9.5, X_SPEECH - X_WORDS - 10),
            style,
            9.5,
        )
        place = f"{first.start_frame + 1}–{row.clips[-1].end_frame}"
        ink.text(X_WORDS, y + 8.4, place + (f" · {range_name(names)}" if len(names) > 1 else ""), REGULAR, 7)
        speech = float(first.need if is_picture else row.speech)
        ink.text(
            X_SPEECH, base, f"{speech:.1f}", BOLD if row.flag else ITALIC if is_picture else REGULAR, 10.5, "right"
        )
        self._fit_bar(ink, y, row)
        asks = ["–" if c.ask is None else f"{float(c.ask):g}" for c in row.clips]
        ask = "+".join(asks)
        if len(asks) > 4:
            ask = f"{asks[0]}+…+{asks[-1]}"
        room = X_ASK - X_BAR - LONGEST_BAR_MM + 1.5
        size = self.face.fit(ask, BOLD, 12, room, 7.5)
        ink.text(X_ASK, base, ask, BOLD, size, "right")
        takes = sorted({c.takes for c in row.clips})
        ink.text(X_TAKES, base, "/".join(map(str, takes)), REGULAR, 10.5, "right")
        ink.text(X_SHEET, base, self.sheet_label(first), REGULAR, 10.5, "right")
        boxes = len(row.clips)  # one to tick for each clip of a split line
        side = min(4.4, (self.right - X_SHEET - 2) / boxes - 0.8)
        for n in range(boxes):
            ink.box(self.right - (n + 1) * (side + 0.8) + 0.6, y + 2.4, side, side, 0.6)
        if row.flag:
            ink.fill(LEFT - 3.2, y + 0.4, 1.8, height - 0.8)
        for n, line in enumerate(flag):
            ink.text(X_WORDS, y + 12.2 + FLAG_LINE * n, line, BOLD, 8.5)
        target = self.sheet_key(first)
        if target:
            ink.link(LEFT, y, self.right, y + height, target)

    def _fit_bar(self, ink: Ink, y: float, row: Row) -> None:
        top, scale = y + 2.6, self.scale
        first, last = row.clips[0], row.clips[-1]
        if first.kind is LineKind.PICTURE:
            length = min(float(first.need) * scale, LONGEST_BAR_MM)
            ink.fill(X_BAR, top, length, 3.2, HANDLE_GRAY)
            if first.ask is not None:
                ink.box(X_BAR, top - 0.6, float(first.ask) * scale, 4.4, 0.9)
            self._menu(ink, y, top, X_BAR + max(length, float(first.ask or 0) * scale))
            return
        head, tail = float(first.head) * scale, float(last.tail) * scale
        speech = float(row.speech) * scale
        limit = LONGEST_BAR_MM - 4.5 - head - tail
        drawn = min(speech, limit) if row.flag else speech
        ink.fill(X_BAR, top, head, 3.2, HANDLE_GRAY)
        self._speech_bar(ink, X_BAR + head, top, drawn, speech, row)
        ink.fill(X_BAR + head + drawn, top, tail, 3.2, HANDLE_GRAY)
        end = X_BAR + head + drawn + tail
        if row.flag:
            caution_square(ink, end + 1, top + 3.3)
            self._menu(ink, y, top, end + 4.6)
            return
        high = head + float(first.high) * scale + tail
        if high * 1.0 > (head + drawn + tail) + 0.7 and first.high > first.speech:
            stop = min(X_BAR + high, X_BAR + LONGEST_BAR_MM)
            ink.line(end, top + 1.6, stop, top + 1.6, 0.9)
            ink.line(stop, top + 0.6, stop, top + 2.6, 0.9)
            end = stop
        if first.ask is not None:
            edge = X_BAR + float(first.ask) * scale
            ink.box(X_BAR, top - 0.6, edge - X_BAR, 4.4, 0.9)
            slack = float(first.slack or 0)
            if slack > 0.05:
                inside = edge - end > 6
                ink.text(end + 1.2 if inside else edge + 1.2, top + 2.7, f"{slack:.1f}", REGULAR, 7.5)
                edge += 0 if inside else 5
            end = max(end, edge)
        self._menu(ink, y, top, end)

    def _menu(self, ink: Ink, y: float, top: float, taken: float) -> None:
        """Draw the dotted uprights of the menu's lengths, around the bar and what is written beside it."""
        for length in self.menu:
            x = X_BAR + length * self.scale
            weight = 0.8 if length == self.menu[-1] else 0.3
            if x > taken + 0.3:
                ink.line(x, y + 0.5, x, y + ROW - 0.5, weight, BEAT)
            else:
                ink.line(x, y + 0.5, x, top - 0.8, weight, BEAT)
                ink.line(x, top + 4.2, x, y + ROW - 0.5, weight, BEAT)

    def _speech_bar(self, ink: Ink, x: float, top: float, drawn: float, speech: float, row: Row) -> None:
        """Draw the solid bar, with a white cut at every suggested break and a torn place where it is shortened."""
        stops = []
        for clip in row.clips[:-1]:
            cut = (float(clip.speech_end) - float(row.line.start)) * self.scale
            stops.append(cut * drawn / speech if speech else 0.0)
        at = 0.0
        for stop in [*stops, drawn]:
            ink.fill(x + at, top, max(0.0, stop - at - (0.45 if stop != drawn else 0)), 3.2)
            if stop != drawn:
                ink.line(x + stop, top - 1.2, x + stop, top, 0.5)
                ink.line(x + stop, top + 3.2, x + stop, top + 4.4, 0.5)
            at = stop + 0.45
        if drawn < speech:
            ink.text(x + drawn - 1, top + 2.5, "…", BOLD, 9, "right", gray=1.0)

    def _totals(self, ink: Ink, y: float) -> None:
        totals, takes = self.plan.totals, self.plan.settings.profiles[self.plan.settings.default_profile].takes
        clips = [clip for row in self.rows for clip in row.clips]
        ask_all = sum(float(c.ask or 0) * c.takes for c in clips)
        screen = sum(float(c.end - c.start) for c in clips)
        speech = sum(float(c.speech) for c in clips)
        split = sum(1 for row in self.rows if row.flag)
        figures = [
            ("speech", f"{speech:.1f} s"), ("on screen, with handles", f"{screen:.1f} s"),
            ("to generate, all takes", f"{ask_all:.0f} s"),
            (f"at {takes} : 1 of screen time", f"{screen * takes:.0f} s"), ("lines to split", str(split)),
        ]  # fmt: skip
        if totals.cost is not None:
            figures.append(("cost", f"{float(totals.cost):.2f} {self.plan.settings.budget.currency}".strip()))
        step = (self.right - LEFT) / len(figures)
        ink.line(LEFT, y - 1, self.right, y - 1, 1.2)
        for n, (caption, value) in enumerate(figures):
            ink.text(LEFT + n * step, y + 3.5, caption, REGULAR, 7)
            ink.text(LEFT + n * step, y + 9.5, value, BOLD, 14)
        y += 16
        ink.box(LEFT, y - 2.6, 6, 4.4, 0.9)
        ink.fill(LEFT + 0.5, y - 2, 3, 3.2)
        text = "solid: speech · grey: handles · outline: to ask for · number: slack · thin line: longest estimate"
        ink.text(LEFT + 8, y + 0.6, text, REGULAR, 7.5)
        x = LEFT + 10 + ink.width(text, REGULAR, 7.5) + 2
        caution_square(ink, x, y + 1)
        ink.text(x + 4.6, y + 0.6, "longer than the menu", REGULAR, 7.5)
        if self.sheet_counts:
            ink.text(LEFT, y + 5.6, self.sheet_counts, REGULAR, 7.5)

    def _first_foot(self, ink: Ink) -> None:
        """Draw the 50 mm check ruler and the cautions."""
        y = self.height - FOOT - 12.5
        ink.line(LEFT, y, LEFT + 50, y, 0.5)
        for mm in range(0, 51, 5):
            ink.line(LEFT + mm, y, LEFT + mm, y - (2.4 if mm % 10 == 0 else 1.4), 0.5)
        ink.text(LEFT, y + 3.3, "0", size=7)
        ink.text(LEFT + 50, y + 3.3, "50 mm if printed at 100 %", size=7, align="right")
        room, x = self.right - LEFT - 56, LEFT + 56
        lines = wrap(self.face, CAUTION, REGULAR, 7, room)
        for n, line in enumerate(lines):
            ink.text(x, y - 0.4 + 3.1 * n, line, size=7)
        close = next((f for f in self.plan.findings if f.code == "cuts-close"), None)
        if close is not None:
            text = f"{close.message[0].upper()}{close.message[1:]}."
            caution_square(ink, LEFT, y - 5)
            for n, line in enumerate(reversed(wrap(self.face, text, BOLD, 8.5, self.right - LEFT - 5))):
                ink.text(LEFT + 5, y - 5.4 - 3.8 * n, line, BOLD, 8.5)
        ink.text(LEFT, self.height - FOOT, "Each row links to the first sheet of its clip.", REGULAR, 6.5)
