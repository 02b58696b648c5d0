"""Where the labelled recordings lie, and files made from samples."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np

DATA = Path(__file__).parent / "data"
RATE_HZ = 16_000


def write_wav(path: Path, samples: np.ndarray, rate_hz: int = RATE_HZ) -> Path:
    """Write int16 samples, (count,) or (count, channels), with the standard library."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1 if samples.ndim == 1 else samples.shape[1])
        file.setsampwidth(2)
        file.setframerate(rate_hz)
        file.writeframes(samples.astype("<i2").tobytes())
    return path
