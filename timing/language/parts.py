"""One written token in, what is said for it out, part by part: "TV" is two, "mother-in-law" three, "$5" two words.

This is where reading aloud is decided: abbreviations, figures, initials, stutters, stretched words, and the user's
own pronunciations, which always win.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise, product

from timing.language.children import are_syllables, cried, may_be_syllables
from timing.language.initials import has_vowel, is_initials
from timing.language.pronunciation import Pronunciation
from timing.language.rules import Rules
from timing.language.saying import said_by_user, spread
from timing.language.spoken import Reader, has_figure
from timing.language.tokens import Token, Written
from timing.language.vowelless import SOUNDS_ALONE, vowelless
from timing.model.settings import SayEntry

_LONGEST_STRETCH = Fraction(3)
_ROMAN = re.compile(r"(?=[IVX])X{0,3}(?:IX|IV|V?I{0,3})")


@dataclass(frozen=True, slots=True)
class Part:
    """Something said: ``written`` is what is printed for it (None: nothing), ``said`` the word as heard.

    ``pronunciation.pieces`` either join to the letters of ``written`` or spell what is heard.
    """

    written: Written | None
    said: str
    pronunciation: Pronunciation
    stretch: Fraction = Fraction(1)
    is_initials: bool = False
    is_syllabled: bool = False  # one syllable of a word that was written in syllables


def merged(tokens: Sequence[Token], rules: Rules) -> tuple[Token, ...]:
    """Return the tokens with those joined that are read as one: "5 €", "21 km", "z. B."."""
    reader = Reader(rules.figures)
    found: list[Token] = []
    for token in tokens:
        if found and _belong(found[-1], token, rules, reader):
            last = found[-1]
            whole = Written("", (last.start, token.end))  # of a merged token only its ends are asked for
            gap = tuple(range(last.core.places[-1], token.core.places[0]))
            core = Written(
                last.core.text + " " * len(gap) + token.core.text,
                (*last.core.places[:-1], *gap, *token.core.places),
            )
            found[-1] = Token(whole, core, last.before, token.after, token.marks, token.is_joined)
        else:
            found.append(token)
    return tuple(found)


def _belong(left: Token, right: Token, rules: Rules, reader: Reader) -> bool:
    if left.after in ("", " ") and not left.marks and reader.joins(left.core.text, right.core.text):
        return True
    both = f"{left.core.text}.{right.core.text}.".lower()
    return left.after == "." == right.after[:1] and both in rules.abbreviations


@dataclass(frozen=True)
class TokenReader:
    """Reads the tokens of one line. ``is_loud`` says that the whole line is in capitals."""

    rules: Rules
    say: Mapping[str, SayEntry]
    is_loud: bool = False

    def parts(self, token: Token, before: Token | None, after: Token | None, weak_e: bool) -> list[Part]:
        """Return what is said for a token, never empty."""
        core = token.core
        lower = core.text.lower()
        if entry := self.say.get(lower):
            return [Part(core, lower, self._by_user(entry, core.text))]
        said = None
        is_hummed = lower in SOUNDS_ALONE  # millimeters need a figure
        # 1st-grade, 10-year-old: piece by piece
        if not is_hummed and not re.fullmatch(r"\d\w*(?:-[^\W\d]{2,})+", core.text):
            said = self._abbreviation(token, before, after) or self._figures(token, before, after)
        if said and said.strip():
            return self._spoken_words(core, said)
        if re.fullmatch(r"(?:[^\W\d_]\.)+[^\W\d_]?", core.text):
            return self._initials(core)
        if roman := self._roman(core.text, before):
            return self._spoken_words(core, roman)
        found: list[Part] = []
        pieces = list(_hyphenated(core, self.rules.kept_hyphen))
        if syllables := self._in_syllables(core, pieces, weak_e):
            return syllables
        for piece in pieces:
            start = piece.text.strip("-").lower()
            is_stutter = piece is not pieces[-1] and pieces[-1].text.lower().startswith(start)
            found += self._word(piece, weak_e, is_stutter)
        return found or self._initials(core) or [self._unsayable(core)]

    def _in_syllables(self, core: Written, pieces: Sequence[Written], weak_e: bool) -> list[Part]:
        """Return the syllables of a word that is written in syllables ("wa-ter"), none for any other token.

        With a dictionary it is one it knows; without, one whose own syllables are just these. Two words joined by a
        hyphen stay two: what repeats itself, a prefix before a word ("re-cover"), and a pronoun behind one ("dá-me").
        """
        texts = [piece.text.strip("-") for piece in pieces]
        lowers = [text.lower() for text in texts]
        if not may_be_syllables(texts, core.text):
            return []
        ways, word = self.rules.ways, "".join(lowers)
        readings: Sequence[Pronunciation] = ()
        if entry := self.say.get(word):
            readings = [self._by_user(entry, word)]
        elif ways.has_dictionary:
            is_prefixed = len(texts) == 2 and lowers[0] in ways.prefixes and ways.is_known(lowers[1])
            if ways.is_known(word) and not is_prefixed:
                readings = self.rules.pronounce(word, weak_e)
        elif lowers[0] not in self.rules.before_hyphen and (
            len(texts) > 2 or lowers[1] not in self.rules.behind_hyphen
        ):
            readings = [r for r in self.rules.pronounce(word, weak_e) if are_syllables(lowers, r.pieces)]
        fitting = [r.sounds for r in readings if len(r.sounds) == len(texts)]
        if not fitting and (len(texts) < 3 or not readings):
            return []
        sounds = fitting[0] if fitting else spread([p for s in readings[0].sounds for p in s], len(texts))
        return [
            Part(piece, ways.heard(word) if i == 0 else "", Pronunciation((text,), (own,)), is_syllabled=True)
            for i, (piece, text, own) in enumerate(zip(pieces, texts, sounds, strict=True))
        ]

    # --- said otherwise than written -----------------------------------------------------------------------

    def _abbreviation(self, token: Token, before: Token | None, after: Token | None) -> str | None:
        lower = re.sub(r"(?<=\w)\s+(?=\w$)", ".", token.core.text.lower())
        said = None
        if token.after.startswith("."):
            said = self.rules.abbreviations.get(lower + ".")
        said = said or self.rules.abbreviations.get(lower)
        if not said:
            return None
        following = after.core.text if after else ""
        if said[0] == "~":
            is_name = following[:1].isupper()
            if not is_name and before and before.core.text[:1].isupper():
                return self.rules.ways.street(lower)
            return said[1:] if is_name else None
        if said[0] == "#":
            return said[1:] if has_figure(following[:1]) else None
        is_address = not following[:1].isupper() and _is_street_name(before)
        return (self.rules.ways.street(lower) if is_address else None) or said

    def _figures(self, token: Token, before: Token | None, after: Token | None) -> str | None:
        core = re.sub(r"\s+", "", token.core.text)
        if self.rules.figures.ordinal_dot and is_dot_ordinal(token, after):
            ordinal = self.rules.figures.ordinal(int(core), False)
            return self.rules.figures.ordinal_after(ordinal, before.core.text.lower() if before else "")
        if token.before.endswith("-") and re.match(r"\D?\d", core):
            core = "-" + core
        reader = Reader(self.rules.figures)
        previous, following = (t.core.text if t else "" for t in (before, after))
        if core.endswith("'") and has_figure(core):
            core = core[:-1]
        said = reader.say(core, previous, following)
        if said is None and before and core.lower() in self.rules.figures.large:
            money = next((c for sign, c in self.rules.figures.currencies.items() if sign in previous), None)
            if money and has_figure(previous):
                return f"{core.lower()} {self.rules.figures.large_of} {money.unit[1].lstrip('+')}"
        return said

    def _roman(self, text: str, before: Token | None) -> str | None:
        if not before or not _ROMAN.fullmatch(text) or text == "I" or not before.core.text[:1].isupper():
            return None
        values = {"I": 1, "V": 5, "X": 10}
        numbers = [values[c] for c in text]
        value = sum(-n if any(m > n for m in numbers[i + 1 :]) else n for i, n in enumerate(numbers))
        if before.core.text.lower() in self.rules.counted_before:
            return self.rules.figures.cardinal(value)
        if len(text) < 2:
            return None
        return self.rules.ways.ruler(value) or self.rules.figures.cardinal(value)

    def _spoken_words(self, core: Written, said: str) -> list[Part]:
        found = []
        for number, word in enumerate(said.split()):
            is_letter = len(word) == 1
            pronunciation = (
                self.rules.ways.letter_in_figure(word) if is_letter else self.rules.pronounce(word.lower(), False)[0]
            )
            if number == 0 and word.lower() == core.text.lower():
                found.append(Part(core, word, pronunciation))
                continue
            # Pieces that spell what is heard, never the letters that are printed.
            found.append(Part(core if number == 0 else None, word, pronunciation))
        return found

    def _initials(self, core: Written) -> list[Part]:
        """Return one part a letter; a plural or possessive s leans on the last."""
        found: list[Part] = []
        ways = self.rules.ways
        end = re.search(r"(?<=[A-Z])'?s$", core.text) if ways.plural_s else None
        for index, letter in enumerate(core.text[: end.start()] if end else core.text):
            if not letter.isalpha():
                continue
            name = self.rules.figures.letters.get(letter.lower(), "")
            piece = core[index : index + 1]
            found.append(Part(piece, name or letter.upper(), ways.letter(letter, name), is_initials=True))
        if end and found:
            last = found[-1]
            sounds = (*last.pronunciation.sounds[:-1], (*last.pronunciation.sounds[-1], ways.plural_s))
            found[-1] = replace(
                last, said=last.said + "s", pronunciation=Pronunciation(last.pronunciation.pieces, sounds)
            )
        return found

    def _unsayable(self, core: Written) -> Part:
        return Part(core, core.text.lower(), Pronunciation((core.text,), ((),), True))

    # --- words ---------------------------------------------------------------------------------------------

    def _word(self, piece: Written, weak_e: bool, is_stutter: bool) -> list[Part]:
        text = piece.text.strip("-/")
        lower = text.lower()
        if not lower:
            return []
        if has_figure(lower) or not any(c.isalpha() for c in lower):
            said = Reader(self.rules.figures).say(lower)
            return self._spoken_words(piece, said) if said else []
        if entry := self.say.get(lower):
            return [Part(piece, lower, self._by_user(entry, text))]
        if lower.endswith("'s") and (entry := self.say.get(lower[:-2])):
            return [Part(piece, lower, self.rules.ways.possessive(self._by_user(entry, text[:-2]), text[-2:]))]
        if is_initials(text, self.rules.ways, self.is_loud):
            return self._initials(piece)
        if parts := self._double_contraction(piece, weak_e):
            return parts
        extra, shorter = self._unstretched(piece)
        if extra and (entry := self.say.get(shorter.text.strip("-/").lower())):
            word = shorter.text.strip("-/")
            return [Part(shorter, word.lower(), self._by_user(entry, word), _stretch(extra))]
        if extra and (cry := cried(text)):
            return [Part(piece, shorter.text.strip("-/").lower(), cry, _stretch(extra))]
        if self._is_sound_alone(lower):
            return [Part(piece, shorter.text.strip("-/").lower(), vowelless(text), _stretch(_repeated(lower)))]
        stretch = _stretch(extra)
        plain = shorter.text.strip("-/").lower()
        if self.rules.ways.is_letter_alone(plain) and not is_stutter and not extra:
            return [replace(p, written=piece) for p in self._initials(piece)]
        if is_stutter and len(plain) <= 2 and not has_vowel(plain) and (found := self.rules.ways.stutter(plain)):
            return [Part(piece, plain, found)]
        found = self.rules.pronounce(plain, weak_e)[0]
        return [Part(shorter, self.rules.ways.heard(plain), found, stretch)]

    def _is_sound_alone(self, lower: str) -> bool:
        """True for hm, mmm, psst: no vowel, and no word or abbreviation that is read out."""
        letters = lower.replace("'", "")
        if len(letters) < 2 or not letters.isascii() or not letters.isalpha() or has_vowel(letters):
            return False
        return lower in SOUNDS_ALONE or (
            (self.rules.ways.has_dictionary or bool(re.search(r"(.)\1", letters)))
            and not self.rules.ways.is_known(letters)
        )

    def _by_user(self, entry: SayEntry, written: str) -> Pronunciation:
        return said_by_user(entry, written, self.rules.ways.respell, self.rules.ways.divide)

    def _double_contraction(self, piece: Written, weak_e: bool) -> list[Part] | None:
        """I'd've is two words: "I'd have"."""
        found = self.rules.ways.double_contraction(piece.text)
        if not found:
            return None
        at, heard, tail = found
        return [*self._word(piece[:at], weak_e, False), Part(piece[at:], heard, tail)]

    def _unstretched(self, piece: Written) -> tuple[int, Written]:
        """Return how many letters were added to stretch a word, and the word without them."""
        text = "".join(c.lower() if len(c.lower()) == 1 else c for c in piece.text)  # as long as what is written
        runs = list(re.finditer(r"([^\W\d_])\1{2,}", text))
        if not runs:
            return 0, piece
        ways = self.rules.ways
        choices = []
        for lengths in product((1, 2), repeat=min(len(runs), 5)):
            wanted = [True] * len(text)
            for run, length in zip(runs, lengths, strict=False):
                for i in range(run.start() + length, run.end()):
                    wanted[i] = False
            kept = piece.keep(wanted)
            rank = sum(
                length != ways.usual_length(text, *run.span()) for run, length in zip(runs, lengths, strict=False)
            )
            choices.append((not ways.is_known(kept.text.strip("-'").lower()), rank, len(kept.text), kept))
        best = min(choices, key=lambda c: c[:3])[3]
        return len(piece.text) - len(best.text), best


def _is_street_name(token: Token | None) -> bool:
    """True for what stands before "Dr." in an address: Shore Dr. is a street."""
    return token is not None and token.core.text[:1].isupper() and len(token.core.text) > 1 and not token.marks


def _stretch(extra_letters: int) -> Fraction:
    return min(1 + Fraction(extra_letters, 4), _LONGEST_STRETCH)


def _repeated(text: str) -> int:
    """Return how many letters repeat the one before: three in mmmm."""
    return sum(a == b for a, b in pairwise(text))


def is_dot_ordinal(token: Token, after: Token | None) -> bool:
    """True for the 3 of "3. Mai"."""
    return token.after == "." and after is not None and bool(re.fullmatch(r"\d{1,3}", token.core.text))


def _hyphenated(core: Written, kept: str) -> Iterator[Written]:
    """Yield the pieces between hyphens and slashes, each with the mark that ends it; none ends at a ``kept`` hyphen."""
    at = 0
    inside = {found.start() for found in re.finditer(kept, core.text, re.IGNORECASE)} if kept else set()
    for found in re.finditer(r"[-/.&+@]+", core.text):
        if found.start() in inside:
            continue
        if found.start() > at:
            yield core[at : found.end()] if found[0][0] in "-/" else core[at : found.start()]
        if found[0] in ("&", "+", "@", "."):
            yield core[found.start() : found.end()]
        at = found.end()
    if at < len(core.text):
        yield core[at:]
