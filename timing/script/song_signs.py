"""How songs and their parts are headed, and how a part is called back, in every language with a record.

In: one line without its mark-up ("Chorus", "Refrão (2x)", "[Repeat chorus]", 'Canción: "La marea"'). Out: a
:class:`SongPart` or a song's title. A chorus is written once in a lyric sheet and sung again and again, so how it is
called back matters as much as how it is headed. The words are those of the languages' records.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from timing.language.registry import all_script_words
from timing.language.script_words import either, plain_words
from timing.plain.nearest import one_slip

_WORDS = all_script_words()
ROLE_OF = {word: role for one in _WORDS for role, words in one.parts.items() for word in words.split()}
_AGAIN_PAIRS = tuple(pair for one in _WORDS for pair in one.again_pairs)
_THE, _EVERYBODY, _LAST = plain_words(_WORDS, "the"), plain_words(_WORDS, "everybody"), plain_words(_WORDS, "last")
_REPEATS, _DOUBLE, _TIMES_WORDS = (
    plain_words(_WORDS, "again"),
    plain_words(_WORDS, "twofold"),
    plain_words(_WORDS, "times"),
)
_FILLERS = plain_words(_WORDS, "little") | _THE | _EVERYBODY
_COUNTS = {word: count for one in _WORDS for word, count in one.counts.items()}
_ARTICLE = re.compile(either(_WORDS, "articles"), re.IGNORECASE)
_NUMBERS = {
    word: number
    for one in _WORDS
    for number, forms in enumerate(one.numbers, 1)
    for word in forms.split()
    if not _ARTICLE.fullmatch(word)
}
_TIMES = re.compile(rf"[x×](\d{{1,2}})|(\d{{1,2}})[x×]|(\d{{1,2}})-?(?:{'|'.join(sorted(_TIMES_WORDS))})")
_MOST_TIMES = 12  # a longer round is a slip of the pen
_QUOTES = " \"“”„'‘’‚«»‹›"
_SONG_WORD, _MUSIC_WORD = either(_WORDS, "song"), either(_WORDS, "music")
_TITLE_WORD = "|".join(word for one in _WORDS for word, fact in one.facts.items() if fact == "title")
_WHOLE = re.compile(
    rf"(?:(?:{'|'.join(sorted(_THE))})\s+)?(?:{_SONG_WORD}|{either(_WORDS, 'lyrics')})(?:\s+(?:{_TITLE_WORD}))?"
    r"(?:\s*(?:n[oº°]?\.?\s*)?#?\d+)?(?P<rest>\s*[:.–—-].*|\s+[\"“„«‹].*)?",
    re.IGNORECASE | re.DOTALL,
)
_MUSIC = re.compile(rf"{_MUSIC_WORD}(?:\s*#?\d+)?(?P<rest>\s*[:–—-].*|\s+[\"“„«‹].*)", re.I | re.S)
_NO_SCENE = rf"(?!{either(_WORDS, 'scene')}\b)"
_NAMED = re.compile(rf"{_NO_SCENE}.*\b{_SONG_WORD}", re.IGNORECASE)
_TOLD = re.compile(  # "The Song of the Tide", "La canción de la marea"; 'Up and Down (song)'
    rf"{_NO_SCENE}(?:(?:{'|'.join(sorted(_THE))})\s+)?{_SONG_WORD}\s+{either(_WORDS, 'song_of')}[\s\w'’]{{2,40}}"
    rf"|(?P<title>[^()\[\]]{{2,40}}?)\s*[(\[](?:{_SONG_WORD}|{_MUSIC_WORD})[)\]]",
    re.IGNORECASE,
)
LONGEST_LYRIC = 60  # characters: a longer line is prose (our own choice)
LEAST_LYRICS = 2  # lines
_END = re.compile(either(_WORDS, "song_ends"), re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class SongPart:
    """A part of a song as a line names it.

    ``role`` is "chorus", "verse" and the like, "" where none is named ("(x2)"); ``number`` as in "Verse 2". ``times``:
    how often it is sung in all, ``is_repeat``: the line itself says that it is sung again. ``rest``: what stands after
    a colon, as written.
    """

    role: str
    number: int | None = None
    times: int = 1
    is_repeat: bool = False
    rest: str = ""

    @property
    def name(self) -> str:
        return self.role if self.number is None else f"{self.role} {self.number}"


def read_part(text: str) -> SongPart | None:
    """Return the part of a song that a whole line names or calls back, None for any other line.

    >>> read_part("Final Chorus (x2)"), read_part("The chorus is loud")
    (SongPart(role='chorus', number=None, times=2, is_repeat=False, rest=''), None)
    >>> read_part("Se repite el estribillo").is_repeat, read_part("Verse 1: Tansy").rest, read_part("(x3)").times
    (True, 'Tansy', 3)
    """
    text = unicodedata.normalize("NFC", text).strip()
    if len(text) > 120:
        return None
    is_boxed = _is_boxed(text)
    if is_boxed:
        text = text[1:-1].strip()
    head, _, rest = (re.sub(r"\s*[:–—]|\s-\s", "\0", text, count=1)).partition("\0")
    rest = rest.strip()
    part = _of_words(head, is_boxed)
    if part is None or (rest and not part.role):
        return None
    more = _of_words(rest, True) if rest else None
    if more and not more.role:  # "Chorus - repeat", "Chorus: x2"
        return SongPart(part.role, part.number, max(part.times, more.times), part.is_repeat or more.is_repeat)
    return SongPart(part.role, part.number, part.times, part.is_repeat, rest)


# Words of their own that lie one slip from a part's name.
_NO_SLIP = frozenset("into bride couple versus pontes verses versos verso versa versi vers stanzas chores".split())
_SHORTEST_SLIP = 5  # letters
_BY_LETTER = {word[0]: [other for other in ROLE_OF if other[0] == word[0]] for word in ROLE_OF}


def near_part(text: str) -> tuple[SongPart, str] | None:
    """Return the part that a line names with one slip, and the word that was meant; None for any other line.

    >>> near_part("Corus"), near_part("[Chors x2]")[0].times, near_part("Into"), near_part("Chorus")
    ((SongPart(role='chorus', number=None, times=1, is_repeat=False, rest=''), 'Chorus'), 2, None, None)
    """
    if len(text) > 40:
        return None
    for word in re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)?", text):
        small = word.casefold()
        if len(small) < _SHORTEST_SLIP or small in ROLE_OF or small in _NO_SLIP:
            continue
        near = next((known for known in _BY_LETTER.get(small[0], ()) if one_slip(small, known)), None)
        part = read_part(text.replace(word, near, 1)) if near else None
        if near and part is not None and part.role and not part.rest:
            return part, near.capitalize()
    return None


def _is_boxed(text: str) -> bool:
    return re.fullmatch(r"\[[^\[\]]*\]|\([^()]*\)", text) is not None


def _of_words(text: str, is_boxed: bool) -> SongPart | None:
    plain = text.casefold()
    repeats = False
    for pair in _AGAIN_PAIRS:
        if re.search(rf"(?<!\w){pair}(?!\w)", plain):
            plain, repeats = re.sub(rf"(?<!\w){pair}(?!\w)", " ", plain), True
    role, number, times, fillers, counted, is_last = "", None, 1, [], False, False
    words = [w for raw in re.split(r"[\s()\[\],]+", plain) if (w := raw.strip("." + _QUOTES))]
    for word in words:
        match = _TIMES.fullmatch(word)
        if match:
            times, counted = int(next(g for g in match.groups() if g)), True
        elif word in ROLE_OF and (not role or is_last):  # "Final" is a part, in "Final Chorus" it only says which
            role, is_last = ROLE_OF[word], word in _LAST
        elif (word.isdecimal() and len(word) < 3) or word in _NUMBERS:
            number = _NUMBERS.get(word) or int(word)
        elif word in _TIMES_WORDS and number is not None:
            times, number, counted = number, None, True
        elif word in _TIMES_WORDS and counted:
            pass
        elif word in _COUNTS or (word in _DOUBLE and role == ""):
            times, counted = _COUNTS.get(word, 2), True
        elif word in _REPEATS:
            repeats = True
        elif word in _FILLERS or word in _LAST:
            fillers.append(word)
        else:
            return None
    if not 1 <= times <= _MOST_TIMES or (number is not None and not role):
        return None
    if role and not (repeats or is_boxed) and any(f not in _LAST | _THE | _EVERYBODY for f in fillers):
        return None
    if not role and (fillers or not (repeats or counted) or not (is_boxed or _is_count(words, text))):
        return None
    return SongPart(role, number, times, repeats)


def _is_count(words: list[str], text: str) -> bool:
    """True for "x2" and "(bis)": a count, and no words that a song might have."""
    return len(words) == 1 and (_TIMES.fullmatch(words[0]) is not None or _is_boxed(text.strip()))


_LONGEST_COUNT = 60  # characters
_COUNT_AT_END = re.compile(
    r"(?P<words>.*\S)\s*(?P<count>[(\[][^()\[\]]{1,24}[)\]]|\s[x×]\d{1,2}|\s\d{1,2}[x×])\s*", re.S
)


def count_at_end(text: str) -> tuple[str, int]:
    """Return a sung line without the count behind it, and how often it is sung.

    >>> count_at_end("Out and in (x2)"), count_at_end("Out and in (out and in)"), count_at_end("vai e vem (bis)")
    (('Out and in', 2), ('Out and in (out and in)', 1), ('vai e vem', 2))
    """
    start = max(0, len(text) - _LONGEST_COUNT)
    match = _COUNT_AT_END.fullmatch(text[start:])
    part = _of_words(match["count"], True) if match else None
    if match is None or part is None or part.role:
        return text, 1
    return text[:start] + match["words"], max(2, part.times)


def song_title(text: str, is_heading: bool) -> str | None:
    """Return the title of the song that a line heads ("" where it has none), None for any other line.

    ``is_heading``: the line is marked as one, or by a note sign; then "Música: Pinga" and "The Tide Song" are songs,
    which may be a sound cue and a scene elsewhere.

    >>> song_title('Canción: «La marea»', False), song_title("The Tide Song", True), song_title("The Tide Song", False)
    ('La marea', 'The Tide Song', None)
    >>> song_title("Music: soft piano", False), song_title('Música: "Pinga"', False)
    (None, 'Pinga')
    """
    bare = text.strip().removesuffix(":").rstrip()
    if match := _WHOLE.fullmatch(bare):
        title = _title(match["rest"])
        return None if ". " in title and not is_heading else title  # "Song: Up and Down. They dance."
    if match := _MUSIC.fullmatch(bare):
        rest = match["rest"].lstrip(" :–—-")
        if is_heading or re.fullmatch(r"[\"“„«‹].*[\"”“»›]", rest):
            return _title(match["rest"])
    if is_heading and _NAMED.fullmatch(bare):
        return bare.strip(_QUOTES)
    return None


def told_title(text: str) -> str | None:
    """Return the title where a line may head a song, which only the lines below it can tell; None for any other.

    >>> told_title("La canción de la marea"), told_title('"Up and Down" (song)'), told_title("A song is heard")
    ('La canción de la marea', 'Up and Down', None)
    """
    bare = text.strip().removesuffix(":").rstrip()
    match = _TOLD.fullmatch(bare)
    return (match["title"] or bare).strip(_QUOTES) if match else None


def are_like_lyrics(lines: Sequence[str]) -> bool:
    """True for short lines that were ended by hand and are not each a sentence: a verse, no prose.

    >>> are_like_lyrics(["Up goes the water,", "down goes the sand."])
    True
    >>> are_like_lyrics(["They dance.", "The gull lands."]), are_like_lyrics(["Up goes the water"])
    (False, False)
    """
    closed = sum(line.rstrip(_QUOTES + "*_").endswith((".", ":")) for line in lines)
    return len(lines) >= LEAST_LYRICS and 2 * closed <= len(lines) and max(map(len, lines)) <= LONGEST_LYRIC


def _title(rest: str | None) -> str:
    return (rest or "").strip().lstrip(":.–—-").strip(_QUOTES)


def ends_song(text: str) -> bool:
    """True for "(End of song)" and its like, which is neither seen nor heard.

    >>> ends_song("End of song."), ends_song("Fim da música"), ends_song("The song ends and a gull lands")
    (True, True, False)
    """
    return _END.fullmatch(text.strip(" .!*_()[]")) is not None


def tells_song_end(text: str) -> bool:
    """True where a direction says, among other things, that a song is over."""
    return _END.search(text) is not None
