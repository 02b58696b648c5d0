"""The hard set: episodes of our own that a printed set breaks on.

Long words, names and titles; two and three at once; a line of ninety syllables; one frame a syllable at every rate;
9/8 and 5/4 with pick-ups and held notes; 120 bars; passages of one frame and of three minutes; six languages,
Cyrillic, Hebrew and emoji; eighty clips; takes that came back and are not what was asked for.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from random import Random

from tests.sheet import plans
from timing.model import Clip, Delivered, Finding, LineKind, Origin, Plan, PlanLine, Song, WordFault, WordMark
from timing.model.basics import Passage
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.metre import Metre
from timing.model.settings import SongSettings

LONG_NAME = "THE VERY OLD AND EXTREMELY SLOW SEA CUCUMBER OF THE NORTHERN BAY"
LONG_TITLE = "Where Does the Sea Go, and Who Was It That Told the Crab, the Limpet and All Their Cousins?"
LONG_SCENE = "EXT. THE FLAT ROCK BETWEEN THE TWO DEEPEST POOLS AT LOW TIDE, SEEN FROM THE GULL’S NEST - EARLY MORNING"
LONG_WORDS = "*Un-in-*ter-*na-tion-al-iz-a-bil-i-ty, *counter-rev-o-*lu-tion-ar-ies and *Schifffahrts-ge-sell-schaft!"
PASSAGE = (
    "A flat rock, wet and shining. The sea has gone a long way out. TANSY the hermit crab peeps out of her shell "
    "beside BRAM, a limpet stuck to the rock; behind them seven pools, one below the other, and in the last of them "
    "the moon, though it is day."
)
RATES = (("12", False), ("23.976", False), ("25", False), ("29.97", True), ("60", False))


def rate_of(text: str, drop: bool = False) -> FrameRate:
    return FrameRate.parse(text, drop)


def long_names(**sheet: object) -> Plan:
    """Eighty clips whose speakers, scenes and directions are long."""
    talk = [(LONG_NAME if n % 3 else "TANSY", text) for n, (_, text) in enumerate(plans.TALK * 14)][:80]
    of = plans.talk_plan(talk, **sheet)
    lines = tuple(replace(ln, scene=LONG_SCENE, directions=("whispered, then shouted", "slowly")) for ln in of.lines)
    clips = tuple(replace(c, scene=LONG_SCENE) for c in of.clips)
    settings = replace(of.settings, title=LONG_TITLE)
    return replace(of, title=LONG_TITLE, lines=lines, clips=clips, settings=settings)


def long_line(rate: FrameRate, **sheet: object) -> Plan:
    """A line of ninety syllables in three parts, and a line of long words."""
    text = " ".join(["*Peb-bles, *foam and *mos-sy *pools."] * 12 + ["*No-bo-dy has *ta-ken"])
    of = plans.line("1", text, 6, (3, 4, 2, 5), "BRAM", rate=rate, gap=2)
    assert len(of.syllables) == 90
    third = len(of.words) // 3
    spans = [(0, third), (third, 2 * third), (2 * third, len(of.words))]
    edges = [0]
    for _, stop in spans[:-1]:
        edges.append((of.words[stop - 1].syllables[-1].end_frame or 0) + 1)
    edges.append(of.end_frame + 8)
    clips = [
        plans.part_clip(
            of,
            rate,
            f"C01.{n + 1}",
            (n + 1, 3),
            span,
            edges[n],
            edges[n + 1],
            -(-(edges[n + 1] - edges[n]) // rate.nominal),
        )
        for n, span in enumerate(spans)
    ]
    words = plans.line("2", LONG_WORDS, edges[-1] + 6, (5, 4, 3), "TANSY", rate=rate)
    return plans.plan([of, words], [*clips, plans.clip(words, rate, ask=14)], rate=rate, **sheet)


def one_frame_each(rate: FrameRate, **sheet: object) -> Plan:
    """Every syllable lasts one frame, with long and short ones side by side."""
    text = "*All of it? At *once? *Strengths and *screeched *Peb-bles, *foam and *mos-sy *pools, *ve-ry *far a-*bove."
    of = plans.line("1", text, 6, (1,), "TANSY", rate=rate)
    then = plans.line("2", "*No-bo-dy has *ta-ken it.", of.end_frame + 20, (1, 9, 1), "BRAM", rate=rate)
    return plans.plan([of, then], [plans.clip(of, rate), plans.clip(then, rate)], rate=rate, **sheet)


def at_once(count: int, **sheet: object) -> Plan:
    """Several speak at the same time, each with long syllables."""
    rate = FrameRate(Fraction(24))
    names = ("TANSY", LONG_NAME, "BRAM", "THE GULL")[:count]
    said = [
        plans.line(str(n + 1), "*Screeched *strengths, *all of it? In the *mor-ning?", 6 + 4 * n, (6, 3), name)
        for n, name in enumerate(names)
    ]
    said = [replace(ln, is_dual=n > 0) for n, ln in enumerate(said)]
    return plans.plan(said, [plans.clip(ln, rate) for ln in said], rate=rate, **sheet)


def counted(metre: Metre, beats: int, bars: int, pickup: int = 0, bpms: tuple[int, ...] = (96,)) -> Song:
    """Return a song of so many felt beats a bar."""
    rate = FrameRate(Fraction(24))
    at = begin = rate.moment_of(48)
    moments, downbeats = [], []
    for n in range(pickup):
        moments.append(begin + n * Fraction(60, bpms[0]))
    at += pickup * Fraction(60, bpms[0])
    for bar in range(bars):
        step = Fraction(60, bpms[min(bar, len(bpms) - 1)])
        downbeats.append(at)
        for _ in range(beats):
            moments.append(at)
            at += step
    return Song("out-and-in", Fraction(bpms[0]), metre, begin, at, tuple(moments), tuple(downbeats), Origin.PINNED)


def sung(of: Song, held: int = 1, **sheet: object) -> Plan:
    """Sing four lines over and over, every syllable on the next beat, the last of a line held; clips overlap a bar."""
    rate = FrameRate(Fraction(24))
    edges = [rate.frame_at(b) for b in of.beats] + [rate.frame_at(of.end)]
    lines: list[PlanLine] = []
    clips: list[Clip] = []
    at = 0
    while True:
        text = plans.VERSE[len(lines) % 4]
        count = text.replace("-", " ").count(" ") + 1
        if at + count + held >= len(edges):
            break
        lengths = [edges[at + k + 1] - edges[at + k] for k in range(count)]
        lengths[-1] = edges[at + count - 1 + held] - edges[at + count - 1] - 2
        who = LONG_NAME if len(lines) % 3 == 1 else "TANSY & BRAM"
        made = plans.line(str(len(lines) + 1), text, edges[at], lengths, who, LineKind.SUNG, rate, of)
        lines.append(replace(made, song=of.id, directions=("softly",)))
        clips.append(plans.clip(lines[-1], rate, 5 if at else 50, 4, 8))
        at += count + held
    planned = plans.plan(lines, clips, (of,), rate, **sheet)
    title = "Out and In and Out Again, the Song That All the Pools of the Rock Know by Heart"
    return replace(planned, settings=replace(planned.settings, songs={of.id: SongSettings(of.id, title=title)}))


def pictures(rate: FrameRate, **sheet: object) -> Plan:
    """A passage of one frame, one of three minutes in parts, one that is long to read; a line between them."""
    first, shown = plans.picture("1", 0, 1, rate)
    said = plans.line("2", "*No-bo-dy has *ta-ken it.", 8, (5, 4), "BRAM", rate=rate)
    at = said.end_frame + 8
    eight = 8 * rate.nominal
    long, _ = plans.picture("3", at, at + 23 * eight, rate)
    parts = []
    for n in range(23):
        _, part = plans.picture("3", at + n * eight, at + (n + 1) * eight, rate)
        parts.append(replace(part, id=f"C03.{n + 1}", part=(n + 1, 23), ask=Fraction(8), line="3"))
    at += 23 * eight
    last, seen = plans.picture("4", at, at + 4 * rate.nominal, rate)
    last, seen = replace(last, text=PASSAGE, scene=LONG_SCENE), replace(seen, text=PASSAGE, scene=LONG_SCENE)
    return plans.plan([first, said, long, last], [shown, plans.clip(said, rate), *parts, seen], rate=rate, **sheet)


def came_back(**sheet: object) -> Plan:
    """Takes of every kind came back; a recording says some words differently and leaves one out."""
    of = plans.talk_plan(**sheet)
    told = {
        "C01": ((), True, "delivered"),
        "C02": ((("wrong-line", "does not hold its line: these are the words of C05"),), False, "delivered"),
        "C03": ((("silent", "its sound is silent"),), False, "accepted"),
        "C04": ((("outdated", "came back before the words of C04 were changed; ask for it again"),), False, "delivered"),
        "C05": ((("not-said", "“arms.” is not said in this take; take another one or ask again"),), True, "delivered"),
        "C06": ((("shift", "is 3.2 frames late against the recording; slip it by that in the cut"),
                 ("too-short", "has 40 frames, 21 fewer than the cut shows of it")), True, "accepted"),
    }  # fmt: skip
    back = tuple(
        Delivered(
            clip, f"clips/{clip} take 2, the one from the second evening with the better light.mp4", 3, state,
            measured, Fraction(1, 4) if measured else None,
            word_marks=(WordMark("5", 4, WordFault.MISSING),) if clip == "C05" else (),
            findings=tuple(Finding(FindingCode(code), message) for code, message in findings),
        )
        for clip, (findings, measured, state) in told.items()
    )  # fmt: skip
    differs = Finding(FindingCode.SAID_DIFFERENTLY, "line 1: “taken” is said differently", {"words": [5]})
    unsaid = Finding(FindingCode.NOT_SAID, "line 1: “sea!” is not said", {"words": [7]})
    first = replace(of.lines[0], origin=Origin.MEASURED, take="recordings/1 tansy.ogg", findings=(differs, unsaid))
    return replace(of, lines=(first, *of.lines[1:]), deliveries=back)


def cued(**sheet: object) -> Plan:
    """Sounds, waits with and without somebody who is seen to wait, and a song of which nobody says who sings it.

    C02 is on screen from frame 0 to 59, a wait for 72 frames follows it, C04 begins at 131; BRAM then waits ten
    seconds in two clips; in C08 a sound lies on its last frame, two more on one and the same frame before it.
    """
    day = FrameRate(Fraction(24))

    def without_words(
        line_id: str, happens: Passage, text: str, start: int, end: int, who: str | None = None
    ) -> PlanLine:
        a, b = day.moment_of(start), day.moment_of(end)
        return PlanLine(
            line_id, LineKind.PICTURE, text, Origin.PINNED, a, b, start, end, b - a, b - a, scene="ROCK", speaker=who,
            passage=happens,
        )  # fmt: skip

    sound, wait = Passage.SOUND, Passage.WAIT
    asks = plans.line("2", "Do you *hear *that?", 6, (9, 12), "TANSY")
    answer = plans.line("5", "*That was a *peb-ble.", 137, (6,), "BRAM")
    last = plans.line("8", "*Count with *me, un-til the *bell says that it is e-*nough!", 425, (6,), "TANSY")
    song = replace(plans.line("12", plans.VERSE[0], last.end_frame + 20, (12,), "", LineKind.SUNG), speaker=None)
    lines = [
        without_words("1", sound, "gulls, far away", 0, 1), asks,
        without_words("3", wait, "wait for the children to answer", 59, 131),
        without_words("4", sound, "PLOP!", 131, 132), answer,
        without_words("6", wait, "waits ten seconds", 175, 415, "BRAM"),
        last, without_words("9", sound, "one pebble falls on another, twice", 440, 441),
        without_words("10", sound, "and the echo of it from the far side of the bay", 440, 441),
        without_words("11", sound, "bell", last.end_frame + 7, last.end_frame + 8), song,
    ]  # fmt: skip
    waiting = plans.picture("6", 175, 295, day)[1]
    waits = [
        replace(waiting, id=f"C06.{n + 1}", part=(n + 1, 2), speaker="BRAM", text="BRAM listens, mouth closed (waits)",
                start=day.moment_of(at), end=day.moment_of(at + 120), start_frame=at, end_frame=at + 120)
        for n, at in enumerate((175, 295))
    ]  # fmt: skip
    clips = [
        plans.clip(asks, day, 6, 59 - asks.end_frame), plans.clip(answer, day, 6, 175 - answer.end_frame), *waits,
        plans.clip(last, day, 10, 8), plans.clip(song, day, 12, 8),
    ]  # fmt: skip
    return plans.plan(lines, clips, **sheet)


BRIEF = (
    "*Bram!", "*Look at *that, it is *all *gone!", "*No-bo-dy has *ta-ken it.", "*All of it? At *once? In the *mor-ning?",
    "The *moon has no *arms.", "*Yes, *Tan-sy, I *do.", "*Bram, *wake *up! *Some-bo-dy has *ta-ken the *sea!",
    "It *fol-lows the *moon, *ve-ry *far a-*bove.", "*Peb-bles, *foam and *mos-sy *pools.",
    "And *then? And *what *then?", "It *comes *back, *twice a *day, *e-ve-ry *day.",
)  # fmt: skip
LONGER = (
    *BRIEF[1:5], *BRIEF[6:9], BRIEF[10],
    "*Peb-bles, *foam and *mos-sy *pools, *ve-ry *far a-*way, I *count them *all a-*gain to-*mor-row.",
    "It *goes *out and it *comes back *in, be-*cause the *moon is *pul-ling at it.",
)  # fmt: skip


def many_short(count: int, said: Sequence[str], frames: Sequence[int], **sheet: object) -> Plan:
    """Lines drawn from ``said`` in any order, clip to clip: short ones share a column, long ones end in another's."""
    chance = Random(4)
    talk = [(chance.choice(("TANSY", "BRAM")), chance.choice(said)) for _ in range(count)]
    return plans.talk_plan(talk, frames=frames, **sheet)


