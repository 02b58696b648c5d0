"""The one model in the middle: timed syllables, and what stands before and after them.

    script stage    ->  ScriptLine            what is written, who says it
    language stage  ->  Utterance             words and syllables, untimed
    timer           ->  TimedLine             the same words, each syllable with a start and an end
    clip planning   ->  Clip                  what to request
    pipeline        ->  Plan                  everything placed on the episode's clock and in frames

Conventions: every moment is a ``Fraction`` of a second; ranges exclude their end; frames count from 0.
Timers count from the first sound of their line (moment 0); the pipeline moves lines onto the episode's
clock. Types are frozen and checked when made, so later code never checks again.
"""

from __future__ import annotations

from timing.model.basics import Break, Finding, LineKind, Origin, Passage, Where
from timing.model.cut import Cut, CutEvent
from timing.model.placed import (
    Clip,
    Delivered,
    Loudness,
    Media,
    PlanLine,
    Seam,
    Sounding,
    Totals,
    Voice,
    WordFault,
    WordMark,
)
from timing.model.plan import Plan
from timing.model.script import NotedLength, PauseMark, Remark, Script, ScriptLine, SongCue
from timing.model.song import BeatGrid, Song
from timing.model.timed import VOWELS, TimedLine, TimedSyllable, TimedWord, Timer, is_vowel
from timing.model.words import Syllable, Utterance, Word

__all__ = [
    "VOWELS",
    "BeatGrid",
    "Break",
    "Clip",
    "Cut",
    "CutEvent",
    "Delivered",
    "Finding",
    "LineKind",
    "Loudness",
    "Media",
    "NotedLength",
    "Origin",
    "Passage",
    "PauseMark",
    "Plan",
    "PlanLine",
    "Remark",
    "Script",
    "ScriptLine",
    "Seam",
    "Song",
    "SongCue",
    "Sounding",
    "Syllable",
    "TimedLine",
    "TimedSyllable",
    "TimedWord",
    "Timer",
    "Totals",
    "Utterance",
    "Voice",
    "Where",
    "Word",
    "WordFault",
    "WordMark",
    "is_vowel",
]
