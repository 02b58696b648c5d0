"""clips.toml as people left it: read strictly, written with their comments, their order and their own keys.

A key nobody knows is kept, unless it is a slip of a known one, which is an error that names it. Only what changed is
written into the text; a new clip's table goes to its place among the others.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from timing.memory.clips import STATES, Changes, Earlier, Entry, Memory, Wording, clip_order, update_memory
from timing.memory.kept_text import kept_text
from timing.memory.line_ids import LINE_ID
from timing.model.findings import FindingCode
from timing.plain.errors import SettingsError
from timing.plain.nearest import CLOSE, meant, nearest
from timing.plain.numbers import exact
from timing.plain.toml_lines import KeyLines, syntax_message

if TYPE_CHECKING:
    from timing.delivery.verdict import Check
    from timing.model import Plan

FILE_NAME = "clips.toml"
HEAD = """\
# What was asked for and what came back, one table for each clip. The tool keeps this file; you may change "state"
# (asked = on the list of what to ask for; delivered, accepted, dropped), "accepted" (the file you chose) and "voice"
# (its sound in another voice), and write comments and keys of your own. What came back for words that a clip had
# earlier stands under "earlier".
"""
KEYS = (
    "state", "words", "said", "request", "directions", "ask_s", "generated_s", "files", "accepted", "replaced",
    "outdated", "before", "voice", "earlier",
)  # fmt: skip
MOST_S = 100_000  # a day and more: no clip is longer
_CLIP = re.compile(rf"C{LINE_ID.pattern}(\.[0-9]{{1,4}})?")
_T = TypeVar("_T")


def read_memory(folder: Path) -> Memory:
    """Return the memory of an episode folder, empty where there is none; raises SettingsError for a damaged file."""
    path = folder / FILE_NAME
    text = kept_text(path)
    if text is None:
        return Memory()
    return Memory(_Reader(text, path).read())


def remember(plan: Plan, folder: Path, checks: Sequence[Check] = ()) -> Changes:
    """Bring an episode folder's clips.toml up to the plan and to what lies in clips/; return what changed.

    Files are known by their names, or, where they were checked, by what they hold. The file is read and written under
    the folder's lock, and not touched where nothing changed.
    """
    from timing.delivery.matching import by_clip, content_sum, delivered_files
    from timing.plain.files import locked

    asked = plan.requested or plan
    before = read_memory(folder)
    files = by_clip(delivered_files(folder, [clip.id for clip in asked.clips], before.voices, before.named))
    for check in checks:
        if check.clip is not None and check.content:
            for others in files.values():
                others.pop(check.file, None)
            files.setdefault(check.clip, {})[check.file] = content_sum(check.content)
    best = {
        check.clip: check.file.removeprefix("clips/")
        for check in checks
        if check.is_best and check.clip is not None and not any(f.code is FindingCode.OUTDATED for f in check.findings)
    }
    memory, changes = update_memory(before, asked, files, best)
    if memory != before or not (folder / FILE_NAME).exists():
        with locked(folder):
            before = read_memory(folder)
            memory, changes = update_memory(before, asked, files, best)
            write_memory(memory, folder, before)
    return changes


def check_names(memory: Memory, plan: Plan, folder: Path) -> None:
    """Raise SettingsError for a table that a person wrote for a clip which is in neither plan nor memory."""
    path, ids = folder / FILE_NAME, {clip.id for clip in plan.clips}
    for clip_id, entry in memory.clips.items():
        if clip_id not in ids and not (entry.wording.words or entry.wording.old):
            near = nearest(clip_id, sorted(ids))
            advice = f"did you mean {near[0]}?" if near else "clips are listed by timing lines"
            number = KeyLines(path.read_text("utf-8-sig")).find((clip_id,))
            raise SettingsError(f"there is no clip {clip_id} in the script; {advice}", path, number)


def check_accepted(entry: Entry, clip_id: str, name: str, files: Sequence[str], folder: Path) -> None:
    """Raise SettingsError where the name of an accepted file is a slip: it never came, and another's is nearly it."""
    names = {short: file for file in files for short in (file, file.removeprefix("clips/"))}
    came = {*entry.files, *(file for one in entry.earlier for file in one.files)}
    if name in came or f"clips/{name}" in came:
        return
    if near := nearest(name, names, like=CLOSE):
        path = folder / FILE_NAME
        number = KeyLines(path.read_text("utf-8-sig")).find((clip_id, "accepted"))
        message = f'[{clip_id}] there is no file "{name}" in clips; did you mean "{near[0]}"?'
        raise SettingsError(message, path, number)


