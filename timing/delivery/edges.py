"""Is a word cut off at either end of a clip?

In: the sound, the line as it was heard in it, the words as planned. Out: findings cut-off-start and cut-off-end.

Four signs: speech goes on up to the edge of the sound; the last word is not there; the sound dies more abruptly than a
voice can; the last word is short for its line and fits its sounds badly (or is the same reading as the recording, where
being short is enough). Limits are our own, from last words of synthesised lines (three joined from recordings, five of
a formant synthesiser that stops within a period; whole, and cut in the middle): down to silence, whole ones fall by
36 dB in 30 ms at most (3 in a hundred by more), most cut ones by more than 40.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.model import Finding, TimedLine, TimedWord
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.plain.words import bare

if TYPE_CHECKING:
    from timing.sound.decode import Sound

EDGE_S = Fraction(3, 100)  # speech that goes on this near an edge of the sound is cut off
LOUD_DB = 20.0  # below the loud windows: speech is going on
SHORT_SHARE = Fraction(2, 3)  # a last word shorter than this share of its usual length may be cut off
BADLY = 0.75  # confidence below which a word fits its sounds badly
ABRUPT_DB = 37.0  # lost within ABRUPT_S
SILENCE_DB = 45.0  # below the loud windows: how much deeper it falls tells of the file, not of the voice
ABRUPT_S = Fraction(3, 100)
AUDIBLE_DB = 30.0  # below the loud windows: the last of it that is heard


def edge_findings(
    sound: Sound, heard: TimedLine, planned: Sequence[TimedWord], is_same_reading: bool, begins_at_once: bool = False
) -> list[Finding]:
    """Return cut-off-start and cut-off-end, each with the index of its word.

    ``begins_at_once``: the clip was asked for without anything before its first sound, so speech may start with it.
    """
    found = []
    last = len(heard.words) - 1
    if not begins_at_once and _is_loud(sound, Fraction(0)):
        message = f"begins in the middle of speech: “{bare(heard.words[0].text)}” is cut off"
        found.append(Finding(FindingCode.CUT_OFF_START, message, {"words": [0]}))
    if _is_loud(sound, sound.seconds - EDGE_S) or _is_cut(sound, heard, planned, is_same_reading):
        message = f"ends too soon: “{bare(heard.words[last].text)}” is cut off"
        found.append(Finding(FindingCode.CUT_OFF_END, message, {"words": [last]}))
    return found


def _is_cut(sound: Sound, heard: TimedLine, planned: Sequence[TimedWord], is_same_reading: bool) -> bool:
    last = len(heard.words) - 1
    if any(last in f.facts.get("words", ()) for f in heard.findings if f.code == FindingCode.NOT_SAID):
        return True
    if last_drop_db(sound) >= ABRUPT_DB:
        return True
    fits_badly = (heard.words[last].confidence or 0.0) < BADLY
    return (is_same_reading or fits_badly) and _is_short(heard, planned)


def _is_short(heard: TimedLine, planned: Sequence[TimedWord]) -> bool:
    """True where the last word took far less of its line than planned."""
    if len(heard.words) < 2 or len(planned) != len(heard.words):
        return False
    rest_heard = heard.words[-2].end - heard.words[0].start
    rest_planned = planned[-2].end - planned[0].start
    pace = min(Fraction(3, 2), rest_heard / rest_planned) if rest_planned > 0 else Fraction(1)
    usual = (planned[-1].end - planned[-1].start) * pace
    return heard.words[-1].end - heard.words[-1].start < usual * SHORT_SHARE


def last_drop_db(sound: Sound) -> float:
    """Return by how much the sound falls at most, within 30 ms, where the last of it is heard; 0 for silence."""
    import numpy as np

    hop, window = sound.rate_hz // 200, sound.rate_hz // 100
    starts = np.arange(0, len(sound.samples) - window, hop)
    if len(starts) < 20:
        return 0.0
    squares = np.concatenate([[0.0], np.cumsum(sound.samples.astype(np.float64) ** 2)])
    level = 10 * np.log10((squares[starts + window] - squares[starts]) / window + 1)
    loud = float(np.percentile(level, 95))
    audible = np.flatnonzero(level > loud - AUDIBLE_DB)
    if not len(audible):
        return 0.0
    level = np.maximum(level, loud - SILENCE_DB)
    step, end = int(ABRUPT_S * 200), int(audible[-1])
    places = range(max(0, end - 12), min(end + 2, len(level) - step))
    return max((float(level[i] - level[i + step]) for i in places), default=0.0)


def _is_loud(sound: Sound, at: Seconds) -> bool:
    """True where speech is going on in the 30 ms from ``at``: near the level of the loud windows."""
    from timing.sound.levels import window_db

    levels = window_db(sound.samples, sound.rate_hz)
    here = window_db(sound.cut(at, at + EDGE_S), sound.rate_hz)
    if not len(here) or not len(levels):
        return False
    loud = sorted(float(v) for v in levels)[int(len(levels) * 0.95)]
    return float(max(here)) > max(loud - LOUD_DB, -60.0)