def sung_with_sounds(**sheet: object) -> Plan:
    """A song in which something happens without words: beside each other, before a bar line, too long for its line."""
    of = sung(counted(Metre(9, 8), 3, 12, 2), **sheet)
    happens = (
        (60, 1, Passage.SOUND, "one pebble falls on another"), (61, 1, Passage.SOUND, "gulls"),
        (150, 1, Passage.SOUND, "the echo of it from the far side of the bay, three times, each softer than the last, "
                                "until nothing is heard any more but the sea"),
        (420, 40, Passage.WAIT, "wait for the children to clap"), (440, 1, Passage.SOUND, "PLOP!"),
    )  # fmt: skip
    lines = [
        replace(plans.picture(str(900 + n), at, at + length, of.rate)[0], text=text, passage=kind)
        for n, (at, length, kind, text) in enumerate(happens)
    ]
    return replace(of, lines=(*of.lines, *lines))


WRITTEN = {
    "en_US": "TANSY: Bram, wake up! Somebody has taken the sea!\nBRAM: Море ушло 🌊 далеко. שלום ים, good night!",
    "de_DE": "TANSY: Das Meer ist fort! Rindfleischetikettierungsüberwachungsaufgaben.\nBRAM: Es kommt zurück.",
    "fr_FR": "TANSY: La mer est partie ! Où est-elle allée ?\nBRAM: Elle s’est promenée, anticonstitutionnellement.",
    "es_ES": "TANSY: ¡El mar se ha ido! ¿Adónde?\nBRAM: Vuelve dos veces al día, desafortunadamente despacio.",
    "it_IT": "TANSY: Il mare se n’è andato!\nBRAM: Torna precipitevolissimevolmente, due volte al giorno.",
    "pt_BR": "TANSY: O mar foi embora! Para onde?\nBRAM: Volta duas vezes por dia, não é?",
    "ru_RU": "TANSY: Море ушло! Достопримечательности исчезли.\nBRAM: Оно вернётся.",
    "uk_UA": "TANSY: Море пішло!\nBRAM: Воно повернеться. مرحبا يا بحر",
}


