"""Lyric lines with the marks of printed vocal music: what is printed, how words split, what is pinned.

In: one sung line as written. Out: :class:`LyricLine`: the clean text, hand-made splits, and marks by their place
in the clean text.

===============  ============================================================================================
``twin-kle``     a hyphen splits syllables by hand and is not printed
``star_``        held: the syllable sounds one beat, and one more for each ``_``
``|``            a bar line: the next syllable falls on beat 1 of the next bar
``fall@3``       on beat 3; ``@2:3`` on beat 3 of the line's second bar; ``@4+`` halfway after beat 4;
                 ``@2.5`` ``@1+1/3`` between beats. It pins the piece of text it touches by its first syllable.
``and~on``       two words on one note
``=2``           the whole line in the rhythm of the song's second sung line
===============  ============================================================================================

The meaning of ``-`` ``_`` ``~`` and ``|`` is that of lyric alignment in the ABC music standard 2.1, section 5.1,
with beats in place of notes for ``_``.

**Printed hyphens.** A true compound ("merry-go-round") keeps its hyphens in print. A hyphen counts as one where a
piece has several syllables of its own (hand-split words come apart completely), where the pieces repeat or chime
("la-la-la", "tick-tock"), or where a little word stands between ("out-and-in"). A typographic hyphen (U+2010,
U+2011) is always printed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from timing.model import Where
from timing.plain.errors import ScriptError

_PIN = re.compile(
    r"@(?:(?P<bar>\d{1,4}):)?(?P<beat>\d{1,4}(?:\.\d{1,6})?)(?P<plus>\+(?:(?P<num>\d{1,4})/(?P<den>\d{1,4}))?)?"
)
_MARKS = re.compile(r"_+|@[\d:.+/]*|\|+")
_BAR = re.compile(r"\|+")
_VOWELS = "aeiouyàâäáãåæèéêëìíîïòóôöõøœùúûüýÿ"
_VOWEL_GROUP = re.compile(f"[{_VOWELS}]+")
_LITTLE_WORDS = frozenset({"and", "the", "of", "go", "n", "und", "et", "y", "e"})
_ENDINGS = frozenset("ty teen ing er est ed ly y ness ful less thing one body where times".split())  # "seven-ty"
_PARENTS = frozenset({"ma", "pa", "da", "na"})  # "ma-ma" is one word, "la-la" is two
HALFWAY = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Pin:
    """A syllable fixed by the user: ``beat`` from 1, ``bar`` from the line's own first bar (None: whichever)."""

    offset: int
    bar: int | None
    beat: Fraction

    def __str__(self) -> str:
        beat = f"{float(self.beat):.4g}"
        return f"@{beat}" if self.bar is None else f"@{self.bar}:{beat}"


@dataclass(frozen=True, slots=True)
class LyricMarks:
    """What the marks of one line say; offsets are into the clean text.

    ``holds``: last character of a held piece -> extra beats. ``bar_lines``: for each bar line the offset of the
    text after it. ``joins``: where a word begins that shares the note before it. ``same_as``: a line number.
    """

    holds: Mapping[int, int] = field(default_factory=dict)
    bar_lines: tuple[int, ...] = ()
    pins: tuple[Pin, ...] = ()
    joins: tuple[int, ...] = ()
    same_as: int | None = None


@dataclass(frozen=True, slots=True)
class LyricLine:
    """One sung line read: ``splits`` maps a word's start in ``text`` to its printed pieces fixed by hyphens."""

    text: str
    splits: Mapping[int, tuple[str, ...]]
    marks: LyricMarks
    where: Where


def parse_lyric(text: str, where: Where) -> LyricLine:
    """Return a lyric line read into clean text, splits and marks.

    Raises ScriptError, with file and line, for a mark that says nothing ("@" without a number, a hold before the
    first word) and for two line references.

    >>> line = parse_lyric("The | itsy bit-sy spi-der_", Where("song.txt", 3))
    >>> line.text, line.splits[9], line.marks.bar_lines
    ('The itsy bitsy spider', ('bit', 'sy'), (4,))
    """
    return _Reader(text, where).read()


