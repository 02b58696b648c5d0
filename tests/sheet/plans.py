"""Invented plans for the tests of the sheets: our own characters, syllables of chosen length.

A line is written with its syllables: "hap-py" is one word of two. ``*`` before a syllable stresses it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from timing.model import (
    Break,
    Clip,
    Finding,
    LineKind,
    Loudness,
    Origin,
    Plan,
    PlanLine,
    Song,
    TimedSyllable,
    TimedWord,
    Totals,
)  # fmt: skip
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.metre import COMMON_TIME, Metre
from timing.model.settings import EpisodeSettings, SheetSettings

FUNCTION_WORDS = frozenset("a an the and in of it to is has at you".split())
_CONSONANTS = {"m": "M", "b": "B", "p": "P", "f": "F", "v": "V", "s": "S", "t": "T", "l": "L", "n": "N"}
_VOWELS = {"a": "AE", "e": "EH", "i": "IH", "o": "AA", "u": "AH"}


def sounds(text: str) -> tuple[str, ...]:
    """Return rough sounds of a syllable: its labials, and the first vowel letter."""
    found, has_vowel = [], False
    for letter in text.lower():
        if letter in _CONSONANTS:
            found.append(_CONSONANTS[letter])
        elif letter in _VOWELS and not has_vowel:
            found.append(_VOWELS[letter])
            has_vowel = True
    return tuple(found) if has_vowel else ("AH",)


def words(
    text: str, frames: Sequence[int], start: int, rate: FrameRate, song: Song | None = None, gap: int = 0
) -> tuple[TimedWord, ...]:
    """Return the words of ``text``; its syllables last ``frames`` each (the last value repeats)."""
    at, count, found = start, 0, []
    for token in text.split():
        syllables = []
        for piece in token.split("-"):
            stressed, piece = piece.startswith("*"), piece.lstrip("*")
            length = frames[min(count, len(frames) - 1)]
            begins, ends = rate.moment_of(at), rate.moment_of(at + length)
            bar, beat = (song.position_of(begins) if song else None) or (None, None)
            syllables.append(
                TimedSyllable(
                    piece, begins, ends, Origin.ESTIMATED, int(stressed), sounds(piece), "", (), bar, beat,
                    at, at + length,
                )
            )  # fmt: skip
            at += length
            count += 1
        printed = "".join(s.text for s in syllables)
        bare = printed.strip(".,!?“”").lower()
        found.append(TimedWord(printed, bare, tuple(syllables), is_function=bare in FUNCTION_WORDS))
        if printed[-1] in ",.!?":
            at += gap
    return tuple(found)


def line(
    line_id: str, text: str, start: int, frames: Sequence[int] = (5,), speaker: str = "TANSY",
    kind: LineKind = LineKind.SPOKEN, rate: FrameRate | None = None, song: Song | None = None, gap: int = 0,
    findings: tuple[Finding, ...] = (),
) -> PlanLine:  # fmt: skip
    rate = rate or FrameRate(Fraction(24))
    spoken = words(text, frames, start, rate, song, gap)
    first, last = spoken[0].syllables[0], spoken[-1].syllables[-1]
    length = last.end - first.start
    assert first.start_frame is not None
    assert last.end_frame is not None
    return PlanLine(
        line_id, kind, text.replace("-", "").replace("*", ""), Origin.ESTIMATED, first.start, last.end,
        first.start_frame, last.end_frame, length, length, spoken, "ROCK", speaker, findings=findings,
    )  # fmt: skip


def clip(of: PlanLine, rate: FrameRate, head: int = 6, tail: int = 8, ask: int | None = 5) -> Clip:
    speech = of.end - of.start
    return part_clip(of, rate, f"C{of.id:0>2}", (1, 1), (0, len(of.words)), of.start_frame - head,
                     of.end_frame + tail, ask, speech)  # fmt: skip


def part_clip(
    of: PlanLine, rate: FrameRate, clip_id: str, part: tuple[int, int], span: tuple[int, int], start: int, end: int,
    ask: int | None, speech: Fraction | None = None,
) -> Clip:  # fmt: skip
    spoken = of.words[slice(*span)]
    begins, ends = spoken[0].start, spoken[-1].end
    head, tail = begins - rate.moment_of(start), rate.moment_of(end) - ends
    return Clip(
        clip_id, of.kind, of.id, part, " ".join(w.text for w in spoken), "default", ends - begins,
        head + ends - begins + tail, None if ask is None else Fraction(ask), 7, rate.moment_of(start),
        rate.moment_of(end), start, end, begins, ends, head, tail, ends - begins, span, of.speaker, of.scene,
        Break.SENTENCE if part[0] < part[1] else None, (of.id,),
    )  # fmt: skip


def picture(line_id: str, start: int, end: int, rate: FrameRate) -> tuple[PlanLine, Clip]:
    a, b = rate.moment_of(start), rate.moment_of(end)
    of = PlanLine(line_id, LineKind.PICTURE, "A flat rock, wet and shining.", Origin.PINNED, a, b, start, end,
                  b - a, b - a, scene="ROCK")  # fmt: skip
    zero = Fraction(0)
    return of, Clip(f"C{line_id:0>2}", LineKind.PICTURE, line_id, (1, 1), of.text, "default", zero, b - a,
                    Fraction(4), 7, a, b, start, end, a, a, zero, zero, zero,
                    scene="ROCK", lines=(line_id,))  # fmt: skip


def plan(
    lines: Sequence[PlanLine], clips: Sequence[Clip], songs: Sequence[Song] = (), rate: FrameRate | None = None,
    loudness: Sequence[Loudness] = (), title: str = "Where Does the Sea Go?", **sheet: object,
) -> Plan:  # fmt: skip
    rate = rate or FrameRate(Fraction(24))
    frames = max([c.end_frame for c in clips] + [ln.end_frame for ln in lines] + [1])
    settings = EpisodeSettings(code="E01", rate=rate, sheet=replace(SheetSettings(), **sheet))  # type: ignore[arg-type]
    zero = Fraction(0)
    totals = Totals(
        sum((c.speech for c in clips), zero), sum((c.end - c.start for c in clips), zero),
        sum((c.ask or zero for c in clips), zero), sum(((c.ask or zero) * c.takes for c in clips), zero),
    )  # fmt: skip
    return Plan(
        title, "en_US", rate, frames, rate.moment_of(frames), tuple(lines), tuple(clips), tuple(songs), totals,
        settings, "3019a8", tuple(loudness),
    )  # fmt: skip


TALK = (
    ("TANSY", "*Bram, *wake *up! *Some-bo-dy has *ta-ken the *sea!"),
    ("BRAM", "*No-bo-dy has *ta-ken it."),
    ("TANSY", "*All of it? At *once?"),
    ("BRAM", "It *fol-lows the *moon, *ve-ry *far a-*bove, in the *sky."),
    ("TANSY", "The *moon has no *arms."),
    ("BRAM", "*Peb-bles, *foam and *mos-sy *pools."),
)


def talk_plan(
    talk: Sequence[tuple[str, str]] = TALK, ids: Sequence[str] = (), rate: FrameRate | None = None,
    frames: Sequence[int] = (5, 4, 6, 3, 5), **sheet: object,
) -> Plan:  # fmt: skip
    """Return a plan of speeches that follow each other, clip to clip."""
    rate = rate or FrameRate(Fraction(24))
    at, lines, clips = 0, [], []
    for n, (speaker, text) in enumerate(talk):
        line_id = ids[n] if ids else str(n + 1)
        count = text.replace("-", " ").count(" ") + 1
        of = line(line_id, text, at + 6, [*frames][:count], speaker, rate=rate, gap=4)
        made = clip(of, rate)
        lines.append(of)
        clips.append(made)
        at = made.end_frame
    return plan(lines, clips, rate=rate, **sheet)


def song(
    metre: Metre = COMMON_TIME, bars: int = 8, bpms: Sequence[int] = (96,), pickup: int = 0, start: int = 48,
    rate: FrameRate | None = None,
) -> Song:  # fmt: skip
    """Return a song whose tempo changes, bar by bar, through ``bpms`` (the last one repeats)."""
    rate = rate or FrameRate(Fraction(24))
    at = begin = rate.moment_of(start)
    beats, downbeats = [], []
    step = Fraction(60, bpms[0])
    for _ in range(pickup):
        beats.append(at)
        at += step
    for bar in range(bars):
        step = Fraction(60, bpms[min(bar, len(bpms) - 1)])
        downbeats.append(at)
        for _ in range(metre[0]):
            beats.append(at)
            at += step
    return Song("out-and-in", Fraction(bpms[0]), metre, begin, at, tuple(beats), tuple(downbeats), Origin.PINNED)


VERSE = (
    "*Out and *in, the *sea goes",
    "*round the *rock and *back",
    "*out and *in, the *moon knows",
    "*all the *way back",
)


def song_plan(of: Song, rate: FrameRate | None = None, **sheet: object) -> Plan:
    """Return a plan that sings ``VERSE``, a line every two bars, each syllable on the next beat."""
    rate = rate or FrameRate(Fraction(24))
    lines, clips = [], []
    edges = [rate.frame_at(b) for b in of.beats] + [rate.frame_at(of.end)]
    at = 0
    for n, text in enumerate(VERSE):
        count = text.replace("-", " ").count(" ") + 1
        if at + count >= len(edges):
            break
        lengths = [edges[at + k + 1] - edges[at + k] for k in range(count)]
        lengths[-1] -= 2
        sung = line(str(n + 1), text, edges[at], lengths, "BOTH", LineKind.SUNG, rate, of)
        lines.append(replace(sung, song=of.id))
        clips.append(clip(lines[-1], rate, 0, 0, 6))
        at += count + 1
    return plan(lines, clips, (of,), rate, **sheet)


def split_plan(**sheet: object) -> Plan:
    """Return a plan with one line far too long for one generation, in two parts, after a picture passage."""
    rate = FrameRate(Fraction(24))
    seen, shown = picture("1", 0, 96, rate)
    text = "It *goes *out and it *comes back *in, *twice a *day, *e-ve-ry *day, " * 2 + "from the *sky."
    finding = Finding(
        FindingCode.TOO_LONG, "9.9 s with handles: too long",
        {"seconds": 9.9, "limit_s": 8.0, "syllables_to_cut": 9, "break_after": ["every day,"],
         "parts_s": [4.6, 5.8], "asks_s": [5.0, 6.0]},
    )  # fmt: skip
    of = line("2", text, 102, (5, 4, 6, 7), "BRAM", gap=6, findings=(finding,))
    half = len(of.words) // 2
    middle = (of.words[half - 1].syllables[-1].end_frame or 0) + 3
    clips = [
        part_clip(of, rate, "C02.1", (1, 2), (0, half), 96, middle, 5),
        part_clip(of, rate, "C02.2", (2, 2), (half, len(of.words)), middle, of.end_frame + 8, 6),
    ]
    return plan([seen, of], [shown, *clips], rate=rate, **sheet)


def together_plan(**sheet: object) -> Plan:
    """Return a plan in which two speakers talk at the same time."""
    rate = FrameRate(Fraction(24))
    one = line("1", "*All of it? At *once? In the *mor-ning?", 6, (6, 5), "TANSY")
    two = replace(line("2", "*No-bo-dy has *ta-ken the *sea.", 14, (5, 7), "BRAM"), is_dual=True)
    return plan([one, two], [clip(one, rate), clip(two, rate)], rate=rate, **sheet)


def loudness_of(of: Plan) -> Loudness:
    """Return a made-up outline over the whole episode: waves of a second in speech, silent between lines."""
    spoken = [(ln.start_frame * 4, ln.end_frame * 4) for ln in of.lines if ln.words]
    values = [0.0] * (of.frames * 4)
    for a, b in spoken:
        for n in range(a, b):
            values[n] = 0.2 + 0.6 * abs((n - a) % 24 - 12) / 12
    return Loudness(Fraction(0), 1 / (of.rate.fps * 4), tuple(values))
