"""Plans drawn by lot: names, titles, texts, lengths, songs, takes and settings of every size between short and long.

What fits beside what, and where it stops to fit, differs from plan to plan: a limit that is a little off moves
something on one of their pages. The same number always draws the same plan.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

from tests.sheet import plans
from tests.sheet.hard_set import counted, rate_of
from timing.model import Clip, Delivered, Finding, LineKind, Origin, Plan, PlanLine, Song, WordFault, WordMark
from timing.model.basics import Passage
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.metre import Metre
from timing.model.settings import Budget, ClipProfile, SongSettings
from timing.sheet.document import PARTS, render

COUNT = 36
RATES = (("24", False), ("25", False), ("12", False), ("23.976", False), ("30", False), ("29.97", True), ("60", False))
WORDS = (
    "*peb-bles *foam a *sea-*cu-cum-ber *goes the *moon *far *No-bo-dy has *ta-ken it *strengths I *be-gin-ning up "
    "*mos-sy *pools of *wa-ter *an-i-mals? *twice *day, *and *out *in-side *round *screeched *o-ver *ve-ry"
).split()
METRES = ((Metre(4, 4), 4), (Metre(3, 4), 3), (Metre(6, 8), 2), (Metre(9, 8), 3), (Metre(5, 4), 5), (Metre(2, 4), 2))
TOLD = (
    (FindingCode.WRONG_LINE, "does not hold its line: these are the words of C05"),
    (FindingCode.SILENT, "its sound is silent"),
    (FindingCode.TOO_SHORT, "has 40 frames, 21 fewer than the cut shows of it"),
    (FindingCode.OUTDATED, "came back before the words of its line were changed; ask for it again"),
)


def lot(number: int) -> tuple[Plan, Mapping[str, Any] | None]:
    """Return a plan and the register of the set it was printed in before, in an earlier form; every third has one."""
    now, earlier = plan_by_lot(number)
    return now, None if number % 3 else render(earlier).register


def plan_by_lot(number: int) -> tuple[Plan, Plan]:
    """Return a plan and what it was when its set was printed before."""
    die = Random(number)
    rate = rate_of(*die.choice(RATES))
    names = [_name(die) for _ in range(die.randint(1, 4))]
    scenes = [_some(die, die.randint(1, 14)).upper() for _ in range(2)]
    named = dict.fromkeys(["default", *(_some(die, 1).strip("?,") for _ in range(die.randint(0, 2)))])
    profiles = {name: _profile(die, name) for name in named}
    lines: list[PlanLine] = []
    clips: list[Clip] = []
    at = die.choice((0, 0, 1, 30))
    song: Song | None = None
    for _ in range(die.randint(1, 7)):
        kind = die.choices(("talk", "split", "picture", "sound", "wait", "song"), (9, 2, 2, 1, 1, 0 if song else 2))[0]
        if kind == "song":
            song, own = _song(die, rate, at, len(lines), names)
        else:
            own = _ONE[kind](die, rate, at, str(len(lines) + 1), names)
        profile, scene = die.choice(list(profiles)), die.choice(scenes)
        for line, made in own:
            lines.append(replace(line, scene=scene, directions=_directions(die) or line.directions))
            clips += [replace(c, scene=scene, profile=profile, takes=profiles[profile].takes) for c in made]
        at = max(last for line, made in own for last in (line.end_frame, *(c.end_frame for c in made))) + die.choice(
            (0, 0, 0, 1, 7, 40)
        )
    if not clips:
        line, made = _talk(die, rate, at, str(len(lines) + 1), names)[0]
        lines, clips = [*lines, line], [*clips, *made]
    sheet = _sheet(die)
    planned = plans.plan(lines, clips, (song,) if song else (), rate, **sheet)
    title = _some(die, die.randint(1, 18))
    songs = {song.id: SongSettings(song.id, title=_some(die, die.randint(1, 16)))} if song else {}
    settings = replace(
        planned.settings, code="E" * die.randint(0, 12) or None, profiles=profiles, songs=songs, title=title,
        budget=Budget(Fraction(900), Fraction(40), "EUR") if die.random() < 0.4 else Budget(),
    )  # fmt: skip
    planned = replace(planned, title=title, settings=settings, deliveries=_deliveries(die, clips))
    if die.random() < 0.5:
        planned = replace(planned, loudness=(plans.loudness_of(planned),))
    return planned, _earlier(die, planned)


def _some(die: Random, count: int) -> str:
    words = [die.choice(WORDS).replace("*", "").replace("-", "") for _ in range(count)]
    return " ".join(words)[: die.choice((1000, 1000, 20, 45))].strip()


def _name(die: Random) -> str:
    return "THE VERY OLD AND SLOW SEA CUCUMBER OF THE BAY"[
        -die.choice((3, 4, 5, 7, 9, 12, 16, 20, 26, 33, 41)) :
    ].strip()


def _directions(die: Random) -> tuple[str, ...]:
    return tuple(_some(die, die.randint(1, 6)) for _ in range(die.choice((0, 0, 1, 2))))


def _profile(die: Random, name: str) -> ClipProfile:
    takes, minutes = die.choice((1, 3, 7)), die.choice((None, Fraction(3, 2)))
    if die.random() < 0.2:
        return ClipProfile(name, takes=takes, unlimited=True, minutes_each=minutes)
    cost, seconds = die.choice((None, Fraction(3, 10), Fraction(1, 100))), die.choice((None, Fraction(600)))
    return ClipProfile(name, takes=takes, cost_per_s=cost, minutes_each=minutes, seconds_a_month=seconds)


_Own = list[tuple[PlanLine, list[Clip]]]


def _line(die: Random, rate: FrameRate, at: int, name: str, names: list[str], count: int) -> PlanLine:
    frames = [die.choice((1, 2, 3, 4, 5, 6, 9, 14)) * max(1, rate.nominal // 24) for _ in range(12)]
    text = " ".join(die.choice(WORDS) for _ in range(count))
    found = plans.line(name, text, at, frames, die.choice(names), rate=rate, gap=die.choice((0, 4)))
    origin = die.choice((Origin.ESTIMATED, Origin.ESTIMATED, Origin.MEASURED))
    take = f"recordings/{name} {_some(die, 2)}.ogg" if origin is Origin.MEASURED else None
    marks = (Finding(FindingCode.NOT_SAID, f"line {name}: “{found.words[0].text}” is not said", {"words": [0]}),)
    return replace(found, origin=origin, take=take, findings=marks if take and die.random() < 0.5 else ())


def _talk(die: Random, rate: FrameRate, at: int, name: str, names: list[str]) -> _Own:
    head, tail = die.choice(((6, 8), (0, 0), (6, 1), (1, 20)))
    line = _line(die, rate, at + head, name, names, die.choice((1, 2, 3, 5, 8, 13, 21)))
    if die.random() < 0.2:
        return [(line, [])]
    return [(line, [_asked(die, plans.clip(line, rate, head, tail))])]


def _asked(die: Random, clip: Clip) -> Clip:
    """Ask for a length that holds the clip: the next one, a longer one, or none that is to be had."""
    ask = next((Fraction(n) for n in (die.choice((1, 2, 3, 5)), 5, 8, 15) if n >= clip.need), None)
    return replace(clip, ask=ask)


def _split(die: Random, rate: FrameRate, at: int, name: str, names: list[str]) -> _Own:
    line = _line(die, rate, at + 6, name, names, die.randint(9, 30))
    parts = die.choice((2, 3))
    edges = [len(line.words) * n // parts for n in range(parts + 1)]
    frames = [at, *((line.words[e - 1].syllables[-1].end_frame or 0) + 1 for e in edges[1:-1]), line.end_frame + 8]
    made = [
        plans.part_clip(line, rate, f"C{name:0>2}.{n + 1}", (n + 1, parts), (edges[n], edges[n + 1]), frames[n],
                        frames[n + 1], None)
        for n in range(parts)
    ]  # fmt: skip
    return [(line, [_asked(die, one) for one in made])]


def _picture(die: Random, rate: FrameRate, at: int, name: str, names: list[str]) -> _Own:
    line, made = plans.picture(name, at, at + die.choice((1, 20, 50, 96, 400)), rate)
    text = _some(die, die.choice((1, 4, 12, 40)))
    return [(replace(line, text=text), [replace(made, text=text)])]


def _sound(die: Random, rate: FrameRate, at: int, name: str, names: list[str]) -> _Own:
    return [(_without_words(name, Passage.SOUND, _some(die, die.randint(1, 9)), at, at + 1, rate), [])]


def _wait(die: Random, rate: FrameRate, at: int, name: str, names: list[str]) -> _Own:
    return [
        (_without_words(name, Passage.WAIT, _some(die, die.randint(1, 5)), at, at + die.choice((24, 70)), rate), [])
    ]


def _without_words(name: str, passage: Passage, text: str, start: int, end: int, rate: FrameRate) -> PlanLine:
    line, _ = plans.picture(name, start, end, rate)
    return replace(line, text=text, passage=passage)


_ONE = {"talk": _talk, "split": _split, "picture": _picture, "sound": _sound, "wait": _wait}


def _song(die: Random, rate: FrameRate, at: int, count: int, names: list[str]) -> tuple[Song, _Own]:
    metre, beats = die.choice(METRES)
    of = counted(metre, beats, die.choice((4, 5, 9, 14)), die.choice((0, 1, beats - 1)), die.choice(((96,), (60, 132))))
    moved = rate.moment_of(at) - of.start
    of = replace(
        of, start=of.start + moved, end=of.end + moved, beats=tuple(b + moved for b in of.beats),
        downbeats=tuple(b + moved for b in of.downbeats),
    )  # fmt: skip
    edges = [rate.frame_at(b) for b in of.beats] + [rate.frame_at(of.end)]
    own: _Own = []
    first, held = 0, die.choice((1, 1, 3))
    while True:
        text = plans.VERSE[len(own) % 4]
        syllables = text.replace("-", " ").count(" ") + 1
        if own and first + syllables + held >= len(edges):
            break
        lengths = [edges[first + k + 1] - edges[first + k] for k in range(syllables)]
        lengths[-1] = max(1, edges[first + syllables - 1 + held] - edges[first + syllables - 1] - 2)
        name = str(count + len(own) + 1)
        made = plans.line(name, text, edges[first], lengths, die.choice(names), LineKind.SUNG, rate, of)
        made = replace(made, song=of.id)
        own.append((made, [_asked(die, plans.clip(made, rate, min(first, 5), 4))]))
        first += syllables + held
    return of, own


def _sheet(die: Random) -> dict[str, object]:
    parts = tuple(PARTS) if die.random() < 0.7 else ("clips", "frames", "bars")
    return {
        "paper": die.choice(("A4", "Letter")), "layout": die.choice(("page", "page", "wide")), "parts": parts,
        "every_frame": die.random() < 0.2,
    }  # fmt: skip


def _deliveries(die: Random, clips: list[Clip]) -> tuple[Delivered, ...]:
    found = []
    for clip in clips if die.random() < 0.5 else ():
        if die.random() < 0.5:
            continue
        told = tuple(Finding(code, text) for code, text in die.sample(TOLD, die.choice((0, 0, 1, 2))))
        measured = die.random() < 0.5
        marks = (WordMark(clip.line, clip.words[0], WordFault.MISSING),) if measured and clip.words[1] else ()
        found.append(
            Delivered(
                clip.id, f"clips/{clip.id} {_some(die, die.randint(1, 9))}.mp4", die.choice((1, 2, 7)),
                die.choice(("delivered", "accepted")), measured, Fraction(1, 4) if measured else None,
                word_marks=marks, findings=told,
            )
        )  # fmt: skip
    return tuple(found)


def _earlier(die: Random, plan: Plan) -> Plan:
    """Return the plan before somebody said, dropped or timed something anew."""
    lines, clips = list(plan.lines), list(plan.clips)
    if len(clips) > 2 and die.random() < 0.5:
        del clips[die.randrange(len(clips))]
    if die.random() < 0.5:
        n = die.randrange(len(lines))
        lines[n] = replace(lines[n], directions=("in a whisper",))
    if clips and die.random() < 0.5:
        n = die.randrange(len(clips))
        clips[n] = replace(clips[n], ask=Fraction(12))
    return replace(plan, lines=tuple(lines), clips=tuple(clips), deliveries=())
