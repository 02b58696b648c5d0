"""The one model in the middle: timed syllables, and what stands before and after them.

    script stage    ->  ScriptLine            what is written, who says it
    language stage  ->  Utterance             words and syllables, untimed
    timer           ->  TimedLine             the same words, each syllable with a start and an end
    clip planning   ->  Clip                  what to request
    pipeline        ->  Plan                  everything placed on the episode's clock and in frames

Conventions: every moment is a ``Fraction`` of a second; ranges exclude their end; frames count from 0.
Timers count from the first sound of their line (moment 0); the pipeline moves lines onto the episode's
clock. Types are frozen and checked when made, so later code never checks again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import IntEnum, StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Protocol

from timing.clock import FrameRate, Seconds
from timing.metre import beats_a_bar

if TYPE_CHECKING:
    from timing.settings import EpisodeSettings


class Origin(StrEnum):
    """Where a timing came from."""

    ESTIMATED = "estimated"  # from the text
    FITTED = "fitted"  # to a beat
    MEASURED = "measured"  # from a recording
    PINNED = "pinned"  # by the user


class LineKind(StrEnum):
    """What a line is: said, sung, or picture without speech."""

    SPOKEN = "spoken"
    SUNG = "sung"
    PICTURE = "picture"


class Break(IntEnum):
    """How good the place after a word is for a cut; the planner never cuts at NEVER."""

    NEVER = 0  # between article and noun, inside a name, inside one written token
    WORD = 1
    PHRASE = 2  # before a conjunction or a preposition
    CLAUSE = 3  # comma, semicolon, colon, dash
    SENTENCE = 4  # full stop, question or exclamation mark, ellipsis, end of the line


@dataclass(frozen=True, slots=True)
class Where:
    """A place in a file of the user's, for messages; lines count from 1."""

    path: str
    line_number: int | None = None

    def __str__(self) -> str:
        return self.path if self.line_number is None else f"{self.path}:{self.line_number}"


@dataclass(frozen=True, slots=True)
class Finding:
    """A fact kept with a line or clip and shown everywhere; it never stops the work.

    ``code`` is a short stable name in kebab-case ("too-long"), ``message`` one sentence for people,
    ``facts`` plain JSON values for programs.
    """

    code: str
    message: str
    facts: Mapping[str, Any] = field(default_factory=dict)
    where: Where | None = None


# --- what is written -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PauseMark:
    """A silence asked for by the user (``[[pause 0.8 s]]``) before the character at ``offset``."""

    offset: int
    length: Seconds


@dataclass(frozen=True, slots=True)
class NotedLength:
    """A length written in a note: one of seconds, frames or bars (``[[4 s]]`` ``[[36 frames]]`` ``[[2 bars]]``)."""

    amount: Fraction
    unit: str  # "s", "frames", "bars"

    def __post_init__(self) -> None:
        if self.unit not in ("s", "frames", "bars") or self.amount <= 0:
            raise ValueError(f"not a length: {self.amount} {self.unit}")


@dataclass(frozen=True, slots=True)
class SongCue:
    """``[[song out-and-in, bar 9]]``: the sung lines from here belong to this song, the first one to this bar."""

    song: str | None
    bar: int | None


@dataclass(frozen=True, slots=True)
class ScriptLine:
    """One line of the script, as read; what reads it is in ``timing.script``.

    ``text`` is without mark-up (emphasis stars, notes, the ``~`` of a lyric) but, for a sung line, with its
    lyric marks (hyphens, ``_``, ``|``, ``@bar:beat``, ``=N``), which ``timing.song.lyrics`` reads.
    ``emphasis`` and ``pauses`` are offsets into ``text``.
    """

    kind: LineKind
    text: str
    where: Where
    speaker: str | None = None
    scene: str | None = None
    directions: tuple[str, ...] = ()
    emphasis: tuple[tuple[int, int], ...] = ()
    pauses: tuple[PauseMark, ...] = ()
    length: NotedLength | None = None
    cue: SongCue | None = None
    is_dual: bool = False  # spoken together with the speech before
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Script:
    """A whole script in order; ``text_hash`` is the first six hex digits of the SHA-256 of its bytes."""

    lines: tuple[ScriptLine, ...]
    path: str
    text_hash: str
    title: str | None = None
    facts: Mapping[str, str] = field(default_factory=dict)  # the title page's keys, lower case
    findings: tuple[Finding, ...] = ()


