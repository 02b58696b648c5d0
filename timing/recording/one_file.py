"""One recording while it is being heard: decoded, measured and cleaned once, and only when that is needed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from timing.sound.decode import Sound
    from timing.sound.levels import Levels


class Opened:
    """A recording that is decoded only when something has to be heard in it."""

    def __init__(self, path: Path, name: str):
        self.path, self.name = path, name
        self._sound: Sound | None = None
        self._levels: Levels | None = None
        self._clear: Sound | None = None

    @property
    def clear(self) -> Sound:
        """What the recogniser hears."""
        from timing.sound.clean import for_following

        if self._clear is None:
            levels = self.levels  # of the sound as it is, which is decoded again where it is needed after this
            self._clear, self._sound = for_following(self.sound, levels), None
        return self._clear

    @property
    def pauses_are_known(self) -> bool:
        """True where the stretches that hold sound tell where a reading begins: next to no noise, or a steady one."""
        from timing.sound.bands import is_steady
        from timing.sound.levels import NOISE_IN_PAUSES_DB, window_db

        return self.levels.snr_db >= NOISE_IN_PAUSES_DB or is_steady(window_db(self.sound.samples, self.sound.rate_hz))

    @property
    def sound(self) -> Sound:
        from timing.sound.decode import read_audio

        if self._sound is None:
            self._sound = read_audio(self.path)
        return self._sound

    @property
    def levels(self) -> Levels:
        from timing.sound.levels import measure

        if self._levels is None:
            self._levels = measure(self.sound)
        return self._levels
