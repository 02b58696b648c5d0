"""A line cut into written tokens, each with its place in the line and with the punctuation around it.

In: the line as written. Out: tokens whose offsets point into that very line, whatever was straightened for
reading (curly quotes, ligatures, accents written as two characters, invisible characters). Not spoken, and so no
token: directions in brackets or between asterisks, emoji and other pictures.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

_QUOTES = str.maketrans({"’": "'", "‘": "'", "ʼ": "'", "`": "'", "´": "'", "′": "'", "‐": "-", "‑": "-", "−": "-"})
_INVISIBLE = frozenset("\u00ad\u200b\u200c\u2060\ufeff\u200e\u200f")
_LIGATURES = {"ﬀ": "ff", "ﬁ": "fi", "ﬂ": "fl", "ﬃ": "ffi", "ﬄ": "ffl", "ﬅ": "st", "ﬆ": "st"}
_DIRECTION = re.compile(r"\([^()]*\)|\[[^\[\]]*\]|\{[^{}]*\}|<[^<>]*>|（[^（）]*）")
_STARRED = re.compile(r"(?:^|(?<=[.!?…]))\s*\*+([^*\n]+?)\*+(?=\s|$)")
_DASHES = "—–―⸺"
_DOTS = re.compile(r"\.{2,}|…+")
# A dash between figures is a range and parts nothing: 5–10.
_SPLIT = re.compile(
    rf"(?!(?<=\d)–\d)(?:(?<=[\w'!?,;:.…])(?:[{_DASHES}]+|-{{2,}})|(?:\.{{2,}}|…+)(?=[^\s\W])|[{_DASHES}]+|-{{2,}})"
)
_SPOKEN_SIGNS = frozenset("&+=@%°×÷#$£€¥¢½⅓⅔¼¾⅕⅖⅗⅘⅙⅛⅜⅝⅞")
_EDGE = re.compile(r"^[^\w&+=@%°×÷#$£€¥¢½⅓⅔¼¾⅕⅖⅗⅘⅙⅛⅜⅝⅞']*")


@dataclass(frozen=True, slots=True)
class Written:
    """A text made readable: ``text`` for reading, ``places[i]`` the offset in the line of its character ``i``.

    ``places`` has one more entry, the end.
    """

    text: str
    places: tuple[int, ...]

    def __getitem__(self, part: slice) -> Written:
        start, stop, _ = part.indices(len(self.text))
        stop = max(start, stop)
        return Written(self.text[start:stop], self.places[start : stop + 1])

    def keep(self, wanted: Sequence[bool]) -> Written:
        """Return the text without some characters; what is left keeps its place."""
        kept = [i for i, keep in enumerate(wanted) if keep]
        return Written("".join(self.text[i] for i in kept), (*(self.places[i] for i in kept), self.places[-1]))


def straighten(line: str) -> Written:
    """Return the line in one code point a letter, with straight quotes and without ligatures.

    >>> straighten("ﬁsh’s").text
    "fish's"
    """
    text, places = [], []
    at = 0
    while at < len(line):
        end = at + 1
        while end < len(line) and unicodedata.combining(line[end]):
            end += 1
        cluster = unicodedata.normalize("NFC", line[at:end]).translate(_QUOTES)
        cluster = "".join(_LIGATURES.get(c, c) for c in cluster if c not in _INVISIBLE)
        text.append(cluster)
        places += [at] * len(cluster)
        at = end
    return Written("".join(text), (*places, len(line)))


@dataclass(frozen=True, slots=True)
class Token:
    """One written token: ``core`` is what is read, ``before``/``after`` the punctuation around it.

    ``written`` is the whole of it, with places in the line. ``marks`` is all punctuation up to the next token.
    """

    written: Written
    core: Written
    before: str
    after: str
    marks: str = ""
    is_joined: bool = False  # the next token follows without a space

    @property
    def start(self) -> int:
        return self.written.places[0]

    @property
    def end(self) -> int:
        return self.written.places[-1]


@dataclass(frozen=True, slots=True)
class Cut:
    """The tokens of a line and the pictures (emoji) that were passed over."""

    tokens: tuple[Token, ...]
    pictures: tuple[str, ...] = field(default=())


def cut(line: str, is_acted: Callable[[list[str]], bool] = lambda words: False) -> Cut:
    """Return the tokens of a line; ``is_acted`` tells a direction between asterisks ("*giggles*") by its words.

    >>> [t.core.text for t in cut("Wait… (whispers) it's here—look!").tokens]
    ['Wait', "it's", 'here', 'look']
    """
    whole = straighten(line)
    masked, pictures = _mask(whole.text, is_acted)
    tokens: list[Token] = []
    for found in re.finditer(r"\S+", masked):
        for start, end in _pieces(masked, found.start(), found.end()):
            piece = whole[start:end]
            lead = len(_EDGE.match(masked[start:end])[0])  # type: ignore[index]  # the pattern matches anything
            tail = _tail(masked[start + lead : end])
            core = whole[start + lead : end - tail]
            if not any(c.isalnum() or c in _SPOKEN_SIGNS for c in core.text):
                if tokens:
                    tokens[-1] = replace(tokens[-1], marks=tokens[-1].marks + " " + masked[start:end], is_joined=False)
                continue
            after = masked[end - tail : end]
            tokens.append(Token(piece, core, masked[start : start + lead], after, after, end < found.end()))
    return Cut(tuple(tokens), tuple(pictures))


def _tail(text: str) -> int:
    """Return how many characters at the end are punctuation; the full stop of "a.m." and "U.S." is not."""
    end = len(text)
    while end and not (text[end - 1].isalnum() or text[end - 1] in _SPOKEN_SIGNS):
        end -= 1
    return len(text) - end


def _pieces(masked: str, start: int, end: int) -> list[tuple[int, int]]:
    """Cut at dashes and after ellipses inside a token: "tide—and", "10...9"."""
    pieces, at = [], start
    for found in _SPLIT.finditer(masked, start, end):
        if found.end() < end and found.start() > start and found.end() > at:
            pieces.append((at, found.end()))
            at = found.end()
    pieces.append((at, end))
    return pieces


def _mask(text: str, is_acted: Callable[[list[str]], bool]) -> tuple[str, list[str]]:
    """Return the text with directions and pictures blanked out, and the pictures."""
    before = None
    while before != text:  # brackets within brackets, from the inside
        before, text = text, _DIRECTION.sub(lambda m: " " * len(m[0]), text)
    text = _STARRED.sub(lambda m: " " * len(m[0]) if is_acted(_small_words(m[1])) else m[0], text)
    text = re.sub(r"[*_~|♪♫♩♬]", " ", text) if not re.search(r"\w_\w", text) else re.sub(r"[*~|♪♫♩♬]", " ", text)
    pictures: list[str] = []
    shown = []
    for character in text:
        if _is_picture(character):
            if character.isprintable() and unicodedata.category(character) == "So":
                pictures.append(character)
            character = " "
        shown.append(character)
    return "".join(shown), pictures


def _small_words(text: str) -> list[str]:
    return [word.strip(".,;:!?…\"'") for word in text.casefold().split()]


def _is_picture(character: str) -> bool:
    if character in _SPOKEN_SIGNS or character < "\u00a0":
        return False
    return unicodedata.category(character) in ("So", "Sk", "Cn", "Co") or character in "\ufe0f\u200d\u20e3"
