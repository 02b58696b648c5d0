"""What the proof page is given: the plan as the sheets show it, as plain values.

Moments are seconds of the episode's clock; ``first``, ``end`` and the marks are frames from 0. ``parts`` of a line say
which of its words are heard in which file; ``offset`` added to a moment gives that file's clock, in which label files
are written.
"""

from __future__ import annotations

import base64
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from timing.export.guide import RATE_HZ
from timing.model import Clip, LineKind, Origin, Plan, PlanLine, Song, TimedWord
from timing.model.as_json import decimal_s
from timing.model.clock import FrameRate, Seconds
from timing.plain.inputs import read_regular
from timing.sheet.frame.score import beat_moments, display_name, is_shown_stressed, mouth_marks, syllable_frames
from timing.sheet.furniture import episode_name
from timing.sheet.origin import is_read, timed_by
from timing.watch.doubts import doubts
from timing.watch.moments import ESTIMATE, Moments
from timing.watch.spare import Stretch

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.recording.results import Heard, Take

Json = dict[str, Any]
WAVE_PER_S = 100


def page_data(
    plan: Plan,
    folder: Path,
    sound: NDArray[np.int16],
    readings: list[tuple[Take, Stretch]],
    left: list[Stretch],
    heard: Heard | None,
) -> Json:
    """Return everything the page shows; ``sound`` is the page's whole track, the spare stretches at its end."""
    moments = Moments(plan)
    lines = [_line(plan, line, [pair for pair in readings if pair[0].line_id == line.id]) for line in plan.lines]
    return {
        "title": episode_name(plan),
        "rate": [plan.rate.fps.numerator, plan.rate.fps.denominator],
        "frames": plan.frames,
        "clips": [_clip(clip, moments) for clip in sorted(plan.clips, key=lambda c: (c.start_frame, c.end_frame))],
        "lines": lines,
        "songs": [_song(song, plan.rate) for song in plan.songs],
        "left": [
            _stretch(one) | {"near": list(one.near), "low": decimal_s(one.low), "high": decimal_s(one.high)}
            for one in left
        ],
        "doubts": [
            {"line": d.line, "song": d.song, "start": decimal_s(d.start), "reasons": list(d.reasons), "words": d.words}
            for d in doubts(plan, heard)
        ],
        "labels": _labels(plan, folder, [one.file for one in left] + [take.file for take, _ in readings]),
        "wave": {"per_s": WAVE_PER_S, "values": base64.b64encode(_wave(sound)).decode()},
    }


def _clip(clip: Clip, moments: Moments) -> Json:
    at = moments.at(clip.start_frame)
    return {
        "id": clip.id,
        "who": display_name(clip.speaker),
        "kind": clip.kind.value,
        "lines": list(clip.lines or (clip.line,)),
        "words": list(clip.words) if clip.part[1] > 1 else None,
        "text": clip.text,
        "ask": moments.asked(clip),
        "first": clip.start_frame,
        "end": clip.end_frame,
        "speech": [decimal_s(clip.speech_start), decimal_s(clip.speech_end)],
        "counts_from": clip.start_frame - at.number + 1,
        "of": at.of,
    }


def _line(plan: Plan, line: PlanLine, readings: list[tuple[Take, Stretch]]) -> Json:
    is_estimated = line.origin is Origin.ESTIMATED
    return {
        "id": line.id,
        "kind": line.kind.value,
        "who": display_name(line.speaker),
        "text": line.text if line.kind is LineKind.PICTURE else " ".join(w.text for w in line.words),
        "told": f"{ESTIMATE + ' ' if is_estimated else ''}{timed_by(plan, line)}",
        "estimated": is_estimated,
        "start": decimal_s(line.start),
        "end": decimal_s(line.end),
        "parts": [
            {"from": first, "to": end, "file": file, "offset": decimal_s(offset)}
            for first, end, file, offset in _parts(plan, line)
        ],
        "words": [
            {
                "text": word.text,
                "start": decimal_s(word.start),
                "end": decimal_s(word.end),
                "syllables": [
                    [s.shown, decimal_s(s.start), decimal_s(s.end), is_shown_stressed(word, s, line.kind)]
                    for s in word.syllables
                ],
                "mouth": _mouth(plan, word),
            }
            for word in line.words
        ],
        "readings": [_stretch(stretch) for _, stretch in readings],
    }


def _parts(plan: Plan, line: PlanLine) -> list[tuple[int, int, str, Seconds]]:
    """Return (first word, word after the last, file, offset): the sounds whose label files speak of a line.

    A line whose parts came back in several clips has one part for each; words that lie in none are estimates.
    """
    if line.take is not None and line.take_start is not None:
        return [(0, len(line.words), line.take, line.take_start - line.start)]
    if line.delivered:
        back = [(clip, plan.delivered(clip.id)) for clip in plan.clips if clip.line == line.id]
        return [
            (*clip.words, d.file, d.speech_start - clip.speech_start)
            for clip, d in back
            if d and d.is_measured and d.speech_start is not None
        ]
    song = next((s for s in plan.songs if s.id == line.song), None)
    return [(0, len(line.words), song.file, -song.start)] if song and song.file else []


def _song(song: Song, rate: FrameRate) -> Json:
    return {
        "id": song.id,
        "file": song.file,
        "start": decimal_s(song.start),
        "end": decimal_s(song.end),
        "bars": [decimal_s(m) for m in song.downbeats],
        "bpm": round(float(song.bpm), 3),
        "metre": str(song.metre),
        "beats": [[rate.frame_at(at), bar, beat, decimal_s(at)] for at, bar, beat in beat_moments(song)],
    }


def _mouth(plan: Plan, word: TimedWord) -> list[list[Any]]:
    """Return [sign, is lip on teeth, first frame, frame after the last, start, end] of every mark of a word's mouth."""
    if not is_read(plan, word):
        return []
    return [
        [m.sign, int(m.on_teeth), m.frame, m.end_frame, decimal_s(m.start), decimal_s(m.end)]
        for syllable in word.syllables
        for m in mouth_marks(syllable, *syllable_frames(syllable, plan.rate), plan.rate, plan.language)
    ]


def _stretch(one: Stretch) -> Json:
    return {
        "file": one.file,
        "start": decimal_s(one.start),
        "end": decimal_s(one.end),
        "at": decimal_s(one.at),
    }


def _labels(plan: Plan, folder: Path, more: list[str]) -> dict[str, str]:
    """Return the text of each label file that lies beside a sound of the episode already."""
    files = [file for line in plan.lines for _, _, file, _ in _parts(plan, line)]
    files += [song.file for song in plan.songs if song.file] + more
    found = {}
    for name in dict.fromkeys(files):
        path = folder / PurePosixPath(name).with_suffix(".txt")
        try:
            found[name] = read_regular(path).decode("utf-8-sig")
        except (OSError, UnicodeDecodeError):
            continue
    return found


def _wave(sound: NDArray[np.int16]) -> bytes:
    """Return the highest sample of every hundredth of a second as one byte, its root, so that consonants are seen."""
    import numpy as np

    step = RATE_HZ // WAVE_PER_S
    count = -(-len(sound) // step)
    padded = np.zeros(count * step, np.int32)
    padded[: len(sound)] = np.abs(sound.astype(np.int32))
    highs = padded.reshape(count, step).max(axis=1) if count else padded
    top = max(1, int(highs.max(initial=0)))
    values: bytes = np.round(255 * np.sqrt(highs / top)).astype(np.uint8).tobytes()
    return values
