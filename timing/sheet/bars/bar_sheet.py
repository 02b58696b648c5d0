"""The bar sheet: a song by its bars, four to a system; which frame is this beat, which syllable is sung on it.

In: a song and its score. Bars take the width their time takes, so a change of tempo shows; the pick-up stands
before bar 1. Beats lie at their true time, the number printed is the frame nearest to it, counted from the
start of the song (as the sheets of a clip count from the clip).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from pathlib import PurePosixPath
from typing import NamedTuple

from timing.language.registry import language_of
from timing.model import Clip, Origin, Plan, Song
from timing.model.clock import FrameRate
from timing.sheet.bars.across import WORD_SIZE, Across
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.frame.content import aspects
from timing.sheet.frame.marks import Cue, Score, Span
from timing.sheet.frame.score import Passage, ScoreWriter
from timing.sheet.furniture import READ, SMALL, changed_bar, footer, header, legend_line
from timing.sheet.ink import BEAT, Ink, Page
from timing.sheet.ipa import key_of
from timing.sheet.paper import FOOT, LEFT, LYING_TOP, RIGHT, paper_size
from timing.sheet.revise import Revision, Sheet, row_digest
from timing.sheet.wrapped import wrap

BARS_A_SYSTEM, MOST_SYSTEMS = 4, 3
NUMBERS, SOUND_LANE, RULER_LANE, VOICE_LANE = 5.6, 5.6, 5.6, 14.4  # the lanes of a system, from the top down
LEAST_ACTION = 11.0  # for the pencil
CUE_ROW, CUE_GAP = 4.0, 1.2  # a line of what happens without words; from its upright to the text
LABEL_LEADING, BRACKET = 3.7, 3.2
LEAST_LABEL = 8.0  # mm; a clip that has less room before the line ends is named on the next line
FEWEST_LABELS, MOST_LABELS = 2, 6  # lines of text under a clip's bracket
INSET = 4.0  # for the lanes' names
FOOT_ROOM = 17.6
HEARD = 0.004  # of the loudest: what a sound strip shows
LEGEND = (
    "small ticks: frames · heavy: beats, with the frame nearest to them · tick under the numbers: a syllable begins · "
    "bold: stressed · line: held · dotted box: rest · black: lips closed · hollow: lip on teeth · "
    "letters under the words: vowels · short ticks between beats: parts of the beat · "
    "under the bars: the clips; thick: speech · dashed: handle · thin: left over"
)
CUES = " · upright beside bold words: a sound or a wait begins"
PICK_UP = " · bar 0: before the first whole bar"


@dataclass(frozen=True)
class Bar:
    """A bar: its number (0 the pick-up) and its beats' true places in frames of the song; ``end`` closes it."""

    number: int
    beats: tuple[float, ...]
    end: float
    first_beat: int = 1  # the number of its first beat, more than 1 in a pick-up

    @property
    def start(self) -> float:
        return self.beats[0]


def bars_of(song: Song, rate: FrameRate) -> list[Bar]:
    """Return the song's bars, the pick-up first if there is one; empty for a song nobody has counted."""
    if not song.downbeats or not song.beats:
        return []
    origin = song.start * rate.fps
    bars = []
    edges = [bisect_left(song.beats, moment) for moment in song.downbeats]
    places = [float(beat * rate.fps - origin) for beat in song.beats]
    beat_frames = float(60 * rate.fps / song.bpm)
    if edges[0] > 0:
        first = song.counted[0].number
        # Beats of a counted introduction are bars of their own only where somebody numbered them.
        kept = [p for n, p in enumerate(places[: edges[0]]) if first + n >= 1]
        bars.append(Bar(0, tuple(kept), places[edges[0]], max(first, 1)))
    for at, edge in enumerate(edges):
        if edge >= len(places):
            break
        stop = edges[at + 1] if at + 1 < len(edges) else len(places)
        beats = tuple(places[edge:stop])
        if at + 1 < len(edges) and edges[at + 1] < len(places):
            end = places[edges[at + 1]]
        else:
            step = beats[-1] - beats[-2] if len(beats) > 1 else beat_frames
            end = beats[-1] + step
        bars.append(Bar(at + 1, beats, end))
    return bars


