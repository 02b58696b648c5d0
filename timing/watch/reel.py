"""The reel: the plan as a film, frame for frame, with the guide's sound.

One frame of the film is one frame of the plan, at the plan's own rate. The ground is one constant grey and what
changes on it is small; a clip or still that would flash is held (:mod:`timing.watch.flashing`).
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timing.export.guide import RATE_HZ
from timing.model import Plan
from timing.sheet.furniture import episode_name
from timing.watch.film import encoders, write_film
from timing.watch.flashing import FlashGuard
from timing.watch.marks import Fonts
from timing.watch.moments import Moments
from timing.watch.paint import Painter
from timing.watch.pictures import Pictures
from timing.watch.screen import TALL, WIDE, Screen
from timing.watch.stretch import Stretch
from timing.watch.strip import Strip
from timing.watch.track import part, sound_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Progress = Callable[[float, str], None]
HELD = "held: it flashes"


@dataclass
class Reel:
    """One reel of a plan; ``folder`` is where recordings, songs, clips and pictures lie."""

    plan: Plan
    folder: Path
    stretches: Sequence[Stretch]
    is_tall: bool = False
    notes: list[str] = field(default_factory=list)  # what a person should know, once it is made

    def __post_init__(self) -> None:
        self.shape = TALL if self.is_tall else WIDE
        self.fonts = Fonts.load(self.plan.settings.sheet.font)
        self.screen = Screen(self.shape, self.fonts, episode_name(self.plan))
        self.moments = Moments(self.plan)
        self._painter = Painter(self.shape, self.fonts, Strip(self.plan, self.moments, self.fonts, self.shape))
        area = self.shape.picture
        self._pictures = Pictures(self.plan, self.folder, (area.width, area.height), self.notes)
        share = area.width * area.height / (self.shape.width * self.shape.height)
        self._guard = FlashGuard(self.plan.rate.fps, share)
        self._flashing: dict[str, None] = {}

    @property
    def frames(self) -> int:
        return sum(end - start for start, end in self.stretches)

    def film(self, progress: Progress | None = None) -> bytes:
        """Return the MP4 file; raises OutputError where the av library has no encoder for it."""
        encoders()  # before anything else is done
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "reel.mp4"
            size = (self.shape.width, self.shape.height)
            write_film(path, self.plan.rate.fps, size, self._images(progress), self._sound, RATE_HZ)
            if self._flashing:
                self.notes.append(f"{', '.join(self._flashing)}: its picture flashes, so it is held now and then")
            return path.read_bytes()

    def image(self, frame: int) -> Any:
        """Return one frame of the episode as an RGB image."""
        moment = self.moments.at(frame)
        clips = self.moments.clips_on(frame)
        seen = self._pictures.of(clips[0] if clips else None, frame)
        shown, is_held = self._guard.admit(self._painter.in_picture(seen.image))
        if is_held:
            self._flashing |= dict.fromkeys(moment.clips)
        has_picture = seen.image is not None or is_held
        still = self.screen.still(moment, HELD if is_held else seen.name, has_picture)
        return self._painter.paint(still, self.screen.figures(moment), frame, shown if has_picture else None)

    def _images(self, progress: Progress | None) -> Iterator[Any]:
        done, frames = 0, self.frames
        try:
            for start, end in self.stretches:
                for frame in range(start, end):
                    yield self.image(frame)
                    done += 1
                    if progress and (done % 12 == 0 or done == frames):
                        progress(done / frames, f"frame {done} of {frames}")
        finally:
            self._pictures.close()

    def _sound(self) -> NDArray[np.int16]:
        import numpy as np

        track, notes = sound_of(self.plan, self.folder)
        self.notes += notes
        moment_of = self.plan.rate.moment_of
        return np.concatenate([part(track, moment_of(a), moment_of(b)) for a, b in self.stretches])
