"""Frames and samples to an MP4 file: H.264 and AAC, yuv420p, index at the front.

The encoders are those of the av library; a library without them is told in one sentence. Metadata and dates are left
out and the number of threads is fixed, so the same frames give the same bytes wherever the same library runs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timing.plain.errors import OutputError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

VIDEO_ENCODERS = ("libx264", "libopenh264")
AUDIO_ENCODER = "aac"
AUDIO_BIT_RATE, SMALL_BIT_RATE = 128_000, 64_000
OPTIONS = {"movflags": "+faststart", "fflags": "+bitexact"}
BITEXACT = 0x0080_0000  # AV_CODEC_FLAG_BITEXACT: no name and version of the encoder in the stream
BLOCK = 1024  # samples of one AAC block
KEY_EACH_S = 2  # a player jumps to the second, then counts frames
THREADS = 2
NO_ENCODER = "this installation of the av library cannot write {what}; install it anew: pip install --upgrade av"


def encoders() -> tuple[str, str]:
    """Return the names of the picture and the sound encoder; raises OutputError where one is missing."""
    import av.codec

    there = av.codec.codecs_available
    video = next((name for name in VIDEO_ENCODERS if name in there and _is_encoder(name)), None)
    if video is None:
        raise OutputError(NO_ENCODER.format(what="H.264 pictures"))
    if AUDIO_ENCODER not in there or not _is_encoder(AUDIO_ENCODER):
        raise OutputError(NO_ENCODER.format(what="AAC sound"))
    return video, AUDIO_ENCODER


def _is_encoder(name: str) -> bool:
    import av.codec

    try:
        return bool(av.codec.Codec(name, "w").is_encoder)
    except (ValueError, av.codec.codec.UnknownCodecError):
        return False


def write_film(
    path: Path,
    fps: Fraction,
    size: tuple[int, int],
    pictures: Iterator[Any],
    sound: Callable[[], NDArray[np.int16]],
    rate_hz: int,
) -> int:
    """Write ``pictures`` (RGB images) one a frame, and the sound beside them; return how many frames there were.

    ``sound`` is asked for when the first picture is there. Both run from moment 0; the sound's place in the file is
    kept a second ahead of the picture, for players that read from a slow disk.
    """
    import av

    video_name, audio_name = encoders()
    with av.open(str(path), "w", format="mp4", options=OPTIONS) as file:
        video: Any = file.add_stream(video_name, rate=fps)
        video.width, video.height = size
        video.pix_fmt = "yuv420p"
        video.time_base = video.codec_context.time_base = 1 / fps
        video.codec_context.gop_size = max(1, round(KEY_EACH_S * fps))
        video.codec_context.thread_count = THREADS
        video.codec_context.flags |= BITEXACT
        _say_colours(video.codec_context)
        if video_name == "libx264":
            video.options = {"preset": "veryfast", "crf": "21", "profile": "high"}
        audio: Any = file.add_stream(audio_name, rate=rate_hz, layout="mono")
        audio.bit_rate = AUDIO_BIT_RATE
        audio.codec_context.flags |= BITEXACT
        heard = _Heard(file, audio, rate_hz)
        count = 0
        for image in pictures:
            file.mux(video.encode(_frame(image, count, fps)))
            count += 1
            if count == 1:
                heard.samples = sound()
            heard.up_to((count + fps) / fps)
        file.mux(video.encode(None))
        heard.finish()
    return count


def sound_file(samples: NDArray[np.int16], rate_hz: int) -> bytes:
    """Return mono samples as a small M4A file (AAC), index at the front; raises OutputError without an encoder."""
    import tempfile

    import av

    if not _is_encoder(AUDIO_ENCODER):
        raise OutputError(NO_ENCODER.format(what="AAC sound"))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sound.m4a"
        with av.open(str(path), "w", format="mp4", options=OPTIONS) as file:
            audio: Any = file.add_stream(AUDIO_ENCODER, rate=rate_hz, layout="mono")
            audio.bit_rate = SMALL_BIT_RATE
            audio.codec_context.flags |= BITEXACT
            heard = _Heard(file, audio, rate_hz)
            heard.samples = samples
            heard.finish()
        return path.read_bytes()


def _frame(image: Any, number: int, fps: Fraction) -> Any:
    import av
    from av.video.reformatter import Colorspace

    frame = av.VideoFrame.from_image(image).reformat(format="yuv420p", dst_colorspace=Colorspace.ITU709)
    frame.pts, frame.time_base = number, 1 / fps
    return frame


def _say_colours(context: Any) -> None:
    """Say in the stream which colours are meant (ITU-T H.273: 1 = BT.709), so that no player guesses."""
    context.colorspace = context.color_primaries = context.color_trc = 1
    context.color_range = 1  # limited


class _Heard:
    """The sound, written block by block beside the pictures."""

    def __init__(self, file: Any, stream: Any, rate_hz: int):
        self.samples: Any = None
        self._file, self._stream, self._rate_hz = file, stream, rate_hz
        self._at = 0

    def up_to(self, moment: Fraction) -> None:
        while self._at < len(self.samples) and self._at < moment * self._rate_hz:
            self._block()

    def finish(self) -> None:
        while self.samples is not None and self._at < len(self.samples):
            self._block()
        self._file.mux(self._stream.encode(None))

    def _block(self) -> None:
        import av

        part = self.samples[self._at : self._at + BLOCK]
        block = av.AudioFrame.from_ndarray(part.reshape(1, -1), "s16", "mono")
        block.sample_rate, block.pts, block.time_base = self._rate_hz, self._at, Fraction(1, self._rate_hz)
        self._file.mux(self._stream.encode(block))
        self._at += len(part)