def systems_of(bars: list[Bar]) -> list[list[Bar]]:
    """Return the bars by systems; the pick-up stands before bar 1 without taking a bar's place."""
    pickup = [bar for bar in bars if bar.number == 0]
    counted = [bar for bar in bars if bar.number > 0]
    systems = [counted[n : n + BARS_A_SYSTEM] for n in range(0, len(counted), BARS_A_SYSTEM)]
    if pickup and systems:
        systems[0] = pickup + systems[0]
    return systems


class CuePlace(NamedTuple):
    """Where a cue stands in a system: ``x`` in mm, its first row, its text in lines, left of its upright or right."""

    cue: Cue
    x: float
    row: int
    lines: list[str]
    is_left: bool


def _frame(place: float) -> int:
    """Return the frame edge nearest to a place, halves up."""
    return floor(place + 0.5)


class SongSheets:
    """The bar sheets of one song."""

    def __init__(self, plan: Plan, face: Typeface, song: Song, scores: ScoreWriter):
        self.plan, self.face, self.song = plan, face, song
        self.origin = plan.rate.frame_at(song.start)
        self.systems = systems_of(self._without_silent_end(bars_of(song, plan.rate), scores))
        self._drop_the_end()
        bars = [bar for system in self.systems for bar in system]
        self.end = int(bars[-1].end) + 1 if bars else 0
        first = int(min(0.0, bars[0].start)) if bars else 0
        clips = tuple(
            c for c in plan.clips
            if c.start_frame < self.origin + self.end and c.end_frame > self.origin + first and c.kind.value == "sung"
        )  # fmt: skip
        self.passage = Passage(song.id, self.origin, self.origin + self.end, clips)
        self.score: Score = scores.score(self.passage)
        self.size = paper_size(plan.settings.sheet.paper, is_landscape=True)
        self.link_of: Callable[[Clip], str | None] = lambda clip: None
        self.scale = self._scale() if self.systems else 1.0
        self.labels = self._label_lines()
        self.cue_rows = self._cue_rows()
        room = self.size[1] - LYING_TOP - 14 - FOOT_ROOM
        self.a_page = max(1, min(MOST_SYSTEMS, int(room / self._needs())))

    def _sung_until(self) -> float:
        last_word = max((line.end for line in self.plan.lines if line.song == self.song.id), default=self.song.start)
        return float((last_word - self.song.start) * self.plan.rate.fps)

    def _without_silent_end(self, bars: list[Bar], scores: ScoreWriter) -> list[Bar]:
        """Leave out last bars in which nobody sings and the recording, where there is one, is silent."""
        if not bars or not scores.sound(self.origin, self.origin + ceil(bars[-1].end)):
            return bars
        until, kept = self._sung_until(), list(bars)
        while len(kept) > 1 and kept[-1].start >= until:
            heard = scores.sound(self.origin + ceil(kept[-1].start), self.origin + floor(kept[-1].end))
            if max(heard, default=0.0) > HEARD:
                break
            kept.pop()
        return kept

    def _drop_the_end(self) -> None:
        """Leave out a last row of one or two bars in which nobody sings any more."""
        until = self._sung_until()
        while len(self.systems) > 1 and len(self.systems[-1]) <= 2 and self.systems[-1][0].start >= until:
            self.systems.pop()

    def sheets(self, digests: list[str]) -> Iterator[Sheet]:
        """Yield the sheets, not yet labelled; a row is a system. ``digests`` are those of the song's frames."""
        for index in range(self.count):
            rows = []
            for system in self.systems[index * self.a_page : (index + 1) * self.a_page]:
                a, b = max(0, int(system[0].start)), int(system[-1].end) + 1
                text = "".join(digests[a:b]) + "".join(f"/{bar.number}:{bar.start:.2f}" for bar in system)
                lines = [self.plan.line(c.line) for c in self.passage.clips if a <= c.start_frame - self.origin < b]
                rows.append(row_digest([text, *(f"{ln.text}{ln.directions}" for ln in lines)]))
            told = aspects(self.plan, self.passage.clips, self.score)
            yield Sheet("bars", self.song.id, index, tuple(rows), f"{self.song.bpm} {self.song.metre}", aspects=told)

    @property
    def count(self) -> int:
        return -(-len(self.systems) // self.a_page)

    def pages(self, face: Typeface, revision: Revision, before: int) -> Iterator[Page]:
        plan, song = self.plan, self.song
        width, height = self.size
        title = self.title
        beat = plan.rate.frames_per_beat(song.bpm)
        # A measured tempo is never exactly whole; a hundredth of a frame is not seen in a song.
        is_whole = abs(beat - round(beat)) < Fraction(1, 100)
        per_beat = str(round(beat)) if is_whole else f"{float(beat):.1f}"
        scale, words = self.scale, self._word_size(face)
        for index in range(self.count):
            systems = self.systems[index * self.a_page : (index + 1) * self.a_page]
            sheet = revision.sheet("bars", song.id, index)
            ink = Ink(face)
            first, last = _frame(systems[0][0].start), _frame(systems[-1][-1].end)
            facts = [
                ("bars", f"{systems[0][0].number}–{systems[-1][-1].number}"),
                ("tempo", f"{round(float(song.bpm), 2):g} bpm"),
                ("frames / beat", per_beat), ("metre", str(song.metre)),
                ("frames of the song", f"{first + 1}–{last}"), ("fps", str(plan.rate)),
            ]  # fmt: skip
            kind = "frames count from the song’s start"
            corner = ("bar sheet", sheet.label)
            top = header(ink, width, height, plan, kind, title, facts, corner, self._beats_from()) + 2
            pick_up = systems[0][0] if systems[0][0].number == 0 else None
            each = (height - top - FOOT_ROOM) / self.a_page
            for n, system in enumerate(systems):
                lead = pick_up.end - pick_up.start if pick_up and n else 0.0
                self._system(ink, system, top + n * each, each, scale, lead, words)
                if n in sheet.changed:
                    changed_bar(ink, width, top + n * each, top + (n + 1) * each - 2)
            vowels = {v.sign for v in self.score.vowels if first <= v.frame < last}
            legend = LEGEND + (CUES if self.cue_rows else "") + (PICK_UP if pick_up else "")
            if key := key_of(vowels, language_of(plan.language).vowel_words):
                ink.text(
                    LEFT, height - FOOT - 7.6, key, REGULAR, ink.face.fit(key, REGULAR, 9, width - LEFT - RIGHT, 7)
                )
            legend_line(ink, width, height, plan, before + index + 1, legend)
            footer(ink, width, height, plan, before + index + 1)
            key = f"bars-{song.id}-{index + 1}"
            label = f"bar sheet {sheet.label}"
            outline = ((1, f"{title}, bars {facts[0][1]} ({label})", key),)
            yield Page(width, height, key, ink, outline=outline, label=label)

    @property
    def title(self) -> str:
        settings = self.plan.settings.songs.get(self.song.id)
        return (settings.title if settings else None) or self.song.id.replace("-", " ").capitalize()

    @property
    def voices(self) -> int:
        return max(1, len(self.score.lanes))

    def _needs(self) -> float:
        """Return the height that a system needs."""
        lanes = NUMBERS + SOUND_LANE + RULER_LANE + self.voices * (VOICE_LANE + self._label_room())
        return lanes + CUE_ROW * self.cue_rows + LEAST_ACTION

    def _label_room(self) -> float:
        return BRACKET + LABEL_LEADING * self.labels

    def _label_lines(self) -> int:
        """Return how many lines of text the clips of the song need under their brackets."""
        most = FEWEST_LABELS
        for system in self.systems:
            across = self._across(Ink(self.face), system, LEFT + INSET, self.scale)
            most = max([most, *(len(self._told(across, span)[1]) for span in self.score.spans)])
        return min(most, MOST_LABELS)

    def _cue_rows(self) -> int:
        """Return how many rows the sounds and waits of the song need, in the system that has the most of them."""
        rows = 0
        lead = self.systems[0][0].end if self.systems and self.systems[0][0].number == 0 else 0.0
        for n, system in enumerate(self.systems):
            lefts = {LEFT + INSET, LEFT + INSET + max(0.0, lead) * self.scale * (n > 0)}
            for left in lefts:
                across = self._across(Ink(self.face), system, left, self.scale)
                rows = max([rows, *(place.row + len(place.lines) for place in self._cues(across, system))])
        return rows

    def _cues(self, across: Across, system: list[Bar]) -> list[CuePlace]:
        """Return what happens in a system without words, each in the first rows that are free from its frame on."""
        face, found = across.ink.face, []
        taken: list[float] = []  # where the text of each row ends
        first, last = _frame(system[0].start), _frame(system[-1].end)
        for cue in self.score.cues:
            if not first <= cue.start < last:
                continue
            x, text = across.x(cue.start), f"frame {cue.start + 1} {cue.told}"
            right, left = across.right - x - CUE_GAP, x - across.x(system[0].start) - CUE_GAP
            is_left = left > right and face.width_mm(face.printable(text), BOLD, READ) > right
            lines = wrap(face, text, BOLD, READ, left if is_left else right)
            wide = max(face.width_mm(line, BOLD, READ) for line in lines) + CUE_GAP
            begins, ends = (x - wide, x) if is_left else (x, x + wide)
            row = 0
            while any(end > begins - CUE_GAP for end in taken[row : row + len(lines)]):
                row += 1
            taken += [0.0] * (row + len(lines) - len(taken))
            taken[row : row + len(lines)] = [ends] * len(lines)
            found.append(CuePlace(cue, x, row, lines, is_left))
        return found

    def _draw_cues(self, across: Across, system: list[Bar], y: float) -> None:
        ink = across.ink
        for cue, x, row, lines, is_left in self._cues(across, system):
            top = y + CUE_ROW * row
            ink.line(x, top + 0.2, x, top + CUE_ROW * len(lines) - 0.2, 1.4)
            if cue.end - cue.start > 1:
                ink.line(x, top + 0.2, across.clamped(cue.end), top + 0.2, 0.7)
            for n, line in enumerate(lines):
                at, align = (x - CUE_GAP, "right") if is_left else (x + CUE_GAP, "left")
                ink.text(at, top + CUE_ROW * (n + 1) - 0.9, line, BOLD, READ, align)

    def _scale(self) -> float:
        """Return millimetres a frame, the same on every page of the song: the longest system fills the width."""
        lead = 0.0
        if self.systems and self.systems[0][0].number == 0:
            lead = self.systems[0][0].end - self.systems[0][0].start
        longest = max(system[-1].end - next(bar for bar in system if bar.number > 0).start for system in self.systems)
        return (self.size[0] - LEFT - INSET - RIGHT) / (longest + lead)

    def _word_size(self, face: Typeface) -> float:
        """Return the type in which all the words of the song are set."""
        scale, sizes = self._scale(), [WORD_SIZE]
        for system in self.systems:
            across = self._across(Ink(face), system, LEFT + INSET, scale)
            sizes += [across.size_for(lane) for lane in range(self.voices)]
        return max(READ, min(sizes))

    def _across(self, ink: Ink, system: list[Bar], left: float, scale: float) -> Across:
        start, end = system[0].start, system[-1].end
        right = self.size[0] - RIGHT
        return Across(
            ink, self.score, lambda f: left + (f - start) * scale, max(0, ceil(start - 0.5)), floor(end), right
        )

    def _beats_from(self) -> str:
        song = self.song
        if song.origin is Origin.MEASURED and song.file:
            return f"beats measured in {PurePosixPath(song.file).name}"
        return "an assumed tempo" if song.origin is Origin.ESTIMATED else "beats from the tempo given"

    def _system(
        self, ink: Ink, system: list[Bar], top: float, height: float, scale: float, lead: float, size: float
    ) -> None:  # fmt: skip
        """Draw a system, set in by the ``lead`` frames of the page's pick-up: bars stand below each other."""
        end, left = system[-1].end, LEFT + INSET + lead * scale
        across = self._across(ink, system, left, scale)
        y_sound, y_ruler = top + NUMBERS, top + NUMBERS + SOUND_LANE + 0.6
        y_words = y_ruler + RULER_LANE
        y_cues = y_words + VOICE_LANE * self.voices
        y_action = y_cues + CUE_ROW * self.cue_rows
        foot = top + height - self.voices * self._label_room() - 1.5
        if self.score.sound:
            across.sound(y_sound, SOUND_LANE)
        across.ruler(y_ruler)
        beat = system[-1].end - system[-1].beats[-1]
        for lane in range(self.voices):
            across.words(y_words + VOICE_LANE * lane, lane, beat * 0.4, size, has_vowels=True)
        self._draw_cues(across, system, y_cues)
        for bar in system:
            self._bar(ink, bar, across.x, top, y_ruler, (y_words + 0.9, y_action), foot)
        self._bar_line(ink, across.x(end), top, (y_words + 0.9, y_action), foot)
        for y in (y_action, foot):
            ink.line(left, y, across.x(end), y, 0.5)
        ink.upward(left - 1.2, foot - 0.6, "action")
        if self.score.sound:
            ink.upward(left - 1.2, y_sound + SOUND_LANE, "sound")
        for lane, name in enumerate(self.score.lanes if self.voices > 1 else ("words",)):
            room = VOICE_LANE - 1
            text = ink.face.shorten(ink.face.printable(name), BOLD, 7, room)
            ink.upward(left - 1.2, y_words + VOICE_LANE * (lane + 1) - 1.5, text)
        for span in self.score.spans:
            y = foot + 2.4 + span.lane * self._label_room()
            across.bracket(y, span)
            self._label(across, span, y + 1.0)

    def _told(self, across: Across, span: Span) -> tuple[float, list[tuple[str, str]]]:
        """Return the room beside a clip's start, and which it is, who sings and the line, in lines of it."""
        x = across.clamped(span.start)
        later = [s.start for s in self.score.spans if s.lane == span.lane and s.start > span.start]
        room = min(across.clamped(min(later, default=across.f1)), across.right) - x - 1.5
        clip = next((c for c in self.passage.clips if c.id == span.id), None)
        if clip is None or room < LEAST_LABEL or span.end <= across.f0 or span.start >= across.f1:
            return room, []
        before = (across.f0 - span.start) * (across.x(1) - across.x(0)) - 1.5  # the room that it had on the line above
        if before >= LEAST_LABEL:
            told = [(f"{span.id} goes on", BOLD)]
        else:
            line = self.plan.line(clip.line)
            begins = f"from {span.start + 1}" if span.start >= 0 else "from before the song"
            how = " ".join(f"({d})" for d in line.directions)
            told = [(f"{span.id} {span.speaker or 'nobody named'} · {span.ask} · {begins}", BOLD)]
            told.append((" ".join(filter(None, (how, f"“{clip.text}”"))), ITALIC))
        return room, [(part, style) for text, style in told for part in wrap(across.ink.face, text, style, READ, room)]

    def _label(self, across: Across, span: Span, y: float) -> None:
        """Write under a clip's bracket what is told of it, up to where the next one begins."""
        room, lines = self._told(across, span)
        if lines and (target := self.link_of(next(c for c in self.passage.clips if c.id == span.id))):
            x = across.clamped(span.start)
            across.ink.link(x, y - 2, x + room, y + LABEL_LEADING, target)
        for n, (text, style) in enumerate(lines[: self.labels]):
            across.ink.text(across.clamped(span.start), y + LABEL_LEADING * (n + 1) - 0.5, text, style, READ)

    def _bar_line(self, ink: Ink, x: float, top: float, words: tuple[float, float], foot: float) -> None:
        """Draw a bar line, open where words are: none runs through a word."""
        ink.line(x, top + 1.0, x, words[0], 1.6)
        ink.line(x, words[1], x, foot, 1.6)

    def _bar(
        self, ink: Ink, bar: Bar, x: Callable[[float], float], top: float, y_ruler: float,
        words: tuple[float, float], foot: float,
    ) -> None:  # fmt: skip
        second, parts = self.plan.rate.nominal, self.song.metre.parts
        for n, beat in enumerate(bar.beats):
            at, frame = x(beat), _frame(beat)
            following = bar.beats[n + 1] if n + 1 < len(bar.beats) else bar.end
            if n == 0:
                self._bar_line(ink, at, top, words, foot)
                number = str(bar.number)
                ink.text(at + 1.2, top + 4.8, number, BOLD, 13)
                minutes, rest = divmod(max(frame, 0), 60 * second)
                clock = f"{minutes}:{rest // second:02d}+{rest % second:02d}"
                left = at + 2.4 + ink.width(number, BOLD, 13)
                if left + ink.width(clock, BOLD, SMALL) < x(following) - 0.5:
                    ink.text(left, top + 4.8, clock, BOLD, SMALL)
            else:
                ink.line(at, y_ruler - 2, at, y_ruler + 2.6, 1.1)
                ink.line(at, words[1], at, foot, 0.25, BEAT)
                ink.text(at + 0.8, top + 4.8, f".{bar.first_beat + n}", REGULAR, READ)
            for part in range(1, parts):
                between = x(beat + (following - beat) * part / parts)
                ink.line(between, y_ruler - 1.1, between, y_ruler + 1.9, 0.7)
            size = ink.face.fit(str(frame + 1), BOLD, 8, x(following) - at - 1.6, 6.5)
            ink.text(at + 0.8, y_ruler + 4.7, str(frame + 1), BOLD, size)
