"""A song's tempo, bars and lyrics as a Standard MIDI File, for music programs.

In: a plan. Out: bytes of a format 1 file: a track of tempo and metre, a track with one note (middle C) and one lyric
event for each sung syllable. Source: "Standard MIDI Files 1.0": FF 51 03 microseconds a quarter, FF 58 04 time
signature with the metronome's clocks a beat (36 in 6/8), FF 05 lyric, "generally each syllable"; a syllable that goes
on within its word ends in a hyphen, a word in a space. Text is UTF-8.
"""

from __future__ import annotations

import io
from bisect import bisect_right
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

from timing.model import Finding, Plan, Song
from timing.model.clock import Seconds, round_half_up
from timing.model.findings import FindingCode
from timing.plain.names import safe_name

TICKS = 960  # a quarter
CLOCKS = 24  # of a metronome, a quarter
NOTE, VELOCITY = 60, 80
LAST_TEMPO = 0xFFFFFF  # three bytes of microseconds


def song_files(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"song-NAME.mid": bytes} for every song of the plan."""
    return {name: song_midi(plan, song_id) for song_id, name in file_names(plan).items()}


def file_names(plan: Plan) -> dict[str, str]:
    """Return the file of each song, by its id; where two names reduce alike, the later one is numbered."""
    names: dict[str, str] = {}
    for song in plan.songs:
        name = base = safe_name(song.id)
        number = 2
        while f"song-{name}.mid".casefold() in {known.casefold() for known in names.values()}:
            name, number = f"{base}-{number}", number + 1
        names[song.id] = f"song-{name}.mid"
    return names


def alike_findings(plan: Plan) -> tuple[Finding, ...]:
    """Return a finding for each song whose file has a number because another song's name makes the same one."""
    return tuple(
        Finding(
            FindingCode.SONG_FILES_ALIKE,
            f"the song “{song_id}” is in {name}: another song's name makes the same file name",
            {"song": song_id, "file": name},
        )
        for song_id, name in file_names(plan).items()
        if name != f"song-{safe_name(song_id)}.mid"
    )


def song_midi(plan: Plan, song_id: str) -> bytes:
    """Return one song of the plan as a MIDI file; raises KeyError for an unknown song.

    The file begins with the song's first bar line at or before everything in it; measured beats each get their own
    tempo, a steady song one.
    """
    import mido

    song = next((s for s in plan.songs if s.id == song_id), None)
    if song is None:
        raise KeyError(song_id)
    beat_ticks = int(TICKS * song.metre.quarters)
    beats = _beats_from_a_bar(plan, song)
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS, charset="utf-8")
    head = mido.MidiTrack([mido.MetaMessage("track_name", name=song.id, time=0)])
    written = (song.metre.numerator, song.metre.denominator)
    click = int(CLOCKS * song.metre.quarters)
    head.append(
        mido.MetaMessage("time_signature", numerator=written[0], denominator=written[1], clocks_per_click=click)
    )
    waited, before = 0, None
    for low, high in pairwise(beats):
        tempo = min(LAST_TEMPO, round_half_up((high - low) * 1_000_000 / song.metre.quarters))
        if tempo != before:
            head.append(mido.MetaMessage("set_tempo", tempo=tempo, time=waited))
            waited, before = 0, tempo
        waited += beat_ticks
    head.append(mido.MetaMessage("end_of_track", time=waited))
    file.tracks += [head, _voice(plan, song, beats, beat_ticks)]
    out = io.BytesIO()
    file.save(file=out)
    return out.getvalue()


def _voice(plan: Plan, song: Song, beats: list[Seconds], beat_ticks: int) -> Any:
    import mido

    events = []
    for line in plan.lines:
        if line.song != song.id:
            continue
        for word in line.words:
            for i, syllable in enumerate(word.syllables):
                text = syllable.heard.strip() + (" " if i == len(word.syllables) - 1 else "-")
                on = _tick(syllable.start, beats, beat_ticks)
                off = max(_tick(syllable.end, beats, beat_ticks), on + 1)
                events.append((on, 1, mido.MetaMessage("lyrics", text=text)))
                events.append((on, 2, mido.Message("note_on", note=NOTE, velocity=VELOCITY)))
                events.append((off, 0, mido.Message("note_off", note=NOTE, velocity=0)))
    track = mido.MidiTrack([mido.MetaMessage("track_name", name="vocal", time=0)])
    at = 0
    for tick, _, message in sorted(events, key=lambda e: e[:2]):
        track.append(message.copy(time=tick - at))
        at = tick
    track.append(mido.MetaMessage("end_of_track", time=0))
    return track


def _beats_from_a_bar(plan: Plan, song: Song) -> list[Seconds]:
    """Return the beats from a bar line on that nothing precedes, one beat more than there are at the end."""
    beats = list(song.beats) or [song.start]
    a_bar = song.metre.beats
    beat = 60 / song.bpm
    into = sum(b < song.first_downbeat for b in beats) % a_bar
    earliest = min([beats[0], *(line.start for line in plan.lines if line.song == song.id)])
    more = (a_bar - into) % a_bar if into else 0
    while beats[0] - more * beat > earliest:
        more += a_bar
    return [*(beats[0] - n * beat for n in range(more, 0, -1)), *beats, beats[-1] + beat]


def _tick(moment: Seconds, beats: list[Seconds], beat_ticks: int) -> int:
    at = min(max(bisect_right(beats, moment) - 1, 0), len(beats) - 2)
    within = Fraction(moment - beats[at]) / (beats[at + 1] - beats[at])
    return max(0, round_half_up((at + within) * beat_ticks))
