"""From the words on paper to what the recogniser follows, and back from its phones to the syllables on paper.

In: an Utterance and a way to pronounce a word. Out: tokens (one for each word as it is said: "$5" has two), each with
its possible pronunciations; and, once phones have been heard, the word's syllables with a start and an end.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from timing.hearing.dictionary import look_up
from timing.hearing.foreign_sounds import manners
from timing.hearing.recogniser import PHONES, HeardPhone, Phones
from timing.language.registry import language_of
from timing.model import Origin, TimedSyllable, Utterance, Word, is_vowel
from timing.model.clock import Seconds
from timing.model.words import Pronounce

_MOST_VARIANTS = 8
HUM = (("AH",), ("M",))  # for something that nobody can pronounce


@dataclass(frozen=True, slots=True)
class Token:
    """One word as it is said; ``word`` is the index of the printed word it belongs to."""

    text: str
    word: int
    pronunciations: tuple[Phones, ...]


def tokens_of(utterance: Utterance, pronounce: Pronounce) -> tuple[Token, ...]:
    """Return what is said, in order; every printed word has at least one token.

    Pronunciations: first the sounds of the word's own syllables (so that what is heard is what the sheets print),
    then those of ``pronounce``, then, in the recogniser's own language, those of its dictionary.
    """
    hearing = language_of(utterance.language).hearing
    found: list[Token] = []
    spoken = [_parts(word) for word in utterance.words]
    following = [*[part for parts in spoken for part in parts][1:], ""]
    for index, (word, parts) in enumerate(zip(utterance.words, spoken, strict=True)):
        own = tuple(phone for s in word.syllables for phone in s.phones)
        for part in parts:
            text = part.replace("’", "'").strip("'") if part.strip("'’") else part
            variants = [own] if len(parts) == 1 else []
            variants += [tuple(p) for p in pronounce(text)] if text else []
            if hearing.is_recognisers_own:
                variants += look_up(text) or look_up(part.replace("’", "'"))
                variants += [tuple(form.split()) for form in hearing.weak_forms.get(text, ())]
            else:
                known = [list(manners(v, hearing)) for v in dict.fromkeys(variants[:2])]
                after = following[len(found)]
                ended = [e for m in known for v in m[:1] for e in hearing.endings(v, text, after)]
                variants = [*(m[0] for m in known if m), *ended, *(v for m in known for v in m[1:])]
            usable = [v for v in dict.fromkeys(variants) if v and PHONES.issuperset(v)]
            found.append(Token(text, index, tuple(usable[:_MOST_VARIANTS]) or HUM))
    return tuple(found)


def is_foreign(tokens: Sequence[Token]) -> bool:
    """True where nobody knows the sounds of most of a line's words."""
    return sum(t.pronunciations == HUM for t in tokens) * 2 > len(tokens)


def _parts(word: Word) -> list[str]:
    """Return the words as which a printed one is said, at least one."""
    return re.findall(r"[^\W_]+(?:['’][^\W_]+)*['’]?", word.spoken.casefold()) or [""]


def timed_syllables(word: Word, phones: Sequence[HeardPhone]) -> tuple[TimedSyllable, ...]:
    """Return the syllables of ``word`` on the phones heard for it (at least one phone).

    Each syllable takes the phones that match its own best; one that was swallowed ("ev'ry" for "every") gets the
    second half of the phone before it.
    """
    starts = _first_phones(word, [p.name for p in phones])
    edges: list[tuple[Seconds, Seconds, int, int]] = []
    for index, first in enumerate(starts):
        last = starts[index + 1] if index + 1 < len(starts) else len(phones)
        if last > first:
            # A pause inside a word ("twenty, er, five" written 25) belongs to no syllable.
            edges.append((phones[first].start, phones[last - 1].end, first, last))
        else:
            edges.append((phones[-1].end, phones[-1].end, first, first))
    placed = _with_room(edges)
    if any(end <= start for start, end, _, _ in placed) or any(b[0] < a[1] for a, b in pairwise(placed)):
        # Another line's sound behind these words: the syllables share it evenly, whatever its phones.
        begin, step = phones[0].start, (phones[-1].end - phones[0].start) / len(word.syllables)
        placed = [(begin + n * step, begin + (n + 1) * step, 0, 0) for n in range(len(word.syllables))]
    return tuple(
        TimedSyllable(
            s.text,
            start,
            end,
            Origin.MEASURED,
            s.stress,
            tuple(p.name for p in phones[first:last]),
            s.said,
            tuple(p.start for p in phones[first:last]),
        )
        for s, (start, end, first, last) in zip(word.syllables, placed, strict=True)
    )