class _Reader:
    """Reads one clips.toml."""

    def __init__(self, text: str, path: Path):
        self.text, self.path, self.places = text, path, KeyLines(text)

    def error(self, message: str, *keys: str) -> SettingsError:
        return SettingsError(message, self.path, self.places.find(keys) if keys else None)

    def read(self) -> dict[str, Entry]:
        try:
            content = tomllib.loads(self.text, parse_float=exact)
        except tomllib.TOMLDecodeError as error:
            number, message = syntax_message(str(error), self.text)
            raise SettingsError(f"cannot be read: {message}; mend it, or restore it", self.path, number) from None
        except (ValueError, RecursionError) as error:
            raise self.error(f"cannot be read: {error}; mend it, or restore it") from None
        clips = [name for name in content if _CLIP.fullmatch(name)]
        for name, value in content.items():
            if name not in clips and (near := self._meant(name, clips)):
                raise self.error(f'"{name}" is no clip; did you mean [{near}]?', name)
            if name in clips and not isinstance(value, dict):
                raise self.error(f'"{name}" is no clip; each clip is a table such as [C04]', name)
        return {name: self._entry(name, content[name]) for name in clips}

    def _meant(self, name: str, clips: Sequence[str]) -> str | None:
        if _CLIP.fullmatch(name.upper()):
            return name.upper()
        return next(iter(nearest(name, clips)), None)

    def _entry(self, name: str, table: Mapping[str, Any]) -> Entry:
        for key in table:
            if key not in KEYS and (near := nearest(key, KEYS, like=CLOSE)):
                raise self.error(f'[{name}] there is no key "{key}"; did you mean "{near[0]}"?', name, key)
        earlier = table.get("earlier", [])
        if not isinstance(earlier, list) or not all(isinstance(one, dict) for one in earlier):
            raise self.error(f"[{name}] earlier is written as tables, [[{name}.earlier]]", name, "earlier")
        get = _Values(self, name, table)
        return Entry(
            wording=get.wording(),
            state=get.state("state", STATES[0]),
            ask=get.seconds("ask_s"),
            files=get.files(),
            accepted=get.text("accepted"),
            generated=get.seconds("generated_s"),
            directions=get.texts("directions"),
            replaced=get.texts("replaced"),
            outdated=get.texts("outdated"),
            before=get.state("before", None),
            voice=get.text("voice"),
            earlier=tuple(self._earlier(name, one) for one in earlier),
        )

    def _earlier(self, name: str, table: Mapping[str, Any]) -> Earlier:
        get = _Values(self, name, table, "earlier")
        return Earlier(
            get.wording(), get.state("state", STATES[0]), get.seconds("ask_s"), get.files(), get.text("accepted"),
            get.texts("directions"),
        )  # fmt: skip


class _Values:
    """The values of one table, each of its kind or an error."""

    def __init__(self, reader: _Reader, name: str, table: Mapping[str, Any], *inside: str):
        self.reader, self.name, self.table, self.inside = reader, name, table, inside

    def _get(self, key: str, default: _T, is_right: Callable[[Any], bool], what: str) -> Any | _T:
        value = self.table.get(key, default)
        if value is default or is_right(value):
            return value
        raise self.reader.error(f"[{self.name}] {what}", self.name, *self.inside, key)

    def text(self, key: str) -> str | None:
        found = self._get(key, None, lambda v: isinstance(v, str), f"{key} is a text in quotes")
        return None if found is None else str(found)

    def texts(self, key: str) -> tuple[str, ...]:
        def is_right(value: Any) -> bool:
            return isinstance(value, list) and all(isinstance(one, str) for one in value)

        return tuple(self._get(key, (), is_right, f"{key} is a list of texts in quotes"))

    def seconds(self, key: str) -> Fraction:
        def is_right(value: Any) -> bool:
            return isinstance(value, int | Fraction) and not isinstance(value, bool) and 0 <= value <= MOST_S

        return Fraction(self._get(key, Fraction(0), is_right, f"{key} is a number of seconds"))

    def files(self) -> dict[str, str]:
        def is_right(value: Any) -> bool:
            return isinstance(value, dict) and all(isinstance(one, str) for one in value.values())

        return dict(self._get("files", {}, is_right, "files is a table of file names and hashes, both in quotes"))

    def state(self, key: str, default: _T) -> Any | _T:
        value = self.table.get(key, default)
        if value is default or value in STATES:
            return value
        advice = meant(str(value), STATES)
        message = f'[{self.name}] {key} is one of {", ".join(STATES)}, not "{value}"{advice and f"; {advice}"}'
        raise self.reader.error(message, self.name, *self.inside, key)

    def wording(self) -> Wording:
        return Wording(self.text("words") or "", self.text("said") or "", self.text("request") or "")