# --- words, untimed --------------------------------------------------------------------------------------


def _shown(text: str, said: str) -> str:
    return f"{text} ({said})" if text and said else text or said


@dataclass(frozen=True, slots=True)
class Syllable:
    """One syllable as printed.

    The texts of a word's syllables join to the word as printed, punctuation included; where the spoken form
    differs ("$5"), the first carries the print and the others are empty, and ``said`` holds what is heard of each,
    the first included: "7" is ("7", said "sev") and ("", said "en").
    ``stress``: 0 none, 1 primary, 2 secondary (as in CMUdict). ``phones`` are ARPABET symbols without
    stress digits; empty where the language has no sounds here.
    """

    text: str
    stress: int = 0
    phones: tuple[str, ...] = ()
    said: str = ""

    @property
    def shown(self) -> str:
        """What a sheet prints for this syllable: "7 (sev)" where the voice says other than the print.

        >>> Syllable("7", said="sev").shown, Syllable("", said="en").shown, Syllable("lim").shown
        ('7 (sev)', 'en', 'lim')
        """
        return _shown(self.text, self.said)

    @property
    def heard(self) -> str:
        """What the voice says, in letters: "sev" of "7", else the print itself."""
        return self.said or self.text


@dataclass(frozen=True, slots=True)
class Word:
    """One written token that is spoken, with the punctuation that touches it.

    ``spoken`` is how it is said ("five dollars"); ``start``/``end`` are offsets into the line's text.
    ``pause_after`` is a silence pinned by the user; other pauses are the timer's business, by ``mark``, the
    punctuation that follows ("," "." "…" "—" or "").
    """

    text: str
    spoken: str
    syllables: tuple[Syllable, ...]
    start: int
    end: int
    break_after: Break = Break.WORD
    mark: str = ""
    pause_after: Seconds | None = None
    is_guessed: bool = False  # pronounced by the letter model
    is_emphasised: bool = False
    is_function: bool = False  # article, preposition, pronoun, conjunction, auxiliary
    stretch: Fraction = Fraction(1)  # "sooo" is longer than "so"

    def __post_init__(self) -> None:
        if not self.syllables:
            raise ValueError(f"word without syllables: {self.text!r}")
        if "".join(s.text for s in self.syllables) != self.text:
            raise ValueError(f"syllables do not join to the word: {self.text!r} {self.syllables}")


@dataclass(frozen=True, slots=True)
class Utterance:
    """The spoken words of one line; ``text`` is the line as printed."""

    text: str
    words: tuple[Word, ...]
    language: str = "en_US"
    findings: tuple[Finding, ...] = ()

    @property
    def syllable_count(self) -> int:
        return sum(len(w.syllables) for w in self.words)


# --- words, timed ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class TimedSyllable:
    """A syllable with its time. ``start_frame``/``end_frame`` are filled when the plan is placed.

    ``phone_starts`` has one moment for each phone, or is empty where nobody knows; see :meth:`sounds`.
    ``bar`` counts from 1 (0 is the pick-up bar), ``beat`` from 1 within the bar, None where no song plays.
    """

    text: str
    start: Seconds
    end: Seconds
    origin: Origin
    stress: int = 0
    phones: tuple[str, ...] = ()
    said: str = ""
    phone_starts: tuple[Seconds, ...] = ()
    bar: int | None = None
    beat: Fraction | None = None
    start_frame: int | None = None
    end_frame: int | None = None

    def __post_init__(self) -> None:
        if self.end <= self.start:
            raise ValueError(f"syllable {self.text!r} ends before it starts: {self.start} {self.end}")
        if self.phone_starts and len(self.phone_starts) != len(self.phones):
            raise ValueError(f"syllable {self.text!r}: {len(self.phones)} phones, {len(self.phone_starts)} starts")

    @property
    def shown(self) -> str:
        """What a sheet prints for this syllable, as :attr:`Syllable.shown`."""
        return _shown(self.text, self.said)

    @property
    def heard(self) -> str:
        """What the voice says, in letters: "sev" of "7", else the print itself."""
        return self.said or self.text

    def sounds(self) -> tuple[tuple[str, Seconds, Seconds], ...]:
        """Return (phone, start, end) for each phone.

        Where the timer did not say, consonants take a share of 1 and vowels of 2.5 (our own rough rule),
        a consonant never more than 0.1 s.
        """
        if not self.phones:
            return ()
        starts = self.phone_starts
        if not starts:
            length = self.end - self.start
            consonants = sum(not is_vowel(p) for p in self.phones)
            vowels = len(self.phones) - consonants
            short = min(length / (consonants + Fraction(5, 2) * vowels), Fraction(1, 10))
            if not vowels:
                short = length / consonants
            long = (length - short * consonants) / vowels if vowels else short
            at, found = self.start, []
            for phone in self.phones:
                found.append(at)
                at += long if is_vowel(phone) else short
            starts = tuple(found)
        return tuple(zip(self.phones, starts, (*starts[1:], self.end), strict=True))

    @property
    def vowel_start(self) -> Seconds:
        """The moment the vowel begins (the syllable's start where it has no vowel)."""
        return next((start for phone, start, _ in self.sounds() if is_vowel(phone)), self.start)

    def moved(self, by: Seconds) -> TimedSyllable:
        return replace(
            self, start=self.start + by, end=self.end + by, phone_starts=tuple(p + by for p in self.phone_starts)
        )


