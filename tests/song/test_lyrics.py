"""Marks of printed vocal music. Meanings: ABC music standard 2.1, section 5.1 (hyphen, underscore, tilde, bar)."""

from fractions import Fraction

import pytest

from timing.model import Where
from timing.plain.errors import ScriptError
from timing.song.lyrics.lyrics import LyricMarks, parse_lyric

HERE = Where("song.fountain", 14)


def read(text):
    return parse_lyric(text, HERE)


def test_a_hyphen_splits_a_word_and_is_not_printed():
    line = read("Twin-kle twin-kle lit-tle star")
    assert line.text == "Twinkle twinkle little star"
    assert line.splits == {0: ("Twin", "kle"), 8: ("twin", "kle"), 16: ("lit", "tle")}


@pytest.mark.parametrize("word", ["merry-go-round", "out-and-in", "la-la-la", "tick-tock", "pitter-patter", "to‑day"])
def test_a_compound_keeps_its_hyphens_in_print(word):
    assert read(f"a {word} again").text == f"a {word} again"


@pytest.mark.parametrize("word", ["hap-py", "ba-by", "mer-ri-ly", "ma-ma", "wa-ter", "o-cean", "fall-ing", "seven-ty"])
def test_a_word_split_by_hand_is_printed_whole(word):
    assert read(word).text == word.replace("-", "")


def test_pieces_join_to_the_printed_word_with_its_punctuation():
    line = read("hap-py, sail-or!")
    assert [("".join(p), line.text[at : at + len("".join(p))]) for at, p in line.splits.items()] == [
        ("happy,", "happy,"),
        ("sailor!", "sailor!"),
    ]


def test_holds_bars_pins_and_joins_are_taken_out_of_the_text_and_kept():
    line = read("The | wheels on@3 the | bus__ go and~round @2:1.5 now =3 |")
    assert line.text == "The wheels on the bus go and round now"
    marks = line.marks
    at = line.text.index
    assert marks.bar_lines == (at("wheels"), at("bus"), len(line.text))
    assert marks.holds == {at("bus") + 2: 2}
    assert [(p.offset, p.bar, p.beat) for p in marks.pins] == [(at("on"), None, 3), (at("now"), 2, Fraction(3, 2))]
    assert marks.joins == (at("round"),)
    assert marks.same_as == 3


def test_a_mark_belongs_to_the_piece_it_touches():
    line = read("fall@2-ing@3+_ down@1+1/3")
    assert line.text == "falling down"
    assert [(p.offset, p.beat) for p in line.marks.pins] == [(0, 2), (4, Fraction(7, 2)), (8, Fraction(4, 3))]
    assert line.marks.holds == {6: 1}


@pytest.mark.parametrize("text", ["plain words only", "It's fun—really!", "…and so on"])
def test_text_without_marks_stays_as_it_is(text):
    line = read(text)
    assert line.text == text
    assert line.marks == LyricMarks()
    assert not line.splits


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("fall@", '"@" is not a place in a bar'),
        ("fall@x", "is not a place in a bar"),
        ("fall@0", "beats count from 1"),
        ("fall@1+1/0", "is not a place in a bar"),
        ("me@home", "is not a place in a bar"),
        ("_ fall", "before the first word"),
        ("fall @3", "pins nothing"),
        ("@1 @2 fall", "both pin the next word"),
        ("and~", "joins two words"),
        ("~and", "joins two words"),
        ("and @2 ~round", "shares the note before it"),
        ("a b =0", "count from 1"),
        ("a =1 =2", "one line only"),
        ("a @@3", "is not a place"),
    ],
)
def test_a_bad_mark_is_an_error_with_file_and_line(text, message):
    with pytest.raises(ScriptError, match=message) as caught:
        read(text)
    assert str(caught.value).startswith("song.fountain:14: ")
