"""Recordings and clips that are plain text, and ears that read it: the life of an episode without any sound.

A file in ``recordings/`` or ``clips/`` holds the words that are "heard" in it. The fakes stand where the pipeline hands
over to listening and checking; everything else is the tool itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from timing.delivery.check import Checker
from timing.delivery.matching import ClipFile
from timing.delivery.verdict import Check
from timing.delivery.words import clip_utterance
from timing.memory.line_ids import spoken_words
from timing.model import Finding, LineKind, Origin, TimedLine, TimedSyllable, TimedWord, Utterance
from timing.model.findings import FindingCode
from timing.recording.files import line_named, recordings_in
from timing.recording.results import Heard, ScriptedLine, Take

SYLLABLE_S = Fraction(1, 5)


def timed(utterance: Utterance, slow: Fraction = Fraction(1)) -> TimedLine:
    """Return every syllable a fifth of a second long, times ``slow``, from moment 0."""
    at, words = Fraction(0), []
    for word in utterance.words:
        syllables = []
        for s in word.syllables:
            syllables.append(TimedSyllable(s.text, at, at + SYLLABLE_S * slow, Origin.MEASURED, s.stress, s.phones))
            at += SYLLABLE_S * slow
        words.append(TimedWord.of(word, tuple(syllables), 0.9))
    return TimedLine(tuple(words), Origin.MEASURED, at, at, 0.9)


def listen(folder: Path, lines: Sequence[ScriptedLine], **_: Any) -> Heard:
    """Hear a file as the line it is named after, else as the line whose words it holds."""
    heard: dict[str, TimedLine] = {}
    takes = []
    for path in recordings_in(folder):
        name, text = path.relative_to(folder).as_posix(), spoken_words(path.read_text("utf-8"))
        named = line_named(path.name, [line.id for line in lines])
        for line in lines:
            if line.id == named or (named is None and _said(line.utterance) == text):
                found = timed(line.utterance, Fraction(len(name) % 3 + 3, 4))
                heard[line.id] = TimedLine(
                    found.words, found.origin, found.low, found.high, 0.9, name, Fraction(1, 2)
                )  # fmt: skip
                takes.append(Take(line.id, name, Fraction(1, 2), Fraction(1, 2) + found.length, True, 0.9, True))
                break
    return Heard(heard, tuple(takes), tuple(n.id for n in lines if n.id not in heard), (), folder)


def check(checker: Checker, file: ClipFile) -> Check:
    """Judge a file by the words in it; one that ends in "doubt" has its last word cut off."""
    text = spoken_words(file.path.read_text("utf-8"))
    is_doubtful, text = text[-1:] == ("doubt",), tuple(word for word in text if word not in ("doubt", "take", "again"))
    clip = checker.clips.get(file.clip or "")
    if clip is None:
        checker.looked_around = True
        same = [c for c in checker.plan.clips if c.kind is LineKind.SPOKEN and _words(checker, c) == text]
        if len(same) != 1:
            return Check(file.name, None, findings=(Finding(FindingCode.UNKNOWN_CLIP, "no clip"),))
        clip = same[0]
    plain = Check(file.name, clip.id, rate=checker.plan.rate.fps, frames=72, asked_frames=72, confidence=0.9)
    if clip.kind is not LineKind.SPOKEN:
        return plain
    heard = timed(clip_utterance(checker.plan, clip), Fraction(9, 8)).moved(Fraction(1, 4))
    found = []
    if _words(checker, clip) != text:
        checker.looked_around = True
        found.append(Finding(FindingCode.WRONG_LINE, "another line"))
    if is_doubtful:
        found.append(Finding(FindingCode.CUT_OFF_END, "the last word is cut off", {"words": [len(heard.words) - 1]}))
    return Check(
        file.name, clip.id, rate=checker.plan.rate.fps, frames=72, asked_frames=72, confidence=0.9,
        heard=heard, findings=tuple(found), tail=Fraction(1, 3),
    )  # fmt: skip


def _words(checker: Checker, clip: Any) -> tuple[str, ...]:
    return _said(clip_utterance(checker.plan, clip))


def _said(utterance: Utterance) -> tuple[str, ...]:
    return spoken_words(" ".join(word.text for word in utterance.words))


def put_in_place(patch: pytest.MonkeyPatch) -> None:
    """Let the pipeline listen and check with these."""
    patch.setattr("timing.recording.listen.listen", listen)
    patch.setattr(Checker, "check", check)
    patch.setattr("timing.pipeline.sound_strips", lambda *_: ())
