"""What the tool believes of every sound, as label files: ``labels/`` in the output folder.

In: a plan. Out: for each recording, clip and song that lines are timed by, the rows of their words (for a song its
bars and syllables too). Corrected and moved beside its sound, such a file is the person's word; moved as it is, it
moves nothing. The form is described in :mod:`timing.memory.labels`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path, PurePosixPath

from timing.memory.labels import SUFFIX, write_labels
from timing.model import Plan, PlanLine, Song, TimedWord
from timing.model.clock import Seconds
from timing.model.labels import Label

FOLDER = "labels"


def label_files(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return labels/recordings/NAME.txt and its like for clips and songs, by name."""
    rows: dict[str, list[Label]] = {}
    asked = plan.requested or plan
    for line in asked.lines:
        if line.take is not None and line.take_start is not None and line.song is None and line.words:
            rows.setdefault(line.take, []).extend(_line_rows(line, line.words, line.take_start - line.start))
    for back in plan.deliveries:
        if not back.is_measured or back.speech_start is None:
            continue
        clip = next(c for c in plan.clips if c.id == back.clip)
        for line_id in clip.lines or (clip.line,):
            line = plan.line(line_id)
            words = line.words[slice(*clip.words)] if line_id == clip.line else line.words
            rows.setdefault(back.file, []).extend(_line_rows(line, words, back.speech_start - clip.speech_start))
    for song in plan.songs:
        if song.file is not None:
            # What is sung again lies where it lay: it has one row.
            rows[song.file] = list(dict.fromkeys((*rows.get(song.file, ()), *_song_rows(plan, song))))
    return {f"{FOLDER}/{PurePosixPath(name).with_suffix(SUFFIX)}": write_labels(own) for name, own in rows.items()}


def _line_rows(line: PlanLine, words: Sequence[TimedWord], by: Seconds) -> Iterator[Label]:
    text = " ".join(word.text for word in words)
    yield Label(words[0].start + by, words[-1].end + by, f"{line.id}: {text}")
    for word in words:
        yield Label(word.start + by, word.end + by, word.text)


def _song_rows(plan: Plan, song: Song) -> Iterator[Label]:
    for number, moment in enumerate(song.downbeats, 1):
        if moment >= song.start:
            yield Label(moment - song.start, moment - song.start, f"bar {number}")
    for line in plan.lines:
        if line.song != song.id or not line.words or line.start < song.start:
            continue
        yield Label(line.start - song.start, line.end - song.start, f"{line.id}: {line.text}")
        for word in line.words:
            for syllable in word.syllables:
                text = word.text if len(word.syllables) == 1 else syllable.heard
                yield Label(syllable.start - song.start, syllable.end - song.start, text)
