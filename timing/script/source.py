"""SOURCE as given on the command line -> the script, the settings and the place for results."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from timing.model import LineKind
from timing.model.settings import EpisodeSettings
from timing.plain.errors import ScriptError, SettingsError
from timing.plain.nearest import nearest
from timing.plain.series import SERIES_FILE, episodes_below, series_folder
from timing.script.episode import FILE_NAME, read_episode
from timing.script.reader import FOUNTAIN_SUFFIXES, read_script
from timing.script.template import is_sample

MOST_LOOKED_INTO = 8  # texts of a folder that are read to find the script among them
SCRIPT_SUFFIXES = (".fountain", ".spmd", ".txt", ".md")
DOCUMENT_SUFFIXES = (".docx", ".doc", ".odt", ".rtf", ".pdf", ".html")
NO_SCRIPTS = (".toml", ".json", ".csv", ".srt", ".vtt", ".otio", ".edl", ".pdf", ".mid", ".wav", ".mp3", ".mp4")
RESULTS = "plan.json"
# Text that lies in many folders and is no script, by the beginning of its name.
ABOUT_A_FOLDER = (
    "readme", "lisez-?moi", "leia-?me", "leeme", "leggimi", "liesmich", "lees-?mij", "notes", "todo", "notice", "news",
    "license", "licence", "copying", "developers", "contributing", "changelog", "changes", "history", "authors",
    "credits", "install", "security", "code_of_conduct", "requirements", "cmakelists", "robots",
)  # fmt: skip


@dataclass(frozen=True)
class Source:
    """An episode: its ``folder``, script file, settings, and where its results go."""

    folder: Path
    script: Path
    settings: EpisodeSettings
    default_out: Path
    series: Path | None = None  # the folder with the series.toml that the episode belongs to
    cut: Path | None = None  # where the real cut was named; else it is looked for in the folder

    @property
    def is_lone_script(self) -> bool:
        """True for a script file without an episode folder around it."""
        return self.default_out.name != "out"

    @property
    def memory_folder(self) -> Path:
        """Where what cannot be made again lies: the episode folder, for a lone script its own results."""
        return self.default_out if self.is_lone_script else self.folder


def open_source(path: Path) -> Source:
    """Return the episode at ``path``, an episode folder or a script file.

    Results of a folder go to its ``out``, those of a lone script NAME.fountain to ``NAME-out`` beside it; a
    script named ``script`` that lies beside an episode.toml belongs to that folder.
    Raises ScriptError for a missing or ambiguous script, SettingsError for a bad episode.toml
    or series.toml.
    """
    path = Path(path)
    if path.is_dir():
        return _folder(path, _script_in(path))
    if path.is_file() and path.name == FILE_NAME:
        return _folder(path.parent, _script_in(path.parent))
    if not path.exists():
        raise ScriptError(f"there is no such file or folder{_near(path)}", path)
    if path.suffix.lower() in NO_SCRIPTS:
        raise ScriptError(
            f"a {path.suffix.lower()} file is no script; give the episode folder, or a .txt or .fountain file", path
        )
    if path.stem == "script" and (path.parent / FILE_NAME).is_file():
        return _folder(path.parent, path)
    return Source(path.parent, path, EpisodeSettings(), path.with_name(f"{path.stem}-out"))


def _folder(folder: Path, script: Path) -> Source:
    series = series_folder(folder)
    if (folder / SERIES_FILE).exists():
        raise SettingsError("belongs one folder above the episodes that share it", folder / SERIES_FILE)
    settings = EpisodeSettings()
    if series or (folder / FILE_NAME).exists():
        settings = read_episode(folder / FILE_NAME, series / SERIES_FILE if series else None)
    return Source(folder, script, settings, folder / "out", series)


def _script_in(folder: Path) -> Path:
    """Return the folder's script: the one called ``script``, or the only one there is."""
    if (folder / SERIES_FILE).is_file() and not (folder / FILE_NAME).exists():
        own = ", ".join(str(folder / name) for name in episodes_below(folder)[:5])
        raise ScriptError(f"this folder holds a series; name one of its episodes{f': {own}' if own else ''}", folder)
    if (folder / RESULTS).is_file() and not (folder / FILE_NAME).is_file():
        raise ScriptError("this folder holds results; give the episode's own folder, or its script", folder)
    try:
        files = sorted(p for p in folder.iterdir() if p.is_file() and not p.name.startswith("."))
    except OSError as error:
        raise ScriptError(f"the folder cannot be read ({error.strerror or error})", folder) from None
    found = [p for p in files if p.suffix.lower() in SCRIPT_SUFFIXES]
    found = [p for p in found if not _is_edition(p, found)]
    candidates = [p for p in found if p.stem.lower() == "script"] or [p for p in found if not _is_about(p)]
    fountains = [p for p in candidates if p.suffix.lower() in (".fountain", ".spmd")]
    if len(candidates) > 1 and len(fountains) == 1 and fountains[0].stem.lower() != "script":
        candidates = fountains
    if len(candidates) > 1 or not (folder / FILE_NAME).exists():
        candidates, silent = _with_speech(candidates), candidates
        if not candidates and silent:
            raise ScriptError(_no_script(silent, "nothing is spoken there"), folder)
    if len(candidates) == 1:
        return candidates[0]
    if candidates:
        names = ", ".join(p.name for p in candidates[:5])
        sample = next((p.name for p in candidates if _is_sample(p)), None)
        which = f"; {sample} is the sample that timing new wrote, unchanged, and may be deleted" if sample else ""
        raise ScriptError(f"this folder has several scripts ({names}); name the one you mean{which}", folder)
    if found:
        raise ScriptError(_no_script(found, "by its name no script"), folder)
    others = [p.name for p in files if p.suffix.lower() in DOCUMENT_SUFFIXES or not p.suffix or _near_name(p)]
    hint = f"; it has {', '.join(others[:3])}: save the text as script.txt" if others else ""
    raise ScriptError(f"this folder has no script{hint or '; put script.fountain or script.txt into it'}", folder)


