"""What listening works on and what it returns: script lines in, readings and measured lines out.

Conventions: moments inside a take are exact seconds from the beginning of its file; a measured line's own words
count from its first sound (moment 0), with ``TimedLine.take_start`` leading back into the file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from timing.model import Finding, TimedLine, Utterance
from timing.model.clock import Seconds
from timing.model.labels import Label


@dataclass(frozen=True, slots=True)
class ScriptedLine:
    """One line of the script to be found in the recordings; ``earlier`` are words that it had before, the last last."""

    id: str
    utterance: Utterance
    is_sung: bool = False
    earlier: tuple[Utterance, ...] = ()


@dataclass(frozen=True, slots=True)
class Instead:
    """What a reading may be instead, and how likely (0 to 1): another line, or its line elsewhere in the file."""

    line_id: str
    start: Seconds
    end: Seconds
    confidence: float


@dataclass(frozen=True, slots=True)
class Take:
    """One reading of a line: ``file`` relative to the episode folder, ``start``/``end`` in the file's own clock.

    ``is_complete`` is False for a reading that was broken off; ``confidence``, from 0 to 1, is how likely it is this
    line's reading, and ``rivals`` are what it may be instead, the likeliest first; ``is_outdated``: it has the words
    that the line had earlier.
    """

    line_id: str
    file: str
    start: Seconds
    end: Seconds
    is_complete: bool
    confidence: float
    is_chosen: bool = False
    rivals: tuple[Instead, ...] = ()
    is_outdated: bool = False

    @property
    def name(self) -> str:
        """How a person names this reading to choose it: file and second, ``recordings/a.m4a@12.3``."""
        return f"{self.file}@{float(self.start):.1f}"


@dataclass(frozen=True)
class Heard:
    """All that was heard: measured lines by id, every reading, and what a person should know.

    ``unread`` are the ids of lines that were found in no recording, in the script's order; ``sounding`` are the
    stretches of each file that hold sound; ``wished`` the ids of lines whose reading a person chose; ``obeyed`` the
    rows of label files that were followed, by the line that they speak of.
    """

    lines: Mapping[str, TimedLine]
    takes: tuple[Take, ...] = ()
    unread: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    folder: Path = field(default=Path(), compare=False)
    sounding: Mapping[str, tuple[tuple[Seconds, Seconds], ...]] = field(default_factory=dict)
    wished: frozenset[str] = frozenset()
    obeyed: tuple[tuple[str, Label], ...] = ()

    def loudness(self, line_id: str, values_per_s: int) -> tuple[float, ...]:
        """Return the outline of a measured line's sound, 0..1, from its first sound; empty for an unread line.

        Raises RecordingError where the recording has gone since it was heard.
        """
        from timing.sound.levels import loudness

        line = self.lines.get(line_id)
        if line is None or line.take is None or line.take_start is None:
            return ()
        sound = _read_once(str(self.folder / line.take))
        return loudness(sound.cut(line.take_start, line.take_start + line.length), sound.rate_hz, values_per_s)


@lru_cache(maxsize=2)
def _read_once(path: str):  # type: ignore[no-untyped-def]  # Sound is imported late
    from timing.sound.decode import read_audio

    return read_audio(path)
