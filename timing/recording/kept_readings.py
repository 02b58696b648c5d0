"""Readings, places and levels as plain values for the store, and back; moments are exact fractions as text."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from timing.hearing.differences import Reading, Verdict
from timing.hearing.line_places import Place
from timing.hearing.recogniser import HeardPhone, HeardWord
from timing.sound.levels import Levels


def from_reading(reading: Reading | None) -> Any:
    if reading is None:
        return "none"
    words = [
        w and [w.index, str(w.start), str(w.end), w.score, [[p.name, str(p.start), str(p.end)] for p in w.phones]]
        for w in reading.words
    ]
    places = {str(i): [str(a), str(b)] for i, (a, b) in reading.places.items()}
    extras = [[i, str(a), str(b)] for i, a, b in reading.extras]
    return [words, list(reading.ratios), [str(v) for v in reading.verdicts], places, extras]


def to_reading(kept: Any) -> Reading | None:
    if kept == "none":
        return None
    words, ratios, verdicts, places, extras = kept
    return Reading(
        tuple(
            w
            and HeardWord(
                w[0],
                Fraction(w[1]),
                Fraction(w[2]),
                w[3],
                tuple(HeardPhone(name, Fraction(a), Fraction(b)) for name, a, b in w[4]),
            )
            for w in words
        ),
        tuple(ratios),
        tuple(Verdict(v) for v in verdicts),
        {int(i): (Fraction(a), Fraction(b)) for i, (a, b) in places.items()},
        tuple((i, Fraction(a), Fraction(b)) for i, a, b in extras),
    )


def from_places(places: tuple[Place, ...]) -> Any:
    return [[p.line, [[k, str(a), str(b)] for k, a, b in p.words], p.is_complete, p.has_last] for p in places]


def to_places(kept: Any) -> tuple[Place, ...]:
    return tuple(
        Place(line, tuple((k, Fraction(a), Fraction(b)) for k, a, b in words), complete, last)
        for line, words, complete, last in kept
    )


def from_levels(levels: Levels) -> Any:
    return [
        str(levels.seconds), levels.peak_dbfs, levels.rms_dbfs, levels.speech_dbfs, levels.floor_dbfs,
        levels.clipped_share, levels.damaged_blocks,
    ]  # fmt: skip


def to_levels(kept: Any) -> Levels:
    return Levels(Fraction(kept[0]), *kept[1:])
