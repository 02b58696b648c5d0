"""A text on its recording, for callers that have only the two: reading and listening joined."""

from __future__ import annotations

import os
from functools import partial
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from timing.model import TimedLine


def align(path: str | os.PathLike[str], text: str, language: str = "en_US", sung: bool = False) -> TimedLine:
    """Return the words of ``text`` with their times in the recording at ``path``, in the file's own clock.

    ``line.words[i]`` has ``text``, ``start``, ``end``, ``confidence`` and ``syllables``, each with ``start``,
    ``vowel_start`` and ``end`` (exact seconds); ``line.findings`` say where the recording differs from the text.
    ``sung``: the text is sung, each of its rows a line, and the recording may be a finished mix. Raises RecordingError
    for a file that cannot be used, SettingsError for an unknown language, InputError for a text without a word.
    """
    from timing.language import phones_for, read_line
    from timing.plain.errors import InputError

    pronounce = partial(phones_for, language=language)
    rows = [row for row in text.splitlines() if row.strip()] if sung else [text]
    utterances = [u for row in rows if (u := read_line(row, language, sung=sung)).words]
    if not utterances:
        raise InputError(f'"{text}" has no word to look for; give the text that is said in the recording')
    if sung:
        from timing.hearing.song_following import align_sung

        return align_sung(path, utterances, pronounce)
    from timing.hearing.aligner import align_line
    from timing.sound.decode import read_audio

    return align_line(read_audio(path), utterances[0], pronounce)
