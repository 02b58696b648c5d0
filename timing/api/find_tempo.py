"""The beats of a recording, for callers."""

from __future__ import annotations

from pathlib import Path

from timing.api import values
from timing.api.values import Number, number
from timing.model import BeatGrid
from timing.model.metre import Metre
from timing.plain.errors import RecordingError


def find_tempo(
    path: Path | str,
    bpm: Number | None = None,
    metre: Metre | str | None = None,
    downbeat_s: Number | None = None,
    *,
    offset_ms: float = 0.0,
    half_beat_shift: bool = False,
) -> BeatGrid:
    """Return the beats of a recording, and its bars where one downbeat is given.

    ``bpm`` (felt beats a minute, within 6 %), ``metre`` ((6, 8) or "6/8") and ``downbeat_s`` (one first beat of a
    bar, in the steady part, within an eighth note) are the caller's; ``offset_ms`` is added to every beat;
    ``half_beat_shift`` moves a grid that sits on the off-beats. Raises RecordingError for a file without usable
    sound, InputError for impossible hints.
    """
    from timing.song.beats import grid

    if Path(path).is_dir():
        raise RecordingError("is a folder; give the file of one song", path)
    return grid.find_tempo(
        path,
        None if bpm is None else float(number(bpm, "a tempo", 0)),
        None if metre is None else values.metre(metre),
        None if downbeat_s is None else float(number(downbeat_s, "a downbeat", 0)),
        offset_ms=offset_ms,
        half_beat_shift=half_beat_shift,
    )
