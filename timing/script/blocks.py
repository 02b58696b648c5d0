"""What both readers (Fountain and plain text) hand to the assembly: blocks of numbered lines, notes as markers.

:func:`prepare` takes cleaned text, removes the boneyard (``/* */``) and puts a short marker in the place of each
``[[note]]``, so that a note may span lines and stand anywhere without disturbing the reading of what is around
it. A line that held nothing but a note or boneyard is not a blank line: it does not end a speech.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import Enum

from timing.model import Finding, Passage, Where
from timing.model.findings import FindingCode
from timing.script.notes import Note, read_note
from timing.script.passages import Wait

_LONG_SPACES = re.compile(r"[ \t]{9,}")  # more say nothing, and would make the reading of a line slow
MARKER = re.compile("\x02(\\d+)\x03")
LONGEST_LINE_CHARACTERS = 50_000  # far beyond any speech: about an hour of it


class BlockKind(Enum):
    """What a run of lines is."""

    SCENE = "scene heading"
    PICTURE = "picture"
    SPEECH = "speech"
    SONG = "song heading"
    SONG_END = "song end"
    NOTES = "notes on their own"
    SONG_PART = "a part of a song is headed"
    AGAIN = "a part of a song is sung again"


class PartKind(Enum):
    """What one line inside a speech is."""

    WORDS = "words"
    DIRECTION = "direction"
    LYRIC = "lyric"


@dataclass(frozen=True, slots=True)
class Part:
    """One line of a block; ``text`` still holds emphasis and note markers."""

    kind: PartKind
    text: str
    line_number: int


@dataclass(slots=True)
class Block:
    """A scene heading, a picture passage, a speech with its lines; ``times`` of a song's part."""

    kind: BlockKind
    line_number: int
    parts: list[Part] = field(default_factory=list)
    text: str = ""
    speaker: str | None = None
    directions: tuple[str, ...] = ()
    is_dual: bool = False
    findings: list[Finding] = field(default_factory=list)
    times: int = 1
    passage: Passage = Passage.PICTURE
    wait: Wait | None = None


@dataclass(frozen=True, slots=True)
class SourceLine:
    """One line of the file; ``is_notes_only``: it holds notes or boneyard and nothing else."""

    number: int
    text: str
    is_notes_only: bool = False

    @property
    def is_blank(self) -> bool:
        return not self.is_notes_only and not self.text.strip()


@dataclass(slots=True)
class Prepared:
    """The lines of a script, its notes (a marker's number is an index into them), and findings so far."""

    lines: list[SourceLine]
    notes: list[Note]
    findings: list[Finding]

    def marker(self, note: Note) -> str:
        """Return a marker for one more note."""
        self.notes.append(note)
        return f"\x02{len(self.notes) - 1}\x03"


@dataclass(slots=True)
class _Finder:
    """Finds the next occurrence of a pattern at or after a place, without searching any stretch twice."""

    pattern: re.Pattern[str]
    text: str
    at: int = -1

    def after(self, start: int) -> int:
        """Return where the pattern next begins, the end of the text when it does not."""
        if self.at < start:
            match = self.pattern.search(self.text, start)
            self.at = match.start() if match else len(self.text)
        return self.at


def prepare(text: str, path: str, boneyard: bool = True) -> Prepared:
    """Return the lines of a script with its notes read and taken out."""
    findings: list[Finding] = []
    notes: list[Note] = []
    out: list[str] = []
    starts = re.compile(r"/\*|\[\[" if boneyard else r"\[\[")
    ends = {"[[": _Finder(re.compile(r"\]\]"), text), "/*": _Finder(re.compile(r"\*/"), text)}
    blank = _Finder(re.compile(r"\n[ \t]?\n"), text)
    at, line_number = 0, 1
    for match in starts.finditer(text):
        if match.start() < at:
            continue
        out.append(text[at : match.start()])
        line_number += text.count("\n", at, match.start())
        at = match.start()
        end = ends[match[0]].after(match.end())
        where = Where(path, line_number)
        if end == len(text) or (match[0] == "[[" and blank.after(match.end()) < end):
            what = "note" if match[0] == "[[" else "boneyard"
            close = "]]" if what == "note" else "*/"
            findings.append(
                Finding(
                    FindingCode.NOT_CLOSED,
                    f"a {what} begins with {match[0]} here and has no {close}; read as text",
                    {},
                    where,
                )
            )
            continue
        inside = text[match.end() : end]
        if match[0] == "[[":
            note = read_note(inside, where)
            if note.finding:
                findings.append(note.finding)
            out.append(f"\x02{len(notes)}\x03")
            notes.append(note)
        out.append("\x04" * inside.count("\n") + "\x05")  # line ends taken out; something stood here
        line_number += inside.count("\n")
        at = end + 2
    out.append(text[at:])
    return Prepared(_lines(_LONG_SPACES.sub(" " * 8, "".join(out))), notes, findings)


def _lines(text: str) -> list[SourceLine]:
    lines, number = [], 1
    for raw in text.split("\n"):
        kept = raw.replace("\x04", "").replace("\x05", "")
        only = "\x05" in raw and not MARKER.sub("", kept).strip()
        lines.append(SourceLine(number, kept, only))
        number += 1 + raw.count("\x04")
    return lines
