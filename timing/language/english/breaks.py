"""Where an English word divides, in print and in sound, from its letters aligned with its sounds.

In: a word in lower case and the phones of each letter. Out: its printed pieces with the phones of each. There
is one break
between each two vowel sounds: at a point of pyphen's patterns (F. Liang, "Word hy-phen-a-tion by com-put-er",
Stanford STAN-CS-83-977, 1983) where one lies between them, else by the rules of printed dictionaries: doubled
letters part, a short stressed vowel keeps one consonant (riv-er), a long or weak one keeps none (pa-per), a
consonant and -le stay together (ta-ble), letters of one sound are never parted (fa-ther).
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Collection, Sequence

from timing.language.english.letters_and_sounds import bare
from timing.language.pronunciation import Pronunciation
from timing.model import is_vowel

VOWEL_LETTERS = frozenset("aeiouy")
LAX = frozenset("AE EH IH AA AH UH".split())
_DIGRAPHS = ("tch", "dge", "sch", "ch", "sh", "th", "ph", "gh", "ck", "ng", "dg")
_NOT_KEPT = ("qu", "wh", "rh")
ONSETS = frozenset(
    "b c d f g h j k l m n p q r s t v w x y z bl br ch chr cl cr dr dw fl fr gl gr kl kn ph phl phr pl pr qu "
    "rh sc sch "
    "scr sh shr sk sl sm sn sp spl spr squ st str sw th thr tr tw wh wr gu gn gh".split()
)
# Consonants that can begin an English word or syllable (any phonetics handbook; from memory).
SOUND_ONSETS = frozenset(
    "B,D,G,K,P,T,M,N,F,V,TH,DH,S,Z,SH,ZH,HH,L,R,W,Y,CH,JH,P L,P R,B L,B R,K L,K R,G L,G R,F L,F R,T R,D R,TH R,SH R,"
    "S P,S T,S K,S M,S N,S L,S W,T W,D W,K W,G W,S F,S P L,S P R,S T R,S K R,S K W,HH Y,P Y,B Y,K Y,F Y,V Y,M Y,"
    "TH W".split(",")
)

Lexicon = Callable[[str], Sequence[tuple[str, ...]]]  # a word's pronunciations, none where it is unknown
Nucleus = tuple[int, tuple[str, int]]  # letter; vowel phone with its stress digit, and its place among the phones


def nuclei(word: str, chunks: Sequence[Sequence[str]]) -> list[Nucleus]:
    """Return the letter that each printed syllable's vowel sits on; ``chunks`` are the phones of each letter."""
    found: list[Nucleus] = []
    place = -1
    for index, chunk in enumerate(chunks):
        for phone in chunk:
            place += 1
            if not is_vowel(phone.rstrip("012")):
                continue
            if word[index] == "m" and found and re.fullmatch(r"m('?s)?", word[index:]):
                continue  # "prism", "rhythm": never divided in print
            after = chunks[index + 1] if index + 1 < len(word) and word[index + 1] in VOWEL_LETTERS else ()
            if tuple(chunk) == ("AH0", "L") and word[index] == "l" and after:
                continue  # "settler", "puddling": the l begins the next piece
            at = index if word[index] in VOWEL_LETTERS else _vowel_letter_near(word, chunks, index, found)
            # "fire" and "hour" are one syllable in print, whatever the voice does.
            if found and word[at] == "r" and phone.startswith("ER") and found[-1][1][0][:2] in ("AY", "AW", "OY"):
                continue
            found.append((at, (phone, place)))
    return found


def _vowel_letter_near(word: str, chunks: Sequence[Sequence[str]], index: int, found: Sequence[Nucleus]) -> int:
    """Return the vowel letter beside ``index`` that spells its vowel: butt-e-r; litt-l-e keeps the l."""
    last = found[-1][0] if found else -1
    at = index
    while at - 1 > last and word[at - 1] in VOWEL_LETTERS:
        at -= 1
    if at < index:
        return at
    after = word[index + 1 :]
    spells_it = after[:1] in VOWEL_LETTERS and not chunks[index + 1] if after else False
    return index + 1 if spells_it and word[index] not in "lrw" and after not in ("e", "es") else index


def windows(word: str, chunks: Sequence[Sequence[str]], found: Sequence[Nucleus]) -> list[tuple[int, int]]:
    """Return for each pair of neighbouring nuclei the first and last offset at which a break may stand."""
    silent = [not chunk for chunk in chunks]
    spans = []
    for (left, _), (right, _) in itertools.pairwise(found):
        if word[right] not in VOWEL_LETTERS:  # the syllable of litt-le, a-cre, pris-m
            high = right if word[right] in "lrmn" else right + 1
            low = left + 1
            while low < high and word[low] in VOWEL_LETTERS:
                low += 1
            spans.append((min(low, len(word) - 1), min(max(low, high), len(word) - 1)))
            continue
        high, low = right, left + 1
        while high - 1 > left and word[high - 1] in VOWEL_LETTERS and silent[high - 1]:
            high -= 1
        while low < high and word[low] in VOWEL_LETTERS and silent[low]:
            low += 1
        if all(word[k] in VOWEL_LETTERS and silent[k] for k in range(left + 1, right)):
            # Two vowels meet: see-ing, but stu-di-ous.
            low, high = left + 1, right - (word[right - 1 : right + 1] in ("ou", "au", "oo") and right - 1 > left)
        elif (
            word[high - 1] == "i"
            and tuple(chunks[high - 1]) == ("Y",)
            and high - 1 > left
            and not _is_double(word, high - 2)
        ):
            low = high = high - 1  # on-ion, jun-ior; but mil-lion
        spans.append((low, high))
    return spans


