"""A passage of the plan as whole frames: every mark of a frame sheet before it has a place on paper.

In: a :class:`Plan`. Out: :class:`Passage` (which frames belong together on paper) and :class:`Score` (the boxes,
closures, beats and clips of a passage). Frames count from 0 at the passage's first frame; ranges exclude their
end. Nothing is rounded here: edges are the model's own, sounds go through ``FrameRate.frame_at``.

A passage is what a clip, or a group of clips that cannot be told apart on the clock, shows on screen: the parts of
a split line, speeches at the same time, speeches that share a generation. Counting from its first frame keeps a
sheet true when lines are added or removed elsewhere; exposure sheets count from the start of their scene for the
same reason (B. Lemay, "Exposure Sheets"). A passage of the whole episode counts as the episode does.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from timing.clock import FrameRate
from timing.model import Clip, LineKind, Plan, PlanLine, Song, TimedSyllable, TimedWord, is_vowel
from timing.sheet.ipa import LIP_ON_TEETH, LIPS_CLOSED, vowel_sign

VALUES_A_FRAME = 4  # of the sound strip


class Box(NamedTuple):
    """One syllable; ``lane`` 0 is the first of the speakers heard at the same time.

    ``fault`` stands on a word's first one: what is wrong with the word in the clip that came back.
    """

    start: int
    end: int
    text: str
    is_stressed: bool
    opens_word: bool
    closes_word: bool
    lane: int
    fault: str = ""


class Rest(NamedTuple):
    """Silence, mouth at rest: inside a line or in a handle."""

    start: int
    end: int
    lane: int


class Vowel(NamedTuple):
    frame: int
    sign: str
    lane: int


class Closure(NamedTuple):
    """Lips closed, or (``on_teeth``) the lower lip on the teeth."""

    start: int
    end: int
    on_teeth: bool
    lane: int


class Span(NamedTuple):
    """A clip: on screen from ``start`` to ``end``, its speech inside, and the frame up to which was asked for."""

    id: str
    speaker: str
    ask: str  # "ask 6 s", "too long"
    start: int
    speech_start: int
    speech_end: int
    end: int
    ask_end: int
    lane: int


class Cut(NamedTuple):
    """The suggested place, a frame edge, where an over-long line is split."""

    frame: int
    before: str
    after: str


class Beat(NamedTuple):
    """A beat, an off-beat half (``number`` 0) or the end of the music (``bar`` -1)."""

    frame: int
    bar: int
    number: int


@dataclass(frozen=True)
class Passage:
    """Consecutive frames of the episode that share sheets; ``anchor`` is the clip (or "episode") they count from."""

    anchor: str
    first: int
    end: int
    clips: tuple[Clip, ...]
    counts_from_episode: bool = False

    @property
    def length(self) -> int:
        return self.end - self.first

    @property
    def name(self) -> str:
        """The clips' numbers, as they head the sheets."""
        return range_name([c.id for c in self.clips])


@dataclass
class Score:
    """All marks of a passage, each kind sorted by its frame."""

    boxes: list[Box] = field(default_factory=list)
    rests: list[Rest] = field(default_factory=list)
    vowels: list[Vowel] = field(default_factory=list)
    closures: list[Closure] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)
    beats: list[Beat] = field(default_factory=list)
    lanes: tuple[str, ...] = ()  # the speakers heard at the same time, by lane
    sound: array[float] = field(default_factory=lambda: array("f"))  # VALUES_A_FRAME a frame, 0..1; or no recording


def range_name(ids: Sequence[str]) -> str:
    """Return clip ids as a heading.

    >>> range_name(["C04"]), range_name(["C04.1", "C04.2", "C04.3"])
    ('C04', 'C04.1–C04.3')
    """
    if len(ids) < 2:
        return ids[0] if ids else "–"
    return f"{ids[0]}–{ids[-1]}"


def display_name(name: str | None) -> str:
    """Return a speaker's name as set on the sheets: upper-case script names in ordinary letters.

    >>> display_name("TANSY"), display_name("BRAM & TANSY"), display_name("DJ BÀ")
    ('Tansy', 'Bram & Tansy', 'DJ Bà')
    """
    if name is None:
        return ""
    if not name.isupper():
        return name
    return " ".join(w if _is_initials(w) else w[:1] + w[1:].lower() for w in name.split(" "))


def _is_initials(word: str) -> bool:
    """True for a short word nobody can say, "DJ" or "R2"."""
    return len(word) <= 2 and word.isascii() and not set("AEIOUY") & set(word)


def passages_of(plan: Plan, whole_episode: bool = False) -> tuple[Passage, ...]:
    """Return the passages in order; only spoken and sung clips make one, unless the whole episode is wanted."""
    clips = sorted(plan.clips, key=lambda c: (c.start_frame, c.end_frame))
    if whole_episode:
        end = max([plan.frames, *(c.end_frame for c in clips)])
        return (Passage("episode", 0, end, tuple(clips), True),) if end else ()
    found: list[list[Clip]] = []
    reach, held_lines = 0, set[str]()
    for clip in clips:
        if clip.kind is LineKind.PICTURE:
            continue
        lines = {clip.line, *clip.lines}
        if found and (clip.start_frame < reach or lines & held_lines):
            found[-1].append(clip)
            reach = max(reach, clip.end_frame)
            held_lines |= lines
        else:
            found.append([clip])
            reach, held_lines = clip.end_frame, lines
    return tuple(
        Passage(group[0].id.split(".")[0], group[0].start_frame, max(c.end_frame for c in group), tuple(group))
        for group in found
    )


