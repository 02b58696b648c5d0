"""What a frame sheet says, row by row, as short digests: the ground on which two sheets are called the same."""

from __future__ import annotations

import zlib
from collections.abc import Sequence

from timing.model import Clip, LineKind, Origin, Plan
from timing.sheet import cautions
from timing.sheet.frame.marks import VALUES_A_FRAME, Score
from timing.sheet.origin import timed_by
from timing.sheet.revise import ESTIMATED, REASONS, row_digest

_LOUDNESS_STEPS = 12  # finer changes of the sound strip cannot be seen


def row_digests(score: Score, length: int) -> list[str]:
    """Return one digest for each of ``length`` rows; a mark that moves changes only the rows it leaves and enters."""
    marks: list[list[str]] = [[] for _ in range(length)]

    def put(frame: int, mark: str) -> None:
        if 0 <= frame < length:
            marks[frame].append(mark)

    def extent(start: int, end: int, mark: str) -> None:
        for frame in range(max(0, start), min(end, length)):
            marks[frame].append(mark)

    for box in score.boxes:
        body = f"w{box.lane}{'*' if box.is_stressed else ''}"
        extent(box.start, box.end, body)
        put(box.start, f"{body}{'[' if box.opens_word else ':'}{box.text}")
        put(box.end - 1, f"{body}{']' if box.closes_word else ''}")
        if not box.is_read:
            put(box.start, f"?{box.lane}")
        if box.fault:
            put(box.start, f"!{box.lane}{box.fault}")
    for rest in score.rests:
        extent(rest.start, rest.end, f"r{rest.lane}")
    for vowel in score.vowels:
        put(vowel.frame, f"v{vowel.lane}{vowel.sign}")
    for closure in score.closures:
        extent(closure.start, closure.end, f"m{closure.lane}{closure.on_teeth}")
    for cue in score.cues:
        put(cue.start, f"q{cue.told}")
        extent(cue.start, cue.end, "q")
    for span in score.spans:
        name = f"c{span.id}"
        put(span.start, f"{name}{span.speaker}{span.ask}")
        extent(span.start, span.speech_start, f"{name}h")
        extent(span.speech_start, span.speech_end, f"{name}s")
        extent(span.speech_end, span.end, f"{name}h")
        extent(span.end, span.ask_end, f"{name}.")
    for cut in score.cuts:
        put(cut.frame, "cut")
    for beat in score.beats:
        put(beat.frame, f"b{beat.bar}.{beat.number}")
    if score.sound:
        steps = "".join([chr(97 + int(v * _LOUDNESS_STEPS)) for v in score.sound])
        for frame in range(length):
            part = slice(frame * VALUES_A_FRAME, (frame + 1) * VALUES_A_FRAME)
            if any(score.sound[part]):
                marks[frame].append(f"s{steps[part]}")
    return [row_digest(row) for row in marks]


def aspects(plan: Plan, clips: Sequence[Clip], score: Score) -> str:
    """Return a digest of what clips have on paper for each of ``revise.REASONS``, and whether they are estimated."""
    known = {line_id for clip in clips for line_id in clip.lines or (clip.line,)}
    lines = [line for line in plan.lines if line.id in known]
    back = [plan.delivered(clip.id) for clip in clips]
    is_estimated = all(line.origin is Origin.ESTIMATED and line.kind is LineKind.SPOKEN for line in lines)
    said = {
        "words": [f"{line.speaker} {line.scene} {line.text}" for line in lines],
        "direction": [f"{line.directions}" for line in lines],
        "takes": [f"{b.file} {b.takes} {b.state}" if b else "" for b in back]
        + [text for clip in clips for text in cautions.of_clip(plan, clip)],
        "origin": [timed_by(plan, line) for line in lines],
        "times": [f"{mark.start}-{mark.end}" for marks in (score.boxes, score.closures, score.spans) for mark in marks],
        "cues": [f"{cue.start}-{cue.end} {cue.told}" for cue in score.cues],
        "sound": [str(zlib.crc32(score.sound.tobytes()))],
        "ask": [f"{clip.ask} {clip.takes} {clip.profile} {clip.part}" for clip in clips],
    }
    digests = [row_digest(f"{n} {text}" for n, text in enumerate(said[about])) for about in REASONS]
    return " ".join([*digests, ESTIMATED if is_estimated else "other"])
