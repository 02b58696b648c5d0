"""Fountain, to the letter of its syntax page (fountain.io/syntax, version 1.1).

In: prepared lines. Out: the title page's facts and blocks. Sections, synopses, transitions and page breaks are
neither spoken nor seen and make no block. In doubt a line is action: nothing is skipped.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from timing.model import Finding, Passage, Where
from timing.model.findings import FindingCode
from timing.script.blocks import MARKER, Block, BlockKind, Part, PartKind, Prepared, SourceLine
from timing.script.markup import strip_emphasis
from timing.script.passages import SOUND_CHARACTERS, read_sound, read_wait
from timing.script.song_signs import SongPart, are_like_lyrics, ends_song, near_part, read_part, song_title, told_title
from timing.script.together import joined_names

_HEADING = re.compile(r"(?:INT\.?/EXT|EXT\.?/INT|INT|EXT|EST|I/E)[. ].*", re.IGNORECASE)
_FORCED_HEADING = re.compile(r"\.[^\W_].*")
_SCENE_NUMBER = re.compile(r"#(?P<number>[\w.-]+)#$")
_PAGE_BREAK = re.compile(r"={3,}")
_PARENTHETICAL = re.compile(r"\(.*\)")
_EXTENSION = re.compile(r"\(([^()]*)\)$")
_TITLE_KEY = re.compile(r"(?P<key>[^\s:~@!>#=.\[(][^:]{0,40}):(?P<value>.*)")
_TITLE_KEYS = frozenset(
    "title credit author authors source notes note draft date contact copyright revision format language".split()
) | {"draft date", "written by", "episode", "series", "format"}
_LONGEST_CUE_CHARACTERS = 200  # longer capitals are a paragraph, and would make the reading slow
_CONTINUED = re.compile(r"(?:cont(?:['’]?d|inued|inuing)?|more)\.?", re.IGNORECASE)


def read_title_page(lines: Sequence[SourceLine]) -> tuple[dict[str, str], int]:
    """Return the title page's values by lower-case key, and how many lines it takes (0: there is none)."""
    facts: dict[str, list[str]] = {}
    key = ""
    count = 0
    for line in lines:
        text = MARKER.sub("", line.text)
        match = _TITLE_KEY.fullmatch(text)
        if line.is_notes_only:
            pass
        elif not text.strip():
            if facts:
                break
        elif match and (facts or _may_open(text, match)):
            key = " ".join(match["key"].casefold().split())
            facts[key] = [match["value"].strip()] if match["value"].strip() else []
        elif facts and re.match(r"\t|   | {1,2}\t", text):
            facts[key].append(text.strip())
        else:
            break
        count += 1
    if not any(facts.values()):  # "FADE IN:" alone is no title page
        return {}, 0
    return {key: "\n".join(values) for key, values in facts.items()}, count


def _may_open(text: str, match: re.Match[str]) -> bool:
    """True when a first line can begin a title page: no heading, no transition, no spoken ``NAME: words``."""
    key = match["key"].strip()
    if key.casefold() in _TITLE_KEYS:
        return True
    return not _HEADING.fullmatch(text.strip()) and not text.strip().endswith("TO:") and not is_upper(key)


def is_upper(text: str) -> bool:
    """True when ``text`` has a capital letter and no small one ("R2D2" yes, "23" no)."""
    return any(c.isupper() for c in text) and not any(c.islower() for c in text)


def split_cue(cue: str) -> tuple[str, tuple[str, ...]]:
    """Return a speaker's name and the extensions beside it, without "(CONT'D)".

    >>> split_cue("TANSY (O.S.) (cont'd)")
    ('TANSY', ('O.S.',))
    """
    extensions: list[str] = []
    name = cue.strip()
    while match := _EXTENSION.search(name):
        extension = match[1].strip()
        if extension and not _CONTINUED.fullmatch(extension):
            extensions.insert(0, extension)
        name = name[: match.start()].rstrip()
    return " ".join(name.rstrip(":").split()), tuple(extensions)


def is_cue(text: str) -> bool:
    """True for a line that can be a Character by its letters: upper case without its extension."""
    if len(text) > _LONGEST_CUE_CHARACTERS:
        return False
    return is_upper(split_cue(MARKER.sub("", text).rstrip().removesuffix("^"))[0])


