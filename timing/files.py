"""Writing the output folder: whole files or none, and nothing of the user's overwritten.

A small record, ``.written.json`` in the folder, keeps the hash of every file the tool wrote. A file that is not in
the record, or that has been changed since, is the user's: it is refused without ``force``.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from timing.errors import OutputError

RECORD = ".written.json"


def write_outputs(folder: Path, files: Mapping[str, bytes], force: bool = False) -> list[Path]:
    """Write ``files`` (relative name -> content) into ``folder``, all of them or none; return their paths.

    Raises OutputError before anything is replaced when a file is not ours, or the folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise OutputError(
            f"{folder}: cannot make this folder ({_reason(error)}); choose another with -o DIR"
        ) from None
    record = _read_record(folder)
    if not force:
        for name in files:
            _refuse_foreign(folder / name, record.get(name))
    staged: list[tuple[str, Path]] = []
    try:
        for name, content in files.items():
            staged.append((_stage(folder / name, content), folder / name))
        record |= {name: _hash(content) for name, content in files.items()}
        as_json = json.dumps(record, indent=1, sort_keys=True).encode()
        # The record goes first: if the machine stops between the renames, a rerun may replace what it wrote.
        staged.insert(0, (_stage(folder / RECORD, as_json), folder / RECORD))
        while staged:
            temporary, target = staged[0]
            os.replace(temporary, target)
            staged.pop(0)
    except OSError as error:
        raise OutputError(
            f"{error.filename2 or error.filename or folder}: cannot be written ({_reason(error)}); "
            "what was there before is untouched"
        ) from None
    finally:
        for temporary, _ in staged:
            Path(temporary).unlink(missing_ok=True)
    return [folder / name for name in files]


def write_new(path: Path, content: bytes) -> None:
    """Write a file that must not exist yet; raises OutputError when it does."""
    if path.exists():
        raise OutputError(f"{path}: exists already and is left as it is; choose another folder")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        os.replace(_stage(path, content), path)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({_reason(error)})") from None


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


def _refuse_foreign(path: Path, known: str | None) -> None:
    if path.is_dir():
        raise OutputError(f"{path}: is a folder, and a file of this name is to be written; move it away")
    if not path.exists():
        return
    try:
        current = _hash(path.read_bytes())
    except OSError as error:
        raise OutputError(f"{path}: cannot be read ({_reason(error)})") from None
    if known is None:
        raise OutputError(f"{path}: not written by this tool, so it is kept; use --force to replace it, or -o DIR")
    if current != known:
        raise OutputError(
            f"{path}: changed since the tool wrote it, so it is kept; rename your copy, use --force to replace it, "
            "or -o DIR"
        )


def _read_record(folder: Path) -> dict[str, str]:
    try:
        found = json.loads((folder / RECORD).read_text("utf-8"))
        return {str(k): str(v) for k, v in found.items()}
    except (OSError, ValueError, AttributeError):
        return {}


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)
