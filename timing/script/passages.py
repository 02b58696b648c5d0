"""Waits and sound cues, as people write them in the six languages: neither is spoken, and neither is a picture.

In: one line or bracket without its mark-up ("Pause for the children to answer", "SFX: PLOP!"). Out: the wait with its
length, or the words of the cue. The words are common practice, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from timing.model.clock import Seconds

# Children answer more, and at more length, when given three seconds or more: M. B. Rowe, "Wait time: slowing down may
# be a way of speeding up", Journal of Teacher Education 37 (1986), from memory.
ANSWER_S = Fraction(3)
BARE_WAIT_S = Fraction(3, 2)  # "(waits)", with nobody to wait for: our own
LEAST_WAIT_S = Fraction(1)  # a shorter silence is a breath between two speeches, no passage (our own choice)
MOST_WORDS = 14

_NUMBER_WORDS = {
    word: n
    for n, words in enumerate(
        (
            "one um uma un una une ein eine einer", "two dois duas dos deux zwei due", "three três tres "
            "trois drei tre",
            "four quatro cuatro quatre vier quattro", "five cinco cinq fünf cinque", "six seis sechs sei",
            "seven sete siete sept sieben sette", "eight oito ocho huit acht otto", "nine nove nueve neuf neun",
            "ten dez diez dix zehn dieci",
        ),
        1,
    )
    for word in words.split()
}  # fmt: skip
_TIME = re.compile(
    r"(?<!\w)(?P<amount>\d{1,3}(?:[.,]\d{1,3})?|" + "|".join(sorted(_NUMBER_WORDS, key=len, reverse=True)) + r")"
    r"(?:[\s-]+(?:full|whole|good|long))?[\s-]*"
    r"(?:s|secs?|seconds?|segs?|segundos?|secondes?|sekunden?|second[oi])\b",
    re.IGNORECASE,
)
_PAUSE = r"paus[ae]|pauses|pausing|silence|silêncio|silencio|stille|silenzio|beat"
_WAITING = (
    r"waits?|waiting|esperam?|esperan|esperando|aguardam?|aguardando|attend|attendent|attendre|attente|attendez|"
    r"warte|wartet|warten|wartend|aspettan?o?|aspettare|aspettando|attende|attendono|attendere|attesa"
)
_LISTENING = r"listens?|listening|escutam?|escutando|escuchan?|escuchando|écoutent?|écoutant|lauscht|hört|ascoltan?o?"
_HAS_WAIT = re.compile(rf"\b(?:{_PAUSE}|{_WAITING})\b", re.IGNORECASE)
_HAS_PAUSE = re.compile(rf"\b(?:{_PAUSE})\b", re.IGNORECASE)
_HAS_LISTENING = re.compile(rf"\b(?:{_LISTENING})\b", re.IGNORECASE)
_ANSWER = re.compile(
    r"\b(?:answers?|respon[ds]e?s?|reply|replies|respostas?|respond\w*|respuestas?|réponses?|répond\w*|antwort\w*|"
    r"rispost[ae]|rispond\w*|child(?:ren)?|kids|viewers?|audience|crianças?|niñ[oa]s?|enfants?|kinder[ns]?|"
    r"bambin[oi]|"
    r"público|public|publikums?|pubblico|zuschauer\w*|spectateurs?)\b",
    re.IGNORECASE,
)
_ROOM = re.compile(r"\b(?:time|tempo|tiempo|temps|zeit)\b", re.IGNORECASE)
_BARE = re.compile(
    rf"(?:(?:a|an|uma?|una?|une|eine?)\s+)?"
    rf"(?:(?P<long>long|longer|longa|larga|longue|lange|lunga)\s+|(?P<short>short|brief|small|little|kurze|"
    rf"breve|petite|courte)\s+)?"
    rf"(?:(?P<pause>{_PAUSE})|(?P<wait>{_WAITING}))(?:\s+(?P<after>longa|larga|longue|lunga|breve|curta|corta|"
    rf"courte))?",
    re.IGNORECASE,
)
_SPOKEN_TO = re.compile(r"\b(?:me|i|you|we|us|let['’]s|mim|mí|moi|mich|mir|auf uns|nous)\b(?! (?:to )?answer)", re.I)


@dataclass(frozen=True, slots=True)
class Wait:
    """A silence that is held: ``text`` as written; ``is_assumed`` where its length is ours."""

    length: Seconds
    text: str
    is_assumed: bool = False
    is_for_answer: bool = False
    is_pause: bool = False  # a mere silence: within a speech it parts no words


def read_wait(text: str) -> Wait | None:
    """Return the wait that a line or bracket asks for, None for any other text.

    >>> read_wait("Pause for the children to answer").length, read_wait("pausa de 2 segundos").length
    (Fraction(3, 1), Fraction(2, 1))
    >>> read_wait("Wait for me!"), read_wait("They wait for the tide to turn.")
    (None, None)
    """
    words = " ".join(re.sub(r"[*_\x02-\x05]+", "", text).split())
    plain = words.strip(" .…!:")
    if not plain or len(plain.split()) > MOST_WORDS:
        return None
    if match := _BARE.fullmatch(plain):
        size = (match["long"] or match["after"] or match["short"] or "").casefold()
        usual = Fraction(4, 5) if match["pause"] else BARE_WAIT_S
        is_long = size[:2] in ("lo", "la", "lu")
        length = Fraction(3, 2) if is_long else Fraction(2, 5) if size and match["pause"] else usual
        return Wait(length, words, True, is_pause=match["pause"] is not None)
    time, answers = _TIME.search(plain), _ANSWER.search(plain) is not None
    early = " ".join(plain.split()[:6])
    waits = _HAS_WAIT.search(early) or (answers and (_HAS_LISTENING.search(early) or _ROOM.search(plain)))
    if not waits and not (time and _HAS_WAIT.search(plain)):
        return None
    if time:
        if _SPOKEN_TO.search(plain) and not answers:
            return None
        amount = time["amount"].casefold().replace(",", ".")
        length = Fraction(_NUMBER_WORDS.get(amount) or amount)
        return (
            Wait(length, words, False, answers, not answers and _HAS_PAUSE.search(plain) is not None)
            if length
            else None
        )
    return Wait(ANSWER_S, words, True, True) if answers else None


_SOUND_NAMES = (
    r"sfx|fx|sounds?(?: effects?)?|efeitos? sonoros?|efectos? (?:de sonido|sonoros?)|effets? sonores?|"
    r"effett[oi] sonor[oi]|"
    r"som|ruídos?|sonidos?|ruidos?|bruitages?|bruits?|geräusche?|soundeffekte?|suon[oi]|rumor[ei]"
)
_MUSIC_NAMES = r"music|música|musica|musique|musik"
_NAMED_SOUND = re.compile(rf"(?P<name>{_SOUND_NAMES}|{_MUSIC_NAMES})\s*(?::|\s[–—-]\s)\s*(?P<words>.*\S)", re.I | re.S)
_SHORT_SOUND = re.compile(r"s?fx\s+(?P<words>[^\W_].*\S)", re.IGNORECASE | re.DOTALL)  # nobody says "sfx"
_TOLD_SOUND = re.compile(
    r"(?:the )?sounds? of .+|.+ sounds?(?: effect)?|(?:o )?som d[eao]s? .+|(?:un )?sonido del? .+|"
    r"(?:un )?bruits? d[eu]s? .+|"
    r"geräusch(?:e)? (?:von|der|des) .+|\w*geräusche?|(?:un )?(?:rumore|suono) d\w* .+",
    re.IGNORECASE,
)
_TOLD_MUSIC = re.compile(
    r"(?:[\w'’-]+ ){0,4}(?:music|jingle)(?: (?:plays?|playing|starts?|begins?|swells?|fades?|"
    r"stops?|ends?|continues|in|up|under)(?: \w+){0,3})?|"
    r"(?:começa |toca )?(?:uma )?(?:música|musica)(?: de fundo)?(?: [\w'’-]+){0,2}|(?:suena )(?:la |"
    r"una )?música(?: \w+){0,2}|"
    r"musique(?: [\w'’-]+){1,3}|(?:\w+ )?musik(?: \w+)?",
    re.IGNORECASE,
)
SOUND_CHARACTERS = re.compile(rf"(?:{_SOUND_NAMES}|{_MUSIC_NAMES})", re.IGNORECASE)


def read_sound(text: str, is_boxed: bool) -> str | None:
    """Return what is heard where a line is a sound cue, None for any other; ``is_boxed``: it stands in brackets.

    >>> read_sound("SFX: PLOP!", False), read_sound("Sound of waves", True), read_sound("Sound of waves", False)
    ('PLOP!', 'Sound of waves', None)
    >>> read_sound("sfx splash", False)
    'splash'
    >>> read_sound("Music: soft piano", False), read_sound("Cheerful music plays", True)
    ('Music: soft piano', 'Cheerful music plays')
    """
    plain = " ".join(text.split())
    if (match := _SHORT_SOUND.fullmatch(plain)) and len(plain.split()) <= MOST_WORDS:
        return match["words"]
    if match := _NAMED_SOUND.fullmatch(plain):
        return plain if re.fullmatch(_MUSIC_NAMES, match["name"], re.IGNORECASE) else match["words"]
    bare = plain.strip(" .!")
    if is_boxed and len(bare.split()) <= MOST_WORDS and (_TOLD_SOUND.fullmatch(bare) or _TOLD_MUSIC.fullmatch(bare)):
        return plain
    return None
