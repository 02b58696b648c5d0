"""What tells the lines of a plain script apart: words and patterns, in every language with a record."""

from __future__ import annotations

import re

from timing.language.registry import all_script_words
from timing.language.script_words import either, plain_words
from timing.script.blocks import MARKER
from timing.script.together import JOINTS

EMOJI = "[\U0001f000-\U0001faff\u2600-\u2669\u266d-\u27bf\u2b00-\u2bff\ufe0e\ufe0f\u200d\u20e3]"  # not the notes ♪ ♫
EMOJI_RUN = re.compile(f"{EMOJI}+")
LEAD = re.compile(
    r"\s*(?:>\s*)*(?:[-*+•·▪–]\s+(?![-*\s]))?"  # quote, bullet
    r"(?P<clock>\[?\(?\d{1,2}:\d{2}(?::\d{2})?(?:[.,]\d+)?(?:\s?[ap]m)?\]?\)?\s*[-–]?\s+)?"
    r"(?:(?:\d{1,4}|#\d{1,4})[.):]\s+)?",
    re.IGNORECASE,
)
NAME = r"[^\W\d_](?:[\w.'’/&+ -]|, ){0,78}?"
SPOKEN = re.compile(
    rf"(?P<name>{NAME})\s*(?P<beside>(?:\([^()]*\)\s*|\[[^\[\]]*\]\s*)*)"
    r"(?P<mark>:(?!//|(?<=\d:)\d)|\s[-–—]+\s|[–—](?=\s*\S))\s*(?P<words>.*)",
    re.DOTALL,
)
CLOSED = re.compile(r"[(\[][^()\[\]]*[)\]]")
DIRECTION_LINE = re.compile(r"(?:\(.*\)|\[.*\])")
HEADING = re.compile(r"(?P<level>#{1,6})\s*(?P<text>.*?)\s*#*\s*$")
_WORDS = all_script_words()
EVERYBODY = plain_words(_WORDS, "everybody")
SMALL_WORDS = JOINTS | plain_words(_WORDS, "the") | {"&", "of", "de", "da", "do"}  # small in a name too
_NUMBERS = "|".join(form for one in _WORDS for forms in one.numbers for form in forms.split())
SCENE = re.compile(
    rf"(?:{either(_WORDS, 'scene')}\s*(?:#?\d+\w?|[ivx]+|{_NUMBERS}|{either(_WORDS, 'ordinals')})?\s*(?:[:.–—-].*)?"
    rf"|{either(_WORDS, 'slide')}\s*#?\d+\s*(?:[:.–—-].*)?|(?:INT|EXT|EST|I/E|INT\.?/EXT)[. ].*)",
    re.IGNORECASE,
)
TRANSITION = re.compile(r"[A-Z ]+ TO:|(?i:fade (?:in|out|to black)|cut to black|smash cut)[:.]?")
NOTE_SIGNS = re.compile(r"[♩♪♫♬🎵🎶]")
SUNG_SIGN = re.compile(r"[\s*_\"“]*(?P<sign>~|[♩♪♫♬🎵🎶])\s*")  # at the beginning of the words
RULE = re.compile(r"(?:[-*_=]\s*){3,}")
# What a script says about itself, by the key that the rest of the program knows.
FACT_KEYS = {word: fact for one in _WORDS for word, fact in one.facts.items()}
FACTS = frozenset(FACT_KEYS)
PICTURE_NAMES = frozenset(
    "action sfx fx sound sounds music song camera shot visual visuals picture image cut transition direction".split()
) | {"stage direction", "stage directions", "sound effect", "sound effects", "fade in", "fade out", "cut to"}
NO_NAMES = FACTS | PICTURE_NAMES
NOT_NAMES = frozenset(
    "first second third fourth fifth finally next then now also remember warning tip ps question answer example "
    "because so but and yes no well look listen see wait or".split()
)  # fmt: skip
# A line in capitals that begins or goes on like this is something shouted, "I SAID: NO", not a name.
PERSONS = plain_words(_WORDS, "persons")
CLAUSE_STARTS = PERSONS | plain_words(_WORDS, "begins_clause")
CLAUSE_VERBS = frozenset("said says is are was were shouted told asked".split())
NOTE_NAMES = frozenset({"note", "notes"})
SINGS = re.compile(rf"\b{either(_WORDS, 'sings')}\b", re.IGNORECASE)


def strip(text: str) -> str:
    """Return the line without quote marks, bullets, clock times and numbering before it."""
    match = LEAD.match(text)
    rest = text[match.end() :] if match else text
    return (rest or text).strip()


def is_clause(name: str) -> bool:
    """True for words that nobody is called by.

    >>> is_clause("I SAID"), is_clause("AND THEN THE WAVE SAID"), is_clause("THE OLD MAN OF THE SEA"), is_clause("IT")
    (True, True, False, False)
    """
    words = name.casefold().split()
    return len(words) > 1 and (words[0] in CLAUSE_STARTS or not CLAUSE_VERBS.isdisjoint(words))


def with_clock(text: str, stripped: str) -> str:
    """Return ``stripped`` with the clock time that ``strip`` took from ``text``, where it may belong to a sentence.

    >>> with_clock("10:30 at the rock", "at the rock"), with_clock("[10:30] at the rock", "at the rock")
    ('10:30 at the rock', 'at the rock')
    """
    match = LEAD.match(text)
    clock = (match["clock"] or "").strip() if match else ""
    return f"{clock} {stripped}" if re.fullmatch(r"[\d:.,]+(?:\s?[ap]m)?", clock, re.IGNORECASE) else stripped


def bold_name(text: str) -> str:
    """Return "**NAME:** words" and "*NAME* *(softly)*: words" without the marks around what stands before the words.

    >>> bold_name("**Tansy** *(excited)*: the **sea**")
    'Tansy (excited): the **sea**'
    """
    if text[:1] not in "*_":
        text = re.sub(r"^([^*_:]{1,40}?)\s[*_]+(\([^()]*\))[*_]+", r"\1 \2", text, count=1)
    if text[:1] not in "*_" and not re.match(r"[^*_:]{1,40}\([^()*_]*[*_]", text):
        return text
    mark = re.search(r":|\s[-–—]+\s|[–—](?=\s*\S)", text[:120])
    if not mark:
        return text
    before, after = text[: mark.end()], text[mark.end() :]
    if len(re.findall(r"[*_]+", before)) % 2:  # the closing mark stands behind the colon
        after = re.sub(r"^\s*[*_]+", "", after, count=1)
    return re.sub(r"[*_]+", "", before) + after


def is_all_slanted(text: str) -> bool:
    """True for a line wholly between stars or underscores: "*She waves.*" is a direction in Markdown."""
    match = re.fullmatch(r"([*_]{1,3})(?=\S)([^*_]+)(?<=\S)\1[.!?…]*", MARKER.sub("", text).strip())
    return match is not None and not (match[2].rstrip().endswith(":") and len(match[2]) < 40)
