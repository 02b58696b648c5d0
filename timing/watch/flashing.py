"""No flash leaves the reel: a picture that would complete one too many is held back.

Rule: W3C, WCAG 2.2, success criterion 2.3.1 and "general flash and red flash thresholds". A flash is a pair of
opposing changes of 10 % or more of the maximum relative luminance where the darker picture is below 0.80, or a pair
of opposing changes to or from a saturated red; not more than three in any second, over a quarter of any 10 degree
field. Relative luminance is that of sRGB. Pictures are judged in a grid of cells; that the cells lie together is not
asked, which is stricter. The ground, the words and the sheet around the picture never change over such an area.
"""

from __future__ import annotations

from collections import deque
from fractions import Fraction
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    _Measure = tuple[NDArray[np.float64], NDArray[np.float64]]

GRID = (32, 18)
CHANGE, DARKER_BELOW = 0.10, 0.80
RED_CHANGE = 20.0  # of (R - G - B) x 320, negative counted as 0
MOST_CHANGES = 6  # three pairs
# A quarter of a 341 x 256 block of a 1024 x 768 screen (the field at a usual viewing distance).
AREA_OF_SCREEN = 341 * 256 / 4 / (1024 * 768)


def relative_luminance(rgb: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return the relative luminance (0..1) of sRGB pixels, shape (..., 3)."""
    linear = _linear(rgb)
    return linear @ _weights()


def _linear(rgb: NDArray[np.uint8]) -> NDArray[np.float64]:
    import numpy as np

    share = rgb.astype(np.float64) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def _weights() -> NDArray[np.float64]:
    import numpy as np

    return np.array([0.2126, 0.7152, 0.0722])


class FlashGuard:
    """Lets pictures pass until one more would be a flash too many; ``area_share`` is the picture's of the screen."""

    def __init__(self, fps: Fraction, area_share: float):
        self._window = int(fps) + (fps.denominator != 1)  # frames in any one second
        self._enough = max(1, int(GRID[0] * GRID[1] * AREA_OF_SCREEN / area_share))
        self._meters: list[_Meter] = []
        self._held: Any = None
        self._last: tuple[Any, _Measure | None] = (None, None)  # a picture and its measure; most stand for many frames

    def admit(self, picture: Any) -> tuple[Any, bool]:
        """Return (what is shown now, whether ``picture`` was held back); called once for each frame of the reel."""
        light, red = self._measured(picture)
        if not self._meters:
            self._meters = [_Meter(light, CHANGE, DARKER_BELOW), _Meter(red, RED_CHANGE, None)]
        changes = [meter.try_on(value) for meter, value in zip(self._meters, (light, red), strict=True)]
        is_flash = any(
            int((meter.recent(self._window - 1) + change > MOST_CHANGES).sum()) >= self._enough
            for meter, change in zip(self._meters, changes, strict=True)
        )
        for meter, value in zip(self._meters, (light, red), strict=True):
            meter.keep(None if is_flash else value, self._window)
        if not is_flash:
            self._held = picture
        return self._held, is_flash

    def _measured(self, picture: Any) -> _Measure:
        """Return luminance and redness of every cell."""
        import numpy as np
        from PIL import Image

        if self._last[1] is not None and self._last[0] is picture:
            return self._last[1]
        small = np.asarray(picture.resize(GRID, Image.Resampling.BOX))
        linear = _linear(small)
        r, g, b = linear[..., 0], linear[..., 1], linear[..., 2]
        total = r + g + b
        is_saturated = r >= 0.8 * np.maximum(total, 1e-9)
        red = np.where(is_saturated, np.maximum(0.0, r - g - b) * 320, 0.0)
        measure = (linear @ _weights(), red)
        self._last = (picture, measure)
        return measure


class _Meter:
    """Follows one value of every cell from extreme to extreme and counts its changes of direction."""

    def __init__(self, first: NDArray[np.float64], change: float, darker_below: float | None):
        import numpy as np

        self._change, self._darker_below = change, darker_below
        self._extreme = first.copy()
        self._way = np.zeros(first.shape, np.int8)  # 1 rising, -1 falling, 0 not known yet
        self._log: deque[NDArray[np.bool_]] = deque()

    def try_on(self, value: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Return where ``value`` would be a change in the direction opposite to the last one."""
        import numpy as np

        way = np.sign(value - self._extreme)
        is_far = np.abs(value - self._extreme) >= self._change
        if self._darker_below is not None:
            is_far &= np.minimum(value, self._extreme) < self._darker_below
        return np.asarray(is_far & (way != self._way))

    def recent(self, frames: int) -> NDArray[np.int64]:
        """Return how often each cell changed within the last ``frames`` frames."""
        import numpy as np

        last = list(self._log)[-frames:]
        return np.sum(last, axis=0) if last else np.zeros(self._extreme.shape, np.int64)

    def keep(self, value: NDArray[np.float64] | None, window: int) -> None:
        """Go on to the next frame with ``value`` shown, or (None) with the picture before."""
        import numpy as np

        changed = np.zeros(self._extreme.shape, bool) if value is None else self.try_on(value)
        if value is not None:
            way = np.sign(value - self._extreme)
            goes_on = (way == self._way) & (self._way != 0)
            self._extreme = np.where(changed | goes_on, value, self._extreme)
            self._way = np.where(changed, way, self._way).astype(np.int8)
        self._log.append(changed)
        if len(self._log) > window:
            self._log.popleft()