VOWELS = frozenset("AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split())  # CMUdict's 15 (cmudict.symbols)


def is_vowel(phone: str) -> bool:
    """True for a vowel; other languages' sounds are written with ARPABET's nearest, rounded front ones too."""
    return phone in VOWELS


@dataclass(frozen=True, slots=True)
class TimedWord:
    """A word with timed syllables, in order and not overlapping; other fields as in :class:`Word`."""

    text: str
    spoken: str
    syllables: tuple[TimedSyllable, ...]
    break_after: Break = Break.WORD
    mark: str = ""
    is_guessed: bool = False
    is_emphasised: bool = False
    is_function: bool = False
    confidence: float | None = None  # 0..1, of a measured word

    def __post_init__(self) -> None:
        for before, after in zip(self.syllables, self.syllables[1:], strict=False):
            if after.start < before.end:
                raise ValueError(f"syllables of {self.text!r} overlap")
        if not self.syllables:
            raise ValueError(f"word without syllables: {self.text!r}")

    @classmethod
    def of(cls, word: Word, syllables: tuple[TimedSyllable, ...], confidence: float | None = None) -> TimedWord:
        """Return ``word`` with its syllables timed."""
        return cls(
            word.text, word.spoken, syllables, word.break_after, word.mark,
            word.is_guessed, word.is_emphasised, word.is_function, confidence,
        )  # fmt: skip

    @property
    def start(self) -> Seconds:
        return self.syllables[0].start

    @property
    def end(self) -> Seconds:
        return self.syllables[-1].end

    @property
    def broken(self) -> str:
        """The word with its syllables broken by hyphens, "lim-pet" or "7 [sev-en]"."""
        heard = "-".join(s.heard for s in self.syllables)
        return f"{self.text} [{heard}]" if any(s.said for s in self.syllables) else heard

    def moved(self, by: Seconds) -> TimedWord:
        return replace(self, syllables=tuple(s.moved(by) for s in self.syllables))


@dataclass(frozen=True, slots=True)
class TimedLine:
    """What a timer returns: the words of one line, timed, from the first sound (normally moment 0).

    ``low``/``high`` bound the length (80 % range); both equal the length where it was measured or fitted.
    ``take`` names the recording, relative to the episode folder; ``take_start`` is where in the take the
    first sound lies.
    """

    words: tuple[TimedWord, ...]
    origin: Origin
    low: Seconds
    high: Seconds
    confidence: float | None = None
    take: str | None = None
    take_start: Seconds | None = None
    findings: tuple[Finding, ...] = ()

    def __post_init__(self) -> None:
        if not self.words:
            raise ValueError("a timed line has words")
        for before, after in zip(self.words, self.words[1:], strict=False):
            if after.start < before.end:
                raise ValueError(f"words {before.text!r} and {after.text!r} overlap")

    @property
    def start(self) -> Seconds:
        return self.words[0].start

    @property
    def end(self) -> Seconds:
        return self.words[-1].end

    @property
    def length(self) -> Seconds:
        return self.end - self.start

    @property
    def syllables(self) -> tuple[TimedSyllable, ...]:
        return tuple(s for w in self.words for s in w.syllables)

    def moved(self, by: Seconds) -> TimedLine:
        return replace(self, words=tuple(w.moved(by) for w in self.words))


class Timer(Protocol):
    """Anything that times a line. What it needs (pace, tempo, marks) it gets when it is built."""

    def time(self, utterance: Utterance) -> TimedLine:
        """Return the line timed from moment 0; never empty: the utterance has at least one word."""
        ...


# --- songs -----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class BeatGrid:
    """Beats of a recording, in seconds from the start of its file.

    ``downbeats_s`` are the first beats of bars (empty where nobody said which they are), ``pieces`` the
    steady stretches as (start_s, bpm, number of beats).
    """

    bpm: float
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]
    metre: tuple[int, int]
    pieces: tuple[tuple[float, float, int], ...] = ()
    confidence: float = 0.0
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Song:
    """A song placed on the episode's clock.

    ``beats`` and ``downbeats`` are moments of the episode; bar n begins at ``downbeats[n - 1]``.
    ``start`` is where the song's file (or bar 1, where there is no file) begins.
    """

    id: str
    bpm: Fraction
    metre: tuple[int, int]
    start: Seconds
    end: Seconds
    beats: tuple[Seconds, ...]
    downbeats: tuple[Seconds, ...]
    origin: Origin
    file: str | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def bars(self) -> int:
        return len(self.downbeats)

    @property
    def first_downbeat(self) -> Seconds:
        return self.downbeats[0] if self.downbeats else self.start

    def position_of(self, moment: Seconds) -> tuple[int, Fraction] | None:
        """Return (bar, beat) at a moment, None outside the song; bar 0 is the pick-up bar."""
        from bisect import bisect_right

        if not self.beats or not self.start <= moment < self.end:
            return None
        at = bisect_right(self.beats, moment) - 1
        if at < 0:
            return None
        span = self.beats[at + 1] - self.beats[at] if at + 1 < len(self.beats) else 60 / self.bpm
        within = min((moment - self.beats[at]) / span, Fraction(999, 1000))
        bar = bisect_right(self.downbeats, self.beats[at])
        if bar:
            first = bisect_right(self.beats, self.downbeats[bar - 1]) - 1
            return bar, at - first + 1 + within
        ahead = bisect_right(self.beats, self.first_downbeat) - 1 - at  # beats before bar 1
        return 0, beats_a_bar(self.metre) - ahead + 1 + within


