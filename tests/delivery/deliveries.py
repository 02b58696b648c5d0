"""Clips as they come back from somewhere, made from a plan's own scratch sounds, good ones and ones with a fault."""

from __future__ import annotations

import io
import wave
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from tests.recording import flite
from timing.plain.resources import example_files, example_heard

RATE_HZ = 48_000


def example_folder(folder: Path) -> Path:
    """Write the example episode as it is shipped, with what was heard in its recordings, into ``folder``."""
    for name, content in example_files().items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    kept = folder / "out" / ".store"
    kept.mkdir(parents=True)
    for name, content in example_heard().items():
        (kept / name).write_bytes(content)
    return folder


def reading(text: str, seconds: float) -> NDArray[np.int16]:
    """Return a reading at 48 kHz, a quarter of a second in, as long as asked for."""
    said = flite.say(text, "slt")[0].astype(float)
    long = np.interp(np.arange(len(said) * 3) / 3, np.arange(len(said)), said)
    out = np.random.default_rng(1).normal(0, 6, int(seconds * RATE_HZ))
    out[RATE_HZ // 4 : RATE_HZ // 4 + len(long)] += long
    return out.astype(np.int16)


def samples_of(data: bytes) -> NDArray[np.int16]:
    with wave.open(io.BytesIO(data)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2")


def write_clip(path: Path, sound: NDArray[np.int16] | None, rate: Fraction = Fraction(24), seconds: float = 0) -> None:
    """Write a small grey video at ``rate`` with AAC sound, as long as the sound (or ``seconds``)."""
    path.parent.mkdir(parents=True, exist_ok=True)
    length = seconds or (len(sound) / RATE_HZ if sound is not None else 1)
    with av.open(str(path), "w") as file:
        video = file.add_stream("mpeg4", rate=rate)
        video.width, video.height, video.pix_fmt = 64, 36, "yuv420p"
        audio = file.add_stream("aac", rate=RATE_HZ, layout="mono") if sound is not None else None
        for n in range(round(length * rate)):
            frame = av.VideoFrame.from_ndarray(np.full((36, 64, 3), 90, np.uint8), "rgb24")
            frame.pts, frame.time_base = n, 1 / rate
            file.mux(video.encode(frame))
        file.mux(video.encode(None))
        if audio is not None and sound is not None:
            for at in range(0, len(sound), 1024):
                block = av.AudioFrame.from_ndarray(sound[at : at + 1024].reshape(1, -1), "s16", "mono")
                block.sample_rate, block.pts, block.time_base = RATE_HZ, at, Fraction(1, RATE_HZ)
                file.mux(audio.encode(block))
            file.mux(audio.encode(None))


def other_voice(sound: NDArray[np.int16]) -> NDArray[np.int16]:
    """The same timing in another timbre: treble up, bass down, a little noise, half the level."""
    bright = np.diff(sound.astype(np.float64), prepend=0.0) * 2
    mixed = 0.5 * bright + 0.15 * sound + np.random.default_rng(1).normal(0, 12, len(sound))
    return np.clip(mixed, -32767, 32767).astype(np.int16)


def shifted(sound: NDArray[np.int16], frames: float, fps: int = 24) -> NDArray[np.int16]:
    """Later (or, below 0, earlier) by frames, of the same length."""
    count = round(frames / fps * RATE_HZ)
    out = np.zeros_like(sound)
    if count >= 0:
        out[count:] = sound[: len(sound) - count]
    else:
        out[:count] = sound[-count:]
    return out


def stretched(sound: NDArray[np.int16], factor: float) -> NDArray[np.int16]:
    """Slower by a factor, cut to the same length."""
    places = np.arange(len(sound)) / factor
    return np.interp(places, np.arange(len(sound)), sound).astype(np.int16)


def clipped(sound: NDArray[np.int16]) -> NDArray[np.int16]:
    loud = sound.astype(np.float64) * (32767 * 6 / max(1, int(np.abs(sound.astype(int)).max())))
    return np.clip(loud, -32767, 32767).astype(np.int16)