def _is_sample(path: Path) -> bool:
    try:
        return is_sample(path.read_bytes().decode("utf-8", "replace"))
    except OSError:
        return False


def _is_about(path: Path) -> bool:
    """True for README.md, LICENSE-MIT.txt and their like.

    >>> _is_about(Path("README.pt.md")), _is_about(Path("newsreel.txt"))
    (True, False)
    """
    return any(re.fullmatch(rf"{name}(?:[^a-z].*)?", path.stem.lower()) for name in ABOUT_A_FOLDER)


def _with_speech(files: list[Path]) -> list[Path]:
    """Return the files that a script may be in: of Fountain, named script, or with something that is spoken or sung."""
    if len(files) > MOST_LOOKED_INTO:
        return files
    return [p for p in files if p.suffix.lower() in FOUNTAIN_SUFFIXES or p.stem.lower() == "script" or _speaks(p)]


def _speaks(path: Path) -> bool:
    """True unless a file certainly is no script; one that cannot be read is told by whoever reads it."""
    try:
        lines = read_script(path).lines
    except ScriptError:
        return True
    return any(line.kind is not LineKind.PICTURE for line in lines)


def _no_script(files: list[Path], why: str) -> str:
    names = ", ".join(p.name for p in files[:5])
    return (
        f"this folder has no script (there is {names}, {why}); put script.fountain or script.txt into it, "
        "or name the file that you mean"
    )


def _is_edition(path: Path, scripts: list[Path]) -> bool:
    """True for tide.pt.txt beside tide.txt: the same script in another language."""
    stem, _, language = path.stem.rpartition(".")
    return bool(re.fullmatch(r"[A-Za-z]{2}(?:[-_][A-Za-z]{2})?", language)) and any(p.stem == stem for p in scripts)


def _near_name(path: Path) -> bool:
    return bool(nearest(path.stem, ["script"]))


def _near(path: Path) -> str:
    try:
        names = [p.name for p in path.parent.iterdir()] if path.parent.is_dir() else []
    except OSError:
        return ""
    if not path.parent.is_dir():
        return f" (the folder {path.parent} does not exist)"
    near = nearest(path.name, names, 2)
    return f"; did you mean {' or '.join(near)}?" if near else ""
