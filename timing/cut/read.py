"""A cut file -> what it lists: the gate, and which of the two readers."""

from __future__ import annotations

import codecs
from collections.abc import Sequence
from pathlib import Path

from timing.cut.edit_list import read_edit_list
from timing.cut.listed import CutList
from timing.cut.timeline_file import read_timeline
from timing.model.clock import FrameRate
from timing.plain.errors import InputError
from timing.plain.inputs import read_regular

NAMES = ("cut.edl", "cut.otio")
MOST_BYTES = 32_000_000  # of a cut; a timeline of ours with 4,000 lines and all their words has 25 MB
_READERS = {".edl": read_edit_list, ".otio": read_timeline}


def cut_file(folder: Path) -> Path | None:
    """Return the cut that lies in an episode folder, None where there is none; raises InputError for two of them."""
    try:
        found = sorted(p for p in folder.iterdir() if p.name.casefold() in NAMES)
    except OSError:
        return None
    if len(found) > 1:
        names = " and ".join(p.name for p in found)
        raise InputError(f"this folder has {names}; keep the one that is the cut, or name it with --cut", folder)
    return found[0] if found else None


def read_cut(path: Path, rates: Sequence[FrameRate], shown: str | None = None) -> CutList:
    """Return what a cut file lists; ``rates`` are the episode's own and its delivery rate, ``shown`` names the file.

    Raises InputError, with the line where there is one, for a file that cannot be read as a cut.
    """
    if not path.exists():
        raise InputError("there is no such file", path)
    reader = _READERS.get(path.suffix.lower())
    if reader is None:
        raise InputError("is no cut that can be read; export it as an edit list (.edl) or a timeline (.otio)", path)
    try:
        data = read_regular(path, MOST_BYTES)
    except OSError as error:
        raise InputError(f"cannot be read ({error.strerror or error})", path) from None
    try:
        return reader(_text(data, path), shown or path.name, rates)
    except InputError as error:
        raise InputError(error.message, path, error.line_number) from None


def _text(data: bytes, path: Path) -> str:
    for mark, name in ((codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"), (b"", "utf-8-sig")):
        if data.startswith(mark):
            try:
                text = data.decode(name)
                break
            except UnicodeDecodeError:
                text = data.decode("cp1252", "replace")
                break
    if "\0" in text:
        raise InputError("is no text; export the cut anew", path)
    return text
