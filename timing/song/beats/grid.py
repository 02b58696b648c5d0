"""The beats and bars of a finished song.

In: a sound file, and what the user knows about it. Out: :class:`timing.model.BeatGrid`; times are seconds from the
start of the file. A song is taken to be steady unless a break, a drift or a change of tempo is proved
(:mod:`timing.song.beats.pieces`). What cannot be known from sound alone is a finding, never a silent guess: whether the
beat is the half or the double of what was found, which beats begin bars, whether there is a pulse at all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from timing.model import BeatGrid, Finding
from timing.model.findings import FindingCode
from timing.model.metre import COMMON_TIME, Metre
from timing.plain.errors import InputError, RecordingError
from timing.song.beats.bars import BarCandidate, bar_candidates, downbeats_from
from timing.song.beats.onsets import Onsets, measure
from timing.song.beats.pieces import PIECE_LEAST, SAME_TEMPO, Piece, Tracked, track
from timing.song.beats.steady import Steady, fit_steady, on_beat, pulse_clarity
from timing.song.beats.tempo import Candidate, Spectrum, candidates
from timing.sound.decode import blocks

LOWEST_BPM, HIGHEST_BPM = 20.0, 400.0
OCTAVE_RATIO = 0.25  # a half or double tempo this strong, relative to the winner, may be meant
OTHER_RATIO = 0.7  # the same for 3:2, 2:3 and 3:1
HALF_BEAT_RATIO = THIRD_RATIO = 0.6
FEW_ONSETS = 0.6  # of the beats: below it a tempo that nobody confirmed is doubtful
WEAK_PULSE = 1.35
OFF_BEAT_S = 0.1


@dataclass(frozen=True)
class MeasuredSong:
    """A grid with what led to it: the file's length, rival tempos and candidates for the first downbeat."""

    grid: BeatGrid
    length_s: float
    tempos: tuple[Candidate, ...]
    bars: tuple[BarCandidate, ...]


def find_tempo(
    path: Path | str,
    bpm: float | None = None,
    metre: Metre | None = None,
    downbeat_s: float | None = None,
    *,
    offset_ms: float = 0.0,
    half_beat_shift: bool = False,
) -> BeatGrid:
    """Return the beats of a recording, and its bars where one downbeat is given.

    ``bpm`` (felt beats a minute, within 6 %), ``metre`` and ``downbeat_s`` (one first beat of a bar, in the steady
    part, within an eighth note) are the user's; ``offset_ms`` is added to every beat; ``half_beat_shift`` moves a
    grid that sits on the off-beats. Raises RecordingError for a file without usable sound, InputError for impossible
    hints.
    """
    return measure_song(path, bpm, metre, downbeat_s, offset_ms=offset_ms, half_beat_shift=half_beat_shift).grid


def measure_song(
    path: Path | str,
    bpm: float | None = None,
    metre: Metre | None = None,
    downbeat_s: float | None = None,
    *,
    offset_ms: float = 0.0,
    half_beat_shift: bool = False,
) -> MeasuredSong:
    """Return the grid as :func:`find_tempo` does, with the file's length and the rivals."""
    if bpm is not None and not LOWEST_BPM <= bpm <= HIGHEST_BPM:
        raise InputError(f"a tempo lies between {LOWEST_BPM:g} and {HIGHEST_BPM:g} bpm, not {bpm:g}")
    onsets = measure(blocks(path))
    if onsets.loudness.max() <= 0 or not onsets.both.any():
        raise RecordingError("holds only silence, or no sound that begins anywhere", path)
    if downbeat_s is not None and not 0 <= downbeat_s <= onsets.length_s:
        raise InputError(f"the downbeat at {downbeat_s:g} s lies outside the song ({onsets.length_s:.2f} s long)")
    tapped = None if downbeat_s is None else downbeat_s - offset_ms / 1000
    tempos = candidates(onsets, bpm)
    steady = fit_steady(onsets, Spectrum(onsets.both).polish(tempos[0].bpm), tapped)
    tracked = track(onsets, steady, tapped)
    if half_beat_shift and tapped is None:
        tracked = _shifted(tracked)
    rivals = bar_candidates(onsets, tracked.beats, metre)
    chosen = metre or (rivals[0].metre if rivals else COMMON_TIME)
    findings = [
        *(_octave_findings(tempos, tracked.pieces) if bpm is None else _differs(bpm, _main_bpm(tracked.pieces))),
        *(_tempo_unsure(onsets, tracked, tempos[0].bpm) if bpm is None else []),
        *_evidence_findings(onsets, steady, tracked, is_told=tapped is not None or half_beat_shift),
        *_piece_findings(tracked),
    ]
    downbeats: list[float] = []
    shift = offset_ms / 1000
    if metre is None:
        findings.append(_metre_guessed(chosen))
    if tapped is None:
        findings.append(_bars_unknown(rivals, shift))
    else:
        downbeats, restarts = downbeats_from(tracked.pieces, chosen, tapped)
        findings += _bar_findings(tracked, restarts, tapped, shift)
    grid = BeatGrid(
        _main_bpm(tracked.pieces),
        tuple(float(b) + shift for b in tracked.beats),
        tuple(d + shift for d in downbeats),
        chosen,
        tuple((p.start + shift, p.bpm, p.beats) for p in tracked.pieces),
        _confidence(onsets, tracked),
        tuple(findings),
    )
    moved = tuple(replace(c, first_s=c.first_s + shift) for c in rivals)
    return MeasuredSong(grid, onsets.length_s, tuple(tempos), moved)


