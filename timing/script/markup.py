"""One line's text without its mark-up: emphasis and notes out, offsets kept.

Emphasis is that of Fountain and Markdown: ``*i*`` ``**b**`` ``***bi***`` ``_u_``, ``\\`` escapes. It never runs
over a line end, and a star with a space on its inner side is just a star (fountain.io/syntax, "Emphasis").
Notes arrive as markers (see :mod:`timing.script.elements`); pauses among them keep their place.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from timing.model import PauseMark
from timing.model.clock import Seconds

_TOKEN = re.compile(r"\\(?P<escaped>[\\*_\[\]~@!>.#(){}|=-])|(?P<stars>\*+)|(?P<under>_)")
_SPACES = re.compile(r"\s+")


@dataclass(slots=True)
class Piece:
    """Text with offsets into it; grows by :meth:`add`, spaces joined to one."""

    text: str = ""
    emphasis: list[tuple[int, int]] = field(default_factory=list)
    pauses: list[PauseMark] = field(default_factory=list)

    def add(self, other: Piece) -> None:
        """Append ``other`` after a space (none where there is no text yet)."""
        if self.text and other.text:
            self.text += " "
        start = len(self.text)
        self.emphasis += [(a + start, b + start) for a, b in other.emphasis]
        self.pauses += [replace(p, offset=p.offset + start) for p in other.pauses]
        self.text += other.text

    def pause(self, length: Seconds) -> None:
        """Put a silence after the text so far."""
        self.pauses.append(PauseMark(len(self.text), length))

    def settled_pauses(self) -> tuple[PauseMark, ...]:
        """Return the pauses, each before a character that is no space (or at the end), doubles added up."""
        found: dict[int, Seconds] = {}
        for mark in self.pauses:
            offset = mark.offset
            while offset < len(self.text) and self.text[offset] == " ":
                offset += 1
            found[offset] = found.get(offset, Seconds(0)) + mark.length
        return tuple(PauseMark(offset, length) for offset, length in sorted(found.items()))


def strip_emphasis(text: str, underline: bool = True) -> tuple[str, list[tuple[int, int]]]:
    """Return the text without emphasis marks and the ranges that were emphasised.

    ``underline`` False leaves ``_`` alone, which in a lyric holds a syllable.

    >>> strip_emphasis("a **very** big _sea_")
    ('a very big sea', [(2, 6), (11, 14)])
    >>> strip_emphasis("dial *69 and then *23")
    ('dial *69 and then *23', [])
    """
    if "*" not in text and "_" not in text and "\\" not in text:
        return text, []
    parts: list[str] = []  # text and marks in order; marks that pair are emptied later
    opened: list[tuple[str, int]] = []  # mark, index into parts
    pairs: list[tuple[int, int]] = []
    last = 0
    for match in _TOKEN.finditer(text):
        parts.append(text[last : match.start()])
        last = match.end()
        if match["escaped"]:
            parts.append(match["escaped"])
            continue
        mark = match[0]
        parts.append(mark)
        if (mark == "_" and not underline) or len(mark) > 3:
            continue
        _pair(mark, len(parts) - 1, text, match, opened, pairs)
    parts.append(text[last:])
    return _without_marks(parts, pairs)


def _pair(
    mark: str,
    index: int,
    text: str,
    match: re.Match[str],
    opened: list[tuple[str, int]],
    pairs: list[tuple[int, int]],
) -> None:
    before, after = text[match.start() - 1 : match.start()], text[match.end() : match.end() + 1]
    closes, opens = bool(before.strip()), bool(after.strip())
    if mark == "_":  # an underscore inside a word is a letter of it
        closes, opens = closes and not after.isalnum(), opens and not before.isalnum()
    if closes:
        for depth in range(len(opened) - 1, max(len(opened) - 4, -1), -1):  # marks nest three deep at most
            if opened[depth][0] == mark:
                pairs.append((opened[depth][1], index))
                del opened[depth:]
                return
        if mark == "***" and len(opened) > 1 and {opened[-1][0], opened[-2][0]} == {"*", "**"}:
            pairs += [(opened[-1][1], index), (opened[-2][1], index)]
            del opened[-2:]
            return
    if opens:
        opened.append((mark, index))


def _without_marks(parts: list[str], pairs: list[tuple[int, int]]) -> tuple[str, list[tuple[int, int]]]:
    silent = {index for pair in pairs for index in pair}
    starts, length = [], 0
    for index, part in enumerate(parts):
        starts.append(length)
        length += 0 if index in silent else len(part)
    text = "".join(part for index, part in enumerate(parts) if index not in silent)
    ranges = sorted({(starts[a], starts[b]) for a, b in pairs if starts[b] > starts[a]})
    return text, _merged(ranges)


def _merged(ranges: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return sorted ranges without overlaps: bold inside italic is one emphasis."""
    found: list[tuple[int, int]] = []
    for start, end in ranges:
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return found


def tidy(piece: Piece) -> Piece:
    """Return the piece with runs of white space made one space, none at the ends, and its offsets moved along."""
    kept: list[int] = []  # for each old offset, the new one
    out: list[str] = []
    for char in piece.text:
        kept.append(len(out))
        if char.isspace():
            if out and out[-1] != " ":
                out.append(" ")
        else:
            out.append(char)
    text = "".join(out).rstrip()
    kept.append(len(out))

    def new(offset: int) -> int:
        return min(kept[offset], len(text))

    return Piece(
        text,
        [(new(a), new(b)) for a, b in piece.emphasis if new(b) > new(a)],
        [PauseMark(new(p.offset), p.length) for p in piece.pauses],
    )
