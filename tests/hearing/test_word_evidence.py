"""What speaks against a word, worked out by hand on a lack of our own; and the data it was learnt from."""

from __future__ import annotations

import json
import math
from fractions import Fraction
from importlib import resources

import numpy as np
import pytest

from timing.hearing.recogniser import ANY, PHONES, HeardPhone, HeardWord, Recogniser, faint_noise, moment
from timing.hearing.word_evidence import FEATURES, evidence, features, from_json, learnt
from timing.plain.errors import RecordingError

SHIPPED = resources.files("timing.hearing").joinpath("data/word-evidence.json").read_text("utf-8")
USUAL = {"S": (1.0, 2.0), "IY": (2.0, 4.0), "AH": (0.0, 1.0)}


def word(index: int, *phones: tuple[str, int, int]) -> HeardWord:
    """One word; times in steps of 10 ms."""
    sounds = tuple(HeardPhone(name, moment(a), moment(b)) for name, a, b in phones)
    return HeardWord(index, sounds[0].start, sounds[-1].end, 0.0, sounds)


def test_the_evidence_against_a_word_by_hand() -> None:
    """Two words: "sea" on steps 2 to 12 (S 2-5, IY 5-12), "a" on 14 to 18. Each step of sea lacks 6, each other 0.

    sea: S of 3 steps is squeezed, half of its phones. Fit: 60 lack over 10 steps and 4 more = 60/14, a fifth of 20:
    squeezed 1/2 x 60/280. Stretch: 6 less the 4 allowed, ten times = 20. Others: AH lacks nothing: (0 - 0) / 1 = 0.
    S lacks 18 / (3 + 2) = 3.6, (3.6 - 1) / 2 = 1.3; IY 42 / 9 = 14/3, (14/3 - 2) / 4 = 2/3. Worst 1.3.
    """
    lack = np.zeros(20)
    lack[2:12] = 6
    (sea, stretch), (a, none) = features([word(0, ("S", 2, 5), ("IY", 5, 12)), word(1, ("AH", 14, 18))], lack, USUAL)
    by_name = dict(zip(FEATURES, sea, strict=True))
    assert by_name == pytest.approx({
        "squeezed": 0.5 * 60 / 280, "stretch": math.log(1.2), "others": 0.0, "worst": 1.3, "mean": (1.3 + 2 / 3) / 2,
        "phones": 2, "steps": 10,
    })  # fmt: skip
    assert stretch == pytest.approx(20)
    # The stretch around "a" begins where "sea" ends: nothing lacks there; the others' mean is 0.983.
    assert none == 0
    assert dict(zip(FEATURES, a, strict=True))["others"] == pytest.approx((1.3 + 2 / 3) / 2)


def test_evidence_is_the_weighed_sum() -> None:
    lack = np.zeros(20)
    words = [word(0, ("S", 2, 5), ("IY", 5, 12)), word(1, ("AH", 14, 18))]
    known = learnt()
    values, _ = features(words, lack, known.usual)[0]
    wanted = known.constant + sum(w * v for w, v in zip(known.weights, values, strict=True))
    assert evidence(words, lack)[0].against == pytest.approx(wanted)


def test_a_word_whose_phones_lack_much_has_more_against_it() -> None:
    words = [word(0, ("S", 2, 5), ("IY", 5, 12)), word(1, ("AH", 14, 18))]
    good, bad = np.zeros(20), np.zeros(20)
    bad[2:12] = 80
    assert evidence(words, bad)[0].against > evidence(words, good)[0].against + 2


def test_what_was_learnt_is_whole() -> None:
    found = json.loads(SHIPPED)
    assert set(found["weights"]) == set(FEATURES)
    assert set(found["usual"]) == set(PHONES)
    assert all(spread > 0 for _, spread in found["usual"].values())


def test_another_acoustic_model_is_one_clear_sentence() -> None:
    with pytest.raises(RecordingError, match="another acoustic model than the one this version of the tool was taught"):
        from_json(SHIPPED, "0" * 64)


@pytest.mark.parametrize(
    ("states", "arc", "says"),
    [
        (2, (0, 2, 1.0, 0), "no arc of a grammar of 2 states: from 0 to 2"),
        (2, (-1, 1, 1.0, 0), "from -1 to 1"),
        (2, (5, 1, 1.0, None), "from 5 to 1"),
        (2, (0, 1, 0.0, ANY), "at 0.0"),
        (2, (0, 1, 1.0, 1), "no word 1 in a vocabulary of 1"),
        (0, (0, 0, 1.0, 0), "at least one state"),
    ],
)
def test_a_wrong_arc_of_a_grammar_is_an_error_and_no_crash(states: int, arc: tuple, says: str) -> None:
    """The library writes outside its memory there, which ends the interpreter, sometimes much later."""
    with pytest.raises(ValueError, match=says):
        Recogniser([[("S", "IY")]]).follow(faint_noise(Fraction(1, 2)), states, [arc])