class FountainReader:
    """Reads the lines after the title page, one block after the other."""

    def __init__(self, prepared: Prepared, path: str, start: int = 0):
        self.lines = prepared.lines[start:]
        self.findings = prepared.findings
        self.path = path
        self.at = 0
        self.blocks: list[Block] = []
        self.has_lyrics = any(line.text.lstrip().startswith("~") for line in self.lines)
        self.in_verses = False  # below the heading of a song whose lyrics have no ~
        self.cues = {
            split_cue(MARKER.sub("", line.text).strip().removesuffix("^"))[0].upper()
            for before, line in pairwise([SourceLine(0, ""), *self.lines])
            if before.is_blank and not line.is_blank and is_cue(line.text.strip())
        }

    def read(self) -> list[Block]:
        """Return all blocks in order."""
        while self.at < len(self.lines):
            line = self.lines[self.at]
            if line.is_blank:
                self.at += 1
            elif line.is_notes_only:
                self._notes(line)
            else:
                self._element(line)
        return self.blocks

    # --- what is around a line ------------------------------------------------------------------------

    def _blank_before(self) -> bool:
        at = self.at - 1
        while at >= 0 and self.lines[at].is_notes_only:
            at -= 1
        return at < 0 or self.lines[at].is_blank

    def _blank_after(self) -> bool:
        at = self.at + 1
        while at < len(self.lines) and self.lines[at].is_notes_only:
            at += 1
        return at >= len(self.lines) or (self.lines[at].is_blank and self.lines[at].text != "  ")

    def _finding(self, code: FindingCode, message: str, line: SourceLine) -> None:
        self.findings.append(Finding(code, message, {}, Where(self.path, line.number)))

    # --- elements -------------------------------------------------------------------------------------

    def _notes(self, line: SourceLine) -> None:
        if MARKER.search(line.text):
            part = Part(PartKind.WORDS, line.text, line.number)
            self.blocks.append(Block(BlockKind.NOTES, line.number, [part]))
        self.at += 1

    def _element(self, line: SourceLine) -> None:
        raw, text = line.text, line.text.strip()
        bare = MARKER.sub("", text).strip()
        first = bare[0]
        part = self._song_part_in(bare)
        if (title := self._song_title_in(bare, line)) is not None:
            self.blocks.append(Block(BlockKind.SONG, line.number, text=title))
            self._leave(text, line)
        elif self._passage(text, bare, line):
            self.in_verses = False
            self.at += 1
        elif part is not None:
            self._song_part(part, text, line)
        elif self._ends_song(bare):
            self.blocks.append(Block(BlockKind.SONG_END, line.number))
            self.in_verses = False
            self.at += 1
        elif self.in_verses and self._verse():
            pass
        elif _PAGE_BREAK.fullmatch(bare) or first in "=#":
            self._leave(text, line)
        elif first == "!":
            self._action(forced=True)
        elif first == "~":
            self._speech(line, None)
        elif first == "@" and bare.lstrip("@ ^"):
            self._character(line, text.replace("@", "", 1))
        elif _FORCED_HEADING.fullmatch(bare):
            self._scene(line, text.replace(".", "", 1))
        elif first == ">" and not bare.endswith("<"):
            self._leave(text, line)
        elif self._blank_before() and _HEADING.fullmatch(bare) and self._blank_after():
            self._scene(line, text)
        elif self._is_transition(raw):
            self._leave(text, line)
        elif self._blank_before() and not self._blank_after() and (is_cue(bare) or self._is_joint_cue(bare)):
            self._character(line, text)
        else:
            self._action()

    def _song_title_in(self, bare: str, line: SourceLine) -> str | None:
        """Return the title where a paragraph or section heads a song, told by the lyrics or verses below it."""
        if bare[0] in "~!@.>=[(" or (bare[0] != "#" and not self._blank_before()):
            return None
        text = strip_emphasis(bare.lstrip("#").strip())[0]
        title = song_title(text, is_heading=False)
        told = told_title(text) if title is None else title
        if told is None:
            return None
        below = self._next_written(self.at + 1)
        words = [MARKER.sub("", n.text).strip() for n in self._paragraph(below)]
        part = read_part(words[0]) if words else None
        if words and (any(word.startswith("~") for word in words[:2]) or (part and part.role and self.has_lyrics)):
            return told
        if self.has_lyrics or not title or not (self._verse_lines(below) or (part and part.role)):
            return None
        self.in_verses = True
        message = f'"{_short(text)}" was read as the heading of a song, and the lines like lyrics below it as sung; '
        self._finding(FindingCode.SONG, message + "begin each sung line with ~ to be sure", line)
        return title

    def _next_written(self, at: int) -> int:
        """Return where the next line stands that holds more than notes."""
        while at < len(self.lines) and (self.lines[at].is_blank or self.lines[at].is_notes_only):
            at += 1
        return at

    def _paragraph(self, at: int) -> list[SourceLine]:
        """Return the lines from ``at`` down to a blank one, those of notes alone left out."""
        found = []
        while at < len(self.lines) and not self.lines[at].is_blank:
            if not self.lines[at].is_notes_only:
                found.append(self.lines[at])
            at += 1
        return found

    def _verse_lines(self, at: int) -> tuple[str | None, list[SourceLine]] | None:
        """Return who sings a paragraph that is like lyrics, and its lines; None for any other paragraph."""
        lines = self._paragraph(at)
        texts = [MARKER.sub("", line.text).strip() for line in lines]
        singer = None
        if texts and is_cue(texts[0]) and len(texts) > 1:
            singer, lines, texts = split_cue(texts[0])[0], lines[1:], texts[1:]
        if any(text[0] in "~!@.>=#[(" or _HEADING.fullmatch(text) for text in texts if text):
            return None
        is_headed = (
            bool(self.blocks) and self.blocks[-1].kind is BlockKind.SONG_PART and not self.lines[at - 1].is_blank
        )
        return (singer, lines) if are_like_lyrics(texts) or (is_headed and texts) else None

    def _verse(self) -> bool:
        """Put a paragraph like lyrics as sung, below the heading of a song; any other one ends the song."""
        found = self._verse_lines(self.at)
        if found is None:
            self.in_verses = False
            self.blocks.append(Block(BlockKind.SONG_END, self.lines[self.at].number))
            return False
        singer, lines = found
        parts = [Part(PartKind.LYRIC, line.text, line.number) for line in lines]
        self.blocks.append(Block(BlockKind.SPEECH, lines[0].number, parts, speaker=singer))
        while self.at < len(self.lines) and not self.lines[self.at].is_blank:
            self.at += 1
        return True

    def _is_joint_cue(self, bare: str) -> bool:
        """True for "TANSY and BRAM": names in capitals, each of which is a cue elsewhere, and a small word between."""
        names = joined_names(split_cue(bare.removesuffix("^"))[0])
        return len(names) > 1 and len(bare) <= _LONGEST_CUE_CHARACTERS and self.cues.issuperset(names)

    def _passage(self, text: str, bare: str, line: SourceLine) -> bool:
        """Put a paragraph of one line, or a name over one, that is a wait or a sound cue; False for any other."""
        if not self._blank_before() or bare[0] in "~!@.#=>":
            return False
        if SOUND_CHARACTERS.fullmatch(bare.rstrip(":")) and not self._blank_after():
            self.at += 1
            heard = self.lines[self.at].text.strip()
            self._put(Passage.SOUND, heard, self.lines[self.at])
            return True
        inside = bare[1:-1].strip() if re.fullmatch(r"\[[^\[\]]*\]|\([^()]*\)", bare) else bare
        if not self._blank_after():
            return False
        if (sound := read_sound(inside, inside != bare)) is not None:
            self._put(Passage.SOUND, sound + "".join(m[0] for m in MARKER.finditer(text)), line)
            return True
        wait = read_wait(inside)
        if wait is None or (is_upper(bare) and not wait.is_pause and not wait.is_for_answer):
            return False
        self._put(Passage.WAIT, text, line)
        self.blocks[-1].wait = wait
        first = inside.split()[0].upper()
        self.blocks[-1].speaker = first if first in self.cues else None
        return True

    def _put(self, passage: Passage, text: str, line: SourceLine) -> None:
        part = Part(PartKind.WORDS, text, line.number)
        self.blocks.append(Block(BlockKind.PICTURE, line.number, [part], passage=passage))

    def _song_part_in(self, bare: str) -> SongPart | None:
        """Return the part of a song that a section, a paragraph or a name over lyrics heads or calls back."""
        if not (self.has_lyrics or self.in_verses):
            return None
        head = bare.lstrip("#").strip().removesuffix("^")
        part = read_part(head)
        slip = near_part(head) if part is None else None
        part = slip[0] if slip else part
        if part is None or not part.role or part.rest:
            return None
        after = self.lines[self.at + 1].text.lstrip() if self.at + 1 < len(self.lines) else ""
        stands_alone = self._blank_after() or after.startswith("~") or self.in_verses
        if bare[0] != "#" and not (self._blank_before() and stands_alone):
            return None
        if slip:
            self._say_near(head, slip[1], self.lines[self.at])
        return part

    def _ends_song(self, bare: str) -> bool:
        is_in_song = self.has_lyrics or self.in_verses
        return is_in_song and bare[0] in "([" and ends_song(bare) and self._blank_before() and self._blank_after()

    def _song_part(self, part: SongPart, text: str, line: SourceLine) -> None:
        self.blocks.append(self._part_block(part, line))
        self._leave(text, line)

    @staticmethod
    def _part_block(part: SongPart, line: SourceLine) -> Block:
        kind = BlockKind.AGAIN if part.is_repeat or not part.role else BlockKind.SONG_PART
        return Block(kind, line.number, text=part.name, times=part.times)

    def _is_transition(self, raw: str) -> bool:
        text = MARKER.sub("", raw)
        return is_upper(text) and text.endswith("TO:") and self._blank_before() and self._blank_after()

    def _leave(self, text: str, line: SourceLine) -> None:
        """Pass over a section, synopsis, transition or page break, keeping the notes in it."""
        markers = "".join(m[0] for m in MARKER.finditer(text))
        if markers:
            self.blocks.append(Block(BlockKind.NOTES, line.number, [Part(PartKind.WORDS, markers, line.number)]))
        self.at += 1

    def _scene(self, line: SourceLine, text: str) -> None:
        number = _SCENE_NUMBER.search(text.rstrip())
        if number:
            text = f"{number['number']} {text[: number.start()].strip()}"
        self.blocks.append(Block(BlockKind.SCENE, line.number, text=text.strip()))
        self.at += 1

    def _warn_of_action(self, line: SourceLine, bare: str) -> None:
        if _HEADING.fullmatch(bare) and (is_upper(bare) or bare[:4].upper() in ("INT.", "EXT.", "EST.")):
            advice = "a scene heading needs a blank line before and after it; read as picture"
            self._finding(FindingCode.HEADING_NOT_ALONE, f'"{_short(bare)}": {advice}', line)
        names = set(joined_names(bare.upper()))
        is_named = names <= self.cues or (
            len(names) > 1 and names & self.cues and is_upper("".join(joined_names(bare)))
        )
        if self._blank_before() and not self._blank_after() and not is_cue(bare) and is_named:
            message = f'"{_short(bare)}" was read as picture; if it is who speaks, write it in capitals: {bare.upper()}'
            self._finding(FindingCode.NAME_NOT_IN_CAPITALS, message, line)

    def _action(self, forced: bool = False) -> None:
        first = self.lines[self.at]
        block = Block(BlockKind.PICTURE, first.number)
        while self.at < len(self.lines):
            line = self.lines[self.at]
            bare = MARKER.sub("", line.text).strip()
            if line.is_blank:
                break
            if block.parts and not line.is_notes_only and self._forces_another(bare):
                break
            text = line.text
            if not forced:
                self._warn_of_action(line, bare)
            if bare.startswith("!"):
                text = text.replace("!", "", 1)
            elif bare.startswith(">") and bare.endswith("<") and len(bare) > 1:
                text = text.strip()[1:-1]
            block.parts.append(Part(PartKind.WORDS, text.expandtabs(4), line.number))
            self.at += 1
        self.blocks.append(block)

    @staticmethod
    def _forces_another(bare: str) -> bool:
        forced = bare[:1] in ("~", "@", "#", "=") or bool(_FORCED_HEADING.fullmatch(bare))
        return forced or (bare.startswith(">") and not bare.endswith("<"))

    def _character(self, line: SourceLine, text: str) -> None:
        markers = "".join(m[0] for m in MARKER.finditer(text))
        cue = MARKER.sub("", text).rstrip()
        is_dual = cue.endswith("^")
        name, extensions = split_cue(cue.removesuffix("^"))
        if name.rstrip().endswith(("!", "?")):
            advice = "if it is a shout, put it under its speaker; if it is picture, begin the line with !"
            self._finding(
                FindingCode.SPEAKER_DOUBTFUL, f'"{_short(name)}" was read as a speaker\'s name: {advice}', line
            )
        self._speech(line, name, extensions, is_dual, markers)

    def _speech(
        self,
        line: SourceLine,
        speaker: str | None,
        extensions: tuple[str, ...] = (),
        is_dual: bool = False,
        markers: str = "",
    ) -> None:
        block = Block(BlockKind.SPEECH, line.number, speaker=speaker, directions=extensions, is_dual=is_dual)
        if markers:
            block.parts.append(Part(PartKind.WORDS, markers, line.number))
        if speaker is not None:
            self.at += 1
        while self.at < len(self.lines):
            current = self.lines[self.at]
            if current.is_blank and current.text != "  ":
                break
            bare = MARKER.sub("", current.text).strip()
            if speaker is None and not current.is_notes_only and not bare.startswith("~"):
                break  # lyrics outside a speech end where the ~ ends
            if bare or current.is_notes_only:
                called = self._called_back(bare, current) if bare.startswith("~") else None
                if called is not None and (called.role or bare[1:].lstrip()[:1] in "(["):
                    self.blocks += [block, self._part_block(called, current)]
                    block = Block(BlockKind.SPEECH, current.number, speaker=speaker, directions=extensions)
                    self.at += 1
                    continue
                part = self._part(current, bare)
                self._warn_of_name(part, bare, block)
                block.parts.append(part)
            self.at += 1
        if block.parts or not self.blocks or self.blocks[-1].kind not in (BlockKind.AGAIN, BlockKind.SONG_PART):
            self.blocks.append(block)

    def _called_back(self, bare: str, line: SourceLine) -> SongPart | None:
        """Return the part of a song that a line of lyrics is the heading of, a misspelt one with a word about it."""
        part = read_part(bare[1:])
        if part is None and (slip := near_part(bare[1:])):
            part = slip[0]
            self._say_near(bare[1:].strip(), slip[1], line)
        return part

    def _say_near(self, head: str, meant: str, line: SourceLine) -> None:
        self._finding(FindingCode.HEADING_NEAR, f'"{head}" was read as the heading "{meant}": write it so', line)

    def _warn_of_name(self, part: Part, bare: str, block: Block) -> None:
        """Say so where a speaker's name stands inside a speech: by Fountain's rule a blank line comes before it."""
        if part.kind is not PartKind.WORDS or not (is_cue(bare) or self._is_joint_cue(bare)):
            return
        names = joined_names(split_cue(bare)[0])
        if self.cues.issuperset(name.upper() for name in names) or (
            block.parts and block.parts[-1].kind is PartKind.LYRIC
        ):
            whose = f"{block.speaker}'s speech" if block.speaker else "these lyrics"
            advice = "if it is a name, leave a blank line before it"
            message = f'"{_short(bare)}" stands inside {whose} and is spoken; {advice}'
            self.findings.append(Finding(FindingCode.NAME_IN_SPEECH, message, {}, Where(self.path, part.line_number)))

    @staticmethod
    def _part(line: SourceLine, bare: str) -> Part:
        if bare.startswith("~"):
            return Part(PartKind.LYRIC, line.text.replace("~", "", 1), line.number)
        if _PARENTHETICAL.fullmatch(bare):
            return Part(PartKind.DIRECTION, line.text, line.number)
        return Part(PartKind.WORDS, line.text, line.number)


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "..."
