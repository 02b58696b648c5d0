"""Find the script's lines in a folder of recordings and measure them.

In: the episode folder, the script's lines in order, how words are pronounced. Out: :class:`Heard`.

Each file is decoded once and searched for all lines; one that is named after a line is followed as that line first,
and searched for it only where that leaves a doubt. Then every complete reading that may count is followed closely.
The last complete reading of a line wins, across files in the order of their names; one in which words are missing or
changed gives way to an earlier one that has them all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from timing.model import Finding, Where
from timing.model.findings import FindingCode
from timing.model.labels import Label, chosen_reading, line_named
from timing.model.words import Pronounce
from timing.plain.errors import RecordingError
from timing.recording.changed_script import told
from timing.recording.files import FOLDER, recordings_in
from timing.recording.listener import LESS_SURE, Candidate, Listener
from timing.recording.pinned import pinned
from timing.recording.results import Heard, ScriptedLine, Take
from timing.store.store import Store

if TYPE_CHECKING:
    from timing.recording.kept_readings import Regions

Progress = Callable[[float, str], None]

__all__ = ["Heard", "ScriptedLine", "Take", "listen"]


def listen(
    folder: Path,
    lines: Sequence[ScriptedLine],
    *,
    language: str,
    pronounce: Pronounce,
    chosen: Mapping[str, str] | None = None,
    labels: Mapping[str, Sequence[Label]] | None = None,
    store: Store | None = None,
    progress: Progress | None = None,
    below: str = FOLDER,
) -> Heard:
    """Return every line that the recordings under ``folder``/recordings (or ``below``) hold, measured.

    ``labels`` are the person's word about a recording, by its name; they win over everything. ``chosen`` maps a line
    id to the recording a person wants: "recordings/a.m4a", "a.m4a@12.3" for the reading nearest to that second,
    "a.m4a@12.3-15.1" for that stretch. Otherwise the last complete reading wins. What was heard is kept in
    ``store``, so that a second run need not listen again. ``progress`` is told the share done (0..1) and
    what is being heard. A recording that cannot be read becomes a finding.
    """
    files = recordings_in(folder, below)
    lines = [line for line in lines if line.utterance.words]
    if not files or not lines:
        return Heard({}, (), tuple(line.id for line in lines), (), folder)
    listener = Listener(lines, language, pronounce, chosen or {}, store or Store())
    heard: list[Candidate] = []
    findings: list[Finding] = []
    obeyed: list[tuple[str, Label]] = []
    sounding: dict[str, Regions] = {}
    named = [(path, path.relative_to(folder).as_posix()) for path in files]
    said_of = _with_stretches(labels or {}, listener, [name for _, name in named])
    if listener.store.folder is not None:
        _hear_in_two(listener, named, listener.store.folder, progress)
    for number, (path, name) in enumerate(named):
        if progress:
            progress(number / len(files), name)
        try:
            found, said, file = listener.hear(path, name)
        except RecordingError as error:
            findings.append(Finding(FindingCode.UNREADABLE, str(error), {"file": name}))
            continue
        sounding[name] = file.regions
        found = [told(listener, file, reading) for reading in found]
        if own := said_of.get(name):
            found, unfit, followed = pinned(listener, file, found, own)
            obeyed += followed
            said = [f for f in said if f.code is not FindingCode.UNPLACED or not found] + unfit
        heard += found
        findings += said
    if progress:
        progress(1.0, "")
    _check_rows(heard)
    best = {line.id: _choose([c for c in heard if c.take.line_id == line.id], listener.wish(line.id)) for line in lines}
    for line_id, c in best.items():
        if c is not None and c.is_named and c.is_another_line and not (c.is_pinned or listener.wish(line_id)):
            message = f"{c.take.file} is named after line {line_id}, whose words are not in it: is the number right?"
            findings.append(Finding(FindingCode.NAMED_WRONGLY, message, {"line": line_id, "file": c.take.file}))
            best[line_id] = None
    timed = {line_id: c.line for line_id, c in best.items() if c is not None and c.line is not None}
    for line_id, wish in listener.wishes.items():
        if line_id in listener.by_id and not any(c.take.line_id == line_id and _is_meant(c, wish) for c in heard):
            message = f"line {line_id}: no reading of it was found in {wish}, which is chosen for it"
            findings.append(Finding(FindingCode.CHOSEN_MISSING, message, {"line": line_id, "take": wish}))
    takes = tuple(replace(c.take, is_chosen=c is best[c.take.line_id]) for c in heard)
    unread = tuple(line.id for line in lines if line.id not in timed)
    wished = frozenset(listener.wishes)
    return Heard(timed, takes, unread, tuple(findings), folder, sounding, wished, tuple(obeyed))


def _hear_in_two(listener: Listener, files: Sequence[tuple[Path, str]], kept: Path, progress: Progress | None) -> None:
    """Hear what was not heard before, half of it in a second process, so that all of it is in the store."""
    from timing.recording.second_process import Job, halves, start

    first, second = halves([file for file in files if not listener.knows(file[0])])
    if not second:
        return
    job = Job(tuple(second), tuple(listener.lines), listener.language, listener.pronounce, dict(listener.wishes), kept)
    process = start(job)
    try:
        for number, (path, name) in enumerate(first if process else ()):
            if progress:
                progress(number / (len(first) + 1), name)
            try:
                listener.hear(path, name)
            except RecordingError:
                continue  # said when its turn comes
        if process:
            process.wait()
    finally:
        if process and process.poll() is None:
            process.kill()
            process.wait()


def _with_stretches(
    labels: Mapping[str, Sequence[Label]], listener: Listener, files: Sequence[str]
) -> dict[str, list[Label]]:
    """Return the labels by recording, and with them the stretches that are chosen for a line in the settings."""
    found = {name: list(own) for name, own in labels.items()}
    for line_id, wish in listener.wishes.items():
        chosen = chosen_reading(wish)
        if chosen.at is None or chosen.until is None or line_id not in listener.by_id:
            continue
        for name in files:
            own = found.setdefault(name, [])
            is_said = any(line_named(label.text, [line_id]) for label in own)
            if name in (chosen.file, f"{FOLDER}/{chosen.file}") and not is_said:
                own.append(Label(chosen.at, chosen.until, line_id, Where(f"episode.toml, [takes] {line_id}")))
    return found


def _check_rows(heard: Sequence[Candidate]) -> None:
    """Raise InputError where two labels choose two readings of one line."""
    rows: dict[str, Label] = {}
    for c in heard:
        if c.row is None:
            continue
        if other := rows.get(c.take.line_id):
            raise c.row.error(f"{other.where} chooses another reading of line {c.take.line_id}; take one of them away")
        rows[c.take.line_id] = c.row


def _is_meant(candidate: Candidate, wish: str) -> bool:
    name = chosen_reading(wish).file
    return candidate.take.file in (name, f"{FOLDER}/{name}")


def _choose(candidates: Sequence[Candidate], wish: str | None) -> Candidate | None:
    """Return the reading that counts: a labelled one, the wished one, else the last whole one, else the best there is.

    Of equally good ones, one in a file that is named after the line.
    """
    measured = [c for c in candidates if c.line is not None]
    told = [c for c in measured if c.row] or [c for c in measured if c.is_pinned]
    if told:
        return told[-1]
    if wish:
        meant = [c for c in measured if _is_meant(c, wish)]
        at = chosen_reading(wish).at
        if meant and at is not None:
            return min(meant, key=lambda c: abs(c.take.start - at))
        measured = meant or measured
    if not measured:
        return None
    surest = max(c.take.confidence for c in measured)
    measured = [c for c in measured if c.is_named or c.take.confidence >= surest - LESS_SURE]
    fewest = min(c.flaws for c in measured)
    best = [c for c in measured if c.flaws == fewest]
    return ([c for c in best if c.is_named] or best)[-1]
