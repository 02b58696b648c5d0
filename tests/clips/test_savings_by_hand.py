"""Savings and verdicts of the budget at their limits; words of 0.4 s, handles of 0.25 and 0.35 s, by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction as F

import pytest

from tests.export.plans import line, plan_of
from timing.clips.budget import BudgetReport, Limit, make_budget
from timing.clips.budget_text import _n, _time, budget_text
from timing.clips.queue import first_pictures, queue, takes_left
from timing.clips.savings import make_savings
from timing.clips.sharing import planned_span
from timing.clips.split import syllables_to_cut
from timing.memory.ledger import Row, month_of
from timing.model import Delivered, LineKind
from timing.model.clock import FrameRate
from timing.model.learnt import Learnt, LearntTakes
from timing.model.month import Allowance
from timing.model.settings import CastMember, ClipProfile, EpisodeSettings

RATE = FrameRate(F(24))
MENU = ClipProfile("own", (F(3), F(5), F(8)), takes=7)
PRICED = replace(MENU, cost_per_s=F(1, 10))


def words(count):
    return " ".join(["sea"] * count)


def of(lines, *profiles, **more):
    own = {"default_profile": profiles[0].name} | more
    return plan_of(lines, EpisodeSettings(profiles={p.name: p for p in profiles}, **own))


def one(count, *profiles, **more):
    return of([line("1", words(count), 1, RATE)], *(profiles or (MENU,)), **more)


def back(plan, **more):
    return replace(
        plan,
        deliveries=(
            Delivered("C01", "clips/C01.mp4", **{"takes": 1, "state": "delivered", "is_measured": False, **more}),
        ),
    )


@pytest.mark.parametrize(
    ("count", "saving"),
    [
        (6, None),  # 3.0 s: it asks for the shortest length
        (7, (1, 5, 3, 14)),  # 3.4 s: 0.4 s over 3, a syllable of 0.4 s; 2 s, 7 times
        (12, (6, 5, 3, 14)),  # 5.4 s less 0.6... 4.8 s of speech: 2.4 over, six syllables, half of them
        (13, (2, 8, 5, 21)),  # 5.8 s: 0.8 over 5; 3 s, 7 times
    ],
)  # fmt: skip
def test_syllables_to_lose_for_the_next_shorter_length(count, saving):
    plan = one(count) if count != 12 else one(12, ClipProfile("own", (F(3), F(6)), takes=7))
    found = [(s.syllables, s.ask, s.to, s.saves) for s in make_savings(plan).syllables]
    want = None if saving is None else saving if count != 12 else (6, 6, 3, 21)
    assert found == ([] if want is None else [want])


def test_more_than_half_of_a_line_is_not_cut():
    # 13 words, 5.2 s: 2.8 s over what 3 s hold, seven of thirteen
    assert make_savings(one(13, ClipProfile("own", (F(3), F(6)), takes=7))).syllables == ()


def test_what_a_saving_is_worth():
    (cut,) = make_savings(one(7, PRICED)).syllables
    assert (cut.clip, cut.line, cut.cost) == ("C01", "1", F("1.4"))  # 2 s of 0.10, 7 times
    assert make_savings(one(7)).syllables[0].cost is None
    lengths = ((F(3), F(4)), (F(5), F(6)), (F(8), F(9)))
    assert make_savings(one(7, replace(MENU, price_by_length=lengths))).syllables[0].cost == 14  # (6 - 4) x 7
    assert (
        "C01 (line 1): 1 syllable, 5 s -> 3 s, saves 14 s, 1.40"
        in budget_text(one(7, PRICED), None)["budget.txt"].decode()
    )


def test_by_the_likely_length_less_is_over():
    # 7 words likely 2.8 s, at most 3.2 s: by the high end two syllables go, by the likely one a single one
    wide = replace(line("1", words(7), 1, RATE), high=F("3.2"))
    for fit_by, count in (("high", 2), ("likely", 1)):
        plan = of([wide], MENU, fit_by=fit_by)
        plan = replace(plan, clips=(replace(plan.clips[0], high=F("3.2")),))
        assert make_savings(plan).syllables[0].syllables == count


def test_nothing_is_saved_of_what_is_accepted_or_all_back():
    plan = one(7)
    assert make_savings(back(plan, takes=6)).syllables
    assert not make_savings(back(plan, takes=7)).syllables
    assert not make_savings(back(plan, state="accepted")).syllables
    assert [
        takes_left(p, p.clips[0]) for p in (plan, back(plan, takes=6), back(plan, takes=9), back(plan, state="asked"))
    ] == [7, 1, 0, 7]


def test_savings_are_sorted_by_seconds_then_by_syllables():
    lines = [line(str(n), words(count), at, RATE) for n, count, at in ((1, 7, 1), (2, 13, 8), (3, 8, 20), (4, 7, 30))]
    found = make_savings(of(lines, MENU)).syllables
    assert [(s.clip, s.saves, s.syllables) for s in found] == [
        ("C02", 21, 2), ("C01", 14, 1), ("C04", 14, 1), ("C03", 14, 2),
    ]  # fmt: skip


def test_a_passage_has_neither_syllables_nor_handles_to_lose():
    found = make_savings(
        of([line("1", "A wave.", 1, RATE, LineKind.PICTURE)], ClipProfile("own", (F(1), F(3)), F(0), F(0)))
    )
    assert (found.syllables, found.handles) == ((), ())


def test_handles_give_by_what_they_have_over_two_frames():
    # 11 words, 4.4 s and 0.6 s: 5 s fit; 4.45 s ask for 8 and need 0.05 s less: of 0.1667 and 0.2667 s to spare
    plan = of([line("1", "sea", 1, RATE, a_word="4.45")], MENU)
    (found,) = make_savings(plan).handles
    assert (found.less, found.ask, found.to, found.saves) == (F(1, 20), 8, 5, 21)
    assert found.head == F(1, 4) - F(1, 20) * F(1, 6) / F(13, 30)
    assert found.tail == F(7, 20) - F(1, 20) * F(4, 15) / F(13, 30)


def test_a_handle_that_is_a_little_too_long_is_never_printed_as_nothing():
    # 4.4025 s of words and 0.6 s are 5.0025 s: 0.0025 s too long for 5 s. Printed in hundredths: 0.01 less of 0.60,
    # 0.2490 s before are 0.25, and what is left of 0.59 comes after.
    plan = of([line("1", "sea", 1, RATE, a_word="4.4025")], MENU)
    rows = budget_text(plan, None)["budget.txt"].decode()
    assert "C01 (line 1): 0.01 s less, so 0.25 s before and 0.34 s after, 8 s -> 5 s, saves 21 s" in rows


@pytest.mark.parametrize(
    ("seconds", "count", "cut"), [("2.4", 6, 0), ("2.41", 6, 1), ("2.8", 7, 1), ("3.2", 8, 2), ("3.21", 8, 3)]
)
def test_syllables_over_one_length(seconds, count, cut):
    """3 s less 0.6 s of handles hold 2.4 s; at 0.4 s a syllable."""
    assert syllables_to_cut(F(seconds), count, ClipProfile("own", (F(3),))) == cut


def test_the_cheapest_of_two_other_profiles_and_the_time_it_takes():
    dear = ClipProfile("dear", (F(5),), takes=2, price_each=F(3))
    other = ClipProfile("other", (F(5),), takes=2, price_each=F(2), minutes_each=F(4))
    cheap = ClipProfile("cheap", (F(2), F(3)), takes=1, price_each=F(1))
    same = ClipProfile("same", (F(5),), takes=2, price_each=F(3))

    def plan_with(*others):
        cast = {one.name.upper(): CastMember(one.name.upper(), profile=one.name) for one in others}
        return of(lines, dear, *others, cast=cast)

    lines = [line(str(n), words(6), at, RATE) for n, at in ((1, 1), (2, 6))]
    (found,) = make_savings(plan_with(other, same)).elsewhere
    # each line: 3 x 2 takes here, 2 x 2 there; two generations of 4 min for each of two lines
    assert (found.other, found.lines, found.cost, found.minutes) == ("other", (("1", 6, 4), ("2", 6, 4)), 4, 16)
    (found,) = make_savings(plan_with(other, cheap)).elsewhere
    assert (found.other, found.lines[0], found.minutes) == ("cheap", ("1", 6, 1), None)


def test_lines_together_need_two_and_all_of_them_open():
    profile = ClipProfile("own", (F(3), F(5)), takes=2, price_each=F(1))
    lines = [line(str(n), words(3), at, RATE) for n, at in ((1, 1), (2, F("2.8")))]
    # 1.2 s each and 0.6 s between: from 1 to 4 s with handles 3.6 s, so 5 s in place of 3 + 3; one price for two
    plan = of(lines, profile)
    (found,) = make_savings(plan).together
    assert (found.lines, found.asks, found.to, found.saves, found.cost) == (("1", "2"), (3, 3), 5, 2, 2)
    assert "lines 1, 2: 3 + 3 s -> 5 s, saves 2 s, 2.00" in budget_text(plan, None)["budget.txt"].decode()
    assert make_savings(back(plan, state="accepted")).together == ()


# --- the verdict -----------------------------------------------------------------------------------------------------


def report(*limits):
    return BudgetReport((), F(0), F(0), None, "", limits, (), ())


def limit(needed, allowed=100, takes=(("own", 7),), fits=5, name="own"):
    return Limit(Allowance(name, "seconds", F(allowed), (name,)), F(needed), takes, fits)


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        ([limit(100)], "It fits one month: all takes need 100 s, profile own allows 100 s a month."),
        ([limit(101)], "One month is not enough: all takes need 101 s, profile own allows 100 s a month, so it takes 2 months. "
                       "It would fit one with fewer takes of each clip: own 5 in place of 7."),
        ([limit(200), limit(250, name="b")], "One month is not enough (2 allowances are too small; this one by most): all takes need 250 s, "
                       "profile b allows 100 s a month, so it takes 3 months. It would fit one with fewer takes of each clip: own 5 in place of 7."),
        ([limit(200, fits=None)], "One month is not enough: all takes need 200 s, profile own allows 100 s a month, so it takes 2 months. "
                       "Not even 1 take of each clip would fit one."),
        ([limit(200, takes=(("a", 5), ("b", 6)))], "One month is not enough: all takes need 200 s, profile own allows 100 s a month, so it takes 2 months. "
                       "It would fit one with fewer takes of each clip: b 5 in place of 6."),
        ([], ""),
    ],
)  # fmt: skip
def test_the_verdict_in_a_sentence(limits, said):
    assert report(*limits).sentence() == said


def test_what_is_left_of_a_month_counts_once_something_was_made():
    month = month_of([Row(date(2026, 3, 2), "own", F(50))], date(2026, 3, 3))
    enough, short = replace(limit(100), still=F(50), left=F(50)), replace(limit(100, name="b"), still=F(50), left=F(49))
    told = replace(report(enough), month=month)
    assert told.sentence() == "What is left of this month is enough for the takes that are not back."
    assert replace(report(enough, short), month=month).sentence() == (
        "What is left of this month is not enough: the takes that are not back need 50 s, profile b has 49 s left, "
        "1 s too little."
    )
    assert (
        "(2 allowances are too small; this one by most): the takes that are not back need 50 s, profile own"
        in replace(report(replace(enough, left=F(40)), short), month=month).sentence()
    )
    assert [enough.lacking, short.lacking, limit(100).lacking] == [0, 1, 0]


def test_the_most_takes_that_an_allowance_holds():
    def fits(allowed):
        profile = replace(MENU, seconds_a_month=F(allowed))
        (found,) = make_budget(one(6, profile)).limits
        return found.takes_that_fit, found.needed

    assert [fits(n) for n in (21, 20, 3, 2)] == [(7, 21), (6, 21), (1, 21), (None, 21)]


def test_what_has_no_price_is_said():
    text = budget_text(one(6), None)["budget.txt"].decode()
    assert "Nothing has a price: 21 s with profile own." in text
    plan = one(6)
    none = replace(plan, clips=(replace(plan.clips[0], ask=None),))
    assert "1 clips fit no length on the menu and are not counted." in budget_text(none, None)["budget.txt"].decode()


def test_times_and_figures_as_people_say_them():
    assert [_time(F(n)) for n in ("59", "59.1", "60", "125")] == ["59 min", "1 h 00 min", "1 h 00 min", "2 h 05 min"]
    assert [_n(F(n)) for n in ("3", "0.5", "1/3", "10")] == ["3", "0.5", "0.33", "10"]


def test_hours_that_are_left_and_takes_that_were_learnt():
    profile = replace(MENU, minutes_each=F(2))
    text = budget_text(back(one(6, profile), takes=3), None)["budget.txt"].decode()
    assert "own: 14 min (7 generations of 2 min); 8 min of it still to come" in text
    learnt = Learnt(takes={"own": {"low-tide": LearntTakes(F("4.5"), 1)}})
    text = budget_text(one(6, learnt=learnt), None)["budget.txt"].decode()
    assert "own: 4.5 (1 clip); 7 are planned" in text


# --- the queue -------------------------------------------------------------------------------------------------------


def test_one_take_of_a_first_picture_comes_before_all_else_that_starts_from_it():
    lines = [line("1", words(6), 1, RATE), line("2", words(11), 6, RATE), line("3", words(6), 13, RATE)]
    rows = [(q.clip, q.takes, q.waits_for) for q in queue(of(lines, replace(MENU, takes=2)))]
    # the longest tries the picture: one take, then all others, long ones first
    assert rows == [
        ("C02", 1, ""), ("C02", 1, "its first take"), ("C01", 2, "one take of C02"), ("C03", 2, "one take of C02"),
    ]  # fmt: skip
    single = [(q.clip, q.takes) for q in queue(of(lines, replace(MENU, takes=1)))]
    assert single == [("C02", 1), ("C01", 1), ("C03", 1)]


def test_a_mouth_is_open_where_a_clip_begins_with_its_first_sound():
    lines = [line("1", words(6), 1, RATE), line("2", words(6), 6, RATE)]
    plan = of(lines, MENU)
    assert first_pictures(plan)[0].mouth == "closed"
    open_ = replace(plan, clips=(replace(plan.clips[0], head=F(0)), plan.clips[1]))
    assert first_pictures(open_)[0].mouth == "closed; open for C01"
    both = replace(plan, clips=tuple(replace(c, head=F(0)) for c in plan.clips))
    assert first_pictures(both)[0].mouth == "open"
    assert (first_pictures(plan)[0].longest, first_pictures(plan)[0].clips) == (3, ("C01", "C02"))


def test_neighbours_last_from_the_first_to_the_last_and_each_as_much_longer_as_it_is_likely_to():
    # words of 0.4 s: 1 to 2.2 s and 3 to 4.6 s; the high ends are 1.5 times 1.2 s and 1.25 times 1.6 s
    a, b = line("1", words(3), 1, RATE), line("2", words(4), 3, RATE)
    group = (replace(a, high=F("1.8")), replace(b, high=F(2)))
    likely, high = EpisodeSettings(fit_by="likely"), EpisodeSettings(fit_by="high")
    assert planned_span(group, likely) == F("3.6")
    assert planned_span(group, high) == F("3.6") + F("0.6") + F("0.4")
    assert planned_span((a, replace(b, high=F(1))), high) == F("3.6")  # never shorter than likely
