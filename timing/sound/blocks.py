"""Sound files to samples, a block at a time.

In: any sound or video file that the av library reads. Out: 22.05 kHz mono blocks of float32 in -1..1, so that memory
stays flat however long the song is. Time 0 is the start of the file: an audio track that begins later than its video
is preceded by silence.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from timing.plain.errors import RecordingError
from timing.sound.media import open_media

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SAMPLE_RATE = 22050
LOWEST_HZ, HIGHEST_HZ = 1_000, 768_000  # beyond these a header is damaged, and resampling would take for ever
BLOCK = 1 << 16  # samples, about 3 s


def blocks(path: Path | str) -> Iterator[NDArray[np.float32]]:
    """Yield the file's sound as mono blocks at :data:`SAMPLE_RATE`.

    Raises RecordingError when the file is missing, holds no sound, or cannot be decoded at all. Damage further on
    ends the sound there.
    """
    import av
    import numpy as np

    path = Path(path)
    if not path.is_file():
        raise RecordingError("no such file", path)
    try:
        container = open_media(path)
    except (av.error.FFmpegError, OSError, ValueError) as error:
        raise RecordingError(f"not a sound or video file that can be read ({_reason(error)})", path) from None
    with container:
        if not container.streams.audio:
            raise RecordingError("holds no sound", path)
        stream = container.streams.audio[0]
        stream.thread_type = "AUTO"
        given_hz = stream.codec_context.sample_rate if stream.codec_context else 0
        if given_hz and not LOWEST_HZ <= given_hz <= HIGHEST_HZ:
            raise RecordingError(f"has a broken header ({given_hz} samples a second); save it again", path)
        resampler = av.AudioResampler(format="flt", layout="mono", rate=SAMPLE_RATE)
        waiting: list[NDArray[np.float32]] = []
        count, got_any, is_first = 0, False, True
        try:
            for packet in container.demux(stream):
                try:
                    frames = packet.decode()
                except av.error.InvalidDataError:
                    continue  # one damaged packet; what follows may be whole
                for frame in frames:
                    if is_first:
                        is_first = False
                        late = (frame.time or 0.0) - (container.start_time or 0) / 1e6
                        if 0.001 < late < 3600:
                            waiting.append(np.zeros(round(late * SAMPLE_RATE), np.float32))
                            count += len(waiting[-1])
                    frame.pts = None
                    for part in resampler.resample(frame):
                        samples = part.to_ndarray().reshape(-1)
                        got_any = got_any or len(samples) > 0
                        waiting.append(samples)
                        count += len(samples)
                if count >= BLOCK:
                    yield np.concatenate(waiting)
                    waiting, count = [], 0
            waiting += [part.to_ndarray().reshape(-1) for part in resampler.resample(None)]
        except (av.error.FFmpegError, ValueError) as error:
            if not got_any:
                raise RecordingError(f"its sound cannot be decoded ({_reason(error)})", path) from None
        if not got_any:
            raise RecordingError("holds no sound", path)
        if waiting:
            yield np.concatenate(waiting)


def _reason(error: Exception) -> str:
    return str(getattr(error, "strerror", None) or error).split("\n", maxsplit=1)[0].lower()