# --- the plan --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One line on the episode's clock. ``words`` is empty for a picture passage.

    ``delivered`` names the clips that came back from which its times (or those of some of its parts) are; ``take``
    then is the one file that holds the whole line, or None where its parts lie in several.
    """

    id: str
    kind: LineKind
    text: str
    origin: Origin
    start: Seconds
    end: Seconds
    start_frame: int
    end_frame: int
    low: Seconds
    high: Seconds
    words: tuple[TimedWord, ...] = ()
    scene: str | None = None
    speaker: str | None = None
    confidence: float | None = None
    take: str | None = None
    take_start: Seconds | None = None
    song: str | None = None
    directions: tuple[str, ...] = ()
    is_dual: bool = False
    where: Where | None = None
    findings: tuple[Finding, ...] = ()
    delivered: tuple[str, ...] = ()

    @property
    def length(self) -> Seconds:
        return self.end - self.start

    @property
    def syllables(self) -> tuple[TimedSyllable, ...]:
        return tuple(s for w in self.words for s in w.syllables)


@dataclass(frozen=True, slots=True)
class Clip:
    """One generation to request.

    ``speech`` is first sound to last sound of its words, ``need`` = head + speech + tail, ``ask`` the length
    to request (None when nothing on the menu holds it), ``slack`` = ask - need. ``start``/``end`` are what
    the clip shows on the episode's clock: its speech with as much of its handles as the neighbours leave.
    ``words`` is a half-open range of word indexes of its line; ``lines`` names every line it holds (one,
    unless short speeches share a generation). ``cut`` is the Break the clip ends on when its line is split.
    """

    id: str
    kind: LineKind
    line: str
    part: tuple[int, int]
    text: str
    profile: str
    speech: Seconds
    need: Seconds
    ask: Seconds | None
    takes: int
    start: Seconds
    end: Seconds
    start_frame: int
    end_frame: int
    speech_start: Seconds
    speech_end: Seconds
    head: Seconds
    tail: Seconds
    high: Seconds  # the upper end of ``speech``
    words: tuple[int, int] = (0, 0)
    speaker: str | None = None
    scene: str | None = None
    cut: Break | None = None
    lines: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def slack(self) -> Seconds | None:
        return None if self.ask is None else self.ask - self.need


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over all clips, picture clips too. ``generate`` = ask x takes; ``cost`` None where no price is known."""

    speech: Seconds
    screen: Seconds
    ask: Seconds
    generate: Seconds
    cost: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Loudness:
    """A loudness outline for the sheets: values 0..1 from ``start`` (episode's clock), one every ``step``."""

    start: Seconds
    step: Seconds
    values: tuple[float, ...]


