"""Packed words are the tuple they stand for, whatever was packed away in between."""

from fractions import Fraction

from timing.model import Origin, TimedSyllable, TimedWord
from timing.model.basics import Break
from timing.model.packed import MOST_OPEN, Packed


def word(text: str, start: int = 0) -> TimedWord:
    third = Fraction(1, 3)
    sea = TimedSyllable(
        text, start + third, start + 2 * third, Origin.FITTED, 1, ("S", "IY"), "", (start + third, start + Fraction(1, 2)),
        2, Fraction(5, 2), 8, 16,
    )  # fmt: skip
    return TimedWord(text, text, (sea,), Break.PHRASE, ",", True, False, True, 0.25)


def test_packed_words_read_as_the_words_that_were_packed():
    words = (word("sea"), word("goes", 1), word("é", 2))
    packed = Packed(words)
    packed.close()
    assert packed[0].syllables[0].phone_starts == (Fraction(1, 3), Fraction(1, 2))  # exact, not as decimals
    packed.close()
    assert packed == words
    assert words == packed
    assert hash(packed) == hash(words)
    assert repr(packed) == repr(words)
    assert list(packed) == [*words]
    assert packed[1:] == words[1:]
    assert packed[-1].text == "é"
    assert len(packed) == 3
    assert packed[0].break_after is Break.PHRASE
    assert packed[0].syllables[0].origin is Origin.FITTED
    assert packed != words[:2]
    assert packed != Packed(words[:2])
    assert packed != list(words)


def test_only_the_last_lines_that_were_read_stay_open():
    first = Packed([word("sea")])
    others = [Packed([word("sea", n)]) for n in range(MOST_OPEN - 1)]
    assert first.is_open
    assert others[-1].is_open
    last = Packed([word("out")])
    assert not first.is_open
    assert others[0].is_open
    assert last.is_open
    assert first[0].text == "sea"
    assert first.is_open
    assert not others[0].is_open


def test_what_is_packed_or_empty_is_not_packed_again():
    packed = Packed.of((word("sea"),))
    assert Packed.of(packed) is packed
    assert Packed.of(()) == ()
