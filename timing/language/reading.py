"""A line as written in, its spoken words out: read aloud, in syllables, with stress, sounds and places to cut.

The stage's main function is :func:`read_line`. Offsets are into the line as given; whatever was only straightened
for reading is printed as it was written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from timing.language.neighbours import neighbour_of
from timing.language.parts import Part, TokenReader, is_dot_ordinal, merged
from timing.language.pronunciation import Pronunciation
from timing.language.record import Language
from timing.language.registry import is_written_in, language_of, manners_of, name_of, resolve
from timing.language.rules import Rules
from timing.language.saying import spread
from timing.language.tokens import Token, cut
from timing.model import Break, Finding, PauseMark, Syllable, Utterance, Word
from timing.model.findings import FindingCode
from timing.model.settings import SayEntry
from timing.plain.errors import InputError

_ENDS = {".": Break.SENTENCE, "!": Break.SENTENCE, "?": Break.SENTENCE, "…": Break.SENTENCE, ",": Break.CLAUSE,
         ";": Break.CLAUSE, ":": Break.CLAUSE, "—": Break.CLAUSE, "–": Break.CLAUSE}  # fmt: skip
LONG_ASIDE = 6  # words in brackets that look like speech rather than a direction
_CAPITALS_LINE = 0.7  # share of words in capitals from which they mean nothing


def syllabify(word: str, language: str = "en_US") -> list[str]:
    """Return the syllables of one written word; the pieces join to it.

    A token said otherwise than it is written ("3x", "Dr.") gives what is heard instead. Raises InputError for a text
    of several words, SettingsError for an unknown language.

    >>> syllabify("little"), syllabify("história", "pt"), syllabify("3x")
    (['lit', 'tle'], ['his', 'tó', 'ria'], ['three', 'times'])
    """
    words = read_line(word, language, sung=False).words
    if len(words) > 1 and len(word.split()) > 1:
        raise InputError(f"syllabify takes one word, not {word!r}; call it for each word, or use estimate for a line")
    if any(not s.text for w in words for s in w.syllables):
        return [s.heard for w in words for s in w.syllables]
    pieces = [s.text for w in words for s in w.syllables]
    if "".join(pieces) == word:
        return pieces
    # Blanks and unspoken signs belong to the piece before them.
    edges = [w.start for w in words]
    whole: list[str] = []
    for index, one in enumerate(words):
        texts = [s.text for s in one.syllables if s.text]
        end = edges[index + 1] if index + 1 < len(words) else len(word)
        texts[-1] += word[one.end : end]
        if index == 0:
            texts[0] = word[: one.start] + texts[0]
        whole += texts
    return whole or [word]


def spoken_form(text: str, language: str = "en_US") -> str:
    """Return the text as it is read aloud: lower case, without punctuation, figures and signs in words.

    >>> spoken_form("On the 2nd day, Dr. Shell had $5!")
    'on the second day doctor shell had five dollars'
    """
    return " ".join(w.spoken for w in read_line(text, language).words)


def phones_for(
    word: str, language: str = "en_US", say: Mapping[str, SayEntry] | None = None
) -> tuple[tuple[str, ...], ...]:
    """Return the pronunciations of a word, ARPABET without stress digits, the preferred one first.

    A token of several spoken words ("$5", "TV") gives their sounds in a row.

    >>> phones_for("otter")
    (('AA', 'T', 'ER'),)
    """
    code = resolve(language)
    lower = word.lower().replace("’", "'")
    found: list[tuple[str, ...]] = []
    words = read_line(word, code, say=say).words
    if words:
        found.append(tuple(p for w in words for s in w.syllables for p in s.phones))
    if lower not in (say or {}) and len(words) == 1 and words[0].spoken.lower() == lower:
        found += [one.phones for one in language_of(code).rules.pronounce(lower, False)]
    return tuple(dict.fromkeys(f for f in found if f))


def read_line(
    text: str,
    language: str = "en_US",
    *,
    say: Mapping[str, SayEntry] | None = None,
    emphasis: tuple[tuple[int, int], ...] = (),
    pauses: tuple[PauseMark, ...] = (),
    mute_e: bool = True,
    sung: bool = False,
    splits: Mapping[int, tuple[str, ...]] | None = None,
) -> Utterance:
    """Return the spoken words of a line; none where nothing in it is spoken.

    ``say`` holds the user's pronunciations by lower-case word, ``emphasis`` ranges of ``text`` that are stressed on
    purpose, ``pauses`` silences asked for. ``mute_e``: a French final e is silent in speech; in a ``sung`` line it is
    a syllable before a consonant. ``splits`` gives printed pieces by the offset of their word; they win over
    all else.
    Raises SettingsError for an unknown language or a ``say`` entry that does not spell its word.

    >>> [[s.text for s in w.syllables] for w in read_line("Where does the water go?").words]
    [['Where'], ['does'], ['the'], ['wa', 'ter'], ['go?']]
    """
    code = resolve(language)
    language_ = language_of(code)
    rules = language_.rules
    found = cut(text, lambda words: any(known.is_acted(words) for known in manners_of(code)))
    tokens = merged(found.tokens, rules)
    reader = TokenReader(rules, say or {}, _is_loud(tokens))
    stressed = (*emphasis, *_starred(text))
    sounds_e = sung or not mute_e
    words: list[Word] = []
    for index, token in enumerate(tokens):
        before = tokens[index - 1] if index else None
        after = tokens[index + 1] if index + 1 < len(tokens) else None
        parts = reader.parts(token, before, after, sounds_e and _keeps_weak_vowel(after, rules))
        pieces = _split_for(splits, token)
        syllables = (
            _fixed_syllables(text, token, parts, pieces, rules) if pieces else _syllables(text, token, parts, rules)
        )
        spoken = " ".join(p.said for p in parts if p.said)
        is_function = spoken.lower() in rules.function_words
        is_stressed = any(a < token.end and token.start < b for a, b in stressed) or (
            _is_capitals(token)
            and not reader.is_loud
            and not any(p.is_initials for p in parts)
            and len(token.core.text) > 1
        )
        quality, mark = _break_after(text, token, after, rules, spoken)
        is_weak = quality < Break.CLAUSE or spoken.lower() in rules.weak_at_end
        if is_function and not is_stressed and len(syllables) == 1 and is_weak:
            syllables = (replace(syllables[0], stress=0),)
        words.append(
            Word(
                "".join(s.text for s in syllables), spoken, syllables, token.start, token.end, quality, mark,
                _pause_after(pauses, token, after), any(p.pronunciation.is_guessed for p in parts),
                is_stressed, is_function, max(p.stretch for p in parts), parts[0].is_syllabled,
            )
        )  # fmt: skip
    return Utterance(text, tuple(words), code, _findings(text, words, found.pictures, language_, code, say or {}))


# --- syllables ---------------------------------------------------------------------------------------------


def _syllables(text: str, token: Token, parts: Sequence[Part], rules: Rules) -> tuple[Syllable, ...]:
    """Return the syllables of a token; what is printed is cut where each piece of a part begins."""
    starts: list[int | None] = []
    heard: list[tuple[str, tuple[str, ...]]] = []
    stresses: list[int] = []
    for part in parts:
        written, said = part.written, part.pronunciation
        letters = "".join(said.pieces)
        body = written.text if written else ""
        is_spelt = (
            bool(written)
            and body.strip("-/").casefold() == letters.casefold()
            and len(body.strip("-/")) == len(letters)
        )
        at = 0
        for number, (piece, sound) in enumerate(zip(said.pieces, said.sounds, strict=True)):
            prints = written is not None and ((is_spelt and bool(piece)) or number == 0)
            starts.append(written.places[at if is_spelt else 0] if prints and written else None)
            spelled = "" if is_spelt and piece else piece
            is_long_name = part.is_initials and len(said.pieces) > 1
            if part.is_initials:
                spelled = rules.ways.heard_of_letter(said, number) if is_long_name else ""
            heard.append((spelled, sound))
            at += len(piece)
        stresses += said.stresses
    return _joined(text, token, starts, heard, stresses)


def _joined(
    text: str,
    token: Token,
    starts: Sequence[int | None],
    heard: Sequence[tuple[str, tuple[str, ...]]],
    stresses: Sequence[int],
) -> tuple[Syllable, ...]:
    printed = [i for i, start in enumerate(starts) if start is not None]
    edges = {}
    for number, index in enumerate(printed):
        begin = token.start if number == 0 else starts[index]
        end = token.end if number == len(printed) - 1 else starts[printed[number + 1]]
        edges[index] = text[begin:end]
    made = []
    for index, (said, sound) in enumerate(heard):
        print_ = edges.get(index, "")
        phones = tuple(p.rstrip("012") for p in sound)
        made.append(Syllable(print_, stresses[index], phones, said if said.casefold() != print_.casefold() else ""))
    return tuple(made)


def _split_for(splits: Mapping[int, tuple[str, ...]] | None, token: Token) -> tuple[str, ...] | None:
    if not splits:
        return None
    return next((splits[at] for at in range(token.start, token.core.places[0] + 1) if at in splits), None)


def _fixed_syllables(
    text: str, token: Token, parts: Sequence[Part], pieces: tuple[str, ...], rules: Rules
) -> tuple[Syllable, ...]:
    """Return the syllables that the user's hyphens fixed, with the word's sounds spread over them."""
    shown = text[token.start : token.end]
    at = shown.find("".join(pieces))
    if at < 0:
        return _syllables(text, token, parts, rules)
    sounds = [p for part in parts for piece in part.pronunciation.sounds for p in piece]
    spread_out = spread(sounds, len(pieces))
    starts = [token.start + at + sum(map(len, pieces[:i])) for i in range(len(pieces))]
    stresses = Pronunciation(pieces, spread_out).stresses
    return _joined(text, token, starts, [("", s) for s in spread_out], stresses)


# --- stress, breaks, pauses --------------------------------------------------------------------------------


def _is_capitals(token: Token) -> bool:
    letters = [c for c in token.core.text if c.isalpha()]
    return len(letters) > 1 and all(c.isupper() for c in letters)


def _is_loud(tokens: Sequence[Token]) -> bool:
    long = [t for t in tokens if sum(c.isalpha() for c in t.core.text) > 1]
    return len(long) > 2 and sum(map(_is_capitals, long)) >= _CAPITALS_LINE * len(long)


def _starred(text: str) -> list[tuple[int, int]]:
    return [m.span() for m in re.finditer(r"\*+([^*\n]+?)\*+", text)]


def _keeps_weak_vowel(after: Token | None, rules: Rules) -> bool:
    return after is None or after.core.text[:1].lower() not in rules.silent_before


def _break_after(text: str, token: Token, after: Token | None, rules: Rules, spoken: str) -> tuple[Break, str]:
    marks = re.sub(r"\.{2,}", "…", token.marks.replace("--", "—"))
    lower = token.core.text.lower()
    if marks.startswith(".") and (
        lower + "." in rules.abbreviations or re.fullmatch(r"(\w\.)+\w|[A-Z]", token.core.text)
    ):
        marks = marks[1:]
    if rules.figures.ordinal_dot and is_dot_ordinal(token, after):
        marks = marks[1:]
    marks = re.sub(r"(?<![\w-])-(?!\w)|-$", "—", marks)
    found = sorted((c for c in marks if c in _ENDS), key=lambda c: (-_ENDS[c], marks.index(c)))
    if found:
        mark = "—" if found[0] == "–" else found[0]
        return (_ENDS[mark] if after else Break.SENTENCE), mark
    if after is None:
        return Break.SENTENCE, ""
    if text[token.end : after.start].strip():
        return Break.CLAUSE, ""  # a direction stands between
    last = spoken.lower().split()[-1] if spoken else ""
    following = after.core.text.lower()
    if last in rules.ends_or_leans and following in rules.phrase_before:
        return Break.PHRASE, ""
    if following in rules.conjunctions and last not in rules.conjunctions | rules.before_conjunction:
        return Break.PHRASE, ""
    if last in rules.never_after or lower.rstrip("'") in rules.elided:
        return Break.NEVER, ""
    if last.endswith(rules.leaning_endings) or _is_name(token, after, rules):
        return Break.NEVER, ""
    if following in rules.phrase_before:
        return Break.PHRASE, ""
    return Break.WORD, ""


def _is_name(token: Token, after: Token, rules: Rules) -> bool:
    """True inside a name: two capitalised words in a row; where nouns are capitalised, nothing is known."""
    if rules.capitalises_nouns:
        return False
    both = token.core.text, after.core.text
    return all(w[:1].isupper() and w[1:].islower() and w.lower() not in rules.function_words for w in both)


def _pause_after(pauses: Sequence[PauseMark], token: Token, after: Token | None) -> Fraction | None:
    """Return the silence asked for between this token and the next."""
    end = after.start if after else token.end + 10**9
    found = [p.length for p in pauses if token.start < p.offset <= end]
    return sum(found, Fraction(0)) if found else None


# --- findings ----------------------------------------------------------------------------------------------


def _bare(piece: str) -> str:
    """Return a printed piece without the line's punctuation, in lower case.

    >>> _bare("“Lim"), _bare("pet.."), _bare("O’")
    ('lim', 'pet', 'o’')
    """
    return re.sub(r"^[\W_]+(?=\w)|(?<![^\W_])[\W_]+$|(?<=\w)(?:(?!['’])[\W_])+$", "", piece).lower()


def _other_language(words: Sequence[Word], rules: Rules, own: str) -> Finding | None:
    """Return the finding that stands for all guesses of a line in another language."""
    written = [_bare(w.text) for w in words]
    unknown = {text for text, word in zip(written, words, strict=True) if word.is_guessed}
    code = neighbour_of(written, unknown, rules.function_words, own)
    if code is None:
        return None
    name = name_of(code)
    return Finding(
        FindingCode.OTHER_LANGUAGE,
        f'This line looks like {name}; it is read as {name_of(own)}. Set language = "{code}" in episode.toml if the '
        f"episode is in {name}, or put how its words sound under [say].",
        {"language": code, "guessed": sorted(unknown)},
    )


def _say_line(word: str, respelling: str) -> str:
    return f'{_toml_key(word)} = "{respelling}"'


def _toml_key(word: str) -> str:
    """Return a word as TOML writes it as a key: in quotes unless it is plain letters.

    >>> _toml_key("boing"), _toml_key("θάλασσα")
    ('boing', '"θάλασσα"')
    """
    return word if re.fullmatch(r"[A-Za-z0-9_-]+", word) else f'"{word}"'


def _findings(
    text: str,
    words: Sequence[Word],
    pictures: Sequence[str],
    language: Language,
    code: str,
    say: Mapping[str, SayEntry],
) -> tuple[Finding, ...]:
    rules = language.rules
    found: dict[tuple[str, str], Finding] = {}
    other = _other_language(words, rules, code) if rules.ways.has_dictionary else None
    if other:
        found[FindingCode.OTHER_LANGUAGE, other.facts["language"]] = other
    foreign = list(
        dict.fromkeys(w.text for w in words if not is_written_in(w.text, code) and w.spoken.lower() not in say)
    )
    if foreign:
        named = ", ".join(f"“{_bare(text)}”" for text in foreign[:4]) + " …" * (len(foreign) > 4)
        found[FindingCode.WORDS_NOT_READ, ""] = Finding(
            FindingCode.WORDS_NOT_READ,
            f"{named}: letters that {code} is not written in, so not read and not truly timed; write it as it sounds, "
            f"or write under [say] in episode.toml: {_say_line(_bare(foreign[0]), 'as it sounds')}",
            {"words": foreign},
        )
    for word in words:
        bare = word.spoken.lower()
        if word.is_guessed and not other and is_written_in(word.text, code):
            pieces = [_bare(s.heard) for s in word.syllables]
            split = "-".join(pieces)
            found[FindingCode.GUESSED_WORD, bare] = Finding(
                FindingCode.GUESSED_WORD,
                f'"{bare}" is not in the dictionary; read as {split}. If that is wrong, respell it under [say] '
                f"in episode.toml: {_say_line(_bare(word.text), split)}",
                {"word": bare, "syllables": pieces,
                 "phones": [list(s.phones) for s in word.syllables]},
            )  # fmt: skip
        readings = rules.homographs.get(bare, "").split(" or ")
        if bare in rules.homographs and bare not in say and not other:
            found["homograph", bare] = Finding(
                FindingCode.HOMOGRAPH,
                f'"{bare}" is said in more than one way; read as {readings[0]}. For the other, write under [say] in '
                f'episode.toml: {_toml_key(bare)} = {{ sounds = "{readings[1]}" }}',
                {"word": bare, "readings": readings},
            )
    for aside in re.findall(r"\(([^()]*)\)", text):
        if len(aside.split()) >= LONG_ASIDE:
            found[FindingCode.UNSPOKEN_ASIDE, aside] = Finding(
                FindingCode.UNSPOKEN_ASIDE,
                f'"({aside})" stands in brackets and so is not spoken; write it between dashes if it is.',
                {"text": aside},
            )
    if pictures:
        shown = "".join(pictures)
        found[FindingCode.UNSPOKEN_EMOJI, shown] = Finding(
            FindingCode.UNSPOKEN_EMOJI, f"{shown} is not spoken.", {"emoji": list(pictures)}
        )
    if words and not language.has_sounds:
        found[FindingCode.UNKNOWN_LANGUAGE, code] = Finding(
            FindingCode.UNKNOWN_LANGUAGE,
            f"For {code} the tool has hyphenation patterns only: no sounds, no stress, figures read by number words; "
            + "; ".join(language.assumed()),
            {"language": code},
        )
    return tuple(found.values())


def assumptions(code: str) -> tuple[Finding, ...]:
    """Return the finding that says which figures nobody measured in a language that has a record, if any."""
    language = language_of(code)
    assumed = language.assumed()
    if not assumed or not language.has_sounds:
        return ()
    message = f"{name_of(code)}: {'; '.join(assumed)}. Record a line of each speaker, then their own pace counts."
    return (Finding(FindingCode.LANGUAGE_ASSUMED, message, {"language": code}),)
