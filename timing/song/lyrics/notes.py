"""The notes of a lyric line: its syllables, each with how strong it is sung.

In: an utterance and its marks. Out: :class:`Note`, one for each onset.
"""

from __future__ import annotations

from dataclasses import dataclass

from timing.model import Break, Syllable, Utterance, Word
from timing.song.lyrics.lyrics import LyricMarks
from timing.song.lyrics.weights import ALONE, LITTLE, SECONDARY, STRENGTH, STRONG, WEAK

LITTLE_IN_SONG = frozenset({"ah", "o", "oh", "there", "thou", "ye", "doth", "hath"})


@dataclass(frozen=True, slots=True)
class Note:
    """One onset: usually one syllable, several where words share a note. ``sort``: how strong, as weights name it."""

    syllables: tuple[Syllable, ...]
    offset: int  # of its first character in the line
    end: int  # of its last character, exclusive
    sort: str
    word: int  # index of its (first) word
    break_after: Break = Break.NEVER

    @property
    def text(self) -> str:
        return "".join(s.heard for s in self.syllables).strip()


def notes_of(utterance: Utterance, marks: LyricMarks) -> tuple[Note, ...]:
    """Return the line's notes: its syllables, with words joined by ``~`` on one note."""
    notes: list[Note] = []
    for index, word in enumerate(utterance.words):
        at = word.start
        for i, syllable in enumerate(word.syllables):
            end = at + len(syllable.text)
            is_last = i == len(word.syllables) - 1
            sort = sort_of(word, i)
            rest = word.break_after if is_last else Break.NEVER
            if i == 0 and notes and any(word.start <= j < max(word.end, word.start + 1) for j in marks.joins):
                before = notes[-1]
                notes[-1] = Note(
                    (*before.syllables, syllable),
                    before.offset,
                    end,
                    max(before.sort, sort, key=STRENGTH.__getitem__),
                    before.word,
                    rest,
                )
            else:
                notes.append(Note((syllable,), at, end, sort, index, rest))
            at = end
    return tuple(notes)


def sort_of(word: Word, index: int) -> str:
    """Return how strong a word's syllable is in song.

    Little words of one syllable are weak unless emphasised. A secondary stress right beside the primary one is weak:
    no beat can stand on both.
    """
    stresses = [s.stress for s in word.syllables]
    if len(stresses) == 1:
        is_little = word.is_function or word.syllables[0].heard.strip().lower() in LITTLE_IN_SONG
        return LITTLE if is_little and not word.is_emphasised else ALONE
    if stresses[index] == 2:
        return WEAK if 1 in stresses[max(0, index - 1) : index + 2] else SECONDARY
    return STRONG if stresses[index] == 1 else WEAK
