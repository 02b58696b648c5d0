"""Everything that can go wrong.

    TimingError                 one clear sentence; the command ends with exit code 1
    └── InputError              something the user gave cannot be used; exit code 2
        ├── ScriptError         a script or lyric file
        ├── SettingsError       episode.toml or an option
        └── RecordingError      a sound or video file
    └── OutputError             a file could not be written; nothing was half-written

A *finding* (model.Finding) is not an error: it is a fact about a line and never stops the work.
"""

from __future__ import annotations

from pathlib import Path


class TimingError(Exception):
    """The work could not be done; ``str()`` is one sentence for the user."""


class InputError(TimingError):
    """Something given cannot be used. ``path`` and ``line_number`` (from 1) say where, when known."""

    def __init__(self, message: str, path: Path | str | None = None, line_number: int | None = None):
        self.message, self.path, self.line_number = message, path, line_number
        where = "" if path is None else f"{path}:" if line_number is None else f"{path}:{line_number}:"
        super().__init__(f"{where} {message}".strip())


class ScriptError(InputError):
    """A script, lyric or tune file cannot be read."""


class SettingsError(InputError):
    """episode.toml or an option holds a value that cannot be used."""


class RecordingError(InputError):
    """A recording, song or clip cannot be read."""


class OutputError(TimingError):
    """A file could not be written; what was there before is still whole."""
