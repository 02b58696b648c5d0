"""The vocal stem of a song whose instrumental is at hand: the mix less its instrumental.

In: both as (samples, 2) int16 at one rate; the instrumental may begin earlier or later, be louder or softer, and have
been through another master. Out: what is left, as long as the mix.

How: the shift is where the two sounds are most alike (cross-correlation, its spectrum whitened: C. Knapp and G. Carter,
"The generalized correlation method for estimation of time delay", IEEE Trans. ASSP 24, 1976). Then each frequency of
the instrumental is taken from the mix as loudly, and as late, as it is found there over some seconds (least squares),
so that equalisers and slow drifts go too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_FOUND_S = 4.0  # over which an instrumental is found in the mix: its voice is taken for part of it by 1 part in 170
# How much likelier the shift is than others (in the likeness's own spread): 30 to 1,100 where one sound holds the
# other, 7 to 14 between two songs.
_SURE = 20.0
_EVERY = 4  # samples that are one for finding the shift: what is left of it, the gains take up


def shift_between(mix: NDArray[np.int16], instrumental: NDArray[np.int16]) -> int | None:
    """Return by how many samples, to the next four, the instrumental is to be moved later; None: not in the mix."""
    import numpy as np

    def coarse(sound: NDArray[np.int16]) -> NDArray[np.float32]:
        whole = sound[: len(sound) // _EVERY * _EVERY]
        means: NDArray[np.float32] = whole.reshape(-1, _EVERY * 2).mean(axis=1, dtype=np.float32)
        return means

    one, other = coarse(mix), coarse(instrumental)
    length = 1 << (len(one) + len(other)).bit_length()
    a, b = np.fft.rfft(one, length), np.fft.rfft(other, length)
    a *= np.conj(b)
    del b
    a /= np.abs(a) + np.float32(1e-5 * np.abs(a).max() + 1e-9)
    likeness = np.fft.irfft(a, length)
    best = int(likeness.argmax())
    peak = float(likeness[best])
    around = np.arange(best - 64, best + 65) % length
    likeness[around] = 0
    if peak <= _SURE * float(np.sqrt(np.mean(likeness**2))):
        return None
    return _EVERY * (best if best < length // 2 else best - length)


def without_instrumental(
    mix: NDArray[np.int16], instrumental: NDArray[np.int16], rate_hz: int
) -> NDArray[np.int16] | None:
    """Return the voice of ``mix``, (samples, 2); None where ``instrumental`` is not in it."""
    import numpy as np

    from timing.sound.centre import FRAMES_AT_ONCE, Spectra

    shift = shift_between(mix, instrumental)
    if shift is None:
        return None
    moved = np.zeros_like(mix)
    low, high = max(0, shift), min(len(mix), len(instrumental) + shift)
    moved[low:high] = instrumental[low - shift : high - shift]
    mixed, played = Spectra(mix, rate_hz), Spectra(moved, rate_hz)
    over = int(_FOUND_S * rate_hz / mixed.hop) // 2
    out = np.zeros((mixed.count * mixed.hop + mixed.size, 2), np.float32)
    for first in range(0, mixed.count, FRAMES_AT_ONCE):
        last = min(first + FRAMES_AT_ONCE, mixed.count)
        begin, end = max(0, first - over), min(mixed.count, last + over)
        x, y = mixed.frames(begin, end), played.frames(begin, end)
        both = _summed(x * np.conj(y), over, first - begin, last - begin)
        gains = both / (_summed(y * np.conj(y), over, first - begin, last - begin).real + 1)
        own = slice(first - begin, last - begin)
        left = np.fft.irfft(x[own] - gains * y[own], axis=1).astype(np.float32) * mixed.window[None, :, None]
        for row, frame in zip(left, range(first, last), strict=True):
            out[frame * mixed.hop : frame * mixed.hop + mixed.size] += row
    # Squared Hann windows at a quarter of their length add up to 1.5.
    rest = out[mixed.size // 2 : mixed.size // 2 + len(mix)] / 1.5
    return np.clip(np.round(rest), -32768, 32767).astype(np.int16)


def _summed(values: NDArray[np.complex64], over: int, first: int, last: int) -> NDArray[np.complex64]:
    """Return the sums of ``over`` rows before and after each row from ``first`` to ``last``."""
    import numpy as np

    sums = np.concatenate([np.zeros_like(values[:1]), np.cumsum(values, axis=0)])
    rows = np.arange(first, last)
    found: NDArray[np.complex64] = sums[np.minimum(rows + over + 1, len(values))] - sums[np.maximum(rows - over, 0)]
    return found
