"""Where the voice of a song rises: there a vowel is a little likelier to begin.

In: the band energies of a sound (``sound_features``). Out: a bonus for each step. Vowels of eleven real songs within
one frame: 79 % with it, 75 % without.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_BONUS, _MOST = 80.0, 1.5  # for a rise as steep as the steepest twentieth; and how much more one may earn
_BANDS = slice(6, 20)  # about 700 to 3,700 Hz, where vowels differ from hum and hiss
_FLOOR = 2.0  # below the median (nats) everything counts as equally quiet
_OVER, _LATER = 3, 2  # steps before and after over which a rise is measured; a vowel is scored so much later


def rises(energies: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return (steps,): how much likelier than elsewhere a vowel is to begin with each step, in the unit of costs."""
    import numpy as np

    heard = energies[:, _BANDS]
    heard = np.maximum(heard, np.median(heard) - _FLOOR)
    steep = np.zeros(len(heard), np.float32)
    if len(heard) > 2 * _OVER:
        steep[_OVER:-_OVER] = np.maximum(heard[2 * _OVER :] - heard[: -2 * _OVER], 0).mean(axis=1)
    usual = float(np.percentile(steep, 95)) + 1e-6
    found = np.zeros_like(steep)
    found[_LATER:] = _BONUS * np.clip(steep / usual, 0, _MOST)[:-_LATER]
    return found
