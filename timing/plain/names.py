"""Names from a script or settings as parts of file names, safe on every system."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from timing.plain.errors import RecordingError

# Names that Windows keeps for devices, whatever the ending (Microsoft, "Naming Files, Paths, and Namespaces").
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)")


def readable(name: str) -> str:
    """Return a name from the file system or the command line as text that every file can hold.

    Bytes that were no text in the system's encoding (an old archive, a bare "C" locale) are read as UTF-8, the rest
    becomes U+FFFD.

    >>> readable("maré"), readable("mar\\udcc3\\udca9"), readable("mar\\udce9")
    ('maré', 'maré', 'mar\ufffd')
    """
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def natural_key(name: str) -> tuple[tuple[tuple[int, str], ...], str]:
    """Return what names are sorted by as people count: "take 2" before "take 10".

    >>> sorted(["take 10", "take 2", "Take 1"], key=natural_key)
    ['Take 1', 'take 2', 'take 10']
    """
    parts = re.findall(r"[0-9]+|[^0-9]+", name.casefold())
    return tuple((int(p), "") if p[0] in "0123456789" else (-1, p) for p in parts), name


def with_readable_names(paths: Iterable[Path]) -> list[Path]:
    """Return the paths; raises RecordingError for one whose name is no text, as no plan could name it."""
    found = list(paths)
    for path in found:
        if readable(str(path)) != str(path):
            raise RecordingError("this file's name holds letters that are no text; rename it", readable(str(path)))
    return found


def safe_name(name: str, longest: int = 60) -> str:
    """Return ``name`` with everything but letters, digits, dot, dash and underscore made a dash; never empty.

    >>> safe_name("Out & In/../x"), safe_name("con"), safe_name("..")
    ('Out-In-x', 'con-', 'unnamed')
    """
    kept = re.sub(r"[^\w.-]+", "-", name)
    kept = re.sub(r"\.{2,}|-{2,}|-\.+-", "-", kept)
    kept = re.sub(r"-{2,}", "-", kept).strip(".-_ ")[:longest].rstrip(".-_ ")
    if not kept:
        return "unnamed"
    return kept + "-" if _RESERVED.fullmatch(kept.split(".")[0]) else kept
