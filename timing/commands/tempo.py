"""``timing tempo``: tempo, beats and bars of a finished song."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from timing.commands.options import as_typed, json_option, print_json
from timing.commands.song_block import begins, block
from timing.model.as_json import finding_json
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.metre import Metre, parse_metre
from timing.plain.errors import InputError, RecordingError, SettingsError
from timing.song.frames import click as click_notation
from timing.song.frames import whole_frame_tempos

if TYPE_CHECKING:
    from timing.model import BeatGrid
    from timing.song.beats.grid import MeasuredSong

HOW_TO_SAY = (
    "say it here with --bpm, --metre, --downbeat or --half-beat, or for good under the song in episode.toml\n"
    'as bpm = …, metre = "…", downbeat_s = … or half_beat_shift = true'
)
LONG_PIECE = 8  # beats; shorter pieces are not named one by one
HEADPHONES = "Start the click quietly and raise it; take it out of a child's headphones or keep it low; rest your ears."


@click.command("tempo")
@click.argument("songs", type=click.Path(path_type=Path), nargs=-1, required=True, metavar="SONG|BPM")
@click.option("--in", "source", type=click.Path(path_type=Path), help="The script the song is for.")
@click.option("--song", "name", help="Which song of the script, if there are several.")
@click.option("--bpm", type=float, help="Felt beats a minute, if you know them (within 6 %).")
@click.option("--metre", help="Time signature, for example 3/4 or 6/8 [default: a guess].")
@click.option("--downbeat", type=float, help="Seconds of one first beat of a bar, in the steady part.")
@click.option("--offset-ms", type=float, default=0.0, show_default=True, help="Milliseconds added to every beat.")
@click.option("--half-beat", is_flag=True, help="Move a grid that sits between the beats by half a beat.")
@click.option("--rate", help="Frames a second [default: 24; with --in the episode's].")
@click.option("--preview", type=click.Path(path_type=Path), help="Write the song with clicks to this WAV file.")
@json_option
def command(
    songs: tuple[Path, ...],
    source: Path | None,
    name: str | None,
    bpm: float | None,
    metre: str | None,
    downbeat: float | None,
    offset_ms: float,
    half_beat: bool,
    rate: str | None,
    preview: Path | None,
    as_json: bool,
) -> None:
    """Find tempo, beats and bars of SONG, a sound file; or tempos near BPM for a song still to be made.

    Bars cannot be heard reliably by a machine: without --downbeat the possible first beats are listed with their
    times. Listen to the preview, then say which. With --in SOURCE the words of the script are looked for in it.

    With BPM (a number) and --in SOURCE: tempos near it whose beats or bars last whole frames, what lengths they make of
    the song's lines, which clip lengths these ask for and what the whole episode then costs.
    """
    from timing.song.beats.grid import measure_song

    signature = None if metre is None else typed_metre(metre)
    wish = typed_tempo(songs)
    if wish is not None:
        idle = {"--bpm": bpm, "--downbeat": downbeat, "--half-beat": half_beat, "--preview": preview}
        for option, value in {**idle, "--offset-ms": offset_ms}.items():
            if value:
                raise SettingsError(f"{option} is about a recording and has no effect on a tempo; leave it out")
        order(wish, source, name, rate, signature, as_json)
        return
    frame_rate = typed_rate(rate or "24")
    song = one_song(songs)
    measured = measure_song(song, bpm, signature, downbeat, offset_ms=offset_ms, half_beat_shift=half_beat)
    if preview is not None:
        from timing.song.beats.preview import write_preview

        write_preview(song, measured.grid, preview)
        click.echo(f"{preview}: the song with clicks, at a modest level. {HEADPHONES}", err=True)
    begins_s = None
    if source is not None:
        from timing.script.source import open_source

        name, begins_s = begins(song, open_source(source), name)
    paste = block(measured, song, name, begins_s)
    if as_json:
        print_json({**as_plain(measured, frame_rate), "singing_begins_s": begins_s, "block": "\n".join(paste)})
    else:
        click.echo("\n".join([*report(measured, song, frame_rate), "", "for episode.toml:", *paste]))


def typed_tempo(given: Sequence[Path]) -> Fraction | None:
    """Return the tempo that was given in place of a file, None where a file was given."""
    text = str(given[0]).replace(",", ".")
    if len(given) > 1 or not re.fullmatch(r"\d+(\.\d+)?", text) or given[0].exists():
        return None
    return Fraction(text)


def typed_rate(text: str) -> FrameRate:
    """Return a frame rate as typed; raises SettingsError."""
    try:
        return FrameRate.parse(text)
    except ValueError as error:
        raise SettingsError(f"--rate: {error}") from None


def order(
    wish: Fraction, source: Path | None, name: str | None, rate: str | None, metre: Metre | None, as_json: bool
) -> None:
    """Print what tempos near ``wish`` make of a song of ``source``; raises InputError."""
    from timing.commands import song_order
    from timing.script.source import open_source

    if source is None:
        raise SettingsError(f"for which script? give its file or folder: timing tempo {float(wish):g} --in SCRIPT")
    opened = open_source(source)
    if rate is not None:
        opened = replace(opened, settings=replace(opened.settings, rate=typed_rate(rate)))
    song_id, found = song_order.orders(opened, name, wish, metre)
    if as_json:
        print_json(song_order.as_plain(song_id, wish, opened.settings.rate, found))
    else:
        click.echo("\n".join(song_order.table(song_id, wish, opened.settings.rate, found)))


def one_song(songs: Sequence[Path]) -> Path:
    """Return the one sound file that was given; raises InputError for several files, RecordingError for a folder."""
    song, *more = songs
    if more:
        raise InputError(f"one song at a time, not {len(songs)} files; begin with: timing tempo {as_typed(song)}")
    if song.is_dir():
        from timing.sound.decode import SOUND_SUFFIXES

        inside = [song / "songs", song] if (song / "songs").is_dir() else [song]
        found = sorted(f for folder in inside for f in folder.iterdir() if f.suffix.lower() in SOUND_SUFFIXES)
        message = (
            f"is a folder; give one song's file, for example {as_typed(found[0])}"
            if found
            else ("is a folder with no sound file in it; give the file of one song")
        )
        raise RecordingError(message, song)
    return song


def typed_metre(text: str) -> Metre:
    """Return a time signature as typed; raises SettingsError."""
    try:
        return parse_metre(text)
    except ValueError as error:
        raise SettingsError(str(error)) from None


def report(measured: MeasuredSong, song: Path, rate: FrameRate) -> list[str]:
    """Return what people read: the grid in words, then what is doubtful, then tempos for a song still to be made."""
    grid = measured.grid
    tempo = Fraction(repr(round(grid.bpm, 3)))
    rows = in_words(grid)
    rows.append(
        f"{len(grid.beats_s)} beats in {measured.length_s:.2f} s · {float(rate.frames_per_beat(tempo)):.3f} frames a "
        f"beat at {rate} (click {click_notation(tempo, rate)}, in frames and eighths) · a note begins on "
        f"{grid.confidence:.0%} of the beats"
    )
    if not grid.downbeats_s:
        rows += _candidates(measured, song)
    notes = [f"note: {finding.message}" for finding in grid.findings if finding.code != FindingCode.BARS_UNKNOWN]
    rows += notes
    if notes or not grid.downbeats_s:
        rows.append(HOW_TO_SAY)
    near = [f"{float(t.bpm):.3f} ({t.frames} frames a {t.of})" for t in whole_frame_tempos(tempo, rate, grid.metre)]
    rows.append(f"tempos near it on whole frames, for a song still to be made: {', '.join(near)}")
    return rows


def in_words(grid: BeatGrid) -> list[str]:
    """Return the grid in words: "steady 104.000 bpm, 4/4, first bar at 2.613 s", or a row for each piece."""
    first = (
        f"first bar at {grid.downbeats_s[0]:.3f} s" if grid.downbeats_s else f"first beat at {grid.beats_s[0]:.3f} s"
    )
    is_guess = any(finding.code == FindingCode.METRE_GUESSED for finding in grid.findings)
    metre = f"{grid.metre}{' (a guess)' if is_guess else ''}"
    if len(grid.pieces) <= 1:
        return [f"steady {grid.bpm:.3f} bpm, {metre}, {first}"]
    long = [p for p in grid.pieces if p[2] >= LONG_PIECE]
    rows = [f"not steady, {metre}, {first}:"]
    rows += [f"  from {start:.3f} s  {bpm:.3f} bpm for {beats} beats" for start, bpm, beats in long]
    if len(long) < len(grid.pieces):
        loose = sum(p[2] for p in grid.pieces if p[2] < LONG_PIECE)
        where = "after that" if long and grid.pieces.index(long[-1]) == len(long) - 1 else "besides"
        rows.append(f"  {where} {loose} beat{'s' * (loose != 1)} at no one tempo")
    return rows


def _candidates(measured: MeasuredSong, song: Path) -> list[str]:
    rows = ["which beat begins a bar? A machine cannot tell for sure; the likeliest come first:"]
    for candidate in measured.bars[: max(2, measured.grid.metre.beats)]:
        first_s = max(0.0, candidate.first_s)
        rows.append(f"  {first_s:8.3f} s   --downbeat {first_s:.3f}")
    rows.append(f"listen: timing tempo {as_typed(song)} --preview clicks.wav")
    rows.append("then give the right one, or the first beat of any later bar in the steady part")
    return rows


def as_plain(measured: MeasuredSong, rate: FrameRate) -> dict[str, object]:
    """Return the machine form."""
    grid = measured.grid
    tempo = Fraction(repr(round(grid.bpm, 3)))
    return {
        "bpm": round(grid.bpm, 4),
        "metre": list(grid.metre),
        "seconds": round(measured.length_s, 6),
        "beats_s": [round(b, 6) for b in grid.beats_s],
        "downbeats_s": [round(b, 6) for b in grid.downbeats_s],
        "downbeat_candidates_s": [round(c.first_s, 6) for c in measured.bars],
        "pieces": [{"start_s": round(s, 6), "bpm": round(b, 4), "beats": n} for s, b, n in grid.pieces],
        "confidence": grid.confidence,
        "frames_a_beat": round(float(rate.frames_per_beat(tempo)), 4),
        "click": click_notation(tempo, rate),
        "whole_frame_tempos": [
            {"bpm": round(float(t.bpm), 4), "frames": t.frames, "of": t.of}
            for t in whole_frame_tempos(tempo, rate, grid.metre)
        ],
        "findings": [finding_json(f) for f in grid.findings],
    }
