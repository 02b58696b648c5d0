"""The songs of an episode: lines on their bars and, where the singing is on a recording, as they are really sung.

In: a song's settings and its sung lines. Out: the fitted song; where its settings name a recording of the singing
(``vocal``: a stem, or the song's own file; or an ``instrumental`` beside the song's file) with every line that could be
followed measured, each syllable keeping bar and beat. What a person has pinned holds, and the rest of its line is
followed around it. Lines that were lost stay fitted, and say so. A song whose files cannot be used is fitted by its
settings alone, and says so: it does not stop the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timing.model import Finding, Origin, Song, TimedLine, TimedSyllable
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.labels import Label, bare, sorted_out, with_syllables
from timing.model.settings import SongSettings
from timing.plain.errors import RecordingError
from timing.song.fit import FittedSong, SungLine, fit_song
from timing.store.plain_values import from_line, to_line
from timing.store.store import Kind, Store, content_of

if TYPE_CHECKING:
    from timing.hearing.song_following import Pin

STRAY_S = Fraction(3, 2)  # a line heard farther than this from its bars is not believed


def sung_song(
    settings: SongSettings,
    folder: Path,
    lines: Sequence[SungLine],
    rate: FrameRate,
    pronounce: Any,
    store: Store,
    bars: Mapping[int, Label] | None = None,
) -> FittedSong:
    """Return the song with its lines, measured where that can be done; ``bars``: a person's word where bars begin.

    Raises what ``fit_song`` does but RecordingError: files that cannot be used are a finding.
    """
    missing = []
    try:
        fitted = fit_song(settings, folder, lines, rate, bars=bars, store=store)
    except RecordingError as error:
        missing.append(error)
        settings = replace(settings, file=None, vocal=None, instrumental=None)
        fitted = fit_song(settings, folder, lines, rate, bars=bars, store=store)
    try:
        fitted = with_singing(fitted, settings, lines, folder, pronounce, store)
    except RecordingError as error:
        missing.append(error)
    findings = tuple(
        Finding(
            FindingCode.SONG_FILE_UNUSABLE,
            f'Song "{settings.id}": {Path(error.path or "").name} {error.message}. Its lines follow the beat for now.',
            {"song": settings.id},
        )
        for error in missing
    )
    findings = (*fitted.findings, *findings)
    return replace(fitted, song=replace(fitted.song, findings=findings), findings=findings)


def with_singing(
    fitted: FittedSong,
    settings: SongSettings,
    lines: Sequence[SungLine],
    folder: Path,
    pronounce: Any,
    store: Store,
    pins: Mapping[int, Sequence[Pin]] | None = None,
) -> FittedSong:
    """Return ``fitted`` with its lines measured in the recording; unchanged where none of the singing is named.

    ``pins``: what a person has said about lines (by number, from 0), in the recording's own clock; it wins over the
    pins in the script. Raises RecordingError when a recording cannot be read.
    """
    vocal = settings.vocal or (settings.file if settings.instrumental else None)
    if vocal is None:
        return fitted
    settings = replace(settings, vocal=vocal)
    held = [tuple((pins or {}).get(n, ())) or _pins_of(fit) for n, fit in enumerate(fitted.lines)]
    heard = _heard(fitted, settings, lines, folder, pronounce, store, held)
    lost = Finding(FindingCode.SINGING_NOT_FOUND, f"not found in {vocal}: its times follow the beat")
    is_placed = _is_placed(lines)
    out = []
    for fit, measured, own in zip(fitted.lines, heard, held, strict=True):
        if measured is None or (not own and _is_lost(measured, fit, is_placed)):
            out.append(replace(fit, findings=(*fit.findings, lost)))
        else:
            out.append(_on_bars(measured, fit, fitted.song, vocal))
    return replace(fitted, lines=tuple(_in_order(out, fitted.lines, lost)))


def with_labels(fitted: FittedSong, ids: Sequence[str], labels: Sequence[Label]) -> tuple[FittedSong, list[Label]]:
    """Return ``fitted`` with the lines that a person labelled where the labels have them, and the rows of none.

    ``ids`` are the lines' own. Raises InputError for labels that contradict each other.
    """
    words_of = {line_id: [w.text for w in line.words] for line_id, line in zip(ids, fitted.lines, strict=True)}
    rows, loose = sorted_out(labels, words_of)
    own = {row.id: row for row in rows}
    out, used = [], []
    for line_id, line in zip(ids, fitted.lines, strict=True):
        names = {bare(text) for w in line.words for text in (w.text, w.spoken, *(s.heard for s in w.syllables))}
        near = [n for n in loose if line_id not in own and line.start <= n.middle <= line.end and bare(n.text) in names]
        row = own.get(line_id)
        parts = list(row.parts) if row else near
        used += near
        if row is None and not parts:
            out.append(line)
            continue
        moved, strange = with_syllables(line, row.line if row else None, parts)
        loose += strange
        moved = _placed_again(moved, line, fitted.song)
        out.append(moved)
    return replace(fitted, lines=tuple(out)), [label for label in loose if label not in used]


def _placed_again(line: TimedLine, fit: TimedLine, song: Song) -> TimedLine:
    """Return a moved line with each syllable in the bar and on the beat where it now is."""
    words = [
        replace(
            word,
            syllables=tuple(
                s if s.start == f.start else _placed(s, f, song)
                for s, f in zip(word.syllables, old.syllables, strict=True)
            ),
        )
        for word, old in zip(line.words, fit.words, strict=True)
    ]
    length = line.end - line.start
    start = line.start if line.take is not None else None
    return replace(line, words=tuple(words), low=length, high=length, take_start=start)


def _is_placed(lines: Sequence[SungLine]) -> bool:
    """True where the script says in which bar some line begins; otherwise their bars are assumed."""
    return any(line.cue is not None and line.cue.bar is not None for line in lines)


def _pins_of(fit: TimedLine) -> tuple[Pin, ...]:
    """Return the syllables that the script pins to a beat."""
    from timing.hearing.song_following import Pin

    return tuple(
        Pin(number, s.start, syllable=k)
        for number, word in enumerate(fit.words)
        for k, s in enumerate(word.syllables)
        if s.origin is Origin.PINNED
    )


def _is_lost(measured: TimedLine, fit: TimedLine, is_placed: bool) -> bool:
    from timing.hearing.song_readings import LOST_S

    if is_placed and abs(measured.start - fit.start) > STRAY_S:
        return True
    return any(f.code == FindingCode.UNCLEAR and f.facts.get("moved_s", 1) > LOST_S for f in measured.findings)


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
    fitted: FittedSong,
    settings: SongSettings,
    lines: Sequence[SungLine],
    folder: Path,
    pronounce: Any,
    store: Store,
    pins: Sequence[tuple[Pin, ...]],
) -> list[TimedLine | None]:
    """Return each line as it is sung, None for one that could not be followed."""
    from timing.hearing.followed_words import tokens_of
    from timing.hearing.song_following import SungScriptedLine, align_song

    path = folder / str(settings.vocal)
    instrumental = None if settings.instrumental is None else folder / settings.instrumental
    content = [_content(path, "vocal"), None if instrumental is None else _content(instrumental, "instrumental")]
    is_placed = _is_placed(lines)
    wanted = [
        SungScriptedLine(
            str(n),
            line.utterance,
            float(fit.start) if is_placed else None,
            float(fit.end) if is_placed else None,
            own,
        )
        for n, (line, fit, own) in enumerate(zip(lines, fitted.lines, pins, strict=True))
    ]
    known = [(tokens_of(w.utterance, pronounce), w.utterance, w.approx_start_s, w.approx_end_s, w.pins) for w in wanted]
    # Beats of a song without a file lie on no recording.
    beats = [float(beat) for beat in fitted.song.beats] if fitted.song.file else []

    def follow() -> list[TimedLine | None]:
        found = align_song(path, wanted, pronounce, beats, instrumental)
        return [found.get(line.id) for line in wanted]

    return store.made(_kind(lines), (content, known, beats), follow)


def _content(path: Path, key: str) -> Any:
    try:
        return content_of(path)
    except OSError as error:
        raise RecordingError(f"cannot be opened ({error.strerror}); check {key} in episode.toml", path) from None


def _kind(lines: Sequence[SungLine]) -> Kind[list[TimedLine | None]]:
    return Kind(
        "singing",
        2,
        lambda found: [line and from_line(line) for line in found],
        lambda kept: [k and to_line(k, line.utterance) for k, line in zip(kept, lines, strict=True)],
    )
