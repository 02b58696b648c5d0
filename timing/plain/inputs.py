"""The gate for files that are read: whole regular files of a bounded size, nothing that never ends.

A device or a pipe in the place of a file would be read for ever, and opening a pipe waits for its other end.
"""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

MOST_BYTES = 64_000_000  # of one text file: an episode of ninety minutes has a plan.json of some 10 MB


def read_regular(path: Path, most: int = MOST_BYTES) -> bytes:
    """Return the bytes of a regular file; raises OSError, whose ``strerror`` says why, for anything else or larger."""
    require_regular(path)
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0))
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise _no_file(path)
        found = file.read(most + 1)
    if len(found) > most:
        raise OSError(errno.EFBIG, f"it is larger than {most / 1e6:g} MB", str(path))
    return found


def require_regular(path: Path) -> None:
    """Raise OSError where ``path`` is no regular file, or a link to none."""
    mode = path.stat().st_mode
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, "it is a folder", str(path))
    if not stat.S_ISREG(mode):
        raise _no_file(path)


def _no_file(path: Path) -> OSError:
    return OSError(errno.EINVAL, "it is a device or a pipe, not a file", str(path))
