"""What a person should look at first: every reason to doubt a time, the weightiest first, one entry a line or song."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from statistics import median

from timing.model import LineKind, Origin, Plan, PlanLine, Song
from timing.model.clock import Seconds
from timing.model.cut import without_number
from timing.model.findings import FindingCode as Code
from timing.recording.results import Heard
from timing.recording.three_lists import three_lists

UNSURE_WORD, UNSURE_LINE = 0.5, 0.6  # of the recogniser's confidence, 0..1
UNEVEN = Fraction(1, 10)  # a bar longer or shorter than the song's usual one by more is looked at: our own choice
# Findings that cast doubt on times, with their weight; the others are about the script, the paper or the money.
WEIGHTS = {
    Code.ROUGH: 9, Code.UNCLEAR: 9, Code.WRONG_LINE: 9, Code.NOT_SAID: 8, Code.CUT_OFF_START: 8, Code.CUT_OFF_END: 8,
    Code.SINGING_NOT_FOUND: 7, Code.SAID_DIFFERENTLY: 6, Code.CHOSEN_MISSING: 6, Code.NAMED_WRONGLY: 6,
    Code.SCRIPT_CHANGED: 8,
    Code.EXTRA_WORDS: 4, Code.SHIFT: 4, Code.DRIFT: 4, Code.NOISY: 2, Code.DAMAGED: 2,
    Code.BARS_UNKNOWN: 8, Code.DOWNBEAT_OFF_BEAT: 8, Code.TEMPO_OCTAVE: 7, Code.HALF_BEAT_UNSURE: 7,
    Code.THIRD_BEAT_UNSURE: 7, Code.TEMPO_UNSURE: 6, Code.METRE_GUESSED: 6, Code.WEAK_PULSE: 6,
    Code.BARS_RESTART: 5, Code.BEAT_BREAKS: 5, Code.TEMPO_ASSUMED: 5, Code.TEMPO_CHANGES: 3,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Doubt:
    """``line`` or ``song`` says what it is about; ``reasons`` are sentences.

    ``words`` are the words of the line that are meant, by their index; empty where it is about the whole line.
    """

    weight: float
    start: Seconds  # on the episode's clock: of the first word that is meant, else of the line or song
    reasons: tuple[str, ...]
    line: str | None = None
    song: str | None = None
    words: tuple[int, ...] = ()


def doubts(plan: Plan, heard: Heard | None) -> tuple[Doubt, ...]:
    """Return the doubts, weightiest first; a line nobody recorded counts only where others were.

    Lines that ``timing listen`` lists as unsure are among them, with its reason.
    """
    once = [line for line in plan.lines if line.words and without_number(line.id) == line.id]  # not heard again
    lines = [(line.id, " ".join(w.text for w in line.words)) for line in once]
    unsure = {one.line_id: one.why for one in three_lists(heard, lines).unsure} if heard else {}
    has_recordings = heard is not None
    found = [d for line in plan.lines if (d := _about_line(line, unsure.get(line.id), has_recordings))]
    found += [d for song in plan.songs if (d := _about_song(song))]
    return tuple(sorted(found, key=lambda d: (-d.weight, d.start)))


def _about_line(line: PlanLine, why: str | None, has_recordings: bool) -> Doubt | None:
    if line.kind is LineKind.PICTURE:
        return None
    reasons: list[tuple[float, str]] = [(WEIGHTS[f.code], f.message) for f in line.findings if f.code in WEIGHTS]
    meant = {n for f in line.findings if f.code in WEIGHTS for n in f.facts.get("words", ())}
    unsure = [n for n, w in enumerate(line.words) if w.confidence is not None and w.confidence < UNSURE_WORD]
    if unsure and line.origin is Origin.MEASURED:
        named = ", ".join(f"“{line.words[n].text}”" for n in unsure[:4]) + (" …" if len(unsure) > 4 else "")
        reasons.append((3 + min(2, len(unsure) / 4), f"not sure where {named} {'is' if len(unsure) == 1 else 'are'}"))
        meant |= set(unsure)
    if line.confidence is not None and line.confidence < UNSURE_LINE and line.origin is Origin.MEASURED:
        reasons.append((4, f"found with {100 * line.confidence:.0f} % confidence only"))
    if why and line.origin is Origin.MEASURED and not reasons:
        reasons.append((5, why))
    if has_recordings and line.kind is LineKind.SPOKEN and line.origin is Origin.ESTIMATED and not reasons:
        reasons.append((1, "not recorded, or not found in the recordings; its times are estimated"))
    if not reasons:
        return None
    reasons.sort(key=lambda r: -r[0])
    words = tuple(sorted(n for n in meant if n < len(line.words)))
    start = line.words[words[0]].start if words else line.start
    return Doubt(reasons[0][0], start, tuple(r for _, r in reasons), line=line.id, words=words)


def _about_song(song: Song) -> Doubt | None:
    reasons: list[tuple[float, str]] = [(WEIGHTS[f.code], f.message) for f in song.findings if f.code in WEIGHTS]
    start = song.start
    lengths = [after - before for before, after in pairwise(song.downbeats)]
    usual = median(lengths) if lengths else Fraction(0)
    uneven = [n for n, long in enumerate(lengths, 1) if len(lengths) > 2 and abs(long - usual) > UNEVEN * usual]
    if uneven:
        start = song.downbeats[uneven[0] - 1]
        first = float(lengths[uneven[0] - 1])
        others = f", and {len(uneven) - 1} more" if len(uneven) > 1 else ""
        reasons.append((4, f"bar {uneven[0]} lasts {first:.2f} s{others}, the others {float(usual):.2f} s"))
    if not reasons:
        return None
    reasons.sort(key=lambda r: -r[0])
    return Doubt(reasons[0][0], start, tuple(r for _, r in reasons), song=song.id)
