"""The recogniser behind everything heard: pocketsphinx, used to follow known words instead of guessing unknown ones.

In: 16 kHz int16 samples and a fixed list of words, each with its pronunciations. Out: words and phones with times
and scores. Times are exact seconds from the first sample given.

What experience with this library asks for, and this module hides:
- a word added after a search has run can crash it, so the whole vocabulary is given at the start;
- state leaks from one pass to the next (10 to 20 ms), so features are started afresh before each: the same sound
  gives the same times whatever was heard before;
- a frame is stamped with the left edge of its window, so half a window less half a step, 1/128 s, is added;
- the stock silence probability (0.005) lets words swallow the pauses beside them: 1.0 here;
- nothing is pruned (beams 0) when a line is followed: a known line is short, and pruning loses held notes; and since
  a score counts from the best sound still in the race, pruning would also hide how badly a wrong word fits;
- four fifths of the time go into comparing each step with the model's Gaussians; where nothing hangs on a single
  step, only every second or third one is compared with all of them, the others with the best few of the one before;
- the phone pass needs gigabytes on minutes of sound: lines only, never takes.

The acoustic model is the US English one inside the pocketsphinx wheel (BSD-2-Clause).
"""

from __future__ import annotations

import hashlib
import math
import os
import re
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

from timing.model import is_vowel
from timing.model.clock import Seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Phones = tuple[str, ...]

MODEL_LANGUAGE = "en"  # what the recogniser's own model was learnt from
RATE_HZ = 16_000
STEPS_PER_S = 100
# Vowel onsets come out late by 3.5 ms (median over 154 hand-set ones and 2,000 synthesised ones) after that.
VOWEL_EARLIER = Fraction(1, 400)
_PADDING, _ZERO = Fraction(3, 10), Fraction(0)
_FREE_NAME = "free"
WINDOW_CENTRE = Fraction(1, 128)  # 25.625 ms / 2 - 10 ms / 2
PHONES = frozenset(
    "AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z ZH".split()
)
# Phones that a loop between lines may use for whatever else is said: all classes of sound, few enough to be fast.
_LOOP = "AA AE AH IY EH OW UW ER S SH N M L R T K D B F HH".split()
_LOG_BASE = math.log(1.0001)


@dataclass(frozen=True, slots=True)
class Beams:
    """How unlikely a path may become before it is given up (0: never).

    Every ``full_steps``-th step is compared with the whole model.
    """

    phones: float
    words: float
    full_steps: int = 1


LINE = Beams(0, 0)
# A line with room for other words: of 140 doubtful readings all but one take the same path as unpruned, in 45 % of
# the time.
DOUBTFUL = Beams(1e-80, 1e-60)
# Narrow enough for minutes of sound and a whole script: 190 s with 36 lines need 270 MB; nothing more is found with
# 1e-120, which needs 1.8 GB. With every second step compared in full, 133 of 135 lines in nine takes lie right and the
# other two are told, as with every step; with every third 70 of 75.
TAKE = Beams(1e-40, 1e-30, full_steps=2)
# Free phones. Words left out or replaced stand out as well as with every step compared in full (180 readings: area
# under the curve 0.9993 against 0.9992), in 44 % of the time; their score is then lower by about so much a step.
_FREE = Beams(0, 0, full_steps=3)
_FREE_LOWER = 10.0
# A whole song in one pass: its words are known in order, so wide beams stay cheap, and narrow ones end in nothing.
SONG = Beams(1e-250, 1e-200)


@dataclass(frozen=True, slots=True)
class HeardPhone:
    """One phone with its times in seconds."""

    name: str
    start: Seconds
    end: Seconds


@dataclass(frozen=True, slots=True)
class HeardWord:
    """One word of the vocabulary (``index``) with its times; ``score`` is its log-likelihood (base 1.0001)."""

    index: int
    start: Seconds
    end: Seconds
    score: float
    phones: tuple[HeardPhone, ...] = ()

    def earlier(self, by: Seconds) -> HeardWord:
        """Return the word moved by ``by`` towards the beginning, nothing of it before moment 0."""
        phones = tuple(HeardPhone(p.name, max(p.start - by, _ZERO), max(p.end - by, _ZERO)) for p in self.phones)
        return HeardWord(self.index, max(self.start - by, _ZERO), max(self.end - by, _ZERO), self.score, phones)


ANY = -1  # in a grammar: any sound, said in free phones; each comes back with a negative index


