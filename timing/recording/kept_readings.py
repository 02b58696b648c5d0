"""What listening keeps: the levels and sounding stretches of a file, where lines lie in it, each line followed closely.

Moments are exact fractions as text. A place names its line by what the line says, never by where it stands in the
script: the script may have another line before it by the time the place is read again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from timing.hearing.differences import Reading, Verdict
from timing.hearing.line_places import Place, Rival
from timing.hearing.recogniser import HeardPhone, HeardWord
from timing.model.clock import Seconds
from timing.sound.levels import Levels
from timing.store.store import Kind

LineName = tuple[str, int]
"""What a line says (a digest of its words' sounds), and which of the lines that say the same."""

Regions = tuple[tuple[Seconds, Seconds], ...]


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


def _from_levels(levels: Levels) -> Any:
    return [
        str(levels.seconds), levels.peak_dbfs, levels.rms_dbfs, levels.speech_dbfs, levels.floor_dbfs,
        levels.clipped_share, levels.damaged_blocks, levels.is_narrow,
    ]  # fmt: skip


def _from_sound(found: tuple[Levels, Regions]) -> Any:
    levels, regions = found
    return [_from_levels(levels), [[str(a), str(b)] for a, b in regions]]


def _to_sound(kept: Any) -> tuple[Levels, Regions]:
    levels, regions = kept
    return Levels(Fraction(levels[0]), *levels[1:]), tuple((Fraction(a), Fraction(b)) for a, b in regions)


SOUND = Kind("sound", 3, _from_sound, _to_sound)
"""Levels and sounding stretches; depends on the file's content."""

READING = Kind("reading", 2, from_reading, to_reading)
"""One line followed in one stretch; depends on content, stretch, the line's sounds and language, spoken or sung."""


def places_kind(name: str, lines: Sequence[LineName]) -> Kind[tuple[Place, ...] | None]:
    """Return how the places of lines in a file are kept, ``lines`` naming them by their numbers in the script now.

    None stands for a file in which its own line alone explains too little: it is searched for all lines.
    """
    numbers: Mapping[LineName, int] = {line: number for number, line in enumerate(lines)}

    def write(places: tuple[Place, ...] | None) -> Any:
        if places is None:
            return "elsewhere"
        return [
            [
                *lines[p.line], [[k, str(a), str(b)] for k, a, b in p.words], p.is_complete, p.has_last, p.confidence,
                [[*lines[r.line], str(r.start), str(r.end), r.confidence] for r in p.rivals],
            ]
            for p in places
        ]  # fmt: skip

    def read(kept: Any) -> tuple[Place, ...] | None:
        if kept == "elsewhere":
            return None
        found = [
            Place(
                numbers[says, nth],
                tuple((k, Fraction(a), Fraction(b)) for k, a, b in words),
                complete,
                last,
                sure,
                tuple(Rival(numbers[s, n], Fraction(a), Fraction(b), c) for s, n, a, b, c in rivals),
            )
            for says, nth, words, complete, last, sure, rivals in kept
        ]
        if not all(place.words for place in found):
            raise ValueError("a place without words")
        return tuple(found)

    return Kind(name, 6, write, read)
