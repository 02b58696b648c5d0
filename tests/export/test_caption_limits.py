"""Captions at the limits of the guides (DCMP Captioning Key, BBC Subtitle Guidelines), worked out by hand."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from tests.export.plans import line, plan_of
from timing.export.captions import Caption, _Chunk, _chunks, _divide, _Draft, _end_ms, _fill, _limits_broken, _wrap
from timing.model import Break
from timing.model.clock import FrameRate, round_half_up

RATE = FrameRate(F(24))


def caption(seconds: float, *rows: str) -> Caption:
    return Caption(1000, 1000 + round(seconds * 1000), rows, (None,) * len(rows), ("1",))


def codes(of: Caption) -> list[str]:
    return [f.code.value for f in _limits_broken(of)]


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(2, []), (1.999, ["caption-fast"]), (6, []), (6.001, ["caption-lasts"])],
)
def test_five_words_take_two_seconds_at_least_and_six_at_most(seconds: float, told: list[str]) -> None:
    """150 words a minute are 2.5 a second (DCMP); six seconds (DCMP)."""
    assert codes(caption(seconds, "out and in and back")) == told


def test_a_caption_of_a_word_stands_for_five_sixths_of_a_second() -> None:
    """One word a second is 60 a minute: at 0.834 s 72, at 0.833 s too short (BBC: five sixths)."""
    assert codes(caption(0.834, "Yes!")) == []
    assert codes(caption(0.833, "Yes!")) == ["caption-short"]
    (short,) = _limits_broken(caption(0.5, "Yes!"))
    assert short.message == 'caption "Yes!" is on screen for 0.50 s only, less than 5/6 s'
    assert short.facts == {"seconds": 0.5, "at_s": 1.0}


def test_two_rows_of_32_characters_are_a_caption() -> None:
    row = "x" * 32
    assert codes(caption(6, row, row)) == []
    assert codes(caption(6, row + "x")) == ["caption-long"]
    assert codes(caption(6, "x", "x", "x")) == ["caption-long"]


def test_a_fast_caption_says_how_fast_and_is_shown_short() -> None:
    """Four words in a second are 240 a minute; of more than 32 characters the first 29 are shown."""
    (fast,) = _limits_broken(caption(1, "out and in", "again"))
    assert fast.message.startswith('caption "out and in again" asks for 240 words a minute')
    (long,) = _limits_broken(caption(9, "abcdefghij klmnopqrst", "uvwxyzabcde"))
    assert long.message == 'caption "abcdefghij klmnopqrst uvwxyza..." is on screen for 9.00 s, more than 6 s'


def edge_ms(moment: F) -> int:
    return round_half_up(RATE.moment_of(RATE.frame_at(moment)) * 1000)


def end(start: str, said: str, rows: tuple[str, ...], limit_ms: int, *, is_last: bool = False) -> int:
    draft = _Draft(F(start), F(said), rows, (None,) * len(rows), ("1",))
    return _end_ms(draft, edge_ms(F(start)), limit_ms, edge_ms, is_last)


def test_a_caption_stays_until_it_is_read() -> None:
    """Six words at 130 a minute take 2.769 s: frame 66.46, 2.75 s. Three words take 1.385; four thirds are 32 frames."""
    six = ("one two three", "four five six")
    assert end("0", "2", six, 60_000) == 2750
    assert end("0", "1", ("one two",), 60_000) == 1333
    assert end("0", "4", six, 60_000) == 4000  # never before the words are said
    assert end("0", "0.5", six, 60_000) == 2000  # a second and a half late at most (BBC)
    assert end("0", "1", ("♪ one two ♪",), 60_000) == 1333  # a note sign is no word


def test_between_two_captions_lies_a_second_or_nothing() -> None:
    """Said by 2 s, read by 1.333: the next one at 3 s leaves a second; sooner, it stays on to it, at most 1.5 s late."""
    two = ("one two",)
    assert end("0", "2", two, 3000) == 2000
    assert end("0", "2", two, 2958) == 2958
    assert end("0", "2", two, 2958, is_last=True) == 2000
    assert end("0", "1", two, 2042) == 2042  # read by 1.333, 0.71 s before the next
    assert end("0", "1", ("one two three four five six seven eight",), 1500) == 1500  # the next one cuts it


def test_a_caption_does_not_stand_on_over_six_seconds() -> None:
    """Said by 5 s, the next one at 6 s: to 6 s it may stay; at 6.042 it goes a second before, which is after 5 s."""
    assert end("0", "5", ("one two",), 5958) == 5958
    assert end("0", "5", ("one two",), 6042) == 5000  # a second lies between them
    assert end("0", "5.05", ("one two",), 6042) == 5042
    assert end("0", "5.5", ("one two",), 6042) == 6042  # its words are not said a second before


def chunk(text: str, after: Break = Break.WORD) -> _Chunk:
    return _Chunk(text, " ", after)


def test_rows_break_where_the_phrase_does_and_are_balanced() -> None:
    words = [chunk("aaaa"), chunk("bbbb", Break.PHRASE), chunk("cccc"), chunk("dddd")]
    assert _wrap(words, 40) == ["aaaa bbbb cccc dddd"]
    assert _wrap(words, 19) == ["aaaa bbbb cccc dddd"]
    assert _wrap(words, 18) == ["aaaa bbbb", "cccc dddd"]
    # The phrase (4) and 10 characters of difference (5) cost less than a word (12) and none.
    early = [chunk("aaaa", Break.PHRASE), chunk("bbbb"), chunk("cccc"), chunk("dddd")]
    assert _wrap(early, 18) == ["aaaa", "bbbb cccc dddd"]
    # ... 25 characters of difference (12) cost more than 7 (3) and a word
    long = [chunk("a", Break.PHRASE), chunk("bbbbbbbb"), chunk("cccccccc"), chunk("dddddddd")]
    assert _wrap(long, 26) == ["a bbbbbbbb", "cccccccc dddddddd"]
    assert _wrap([chunk("aaaa", Break.NEVER), chunk("bbbb"), chunk("cc")], 10) == ["aaaa bbbb", "cc"]


def test_what_does_not_fit_two_rows_fills_more() -> None:
    words = [chunk("aaaa"), chunk("bbbb"), chunk("cccc"), chunk("dddd"), chunk("ee")]
    assert _wrap(words, 9) == ["aaaa bbbb", "cccc dddd", "ee"]
    assert _fill(words, 4, "") == ["aaaa", "bbbb", "cccc", "dddd", "ee"]
    assert _fill(words, 12, "TANSY: ") == ["TANSY: aaaa", "bbbb cccc", "dddd ee"]
    assert _wrap([chunk("aaaaaaaaaa")], 4) == ["aaaaaaaaaa"]


def test_words_are_divided_into_captions_at_sentences() -> None:
    text = "The sea has gone out for a walk. It will be back by the evening, when the moon is over there."
    of = plan_of([line("1", text, 1, RATE)]).lines[0]
    ranges = _divide(tuple(of.words), _chunks(of), 32, "")
    shown = [" ".join(w.text for w in of.words[a:b]) for a, b in ranges]
    assert shown == ["The sea has gone out for a walk.", "It will be back by the evening, when the moon is over there."]


def test_print_between_words_stays_with_the_word_before_it() -> None:
    of = plan_of([line("1", "Out - and in!", 1, RATE)]).lines[0]
    assert "".join(c.text + c.glue for c in _chunks(of)).strip() == "Out - and in!"
