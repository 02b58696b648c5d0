"""Lengths of sounds by the rules of D. Klatt (Table II of "Review of text-to-speech conversion for English", 1987).

Worked out by hand from its factors: 1.4 for the rhyme at the end of a phrase (once more for l, r, m, n, ng in it), 0.6 for
a vowel elsewhere, 0.85 for one that is not in the last syllable of its word, 0.8 in a word of several, 0.85 for a
consonant that does not open its word; unstressed 0.5 inside a word, 0.7 at its edges, 0.1 for l, r, w, y before the
vowel, and half the least length; 1.4 for emphasis; what follows the vowel by half, clusters by the square root (ours).
Inherent and least lengths: the table of Allen, Hunnicutt and Klatt (1987), as Festival documents it.
"""

from __future__ import annotations

from fractions import Fraction as F
from math import sqrt

import pytest

from timing.language import read_line
from timing.model import Break, Syllable, Utterance, Word
from timing.timers.pace import PaceTimer
from timing.timers.sound_lengths import phone_lengths


def word(phones, mark=".", **more):
    """A word from "L EY1 . D IY0": syllables parted by points, the digit is the stress of each."""
    syllables = []
    for piece in phones.split(" . "):
        stress = max((int(p[-1]) for p in piece.split() if p[-1].isdecimal()), default=1)
        syllables.append(Syllable("x", stress, tuple(p.rstrip("012") for p in piece.split())))
    return Word("x" * len(syllables), "x", tuple(syllables), 0, len(syllables), Break.SENTENCE, mark, **more)


def lengths(*words):
    return [[round(ms, 2) for syllable in one for ms in syllable] for one in phone_lengths([
        w if isinstance(w, Word) else word(w) for w in words])]  # fmt: skip


@pytest.mark.parametrize(
    ("phones", "wanted"),
    [
        # S keeps its 105; IY (155, 55) is 1.4 long, times 1 + half of what follows; D (75, 50) 1.4 x 0.85
        ("S IY1 D", [105, 100 * 1.4 * 1.1 + 55, 25 * 1.19 + 50]),
        ("S IY1 T", [105, 100 * 1.4 * 0.85 + 55, 25 * 1.19 + 50]),
        ("S IY1 Z", [105, 100 * 1.4 * 1.3 + 55, 35 * 1.19 + 40]),
        ("S IY1 N", [105, 100 * 1.4 * 0.925 + 55, 10 * 1.4 * 1.19 + 50]),
        ("S IY1 L", [105, 100 * 1.4 + 55, 40 * 1.4 * 1.19 + 40]),
        ("S IY1 S", [105, 100 * 1.4 + 55, 45 * 1.19 + 60]),
        ("S IY1", [105, 100 * 1.4 * 1.1 + 55]),
        # behind a nasal or a liquid the consonant after it counts; two consonants beside each other: root of 0.7
        ("S EH1 N T", [105, 80 * 1.4 * 0.85 + 70, 10 * 1.4 * 1.19 * sqrt(0.7) + 50, 25 * 1.19 + 50]),
        ("S EH1 L F", [105, 80 * 1.4 + 70, 40 * 1.4 * 1.19 * sqrt(0.7) + 40, 20 * 1.19 + 80]),
        ("S EH1 S T", [105, 80 * 1.4 + 70, 45 * 1.19 * sqrt(0.7) + 60, 25 * 1.19 + 50]),
        # S T R: one neighbour, two, one
        ("S T R IY1", [45 * sqrt(0.7) + 60, 25 * 0.85 * sqrt(0.5) + 50, 50 * 0.85 * sqrt(0.7) + 30, 209]),
        # la-dy
        ("L EY1 . D IY0", [80, 80 * 0.6 * 0.85 * 0.8 + 100, 50 * 0.85 * 0.7 + 25, 127.5 * 1.4 * 0.8 * 0.7 * 1.1 + 27.5]),
        # a weak AH has the lengths of the neutral vowel (120, 60), half the least: so-fa, a-go, the middle of el-e-phant
        ("S OW1 . F AH0", [105, 140 * 0.6 * 0.85 * 0.8 + 80, 60 * 0.85 * 0.7 + 40, 90 * 1.4 * 0.8 * 0.7 * 1.1 + 30]),
        ("AH0 . G OW1", [90 * 0.6 * 0.85 * 0.8 * 0.7 + 30, 20 * 0.85 + 60, 140 * 1.4 * 0.8 * 1.1 + 80]),
        ("EH1 . L AH0 . F IY0", [80 * 0.6 * 0.85 * 0.8 + 70, 60 * 0.85 * 0.1 + 20, 90 * 0.6 * 0.85 * 0.8 * 0.5 + 30,
                                60 * 0.85 * 0.7 + 40, 127.5 * 1.4 * 0.8 * 0.7 * 1.1 + 27.5]),
        ("S IY1 . W IY0", [105, 100 * 0.6 * 0.85 * 0.8 + 55, 50 * 0.85 * 0.1 + 30, 127.5 * 1.4 * 0.8 * 0.7 * 1.1 + 27.5]),
        # an unstressed consonant behind its vowel: 0.7, liquids too
        ("S IY1 . D AH0 L", [105, 100 * 0.6 * 0.85 * 0.8 + 55, 50 * 0.85 * 0.7 + 25, 90 * 1.4 * 0.8 * 0.7 + 30,
                            60 * 1.4 * 1.4 * 0.85 * 0.7 + 20]),
        # fire: its second vowel is weak, and two vowels stand beside each other
        ("F AY1 ER", [100, 100 * 1.4 * 0.8 * sqrt(1.2) + 150, 140 * 1.4 * 0.8 * 0.7 * 1.1 + 40]),
        # without a vowel the last sound that can be is held: 250 ms, 1.4 times at the end
        ("HH M", [60 * sqrt(0.7) + 20, 350]), ("P S T", [40 * sqrt(0.7) + 50, 350, 25 * 0.85 + 50]),
    ],
)  # fmt: skip
def test_a_word_at_the_end_of_a_phrase(phones, wanted):
    assert lengths(phones)[0] == pytest.approx(wanted, abs=0.01)


