"""What is seen of each clip: the take that came back, else its still, else nothing (the screen draws a card).

A take is shown at its own rate: each frame of the reel repeats the picture that a player would show at that moment,
none is blended. Its place is the cut's: its speech where the plan has it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Any

from timing.clips.queue import first_pictures
from timing.model import Clip, Plan
from timing.model.clock import Seconds
from timing.plain.inputs import require_regular
from timing.plain.stills import STILL_FOLDER, stills_below
from timing.watch.frames import Frames, NoPicture


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

    def __post_init__(self) -> None:
        self._first_pictures = {clip: one.id for one in first_pictures(self.plan) for clip in one.clips}

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
        except NoPicture as problem:
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
        """Return the stills a clip may have, its own before those that it shares.

        Its own (C05.2.png), its whole line's (C05.png), the first picture it starts from: the one that its note names
        (bay-wide.png) or its scene's and speaker's, by the name it has in pictures.csv (tansy-rock.png).
        """
        files = stills_below(self.folder)
        line = clip.id.split(".")[0]
        shared = self._first_pictures.get(clip.id) or self._first_pictures.get(f"{line}.1") or ""
        names = list(dict.fromkeys(name.casefold() for name in (clip.id, line, shared) if name))
        return [p for name in names for p in files if name in (p.stem.casefold(), p.name.casefold())]

    def _note(self, sentence: str) -> None:
        if sentence not in self.notes:
            self.notes.append(sentence)


class _Take:
    """The pictures of one video file fitted into ``size``, forward in time."""

    def __init__(self, path: Path, size: tuple[int, int]):
        self._size, self._frames = size, Frames(path)
        self._shown: tuple[Any | None, Any | None] = (None, None)  # a frame, and its image

    def at(self, moment: Seconds) -> Any | None:
        """Return the picture shown at ``moment`` of the file (the first before it begins, the last after it ends)."""
        frame = self._frames.at(moment)
        if frame is not self._shown[0]:
            self._shown = (frame, None if frame is None else self._fitted(frame))
        return self._shown[1]

    def close(self) -> None:
        self._frames.close()

    def _fitted(self, frame: Any) -> Any:
        """Return the picture upright and as large as fits: phones store it lying, with a display matrix beside it."""
        from PIL import Image

        turns = round(getattr(frame, "rotation", 0) / 90) % 4  # a quarter turn against the clock each
        room = self._size[::-1] if turns % 2 else self._size
        scale = min(room[0] / frame.width, room[1] / frame.height)
        width, height = max(2, round(frame.width * scale)), max(2, round(frame.height * scale))
        image = frame.reformat(width, height, "rgb24").to_image()
        how = (None, Image.Transpose.ROTATE_90, Image.Transpose.ROTATE_180, Image.Transpose.ROTATE_270)[turns]
        return image if how is None else image.transpose(how)
