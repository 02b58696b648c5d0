"""What is seen of each clip: the take that came back, else its still, else nothing (the screen draws a card).

A take is shown at its own rate: each frame of the reel repeats the picture that a player would show at that moment,
none is blended. Its place is the cut's: its speech where the plan has it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path, PurePosixPath
from typing import Any

from timing.model import Clip, Plan
from timing.model.clock import Seconds
from timing.plain.inputs import require_regular
from timing.sound.media import open_media

STILL_FOLDER = "pictures"
STILL_SUFFIXES = (".png", ".jpg", ".jpeg", ".webp", ".tif", ".tiff", ".bmp")
ROUNDING = Fraction(1, 1000)  # some files keep time in thousandths


@dataclass(frozen=True)
class Seen:
    """One picture: an RGB image that fits the area (None: a card), and what it is."""

    image: Any | None
    name: str


@dataclass
class Pictures:
    """Pictures of a plan's clips, fitted into ``size`` (width, height); asked for frame after frame."""

    plan: Plan
    folder: Path
    size: tuple[int, int]
    notes: list[str] = field(default_factory=list)  # sentences about files that could not be shown
    _open: tuple[str, Any] = ("", None)
    _stills: dict[str, Seen] = field(default_factory=dict)

    def of(self, clip: Clip | None, frame: int) -> Seen:
        """Return what is seen of ``clip`` on a frame of the episode."""
        if clip is None:
            return Seen(None, "")
        back = self.plan.delivered(clip.id)
        if back is not None:
            if self._open[0] != clip.id:
                self.close()
                self._open = (clip.id, self._take(back.file))
            if (take := self._open[1]) is not None:
                moment = self.plan.rate.moment_of(frame) - self.plan.file_begins(clip)
                name = PurePosixPath(back.file).name
                image = take.at(moment)
                if image is not None:
                    return Seen(image, name if back.state == "accepted" else f"{name} (not accepted)")
        if clip.id not in self._stills:
            self._stills = {clip.id: self._still(clip)}
        return self._stills[clip.id]

    def close(self) -> None:
        if self._open[1] is not None:
            self._open[1].close()
        self._open = ("", None)

    def _take(self, name: str) -> _Take | None:
        try:
            return _Take(self.folder / name, self.size)
        except _NoPicture as problem:
            self._note(f"{name}: {problem}")
            return None

    def _still(self, clip: Clip) -> Seen:
        from PIL import Image, ImageOps

        for path in self._still_files(clip):
            try:
                require_regular(path)
                with Image.open(path) as image:
                    image.draft("RGB", self.size)  # a large photograph is decoded small
                    turned = ImageOps.exif_transpose(image).convert("RGB")
                fitted = ImageOps.contain(turned, self.size, Image.Resampling.BILINEAR)
                return Seen(fitted, path.name)
            except (OSError, ValueError, SyntaxError, Image.DecompressionBombError, Image.DecompressionBombWarning):
                self._note(f"{STILL_FOLDER}/{path.name}: is no picture that can be shown; save it as PNG or JPEG")
        return Seen(None, "")

    def _still_files(self, clip: Clip) -> list[Path]:
        """Return the stills a clip may have: its own (C05.2.png), else its whole line's (C05.png)."""
        folder = self.folder / STILL_FOLDER
        names = list(dict.fromkeys([clip.id.casefold(), clip.id.casefold().split(".")[0]]))
        try:
            files = sorted(p for p in folder.iterdir() if p.suffix.lower() in STILL_SUFFIXES and p.is_file())
        except OSError:
            return []
        return [p for name in names for p in files if p.stem.casefold() == name]

    def _note(self, sentence: str) -> None:
        if sentence not in self.notes:
            self.notes.append(sentence)


class _NoPicture(Exception):
    """A file that came back cannot be shown; the text says why."""


class _Take:
    """The pictures of one video file, forward in time."""

    def __init__(self, path: Path, size: tuple[int, int]):
        import av

        self._size = size
        try:
            self._container = open_media(path)
        except (av.FFmpegError, OSError, ValueError) as error:
            raise _NoPicture(f"cannot be read ({getattr(error, 'strerror', None) or error})") from None
        streams = self._container.streams.video
        if not streams or streams[0].codec_context is None:
            self._container.close()
            raise _NoPicture("has no picture in it")
        streams[0].thread_type = "AUTO"
        self._zero = Fraction(self._container.start_time or 0, 1_000_000)
        self._frames = self._decoded(streams[0])
        self._now: Any | None = None
        self._next = next(self._frames, None)
        self._image: Any | None = None

    def at(self, moment: Seconds) -> Any | None:
        """Return the picture shown at ``moment`` of the file (the first before it begins, the last after it ends)."""
        while self._next is not None and (self._now is None or self._time(self._next) <= moment + ROUNDING):
            self._now, self._image = self._next, None
            self._next = next(self._frames, None)
        if self._image is None and self._now is not None:
            self._image = self._fitted(self._now)
        return self._image

    def close(self) -> None:
        self._container.close()

    def _time(self, frame: Any) -> Seconds:
        return Fraction(frame.pts) * Fraction(frame.time_base) - self._zero

    def _decoded(self, stream: Any) -> Any:
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

    def _fitted(self, frame: Any) -> Any:
        scale = min(self._size[0] / frame.width, self._size[1] / frame.height)
        width, height = max(2, round(frame.width * scale)), max(2, round(frame.height * scale))
        return frame.reformat(width, height, "rgb24").to_image()
