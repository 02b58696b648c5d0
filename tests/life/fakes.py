"""Recordings and clips that are plain text, and ears that read it: the life of an episode without any sound.

A file in ``recordings/`` or ``clips/`` holds the words that are "heard" in it. The fakes stand where sound is opened:
for the listener of one file and the check of one clip; which reading counts, what labels say of it and everything
else is the tool itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from timing.delivery import labelled
from timing.delivery.check import Checker
from timing.delivery.matching import ClipFile
from timing.delivery.verdict import Check
from timing.delivery.words import clip_utterance
from timing.memory.line_ids import spoken_words
from timing.model import Finding, LineKind, Origin, TimedLine, TimedSyllable, TimedWord, Utterance
from timing.model.findings import FindingCode
from timing.model.labels import Label
from timing.plain.errors import RecordingError
from timing.recording.files import line_named
from timing.recording.listener import Candidate, HeardFile, HeardIn
from timing.recording.results import ScriptedLine, Take
from timing.store.store import Store, content_of

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


@dataclass(frozen=True)
class _Text:
    """A file that is text, where a sound is expected: nothing can be followed in it, and nothing is wrong with it."""

    name: str = ""
    seconds: Fraction = Fraction(60)
    is_noisy: bool = False

    def findings(self) -> tuple[Finding, ...]:
        return ()

    def cut(self, *_: Any) -> Any:
        raise RecordingError("is text", self.name)


class Listener:
    """Hears a file as the line it is named after, else as the line whose words it holds."""

    def __init__(self, lines: Sequence[ScriptedLine], language: str, pronounce: Any, wishes: Any, store: Store):
        self.lines, self.wishes, self.store = lines, wishes, store
        self.by_id = {line.id: number for number, line in enumerate(lines)}

    def wish(self, line_id: str) -> str | None:
        return None

    def knows(self, path: Path) -> bool:
        return True

    def is_foreign(self, number: int) -> bool:
        return True

    def reading(self, *_: Any) -> None:
        return None

    def hear(self, path: Path, name: str) -> HeardIn:
        text = spoken_words(path.read_text("utf-8"))
        named = line_named(path.name, self.by_id)
        found = []
        for line in self.lines:
            if line.id == named or (named is None and _said(line.utterance) == text):
                heard = timed(line.utterance, Fraction(len(text) % 3 + 3, 4))
                heard = TimedLine(heard.words, heard.origin, heard.low, heard.high, 0.9, name, Fraction(1, 2))
                take = Take(line.id, name, Fraction(1, 2), Fraction(1, 2) + heard.length, True, 0.9)
                found.append(Candidate(take, heard, is_named=line.id == named))
                break
        file: Any = HeardFile(_Text(name), content_of(path), (), _Text(name))  # type: ignore[arg-type]
        return HeardIn(found, [], file)


def with_labels(checker: Checker, file: ClipFile, found: Check, labels: Sequence[Label], store: Store) -> Check:
    """Let the labels beside a clip count as they do beside a sound."""
    sound: Any = _Text(file.name)
    return labelled.with_labels(checker.plan, checker.pronounce, found, sound, labels, store)


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
    patch.setattr("timing.recording.listen.Listener", Listener)
    patch.setattr("timing.recording.listen.told", lambda _listener, _file, heard: heard)  # there is no sound to follow
    patch.setattr(Checker, "check", check)
    patch.setattr(Checker, "with_labels", with_labels)
    patch.setattr("os.fsync", lambda _: None)  # a walk is no storm of power cuts, and most of its time would be waiting
    patch.setattr("timing.pipeline.sound_strips", lambda *_: ())
