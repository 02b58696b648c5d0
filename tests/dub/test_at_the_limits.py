"""Editions at their limits: costs of sung words, windows, phrases and findings, worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from tests.dub.editions import edition_of, plan_with
from tests.export.plans import line
from timing.dub import edition, songs
from timing.dub.outputs import heard_plan
from timing.dub.verdicts import losses, risk
from timing.dub.windows import clauses_of, pauses_of, phrases_of, windows_of
from timing.model import Break, LineKind, Origin, Syllable, TimedLine, TimedSyllable, TimedWord, Word
from timing.model.clock import FrameRate
from timing.model.dub import Window
from timing.model.findings import FindingCode as Code
from timing.timers.delivery import SpeakerFactor

AT_24 = FrameRate(F(24))


def word(text, *stresses, function=False, phones=()):
    each = len(text) // len(stresses)
    sounds = (*phones, *[""] * len(stresses))
    parts = tuple(
        Syllable(
            text[n * each : (n + 1) * each] if n + 1 < len(stresses) else text[n * each :], s, tuple(sounds[n].split())
        )
        for n, s in enumerate(stresses)
    )
    return Word(text, text, parts, 0, len(text), is_function=function)


def note(start, end, beat=None):
    return TimedSyllable("x", F(start), F(end), Origin.FITTED, bar=1 if beat else None, beat=F(beat) if beat else None)


ON, OFF = note(0, 1, 1), note(1, 2, "3/2")
STRONG, WEAK = (word("sea", 1), 0), (word("the", 1, function=True), 0)


@pytest.mark.parametrize(("syllable", "on", "cost"), [(STRONG, ON, 0), (STRONG, OFF, 4), (WEAK, ON, 1), (WEAK, OFF, 0)])
def test_a_stress_off_the_beat_costs_four_and_a_beat_without_one_a_quarter_of_that(syllable, on, cost):
    assert songs._cost([syllable], [on], 0, 0, songs._Step(1, 1), F(1)) == cost


def test_sharing_and_holding_by_hand():
    # Two syllables on a note as long as usual: 3, on one twice as long half of that; a stress among them is lost: 4.
    assert songs._cost([STRONG, WEAK], [ON], 0, 0, songs._Step(2, 1), F(1)) == 3
    assert songs._cost([STRONG, WEAK], [note(0, 2, 1)], 0, 0, songs._Step(2, 1), F(1)) == F(3, 2)
    assert songs._cost([STRONG, STRONG, WEAK], [ON], 0, 0, songs._Step(3, 1), F(1)) == 6 + 4
    assert songs._cost([STRONG], [ON, OFF, OFF], 0, 0, songs._Step(1, 3), F(1)) == 4  # two notes more, 2 each
    vowels = [(word("puxa", 1, phones=["P UW SH AH"]), 0), (word("o", 0, phones=["UW"]), 0)]
    assert songs._cost(vowels, [ON], 0, 0, songs._Step(2, 1), F(1)) == 1  # two vowels that meet are sung as one
    assert songs._runs_on(*vowels)
    assert not songs._runs_on(vowels[1], (word("sim", 1, phones=["S IY"]), 0))
    assert not songs._runs_on((word("mar", 1, phones=["M AA R"]), 0), vowels[1])
    own = word("oa", 1, 0, phones=["OW", "AH"])
    assert not songs._runs_on((own, 0), (own, 1))  # within a word they are two


def lay(syllables, notes):
    steps = songs._steps(syllables, notes)
    return steps and [(s.syllables, s.notes) for s in steps]


def test_the_cheapest_way_over_the_notes():
    beats = [note(n, n + 1, n + 1) for n in range(4)]
    assert lay([STRONG] * 4, beats) == [(1, 1)] * 4
    assert lay([STRONG] * 3, [note(0, 1, 1), note(1, 2, "3/2"), note(2, 3, 2), note(3, 4, 3)]) == [
        (1, 2),
        (1, 1),
        (1, 1),
    ]
    # The weak one shares: on the longest note it is cheapest, 3 x 1.25 / 2 against 3 x 1.25.
    long = [note(0, 1, 1), note(1, 2, 2), note(2, 4, 3), note(4, 5, 1)]
    assert lay([STRONG, STRONG, STRONG, WEAK, STRONG], long) == [(1, 1), (1, 1), (2, 1), (1, 1)]
    assert lay([STRONG, WEAK, WEAK, WEAK], [ON]) == [(4, 1)]
    assert lay([STRONG, WEAK, WEAK, WEAK, WEAK], [ON]) is None
    assert lay([STRONG], beats) == [(1, 4)]
    assert lay([STRONG], [*beats, ON]) is None


def test_far_too_many_syllables_are_spread_evenly_and_have_no_beat():
    found = songs._placed([WEAK] * 5, [ON])
    assert [(s.start, s.end, s.beat) for s in found] == [(F(n, 5), F(n + 1, 5), None) for n in range(5)]
    shared = songs._placed([STRONG, WEAK], [note(2, 3, 2)])
    assert [(s.start, s.end, s.bar, s.beat) for s in shared] == [(2, F(5, 2), 1, 2), (F(5, 2), 3, None, None)]
    held = songs._placed([STRONG], [note(2, 3, 2), note(3, 4, 3)])
    assert [(s.start, s.end, s.beat) for s in held] == [(2, 4, 2)]


def sung_line(*syllables):
    """(strong, beat) each, a word of one syllable."""
    made = []
    for n, (strong, beat) in enumerate(syllables):
        s = TimedSyllable(f"w{n}", F(n), F(n + 1), Origin.FITTED, int(strong), bar=2, beat=F(beat) if beat else None)
        made.append(TimedWord(f"w{n}", f"w{n}", (s,)))
    return TimedLine(tuple(made), Origin.FITTED, F(1), F(1))


@pytest.mark.parametrize(
    ("syllables", "which"),
    [
        ([(True, "3/2"), (False, 2)], ["w0"]),
        ([(False, 1), (True, "3/2")], ["w1"]),
        ([(True, 1), (False, "3/2")], []),
        ([(True, "3/2"), (True, 2)], []),  # its neighbour is stressed too
        ([(True, "3/2"), (False, "7/4"), (False, 2)], []),  # the beat is not beside it
        ([(True, None), (False, 2)], []),
        ([(True, "3/2"), (False, None)], []),
    ],
)
def test_a_stress_between_beats_beside_a_weak_one_on_a_beat_is_told(syllables, which):
    found = songs.stress_findings(sung_line(*syllables), None)
    assert [f.facts["syllable"] for f in found] == which
    if which:
        assert (found[0].facts["bar"], found[0].facts["beat"]) == (2, 1.5)


# Windows.


def test_a_window_by_hand():
    """Words of half a second: line 1 from 1 to 2.5 s, line 2 from 6 to 7 s; the episode ends with its last clip."""
    plan = plan_with("one two three", "four five", starts="1 6")
    first, second = windows_of(plan).values()
    assert (first.start, first.end, first.free, first.clips) == (1, F(5, 2), F(7, 2), ("C01",))
    assert (second.start, second.end) == (6, 7)
    assert second.free == plan.length - 7
    both = plan_with("one two three", "four", "five", starts="1 2 6")
    assert windows_of(both)["1"].free == F(7, 2)  # who begins at 2 s speaks at the same time
    near = plan_with("one two three", "four", starts="1 2.5")
    assert windows_of(near)["1"].free == 0
    trimmed = replace(plan, clips=(replace(plan.clips[0], start=F(3, 2), end=F(2)), plan.clips[1]))
    cut = windows_of(trimmed)["1"]
    assert (cut.start, cut.end, cut.free) == (F(3, 2), 2, 4)
    gone = replace(plan, clips=(replace(plan.clips[0], start=F(9), end=F(10)), plan.clips[1]))
    assert (windows_of(gone)["1"].start, windows_of(gone)["1"].end) == (1, F(5, 2))


@pytest.mark.parametrize(
    ("direction", "seen"),
    [("(V.O.)", False), ("vo", False), ("O. S.", False), ("o.c.", False), ("off screen", False), ("voice-over", False),
     ("softly", True), ("off", False), ("coffee", True)],
)  # fmt: skip
def test_who_is_not_in_the_picture(direction, seen):
    plan = plan_with("one", starts="1", directions=(direction,))
    assert windows_of(plan)["1"].is_seen is seen


def spaced(*spans, breaks=()):
    made = []
    for n, (start, end) in enumerate(spans):
        s = TimedSyllable(f"w{n}", F(start), F(end), Origin.MEASURED)
        made.append(TimedWord(f"w{n}", f"w{n}", (s,), Break.CLAUSE if n in breaks else Break.WORD))
    return tuple(made)


def test_a_rest_of_the_mouth_is_three_tenths_of_a_second():
    row = spaced((0, 1), (F(13, 10), 2), (F(229, 100), 3), breaks=(1,))
    assert pauses_of(row) == ((1, F(13, 10)),)
    assert [len(p) for p in phrases_of(row)] == [1, 2]
    assert [len(p) for p in clauses_of(row)] == [2, 1]


# Losses and risks.


def test_a_torso_weighs_a_quarter_more_at_each_end():
    """0.5 s must go. Words of 0.5, 0.55, 0.5 and, after a comma, 0.7 s: the first opens the line, the third closes its
    phrase, 0.5 x 1.25 = 0.625 each; the last is a whole phrase, 0.7; the second is cut out, 0.55 x 1.25 x 1.25 = 0.86."""
    row = list(spaced((0, F(1, 2)), (F(1, 2), F(21, 20)), (F(21, 20), F(31, 20)), (F(31, 20), F(9, 4)), breaks=(2,)))
    assert [loss.text for loss in losses(row, F(1, 2))] == ["w0", "w2", "w3"]
    assert losses(row[:1], F(1, 10)) == ()


def test_risk_on_both_sides_by_hand():
    """The range 1.6 to 2.2 s has its middle at 1.876 s; one in ten lies over 2.2 s, one in ten under 1.6 s."""
    two = Window(F(0), F(2), free=F(0))
    assert risk(F("1.6"), F("1.88"), F("2.2"), two) == pytest.approx(0.2, abs=0.001)
    unseen = Window(F(0), F(2), free=F(0), is_seen=False)
    assert risk(F("1.6"), F("1.88"), F("2.2"), unseen) == pytest.approx(0.1, abs=0.001)
    assert risk(F("1.6"), F("1.6"), F("1.6"), two) == 0
    assert risk(F("1.59"), F("1.59"), F("1.59"), two) == 1


# One line.


def test_another_voice_has_the_range_of_any_voice():
    found = edition._of_another_voice(SpeakerFactor("dialogue", 1.2, 0.01, 9))
    row = edition.delivery_named("dialogue")
    assert found.sd == pytest.approx((row.speaker_sd**2 + row.line_sd**2) ** 0.5)


def test_a_part_of_a_split_line_has_the_words_that_begin_while_it_is_seen():
    plan = plan_with("one two three four five six", starts="1")
    own, clip = plan.lines[0], plan.clips[0]
    parts = [replace(clip, part=(n, 3), start=F(s), end=F(e)) for n, s, e in ((1, 1, 2), (2, 2, 3), (3, 3, 4))]
    assert [edition._with_own_words(c, own).words for c in parts] == [(0, 2), (2, 4), (4, 6)]
    late = replace(own, words=tuple(own.words[3:]))  # they begin at 2.5, 3, 3.5
    assert [edition._with_own_words(c, late).words for c in parts] == [(0, 0), (0, 1), (1, 3)]
    assert edition._with_own_words(clip, own) is clip
    assert edition._with_own_words(parts[0], None) is parts[0]


def test_how_late_each_phrase_begins():
    old = replace(
        line("1", "a b c d", "1", AT_24), words=spaced((1, 2), (2, 3), (F(7, 2), 4), (4, 5), breaks=(1,)), start=F(1)
    )
    new = replace(old, words=spaced((11, F(23, 2)), (14, 15), (15, 16), (16, 17), breaks=(0,)), start=F(11))
    found = edition._phrases(old, new)
    assert [(p.text, p.late) for p in found] == [("w0", 0), ("w1 w2 w3", F(1, 2))]
    # Written in three clauses, said in two, and with no rest on either side: parted as spoken, in one.
    three = replace(old, words=spaced((1, 2), (2, 3), (3, 4), breaks=(0, 1)))
    two = replace(new, words=spaced((11, 12), (12, 13), (13, 14), breaks=(1,)))
    assert [(p.text, p.late) for p in edition._phrases(three, two)] == [("w0 w1 w2", 0)]
    rest = replace(new, words=spaced((11, 12), (F(25, 2), 13), (13, 14), breaks=(1,)))
    assert edition._phrases(three, rest) == ()


def lips(*moments, start=0):
    """A line whose lips close at these frames (24 a second)."""
    made = []
    for n, at in enumerate(moments):
        begin = F(start) + F(at, 24)
        s = TimedSyllable(f"m{n}", begin, begin + F(1, 24), Origin.MEASURED, 1, ("M",), "", (begin,))
        made.append(TimedWord(f"m{n}", f"m{n}", (s,)))
    own = line("1", "x", "1", AT_24)
    return replace(own, words=tuple(made))


@pytest.mark.parametrize(("there", "met"), [((2, 22, 40), 3), ((3, 23, 40), 1), ((0, 18, 39), 3), ((10,), 0)])
def test_closures_two_frames_apart_are_seen_as_the_same(there, met):
    plan = plan_with("one", starts="1")
    made = edition_of(plan, {"1": "eins"}).lines[0]
    got = edition._judged(plan, replace(made, original=lips(0, 20, 40), line=lips(*there)))
    assert (got.closures, got.met) == (3, met)


def test_what_is_said_of_too_long_and_too_short_by_hand():
    plan = plan_with("one two three four", starts="1")  # two seconds
    dub = edition_of(plan, {"1": "eins zwei drei vier"}).lines[0]
    window = Window(F(1), F(3), free=F(0))
    long = replace(dub.line, low=F(3), high=F(5), start=F(1), end=F(5))
    told = edition._verdict_findings(
        plan, replace(dub, line=long, window=window, verdict=edition.Verdict.TOO_LONG, lose=1, new_clips=())
    )
    assert told[0].message == "takes 4.0 s as estimated (3.0 to 5.0 s) for a room of 2.0 s: about 1 syllable must go"
    assert (told[0].code, told[0].facts["lose"], told[0].facts["window_s"]) == (Code.DUB_TOO_LONG, 1, 2.0)
    short = replace(dub.line, low=F(1), high=F(1), start=F(1), end=F(2))
    told = edition._verdict_findings(
        plan, replace(dub, line=short, window=window, verdict=edition.Verdict.SHORT, lose=0, gain=2)
    )
    assert told[0].message == "takes 1.0 s while the mouth moves for 2.0 s: there is room for 2 syllables more"
    assert edition._verdict_findings(plan, replace(dub, line=short, verdict=edition.Verdict.FITS)) == ()


def test_what_a_new_clip_costs_by_hand():
    # A twentieth a second: takes x price of the seconds asked for, of each clip.
    plan = plan_with("one", starts="1")
    dub = edition_of(plan, {"1": "eins"}).lines[0]
    clip = plan.clips[0]
    price = plan.settings.profiles["default"].price
    made = [replace(clip, ask=F(4), takes=3), replace(clip, ask=F(5), takes=1)]
    told = edition._new_clip(replace(dub, new_clips=tuple(made)), plan.settings)
    assert told == f"; or a new clip of 4 + 5 s, 3 takes, cost {float(3 * price(F(4)) + price(F(5))):.2f}"
    one = edition._new_clip(replace(dub, new_clips=(made[1],)), plan.settings)
    assert one == "; or a new clip of 5 s, 1 take, cost 0.25"
    assert edition._new_clip(replace(dub, new_clips=(made[0], replace(clip, ask=None))), plan.settings) == ""
    assert edition._new_clip(replace(dub, new_clips=()), plan.settings) == ""


def test_lines_without_words_yet_are_named():
    plan = plan_with("one", "two", "three", starts="1 5 9")
    (one,) = [f for f in edition_of(plan, {"1": "eins", "2": "zwei"}).findings if f.code == Code.DUB_NO_TEXT]
    assert one.message == "no words yet for line 3"
    (two,) = [f for f in edition_of(plan, {"2": "zwei"}).findings if f.code == Code.DUB_NO_TEXT]
    assert (two.message, two.facts) == ("no words yet for lines 1, 3", {"lines": ["1", "3"]})


def test_a_line_that_runs_into_the_next_is_pressed_before_it():
    plan = plan_with("one", "two", starts="1 2")
    made = edition_of(plan, {"1": "eins und zwei und drei und vier und fünf", "2": "zwei"})
    first = made.lines[0]
    assert first.line.length > first.window.length + first.window.free
    heard = heard_plan(made).lines
    assert heard[0].end - heard[0].start == pytest.approx(float(first.window.length + first.window.free), abs=0.03)
    assert heard[1].words == made.plan.lines[1].words


@pytest.mark.parametrize(
    ("syllables", "verdict"),
    [(4, "fits"), (5, "too long"), (3, "short"), (10, "too long")],
)
def test_a_sung_lines_verdict_counts_syllables_against_notes(syllables, verdict):
    # Four notes: 4.4 at most, 3.2 at least.
    plan = plan_with("one two three four", starts="1")
    sung = replace(plan.lines[0], kind=LineKind.SUNG)
    plan = replace(plan, lines=(sung,))
    found = edition_of(plan, {"1": " ".join(["la"] * syllables)}).lines[0]
    assert found.verdict.value == verdict
    assert (found.lose, found.gain) == (max(0, syllables - 4), max(0, 4 - syllables))
    told = [f.message for f in found.findings if f.code == Code.DUB_SYLLABLES]
    wanted = f"{syllables} syllables on 4 notes: {syllables - 4} must go, or share a note (write e~a)"
    assert told == ([wanted] if found.lose else [])
