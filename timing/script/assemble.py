"""Blocks -> script lines: what each speech says, with directions, pauses, lengths and song cues in their places."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction

from timing.model import Finding, LineKind, NotedLength, Passage, PauseMark, ScriptLine, SongCue, Where
from timing.model.findings import FindingCode
from timing.plain.errors import ScriptError
from timing.plain.figures import figure
from timing.plain.nearest import ends_otherwise, one_slip
from timing.script.again import Mark, MarkKind, bring_back
from timing.script.blocks import MARKER, Block, BlockKind, Part, PartKind, Prepared
from timing.script.directions import misspelt, sort_brackets
from timing.script.markup import Piece, strip_emphasis, tidy
from timing.script.notes import Note, slug, written_pause
from timing.script.passages import LEAST_WAIT_S, Wait, near_wait, read_sound, read_wait
from timing.script.set_aside import line_ranges
from timing.script.song_signs import SongPart, count_at_end
from timing.script.together import joined_names

LONGEST_SPEECH_CHARACTERS = 20_000


class Told(Enum):
    """How the length of a wait is known."""

    ASSUMED = "its words name none"
    SAID = "by its words"
    NOTED = "by a note"


_SPACED_NOTES = re.compile("[ \t]+(?:\x02\\d+\x03[ \t]*)+(?=[.,!?…;:](?:\\s|$))")  # "Hi [[a note]]."
_NOTES_AT_END = re.compile(rf"(?:{MARKER.pattern}|\s)+$")


@dataclass(frozen=True, slots=True)
class Chosen:
    """What makes the clip of the next line (``[[with pans]]``) and what it starts from (``[[picture bay]]``)."""

    profile: tuple[str, Where] | None = None
    still: tuple[str, Where] | None = None

    def over(self, line: ScriptLine) -> ScriptLine:
        """Return a line with what is chosen here, where it has no choice of its own; a sound cue has no clip."""
        if line.passage is Passage.SOUND:
            return line
        profile = line.profile or (self.profile[0] if self.profile else None)
        return replace(line, profile=profile, still=line.still or (self.still[0] if self.still else None))


class Assembler:
    """Builds the lines of one script, block by block."""

    def __init__(self, prepared: Prepared, path: str):
        self.prepared, self.path = prepared, path
        self.lines: list[ScriptLine] = []
        self.findings: list[Finding] = prepared.findings
        self.scene: str | None = None
        self.cue: tuple[SongCue, Where] | None = None
        self.noted_at = -1  # how many lines there were when a note set the cue
        self.length: tuple[NotedLength, Where] | None = None
        self.singer: str | None = None
        self.chosen = Chosen()
        self.has_speech = False  # a speech that a dual one can pair with
        self.last_wait: tuple[int, Told] | None = None  # the place of the last wait, and how its length is known
        self.marks: list[Mark] = []  # where parts of songs begin, end and are sung again

    def assemble(self, blocks: list[Block]) -> tuple[ScriptLine, ...]:
        """Return the script's lines; findings that belong to none are in ``self.findings``."""
        for block in blocks:
            self._block(block)
        self._place_length()
        self._idle(self._take_chosen())
        if self.cue and self.cue[0].song:
            cue, where = self.cue
            self.findings.append(
                Finding(FindingCode.SONG_CUE_UNUSED, f"no sung line follows the song note for {cue.song}", {}, where)
            )
        lines, findings = bring_back(self.lines, self.marks)
        self.findings += findings
        return tuple(_who_sings(lines))

    # --- helpers --------------------------------------------------------------------------------------

    def _where(self, line_number: int) -> Where:
        return Where(self.path, line_number)

    def _add(self, line: ScriptLine) -> None:
        self.lines.append(line)

    def _inline(self, text: str, sung: bool = False) -> tuple[Piece, list[Note]]:
        """Return the text without mark-up, and the notes that stood in it."""
        close = _SPACED_NOTES.sub(lambda match: "".join(match[0].split()), text)
        plain, ranges = strip_emphasis(close, underline=not sung)
        spans = [(m.start(), m.end(), self.prepared.notes[int(m[1])]) for m in MARKER.finditer(plain)]

        def moved(offset: int) -> int:
            return offset - sum(min(end, offset) - start for start, end, _ in spans if start < offset)

        piece = Piece(MARKER.sub("", plain), [(moved(a), moved(b)) for a, b in ranges])
        piece.pauses = [PauseMark(moved(start), note.pause) for start, _, note in spans if note.pause is not None]
        return tidy(piece), [note for _, _, note in spans]

    def _take_notes(self, notes: list[Note], line_number: int) -> NotedLength | None:
        """Keep a song cue for the next sung line; return a length, if a note gave one."""
        length = None
        for note in notes:
            if note.cue:
                self.cue, self.noted_at = (note.cue, self._where(line_number)), len(self.lines)
            if note.length:
                length = note.length
            if note.part:
                self._part(note.part, line_number)
            if note.profile:
                self._idle(Chosen(profile=self.chosen.profile))
                self.chosen = replace(self.chosen, profile=(note.profile, self._where(line_number)))
            if note.still:
                self._idle(Chosen(still=self.chosen.still))
                self.chosen = replace(self.chosen, still=(note.still, self._where(line_number)))
        return length

    def _take_chosen(self) -> Chosen:
        chosen, self.chosen = self.chosen, Chosen()
        return chosen

    def _idle(self, chosen: Chosen) -> None:
        """Say that a choice has no line; several words after "with" were a remark."""
        for what, one in (("with", chosen.profile), ("picture", chosen.still)):
            if one and " " not in one[0]:
                message = f"[[{what} {one[0]}]] stands beside no line or passage of its own; it has no effect"
                self.findings.append(Finding(FindingCode.NOTE_UNUSED, message, {"note": f"{what} {one[0]}"}, one[1]))

    def _part(
        self, part: SongPart, line_number: int, directions: tuple[str, ...] = (), speaker: str | None = None
    ) -> None:
        """Mark the heading of a song's part, or the place where it is sung again."""
        cue, self.cue = (self.cue[0], None) if part.is_repeat and self.cue else (None, self.cue)
        kind = MarkKind.AGAIN if part.is_repeat else MarkKind.PART
        where = self._where(line_number)
        mark = Mark(kind, len(self.lines), where, part.name, part.times, cue=cue)
        self.marks.append(replace(mark, directions=directions, speaker=speaker))

    def _mark(self, kind: MarkKind, line_number: int) -> None:
        self.marks.append(Mark(kind, len(self.lines), self._where(line_number)))

    def _place_length(self) -> None:
        """Put a length that found no picture passage beside it on a passage of its own."""
        if self.length is None:
            return
        length, where = self.length
        self.length = None
        amount = f"{figure(length.amount)} {length.unit}"
        message = f"[[{amount}]] has no picture passage beside it; a passage of that length was put here"
        line = ScriptLine(
            LineKind.PICTURE, "(picture)", where, scene=self.scene, length=length,
            findings=(Finding(FindingCode.LENGTH_ALONE, message, {}, where),),
        )  # fmt: skip
        self._add(self._take_chosen().over(line))

    # --- blocks ---------------------------------------------------------------------------------------

    def _block(self, block: Block) -> None:
        if block.kind is BlockKind.NOTES:
            self._notes(block)
            return
        if block.kind is not BlockKind.PICTURE:
            self._place_length()
        if block.kind is BlockKind.SCENE:
            piece, notes = self._inline(block.text)
            self._take_notes(notes, block.line_number)
            self.scene = piece.text or None
            self._mark(MarkKind.END, block.line_number)
            self.singer = None
            self.findings += block.findings
        elif block.kind is BlockKind.SONG:
            self._song_headed(block)
            self._mark(MarkKind.SONG, block.line_number)
            self.singer = None
            self.findings += block.findings
        elif block.kind is BlockKind.SONG_END:
            self.singer = None
            self._mark(MarkKind.END, block.line_number)
        elif block.kind in (BlockKind.SONG_PART, BlockKind.AGAIN):
            part = SongPart(block.text, None, block.times, block.kind is BlockKind.AGAIN)
            self._part(part, block.line_number, block.directions, block.speaker)
            self.singer = None
            self.findings += block.findings
        elif block.kind is BlockKind.PICTURE:
            self._picture(block)
        else:
            self._speech(block)

    def _song_headed(self, block: Block) -> None:
        """Let the lines below belong to the song of a heading, where no note right above names it already."""
        song = slug(block.text) or None
        cue = self.cue[0] if self.cue else None
        if cue is None or (song and self.noted_at != len(self.lines)):
            self.cue = (SongCue(song, None), self._where(block.line_number))
        elif cue.song is None:  # [[song bar 9]] above "Song: The Box"
            self.cue = (replace(cue, song=song), self._where(block.line_number))

    def _notes(self, block: Block) -> None:
        """Give notes on their own to what they stand beside: a length to the picture passage above, else below."""
        piece, notes = self._inline(block.parts[0].text)
        length = self._take_notes(notes, block.line_number)
        last = self.lines[-1] if self.lines else None
        is_free = last is not None and not (last.profile or last.still)
        if is_free and last and last.kind is LineKind.PICTURE and last.passage is not Passage.SOUND:
            self.lines[-1] = last = self._take_chosen().over(last)
        is_wait = length is not None and bool(piece.pauses)
        if is_wait:
            if last and last.kind is LineKind.PICTURE and last.length is None and last.passage is Passage.PICTURE:
                piece.pauses.clear()
            else:
                length = None
        if length is not None:
            if last and last.kind is LineKind.PICTURE and last.length is None:
                self.lines[-1] = replace(last, length=length)
            elif not self._is_length_of_wait(length):
                self._place_length()
                self.length = (length, self._where(block.line_number))
        for wait in (note.wait for note in notes if note.wait):
            told = Told.ASSUMED if wait.is_assumed else Told.NOTED
            is_assumed = wait.is_assumed and wait.is_for_answer
            self._wait(wait.text, wait.length, block.line_number, told, is_assumed=is_assumed)
        silence = sum((mark.length for mark in piece.pauses), Fraction(0))
        if silence and self._is_length_of_wait(NotedLength(silence, "s")):
            pass
        elif silence >= LEAST_WAIT_S:
            self._wait(self._wait_text(is_wait), silence, block.line_number, Told.NOTED)
        elif silence and last and last.kind is LineKind.SPOKEN:
            moved = Piece(last.text, pauses=[*last.pauses, PauseMark(len(last.text), silence)])
            self.lines[-1] = replace(last, pauses=moved.settled_pauses())
        elif silence:
            self._pause_alone(block.line_number)

    def _wait_text(self, is_wait: bool) -> str:
        asked = self.lines[-1].text.rstrip('"”’»*_ ').endswith("?") if self.lines else False
        return "wait for an answer" if is_wait and asked else "wait" if is_wait else "pause"

    def _is_length_of_wait(self, length: NotedLength) -> bool:
        """Give the wait right above, whose words name no length, the one that is noted below it."""
        if self.last_wait != (len(self.lines) - 1, Told.ASSUMED) or length.unit == "bars":
            return False
        findings = tuple(f for f in self.lines[-1].findings if f.code is not FindingCode.WAIT_ASSUMED)
        self.lines[-1] = replace(self.lines[-1], length=length, findings=findings)
        self.last_wait = (len(self.lines) - 1, Told.SAID)
        return True

    def _is_same_wait(self, text: str, length: Fraction, speaker: str | None, told: Told) -> bool:
        """True where a wait is the one right above, told once by words and once by a note: it is kept as one."""
        at, before = self.last_wait or (-1, told)
        if at != len(self.lines) - 1 or at < 0:
            return False
        last = self.lines[at]
        is_equal = last.length == NotedLength(length, "s")
        if told is not Told.ASSUMED and self._is_length_of_wait(NotedLength(length, "s")):
            return True
        if told is before or Told.NOTED not in (told, before) or not (is_equal or told is Told.ASSUMED):
            return False
        if before is Told.NOTED:
            self.lines[at] = replace(last, text=text, speaker=last.speaker or speaker)
        self.last_wait = (at, Told.SAID)
        return True

    def _wait(
        self,
        text: str,
        length: Fraction,
        line_number: int,
        told: Told,
        speaker: str | None = None,
        is_assumed: bool = False,
    ) -> None:
        """Put a silence between two speeches; ``speaker`` is who waits, and has a clip for it."""
        if self._is_same_wait(text, length, speaker, told):
            return
        where = self._where(line_number)
        findings: tuple[Finding, ...] = ()
        if is_assumed:
            message = (
                f"no length was given for this wait, so it lasts {figure(length)} s; else write its seconds "
                "into it: (wait 4 seconds for an answer)"
            )
            findings = (Finding(FindingCode.WAIT_ASSUMED, message, {"seconds": float(length)}, where),)
        self._add(
            ScriptLine(
                LineKind.PICTURE, text, where, speaker, self.scene, length=NotedLength(length, "s"),
                findings=findings, passage=Passage.WAIT,
            )
        )  # fmt: skip
        self.last_wait = (len(self.lines) - 1, told)

    def _sound(self, text: str, line_number: int, length: NotedLength | None = None, at: int | None = None) -> None:
        """Put a sound cue: no time of its own unless a length was noted; ``at`` is its place in the speech before."""
        line = ScriptLine(LineKind.PICTURE, text, self._where(line_number), scene=self.scene, length=length)
        self._add(replace(line, passage=Passage.SOUND, at_offset=at))

    def _pause_alone(self, line_number: int) -> None:
        message = "a pause note stands beside no spoken line; it has no effect (a length note gives picture time)"
        self.findings.append(Finding(FindingCode.PAUSE_ALONE, message, {}, self._where(line_number)))

    def _picture(self, block: Block) -> None:
        self.singer = None
        piece, length = Piece(), None
        for part in block.parts:
            one, notes = self._inline(part.text)
            length = self._take_notes(notes, part.line_number) or length
            if any(note.pause is not None and note.length is None for note in notes):
                self._pause_alone(part.line_number)
            one.pauses.clear()
            piece.add(one)
        if block.wait:
            self._place_length()
            seconds = length.amount if length and length.unit == "s" else None
            is_assumed = block.wait.is_assumed and block.wait.is_for_answer and seconds is None
            text = tidy(Piece(MARKER.sub("", block.wait.text))).text
            told = Told.ASSUMED if block.wait.is_assumed and seconds is None else Told.SAID
            self._wait(text, seconds or block.wait.length, block.line_number, told, block.speaker, is_assumed)
            self.lines[-1] = self._take_chosen().over(self.lines[-1])
            return
        if block.passage is Passage.SOUND:
            self._place_length()
            self._idle(self._take_chosen())
            self._sound(piece.text, block.line_number, length)
            return
        if length is None and self.length:
            length, self.length = self.length[0], None
        self._place_length()
        if not piece.text:
            if length is not None:
                self.length = (length, self._where(block.line_number))
            return
        if near := near_wait(piece.text):
            message = f'"{piece.text}": "{near[0]}" is not known, so it is a picture; did you mean "{near[1]}"?'
            facts = {"direction": piece.text, "near": near[1]}
            where = self._where(block.line_number)
            block.findings.append(Finding(FindingCode.DIRECTION_NEAR, message, facts, where))
        line = ScriptLine(
            LineKind.PICTURE, piece.text, self._where(block.line_number), block.speaker, self.scene,
            block.directions, tuple(piece.emphasis), length=length, findings=tuple(block.findings),
        )  # fmt: skip
        self._add(self._take_chosen().over(line))

    def _speech(self, block: Block) -> None:
        builder = _SpeechBuilder(self, block)
        for part in block.parts:
            builder.add(part)
        builder.finish()


