"""The words of an episode in another language, by line.

In: ``script.LANGUAGE.fountain`` (or ``.txt``; the same cues in the same order) or ``lines.LANGUAGE.csv`` (id, text)
beside the script; beside a lone script NAME.txt also ``NAME.LANGUAGE.txt``. LANGUAGE is a code or a name in any of the
ways people write it. Out: the text of each line, with its place in the file. A mismatch stops the run and says where.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from pathlib import Path

from timing.language.registry import LANGUAGES, resolve
from timing.model import Finding, LineKind, Plan, PlanLine, ScriptLine, Where
from timing.plain.csv_text import as_meant
from timing.plain.errors import ScriptError, SettingsError
from timing.plain.inputs import read_regular
from timing.plain.nearest import CLOSE, meant, nearest
from timing.script import read_script
from timing.script.decoding import decode
from timing.script.source import SCRIPT_SUFFIXES, Source

LARGEST_TABLE_BYTES = 10_000_000
TABLE = "lines"
_ID_HEADS, _TEXT_HEADS = ("id", "line"), ("text",)


@dataclass(frozen=True)
class TextFile:
    """Where an edition's words are written; ``name`` is the language as the file says it."""

    path: Path
    name: str
    language: str

    @property
    def is_table(self) -> bool:
        return self.path.suffix.lower() == ".csv"


@dataclass(frozen=True)
class Texts:
    """The line as written in the other language, by the original's line id, and what was said about the file."""

    lines: Mapping[str, ScriptLine]
    findings: tuple[Finding, ...] = ()


def find_text(source: Source, typed: str) -> TextFile:
    """Return the file with an episode's words in a language.

    Raises SettingsError for a language nobody knows or the episode's own, ScriptError where there is no such file (it
    names the one expected) or more than one.
    """
    code = resolve(typed)
    if code == resolve(source.settings.language):
        raise SettingsError(f'"{typed}" is the language of the episode itself; give the one of the new edition')
    found = list(_texts_beside(source))
    own = [text for text in found if text.language == code]
    if len(own) > 1:
        own = [text for text in own if text.name.casefold() == typed.casefold()] or own
    if len(own) > 1:
        names = " and ".join(text.path.name for text in own)
        raise ScriptError(f"{names} hold the same language; take one of them away", source.folder)
    if not own:
        raise ScriptError(_expected(source, code, found), source.folder)
    return own[0]


def _texts_beside(source: Source) -> Iterator[TextFile]:
    """Yield every text in another language that lies beside the script."""
    stems = "|".join(re.escape(stem) for stem in {source.script.stem, "script"})
    suffixes = "|".join(re.escape(suffix) for suffix in SCRIPT_SUFFIXES)
    pattern = re.compile(rf"(?:(?:{stems})\.(.+)(?:{suffixes})|{TABLE}\.(.+)\.csv)", re.IGNORECASE)
    for path in sorted(source.folder.iterdir()):
        match = pattern.fullmatch(path.name)
        if match and path.is_file():
            name = match[1] or match[2]
            try:
                yield TextFile(path, name, resolve(name))
            except SettingsError:
                continue  # script.old.txt is nobody's language


def _expected(source: Source, code: str, found: Sequence[TextFile]) -> str:
    short = code.split("_")[0] if resolve(code.split("_")[0]) == code else code
    stem = source.script.stem if source.is_lone_script else "script"
    row = next((row for row in LANGUAGES if row.code == code), None)
    told = (
        f"there is no text in {row.name if row else code} here: write {stem}.{short}.fountain or .txt (the same cues "
        f"in the same order) or {TABLE}.{short}.csv (id,text) beside {source.script.name}"
    )
    if found:
        told += f"; there {'is' if len(found) == 1 else 'are'} {', '.join(text.path.name for text in found)}"
    others = [p.name for p in source.folder.iterdir() if p.is_file() and p != source.script]
    others = [name for name in others if name not in {text.path.name for text in found}]
    wished = [f"{stem}.{short}{suffix}" for suffix in (".fountain", ".txt")] + [f"{TABLE}.{short}.csv"]
    near = next((name for name in (nearest(w, others, 1, CLOSE) for w in wished) if name), None)
    return told + (f"; is it {near[0]}? then name it so" if near else "")


def read_texts(file: TextFile, plan: Plan, script: Path) -> Texts:
    """Return the words of each line that ``file`` holds; ``script`` is the original's, for messages.

    Raises ScriptError, with file and line, where cues or ids do not match, and for a table that cannot be read.
    """
    spoken = [line for line in plan.lines if line.words]
    if file.is_table:
        return Texts(dict(_rows(file.path, plan, spoken)))
    read = read_script(file.path)
    lines = [line for line in read.lines if line.kind is not LineKind.PICTURE]
    _match(lines, spoken, file.path, script)
    findings = tuple(replace(f, where=_named(f.where)) if f.where else f for f in read.findings)
    return Texts({own.id: _seen_from_folder(line) for own, line in zip(spoken, lines, strict=True)}, findings)


def _named(where: Where) -> Where:
    """Return a place as it is named in what is written: where the folder lies does not show."""
    return Where(Path(where.path).name, where.line_number)