def is_shown_stressed(word: TimedWord, syllable: TimedSyllable, kind: LineKind) -> bool:
    """True for a syllable set bold: the main-stressed one of a longer word, a short word that carries meaning.

    Dictionary stress alone marks nearly every one-syllable word. A sung one-syllable word is bold on the first beat
    of a bar, and on any other beat unless it is a function word; a word the script emphasises always is.
    """
    if len(word.syllables) > 1:
        return syllable.stress == 1
    if word.is_emphasised:
        return True
    if kind is LineKind.SUNG and syllable.beat is not None:
        return syllable.beat == 1 or (syllable.beat.denominator == 1 and not word.is_function)
    return not word.is_function


def syllable_text(word: TimedWord, index: int) -> str:
    """Return what is printed for a syllable; one that goes on in the next ends in a hyphen."""
    syllable = word.syllables[index]
    text = syllable.shown
    if index + 1 < len(word.syllables):
        if syllable.text and syllable.said:  # "7 (sev-)": what goes on is what is heard
            return text[:-1] + "-)"
        if text and not text.endswith(("-", "‐", "–", "—")):
            text += "-"
    return text


class ScoreWriter:
    """Makes scores of a plan's passages; looks lines, beats and sound up by bisection."""

    def __init__(self, plan: Plan):
        self.plan, self.rate = plan, plan.rate
        self._lines = {line.id: line for line in plan.lines}
        self._faults = {(m.line, m.word): m.fault.value for d in plan.deliveries for m in d.word_marks}
        self._spoken = sorted((ln for ln in plan.lines if ln.words), key=lambda ln: ln.start_frame)
        self._beats = [beat for song in plan.songs for beat in song_beats(song, plan.rate)]
        self._beats.sort()
        self._scores: dict[tuple[int, int, tuple[str, ...]], Score] = {}
        self._loudness = sorted(plan.loudness, key=lambda strip: strip.start)
        self._ends = [float(strip.start + strip.step * len(strip.values)) for strip in self._loudness]

    def score(self, passage: Passage) -> Score:
        """Return the passage's score; made once, asked for by everything that compares or draws it."""
        key = (passage.first, passage.end, tuple(clip.id for clip in passage.clips))
        if key not in self._scores:
            self._scores[key] = self._make(passage)
        return self._scores[key]

    def _make(self, passage: Passage) -> Score:
        score = Score()
        lanes = self._lanes(passage)
        order = {clip.id: at for at, clip in enumerate(passage.clips)}
        for line, lane in lanes:
            self._add_line(score, line, lane, passage.first)
        lane_of = {line.id: lane for line, lane in lanes}
        for clip in passage.clips:
            follower = next((c for c in passage.clips[order[clip.id] + 1 :] if c.start_frame >= clip.end_frame), None)
            self._add_clip(score, clip, lane_of.get(clip.line, 0), passage, follower)
        names: dict[int, str] = {}
        for line, lane in lanes:
            names.setdefault(lane, display_name(line.speaker))
        score.lanes = tuple(names.get(lane, "") for lane in range(max(names, default=0) + 1))
        lo = bisect_left(self._beats, (passage.first, -9, 0))
        hi = bisect_left(self._beats, (passage.end, -9, 0))
        score.beats = [Beat(f - passage.first, bar, number) for f, bar, number in self._beats[lo:hi]]
        score.sound = self.sound(passage.first, passage.end)
        score.boxes.sort()
        score.rests.sort()
        return score

    def _lanes(self, passage: Passage) -> list[tuple[PlanLine, int]]:
        """Return the passage's lines, each in the first lane that is free when it begins."""
        if passage.counts_from_episode:
            lines: Iterable[PlanLine] = self._spoken
        else:
            ids = dict.fromkeys(i for clip in passage.clips for i in (clip.line, *clip.lines))
            lines = sorted((self._lines[i] for i in ids if i in self._lines), key=lambda ln: ln.start_frame)
        busy_until: list[int] = []
        found = []
        for line in lines:
            lane = next((n for n, end in enumerate(busy_until) if end <= line.start_frame), len(busy_until))
            if lane == len(busy_until):
                busy_until.append(0)
            busy_until[lane] = line.end_frame
            found.append((line, lane))
        return found

    def _add_line(self, score: Score, line: PlanLine, lane: int, first: int) -> None:
        last_end: int | None = None
        for number, word in enumerate(line.words):
            final = len(word.syllables) - 1
            fault = self._faults.get((line.id, number), "")
            for at, syllable in enumerate(word.syllables):
                start, end = syllable_frames(syllable, self.rate)
                start, end = start - first, end - first
                if last_end is not None and start - last_end >= 2:
                    score.rests.append(Rest(last_end, start, lane))
                stressed = is_shown_stressed(word, syllable, line.kind)
                text = syllable_text(word, at)
                first_fault = "" if at else fault
                score.boxes.append(Box(start, end, text, stressed, at == 0, at == final, lane, first_fault))
                self._add_sounds(score, syllable, start, end, lane, first)
                last_end = end

    def _add_sounds(self, score: Score, syllable: TimedSyllable, start: int, end: int, lane: int, first: int) -> None:
        vowel_seen = False
        for phone, begins, ends in syllable.sounds():
            if is_vowel(phone):
                if not vowel_seen:
                    at = min(max(self.rate.frame_at(begins) - first, start), end - 1)
                    score.vowels.append(Vowel(at, vowel_sign(phone, syllable.stress), lane))
                    vowel_seen = True
            elif phone in LIPS_CLOSED or phone in LIP_ON_TEETH:
                opens = min(max(self.rate.frame_at(begins) - first, start), end - 1)
                closes = min(max(self.rate.frame_at(ends) - first, opens + 1), end)
                score.closures.append(Closure(opens, closes, phone in LIP_ON_TEETH, lane))

    def _add_clip(self, score: Score, clip: Clip, lane: int, passage: Passage, follower: Clip | None) -> None:
        first, frame_at = passage.first, self.rate.frame_at
        speech_start = max(frame_at(clip.speech_start), clip.start_frame)
        speech_end = min(frame_at(clip.speech_end), clip.end_frame)
        ask_end = clip.end_frame
        if clip.ask is not None:
            ask_end = max(ask_end, clip.start_frame + frame_at(clip.ask))
        if follower is not None:
            ask_end = min(ask_end, max(follower.start_frame, clip.end_frame))
        label = "too long" if clip.ask is None else f"ask {float(clip.ask):g} s"
        score.spans.append(
            Span(
                clip.id, display_name(clip.speaker), label, clip.start_frame - first, speech_start - first,
                speech_end - first, clip.end_frame - first, ask_end - first, lane,
            )
        )  # fmt: skip
        if clip.kind is not LineKind.PICTURE:
            for start, end in ((clip.start_frame, speech_start), (speech_end, clip.end_frame)):
                if end > start:
                    score.rests.append(Rest(start - first, end - first, lane))
        part, parts = clip.part
        if part < parts and follower is not None and follower.line == clip.line:
            score.cuts.append(Cut((clip.end_frame + follower.start_frame) // 2 - first, clip.id, follower.id))

    def sound(self, first: int, end: int) -> array[float]:
        """Return the loudness outline of frames ``first`` to ``end``; empty where there is no recording."""
        quarters = self.rate.fps * VALUES_A_FRAME
        count = (end - first) * VALUES_A_FRAME
        values = array("f")
        at = bisect_right(self._ends, first / float(self.rate.fps))
        for strip in self._loudness[at:]:
            if strip.start * self.rate.fps >= end:
                break
            if not values:
                values = array("f", bytes(4 * count))
            # Value n of the passage begins at index (n * ratio + offset) of the strip, exact in whole numbers: the
            # same speech must give the same outline wherever it lies.
            ratio = 1 / (quarters * strip.step)
            offset = (Fraction(first * VALUES_A_FRAME) / quarters - strip.start) / strip.step
            scale = lcm(ratio.denominator, offset.denominator)
            step, base = int(ratio * scale), int(offset * scale)
            for n in range(max(0, -(base // step)), count):
                a = (n * step + base) // scale
                if a >= len(strip.values):
                    break
                b = max(a + 1, ((n + 1) * step + base) // scale)
                values[n] = max(values[n], *strip.values[a:b])
        return values


def syllable_frames(syllable: TimedSyllable, rate: FrameRate) -> tuple[int, int]:
    """Return the frame edges the plan settled for a syllable."""
    if syllable.start_frame is not None and syllable.end_frame is not None:
        return syllable.start_frame, syllable.end_frame
    start = rate.frame_at(syllable.start)
    return start, max(start + 1, rate.frame_at(syllable.end))


def song_beats(song: Song, rate: FrameRate) -> list[tuple[int, int, int]]:
    """Return (frame, bar, beat) of every beat, (frame, bar, 0) of the halves between, (frame, -1, 0) of the end."""
    found = []
    bar_starts = song.downbeats
    for at, moment in enumerate(song.beats):
        bar = bisect_right(bar_starts, moment)
        if bar:
            number = at - bisect_left(song.beats, bar_starts[bar - 1]) + 1
        else:
            number = song.metre[0] - (bisect_left(song.beats, song.first_downbeat) - at) + 1
        found.append((rate.frame_at(moment), bar, number))
        following = song.beats[at + 1] if at + 1 < len(song.beats) else None
        if following is not None and following > moment:
            found.append((rate.frame_at((moment + following) / 2), bar, 0))
    if song.beats:
        found.append((rate.frame_at(song.end), -1, 0))
    return found
