"""A tune file in, whatever kind it is, a :class:`~timing.song.tunes.tune.Tune` out."""

from __future__ import annotations

from pathlib import Path

from timing.plain.errors import ScriptError
from timing.song.tunes.musicxml import read_musicxml
from timing.song.tunes.smf import read_smf
from timing.song.tunes.tune import LARGEST_FILE, Tune


def read_tune(path: Path) -> Tune:
    """Return the tune in a file; the ending of its name decides how it is read.

    Raises ScriptError for a file that is missing, too large, of another kind, or uses what is not supported here.
    """
    if not path.is_file():
        raise ScriptError("no such tune file", path)
    if path.stat().st_size > LARGEST_FILE:
        raise ScriptError(f"is larger than {LARGEST_FILE // 1_000_000} MB: not a tune", path)
    ending = path.suffix.lower()
    if ending in (".mid", ".midi", ".smf", ".kar"):
        return read_smf(path)
    if ending in (".musicxml", ".xml", ".mxl"):
        return read_musicxml(path)
    raise ScriptError('a tune is a MIDI file (".mid") or MusicXML (".musicxml", ".mxl")', path)