def _shifted(tracked: Tracked) -> Tracked:
    pieces = tuple(Piece(p.start + p.period / 2, p.bpm, p.beats) for p in tracked.pieces)
    return Tracked(pieces, np.concatenate([p.moments() for p in pieces]))


def _main_bpm(pieces: tuple[Piece, ...]) -> float:
    """Return the tempo of most of the song's beats."""
    total: dict[float, int] = {}
    for piece in pieces:
        total[piece.bpm] = total.get(piece.bpm, 0) + piece.beats
    return max(total, key=lambda bpm: total[bpm])


def _confidence(onsets: Onsets, tracked: Tracked) -> float:
    """Return the share of beats on which an onset is heard."""
    return round(float((on_beat(onsets.both, tracked.beats) > 1).mean()), 3) if len(tracked.beats) else 0.0


def _octave_findings(tempos: list[Candidate], pieces: tuple[Piece, ...]) -> list[Finding]:
    """Return a finding naming the tempos that may be meant instead; one that a piece of the song has is no rival."""
    best = tempos[0]
    rivals: list[tuple[float, float]] = []
    for other in tempos[1:]:
        ratio = other.bpm / best.bpm
        is_octave = abs(ratio / 2 - 1) < 0.03 or abs(ratio * 2 - 1) < 0.03
        is_heard = any(abs(other.bpm / p.bpm - 1) < 0.03 for p in pieces if p.beats >= PIECE_LEAST)
        if (
            not is_heard
            and abs(ratio - 1) > 0.03
            and other.score > (OCTAVE_RATIO if is_octave else OTHER_RATIO) * best.score
        ):
            rivals.append((other.bpm, other.score))
    if not rivals:
        return []
    names = " or ".join(f"{bpm:.2f}" for bpm, _ in rivals)
    choices = " or ".join(f"bpm {bpm:.4g}" for bpm in (best.bpm, *(bpm for bpm, _ in rivals)))
    facts: dict[str, Any] = {"bpm": round(best.bpm, 3), "rivals_bpm": [round(bpm, 3) for bpm, _ in rivals]}
    return [
        Finding(
            FindingCode.TEMPO_OCTAVE,
            f"The beat may also be counted at {names} bpm instead of {best.bpm:.2f}: sound alone cannot tell. "
            f"Say which: {choices}.",
            facts,
        )
    ]


def _differs(wished: float, found: float) -> list[Finding]:
    """Return a finding where the song does not go at the tempo somebody wrote down."""
    if abs(found / wished - 1) <= 0.06:
        return []
    message = f"You say {wished:g} bpm, but the beat heard is {found:.3f} bpm; leave bpm away to see the candidates."
    return [Finding(FindingCode.TEMPO_DIFFERS, message, {"wished_bpm": wished, "bpm": round(found, 3)})]


def _tempo_unsure(onsets: Onsets, tracked: Tracked, bpm: float) -> list[Finding]:
    share = _confidence(onsets, tracked)
    if share >= FEW_ONSETS:
        return []
    message = (
        f"An onset is heard on only {share:.0%} of the beats at {bpm:.2f} bpm: the tempo may be quite another. "
        "Give bpm if you know it, or listen to the preview."
    )
    return [Finding(FindingCode.TEMPO_UNSURE, message, {"bpm": round(bpm, 3), "share": share})]


