"""How large a voice is: by how much its resonances lie higher or lower than those of the recogniser's readers.

In: a sound and the stretches of it that hold speech. Out: one number for all of it, 1 for a grown-up's voice. A child's
throat is shorter, a giant's longer, and a voice that was made higher or lower by machine has what it was given; all
vowels then lie elsewhere, and next to no line of a script was found. Of several sizes the one counts with which any
phones at all fit best (``anything``; the frequencies are drawn out accordingly, see ``sound_features.edges_hz``).

Tried on synthesised voices played 0.8 and 1.22 times as fast: 0.8 and 1.24 fit best.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from timing.hearing.acoustic_model import PLAIN_STATES, acoustic_model
from timing.hearing.phone_costs import anything
from timing.hearing.sound_features import band_energies, cepstra_of, with_differences
from timing.model.clock import Seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SIZES = (0.8, 0.86, 0.92, 1.08, 1.16, 1.24)  # beside 1
# What another size must gain at each step (units of about 0.1 nat): up to 6 in recordings of people, 8 to 42 in the
# same played 1.3 or 0.75 times as fast; up to 10 for synthesised voices that are found well as they are.
_GAIN = 10.0
_ENOUGH_S = 12
_LEAST_S = 2
_SHORTEST_S = 0.3
_HZ = 16_000


def voice_size(samples: NDArray[np.int16], regions: Sequence[tuple[Seconds, Seconds]]) -> float:
    """Return one of SIZES, or 1; 1 too where there are less than two seconds of speech to tell it by."""
    import numpy as np

    parts: list[NDArray[np.int16]] = []
    for start, end in regions:
        if end - start >= _SHORTEST_S and sum(map(len, parts)) < _ENOUGH_S * _HZ:
            parts.append(samples[int(start * _HZ) : int(end * _HZ)])
    if sum(map(len, parts)) < _LEAST_S * _HZ:
        return 1.0
    speech = np.concatenate(parts)[: _ENOUGH_S * _HZ]
    costs = {size: _cost(speech, size) for size in (1.0, *SIZES)}
    best = min(costs, key=lambda size: costs[size])
    return best if costs[1.0] - costs[best] > _GAIN else 1.0


def _cost(speech: NDArray[np.int16], size: float) -> float:
    features = with_differences(cepstra_of(band_energies(speech, size)))
    return float(anything(iter([acoustic_model().costs(features, range(PLAIN_STATES))])).mean())
