"""MusicXML to tunes.

Source: MusicXML 4.0 (W3C Community Group): ``lyric`` with ``text``, ``elision`` (two syllables on one note),
``number`` (verse), ``extend``; ``divisions``, ``backup``/``forward``, ``chord``, ``grace``, ``tie``, ``repeat`` and
``ending``; the pick-up bar is ``implicit``; ``.mxl`` is a zip whose META-INF/container.xml names the score. Entities
are refused and sizes limited before anything is built.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from xml.parsers import expat

from timing.model.metre import COMMON_TIME, Metre, parse_metre
from timing.plain.errors import ScriptError
from timing.plain.inputs import read_regular, require_regular
from timing.plain.numbers import exact, whole
from timing.song.tunes.tune import LARGEST_FILE, Tune, TuneSyllable

MOST_MEASURES = 5000  # played, repeats written out
MOST_DURATION = 16_777_215  # in divisions: MIDI's own limit of a delta time is of this size
MOST_TURNS = 99  # of a repeat, and verses
_JUMPS = ("dacapo", "dalsegno", "tocoda")


@dataclass(slots=True)
class _Sung:
    """A syllable while it is read: times in quarters from the beginning of the part."""

    text: str
    start: Fraction
    end: Fraction
    verse: int


def read_musicxml(path: Path) -> Tune:
    """Return the tune of the part with the most lyrics; raises ScriptError for what cannot be used."""
    root = _parse(_score_bytes(path), path)
    if root.tag == "score-timewise":
        raise ScriptError("is MusicXML in time-wise order; save it part-wise (the usual form)", path)
    if root.tag != "score-partwise":
        raise ScriptError(f'is not a MusicXML score (it begins with "{root.tag}")', path)
    parts = root.findall("part")
    part = max(parts, key=lambda p: len(p.findall("measure/note/lyric")), default=None)
    if part is None or part.find("measure/note/lyric") is None:
        raise ScriptError("holds no lyrics", path)
    tune = _Reader(part, path).read()
    heard = {s.verse for s in tune.syllables}
    printed = {_small(x.get("number", "1"), 1) for x in part.iterfind("measure/note/lyric")}
    further = [s for v in sorted(printed - heard) for s in _Reader(part, path, v).read().syllables if s.verse == v]
    return Tune(tune.syllables + tuple(further), tune.metre, tune.bpm)


def _score_bytes(path: Path) -> bytes:
    """Return the score's XML, out of its zip where it is packed."""
    if path.suffix.lower() != ".mxl":
        return read_regular(path, LARGEST_FILE)
    try:
        require_regular(path)
        with zipfile.ZipFile(path) as packed:
            container = _parse(_member(packed, "META-INF/container.xml", path), path)
            name = next((e.get("full-path") for e in container.iter() if e.tag.endswith("rootfile")), None)
            if not name:
                raise ScriptError("names no score in its META-INF/container.xml", path)
            return _member(packed, name, path)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
        raise ScriptError(f"is not a packed score that can be opened ({error})", path) from None


def _member(packed: zipfile.ZipFile, name: str, path: Path) -> bytes:
    try:
        with packed.open(name) as member:
            found = member.read(LARGEST_FILE + 1)
    except KeyError:
        raise ScriptError(f'holds no "{name}"', path) from None
    if len(found) > LARGEST_FILE:
        raise ScriptError(f'"{name}" in it is larger than {LARGEST_FILE // 1_000_000} MB', path)
    return found


def _parse(data: bytes, path: Path) -> ET.Element:
    """Return the document's root; entities of its own are refused, nothing outside is fetched."""

    def refuse(*_: object) -> None:
        raise ScriptError("defines XML entities; a score needs none, and they are not read here", path)

    guard = expat.ParserCreate()
    guard.EntityDeclHandler = refuse
    try:
        guard.Parse(data, True)
        return ET.fromstring(data)
    except (expat.ExpatError, ET.ParseError, LookupError, ValueError) as error:
        raise ScriptError(f"is not well-formed XML ({error})", path) from None


