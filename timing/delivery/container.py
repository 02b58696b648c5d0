"""What a delivered file is, before anyone listens: its picture rate, its frames, its lengths."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timing.model import Media
from timing.model.clock import FrameRate, Seconds
from timing.plain.errors import RecordingError
from timing.sound.media import open_media

if TYPE_CHECKING:
    from timing.store.store import Store


@dataclass(frozen=True, slots=True)
class Container:
    """``rate`` and ``frames`` of the picture (None: no picture), ``seconds`` of the longest stream.

    ``code`` is the time code of the first frame, as the file writes it.
    """

    rate: Fraction | None
    frames: int | None
    seconds: Seconds | None
    has_sound: bool
    code: str | None = None


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
                return Container(None, None, length, has_sound, _code(file))
            stream = video[0]
            rate = stream.average_rate or stream.guessed_rate or stream.base_rate
            frames = sum(1 for packet in file.demux(stream) if packet.size)
            exact = Fraction(rate) if rate else None
            return Container(exact, frames, frames / exact if exact else None, has_sound, _code(file))
    except (av.FFmpegError, OSError, ValueError) as error:
        what = getattr(error, "strerror", None) or error
        raise RecordingError(f"cannot be opened as a clip ({what}); fetch it again", path) from None


def media_of(folder: Path, store: Store, name: str) -> Media | None:
    """Return what a file in the episode folder is, kept by its content; None where it cannot be opened."""
    from timing.store.store import Kind, content_of

    kind: Kind[Media | None] = Kind("media", 1, _to_kept, _from_kept)
    path = folder / name
    try:
        return store.made(kind, (content_of(path),), partial(_media, path))
    except OSError:
        return None


def _media(path: Path) -> Media | None:
    try:
        container = read_container(path)
    except RecordingError:
        return None
    return Media(container.rate, container.seconds, starts_at(container.code, container.rate))


def starts_at(code: str | None, rate: Fraction | None) -> Seconds | None:
    """Return the moment that a file's own time code names for its first frame, None for none that can be read.

    >>> starts_at("01:00:00:12", Fraction(24))
    Fraction(7201, 2)
    """
    if code is None or rate is None:
        return None
    try:
        counted = FrameRate(rate, ";" in code)
        return counted.moment_of(counted.frame_of(code))
    except ValueError:
        return None


def _code(file: Any) -> str | None:
    """Return the time code that a file carries (in QuickTime and MP4 files a track of its own, ``tmcd``)."""
    for holder in (*file.streams, file):
        if code := (holder.metadata or {}).get("timecode"):
            return str(code)
    return None


def _to_kept(media: Media | None) -> list[str | None] | None:
    if media is None:
        return None
    return [None if value is None else str(value) for value in (media.rate, media.seconds, media.starts)]


def _from_kept(kept: Any) -> Media | None:
    if kept is None:
        return None
    rate, seconds, starts = (None if value is None else Fraction(value) for value in kept)
    return Media(rate, seconds, starts)
