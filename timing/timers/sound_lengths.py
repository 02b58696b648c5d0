"""How long each sound of a phrase lasts, before any speaker's factor.

In: the words of one phrase (up to the next pause). Out: milliseconds for every phone. The rules are those of
D. Klatt, "Synthesis by rule of segmental durations in English sentences" (1979), as listed in Table II of Klatt,
"Review of text-to-speech conversion for English", JASA 82 (1987), with the numbers of chapter 9 of J. Allen,
M. Hunnicutt and D. Klatt, "From Text to Speech" (1987): length = (inherent - minimum) x p + minimum, p the product
of the factors that apply. The inherent and minimum lengths are those of the Festival system's documented
table. Two changes are
ours, each lowered the error on narrators and on readers of single sentences alike (``tests/bench/bench_words.py``):
rule 9 (the consonant after a vowel) acts by half, rule 10 (clusters) by its square root.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from timing.model import Word, is_vowel

# (inherent, minimum) in milliseconds; AX is the weak AH.
LENGTHS = {
    "AA": (240, 100), "AE": (230, 80), "AX": (120, 60), "AY": (250, 150), "AW": (240, 100), "EH": (150, 70),
    "ER": (180, 80), "EY": (180, 100), "IH": (135, 40), "IY": (155, 55), "AO": (240, 100), "OY": (280, 150),
    "OW": (220, 80), "UH": (160, 60), "AH": (140, 60), "UW": (210, 70), "HH": (80, 20), "L": (80, 40), "W": (80, 60),
    "Y": (80, 40), "R": (80, 30), "M": (70, 60), "N": (60, 50), "NG": (95, 60), "F": (100, 80), "DH": (50, 30),
    "S": (105, 60), "SH": (105, 80), "TH": (90, 60), "V": (60, 40), "Z": (75, 40), "ZH": (70, 40), "B": (85, 60),
    "D": (75, 50), "G": (80, 60), "K": (80, 60), "P": (90, 50), "T": (75, 50), "CH": (70, 50), "JH": (70, 50),
}  # fmt: skip
LIQUIDS = frozenset("L R".split())
NASALS = frozenset("M N NG".split())
GLIDES = frozenset("W Y".split())
STOPS = frozenset("B D G K P T".split())
FRICATIVES = frozenset("F DH S SH TH V Z ZH HH".split())
HOLDABLE = (FRICATIVES | NASALS | LIQUIDS) - {"HH"}
VOICED = frozenset("B D G V DH Z ZH JH M N NG L R W Y".split())

# A sound held without a vowel (mmm, shhh), before the word's stretch: as long as the longest vowels. Our own estimate.
HELD_MS = 250.0
FINAL = 1.4  # rhyme of the last syllable before a pause
EMPHASIS = 1.4


@dataclass(slots=True)
class _Sound:
    """A phone and where it stands."""

    phone: str
    is_vowel: bool
    is_stressed: bool
    word: int
    syllable: int
    syllables: int  # in its word
    is_onset: bool
    is_coda: bool
    opens_word: bool
    closes_word: bool
    closes_syllable: bool
    in_last_syllable: bool  # of its word
    in_final_syllable: bool  # of the phrase
    is_emphasised: bool
    is_held: bool  # stands for the vowel in a word without one


def phone_lengths(words: Sequence[Word]) -> list[list[list[float]]]:
    """Return milliseconds for each phone of each syllable of each word of one phrase."""
    sounds = _sounds(words)
    lengths = [_length(sounds, index) for index in range(len(sounds))]
    found: list[list[list[float]]] = [[[] for _ in word.syllables] for word in words]
    for sound, length in zip(sounds, lengths, strict=True):
        found[sound.word][sound.syllable].append(length)
    return found


def _sounds(words: Sequence[Word]) -> list[_Sound]:
    sounds = []
    for at, word in enumerate(words):
        is_weak = word.is_function and not word.is_emphasised
        vowels_of_word = sum(is_vowel(p) for s in word.syllables for p in s.phones)
        for number, syllable in enumerate(word.syllables):
            vowels = [i for i, p in enumerate(syllable.phones) if is_vowel(p)]
            is_last = number == len(word.syllables) - 1
            held = None if vowels_of_word else _held(syllable.phones)
            for place, phone in enumerate(syllable.phones):
                # The second vowel of "fire" is weak.
                is_second = bool(vowels) and is_vowel(phone) and place > vowels[0]
                sounds.append(
                    _Sound(
                        phone=phone,
                        is_vowel=is_vowel(phone),
                        is_stressed=syllable.stress > 0 and not is_weak and not is_second,
                        word=at,
                        syllable=number,
                        syllables=max(vowels_of_word, len(word.syllables)),
                        is_onset=bool(vowels) and place < vowels[0],
                        is_coda=bool(vowels) and place > vowels[-1],
                        opens_word=number == 0 and place == 0,
                        closes_word=is_last and place == len(syllable.phones) - 1,
                        closes_syllable=place == len(syllable.phones) - 1,
                        in_last_syllable=is_last,
                        in_final_syllable=is_last and at == len(words) - 1,
                        is_emphasised=word.is_emphasised,
                        is_held=place == held,
                    )
                )
    return sounds


def _held(phones: Sequence[str]) -> int | None:
    """Return which sound of a syllable without a vowel is held: the last that can be, the M of "hm"."""
    return max((i for i, phone in enumerate(phones) if phone in HOLDABLE), default=None)


def _length(sounds: Sequence[_Sound], index: int) -> float:
    sound = sounds[index]
    if sound.is_held:
        return HELD_MS * (FINAL if sound.in_final_syllable else 1.0) * (EMPHASIS if sound.is_emphasised else 1.0)
    inherent, minimum = LENGTHS["AX" if sound.phone == "AH" and not sound.is_stressed else sound.phone]
    factor = _place(sound) * _clusters(sounds, index)
    least = float(minimum)
    if not sound.is_stressed:
        least /= 2
        factor *= _unstressed(sound)
    if sound.is_vowel:
        follower = _follower(sounds, index)
        factor *= follower if sound.in_final_syllable else 0.7 + 0.3 * follower
    if sound.is_emphasised and sound.is_vowel:
        factor *= EMPHASIS
    return (inherent - least) * factor + least


def _place(sound: _Sound) -> float:
    """Rules 2 to 6: lengthening at the end of a phrase, shortening inside words and in long words."""
    factor = 1.0
    if sound.in_final_syllable:
        if sound.is_vowel or sound.is_coda:
            factor *= FINAL
        if sound.is_coda and (sound.phone in LIQUIDS or sound.phone in NASALS):
            factor *= 1.4
    elif sound.is_vowel:
        factor *= 0.6
    if sound.is_vowel and not sound.in_last_syllable:
        factor *= 0.85
    if sound.is_vowel and sound.syllables > 1:
        factor *= 0.8
    if not sound.is_vowel and not sound.opens_word:
        factor *= 0.85
    return factor


def _unstressed(sound: _Sound) -> float:
    """Rule 7."""
    if sound.is_vowel:
        is_inside = not (sound.opens_word or sound.closes_word or sound.syllable == 0 or sound.in_last_syllable)
        return 0.5 if is_inside else 0.7
    return 0.1 if sound.is_onset and (sound.phone in LIQUIDS or sound.phone in GLIDES) else 0.7


def _follower(sounds: Sequence[_Sound], index: int) -> float:
    """Rule 9, by half: what follows a vowel in its syllable."""
    return 1 + (_full_follower(sounds, index) - 1) / 2


def _full_follower(sounds: Sequence[_Sound], index: int) -> float:
    sound = sounds[index]
    coda = [s for s in sounds[index + 1 : index + 3] if (s.word, s.syllable) == (sound.word, sound.syllable)]
    if not coda:
        return 1.2 if sound.closes_word else 1.0
    phone = coda[0].phone
    if len(coda) > 1 and (phone in LIQUIDS or phone in NASALS):
        phone = coda[1].phone
    if phone in VOICED:
        return 1.6 if phone in FRICATIVES else 1.2 if phone in STOPS else 0.85 if phone in NASALS else 1.0
    return 0.7 if phone in STOPS else 1.0


def _clusters(sounds: Sequence[_Sound], index: int) -> float:
    """Rule 10, by its square root: vowels beside vowels, consonants beside consonants."""
    sound = sounds[index]
    if sound.closes_syllable and sound.in_final_syllable:
        return 1.0
    before = sounds[index - 1].is_vowel if index else None
    after = sounds[index + 1].is_vowel if index + 1 < len(sounds) else None
    if sound.is_vowel:
        return 1.2**0.5 if after else 0.7**0.5 if before else 1.0
    beside = (before is False) + (after is False)
    return (1.0, 0.7**0.5, 0.5**0.5)[beside]
