"""How loud, how clean: what is measured about a recording before anyone listens for words.

In: a decoded Sound. Out: Levels (decibels below full scale, ratios) and findings with what to do.
Conventions: 25 ms windows every 10 ms; a window of exact zeros is no room noise but an editor's silence, so it is
left out of the noise floor. Thresholds are our own, chosen on synthesised speech with pink noise added.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.model import Finding
from timing.model.clock import Seconds
from timing.model.findings import FindingCode

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.sound.decode import Sound

QUIET_DBFS = -45.0  # loud windows below this: a phone held too far away
CLIPPED_SHARE = 0.0005  # samples standing in a row at full scale
# Loud windows against quiet ones read some 5 dB more than mean power against mean power, so these are about 13 and
# 8 dB of the usual measure: below the first times are less sure, below the second not to be trusted.
NOISY_DB = 18.0
TOO_NOISY_DB = 13.0
# Loud against quiet windows: below this a first or last word that is followed closely takes in the noise beside it (by
# 0.2 to 0.6 s in 7 of 24 lines at 15 dB).
NOISE_IN_PAUSES_DB = 28.0
BY_BANDS_BELOW_DB = 40.0  # with more the level alone tells sound from quiet
RATE_HZ = 16_000
_WINDOWS_AT_ONCE, _SAMPLES_AT_ONCE = 6000, 1 << 22
_SILENT_DBFS = -75.0
_HOP_S, _WINDOW_S = Fraction(1, 100), Fraction(1, 40)


@dataclass(frozen=True, slots=True)
class Levels:
    """Levels of one recording; decibels relative to full scale (dBFS), ``snr_db`` a ratio in decibels.

    ``speech_dbfs`` is the level of the loud windows (95th percentile), ``floor_dbfs`` of the quiet ones (5th);
    ``is_narrow``: only a telephone's band is there.
    """

    seconds: Seconds
    peak_dbfs: float
    rms_dbfs: float
    speech_dbfs: float
    floor_dbfs: float
    clipped_share: float
    damaged_blocks: int = 0
    is_narrow: bool = False

    @property
    def snr_db(self) -> float:
        """Estimated signal-to-noise ratio: loud windows against quiet ones."""
        return self.speech_dbfs - self.floor_dbfs

    @property
    def is_silent(self) -> bool:
        return self.speech_dbfs < _SILENT_DBFS

    @property
    def is_noisy(self) -> bool:
        return self.snr_db < NOISY_DB

    @property
    def blurs_words(self) -> bool:
        """True where words are not told apart so well: in noise, or through a telephone's band."""
        return self.is_noisy or self.is_narrow

    def findings(self) -> tuple[Finding, ...]:
        """Return what a person should know: silent, quiet, clipped, noisy, damaged."""
        found = []
        if self.damaged_blocks:
            found.append(
                Finding(
                    FindingCode.DAMAGED,
                    f"{self.damaged_blocks} blocks of the file are damaged and were left out, so times after them "
                    "may be early; copy the recording again",
                    {"blocks": self.damaged_blocks},
                )
            )
        if self.is_silent:
            found.append(Finding(FindingCode.SILENT, "the recording is silent; check the microphone and record again"))
            return tuple(found)
        if self.speech_dbfs < QUIET_DBFS:
            found.append(
                Finding(
                    FindingCode.QUIET,
                    f"the recording is very quiet (speech at {self.speech_dbfs:.0f} dB below full scale); "
                    "hold the microphone closer",
                    {"speech_dbfs": round(self.speech_dbfs, 1)},
                )
            )
        if self.clipped_share > CLIPPED_SHARE:
            found.append(
                Finding(
                    FindingCode.CLIPPED,
                    f"the recording is clipped ({100 * self.clipped_share:.2f} % of samples at the limit); "
                    "record again at a lower level",
                    {"clipped_share": round(self.clipped_share, 6)},
                )
            )
        if self.is_noisy:
            sure = "are not to be trusted" if self.snr_db < TOO_NOISY_DB else "may be off by a frame or two"
            found.append(
                Finding(
                    FindingCode.NOISY,
                    f"loud speech stands only {max(0.0, self.snr_db):.0f} dB above the noise, so times {sure}; "
                    "record in a quieter place",
                    {"snr_db": round(self.snr_db, 1)},
                )
            )
        return tuple(found)


