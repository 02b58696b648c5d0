"""plan.json, version 1: the interface that other programs read (schema: plan.schema.json beside this module).

In: a Plan. Out: plain values, seconds as decimal numbers rounded to the microsecond. :func:`read_previous` reads back
what a rerun needs from the last file: ids, retired ids, and the register of printed sheets.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.clock import Seconds
from timing.identity import KnownLine
from timing.json_text import json_bytes
from timing.model import Clip, Delivered, Finding, Plan, PlanLine, Song, TimedSyllable, TimedWord

VERSION = 1


def decimal_s(moment: Seconds | None) -> float | None:
    """Return seconds as a decimal rounded to the microsecond.

    >>> decimal_s(Fraction(1, 3))
    0.333333
    """
    return None if moment is None else round(float(moment), 6)


def decimal(number: Fraction | None) -> float | int | None:
    """Return an exact number as JSON writes it: whole where it is whole.

    >>> decimal(Fraction(96)), decimal(Fraction(193, 2))
    (96, 96.5)
    """
    if number is None:
        return None
    return number.numerator if number.denominator == 1 else round(float(number), 6)


def to_json(plan: Plan) -> dict[str, Any]:
    """Return plan.json as plain values; keys beyond version 1's fixed ones only ever get added."""
    totals = plan.totals
    return {
        "timing_plan": VERSION,
        "episode": {
            "title": plan.title,
            "language": plan.language,
            "rate": plan.rate.name,
            "drop_frame": plan.rate.drop_frame,
            "frames": plan.frames,
            "seconds": decimal_s(plan.length),
            "script_hash": plan.script_hash,
        },
        "lines": [_line(line) for line in plan.lines],
        "clips": [_clip(clip) for clip in plan.clips],
        "songs": [_song(song) for song in plan.songs],
        "deliveries": [_delivered(d) for d in plan.deliveries],
        "totals": {
            "speech_s": decimal_s(totals.speech),
            "screen_s": decimal_s(totals.screen),
            "ask_s": decimal_s(totals.ask),
            "generate_s": decimal_s(totals.generate),
            "cost": decimal(totals.cost),
        },
        "findings": [_finding(f) for f in plan.findings],
        "retired_ids": list(plan.retired_ids),
    }


def dump(plan_json: Mapping[str, Any]) -> bytes:
    """Return the bytes of plan.json."""
    return json_bytes(plan_json, indent=1)


def _line(line: PlanLine) -> dict[str, Any]:
    return {
        "id": line.id,
        "scene": line.scene,
        "speaker": line.speaker,
        "kind": line.kind.value,
        "text": line.text,
        "origin": line.origin.value,
        "start_s": decimal_s(line.start),
        "end_s": decimal_s(line.end),
        "start_frame": line.start_frame,
        "end_frame": line.end_frame,
        "low_s": decimal_s(line.low),
        "high_s": decimal_s(line.high),
        "confidence": None if line.confidence is None else round(line.confidence, 3),
        "take": line.take,
        "take_start_s": decimal_s(line.take_start),
        "delivered": list(line.delivered),
        "song": line.song,
        "directions": list(line.directions),
        "words": [_word(word) for word in line.words],
        "findings": [_finding(f) for f in line.findings],
    }


def _word(word: TimedWord) -> dict[str, Any]:
    found = {
        "text": word.text,
        "spoken": word.spoken,
        "start_s": decimal_s(word.start),
        "end_s": decimal_s(word.end),
        "syllables": [_syllable(s) for s in word.syllables],
    }
    if word.is_guessed:
        found["guessed"] = True
    if word.confidence is not None:
        found["confidence"] = round(word.confidence, 3)
    return found


def _syllable(syllable: TimedSyllable) -> dict[str, Any]:
    found = {
        "text": syllable.text,
        "stress": syllable.stress,
        "phones": list(syllable.phones),
        "origin": syllable.origin.value,
        "start_s": decimal_s(syllable.start),
        "end_s": decimal_s(syllable.end),
        "start_frame": syllable.start_frame,
        "end_frame": syllable.end_frame,
        "bar": syllable.bar,
        "beat": decimal(syllable.beat),
        "vowel_start_s": decimal_s(syllable.vowel_start),
    }
    if syllable.said and syllable.said != syllable.text:
        found["said"] = syllable.said
    return found


def _clip(clip: Clip) -> dict[str, Any]:
    return {
        "id": clip.id,
        "kind": clip.kind.value,
        "line": clip.line,
        "lines": list(clip.lines),
        "part": list(clip.part),
        "speaker": clip.speaker,
        "text": clip.text,
        "profile": clip.profile,
        "speech_s": decimal_s(clip.speech),
        "need_s": decimal_s(clip.need),
        "high_s": decimal_s(clip.high),
        "ask_s": decimal_s(clip.ask),
        "slack_s": decimal_s(clip.slack),
        "takes": clip.takes,
        "start_frame": clip.start_frame,
        "end_frame": clip.end_frame,
        "findings": [_finding(f) for f in clip.findings],
    }


def _song(song: Song) -> dict[str, Any]:
    return {
        "id": song.id,
        "bpm": decimal(song.bpm),
        "metre": list(song.metre),
        "first_downbeat_s": decimal_s(song.first_downbeat),
        "beats_s": [decimal_s(b) for b in song.beats],
        "downbeats_s": [decimal_s(b) for b in song.downbeats],
        "bars": song.bars,
        "origin": song.origin.value,
        "file": song.file,
        "start_s": decimal_s(song.start),
        "end_s": decimal_s(song.end),
        "findings": [_finding(f) for f in song.findings],
    }


def _delivered(delivered: Delivered) -> dict[str, Any]:
    return {
        "clip": delivered.clip,
        "file": delivered.file,
        "takes": delivered.takes,
        "state": delivered.state,
        "measured": delivered.is_measured,
        "speech_start_s": decimal_s(delivered.speech_start),
        "words": [{"line": m.line, "word": m.word, "fault": m.fault.value} for m in delivered.word_marks],
        "findings": [_finding(f) for f in delivered.findings],
    }


def _finding(finding: Finding) -> dict[str, Any]:
    facts = {k: decimal(v) if isinstance(v, Fraction) else v for k, v in finding.facts.items()}
    where = {"where": str(finding.where)} if finding.where else {}
    return {"code": finding.code, "message": finding.message, **where, **facts}


# --- reading back ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class PreviousPlan:
    """What a rerun takes from the last plan.json; empty where there was none."""

    lines: tuple[KnownLine, ...] = ()
    retired_ids: tuple[str, ...] = ()
    sheets: Mapping[str, Any] | None = None
    whole: Mapping[str, Any] = field(default_factory=dict)


def read_previous(path: Path) -> PreviousPlan:
    """Return the last plan, or an empty one where there is none or it cannot be read."""
    try:
        found = json.loads(path.read_text("utf-8"))
        if found.get("timing_plan") != VERSION:
            return PreviousPlan()
        lines = tuple(KnownLine(str(n["kind"]), n.get("speaker"), str(n["text"]), str(n["id"])) for n in found["lines"])
        retired = tuple(str(i) for i in found.get("retired_ids", ()))
        return PreviousPlan(lines, retired, found.get("sheets"), found)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return PreviousPlan()