# --- writing ---------------------------------------------------------------------------------------------


def write_memory(memory: Memory, folder: Path, before: Memory | None = None) -> None:
    """Write what changed since ``before`` into clips.toml, whole or not at all; raises OutputError."""
    from timing.plain.files import replace_file

    path = folder / FILE_NAME
    text = path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n") if path.exists() else HEAD
    known = before.clips if before else {}
    changed = {name: entry for name, entry in memory.clips.items() if known.get(name) != entry}
    replace_file(path, memory_text(changed, text).encode())


def memory_text(entries: Mapping[str, Entry], text: str = HEAD) -> str:
    """Return the file's text with these entries in it; everything else in ``text`` stays as it is."""
    import tomlkit

    document = tomlkit.parse(text)
    old = [name for name in entries if name in document]
    for name in old:
        _update(document[name], _facts(entries[name]))
    text = tomlkit.dumps(document) if old else text
    for name in sorted(set(entries) - set(old), key=clip_order):
        fresh = tomlkit.document()
        fresh[name] = tomlkit.table()
        _update(fresh[name], _facts(entries[name]))
        text = _inserted(text, name, tomlkit.dumps(fresh))
    return text


def _facts(entry: Entry | Earlier) -> dict[str, Any]:
    """Return the values of a table; an empty one means that its key is left out."""
    facts: dict[str, Any] = {
        "state": entry.state,
        "words": entry.wording.words,
        "said": entry.wording.said,
        "request": "" if entry.wording.words else entry.wording.old,
        "directions": list(entry.directions),
        "ask_s": _number(entry.ask),
    }
    if isinstance(entry, Entry):
        facts["generated_s"] = _number(entry.generated)
    facts["files"] = dict(sorted(entry.files.items()))
    facts["accepted"] = entry.accepted
    if isinstance(entry, Entry):
        facts |= {"replaced": list(entry.replaced), "outdated": list(entry.outdated), "before": entry.before}
        facts["voice"] = entry.voice
        facts["earlier"] = [_facts(one) for one in entry.earlier]
    return facts


def _update(table: Any, facts: Mapping[str, Any]) -> None:
    """Bring a tomlkit table up to ``facts``; what is in it besides stays where it is."""
    import tomlkit

    for key, value in facts.items():
        if value is None or value == "" or value == [] or value == {}:
            table.pop(key, None)
        elif key == "earlier":
            _update_earlier(table, value)
        elif key not in table or table[key].unwrap() != value:
            item: Any = value
            if isinstance(value, dict):
                item = tomlkit.inline_table()
                item.update(value)
            table[key] = item


def _update_earlier(table: Any, wanted: Sequence[Mapping[str, Any]]) -> None:
    """Bring the tables of earlier words up to date, each known by its words: those that stay keep their comments."""
    import tomlkit

    there = {(one.get("words", ""), one.get("request", "")): one for one in table.get("earlier", [])}
    tables = tomlkit.aot()
    for facts in wanted:
        one = there.get((facts["words"], facts["request"]))
        if one is None:
            one = tomlkit.table()
            _update(one, facts)
            one.add(tomlkit.nl())
        else:
            _update(one, facts)
        tables.append(one)
    table.pop("earlier", None)
    table["earlier"] = tables


def _number(value: Fraction) -> int | float:
    return value.numerator if value.denominator == 1 else round(float(value), 3)


def _inserted(text: str, name: str, block: str) -> str:
    """Return the text with a new table at its place: before the first one that comes after it, and its comments."""
    lines = text.split("\n")
    here = clip_order(name)
    at = next((n for n, line in enumerate(lines) if (there := _header(line)) and clip_order(there) > here), None)
    if at is not None:
        while at and lines[at - 1].lstrip().startswith("#"):
            at -= 1
        made = "\n".join([*lines[:at], *block.rstrip("\n").split("\n"), "", *lines[at:]])
        if _holds(made, text, name):
            return made
    return f"{text.rstrip(chr(10))}\n\n{block.rstrip(chr(10))}\n"


def _header(line: str) -> str | None:
    match = re.match(r"""\s*\[\s*["']?(C\d+[A-Z]*(?:\.\d+)?)["']?\s*\]""", line)
    return match[1] if match else None


def _holds(made: str, text: str, name: str) -> bool:
    """True where ``made`` says the same as ``text``, with one table more."""
    try:
        found = tomllib.loads(made)
    except tomllib.TOMLDecodeError:
        return False
    return found.pop(name, None) is not None and found == tomllib.loads(text)