def _is_double(word: str, at: int) -> bool:
    return word[at] == word[at - 1]


def rule_break(word: str, low: int, high: int, vowel: str) -> int:
    """Return the offset at which a printed dictionary would divide between ``low`` and ``high``.

    ``vowel`` is the phone before the break with its stress digit.
    """
    between = word[low:high]
    if not between.strip("aeiouy'"):
        return high
    kept_whole = re.match("ck|dg|tch|x", between)
    if kept_whole:
        return low + kept_whole.end()
    if between == "r" and word[low - 1] == "e" and vowel.startswith("ER"):
        return high  # mys-ter-y: the vowel holds the r
    double = re.search(r"([bcdfgklmnprstz])\1", between)
    if double:
        return low + double.start() + 1
    onset = next((k for k in range(low, high) if word[k:high] in ONSETS), high)
    if word[high:] in ("a", "o", "i", "as", "os", "is"):
        return onset  # la-ma, he-ro
    spelled_long = between == "r" and word[low - 2 : low] in ("ea", "ee", "ai", "ei", "ie")  # wea-ry
    if onset == low and vowel[-1] in "12" and vowel[:2] in LAX and not spelled_long:
        kept = next((d for d in _DIGRAPHS if between.startswith(d)), between[0])
        return low + len(kept)
    return onset


# Endings before which a dictionary divides when what stands before is a word of its own (farm-er, rain-y, post-age);
# True where that word must be a verb. Doubled consonants stay parted (but-ter, run-ner) but for these of one sound.
_ENDINGS = {
    "er": True, "ery": True, "ing": True, "en": True, "y": False, "ily": False, "iness": False, "ier": False,
    "iest": False, "ish": False, "age": False, "al": False, "able": True, "ably": True, "ance": False, "ence": False,
    "ant": False, "ent": False, "ancy": False, "ency": False, "ist": False, "ize": False, "ism": False, "ess": False,
    "or": True, "ity": True, "ible": True,
}  # fmt: skip
_KEPT_DOUBLES = ("ll", "ss", "ff", "zz")


def ending_break(word: str, phones: Sequence[str], lexicon: Lexicon) -> int | None:
    """Return the offset where a known word ends and an ending begins, None where there is none."""
    body = re.sub(r"'?s$", "", word)
    sounds = bare(phones)
    for ending in sorted(_ENDINGS, key=len, reverse=True):
        stem = body.removesuffix(ending)
        if stem == body or len(stem) < 3 or (stem[-1] == stem[-2] and stem[-2:] not in _KEPT_DOUBLES):
            continue
        for whole in (stem, stem + "e"):
            same = any(sounds[: len(p)] == bare(p) and len(p) < len(sounds) for p in lexicon(whole))
            if same and (not _ENDINGS[ending] or _is_verb(whole, lexicon)):
                return len(stem)
    return None


def _is_verb(word: str, lexicon: Lexicon) -> bool:
    """Guess from the forms that a dictionary of forms holds: bake, baking, baked."""
    stems = {word, word.removesuffix("e"), word + word[-1]}
    return any(lexicon(s + "ing") for s in stems) and any(lexicon(s + "ed") for s in stems | {word + "s"})


def divide(
    word: str, chunks: Sequence[Sequence[str]], points: Collection[int], lexicon: Lexicon = lambda word: ()
) -> Pronunciation:
    """Return the pieces of ``word`` with their sounds.

    ``chunks`` are the phones of each letter, ``points`` pyphen's positions, ``lexicon`` knows other words.
    """
    found = nuclei(word, chunks)
    phones = tuple(p for chunk in chunks for p in chunk)
    stem_end = ending_break(word, phones, lexicon)
    offsets, kept = [0], found[:1]
    for (low, high), (_, vowel), following in zip(windows(word, chunks, found), found, found[1:], strict=False):
        at_point = [k for k in range(low, high + 1) if k in points and 2 <= k <= len(word) - 2]
        if at_point:
            at = at_point[-1]
        elif stem_end is not None and low <= stem_end <= high:
            at = stem_end
        else:
            at = rule_break(word, low, high, vowel[0])
        if offsets[-1] < at < len(word):
            offsets.append(at)
            kept.append(following)
    pieces = tuple(word[a:b] for a, b in zip(offsets, [*offsets[1:], len(word)], strict=True))
    return Pronunciation(pieces, sound_syllables(phones, [place for _, (_, place) in kept]))


def sound_syllables(phones: Sequence[str], vowels: Sequence[int]) -> tuple[tuple[str, ...], ...]:
    """Return the phones of each syllable: between two vowels the longest run that can begin an English word
    goes right.

    ``vowels`` are the places of the vowels that make a syllable of their own.

    >>> sound_syllables(("EH1", "K", "S", "T", "R", "AH0"), (0, 5))
    (('EH1', 'K'), ('S', 'T', 'R', 'AH0'))
    """
    cuts = [0]
    for left, right in itertools.pairwise(vowels):
        cut = next((k for k in range(left + 1, right) if " ".join(phones[k:right]) in SOUND_ONSETS), right)
        # A vowel without a piece of its own (the second of "fire") stays with the one before it.
        inner = [k for k in range(left + 1, right) if is_vowel(phones[k].rstrip("012"))]
        cuts.append(max(cut, inner[-1] + 1) if inner else cut)
    return tuple(tuple(phones[a:b]) for a, b in zip(cuts, [*cuts[1:], len(phones)], strict=True))
