"""A known line on its sound: every word, syllable and phone with its time.

In: samples that hold one line, the Utterance, its pronunciations. Out: a TimedLine, measured, with a confidence for
each word, and findings where the reading differs from the script.

How: the sound is cut to what is spoken (silence at the ends spoils the level normalisation), cleaned of steady noise
where there is much of it, followed word by word and then phone by phone. Each word's score is held against a free
loop of phones over the same sound ("anything at all"): a word that fits much worse than anything at all was not said.
What the doubtful places hold instead is worked out in ``doubts``. Times come from the phones alone: moving them to
where the level rises made human speech worse, not better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.hearing.differences import FOREIGN_ALLOWANCE, NOISE_ALLOWANCE, Reading, Verdict, read
from timing.hearing.followed_words import Token, is_foreign, timed_syllables, tokens_of
from timing.hearing.held_notes import held
from timing.hearing.recogniser import TAKE, HeardWord, Recogniser
from timing.hearing.unheard_words import fill, with_replaced
from timing.hearing.word_edges import joined
from timing.language.registry import language_of
from timing.model import Finding, Origin, TimedLine, TimedWord, Utterance
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.words import Pronounce
from timing.plain.figures import in_seconds
from timing.plain.words import bare

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.hearing.line_places import Place
    from timing.sound.decode import Sound

UNCLEAR, FOREIGN_UNCLEAR = 0.6, 0.3  # a line whose words' mean confidence is below this
MARGIN = Fraction(3, 10)  # kept on both sides of the speech
MISSING_WORD = Fraction(6, 5)  # and on a side where a word is still to be found
RATE_HZ = 16_000


class LineAligner:
    """A recogniser that knows the words of some lines; line ``n`` is the n-th utterance given."""

    def __init__(self, utterances: Sequence[Utterance], pronounce: Pronounce):
        self.utterances = tuple(utterances)
        self.tokens: tuple[tuple[Token, ...], ...] = tuple(tokens_of(u, pronounce) for u in utterances)
        self.first: list[int] = []  # the vocabulary's index of each line's first token
        count = 0
        for tokens in self.tokens:
            self.first.append(count)
            count += len(tokens)
        self.recogniser = Recogniser([t.pronunciations for tokens in self.tokens for t in tokens])

    def order(self, line: int) -> range:
        """Return the vocabulary indices of a line's tokens."""
        return range(self.first[line], self.first[line] + len(self.tokens[line]))

    def read(
        self, samples: NDArray[np.int16], line: int, is_blurred: bool = False, is_sung: bool = False
    ) -> Reading | None:
        """Return the line's tokens where they lie in ``samples``; None when they cannot be fitted at all."""
        if is_sung and (sung := held(samples, self.tokens[line])) is not None:
            return sung
        allowance = NOISE_ALLOWANCE if is_blurred else 0.0
        if not language_of(self.utterances[line].language).hearing.is_recognisers_own:
            allowance += FOREIGN_ALLOWANCE
        return read(self.recogniser, samples, self.first[line], len(self.tokens[line]), allowance)

    def read_words(
        self, samples: NDArray[np.int16], line: int, words: range, is_blurred: bool = False
    ) -> Reading | None:
        """Return the tokens of some neighbouring words of a line where they lie in ``samples``; see :meth:`read`."""
        mine = [k for k, token in enumerate(self.tokens[line]) if token.word in words]
        allowance = NOISE_ALLOWANCE if is_blurred else 0.0
        if not language_of(self.utterances[line].language).hearing.is_recognisers_own:
            allowance += FOREIGN_ALLOWANCE
        return read(self.recogniser, samples, self.first[line] + mine[0], len(mine), allowance)

    def timed(
        self, sound: Sound, line: int, start: Seconds, end: Seconds, is_blurred: bool = False, is_sung: bool = False
    ) -> TimedLine | None:
        """Return the line timed in the sound's own clock, followed between ``start`` and ``end``."""
        reading = None if self.is_foreign(line) else self.read(sound.cut(start, end), line, is_blurred, is_sung)
        if reading is None:
            return None
        # The cut begins on a whole sample.
        zero = Fraction(int(start * sound.rate_hz), sound.rate_hz)
        return timed_line(self.utterances[line], self.tokens[line], reading, zero)

    def is_foreign(self, line: int) -> bool:
        """True where nobody knows the sounds of most of the line's words."""
        return is_foreign(self.tokens[line])


def timed_line(utterance: Utterance, tokens: Sequence[Token], reading: Reading, offset: Seconds) -> TimedLine:
    """Return the words of ``utterance`` timed from ``reading``, moved by ``offset``, with findings."""
    placed: Sequence[HeardWord | None] = reading.words
    hearing = language_of(utterance.language).hearing
    if not hearing.is_recognisers_own:
        pauses = {k for k, token in enumerate(tokens) if utterance.words[token.word].mark}
        placed = joined(reading.words, pauses, hearing)
    words: list[TimedWord | None] = []
    verdicts = []
    replaced: dict[int, tuple[Seconds, Seconds]] = {}
    for index, word in enumerate(utterance.words):
        mine = [k for k, token in enumerate(tokens) if token.word == index]
        heard = [w for k in mine if (w := placed[k]) is not None]
        verdict = max((reading.verdicts[k] for k in mine), key=list(Verdict).index)
        verdicts.append(verdict)
        phones = [phone for w in heard for phone in w.phones]
        places = [place for k in mine if (place := reading.places.get(k))]
        if phones:
            confidence = confidence_of(min(reading.ratios[k] for k in mine)) if verdict is Verdict.SAID else 0.0
            words.append(TimedWord.of(word, timed_syllables(word, phones), confidence))
        else:
            words.append(None)
            if places:
                replaced[index] = (places[0][0], places[-1][1])
    full = fill(utterance, with_replaced(utterance, words, replaced))
    length = full[-1].end - full[0].start
    extras = [(tokens[k].word if k < len(tokens) else len(full), start, end) for k, start, end in reading.extras]
    line = TimedLine(tuple(full), Origin.MEASURED, length, length)
    unclear = UNCLEAR if hearing.is_recognisers_own else FOREIGN_UNCLEAR
    findings = differences(full, verdicts, extras, unclear)
    return replace(line.moved(offset), confidence=line_confidence(full), findings=findings)


