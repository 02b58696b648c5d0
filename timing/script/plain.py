"""Plain text with ``NAME: what they say``, as people paste it from a chat or a word processor.

In: prepared lines. Out: facts (title and the like) and blocks. Accepted beside the plain form: Markdown stars and
headings, quotes and bullets, numbering, clock times, emoji beside the name, a dash instead of the colon, a name on
a line of its own, directions in brackets or parentheses, scene and song headings, lyrics marked with a note sign.
What cannot be told apart with certainty is read one way and said in a finding; no text is dropped.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from itertools import pairwise

from timing.model import Finding, Passage, Where
from timing.model.findings import FindingCode
from timing.script.blocks import MARKER, Block, BlockKind, Part, PartKind, Prepared, SourceLine
from timing.script.chat import without_stamps
from timing.script.directions import is_direction
from timing.script.fountain import is_upper, split_cue
from timing.script.layouts import laid_out
from timing.script.markup import strip_emphasis
from timing.script.notes import Note, written_pause
from timing.script.passages import LEAST_WAIT_S, SOUND_CHARACTERS, read_sound, read_wait
from timing.script.plain_signs import (
    CLOSED,
    DIRECTION_LINE,
    EMOJI,
    EMOJI_RUN,
    FACT_KEYS,
    FACTS,
    HEADING,
    NO_NAMES,
    NOT_NAMES,
    NOTE_NAMES,
    NOTE_SIGNS,
    PERSONS,
    PICTURE_NAMES,
    RULE,
    SCENE,
    SINGS,
    SMALL_WORDS,
    SPOKEN,
    SUNG_SIGN,
    TRANSITION,
    bold_name,
    is_all_bold,
    is_all_slanted,
    is_clause,
    strip,
    with_clock,
)
from timing.script.set_aside import set_aside
from timing.script.singers import Singers, are_everybody, beside_heading
from timing.script.song_signs import (
    SongPart,
    are_like_lyrics,
    ends_song,
    near_part,
    read_part,
    song_title,
    tells_song_end,
    told_title,
)

SENTENCE_ENDS = (".", "!", "?", "…")
LONGEST_NAME, LONGEST_CAPITALS = 5, 8  # words before a colon, in small letters and in capitals
LONGEST_SMALL = 39  # characters of a name in small letters
LONGEST_VERSE = 40  # lines that are looked at to tell lyrics
SHORTEST_WRAPPED = 45  # characters: a shorter line was ended by hand, not by the width of a page


@dataclass(frozen=True, slots=True)
class _Spoken:
    """A line that may be ``NAME: words``, taken apart."""

    name: str
    directions: tuple[str, ...]
    words: str
    is_colon: bool

    @property
    def key(self) -> str:
        return self.name.upper()

    @property
    def is_capitalised(self) -> bool:
        return all(
            w[0].isupper() or w in SMALL_WORDS or not w[0].isalpha() for w in re.split(r"[\s/]+", self.name) if w
        )


class PlainReader:
    """Reads a plain script in two passes: who speaks in it, then what each line is."""

    def __init__(self, prepared: Prepared, path: str):
        self.prepared, self.path = prepared, path
        lines, self.left_out = laid_out(prepared.lines, path)
        self.lines, self.chat = without_stamps(lines, path, self._name_in)
        self.lines, self.aside, self.cast = set_aside(self.lines, path, self.is_speech, self._name_in)
        written = [line for line in self.lines if line.text.strip()]
        self.below = {line.number: after for line, after in pairwise(written)}
        first, last = (written[0].number, written[-1].number) if written else (0, 0)
        self.has_blanks = any(line.is_blank for line in prepared.lines if first < line.number < last)
        self.blocks: list[Block] = []
        self.facts: dict[str, str] = {}
        self.after_blank = True
        self.singer: str | None = None  # whom a verse's heading names
        self.manner: tuple[str, ...] = ()  # how it is sung, by its heading
        self.song_singers: list[str] = []  # who is named in the song we are in, in their order
        self.next_singer: str | None = None  # whom "MAMA: (sings)" above a heading names
        self.last_singer: str | None = None
        self.signed: Block | None = None  # the last block of lyrics with signs
        self.is_signed = False  # this song's lyrics have signs of their own: what has none is not sung
        self.song = ""  # the heading of the song we are in
        self.song_has_names = False
        self.song_has_lyrics = False
        self.headed = ""  # the part of the song we are in; it may be one written before
        self.calls_back = False
        self.written: set[str] = set()  # parts of this song whose words stand, without singers' names
        self.song_has_parts = False
        self.lone_name: Block | None = None  # the last speech, where its name has a line of its own
        self.sung_name: Block | None = None  # the same, where a direction beside the name says that it is sung
        found = [s for line in self.lines if (s := self._spoken(strip(line.text)))]
        self.colons = Counter(s.key for s in found if s.is_colon and s.name.casefold() not in NO_NAMES)
        self.dashes = Counter(s.key for s in found if not s.is_colon)
        self.capitals = {s.key for s in found if is_upper(s.name)}
        self._names = {
            s.name.casefold() for s in found if s.is_colon and not SOUND_CHARACTERS.fullmatch(s.name)
        } - NO_NAMES
        self.told: set[str] = set()
        self.told_singers: set[tuple[str, ...]] = set()

    @property
    def speech_count(self) -> int:
        """How many lines look like ``NAME: words`` for certain."""
        return sum(n for name, n in self.colons.items() if name in self.capitals or n > 1)

    def read(self) -> tuple[dict[str, str], list[Block]]:
        """Return the facts at the head of the script and all blocks in order."""
        self.prepared.findings += [*self.left_out, *self.chat, *self.aside]
        for line in self.lines:
            if line.is_blank:
                self.after_blank = True
                continue
            if line.is_notes_only:
                self._notes(line)
            else:
                self._line(line)
            self.after_blank = False
        return self.facts, self.blocks

    # --- telling lines apart --------------------------------------------------------------------------

    def _spoken(self, text: str) -> _Spoken | None:
        text = re.sub(rf"^(?:{EMOJI}\s*){{1,20}}", "", text)
        bare = bold_name(text)
        match = SPOKEN.fullmatch(bare) or SPOKEN.fullmatch(
            re.sub(rf"\s*{EMOJI}{{1,8}}\s*(?=[:(\[–—-])", "", bare, count=2)
        )
        if not match or TRANSITION.fullmatch(bare.strip()):
            return None
        is_capitals = is_upper(match["name"])
        most = LONGEST_CAPITALS if is_capitals and match["mark"].strip() == ":" else LONGEST_NAME
        if len(match["name"].split()) > most or (len(match["name"]) > LONGEST_SMALL and not is_capitals):
            return None
        beside = tuple(d[1:-1].strip() for d in CLOSED.findall(match["beside"]))
        name, extensions = split_cue(re.sub(r"[*_]+", "", match["name"]))
        directions = tuple(d for d in (*extensions, *beside) if split_cue(f"X ({d})")[1])
        return _Spoken(name, directions, match["words"], match["mark"].strip() == ":") if name else None

    def _name_in(self, text: str) -> str | None:
        """Return the name in a line that looks like ``NAME: words``, as written."""
        spoken = self._spoken(strip(text))
        if spoken is None or not spoken.is_colon or spoken.key.casefold() in NO_NAMES | NOT_NAMES:
            return None
        return spoken.name

    def is_speech(self, text: str) -> bool:
        """True for a text that certainly is ``NAME: words``."""
        spoken = self._spoken(strip(text))
        return spoken is not None and spoken.is_colon and bool(spoken.words) and self._name_in(text) is not None

    def _speaker(self, spoken: _Spoken, line: SourceLine) -> bool:
        """Decide whether a line that looks like ``NAME: words`` is one, and say so where it is not certain."""
        key = spoken.key
        if self._is_shouted(spoken):
            message = f'"{spoken.name}" was read as words of the speech; leave a blank line before it if it is a name'
            self._found(FindingCode.SPEAKER_DOUBTFUL, message, line)
            return False
        if key.casefold() in NOT_NAMES and not is_upper(spoken.name):
            return False
        if (key in self.capitals and is_upper(spoken.name)) or self.colons[key] > 1:
            return True
        if spoken.is_colon and key not in self.capitals:
            if not spoken.is_capitalised and len(spoken.name.split()) > 1:
                return False  # "The thing is: we wait" is a sentence
            self._doubt(line, key, f'"{spoken.name}" was read as a speaker\'s name (met once, before a colon)')
            return True
        if key in self.capitals or self.colons[key] or key in self.cast:
            return True
        if self.dashes[key] > 1 and spoken.is_capitalised:
            return True
        if spoken.is_capitalised and len(spoken.name.split()) <= 2:
            last = self.blocks[-1] if self.blocks else None
            into = f", so it is spoken by {last.speaker}" if last and last.speaker and not self.after_blank else ""
            message = f'"{spoken.name}" before a dash was not read as a speaker{into}; write {key}: if it is one'
            self._doubt(line, key, message, last if into else None)
        return False

    def _is_shouted(self, spoken: _Spoken) -> bool:
        """True for "I SAID: NO" inside a speech: words in capitals that read like a sentence, not like a name."""
        last = self.blocks[-1] if self.blocks else None
        inside = last is not None and last.kind is BlockKind.SPEECH and not self.after_blank
        if not inside or not is_upper(spoken.name) or not is_clause(spoken.name):
            return False
        return self.colons[spoken.key] + self.dashes[spoken.key] < 2 or spoken.name.split()[0].casefold() in PERSONS

    def _doubt(self, line: SourceLine, key: str, message: str, speech: Block | None = None) -> None:
        if key not in self.told:
            self.told.add(key)
            self._found(FindingCode.SPEAKER_DOUBTFUL, message, line, speech)

    def _found(self, code: FindingCode, message: str, line: SourceLine, speech: Block | None = None) -> None:
        """Keep a finding, with the speech that it is about where there is one: then it stands on its sheets too."""
        found = speech.findings if speech else self.prepared.findings
        found.append(Finding(code, message, {}, Where(self.path, line.number)))

    # --- lines ----------------------------------------------------------------------------------------

    def _notes(self, line: SourceLine) -> None:
        if not MARKER.search(line.text):
            return
        part = Part(PartKind.WORDS, line.text, line.number)
        last = self.blocks[-1] if self.blocks else None
        notes = [self.prepared.notes[int(m[1])] for m in MARKER.finditer(line.text)]
        is_signed = last is not None and last is self.signed and any(note.length for note in notes)
        if last and not self.after_blank and last.kind in (BlockKind.SPEECH, BlockKind.PICTURE) and not is_signed:
            last.parts.append(part)
        else:
            self.blocks.append(Block(BlockKind.NOTES, line.number, [part]))

    def _line(self, line: SourceLine) -> None:
        text = strip(line.text)
        bare = strip_emphasis(MARKER.sub("", text))[0].strip()
        markers = "".join(m[0] for m in MARKER.finditer(text))
        is_signed = NOTE_SIGNS.match(bare) is not None
        bare = EMOJI_RUN.sub("", bare).strip() or bare
        heading = HEADING.fullmatch(bare)
        unboxed = bare[1:-1].strip() if re.fullmatch(r"\[[^\[\]]*\]|\([^()]*\)", bare) else bare
        if not bare or RULE.fullmatch(bare) or TRANSITION.fullmatch(bare):
            if markers:
                self._notes(line)
            if self.song_has_lyrics or self.song_has_names or self.song_has_parts:  # a rule under a song ends it
                self._end_song()
            return
        if heading and heading["text"] and not self._is_name_line(heading["text"]):
            self._heading(heading["text"], line, markers)
        elif SCENE.fullmatch(unboxed):
            self._scene(unboxed, line, markers)
        elif ends_song(unboxed) and (self.song or (unboxed != bare and read_sound(unboxed, is_boxed=True) is None)):
            self._end_song()
            if markers:
                self._notes(line)
        elif (title := self._song_title(NOTE_SIGNS.sub("", unboxed), text, line)) is not None:
            self._song(title, line, markers)
        elif (part := self._read_part(bare)) is not None and self._is_part(part, bare, line):
            self._song_part(part, line, markers)
        elif (in_brackets := self._part_in_brackets(bare)) is not None:
            self._song_part(in_brackets, line, markers, is_marked=True)
        elif (slip := self._near_part(bare, line)) is not None:
            self._song_part(slip, line, markers)
        elif bare.startswith("~") or is_signed:
            self.is_signed = True
            self._lyric(NOTE_SIGNS.sub("", text.replace("~", "", 1) if bare.startswith("~") else text), line)
            self.signed = self.blocks[-1]
        elif DIRECTION_LINE.fullmatch(bare) or (not self.song and is_all_slanted(text)):
            self._direction(text, bare, line)
        else:
            self._words(text if not heading else heading["text"], bare, line)

    def _is_name_line(self, text: str) -> bool:
        spoken = self._spoken(text)
        return (
            spoken is not None and (self.colons[spoken.key] > 1 or spoken.key in self.capitals) and bool(spoken.words)
        )

    def _song_title(self, bare: str, text: str, line: SourceLine) -> str | None:
        """Return the title of the song that a line heads: certainly, or by a note sign, or by the verse below it."""
        title = song_title(bare, is_heading=True)
        if title is not None and song_title(bare, is_heading=False) is not None:
            return title
        title = told_title(bare) if title is None else title
        spoken = self._spoken(text)
        is_speech = spoken is not None and spoken.is_colon and not SOUND_CHARACTERS.fullmatch(spoken.name)
        return title if title is not None and not is_speech and self._heads_song(title, text, line) else None

    def _heads_song(self, title: str, text: str, line: SourceLine) -> bool:
        """True where a note sign, a part of a song or lines like lyrics tell that the line above them heads a song."""
        if NOTE_SIGNS.search(text):
            return True
        below = self.below.get(line.number)
        part = read_part(strip_emphasis(strip(below.text))[0]) if below else None
        if part is not None and part.role and not part.is_repeat:
            return True
        if not title[:1].isupper() or not self._are_lyrics_below(line):
            return False
        message = f'"{title}" was read as the heading of a song: the lines below it are like lyrics'
        self._found(FindingCode.SONG, message, line)
        return True

    def _are_lyrics_below(self, line: SourceLine) -> bool:
        """True where the lines below one, down to a blank line, are those of a verse that nobody's name stands in."""
        verse: list[SourceLine] = []
        below = self.below.get(line.number)
        while below is not None and len(verse) < LONGEST_VERSE and (not verse or below.number == verse[-1].number + 1):
            verse.append(below)
            below = self.below.get(below.number)
        bare = [strip_emphasis(MARKER.sub("", strip(one.text)))[0].strip() for one in verse]
        return are_like_lyrics(bare) and not any(self._is_no_lyric(text) for text in bare)

    def _is_no_lyric(self, bare: str) -> bool:
        told = HEADING.fullmatch(bare) or SCENE.fullmatch(bare) or DIRECTION_LINE.fullmatch(bare)
        spoken = self._spoken(bare)
        is_speech = spoken is not None and (spoken.is_colon or spoken.key in self.capitals)
        return bool(told) or is_speech or self._tells_of_somebody(bare)

    def _near_part(self, bare: str, line: SourceLine) -> SongPart | None:
        """Return the part of a song that a misspelt heading names, and say so: in a song, or over lines like lyrics."""
        found = near_part(bare) if self.song or self.after_blank else None
        if found is None or not (self.song or self._are_lyrics_below(line)):
            return None
        part, meant = found
        message = f'"{bare.strip("*_ :()[]")}" was read as the heading "{meant}": write it so'
        self._found(FindingCode.HEADING_NEAR, message, line)
        return part

    def _is_part(self, part: SongPart, bare: str, line: SourceLine) -> bool:
        """True unless "Intro: the sea at low tide" outside a song is picture, and "again" a word that is sung.

        "Bridge" and "Final" are words like others: outside a song they head one only in brackets or over a verse.
        """
        if part.rest and not self.song:
            is_told = bare[0] not in "[(" or part.role in ("verse", "chorus", "pre-chorus")  # "[Bridge - Tansy]"
            return part.role != "intro" and is_told and beside_heading(part.rest, self.colons).names_singers
        if not self.song and part.role in ("bridge", "intro", "outro") and bare[0] not in "[(":
            return self._are_lyrics_below(line)
        return bool(part.role) or bool(self.song)

    def _read_part(self, bare: str) -> SongPart | None:
        """Return the part that a line names; "all" in brackets behind it, no word of its name, as its rest."""
        part = read_part(bare)
        named = self._part_in_brackets(bare) if part is not None and not part.rest and bare[-1:] in ")]" else None
        return named if named and beside_heading(named.rest, self.colons).is_everybody else part

    def _part_in_brackets(self, bare: str) -> SongPart | None:
        """Return the part that "Verse 1 (Tansy)", "(chorus x2, quietly)" head or call back, its rest in brackets."""
        behind = re.fullmatch(r"(?P<open>\[?)(?P<part>[^()\[\]]+?)\s*[(\[](?P<rest>[^()\[\]]+)[)\]]\]?[.:]?", bare)
        inside = re.fullmatch(r"(?P<open>[(\[])(?P<part>[^,()\[\]]+)(?:,\s*|\s*\()(?P<rest>[^()\[\]]+)\)?[)\]]", bare)
        match = behind or inside
        part = read_part(f"({match['part'].strip()})" if match["open"] else match["part"]) if match else None
        if match is None or part is None or not part.role or part.rest:
            return None
        beside = beside_heading(match["rest"], self.colons)
        is_name = len(match["rest"].split()) < 3 and all(w[0].isupper() for w in match["rest"].split())
        is_headed = beside.is_known or (behind is not None and (bool(self.song) or is_name))
        return replace(part, rest=match["rest"].strip()) if is_headed else None

    def _beside(self, part: SongPart, line: SourceLine, is_marked: bool) -> Singers:
        """Return who is named beside a part's heading and in which manner; in bare text a manner may be sung words."""
        beside = beside_heading(part.rest, self.colons)
        if not is_marked and beside.left_over:
            return Singers()
        if not is_marked and beside.manner and not beside.names_singers:
            words = part.rest.casefold().replace(",", " ").split()
            below = self.below.get(line.number)
            is_over_lines = below is not None and below.number == line.number + 1
            if not is_over_lines or part.rest[-1:] in ".,!?;…" or len(set(words)) < len(words):
                return Singers()
        return beside

    def _all_of_them(self, beside: Singers) -> list[str]:
        """Return whom "both" or "all" means: those who are named in this song, else those who have spoken so far."""
        spoke = [b.speaker for b in self.blocks if b.kind is BlockKind.SPEECH and b.speaker]
        met = [name for name in dict.fromkeys(spoke) if self.colons[name] > 1 or name in self.cast]
        met = met if len(met) > 1 else [*dict.fromkeys(spoke)]
        found = are_everybody(self.song_singers) or are_everybody(met)
        return found if not beside.is_both or len(found) == 2 else []

    def _sung_by(self, part: SongPart, beside: Singers, line: SourceLine) -> str | None:
        """Return the singers beside a heading; what "both" and "all" were read as is said."""
        if not beside.is_everybody:
            return " AND ".join(beside.names) or None
        names = self._all_of_them(beside)
        if (beside.is_both or names) and tuple(names) not in self.told_singers:
            self.told_singers.add(tuple(names))
            meant = f"read as {' and '.join(names)}" if names else "not understood: write the names of the two"
            self._found(FindingCode.BESIDE_HEADING, f'"{part.rest}" beside the {part.role} was {meant}', line)
        return " AND ".join(names) or None

    def _song_part(self, part: SongPart, line: SourceLine, markers: str, is_marked: bool = False) -> None:
        """Begin a part of a song, or call one back; ``is_marked``: its heading is told by more than its words."""
        if not self.song and not part.is_repeat:
            self._song("", line, markers)
        elif markers:
            self._notes(line)
        is_marked = is_marked or strip(line.text)[:1] in "[(#" or is_all_bold(strip(line.text))
        beside = self._beside(part, line, is_marked)
        self.singer, self.next_singer = self._sung_by(part, beside, line) or self.next_singer, None
        self.manner = beside.manner
        self.song_singers += beside.names
        kind = BlockKind.AGAIN if part.is_repeat or not part.role else BlockKind.SONG_PART
        block = Block(kind, line.number, text=part.name, times=part.times, directions=self.manner, speaker=self.singer)
        if part.is_repeat and part.role and part.times > 1:
            message = f"read as: the {part.role} is sung {part.times} times here"
            block.findings.append(
                Finding(FindingCode.AGAIN_DOUBTFUL, message, {"times": part.times}, Where(self.path, line.number))
            )
        self.blocks.append(block)
        self.song_has_names = self.song_has_lyrics = False
        self.song_has_parts = True
        self.headed, self.calls_back = part.name, kind is BlockKind.AGAIN or part.name in self.written
        if beside.left_over:
            self._after_part(replace(part, rest=beside.left_over), line, is_marked)
        elif part.rest and not beside.is_known:
            self._after_part(part, line, is_marked)

    def _after_part(self, part: SongPart, line: SourceLine, is_marked: bool) -> None:
        """Sing on after "Chorus: Out and in"; what "[Verse 1: the crab's]" says is left out, and said so."""
        below = self.below.get(line.number)
        is_over_lines = below is not None and below.number == line.number + 1
        mark = re.search(r"[:–—]|\s-\s", strip(line.text))
        is_dash = mark is not None and mark[0] != ":"
        if is_marked or (is_dash and is_over_lines):
            message = (
                f'"{part.rest}" beside the heading of the {part.role} was not understood and left out: it is not sung; '
                "who sings is named there, or how (softly)"
            )
            self._found(FindingCode.BESIDE_HEADING, message, line)
        else:
            self._sung_here()
            self._lyric(part.rest, line)

    def _heading(self, text: str, line: SourceLine, markers: str) -> None:
        bare = NOTE_SIGNS.sub("", text).strip()
        is_first = not self.blocks and not self.facts.get("title")
        title = song_title(bare, is_heading=not is_first)
        part = self._read_part(bare) or self._part_in_brackets(bare) or self._near_part(bare, line)
        if title is None and not is_first and (told := told_title(bare)) and self._heads_song(told, bare, line):
            title = told
        if title is not None:
            self._song(title, line, markers)
        elif part is not None and part.role and (self.song or not part.rest or self._is_part(part, bare, line)):
            self._song_part(part, line, markers, is_marked=True)
        elif not self.blocks and not self.facts.get("title") and not SCENE.fullmatch(text):
            self.facts["title"] = NOTE_SIGNS.sub("", text).strip()
        else:
            self._scene(text, line, markers)

    def _scene(self, text: str, line: SourceLine, markers: str) -> None:
        self._end_song()
        self.blocks.append(Block(BlockKind.SCENE, line.number, text=text.strip() + markers))

    def _song(self, title: str, line: SourceLine, markers: str) -> None:
        if not self.song or title != self.song:
            self.blocks.append(Block(BlockKind.SONG, line.number, text=title))
        if markers:
            self.blocks.append(Block(BlockKind.NOTES, line.number, [Part(PartKind.WORDS, markers, line.number)]))
        self.song = title or self.song or "song"
        self.song_has_names = self.song_has_lyrics = self.song_has_parts = self.calls_back = False
        self.headed, self.written, self.is_signed = "", set(), False
        self.manner, self.song_singers = (), []

    def _end_song(self) -> None:
        if self.song:
            self.blocks.append(Block(BlockKind.SONG_END, 0))
        self.song, self.singer, self.manner, self.is_signed = "", None, (), False

    def _lyric(self, text: str, line: SourceLine) -> None:
        last = self.blocks[-1] if self.blocks else None
        speaker = self.singer or self.next_singer
        part = Part(PartKind.LYRIC, text, line.number)
        if last and last.kind is BlockKind.SPEECH and speaker in (None, last.speaker) and not self.after_blank:
            last.parts.append(part)
        else:
            block = Block(BlockKind.SPEECH, line.number, [part], speaker=speaker, directions=self.manner)
            self.blocks.append(block)
            self.next_singer = None
        self.last_singer = self.blocks[-1].speaker

    def _direction(self, text: str, bare: str, line: SourceLine) -> None:
        inside = bare.strip("()[] ")
        if self._passage(inside, text, bare, line):
            return
        if self.song and tells_song_end(inside):
            self._end_song()
        last = self.blocks[-1] if self.blocks else None
        is_acting = bare[0] == "(" or (bare[0] != "[" and is_direction(bare))  # "*softly*", not "*they listen*"
        if last and last.kind is BlockKind.SPEECH and not self.after_blank and is_acting:
            last.parts.append(Part(PartKind.DIRECTION, text, line.number))
        else:
            inner = re.sub(r"[(\[](.*)[)\]]", r"\1", text, count=1)
            part = Part(PartKind.WORDS, inner, line.number)
            self.blocks.append(Block(BlockKind.PICTURE, line.number, [part]))

    def _passage(self, inside: str, text: str, bare: str, line: SourceLine) -> bool:
        """Put a line that is a wait or a sound cue; False for any other, and for a wait within a speech."""
        is_boxed = bare[0] in "([" or is_all_slanted(text)
        markers = "".join(m[0] for m in MARKER.finditer(text))
        last = self.blocks[-1] if self.blocks else None
        is_under = last is not None and last.kind is BlockKind.SPEECH and not self.after_blank
        if (sound := read_sound(inside, is_boxed)) is not None:
            if is_under and last is not None and last.parts and not self._in_lyrics(last) and not markers:
                last.parts.append(Part(PartKind.DIRECTION, f"({inside})", line.number))
                return True
            part = Part(PartKind.WORDS, sound + markers, line.number)
            self.blocks.append(Block(BlockKind.PICTURE, line.number, [part], passage=Passage.SOUND))
            return True
        wait = read_wait(inside)
        if wait is None or (is_under and not is_boxed):
            return False
        if is_under and last is not None and not self._in_lyrics(last):
            last.parts.append(Part(PartKind.DIRECTION, f"({inside}){markers}", line.number))
        elif wait.is_pause and wait.length < LEAST_WAIT_S:
            note = self.prepared.marker(Note(pause=wait.length))
            self.blocks.append(Block(BlockKind.NOTES, line.number, [Part(PartKind.WORDS, note, line.number)]))
        else:
            part = Part(PartKind.WORDS, inside + markers, line.number)
            name = inside.split()[0].upper()
            speaker = name if name in self.colons else None
            self.blocks.append(
                Block(BlockKind.PICTURE, line.number, [part], speaker=speaker, passage=Passage.WAIT, wait=wait)
            )
        return True

    def _words(self, text: str, bare: str, line: SourceLine) -> None:
        spoken = self._spoken(text)
        if (not spoken or spoken.key.casefold() not in self._names) and self._passage(bare, text, bare, line):
            return
        if spoken and self._is_fact(spoken):
            key = FACT_KEYS.get(spoken.key.casefold(), spoken.key.casefold())
            self.facts[key] = strip_emphasis(MARKER.sub("", spoken.words))[0].strip()
        elif spoken and spoken.is_colon and spoken.key.casefold() in PICTURE_NAMES:
            self.blocks.append(
                Block(BlockKind.PICTURE, line.number, [Part(PartKind.WORDS, spoken.words or bare, line.number)])
            )
        elif spoken and spoken.is_colon and spoken.key.casefold() in NOTE_NAMES:
            self._found(FindingCode.READ_AS_PICTURE, f'"{spoken.name}:" was read as picture, not as a speaker', line)
            self.blocks.append(
                Block(BlockKind.PICTURE, line.number, [Part(PartKind.WORDS, spoken.words or bare, line.number)])
            )
        elif spoken and self._speaker(spoken, line):
            self._speech(spoken, line)
        elif self._is_lone_name(bare):
            self._speech(_Spoken(split_cue(bare)[0], split_cue(bare)[1], "", True), line)
        else:
            self._continue(text if self.after_blank else with_clock(line.text, text), line)

    def _is_fact(self, spoken: _Spoken) -> bool:
        head = all(b.kind is BlockKind.NOTES for b in self.blocks)
        return (
            head
            and spoken.is_colon
            and spoken.key.casefold() in FACTS
            and (FACT_KEYS.get(spoken.key.casefold(), spoken.key.casefold()) not in self.facts)
        )

    def _is_lone_name(self, bare: str) -> bool:
        name = split_cue(bare)[0].upper()
        return (
            self.after_blank
            and name in self.capitals | set(self.colons)
            and bool(self.colons[name] or self.dashes[name])
        )

    def _speech(self, spoken: _Spoken, line: SourceLine) -> None:
        words, leading = self._leading_directions(spoken.words)
        is_plain = bool(words.strip()) and SUNG_SIGN.match(words) is None
        sings = any(SINGS.search(d) for d in (*spoken.directions, *leading))
        if self.song and self.is_signed and is_plain and not sings:
            self._end_song()
        if sings and not words.strip() and self._is_song_below(line):
            self.next_singer = spoken.key
            return
        sung = bool(self.song) and self._is_sung_by_name(line)
        if not sung and sings:
            sung = True
            self._found(
                FindingCode.SUNG_BY_DIRECTION,
                f"{spoken.key}'s words were read as sung, because the direction says so",
                line,
            )
        block = Block(BlockKind.SPEECH, line.number, speaker=spoken.key, directions=spoken.directions)
        sign = SUNG_SIGN.match(words)
        is_lyric = sung or sign is not None
        if is_lyric:
            words = NOTE_SIGNS.sub("", words[: sign.start("sign")] + words[sign.end() :] if sign else words)
        block.parts += [Part(PartKind.DIRECTION, f"({d})", line.number) for d in leading]
        if words.strip():
            block.parts.append(Part(PartKind.LYRIC if is_lyric else PartKind.WORDS, words, line.number))
        self.blocks.append(block)
        self.song_singers += [spoken.key] if is_lyric and self.song else []
        self.lone_name = None if spoken.words.strip() else block
        self.sung_name = block if is_lyric and not words.strip() else None

    def _is_song_below(self, line: SourceLine) -> bool:
        """True where the next line heads a song or a part of it, or has a note sign: a name above it says who sings."""
        below = self.below.get(line.number)
        bare = strip_emphasis(strip(below.text))[0].strip() if below else ""
        title = song_title(NOTE_SIGNS.sub("", bare).lstrip("# "), is_heading=bare.startswith("#"))
        is_part = read_part(bare.lstrip("# ")) is not None or self._part_in_brackets(bare) is not None
        return is_part or title is not None or bare.startswith("~") or NOTE_SIGNS.match(bare) is not None

    def _is_sung_by_name(self, line: SourceLine) -> bool:
        """True while ``NAME:`` lines under a song heading are the song's."""
        unnamed = self.song_has_lyrics or (self.calls_back and self.written)
        if unnamed and not self.song_has_names and (self.after_blank or not self.has_blanks):
            self._found(
                FindingCode.SONG_END_ASSUMED,
                f'read as spoken: the song "{self.song}" seems to end before this line',
                line,
            )
            self._end_song()
            return False
        if self.song_has_names and self.after_blank:
            message = f'read as sung, under the heading "{self.song}"; write (End of song) before it if it is spoken'
            self._doubt_song(message, line)
        self.song_has_names = True
        return True

    def _sung_here(self) -> None:
        self.song_has_lyrics = True
        self.written.add(self.headed)

    def _doubt_song(self, message: str, line: SourceLine) -> None:
        code = FindingCode.SONG_END_ASSUMED
        if (code, self.song) not in {(f.code, f.facts.get("song")) for f in self.prepared.findings}:
            self.prepared.findings.append(Finding(code, message, {"song": self.song}, Where(self.path, line.number)))

    @staticmethod
    def _leading_directions(words: str) -> tuple[str, list[str]]:
        """Take "(softly)" from the start of the words; pauses stay where they are."""
        directions = []
        while match := re.match(r"\s*[*_]*[(\[]([^()\[\]]*)[)\]][*_]*\s*", words):
            if written_pause(match[1]) is not None or read_wait(match[1]) or read_sound(match[1], is_boxed=True):
                break
            if match[1].strip():
                directions.append(match[1].strip())
            words = words[match.end() :]
        return words, directions

    def _continue(self, text: str, line: SourceLine) -> None:
        """A line with no name: more of the speech or lyric above it, or picture."""
        last = self.blocks[-1] if self.blocks else None
        is_between = (
            self.signed is not None and last is not None and last.kind is BlockKind.NOTES and not self.after_blank
        )
        if is_between and self.signed is not None and self.signed in self.blocks[-2:]:
            # Under lyrics with signs, below a length: what is seen while nobody sings. Who sang goes on.
            self.next_singer = self.last_singer
            self.blocks.append(Block(BlockKind.PICTURE, line.number, [Part(PartKind.WORDS, text, line.number)]))
        elif self.song and (
            self.after_blank or last is None or last.kind is not BlockKind.SPEECH or self._in_lyrics(last)
        ):
            self._sung_here()
            self._lyric(NOTE_SIGNS.sub("", text), line)
        elif last and last.kind is BlockKind.SPEECH and not self.after_blank:
            kind = PartKind.LYRIC if self._in_lyrics(last) or last is self.sung_name else PartKind.WORDS
            self._say_joined(last, text, line)
            last.parts.append(Part(kind, text, line.number))
        elif last and last.kind is BlockKind.PICTURE and not self.after_blank:
            last.parts.append(Part(PartKind.WORDS, text, line.number))
        else:
            if last and last.kind is BlockKind.SPEECH:
                self._found(
                    FindingCode.READ_AS_PICTURE,
                    "a paragraph without a speaker's name was read as picture, not speech",
                    line,
                )
            self.blocks.append(Block(BlockKind.PICTURE, line.number, [Part(PartKind.WORDS, text, line.number)]))

    def _say_joined(self, last: Block, text: str, line: SourceLine) -> None:
        """Say that a line without a name was joined to a speech, unless a sentence plainly goes on in it."""
        if not last.parts or last.parts[-1].kind is PartKind.DIRECTION or self.song:
            return
        if any(f.where == Where(self.path, line.number) for f in (*self.prepared.findings[-1:], *last.findings[-1:])):
            return  # said already why it is no name
        before = MARKER.sub("", last.parts[-1].text).rstrip("*_\"”’') ")
        is_wrapped = not before.endswith(SENTENCE_ENDS) and (len(before) >= SHORTEST_WRAPPED or before[-1:] in ",;:–—-")
        if (last is self.lone_name or is_wrapped) and not self._tells_of_somebody(text):
            return
        whose = f"{last.speaker}'s speech" if last.speaker else "the lyrics above it"
        message = f"line without a name joined to {whose}; if it is picture, leave a blank line before it"
        if self._in_lyrics(last):
            message = "read as sung, like the lyrics above it; if it is not, leave a blank line before it"
        self._found(FindingCode.SPEECH_OR_PICTURE, message, line, last)

    def _tells_of_somebody(self, text: str) -> bool:
        """True for "She pokes him." or "Bram nods.": who is in the script, and what they do."""
        first = re.match(r"([^\W\d_]+)\s+(?!(?:is|was|has|does)\b)[^\W\d_]+s\b(?!['’])", text)
        return first is not None and (first[1].casefold() in ("she", "he") or first[1].upper() in self.colons)

    @staticmethod
    def _in_lyrics(block: Block) -> bool:
        return any(p.kind is PartKind.LYRIC for p in block.parts)
