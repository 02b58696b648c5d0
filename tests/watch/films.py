"""Films and sounds made for the tests, and what is read from a film that the tool wrote."""

from __future__ import annotations

import shutil
import subprocess
import wave
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

RATE_HZ = 48_000


def write_video(
    path: Path, rate: Fraction, greys: list[int], size: tuple[int, int] = (160, 90), corner: int | None = None
) -> None:
    """Write a film of flat pictures, one grey a frame, without loss; ``corner`` is the grey of the upper left one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with av.open(str(path), "w") as file:
        stream = file.add_stream("libx264", rate=rate, options={"qp": "0", "preset": "ultrafast"})
        stream.width, stream.height, stream.pix_fmt = *size, "yuv444p"
        for n, grey in enumerate(greys):
            picture = np.full((size[1], size[0], 3), grey, np.uint8)
            picture[: size[1] // 4, : size[0] // 4] = grey if corner is None else corner
            frame = av.VideoFrame.from_ndarray(picture, "rgb24")
            frame.pts, frame.time_base = n, 1 / rate
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))


def write_wav(path: Path, samples: NDArray[np.int16]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(samples.astype("<i2").tobytes())


def beeps(moments: list[float], seconds: float) -> NDArray[np.int16]:
    """A 2 kHz beep of 40 ms at each moment, silence elsewhere."""
    out = np.zeros(int(seconds * RATE_HZ))
    beep = 20_000 * np.sin(2 * np.pi * 2000 * np.arange(int(0.04 * RATE_HZ)) / RATE_HZ)
    for moment in moments:
        at = round(moment * RATE_HZ)
        out[at : at + len(beep)] = beep
    return out.astype(np.int16)


def pictures_of(path: Path) -> list[NDArray[np.uint8]]:
    """Every frame as RGB, decoded with the colours the file names."""
    with av.open(str(path)) as file:
        return [
            f.reformat(format="rgb24", src_colorspace="ITU709").to_ndarray() for f in file.decode(file.streams.video[0])
        ]


def sound_of(path: Path) -> NDArray[np.int16]:
    """The sound as a player plays it: the codec's delay is taken off by the file's own edit list."""
    if shutil.which("ffmpeg"):
        command = ["ffmpeg", "-v", "error", "-i", str(path), "-map", "0:a", "-f", "s16le", "-ac", "1", "-"]
        return np.frombuffer(subprocess.run(command, capture_output=True, check=True).stdout, "<i2")
    from timing.sound.decode import read_audio

    return read_audio(path, RATE_HZ).samples


def counted(path: Path) -> tuple[int, Fraction, str]:
    """(frames, frames a second, pixel format) as ffprobe says, or the av library where there is no ffprobe."""
    if shutil.which("ffprobe"):
        command = "ffprobe -v error -select_streams v -count_frames -of csv=p=0 -show_entries".split()
        entries = "stream=pix_fmt,avg_frame_rate,nb_read_frames"
        done = subprocess.run([*command, entries, str(path)], capture_output=True, check=True, text=True)
        pix_fmt, rate, frames = done.stdout.strip().split(",")
        return int(frames), Fraction(rate), pix_fmt
    with av.open(str(path)) as file:
        stream = file.streams.video[0]
        rate, pix_fmt = stream.average_rate, stream.codec_context.pix_fmt
        return sum(1 for _ in file.decode(stream)), Fraction(rate), pix_fmt


def most_flashes(pictures: list[NDArray[np.uint8]], fps: float) -> int:
    """Return the most flashes of any part of the screen within any one second.

    W3C, WCAG 2.2, "general flash threshold": a flash is a pair of opposing changes of relative luminance of 0.1 or
    more with the darker image below 0.8; what flashes at the same time covers a quarter of 341 x 256 pixels of
    1024 x 768 or more, which is 2.8 % of the screen. Written apart from the tool's own guard: the mean of every part
    of about that size, wherever it lies, and a plain walk along its values.
    """
    light = []
    for picture in pictures:
        share = picture[: picture.shape[0] // 20 * 20, : picture.shape[1] // 20 * 20].astype(float) / 255
        linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
        cells = (linear @ [0.2126, 0.7152, 0.0722]).reshape(share.shape[0] // 20, 20, -1, 20).mean(axis=(1, 3))
        part = (min(6, cells.shape[0]), min(10, cells.shape[1]))  # 120 x 200 pixels
        light.append(np.lib.stride_tricks.sliding_window_view(cells, part).mean(axis=(2, 3)).ravel())
    values = np.array(light)
    window, worst = int(np.ceil(fps)), 0
    for along in values.T:
        extreme, way, turns = along[0], 0, []
        for n, value in enumerate(along):
            step = value - extreme
            if abs(step) >= 0.1 and min(value, extreme) < 0.8 and np.sign(step) != way:
                way, extreme = int(np.sign(step)), value
                turns.append(n)
            elif way and np.sign(step) == way:
                extreme = value
        worst = max([worst, *(sum(first <= n < first + window for n in turns) // 2 for first in turns)])
    return worst
