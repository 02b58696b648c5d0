"""Sung lines as they are really sung: the recording of the singing over the fitted beats.

In: a fitted song whose settings name where the singing is heard (``vocal``: a stem, or the song's own file). Out: the
same with every line that could be followed measured, each syllable keeping bar and beat. Lines the user has pinned
stay where they are pinned; lines that were lost stay fitted, and say so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.model import Finding, Origin, Song, TimedLine, TimedSyllable
from timing.model.findings import FindingCode
from timing.model.settings import SongSettings
from timing.plain.errors import RecordingError
from timing.song.fit import FittedSong, SungLine
from timing.store.plain_values import from_line, to_line
from timing.store.store import Kind, Store, content_of

LOST_S = Fraction(3, 2)  # a line heard farther than this from its bars is not believed


def with_singing(
    fitted: FittedSong, settings: SongSettings, lines: Sequence[SungLine], folder: Path, pronounce: Any, store: Store
) -> FittedSong:
    """Return ``fitted`` with its lines measured in the recording; unchanged where no ``vocal`` is named.

    Raises RecordingError when the recording cannot be read.
    """
    if settings.vocal is None:
        return fitted
    heard = _heard(fitted, settings.vocal, lines, folder, pronounce, store)
    lost = Finding(FindingCode.SINGING_NOT_FOUND, f"not found in {settings.vocal}: its times follow the beat")
    out = []
    for line, fit, measured in zip(lines, fitted.lines, heard, strict=True):
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
    fitted: FittedSong, vocal: str, lines: Sequence[SungLine], folder: Path, pronounce: Any, store: Store
) -> list[TimedLine | None]:
    """Return each line as it is sung, None for one that could not be followed."""
    from timing.hearing.followed_words import tokens_of
    from timing.hearing.song_following import SungScriptedLine, align_song

    path = folder / vocal
    try:
        content = content_of(path)
    except OSError as error:
        raise RecordingError(f"cannot be opened ({error.strerror}); check vocal in episode.toml", path) from None
    wanted = [
        SungScriptedLine(str(n), line.utterance, float(fit.start), float(fit.end))
        for n, (line, fit) in enumerate(zip(lines, fitted.lines, strict=True))
    ]
    known = [(tokens_of(w.utterance, pronounce), w.utterance, w.approx_start_s, w.approx_end_s) for w in wanted]
    # Beats of a song without a file lie on no recording.
    beats = [float(beat) for beat in fitted.song.beats] if fitted.song.file else []

    def follow() -> list[TimedLine | None]:
        found = align_song(path, wanted, pronounce, beats)
        return [found.get(line.id) for line in wanted]

    return store.made(_kind(lines), (content, known, beats), follow)


def _kind(lines: Sequence[SungLine]) -> Kind[list[TimedLine | None]]:
    return Kind(
        "singing",
        1,
        lambda found: [line and from_line(line) for line in found],
        lambda kept: [k and to_line(k, line.utterance) for k, line in zip(kept, lines, strict=True)],
    )
