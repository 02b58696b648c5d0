"""Where the files that travel with the tool lie: the top-level ``fonts/`` and ``examples/``.

In a wheel they are installed inside the package (``timing/fonts``, ``timing/examples``); in a checkout and in an
editable install they stand beside it, at the top level of the project.
"""

from __future__ import annotations

from pathlib import Path

from timing.plain.errors import TimingError

_PACKAGE = Path(__file__).resolve().parents[1]


def resource_folder(name: str) -> Path:
    """Return the folder ``name`` ("fonts" or "examples"); raises TimingError when the installation lacks it.

    >>> (resource_folder("fonts") / "OFL-1.1.txt").is_file()
    True
    """
    inside = _PACKAGE / name
    if inside.is_dir():
        return inside
    # Beside the package only in a checkout: site-packages may hold an unrelated folder called "examples".
    project = _PACKAGE.parent
    if (project / "pyproject.toml").is_file() and (project / name).is_dir():
        return project / name
    raise TimingError(f'this installation lacks its "{name}" folder; install timing-sheets again')


def example_files(episode: str = "low-tide") -> dict[str, bytes]:
    """Return the files of an example episode, by their path inside its folder.

    >>> "script.fountain" in example_files()
    True
    """
    folder = resource_folder("examples") / episode
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.relative_to(folder).parts[0] != "out"  # results of somebody's try
    }


def example_heard(episode: str = "low-tide") -> dict[str, bytes]:
    """Return what was heard in an example's recordings, by file name, as listening keeps it.

    Without these files (or with other ones) the recordings are simply listened to.
    """
    folder = resource_folder("examples") / f"{episode}-heard"
    return {path.name: path.read_bytes() for path in sorted(folder.glob("*.json"))}
