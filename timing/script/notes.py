"""Timing notes: what stands in ``[[ ]]`` and is never spoken.

    [[4 s]]  [[36 frames]]  [[2 bars]]        the length of a picture passage
    [[pause 0.8 s]]                           a silence inside a line
    [[song out-and-in, bar 9]]                the sung lines from here belong to this song, from this bar

Every other note is the writer's own and is ignored, as Fountain asks; one that was clearly meant to be a
timing note ("[[pasue 0.8 s]]") gives a finding, because a silence that is left out is hard to see.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction

from timing.clock import Seconds
from timing.model import Finding, NotedLength, SongCue, Where

_UNITS = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), "s"),
    **dict.fromkeys(("ms", "msec", "millisecond", "milliseconds"), "ms"),
    **dict.fromkeys(("frame", "frames", "fr", "frs", "f"), "frames"),
    **dict.fromkeys(("bar", "bars", "measure", "measures"), "bars"),
}
_AMOUNT = re.compile(r"(?P<amount>\d{1,6}(?:[.,]\d{1,6})?|[.,]\d{1,6})\s*(?P<unit>[a-z]+)?\.?", re.IGNORECASE)
_PAUSE = re.compile(r"(?:pause|silence)[\s:,=]*(?P<rest>.*)", re.IGNORECASE | re.DOTALL)
_SONG = re.compile(r"song\b[\s:]*(?P<id>[^\s,;][^,;]*?)?(?:\s*[,;]\s*|\s+)?(?:bar\s*(?P<bar>\d{1,4}))?", re.IGNORECASE)
_WORDS = ("pause", "song", "frames", "seconds", "bars", "bar", "silence")

# A written "(beat)" has no fixed length; these are our own, near a comfortable breath.
PAUSES: dict[str, Seconds] = {
    "beat": Fraction(4, 5),
    "pause": Fraction(4, 5),
    "a beat": Fraction(4, 5),
    "a pause": Fraction(4, 5),
    "short pause": Fraction(2, 5),
    "half a beat": Fraction(2, 5),
    "small pause": Fraction(2, 5),
    "long pause": Fraction(3, 2),
    "long beat": Fraction(3, 2),
    "a long pause": Fraction(3, 2),
}


@dataclass(frozen=True, slots=True)
class Note:
    """What one note says; all None for a note that carries no timing."""

    length: NotedLength | None = None
    pause: Seconds | None = None
    cue: SongCue | None = None
    finding: Finding | None = None


def read_note(text: str, where: Where) -> Note:
    """Return what the text inside ``[[ ]]`` says about time.

    >>> read_note("36 frames", Where("s"))
    Note(length=NotedLength(amount=Fraction(36, 1), unit='frames'), pause=None, cue=None, finding=None)
    >>> read_note("pause 0.8 s", Where("s")).pause
    Fraction(4, 5)
    >>> read_note("pasue 0.8 s", Where("s")).finding.code
    'note-not-understood'
    """
    plain = " ".join(text.split())
    if match := _PAUSE.fullmatch(plain):
        return _pause(plain, match["rest"], where)
    if match := _SONG.fullmatch(plain):
        song = match["id"].strip() if match["id"] else None
        bar = int(match["bar"]) if match["bar"] else None
        if song or bar is not None:
            return Note(cue=SongCue(slug(song) if song else None, bar))
        return Note(finding=_not_understood(plain, where, "name the song, for example [[song out-and-in, bar 9]]"))
    if match := _AMOUNT.fullmatch(plain):
        return _length(plain, match, where)
    return Note(finding=_near_miss(plain, where))


def written_pause(text: str) -> Seconds | None:
    """Return the silence that a parenthetical such as "beat" or "pause 1 s" asks for, None for any other."""
    plain = " ".join(text.split()).strip(" .…").casefold()
    if plain in PAUSES:
        return PAUSES[plain]
    match = _PAUSE.fullmatch(plain)
    amount = _AMOUNT.fullmatch(match["rest"]) if match else None
    return _seconds(amount) if amount else None


def slug(name: str) -> str:
    """Return the name of a song as an id: "Out and In" -> "out-and-in".

    >>> slug("Out and In!")
    'out-and-in'
    """
    return re.sub(r"[^\w]+", "-", name.casefold()).strip("-_")


def _amount(match: re.Match[str]) -> Fraction:
    return Fraction(match["amount"].replace(",", "."))


def _seconds(match: re.Match[str]) -> Seconds | None:
    unit = _UNITS.get((match["unit"] or "s").casefold())
    if unit not in ("s", "ms") or not _amount(match):
        return None
    return _amount(match) / (1000 if unit == "ms" else 1)


def _pause(plain: str, rest: str, where: Where) -> Note:
    if not rest:
        return Note(pause=PAUSES["pause"])
    match = _AMOUNT.fullmatch(rest)
    length = _seconds(match) if match else None
    if length is not None:
        return Note(pause=length)
    if match is None and not re.search(r"\d", rest):
        return Note()  # "[[pause here? ask Ada]]": a remark, no number
    return Note(finding=_not_understood(plain, where, "write a pause in seconds, for example [[pause 0.8 s]]"))


def _length(plain: str, match: re.Match[str], where: Where) -> Note:
    if match["unit"] is None:
        return Note(finding=_not_understood(plain, where, "add the unit, for example [[4 s]] or [[36 frames]]"))
    unit = _UNITS.get(match["unit"].casefold())
    amount = _amount(match)
    if unit is None or not amount:
        advice = "write a length as [[4 s]], [[36 frames]] or [[2 bars]]"
        return Note(finding=_not_understood(plain, where, advice))
    if unit == "ms":
        return Note(length=NotedLength(amount / 1000, "s"))
    return Note(length=NotedLength(amount, unit))


def _near_miss(plain: str, where: Where) -> Finding | None:
    """Return a finding for a note with a number and a word one slip away from a timing word."""
    words = re.findall(r"[a-z]+", plain.casefold())
    if len(plain) > 40 or not words or not re.search(r"\d", plain) or len(words) > 4:
        return None
    meant = get_close_matches(words[0], _WORDS, 1, 0.75)
    if not meant or (words[0] in _WORDS and len(words) > 2):
        return None
    example = {"pause": "[[pause 0.8 s]]", "silence": "[[pause 0.8 s]]", "song": "[[song out-and-in, bar 9]]"}
    return _not_understood(plain, where, f"did you mean {example.get(meant[0], f'[[4 {meant[0]}]]')}?")


def _not_understood(plain: str, where: Where, advice: str) -> Finding:
    return Finding("note-not-understood", f"[[{plain}]] was not understood: {advice}", {"note": plain}, where)