class _Reader:
    """Reads one line from left to right; ``clean`` grows as it goes."""

    def __init__(self, written: str, where: Where):
        self.written, self.where = written, where
        self.clean: list[str] = []
        self.splits: dict[int, tuple[str, ...]] = {}
        self.holds: dict[int, int] = {}
        self.bar_lines: list[int] = []
        self.pins: list[Pin] = []
        self.joins: list[int] = []
        self.same_as: int | None = None
        self.waiting: Pin | None = None  # a pin that stands alone belongs to the next word
        self.waiting_bars = 0

    def error(self, message: str) -> ScriptError:
        return ScriptError(message, self.where.path, self.where.line_number)

    def read(self) -> LyricLine:
        for token in self.written.split():
            self.token(token)
        if self.waiting:
            raise self.error(f'"{self.written.split()[-1]}" pins nothing: no word follows it')
        self.bar_lines += [len(self.clean)] * self.waiting_bars
        text = "".join(self.clean)
        marks = LyricMarks(self.holds, tuple(self.bar_lines), tuple(self.pins), tuple(self.joins), self.same_as)
        return LyricLine(text, self.splits, marks, self.where)

    def token(self, token: str) -> None:
        if re.fullmatch(r"=\d+", token):
            if self.same_as is not None:
                raise self.error(f'"={self.same_as}" and "{token}": a line can follow the rhythm of one line only')
            self.same_as = int(token[1:8])  # more lines than any song has, whatever follows
            if self.same_as < 1:
                raise self.error(f'"{token}": sung lines count from 1, for example "=1"')
        elif _BAR.fullmatch(token):
            self.waiting_bars += 1
        elif re.fullmatch(r"_+", token):
            self.hold(len(token))
        elif token.startswith("@"):
            if not _PIN.fullmatch(token):
                raise self.error(_bad_pin(token))
            if self.waiting:
                raise self.error(f'"{self.waiting}" and "{token}" both pin the next word; keep one')
            self.waiting = self.pin(token, 0)
        else:
            self.words(token)

    def words(self, token: str) -> None:
        """Read what stands between two spaces: words joined by ``~``, bar lines that touch them."""
        pieces = re.split(r"(~|\|+)", token)
        joined = False
        for piece in pieces:
            if piece == "~":
                joined = True
            elif piece.startswith("|"):
                self.waiting_bars += 1
                joined = False
            elif piece:
                self.word(piece, joined)
                joined = False
        if joined or (pieces[0] == "" and len(pieces) > 1 and pieces[1] == "~"):
            raise self.error(f'"{token}": "~" joins two words on one note, for example "and~on"')

    def word(self, token: str, joined: bool) -> None:
        if self.clean:
            self.clean.append(" ")
        start = len(self.clean)
        pieces, kept = _pieces(_MARKS.sub("", token))
        printed = {i: hyphen for i, hyphen in enumerate(kept) if hyphen}
        index, piece_start, held, pinned = 0, start, 0, []
        for mark in re.finditer(r"_+|@[\d:.+/]*|[-‐‑]|[^-‐‑_@]+", token):
            text = mark.group()
            if text[0] == "_":
                held = len(text)
            elif text[0] == "@":
                if not _PIN.fullmatch(text):
                    raise self.error(_bad_pin(text))
                pinned.append(self.pin(text, piece_start))
            elif text in "-‐‑" and 0 < index + 1 < len(pieces) and len(self.clean) > piece_start:
                self._end_piece(held, piece_start)
                held = 0
                if index in printed:
                    self.clean.extend(printed[index])
                index, piece_start = index + 1, len(self.clean)
            else:
                self.clean.extend(text)
        if len(self.clean) == start:
            raise self.error(f'"{token}" holds no text to sing')
        self._end_piece(held, piece_start)
        self._take_waiting(start, joined)
        self.pins += pinned
        if joined:
            self.joins.append(start)
        if len(pieces) > 1 and not printed:  # a compound is left to the language, which knows its syllables
            self.splits[start] = tuple(pieces)

    def _end_piece(self, held: int, piece_start: int) -> None:
        if held:
            self.holds[max(len(self.clean) - 1, piece_start)] = held

    def _take_waiting(self, start: int, joined: bool) -> None:
        if joined and (self.waiting or self.waiting_bars):
            raise self.error(f'a word after "~" shares the note before it; it cannot be pinned: {self.written!r}')
        self.bar_lines += [start] * self.waiting_bars
        self.waiting_bars = 0
        if self.waiting:
            self.pins.append(Pin(start, self.waiting.bar, self.waiting.beat))
            self.waiting = None

    def hold(self, beats: int) -> None:
        if not self.clean:
            raise self.error('a hold "_" stands before the first word; write it after the syllable it holds')
        at = len(self.clean) - 1
        self.holds[at] = self.holds.get(at, 0) + beats

    def pin(self, mark: str, offset: int) -> Pin:
        found = _PIN.fullmatch(mark)
        if not found:
            raise self.error(_bad_pin(mark))
        beat = Fraction(found["beat"])
        if found["num"]:
            if not int(found["den"]):
                raise self.error(_bad_pin(mark))
            beat += Fraction(int(found["num"]), int(found["den"]))
        elif found["plus"]:
            beat += HALFWAY
        if beat < 1:
            raise self.error(f'"{mark}": beats count from 1')
        return Pin(offset, int(found["bar"]) if found["bar"] else None, beat)


