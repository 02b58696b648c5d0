"""English words: dictionary, endings, elisions, sounds without a vowel, and a guess for the rest.

In: a word in lower case, apostrophes allowed. Out: its pronunciations. The dictionary is CMUdict's data.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from functools import cache

from timing.language.english import table as english_table
from timing.language.english.breaks import divide, sound_syllables
from timing.language.english.letters_and_sounds import align
from timing.language.english.word_lists import ENDINGS, LETTER_NAMES, USUAL
from timing.language.pronunciation import Pronunciation
from timing.language.vowelless import vowelless
from timing.model import is_vowel

_SIBILANTS = frozenset("S Z SH ZH CH JH".split())
_VOICELESS = frozenset("P T K F TH S SH CH".split())


def pronounce(word: str, sounds_weak_e: bool = False) -> tuple[Pronunciation, ...]:
    """Return the pronunciations of a word, the preferred one first; ``is_guessed`` where none was known.

    >>> pronounce("otter")[0].pieces
    ('ot', 'ter')
    """
    plain = without_accents(word)
    return tuple(_relettered(found, word) for found in _pronounce(plain))


def without_accents(word: str) -> str:
    """Return the word with plain letters, one for one.

    >>> without_accents("piñata")
    'pinata'
    """
    return "".join(unicodedata.normalize("NFD", letter)[0] for letter in word)


def is_known(word: str) -> bool:
    """True when the dictionary holds the word, or our own list of what children's books write."""
    return word in USUAL or american(word) is not None or bool(english_table.find(without_accents(word)))


def letter_name(letter: str) -> Pronunciation:
    """Return how the name of a letter is said."""
    sounds = tuple(tuple(part.split()) for part in LETTER_NAMES.get(without_accents(letter.lower()), "").split("."))
    return Pronunciation((letter, *[""] * (len(sounds) - 1)), sounds)


def _relettered(found: Pronunciation, word: str) -> Pronunciation:
    """Return the pronunciation with its pieces cut from ``word`` itself, accents and all."""
    if "".join(found.pieces) == word:
        return found
    pieces, at = [], 0
    for piece in found.pieces:
        pieces.append(word[at : at + len(piece)])
        at += len(piece)
    for index in range(len(pieces) - 1):  # pi-ña-ta: the letter is said as ny
        if pieces[index].endswith("ñ") and len(pieces[index]) > 1:
            pieces[index], pieces[index + 1] = pieces[index][:-1], "ñ" + pieces[index + 1]
    return Pronunciation(tuple(pieces), found.sounds, found.is_guessed)


@cache
def _pronounce(word: str) -> tuple[Pronunciation, ...]:
    if word in USUAL:
        return (_usual(word), *english_table.find(word))
    if found := english_table.find(word):
        return found
    if len(word) == 1 and word in LETTER_NAMES:
        return (letter_name(word),)
    for way in (_british, _sound, _laugh, _clipped, _contracted, _elided):
        if found := way(word):
            return found
    return (_guessed(word),)


def _usual(word: str) -> Pronunciation:
    """Return a listed reading; the pieces are the dictionary's where it has as many syllables."""
    phones = tuple(USUAL[word].split())
    vowels = [i for i, p in enumerate(phones) if _is_vowel_phone(p)]
    if len(vowels) < 2:
        return Pronunciation((word,), (phones,))
    known = english_table.find(word)
    same = [k for k in known if [p for s in k.sounds for p in s] == list(phones)]
    pieces = next((k.pieces for k in (*same, *known) if len(k.pieces) == len(vowels)), None)
    return Pronunciation(pieces, sound_syllables(phones, vowels)) if pieces else spelled(word, phones)


def spelled(word: str, phones: Sequence[str], is_guessed: bool = False) -> Pronunciation:
    """Return phones divided over the letters of a word."""
    from timing.language.english.guess import pairs

    ranges = align(word, phones, pairs())
    if ranges is None:
        return Pronunciation((word,), (tuple(phones),), is_guessed)
    chunks = [tuple(phones[a:b]) for a, b in ranges]
    found = divide(word, chunks, points(word), _phones_of)
    return Pronunciation(found.pieces, found.sounds, is_guessed)


def points(word: str) -> set[int]:
    """Return the offsets at which pyphen would divide."""
    return set(_patterns().positions(word))


@cache
def _patterns():  # type: ignore[no-untyped-def]  # pyphen carries no types
    import pyphen

    return pyphen.Pyphen(lang="en_US", left=2, right=2)


def _phones_of(word: str) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(p for piece in found.sounds for p in piece) for found in english_table.find(word))


# --- what the dictionary does not hold ---------------------------------------------------------------------


# British spellings of American ones; from memory.
_BRITISH = (("our", "or"), ("ise", "ize"), ("isi", "izi"), ("isa", "iza"), ("yse", "yze"), ("lled", "led"),
            ("lling", "ling"), ("tre", "ter"), ("ogue", "og"), ("ae", "e"), ("oe", "e"))  # fmt: skip


