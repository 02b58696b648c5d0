"""The files of an edition, and writing them into ``LANGUAGE/`` of the output folder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from timing.dub.windows import LEAST_PAUSE, of_script
from timing.episode.frame_edges import framed
from timing.episode.labels_out import label_files
from timing.export.captions import captions_srt, captions_vtt
from timing.export.dub import dub_csv, edition_json, new_clips_csv
from timing.export.requests import request_text
from timing.memory.labels import write_labels
from timing.model import Plan, TimedLine, Utterance
from timing.model.clock import Seconds
from timing.model.dub import DubLine, Edition
from timing.model.labels import Label
from timing.plain.files import write_outputs
from timing.plain.json_text import json_bytes
from timing.timers.pinned import PinnedTimer

PRUNED = ("requests/", "labels/", "captions.", "new-clips.csv")  # what there is nothing for any more goes too


def edition_files(edition: Edition) -> Mapping[str, bytes]:
    """Return every file of an edition by its name below ``LANGUAGE/``."""
    from timing.sheet.dub_set import render_edition

    heard = heard_plan(edition)
    folder = Path(edition.original.folder)
    files = {
        "dub.csv": dub_csv(edition),
        "dub.pdf": render_edition(edition),
        "dub.json": json_bytes(edition_json(edition), indent=1),
        "labels.txt": write_labels(_track(edition, heard)),
        **captions_srt(heard, folder),
        **captions_vtt(heard, folder),
        **label_files(_each_once(edition.plan), folder),
    }
    clips = tuple(clip for dub in edition.lines for clip in dub.new_clips)
    if clips:
        files["new-clips.csv"] = new_clips_csv(edition)
        asked = replace(edition.plan, clips=clips)
        files |= {f"requests/{clip.id}.txt": request_text(asked, clip).encode() for clip in clips}
    return files


def write_edition(edition: Edition, out: Path, force: bool = False) -> list[Path]:
    """Write an edition into ``out``/LANGUAGE, whole or not at all, and return the paths.

    Raises OutputError where a file there is not the tool's, unless ``force`` allows to replace it.
    """
    return write_outputs(out / edition.name, edition_files(edition), force, PRUNED)


def heard_plan(edition: Edition) -> Plan:
    """Return the edition's plan as it can be heard: a line that runs into the next speech is pressed before it."""
    lines = []
    pressed = {dub.id: _pressed(edition, dub) for dub in edition.lines}
    for line in edition.plan.lines:
        new = pressed.get(line.id)
        if new is None:
            lines.append(line)
        else:
            lines.append(replace(line, words=new.words, start=new.start, end=new.end))
    return replace(edition.plan, lines=tuple(lines))


def _each_once(plan: Plan) -> Plan:
    """Return the plan without what a cut repeats, and without songs: whose words lie in which recording."""
    return replace(plan, lines=tuple(line for line in plan.lines if line.id == of_script(line.id)), songs=())


def _pressed(edition: Edition, dub: DubLine) -> TimedLine | None:
    room = dub.window.length + dub.window.free
    if dub.line.length <= room:
        return None
    timed = TimedLine(dub.line.words, dub.line.origin, dub.line.low, dub.line.high)
    pressed = PinnedTimer(_Already(timed), room).time(Utterance(dub.line.text, ()))
    return framed(pressed.moved(dub.line.start), edition.plan.rate)


@dataclass(frozen=True)
class _Already:
    """A timer that has timed its line."""

    line: TimedLine

    def time(self, utterance: Utterance) -> TimedLine:
        return self.line


def _track(edition: Edition, heard: Plan) -> list[Label]:
    """Return the label track: each window with its line, its pauses, and the words as they will lie in it."""
    found: list[Label] = []
    for dub in edition.lines:
        window = dub.window
        found.append(Label(window.start, window.end, f"{dub.id}: {dub.line.text}"))
        found += [Label(a, b, f"({_seconds(b - a)} s pause)") for a, b in window.pauses]
        found += [Label(word.start, word.end, word.text) for word in heard.line(dub.id).words]
    return found


def _seconds(length: Seconds) -> str:
    assert length >= LEAST_PAUSE
    return f"{float(length):.1f}"
