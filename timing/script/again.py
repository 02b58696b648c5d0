"""A part of a song that is written once and sung again: ``[[again chorus]]`` and the trade's ways of saying so.

In: the script's lines, and marks between them (where a part is headed, where one is called back). Out: the lines with
those of the part brought back, each time with its marks and pins, and what could not be found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

from timing.model import Finding, LineKind, ScriptLine, SongCue, Where
from timing.model.findings import FindingCode
from timing.plain.nearest import nearest


class MarkKind(Enum):
    """What a mark between two lines says."""

    PART = "a part begins"
    AGAIN = "a part is sung again"
    END = "the part before ends"
    SONG = "another song begins"


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark before line number ``at``; ``name`` is "chorus" or "verse 2", "" for what stands right above.

    ``times``: how often a part is sung here in all, of an empty name how often the lines above. ``cue``: the song note
    that the part called back begins at.
    """

    kind: MarkKind
    at: int
    where: Where
    name: str = ""
    times: int = 1
    is_line: bool = False  # the one line above, not its whole stanza
    cue: SongCue | None = None
    directions: tuple[str, ...] = ()  # how it is sung this time
    speaker: str | None = None  # who sings it this time, where that is said


@dataclass(frozen=True, slots=True)
class _Part:
    name: str
    mark: int
    song: int
    first: int
    last: int  # exclusive

    @property
    def role(self) -> str:
        return self.name.rsplit(" ", 1)[0] if self.name[-1:].isdigit() else self.name


def bring_back(lines: Sequence[ScriptLine], marks: Sequence[Mark]) -> tuple[list[ScriptLine], list[Finding]]:
    """Return the lines with the parts called back among them, and a finding for each that could not be."""
    return _Returns(lines, marks).all()


