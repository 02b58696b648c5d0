"""Where a line begins and ends when the recogniser and the pause beside it differ."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from timing.hearing.pause_edges import to_the_pause
from timing.language import read_line
from timing.timers.pace import PaceTimer


def line(start: float, end: float):
    """A line from ``start`` to ``end``, its words in proportion."""
    made = PaceTimer("en_US").time(read_line("Hold on tight to your rock, little limpet!", "en_US"))
    factor = (Fraction(end) - Fraction(start)) / made.length

    def syllable(s):
        at = [Fraction(start) + (moment - made.start) * factor for moment in (s.start, s.end)]
        return replace(s, start=at[0], end=at[1], phone_starts=())

    return replace(made, words=tuple(replace(w, syllables=tuple(map(syllable, w.syllables))) for w in made.words))


@pytest.mark.parametrize(
    ("heard", "found", "stretches", "edges"),
    [
        # A weak "h" is followed 0.13 s late: the line begins with the sound.
        ((1.13, 3.0), (1.0, 3.0), [(1.0, 3.0)], (1.0, 3.0)),
        # The last sound goes on in the silence: the line ends with the sound.
        ((1.0, 3.1), (1.0, 3.0), [(1.0, 3.0)], (1.0, 3.0)),
        # Both mean the same: the recogniser's moments are the finer ones.
        ((1.03, 2.95), (1.0, 3.0), [(1.0, 3.0)], (1.03, 2.95)),
        # The search found a first word that was not followed; it stands alone before a pause.
        ((1.5, 3.0), (1.02, 3.0), [(1.0, 1.2), (1.6, 3.0)], (1.0, 3.0)),
        # A pause of less than a quarter of a second at the recording's own ends is not known.
        ((0.2, 9.7), (0.0, 10.0), [(0.0, 10.0)], (0.2, 9.7)),
        # Talk goes on before and after the line without a pause: nothing is moved.
        ((1.2, 3.0), (1.2, 3.0), [(0.0, 9.0)], (1.2, 3.0)),
    ],
)
def test_a_line_begins_and_ends_with_its_sound(heard, found, stretches, edges):
    stretches = [(Fraction(a), Fraction(b)) for a, b in stretches]
    moved = to_the_pause(line(*heard), tuple(map(Fraction, found)), stretches, Fraction(10))
    assert (float(moved.start), float(moved.end)) == pytest.approx(edges)
    assert moved.low == moved.high == moved.length
    # Only the outermost sounds give way.
    assert moved.words[1:-1] == line(*heard).words[1:-1]


def test_a_last_stop_that_was_put_into_the_silence_is_drawn_in():
    made = line(1.0, 3.2)
    word = made.words[-1]
    at = word.syllables[-1].start
    starts = (at, at + Fraction("0.05"), at + Fraction("0.15"))
    last = replace(word.syllables[-1], phones=("P", "EH", "T"), phone_starts=starts)
    made = replace(made, words=(*made.words[:-1], replace(word, syllables=(*word.syllables[:-1], last))))
    end = at + Fraction("0.12")
    moved = to_the_pause(made, (Fraction(1), end), [(Fraction(1), end)], Fraction(10))
    # Three hundredths of a second are left for the stop, what was heard before it stays.
    assert moved.end == end
    assert moved.words[-1].syllables[-1].phone_starts == (*starts[:2], at + Fraction("0.09"))