def confidence_of(ratio: float) -> float:
    """Return a likelihood ratio (per 10 ms) as a confidence from 0 to 1, two decimals.

    A straight line from 0 at -50 to 1 at 0: on clean synthesised speech 95 % of the words said lie above -8, words
    that were not said near -40.
    """
    return round(min(1.0, max(0.0, 1 + ratio / 50)), 2)


def line_confidence(words: Sequence[TimedWord]) -> float:
    """Return the mean of the words' confidences, each counted by its length."""
    total = sum((w.end - w.start for w in words), Fraction(0))
    return round(float(sum((w.end - w.start) * Fraction(w.confidence or 0) for w in words) / total), 2)


def differences(
    words: Sequence[TimedWord],
    verdicts: Sequence[Verdict],
    extras: Sequence[tuple[int, Seconds, Seconds]],
    unclear: float = UNCLEAR,
) -> tuple[Finding, ...]:
    """Return what a person should know about a reading: not-said, said-differently, extra-words, unclear."""
    found = []
    for code, verdict, what, advice in (
        (
            FindingCode.NOT_SAID,
            Verdict.NOT_SAID,
            "not said in this reading",
            "read the line again or change the script",
        ),
        (
            FindingCode.SAID_DIFFERENTLY,
            Verdict.DIFFERENT,
            "said differently",
            "listen to it; change the script or read it again",
        ),
    ):
        which = [i for i, v in enumerate(verdicts) if v is verdict]
        if which:
            named = ", ".join(f"“{bare(words[i].text)}”" for i in which)
            facts = {"words": which, "texts": [words[i].text for i in which]}
            found.append(Finding(code, f"{named}: {what}; {advice}", facts))
    for index, start, end in extras:
        place = f"before “{bare(words[index].text)}”" if index < len(words) else "after the last word"
        facts = {"word": index, "seconds": round(float(end - start), 2)}
        message = f"something unscripted is said {place} ({in_seconds(end - start, 1)}); listen to it"
        found.append(Finding(FindingCode.EXTRA_WORDS, message, facts))
    said = [w for w, v in zip(words, verdicts, strict=True) if v is Verdict.SAID]
    if not said or line_confidence(said) < unclear:
        found.append(
            Finding(FindingCode.UNCLEAR, "the words fit the sound badly, so times may be wrong; listen to this reading")
        )
    return tuple(found)


def align_line(sound: Sound, utterance: Utterance, pronounce: Pronounce, is_sung: bool = False) -> TimedLine:
    """Return ``utterance`` timed in ``sound``'s own clock; its findings say where the reading differs.

    Of several readings the last complete one counts. A sung line is followed to the end of its last note. A line
    that cannot be followed at all comes back rough (finding "rough"). Raises RecordingError for a silent sound.
    """
    from timing.hearing.line_places import Words, locate
    from timing.plain.errors import RecordingError
    from timing.sound.clean import for_following
    from timing.sound.levels import measure, sound_regions

    levels = measure(sound)
    regions = sound_regions(sound, levels)
    if not regions:
        raise RecordingError("is silent; record the line again", sound.path or None)
    sound = for_following(sound, levels)
    aligner = LineAligner([utterance], pronounce)
    start, end = max(Fraction(0), regions[0][0] - MARGIN), regions[-1][1] + MARGIN
    line = aligner.timed(sound, 0, start, end, levels.blurs_words, is_sung)
    # A sung line is one reading: its long notes and rests look like false starts to the search for readings.
    if line is not None and line.findings and not is_sung:
        words = [(0, Words(0, len(aligner.tokens[0])))]
        places = locate(Recogniser([t.pronunciations for t in aligner.tokens[0]], TAKE), sound, words, regions)
        complete = [i for i, place in enumerate(places) if place.is_complete]
        if complete and len(places) > 1:
            line = aligner.timed(sound, 0, *room_of(places, complete[-1], start, end), levels.blurs_words) or line
    line = line or rough_in_file(utterance, regions)
    return replace(line, findings=(*line.findings, *levels.findings()))


def rough_in_file(utterance: Utterance, regions: Sequence[tuple[Seconds, Seconds]]) -> TimedLine:
    """Return the line spread over the stretches of sound, in the file's own clock."""
    from timing.hearing.spread import rough_line

    line = rough_line(utterance, regions)
    moved = line.moved(line.take_start or Fraction(0))
    return replace(moved, take_start=None)


def room_of(
    places: Sequence[Place], index: int, first: Seconds, last: Seconds, margin: Seconds = MARGIN
) -> tuple[Seconds, Seconds]:
    """Return where to cut for a reading: a little before and after it, more where its first or last word is missing.

    Never into the reading before or after; ``first`` and ``last`` bound the sound.
    """
    place = places[index]
    before = margin if place.words[0][0] == 0 else MISSING_WORD
    after = margin if place.has_last else MISSING_WORD
    start = max(first, place.start - before, places[index - 1].end if index else first)
    end = min(last, place.end + after, places[index + 1].start if index + 1 < len(places) else last)
    return max(Fraction(0), min(start, place.start)), max(end, place.end)
