"""The one place for what costs time and can be made again: heard recordings, beats, verdicts, loudness, pages.

In: a kind of value, everything the value depends on, and a way to make it. Out: the value, made or remembered.

Conventions: a value is a function of its key and points at nothing outside it: no positions in a list that the key
does not hold, no paths. The key covers the contents of the files (never their names), the words, the settings, and
the version of the code that makes the value. Moments are written as exact fractions. One small file an entry, written
whole or not at all, with a sum over itself: an entry that is damaged, cut short or of another shape is made anew, and
two runs at once at worst make the same value twice. The folder may be deleted at any time.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, Generic, TypeVar

from timing.plain.errors import OutputError
from timing.plain.files import beneath
from timing.plain.inputs import read_regular, require_regular

T = TypeVar("T")

FOLDER = ".store"  # in the output folder
_WRONG_SHAPE = (LookupError, TypeError, ValueError, AttributeError, ArithmeticError)


@dataclass(frozen=True)
class Kind(Generic[T]):
    """One kind of value: ``write`` makes plain JSON values of it, ``read`` the value again.

    ``version`` is raised whenever the code would make another value of the same input. ``read`` raises any of
    LookupError, TypeError, ValueError, AttributeError or ArithmeticError for what ``write`` never wrote.
    """

    name: str
    version: int
    write: Callable[[T], Any]
    read: Callable[[Any], T]


class Store:
    """A folder of values; with ``folder`` None they are remembered as long as the store itself lives."""

    def __init__(self, folder: Path | None = None):
        self.folder = folder
        self._remembered: dict[str, str] = {}

    @classmethod
    def below(cls, out: Path) -> Store:
        """Return the store of an output folder."""
        return cls(out / FOLDER)

    def made(self, kind: Kind[T], on: tuple[object, ...], make: Callable[[], T]) -> T:
        """Return the value that depends on ``on`` (anything with a stable ``repr``), made only where it is not known.

        What is made anew goes through ``write`` and ``read`` too, so that a first run says what a second one says.
        """
        name = _name_of(kind, on)
        known = self._known(kind, name)
        if known:
            return known[0]
        body = json.dumps(kind.write(make()), separators=(",", ":"))
        self._remembered[name] = body
        self._keep(name, body)
        return kind.read(json.loads(body))

    def has(self, kind: Kind[T], on: tuple[object, ...]) -> bool:
        """True where the value is known already."""
        return bool(self._known(kind, _name_of(kind, on)))

    def _known(self, kind: Kind[T], name: str) -> tuple[()] | tuple[T]:
        body = self._remembered.get(name) or self._read(name)
        try:
            found: tuple[()] | tuple[T] = (kind.read(json.loads(body)),) if body else ()
        except _WRONG_SHAPE:
            return ()
        if body and found:
            self._remembered[name] = body
        return found

    def _read(self, name: str) -> str | None:
        """Return the text of an entry's value, None where there is none or it is damaged."""
        if self.folder is None:
            return None
        try:
            text = read_regular(beneath(self.folder, name)).decode()
        except (OSError, ValueError, OutputError):
            return None
        body = text[len(_framed("")) - 1 : -1]
        return body if body and text == _framed(body) else None

    def _keep(self, name: str, body: str) -> None:
        """Write an entry; a folder that cannot be written to keeps nothing."""
        if self.folder is None or self.folder.is_symlink():  # it would be written out of the output folder
            return
        temporary = None
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, temporary = tempfile.mkstemp(dir=self.folder, prefix=".part-", suffix=".tmp")
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
                file.write(_framed(body))
            os.replace(temporary, self.folder / name)
        except OSError:
            if temporary is not None:
                Path(temporary).unlink(missing_ok=True)


def _framed(body: str) -> str:
    return f'{{"sum":"{hashlib.sha256(body.encode()).hexdigest()[:16]}","value":{body}}}'


def _name_of(kind: Kind[Any], on: tuple[object, ...]) -> str:
    return f"{kind.name}-{digest(kind.version, *on)}.json"


def digest(*parts: object) -> str:
    """Return 32 hex digits that change with any of ``parts`` (anything with a stable ``repr``)."""
    return hashlib.sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()[:32]


def content_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes in hex; raises OSError."""
    require_regular(path)
    facts = path.stat()
    return _content(path, facts.st_size, facts.st_mtime_ns)


@lru_cache(maxsize=4096)
def _content(path: Path, _size: int, _changed_ns: int) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
