"""A cut list in the CMX 3600 style, in the dialects that real editors write.

In: the text of the list and the rates it may be in; the format itself names none. Out: its events. One event a line:
number, reel, tracks (V, A, AA, AA/V, B for both, NONE, with numbers), C, D or W with a length in frames, and four time
codes, source in and out, record in and out, OUT excluded. ``FCM`` lines say how codes with a colon count, a semicolon
(or comma or point) before the frames says drop-frame itself. ``*`` lines are comments, some of them with names.
What can be read in two ways is said or refused with its line, never guessed: an event line that is not understood, a
code that does not exist, split edits, keys. A speed change (M2) leaves its event without words, and is a finding.

Sources: SMPTE ST 258 in scope; the sample listing of an edit controller's manual; the dialects as the sample lists of
the OpenTimelineIO project's adapter show them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise

from timing.cut.listed import MOST_EVENTS, CutList, Listed
from timing.model import Finding, Where
from timing.model.clock import FrameRate, Seconds
from timing.model.findings import FindingCode
from timing.plain.errors import InputError
from timing.plain.figures import counted

LONGEST_LINE = 1000
PRE_ROLL = 60  # seconds; an edit that begins within a minute of a whole hour begins at that hour (our own choice)
BLACK = "BL"
LEAST_CODES = 12  # different time codes that tell a rate by the frames that none of them has (our own choice)
_CODE = r"(\d{1,2}[:;.,]\d{1,2}[:;.,]\d{1,2}[:;.,]\d{1,3})"
# Bounded, so that no line can be matched in very many ways.
_TRACK = r"(?:NONE|BOTH|B|(?:V\d{0,2}|AA|A\d{0,2})(?:[/,+&]?(?:V\d{0,2}|AA|A\d{0,2})){0,8})"
_EVENT = re.compile(
    rf"\s*(?P<number>\d{{1,6}}[A-Z]?)\s+(?:(?P<reel>\S.{{0,200}}?)\s+)?(?P<tracks>{_TRACK})\s+"
    rf"(?P<cut>C|D|W\s?\d{{0,3}}|K\s*[BO]?)(?:\s+(?P<length>\d{{1,4}}))?\s+{_CODE}\s+{_CODE}\s+{_CODE}\s+{_CODE}\s*",
    re.IGNORECASE,
)
_LIKE_EVENT = re.compile(rf"\s*\d{{1,6}}[A-Z]?\s+\S.*(?:\s(?:C|D|W\d{{1,3}}|K)\s|{_CODE})", re.IGNORECASE)
_NUMBERED = re.compile(r"\d{3,6}[A-Z]?(?:\s.*)?", re.IGNORECASE)
_NO_EVENTS = ("*", ">", "M2", "TITLE")
_SPEED = re.compile(rf"M2\s+(?P<reel>.*?)\s+(?P<fps>-?\d{{1,6}}(?:\.\d{{1,4}})?)(?:\s+{_CODE})?\s*", re.IGNORECASE)
_NAMED = re.compile(
    r"\*?\s*(?P<key>(?:FROM|TO|KEY)\s+(?:CLIP\s+NAME|CLIP|FILE)|SOURCE\s+FILE|CLIP\s+NAME)(?:\s+IS)?\s*:\s*(?P<name>.*)",
    re.IGNORECASE,
)
_RATE = re.compile(r"\*?\s*RATE\s*:\s*(?P<rate>\d{1,3}(?:\.\d{1,3})?)\s+FRAMES\s+A\s+SECOND", re.IGNORECASE)
_STANDARD = ("24", "25", "30", "48", "50", "60", "120")


@dataclass
class _Event:
    """One event line and what the lines under it say."""

    line_number: int
    number: str
    reel: str
    tracks: str
    cut: str
    frames: int | None
    codes: tuple[str, ...]
    is_drop: bool  # what a colon means here
    names: list[tuple[str, str]] = field(default_factory=list)  # key, name
    fps: Fraction | None = None
    at: tuple[Seconds, ...] = ()

    @property
    def place(self) -> str:
        return f"event {self.number}"

    @property
    def is_black(self) -> bool:
        return self.reel.upper() in (BLACK, "BLACK", "BLK")


def read_edit_list(text: str, path: str, rates: Sequence[FrameRate]) -> CutList:
    """Return the cut; ``rates`` are the episode's own and its delivery rate, the likeliest first.

    Raises InputError with the line for what cannot be read.
    """
    events, said = _parsed(text, path)
    if not events:
        raise InputError("holds no event that can be read; export it as a CMX 3600 edit decision list", path)
    rate, findings = _rate_of(events, said, rates, path)
    for event in events:
        event.at = tuple(_moment(code, event, rate, path) for code in event.codes)
    zero = _beginning([event.at[2] for event in events], rate)
    found: list[Listed] = []
    for n, event in enumerate(events):
        same = [e for e in events[max(0, n - 1) : n] if e.number == event.number]
        made, remarks = _listed(event, same[0] if same else None, found, zero, rate, path)
        findings += remarks
        found += made
    shown = [event for event in found if event.end > event.start]
    findings += _overlaps(events, rate, path)
    length = max((event.end for event in shown), default=Fraction(0))
    length = max([length, *(event.at[3] - zero for event in events)])
    return CutList(path, rate, tuple(e for e in shown if e.name != BLACK), length, tuple(findings))


def _parsed(text: str, path: str) -> tuple[list[_Event], str | None]:
    """Return the event lines with what belongs to each, and the rate that a comment names."""
    events: list[_Event] = []
    is_drop, said = False, None
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text), 1):
        raw = line[:LONGEST_LINE].strip()
        plain = " ".join(raw.split())
        if match := _EVENT.fullmatch(plain):
            if len(events) == MOST_EVENTS:
                raise InputError(f"has more than {MOST_EVENTS:,} events", path, number)
            length = match["length"]
            events.append(
                _Event(
                    number, match["number"], (match["reel"] or "").strip(), match["tracks"].upper(),
                    match["cut"].upper().replace(" ", ""), None if length is None else int(length),
                    match.groups()[-4:], is_drop,
                )
            )  # fmt: skip
        elif _LIKE_EVENT.match(plain):
            raise InputError(
                f"this event is not understood: “{plain[:80]}”; it needs number, reel, track, C or D or W, and four "
                "time codes",
                path,
                number,
            )
        elif _is_broken(plain) and not _NAMED.fullmatch(raw):
            raise InputError(
                f"this line looks like an event and is none: “{plain[:80]}”; an event has number, reel, track, C or D "
                "or W, and four time codes; begin a remark with *",
                path,
                number,
            )
        elif plain.upper().startswith("FCM"):
            is_drop = "NON" not in plain.upper() and "DROP" in plain.upper()
        elif plain.upper().startswith("SPLIT"):
            raise InputError(
                "a split edit (SPLIT) moves sound against picture and is not read; export one event for each track",
                path,
                number,
            )
        elif match := _RATE.fullmatch(plain):
            said = match["rate"]
        elif events and (match := _SPEED.fullmatch(plain)):
            reel = match["reel"].strip().upper()
            near = [e for e in events[-2:] if e.reel.upper() == reel and e.number == events[-1].number]
            (near or events)[-1].fps = Fraction(match["fps"])
        elif events and plain.upper().startswith("M2"):
            raise InputError(f"this speed change is not understood: “{plain[:80]}”", path, number)
        elif events and (match := _NAMED.fullmatch(raw)) and match["name"].strip():
            key = " ".join(match["key"].upper().split())
            events[-1].names.append((key, match["name"].strip()))
    return events, said


def _is_broken(plain: str) -> bool:
    """True for a line that begins with a number as events do, or has time codes as they do, and is no event."""
    if plain.upper().startswith(_NO_EVENTS):
        return False
    return _NUMBERED.fullmatch(plain) is not None or len(re.findall(_CODE, plain)) > 1


# --- rate and time code ------------------------------------------------------------------------------------


def _rate_of(
    events: Sequence[_Event], said: str | None, rates: Sequence[FrameRate], path: str
) -> tuple[FrameRate, list[Finding]]:
    """Return the rate that the codes count in: the one a comment names, else the first that can hold them."""
    highest = max(int(re.split("[:;.,]", code)[3]) for event in events for code in event.codes)
    is_drop = any(event.is_drop or _is_marked(code) for event in events for code in event.codes)
    if said is not None:
        try:
            rate = FrameRate.parse(said)
            named = FrameRate(rate.fps, is_drop and rate.nominal in (30, 60) and rate.fps.denominator != 1)
        except ValueError as problem:
            raise InputError(f"its rate cannot be used: {problem}", path) from None
        if highest >= named.nominal:
            raise InputError(f"says {named} frames a second, and its time code has frame {highest}", path)
        return named, _other_rate(named, rates, path, "says so itself")
    choice = [*rates, *(FrameRate.parse(name) for name in _STANDARD)]
    is_marked = any(_is_marked(code) for event in events for code in event.codes)
    if is_drop and not is_marked and _never_drops(events, highest, rates):
        own = rates[0]
        message = f"its header says DROP FRAME, which {own} frames a second do not have; it is read at {own}"
        return own, [Finding(FindingCode.CUT_RATE, message, {"rate": own.name, "episode": own.name}, Where(path))]
    if is_drop:
        choice = [r for r in rates if r.nominal in (30, 60) and r.fps.denominator != 1]
        choice = [FrameRate(r.fps, True) for r in choice] + [FrameRate.parse(n, True) for n in ("29.97", "59.94")]
    fitting = [rate for rate in choice if rate.nominal > highest]
    if not fitting:
        raise InputError(f"its time code has frame {highest}, and no rate that can be read has so many", path)
    why = "has drop-frame time code" if is_drop else f"has frames up to {highest}"
    return fitting[0], _other_rate(fitting[0], rates, path, why)


def _never_drops(events: Sequence[_Event], highest: int, rates: Sequence[FrameRate]) -> bool:
    """True where a header alone says drop-frame, and the codes are those of an episode whose rate has none.

    Of codes at 30 frames a second one in five (24) or six (25) has a frame that the episode's rate has not.
    """
    codes = {code for event in events for code in event.codes}
    return all(r.nominal < 30 for r in rates) and highest < rates[0].nominal and len(codes) >= LEAST_CODES


def _other_rate(rate: FrameRate, rates: Sequence[FrameRate], path: str, why: str) -> list[Finding]:
    if any(rate.fps == own.fps for own in rates):
        return []
    message = f"is read at {rate} frames a second, because it {why}; the episode has {rates[0]}"
    facts = {"rate": rate.name, "episode": rates[0].name}
    return [Finding(FindingCode.CUT_RATE, message, facts, Where(path))]


def _moment(code: str, event: _Event, rate: FrameRate, path: str) -> Seconds:
    """Return the moment that a code names; its own mark before the frames counts more than the FCM line."""
    parts = re.split("[:;.,]", code)
    can_drop = rate.fps in (Fraction(30000, 1001), Fraction(60000, 1001))
    counted = FrameRate(rate.fps, can_drop and (_is_marked(code) or event.is_drop))
    hours, minutes, seconds, frames = (int(part) for part in parts)
    try:
        plain = f"{hours:02d}:{minutes:02d}:{seconds:02d}:{frames:02d}"
        return counted.moment_of(counted.frame_of(plain))
    except ValueError as problem:
        said = str(problem).replace(plain, code)
        raise InputError(f"{event.place}: {said}", path, event.line_number) from None


def _is_marked(code: str) -> bool:
    """True for a code that says itself that it is drop-frame; points all through are a way to write any code."""
    marks = re.sub(r"\d", "", code)
    return marks[-1] in ";," or (marks[-1] == "." and marks != "...")


def _beginning(starts: Sequence[Seconds], rate: FrameRate) -> Seconds:
    """Return where the edit begins on its own clock: the whole hour before the first event, if that is near."""
    first = min(starts)
    hour = rate.moment_of(rate.frame_of("01:00:00:00"))
    begins = first // hour * hour
    return begins if first - begins <= PRE_ROLL else first


# --- events ------------------------------------------------------------------------------------------------


def _listed(
    event: _Event, leg: _Event | None, before: list[Listed], zero: Seconds, rate: FrameRate, path: str
) -> tuple[list[Listed], list[Finding]]:
    """Return what one event line shows; a dissolve or wipe goes on showing what went out, for its length."""
    if event.cut.startswith("K") and event.cut.endswith("O"):
        raise InputError(f"{event.place}: a key is not read; export the picture as one track", path, event.line_number)
    source_in, source_out, start, end = event.at
    where = Where(path, event.line_number)
    if end < start or source_out < source_in:
        raise InputError(f"{event.place} ends before it begins", path, event.line_number)
    names = _names(event, leg, before[-1].names if before else ())
    speed, found = _speed(event, rate, names, where)
    frame = 1 / rate.fps
    if speed == 1 and abs((source_out - source_in) - (end - start)) > frame / 2:
        off = rate.frame_at(source_out - source_in) - rate.frame_at(end - start)
        message = (
            f"{event.place}: its source is {counted(abs(off), 'frame')} {'longer' if off > 0 else 'shorter'} than its "
            "place in the cut; its place counts"
        )
        found.append(Finding(FindingCode.CUT_LENGTHS, message, {"event": event.number, "frames": off}, where))
    is_seen, is_heard, layer = _tracks(event)
    one = Listed(
        names, start - zero, end - zero, source_in, event.place, is_seen, is_heard, layer, speed
    )  # fmt: skip
    made = [replace(one, names=(BLACK,)) if event.is_black else one]
    if event.cut[0] in "DW" and event.frames:
        length = min(Fraction(event.frames) / rate.fps, end - start)
        if leg is not None and leg.at[3] <= leg.at[2] and not leg.is_black:
            outgoing = Listed(
                _names(leg, None, ()), start - zero, start - zero + length, leg.at[0], leg.place, is_seen, is_heard,
                layer,
            )  # fmt: skip
            made.append(outgoing)
        elif leg is None and before and before[-1].end == start - zero and before[-1].name != BLACK:
            before[-1] = replace(before[-1], end=before[-1].end + length)
    return made, found


def _names(event: _Event, leg: _Event | None, before: tuple[str, ...]) -> tuple[str, ...]:
    """Return what an event's source is called, the surest first.

    Under a transition FROM names what goes out and TO what comes in; what goes out has the names of its own line.
    """
    by_key: dict[str, list[str]] = {}
    for key, name in event.names:
        by_key.setdefault(key, []).append(name)
    is_transition = event.cut[0] in "DW"
    first = [key for key in by_key if key.startswith("TO ")] if is_transition else []
    others = [key for key in ("SOURCE FILE", "FROM FILE", "FROM CLIP", "FROM CLIP NAME", "CLIP NAME") if key in by_key]
    if is_transition:
        outgoing = bool(first) or (leg is not None and not leg.is_black)
        outgoing = outgoing or any(name in before for key in others for name in by_key[key])
        others = [] if outgoing else others
        if leg is not None and not leg.is_black and outgoing:
            leg.names += [pair for pair in event.names if pair[0].startswith("FROM") and pair not in leg.names]
    found = [name for key in (*first, *others) for name in by_key[key]]
    reel = event.reel if event.reel.upper() not in ("AX", "") else ""
    return tuple(dict.fromkeys(name for name in (*found, reel) if name)) or (event.reel or event.place,)


def _tracks(event: _Event) -> tuple[bool, bool, int]:
    """Return whether an event is seen, whether it is heard, and on which picture track it lies."""
    tracks = event.tracks
    if tracks in ("B", "BOTH"):
        return True, True, 0
    if tracks == "NONE":
        return False, False, 0
    video = re.search(r"V(\d*)", tracks)
    layer = int(video[1] or 1) - 1 if video else 0
    return video is not None, "A" in tracks, max(0, layer) + (event.cut == "K")


def _speed(event: _Event, rate: FrameRate, names: tuple[str, ...], where: Where) -> tuple[Fraction, list[Finding]]:
    if event.fps is None:
        return Fraction(1), []
    speed = event.fps / rate.fps
    if abs(speed - 1) <= Fraction(1, 200):  # M2 names a tenth of a frame: 24.0 for 23.976
        return Fraction(1), []
    how = (
        "holds one frame"
        if speed == 0
        else f"runs at {float(event.fps):g} frames a second ({float(100 * speed):.0f} %)"
    )
    message = f"{event.place}, {names[0]}: {how}; speed changes are not followed, so its words have no place in the cut"
    facts = {"event": event.number, "name": names[0], "speed": round(float(speed), 4)}
    return speed, [Finding(FindingCode.CUT_SPEED, message, facts, where)]


def _overlaps(events: Sequence[_Event], rate: FrameRate, path: str) -> list[Finding]:
    """Return a finding for each event that begins before the one ahead of it on the same track has ended."""
    found = []
    for tracks in sorted({event.tracks for event in events}):
        own = sorted((e for e in events if e.tracks == tracks and e.at[2] < e.at[3]), key=lambda e: (e.at[2], e.at[3]))
        for a, b in pairwise(own):
            if b.at[2] < a.at[3]:
                frames = rate.frame_at(a.at[3] - b.at[2])
                message = (
                    f"{b.place} begins {counted(frames, 'frame')} before {a.place} ends on the same track; "
                    "both are followed"
                )
                facts = {"event": b.number, "frames": frames}
                found.append(Finding(FindingCode.CUT_LENGTHS, message, facts, Where(path, b.line_number)))
    return found
