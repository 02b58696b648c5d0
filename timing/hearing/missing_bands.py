"""What a telephone's band leaves out, guessed from what it lets through, for the search for lines.

In: energies of the recogniser's bands (natural logarithms). Out: the same, those of bands outside 300 to 3400 Hz
replaced. How they rise and fall is a straight line through the levels of three bands inside (least squares over human
and synthesised speech, the halves on which things are chosen: within 4 to 9 dB); how high they lie does not matter, as
the mean is taken away.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_INSIDE_HZ = ((300, 1000), (1000, 2200), (2200, 3300))
_FROM_TO = (300, 3300)
# From and to where, and how those bands follow the three inside.
_MISSING = (
    (0, 300, (1.0, -0.2, -0.2)),
    (3300, 5000, (-0.35, 0.2, 0.75)),
    (5000, 8000, (-0.6, 0.2, 0.55)),
)


def filled(energies: NDArray[np.float32], centres_hz: NDArray[np.float64]) -> NDArray[np.float32]:
    """Return ``energies`` (steps, bands) with the bands outside a telephone's made up."""
    import numpy as np

    def mean(low: float, high: float) -> NDArray[np.float32]:
        found: NDArray[np.float32] = energies[:, (centres_hz >= low) & (centres_hz < high)].mean(axis=1)
        return found

    inside = np.stack([mean(*band) for band in _INSIDE_HZ], axis=1)
    loud = mean(*_FROM_TO)
    is_loud = loud > np.percentile(loud, 95) - _LOUD
    inside -= inside[is_loud].mean(axis=0)
    out = energies.copy()
    for low, high, follows in _MISSING:
        missing = (centres_hz >= low) & (centres_hz < high)
        out[:, missing] = (inside @ np.array(follows, np.float32))[:, None]
    return out


_LOUD = 5.8  # nats below the loud steps, 25 dB
