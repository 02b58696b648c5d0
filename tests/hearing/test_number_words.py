"""Words said otherwise than written, followed in whatever sound: syllables keep order and length."""

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.hearing.followed_words import timed_syllables
from timing.hearing.recogniser import HeardPhone
from timing.language import read_line

PHONES = st.sampled_from(["AH", "T", "S", "IY", "N", "V", "ER", "K", "OW"])


@pytest.mark.parametrize("text", ["37", "1984", "$5.50", "Mrs", "every", "CO2"])
@given(names=st.lists(PHONES, min_size=1, max_size=12))
def test_any_sound_behind_a_word_gives_ordered_syllables(text, names):
    word = read_line(text).words[0]
    phones = [HeardPhone(name, F(n, 20), F(n + 1, 20)) for n, name in enumerate(names)]
    syllables = timed_syllables(word, phones)
    assert len(syllables) == len(word.syllables)
    assert all(s.start < s.end for s in syllables)
    assert all(a.end <= b.start for a, b in zip(syllables, syllables[1:], strict=False))
    assert F(0) <= syllables[0].start
    assert syllables[-1].end <= phones[-1].end
