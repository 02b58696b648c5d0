"""The project's memory of clips: which were asked for, which came back, which are accepted.

It lies in ``clips.toml`` (:mod:`timing.memory.clips_toml`). A clip is asked for with its
``words``: who speaks and what is spoken, without capitals, punctuation and directions. While they stay the same nothing
has to be asked again; other words put what came back for the old ones under ``earlier``, where it is found again when
the words are put back. Another length is asked for again only while nothing has come back: our idea of a line's length
moves whenever one of its speaker's lines is recorded, and a clip that is there does not become wrong by that. Files are
known by their content, so a copy is no second take, and one that was renamed is the same. Seconds generated are counted
for each file that came back, and stay counted when a line changes: they were spent.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.memory.line_ids import natural_order, spoken_words
from timing.model import Clip, LineKind, Plan, TimedWord
from timing.model.clock import Seconds

if TYPE_CHECKING:
    from timing.delivery.matching import ClipFile

ASKED, DELIVERED, ACCEPTED, DROPPED = "asked", "delivered", "accepted", "dropped"
WRITTEN_TO = Fraction(1, 1000)  # to which seconds are written
STATES = (ASKED, DELIVERED, ACCEPTED, DROPPED)


@dataclass(frozen=True, slots=True)
class Wording:
    """What a clip is asked for with. ``said`` is how the words are read ("7" is "seven"); ``old`` is the short hash
    of a request in files of earlier versions, which have no words."""

    words: str = ""
    said: str = ""
    old: str = ""

    def is_same(self, other: Wording) -> bool:
        """True where nothing else is spoken, however it is written."""
        if not (self.words and other.words):
            known = self if self.old or self.words else other
            return not (known.old or known.words) or self.old == other.old or not (self.old or self.words)
        return self.words == other.words or (self.said or self.words) == (other.said or other.words)


@dataclass(frozen=True, slots=True)
class Earlier:
    """What came back for words that a clip had before."""

    wording: Wording
    state: str
    ask: Seconds = Fraction(0)
    files: Mapping[str, str] = field(default_factory=dict)
    accepted: str | None = None
    directions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """What is known of one clip.

    ``files`` has the short hash of each file's content by its name, of what came back for these words; ``replaced``
    the hashes of what was overwritten by now; ``outdated`` are hashes of files that came back for other words nobody
    remembers. ``directions`` are those it was delivered for, ``before`` the state of a clip that left the script.
    """

    wording: Wording
    state: str = ASKED
    ask: Seconds = Fraction(0)
    files: Mapping[str, str] = field(default_factory=dict)
    accepted: str | None = None
    generated: Seconds = Fraction(0)
    directions: tuple[str, ...] = ()
    replaced: tuple[str, ...] = ()
    outdated: tuple[str, ...] = ()
    before: str | None = None
    voice: str | None = None  # the file that a person named as its sound in another voice
    earlier: tuple[Earlier, ...] = ()

    @property
    def is_back(self) -> bool:
        """True where something came back or a person has decided."""
        return bool(self.files) or self.accepted is not None or self.state != ASKED

    @property
    def contents(self) -> set[str]:
        """The short hashes of everything that ever came back."""
        old = {content for one in self.earlier for content in one.files.values()}
        return {*self.files.values(), *self.replaced, *self.outdated, *old}


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
            told.append(f"the request changed (its words or its length), ask as it is now: {_listed(self.again)}")
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

    def current(self, plan: Plan, clip: Clip) -> Entry | Earlier | None:
        """Return what is known of a clip with the words it has in the plan, None where they were never asked for."""
        known = self.clips.get(clip.id)
        if known is None or known.wording.is_same(now := wording_of(plan, clip)):
            return known
        return next((one for one in known.earlier if one.wording.is_same(now)), None)

    @property
    def voices(self) -> dict[str, str]:
        """The converted voice that a person named, by clip id."""
        return {clip_id: entry.voice for clip_id, entry in self.clips.items() if entry.voice}

    @property
    def named(self) -> set[str]:
        """Every file that a person accepted, for whatever words."""
        ever: list[Entry | Earlier] = [*self.clips.values()]
        ever += [one for entry in self.clips.values() for one in entry.earlier]
        return {one.accepted for one in ever if one.accepted}

    def accepted(self, plan: Plan) -> dict[str, str]:
        """Return the file a person chose, by clip id; a choice made for other words does not count."""
        return {
            clip.id: known.accepted
            for clip in plan.clips
            if (known := self.current(plan, clip)) is not None and known.accepted
        }

    def chosen(self, plan: Plan, files: Iterable[ClipFile]) -> dict[str, str]:
        """Return the file among ``files`` that a person chose, by clip id: under its name, else by what it holds."""
        from timing.delivery.matching import FOLDER_NAME, content_sum

        names = {file.name: file for file in files}
        found = {}
        for clip_id, wish in self.accepted(plan).items():
            known = self.clips[clip_id]
            full = wish if wish in names else f"{FOLDER_NAME}/{wish}"
            maps = [known.files, *(one.files for one in known.earlier)]
            sums = {files_of.get(name) for files_of in maps for name in (wish, full)} - {None}
            same = [name for name, file in names.items() if sums and content_sum(file.content) in sums]
            # The file itself, also where another one has come back under the name that it had.
            if (name := full if full in names and (full in same or not same) else next(iter(same), None)) is not None:
                found[clip_id] = name
        return found

    def outdated(self, plan: Plan) -> dict[str, frozenset[str]]:
        """Return the short hashes of what came back for other words, by clip id."""
        found = {}
        for clip in plan.clips:
            if known := self.clips.get(clip.id):
                here = self.current(plan, clip)
                mine = set(here.files.values() if here else ()) - set(known.outdated)
                found[clip.id] = frozenset(known.contents - mine)
        return found


def wording_of(plan: Plan, clip: Clip) -> Wording:
    """Return what a clip is asked for with."""
    lines = [plan.line(line_id) for line_id in clip.lines or (clip.line,)]
    parts = [line.words[slice(*clip.words)] if len(lines) == 1 else line.words for line in lines]
    who = "picture" if clip.kind is LineKind.PICTURE else clip.speaker or "nobody"
    how = ", sung" if clip.kind is LineKind.SUNG else ""
    text = " ".join(spoken_words(clip.text)) or clip.text.casefold()
    printed, said = (
        " ".join(spoken_words(" ".join(form for part in parts for form in forms(part))))
        for forms in (_printed, _spoken)
    )
    said = said if printed == text else text  # a passage, or a text that is not its words
    head = f"{who.upper() if clip.kind is not LineKind.PICTURE else who}{how}"
    part = f" ({clip.part[0]} of {clip.part[1]})" if clip.kind is LineKind.PICTURE and clip.part[1] > 1 else ""
    directions = [line.directions for line in lines]
    facts = [clip.kind.value, clip.speaker, clip.text, clip.part, clip.profile, directions]
    old = hashlib.sha256(json.dumps(facts, ensure_ascii=False).encode()).hexdigest()[:8]
    return Wording(f"{head}: {text}{part}", "" if said == text else f"{head}: {said}{part}", old)


def _printed(words: Iterable[TimedWord]) -> list[str]:
    return [word.text for word in words]


def _spoken(words: Iterable[TimedWord]) -> list[str]:
    return [word.spoken for word in words]


def directions_of(plan: Plan, clip: Clip) -> tuple[str, ...]:
    """Return the directions of all lines that a clip holds."""
    return tuple(d for line_id in clip.lines or (clip.line,) for d in plan.line(line_id).directions)


def update_memory(
    memory: Memory,
    plan: Plan,
    delivered: Mapping[str, Mapping[str, str]] | None = None,
    best: Mapping[str, str] | None = None,
) -> tuple[Memory, Changes]:
    """Return the memory after a run, and what has to be asked (again).

    ``delivered`` has the files that came back by clip id: name, relative to the episode folder, and short hash.
    ``best`` names the take that counts, by clip id: it is the one that a person means who accepts a clip by its state.
    """
    entries: dict[str, Entry] = {}
    new, again, still_open = [], [], []
    for clip in plan.clips:
        known, ask = memory.clips.get(clip.id), clip.ask or Fraction(0)
        wording, directions = wording_of(plan, clip), directions_of(plan, clip)
        if known is None:
            entry = Entry(replace(wording, old=""), ASKED, ask, directions=directions)
        else:
            entry = _with_wording(_revived(known), wording, ask, directions)
            is_same = known.wording.is_same(wording)
            entry = _decided(entry, (delivered or {}).get(clip.id, {}), (best or {}).get(clip.id))
            if entry.state == ASKED and not (is_same and abs(entry.ask - ask) < WRITTEN_TO):
                entry = replace(entry, ask=ask)
                again.append(clip.id)
        entry = _with_files(entry, (delivered or {}).get(clip.id, {}))
        if entry.state == ASKED and known is None:
            new.append(clip.id)
        elif entry.state == ASKED and clip.id not in again:
            still_open.append(clip.id)
        entries[clip.id] = entry
    gone = [clip_id for clip_id in memory.clips if clip_id not in entries]
    dropped = [clip_id for clip_id in gone if memory.clips[clip_id].state != DROPPED]
    entries |= {clip_id: memory.clips[clip_id] for clip_id in gone}
    entries |= {clip_id: replace(entries[clip_id], state=DROPPED, before=entries[clip_id].state) for clip_id in dropped}
    return Memory(entries), Changes(tuple(new), tuple(again), tuple(dropped), tuple(still_open))


def _revived(known: Entry) -> Entry:
    """Return the entry of a clip that is in the script again as it was before it left; what people dropped stays so."""
    if known.before is not None:
        return replace(known, state=known.before if known.state == DROPPED else known.state, before=None)
    if known.state == DROPPED and not known.wording.words:  # as earlier versions dropped what left the script
        fresh = set(known.files.values()) - set(known.outdated)
        return replace(known, state=DELIVERED if fresh else ASKED)
    return known


def _with_wording(known: Entry, now: Wording, ask: Seconds, directions: tuple[str, ...]) -> Entry:
    """Return an entry for the words as they are now; what came back for others is kept under ``earlier``."""
    asked = replace(now, old="")
    if known.wording.is_same(now):
        directions = directions if known.state == ASKED and not known.files else known.directions
        if not known.wording.words:  # a file of an earlier version
            mine = {name: content for name, content in known.files.items() if content not in known.outdated}
            return replace(known, wording=asked, files=mine, directions=directions)
        return replace(known, directions=directions)
    back = next((one for one in known.earlier if one.wording.is_same(now)), None)
    earlier = [one for one in known.earlier if one is not back]
    if known.is_back:
        files = {name: content for name, content in known.files.items() if content not in known.outdated}
        old = Earlier(known.wording, known.state, known.ask, files, known.accepted, known.directions)
        earlier.append(old)
    plain = replace(known, wording=asked, earlier=tuple(earlier))
    if back is None:
        return replace(plain, state=ASKED, ask=ask, files={}, accepted=None, directions=directions)
    return replace(
        plain, state=back.state, ask=back.ask, files=back.files, accepted=back.accepted, directions=back.directions
    )


def _decided(entry: Entry, here: Mapping[str, str], best: str | None) -> Entry:
    """Return an entry with what a person decided said in full: its file and its state."""
    if entry.accepted is not None and entry.state in (ASKED, DELIVERED):
        is_there = entry.accepted in here or f"clips/{entry.accepted}" in here
        return replace(entry, state=ACCEPTED) if is_there else entry
    if entry.state == ACCEPTED and entry.accepted is None and best is not None:
        return replace(entry, accepted=best)
    return entry


def _with_files(entry: Entry, files: Mapping[str, str]) -> Entry:
    """Return an entry with what lies in clips/ now; what came back for other words is not counted again."""
    entry = replace(entry, accepted=_followed(entry, files))
    seen, mine = entry.contents, {*entry.files.values(), *entry.replaced}
    fresh = {content for content in files.values() if content not in seen}
    here = {name: content for name, content in files.items() if content in fresh or content in mine}
    merged = {**entry.files, **here}
    lost = {c for name, c in entry.files.items() if merged[name] != c} - set(merged.values())
    entry = replace(entry, files=merged, replaced=tuple(sorted({*entry.replaced, *lost} - set(merged.values()))))
    if not fresh:
        return entry
    state = DELIVERED if entry.state == ASKED else entry.state
    return replace(entry, state=state, generated=entry.generated + entry.ask * len(fresh))


def _followed(entry: Entry, files: Mapping[str, str]) -> str | None:
    """Return the accepted file's name, its new one where another file has come back under the name that it had."""
    for name in (entry.accepted or "", f"clips/{entry.accepted}"):
        content = entry.files.get(name)
        if content is not None and files.get(name, content) != content:
            return next((other for other, found in files.items() if found == content), entry.accepted)
    return entry.accepted


def clip_order(clip_id: str) -> tuple[tuple[int, str], int]:
    """Return what clips are sorted by: C02, C02A, C05.1, C05.2, C10."""
    name, _, part = clip_id.partition(".")
    return natural_order(name[1:]), int(part) if part.isdigit() else 0


def _listed(ids: Sequence[str]) -> str:
    return ", ".join(ids) if len(ids) <= 12 else f"{', '.join(ids[:10])} and {len(ids) - 10} more"
