"""The pictures of one video file as a player shows them: the frame on the screen at a moment, never one between two.

In: a file. Out: decoded frames. Moment 0 is the beginning of the file, as for its sound (``timing.sound.decode``): what
encoders put before it and tracks that begin late are allowed for. Frames come in the order in which they are shown,
whatever order they are stored in, and each stays until the next one, however far apart they are.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.model.clock import Seconds
from timing.sound.media import open_media

ROUNDING = Fraction(1, 1000)  # some files keep time in thousandths


class NoPicture(Exception):
    """A file cannot be shown; the text says why."""


class Frames:
    """The frames of one file, forward in time."""

    def __init__(self, path: Path):
        import av

        try:
            self._container = open_media(path)
        except (av.FFmpegError, OSError, ValueError) as error:
            raise NoPicture(f"cannot be read ({getattr(error, 'strerror', None) or error})") from None
        streams = self._container.streams.video
        if not streams or streams[0].codec_context is None:
            self._container.close()
            raise NoPicture("has no picture in it")
        streams[0].thread_type = "AUTO"
        self._zero = Fraction(self._container.start_time or 0, 1_000_000)
        self._frames = self._decoded(streams[0])
        self._now: Any | None = None
        self._next = next(self._frames, None)

    def at(self, moment: Seconds) -> Any | None:
        """Return the frame shown at ``moment`` of the file (the first before it begins, the last after it ends).

        Moments may not go back. None for a file whose pictures cannot be decoded.
        """
        while self._next is not None and (self._now is None or self._time(self._next) <= moment + ROUNDING):
            self._now, self._next = self._next, next(self._frames, None)
        return self._now

    def close(self) -> None:
        self._container.close()

    def _time(self, frame: Any) -> Seconds:
        return Fraction(frame.pts) * Fraction(frame.time_base) - self._zero

    def _decoded(self, stream: Any) -> Iterator[Any]:
        import av

        packets = self._container.demux(stream)
        while True:
            try:
                packet = next(packets, None)
                if packet is None:
                    return
                yield from (frame for frame in packet.decode() if frame.pts is not None)
            except av.InvalidDataError:
                continue  # one damaged packet
            except (av.FFmpegError, ValueError):
                return
