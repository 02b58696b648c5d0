"""Line ids and the words they belong to: ``lines.toml`` in the episode folder (a lone script's in its own results).

One row an id, lines in the order of the script, so that version control merges it as it merges the script:

    [lines]
    12 = { speaker = "TANSY", text = "Where does the sea go?" }
    12A = { speaker = "BRAM", text = "Out, and in.", was = ["Away and back."] }

    [gone]
    13 = { text = "A gull crosses.", kind = "picture" }

``was`` are earlier words of a line, [gone] the ids of lines that left the script: words that are put back find their
id there. Comments and keys of people stay with their rows. A file that cannot be read is an error, never "nothing
known". Ids are read, given and written under the folder's lock, so that two runs cannot give one id to two lines.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from timing.memory.earlier_plan import lines_of_plan
from timing.memory.kept_text import kept_text
from timing.memory.line_ids import LINE_ID, KnownLine, assign_ids, natural_order
from timing.memory.rest import Rests
from timing.plain.errors import SettingsError
from timing.plain.files import locked, replace_file
from timing.plain.nearest import nearest
from timing.plain.toml_lines import syntax_message

FILE_NAME = "lines.toml"
LINES, GONE = "lines", "gone"
KINDS = ("spoken", "sung", "picture")
KEYS = ("kind", "speaker", "text", "was", "rest")
HEAD = """\
# The number of each line, and the words it belongs to. The tool keeps this file; keep it with the script, in version
# control too. Numbers under [gone] are given to no other words; words that are put back get their number back.
"""
_ROW = re.compile(r"""\s*(?:"([^"]*)"|'([^']*)'|([\w-]+))\s*=""")


@dataclass(frozen=True)
class LineMemory:
    """What is remembered of lines: those of the script as it was last, in its order, and those that left it.

    ``notes`` has what people wrote around a row, by id: comment lines above it, own keys in it; ``rest`` are lines
    at the end of the file that are theirs alone. ``rests`` are findings put to rest, by line id.
    """

    lines: tuple[KnownLine, ...] = ()
    gone: tuple[KnownLine, ...] = ()
    notes: Mapping[str, _Notes] = field(default_factory=dict)
    head: str = HEAD
    rest: tuple[str, ...] = ()
    rests: Rests = field(default_factory=dict)

    def numbered(self, now: Sequence[KnownLine]) -> tuple[list[str], LineMemory]:
        """Return an id for each line of ``now``, and what is to be remembered then."""
        ids = assign_ids(self.lines, now, (), self.gone)
        known = {line.id: line for line in (*self.gone, *self.lines)}
        lines = tuple(
            known[line_id].with_text_of(line)
            if line_id in known
            else KnownLine(line.kind, line.speaker, line.text, line_id)
            for line_id, line in zip(ids, now, strict=True)
        )
        left = set(known) - set(ids)
        gone = tuple(sorted((known[line_id] for line_id in left), key=lambda line: natural_order(line.id)))
        return ids, replace(self, lines=lines, gone=gone)


@dataclass(frozen=True)
class _Notes:
    comments: tuple[str, ...] = ()  # lines above the row
    after: str = ""  # a comment at the end of the row
    own: Mapping[str, Any] = field(default_factory=dict)


def number_lines(
    folder: Path, now: Sequence[KnownLine], plans: Sequence[Path] = (), keep: bool = False
) -> tuple[list[str], LineMemory]:
    """Return an id for each line of a script, and what is remembered of its lines from now on.

    ``folder`` is where the memory lies; ``plans`` are where an episode that has none yet may have its last plan.json,
    the first that is there counts. With ``keep`` the memory is written. Raises SettingsError for a memory that cannot
    be read, OutputError for one that cannot be written.
    """
    before = read_lines(folder, plans)
    ids, memory = before.numbered(now)
    if not keep or ((folder / FILE_NAME).exists() and lines_text(memory) == lines_text(before)):
        return ids, memory
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with locked(folder):
            ids, memory = read_lines(folder, plans).numbered(now)
            replace_file(folder / FILE_NAME, lines_text(memory).encode())
    except OSError as error:
        from timing.plain.errors import OutputError

        raise OutputError(f"{folder / FILE_NAME}: cannot be written ({error.strerror or error})") from None
    return ids, memory


