"""Brackets in a speech: which hold a direction, and which hold words that are spoken.

One rule, for every kind of script. A bracket is a direction, and leaves the words, where a speech begins with it,
where it has a line of its own, where it is square or curly, and where its words are those of a direction ("giggles",
"softly", "to Bram"). Any other round bracket is an aside that is spoken: dashes take the place of its brackets, so
that the words on the sheet, in the request and in the captions are the words that were counted.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from timing.language.english.manners import CHANGE_WORDS, MANNERS
from timing.language.registry import all_manners
from timing.plain.nearest import VERY_CLOSE, nearest, one_slip
from timing.script.notes import written_pause
from timing.script.passages import near_wait, read_sound, read_wait

_KNOWN = tuple(word for words in CHANGE_WORDS.values() for word in words)
# They end like "softly" or "giggling" and are no manner of speaking.
_NO_MANNER = frozenset(
    "only early really actually probably family finally nearly hardly mostly exactly especially certainly possibly "
    "usually fly belly jelly july curly ugly nothing something anything everything morning evening king ring thing "
    "string spring wing including according depending being".split()
)
_FORMS = frozenset(
    {word + ending for word in _KNOWN for ending in ("", "s", "es", "ed", "ing", "ly", "y", "er", "ish")}
)
# Words of their own that lie one slip from a direction word (found by holding all of CMUdict against them).
_NO_SLIP = frozenset(
    "below billow billowed billowing blowing breathes calmed calming calving creed crimes crises culling excite "
    "excites exited harried harry hashed hurray lordly packing picking quack quirk rabid readying reaping reared "
    "rearing regarding rending rereading rewarding roamed roaming rusting scout scouted scouting scram shoot "
    "shooting "
    "short shorting shunting shutting sleep sleeping sleeps snout spout spouted spouting stout stream streamed "
    "streaming string strung subbed subbing whimper whimpered whimpering whimpers whisker whiskered whiskers "
    "yellowing yelped yelping".split()
)
_TO_WHOM = re.compile(
    r"to (?:(?:the|a|an|his|her|their|my) \w+(?: \w+)?|\w+self|\w+selves|him|her|them|us|camera)", re.I
)
_TO_NAME = re.compile(r"to [A-Z]\w*(?: (?:and|&) [A-Z]\w*)?")
_LONGEST_CHARACTERS = 1_000
_DEEPEST = 4  # brackets within brackets
_BRACKET = re.compile(
    rf"(?P<marks>[*_]{{0,3}})(?:\((?P<round>[^()\[\]{{}}]{{0,{_LONGEST_CHARACTERS}}})\)"
    rf"|\[(?P<square>[^()\[\]{{}}]{{0,{_LONGEST_CHARACTERS}}})\]|"
    rf"\{{(?P<curly>[^()\[\]{{}}]{{0,{_LONGEST_CHARACTERS}}})\}})"
    r"(?P=marks)"
)
_STARRED = re.compile(r"(?P<before>^|[.!?…,;:—–-]\s*|\s)\*(?P<inside>[^*\s](?:[^*]{0,60}[^*\s])?)\*(?!\*)")
_MARKER = re.compile("\x02\\d+\x03")
_SPACE_BEFORE_MARK = re.compile("[ \t]+((?:\x02\\d+\x03)*)[ \t]*(?=[.,!?…;:](?:\\s|$))")
_ENDS = tuple(".!?…,;:")


@dataclass(slots=True)
class Sorted:
    """A speech's text with its brackets sorted out: ``directions`` taken out of it, ``asides`` spoken in it."""

    text: str
    directions: list[str] = field(default_factory=list)
    asides: list[str] = field(default_factory=list)


def sort_brackets(
    text: str,
    at_start: bool,
    pause: Callable[[str], str],
    is_sung: bool = False,
    sound: Callable[[str], str] = lambda words: "",
) -> Sorted:
    """Return a line of a speech without its brackets.

    ``at_start`` True where the speech begins with it; ``pause`` gives what stands for a written pause ("beat") or wait,
    ``sound`` for a sound cue ("SFX: splash").
    In a lyric an aside is an echo, and is sung as it stands, without dashes.

    >>> sort_brackets("(softly) Look (points) there (the big one).", True, str)
    Sorted(text='Look there — the big one.', directions=['softly', 'points'], asides=['the big one'])
    """
    found = Sorted(text)
    for _ in range(_DEEPEST):  # brackets within brackets, from the inside
        before = found.text
        found.text = _BRACKET.sub(lambda m: _one_bracket(m, found, at_start, pause, is_sung, sound), before)
        if found.text == before:
            break
    if not is_sung:
        found.text = _STARRED.sub(lambda m: _one_starred(m, found), found.text)
    if found.text != text:
        found.text = _SPACE_BEFORE_MARK.sub(r"\1", re.sub(r"[ \t]{2,}", " ", found.text)).strip()
    return found


