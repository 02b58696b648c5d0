"""Where in a TOML file a key stands, for messages; tomllib itself tells only of syntax errors."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

_KEY = r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[A-Za-z0-9_-]+)"""
_PATH = rf"{_KEY}(?:\s*\.\s*{_KEY})*"
_HEADER = re.compile(rf"\s*\[\[?\s*({_PATH})\s*\]\]?")
_ASSIGNMENT = re.compile(rf"\s*({_PATH})\s*=")


class KeyLines:
    """The line numbers (from 1) of the tables and keys of one file."""

    def __init__(self, text: str):
        self.lines: dict[tuple[str, ...], int] = {}
        table: tuple[str, ...] = ()
        for number, line in enumerate(text.split("\n"), 1):
            if match := _HEADER.match(line):
                table = _parts(match[1])
                self._note(table, number)
            elif match := _ASSIGNMENT.match(line):
                path = (*table, *_parts(match[1]))
                self._note(path, number)

    def _note(self, path: tuple[str, ...], number: int) -> None:
        for length in range(1, len(path) + 1):
            self.lines.setdefault(path[:length], number)

    def find(self, path: tuple[str, ...]) -> int | None:
        """Return the line of a key, or of the nearest table around it; None where nothing is known."""
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path[:-1]
        return None


def _parts(dotted: str) -> tuple[str, ...]:
    """Return the keys of a dotted key; TOML itself reads it, so quoting is right."""
    try:
        values: Any = tomllib.loads(f"{dotted} = 0")
    except tomllib.TOMLDecodeError:
        return (dotted,)
    parts = []
    while isinstance(values, Mapping):
        key, values = next(iter(values.items()))
        parts.append(key)
    return tuple(parts)