def _who_sings(lines: list[ScriptLine]) -> list[ScriptLine]:
    """Return the lines, the first of those that nobody is named to sing with a finding that asks for it."""
    nobodys = [n for n, line in enumerate(lines) if line.kind is LineKind.SUNG and line.speaker is None]
    if not nobodys:
        return lines
    first = lines[nobodys[0]]
    numbers = sorted({number for n in nobodys if (number := lines[n].where.line_number)})
    message = (
        f"who sings {line_ranges(numbers)}? Nobody is named; write the name on a line over them "
        "(TANSY: in plain text), or beside the heading (Verse 1 - Tansy)"
    )
    facts = {"lines": numbers}
    out = list(lines)
    out[nobodys[0]] = replace(
        first, findings=(*first.findings, Finding(FindingCode.SINGER_UNKNOWN, message, facts, first.where))
    )
    return out


class _SpeechBuilder:
    """Splits one speech into lines: a new one at a direction in its middle, and for each lyric line."""

    def __init__(self, owner: Assembler, block: Block):
        self.owner, self.block = owner, block
        self.directions: tuple[str, ...] = block.directions
        self.piece = Piece()
        self.start = block.line_number
        self.findings: list[Finding] = list(block.findings)
        self.first = len(owner.lines)
        self.told: set[tuple[str, str]] = set()
        self.is_dual = block.is_dual
        self.length: NotedLength | None = None  # how long the words that are being gathered last
        self.parts_after: list[tuple[SongPart, int]] = []  # called back behind the words being read
        self.sounds: list[tuple[str, int, int]] = []  # heard with them: words of the cue, line, place in the text
        self.wait_text = ""
        self.is_wait = False
        self.wait_line = 0
        self.chosen = owner._take_chosen()  # for every line of this speech
        owner.last_wait = None  # what is noted in a speech is about no wait before it
        if block.is_dual and not owner.has_speech:
            self.is_dual = False
            self._found(
                FindingCode.DUAL_ALONE,
                "^ marks a speech spoken together with the one before, and there is none",
                self.start,
            )

    def _found(self, code: FindingCode, message: str, line_number: int) -> None:
        self.findings.append(Finding(code, message, {}, self.owner._where(line_number)))

    def add(self, part: Part) -> None:
        if part.kind is PartKind.DIRECTION:
            self._direction(part)
        elif part.kind is PartKind.LYRIC:
            self._flush()
            self._lyric(part)
        else:
            self._words(part)

    def _direction(self, part: Part) -> None:
        inside = MARKER.sub("", part.text).strip().removeprefix("(").removesuffix(")").strip()
        wait = read_wait(inside)
        pause = written_pause(inside)
        if pause is not None or (wait and wait.is_pause):
            self.piece.pause(pause if pause is not None else wait.length if wait else Fraction(0))
            self.wait_text = inside if pause is None else ""
            self.is_wait, self.wait_line = False, part.line_number
            return
        if wait and not wait.is_for_answer and self._is_at_head and not self.piece.text:
            self.piece.pause(wait.length)
            self.is_wait = True
            return
        if wait:
            self._flush()
            self._wait(wait, part.line_number)
            self._length_of_wait(part)
            return
        if sound := read_sound(inside, is_boxed=True):
            self.sounds.append((sound, part.line_number, len(self.piece.text)))
            return
        if self.piece.text:
            self._flush()
        notes = self.owner._inline(part.text)
        self._take_length(self.owner._take_notes(notes[1], part.line_number), part.line_number)
        text = strip_emphasis(inside)[0].strip()
        if text:
            self.directions = (*self.directions, text)

    def _words(self, part: Part) -> None:
        text = self._sorted(part)
        at = 0
        for marker in MARKER.finditer(text):
            note = self.owner.prepared.notes[int(marker[1])]
            is_first = self._is_at_head and not self.piece.text and not MARKER.sub("", text[: marker.start()]).strip()
            if note.wait and not note.wait.is_for_answer and is_first:
                self.piece.pause(note.wait.length)  # "TANSY: [[wait]] Hi."
                self.is_wait, at = True, marker.end()
            elif note.wait:
                self._some_words(replace(part, text=text[at : marker.start()]))
                self._flush()
                self._wait(note.wait, part.line_number)
                at = marker.end()
            elif note.sound:
                if text[at : marker.start()].strip():
                    self._some_words(replace(part, text=text[at : marker.start()]))
                self.sounds.append((note.sound, part.line_number, len(self.piece.text)))
                at = marker.end()
        if text[at:].strip() or not text:
            self._some_words(replace(part, text=text[at:]))

    def _wait(self, wait: Wait, line_number: int) -> None:
        is_assumed = wait.is_assumed and wait.is_for_answer
        told = Told.ASSUMED if wait.is_assumed else Told.SAID
        self.owner._wait(wait.text, wait.length, line_number, told, self.block.speaker, is_assumed)

    def _length_of_wait(self, part: Part) -> None:
        """Take the length that a note behind "(waits)" on its own line gives; other notes there belong to the next."""
        piece, notes = self.owner._inline(part.text)
        length = self.owner._take_notes(notes, part.line_number)
        silence = sum((mark.length for mark in piece.pauses), Fraction(0))
        length = length or (NotedLength(silence, "s") if silence else None)
        if length and not self.owner._is_length_of_wait(length):
            self._take_length(length, part.line_number)

    def _some_words(self, part: Part) -> None:
        owner = self.owner
        one, notes = owner._inline(part.text)
        if self.piece.text or one.text:
            self.parts_after += [(n.part, part.line_number) for n in notes if n.part]
            notes = [n for n in notes if not n.part]
        length = owner._take_notes([n for n in notes if n.pause is None], part.line_number)
        self._take_length(length, part.line_number)
        self._choose_for_all(has_words=bool(one.text))
        if not self.piece.text and one.text:
            self.start = part.line_number
            before = sum((p.length for p in self.piece.pauses), Fraction(0))
            if before and owner._is_length_of_wait(NotedLength(before, "s")):
                self.piece.pauses = []
            elif before >= LEAST_WAIT_S and not self._is_at_head:
                self.piece.pauses = []
                self._hold(before, part.line_number)
        self.piece.add(one)
        if any(n.pause is not None for n in notes):
            self.is_wait = any(n.pause is not None and n.length is not None for n in notes)
            self.wait_line = part.line_number

    @property
    def _is_at_head(self) -> bool:
        """True while nothing of this speech is a line yet: a silence here is seen in the clip of its first words."""
        return len(self.owner.lines) == self.first

    def _choose_for_all(self, has_words: bool) -> None:
        """Keep a note on a line of its own at the head of a speech for all its lines."""
        if not has_words and not self.piece.text and self._is_at_head:
            new = self.owner._take_chosen()
            for old, now in ((self.chosen.profile, new.profile), (self.chosen.still, new.still)):
                self.owner._idle(Chosen(old) if old and now else Chosen())
            self.chosen = Chosen(new.profile or self.chosen.profile, new.still or self.chosen.still)

    def _take_length(self, length: NotedLength | None, line_number: int, is_sung: bool = False) -> None:
        """Keep the length that a note gives the words beside it; bars, and any length of sung words, have no effect."""
        if length is None:
            return
        if not is_sung and length.unit != "bars":
            if self.piece.text or not self.owner._is_length_of_wait(length):
                self.length = length
            return
        amount = f"{figure(length.amount)} {length.unit}"
        what = "sung words, which last as their song says," if is_sung else "spoken words, which have no bars,"
        message = f"[[{amount}]] stands beside {what} and has no effect"
        self._found(FindingCode.LENGTH_IN_SPEECH, message, line_number)

    def _sorted(self, part: Part) -> str:
        """Return a part's text without its brackets: the directions are kept, an aside is spoken and said so."""
        prepared = self.owner.prepared

        def pause(words: str) -> str:
            wait = read_wait(words)
            if (length := written_pause(words)) is None and wait and not wait.is_pause:
                return prepared.marker(Note(wait=wait))
            return prepared.marker(Note(pause=length if length is not None or wait is None else wait.length))

        def sound(words: str) -> str:
            return prepared.marker(Note(sound=words))

        is_sung = part.kind is PartKind.LYRIC
        at_start = not self.piece.text and self._is_at_head
        found = sort_brackets(part.text, at_start, pause, is_sung, sound)
        self.directions = (*self.directions, *found.directions)
        for aside in found.asides:
            how = "sung" if is_sung else "spoken"
            message = f'"({aside})" is {how}, without the brackets; put a direction on a line of its own'
            self._found(FindingCode.ASIDE_SPOKEN, message, part.line_number)
        return found.text

    def _lyric(self, part: Part) -> None:
        owner = self.owner
        tail = _NOTES_AT_END.search(part.text)
        notes_at_end = tail[0] if tail else ""
        words, times = count_at_end(part.text.removesuffix(notes_at_end))
        part = replace(part, text=words + notes_at_end)
        one, notes = owner._inline(self._sorted(part), sung=True)
        self._take_length(owner._take_notes(notes, part.line_number), part.line_number, is_sung=True)
        self._choose_for_all(has_words=bool(one.text))
        if not one.text:
            return
        speaker = self.block.speaker
        if speaker is None and owner.singer is not None:
            speaker = owner.singer
        cue, owner.cue = (owner.cue[0] if owner.cue else None), None
        self._emit(LineKind.SUNG, one, part.line_number, speaker, cue)
        owner.singer = speaker
        if times > 1:
            where = owner._where(part.line_number)
            owner.marks.append(Mark(MarkKind.AGAIN, len(owner.lines), where, "", times, is_line=True))

    def _flush(self) -> None:
        piece = self.piece
        self.piece = Piece()
        if not piece.text:
            self.piece.pauses = [replace(p, offset=0) for p in piece.pauses]
            return
        self.owner.singer = None
        before, after = self._silences(piece)
        self._hold(before, self.start)
        self._emit(LineKind.SPOKEN, piece, self.start, self.block.speaker, None)
        for sound, line_number, at in self.sounds:
            self.owner._sound(sound, line_number, at=at if at < len(piece.text) else None)
        self.sounds = []
        self._hold(after, self.start)
        for part, line_number in self.parts_after:
            self.owner._part(part, line_number)
        self.parts_after = []

    def _silences(self, piece: Piece) -> tuple[Fraction, Fraction]:
        """Take the silences before and after a piece's words out of it, where they are long enough to be waits."""
        long = []
        for first, last in ((0, 0), (len(piece.text), len(piece.text) + 1)):
            length = sum((p.length for p in piece.pauses if first <= p.offset <= last), Fraction(0))
            is_long = length >= LEAST_WAIT_S and not (last == 0 and self._is_at_head)
            if is_long:
                piece.pauses = [p for p in piece.pauses if not first <= p.offset <= last]
            long.append(length if is_long else Fraction(0))
        return long[0], long[1]

    def _hold(self, length: Fraction, line_number: int) -> None:
        if length:
            text = self.wait_text or self.owner._wait_text(self.is_wait)
            speaker = self.block.speaker if self.is_wait else None
            told = Told.SAID if self.wait_text else Told.NOTED
            self.owner._wait(text, length, self.wait_line or line_number, told, speaker)
            self.wait_text, self.is_wait, self.wait_line = "", False, 0

    def _emit(self, kind: LineKind, piece: Piece, line_number: int, speaker: str | None, cue: SongCue | None) -> None:
        if len(piece.text) > LONGEST_SPEECH_CHARACTERS:
            raise ScriptError(
                f"this speech has {len(piece.text):,} characters, too many for one line; "
                "put line breaks and speakers' names between the speeches",
                self.owner.path,
                line_number,
            )
        self._misspelt(self.directions, line_number)
        line = ScriptLine(
            kind, piece.text, self.owner._where(line_number), speaker, self.owner.scene, self.directions,
            tuple(piece.emphasis), piece.settled_pauses(), self.length if kind is LineKind.SPOKEN else None, cue,
            self.is_dual, tuple(self.findings),
        )  # fmt: skip
        self.length = None
        self.owner._add(self.owner._take_chosen().over(line))
        self.directions = tuple(d for d in self.directions if d in self.block.directions)
        self.findings = []
        self.owner.has_speech = True

    def _misspelt(self, directions: tuple[str, ...], line_number: int) -> None:
        for direction, word, near in misspelt(directions):
            if (direction, word) not in self.told:
                self.told.add((direction, word))
                message = f'the direction "({direction})": "{word}" is not known; did you mean "{near}"?'
                facts = {"direction": direction, "near": near}
                self.findings.append(
                    Finding(FindingCode.DIRECTION_NEAR, message, facts, self.owner._where(line_number))
                )

    def finish(self) -> None:
        """Emit what is left; a speech without words is a passage of picture, and said so."""
        self._flush()
        owner = self.owner
        left = tuple(d for d in self.directions if d not in self.block.directions)
        self._misspelt(left, self.block.line_number)
        at_end = owner._take_chosen() if len(owner.lines) > self.first else Chosen()
        for n in range(self.first, len(owner.lines)):  # a note behind the last words belongs to them
            own = at_end.over(owner.lines[n]) if n == len(owner.lines) - 1 else owner.lines[n]
            owner.lines[n] = self.chosen.over(own)
        if len(owner.lines) > self.first:
            last = owner.lines[-1]
            if left:  # "(sighs)" after the last words
                last = replace(last, directions=(*last.directions, *left))
            silence = sum((p.length for p in self.piece.pauses), Fraction(0))
            if 0 < silence < LEAST_WAIT_S and last.kind is LineKind.SPOKEN:
                moved = Piece(last.text, pauses=[*last.pauses, PauseMark(len(last.text), silence)])
                last = replace(last, pauses=moved.settled_pauses())
            if self.length and last.kind is LineKind.SPOKEN and last.length is None:
                last = replace(last, length=self.length)
            owner.lines[-1] = replace(last, findings=(*last.findings, *self.findings))
            if silence >= LEAST_WAIT_S:
                self._hold(silence, self.block.line_number)
            for sound, line_number, _ in self.sounds:
                owner._sound(sound, line_number)
            return
        where = owner._where(self.block.line_number)
        name = self.block.speaker
        if name is None:
            owner.findings += self.findings
            return
        silence = sum((p.length for p in self.piece.pauses), Fraction(0))
        if silence >= LEAST_WAIT_S:  # "TANSY: [[wait 2 s]]": she waits
            owner.findings += self.findings
            self.is_wait = True
            self._hold(silence, self.block.line_number)
            return
        if not left:
            owner.findings += [
                *self.findings,
                Finding(FindingCode.SPEAKER_WITHOUT_WORDS, f"{name} has no words here", {"speaker": name}, where),
            ]
            return
        text = " ".join(f"({d})" for d in left)
        message = f"{name} has a direction but no words here; kept as picture"
        self._found(FindingCode.SPEAKER_WITHOUT_WORDS, message, self.block.line_number)
        line = ScriptLine(
            LineKind.PICTURE, text, where, self.block.speaker, owner.scene, self.block.directions,
            findings=tuple(self.findings),
        )  # fmt: skip
        owner._add(self.chosen.over(line))


