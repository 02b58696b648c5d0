"""guide.wav and the clips' scratch sounds: mono 16-bit WAV at 48 kHz, cue points with labels.

Guide: scratch takes in their places, a bar of count-in and clicks on the beats of each song, silence elsewhere; its
peak is at or under -12 dBFS. Clip sounds: the take of one clip as recorded, with its handles, as long as what is
asked for. Takes come in as arrays; who decodes them is not known here.

Sources: IBM/Microsoft, Multimedia Programming Interface and Data Specifications 1.0 (1991): ``cue `` and ``LIST`` of
type ``adtl`` with ``labl``; a chunk of odd length has one pad byte that its size does not count.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol

from timing.model import Clip, LineKind, Plan, PlanLine, Song
from timing.model.clock import Seconds, round_half_up

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RATE_HZ = 48_000
PEAK = 10 ** (-12 / 20)  # -12 dBFS
VOICE_PEAK = 0.2  # of full scale, about -14 dBFS; clicks lie under it
CLICK_PEAK, ACCENT_PEAK = 0.09, 0.14
CLICK_HZ, ACCENT_HZ = 1000, 1500
CLICK_S = Fraction(3, 100)
FADE_S = Fraction(1, 200)
_SAMPLES_AT_ONCE = 1 << 20
CAUTION = "Start the click quietly and raise it; take it out of a child's headphones or keep it low; rest your ears."


class Cut(Protocol):
    """A recording's samples, of which stretches are cut."""

    def __getitem__(self, wanted: slice, /) -> NDArray[np.int16]: ...


Takes = Callable[[str], Cut]


def guide_wav(plan: Plan, take: Takes) -> bytes:
    """Return the guide track; ``take`` returns a recording's samples at 48 kHz by its name in the plan."""
    return wav_bytes(guide_samples(plan, take), _cues(plan), CAUTION)


def guide_samples(plan: Plan, take: Takes) -> NDArray[np.int16]:
    """Return the samples of the guide track, from the start of the episode to its last frame."""
    import numpy as np

    length = _sample(plan.rate.moment_of(plan.frames))
    track = np.zeros(length, np.int16)
    for one in plan.soundings():
        first = _sample(one.file_start)
        sound = take(one.file)[first : first + _sample(one.length)]
        _mix(track, _sample(one.start), _at_level(_faded(sound), VOICE_PEAK))
    accent, click = _click(ACCENT_HZ, ACCENT_PEAK), _click(CLICK_HZ, CLICK_PEAK)
    for song in plan.songs:
        for moment, is_accent in clicks(song):
            _mix(track, _sample(moment), accent if is_accent else click)
    highest = max(int(track.max()), -int(track.min())) if length else 0
    limit = int(PEAK * 32767)
    if highest > limit:
        for first in range(0, length, _SAMPLES_AT_ONCE):
            part = track[first : first + _SAMPLES_AT_ONCE]
            part[:] = (part.astype(np.float32) * (limit / highest)).astype(np.int16)
    return track


def clicks(song: Song) -> list[tuple[Seconds, bool]]:
    """Return (moment, is the first beat of a bar) for a bar of count-in and every beat of the song.

    The count-in stands before bar 1 at the song's tempo, as far as the episode has begun and where no measured beat
    of an introduction already clicks.
    """
    downbeats = set(song.downbeats)
    found = {moment: moment in downbeats for moment in song.beats if moment >= 0}
    beat = Fraction(60) / song.bpm
    for n in range(song.metre.beats, 0, -1):
        moment = song.first_downbeat - n * beat
        if moment >= 0 and not any(abs(moment - other) < beat / 2 for other in song.beats):
            found[moment] = n == song.metre.beats
    return sorted(found.items())


def clip_sounds(plan: Plan, take: Takes) -> Mapping[str, bytes]:
    """Return {"scratch/C04.wav": bytes} for each spoken or sung clip whose line has a take.

    They go with a request, so they are cut from the scratch even where the clip has come back.
    """
    files = {}
    plan = plan.requested or plan
    for clip in plan.clips:
        lines = [plan.line(line_id) for line_id in clip.lines or (clip.line,)]
        known = [(n, take(n.take)) for n in lines if n.take is not None and n.take_start is not None]
        if clip.kind is not LineKind.PICTURE and known:
            files[f"scratch/{clip.id}.wav"] = wav_bytes(_clip_sound(plan, clip, known), [])
    return files


def _clip_sound(plan: Plan, clip: Clip, known: Sequence[tuple[PlanLine, Cut]]) -> NDArray[np.int16]:
    """Return the pieces of the takes of a clip's lines in their places; where lines share it each has its own."""
    import numpy as np

    length = clip.ask if clip.ask is not None else clip.need
    out = np.zeros(_sample(length), np.int16)
    for line, sound in known:
        assert line.take_start is not None
        own = clip if len(clip.lines) < 2 else replace(clip, speech_start=line.start, speech_end=line.end, words=(0, 0))
        begin, end = _reach(plan, own, line)
        first = line.take_start + begin - line.start  # in the take
        last = first + end - begin
        piece = _faded(sound[max(0, _sample(first)) : max(0, _sample(last))])
        at = _sample(clip.head - (clip.speech_start - begin)) + max(0, -_sample(first))
        _mix(out, max(0, at), piece)
    return out


