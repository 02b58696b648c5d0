"""Waits and sound cues, as people write them in every language with a record: neither spoken nor a picture.

In: one line or bracket without its mark-up ("Pause for the children to answer", "SFX: PLOP!"). Out: the wait with its
length, or the words of the cue. The words are those of the languages' records.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from timing.language.registry import all_script_words
from timing.language.script_words import either
from timing.model.clock import Seconds
from timing.plain.nearest import one_slip

# Children answer more, and at more length, when given three seconds or more: M. B. Rowe, "Wait time: slowing down may
# be a way of speeding up", Journal of Teacher Education 37 (1986), from memory.
ANSWER_S = Fraction(3)
BARE_WAIT_S = Fraction(3, 2)  # "(waits)", with nobody to wait for: our own
LEAST_WAIT_S = Fraction(1)  # a shorter silence is a breath between two speeches, no passage (our own choice)
MOST_WORDS = 14

_WORDS = all_script_words()
_NUMBER_WORDS = {word: n for one in _WORDS for n, forms in enumerate(one.numbers, 1) for word in forms.split()}
_TIME = re.compile(
    rf"(?<!\w)(?P<amount>\d{{1,3}}(?:[.,]\d{{1,3}})?|{'|'.join(sorted(_NUMBER_WORDS, key=len, reverse=True))})"
    rf"(?:[\s-]+{either(_WORDS, 'full')})?[\s-]*{either(_WORDS, 'seconds')}\b",
    re.IGNORECASE,
)


def _any_word(*names: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(either(_WORDS, name) for name in names)})\b", re.IGNORECASE)


_HAS_PAUSE, _HAS_WAIT = _any_word("pause"), _any_word("pause", "waiting")
_HAS_LISTENING, _ANSWER = _any_word("listening"), _any_word("answers")
_ROOM, _SPOKEN_TO = _any_word("room"), _any_word("to_me")
_SIZE = rf"(?P<long{{0}}>{either(_WORDS, 'long')})|(?P<short{{0}}>{either(_WORDS, 'short')})"
_BARE = re.compile(
    rf"(?:{either(_WORDS, 'articles')}\s+)?(?:(?:{_SIZE.format(1)})\s+)?"
    rf"(?:(?P<pause>{either(_WORDS, 'pause')})|(?P<wait>{either(_WORDS, 'waiting')}))(?:\s+(?:{_SIZE.format(2)}))?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Wait:
    """A silence that is held: ``text`` as written; ``is_assumed`` where its length is ours."""

    length: Seconds
    text: str
    is_assumed: bool = False
    is_for_answer: bool = False
    is_pause: bool = False  # a mere silence: within a speech it parts no words


# Words of their own that lie one slip from a wait's.
_NO_SLIP = frozenset(
    "want wants wanting wail wails waist waste waits bait gait writ wart warts paused pausa cause causes causing "
    "espero espera esperan esperam attend attends attente warten wartet wacht wachten bear boat best beast beats "
    "belt listen listens stille stilt".split()
)
_SHORTEST_SLIP = 4  # letters
_WAIT_WORDS = tuple(
    form
    for one in _WORDS
    for name in ("pause", "waiting")
    for word in getattr(one, name).split("|")
    for form in ({word.replace("?", ""), re.sub(r"\w\?", "", word)} if "?" in word else {word})
)


def near_wait(text: str) -> tuple[str, str] | None:
    """Return the mistyped word of what would be a wait without the slip, and what was meant; None for any other text.

    >>> near_wait("wiats for an answer"), near_wait("pasue 2 seconds"), near_wait("wants an answer"), near_wait("waits")
    (('wiats', 'waits'), ('pasue', 'pause'), None, None)
    """
    words = text.split()
    for raw in words[:3] if len(words) <= MOST_WORDS else ():
        word = raw.strip(".,…!()*_").casefold()
        if len(word) < _SHORTEST_SLIP or word in _NO_SLIP or word in _WAIT_WORDS:
            continue
        for known in _WAIT_WORDS:
            is_near = known[0] == word[0] and len(known) >= _SHORTEST_SLIP and one_slip(word, known)
            if is_near and read_wait(text.replace(raw, known, 1)) is not None:
                return word, known
    return None


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
        usual = Fraction(4, 5) if match["pause"] else BARE_WAIT_S
        is_long, is_short = match["long1"] or match["long2"], match["short1"] or match["short2"]
        length = Fraction(3, 2) if is_long else Fraction(2, 5) if is_short and match["pause"] else usual
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


_SOUND_NAMES, _MUSIC_NAMES = either(_WORDS, "sound"), either(_WORDS, "music")
_NAMED_SOUND = re.compile(rf"(?P<name>{_SOUND_NAMES}|{_MUSIC_NAMES})\s*(?::|\s[–—-]\s)\s*(?P<words>.*\S)", re.I | re.S)
_SHORT_SOUND = re.compile(r"s?fx\s+(?P<words>[^\W_].*\S)", re.IGNORECASE | re.DOTALL)  # nobody says "sfx"
_TOLD_SOUND = re.compile(either(_WORDS, "told_sound"), re.IGNORECASE)
_TOLD_MUSIC = re.compile(either(_WORDS, "told_music"), re.IGNORECASE)
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
