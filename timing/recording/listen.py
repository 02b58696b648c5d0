"""Find the script's lines in a folder of recordings and measure them.

In: the episode folder, the script's lines in order, how words are pronounced. Out: :class:`Heard`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from timing.errors import RecordingError
from timing.model import Finding, TimedLine
from timing.recording.files import line_named, recordings_in
from timing.recording.heard import Heard, Pronounce, ScriptedLine, Take

Progress = Callable[[float, str], None]

__all__ = ["Heard", "ScriptedLine", "Take", "listen"]


def listen(
    folder: Path,
    lines: Sequence[ScriptedLine],
    *,
    language: str,
    pronounce: Pronounce,
    chosen: Mapping[str, str] | None = None,
    cache: Path | None = None,
    progress: Progress | None = None,
) -> Heard:
    """Return every line that the recordings under ``folder``/recordings hold, measured.

    ``chosen`` maps a line id to the recording a person wants ("recordings/a.m4a", or "a.m4a@12.3" for the reading
    nearest to that second); otherwise the last complete reading wins. ``cache`` is a folder in which results are
    kept by content, so that a second run need not listen again. ``progress`` is told the share done (0..1) and
    what is being heard. A recording that cannot be read becomes a finding.
    """
    from timing.recording.decode import read_audio
    from timing.recording.levels import measure, sound_regions
    from timing.recording.rough import rough_line

    chosen = chosen or {}
    by_id = {line.id: line for line in lines}
    found: dict[str, TimedLine] = {}
    takes: list[Take] = []
    findings: list[Finding] = []
    files = recordings_in(folder)
    for number, path in enumerate(files):
        name = path.relative_to(folder).as_posix()
        if progress:
            progress(number / len(files), name)
        line_id = line_named(path.name, by_id)
        if line_id is None:
            findings.append(Finding("unplaced", f"{name}: no line was found in it", {"file": name}))
            continue
        try:
            sound = read_audio(path)
        except RecordingError as error:
            findings.append(Finding("unreadable", str(error), {"file": name}))
            continue
        levels = measure(sound)
        regions = sound_regions(sound, levels)
        if not regions:
            findings += [replace(f, message=f"{name}: {f.message}") for f in levels.findings()]
            continue
        line = rough_line(by_id[line_id].utterance, regions, name)
        line = replace(line, findings=(*line.findings, *levels.findings()))
        takes.append(Take(line_id, name, regions[0][0], regions[-1][1], True, 0.0))
        if line_id not in found or chosen.get(line_id, name) in (name, path.name):
            found[line_id] = line
    takes = [replace(t, is_chosen=found[t.line_id].take == t.file) for t in takes]
    unread = tuple(line.id for line in lines if line.id not in found)
    return Heard(found, tuple(takes), unread, tuple(findings), folder)
