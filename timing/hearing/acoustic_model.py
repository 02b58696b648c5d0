"""The recogniser's own acoustic model, read with numpy: how badly each of its states fits each moment of a sound.

In: features of a sound (``sound_features``) and the states that are asked for. Out: costs, the negative logarithm of
the likelihood in the recogniser's unit (``UNIT_NATS``). The library scores states only while it searches; here any of
them are had by themselves, at a fraction of the time.

The model is the US English one inside the pocketsphinx wheel: 42 plain phones and 137,053 of them in context, three
states each; each state mixes the 128 Gaussians that its plain phone shares out among all its contexts, in three
streams of 13 features (levels, first and second differences) whose costs add up (X. D. Huang and M. A. Jack, "Semi-
continuous hidden Markov models for speech signals", 1989). Its files describe their form in their own heads. What is
not done as the library does it: steady noise is not taken away first, and all 128 Gaussians count, not the best four.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

from timing.hearing.recogniser import model_folder
from timing.plain.errors import TimingError
from timing.plain.one_core import one_core

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# The model's plain phones in its own order: the first states of its list are theirs, three each.
MODEL_PHONES = """+NSN+ +SPN+ AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH SIL
T TH UH UW V W Y Z ZH""".split()
STATES = 3  # of a phone
PLAIN_STATES = STATES * len(MODEL_PHONES)
UNIT_NATS = 0.1024  # natural logarithm of 1.0001, 1,024 times: the library's scores and its 8-bit weights
STREAMS, WIDTH, GAUSSIANS = 3, 13, 128
_PLACES = INSIDE, BEGINS, ENDS, ALONE = range(4)  # of a phone in its word, as the model numbers them
_LEAST_VARIANCE = 1e-4  # the library's own floor
_STEPS_AT_ONCE = 1000  # memory stays flat
# What the features must be made like, of the model's own settings.
_SETTINGS = {
    "lowerf": "130", "upperf": "6800", "nfilt": "25", "transform": "dct", "lifter": "22", "feat": "1s_c_d_dd",
    "svspec": "0-12/13-25/26-38", "agc": "none", "cmn": "batch", "varnorm": "no", "model": "ptm",
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class AcousticModel:
    """The Gaussians, what they weigh in each state, and which states a phone has.

    ``means`` and ``variances`` are (phones, STREAMS, GAUSSIANS, WIDTH); ``weights`` (STREAMS, GAUSSIANS, states) are
    costs in UNIT_NATS; ``owner`` has of each state its plain phone; ``contexts`` at [place in the word, phone, the one
    before, the one after], as numbers, the row of ``rows`` with its three states, 0 where the model has none.
    """

    means: NDArray[np.float32]
    variances: NDArray[np.float32]
    weights: NDArray[np.uint8]
    owner: NDArray[np.intp]
    contexts: NDArray[np.int32]
    rows: NDArray[np.intp]

    def blunted(self, by: float) -> AcousticModel:
        """Return the model with all variances ``by`` times as large: less sure of itself."""
        return replace(self, variances=self.variances * by)

    def states(self, phone: str, before: str, after: str, place: int) -> NDArray[np.intp]:
        """Return the three states of a phone between two others; of the plain phone where that was never learnt.

        ``place``: INSIDE its word, where it BEGINS or ENDS it, or ALONE. Another place does where this is not known.
        """
        number, left, right = (MODEL_PHONES.index(p) for p in (phone, before, after))
        known = (int(self.contexts[where, number, left, right]) for where in (place, *_PLACES))
        found: NDArray[np.intp] = self.rows[next(filter(None, known), number)]
        return found

    def costs(self, features: NDArray[np.float32], states: Sequence[int] | NDArray[np.intp]) -> NDArray[np.float32]:
        """Return (steps, states): how badly each of ``states`` fits each step, in UNIT_NATS; features (steps, 39)."""
        import numpy as np

        out = np.empty((len(features), len(states)), np.float32)
        with one_core():
            for first in range(0, len(features), _STEPS_AT_ONCE):
                piece = slice(first, first + _STEPS_AT_ONCE)
                self._score(features[piece], np.asarray(states), out[piece])
        return out

    def gaussians(self, features: NDArray[np.float32], phone: int, stream: int) -> NDArray[np.float32]:
        """Return (steps, GAUSSIANS): the log-likelihood, in nats, of one stream under each Gaussian of a phone."""
        import numpy as np

        x = features[:, stream * WIDTH : (stream + 1) * WIDTH]
        mean, variance = self.means[phone, stream], self.variances[phone, stream]
        constant = -0.5 * (mean**2 / variance + np.log(2 * np.pi * variance)).sum(axis=1)
        found: NDArray[np.float32] = (x * x) @ (-0.5 / variance).T + x @ (mean / variance).T + constant
        return found

    def _score(self, features: NDArray[np.float32], states: NDArray[np.intp], out: NDArray[np.float32]) -> None:
        import numpy as np

        owners = self.owner[states]
        for phone in np.unique(owners):
            mine = np.flatnonzero(owners == phone)
            total = np.zeros((len(features), len(mine)), np.float32)
            for stream in range(STREAMS):
                logs = self.gaussians(features, phone, stream)
                best = logs.max(axis=1, keepdims=True)
                share = np.exp(-UNIT_NATS * self.weights[stream][:, states[mine]].astype(np.float32))
                total -= np.log(np.exp(logs - best) @ share + np.float32(1e-30)) + best
            out[:, mine] = total / np.float32(UNIT_NATS)


@cache
def acoustic_model(folder: str | None = None) -> AcousticModel:
    """Return the model in ``folder``, or the one inside the library; raises TimingError for one that is not known."""
    folder = folder or model_folder()
    try:
        _check_settings(folder)
        means, variances = (_gaussians(os.path.join(folder, name)) for name in ("means", "variances"))
        contexts, rows, owner = _phones(os.path.join(folder, "mdef"))
        weights = _weights(os.path.join(folder, "sendump"), len(owner))
    except (OSError, ValueError, IndexError) as error:
        raise TimingError(
            f"the speech model in {folder} is not the one this program knows ({error}); install pocketsphinx 5 again"
        ) from None
    import numpy as np

    return AcousticModel(means, np.maximum(variances, _LEAST_VARIANCE), weights, owner, contexts, rows)


def _check_settings(folder: str) -> None:
    with open(os.path.join(folder, "feat.params"), encoding="ascii") as file:
        rows = (line.split() for line in file)
        given = {row[0].lstrip("-"): row[1] for row in rows if len(row) == 2}
    for name, value in _SETTINGS.items():
        if given.get(name) != value:
            raise ValueError(f"its {name} is {given.get(name)}, not {value}")


def _read(path: str) -> bytes:
    with open(path, "rb") as file:
        return file.read()


def _gaussians(path: str) -> NDArray[np.float32]:
    """Return means or variances: a text head, a mark for the byte order, counts, the width of each stream, floats."""
    import numpy as np

    raw = _read(path)
    at = raw.index(b"endhdr\n") + len(b"endhdr\n")
    counts = np.frombuffer(raw, "<i4", 8, at)
    shape = (len(MODEL_PHONES), STREAMS, GAUSSIANS, WIDTH)
    if counts[0] != 0x11223344 or list(counts[1:7]) != [*shape[:3], *[WIDTH] * STREAMS]:
        raise ValueError(f"{os.path.basename(path)} holds {list(counts[1:7])}")
    values = np.frombuffer(raw, "<f4", int(np.prod(shape)), at + 32)
    return values.reshape(shape).astype(np.float32)


def _phones(path: str) -> tuple[NDArray[np.int32], NDArray[np.intp], NDArray[np.intp]]:
    """Return (contexts, rows of states, owner of each state) of the model's definition."""
    import numpy as np

    raw = _read(path)
    if raw[:4] != b"BMDF":
        raise ValueError("mdef has another form")
    at = 12 + int(np.frombuffer(raw, "<i4", 1, 8)[0])
    plain, phones, states, _, total, _, sequences, _, tree, _ = (int(n) for n in np.frombuffer(raw, "<i4", 10, at))
    names = raw[at + 40 :].split(b"\0", plain)[:plain]
    if names != [name.encode() for name in MODEL_PHONES] or states != STATES:
        raise ValueError(f"it has {plain} phones of {states} states")
    at = (at + 40 + sum(len(name) + 1 for name in names) + 3) // 4 * 4 + 8 * tree
    entries = np.frombuffer(raw, np.dtype([("row", "<i4"), ("moves", "<i4"), ("own", "u1", 4)]), phones, at)
    at += entries.nbytes + 4
    rows = np.frombuffer(raw, "<u2", sequences * STATES, at).reshape(sequences, STATES).astype(np.intp)[entries["row"]]
    own = entries["own"].astype(np.intp)  # place, phone, before, after; plain phones have no place
    contexts = np.zeros((len(_PLACES), plain, plain, plain), np.int32)
    contexts[tuple(own[plain:].T)] = np.arange(plain, phones)  # the first rows are the plain phones' own
    owner = np.zeros(total, np.intp)
    owner[rows[plain:]] = own[plain:, 1][:, None]
    owner[rows[:plain]] = np.arange(plain)[:, None]
    return contexts, rows, owner


def _weights(path: str, states: int) -> NDArray[np.uint8]:
    """Return the weights: strings, each after its length, a length of 0, two counts, a byte for each weight."""
    import numpy as np

    raw = _read(path)
    at, length = 0, -1
    while length:
        length = int(np.frombuffer(raw, "<i4", 1, at)[0])
        at += 4 + length
    if list(np.frombuffer(raw, "<i4", 2, at)) != [GAUSSIANS, states]:
        raise ValueError("sendump holds other counts than mdef")
    count = STREAMS * GAUSSIANS * states
    return np.frombuffer(raw, "u1", count, at + 8).reshape(STREAMS, GAUSSIANS, states)
