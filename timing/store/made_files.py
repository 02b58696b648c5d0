"""Files that were written before and are still true: what is kept is what each would hold, the files are the copy.

In: everything that some files depend on, the folder they were written to, a way to make them. Out: the same files,
made only where one of them is gone or changed. Unlike a measurement, a page or a table changes with nearly every
change of the code, so the code itself belongs to what they depend on (:func:`code_version`).
"""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

from timing.plain.errors import TimingError
from timing.plain.resources import resource_folder
from timing.store.store import Kind, Store, digest

Made = tuple[Mapping[str, bytes], Any]
"""Files by name, and plain JSON values that belong to them."""


def made_files(store: Store, name: str, on: tuple[object, ...], out: Path, make: Callable[[], Made]) -> Made:
    """Return what ``make`` returns, from the files in ``out`` where they are those that it would make."""
    fresh: list[Made] = []

    def once() -> Made:
        if not fresh:
            fresh.append(make())
        return fresh[0]

    def sums() -> tuple[dict[str, str], Any]:
        files, facts = once()
        return {file: _sum(content) for file, content in files.items()}, facts

    kind: Kind[tuple[dict[str, str], Any]] = Kind(name, 1, list, _two)
    known, facts = store.made(kind, (code_version(), *on), sums)
    if fresh:
        return fresh[0]
    found = {}
    for file, content_sum in known.items():
        try:
            found[file] = (out / file).read_bytes()
        except OSError:
            return once()
        if _sum(found[file]) != content_sum:
            return once()
    return found, facts


def _two(kept: Any) -> tuple[dict[str, str], Any]:
    sums, facts = kept
    return {str(file): str(content_sum) for file, content_sum in sums.items()}, facts


def _sum(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def state_of(folder: Path, without: Path, but: Collection[str] = ()) -> str:
    """Return a text that changes with any file in a folder, but for those in ``without``, hidden ones and ``but``.

    Names, sizes and times of change: it may change for nothing, which costs only the time to make things again.
    """
    return digest(
        str(folder.resolve()), *(fact for fact in _facts(folder, without.resolve()) if Path(fact[0]).name not in but)
    )


def _facts(folder: Path, without: Path) -> Iterator[tuple[str, int, int]]:
    try:
        entries = sorted(folder.iterdir())
    except OSError:
        return
    for path in entries:
        if path.name.startswith(".") or path.resolve() == without:
            continue
        if path.is_dir() and not path.is_symlink():
            yield from _facts(path, without)
        else:
            try:
                facts = path.stat()
            except OSError:
                continue
            yield str(path), facts.st_size, facts.st_mtime_ns


@lru_cache(maxsize=1)
def code_version() -> str:
    """Return a text that changes with any line of the tool's code, its typefaces, and the libraries it runs on."""
    package = Path(__file__).resolve().parents[1]
    folders = [package]
    with suppress(TimingError):  # said when a page is made
        folders.append(resource_folder("fonts"))
    seen = hashlib.sha256(sys.version.encode())
    for folder in folders:
        for path in sorted(p for p in folder.rglob("*") if p.suffix in (".py", ".json", ".ttf")):
            seen.update(path.read_bytes())
    return f"{seen.hexdigest()} {_libraries()}"


def _libraries() -> str:
    from importlib.metadata import PackageNotFoundError, version

    found = []
    for name in ("reportlab", "numpy", "av", "mido", "pyphen", "pypdfium2"):
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            continue
    return ", ".join(found)
