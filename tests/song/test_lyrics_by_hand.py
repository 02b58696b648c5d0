"""Lyrics on the beats: marks, limits, features and the search, each case worked out by hand."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import combinations
from math import exp, inf, log

import numpy as np
import pytest

from tests.song.words import line
from timing.model import Break, Syllable, Utterance, Where, Word
from timing.model.metre import COMMON_TIME, Metre
from timing.plain.errors import ScriptError
from timing.song.lyrics.lyrics import LyricMarks, Pin, _is_compound, _pieces, _syllables, parse_lyric
from timing.song.lyrics.notes import Note, notes_of, sort_of
from timing.song.lyrics.pins import Limit, _first_stuck, _note_at, _pinned_places, has_room, impossible, limits_of
from timing.song.lyrics.search import expected_best
from timing.song.lyrics.setting import Placed, Rhythm, _lengths, _with_rhythm, grid, place, share, timed
from timing.song.lyrics.stress import stress_findings
from timing.song.lyrics.weights import Features, Place, Scorer, _again, _class, _feet, _inside, _level

HERE = Where("song.txt", 3)
SIX_EIGHT = Metre(6, 8)


def read(text):
    return parse_lyric(text, HERE)


# Marks.


@pytest.mark.parametrize(
    ("text", "clean", "splits"),
    [
        ("seven-ty", "seventy", {0: ("seven", "ty")}),
        ("morn-ing", "morning", {0: ("morn", "ing")}),
        ("ma-ma", "mama", {0: ("ma", "ma")}),  # one word
        ("la-la", "la-la", {}),  # two
        ("tick-tock", "tick-tock", {}),  # they chime
        ("twin-kle", "twinkle", {0: ("twin", "kle")}),
        ("out-and-in", "out-and-in", {}),  # a little word between
        ("water-fall", "water-fall", {}),  # a piece of several syllables
        ("stone-cold", "stonecold", {0: ("stone", "cold")}),  # a final e is silent
        ("twin‐kle", "twin‐kle", {}),  # a typographic hyphen is always printed
        ("wa‐ter-fall", "wa‐terfall", {}),
        ("wait--go", "wait--go", {}),
        ("-go-", "-go-", {}),
        ("-twin-kle-", "-twinkle-", {0: ("-twin", "kle-")}),
        ("ee-a", "eea", {0: ("ee", "a")}),
    ],
)
def test_which_hyphens_are_printed(text, clean, splits):
    found = read(text)
    assert (found.text, found.splits) == (clean, splits)


def test_vowel_groups_of_pieces():
    assert [_syllables(p) for p in ("stone", "tide", "water", "eau", "bcd", "tree")] == [1, 1, 2, 1, 0, 1]
    assert _is_compound(["go", "12"]) is False
    assert _pieces("a-b")[0] == ["a", "b"]


def test_holds_pins_and_bars_by_their_place():
    found = read("| the@2 star__ _ | shin-ing_ on~in@1:3+ =2")
    assert found.text == "the star shining on in"
    marks = found.marks
    assert marks.bar_lines == (0, 9)
    assert marks.holds == {7: 3, 15: 1}  # "star" ends at 7 with two and one, "shining" at 15
    assert marks.pins == (Pin(0, None, F(2)), Pin(20, 1, F(7, 2)))
    assert marks.joins == (20,)
    assert marks.same_as == 2
    assert [str(p) for p in marks.pins] == ["@2", "@1:3.5"]


def test_a_pin_or_bar_that_stands_alone_belongs_to_the_next_word():
    found = read("go @2:1 home |")
    assert found.marks.pins == (Pin(3, 2, F(1)),)
    assert found.marks.bar_lines == (7,)
    assert read("a || b | | c").marks.bar_lines == (2, 4, 4)  # "||" is one
    assert read("fal-ling@3").marks.pins == (Pin(3, None, F(3)),)
    assert read("fal@3-ling").marks.pins == (Pin(0, None, F(3)),)
    assert read("fal_-ling").marks.holds == {2: 1}
    assert read("a|b").marks.bar_lines == (2,)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("=0 go", "count from 1"), ("=1 =2 go", "one line only"), ("go @2", "pins nothing"), ("@2 @3 go", "both pin the next word"),
        ("go @", "not a place"), ("go@0", "count from 1"), ("go@1+1/0", "not a place"), ("_ go", "before the first word"),
        ("~go", "joins two words"), ("go~", "joins two words"), ("go | ~on", "cannot be pinned"), ("@2 a~b@", "not a place"),
        ("__|", "no text to sing"),
    ],
)  # fmt: skip
def test_marks_that_say_nothing_are_errors_with_their_line(text, says):
    with pytest.raises(ScriptError, match=says) as caught:
        read(text)
    assert str(caught.value).startswith("song.txt:3: ")


def test_beats_of_pins():
    assert [read(f"go@{b}").marks.pins[0].beat for b in ("1", "2.5", "4+", "1+1/3", "3.125")] == [
        1,
        F(5, 2),
        F(9, 2),
        F(4, 3),
        F(25, 8),
    ]


# Notes.


def word(text, *stresses, function=False, emphasised=False):
    pieces = [Syllable(p, s) for p, s in zip(text.split("-"), stresses, strict=True)]
    whole = text.replace("-", "")
    return Word(whole, whole, tuple(pieces), 0, len(whole), is_function=function, is_emphasised=emphasised)


@pytest.mark.parametrize(
    ("given", "sorts"),
    [
        (word("sea", 1), "a"), (word("the", 1, function=True), "l"), (word("the", 1, function=True, emphasised=True), "a"),
        (word("oh", 1), "l"), (word("Thou", 1), "l"), (word("wa-ter", 1, 0), "pw"), (word("un-der-stand", 2, 0, 1), "swp"),
        (word("out-side", 2, 1), "wp"), (word("a-b-c", 1, 0, 2), "pws"), (word("a-b-c", 1, 2, 0), "pww"),
    ],
)  # fmt: skip
def test_how_strong_a_syllable_is_sung(given, sorts):
    assert "".join(sort_of(given, n) for n in range(len(given.syllables))) == sorts


def test_joined_words_make_one_note_as_strong_as_the_stronger():
    utterance = line("go and round, the sea")
    notes = notes_of(utterance, LyricMarks(joins=(7, 14)))
    assert [(n.text, n.offset, n.end, n.sort, n.word) for n in notes] == [
        ("go", 0, 2, "a", 0), ("andround,the", 3, 17, "a", 1), ("sea", 18, 21, "a", 4),
    ]  # fmt: skip
    two = notes_of(line("go and round"), LyricMarks(joins=(3,)))
    assert [(n.offset, n.end, n.sort, n.word, n.break_after) for n in two] == [
        (0, 6, "a", 0, Break.WORD),
        (7, 12, "a", 2, Break.WORD),
    ]
    plain = notes_of(line("wa-ter, go"), LyricMarks())
    assert [n.break_after for n in plain] == [Break.NEVER, Break.CLAUSE, Break.WORD]


# Limits.


def notes(*sorts, width=2):
    return [Note((Syllable("x" * width),), n * (width + 1), n * (width + 1) + width, s, n) for n, s in enumerate(sorts)]


def test_the_note_at_a_place_in_the_text():
    row = notes("a", "a", "a")
    assert [_note_at(row, k) for k in (0, 1, 2, 3, 7, 8)] == [0, 0, 1, 1, 2, None]


def limits(text, metre=COMMON_TIME, bars=2, shift=0, first=None, last=None):
    lyric = read(text)
    own = notes_of(line(lyric.text), lyric.marks)
    found, taken = limits_of(own, lyric.marks, metre, bars, shift, first, last, HERE)
    return [sorted(one.places) if one.places else None for one in found], [one.hold for one in found], taken


def test_limits_of_marks():
    assert limits("a | b") == ([None, [0]], [None, None], 2)
    assert limits("a | b", shift=1) == ([None, [4]], [None, None], 2)
    assert limits("| a | b | c | d") == ([[0], [4], [8], [12]], [None] * 4, 4)
    assert limits("| a | b", shift=1)[0] == [[0], [4]]  # one at the line's beginning is bar 1
    assert limits("a b@3") == ([None, [-2, 2, 6]], [None, None], 2)
    assert limits("a b@2:3") == ([None, [6]], [None, None], 2)
    assert limits("a b@5:1")[2] == 5
    assert limits("a_ b__") == ([None, None], [2, 3], 2)
    assert limits("a b", first=(0, F(4)), last=(2, F(1))) == ([[-1], [4]], [None, None], 2)
    assert limits("| a@1:1") == ([[0]], [None], 2)


def test_pins_near_a_place_of_the_grid_mean_it():
    # A twentieth of a beat: in 6/8 sixths, else quarters.
    def places(beat, metre=COMMON_TIME):
        return sorted(_pinned_places(1, F(beat), metre, 1, HERE, "@"))

    assert places("1.33", SIX_EIGHT) == [F(1, 3)]
    assert places("1.3", SIX_EIGHT) == [F(1, 3)]
    assert places("1.28", SIX_EIGHT) == [F(28, 100)]
    assert places("2.55") == [F(3, 2)]
    assert places("2.56") == [F(156, 100)]
    assert sorted(_pinned_places(None, F(2), COMMON_TIME, 2, HERE, "@")) == [-3, 1, 5]
    with pytest.raises(ScriptError, match="has 4 beats"):
        places("5")
    with pytest.raises(ScriptError, match="has 2 beats"):
        places("3", SIX_EIGHT)
    assert _pinned_places(9, F(1), COMMON_TIME, 1, HERE, "@")
    with pytest.raises(ScriptError, match="line's own first bar"):
        _pinned_places(10, F(1), COMMON_TIME, 1, HERE, "@")


def at(*places, said="", hold=None):
    return Limit(frozenset(map(F, places)) if places else None, said, hold)


def test_where_the_first_note_without_room_is():
    spots = [F(n) for n in range(4)]
    assert _first_stuck([at(), at(), at(), at()], spots) is None
    assert _first_stuck([at()] * 5, spots) == 4
    assert _first_stuck([at(2), at(2)], spots) == 1
    assert _first_stuck([at(hold=F(2)), at(), at()], spots) is None  # 0, 2, 3
    assert _first_stuck([at(hold=F(2)), at(), at(), at()], spots) == 3
    assert _first_stuck([at(hold=F(5, 2)), at(1)], spots) == 1
    assert has_room(notes("a"), [at(3)], spots)
    assert not has_room(notes("a"), [at(9)], spots)


def test_what_is_said_where_marks_leave_no_room():
    row, spots = notes("a", "a", "a", "a"), [F(n) for n in range(4)]

    def said(*limits):
        return str(impossible(row, limits, spots, HERE))

    assert "2 syllables cannot be sung before “@1”" in said(at(), at(), at(0, said="“@1”"), at())
    assert '“@4” on "xx" and “@4b” on "xx" exclude each other' in said(
        at(3, said="“@4”"), at(3, said="“@4b”"), at(), at()
    )
    assert "leave no room for 1 syllable between; move one of them" in said(
        at(2, said="“A”"), at(), at(3, said="“B”"), at()
    )
    assert 'the hold on "xx" on "xx"' in said(at(hold=F(5)), at(said="", hold=None), at(), at())
    assert 'the end of the line at "xx"' in said(at(3, said="“A”"), at(), at(), at())


# The search.


def test_the_search_takes_the_path_with_the_most_notes_expected_right():
    """Against all paths written out: chances of a chain, and the path with the greatest sum of them."""
    dice = np.random.default_rng(4)
    for count, places in ((2, 4), (3, 6), (4, 6)):
        scores = dice.normal(0, 1.5, (count, places)).tolist()
        scores[0][0] = -inf
        steps = dice.normal(0, 1.5, (count, places, places))
        banned = dice.random((count, places, places)) < 0.2

        def step(note, a, b, steps=steps, banned=banned):
            return None if banned[note, a, b] else float(steps[note, a, b])

        paths = {}
        for path in combinations(range(places), count):
            if scores[0][path[0]] == -inf or any(banned[i, path[i], path[i + 1]] for i in range(count - 1)):
                continue
            total = sum(scores[i][k] for i, k in enumerate(path)) + sum(
                steps[i, path[i], path[i + 1]] for i in range(count - 1)
            )
            paths[path] = total
        whole = log(sum(map(exp, paths.values())))
        chance = np.zeros((count, places))
        for path, total in paths.items():
            for i, k in enumerate(path):
                chance[i, k] += exp(total - whole)
        best = max(paths, key=lambda p: sum(chance[i, k] for i, k in enumerate(p)))
        found = expected_best(scores, step)
        assert found[0] == pytest.approx(whole)
        assert tuple(found[1]) == best
    assert expected_best([[0.0, 0.0], [-inf, -inf]], lambda *_: 0.0) is None
    assert expected_best([[0.0], [0.0]], lambda *_: 0.0) is None  # one place for two notes
    assert expected_best([[0.0, 3.0, 1.0]], lambda *_: 0.0)[1] == [1]


# Places and features.


def test_how_strong_a_place_is():
    assert [_level(F(p), 4, 2) for p in ("0", "1", "2", "3", "1/2", "1/4", "1/3")] == [4, 2, 3, 2, 1, 0, 0]
    assert [_level(F(p), 3, 2) for p in ("0", "1", "3/2")] == [4, 2, 1]
    assert [_level(F(p), 2, 3) for p in ("0", "1", "1/3", "1/2")] == [4, 3, 1, 0]
    spot = Place.at(F(11, 2), COMMON_TIME, 2)
    assert (spot.part, spot.level, spot.bar, spot.left) == (11, 1, 1, 5)
    before = Place.at(F(-1), SIX_EIGHT, 2)
    assert (before.part, before.level, before.bar, before.left) == (-3, 3, -1, 15)


def test_classes_feet_and_repeats():
    edges = (0.5, 1, 2)
    assert [_class(v, edges) for v in (0.5, 0.51, 1.0000000001, 1.1, 2, 3)] == [0, 1, 1, 2, 2, 3]
    assert _feet([True, False, False, True]) == [(3, 0), (3, 1), (3, 2), (1, 0)]
    assert _feet([True] + [False] * 7) == [(5, min(n, 5)) for n in range(8)]
    assert _feet([False] * 6) == [(-4, min(n, 5)) for n in range(6)]
    assert _again(["a", "b", "a", "b"]) == 2
    assert _again(["a", "a"]) is None
    assert _again(["a", "b", "a", "c"]) is None
    assert _again(["a", "b", "c", "a", "b"]) is None
    assert [_inside(F(a), F(b), 4) for a, b in ((0, 4), (0, 5), (-1, 9), (4, 8), (1, 3))] == [0, 1, 3, 0, 0]


def row(classes="apw", words=(0, 1, 1), metre=COMMON_TIME, bars=2, texts=("go", "wa", "ter")):
    return Features(list(classes), words, metre, bars, texts)


def test_what_a_line_is_counted_by():
    """Three notes, two of them strong, in two bars of 4/4: 0.375 notes and 0.25 stresses a beat, 16 parts over 3."""
    found = row()
    assert (found.a_bar, found.parts, found.count, found.even) == (8, 2, 3, 16 / 3)
    assert (found.density, found.stresses) == (0, 0)
    assert (found.ahead, found.behind, found.first_strong, found.last_strong) == (0, 1, 0, 1)
    assert found.around == ["|p", "aw", "p|"]
    weak = row("llw", texts=("the", "a", "x"))
    assert (weak.ahead, weak.behind, weak.first_strong, weak.last_strong) == (3, 2, -1, -1)
    assert weak.little == ["the", "a", ""]
    assert row("lsa").ahead == 1  # a secondary stress is strong enough to count
    assert [row(metre=Metre(*m)).metre for m in ((4, 4), (2, 4), (3, 4), (6, 8), (9, 8), (5, 4), (2, 2))] == [
        "4/4", "2/4", "3/4", "6/8", "6/8", "4/4", "2/4",
    ]  # fmt: skip


def spot(position, metre=COMMON_TIME, bars=2):
    return Place.at(F(position), metre, bars)


def test_the_features_of_a_note_by_hand():
    found = row()
    assert list(found.note(0, spot(0))) == [
        "u|a|4|4/4", "uc|a|4", "ud|2|4|0", "us|2|4|0", "ua|a||p|4", "h|2|0",
        "first|0|4/4", "f|on|a", "fw|0|0", "fwm|0|0|4/4", "fd|0|0", "fs|0|0|0",
        "s1|0|4/4", "s1a|0|0", "s1n|0|0",
    ]  # fmt: skip
    # The last strong one, five beats before the end: ten parts, class 10; the last note one beat before it.
    assert list(found.note(1, spot(3))) == [
        "u|p|2|4/4",
        "uc|p|2",
        "ud|2|2|0",
        "us|2|2|0",
        "ua|p|aw|2",
        "sn|10|4/4",
        "snb|1|10|2",
        "snn|0|10",
    ]
    assert list(found.note(2, spot(7)))[5:] == ["rem|3|4/4", "remb|3|2", "lastlev|2|w|4/4", "lw|1|3", "remd|0|3"]
    up = list(row("law", texts=("the", "go", "x")).note(0, spot(-1)))
    assert "f|up|l" in up
    assert "wf|the|up" in up
    assert "w|the|2" in up
    assert "first|-2|4/4" in up
    far = list(row().note(0, spot(-4)))
    assert "first|-6|4/4" in far
    assert "h|2|up" in far
    late = list(row().note(0, spot(3)))
    assert {"first|4|4/4", "f|late|a", "s1|6|4/4"} <= set(late)
    assert "s1|8|4/4" in list(row().note(0, spot(7)))
    assert "s1|-4|4/4" in list(row().note(0, spot(-3)))
    assert "h|2|1" in list(row().note(1, spot(4)))
    again = Features(list("apap"), [0, 1, 2, 3], COMMON_TIME, 2, ["a", "b", "a", "b"])
    assert {"again|1|0", "againa|0|0"} <= set(again.note(2, spot(4)))
    assert "again|1|-4" in list(again.note(2, spot(1)))
    assert "again|1|4" in list(again.note(2, spot(7)))
    assert "again|0|0" in list(
        Features(list("apap"), [0, 1, 2, 3], COMMON_TIME, 2, ["a", "b", "c", "d"]).note(2, spot(4))
    )


def test_the_features_of_a_step_by_hand():
    """From beat 1 to beat 3 of bar 1 in 4/4: four parts, over beat 2; the line's notes would be 16/3 apart: two half
    octaves of log2(4 / 5.33) = -0.83, rounded to -1."""
    found = row()
    assert list(found.step(0, spot(0), spot(2))) == [
        "dm|-1", "d|6|4/4", "ds|6|a|p", "dw|6|a|0", "sk|0", "skb|1|4/4", "rel|-1|a|p|0", "dl|6|4|3|4/4", "ft|1|0|6|4/4",
        "fb|1|0|6|4",
    ]  # fmt: skip
    last = list(found.step(1, spot("3/2"), spot(5)))
    assert {"dw|9|p|1", "sk|2", "skb|3|4/4", "rel|1|p|w|1", "off|4/4", "dlast|9|1"} <= set(last)
    assert not any(k.startswith("off") for k in found.step(1, spot("3/2"), spot(2)))
    assert not any(k.startswith("off") for k in found.step(1, spot(1), spot(4)))
    assert found.stretch(1 / 1000) == "dm|-5"
    assert found.stretch(1000) == "dm|5"
    assert found.between(0, 8) == (1, 3)
    assert row(metre=Metre(3, 4)).between(0, 12) == (1, 5)
    assert "sk|3" in list(found.shared(0, spot(-4), spot(12)))
    assert "skb|4|4/4" in list(found.shared(0, spot(-4), spot(12)))


def test_scores_are_sums_of_their_weights_whatever_was_asked_before():
    found = row()
    scorer = Scorer(found, {"uc|a|4": 2.0, "h|2|0": 0.5, "dm|-1": 1.0, "sk|0": 0.25, "unknown": 9.0})
    assert scorer.note(0, spot(0)) == 2.5
    assert scorer.step(0, spot(0), spot(2)) == 1.25
    assert scorer.step(0, spot(4), spot(6)) == 1.25  # the same step a bar later
    assert scorer.step(0, spot(0), spot(2)) == 1.25
    assert scorer.step(1, spot(0), spot(2)) == 1.25


# Places, lengths, shares.


def test_the_grid_runs_from_three_quarters_of_a_bar_before_to_the_end():
    # Quarters of a beat from -3 to 7.75 in two bars of 4/4; sixths from -1.5 to 1.83 in one of 6/8.
    assert grid(COMMON_TIME, 2) == [F(n, 4) for n in range(-12, 32)]
    assert grid(SIX_EIGHT, 1) == [F(n, 6) for n in range(-9, 12)]
    assert grid(Metre(2, 4), 1, [F(1, 3)])[:3] == [F(-3, 2), F(-5, 4), -1]
    assert F(1, 3) in grid(Metre(2, 4), 1, [F(1, 3)])


def lengths(positions, limits=None, rhythm=None, end=8, breaks=()):
    own = [
        Note((Syllable("x"),), n, n + 1, "a", n, Break.CLAUSE if n in breaks else Break.WORD)
        for n in range(len(positions))
    ]
    return _lengths(own, [F(p) for p in positions], limits or [Limit()] * len(positions), end, rhythm)


def test_how_long_notes_sound():
    assert lengths([0, 1, 2]) == [1, 1, 4]  # the last one to the end less half a beat, four at most
    assert lengths([0, 1, 6]) == [1, 4, F(3, 2)]
    assert lengths([0, 1, F(15, 2)]) == [1, 4, F(1, 2)]
    assert lengths([0, 2], breaks=(0,)) == [F(3, 2), 4]  # a breath behind a comma
    assert lengths([0, 1], breaks=(0,)) == [1, 4]
    assert lengths([0, 1], [Limit(hold=F(3)), Limit(hold=F(2))]) == [1, 2]  # never over the next one
    assert lengths([0, 5], [Limit(hold=F(3)), Limit()]) == [3, F(5, 2)]
    rhythm = Rhythm((F(0), F(2)), (F(1, 2), F(3)))
    assert lengths([0, 2], rhythm=rhythm) == [F(1, 2), 3]
    assert lengths([0, 1], rhythm=rhythm) == [F(1, 2), 4]  # moved by a pin: its own length


def test_a_rhythm_gives_every_note_without_a_mark_its_place():
    rhythm = Rhythm((F(0), F(1), F(9)), (F(1),) * 3)
    found, bars = _with_rhythm([Limit(hold=F(2)), at(5), Limit(hold=F(2))], rhythm, COMMON_TIME, 2)
    assert [sorted(one.places) for one in found] == [[0], [5], [9]]
    assert [one.hold for one in found] == [None, None, 2]
    assert bars == 3
    assert _with_rhythm([Limit()], Rhythm((F(7),), (F(1),)), COMMON_TIME, 2)[1] == 2
    assert _with_rhythm([Limit()], Rhythm((F(8),), (F(1),)), COMMON_TIME, 2)[1] == 3


def test_syllables_share_a_note_evenly():
    note = Note((Syllable("a"), Syllable("b")), 0, 2, "a", 0)
    assert share(note, F(1), F(2)) == [(1, F(3, 2)), (F(3, 2), 2)]
    placed = Placed((note,), (F(5),), (F(2),), (True,), 2)
    assert placed.end == 7
    found = timed(placed, COMMON_TIME, lambda p: p * F(1, 2), 3)
    assert [(s.start, s.end, s.bar, s.beat, s.origin.value) for s in found] == [
        (F(5, 2), 3, 4, 2, "pinned"), (3, F(7, 2), 4, 3, "pinned"),
    ]  # fmt: skip


def test_nothing_is_sung_before_it_may_be():
    found = place(line("the tide goes out"), LyricMarks(), COMMON_TIME, 2, not_before=F(2))
    assert found.positions[0] >= 2
    with pytest.raises(ScriptError, match="no words to sing"):
        place(Utterance("", ()), LyricMarks(), COMMON_TIME, 2, where=HERE)
    later = place(line("go out"), read("go@1:1 out").marks, COMMON_TIME, 2, not_before=F(2))
    assert later.positions[0] == 0  # what is pinned holds


# Stress.


def stress(sorts, positions, metre=COMMON_TIME):
    own = [Note((Syllable(f"w{n}", 1),), n, n + 1, s, n) for n, s in enumerate(sorts)]
    placed = Placed(tuple(own), tuple(map(F, positions)), (F(1),) * len(own), (False,) * len(own), 2)
    return [(f.facts["syllable"], f.facts["neighbour"], f.facts["beat"]) for f in stress_findings(placed, metre, HERE)]


def test_a_stress_beside_a_strong_beat_that_a_weak_syllable_has():
    assert stress("wp", [0, "1/2"]) == [("w1", "w0", 1.5)]
    assert stress("pw", ["3/2", 2]) == [("w0", "w1", 2.5)]
    assert stress("pw", ["1/2", 1]) == []  # beat 2 is no strong one
    assert stress("pw", [1, 2]) == []  # it has a beat itself
    assert stress("ps", ["3/2", 2]) == []  # its neighbour is half stressed
    assert stress("sw", ["3/2", 2]) == []
    assert stress("al", ["3/2", 2]) == [("w0", "w1", 2.5)]
    assert stress("paw", ["3/2", "7/4", 2]) == [("w1", "w2", 2.75)]
