"""Standard MIDI Files to tunes.

Source: "Standard MIDI Files 1.0" (MIDI Manufacturers Association): FF 05 lyric, one syllable an event at its time;
FF 51 03 microseconds a quarter; FF 58 04 time signature with the denominator as a power of two; the sign bit of the
division marks SMPTE time. The encoding of text is open there: UTF-8 is tried first, then Latin-1. Some files carry
their lyrics as FF 01 text events (from memory: karaoke files, "/" and "\\" beginning a line, "@" a header).
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.model.metre import COMMON_TIME, Metre
from timing.plain.errors import ScriptError
from timing.song.tunes.tune import Tune, TuneSyllable


def read_smf(path: Path) -> Tune:
    """Return the tune of a MIDI file of format 0 or 1; raises ScriptError for what cannot be used."""
    import mido

    try:
        file = mido.MidiFile(path, charset="latin-1", clip=True)
    except Exception as error:  # the library's own errors have no common root
        raise ScriptError(f"is not a Standard MIDI File that can be read ({error or 'damaged'})", path) from None
    if file.ticks_per_beat <= 0:
        raise ScriptError("counts SMPTE time instead of beats; save it with ticks per quarter note", path)
    if file.type == 2:
        raise ScriptError("is a MIDI file of format 2 (independent patterns); save it as format 0 or 1", path)
    events = [event for track in file.tracks for event in _absolute(track)]
    metre, pick_up = _metre(events, file.ticks_per_beat, path)
    tempos = sorted((tick, m.tempo) for tick, m in events if m.type == "set_tempo")
    lyrics = _lyrics(events)
    if not lyrics:
        raise ScriptError("holds no lyrics; add them as lyric events, one syllable a note", path)
    notes = _notes(events)
    beat = metre.quarters
    one = Fraction(1, file.ticks_per_beat) / beat  # beats in a tick
    start = -pick_up * one
    syllables = []
    for i, (tick, text) in enumerate(lyrics):
        until = lyrics[i + 1][0] if i + 1 < len(lyrics) else None
        end = _end(notes, tick, until)
        syllables.append(TuneSyllable(text, start + tick * one, max(end - tick, 1) * one))
    bpm = Fraction(60_000_000, tempos[0][1]) / beat if tempos and tempos[0][1] else None
    return Tune(tuple(syllables), metre, bpm)


def _absolute(track: Any) -> list[tuple[int, Any]]:
    at, found = 0, []
    for message in track:
        at += message.time
        found.append((at, message))
    return found


def _metre(events: list[tuple[int, Any]], division: int, path: Path) -> tuple[Metre, int]:
    """Return the time signature, and the ticks of a pick-up bar that has one of its own."""
    signatures = sorted((tick, Metre(m.numerator, m.denominator)) for tick, m in events if m.type == "time_signature")
    distinct = [s for i, s in enumerate(signatures) if i == 0 or s[1] != signatures[i - 1][1]]
    if not distinct:
        return COMMON_TIME, 0
    if len(distinct) == 1:
        return distinct[0][1], 0
    (_, short), (tick, full) = distinct[:2]
    is_pick_up = tick == short.beats * short.quarters * division and Fraction(*short) < Fraction(*full)
    if len(distinct) == 2 and is_pick_up:
        return full, tick
    raise ScriptError(
        f"changes its time signature from {short} to {full}; one metre a song is "
        "supported: divide the file, or leave the tune out",
        path,
    )


def text_of(raw: str) -> str:
    """Return text that mido read as Latin-1, as UTF-8 where it is."""
    try:
        return raw.encode("latin-1").decode("utf-8")
    except UnicodeError:
        return raw


def _lyrics(events: list[tuple[int, Any]]) -> list[tuple[int, str]]:
    for kind in ("lyrics", "text"):
        found = []
        for tick, message in sorted((e for e in events if e[1].type == kind), key=lambda e: e[0]):
            text = text_of(message.text)
            if kind == "text" and text.startswith("@"):
                continue
            text = text.strip(" \r\n\t\0/\\")
            if text and text not in ("-", "_", "*"):
                found.append((tick, text))
        if found:
            return found
    return []


def _notes(events: list[tuple[int, Any]]) -> list[tuple[int, int]]:
    """Return (on, off) of every note, sorted."""
    sounding: dict[tuple[int, int], list[int]] = {}
    found = []
    for tick, message in sorted((e for e in events if e[1].type in ("note_on", "note_off")), key=lambda e: e[0]):
        key = (message.channel, message.note)
        if message.type == "note_on" and message.velocity:
            sounding.setdefault(key, []).append(tick)
        elif sounding.get(key):
            found.append((sounding[key].pop(0), tick))
    return sorted(found)


def _end(notes: list[tuple[int, int]], tick: int, until: int | None) -> int:
    """Return the end of the syllable at ``tick``: of its last note before the next syllable (a melisma)."""
    first = bisect_right(notes, (tick - 1, 1 << 60))
    end = tick
    for on, off in notes[first:]:
        if until is not None and on >= until:
            break
        if on > end and on > tick and end > tick:
            break  # silence: what follows belongs to nobody
        end = max(end, off)
    if until is not None:
        end = min(end, until) if end > tick else until
    return end
