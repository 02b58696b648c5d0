"""The songs of an episode: lines on their bars and, where the singing is on a recording, as they are really sung.

In: a song's settings and its sung lines. Out: the fitted song; where its settings name a recording of the singing
(``vocal``: a stem, or the song's own file; or an ``instrumental`` beside the song's file) with every line that could be
followed measured, each syllable keeping bar and beat. What a person has pinned holds, and the rest of its line is
followed around it: what the script pins to a beat and, once the song was followed, what a label file says otherwise.
Lines that were lost stay fitted, and say so. A song whose files cannot be used is fitted by its
settings alone, and says so: it does not stop the others.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timing.model import Finding, Origin, Song, TimedLine, TimedSyllable
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.labels import Label, Syllables, bare, is_moved, sorted_out, syllables_meant, with_syllables
from timing.model.settings import SongSettings
from timing.plain.errors import RecordingError
from timing.song.fit import FittedSong, SungLine, fit_song
from timing.store.plain_values import from_line, to_line
from timing.store.store import Kind, Store, content_of

if TYPE_CHECKING:
    from timing.hearing.song_following import Pin

Follow = Callable[[Mapping[int, "Sequence[Pin]"]], FittedSong]
STRAY_S = Fraction(3, 2)  # a line heard farther than this from its bars is not believed


def sung_song(
    settings: SongSettings,
    folder: Path,
    lines: Sequence[SungLine],
    rate: FrameRate,
    pronounce: Any,
    store: Store,
    bars: Mapping[int, Label] | None = None,
    ids: Sequence[str] = (),
    rows: Sequence[Label] = (),
) -> tuple[FittedSong, list[Label]]:
    """Return the song with its lines, measured where that can be done, and the rows that fit none of them.

    A person's word: ``bars`` says where bars begin, ``rows`` where lines (``ids``, theirs), words and syllables lie.
    Raises what ``fit_song`` does but RecordingError: files that cannot be used are a finding. Raises InputError for
    rows that contradict each other.
    """
    missing = []
    try:
        fitted = fit_song(settings, folder, lines, rate, bars=bars, store=store)
    except RecordingError as error:
        missing.append(error)
        settings = replace(settings, file=None, vocal=None, instrumental=None)
        fitted = fit_song(settings, folder, lines, rate, bars=bars, store=store)
    follow = partial(with_singing, fitted, settings, lines, folder, pronounce, store)
    try:
        fitted = follow()
    except RecordingError as error:
        missing.append(error)
        follow = partial(lambda same, _: same, fitted)
    fitted, loose = with_labels(fitted, ids, rows, follow)
    findings = tuple(
        Finding(
            FindingCode.SONG_FILE_UNUSABLE,
            f'Song "{settings.id}": {Path(error.path or "").name} {error.message}. Its lines follow the beat for now.',
            {"song": settings.id},
        )
        for error in missing
    )
    findings = (*fitted.findings, *findings)
    return replace(fitted, song=replace(fitted.song, findings=findings), findings=findings), loose


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
    return replace(fitted, lines=tuple(_in_order(out, fitted.lines, held, lost)))


@dataclass(frozen=True)
class _Said:
    """What a person says of one line: its own row, and rows of its words and syllables."""

    edges: Label | None
    parts: Mapping[Syllables, Label]


def with_labels(
    fitted: FittedSong, ids: Sequence[str], labels: Sequence[Label], follow: Follow | None = None
) -> tuple[FittedSong, list[Label]]:
    """Return ``fitted`` with the lines that a person labelled where the labels have them, and the rows of none.

    ``ids`` are the lines' own; ``follow`` returns the song followed anew around pins, where it can be: that is done
    where a row says otherwise than ``fitted``. Raises InputError for labels that contradict each other.
    """
    said, loose = _said_of(fitted, ids, labels)
    if follow and any(is_moved(fitted.lines[n], own.edges, own.parts) for n, own in said.items()):
        pins = {n: _pins_said(fitted.lines[n], own) for n, own in said.items()}
        again = follow(pins).lines
        # Where what a person says leaves no room for the words it is not followed, but it counts.
        lines = [
            old if n in said and new.origin is not Origin.MEASURED else new
            for n, (old, new) in enumerate(zip(fitted.lines, again, strict=True))
        ]
        fitted = replace(fitted, lines=tuple(lines))
    out = list(fitted.lines)
    for n, own in said.items():
        out[n] = _placed_again(with_syllables(out[n], own.edges, own.parts), out[n], fitted.song)
    return replace(fitted, lines=tuple(out)), loose


def _said_of(fitted: FittedSong, ids: Sequence[str], labels: Sequence[Label]) -> tuple[dict[int, _Said], list[Label]]:
    """Return what the rows say of each line, by its number from 0, and the rows of none."""
    words_of = {line_id: [w.text for w in line.words] for line_id, line in zip(ids, fitted.lines, strict=True)}
    rows, loose = sorted_out(labels, words_of)
    own = {row.id: row for row in rows}
    said: dict[int, _Said] = {}
    used = []
    for n, (line_id, line) in enumerate(zip(ids, fitted.lines, strict=True)):
        names = {bare(text) for w in line.words for text in (w.text, w.spoken, *(s.heard for s in w.syllables))}
        near = [x for x in loose if line_id not in own and line.start <= x.middle <= line.end and bare(x.text) in names]
        row = own.get(line_id)
        used += near
        meant, strange = syllables_meant(line, row.parts if row else near)
        loose += strange
        if row or meant:
            said[n] = _Said(row.line if row else None, meant)
    return said, [label for label in loose if label not in used]


def _pins_said(line: TimedLine, said: _Said) -> tuple[Pin, ...]:
    """Return the rows of a line as what its singing is followed around, in the order in which it is sung."""
    from timing.hearing.song_following import Pin

    flat = [(w, k) for w, word in enumerate(line.words) for k in range(len(word.syllables))]
    found: dict[tuple[int, int], Pin] = {}
    if said.edges:
        last = len(line.words) - 1
        found[0, 0] = Pin(0, said.edges.start, said.edges.end if not last else None)
        if last:
            found[last, 0] = Pin(last, None, said.edges.end)
    for part, row in sorted(said.parts.items(), key=lambda item: -item[0].count):
        word, syllable = flat[part.first]
        closes = syllable + part.count == len(line.words[word].syllables)
        before = found.get((word, 0))
        end = row.end if closes and row.end > row.start else before.end if before else None
        if syllable and end is not None:
            found[word, 0] = replace(before, end=end) if before else Pin(word, None, end)
            end = None
        found[word, syllable] = Pin(word, row.start, end, syllable)
    return tuple(found[key] for key in sorted(found))


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


def _in_order(
    lines: Sequence[TimedLine], fitted: Sequence[TimedLine], held: Sequence[Sequence[Pin]], lost: Finding
) -> list[TimedLine]:
    """Return the lines, each starting after the one before; a measured one that does not goes back to its bars.

    One with pins stays.
    """
    out: list[TimedLine] = []
    for line, fit, own in zip(lines, fitted, held, strict=True):
        overlaps = bool(out) and line.start < out[-1].end and line.origin is Origin.MEASURED and not own
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
        5,
        lambda found: [line and from_line(line) for line in found],
        lambda kept: [k and to_line(k, line.utterance) for k, line in zip(kept, lines, strict=True)],
    )
