"""series.toml and episode.toml as one content, of which every key knows the file and line it stands in.

In: the two files, either of which may be missing. Out: :class:`SettingsText`. An episode's key takes the place of the
series' one; the tables of one speaker and of one profile are joined key by key, a word under [say] is taken whole.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.plain.errors import ScriptError, SettingsError
from timing.plain.inputs import read_regular
from timing.plain.numbers import exact
from timing.plain.toml_lines import KeyLines, syntax_message
from timing.script.decoding import decode

LARGEST_BYTES = 4_000_000  # ten thousand words under [say] are half a megabyte
OF_ONE_EPISODE = ("title", "code", "song", "takes", "rest")
_JOINED = ("cast", "profile")  # tables of tables, joined key by key
_ANY_CAPITALS = ("cast", "say")  # names of whatever capitals


@dataclass(frozen=True)
class SettingsFile:
    """One file: its path as messages name it, its content, its lines."""

    path: Path | str
    content: Mapping[str, Any]
    lines: KeyLines

    def has(self, path: tuple[str, ...]) -> bool:
        """True where this key stands in the file, whatever its capitals."""
        return _at(self.content, path) is not None

    def line_of(self, path: tuple[str, ...]) -> int | None:
        return self.lines.find(_spelled(self.content, path))


def _at(content: Any, path: tuple[str, ...]) -> Any:
    for name in path:
        if not isinstance(content, Mapping):
            return None
        content = next((value for key, value in content.items() if key.casefold() == name.casefold()), None)
    return content


def _spelled(content: Any, path: tuple[str, ...]) -> tuple[str, ...]:
    """Return a path as its keys are written in the file."""
    found = []
    for name in path:
        keys = content if isinstance(content, Mapping) else {}
        name = next((key for key in keys if key.casefold() == name.casefold()), name)
        found.append(name)
        content = keys.get(name)
    return tuple(found)


def read_settings_file(path: Path) -> SettingsFile:
    """Return a settings file as it stands; raises SettingsError with file and line."""
    try:
        data = read_regular(Path(path), LARGEST_BYTES)
    except IsADirectoryError:
        raise SettingsError("this is a folder, not a settings file", path) from None
    except FileNotFoundError:
        raise SettingsError("there is no such file", path) from None
    except OSError as error:
        raise SettingsError(f"the file cannot be read ({error.strerror or error})", path) from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        try:
            text = decode(data, path)[0]
        except ScriptError as error:
            raise SettingsError(error.message, error.path, error.line_number) from None
    return parse_settings_file(text, path)


def parse_settings_file(text: str, path: Path | str) -> SettingsFile:
    try:
        content = tomllib.loads(text, parse_float=_exact)
    except tomllib.TOMLDecodeError as error:
        line_number, message = syntax_message(str(error), text)
        raise SettingsError(message, path, line_number) from None
    except (ValueError, RecursionError):
        raise SettingsError("this cannot be read as TOML: a number or a nesting in it is far too large", path) from None
    return SettingsFile(path, content, KeyLines(text))


def _exact(text: str) -> Fraction | float:
    """Return a TOML float exactly; infinities and giants stay floats and are refused where they are used."""
    try:
        return exact(text.replace("_", ""))
    except ValueError:
        return float(text)


class SettingsText:
    """What an episode and its series say together; ``series`` None for an episode by itself."""

    def __init__(self, episode: SettingsFile, series: SettingsFile | None = None):
        self.episode, self.series = episode, series
        self.content = episode.content if series is None else _joined(series, episode)

    def place(self, path: tuple[str, ...]) -> tuple[Path | str, int | None]:
        """Return file and line of a key, or of the nearest table around it."""
        for length in range(len(path), 0, -1):
            for file in (self.episode, self.series):
                if file and file.has(path[:length]):
                    return file.path, file.line_of(path[:length])
        return self.episode.path, None

    def elsewhere(self, table: tuple[str, ...], message: str, file: Path | str) -> str:
        """Return where those keys of a table stand that a message about ``file`` names and the other file holds."""
        if self.series is None or not isinstance(keys := _at(self.content, table), Mapping):
            return ""
        words = message.replace(",", " ").replace(";", " ").replace(".", " ").split()
        named = [key for key, value in keys.items() if key in words and (table or not isinstance(value, Mapping))]
        places = {key: self.place((*table, key)) for key in named}
        told = [f"{key} stands in {path}:{line}" for key, (path, line) in places.items() if path != file]
        advice = "; a profile of another name may differ" if table[:1] == ("profile",) else ""
        return f" ({', '.join(told)}{advice})" if told else ""

    def is_shared(self, *path: str) -> bool:
        """True for a key that the series gives and the episode does not."""
        return self.series is not None and self.series.has(path) and not self.episode.has(path)


def _joined(series: SettingsFile, episode: SettingsFile) -> dict[str, Any]:
    for key in OF_ONE_EPISODE:
        if key in series.content:
            message = f"{key} belongs to one episode; write it into that episode's episode.toml"
            raise SettingsError(message, series.path, series.line_of((key,)))
    both = dict(series.content)
    for key, value in episode.content.items():
        shared = both.get(key)
        if isinstance(shared, Mapping) and isinstance(value, Mapping):
            value = _tables(shared, value, key in _JOINED, str.casefold if key in _ANY_CAPITALS else str)
        both[key] = value
    return both


def _tables(
    shared: Mapping[str, Any], own: Mapping[str, Any], is_joined: bool, fold: Callable[[str], str]
) -> dict[str, Any]:
    """Return two tables as one: the episode's keys, and those of the series that it does not have."""
    spelled = {fold(name): name for name in shared}
    taken = {fold(name) for name in own}
    both = {name: value for name, value in shared.items() if fold(name) not in taken}
    for name, value in own.items():
        before = shared.get(spelled.get(fold(name), name))
        if is_joined and isinstance(before, Mapping) and isinstance(value, Mapping):
            value = {**before, **value}
        both[name] = value
    return both