def keep_rests(folder: Path, ids: Collection[str], rests: Rests) -> None:
    """Remember which findings of the lines ``ids`` are at rest; raises as :func:`number_lines` does."""

    def changed(memory: LineMemory) -> LineMemory:
        others = {line_id: rest for line_id, rest in memory.rests.items() if line_id not in ids}
        return replace(memory, rests=others | dict(rests))

    before = read_lines(folder)
    if changed(before) != before:
        with locked(folder):
            replace_file(folder / FILE_NAME, lines_text(changed(read_lines(folder))).encode())


def read_lines(folder: Path, plans: Sequence[Path] = ()) -> LineMemory:
    """Return what is remembered, from the last plan of ``plans`` where there is no lines.toml yet.

    Raises SettingsError, with the line, for a file that cannot be read.
    """
    path = folder / FILE_NAME
    text = kept_text(path)
    if text is None:
        plan = next((plan for plan in plans if plan.exists()), None)
        return LineMemory(*lines_of_plan(plan)) if plan else LineMemory()
    return _Reader(text, path).read()


class _Reader:
    """Reads one lines.toml."""

    def __init__(self, text: str, path: Path):
        self.text, self.path = text, path
        self.places: dict[tuple[str, str], int] = {}
        self.notes: dict[str, tuple[tuple[str, ...], str]] = {}
        self.head = HEAD
        self.rest: list[str] = []
        self.rests: dict[str, Mapping[str, str]] = {}

    def error(self, message: str, number: int | None = None) -> SettingsError:
        return SettingsError(message, self.path, number)

    def read(self) -> LineMemory:
        self._scan()
        try:
            content = tomllib.loads(self.text)
        except tomllib.TOMLDecodeError as error:
            number, message = syntax_message(str(error), self.text)
            raise self.error(f"{message}; mend the row, or restore the file", number) from None
        except (ValueError, RecursionError):
            raise self.error("cannot be read as TOML; restore it") from None
        if not isinstance(content.get(LINES), dict) or not isinstance(content.get(GONE, {}), dict):
            advice = "restore it, or delete it to number all lines anew"
            raise self.error(f"has no table [{LINES}]: it is not whole; {advice}")
        for name in content:
            if name not in (LINES, GONE) and _near(name, (LINES, GONE)):
                raise self.error(f'there is no table "{name}" here; did you mean {_near(name, (LINES, GONE))}?')
        own: dict[str, Mapping[str, Any]] = {}
        tables = [
            tuple(self._line(table, line_id, row, own) for line_id, row in content.get(table, {}).items())
            for table in (LINES, GONE)
        ]
        here = {line.id for line in tables[0]}
        notes = {i: _Notes(*self.notes.get(i, ((), "")), own.get(i, {})) for i in {*self.notes, *own}}
        return LineMemory(
            tables[0], tuple(n for n in tables[1] if n.id not in here), notes, self.head, (*self.rest,), self.rests
        )

    def _scan(self) -> None:
        """Note where each id stands and which comments stand around it; refuse what a merge left behind."""
        table = ""
        head: list[str] = []
        above: list[str] = []
        for number, line in enumerate(self.text.split("\n"), 1):
            if re.match(r"(<{7}|={7}|>{7}|\|{7})( |$)", line):
                message = "a merge is not finished here; keep the rows of both sides and take the marks away"
                raise self.error(message, number)
            if match := re.match(r"\s*\[\s*(\w+)\s*\]", line):
                if not table:
                    head, above = above, []
                table = match[1]
                if above and table == GONE:
                    self.notes[GONE], above = ((*above,), ""), []
            if table and table not in (LINES, GONE):
                self.rest += [*above, line]
                above = []
            elif match := _ROW.match(line):
                line_id = next(part for part in match.groups() if part is not None)
                if (before := self.places.get((table, line_id))) is not None:
                    free = f"{line_id}A" if line_id[-1:].isdigit() else f"{line_id[:-1]}{chr(ord(line_id[-1]) + 1)}"
                    message = f"line {line_id} stands on row {before} already; give this one a free number, {free}"
                    raise self.error(message, number)
                self.places[table, line_id] = number
                after = re.search(r"\}\s*(#[^\"'}]*)$", line)
                if above or after:
                    self.notes[line_id] = (tuple(above), after[1].rstrip() if after else "")
                above = []
            elif line.strip().startswith("#"):
                above.append(line.rstrip())
        self.rest = [*above, *self.rest]
        while self.rest and not self.rest[-1].strip():
            self.rest.pop()
        if head:
            self.head = "\n".join(head) + "\n"

    def _line(self, table: str, line_id: str, row: Any, own: dict[str, Mapping[str, Any]]) -> KnownLine:
        number = self.places.get((table, line_id))
        if not LINE_ID.fullmatch(line_id):
            raise self.error(f'"{line_id}" is no number of a line; they are written 12 or 12A', number)
        if not isinstance(row, dict):
            raise self.error(f'line {line_id} is written {line_id} = {{ text = "what is said" }}', number)
        for key in row:
            if key not in KEYS and (near := _near(key, KEYS)):
                raise self.error(f'line {line_id}: there is no key "{key}"; did you mean "{near}"?', number)
        kind, speaker, text, was = row.get("kind", "spoken"), row.get("speaker"), row.get("text"), row.get("was", [])
        if kind not in KINDS:
            near = _near(str(kind), KINDS)
            advice = f'did you mean "{near}"?' if near else f"it is one of {', '.join(KINDS)}"
            raise self.error(f'line {line_id}: there is no kind "{kind}"; {advice}', number)
        if text is None and table == GONE:
            text = ""
        if not isinstance(text, str) or not isinstance(speaker, str | None):
            raise self.error(f"line {line_id}: text and speaker are texts in quotes", number)
        if not isinstance(was, list) or not all(isinstance(one, str) for one in was):
            raise self.error(f"line {line_id}: was is a list of texts in quotes", number)
        rest = row.get("rest", {})
        if not isinstance(rest, dict) or not all(isinstance(one, str) for one in rest.values()):
            raise self.error(f"line {line_id}: rest is a table of findings and hashes in quotes", number)
        if rest:
            self.rests[line_id] = rest
        if mine := {key: value for key, value in row.items() if key not in KEYS}:
            own[line_id] = mine
        return KnownLine(kind, speaker, text, line_id, tuple(was))


