"""The project's memory: which clips were asked for, which came back, which are accepted (``clips.toml``).

The file lies in the episode folder and is meant to be read, and edited, by people. A clip's ``request`` is a short
hash of everything that is asked for (words, speaker, seconds, part, directions): while it stays the same, nothing
has to be asked again. Seconds generated are counted for each file that came back, and stay counted when a line
changes: they were spent.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.clock import Seconds
from timing.errors import SettingsError
from timing.model import Clip, Plan

FILE_NAME = "clips.toml"
ASKED, DELIVERED, ACCEPTED, DROPPED = "asked", "delivered", "accepted", "dropped"
STATES = (ASKED, DELIVERED, ACCEPTED, DROPPED)
_HEAD = """\
# What was asked for and what came back, one table for each clip. The tool keeps this file; you may change "state"
# (asked, delivered, accepted, dropped) and "accepted" (the file you chose).
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """What is known of one clip. ``files`` and ``generated`` count everything that ever came back."""

    state: str
    request: str
    ask: Seconds
    files: tuple[str, ...] = ()
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
            told.append(f"ask again, the request changed: {_listed(self.again)}")
        if self.dropped:
            told.append(f"no longer needed: {_listed(self.dropped)}")
        return told


@dataclass(frozen=True)
class Memory:
    """All entries by clip id."""

    clips: Mapping[str, Entry] = field(default_factory=dict)

    @property
    def generated(self) -> Seconds:
        """Seconds generated so far, all takes of all clips."""
        return sum((e.generated for e in self.clips.values()), Fraction(0))


def request_key(plan: Plan, clip: Clip) -> str:
    """Return eight hex digits that change when what is asked for changes."""
    directions = [plan.line(line_id).directions for line_id in clip.lines or (clip.line,)]
    ask = None if clip.ask is None else str(clip.ask)
    facts = [clip.kind.value, clip.speaker, clip.text, ask, clip.part, clip.profile, directions]
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
    files = table.get("files", [])
    if not isinstance(files, list) or not all(isinstance(name, str) for name in files):
        raise SettingsError(f"[{clip_id}] files is a list of file names", path)
    request, accepted = table.get("request", ""), table.get("accepted")
    if not isinstance(request, str) or not isinstance(accepted, str | None):
        raise SettingsError(f"[{clip_id}] request and accepted are texts in quotes", path)
    return Entry(state, request, numbers["ask_s"], tuple(files), accepted, numbers["generated_s"])


def update_memory(
    memory: Memory, plan: Plan, delivered: Mapping[str, Sequence[str]] | None = None
) -> tuple[Memory, Changes]:
    """Return the memory after a run, and what has to be asked (again).

    ``delivered`` names the files that came back by clip id, relative to the episode folder.
    """
    entries: dict[str, Entry] = {}
    new, again, still_open = [], [], []
    for clip in plan.clips:
        key, known = request_key(plan, clip), memory.clips.get(clip.id)
        ask = clip.ask or Fraction(0)
        files = tuple(sorted((delivered or {}).get(clip.id, ())))
        if known is None:
            entry = Entry(ASKED, key, ask)
            new.append(clip.id)
        elif known.request != key:
            # What came back for the old words stays counted, and no longer answers the request.
            entry = replace(known, state=ASKED, request=key, ask=ask, accepted=None)
            again.append(clip.id)
        elif known.state == DROPPED:
            entry = replace(known, state=DELIVERED if known.files else ASKED)
        else:
            entry = known
        entry = _with_files(entry, files, ask)
        if entry.state == ASKED and known is not None and known.request == key:
            still_open.append(clip.id)
        entries[clip.id] = entry
    gone = [clip_id for clip_id in memory.clips if clip_id not in entries]
    dropped = [clip_id for clip_id in gone if memory.clips[clip_id].state != DROPPED]
    entries |= {clip_id: replace(memory.clips[clip_id], state=DROPPED) for clip_id in gone}
    return Memory(entries), Changes(tuple(new), tuple(again), tuple(dropped), tuple(still_open))


def _with_files(entry: Entry, files: tuple[str, ...], ask: Seconds) -> Entry:
    fresh = [name for name in files if name not in entry.files]
    if not fresh:
        return entry
    state = DELIVERED if entry.state == ASKED else entry.state
    return replace(
        entry,
        state=state,
        files=tuple(sorted({*entry.files, *fresh})),
        generated=entry.generated + ask * len(fresh),
    )


def memory_text(memory: Memory) -> str:
    """Return the memory as the file's text; the same memory gives the same text."""
    out = [_HEAD]
    for clip_id, entry in sorted(memory.clips.items()):
        out.append(f"[{clip_id}]" if _is_bare(clip_id) else f"[{json.dumps(clip_id)}]")
        out.append(f'state = "{entry.state}"')
        out.append(f'request = "{entry.request}"')
        out.append(f"ask_s = {_number(entry.ask)}")
        out.append(f"generated_s = {_number(entry.generated)}")
        if entry.files:
            out.append(f"files = {json.dumps(list(entry.files), ensure_ascii=False)}")
        if entry.accepted is not None:
            out.append(f"accepted = {json.dumps(entry.accepted, ensure_ascii=False)}")
        out.append("")
    return "\n".join(out)


def write_memory(memory: Memory, folder: Path) -> None:
    """Write clips.toml, whole or not at all; raises OutputError."""
    from timing.files import replace_file

    replace_file(folder / FILE_NAME, memory_text(memory).encode())


def remember(plan: Plan, folder: Path) -> Changes:
    """Bring an episode folder's clips.toml up to the plan and to what lies in clips/; return what changed."""
    from timing.delivery.matching import by_clip, delivered_files

    files = by_clip(delivered_files(folder, [clip.id for clip in plan.clips]))
    before = read_memory(folder)
    memory, changes = update_memory(before, plan, files)
    if memory != before:
        write_memory(memory, folder)
    return changes


def _listed(ids: Sequence[str]) -> str:
    return ", ".join(ids) if len(ids) <= 12 else f"{', '.join(ids[:10])} and {len(ids) - 10} more"


def _is_bare(name: str) -> bool:
    return all(c.isascii() and (c.isalnum() or c in "-_") for c in name) and bool(name)


def _number(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.3f}".rstrip("0")
