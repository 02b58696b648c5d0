"""The marks of a frame sheet before they have a place on paper, each kind sorted by its frame.

Frames count from 0 at the first frame of the passage that the marks belong to; ranges exclude their end.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left
from dataclasses import dataclass, field
from typing import NamedTuple, TypeVar

VALUES_A_FRAME = 4  # of the sound strip


class Box(NamedTuple):
    """One syllable; ``lane`` 0 is the first of the speakers heard at the same time.

    ``fault`` stands on a word's first one: what is wrong with the word in the clip that came back. A word that nobody
    could read (``is_read`` False) has no known stress.
    """

    start: int
    end: int
    text: str
    is_stressed: bool
    opens_word: bool
    closes_word: bool
    lane: int
    fault: str = ""
    is_read: bool = True


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


class Cue(NamedTuple):
    """What happens without a word, from ``start`` on: a sound to be laid, a wait, something that is seen."""

    start: int
    end: int
    kind: str  # "sound", "wait", "to be seen"
    text: str

    @property
    def told(self) -> str:
        return f"{self.kind}: {self.text}"


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
    """A beat, a part of one between beats (``number`` 0) or the end of the music (``bar`` -1)."""

    frame: int
    bar: int
    number: int


Mark = TypeVar("Mark", Box, Rest, Vowel, Closure, Cue, Cut, Beat)


@dataclass
class Score:
    """All marks of a passage, each kind sorted by its frame."""

    boxes: list[Box] = field(default_factory=list)
    rests: list[Rest] = field(default_factory=list)
    vowels: list[Vowel] = field(default_factory=list)
    closures: list[Closure] = field(default_factory=list)
    cues: list[Cue] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)
    beats: list[Beat] = field(default_factory=list)
    lanes: tuple[str, ...] = ()  # the speakers heard at the same time, by lane
    sound: array[float] = field(default_factory=lambda: array("f"))  # VALUES_A_FRAME a frame, 0..1; or no recording

    longest: int = 0  # frames of the longest box, rest, closure or clip with what was asked for

    def settle(self) -> None:
        """Sort the marks; to be called when all are in."""
        for marks in (self.boxes, self.rests, self.vowels, self.closures, self.cuts, self.beats):
            marks.sort()
        self.cues.sort(key=lambda cue: cue.start)  # those of one frame as the script has them
        self.spans.sort(key=lambda span: span.start)
        lasting = (self.boxes, self.rests, self.closures, self.cues)
        lengths = [mark.end - mark.start for marks in lasting for mark in marks]
        self.longest = max([0, *lengths, *(max(span.end, span.ask_end) - span.start for span in self.spans)])

    def near(self, f0: int, f1: int) -> Score:
        """Return the marks that a sheet of frames ``f0`` to ``f1`` may show, found without looking at the others."""
        reach = f0 - self.longest
        spans = slice(*(bisect_left(self.spans, at, key=lambda span: span.start) for at in (reach, f1)))
        return Score(
            _slice(self.boxes, reach, f1), _slice(self.rests, reach, f1), _slice(self.vowels, f0, f1),
            _slice(self.closures, reach, f1), _slice(self.cues, reach, f1), self.spans[spans],
            _slice(self.cuts, f0, f1 + 1),
            _slice(self.beats, f0, f1 + 1), self.lanes, self.sound, self.longest,
        )  # fmt: skip


def _slice(marks: list[Mark], first: int, end: int) -> list[Mark]:
    return marks[bisect_left(marks, (first,)) : bisect_left(marks, (end,))]
