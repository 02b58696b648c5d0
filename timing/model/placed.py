"""What a plan is made of: lines, clips and what came back, each on the episode's clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from timing.model.basics import Break, Finding, LineKind, Origin, Passage, Where
from timing.model.clock import FrameRate, Seconds
from timing.model.packed import Packed
from timing.model.script import is_off_camera
from timing.model.timed import TimedSyllable, TimedWord


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One line on the episode's clock. ``words`` is empty for a picture passage.

    ``delivered`` names the clips that came back from which its times (or those of some of its parts) are; ``take``
    then is the one file that holds the whole line, or None where its parts lie in several. ``profile`` and ``still``
    are its notes ``[[with NAME]]`` and ``[[picture NAME]]``. ``over`` is the passage over whose picture a voice off
    camera is heard: it has no clip of its own then. ``lead`` is a silence noted before its first word, in which who
    speaks is seen already: its clip begins with it.
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
    words: Sequence[TimedWord] = ()
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
    passage: Passage = Passage.PICTURE
    profile: str | None = None
    still: str | None = None
    over: str | None = None
    lead: Seconds = Fraction(0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "words", Packed.of(self.words))

    @property
    def is_off_camera(self) -> bool:
        """True where who speaks is not seen, so that no mouth is asked for."""
        return self.kind is not LineKind.PICTURE and is_off_camera(self.directions)

    @property
    def shown_kind(self) -> str:
        """What the line is, in one word: "spoken", "sung", "picture", "wait" or "sound"."""
        return self.passage.value if self.kind is LineKind.PICTURE else self.kind.value

    @property
    def length(self) -> Seconds:
        return self.end - self.start

    @property
    def syllables(self) -> tuple[TimedSyllable, ...]:
        return tuple(s for w in self.words for s in w.syllables)

    @property
    def rate(self) -> float:
        """Syllables a second from first sound to last, the pauses between included; 0 without words."""
        return len(self.syllables) / float(self.length) if self.words else 0.0


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

    @property
    def follows(self) -> str | None:
        """The earlier part of its line, from whose last frame in the cut it starts; None for a first part."""
        number = self.part[0]
        return f"{self.id.rpartition('.')[0]}.{number - 1}" if number > 1 else None

    def source_frame(self, rate: FrameRate, speech_start: Seconds | None = None) -> int:
        """Return which frame of its file (from 0) is shown first; ``rate`` is the episode's own.

        ``speech_start`` is where its first sound lies in the file, None as planned. A picture, and a later part of a
        split line, is shown from its very first frame.
        """
        if self.kind is LineKind.PICTURE or self.follows is not None:
            return 0
        sound = self.head if speech_start is None else speech_start
        # The frame of the first sound in the file, less the frames that the cut shows before it.
        return max(0, rate.frame_at(sound) - (rate.frame_at(self.speech_start) - self.start_frame))

    def frames_cut(self, rate: FrameRate) -> int:
        """Return how many frames at the head of what is generated are not shown, because the neighbour needs them.

        ``rate`` is the episode's own.
        """
        if self.follows is not None:
            return 0
        cut = self.head - (self.speech_start - self.start)
        if self.kind is LineKind.PICTURE or cut * rate.fps < Fraction(1, 2):
            return 0
        return max(0, rate.frame_at(self.head) - (rate.frame_at(self.speech_start) - self.start_frame))


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over all clips, picture clips too. ``generate`` = ask x takes; ``cost`` None where no price is known.

    ``screen`` is how long clips are seen: what is on screen together counts once. ``unpriced`` are the seconds of
    ``generate`` that ``cost`` leaves out.
    """

    speech: Seconds
    screen: Seconds
    ask: Seconds
    generate: Seconds
    cost: Fraction | None = None
    unpriced: Seconds = Fraction(0)


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
class Media:
    """What a file of picture or sound is: ``rate`` of its picture (None: it has none), its length, its first code.

    ``starts`` is the moment that the file's own time code names for its first frame, counted at ``rate``; None where
    it carries none.
    """

    rate: Fraction | None = None
    seconds: Seconds | None = None
    starts: Seconds | None = None


@dataclass(frozen=True, slots=True)
class Voice:
    """The sound of a clip in another voice, relative to the episode folder, held against the clip's own sound.

    What is heard at moment t of the clip's file is heard at ``t * (1 + drift) + delay`` of this one. ``likeness`` is
    the correlation of the two; ``is_used``: it is the same reading, and is heard in place of the clip's own sound.
    """

    file: str
    delay: Seconds = Fraction(0)
    drift: float | None = None
    likeness: float | None = None
    is_used: bool = False
    findings: tuple[Finding, ...] = ()

    def at(self, moment: Seconds) -> Seconds:
        """Return where in this file a moment of the clip's file is heard, to the sample of 48 kHz."""
        return Fraction(round((moment * (1 + Fraction(self.drift or 0)) + self.delay) * 48_000), 48_000)

    def in_clip(self, moment: Seconds) -> Seconds:
        """Return the moment of the clip's file that is heard at a moment of this one."""
        return Fraction(round((moment - self.delay) / (1 + Fraction(self.drift or 0)) * 48_000), 48_000)


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
    has_picture: bool = True
    word_marks: tuple[WordMark, ...] = ()
    findings: tuple[Finding, ...] = ()
    media: Media | None = None
    voice: Voice | None = None


@dataclass(frozen=True, slots=True)
class Seam:
    """Where a later part of a split line starts: from the frame in which the part before it is left in the cut.

    ``frame`` counts from 0 in the earlier part's file, at the episode's rate: as planned until a take is accepted.
    ``file`` is that take, ``still`` the picture that is written of it (relative to the output folder); None where no
    take is accepted, ``still`` also where it has no picture.
    """

    clip: str
    frame: int
    file: str | None = None
    still: str | None = None


@dataclass(frozen=True, slots=True)
class Sounding:
    """A stretch of a file as it is heard in the episode: ``file_start`` on the file's clock, ``start`` on ours."""

    line: str
    file: str
    file_start: Seconds
    start: Seconds
    length: Seconds