def _with_room(edges: list[tuple[Seconds, Seconds, int, int]]) -> list[tuple[Seconds, Seconds, int, int]]:
    """Give swallowed syllables (no phones) a part of the sound before them, or after them at the word's start."""
    found: list[tuple[Seconds, Seconds, int, int]] = []
    index = 0
    while index < len(edges):
        stop = index + 1
        while stop < len(edges) and edges[stop][2] == edges[stop][3]:
            stop += 1
        start, end, first, last = edges[index]
        parts = stop - index
        if parts > 1 or first == last:
            step = (end - start) / parts
            for part in range(parts):
                found.append((start + part * step, start + (part + 1) * step, first, last if part == 0 else first))
            if parts > 1:  # the phones stay with the first part only where they begin in it
                kept = found[-parts]
                found[-parts] = (kept[0], kept[1], first, first)
        else:
            found.append(edges[index])
        index = stop
    return found


def _first_phones(word: Word, heard: list[str]) -> list[int]:
    """Return the index in ``heard`` of each syllable's first phone (equal to the next one's if it has none)."""
    own = [(phone, i) for i, s in enumerate(word.syllables) for phone in s.phones]
    if [phone for phone, _ in own] != heard and (not own or any(not s.phones for s in word.syllables)):
        return _by_vowels(len(word.syllables), heard)
    owner = _matched([p for p, _ in own], heard)
    starts = []
    for index in range(len(word.syllables)):
        first = next((k for k, o in enumerate(owner) if own[o][1] >= index), len(heard))
        starts.append(first)
    starts[0] = 0
    return starts


def _by_vowels(syllables: int, heard: list[str]) -> list[int]:
    """Share phones out by their vowels, one consonant before each (the commonest onset in every language)."""
    vowels = [i for i, p in enumerate(heard) if is_vowel(p)] or [0]
    starts = [0]
    for index in range(1, syllables):
        at = vowels[index * len(vowels) // syllables] if len(vowels) != syllables else vowels[index]
        onset = 1 if at > 0 and not is_vowel(heard[at - 1]) else 0
        starts.append(max(at - onset, starts[-1]))
    return starts


def _matched(own: list[str], heard: list[str]) -> list[int]:
    """Return for each phone heard the index of the phone of ``own`` it stands for (cheapest edit path)."""
    rows, columns = len(own) + 1, len(heard) + 1
    cost = [[0] * columns for _ in range(rows)]
    for i in range(rows):
        for j in range(columns):
            if not i or not j:
                cost[i][j] = 2 * (i + j)
            else:
                swap = 0 if own[i - 1] == heard[j - 1] else 1 if is_vowel(own[i - 1]) == is_vowel(heard[j - 1]) else 5
                cost[i][j] = min(cost[i - 1][j - 1] + swap, cost[i - 1][j] + 2, cost[i][j - 1] + 2)
    owner = [0] * len(heard)
    i, j = len(own), len(heard)
    while j:
        if i:
            swap = 0 if own[i - 1] == heard[j - 1] else 1 if is_vowel(own[i - 1]) == is_vowel(heard[j - 1]) else 5
            if cost[i][j] == cost[i - 1][j - 1] + swap:
                i, j = i - 1, j - 1
                owner[j] = i
                continue
            if cost[i][j] == cost[i - 1][j] + 2:
                i -= 1
                continue
        j -= 1
        owner[j] = max(i - 1, 0)
    return owner
