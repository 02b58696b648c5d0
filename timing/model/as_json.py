"""The parts of a plan as plan.json (version 1) writes them: plain values, seconds rounded to the microsecond.

The schema lies beside this module (plan.schema.json). One writer a part; whatever writes a line writes it here.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from timing.model.basics import Finding, LineKind
from timing.model.clock import Seconds
from timing.model.cut import Cut
from timing.model.learnt import Learnt
from timing.model.month import Allowance, Month
from timing.model.placed import Clip, Delivered, PlanLine, Seam, Voice
from timing.model.song import Song
from timing.model.timed import TimedSyllable, TimedWord

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


def line_json(line: PlanLine) -> dict[str, Any]:
    return {
        "id": line.id,
        "scene": line.scene,
        "speaker": line.speaker,
        "kind": line.kind.value,
        "passage": line.passage.value if line.kind is LineKind.PICTURE else None,
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
        "over": line.over,
        "directions": list(line.directions),
        "words": [word_json(word) for word in line.words],
        "findings": [finding_json(f) for f in line.findings],
    }


def word_json(word: TimedWord) -> dict[str, Any]:
    found = {
        "text": word.text,
        "spoken": word.spoken,
        "start_s": decimal_s(word.start),
        "end_s": decimal_s(word.end),
        "syllables": [syllable_json(s) for s in word.syllables],
    }
    if word.is_guessed:
        found["guessed"] = True
    if word.confidence is not None:
        found["confidence"] = round(word.confidence, 3)
    return found


def syllable_json(syllable: TimedSyllable) -> dict[str, Any]:
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


def clip_json(clip: Clip, seam: Seam | None = None) -> dict[str, Any]:
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
        "head_s": decimal_s(clip.head),
        "tail_s": decimal_s(clip.tail),
        "starts_from": None if seam is None else {"clip": seam.clip, "frame": seam.frame, "still": seam.still},
        "takes": clip.takes,
        "start_frame": clip.start_frame,
        "end_frame": clip.end_frame,
        "findings": [finding_json(f) for f in clip.findings],
    }


def song_json(song: Song) -> dict[str, Any]:
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
        "findings": [finding_json(f) for f in song.findings],
    }


def delivery_json(delivered: Delivered) -> dict[str, Any]:
    return {
        "clip": delivered.clip,
        "file": delivered.file,
        "takes": delivered.takes,
        "state": delivered.state,
        "measured": delivered.is_measured,
        "speech_start_s": decimal_s(delivered.speech_start),
        "words": [{"line": m.line, "word": m.word, "fault": m.fault.value} for m in delivered.word_marks],
        "findings": [finding_json(f) for f in delivered.findings],
        "voice": None if delivered.voice is None else voice_json(delivered.voice),
    }


def voice_json(voice: Voice) -> dict[str, Any]:
    return {
        "file": voice.file,
        "used": voice.is_used,
        "delay_s": decimal_s(voice.delay) if voice.likeness is not None else None,
        "drift": None if voice.drift is None else round(voice.drift, 6),
        "likeness": None if voice.likeness is None else round(voice.likeness, 3),
        "findings": [finding_json(f) for f in voice.findings],
    }


def cut_json(cut: Cut) -> dict[str, Any]:
    return {
        "file": cut.file,
        "rate": cut.rate.name,
        "frames": cut.frames,
        "seconds": decimal_s(cut.length),
        "events": [
            {
                "clip": event.clip,
                "name": event.name,
                "file": event.file,
                "start_frame": event.start_frame,
                "end_frame": event.end_frame,
                "start_s": decimal_s(event.start),
                "end_s": decimal_s(event.end),
                "source_s": decimal_s(event.source),
                "seen": event.is_seen,
                "heard": event.is_heard,
            }
            for event in cut.events
        ],
    }


def learnt_json(learnt: Learnt) -> dict[str, Any]:
    """Return {"learnt": what other episodes of the series taught}, nothing where they taught nothing."""
    paces = {
        who: {"pace": round(found.pace, 3), "lines": found.lines, "episodes": list(rows)}
        for who, rows in learnt.paces.items()
        if (found := learnt.pace_of(who))
    }
    takes = {
        name: {"takes": decimal(needed.takes), "clips": needed.clips, "episodes": list(rows)}
        for name, rows in learnt.takes.items()
        if (needed := learnt.takes_of(name))
    }
    return {"learnt": {"paces": paces, "takes": takes}} if paces or takes else {}


def month_json(month: Month | None, allowances: Iterable[Allowance]) -> dict[str, Any]:
    """Return {"month": what of each allowance is used}, nothing where there is no ledger."""
    if month is None:
        return {}
    rows = [
        {
            "profile": a.profile,
            "unit": a.unit,
            "allowed": decimal(a.allowed),
            "used": decimal(month.of(a)),
            "left": decimal(month.left(a)),
        }
        for a in allowances
    ]
    return {"month": {"month": month.name, "allowances": rows}}


def finding_json(finding: Finding) -> dict[str, Any]:
    facts = {k: decimal(v) if isinstance(v, Fraction) else v for k, v in finding.facts.items()}
    where = {"where": str(finding.where)} if finding.where else {}
    return {"code": finding.code.value, "message": finding.message, **where, **facts}