class _Reader:
    """Plays one part from its first bar to its last and notes down what is sung.

    Repeats choose the verse by their turn; ``verse`` reads one that is printed below without a repeat.
    """

    def __init__(self, part: ET.Element, path: Path, verse: int | None = None):
        self.measures, self.path, self.verse = part.findall("measure"), path, verse
        self.divisions = Fraction(1)
        self.metre: Metre | None = None
        self.bpm: Fraction | None = None  # quarters a minute
        self.sung: list[_Sung] = []

    def read(self) -> Tune:
        self._look_for_jumps()
        at = Fraction(0)
        pick_up = Fraction(0)
        divisions = self._divisions()
        for played, (index, turn) in enumerate(self._order()):
            if played > MOST_MEASURES:
                raise ScriptError("repeats more than can be played through", self.path)
            self.divisions = divisions[index]
            length = self._measure(self.measures[index], at, turn)
            assert self.metre is not None
            full = self.metre.beats * self.metre.quarters
            if played == 0 and length < full:
                pick_up = length
            elif length < full and self.measures[index].get("implicit") != "yes":
                length = full
            at += length
        if self.metre is None or not self.sung:
            raise ScriptError("holds no lyrics that could be read", self.path)
        beat = self.metre.quarters
        self.sung.sort(key=lambda s: s.start)
        syllables = tuple(
            TuneSyllable(s.text, (s.start - pick_up) / beat, (s.end - s.start) / beat, s.verse)
            for s in self.sung
            if s.end > s.start
        )
        return Tune(syllables, self.metre, None if self.bpm is None else self.bpm / beat)

    def _look_for_jumps(self) -> None:
        for number, measure in enumerate(self.measures, 1):
            for sound in measure.iter("sound"):
                jump = next((j for j in _JUMPS if sound.get(j)), None)
                if jump:
                    raise ScriptError(
                        f"jumps ({jump}) in bar {measure.get('number', number)}; write the song out in full, or with "
                        "plain repeats",
                        self.path,
                    )

    def _divisions(self) -> list[Fraction]:
        """Return the divisions of a quarter in force in each written measure."""
        found, now = [], Fraction(1)
        for measure in self.measures:
            text = measure.findtext("attributes/divisions")
            if text:
                now = self._number(text, "divisions", 0, MOST_DURATION)
                if not now:
                    raise ScriptError(f'divisions "{text}" cannot be', self.path)
            found.append(now)
        return found

    def _order(self) -> Iterator[tuple[int, int]]:
        """Yield (index, turn) of the measures as played: repeats written out, endings chosen by the turn."""
        start, turn, i = 0, 1, 0
        endings: set[int] = set()  # turns of the ending we are in
        while i < len(self.measures):
            measure = self.measures[i]
            bars = measure.findall("barline")
            for bar in bars:
                repeat, ending = bar.find("repeat"), bar.find("ending")
                if repeat is not None and repeat.get("direction") == "forward" and i != start:
                    start, turn = i, 1
                if ending is not None and ending.get("type") == "start":
                    endings = {_small(n, 1) for n in ending.get("number", "1").replace(",", " ").split()}
            is_skipped = bool(endings) and turn not in endings
            if not is_skipped:
                yield i, turn
            goes_back = False
            for bar in bars:
                repeat, ending = bar.find("repeat"), bar.find("ending")
                if repeat is not None and repeat.get("direction") == "backward" and not is_skipped:
                    times = repeat.get("times", "2")
                    most = max(_small(times, 2), max(endings, default=0) + bool(endings))
                    goes_back = turn < most
                    if not goes_back:
                        start, turn = i + 1, 1
                if ending is not None and ending.get("type") in ("stop", "discontinue"):
                    endings = set()
            if goes_back:
                i, turn = start, turn + 1
            else:
                i += 1

    def _measure(self, measure: ET.Element, start: Fraction, turn: int) -> Fraction:
        """Read one measure that begins at ``start`` (quarters); return its length."""
        at = longest = previous = Fraction(0)
        for element in measure:
            if element.tag == "attributes":
                self._attributes(element)
            elif element.tag in ("backup", "forward"):
                step = self._duration(element)
                at += step if element.tag == "forward" else -step
                at = max(at, Fraction(0))
            elif element.tag == "note":
                if element.find("grace") is not None:
                    continue
                length = self._duration(element)
                if element.find("chord") is not None:
                    at = previous
                self._note(element, start + at, length, turn)
                previous = at
                at += length
            for sound in element.iter("sound"):
                tempo = sound.get("tempo")
                if tempo and self.bpm is None:
                    self.bpm = self._number(tempo, "a tempo", 1, 1000)
            longest = max(longest, at)
        if self.metre is None:
            self.metre = COMMON_TIME
        return longest

    def _attributes(self, element: ET.Element) -> None:
        beats, unit = element.findtext("time/beats"), element.findtext("time/beat-type")
        if beats and unit:
            try:
                metre = parse_metre(f"{beats[:9]}/{unit[:9]}")
            except ValueError:
                raise ScriptError(
                    f"has the time signature {beats[:9]}/{unit[:9]}; write one like 5/4", self.path
                ) from None
            if self.metre is not None and metre != self.metre:
                raise ScriptError(
                    f"changes its time signature from {self.metre} to {beats}/{unit}; one metre a song is supported",
                    self.path,
                )
            self.metre = metre

    def _note(self, note: ET.Element, start: Fraction, length: Fraction, turn: int) -> None:
        lyrics = note.findall("lyric")
        chosen = next((x for x in lyrics if x.get("number", "1") == str(self.verse or turn)), None)
        if chosen is None and lyrics and self.verse is None:
            chosen = lyrics[0]
        text = "" if chosen is None else " ".join(t.text or "" for t in chosen.findall("text")).strip()
        if text:
            assert chosen is not None
            number = chosen.get("number", "1")
            self.sung.append(_Sung(text, start, start + length, _small(number, 1)))
        elif note.find("rest") is None and self.sung and self.sung[-1].end == start:
            self.sung[-1].end = start + length  # a tie or a melisma

    def _duration(self, element: ET.Element) -> Fraction:
        return self._number(element.findtext("duration", "0"), "a duration", 0, MOST_DURATION) / self.divisions

    def _number(self, text: str, name: str, low: int, high: int) -> Fraction:
        try:
            found = exact(text)
        except ValueError as error:
            raise ScriptError(f"{name}: {error}", self.path) from None
        if not low <= found <= high:
            raise ScriptError(f"{name} lies between {low} and {high}, not {text.strip()}", self.path)
        return found


def _small(text: str, otherwise: int) -> int:
    """Return the number of a verse or a turn; what is none, or beyond any song, counts as ``otherwise``."""
    try:
        return whole(text, 1, MOST_TURNS)
    except ValueError:
        return otherwise