def _bad_pin(mark: str) -> str:
    return f'"{mark[:40]}" is not a place in a bar; write "@3" for beat 3, "@2:3" for beat 3 of the second bar'


def _pieces(word: str) -> tuple[list[str], list[str]]:
    """Return the pieces of a word between hyphens, and for each hyphen what is printed of it ("" or the hyphen)."""
    body = re.fullmatch(r"(?P<pre>[-‐‑]*)(?P<core>.*?)(?P<post>[-‐‑]*)", word)
    assert body
    parts = re.split(r"([-‐‑])", body["core"])
    pieces, hyphens = parts[::2], parts[1::2]
    if "" in pieces:  # "--": a dash, nothing to split
        return [word], []
    pieces[0], pieces[-1] = body["pre"] + pieces[0], pieces[-1] + body["post"]
    # Where somebody took the trouble of typographic hyphens, the plain ones are splits.
    is_compound = set(hyphens) == {"-"} and _is_compound(pieces)
    return pieces, [h if is_compound or h != "-" else "" for h in hyphens]


def _is_compound(pieces: list[str]) -> bool:
    """True where the hyphens belong to the word; see the module's note on printed hyphens."""
    plain = [re.sub(r"[\W\d_]", "", p).lower() for p in pieces]
    if len(plain) < 2 or "" in plain:
        return False
    if plain[-1] in _ENDINGS:
        return False
    if any(_syllables(p) > 1 for p in plain):
        return True
    if any(p in _LITTLE_WORDS for p in plain[1:-1]):
        return True
    if len(set(plain)) == 1:
        return plain[0] not in _PARENTS
    skeletons = {_VOWEL_GROUP.sub("-", p) for p in plain}
    return len(skeletons) == 1 and len(skeletons.pop().replace("-", "")) > 1  # tick-tock, ding-dong


def _syllables(piece: str) -> int:
    """Vowel groups, without a final silent e: a rough count, enough to see that a piece could be split again."""
    groups = _VOWEL_GROUP.findall(re.sub(r"(?<=[^aeiouy])(e|es|ed)$", "", piece) or piece)
    return len(groups)