def window_db(samples: NDArray[np.int16], rate_hz: int) -> NDArray[np.float64]:
    """Return the level of each 25 ms window (one every 10 ms) in dBFS; -inf for exact silence."""
    import numpy as np

    hop, window = int(rate_hz * _HOP_S), int(rate_hz * _WINDOW_S)
    count = max(1, 1 + (len(samples) - window) // hop)
    energy = np.zeros(count)
    for first in range(0, count, _WINDOWS_AT_ONCE):  # memory stays flat on long takes
        starts = np.arange(first, min(first + _WINDOWS_AT_ONCE, count)) * hop
        zero = starts[0]
        part = samples[zero : starts[-1] + window].astype(np.int64)
        squares = np.concatenate([[0], np.cumsum(part**2)])
        begins = np.minimum(starts - zero, len(part))
        ends = np.minimum(begins + window, len(part))
        sums = squares[ends] - squares[begins]
        energy[first : first + len(starts)] = sums / np.maximum(1, ends - begins) / float(1 << 30)
    with np.errstate(divide="ignore"):
        return np.asarray(10 * np.log10(energy), dtype=np.float64)


def measure(sound: Sound) -> Levels:
    """Return the levels of a sound; an entirely silent one has -inf levels and a ratio of 0."""
    import numpy as np

    from timing.sound.narrow_band import is_narrow

    levels = window_db(sound.samples, sound.rate_hz)
    heard = levels[np.isfinite(levels)]
    power = np.float32(0)
    for first in range(0, len(sound.samples), _SAMPLES_AT_ONCE):
        part = sound.samples[first : first + _SAMPLES_AT_ONCE].astype(np.float32)
        power += np.dot(part, part)
    rms = float(np.sqrt(power / max(1, len(sound.samples)))) / 32768
    floor, speech = (float(v) for v in np.percentile(heard, [5, 95])) if len(heard) else (-120.0, -120.0)
    return Levels(
        sound.seconds, _db(sound.peak), _db(rms), speech, floor, sound.clipped_share, sound.damaged_blocks,
        sound.rate_hz == RATE_HZ and is_narrow(sound.samples),
    )  # fmt: skip


def _db(ratio: float) -> float:
    return 20 * math.log10(ratio) if ratio > 1e-6 else -120.0


def loudness(samples: NDArray[np.int16], rate_hz: int, values_per_s: int) -> tuple[float, ...]:
    """Return the outline of a sound for a strip on paper: the highest sample of each step, 0..1, square root.

    The square root lifts soft consonants so that they can be seen beside vowels (our own choice).
    """
    import numpy as np

    count = -(-len(samples) * values_per_s // rate_hz)
    edges = [i * rate_hz // values_per_s for i in range(count)]
    if not edges:
        return ()
    highs = np.maximum.reduceat(np.abs(samples.astype(np.int32)), edges)
    top = max(int(highs.max()), 1)
    return tuple(round(float(v), 4) for v in np.sqrt(highs / top))


def sound_regions(
    sound: Sound, levels: Levels | None = None, shortest_gap_ms: int = 250
) -> tuple[tuple[Seconds, Seconds], ...]:
    """Return the stretches (start, end) that hold sound; pauses under ``shortest_gap_ms`` do not part them.

    Where a steady noise lies under all of it, what stands above the noise in any band counts; else the level alone,
    without what a room adds after a voice.
    """
    from timing.sound.bands import is_steady, stretches
    from timing.sound.container import AudioSegment, silence
    from timing.sound.room_tails import without_tails

    levels = levels or measure(sound)
    if levels.is_silent:
        return ()
    is_under_noise = levels.snr_db < BY_BANDS_BELOW_DB and sound.rate_hz == RATE_HZ
    by_window = window_db(sound.samples, sound.rate_hz)
    if is_under_noise and is_steady(by_window):
        return stretches(sound.samples, Fraction(shortest_gap_ms, 1000))
    threshold = max(levels.floor_dbfs + 0.35 * levels.snr_db, levels.speech_dbfs - 40)
    segment = AudioSegment(sound.samples.tobytes(), sample_width=2, frame_rate=sound.rate_hz, channels=1)
    found = silence.detect_nonsilent(segment, shortest_gap_ms, threshold, seek_step=10)
    regions = tuple((Fraction(start, 1000), Fraction(end, 1000)) for start, end in found if end - start >= 30)
    is_quiet = levels.snr_db >= BY_BANDS_BELOW_DB and sound.rate_hz == RATE_HZ
    return without_tails(sound.samples, regions, by_window) if is_quiet else regions
