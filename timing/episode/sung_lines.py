"""Sung lines as they are really sung: the recording of the singing over the fitted beats.

In: a fitted song whose settings name where the singing is heard (``vocal``: a stem, or the song's own file). Out: the
same with every line that could be followed measured, each syllable keeping bar and beat. Lines the user has pinned
stay where they are pinned; lines that were lost stay fitted, and say so.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.model import Finding, Origin, Song, TimedLine, TimedSyllable, TimedWord
from timing.model.findings import FindingCode
from timing.model.settings import SongSettings
from timing.song.fit import FittedSong, SungLine

LOST_S = Fraction(3, 2)  # a line heard farther than this from its bars is not believed


def with_singing(
    fitted: FittedSong, settings: SongSettings, lines: Sequence[SungLine], folder: Path, pronounce: Any, cache: Path
) -> FittedSong:
    """Return ``fitted`` with its lines measured in the recording; unchanged where no ``vocal`` is named.

    Raises RecordingError when the recording cannot be read.
    """
    if settings.vocal is None:
        return fitted
    heard = _heard(fitted, settings.vocal, lines, folder, pronounce, cache)
    lost = Finding(FindingCode.SINGING_NOT_FOUND, f"not found in {settings.vocal}: its times follow the beat")
    out = []
    for number, (line, fit) in enumerate(zip(lines, fitted.lines, strict=True)):
        measured = heard.get(str(number))
        if line.marks.pins or line.marks.bar_lines:
            out.append(fit)
        elif measured is None or _is_lost(measured, fit):
            out.append(replace(fit, findings=(*fit.findings, lost)))
        else:
            out.append(_on_bars(measured, fit, fitted.song, settings.vocal))
    return replace(fitted, lines=tuple(_in_order(out, fitted.lines, lost)))


def _is_lost(measured: TimedLine, fit: TimedLine) -> bool:
    return abs(measured.start - fit.start) > LOST_S or any(f.code == FindingCode.UNCLEAR for f in measured.findings)


def _in_order(lines: Sequence[TimedLine], fitted: Sequence[TimedLine], lost: Finding) -> list[TimedLine]:
    """Return the lines, each starting after the one before; a measured one that does not goes back to its bars."""
    out: list[TimedLine] = []
    for line, fit in zip(lines, fitted, strict=True):
        overlaps = bool(out) and line.start < out[-1].end and line.origin is Origin.MEASURED
        out.append(replace(fit, findings=(*fit.findings, lost)) if overlaps else line)
    return out


def _on_bars(measured: TimedLine, fit: TimedLine, song: Song, vocal: str) -> TimedLine:
    words = []
    for heard, word in zip(measured.words, fit.words, strict=True):
        syllables = tuple(_placed(h, s, song) for h, s in zip(heard.syllables, word.syllables, strict=True))
        words.append(replace(word, syllables=syllables, confidence=heard.confidence))
    length = words[-1].end - words[0].start
    return replace(
        fit, words=tuple(words), origin=Origin.MEASURED, low=length, high=length,
        take=vocal, take_start=words[0].start,
        confidence=measured.confidence, findings=(*fit.findings, *measured.findings),
    )  # fmt: skip


def _placed(heard: TimedSyllable, fit: TimedSyllable, song: Song) -> TimedSyllable:
    where = song.position_of(heard.vowel_start)
    bar, beat = where if where else (fit.bar, fit.beat)
    return replace(heard, text=fit.text, said=fit.said, stress=fit.stress, bar=bar, beat=beat)


# --- kept by content ---------------------------------------------------------------------------------------


def _heard(
    fitted: FittedSong, vocal: str, lines: Sequence[SungLine], folder: Path, pronounce: Any, cache: Path
) -> dict[str, TimedLine]:
    from timing.hearing.followed_words import tokens_of
    from timing.hearing.song_following import SungScriptedLine, align_song
    from timing.plain.errors import RecordingError
    from timing.store.cache import Cache, hash_of, key_of

    path = folder / vocal
    try:
        content = hash_of(path)
    except OSError as error:
        raise RecordingError(f"cannot be opened ({error.strerror}); check vocal in episode.toml", path) from None
    wanted = [
        SungScriptedLine(str(n), line.utterance, float(fit.start), float(fit.end))
        for n, (line, fit) in enumerate(zip(lines, fitted.lines, strict=True))
    ]
    kept = Cache(cache)
    known = [(tokens_of(w.utterance, pronounce), w.utterance, w.approx_start_s, w.approx_end_s) for w in wanted]
    # Beats of a song without a file lie on no recording.
    beats = [float(beat) for beat in fitted.song.beats] if fitted.song.file else []
    key = key_of("singing", content, known, beats)
    found = kept.get(key)
    if found is None:
        measured = align_song(path, wanted, pronounce, beats)
        found = {name: _to_json(line) for name, line in measured.items()}
        kept.put(key, json.loads(json.dumps(found)))
    return {name: _from_json(value, lines[int(name)]) for name, value in found.items()}


def _to_json(line: TimedLine) -> Any:
    words = [
        [word.confidence, [[str(s.start), str(s.end), list(s.phones), [str(p) for p in s.phone_starts]]
                           for s in word.syllables]]
        for word in line.words
    ]  # fmt: skip
    return [line.confidence, words, [[f.code, f.message] for f in line.findings]]


def _from_json(kept: Any, line: SungLine) -> TimedLine:
    confidence, words, findings = kept
    timed = []
    for word, (sure, syllables) in zip(line.utterance.words, words, strict=True):
        made = tuple(
            TimedSyllable(
                s.text, Fraction(start), Fraction(end), Origin.MEASURED, s.stress, tuple(phones), s.said,
                tuple(Fraction(p) for p in starts),
            )
            for s, (start, end, phones, starts) in zip(word.syllables, syllables, strict=True)
        )  # fmt: skip
        timed.append(TimedWord.of(word, made, sure))
    length = timed[-1].end - timed[0].start
    return TimedLine(
        tuple(timed),
        Origin.MEASURED,
        length,
        length,
        confidence,
        findings=tuple(Finding(FindingCode(f[0]), *f[1:]) for f in findings),
    )
