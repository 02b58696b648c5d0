"""Writing the output folder: whole files or none, and nothing of the user's overwritten.

A small record, ``.written.json`` in the folder, keeps the hash of every file the tool wrote. A file that is not in
the record, or that has been changed since, is the user's: it is refused without ``force``. While files are being
replaced the record holds the old and the new hash, so that a run that was killed half-way is simply run again; a lock
on ``.lock`` keeps two runs from mixing their files.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import stat
import tempfile
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path, PureWindowsPath
from typing import IO

from timing.plain.errors import OutputError
from timing.plain.inputs import read_regular

RECORD = ".written.json"
LOCK = ".lock"
LONGEST_WAIT_S = 60
LONGEST_STAGED_S = 600  # nothing is staged in a store for longer
MOST_WRITTEN = 2_000_000_000  # bytes of a file of ours: a film of ninety minutes has some 300 MB


def write_outputs(
    folder: Path, files: Mapping[str, bytes], force: bool = False, prune: tuple[str, ...] = ()
) -> list[Path]:
    """Write ``files`` (relative name -> content) into ``folder``, all of them or none; return their paths.

    Files of ours below a folder in ``prune`` that are no longer among ``files`` are taken away, unless somebody
    changed them: the request of a clip that is gone would only mislead.

    Raises OutputError before anything is replaced when a file is not ours, or the folder cannot be written.
    """
    is_new = False
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with locked(folder, "another run is writing here; wait for it to end, or choose -o DIR"):
            _sweep(folder, files)
            _write(folder, files, force)
            is_new = True
            _take_away(folder, files, prune)
    except (OSError, ValueError) as error:
        where = getattr(error, "filename2", None) or getattr(error, "filename", None) or folder
        if is_new:
            raise OutputError(
                f"{where}: is no longer needed and cannot be taken away ({_reason(error)}); every other file is new"
            ) from None
        raise OutputError(
            f"{where}: cannot be written ({_reason(error)}); nothing was changed; choose another folder with -o DIR"
        ) from None
    return [folder / name for name in files]


def refuse_foreign(folder: Path, names: Iterable[str]) -> None:
    """Raise OutputError where a file that is to be written later is the user's, before long work begins."""
    record = _read_record(folder)
    for name in names:
        _refuse_foreign(beneath(folder, name), record.get(name, ()))


def was_stopped(folder: Path) -> bool:
    """True where a run was stopped while it replaced files here, so that old and new ones lie side by side."""
    return sum(len(hashes) > 1 for hashes in _read_record(folder).values()) > 1


def beneath(folder: Path, name: str) -> Path:
    """Return the path of a file in a folder; raises OutputError for one that leads out of it.

    Links below the folder are not followed; the folder itself may be one: whoever gave it chose where results go.
    """
    parts = name.split("/")
    is_odd = any(part in ("", ".", "..") for part in parts) or "\\" in name or PureWindowsPath(name).drive
    if is_odd or any(ord(letter) < 32 for letter in name):
        raise OutputError(f"{folder}: {name!r} is no name of a file in this folder; nothing was changed")
    path = folder
    for part in parts:
        path = path / part
        if path.is_symlink():
            raise OutputError(f"{path}: is a link, and links are not followed here; put the real one in its place")
    return path


def _write(folder: Path, files: Mapping[str, bytes], force: bool) -> None:
    record = _read_record(folder)
    for name in files:
        path = beneath(folder, name)
        if not force:
            _refuse_foreign(path, record.get(name, ()))
    new: dict[str, tuple[str, ...]] = {name: (_hash(content),) for name, content in files.items()}
    between: dict[str, tuple[str, ...]] = {
        name: tuple(sorted({*hashes, *record.get(name, ())})) for name, hashes in new.items()
    }
    staged: list[tuple[str, Path]] = []
    try:
        staged.append((_stage(folder / RECORD, _as_json(record | between)), folder / RECORD))
        for name, content in files.items():
            if not _holds(folder / name, content):
                staged.append((_stage(folder / name, content), folder / name))
        staged.append((_stage(folder / RECORD, _as_json(record | new)), folder / RECORD))
        _replace_all(staged)
    finally:
        for temporary, _ in staged:
            Path(temporary).unlink(missing_ok=True)


def _sweep(folder: Path, files: Iterable[str]) -> None:
    """Take away what runs that were killed had staged; under the lock nobody else is staging here."""
    for place in {beneath(folder, name).parent for name in files}:
        _sweep_folder(place)
    if not (store := folder / ".store").is_symlink():  # written without the lock: what is old belongs to no run
        _sweep_folder(store, LONGEST_STAGED_S)


def _sweep_folder(place: Path, age_s: float = 0) -> None:
    for left in place.glob(".part-*.tmp") if place.is_dir() else ():
        with suppress(OSError):
            if not age_s or time.time() - left.stat().st_mtime > age_s:
                left.unlink(missing_ok=True)


def _holds(path: Path, content: bytes) -> bool:
    """True where a file has this content already: it need not be written again."""
    return path.is_file() and path.stat().st_size == len(content) and path.read_bytes() == content