class WordFault(StrEnum):
    """What is wrong with a word in a clip that came back."""

    MISSING = "missing"
    CUT_OFF = "cut off"
    DIFFERENT = "said differently"


@dataclass(frozen=True, slots=True)
class WordMark:
    """One word of a line (``word`` is its index there) and what is wrong with it in the delivered clip."""

    line: str
    word: int
    fault: WordFault


@dataclass(frozen=True, slots=True)
class Delivered:
    """What came back for one clip: its best take (or the one a person accepted), relative to the episode folder.

    ``takes`` counts the files that came back, ``state`` is the clip's in clips.toml. ``is_measured``: the plan's
    times of this clip's words are this file's; its first sound then lies at ``speech_start`` in the file.
    """

    clip: str
    file: str
    takes: int = 1
    state: str = "delivered"
    is_measured: bool = False
    speech_start: Seconds | None = None
    word_marks: tuple[WordMark, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Sounding:
    """A stretch of a file as it is heard in the episode: ``file_start`` on the file's clock, ``start`` on ours."""

    line: str
    file: str
    file_start: Seconds
    start: Seconds
    length: Seconds


@dataclass(frozen=True)
class Plan:
    """Everything known about an episode's timing; writers read this and nothing else.

    ``deliveries`` has one entry for each clip that came back. Where their times are used, ``requested`` is the plan
    without them: what is asked for hangs on that one, so that no clip is asked for again because it came back.
    """

    title: str
    language: str
    rate: FrameRate
    frames: int
    length: Seconds
    lines: tuple[PlanLine, ...]
    clips: tuple[Clip, ...]
    songs: tuple[Song, ...]
    totals: Totals
    settings: EpisodeSettings
    script_hash: str
    loudness: tuple[Loudness, ...] = ()
    findings: tuple[Finding, ...] = ()
    retired_ids: tuple[str, ...] = ()
    folder: str = "."  # where recordings and songs lie; never written anywhere
    deliveries: tuple[Delivered, ...] = ()
    requested: Plan | None = field(default=None, repr=False, compare=False)

    def delivered(self, clip_id: str) -> Delivered | None:
        """Return what came back for a clip, None where nothing did."""
        return next((d for d in self.deliveries if d.clip == clip_id), None)

    def soundings(self) -> tuple[Sounding, ...]:
        """Return what is heard of every line: its take, or its clips that came back and the scratch of the others."""
        asked = self.requested or self
        found = []
        for line in self.lines:
            if line.take is not None and line.take_start is not None:
                found.append(Sounding(line.id, line.take, line.take_start, line.start, line.length))
            for clip in self.clips if line.delivered and line.take is None else ():
                if line.id not in (clip.lines or (clip.line,)):
                    continue
                back, scratch = self.delivered(clip.id), asked.line(line.id)
                file, at = (back.file, back.speech_start) if back and back.is_measured else (scratch.take, None)
                if at is None and scratch.take_start is not None:
                    before = next(c for c in asked.clips if c.id == clip.id)
                    at = scratch.take_start + before.speech_start - scratch.start
                if file is not None and at is not None:
                    found.append(Sounding(line.id, file, at, clip.speech_start, clip.speech))
        return tuple(found)

    @property
    def gaps(self) -> tuple[tuple[int, int], ...]:
        """The stretches of frames (start, end; end excluded) that no clip shows, in order."""
        edges, at = [], 0
        for start, end in sorted((c.start_frame, c.end_frame) for c in self.clips):
            if start > at:
                edges.append((at, start))
            at = max(at, end)
        return (*edges, (at, self.frames)) if at < self.frames else tuple(edges)

    def line(self, line_id: str) -> PlanLine:
        """Return the line with this id; raises KeyError."""
        for line in self.lines:
            if line.id == line_id:
                return line
        raise KeyError(line_id)

    def to_json(self) -> dict[str, Any]:
        """Return plan.json (version 1) as plain values."""
        from timing.plan_json import to_json

        return to_json(self)
