"""Films whose frames carry their number, so that a test can read which one it was given."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

BITS, SQUARE = 8, 8  # the number in binary, one square a digit, along the top
SIZE = (BITS * SQUARE, 48)  # width, height


def picture(number: int) -> np.ndarray:
    """Return a picture of (height, width, 3) that says ``number`` and has something else to compare below it."""
    width, height = SIZE
    rng = np.random.default_rng(number)
    image = np.repeat(rng.integers(0, 255, (height // 8, width // 8, 3), np.uint8), 8, 0).repeat(8, 1)
    for bit in range(BITS):
        image[:SQUARE, bit * SQUARE : (bit + 1) * SQUARE] = 255 if number >> bit & 1 else 0
    return image


def number_in(image: np.ndarray) -> int:
    """Return the number that a picture says."""
    middle = image[SQUARE // 2, SQUARE // 2 :: SQUARE, 0]
    return sum(1 << bit for bit in range(BITS) if middle[bit] > 127)


def film(
    path: Path,
    count: int,
    rate: Fraction,
    *,
    codec: str = "ffv1",
    pixels: str = "bgr0",
    times: Sequence[Fraction] | None = None,
    begins: Fraction = Fraction(0),
    sound_from: Fraction | None = None,
    options: dict[str, str] | None = None,
) -> None:
    """Write ``count`` numbered frames (from 0), each at its moment in ``times``, else at the rate, after ``begins``.

    ``sound_from``: a second of silence that begins there.
    """
    base = Fraction(1, 90_000)
    with av.open(str(path), "w") as out:
        stream = out.add_stream(codec, rate=rate, options=options or {})
        stream.width, stream.height, stream.pix_fmt = *SIZE, pixels
        stream.codec_context.time_base = base
        stream.codec_context.thread_count = 1
        if sound_from is not None:
            sound = out.add_stream("aac" if path.suffix in (".mp4", ".ts") else "pcm_s16le", rate=16_000)
            sound.layout = "mono"
            for n in range(16):
                block = av.AudioFrame.from_ndarray(np.zeros((1, 1024), np.int16), format="s16", layout="mono")
                block.sample_rate, block.time_base = 16_000, Fraction(1, 16_000)
                block.pts = int(sound_from * 16_000) + n * 1024
                out.mux(sound.encode(block))
        for n in range(count):
            frame = av.VideoFrame.from_ndarray(picture(n), format="rgb24")
            frame.pts = int((begins + (times[n] if times else n / rate)) / base)
            frame.time_base = base
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))
        if sound_from is not None:
            out.mux(sound.encode(None))


def decoded(path: Path) -> list[np.ndarray]:
    """Return every frame of a film as the library itself gives them, in the order in which they are shown."""
    with av.open(str(path)) as file:
        return [frame.to_ndarray(format="rgb24") for frame in file.decode(video=0)]