class Recogniser:
    """An acoustic model with a fixed vocabulary; word ``i`` is the i-th entry of ``words``.

    ``words`` holds each word's pronunciations (ARPABET, no stress digits). ``beams`` set it up for one
    line, a take or a song.
    """

    def __init__(self, words: Sequence[Sequence[Phones]], beams: Beams = LINE):
        self._beams = beams
        self._count = len(words)
        self._decoder = _decoder(words, beams)

    def align(self, samples: NDArray[np.int16], order: Sequence[int]) -> list[HeardWord] | None:
        """Return the words ``order`` with their phones, in that order; None when they cannot be fitted at all.

        A negative index stands for one free phone, as ``follow`` returns it; those are followed, not returned.
        Speech that begins with the very first sample goes wrong or fails; it is given a little silence around it.
        """
        found = self.align_scored(samples, order)
        return found and found[0]

    def align_scored(
        self, samples: NDArray[np.int16], order: Sequence[int]
    ) -> tuple[list[HeardWord], NDArray[np.float64]] | None:
        """Return what ``align`` does and, for each step of 10 ms, the log-likelihood of the path (pauses too)."""
        import numpy as np

        found = None if _begins_loud(samples) else self._align(samples, order)
        if found is None:
            quiet = faint_noise(_PADDING)
            padded = self._align(np.concatenate([quiet, samples, quiet]), order)
            if padded is not None:
                found = [word.earlier(_PADDING) for word in padded[0]], padded[1][int(_PADDING * STEPS_PER_S) :]
                if any(word.end <= word.start for word in found[0]):
                    found = self._align(samples, order)  # a whole word in the silence: it does not belong there
        return found

    def _align(
        self, samples: NDArray[np.int16], order: Sequence[int]
    ) -> tuple[list[HeardWord], NDArray[np.float64]] | None:
        import numpy as np

        rough = self.words(samples, order)
        if rough is None:
            return None
        try:
            self._decoder.set_alignment()
            _run(self._decoder, samples)
            alignment = self._decoder.get_alignment()
        except RuntimeError:
            return None
        found, scores = [], iter(rough)
        path = np.zeros(_steps(samples))
        for word in alignment or ():
            for phone in word:
                path[phone.start : phone.start + phone.duration] = phone.score / max(1, phone.duration)
            if word.name.startswith("w"):
                end = moment(word.start + word.duration)
                score = next(scores).score  # of the first pass: on one scale with the free loop's
                found.append(HeardWord(_index(word.name), moment(word.start), end, score, _phones(word)))
        return (found, path) if len(found) == len(rough) and all(w.phones for w in found) else None

    def words(self, samples: NDArray[np.int16], order: Sequence[int]) -> list[HeardWord] | None:
        """Return the words ``order`` in that order without phones; None when they cannot be fitted."""
        try:
            self._decoder.set_align_text(" ".join(f"w{i}" if i >= 0 else f"any-{_LOOP[~i]}" for i in order))
            _run(self._decoder, samples)
        except RuntimeError:
            return None
        found = [w for w in self._segments() if w.index >= 0]
        return found if len(found) == sum(i >= 0 for i in order) else None

    def follow(
        self, samples: NDArray[np.int16], states: int, arcs: Iterable[tuple[int, int, float, int | None]]
    ) -> list[HeardWord] | None:
        """Return the best way through a grammar of ``states`` from the first state to the last.

        ``arcs`` are (from, to, probability, word): a word's index, ANY for any one phone, None for nothing said.
        Raises ValueError for a state, probability or word that there is not.
        """
        if states < 1:
            raise ValueError(f"a grammar has at least one state, not {states}")
        name = "path"  # one name: a search added under a name that is in use frees the one before it
        transitions: list[tuple[Any, ...]] = []
        for start, end, probability, word in arcs:
            if not (0 <= start < states and 0 <= end < states and 0 < probability <= 1):
                # The library writes outside its memory instead of refusing such an arc.
                raise ValueError(f"no arc of a grammar of {states} states: from {start} to {end} at {probability}")
            if word is not None and word != ANY and not 0 <= word < self._count:
                raise ValueError(f"no word {word} in a vocabulary of {self._count}")
            if word is None:
                transitions.append((start, end, probability))
            elif word == ANY:
                transitions += [(start, end, probability, f"any-{p}") for p in _LOOP]
            else:
                transitions.append((start, end, probability, f"w{word}"))
        for beams in (DOUBTFUL, LINE) if self._beams == LINE else (self._beams,):
            try:
                _prune(self._decoder, beams)
                self._decoder.add_fsg(name, self._decoder.create_fsg(name, 0, states - 1, transitions))
                self._decoder.activate_search(name)
                _run(self._decoder, samples)
                found = self._segments()
            except RuntimeError:
                continue
            finally:
                _prune(self._decoder, self._beams)
            if found:
                return found
        return None

    def free_scores(self, samples: NDArray[np.int16]) -> NDArray[np.float64] | None:
        """Return, for each step of 10 ms, the log-likelihood of whatever phone fits best there (a free loop)."""
        import numpy as np

        decoder = _free_phones()
        try:
            _run(decoder, samples)
        except RuntimeError:
            return None
        if decoder.hyp() is None:
            return None
        scores = np.zeros(_steps(samples))
        for segment in decoder.seg():
            length = segment.end_frame - segment.start_frame + 1
            scores[segment.start_frame : segment.end_frame + 1] = _log(segment.ascore) / length + _FREE_LOWER
        return scores

    def _segments(self) -> list[HeardWord]:
        if self._decoder.hyp() is None:
            return []
        found = []
        for segment in self._decoder.seg():
            if segment.word[0] in "<[(":
                continue
            index = _index(segment.word) if segment.word[0] == "w" else ~_LOOP.index(segment.word[4:])
            start, end = moment(segment.start_frame), moment(segment.end_frame + 1)
            found.append(HeardWord(index, start, end, _log(segment.ascore)))
        return found