@cache
def _written(language: str, text: str) -> Plan:
    from timing.pipeline import make_plan
    from timing.script.source import open_source

    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "tide.txt"
        script.write_text(text, encoding="utf-8")
        source = open_source(script)
        return make_plan(replace(source, settings=replace(source.settings, language=language)), Path(folder)).plan


def written(language: str, **sheet: object) -> Plan:
    """A script read by the tool, in one of its languages or in one it cannot read."""
    of = _written(language, WRITTEN[language])
    return replace(of, settings=replace(of.settings, sheet=replace(of.settings.sheet, **sheet)))  # type: ignore[arg-type]


def hard_set(**sheet: object) -> Iterator[tuple[str, Plan]]:
    """Yield the plans by name, with the sheet settings given."""
    day = FrameRate(Fraction(24))
    yield "long names, eighty clips", long_names(**sheet)
    yield "ninety syllables", long_line(day, **sheet)
    for name, drop in RATES:
        yield f"one frame each at {name}", one_frame_each(rate_of(name, drop), **sheet)
        yield f"long line at {name}", long_line(rate_of(name, drop), **sheet)
    yield "two at once", at_once(2, **sheet)
    yield "four at once", at_once(4, **sheet)
    yield "9/8, pick-up", sung(counted(Metre(9, 8), 3, 12, 2), **sheet)
    yield "5/4, held", sung(counted(Metre(5, 4), 5, 13, 1, (96, 96, 60, 140)), 4, **sheet)
    yield "120 bars", sung(counted(Metre(4, 4), 4, 120, 0), 2, **sheet)
    yield "pictures", pictures(day, **sheet)
    yield "came back", came_back(**sheet)
    yield "cues", cued(**sheet)
    yield "short lines of every length", many_short(14, (*BRIEF, *LONGER), (5, 6, 5), **sheet)
    yield "short lines, one frame each", many_short(14, (*BRIEF, *LONGER), (1, 3, 8, 1, 9), **sheet)
    yield "sounds in a song", sung_with_sounds(**sheet)
    for language in WRITTEN:
        yield f"written in {language}", written(language, **sheet)


def with_sound(of: Plan) -> Plan:
    """Return the plan with a made-up outline of its sound."""
    return replace(of, loudness=(plans.loudness_of(of),))


def facts_of(of: Plan) -> Mapping[str, str]:
    """Return, by clip id, the whole text that its first sheet must hold."""
    lines = {ln.id: ln for ln in of.lines}
    return {c.id: lines[c.line].text for c in of.clips}
