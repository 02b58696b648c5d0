"""One recording in, its readings of the script's lines out: searched, followed closely, kept by content."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from timing.model import Finding, TimedLine
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.labels import Label
from timing.model.words import Pronounce
from timing.plain.errors import RecordingError
from timing.recording.files import line_named
from timing.recording.one_file import Opened
from timing.recording.results import Instead, ScriptedLine, Take

if TYPE_CHECKING:
    from timing.hearing.aligner import LineAligner
    from timing.hearing.differences import Reading
    from timing.hearing.line_places import Place
    from timing.hearing.recogniser import Recogniser
    from timing.recording.kept_readings import LineName, Regions
    from timing.sound.levels import Levels
    from timing.store.store import Store

# A file as long as a line, and how much of its sound may lie outside the words. Of 20 clean readings 19 stay below; of
# 80 with a false start, other words or another reading before the line 1, and that one is followed rightly.
_SHORT_FILE_S, _STRAY_S = 30, Fraction(1, 2)
# How much of the sound of a file named after a line may lie outside that line's readings before it is searched for all
# lines (our own choice: a breath and a word or two).
_OWN_STRAY_S = Fraction(1)
_MARGIN_IN_NOISE = Fraction(1, 20)  # in noise, nearly nothing is left around what the search found
LESS_SURE = 0.1  # a later reading that is less sure than another by more than this is not that line's
_MOSTLY = 0.5  # share of a line's words that make a reading worth following where there is no better one


@dataclass(frozen=True)
class Candidate:
    """One reading and, where it may count, the line measured in it; ``is_named``: the file's name says which line.

    ``row`` is the label that says that it is this line's chosen reading, ``is_pinned`` is true where any label says
    something of it.
    """

    take: Take
    line: TimedLine | None = None
    is_named: bool = False
    row: Label | None = None
    is_pinned: bool = False

    @property
    def is_another_line(self) -> bool:
        """True where most words are missing or others: a file with the wrong number, say."""
        if self.line is None:
            return False
        wrong = {
            word
            for finding in self.line.findings
            if finding.code in (FindingCode.NOT_SAID, FindingCode.SAID_DIFFERENTLY)
            for word in finding.facts.get("words", ())
        }
        return len(wrong) > 1 and 2 * len(wrong) > len(self.line.words)

    @property
    def doubts(self) -> int:
        """How many words were not heard as written, and how often something else was."""
        if self.line is None:
            return 99
        codes = (FindingCode.NOT_SAID, FindingCode.SAID_DIFFERENTLY, FindingCode.EXTRA_WORDS)
        return sum(len(f.facts.get("words", (0,))) for f in self.line.findings if f.code in codes)

    @property
    def flaws(self) -> int:
        """How many words are missing; words said differently count only where they are many.

        One such word is as often an unclear word as a wrong one, and the last reading was made for a reason.
        """
        if self.line is None:
            return 99
        count = 0
        for finding in self.line.findings:
            words = len(finding.facts.get("words", ()))
            many = finding.code == FindingCode.SAID_DIFFERENTLY and 4 * words > len(self.line.words)
            if finding.code == FindingCode.SCRIPT_CHANGED:
                count += len(self.line.words)
            elif finding.code == FindingCode.NOT_SAID or many:
                count += words
            elif finding.code in (FindingCode.ROUGH, FindingCode.UNCLEAR):
                count += 1
        return count


@dataclass(frozen=True)
class HeardFile:
    """A recording and what was measured of it; ``content`` is the hash of its bytes, ``regions`` where it sounds."""

    opened: Opened
    content: str
    regions: Regions
    levels: Levels


class HeardIn(NamedTuple):
    """What one file holds: its readings, what to know about it, and the file."""

    readings: list[Candidate]
    findings: list[Finding]
    file: HeardFile


class Listener:
    """What stays the same from file to file: the lines, their words, the recognisers (made when first needed)."""

    def __init__(
        self,
        lines: Sequence[ScriptedLine],
        language: str,
        pronounce: Pronounce,
        wishes: Mapping[str, str],
        store: Store,
    ):
        from timing.hearing.followed_words import tokens_of
        from timing.recording.kept_readings import places_kind
        from timing.store.store import digest

        self.lines = lines
        self.by_id = {line.id: number for number, line in enumerate(lines)}
        self.wishes = wishes
        self.language = language
        self.store = store
        self.tokens = [tokens_of(line.utterance, pronounce) for line in lines]
        self.pronounce = pronounce
        self.names: list[LineName] = []
        said: Counter[str] = Counter()
        for line, tokens in zip(lines, self.tokens, strict=True):
            says = digest(line.utterance.language, line.is_sung, tokens)
            self.names.append((says, said[says]))
            said[says] += 1
        self._own_kind = places_kind("own-line", self.names)
        self._all_kind = places_kind("all-lines", self.names)
        self._aligner: LineAligner | None = None
        self._searcher: Recogniser | None = None

    def wish(self, line_id: str) -> str | None:
        return self.wishes.get(line_id)

    @property
    def aligner(self) -> LineAligner:
        from timing.hearing.aligner import LineAligner

        if self._aligner is None:
            self._aligner = LineAligner([line.utterance for line in self.lines], self.pronounce)
        return self._aligner

    @property
    def searcher(self) -> Recogniser:
        from timing.hearing.recogniser import TAKE, Recogniser

        if self._searcher is None:
            self._searcher = Recogniser([t.pronunciations for tokens in self.tokens for t in tokens], TAKE)
        return self._searcher

    def is_foreign(self, number: int) -> bool:
        """True where nobody knows the sounds of most of a line's words."""
        from timing.hearing.followed_words import is_foreign

        return is_foreign(self.tokens[number])

    def knows(self, path: Path) -> bool:
        """True for a recording that was searched before, or cannot be."""
        from timing.store.store import content_of

        try:
            content = content_of(path)
        except OSError:
            return True
        if self.store.has(self._all_kind, self._all_key(content)):
            return True
        bound = line_named(path.name, self.by_id)
        if bound is None:
            return False
        key = self._own_key(content, self.by_id[bound])
        return self.store.has(self._own_kind, key) and self.store.made(self._own_kind, key, lambda: None) is not None

    def _own_key(self, content: str, number: int) -> tuple[object, ...]:
        return (content, self.names[number][0])

    def _all_key(self, content: str) -> tuple[object, ...]:
        return (content, *(says for says, _ in self.names))

    def hear(self, path: Path, name: str) -> HeardIn:
        """Return the readings in one file and what to know about it; raises RecordingError."""
        from timing.recording.kept_readings import SOUND
        from timing.sound.levels import sound_regions
        from timing.store.store import content_of

        try:
            content = content_of(path)
        except OSError as error:
            raise RecordingError(f"cannot be opened ({error.strerror}); check its permissions", name) from None
        opened = Opened(path, name)
        levels, regions = self.store.made(
            SOUND, (content,), lambda: (opened.levels, sound_regions(opened.sound, opened.levels))
        )
        file = HeardFile(opened, content, regions, levels)
        about = {"file": name}
        if not regions:
            said = [replace(f, message=f"{name}: {f.message}", facts={**f.facts, **about}) for f in levels.findings()]
            return HeardIn([], said, file)
        heard, findings = self._readings(opened, content, path.name, regions, levels)
        if not heard:
            message = f"{name}: none of the script's lines was found in it"
            findings.append(Finding(FindingCode.UNPLACED, message, about))
        return HeardIn(heard, findings, file)

    def _readings(
        self, opened: Opened, content: str, file: str, regions: Regions, levels: Levels
    ) -> tuple[list[Candidate], list[Finding]]:
        """Return the readings that are heard in a file."""
        bound = line_named(file, self.by_id)
        places = None if bound is None else self._own_places(opened, content, self.by_id[bound], regions, levels)
        if places is None:
            places = self._all_places(opened, content, regions)
            if bound is not None and not _explains(places, self.by_id[bound], regions):
                places = ()
        found = self._measure(opened, content, places, regions, levels)
        findings: list[Finding] = []
        if bound is not None and not any(c.line for c in found):
            found.append(self._whole(opened, content, self.by_id[bound], regions, levels))
        elif bound is not None and all(c.take.line_id != bound for c in found):
            findings.append(_not_that_line(opened.name, bound, found))
        return [replace(c, is_named=c.take.line_id == bound) for c in found], findings

    def _own_places(
        self, opened: Opened, content: str, number: int, regions: Regions, levels: Levels
    ) -> tuple[Place, ...] | None:
        """Return the readings of the line that a file's name begins with, None where they explain too little of it.

        A number in a name is believed when it is heard: "1 May kitchen" may hold any line.
        """

        def search() -> tuple[Place, ...] | None:
            if one := self._as_one(opened, content, number, regions, levels):
                return one
            if self.is_foreign(number):
                return ()
            places = self._search(opened, [number], regions)
            is_there = any(place.is_complete for place in places)
            if is_there and _stray(regions, places) <= _OWN_STRAY_S:
                return places
            # A reading in which words are missing or others may be lost in the search: as a whole it is that line.
            is_long = regions[-1][1] - regions[0][0] > _SHORT_FILE_S
            if not is_there and not is_long and self._is_that_line(opened, content, number, regions, levels):
                return ()
            return None

        return self.store.made(self._own_kind, self._own_key(content, number), search)

    def _is_that_line(self, opened: Opened, content: str, number: int, regions: Regions, levels: Levels) -> bool:
        """True where most words of a line are heard as written in a file that is followed as that line alone."""
        candidate = self._whole(opened, content, number, regions, levels)
        return candidate.take.confidence > 0 and not candidate.is_another_line

    def _all_places(self, opened: Opened, content: str, regions: Regions) -> tuple[Place, ...]:
        every = range(len(self.lines))
        key = self._all_key(content)
        return self.store.made(self._all_kind, key, lambda: self._search(opened, list(every), regions)) or ()

    def _as_one(self, opened: Opened, content: str, number: int, regions: Regions, levels: Levels) -> tuple[Place, ...]:
        """Return the one reading of a short file in which the line it is named after, and nothing else, is said.

        Nothing where any word is in doubt or some of the sound belongs to none: that is searched for readings.
        """
        from timing.hearing.aligner import MARGIN, timed_line
        from timing.hearing.line_places import Place

        if not regions or regions[-1][1] - regions[0][0] > _SHORT_FILE_S:
            return ()
        start, end = max(Fraction(0), regions[0][0] - MARGIN), regions[-1][1] + MARGIN
        reading = self.reading(opened, content, number, start, end, levels)
        if reading is None or not all(reading.words):
            return ()
        zero = Fraction(int(start * 16_000), 16_000)
        line = timed_line(self.lines[number].utterance, self.tokens[number], reading, zero)
        overlaps = [min(b, w.end) - max(a, w.start) for a, b in regions for w in line.words]
        sounding = sum((b - a for a, b in regions), Fraction(0))
        if line.findings or sounding - sum((o for o in overlaps if o > 0), Fraction(0)) > _STRAY_S:
            return ()
        edges = [regions[0][0], *(zero + w.start for w in reading.words[1:] if w), regions[-1][1]]
        return (Place(number, tuple((k, a, b) for k, (a, b) in enumerate(pairwise(edges))), True),)

    def _search(self, opened: Opened, searched: list[int], regions: Regions) -> tuple[Place, ...]:
        from timing.hearing.line_places import Words, find_lines, locate
        from timing.language.registry import language_of

        known = [n for n in searched if not self.is_foreign(n)]
        if len(searched) > 1:
            words = [(n, [t.pronunciations for t in self.tokens[n]]) for n in known]
            is_foreign = not language_of(self.language).hearing.is_recognisers_own
            is_noisy = not opened.pauses_are_known
            return find_lines(opened.clear, words, regions, is_foreign, is_noisy, opened.levels.is_narrow)
        firsts = [sum(map(len, self.tokens[:n])) for n in known]
        one = [(n, Words(first, len(self.tokens[n]))) for n, first in zip(known, firsts, strict=True)]
        return locate(self.searcher, opened.clear, one, regions)

    def _measure(
        self,
        opened: Opened,
        content: str,
        places: tuple[Place, ...],
        regions: Regions,
        levels: Levels,
    ) -> list[Candidate]:
        """Return every reading; complete ones measured from the last to the first until one has no flaw."""
        from timing.hearing.aligner import MARGIN, room_of
        from timing.hearing.wider_room import wider
        from timing.sound.levels import NOISE_IN_PAUSES_DB

        whole = {place.line for place in places if place.is_complete}
        surest = {n: max((p.confidence for p in places if p.line == n and p.is_complete), default=0.0) for n in whole}
        margin = _MARGIN_IN_NOISE if levels.snr_db < NOISE_IN_PAUSES_DB else MARGIN
        settled: set[int] = set()
        found: list[Candidate] = []
        for index in reversed(range(len(places))):
            place = places[index]
            line = self.lines[place.line]
            heard = round(len(place.words) / len(self.tokens[place.line]), 2)
            take = self._take(opened.name, place)
            # A line of which only the end is missing may be whole: the search gives up on words said unclearly.
            counts = place.is_complete or (heard >= _MOSTLY and place.line not in whole)
            counts = counts and place.confidence >= surest.get(place.line, 0.0) - LESS_SURE
            wanted = counts and (place.line not in settled or line.id in self.wishes)
            if not wanted:
                found.append(Candidate(take))
                continue
            edges = max(Fraction(0), regions[0][0] - MARGIN), regions[-1][1] + MARGIN
            start, end = room_of(places, index, *edges, margin)
            candidate = self._candidate(opened, content, place.line, start, end, levels, take, regions)
            if candidate.doubts:
                for span in wider(places, index, regions):
                    room = max(edges[0], min(start, span[0] - margin)), min(edges[1], max(end, span[1] + margin))
                    wide = replace(take, start=span[0], end=span[1])
                    other = self._candidate(opened, content, place.line, *room, levels, wide, regions)
                    candidate = min(candidate, other, key=lambda c: c.doubts)
            candidate = replace(candidate, take=replace(candidate.take, confidence=place.confidence))
            found.append(candidate)
            if candidate.line is not None and not candidate.flaws:
                settled.add(place.line)
        return found[::-1]

    def _take(self, name: str, place: Place) -> Take:
        rivals = tuple(Instead(self.lines[r.line].id, r.start, r.end, r.confidence) for r in place.rivals)
        line_id = self.lines[place.line].id
        return Take(line_id, name, place.start, place.end, place.is_complete, place.confidence, rivals=rivals)

    def _whole(
        self,
        opened: Opened,
        content: str,
        number: int,
        regions: Regions,
        levels: Levels,
    ) -> Candidate:
        """Return a file that is named after one line as one reading of it, rough if need be."""
        from timing.hearing.aligner import MARGIN, rough_in_file

        line = self.lines[number]
        start, end = max(Fraction(0), regions[0][0] - MARGIN), regions[-1][1] + MARGIN
        take = Take(line.id, opened.name, regions[0][0], regions[-1][1], True, 0.0)
        candidate = self._candidate(opened, content, number, start, end, levels, take, regions)
        if candidate.line is not None:
            return candidate
        rough = from_first_sound(rough_in_file(line.utterance, regions), opened.name, levels)
        return Candidate(take, rough)

    def _candidate(
        self,
        opened: Opened,
        content: str,
        number: int,
        start: Seconds,
        end: Seconds,
        levels: Levels,
        take: Take,
        regions: Regions,
    ) -> Candidate:
        """Return a line followed from ``start`` to ``end``; ``take`` has where it was found."""
        from timing.hearing.aligner import timed_line
        from timing.hearing.pause_edges import to_the_pause

        reading = self.reading(opened, content, number, start, end, levels)
        if reading is None or not any(reading.words):
            return Candidate(take)
        zero = Fraction(int(start * 16_000), 16_000)
        line = timed_line(self.lines[number].utterance, self.tokens[number], reading, zero)
        if not self.lines[number].is_sung:
            line = to_the_pause(line, (take.start, take.end), regions, levels.seconds)
        take = replace(take, start=line.start, end=line.end, confidence=line.confidence or 0.0)
        return Candidate(take, from_first_sound(line, opened.name, levels))

    def reading(
        self, opened: Opened, content: str, number: int, start: Seconds, end: Seconds, levels: Levels
    ) -> Reading | None:
        """Return a line followed in a part of a recording."""
        from timing.recording.kept_readings import READING

        if self.is_foreign(number):
            return None
        is_sung = self.lines[number].is_sung
        return self.store.made(
            READING,
            (content, start, end, self.names[number][0]),
            lambda: self.aligner.read(opened.clear.cut(start, end), number, levels.blurs_words, is_sung),
        )