def _replace_all(staged: list[tuple[str, Path]]) -> None:
    """Put the staged files in their places one after the other; ``staged`` keeps those that are still to go."""
    count = len(staged)
    while staged:
        try:
            os.replace(*staged[0])
        except OSError as error:
            new = count - len(staged) - 1  # the record came first
            if new < 1:
                raise
            raise OutputError(
                f"{staged[0][1]}: cannot be replaced ({_reason(error)}); {new} files before it are new, the others are "
                "as they were: close the program that holds it, and run this again"
            ) from None
        staged.pop(0)


def _take_away(folder: Path, files: Mapping[str, bytes], prune: tuple[str, ...]) -> None:
    record = _read_record(folder)
    gone = [name for name in record if name not in files and name.startswith(prune)] if prune else []
    for name in gone:
        try:
            path = beneath(folder, name)
        except OutputError:
            continue  # somebody else's record
        if path.is_file() and _hash(path.read_bytes()) in record[name]:
            path.unlink()
    if gone:
        left = {name: hashes for name, hashes in record.items() if name not in gone}
        os.replace(_stage(folder / RECORD, _as_json(left)), folder / RECORD)


def write_new(path: Path, content: bytes) -> None:
    """Write a file that must not exist yet; raises OutputError when it does."""
    if path.exists():
        raise OutputError(f"{path}: exists already and is left as it is; choose another folder")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        os.replace(_stage(path, content), path)
    except (OSError, ValueError) as error:
        raise OutputError(f"{path}: cannot be written ({_reason(error)})") from None


def replace_file(path: Path, content: bytes) -> None:
    """Write a file that the tool keeps up to date, whole or not at all; raises OutputError."""
    try:
        os.replace(_stage(path, content), path)
    except (OSError, ValueError) as error:
        raise OutputError(f"{path}: cannot be written ({_reason(error)}); it is as it was") from None


@contextmanager
def locked(folder: Path, otherwise: str = "another run is writing here; wait for it to end") -> Iterator[None]:
    """Hold a folder's lock; the system lets it go when the program ends, however it ends.

    The lock is a file that is taken away again: whoever got one that is gone by now tries anew. What a run that was
    killed had staged here is taken away. Raises OutputError, saying ``otherwise``, where another run holds it too
    long, and where the folder cannot be written.
    """
    path = folder / LOCK
    deadline = time.monotonic() + LONGEST_WAIT_S
    while True:
        try:
            file = _open_lock(path)
        except OSError as error:
            raise OutputError(
                f"{folder}: cannot be written ({_reason(error)}); make it writable, or work on a copy of it"
            ) from None
        try:
            if _try_lock(file) and _is_there(path, file):
                break
        except BaseException:
            file.close()
            raise
        file.close()
        if time.monotonic() > deadline:
            raise OutputError(f"{folder}: {otherwise}")
        time.sleep(0.02)
    try:
        _sweep_folder(folder)
        yield
    finally:
        if os.name != "nt":  # there an open file cannot be taken away, and a closed one may be another's by then
            path.unlink(missing_ok=True)
        file.close()


def _open_lock(path: Path) -> IO[bytes]:
    """Open a lock's file, made where there is none; a link or a pipe in its place is an OSError."""
    if path.is_symlink():
        raise OSError(errno.ELOOP, "it is a link", str(path))
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    handle = os.open(path, flags | getattr(os, "O_BINARY", 0), 0o666)
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise OSError(errno.EINVAL, "it is a device or a pipe, not a file", str(path))
    return os.fdopen(handle, "r+b")


def _is_there(path: Path, file: IO[bytes]) -> bool:
    """True where the opened file still is the one that others will open."""
    try:
        return os.path.samestat(os.fstat(file.fileno()), path.stat())
    except OSError:
        return False


def _try_lock(file: IO[bytes]) -> bool:
    try:
        if os.name == "nt":
            import msvcrt

            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return True  # a file system without locks: go on without
    return True


def _stage(target: Path, content: bytes) -> str:
    """Write ``content`` to a temporary file beside ``target`` and return its path."""
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".part-", suffix=".tmp")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, 0o666 & ~_umask())
    except OSError:
        Path(temporary).unlink(missing_ok=True)
        raise
    return temporary


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _refuse_foreign(path: Path, known: tuple[str, ...]) -> None:
    if path.is_dir():
        raise OutputError(f"{path}: is a folder, and a file of this name is to be written; move it away")
    if not path.exists():
        return
    current = _hash(read_regular(path, MOST_WRITTEN))
    if not known:
        raise OutputError(f"{path}: not written by this tool, so it is kept; use --force to replace it, or -o DIR")
    if current not in known:
        raise OutputError(
            f"{path}: changed since the tool wrote it, so it is kept; rename your copy, use --force to replace it, "
            "or -o DIR"
        )


def _read_record(folder: Path) -> dict[str, tuple[str, ...]]:
    try:
        found = json.loads(read_regular(beneath(folder, RECORD)))
        return {str(name): tuple(str(h) for h in hashes) for name, hashes in found.items()}
    except (OSError, OutputError, ValueError, AttributeError, TypeError, RecursionError):
        return {}


def _as_json(record: Mapping[str, object]) -> bytes:
    return json.dumps(record, indent=1, sort_keys=True).encode()


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)
