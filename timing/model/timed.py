"""Syllables, words and lines with their times, and what makes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Protocol

from timing.model.basics import Break, Finding, Origin
from timing.model.clock import Seconds
from timing.model.packed import Packed
from timing.model.words import Utterance, Word, shown_text


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
        return shown_text(self.text, self.said)

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
            starts = self._shared_out()
        return tuple(zip(self.phones, starts, (*starts[1:], self.end), strict=True))

    def _shared_out(self) -> tuple[Seconds, ...]:
        """Return where each phone begins, by the rule of :meth:`sounds`; in whole numbers, for it is asked often."""
        length = self.end - self.start
        n, d = length.numerator, length.denominator
        vowels = sum(map(is_vowel, self.phones))
        consonants = len(self.phones) - vowels
        if not vowels:
            short, long, unit = n, 0, d * consonants
        elif 20 * n < d * (2 * consonants + 5 * vowels):  # a share of 1 is less than 0.1 s
            short, long, unit = 2 * n, 5 * n, d * (2 * consonants + 5 * vowels)
        else:
            short, long, unit = d * vowels, 10 * n - consonants * d, 10 * d * vowels
        at, bottom = self.start.numerator * unit, self.start.denominator * unit
        short, long = short * self.start.denominator, long * self.start.denominator
        found = []
        for phone in self.phones:
            found.append(Fraction(at, bottom))
            at += long if is_vowel(phone) else short
        return tuple(found)

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
        pieces = [s.heard for s in self.syllables]
        heard = "-".join([*(p.rstrip("-‐") or p for p in pieces[:-1]), pieces[-1]])  # "al-ways" has its hyphen already
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

    words: Sequence[TimedWord]
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

    def packed(self) -> TimedLine:
        """Return the line with its words kept small."""
        return replace(self, words=Packed.of(self.words))

    def moved(self, by: Seconds) -> TimedLine:
        """Return the line later by so much; what was one moment stays one object, so that long scripts fit."""
        known: dict[int, Seconds] = {}

        def new(moment: Seconds) -> Seconds:
            if (found := known.get(id(moment))) is None:
                found = known[id(moment)] = moment + by
            return found

        def moved(s: TimedSyllable) -> TimedSyllable:
            return replace(s, start=new(s.start), end=new(s.end), phone_starts=tuple(map(new, s.phone_starts)))

        words = (replace(w, syllables=tuple(map(moved, w.syllables))) for w in self.words)
        return replace(self, words=tuple(words))


class Timer(Protocol):
    """Anything that times a line. What it needs (pace, tempo, marks) it gets when it is built."""

    def time(self, utterance: Utterance) -> TimedLine:
        """Return the line timed from moment 0; never empty: the utterance has at least one word."""
        ...