def _evidence_findings(onsets: Onsets, steady: Steady, tracked: Tracked, is_told: bool) -> list[Finding]:
    found = []
    if steady.rival > HALF_BEAT_RATIO and not is_told:
        found.append(
            Finding(
                FindingCode.HALF_BEAT_UNSURE,
                "The beats may lie half a beat away: nearly as much sounds between them. Listen to the preview, and "
                "give one downbeat, or have the beats shifted by half a beat.",
                {"rival": round(steady.rival, 2)},
            )
        )
    if steady.third > THIRD_RATIO and not is_told:
        found.append(
            Finding(
                FindingCode.THIRD_BEAT_UNSURE,
                "The beats may lie a third of a beat away, as in a 6/8 song sung without a band. Listen to the "
                "preview, and give one downbeat.",
                {"rival": round(steady.third, 2)},
            )
        )
    clarity = pulse_clarity(onsets, tracked.beats)
    if clarity < WEAK_PULSE:
        found.append(
            Finding(
                FindingCode.WEAK_PULSE,
                "Little in this sound marks the beat (no drums, or free singing): check it with the preview.",
                {"clarity": round(clarity, 2)},
            )
        )
    return found


def _piece_findings(tracked: Tracked) -> list[Finding]:
    if len(tracked.pieces) <= 1:
        return []
    long = [p for p in tracked.pieces if p.beats >= PIECE_LEAST]
    tempos = [p.bpm for p in long] or [p.bpm for p in tracked.pieces]
    facts = {"pieces": [[round(p.start, 3), round(p.bpm, 3), p.beats] for p in tracked.pieces]}
    loose = [p for p in tracked.pieces if p.beats == 1]
    if len(long) > 1 and max(tempos) / min(tempos) - 1 < SAME_TEMPO:
        places = " and ".join(f"{p.start:.3f} s" for p in long[1:])
        message = f"The beat breaks off and starts again at {places}, always at {tempos[0]:.3f} bpm."
        return [Finding(FindingCode.BEAT_BREAKS, message, facts)]
    if len(long) == 1 and len(loose) > 1:
        message = (
            f"From {loose[0].start:.3f} s the beat goes from {loose[0].bpm:.0f} to {loose[-1].bpm:.0f} bpm; its last "
            f"{len(loose)} beats are followed one by one."
        )
        return [Finding(FindingCode.TEMPO_CHANGES, message, facts)]
    message = f"The tempo changes between {min(tempos):.2f} and {max(tempos):.2f} bpm, in {len(long)} steady pieces."
    return [Finding(FindingCode.TEMPO_CHANGES, message, facts)]


def _metre_guessed(metre: Metre) -> Finding:
    return Finding(
        FindingCode.METRE_GUESSED,
        f"The metre {metre} is a guess from bass and harmony; give it, for example metre 3/4.",
        {"metre": list(metre)},
    )


def _bars_unknown(rivals: list[BarCandidate], shift: float) -> Finding:
    times = [round(c.first_s + shift, 3) for c in rivals]
    likely = ", ".join(f"{t:.3f} s" for t in times[:4])
    return Finding(
        FindingCode.BARS_UNKNOWN,
        "Which beats begin bars is not known; give the time of one first beat of a bar in the steady part."
        + (f" Candidates, likeliest first: {likely}." if likely else ""),
        {"candidates_s": times},
    )


def _bar_findings(tracked: Tracked, restarts: list[float], tapped: float, shift: float) -> list[Finding]:
    found = []
    away = float(np.abs(tracked.beats - tapped).min()) if len(tracked.beats) else 0.0
    if away > OFF_BEAT_S:
        found.append(
            Finding(
                FindingCode.DOWNBEAT_OFF_BEAT,
                f"The downbeat at {tapped + shift:.3f} s lies {away:.2f} s from the nearest beat found.",
                {"downbeat_s": round(tapped + shift, 3), "away_s": round(away, 3)},
            )
        )
    if restarts:
        places = ", ".join(f"{r + shift:.3f} s" for r in restarts)
        found.append(
            Finding(
                FindingCode.BARS_RESTART,
                f"After the break a new bar is taken to begin at {places}; check it by ear.",
                {"restarts_s": [round(r + shift, 3) for r in restarts]},
            )
        )
    return found