class _Returns:
    def __init__(self, lines: Sequence[ScriptLine], marks: Sequence[Mark]):
        self.lines, self.marks = lines, list(marks)
        self.findings: list[Finding] = []
        self.song_of: list[int] = []  # for each mark, the number of its song
        self.parts = self._parts()

    def _parts(self) -> list[_Part]:
        parts, song = [], 0
        for i, mark in enumerate(self.marks):
            song += mark.kind is MarkKind.SONG
            self.song_of.append(song)
            if mark.kind is not MarkKind.PART:
                continue
            ends = (m.at for m in self.marks[i + 1 :] if m.kind is not MarkKind.AGAIN or m.name)
            last = min(next(ends, len(self.lines)), self._first_spoken(mark.at))
            if any(line.kind is LineKind.SUNG for line in self.lines[mark.at : last]):
                parts.append(_Part(mark.name, i, song, mark.at, last))
        return parts

    def _first_spoken(self, start: int) -> int:
        spoken = (i for i in range(start, len(self.lines)) if self.lines[i].kind is LineKind.SPOKEN)
        return next(spoken, len(self.lines))

    def all(self) -> tuple[list[ScriptLine], list[Finding]]:
        out: list[ScriptLine] = []
        after: dict[int, list[tuple[_Part, Mark]]] = {}  # parts with a count, by the line after them
        heard: list[ScriptLine] = []  # the stanza sung last, for "(x2)" below it
        todo = sorted(enumerate(self.marks), key=lambda m: m[1].at)
        for at in range(len(self.lines) + 1):
            for part, mark in after.pop(at, []):
                for _ in range(mark.times - 1):
                    out += self._copies(self._sung(part), mark)
            while todo and todo[0][1].at == at:
                index, mark = todo.pop(0)
                heard = self._mark(index, mark, out, after, heard)
            if at < len(self.lines):
                line = self.lines[at]
                out.append(line)
                heard = [*heard, line] if self._goes_on(heard, line) else [line]
        return out, self.findings

    @staticmethod
    def _goes_on(stanza: Sequence[ScriptLine], line: ScriptLine) -> bool:
        """True where a sung line stands right below the stanza."""
        if not stanza or line.kind is not LineKind.SUNG or stanza[-1].kind is not LineKind.SUNG:
            return False
        return (line.where.line_number or 0) - (stanza[-1].where.line_number or 0) == 1

    def _sung(self, part: _Part) -> list[ScriptLine]:
        return [line for line in self.lines[part.first : part.last] if line.kind is LineKind.SUNG]

    def _mark(
        self,
        index: int,
        mark: Mark,
        out: list[ScriptLine],
        after: dict[int, list[tuple[_Part, Mark]]],
        heard: list[ScriptLine],
    ) -> list[ScriptLine]:
        if mark.kind is MarkKind.AGAIN and not mark.name:
            above = heard[-1:] if mark.is_line else heard
            above = [line for line in above if line.kind is LineKind.SUNG]
            if not above:
                self._unknown(mark, "there are no sung lines right above it")
            for _ in range(max(1, mark.times - 1)):
                out += self._copies(above, mark)
            return heard if mark.is_line else []
        if mark.kind is MarkKind.PART:
            own = next((p for p in self.parts if p.mark == index), None)
            if own:
                if mark.times > 1:
                    after.setdefault(own.last, []).append((own, mark))
                return []
            self._call_back(index, mark, out, is_bare=True)
        elif mark.kind is MarkKind.AGAIN:
            self._call_back(index, mark, out, is_bare=False)
        return []

    def _call_back(self, index: int, mark: Mark, out: list[ScriptLine], is_bare: bool) -> None:
        part = self._meant(index, mark, is_bare)
        if part is not None:
            lines = self._first_stanza(part, mark)
            for turn in range(mark.times):
                out += self._copies(lines, mark, mark.cue if turn == 0 else None)
        elif is_bare and not mark.name.startswith("chorus"):
            message = f'no words stand under "{mark.name}": music only, no line and no clip'
            self.findings.append(Finding(FindingCode.SECTION_EMPTY, message, {"name": mark.name}, mark.where))
        else:
            names = list(dict.fromkeys(p.name for p in self.parts))
            near = nearest(mark.name, names)
            advice = f"did you mean [[again {near[0]}]]?" if near else f"write its lines under a heading {mark.name}"
            self._unknown(mark, f"no {mark.name} is written; {advice}")

    def _unknown(self, mark: Mark, why: str) -> None:
        message = f"nothing was brought back here: {why}"
        self.findings.append(Finding(FindingCode.AGAIN_UNKNOWN, message, {"name": mark.name}, mark.where))

    def _meant(self, index: int, mark: Mark, is_bare: bool) -> _Part | None:
        """Return the part called back: in this song the last one before, else one written later; else of any song."""
        song = self.song_of[index]
        exact = [p for p in self.parts if p.name == mark.name]
        alike = [p for p in self.parts if p.role == mark.name or (p.role == "chorus" and mark.name[:6] == "chorus")]
        if is_bare and not mark.name.startswith("chorus"):
            alike = []  # an empty "Bridge" is music without words, an empty "Verse 3" is still to be written
        for found in (exact, alike):
            own = [p for p in found if p.song == song]
            before = [p for p in own if p.first < mark.at]
            if own:
                return before[-1] if before else own[0]
        return next((p for p in reversed([*alike, *exact]) if p.first < mark.at), None)

    def _first_stanza(self, part: _Part, mark: Mark) -> list[ScriptLine]:
        """Return a part's lines: its first stanza, where no other part is headed and verses go on below it."""
        lines = self._sung(part)
        if any(p.song == part.song and p.role != part.role for p in self.parts):
            return lines
        stanza = lines[:1]
        for line in lines[1:]:
            if not self._goes_on(stanza, line):
                break
            stanza.append(line)
        if len(stanza) < len(lines):
            first, last = stanza[0].where.line_number, stanza[-1].where.line_number
            message = (
                f"the {mark.name} was taken to be lines {first} to {last}, down to the blank line; "
                "head the other verses (Verse 1, Verse 2) if it is longer"
            )
            self.findings.append(Finding(FindingCode.AGAIN_STANZA, message, {"name": mark.name}, mark.where))
        return stanza

    @staticmethod
    def _copies(lines: Sequence[ScriptLine], mark: Mark, cue: SongCue | None = None) -> list[ScriptLine]:
        """Return lines as they are sung again: the same, at the mark's cue, what was found said once already."""
        copies = [
            replace(
                line,
                cue=None,
                findings=(),
                again=mark.where,
                speaker=mark.speaker or line.speaker,
                directions=(*line.directions, *mark.directions),
            )
            for line in lines
        ]
        return [replace(copies[0], cue=cue), *copies[1:]] if copies else []
