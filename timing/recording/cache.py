"""Results of listening kept by content, so that a second run need not listen again.

One small JSON file for each result; its name is a hash of everything the result depends on (the recording's bytes,
the words and their pronunciations, the version of the method). Moments are written as exact fractions. A file that
cannot be read is as good as none.
"""

from __future__ import annotations

import hashlib
import json
import os
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.recording.doubts import Reading, Verdict
from timing.recording.levels import Levels
from timing.recording.locate import Place
from timing.recording.recogniser import HeardPhone, HeardWord

VERSION = 5  # raised when the same sound would be heard differently


class Cache:
    """A folder of results; ``folder`` None keeps nothing."""

    def __init__(self, folder: Path | None):
        self._folder = folder / "listen" if folder else None

    def get(self, key: str) -> Any:
        """Return what was kept under ``key``, None when there is nothing."""
        if self._folder is None:
            return None
        try:
            return json.loads((self._folder / f"{key}.json").read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return None

    def put(self, key: str, value: Any) -> None:
        """Keep plain JSON values under ``key``; a folder that cannot be written to keeps nothing."""
        if self._folder is None:
            return
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            path = self._folder / f"{key}.json"
            fresh = path.with_suffix(f".{os.getpid()}")
            fresh.write_text(json.dumps(value, separators=(",", ":")), encoding="utf-8")
            fresh.replace(path)
        except OSError:
            return


def key_of(*parts: object) -> str:
    """Return the name for a result that depends on ``parts`` (anything with a stable ``repr``)."""
    return hashlib.sha256(repr((VERSION, *parts)).encode()).hexdigest()[:32]


def hash_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes; raises OSError."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


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
