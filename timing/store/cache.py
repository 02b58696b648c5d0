"""Results of listening kept by content, so that a second run need not listen again.

One small JSON file for each result; its name is a hash of everything the result depends on (the recording's bytes,
the words and their pronunciations, the version of the method). Moments are written as exact fractions. A file that
cannot be read is as good as none.
"""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path
from typing import Any

VERSION = 6  # raised when the same sound would be heard differently


class Cache:
    """A folder of results; ``folder`` None keeps nothing."""

    def __init__(self, folder: Path | None):
        self._folder = folder / "listen" if folder else None

    def get(self, key: str) -> Any:
        """Return what was kept under ``key``, None when there is nothing."""
        if self._folder is None:
            return None
        try:
            return json.loads((self._folder / f"{key}.json").read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return None

    def put(self, key: str, value: Any) -> None:
        """Keep plain JSON values under ``key``; a folder that cannot be written to keeps nothing."""
        if self._folder is None:
            return
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            path = self._folder / f"{key}.json"
            fresh = path.with_suffix(f".{os.getpid()}")
            fresh.write_text(json.dumps(value, separators=(",", ":")), encoding="utf-8")
            fresh.replace(path)
        except OSError:
            return


def key_of(*parts: object) -> str:
    """Return the name for a result that depends on ``parts`` (anything with a stable ``repr``)."""
    return hashlib.sha256(repr((VERSION, *parts)).encode()).hexdigest()[:32]


def hash_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes; raises OSError."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
