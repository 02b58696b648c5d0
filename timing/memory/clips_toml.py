"""The project's memory: which clips were asked for, which came back, which are accepted (``clips.toml``).

The file lies in the episode folder and is meant to be read, and edited, by people. A clip's ``request`` is a short
hash of what is asked for (words, speaker, part, directions): while it stays the same, nothing has to be asked again.
Another length is asked for again only while nothing has come back: our idea of a line's length moves whenever one
of its speaker's lines is recorded, and a clip that is there does not become wrong by that. Files are known by their
content, so a copy is no second take, and what came back for older words (``outdated``) is not taken for the new ones.
Seconds generated are counted for each file that came back, and stay counted when a line changes: they were spent.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timing.model import Clip, Plan
from timing.model.clock import Seconds
from timing.plain.errors import SettingsError

if TYPE_CHECKING:
    from timing.delivery.verdict import Check

FILE_NAME = "clips.toml"
ASKED, DELIVERED, ACCEPTED, DROPPED = "asked", "delivered", "accepted", "dropped"
STATES = (ASKED, DELIVERED, ACCEPTED, DROPPED)
_HEAD = """\
# What was asked for and what came back, one table for each clip. The tool keeps this file; you may change "state"
# (asked = on the list of what to ask for; delivered, accepted, dropped) and "accepted" (the file you chose).
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """What is known of one clip. ``files`` and ``generated`` count everything that ever came back.

    ``files`` has the short hash of each file's content by its name; ``outdated`` are the hashes of those that came
    back for other words.
    """

    state: str
    request: str
    ask: Seconds
    files: Mapping[str, str] = field(default_factory=dict)
    outdated: tuple[str, ...] = ()
    accepted: str | None = None
    generated: Seconds = Fraction(0)


@dataclass(frozen=True, slots=True)
class Changes:
    """What a run means for the requests, by clip id: ``new``, ``again`` (the request changed), ``dropped``."""

    new: tuple[str, ...] = ()
    again: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()
    open: tuple[str, ...] = ()  # asked before, not yet back

    def sentences(self) -> list[str]:
        """Return what to tell the user, nothing where nothing changed."""
        told = []
        if self.new:
            told.append(f"ask for: {_listed(self.new)}")
        if self.again:
            told.append(f"the request changed, ask with the new words: {_listed(self.again)}")
        if self.dropped:
            told.append(f"no longer in the script: {_listed(self.dropped)}")
        return told


@dataclass(frozen=True)
class Memory:
    """All entries by clip id."""

    clips: Mapping[str, Entry] = field(default_factory=dict)

    @property
    def generated(self) -> Seconds:
        """Seconds generated so far, all takes of all clips."""
        return sum((e.generated for e in self.clips.values()), Fraction(0))

    def accepted(self, plan: Plan) -> dict[str, str]:
        """Return the file a person chose, by clip id; a choice made for other words does not count."""
        return {
            clip.id: known.accepted
            for clip in plan.clips
            if (known := self.clips.get(clip.id)) and known.accepted and known.request == request_key(plan, clip)
        }

    def outdated(self, plan: Plan) -> dict[str, frozenset[str]]:
        """Return the short hashes of what came back for older words, by clip id."""
        found = {}
        for clip in plan.clips:
            if known := self.clips.get(clip.id):
                is_same = known.request == request_key(plan, clip)
                found[clip.id] = frozenset(known.outdated) | (frozenset() if is_same else {*known.files.values()})
        return found


def request_key(plan: Plan, clip: Clip) -> str:
    """Return eight hex digits that change when what is asked for changes."""
    directions = [plan.line(line_id).directions for line_id in clip.lines or (clip.line,)]
    facts = [clip.kind.value, clip.speaker, clip.text, clip.part, clip.profile, directions]
    return hashlib.sha256(json.dumps(facts, ensure_ascii=False).encode()).hexdigest()[:8]


def read_memory(folder: Path) -> Memory:
    """Return the memory of an episode folder, empty where there is none; raises SettingsError for a damaged file."""
    path = folder / FILE_NAME
    try:
        content = tomllib.loads(path.read_text("utf-8-sig"), parse_float=Fraction)
    except FileNotFoundError:
        return Memory()
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, ValueError) as error:
        raise SettingsError(f"cannot be read: {error}; mend it, or delete it to begin anew", path) from None
    except OSError as error:
        raise SettingsError(f"cannot be read ({error.strerror or error})", path) from None
    return Memory({clip_id: _entry(clip_id, table, path) for clip_id, table in content.items()})


def _entry(clip_id: str, table: Any, path: Path) -> Entry:
    if not isinstance(table, dict):
        raise SettingsError(f'"{clip_id}" is no clip; each clip is a table such as [C04]', path)
    state = table.get("state", ASKED)
    if state not in STATES:
        raise SettingsError(f'[{clip_id}] state is one of {", ".join(STATES)}, not "{state}"', path)
    numbers = {}
    for key in ("ask_s", "generated_s"):
        value = table.get(key, 0)
        if isinstance(value, bool) or not isinstance(value, int | Fraction) or value < 0:
            raise SettingsError(f"[{clip_id}] {key} is a number of seconds", path)
        numbers[key] = Fraction(value)
    files, outdated = table.get("files", {}), table.get("outdated", [])
    if not isinstance(files, dict) or not all(isinstance(value, str) for value in files.values()):
        raise SettingsError(f"[{clip_id}] files is a table of file names and hashes, both in quotes", path)
    if not isinstance(outdated, list) or not all(isinstance(value, str) for value in outdated):
        raise SettingsError(f"[{clip_id}] outdated is a list of hashes in quotes", path)
    request, accepted = table.get("request", ""), table.get("accepted")
    if not isinstance(request, str) or not isinstance(accepted, str | None):
        raise SettingsError(f"[{clip_id}] request and accepted are texts in quotes", path)
    return Entry(state, request, numbers["ask_s"], files, tuple(outdated), accepted, numbers["generated_s"])


