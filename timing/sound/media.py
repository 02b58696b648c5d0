"""Opening sound and video files: the one place that knows the versions of the decoding library."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def open_media(path: Path) -> Any:
    """Return the file, opened by PyAV; odd letters in its tags are no reason to refuse it.

    Raises what PyAV raises (av.FFmpegError, OSError, ValueError): each caller says in its own words what to do.
    """
    import av

    try:
        return av.open(str(path), metadata_errors="replace")
    except TypeError:  # from av 19 on this is the only way and has no name
        return av.open(str(path))
