"""The bar sheet: a song by its bars, four to a system; which frame is this beat, which syllable is sung on it.

In: a song and its score. Bars take the width their time takes, so a change of tempo shows; the pick-up stands
before bar 1. Beats lie at their true time, the number printed is the frame nearest to it, counted from the
start of the song (as the sheets of a clip count from the clip).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from pathlib import PurePosixPath

from timing.model import Origin, Plan, Song
from timing.model.clock import FrameRate
from timing.sheet.bars.across import Across
from timing.sheet.fonts import BOLD, REGULAR, Typeface
from timing.sheet.frame.marks import Score
from timing.sheet.frame.score import Passage, ScoreWriter
from timing.sheet.furniture import changed_bar, footer, header, legend_line
from timing.sheet.ink import BEAT, Ink, Page
from timing.sheet.paper import LEFT, RIGHT, paper_size
from timing.sheet.revise import Revision, Sheet
from timing.sheet.wrapped import name_lines

BARS_A_SYSTEM, SYSTEMS = 4, 3
MOST_VOICES, VOICE_HEIGHT = 3, 9.5  # singers at the same time, each with words of their own
MOST_NAME_LINES = 3  # of a singer, turned, in the margin
TOP = 24.0
HEARD = 0.004  # of the loudest: what a sound strip shows
LEGEND = (
    "small ticks: frames · heavy: beats, with the frame nearest to them · tick under the numbers: a syllable begins · "
    "bold: stressed · line: held · dotted box: rest · black: lips closed · hollow: lip on teeth · "
    "thick: clip · dashed: handle · dotted: left over"
)
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


def _frame(place: float) -> int:
    """Return the frame edge nearest to a place, halves up."""
    return floor(place + 0.5)


class SongSheets:
    """The bar sheets of one song."""

    def __init__(self, plan: Plan, song: Song, scores: ScoreWriter):
        self.plan, self.song = plan, song
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
            for system in self.systems[index * SYSTEMS : (index + 1) * SYSTEMS]:
                a, b = max(0, int(system[0].start)), int(system[-1].end) + 1
                text = "".join(digests[a:b]) + "".join(f"|{bar.number}:{bar.start:.2f}" for bar in system)
                rows.append(text)
            yield Sheet("bars", self.song.id, index, tuple(rows), f"{self.song.bpm} {self.song.metre}")

    @property
    def count(self) -> int:
        return -(-len(self.systems) // SYSTEMS)

    def pages(self, face: Typeface, revision: Revision, before: int) -> Iterator[Page]:
        plan, song = self.plan, self.song
        width, height = paper_size(plan.settings.sheet.paper, is_landscape=True)
        each = (height - 38) / SYSTEMS
        settings = plan.settings.songs.get(song.id)
        title = (settings.title if settings else None) or song.id.replace("-", " ").capitalize()
        beat = plan.rate.frames_per_beat(song.bpm)
        # A measured tempo is never exactly whole; a hundredth of a frame is not seen in a song.
        is_whole = abs(beat - round(beat)) < Fraction(1, 100)
        per_beat = str(round(beat)) if is_whole else f"{float(beat):.1f}"
        for index in range(self.count):
            systems = self.systems[index * SYSTEMS : (index + 1) * SYSTEMS]
            sheet = revision.sheet("bars", song.id, index)
            ink = Ink(face)
            first, last = _frame(systems[0][0].start), _frame(systems[-1][-1].end)
            facts = [
                ("bars", f"{systems[0][0].number}–{systems[-1][-1].number}"),
                ("tempo", f"{round(float(song.bpm), 2):g} bpm"),
                ("frames / beat", per_beat), ("metre", str(song.metre)),
                ("frames of the song", f"{first + 1}–{last}"),
                ("in the episode", f"{self.origin + first + 1}–{self.origin + last}"), ("fps", str(plan.rate)),
            ]  # fmt: skip
            kind = "frames count from the song’s start"
            header(ink, width, plan, kind, title, facts, ("bar sheet", sheet.label), self._beats_from())
            pick_up = systems[0][0] if systems[0][0].number == 0 else None
            lead = pick_up.end - pick_up.start if pick_up else 0.0
            for n, system in enumerate(systems):
                top = TOP + n * each
                self._system(ink, system, top, each, width, lead if n else 0.0)
                if n in sheet.changed:
                    changed_bar(ink, width, top, top + each - 6)
            legend_line(ink, width, height, plan, before + index + 1, LEGEND + (PICK_UP if pick_up else ""))
            footer(ink, width, height, plan, before + index + 1)
            key = f"bars-{song.id}-{index + 1}"
            label = f"bar sheet {sheet.label}"
            outline = ((1, f"{title}, bars {facts[0][1]} ({label})", key),)
            yield Page(width, height, key, ink, outline=outline, label=label)

    def _beats_from(self) -> str:
        song = self.song
        if song.origin is Origin.MEASURED and song.file:
            return f"beats measured in {PurePosixPath(song.file).name}"
        return "an assumed tempo" if song.origin is Origin.ESTIMATED else "beats from the tempo given"

    def _system(self, ink: Ink, system: list[Bar], top: float, height: float, width: float, lead: float) -> None:
        """Draw a system, set in by the ``lead`` frames of the page's pick-up: bars stand below each other."""
        right = width - RIGHT
        start, end = system[0].start, system[-1].end
        counted = [bar for bar in system if bar.number > 0]
        usual = (end - counted[0].start) / len(counted)
        # A last system of fewer bars keeps the scale of a full one.
        span = (end - start) + lead + usual * max(0, BARS_A_SYSTEM - len(counted))
        scale = (right - LEFT) / span
        left = LEFT + lead * scale

        def x(frame: float) -> float:
            return left + (frame - start) * scale

        f0, f1 = ceil(start - 0.5), floor(end)
        y_sound, y_ruler, y_words = top + 6, top + 14.5, top + 19.7
        voices = self.score.lanes[:MOST_VOICES]
        y_action = top + 30 + VOICE_HEIGHT * (len(voices) - 1)
        foot = top + height - 6
        lane = (foot - y_action) / 2
        across = Across(ink, self.score, x, max(0, f0), f1, right)
        if self.score.sound:
            across.sound(y_sound, 8.5)
        across.ruler(y_ruler)
        beat = system[-1].end - system[-1].beats[-1]
        for lane_number in range(len(voices)):
            across.words(y_words + VOICE_HEIGHT * lane_number, lane_number, rest_frames=beat * 0.4)
        for bar in system:
            self._bar(ink, bar, x, top, y_ruler, y_action, foot)
        ink.line(x(end), top + 1.5, x(end), foot, 1.6)
        for y, weight in ((y_action, 0.5), (y_action + lane, 0.25), (foot, 0.5)):
            ink.line(left, y, x(end), y, weight)
        labels = [("sound", y_sound + 7.5), ("action", y_action + lane / 2 + 4), ("notes", y_action + lane * 1.5 + 4)]
        if len(voices) == 1:
            labels.append(("words", y_words + 8))
        for label, y in labels:
            ink.upward(left - 1.6, y, label)
        for n, name in enumerate(voices if len(voices) > 1 else ()):
            lines, size = name_lines(ink.face, name, REGULAR, 7, VOICE_HEIGHT)
            shown = lines[:MOST_NAME_LINES]
            for at, line in enumerate(reversed(shown)):
                ink.upward(left - 1.2 - 2.2 * at, y_words + VOICE_HEIGHT * n + 9, line, REGULAR, size)
        for span_ in self.score.spans:
            y = top + height - (2.6 if len(voices) == 1 else 4.4 - 2.8 * min(span_.lane, 1))
            across.bracket(y, span_, f"{span_.id} {span_.ask} · from {span_.start + 1}")

    def _bar(self, ink: Ink, bar: Bar, x: object, top: float, y_ruler: float, y_action: float, foot: float) -> None:
        second = self.plan.rate.nominal
        assert callable(x)
        for n, beat in enumerate(bar.beats):
            at, frame = x(beat), _frame(beat)
            is_bar_line = n == 0
            if is_bar_line:
                ink.line(at, top + 1.5, at, foot, 1.6)
                number = str(bar.number)
                ink.text(at + 1.2, top + 4.6, number, BOLD, 13)
                minutes, rest = divmod(max(frame, 0), 60 * second)
                clock = f"{minutes}:{rest // second:02d}+{rest % second:02d}"
                left = at + 2.2 + ink.width(number, BOLD, 13)
                room = x(bar.beats[1] if len(bar.beats) > 1 else bar.end) - 0.3 - left
                for size in (7, 6.5, 6):
                    if ink.width(clock, REGULAR, size) < room:
                        ink.text(left, top + 4.6, clock, REGULAR, size)
                        break
            else:
                ink.line(at, y_ruler - 2, at, y_ruler + 2.6, 1.1)
                ink.line(at, y_action, at, foot, 0.25, BEAT)
                ink.text(at + 0.8, top + 4.6, f".{bar.first_beat + n}", REGULAR, 8)
            ink.text(at + 0.8, y_ruler + 4.2, str(frame + 1), BOLD if is_bar_line else REGULAR, 8)