def model_folder() -> str:
    """Return where the acoustic model lies that comes with the library."""
    import pocketsphinx

    return os.path.join(pocketsphinx.get_model_path(), "en-us", "en-us")


@cache
def model_hash() -> str:
    """Return the hash of the acoustic model's files: numbers that were learnt with it hang on it."""
    digest = hashlib.sha256()
    for name in ("feat.params", "mdef", "means", "sendump", "transition_matrices", "variances"):
        digest.update(name.encode())
        with open(os.path.join(model_folder(), name), "rb") as file:
            digest.update(file.read())
    return digest.hexdigest()


def _decoder(words: Sequence[Sequence[Phones]], beams: Beams) -> Any:
    import pocketsphinx

    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "words.dict")
        with open(path, "w", encoding="ascii", newline="\n") as file:
            file.writelines(_entries(words))
        return pocketsphinx.Decoder(
            hmm=model_folder(), dict=path, lm=None, samprate=16000, loglevel="FATAL", bestpath=False, cmn="batch",
            silprob=1.0, allphone_ci=True, beam=beams.phones, wbeam=beams.words, pbeam=beams.phones,
            ds=beams.full_steps,
        )  # fmt: skip


@cache
def _free_phones() -> Any:
    """Return the one decoder that knows no words."""
    decoder = _decoder((), _FREE)
    decoder.add_allphone_file(_FREE_NAME, None)
    decoder.activate_search(_FREE_NAME)
    return decoder


def _prune(decoder: Any, beams: Beams) -> None:
    """Set the beams of the searches that are made from now on."""
    for name, width in (("beam", beams.phones), ("pbeam", beams.phones), ("wbeam", beams.words)):
        decoder.config[name] = float(width)


def _run(decoder: Any, samples: NDArray[np.int16]) -> None:
    decoder.reinit_feat()
    decoder.start_utt()
    decoder.process_raw(samples.tobytes(), full_utt=True)
    decoder.end_utt()


def faint_noise(length: Seconds) -> NDArray[np.int16]:
    """Return noise that is always the same: exact zeros are nothing the model has ever heard."""
    import numpy as np

    return np.random.default_rng(1).integers(-8, 9, int(length * RATE_HZ)).astype(np.int16)


def phones_from(names: Sequence[str], steps: Sequence[int], end: int) -> tuple[HeardPhone, ...]:
    """Return phones that begin at ``steps``, each up to the next, the last up to the step ``end``.

    A vowel after a consonant begins VOWEL_EARLIER sooner.
    """
    edges = [
        moment(step) - (VOWEL_EARLIER if before and is_vowel(name) and not is_vowel(before) else 0)
        for before, name, step in zip((None, *names), names, steps, strict=False)
    ]
    return tuple(HeardPhone(*sound) for sound in zip(names, edges, [*edges[1:], moment(end)], strict=True))


def _phones(word: Any) -> tuple[HeardPhone, ...]:
    sounding = [phone for phone in word if phone.duration]
    if not sounding:
        return ()
    steps = [phone.start for phone in sounding]
    return phones_from([phone.name for phone in sounding], steps, steps[-1] + sounding[-1].duration)


def _begins_loud(samples: NDArray[np.int16]) -> bool:
    """True where the first 50 ms are within 25 dB of the whole."""
    import numpy as np

    head = samples[: RATE_HZ // 20].astype(np.float32)
    whole = samples.astype(np.float32)
    return bool(len(head)) and float(np.mean(head**2)) * 316 > float(np.mean(whole**2))


def step_at(moment: Seconds) -> int:
    """Return the analysis step that stands for ``moment`` (the inverse of the times given out here)."""
    return round((moment - WINDOW_CENTRE) * STEPS_PER_S)


def _steps(samples: NDArray[np.int16]) -> int:
    return len(samples) * STEPS_PER_S // RATE_HZ + 8


def moment(step: int) -> Seconds:
    """Return the moment that stands for an analysis step."""
    return Fraction(step, STEPS_PER_S) + WINDOW_CENTRE


def _log(probability: float) -> float:
    # Segment.ascore is a probability in the library's log base, not a logarithm.
    return math.log(max(probability, 1e-300)) / _LOG_BASE


def _index(name: str) -> int:
    return int(re.match(r"w(\d+)", name)[1])  # type: ignore[index]


def _entries(words: Sequence[Sequence[Phones]]) -> Iterable[str]:
    for index, pronunciations in enumerate(words):
        for number, phones in enumerate(dict.fromkeys(pronunciations), 1):
            unknown = set(phones) - PHONES
            if unknown or not phones:
                raise ValueError(f"not an ARPABET pronunciation: {phones}")
            yield f"w{index}{'' if number == 1 else f'({number})'} {' '.join(phones)}\n"
    for phone in _LOOP:
        yield f"any-{phone} {phone}\n"
