"""Binds the sung lines of one song to its bars.

In: the song's settings, its sung lines (utterances with their marks and cues). Out: :class:`FittedSong`: beats, bars
and timed lines, all in seconds from the start of the song's file, or from its pick-up bar (bar 1 where the first line
has none) when there is no file. The pipeline moves the whole onto the episode's clock.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from pathlib import Path

from timing.model import Finding, Origin, Song, SongCue, TimedLine, TimedSyllable, TimedWord, Utterance, Where
from timing.model.clock import FrameRate, Seconds
from timing.model.findings import FindingCode
from timing.model.labels import Label
from timing.model.settings import SongSettings
from timing.plain.errors import RecordingError, ScriptError, SettingsError
from timing.song.clock import SongClock, exact
from timing.song.kept import beats_of, kept_setting
from timing.song.lyrics.lyrics import LyricMarks
from timing.song.lyrics.notes import notes_of
from timing.song.lyrics.setting import BREATH, Placed, Rhythm, place, timed
from timing.song.lyrics.stress import stress_findings
from timing.song.tunes.reader import read_tune
from timing.song.tunes.tune import Found, Tune, find_line
from timing.store.store import Store

ASSUMED_BPM = Fraction(100)  # our own guess where nobody said, always with a finding
LEAST_FRAMES = 2  # a mouth shape needs two frames to be seen (A. Sale, after notes of H. Luske)
TOLD_TWICE_S = Fraction(1, 10)  # a bar farther than this from where it was is another bar line (our own choice)
LEAST_GAP = Fraction(1, 2)  # beats between the last onset of a line and the pick-up of the next


@dataclass(frozen=True)
class SungLine:
    """One sung line of a song, in order; ``cue`` where a ``[[song ID, bar N]]`` stands before it."""

    utterance: Utterance
    marks: LyricMarks
    cue: SongCue | None = None
    where: Where = Where("lyric")


@dataclass(frozen=True)
class FittedSong:
    """A song with its lines timed; see the module for the clock."""

    song: Song
    lines: tuple[TimedLine, ...]
    findings: tuple[Finding, ...] = ()

    def moved(self, by: Seconds) -> FittedSong:
        """Return the same, ``by`` seconds later."""
        song = replace(
            self.song,
            start=self.song.start + by,
            end=self.song.end + by,
            beats=tuple(b + by for b in self.song.beats),
            downbeats=tuple(b + by for b in self.song.downbeats),
        )
        return FittedSong(song, tuple(line.moved(by) for line in self.lines), self.findings)


@dataclass(frozen=True)
class _Bound:
    """A line with the bar it begins in."""

    placed: Placed
    bar: int
    findings: tuple[Finding, ...]
    where: Where


def fit_song(
    settings: SongSettings,
    folder: Path,
    lines: Sequence[SungLine],
    rate: FrameRate,
    *,
    bars: Mapping[int, Label] | None = None,
    store: Store | None = None,
) -> FittedSong:
    """Return the song and its lines on the song's clock.

    ``folder`` is where ``settings.file`` lies; ``rate`` tells when a syllable is too short to draw; ``bars`` are a
    person's word about where bars begin in the file. What is measured and searched for is kept in ``store``. Raises
    ScriptError for pins that exclude each other, SettingsError for a first bar that does not exist, RecordingError
    for an unreadable file.
    """
    store = store or Store()
    tune = read_tune(folder / settings.tune) if settings.tune else None
    if settings.file is None:
        bound = _bind(settings, lines, tune, None, store)
        clock, length, findings, origin = _made_up(settings, bound, tune)
    else:
        clock, length, findings, origin = _measured(settings, folder, store)
        if bars:
            findings += _told_twice(settings, clock, bars)
            clock, origin = clock.with_bars(bars), Origin.PINNED
        findings += _assumed(settings, lines, tune)
        bound = _bind(settings, lines, tune, -clock.downbeats[0] * clock.bpm / 60, store)
    bound = [replace(b, findings=(*b.findings, *stress_findings(b.placed, settings.metre, b.where))) for b in bound]
    timed_lines = tuple(_time(clock, line, b, rate) for line, b in zip(lines, bound, strict=True))
    if settings.file is not None:
        last_bar = sum(d < length for d in clock.downbeats)
        timed_lines = tuple(_within(t, length, last_bar, b) for t, b in zip(timed_lines, bound, strict=True))
    end = max([length, *(line.end for line in timed_lines)])
    song = Song(
        settings.id, clock.bpm, settings.metre, Fraction(0), end, clock.beats, clock.downbeats, origin,
        settings.file, tuple(findings),
    )  # fmt: skip
    return FittedSong(song, timed_lines, tuple(findings))


def _assumed(settings: SongSettings, lines: Sequence[SungLine], tune: Tune | None) -> list[Finding]:
    """Return a finding where nobody said in which bar of a recording the singing begins."""
    if not lines or tune is not None or any(line.cue and line.cue.bar is not None for line in lines):
        return []
    message = (
        f'Song "{settings.id}": nobody said where the singing begins, so it is taken to begin in bar 1; '
        f"write [[song {settings.id}, bar N]] before its first line."
    )
    return [Finding(FindingCode.BARS_ASSUMED, message, {"song": settings.id, "bar": 1}, lines[0].where)]


def _bind(
    settings: SongSettings, lines: Sequence[SungLine], tune: Tune | None, earliest: Fraction | None, store: Store
) -> list[_Bound]:
    """Return each line placed in its bars: one after another, a cue moves on.

    ``earliest``: where a song's file begins, in beats from bar 1; no note can come before.
    """
    a_bar = settings.metre.beats
    bound: list[_Bound] = []
    next_bar, free_from, in_tune = 1, earliest, 0
    for number, line in enumerate(lines, 1):
        cued = line.cue.bar if line.cue and line.cue.bar is not None else None
        bar = next_bar if cued is None else cued
        findings: list[Finding] = []
        rhythm: Rhythm | None = None
        if tune is not None:
            found = find_line(tune, [n.text for n in notes_of(line.utterance, line.marks)], in_tune)
            if found is None:
                findings.append(_not_in_tune(settings, line))
            else:
                in_tune = found.after
                bar, rhythm = _from_tune(found, a_bar, next_bar, cued)
        rhythm = rhythm or _same_rhythm(line, number, lines, bound)
        not_before = None if free_from is None else free_from - (bar - 1) * a_bar
        early = None if bar < next_bar else not_before
        search = partial(
            place, line.utterance, line.marks, settings.metre, settings.bars_a_line,
            not_before=early, rhythm=rhythm, where=line.where,
        )  # fmt: skip
        on = (line.utterance, line.marks, settings.metre, settings.bars_a_line, early, rhythm)
        placed = kept_setting(store, notes_of(line.utterance, line.marks), on, search)
        findings += _fit_findings(placed, settings.bars_a_line, line.where)
        bound.append(_Bound(placed, bar, tuple(findings), line.where))
        next_bar = bar + placed.bars
        free_from = (bar - 1) * a_bar + placed.positions[-1] + LEAST_GAP
    return _breathe(bound, a_bar)


def _from_tune(found: Found, a_bar: int, next_bar: int, cued: int | None) -> tuple[int, Rhythm]:
    """Return the bar a line of the tune begins in, and its rhythm from there.

    The tune's own bar counts, unless a cue names another or a later verse goes on where the song is.
    """
    first = found.starts[0]
    own = int(-(-first // a_bar)) + 1 if first % a_bar > Fraction(a_bar, 2) or first < 0 else int(first // a_bar) + 1
    bar = cued if cued is not None else own if own >= next_bar else next_bar
    starts = tuple(s - (own - 1) * a_bar for s in found.starts)
    return bar, Rhythm(starts, found.lengths)


def _not_in_tune(settings: SongSettings, line: SungLine) -> Finding:
    return Finding(
        FindingCode.LINE_NOT_IN_TUNE,
        f"These words are not in {settings.tune}: the line is set by its stresses instead.",
        {"tune": settings.tune},
        line.where,
    )


def _same_rhythm(line: SungLine, number: int, lines: Sequence[SungLine], bound: Sequence[_Bound]) -> Rhythm | None:
    wanted = line.marks.same_as
    if wanted is None:
        return None
    where = line.where
    if wanted >= number:
        raise ScriptError(
            f'"={wanted}": this is sung line {number} of its song, and it can follow an earlier one only',
            where.path, where.line_number,
        )  # fmt: skip
    model, own = bound[wanted - 1].placed, len(notes_of(line.utterance, line.marks))
    if len(model.positions) != own:
        raise ScriptError(
            f'"={wanted}": sung line {wanted} ("{lines[wanted - 1].utterance.text}") has {len(model.positions)} '
            f'notes and this one has {own}; join two syllables with "~", split one with "-", or take the mark away',
            where.path, where.line_number,
        )  # fmt: skip
    return Rhythm(model.positions, model.lengths)


def _breathe(bound: list[_Bound], a_bar: int) -> list[_Bound]:
    """Return the lines with last syllables that stop, with a breath where there is room, before the next line."""
    out = list(bound)
    for i in range(len(out) - 1):
        this, after = out[i], out[i + 1]
        room = (after.bar - this.bar) * a_bar + after.placed.positions[0] - this.placed.positions[-1]
        last = this.placed.lengths[-1]
        if 0 < room < last + BREATH:
            longest = room - BREATH if room > 2 * BREATH else room / 2 if room > BREATH else room
            lengths = (*this.placed.lengths[:-1], min(last, max(longest, Fraction(1, 4)), room))
            out[i] = replace(this, placed=replace(this.placed, lengths=lengths))
    return out


def _fit_findings(placed: Placed, bars: int, where: Where) -> list[Finding]:
    found = []
    if placed.bars > bars:
        found.append(
            Finding(
                FindingCode.LINE_LONGER_THAN_ITS_BARS,
                f"The marks of this line take {placed.bars} bars; the song gives a line {bars}.",
                {"bars": placed.bars, "given": bars},
                where,
            )
        )
    if placed.squeezed:
        found.append(
            Finding(
                FindingCode.LINE_DOES_NOT_FIT_BARS,
                f"{len(placed.notes)} syllables are too many for {placed.bars} bars: some fall between sixteenths. "
                "Give the line more bars or fewer words.",
                {"notes": len(placed.notes), "bars": placed.bars},
                where,
            )
        )
    return found


def _made_up(
    settings: SongSettings, bound: Sequence[_Bound], tune: Tune | None
) -> tuple[SongClock, Seconds, list[Finding], Origin]:
    findings = []
    bpm, origin = settings.bpm, Origin.FITTED
    if bpm is None and tune is not None:
        bpm = tune.bpm
    if bpm is None:
        bpm, origin = ASSUMED_BPM, Origin.ESTIMATED
        findings.append(
            Finding(
                FindingCode.TEMPO_ASSUMED,
                f'Song "{settings.id}" has neither a file nor a tempo: {ASSUMED_BPM} bpm is assumed. '
                "Write bpm in episode.toml.",
                {"song": settings.id, "bpm": int(ASSUMED_BPM)},
            )
        )
    bars = max((b.bar + b.placed.bars - 1 for b in bound), default=1)
    pick_up = any(b.bar == 1 and b.placed.positions[0] < 0 for b in bound)
    clock = SongClock.steady(bpm, settings.metre, bars, pick_up)
    return clock, clock.end, findings, origin


def _measured(settings: SongSettings, folder: Path, store: Store) -> tuple[SongClock, Seconds, list[Finding], Origin]:
    """Return the clock of a finished song: measured beats, bars counted from the user's downbeat.

    Without a downbeat the likeliest candidate begins bar 1, and the finding says so.
    """
    path = folder / str(settings.file)
    measured = beats_of(settings, path, store)
    beats = [exact(b) for b in measured.beats_s]
    if len(beats) < 2:
        raise RecordingError("is too short to find beats in it", path)
    downbeats = [exact(d) for d in measured.downbeats_s]
    if not downbeats:
        downbeats = beats[measured.first :: settings.metre.beats]
        anchor = 0
    else:
        given = settings.downbeat or Fraction(0)
        anchor = min(range(len(downbeats)), key=lambda i: abs(downbeats[i] - given))
    bpm = exact(measured.bpm)
    begin = anchor - (settings.first_bar - 1)
    if begin < 0:
        raise SettingsError(
            f'song "{settings.id}": bar {settings.first_bar} cannot begin at {float(downbeats[anchor]):.3f} s, '
            f"where only {anchor} bars lie before it; give a smaller first_bar"
        )
    clock = SongClock(bpm, settings.metre, tuple(beats), tuple(beats.index(d) for d in downbeats[begin:]))
    findings = [replace(f, message=f'Song "{settings.id}": {f.message}') for f in measured.findings]
    return clock, exact(measured.length_s), findings, Origin.MEASURED


def _told_twice(settings: SongSettings, clock: SongClock, bars: Mapping[int, Label]) -> list[Finding]:
    """Return a finding for the first bar whose row lies elsewhere than ``downbeat_s`` puts it."""
    for bar, label in sorted(bars.items()) if settings.downbeat is not None else ():
        if not 1 <= bar <= len(clock.downbeats):
            continue
        before = clock.downbeats[bar - 1]
        if abs(label.start - before) > TOLD_TWICE_S:
            whole = "every bar of the song moves with it" if len(bars) == 1 else "the bars around it move with it"
            message = (
                f'Song "{settings.id}": bar {bar} begins at {float(label.start):.3f} s by its row, where downbeat_s '
                f"puts it at {float(before):.3f} s: {whole}. Take away the one that is wrong."
            )
            facts = {"song": settings.id, "bar": bar, "row_s": float(label.start), "before_s": round(float(before), 6)}
            return [Finding(FindingCode.BARS_TOLD_TWICE, message, facts, label.where)]
    return []


def _time(clock: SongClock, line: SungLine, bound: _Bound, rate: FrameRate) -> TimedLine:
    """Return one line on the song's clock; a pick-up that would begin before the file is squeezed into it."""
    first_bar = clock.moment(bound.bar, Fraction(0))
    begin = clock.moment(bound.bar, bound.placed.positions[0])
    findings = list(bound.findings)
    if begin < 0:
        if first_bar <= 0:
            raise ScriptError(
                f"bar {bound.bar} lies before the song's file begins; give this line a later bar",
                line.where.path, line.where.line_number,
            )  # fmt: skip
        message = f"The pick-up would begin {float(-begin):.2f} s before the song's file; it is sung faster instead."
        findings.append(
            Finding(FindingCode.PICK_UP_BEFORE_SONG, message, {"early_s": round(float(-begin), 3)}, line.where)
        )

    def moment(position: Fraction) -> Seconds:
        at = clock.moment(bound.bar, position)
        if begin < 0 and at < first_bar:
            return (at - begin) * first_bar / (first_bar - begin)
        return at

    syllables = timed(bound.placed, clock.metre, moment, bound.bar)
    shortest = min(syllables, key=lambda s: s.end - s.start)
    if (shortest.end - shortest.start) * rate.fps < LEAST_FRAMES:
        message = f'"{shortest.heard.strip()}" lasts less than {LEAST_FRAMES} frames: too fast to sing and to draw.'
        findings.append(Finding(FindingCode.SUNG_TOO_FAST, message, {"syllable": shortest.heard.strip()}, line.where))
    return line_of(line.utterance, syllables, tuple(findings))


