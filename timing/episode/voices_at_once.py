"""One voice in two places of a song: what cannot be sung is said.

In: the lines and songs on the episode's clock. Out: the same lines, a finding on each that begins while its own voice
is still singing an earlier one. Another voice may: a round and a duet are sung so. Measured lines are not asked: what
was heard was sung.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import replace

from timing.model import Finding, Origin, PlanLine, Song
from timing.model.findings import FindingCode


def with_voices_at_once(lines: Sequence[PlanLine], songs: Sequence[Song]) -> tuple[PlanLine, ...]:
    """Return the lines with what their own voice cannot sing as a finding."""
    known = {song.id: song for song in songs}
    last: dict[tuple[str, str | None], PlanLine] = {}  # of each voice, the line that ends last
    found: dict[str, Finding] = {}
    for line in sorted((n for n in lines if n.song), key=lambda n: n.start):
        assert line.song is not None
        voice = line.song, line.speaker
        before = last.get(voice)
        if before is not None and line.start < before.end and Origin.MEASURED not in (line.origin, before.origin):
            found[line.id] = _finding(line, before, known)
        if before is None or line.end > before.end:
            last[voice] = line
    return tuple(replace(n, findings=(*n.findings, found[n.id])) if n.id in found else n for n in lines)


def _finding(line: PlanLine, before: PlanLine, songs: Mapping[str, Song]) -> Finding:
    song = songs[line.song or ""]
    free = bisect_left(song.downbeats, before.end) + 1  # bar n begins at downbeats[n - 1]
    bar = line.syllables[0].bar
    who = line.speaker or "the same voice"
    message = (
        f"begins in bar {bar}, while {who} still sings line {before.id}: one voice cannot sing both. "
        f"Cue it at bar {free} or later, give it to another speaker, or mark line {before.id} shorter"
    )
    return Finding(FindingCode.BARS_OVERLAP, message, {"line": before.id, "bar": bar, "free_bar": free}, line.where)
