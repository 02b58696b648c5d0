"""How much each moment of a sound is like each phone of the recogniser's model.

In: 16 kHz int16 samples. Out: a table of costs, a row for each 10 ms, three columns (beginning, middle, end) for each
phone alone, whatever stands beside it; 0 is the most that any of the model's states offers there, one unit is about
0.1 nat. Held vowels of singing are nearer to these plain phones than to the ones that the model keeps for
quickly spoken neighbours.

The library scores its states while it searches; its own log of those scores is the way to get them out.
"""

from __future__ import annotations

import os
import re
import tempfile
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.hearing.recogniser import RATE_HZ, STEPS_PER_S, faint_noise, model_folder

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# The model's plain phones in its own order: the first states of its list are theirs, three each.
MODEL_PHONES = """+NSN+ +SPN+ AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH SIL
T TH UH UW V W Y Z ZH""".split()
COLUMN = {phone: 3 * number for number, phone in enumerate(MODEL_PHONES)}
_COLUMNS = 3 * len(MODEL_PHONES)
# Levels are normalised within a piece; the log of one takes 13 MB on disk for a moment. The model learnt from sentences
# with quiet around them, and a mix has none: a tenth of each piece is added. On synthesised singing as loud as its band
# that puts 89 instead of 87 % of the vowels within a frame.
_NEXT_PHONE = 30.0  # so that phones in a free loop last about as long as in speech
_PIECE_S, _MARGIN_S, _QUIET_S = 10, 1, Fraction(3, 5)


def likeness(samples: NDArray[np.int16]) -> NDArray[np.int16]:
    """Return the costs, (steps, 126); step ``n`` is centred ``WINDOW_CENTRE`` after n/100 s."""
    import numpy as np

    count = -(-len(samples) * STEPS_PER_S // RATE_HZ)
    costs = np.zeros((count, _COLUMNS), np.int16)
    step = RATE_HZ // STEPS_PER_S
    quiet = faint_noise(_QUIET_S)
    with tempfile.TemporaryDirectory() as folder:
        scorer = _Scorer(folder)
        for first in range(0, count, _PIECE_S * STEPS_PER_S):
            low = max(0, first - _MARGIN_S * STEPS_PER_S)
            last = min(count, first + _PIECE_S * STEPS_PER_S)
            piece = np.concatenate([quiet, samples[low * step : (last + _MARGIN_S * STEPS_PER_S) * step], quiet])
            scored = scorer.costs(piece)[len(quiet) // step + first - low :][: last - first]
            costs[first:last] = scored
    return costs


def anything(costs: NDArray[np.int16]) -> NDArray[np.float32]:
    """Return what each step costs on the cheapest way through any phones at all; a right word comes near to that."""
    import numpy as np

    begins = np.arange(_COLUMNS) % 3 == 0
    now = costs[0].astype(np.float32)
    come = np.empty_like(now)
    moved = np.zeros(costs.shape, bool)
    left = np.zeros(len(costs), np.intp)
    for step in range(1, len(costs)):
        come[1:] = now[:-1]
        left[step] = 2 + 3 * int(now[2::3].argmin())
        come[begins] = now[left[step]] + _NEXT_PHONE
        moved[step] = come < now
        now = np.minimum(come, now) + costs[step]
        now -= now.min()  # only differences count, and single precision keeps few digits
    state = int(now.argmin())
    found = np.empty(len(costs), np.float32)
    for step in range(len(costs) - 1, -1, -1):
        found[step] = costs[step, state]
        if moved[step, state]:
            state = int(left[step]) if state % 3 == 0 else state - 1
    return found


class _Scorer:
    """A recogniser that scores every state of its model and keeps the log of it in ``folder``."""

    def __init__(self, folder: str):
        import pocketsphinx

        path = os.path.join(folder, "words.dict")
        with open(path, "w", encoding="ascii", newline="\n") as file:
            file.write("any AH\n")
        self._folder = os.path.join(folder, "log")
        os.mkdir(self._folder)
        self._decoder = pocketsphinx.Decoder(
            hmm=model_folder(), dict=path, lm=None, samprate=RATE_HZ,
            loglevel="FATAL", bestpath=False, cmn="batch", compallsen=True, senlogdir=self._folder,
        )  # fmt: skip
        self._decoder.set_align_text("any")

    def costs(self, samples: NDArray[np.int16]) -> NDArray[np.int16]:
        import numpy as np

        decoder = self._decoder
        decoder.reinit_feat()
        decoder.start_utt()
        try:
            decoder.process_raw(samples.tobytes(), full_utt=True)
            decoder.end_utt()
        except RuntimeError:
            pass  # the one word was not found in it: no matter
        (name,) = os.listdir(self._folder)
        path = os.path.join(self._folder, name)
        with open(path, "rb") as file:
            log = file.read()
        os.unlink(path)
        # A header of text lines, a mark of four bytes for the byte order; then the count and the scores of each step.
        states = int(re.search(rb"n_sen (\d+)", log)[1])  # type: ignore[index]
        start = log.index(b"endhdr\n") + len(b"endhdr\n") + 4
        rows = np.frombuffer(log[start:], "<i2" if log[start - 4] == 0x44 else ">i2")
        whole = len(rows) // (states + 1)
        return rows[: whole * (states + 1)].reshape(whole, states + 1)[:, 1 : 1 + _COLUMNS].astype(np.int16)