def _one_bracket(
    match: re.Match[str],
    found: Sorted,
    at_start: bool,
    pause: Callable[[str], str],
    sung: bool,
    sound: Callable[[str], str],
) -> str:
    inside = next(g for g in (match["round"], match["square"], match["curly"]) if g is not None)
    words = " ".join(_MARKER.sub("", re.sub(r"[*_]", "", inside)).split())
    notes = "".join(_MARKER.findall(inside))
    if not words:
        return f" {notes} "
    if written_pause(words) is not None or read_wait(words) is not None:
        return f" {notes}{pause(words)}"
    if (heard := read_sound(words, match["square"] is not None)) is not None:
        return f" {notes}{sound(heard)} "
    text = match.string
    leads = at_start and not re.sub(r"[*_\s]", "", _MARKER.sub("", text[: match.start()]))
    if match["round"] is None or (leads and not sung) or is_direction(words):
        found.directions.append(words)
        return f" {notes} "
    found.asides.append(words)
    aside = f"{match['marks']}{inside.strip()}{match['marks']}"
    if sung:
        return aside
    rest = _MARKER.sub("", text[match.end() :]).lstrip()
    start = "" if leads or text[: match.start()].rstrip().endswith(_ENDS) else " — "
    end = "" if not rest or rest.startswith(_ENDS) or aside.endswith(_ENDS) else " — "
    if rest.startswith(_ENDS) and aside.endswith((".", "!", "?")):
        aside = aside[:-1] if rest[0] == aside[-1] else aside
    return f"{start or ' '}{aside}{end or ''}" + ("" if end or not rest or rest.startswith(_ENDS) else " ")


def _one_starred(match: re.Match[str], found: Sorted) -> str:
    """``*giggles*`` between sentences is a direction; ``he *laughs* a lot`` is a stressed word."""
    before, inside = match["before"], match["inside"]
    starts = match.start() == 0 or not before.isspace() or match.string[: match.start()].endswith(_ENDS)
    if starts and _is_acted(_words_of(inside)):
        found.directions.append(inside)
        return f"{before} "
    return match[0]


def _is_acted(words: list[str]) -> bool:
    """True for "giggles", "giggling softly", "bocejando", in any language we know."""
    return any(manners.is_acted(words) for manners in all_manners())


def is_known_direction(text: str) -> bool:
    """True for words that a list of directions holds, and for none that only look like one.

    >>> is_known_direction("whispering"), is_known_direction("check timing")
    (True, False)
    """
    words = _words_of(text)
    return 0 < len(words) < 4 and (_is_acted(words) or any(m.begins_so(text.strip()) for m in all_manners()))


def is_direction(text: str) -> bool:
    """True when words in brackets say how a line is spoken or what its speaker does.

    >>> [is_direction(t) for t in ("giggles", "very softly", "to the gull", "wispered", "the one with no handle")]
    [True, True, True, True, False]
    """
    words = _words_of(text)
    if not words or written_pause(text) is not None:
        return bool(words)
    if _TO_WHOM.fullmatch(text.strip(" .")) or _TO_NAME.fullmatch(text.strip(" .")):
        return True
    if is_known_direction(text) or near_wait(text):
        return True
    leading = words[0] if len(words) > 3 or words[0] in ("the", "a", "my", "our", "i") else None
    return any(_is_manner(word) for word in ([leading] if leading else words))


def _is_manner(word: str) -> bool:
    if word in MANNERS.acting or word in _FORMS:
        return True
    if word in _NO_MANNER or len(word) < 5:
        return False
    return word.endswith(("ly", "ing")) or nearest_direction(word) is not None


def nearest_direction(word: str) -> str | None:
    """Return the direction word that a mistyped one was meant to be, None for a word that is known or far from all.

    >>> nearest_direction("wispered"), nearest_direction("shoutted"), nearest_direction("whispers")
    ('whispered', 'shouted', None)
    """
    word = word.casefold()
    if len(word) < 5 or word in _FORMS or word in MANNERS.acting or word in _NO_SLIP:
        return None
    alike = [known for known in _KNOWN if known[0] == word[0] and len(known) > 4]
    slips = [known for known in alike if one_slip(word, known)]
    return next(iter(slips or nearest(word, alike, like=VERY_CLOSE)), None)


def misspelt(directions: tuple[str, ...]) -> list[tuple[str, str, str]]:
    """Return (direction, word, what was meant) for every mistyped word of the directions."""
    waits = [(direction, *slip) for direction in directions if (slip := near_wait(direction))]
    return waits + [
        (direction, word, near)
        for direction in directions
        for word in _words_of(direction)
        if (near := nearest_direction(word))
    ]


def _words_of(text: str) -> list[str]:
    return [w for raw in text.casefold().split() if (w := raw.strip(".,;:!?…\"'*_")) or (w := raw)]
