"""Timing notes: what stands in ``[[ ]]`` and is never spoken.

    [[4 s]]  [[36 frames]]  [[2 bars]]        the length of a picture passage or of a speech
    [[pause 0.8 s]]                           a silence inside a line
    [[wait 1 s]]  [[hold 1 s]]                a silence inside a line, the length of a picture passage
    [[song out-and-in, bar 9]]                the sung lines from here belong to this song, from this bar
    [[again chorus]]  [[again chorus x2]]     the lines under that heading are sung again
    [[chorus]]  [[verse 2]]                   a heading over the sung lines below
    [[with pans]]                             the clip of the line or passage beside it is made by this profile
    [[picture bay-wide]]                      its first picture

Every other note is the writer's own and is ignored, as Fountain asks; one that was clearly meant to be a
timing note ("[[pasue 0.8 s]]", "[[/effects]]") gives a finding, because a silence that is left out is hard to see.
Short ones are kept as remarks: one may turn out to name a profile ("[[using effects]]").
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from timing.model import Finding, NotedLength, Remark, SongCue, Where
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.plain.nearest import CLOSE, nearest, one_slip
from timing.plain.numbers import exact
from timing.script.passages import Wait, read_wait
from timing.script.song_signs import ROLE_OF, SongPart, ends_song, read_part

_UNITS = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), "s"),
    **dict.fromkeys(("ms", "msec", "millisecond", "milliseconds"), "ms"),
    **dict.fromkeys(("frame", "frames", "fr", "frs", "f"), "frames"),
    **dict.fromkeys(("bar", "bars", "measure", "measures"), "bars"),
}
_AMOUNT = re.compile(r"(?P<amount>\d{1,6}(?:[.,]\d{1,6})?|[.,]\d{1,6})\s*(?P<unit>[a-z]+)?\.?", re.IGNORECASE)
_PAUSE = re.compile(r"(?P<kind>pause|silence|wait|hold)\b[\s:,=]*(?:for\s)?(?P<rest>.*)", re.IGNORECASE | re.DOTALL)
_NUMBERS = {
    **{word: str(n) for n, word in enumerate("one two three four five six seven eight nine ten".split(), 1)},
    "half a": "0.5", "half": "0.5", "a": "1",
}  # fmt: skip
_NUMBER = re.compile(rf"\b(?P<number>{'|'.join(_NUMBERS)})\s+(?P<unit>[a-z]+)\b", re.IGNORECASE)
_TIME_AT_END = re.compile(rf"[a-z]+(?: [a-z]+)? (?P<time>{_AMOUNT.pattern})", re.IGNORECASE)
_SONG = re.compile(r"song\b[\s:]*(?P<id>[^\s,;][^,;]*?)?(?:\s*[,;]\s*|\s+)?(?:bar\s*(?P<bar>\d{1,4}))?", re.IGNORECASE)
_AGAIN = re.compile(r"again\b[\s:,]*(?P<name>.*)", re.IGNORECASE | re.DOTALL)
_CHOICE = re.compile(r"(?P<what>with|picture)\b[\s:=]*(?P<name>[^\s:=].*)", re.IGNORECASE | re.DOTALL)
_NAME = re.compile(r"[\w.-]*\w")
# "[[/effects]]", "[[end with]]", "[[song ends]]": as if a note had a beginning and an end.
_CLOSING = re.compile(
    r"/\s*(?P<slashed>\S.*)"
    r"|(?:end|close|stop|finish)(?:\s+(?:of|the|using))*\s+(?:with|song|wait|pause|picture|chorus|verse|hold|again)\b.*"
    r"|(?:with|song|wait|pause|picture|chorus|verse|hold)(?:\s+\S+)?\s+(?:ends?|over|off|stops?)",
    re.IGNORECASE,
)
_WORDS = ("again", "pause", "song", "frames", "seconds", "bars", "bar", "silence", "wait", "hold")

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
    """What one note says; all None for a note that carries no timing.

    Both ``length`` and ``pause``: a wait, which is a silence in a speech and a length beside a picture. ``wait`` and
    ``sound`` are brackets in a speech that hold one. ``profile`` and ``still`` are names as written.
    """

    length: NotedLength | None = None
    pause: Seconds | None = None
    cue: SongCue | None = None
    part: SongPart | None = None
    wait: Wait | None = None
    sound: str | None = None
    profile: str | None = None
    still: str | None = None
    finding: Finding | None = None
    remark: Remark | None = None


def read_note(text: str, where: Where) -> Note:
    """Return what the text inside ``[[ ]]`` says about time.

    >>> read_note("36 frames", Where("s")).length
    NotedLength(amount=Fraction(36, 1), unit='frames')
    >>> read_note("pause 0.8 s", Where("s")).pause
    Fraction(4, 5)
    >>> read_note("pasue 0.8 s", Where("s")).finding.code.value
    'note-not-understood'
    """
    plain = " ".join(text.split())
    figures = _in_figures(plain)
    note = _read(figures, where)
    if note.finding is None or figures == plain:
        return note
    message = note.finding.message.replace(f"[[{figures}]] was", f"[[{plain}]] was", 1)
    return Note(finding=replace(note.finding, message=message, facts={"note": plain}))


def _in_figures(plain: str) -> str:
    """Return a note with its number word in figures: "three seconds" -> "3 seconds"."""

    def figure(match: re.Match[str]) -> str:
        is_unit = nearest(match["unit"], _UNITS, like=CLOSE)
        return f"{_NUMBERS[match['number'].casefold()]} {match['unit']}" if is_unit else match[0]

    return _NUMBER.sub(figure, plain)


def _read(plain: str, where: Where) -> Note:
    if note := _timing(plain, where):
        return note
    if (wait := read_wait(plain)) is not None:  # "[[pausa 2 s]]", "[[esperam a resposta]]"
        return Note(pause=wait.length) if wait.is_pause else Note(wait=wait)
    if near := _near_miss(plain, where):
        return Note(finding=near)
    if near := _near_choice(plain, where):
        return Note(finding=near)
    if (pause := written_pause(plain)) is not None:  # "[[beat]]"
        return Note(pause=pause)
    if _CLOSING.fullmatch(plain):
        return Note(finding=_closing(plain, where))
    match = _TIME_AT_END.fullmatch(plain)
    if match and (match["unit"] or "").casefold() in _UNITS:  # "[[waiting 2 s]]"
        advice = (
            f"write [[pause {match['time']}]] for a silence, [[{match['time']}]] for the length of a picture passage"
        )
        return Note(finding=_not_understood(plain, where, advice))
    return Note(remark=Remark(plain, where))


def _closing(plain: str, where: Where) -> Finding:
    if ends_song(plain.lstrip("/ ")) or re.search(r"\bsong\b", plain, re.IGNORECASE):
        return _not_understood(plain, where, "a song ends where somebody speaks, or at a line (End of song)")
    advice = "a note has no end; [[with NAME]] holds for the line beside it, at the head of a speech for all of it"
    return _not_understood(plain, where, advice)


def _timing(plain: str, where: Where) -> Note | None:
    """Return what a note says that begins as a timing note does, None for any other."""
    if match := _AGAIN.fullmatch(plain):
        return _again(plain, match["name"], where)
    if part := read_part(plain):
        return Note(part=part) if part.role else None
    if match := _PAUSE.fullmatch(plain):
        return _pause(plain, match, where)
    if match := _SONG.fullmatch(plain):
        song = match["id"].strip() if match["id"] else None
        bar = int(match["bar"]) if match["bar"] else None
        if song or bar is not None:
            return Note(cue=SongCue(slug(song) if song else None, bar))
        return Note(finding=_not_understood(plain, where, "name the song, for example [[song out-and-in, bar 9]]"))
    if match := _CHOICE.fullmatch(plain):
        return _choice(match["what"].casefold(), match["name"].strip(" .\"'“”"))
    if match := _AMOUNT.fullmatch(plain):
        return _length(plain, match, where)
    return None


def _choice(what: str, name: str) -> Note:
    """Return the profile or first picture that a note names; a sentence ("[[with a heavy heart]]") is a remark."""
    if what == "picture":
        bare = re.sub(r"\.(?:png|jpe?g)$", "", name, flags=re.IGNORECASE)
        return Note(still=bare) if _NAME.fullmatch(bare) else Note()
    return Note(profile=name) if name else Note()


def _again(plain: str, name: str, where: Where) -> Note:
    part = read_part(name)
    if part is not None and part.role:
        return Note(part=replace(part, is_repeat=True))
    near = next((nearest(word, ROLE_OF) for word in name.split()), [])
    hint = f"did you mean [[again {near[0]}]]?" if near else "name the part, for example [[again chorus]]"
    return Note(finding=_not_understood(plain, where, hint))


def written_pause(text: str) -> Seconds | None:
    """Return the silence that a parenthetical such as "beat" or "pause 1 s" asks for, None for any other."""
    plain = " ".join(text.split()).strip(" .…").casefold()
    if plain in PAUSES:
        return PAUSES[plain]
    match = _PAUSE.fullmatch(_in_figures(plain))
    amount = _AMOUNT.fullmatch(match["rest"]) if match else None
    return _seconds(amount) if amount else None


def slug(name: str) -> str:
    """Return the name of a song as an id: "Out and In" -> "out-and-in".

    >>> slug("Out and In!")
    'out-and-in'
    """
    return re.sub(r"[^\w]+", "-", name.casefold()).strip("-_")


def _amount(match: re.Match[str]) -> Fraction:
    return exact(match["amount"].replace(",", "."))


def _seconds(match: re.Match[str]) -> Seconds | None:
    unit = _UNITS.get((match["unit"] or "s").casefold())
    if unit not in ("s", "ms") or not _amount(match):
        return None
    return _amount(match) / (1000 if unit == "ms" else 1)


def _pause(plain: str, match: re.Match[str], where: Where) -> Note:
    is_wait = match["kind"].casefold() in ("wait", "hold")
    rest = match["rest"]
    if not rest:
        if match["kind"].casefold() == "wait":
            return Note(wait=read_wait(plain))
        return Note() if is_wait else Note(pause=PAUSES["pause"])  # "[[hold]]" alone is a remark
    amount = _AMOUNT.fullmatch(rest)
    length = _seconds(amount) if amount else None
    if length is not None:
        return Note(NotedLength(length, "s") if is_wait else None, length)
    if is_wait and amount and amount["unit"]:
        return _length(plain, amount, where)  # "[[hold 12 frames]]" beside a picture
    if amount is None and (is_wait or not re.search(r"\d", rest)):
        wait = read_wait(plain)
        return Note(wait=wait)  # "[[wait for an answer]]"; "[[pause here? ask Ada]]" is a remark, no number
    number = re.search(r"\d+(?:[.,]\d+)?", rest)
    example = (
        f"[[{match['kind'].casefold()} {number[0] if number and float(number[0].replace(',', '.')) else '0.8'} s]]"
    )
    return Note(finding=_not_understood(plain, where, f"write a pause in seconds, for example {example}"))


def _length(plain: str, match: re.Match[str], where: Where) -> Note:
    if match["unit"] is None:
        advice = f"add the unit, for example [[{match['amount']} s]] or [[{match['amount']} frames]]"
        return Note(finding=_not_understood(plain, where, advice))
    unit = _UNITS.get(match["unit"].casefold())
    amount = _amount(match)
    if unit is None or not amount:
        number = match["amount"] if amount else "4"
        advice = f"write a length as [[{number} s]], [[{number} frames]] or [[{number} bars]]"
        return Note(finding=_not_understood(plain, where, advice))
    if unit == "ms":
        return Note(length=NotedLength(amount / 1000, "s"))
    return Note(length=NotedLength(amount, unit))


def _near_miss(plain: str, where: Where) -> Finding | None:
    """Return a finding for a note with a number and a word one slip away from a timing word."""
    words = re.findall(r"[a-z]+", plain.casefold())
    if len(plain) > 40 or not words or not re.search(r"\d", plain) or len(words) > 4:
        return None
    meant = nearest(words[0], _WORDS, like=CLOSE)
    if not meant or (words[0] in _WORDS and len(words) > 2):
        return None
    mended = re.sub(re.escape(words[0]), meant[0], plain, count=1, flags=re.IGNORECASE)  # the user's own number stays
    if (number := re.search(r"\d+(?:[.,]\d+)?", plain)) and meant[0] in _UNITS:
        mended = f"{number[0]} {meant[0]}"
    elif not _carries_time(_timing(mended, where)):
        mended = "song out-and-in, bar 9" if meant[0] == "song" else f"pause {number[0] if number else '0.8'} s"
    return _not_understood(plain, where, f"did you mean [[{mended}]]?")


def _near_choice(plain: str, where: Where) -> Finding | None:
    """Return a finding for "[[wiht effects]]": two words, the first one slip away from "with" or "picture"."""
    first, _, name = plain.partition(" ")
    for word in ("with", "picture"):
        if _NAME.fullmatch(name) and one_slip(first.casefold(), word):
            return _not_understood(plain, where, f"did you mean [[{word} {name}]]?")
    return None


def _carries_time(note: Note | None) -> bool:
    return note is not None and (note.length or note.pause or note.cue) is not None


def _not_understood(plain: str, where: Where, advice: str) -> Finding:
    return Finding(FindingCode.NOTE_NOT_UNDERSTOOD, f"[[{plain}]] was not understood: {advice}", {"note": plain}, where)