def american(word: str) -> str | None:
    """Return the American spelling of a British one, where the dictionary has it.

    >>> american("vapour"), american("pour")
    ('vapor', None)
    """
    if english_table.find(word):
        return None
    options = (word.replace(british, own) for british, own in _BRITISH if british in word)
    return next((option for option in options if english_table.find(option)), None)


def _british(word: str) -> tuple[Pronunciation, ...]:
    own = american(word)
    return tuple(spelled(word, [p for s in one.sounds for p in s]) for one in english_table.find(own)) if own else ()


def _sound(word: str) -> tuple[Pronunciation, ...]:
    """shh, mmm, brrr, psst, zzz: no vowel letter, still one event."""
    letters = word.replace("'", "")
    if not letters or re.search("[aeiouy]", letters):
        return ()
    return (vowelless(word),) if letters.isascii() else ()


def _laugh(word: str) -> tuple[Pronunciation, ...]:
    """hahaha, hehe, lalala, boohoo: the same short syllable again and again."""
    found = re.fullmatch(r"(?P<first>[a-z])?((?:[bcdfghjklmnpqrstvwyz]{1,2})(?:[aeiou]|oo|ee))(?:\2)+(?P<end>h)?", word)
    if not found:
        return ()
    unit = found[2]
    phones = tuple((_phones_of(unit) or (tuple(_guessed(unit).sounds[0]),))[0])
    count = len(word) // len(unit)
    start = len(found["first"] or "")
    pieces = [unit] * ((len(word) - start) // len(unit))
    pieces[0] = word[: start + len(unit)]
    pieces[-1] = pieces[-1] + (found["end"] or "") if count > 1 else pieces[-1]
    if "".join(pieces) != word:
        return ()
    return (Pronunciation(tuple(pieces), (phones,) * len(pieces)),)


def _clipped(word: str) -> tuple[Pronunciation, ...]:
    """swimmin' for swimming; 'ello, 'round: a word with a quote mark or a lost letter before it."""
    if word.startswith("'") and len(word) > 1:
        rest = _pronounce(word[1:])
        return tuple(Pronunciation(("'" + r.pieces[0], *r.pieces[1:]), r.sounds, r.is_guessed) for r in rest)
    if not word.endswith("'"):
        return ()
    if word.endswith("in'") and (full := english_table.find(word[:-1] + "g")):
        sounds = (*full[0].sounds[:-1], tuple("N" if p == "NG" else p for p in full[0].sounds[-1]))
        return (Pronunciation((*full[0].pieces[:-1], full[0].pieces[-1][:-1] + "'"), sounds),)
    rest = _pronounce(word[:-1])
    return tuple(Pronunciation((*r.pieces[:-1], r.pieces[-1] + "'"), r.sounds, r.is_guessed) for r in rest)


def _contracted(word: str) -> tuple[Pronunciation, ...]:
    """Bram's, Tansy'll, who'd've: a word and what leans on it."""
    stem, mark, ending = word.rpartition("'")
    if not mark or not stem or ending not in ("s", "ll", "d", "ve", "re", "m", "t"):
        return ()
    return tuple(with_ending(found, ending, "'" + ending) for found in _pronounce(stem))


def with_ending(found: Pronunciation, ending: str, written: str) -> Pronunciation:
    """Return a word with what leans on it ('s, 'll, 'd, 've), printed as ``written``."""
    phones = [p for piece in found.sounds for p in piece]
    last = phones[-1].rstrip("012") if phones else "AH"
    open_end = is_vowel(last)
    if ending == "s":
        extra = ["IH0", "Z"] if last in _SIBILANTS else ["S"] if last in _VOICELESS else ["Z"]
    elif ending == "d":
        extra = ["IH0", "D"] if last in ("T", "D") else ["D"] if open_end or last not in _SIBILANTS else ["AH0", "D"]
    else:
        extra = {"ll": ["L"], "ve": ["V"], "re": ["R"], "m": ["M"], "t": ["T"]}[ending]
        extra = extra if open_end and last != "ER" else ["AH0", *extra]
    if is_vowel(extra[0].rstrip("012")):
        return Pronunciation((*found.pieces, written), (*found.sounds, tuple(extra)), found.is_guessed)
    pieces = (*found.pieces[:-1], found.pieces[-1] + written)
    return Pronunciation(pieces, (*found.sounds[:-1], (*found.sounds[-1], *extra)), found.is_guessed)


def _elided(word: str) -> tuple[Pronunciation, ...]:
    """ev'ry, heav'n, o'er: an apostrophe stands for a vowel (or a v) that the dictionary's word still has."""
    at = word.find("'")
    if not 0 < at < len(word) - 1:
        return ()
    for lost in ("e", "o", "i", "a", "u", "v", "th"):
        known = english_table.find(word[:at] + lost + word[at + 1 :])
        if not known:
            continue
        whole = min(known, key=lambda k: sum(map(_is_vowel_phone, _flat(k))))
        phones = _without_lost(word, at, lost, _flat(whole), _flat(known[0]))
        vowels = [i for i, p in enumerate(phones) if _is_vowel_phone(p)]
        if len(vowels) < 2:
            return (Pronunciation((word,), (tuple(phones),)),)
        plain = spelled(word.replace("'", ""), phones)
        pieces, done = [], 0
        for piece in plain.pieces:  # the apostrophe opens the next piece: ev-'ry
            end = done + len(piece)
            pieces.append(word[done + (done > at) : end + (end > at)] if done != at else word[done : end + 1])
            done = end
        if "".join(pieces) != word:
            return (Pronunciation((word[:at], word[at:]), _halved(phones, vowels)),) if len(vowels) == 2 else ()
        return (Pronunciation(tuple(pieces), plain.sounds),)
    return ()


def _flat(found: Pronunciation) -> list[str]:
    return [p for piece in found.sounds for p in piece]


def _is_vowel_phone(phone: str) -> bool:
    return is_vowel(phone.rstrip("012"))


def _halved(phones: list[str], vowels: list[int]) -> tuple[tuple[str, ...], ...]:
    cut = vowels[0] + 1 + (vowels[1] - vowels[0] - 1) // 2
    return tuple(phones[:cut]), tuple(phones[cut:])


def _without_lost(word: str, at: int, lost: str, shortest: list[str], fullest: list[str]) -> list[str]:
    """Return the phones without the lost letter's: the dictionary's own short form where it has one."""
    from timing.language.english.guess import pairs

    if sum(map(_is_vowel_phone, shortest)) < sum(map(_is_vowel_phone, fullest)):
        return shortest
    ranges = align(word[:at] + lost + word[at + 1 :], shortest, pairs())
    if ranges is None:
        return shortest
    start, end = ranges[at]
    after, stop = ranges[at + 1]
    if start == end and shortest[after:stop] and shortest[after].startswith("ER"):  # mem'ry: the vowel hung on the r
        return [*shortest[:after], "R", *shortest[after + 1 :]]
    kept = ["R"] if shortest[start:end] and shortest[start].startswith("ER") else []
    if lost in "vth" and not kept:  # o'er: the v falls, and two vowels become one
        phones = shortest[:start] + shortest[end:]
        return [p for i, p in enumerate(phones) if not (p.startswith("ER") and i)] + (["R"] if "ER0" in phones else [])
    return shortest[:start] + kept + shortest[end:]


# --- the guess ---------------------------------------------------------------------------------------------


def _guessed(word: str) -> Pronunciation:
    from timing.language.english.guess import guess, pairs

    letters = word.strip("'") or word
    suggestions = set()
    for phones in _from_known(letters):
        ranges = align(letters, phones, pairs())
        if ranges:
            suggestions.add(tuple(tuple(phones[a:b]) for a, b in ranges))
    chunks = guess(letters, frozenset(suggestions))
    found = divide(letters, chunks, points(letters), _phones_of)
    if "".join(found.pieces) != word:
        return Pronunciation((word,), (tuple(p for piece in found.sounds for p in piece),), True)
    return Pronunciation(found.pieces, found.sounds, True)


def _from_known(word: str) -> Iterator[tuple[str, ...]]:
    """Yield readings of a word made of known ones: with a common ending, or two words together."""
    for ending, (sounds, changes) in ENDINGS.items():
        stem = word.removesuffix(ending)
        if stem == word or len(stem) < 3:
            continue
        stems = [stem]
        if changes:
            stems += [stem + "e"] + ([stem[:-1]] if stem[-1] == stem[-2] else [])
        if stem.endswith("i"):
            stems.append(stem[:-1] + "y")
        for known in stems:
            for phones in _phones_of(known)[:2]:
                yield (*phones, *(sounds or _inflection(phones[-1], ending)).split())
    for at in range(2, len(word) - 2):
        first, second = _phones_of(word[:at])[:1], _phones_of(word[at:])[:1]
        if first and second and (at > 2 or word[:at] in ("un", "re", "co", "de", "in", "up", "bi", "en")):
            yield (*first[0], *_weaker(second[0]))
            yield (*_weaker(first[0]), *second[0])


def _weaker(phones: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(p.replace("1", "2") for p in phones)


def _inflection(last: str, ending: str) -> str:
    last = last.rstrip("012")
    if ending in ("s", "es", "'s"):
        return "IH0 Z" if last in _SIBILANTS else "S" if last in _VOICELESS else "Z"
    return "IH0 D" if last in ("T", "D") else "T" if last in _VOICELESS else "D"