def _within(line: TimedLine, length: Seconds, last_bar: int, bound: _Bound) -> TimedLine:
    """Return the line with a finding where syllables of it would be sung after the recording has ended."""
    late = [s for s in line.syllables if s.start >= length]
    if not late:
        return line
    what = "this line" if len(late) == len(line.syllables) else f'this line from "{late[0].heard.strip()}" on'
    message = (
        f"{what} lies after the end of the song's recording ({float(length):.1f} s, bar {last_bar}); it begins in "
        f"bar {bound.bar}: give it an earlier bar or check bpm and downbeat_s"
    )
    facts = {"bar": bound.bar, "last_bar": last_bar, "song_s": round(float(length), 6)}
    return replace(line, findings=(*line.findings, Finding(FindingCode.AFTER_THE_SONG, message, facts, bound.where)))


def line_of(utterance: Utterance, syllables: Sequence[TimedSyllable], findings: tuple[Finding, ...] = ()) -> TimedLine:
    """Return timed syllables gathered into the words of their line."""
    words, at = [], 0
    for word in utterance.words:
        count = len(word.syllables)
        words.append(TimedWord.of(word, tuple(syllables[at : at + count])))
        at += count
    length = syllables[-1].end - syllables[0].start
    return TimedLine(tuple(words), Origin.FITTED, length, length, findings=findings)
