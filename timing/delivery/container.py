"""What a delivered file is, before anyone listens: its picture rate, its frames, its lengths."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from timing.model.clock import Seconds
from timing.plain.errors import RecordingError
from timing.sound.media import open_media


@dataclass(frozen=True, slots=True)
class Container:
    """``rate`` and ``frames`` of the picture (None: no picture), ``seconds`` of the longest stream."""

    rate: Fraction | None
    frames: int | None
    seconds: Seconds | None
    has_sound: bool


def read_container(path: Path) -> Container:
    """Return the facts of a sound or video file; frames are counted, not believed. Raises RecordingError."""
    import av

    try:
        if path.stat().st_size == 0:
            raise RecordingError("is empty (0 bytes); fetch the clip again", path)
        with open_media(path) as file:
            has_sound = bool(file.streams.audio)
            video = [s for s in file.streams.video if not s.disposition & av.stream.Disposition.attached_pic]
            if not video:
                length = Fraction(file.duration, av.time_base) if file.duration else None
                return Container(None, None, length, has_sound)
            stream = video[0]
            rate = stream.average_rate or stream.guessed_rate or stream.base_rate
            frames = sum(1 for packet in file.demux(stream) if packet.size)
            exact = Fraction(rate) if rate else None
            return Container(exact, frames, frames / exact if exact else None, has_sound)
    except (av.FFmpegError, OSError, ValueError) as error:
        what = getattr(error, "strerror", None) or error
        raise RecordingError(f"cannot be opened as a clip ({what}); fetch it again", path) from None
