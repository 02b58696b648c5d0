"""What tells the lines of a plain script apart: words and patterns, in the languages we met them in."""

from __future__ import annotations

import re

from timing.script.blocks import MARKER

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
EVERYBODY = frozenset(
    "all everyone everybody together both todos todas ambos juntos tous toutes ensemble alle beide zusammen tutti "
    "tutte insieme".split()
)
_SCENES = r"scene|act|part|chapter|szene|escena|cena|scène|scena|acto|ato|acte|atto"
_SLIDES = r"slide|folie|diapositiva?|diapositive|lámina|panel|page|página|seite|pagina"
_NUMBERS = (
    r"#?\d+\w?|[ivx]+|one|two|three|four|five|six|seven|eight|nine|ten|première|deuxième|troisième|primera|segunda|"
    r"tercera|primeira|terceira|prima|seconda|terza"
)
SCENE = re.compile(
    rf"(?:(?:{_SCENES})\s*(?:{_NUMBERS})?\s*(?:[:.–—-].*)?|(?:{_SLIDES})\s*#?\d+\s*(?:[:.–—-].*)?"
    r"|(?:INT|EXT|EST|I/E|INT\.?/EXT)[. ].*)",
    re.IGNORECASE,
)
TRANSITION = re.compile(r"[A-Z ]+ TO:|(?i:fade (?:in|out|to black)|cut to black|smash cut)[:.]?")
NOTE_SIGNS = re.compile(r"[♩♪♫♬🎵🎶]")
SUNG_SIGN = re.compile(r"[\s*_\"“]*(?P<sign>~|[♩♪♫♬🎵🎶])\s*")  # at the beginning of the words
RULE = re.compile(r"(?:[-*_=]\s*){3,}")
FACTS = frozenset(
    "title episode series author authors writer date draft version language format duration length runtime setting "
    "characters cast time place location theme audience age note notes contact copyright summary synopsis logline"
    .split()
) | {"written by", "episode title", "working title", "draft date", "by", "target audience", "target age"}  # fmt: skip
# The same in the other five languages, by the key that the rest of the program knows.
FACT_KEYS = {
    **dict.fromkeys("título titulo titre titel titolo".split(), "title"),
    **dict.fromkeys("idioma língua langue sprache lingua".split(), "language"),
    **dict.fromkeys("autor autora auteur autore autorin".split(), "author"),
    **dict.fromkeys("duração duración durée dauer durata länge".split(), "duration"),
    **dict.fromkeys("personagens personajes personnages figuren personaggi elenco".split(), "characters"),
    **dict.fromkeys("cenário escenario décor schauplatz ambientazione ort lieu luogo local lugar".split(), "setting"),
    **dict.fromkeys("público audiencia public zielgruppe pubblico idade edad âge alter età".split(), "audience"),
    **dict.fromkeys("tema thème thema".split(), "theme"),
    **dict.fromkeys(
        ("público-alvo", "faixa etária", "público objetivo", "público cible", "genre", "format", "tone"), "note"
    ),
}
FACTS |= frozenset(FACT_KEYS)
PICTURE_NAMES = frozenset(
    "action sfx fx sound sounds music camera shot visual visuals picture image cut transition direction "
    "song canción canção chanson lied canzone".split()
) | {"stage direction", "stage directions", "sound effect", "sound effects", "fade in", "fade out", "cut to"}
NO_NAMES = FACTS | PICTURE_NAMES
NOT_NAMES = frozenset(
    "first second third fourth fifth finally next then now also remember warning tip ps question answer example "
    "because so but and yes no well look listen see wait or".split()
)  # fmt: skip
# A line in capitals that begins or goes on like this is something shouted, "I SAID: NO", not a name.
CLAUSE_STARTS = frozenset(
    "i you he she we they it and but so then if when because look please this that there here "
    "ich du wir und aber yo tú pero je tu elle nous mais eu você mas".split()
)
CLAUSE_VERBS = frozenset("said says is are was were shouted told asked".split())
PERSONS = frozenset("i you he she we they ich du wir yo tú je elle nous eu você".split())
NOTE_NAMES = frozenset({"note", "notes"})
SINGS = re.compile(r"\b(?:sings?|singing|sung)\b", re.IGNORECASE)


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
