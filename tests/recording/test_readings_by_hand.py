"""Which reading counts, what is asked about, what labels move and what is left over: cases worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from timing.hearing.differences import Reading, Verdict
from timing.hearing.line_places import Place, Rival
from timing.hearing.recogniser import HeardPhone, HeardWord
from timing.language import read_line
from timing.model import Finding, Origin, Where
from timing.model.findings import FindingCode as Code
from timing.model.labels import Label
from timing.plain.errors import InputError
from timing.recording import changed_script, second_process
from timing.recording.kept_readings import SOUND, from_reading, places_kind, to_reading
from timing.recording.listen import _check_rows, _choose, _is_meant, _with_stretches
from timing.recording.listener import Candidate, Listener, _explains, _not_that_line, _stray, from_first_sound
from timing.recording.pinned import _meant, _reading_around
from timing.recording.results import Heard, Instead, ScriptedLine, Take
from timing.recording.three_lists import _between, _left_over, _outside, three_lists
from timing.sound.levels import Levels
from timing.store.store import Store
from timing.timers.pace import PaceTimer

LEVELS = Levels(F(10), -3.0, -20.0, -20.0, -70.0, 0.0)


def timed(text="Look, the sea goes out.", start=0, **more):
    line = PaceTimer("en_US").time(read_line(text, "en_US"))
    return replace(line.moved(F(start) - line.start), **more)


def finding(code, *words):
    return Finding(code, "x", {"words": list(words)} if words else {})


def take(line_id="1", start=3, end=4, complete=True, confidence=0.9, chosen=False, file="recordings/a.wav", **more):
    return Take(line_id, file, F(start), F(end), complete, confidence, chosen, **more)


def candidate(*findings, named=False, line=True, pinned=False, row=None, **more):
    own = timed(findings=tuple(findings)) if line else None
    return Candidate(take(**more), own, named, row, pinned)


# How good a reading is.


def test_flaws_and_doubts_are_counted_by_words():
    # Five words: two said differently are more than a quarter, one is not.
    for found, flaws, doubts in (
        ([], 0, 0),
        ([finding(Code.NOT_SAID, 1)], 1, 1),
        ([finding(Code.NOT_SAID, 1, 3)], 2, 2),
        ([finding(Code.SAID_DIFFERENTLY, 1)], 0, 1),
        ([finding(Code.SAID_DIFFERENTLY, 1, 2)], 2, 2),
        ([finding(Code.EXTRA_WORDS)], 0, 1),
        ([finding(Code.ROUGH)], 1, 0),
        ([finding(Code.UNCLEAR)], 1, 0),
        ([finding(Code.SCRIPT_CHANGED, 0)], 5, 0),
        ([finding(Code.NOT_SAID, 1), finding(Code.UNCLEAR)], 2, 1),
    ):
        one = candidate(*found)
        assert (one.flaws, one.doubts) == (flaws, doubts), found
    nothing = candidate(line=False)
    assert (nothing.flaws, nothing.doubts, nothing.is_another_line) == (99, 99, False)
    four = Candidate(take(), timed("Look, the sea goes.", findings=(finding(Code.SAID_DIFFERENTLY, 1),)))
    assert four.flaws == 0  # one of four is a quarter and not more


@pytest.mark.parametrize(
    ("wrong", "is_another"), [((), False), ((0,), False), ((0, 1), False), ((0, 1, 2), True), ((0, 1, 1), False)]
)
def test_most_words_wrong_are_another_line(wrong, is_another):
    halves = [finding(Code.NOT_SAID, *wrong[:1])] if wrong else []
    halves += [finding(Code.SAID_DIFFERENTLY, *wrong[1:])] if wrong[1:] else []
    assert candidate(*halves).is_another_line is is_another
    one_word = Candidate(take(), timed("Look!", findings=(finding(Code.NOT_SAID, 0),)))
    assert not one_word.is_another_line


def test_the_reading_that_counts():
    bad = finding(Code.NOT_SAID, 1)
    early, late = candidate(start=0, end=1), candidate(start=9, end=10)
    assert _choose([], None) is None
    assert _choose([candidate(line=False)], None) is None
    assert _choose([early, late], None) is late
    flawed = candidate(bad, start=9, end=10)
    assert _choose([early, flawed], None) is early
    assert _choose([candidate(bad, bad, start=0), flawed], None) is flawed
    sure, unsure = candidate(start=0, confidence=0.9), candidate(start=9, confidence=0.79)
    assert _choose([sure, unsure], None) is sure
    assert _choose([sure, candidate(start=9, confidence=0.81)], None).take.start == 9
    named = candidate(start=0, named=True, confidence=0.3)
    assert _choose([named, late], None) is named
    told = candidate(bad, bad, start=0, pinned=True)
    assert _choose([told, late], None) is told
    row = candidate(bad, start=1, row=Label(F(1), F(2), "1", Where("a.txt", 1)))
    assert _choose([told, row, late], None) is row


def test_a_wish_names_a_file_and_a_second():
    a, b = candidate(start=3), candidate(start=9)
    other = candidate(start=5, file="recordings/b.wav")
    assert _choose([a, b, other], "a.wav@3.4") is a
    assert _choose([a, b, other], "recordings/a.wav@7") is b
    assert _choose([a, b, other], "b.wav") is other
    assert _choose([a, b, other], "a.wav") is b
    assert _choose([a, b], "none.wav") is b
    assert _is_meant(a, "a.wav@1")
    assert not _is_meant(a, "recordings/b.wav")


def test_two_labels_that_choose_two_readings_are_an_error():
    rows = [Label(F(n), F(n + 1), "1", Where(f"{n}.txt", 7)) for n in (1, 5)]
    with pytest.raises(InputError, match="chooses another reading of line 1"):
        _check_rows([candidate(row=rows[0]), candidate(row=rows[1])])
    _check_rows([candidate(row=rows[0]), candidate(line_id="2", row=rows[1]), candidate()])


def listener(*texts, wishes=None, **more):
    lines = [ScriptedLine(str(n), read_line(t, "en_US"), **more) for n, t in enumerate(texts, 1)]
    return Listener(lines, "en_US", lambda _: (), wishes or {}, Store())


def test_a_chosen_stretch_of_the_settings_is_a_label_of_its_file():
    one = listener("Look!", "Go.", wishes={"1": "a.wav@3-4.5", "2": "a.wav@7", "9": "a.wav@1-2"})
    found = _with_stretches({}, one, ["recordings/a.wav", "recordings/b.wav"])
    assert {name: [(o.start, o.end, o.text) for o in own] for name, own in found.items() if own} == {
        "recordings/a.wav": [(3, F(9, 2), "1")]
    }
    said = _with_stretches({"recordings/a.wav": [Label(F(0), F(1), "1", Where("a.txt", 1))]}, one, ["recordings/a.wav"])
    assert len(said["recordings/a.wav"]) == 1


# Sound in no reading.


def place(line, start, end, complete=True):
    return Place(line, ((0, F(start), F(end)),), complete)


def test_stray_sound_and_what_explains_a_file():
    regions = ((F(0), F(2)), (F(4), F(7)))
    assert _stray(regions, []) == 5
    assert _stray(regions, [place(0, 1, 5)]) == 3
    assert _stray(regions, [place(0, 2, 4)]) == 5
    assert _stray(regions, [place(0, 0, 2), place(1, 4, 7)]) == 0
    assert _explains([place(3, 0, F(1, 10))], 3, regions)
    assert not _explains([place(3, 0, F(1, 10), False)], 3, regions)
    assert not _explains([place(1, 0, 2), place(2, 4, F(9, 2))], 3, regions)  # half of five seconds
    assert _explains([place(1, 0, 2), place(2, 4, F(91, 20))], 3, regions)
    told = _not_that_line(
        "a.wav", "3", [candidate(line_id="1"), candidate(line_id="2", line=False), candidate(line_id="1")]
    )
    assert told.message == "a.wav is named after line 3, whose words are not in it; it is heard as line 1: rename it"
    both = _not_that_line("a.wav", "3", [candidate(line_id="1"), candidate(line_id="2")])
    assert "heard as lines 1, 2: rename it" in both.message


def test_a_line_counts_from_its_first_sound():
    found = from_first_sound(timed(start=4), "a.wav", replace(LEVELS, speech_dbfs=-50.0))
    assert (found.start, found.take_start, found.take) == (0, 4, "a.wav")
    assert [f.code for f in found.findings] == ["quiet"]


@pytest.mark.parametrize(
    ("takes", "left"),
    [
        ([], [(0, 10)]),
        ([(2, 4)], [(0, 2), (4, 10)]),
        ([(0, 10)], []),
        ([(-1, 3)], [(3, 10)]),
        ([(2, 6), (4, 8)], [(0, 2), (8, 10)]),
        ([(2, 8), (3, 4)], [(0, 2), (8, 10)]),
        ([(10, 12)], [(0, 10)]),
        ([(2, 4), (4, 6)], [(0, 2), (6, 10)]),
    ],
)
def test_what_of_a_stretch_lies_in_no_reading(takes, left):
    assert _outside(F(0), F(10), [take(start=a, end=b) for a, b in takes]) == left


def left_over(sounding, takes, order=("1", "2", "3", "4"), measured=()):
    heard = Heard(
        {i: timed() for i in measured},
        tuple(takes),
        sounding={"recordings/a.wav": tuple((F(a), F(b)) for a, b in sounding)},
    )
    return [
        (one.start, one.end, one.after, one.before, one.nearest) for one in _left_over(heard, "recordings/a.wav", order)
    ]


def test_speech_in_no_line_is_eight_tenths_of_a_second_at_least():
    assert left_over([(1, F(17, 10))], []) == []
    assert left_over([(1, F(18, 10))], []) == [(1, F(9, 5), None, None, ("1", "2", "3"))]
    # Two pieces, 0.7 s apart, are one; 0.71 s are two, and each too short by itself.
    assert left_over([(1, F(3, 2)), (F(22, 10), F(27, 10))], [])[0][:2] == (1, F(27, 10))
    assert left_over([(1, F(3, 2)), (F(221, 100), F(27, 10))], []) == []
    between = take("1", F(8, 5), 2)
    assert left_over([(1, F(3, 2)), (F(22, 10), F(27, 10))], [between]) == []
    other = take("1", 1, 2, file="recordings/b.wav")
    assert len(left_over([(1, 2)], [other])) == 1


def test_what_is_left_lies_between_the_lines_heard_beside_it():
    takes = [take("1", 0, 1), take("3", 5, 6)]
    assert left_over([(0, 1), (2, 4), (5, 6)], takes, measured=("1", "3")) == [(2, 4, "1", "3", ("2",))]
    # A line counts as beside it up to 0.35 s into it.
    assert left_over([(F(7, 10), 4)], [take("1", 0, 1)], measured=("1",))[0][:3] == (1, 4, "1")
    assert left_over([(2, 4)], [take("1", 0, F(235, 100))], measured=("1",))[0][2] == "1"


def test_lines_not_found_between_two():
    heard = Heard({"2": timed()})
    order = ["1", "2", "3", "4", "5"]
    assert _between(order, "1", "4", heard) == ("3",)
    assert _between(order, None, None, heard) == ("1", "3", "4")
    assert _between(order, "4", "1", heard) == ("1", "3", "4")  # out of order
    assert _between(order, "4", None, heard) == ("5",)
    assert _between(order, "3", "4", heard) == ()
    assert _between(order, "9", "2", heard) == ("1",)


# What is asked about.


def ask(line=None, takes=None, lines=(("1", "look"), ("2", "go")), wished=(), **more):
    measured = replace(
        line or timed(), origin=more.pop("origin", Origin.MEASURED), confidence=more.pop("confidence", 0.9)
    )
    return three_lists(
        Heard({"1": measured}, tuple(takes or [take(chosen=True)]), wished=frozenset(wished)), list(lines)
    )


@pytest.mark.parametrize(
    ("codes", "why"),
    [
        ([Code.SCRIPT_CHANGED], "the script was changed after the recording"), ([Code.ROUGH], "its words could not be followed"),
        ([Code.NOT_SAID], "words of it are missing"), ([Code.UNCLEAR], "its words fit badly"), ([Code.EXTRA_WORDS], None),
        ([Code.NOT_SAID, Code.ROUGH, Code.SCRIPT_CHANGED], "the script was changed after the recording"),
        ([Code.NOT_SAID, Code.ROUGH], "its words could not be followed"),
    ],
)  # fmt: skip
def test_why_a_line_is_asked_about(codes, why):
    found = ask(timed(findings=tuple(finding(c) for c in codes)))
    assert [u.why for u in found.unsure] == ([why] if why else [])
    assert found.placed == (() if why else ("1",))


def test_limits_of_what_is_asked_about():
    assert ask(confidence=0.6).placed == ("1",)
    assert ask(confidence=0.59).unsure[0].why == "its words fit badly"
    assert ask(takes=[take(chosen=True, confidence=0.6)]).placed == ("1",)
    assert ask(takes=[take(chosen=True, confidence=0.59)]).unsure[0].why == "it may be something that nobody wrote"
    shown = take(chosen=True, confidence=0.5, rivals=(Instead("2", F(0), F(1), 0.1),))
    assert ask(takes=[shown]).unsure[0].or_line == "2"
    hidden = take(chosen=True, confidence=0.5, rivals=(Instead("2", F(0), F(1), 0.09),))
    assert ask(takes=[hidden]).unsure[0].or_line is None
    assert ask(takes=[take()]).unsure == ()  # none is chosen


def test_a_later_reading_with_a_fault_is_offered():
    first, later = take(chosen=True), take(start=8, end=9)
    found = ask(takes=[first, later]).unsure[0]
    assert (found.why, found.that) == ("a later reading has a fault", later)
    assert ask(takes=[first, later], wished=["1"]).unsure == ()
    assert ask(takes=[later, replace(first, start=F(9))]).unsure == ()  # the chosen one is the last
    assert ask(takes=[first, replace(later, is_outdated=True)]).unsure == ()
    assert ask(takes=[first, replace(later, is_complete=False)]).unsure == ()
    bad = ask(timed(findings=(finding(Code.ROUGH),)), takes=[first, later]).unsure[0]
    assert bad.that == later


def test_a_line_with_the_same_words_that_was_not_found_is_offered():
    found = ask(lines=(("1", "look"), ("2", "go"), ("3", "look"))).unsure[0]
    assert (found.why, found.or_line) == ("line 3 has the same words", "3")
    assert ask(lines=(("1", ""), ("3", ""))).unsure == ()


# Labels.


def test_a_row_is_about_the_reading_that_is_half_of_it():
    row = Label(F(10), F(12), "1", Where("a.txt", 1))
    heard = [candidate(start=8, end=F(21, 2)), candidate(start=11, end=14), candidate(line_id="2", start=10, end=12)]
    assert _meant(heard, "1", row) is None  # exactly half of it
    assert _meant([*heard, candidate(start=F(1099, 100), end=13)], "1", row) == 3
    assert _meant([candidate(line=False, start=10, end=12)], "1", row) is None


def test_a_words_row_belongs_to_the_nearest_reading_with_that_word():
    def around(start, text="sea"):
        return Label(F(start), F(start) + F(1, 5), text, Where("a.txt", 1))

    heard = [candidate(start=3, end=5), candidate(start=6, end=8)]
    assert _reading_around(heard, around(4)) == 0
    assert _reading_around(heard, around(F(54, 10))) == 0  # its middle half a second behind
    assert _reading_around(heard, around(F(541, 100))) == 1
    assert _reading_around(heard, around(F(239, 100))) is None
    assert _reading_around(heard, around(F(240, 100))) == 0
    assert _reading_around(heard, around(4, "moon")) is None
    assert _reading_around([candidate(line=False, start=3, end=5)], around(4)) is None


# Earlier words.


@pytest.mark.parametrize(
    ("gains", "is_told"), [([299.9], False), ([300.0], True), ([10.0, 400.0], True), ([-1.0, -5.0], False)]
)
def test_earlier_words_that_fit_better_by_300_are_told(gains, is_told, monkeypatch):
    monkeypatch.setattr(changed_script, "_gains", lambda *_: gains)
    was = tuple(read_line(t, "en_US") for t in ("Look, the tide!", "Look, the sea comes.")[: len(gains)])
    one = listener("Look, the sea goes out.", earlier=was)
    heard = candidate(finding(Code.NOT_SAID, 1), finding(Code.NOISY))
    found = changed_script.told(one, SimpleNamespace(), heard)
    assert found.take.is_outdated is is_told
    if is_told:
        assert [f.code for f in found.line.findings] == [Code.SCRIPT_CHANGED, Code.NOISY]
        assert was[-1].text in found.line.findings[0].message
    else:
        assert found is heard
    pinned = replace(heard, line=replace(heard.line, origin=Origin.PINNED))
    assert changed_script.told(one, SimpleNamespace(), pinned) is pinned
    without = listener("Look, the sea goes out.")
    assert changed_script.told(without, SimpleNamespace(), heard) is heard


def test_the_new_words_are_named():
    def told(now, was):
        found = changed_script._finding(read_line(now, "en_US"), read_line(was, "en_US"))
        return found.facts["words"], found.message

    words, message = told("Look, the big sea goes out.", "Look, the sea comes in.")
    assert words == [2, 4, 5]
    assert "“big”, “goes”, “out” are not in it; read the line again" in message
    words, message = told("Look, the sea.", "Look, the big sea.")
    assert (words, "words were taken out since" in message) == ([], True)
    assert "“moon” is not in it" in told("Look, the moon.", "Look, the sea.")[1]


# What is kept.


def test_a_reading_is_read_back_as_it_was_written():
    phones = (HeardPhone("S", F(1, 100), F(1, 3)), HeardPhone("IY", F(1, 3), F(1, 2)))
    word = HeardWord(4, F(1, 100), F(1, 2), -12.5, phones)
    given = Reading(
        (word, None), (-1.5, 0.0), (Verdict.SAID, Verdict.NOT_SAID), {1: (F(1, 7), F(2, 7))}, ((2, F(1), F(2)),)
    )
    assert to_reading(from_reading(given)) == given
    assert to_reading(from_reading(None)) is None
    kind = places_kind("x", [("a", 0), ("a", 1), ("b", 0)])
    places = (Place(1, ((0, F(1), F(2)), (2, F(3), F(4))), False, False, 0.7, (Rival(2, F(5), F(6), 0.3),)),)
    assert kind.read(kind.write(places)) == places
    assert kind.write(places)[0][:2] == ["a", 1]
    assert kind.read(kind.write(None)) is None
    with pytest.raises(ValueError, match="without words"):
        kind.read([["a", 0, [], True, True, 1.0, []]])
    levels = replace(LEVELS, damaged_blocks=3, clipped_share=0.25)
    assert SOUND.read(SOUND.write((levels, ((F(1, 3), F(2)),)))) == (levels, ((F(1, 3), F(2)),))


def test_the_recordings_are_shared_between_two_processes_by_size(tmp_path, monkeypatch):
    monkeypatch.setattr(second_process.os, "cpu_count", lambda: 2)
    files = []
    for name, size in (("a", 500_000), ("b", 300_000), ("c", 200_000), ("d", 100_000)):
        (tmp_path / name).write_bytes(b"x" * size)
        files.append((tmp_path / name, name))

    def shared(own):
        return [[name for _, name in part] for part in second_process.halves(own)]

    assert shared(files) == [["a", "d"], ["b", "c"]]
    assert shared(files[:2]) == [["a"], ["b"]]
    (tmp_path / "b").write_bytes(b"x" * 299_999)
    assert shared(files[:2]) == [["a", "b"], []]  # the second would not pay
    monkeypatch.setattr(second_process.os, "cpu_count", lambda: 1)
    assert shared(files) == [["a", "b", "c", "d"], []]


def test_the_outline_of_a_measured_line_is_that_of_its_stretch(tmp_path, monkeypatch):
    from timing.recording import results
    from timing.sound.decode import Sound

    samples = np.zeros(16_000 * 3, np.int16)
    samples[16_000 : 16_000 + 100] = 400
    samples[0] = 9000
    monkeypatch.setattr(results, "_read_once", lambda path: Sound(samples))
    line = replace(timed(), take="recordings/a.wav", take_start=F(1))
    heard = Heard({"1": line}, folder=Path("x"))
    found = heard.loudness("1", 10)
    assert found[0] == 1.0
    assert len(found) == -(-int(line.length * 16_000) * 10 // 16_000)
    assert heard.loudness("2", 10) == ()
    assert Heard({"1": replace(line, take=None)}).loudness("1", 10) == ()
    assert take(start=F("12.34")).name == "recordings/a.wav@12.3"