def _seen_from_folder(line: ScriptLine) -> ScriptLine:
    findings = tuple(replace(f, where=_named(f.where)) if f.where else f for f in line.findings)
    return replace(line, where=_named(line.where), findings=findings)


# --- by the order of the cues ----------------------------------------------------------------------------


def _match(lines: Sequence[ScriptLine], spoken: Sequence[PlanLine], path: Path, script: Path) -> None:
    """Raise ScriptError at the first cue that is not the original's.

    A speaker may have another name in the other language, if it is that one everywhere.
    """
    names = _renamed(lines, spoken) if len(lines) == len(spoken) else {}
    there = [(line.kind, names.get(_name(line), _name(line))) for line in lines]
    wanted = [(line.kind, _name(line)) for line in spoken]
    if there == wanted:
        return
    at, own = next(
        (b, a)
        for kind, a, _, b, _ in SequenceMatcher(None, wanted, there, autojunk=False).get_opcodes()
        if kind != "equal"
    )
    here = lines[min(at, len(lines) - 1)].where if lines else Where(str(path))
    if own >= len(spoken):
        met = f"{_cue(lines[at])} comes after the last cue of {script.name}"
    elif at >= len(lines):
        met = f"the text ends here, and line {spoken[own].id} of {script.name} ({_cue(spoken[own])}) is still to come"
    else:
        met = f"{_cue(lines[at])} stands here, where {script.name} has line {spoken[own].id}, {_cue(spoken[own])}"
    raise ScriptError(
        f"{met}; write the same cues in the same order ({len(spoken)} lines there, {len(lines)} here)",
        path,
        here.line_number,
    )


def _renamed(lines: Sequence[ScriptLine], spoken: Sequence[PlanLine]) -> dict[str, str]:
    """Return the original's name of each speaker where the two correspond throughout; empty where they do not."""
    pairs = {(_name(line), _name(own)) for line, own in zip(lines, spoken, strict=True)}
    new, old = {name for name, _ in pairs}, {name for _, name in pairs}
    return dict(pairs) if len(pairs) == len(new) == len(old) else {}


def _name(line: ScriptLine | PlanLine) -> str:
    return (line.speaker or "").upper()


def _cue(line: ScriptLine | PlanLine) -> str:
    words = " ".join(line.text.split()[:4])
    who = f"{line.speaker}, " if line.speaker else ""
    return f"{who}{'sung, ' if line.kind is LineKind.SUNG else ''}“{words}”"


# --- by id -----------------------------------------------------------------------------------------------


def _rows(path: Path, plan: Plan, spoken: Sequence[PlanLine]) -> Iterator[tuple[str, ScriptLine]]:
    by_id = {line.id.upper(): line for line in spoken}
    seen: dict[str, int] = {}
    for number, line_id, text in _cells(path, by_id):
        own = by_id.get(line_id.upper())
        if own is None and (other := next((n for n in plan.lines if n.id.upper() == line_id.upper()), None)):
            if not text:
                continue
            raise ScriptError(f"line {other.id} is a {other.shown_kind}, nobody speaks there", path, number)
        if own is None:
            near = meant(line_id, [line.id for line in spoken], "timing lines shows which there are")
            raise ScriptError(f'there is no line "{line_id}" in the episode; {near}', path, number)
        if not text:
            continue
        if own.id in seen:
            raise ScriptError(f"line {own.id} stands in row {seen[own.id]} too; keep one of them", path, number)
        seen[own.id] = number
        yield own.id, ScriptLine(own.kind, text, Where(path.name, number), own.speaker, own.scene, own.directions)


def _cells(path: Path, by_id: Mapping[str, PlanLine]) -> Iterator[tuple[int, str, str]]:
    """Yield (row's line number, id, text) of a table whose columns are parted by commas, semicolons or tabs."""
    try:
        text, _ = decode(read_regular(path, LARGEST_TABLE_BYTES), path)
    except OSError as error:
        raise ScriptError(f"the file cannot be read ({error.strerror or error})", path) from None
    first = text.split("\n", 1)[0]
    mark = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    try:
        rows = [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as error:
        told = f"a quotation mark here is not closed, or words stand behind a closed one ({error})"
        raise ScriptError(told, path, reader.line_num) from None
    if not rows:
        raise ScriptError("the table is empty; its first row says id,text", path)
    heads = [cell.strip().casefold() for cell in rows[0][1]]
    ids = next((n for n, head in enumerate(heads) if head in _ID_HEADS), None)
    texts = next((n for n, head in enumerate(heads) if head in _TEXT_HEADS), None)
    if ids is None and texts is None and heads[0].upper() in by_id:
        ids, texts, rows = 0, 1, [rows[0], *rows]
    if ids is None or texts is None:
        raise ScriptError("the first row says which column is which: id,text", path, rows[0][0])
    for number, row in rows[1:]:
        line_id, words = (row[n].strip() if n < len(row) else "" for n in (ids, texts))
        words = as_meant(words)
        if line_id:
            yield number, line_id, " ".join(words.split())
        elif words:
            raise ScriptError("this row has words and no id", path, number)
