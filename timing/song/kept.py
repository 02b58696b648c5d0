"""What a song costs most and is kept by content: the beats of its file, the setting of each lyric line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from timing.model import Finding
from timing.model.settings import SongSettings
from timing.song.lyrics.notes import Note
from timing.song.lyrics.setting import Placed
from timing.store.plain_values import from_exact, from_finding, to_exact, to_finding
from timing.store.store import Kind, Store, content_of


@dataclass(frozen=True)
class SongBeats:
    """The measured beats of a song's file, in seconds; ``first`` is the index of the likeliest first beat of a bar."""

    bpm: float
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]
    length_s: float
    first: int
    findings: tuple[Finding, ...]


def _write(beats: SongBeats) -> Any:
    plain = [getattr(beats, field.name) for field in fields(beats)[:-1]]
    return [*map(from_exact, plain), [from_finding(f) for f in beats.findings]]


def _read(kept: Any) -> SongBeats:
    bpm, beats, downbeats, length, first, findings = kept
    said = tuple(to_finding(f) for f in findings)
    return SongBeats(bpm, to_exact(beats), to_exact(downbeats), length, first, said)


BEATS = Kind("beats", 1, _write, _read)
"""Depends on the file's content and on all that the settings say of its tempo and bars."""


def beats_of(settings: SongSettings, path: Path, store: Store) -> SongBeats:
    """Return the beats of a song's file; raises RecordingError for one that cannot be read or holds no sound."""

    def measure() -> SongBeats:
        from timing.song.beats.grid import measure_song

        found = measure_song(
            path,
            None if settings.bpm is None else float(settings.bpm),
            settings.metre,
            None if settings.downbeat is None else float(settings.downbeat),
            offset_ms=float(settings.offset * 1000),
            half_beat_shift=settings.half_beat_shift,
        )
        grid = found.grid
        return SongBeats(
            float(grid.bpm),
            tuple(map(float, grid.beats_s)),
            tuple(map(float, grid.downbeats_s)),
            float(found.length_s),
            int(found.bars[0].phase) if found.bars else 0,
            grid.findings,
        )

    try:
        content = content_of(path)
    except OSError:
        return measure()  # which says what is wrong with the file
    said = (settings.bpm, settings.metre, settings.downbeat, settings.offset, settings.half_beat_shift)
    return store.made(BEATS, (content, *said), measure)


def kept_setting(store: Store, notes: tuple[Note, ...], on: tuple[object, ...], place: Callable[[], Placed]) -> Placed:
    """Return where a line's notes lie, searched for only where nobody did before.

    ``on`` is everything that the search depends on; the notes are part of it and are not kept.
    """
    names = [field.name for field in fields(Placed) if field.name != "notes"]
    kind: Kind[Placed] = Kind(
        "setting",
        1,
        lambda placed: {name: from_exact(getattr(placed, name)) for name in names},
        lambda kept: _placed(notes, {name: to_exact(value) for name, value in kept.items()}),
    )
    return store.made(kind, on, place)


def _placed(notes: tuple[Note, ...], kept: dict[str, Any]) -> Placed:
    found = Placed(notes, **kept)
    if not len(notes) == len(found.positions) == len(found.lengths):
        raise ValueError("as many positions as notes")
    return found