def _stray(regions: Regions, places: Sequence[Place]) -> Seconds:
    """Return how much sound lies outside all readings."""
    inside = [min(b, p.end) - max(a, p.start) for a, b in regions for p in places]
    return sum((b - a for a, b in regions), Fraction(0)) - sum((o for o in inside if o > 0), Fraction(0))


def _explains(places: Sequence[Place], number: int, regions: Regions) -> bool:
    """True where a file named after a line holds that line, or others that make up most of its sound."""
    whole = sum((b - a for a, b in regions), Fraction(0))
    complete = [place for place in places if place.is_complete]
    return any(place.line == number for place in complete) or 2 * _stray(regions, complete) < whole


def _not_that_line(name: str, bound: str, found: Sequence[Candidate]) -> Finding:
    others = list(dict.fromkeys(c.take.line_id for c in found if c.line is not None))
    what = f"line{'s' * (len(others) > 1)} {', '.join(others)}"
    message = f"{name} is named after line {bound}, whose words are not in it; it is heard as {what}: rename it"
    return Finding(FindingCode.NAMED_WRONGLY, message, {"line": bound, "file": name, "heard": others})


def from_first_sound(line: TimedLine, name: str, levels: Levels) -> TimedLine:
    findings = (*line.findings, *levels.findings())
    return replace(line.moved(-line.start), take=name, take_start=line.start, findings=findings)