def _near(name: str, known: Sequence[str]) -> str | None:
    return next(iter(nearest(name, known)), None)


def lines_text(memory: LineMemory) -> str:
    """Return the memory as the file's text; the same memory gives the same text."""
    out = [memory.head, f"[{LINES}]"]
    for line in memory.lines:
        out += _rows(line, memory)
    if memory.gone:
        out += ["", *memory.notes.get(GONE, _Notes()).comments, f"[{GONE}]"]
        for line in memory.gone:
            out += _rows(line, memory)
    return "\n".join([*out, *(["", *memory.rest] if memory.rest else [])]) + "\n"


def _rows(line: KnownLine, memory: LineMemory) -> list[str]:
    notes = memory.notes.get(line.id, _Notes())
    facts: dict[str, Any] = {} if line.kind == "spoken" else {"kind": line.kind}
    if line.speaker is not None:
        facts["speaker"] = line.speaker
    if line.text or line.was or facts:
        facts["text"] = line.text
    if line.was:
        facts["was"] = list(line.was)
    if rest := memory.rests.get(line.id):
        facts["rest"] = dict(rest)
    inside = ", ".join(f"{_key(key)} = {_value(value)}" for key, value in (facts | dict(notes.own)).items())
    row = f"{line.id} = {{ {inside} }}" if inside else f"{line.id} = {{}}"
    return [*notes.comments, f"{row}  {notes.after}" if notes.after else row]


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _value(key)


def _value(value: Any) -> str:
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{_key(k)} = {_value(v)}' for k, v in value.items())} }}"
    return str(value)
