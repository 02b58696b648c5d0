"""Which recordings there are, and which line a file's name names.

A name that begins with a line's id ("12 take 2.wav", "12A.m4a", "012_b.mp3") binds the file to that line; dates
and other numbers do not.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from timing.plain.names import natural_key, with_readable_names
from timing.sound.decode import SOUND_SUFFIXES

FOLDER = "recordings"
_DATE = re.compile(r"\d{1,4}([-._ ])\d{1,2}\1\d{1,4}(?!\d)|\d{6,}")


def recordings_in(folder: Path, below: str = FOLDER) -> tuple[Path, ...]:
    """Return the sound and video files under ``folder``/recordings (or ``below``), in the natural order of their names.

    Hidden files are left out ("._12.wav" beside each file copied from some systems).
    """
    root = folder / below
    if not root.is_dir():
        return ()
    found = [
        path
        for path in root.rglob("*")
        if path.suffix.lower() in SOUND_SUFFIXES
        and path.is_file()
        and not any(part.startswith(".") for part in path.relative_to(root).parts)
    ]
    return tuple(sorted(with_readable_names(found), key=lambda path: natural_key(path.relative_to(root).as_posix())))


def line_named(name: str, ids: Iterable[str]) -> str | None:
    """Return the line id that a file's name begins with, None when it begins with none.

    >>> line_named("12A take 2.wav", ["1", "12", "12A"])
    '12A'
    >>> line_named("12-11-2026 memo.m4a", ["1", "12"]) is None
    True
    """
    if _DATE.match(name):
        return None
    for line_id in sorted(ids, key=len, reverse=True):
        if re.match(rf"(?:line[ _-]?)?0*{re.escape(line_id)}(?![0-9A-Za-z])", name, re.IGNORECASE):
            return line_id
    return None
