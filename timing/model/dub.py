"""An edition in another language on clips that exist: what each line's clip offers, and whether its words fit.

All moments lie on the episode's clock; ranges exclude their end.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from timing.model.basics import Finding, Origin
from timing.model.clock import Seconds
from timing.model.placed import Clip, PlanLine
from timing.model.plan import Plan


class Verdict(StrEnum):
    """Whether a line in another language fits the window its clip offers."""

    FITS = "fits"
    TOO_LONG = "too long"
    SHORT = "short"
    RECORD = "record it"


@dataclass(frozen=True, slots=True)
class Window:
    """The span in which a line's mouth moves, first sound to last; the pauses of 0.3 s and more within it.

    ``free`` is the time after it before anybody else is heard; ``is_seen`` says whether the mouth is in the picture at
    all. Unseen, a line may go on into the free time. ``clips`` are those that show it, ``origin`` where the span is
    from.
    """

    start: Seconds
    end: Seconds
    pauses: tuple[tuple[Seconds, Seconds], ...] = ()
    free: Seconds = Fraction(0)
    is_seen: bool = True
    origin: Origin = Origin.ESTIMATED
    clips: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.end <= self.start:
            raise ValueError(f"a window ends before it starts: {self.start} {self.end}")

    @property
    def length(self) -> Seconds:
        return self.end - self.start

    @property
    def room(self) -> Seconds:
        """How long the voice may sound: as long as the mouth moves, unseen until somebody else is heard."""
        return self.length if self.is_seen else self.length + self.free


@dataclass(frozen=True, slots=True)
class Loss:
    """A run of words whose loss would make a line fit: what saying it takes, up to the word after it."""

    text: str
    seconds: Seconds
    syllables: int


@dataclass(frozen=True, slots=True)
class PhraseStart:
    """One phrase of a recorded reading: ``late`` is how much later (negative: earlier) it begins than in the clip,
    both counted from the line's first sound."""

    text: str
    late: Seconds


@dataclass(frozen=True, slots=True)
class DubLine:
    """One line of an edition: the original, its window, and the words in the other language, timed.

    ``line`` has the new words and begins with the window; ``line.low`` and ``line.high`` bound its length. ``lose``
    says how many syllables must go for the likely length to be no longer than the room, ``gain`` how many more would
    fill the window; one of them is 0. ``risk`` is the chance that it does not fit. ``met`` of ``closures`` of the
    original's lip closures have one of the new words within two frames. ``new_clips`` is the other way for a line that
    is too long. ``phrases`` and ``drift`` (how much later the last sound comes than in the clip) where it was recorded.
    """

    original: PlanLine
    line: PlanLine
    window: Window
    verdict: Verdict
    risk: float
    lose: int
    gain: int
    losses: tuple[Loss, ...] = ()
    closures: int = 0
    met: int = 0
    new_clips: tuple[Clip, ...] = ()
    phrases: tuple[PhraseStart, ...] = ()
    drift: Seconds | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def id(self) -> str:
        return self.original.id


@dataclass(frozen=True)
class Edition:
    """An episode in another language. ``name`` is the language as its files are named, ``language`` its code.

    ``plan`` is the original's with the new words in its lines, ``original`` the plan it was made on. ``without_text``
    are the ids of lines that nobody has translated yet. Where there is a real cut ``cut_file`` names it, and
    ``not_in_cut`` are the ids of lines with a text that it leaves out.
    """

    name: str
    language: str
    original: Plan
    plan: Plan
    lines: tuple[DubLine, ...]
    without_text: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    cut_file: str | None = None
    not_in_cut: tuple[str, ...] = ()

    def line(self, line_id: str) -> DubLine | None:
        """Return a line by its id, None where it has no text in this language."""
        return next((line for line in self.lines if line.id == line_id), None)

    def by_risk(self) -> tuple[DubLine, ...]:
        """Return the lines to be recorded before anybody knows, the riskiest first."""
        undecided = [line for line in self.lines if line.verdict is Verdict.RECORD]
        return tuple(sorted(undecided, key=lambda line: -line.risk))