def _reach(plan: Plan, clip: Clip, line: PlanLine) -> tuple[Seconds, Seconds]:
    """Return what of the take a clip may use (episode's clock): its handles, but no neighbour's words."""
    begin, end = clip.speech_start - clip.head, clip.speech_end + clip.tail
    words = line.words
    a, b = clip.words
    if 0 < a < len(words):
        begin = max(begin, (words[a - 1].end + words[a].start) / 2)
    if 0 < b < len(words):
        end = min(end, (words[b - 1].end + words[b].start) / 2)
    assert line.take_start is not None
    for other in plan.lines:  # other lines found in the same take
        if other.id == line.id or other.take != line.take or other.take_start is None:
            continue
        shift = line.start - line.take_start
        other_start = other.take_start + shift
        other_end = other_start + other.length
        if other_end <= clip.speech_start:
            begin = max(begin, (other_end + clip.speech_start) / 2)
        elif other_start >= clip.speech_end:
            end = min(end, (clip.speech_end + other_start) / 2)
    return begin, end


# --- samples ---------------------------------------------------------------------------------------------


def _sample(moment: Seconds) -> int:
    return round_half_up(moment * RATE_HZ)


def _mix(track: NDArray[np.int16], at: int, sound: NDArray[np.int16]) -> None:
    import numpy as np

    end = min(len(track), at + len(sound))
    if at < end:
        total = track[at:end].astype(np.int32) + sound[: end - at]
        track[at:end] = np.clip(total, -32767, 32767)


def _at_level(sound: NDArray[np.int16], peak: float) -> NDArray[np.int16]:
    import numpy as np

    highest = int(np.max(np.abs(sound.astype(np.int32)))) if len(sound) else 0
    if not highest:
        return sound
    return (sound.astype(np.float32) * (peak * 32767 / highest)).astype(np.int16)


def _faded(sound: NDArray[np.int16]) -> NDArray[np.int16]:
    import numpy as np

    count = min(_sample(FADE_S), len(sound) // 2)
    if not count:
        return sound
    out = sound.astype(np.float32)
    ramp = np.arange(count, dtype=np.float32) / count
    out[:count] *= ramp
    out[-count:] *= ramp[::-1]
    return out.astype(np.int16)


def _click(pitch_hz: int, peak: float) -> NDArray[np.int16]:
    """Return a short sine that dies away, starting at once: the beat is its first sample."""
    import numpy as np

    t = np.arange(_sample(CLICK_S)) / RATE_HZ
    wave = np.sin(2 * np.pi * pitch_hz * t) * np.exp(-t * 120)
    scaled: NDArray[np.int16] = (wave / np.max(np.abs(wave)) * peak * 32767).astype(np.int16)
    return scaled


# --- the file --------------------------------------------------------------------------------------------


def _cues(plan: Plan) -> list[tuple[int, str]]:
    """Return (sample, label) for clips and bars, in order."""
    found = [(_sample(plan.rate.moment_of(c.start_frame)), c.id) for c in plan.clips]
    for song in plan.songs:
        found += [(_sample(m), f"{song.id} bar {n}") for n, m in enumerate(song.downbeats, 1) if m >= 0]
    return sorted(found)


def wav_bytes(samples: NDArray[np.int16], cues: Sequence[tuple[int, str]], comment: str = "") -> bytes:
    """Return a mono 16-bit WAV with cue points (sample, label) and a comment."""
    data = samples.astype("<i2").tobytes()
    chunks = [(b"fmt ", struct.pack("<HHIIHH", 1, 1, RATE_HZ, RATE_HZ * 2, 2, 16)), (b"data", data)]
    if cues:
        points = b"".join(
            struct.pack("<II4sIII", number, at, b"data", 0, 0, at) for number, (at, _) in enumerate(cues, 1)
        )
        chunks.append((b"cue ", struct.pack("<I", len(cues)) + points))
        labels = b"".join(
            _chunk(b"labl", struct.pack("<I", number) + label.encode() + b"\0")
            for number, (_, label) in enumerate(cues, 1)
        )
        chunks.append((b"LIST", b"adtl" + labels))
    if comment:
        chunks.append((b"LIST", b"INFO" + _chunk(b"ICMT", comment.encode() + b"\0")))
    parts = [part for name, content in chunks for part in _parts(name, content)]
    size = 4 + sum(map(len, parts))
    return b"".join((b"RIFF", struct.pack("<I", size), b"WAVE", *parts, b"\0" * (size % 2)))


def _chunk(name: bytes, content: bytes) -> bytes:
    return b"".join(_parts(name, content))


def _parts(name: bytes, content: bytes) -> tuple[bytes, bytes, bytes, bytes]:
    """Return a chunk in pieces, so that a long track is copied once, into its file."""
    return name, struct.pack("<I", len(content)), content, b"\0" * (len(content) % 2)