def update_memory(
    memory: Memory, plan: Plan, delivered: Mapping[str, Mapping[str, str]] | None = None
) -> tuple[Memory, Changes]:
    """Return the memory after a run, and what has to be asked (again).

    ``delivered`` has the files that came back by clip id: name, relative to the episode folder, and short hash.
    """
    entries: dict[str, Entry] = {}
    new, again, still_open = [], [], []
    for clip in plan.clips:
        key, known = request_key(plan, clip), memory.clips.get(clip.id)
        ask = clip.ask or Fraction(0)
        if known is None:
            entry = Entry(ASKED, key, ask)
            new.append(clip.id)
        elif known.request != key:
            # What came back for the old words stays counted, and no longer answers the request.
            outdated = tuple(sorted({*known.outdated, *known.files.values()}))
            entry = replace(known, state=ASKED, request=key, ask=ask, accepted=None, outdated=outdated)
            again.append(clip.id)
        elif known.state == ASKED and known.ask != ask:
            entry = replace(known, ask=ask)
            again.append(clip.id)
        elif known.state == DROPPED:
            fresh = set(known.files.values()) - set(known.outdated)
            entry = replace(known, state=DELIVERED if fresh else ASKED)
        else:
            entry = known
        entry = _with_files(entry, (delivered or {}).get(clip.id, {}))
        if entry.state == ASKED and known is not None and clip.id not in again:
            still_open.append(clip.id)
        entries[clip.id] = entry
    gone = [clip_id for clip_id in memory.clips if clip_id not in entries]
    dropped = [clip_id for clip_id in gone if memory.clips[clip_id].state != DROPPED]
    entries |= {clip_id: replace(memory.clips[clip_id], state=DROPPED) for clip_id in gone}
    return Memory(entries), Changes(tuple(new), tuple(again), tuple(dropped), tuple(still_open))


def _with_files(entry: Entry, files: Mapping[str, str]) -> Entry:
    known = {*entry.files.values(), *entry.outdated}
    fresh = {content for content in files.values() if content not in known}
    merged = {**entry.files, **files}
    if not fresh:
        return entry if merged == entry.files else replace(entry, files=merged)
    state = DELIVERED if entry.state == ASKED else entry.state
    return replace(entry, state=state, files=merged, generated=entry.generated + entry.ask * len(fresh))


def memory_text(memory: Memory) -> str:
    """Return the memory as the file's text; the same memory gives the same text."""
    out = [_HEAD]
    for clip_id, entry in sorted(memory.clips.items()):
        out.append(f"[{clip_id}]" if _is_bare(clip_id) else f"[{_quoted(clip_id)}]")
        out.append(f'state = "{entry.state}"')
        out.append(f'request = "{entry.request}"')
        out.append(f"ask_s = {_number(entry.ask)}")
        out.append(f"generated_s = {_number(entry.generated)}")
        if entry.files:
            pairs = (f"{_quoted(name)} = {_quoted(content)}" for name, content in sorted(entry.files.items()))
            out.append(f"files = {{ {', '.join(pairs)} }}")
        if entry.outdated:
            out.append(f"outdated = [{', '.join(map(_quoted, entry.outdated))}]")
        if entry.accepted is not None:
            out.append(f"accepted = {_quoted(entry.accepted)}")
        out.append("")
    return "\n".join(out)


def write_memory(memory: Memory, folder: Path) -> None:
    """Write clips.toml, whole or not at all; raises OutputError."""
    from timing.plain.files import replace_file

    replace_file(folder / FILE_NAME, memory_text(memory).encode())


def remember(plan: Plan, folder: Path, checks: Sequence[Check] = ()) -> Changes:
    """Bring an episode folder's clips.toml up to the plan and to what lies in clips/; return what changed.

    Files are known by their names, or, where they were checked, by what they hold.
    """
    from timing.delivery.matching import by_clip, content_sum, delivered_files

    asked = plan.requested or plan
    files = by_clip(delivered_files(folder, [clip.id for clip in asked.clips]))
    for check in checks:
        if check.clip is not None and check.content:
            files.setdefault(check.clip, {})[check.file] = content_sum(check.content)
    before = read_memory(folder)
    memory, changes = update_memory(before, asked, files)
    if memory != before:
        write_memory(memory, folder)
    return changes


def _listed(ids: Sequence[str]) -> str:
    return ", ".join(ids) if len(ids) <= 12 else f"{', '.join(ids[:10])} and {len(ids) - 10} more"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _is_bare(name: str) -> bool:
    return all(c.isascii() and (c.isalnum() or c in "-_") for c in name) and bool(name)


def _number(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.3f}".rstrip("0")