MET_OFTEN, MET_OFTEN_FAR = 2, 3  # times that a name is met before another one may be a slip for it: of one, of more


def name_findings(lines: tuple[ScriptLine, ...]) -> list[Finding]:
    """Return findings for names met once that are nearly a frequent one: "TANYS" and "TANSIE" for "TANSY"."""
    names = Counter(line.speaker for line in lines if line.speaker)
    findings = []
    for name, count in names.items():
        near = _near_name(name, names) if count == 1 else None
        if near:
            where = next(line.where for line in lines if line.speaker == name)
            message = f'the speaker "{name}" is met once; did you mean "{near}"?'
            findings.append(Finding(FindingCode.SPEAKER_NEAR, message, {"speaker": name, "near": near}, where))
    return findings


def _near_name(name: str, names: Counter[str]) -> str | None:
    """Return the frequent name that one met once was meant for; of names joined, with the right ones in it.

    >>> often = Counter({"TANSY": 3, "BRAM": 2, "TANSIE": 1, "BRAN AND TANSY": 1, "MAMA": 5, "PAPA": 1})
    >>> [_near_name(name, often) for name in ("TANSIE", "BRAN AND TANSY", "PAPA", "TANNER")]
    ['TANSY', 'BRAM AND TANSY', None, None]
    """
    parts = joined_names(name)
    if len(parts) > 1:
        meant = {part: _near_name(part, names) for part in parts if part not in names}
        if not meant or not all(meant.values()):
            return None
        for part, near in meant.items():
            name = name.replace(part, near or part)
        return name
    slips = (n for n, often in names.items() if often >= MET_OFTEN and len(n) > 3 and one_slip(name, n))
    more = (n for n, often in names.items() if often >= MET_OFTEN_FAR and ends_otherwise(name, n))
    return next(slips, None) or next(more, None)