def test_within_a_phrase_vowels_are_shorter_and_what_follows_counts_less():
    # 0.6; what follows: 0.7 + 0.3 of it. Two vowels that meet: the first by the root of 1.2, the second of 0.7
    assert lengths("M IY1", "S IY1")[0] == pytest.approx([70, 100 * 0.6 * 1.03 + 55], abs=0.01)
    assert lengths("S IY1 D", "S IY1")[0] == pytest.approx(
        [105, 100 * 0.6 * 1.03 + 55, 25 * 0.85 * sqrt(0.7) + 50], abs=0.01
    )
    first, second = lengths("M IY1", "IY1 L")
    assert first[1] == pytest.approx(100 * 0.6 * sqrt(1.2) * 1.03 + 55, abs=0.01)
    assert second[0] == pytest.approx(100 * 1.4 * sqrt(0.7) + 55, abs=0.01)
    assert lengths("HH M", "S IY1")[0][1] == 250


def test_emphasis_and_small_words():
    assert lengths(word("M IY1", is_emphasised=True))[0] == pytest.approx([70, 100 * 1.4 * 1.1 * 1.4 + 55], abs=0.01)
    # a small word is unstressed whatever the dictionary says, unless it is meant
    assert lengths(word("M IY1", is_function=True))[0] == pytest.approx(
        [40 * 0.7 + 30, 127.5 * 1.4 * 0.7 * 1.1 + 27.5], abs=0.01
    )
    both = lengths(word("M IY1", is_function=True, is_emphasised=True))[0]
    assert both == lengths(word("M IY1", is_emphasised=True))[0]
    assert lengths(word("M", is_emphasised=True))[0] == [490]


def test_a_line_is_its_sounds_its_pauses_and_the_last_one_dying_away():
    """0.16 s for a comma, 0.6 s for an ellipsis, 0.4 s for other marks, 50 ms at the end; all at the speaker's pace."""
    for mark, pause in ((",", 0.16), ("…", 0.6), (".", 0.4), ("—", 0.4), ("", 0.16)):
        two = (word("M IY1", mark), word("S IY1"))
        timer = PaceTimer("en_US", "dialogue", F(2))
        made = timer.time(Utterance("x x", two, "en_US", ()))
        scale = 0.91 * 2
        assert float(made.words[1].start - made.words[0].end) == pytest.approx(pause * scale, abs=1e-5), mark
        alone = sum(lengths(two[1])[0]) / 1000 + 0.05
        assert float(made.words[1].end - made.words[1].start) == pytest.approx(alone * scale, abs=1e-4)


def test_syllables_without_sounds_have_a_length_each_and_the_last_of_a_phrase_a_longer_one():
    """190 ms, the last 330 ms, at the pace of dialogue, 0.91: three and one are 0.9 s, 0.819 s."""
    line = read_line("dolma dolma", "pl_PL")
    assert not any(s.phones for w in line.words for s in w.syllables)
    assert float(PaceTimer("pl_PL").time(line).length) == pytest.approx(0.819, abs=1e-4)
