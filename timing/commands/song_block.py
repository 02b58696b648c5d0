"""What is known of a finished song, as a block to paste into episode.toml, and where its singing begins.

In: the song's file, its measured beats and, where a script is given, the words that are sung. Out: lines of text. A
machine does not hear surely where somebody begins to sing; it does find known words.
"""

from __future__ import annotations

import json
import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from timing.script.source import Source
    from timing.song.beats.grid import MeasuredSong

PICK_UP = 0.6  # a first word later in its bar than this part of it belongs to the next bar (our own choice)


def block(measured: MeasuredSong, song: Path, name: str | None, begins_s: float | None) -> list[str]:
    """Return the rows of ``[song.NAME]``, and the note for the script where ``begins_s`` is known."""
    grid = measured.grid
    name = name or re.sub(r"[^a-z0-9]+", "-", song.stem.casefold()).strip("-") or "song"
    inside = f"songs/{song.name}" if song.resolve().parent.name == "songs" else song.as_posix()
    file = json.dumps(inside, ensure_ascii=False)
    rows = [f"[song.{name}]", f"file = {file}", f"bpm = {grid.bpm:.3f}", f'metre = "{grid.metre}"']
    if grid.downbeats_s:
        rows.append(f"downbeat_s = {grid.downbeats_s[0]:.3f}")
    else:
        rows.append("# downbeat_s = …   one of the first beats above")
    if begins_s is None:
        rows.append("# where the singing begins is found by its words: give the script too, with --in")
        return rows
    rows.append(f"vocal = {file}   # its singing begins at {begins_s:.2f} s")
    bar = bar_of(begins_s, grid.downbeats_s)
    if bar is not None:
        rows.append(f"# in the script, before its first line: [[song {name}, bar {bar}]]")
    return rows


def bar_of(moment_s: float, downbeats_s: Sequence[float]) -> int | None:
    """Return the bar in which a line is to be written that begins at ``moment_s``; None before bar 0 or without bars.

    >>> [bar_of(s, (2.0, 4.0, 6.0)) for s in (2.1, 3.0, 3.5, 1.8, 0.5)]
    [1, 1, 2, 1, None]
    """
    if len(downbeats_s) < 2:
        return None
    length = downbeats_s[1] - downbeats_s[0]
    before = bisect_right(downbeats_s, moment_s)
    start = downbeats_s[before - 1] if before else downbeats_s[0] - length
    within = (moment_s - start) / length
    bar = before + (within > PICK_UP)
    return bar if bar >= 1 else None


def begins(song: Path, source: Source, name: str | None) -> tuple[str, float | None]:
    """Return (the song's id, seconds at which its first line begins in the file; None where that was not followed).

    Raises InputError for a song that the script does not have, RecordingError for a file that cannot be read.
    """
    from timing.commands.song_order import chosen
    from timing.hearing.song_following import SungScriptedLine, align_song
    from timing.language import phones_for, read_line
    from timing.pipeline import make_plan

    settings = source.settings
    alone = {key: replace(s, file=None, vocal=None, instrumental=None) for key, s in settings.songs.items()}
    plan = make_plan(replace(source, settings=replace(settings, songs=alone))).plan
    song_id = chosen(name, [s.id for s in plan.songs])
    sung = [line for line in plan.lines if line.song == song_id and line.words]
    lines = [SungScriptedLine(x.id, read_line(x.text, plan.language, sung=True)) for x in sung]
    found = align_song(song, lines, partial(phones_for, language=plan.language, say=settings.say))
    first = found.get(sung[0].id)
    return song_id, None if first is None or first.findings else float(first.start)
