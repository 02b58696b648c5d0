"""Small plans made by hand, so that the exports are tested without any other stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from timing.model import (
    Break,
    Clip,
    LineKind,
    Origin,
    Plan,
    PlanLine,
    Song,
    TimedSyllable,
    TimedWord,
    Totals,
)
from timing.model.clock import FrameRate
from timing.model.metre import COMMON_TIME
from timing.model.settings import ClipProfile, EpisodeSettings

ZERO = Fraction(0)
SENTENCE_END = (".", "!", "?")


def words(text: str, start: Fraction, a_word: Fraction = Fraction(2, 5)) -> tuple[TimedWord, ...]:
    """Return each word of ``text`` lasting ``a_word``, one straight after the other."""
    found = []
    for n, token in enumerate(text.split()):
        at = start + n * a_word
        mark = Break.SENTENCE if token.endswith(SENTENCE_END) else Break.CLAUSE if token[-1] in ",;:" else Break.WORD
        mark = Break.NEVER if token.lower() in ("the", "a") else mark
        syllable = TimedSyllable(token, at, at + a_word, Origin.ESTIMATED)
        found.append(TimedWord(token, token.strip(".,!?").lower(), (syllable,), mark))
    return tuple(found)


def line(
    line_id: str, text: str, start: str | Fraction, rate: FrameRate, kind: LineKind = LineKind.SPOKEN, **more: object
) -> PlanLine:
    """Return a spoken or sung line of evenly timed words, or a picture passage of two seconds."""
    at = Fraction(start)
    a_word = Fraction(str(more.pop("a_word", "0.4")))
    timed = () if kind is LineKind.PICTURE else words(text, at, a_word)
    end = timed[-1].end if timed else at + 2
    plain = PlanLine(
        line_id, kind, text, Origin.ESTIMATED, at, end, rate.frame_at(at), rate.frame_at(end),
        end - at, end - at, timed, scene="EXT. ROCK", speaker=None if kind is LineKind.PICTURE else "TANSY",
    )  # fmt: skip
    return replace(plain, **more)  # type: ignore[arg-type]


def clip_of(one: PlanLine, rate: FrameRate, profile: ClipProfile) -> Clip:
    """Return the clip that holds a whole line with full handles."""
    is_picture = one.kind is LineKind.PICTURE
    head, tail = (ZERO, ZERO) if is_picture else (profile.head, profile.tail)
    speech = ZERO if is_picture else one.length
    start, end = one.start - head, one.end + tail
    need = end - start
    return Clip(
        f"C{int(''.join(c for c in one.id if c.isdigit())):02d}", one.kind, one.id, (1, 1), one.text, profile.name,
        speech, need, profile.ask_for(need), profile.takes, start, end, rate.frame_at(start), rate.frame_at(end),
        one.start, one.end, head, tail, speech, (0, len(one.words)), one.speaker, one.scene, lines=(one.id,),
    )  # fmt: skip


def plan_of(lines: Sequence[PlanLine], settings: EpisodeSettings | None = None, songs: tuple[Song, ...] = ()) -> Plan:
    """Return a plan of these lines with one clip each."""
    settings = settings or EpisodeSettings()
    clips = tuple(clip_of(one, settings.rate, settings.profile_of(one)) for one in lines)
    length = max([c.end for c in clips] + [s.end for s in songs])
    ask = sum((c.ask or ZERO for c in clips), ZERO)
    return Plan(
        "Where Does the Sea Go?", "en_US", settings.rate, settings.rate.frame_at(length), length, tuple(lines), clips,
        songs, Totals(ZERO, length, ask, ask * 7), settings, "abcdef",
    )  # fmt: skip


def small_plan(rate: str = "24", delivery: str | None = None, drop_frame: bool = False) -> Plan:
    """Return two speeches, a picture passage, a sung line and its song."""
    settings = EpisodeSettings(
        rate=FrameRate.parse(rate, drop_frame),
        delivery_rate=FrameRate.parse(delivery) if delivery else None,
    )
    at = settings.rate
    beat = Fraction(60, 96)
    song = Song(
        "out-and-in", Fraction(96), COMMON_TIME, Fraction(12), Fraction(20), tuple(12 + beat * n for n in range(12)),
        tuple(12 + beat * n for n in range(0, 12, 4)), Origin.FITTED, "songs/out-and-in.ogg",
    )  # fmt: skip
    return plan_of(
        [
            line("1", "The sea goes out & in <twice>.", "1", at),
            line("2", "A wave.", "5", at, LineKind.PICTURE),
            line("3", "Où va la mer, Bram? It hides behind the moon.", "7.3", at, speaker="BRAM"),
            line("4", "Out and in, out and in", "12", at, LineKind.SUNG, song="out-and-in"),
        ],
        settings,
        (song,),
    )
