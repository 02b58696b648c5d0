"""Where in a TOML file a key stands, and what is wrong with a file that is no TOML, for messages."""

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


def syntax_message(message: str, text: str) -> tuple[int | None, str]:
    """Return the line of a syntax error, and tomllib's message about it with what to do."""
    match = re.search(r"\(at line (\d+), column (\d+)\)", message)
    what = re.sub(r"\s*\(at .*\)$", "", message)
    what = what[:1].lower() + what[1:]
    lines = text.split("\n")
    if "at end of document" in message:
        backwards = range(len(lines), 0, -1)
        last = next((n for n in backwards if lines[n - 1].strip()), 1)
        line_number, column = next((n for n in backwards if _open_quote(lines[n - 1])), last), 0
    elif match:
        line_number, column = int(match[1]), int(match[2])
    else:
        return None, f"not valid TOML: {what}"
    line = lines[line_number - 1] if line_number <= len(lines) else ""
    if "at end of document" in message and (opened := _open_triple(lines)):
        return opened, 'not valid TOML: closing quotes missing; text that begins with """ ends with """'
    if re.search(r"[=\[,.]\s*[“”„‘’«]", line):
        return line_number, "not valid TOML: curly quotes; write the plain quotes of the keyboard"
    if quote := _open_quote(line):
        return line_number, f"not valid TOML: closing quote missing; text that begins with {quote} ends with {quote}"
    if not column:
        return line_number, f"not valid TOML: {what} (at the end of the file)"
    advice = ""
    if "\\" in line and re.search(r"hex value|escape|'\\\\'", what):
        return line_number, 'not valid TOML: a backslash within quotes; write paths with "/", also on Windows'
    if re.match(r"\s*[\w-]+\s*:", line):
        advice = "; write key = value"
    elif re.match(r"\s*[\w.-]+\s*=\s*[^\W\d]", line) and not re.search(r"=\s*(true|false|inf|nan)\b", line):
        advice = '; put text in quotes, for example title = "Out and In"'
    return line_number, f"not valid TOML: {what} (column {column}){advice}"


def _open_quote(line: str) -> str | None:
    """Return the quote that a line of TOML opens and does not close; None where its text lacks the opening one."""
    if re.match(r"""[^"'=]*=\s*[^\W\d][^"'\[{]*["']""", line):  # title = Sea"
        return None
    opened, escaped = None, False
    for char in line:
        if opened is None:
            if char == "#":
                return None
            opened = char if char in "\"'" else None
        elif escaped:
            escaped = False
        elif char == "\\" and opened == '"':
            escaped = True
        elif char == opened:
            opened = None
    return opened


def _open_triple(lines: list[str]) -> int | None:
    """Return the line where a text in three quotes begins that never ends."""
    found = [n for n, line in enumerate(lines, 1) for _ in range(line.count('"""') + line.count("'''"))]
    return found[-1] if len(found) % 2 else None
