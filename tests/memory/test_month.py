"""One invented month: two episodes, three profiles (one unlimited), five takes thrown away; every figure by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from tests.export.plans import line, plan_of
from timing.clips.budget import make_budget
from timing.clips.budget_text import budget_text
from timing.delivery.verdict import Check
from timing.memory.ledger import left_this_month, month_of, read_ledger, record
from timing.model import Delivered, LineKind
from timing.model.clock import FrameRate
from timing.model.settings import Budget, ClipProfile, EpisodeSettings

F = Fraction
RATE = FrameRate(F(24))
PROFILES = (
    ClipProfile("talking", (F(3), F(5), F(8)), takes=4, cost_per_s=F(1, 20), seconds_a_month=F(60)),
    ClipProfile(
        "effects", (F(5), F(10)), takes=3, price_by_length=((F(5), F(2)), (F(10), F(3))), generations_a_month=10,
        minutes_each=F(4),
    ),
    ClipProfile("pans", (F(10),), takes=2, unlimited=True, minutes_each=F(15)),
)  # fmt: skip
SETTINGS = EpisodeSettings(
    profiles={p.name: p for p in PROFILES}, default_profile="talking", picture_profile="effects",
    budget=Budget(money_a_month=F(20), currency="EUR"),
)  # fmt: skip
FIVE = "One two three four five."  # 5 words of 0.4 s and 0.6 s of handles: 2.6 s, so 3 s
NINE = "One two three four five six seven eight nine."  # 4.2 s, so 5 s
TEN = "One two three four five six seven eight nine ten."  # of 0.482 s: 4.82 s and 0.6 s of handles are 5.42 s, so 8 s


def first():
    return plan_of(
        [
            line("1", FIVE, 1, RATE),
            line("2", NINE, 6, RATE),
            line("3", "A wave.", 12, RATE, LineKind.PICTURE),
            line("4", "The bay.", 15, RATE, LineKind.PICTURE, profile="pans"),
        ],
        SETTINGS,
    )


def second():
    return plan_of(
        [
            line("1", NINE, 1, RATE),
            line("2", "A shell.", 8, RATE, LineKind.PICTURE),
            line("3", TEN, 12, RATE, a_word="0.482"),
        ],
        SETTINGS,
    )


def back(clip, content, seconds):
    return Check(f"clips/{clip}-{content}.mp4", clip, rate=F(24), frames=24 * seconds, content=content * 8)


def test_what_the_first_episode_takes():
    text = budget_text(first(), Path())["budget.txt"].decode()
    rows = {" ".join(row.split()) for row in text.splitlines()}
    assert "effects (picture) 1 5 3 15 6.00" in rows  # 5 s, 3 takes, 2.00 each
    assert "pans (picture) 1 10 2 20 0.00" in rows
    assert "talking TANSY 2 8 4 32 1.60" in rows  # 3 + 5 s, 4 takes, 0.05 a second
    assert "all 4 23 67 7.60" in rows
    assert "all takes need 7.60 EUR, [budget] allows 20.00 EUR a month" in text
    assert "all takes need 32 s, profile talking allows 60 s a month" in text
    assert "all takes need 3 generations, profile effects allows 10 generations a month" in text
    assert "effects: 12 min (3 generations of 4 min)" in text
    assert "pans: 30 min (2 generations of 15 min)" in text
    # 32 of 60 s is 0.53 of a month; 7.6 of 20 is 0.38; 3 of 10 is 0.3
    assert make_budget(first()).sentence() == (
        "It fits one month: all takes need 32 s, profile talking allows 60 s a month."
    )


def months_ledger(tmp_path):
    """Five takes thrown away, and what came back of both episodes; return its rows."""
    (tmp_path / "series.toml").write_text("", "utf-8")
    one, two = tmp_path / "one", tmp_path / "two"
    one.mkdir()
    two.mkdir()
    thrown_away = (
        "date,profile,clip,seconds,cost,file,note,content\r\n"
        "2026-03-03,talking,C01,3,0.15,,two heads,\r\n"
        "2026-03-03,talking,C02,5,0.25,,mouth wrong,\r\n"
        "2026-03-04,talking,C02,5,0.25,,,\r\n"
        "2026-03-05,effects,C03,5,2,,too dark,\r\n"
        "2026-03-05,pans,C04,10,0,,jumps,\r\n"
    )
    (tmp_path / "generated.csv").write_text(thrown_away, "utf-8", newline="")
    day = date(2026, 3, 20)
    came = [back("C01", "a", 3), back("C02", "b", 5), back("C02", "c", 5), back("C03", "d", 5), back("C04", "e", 10)]
    record(first(), one, came, day)
    record(second(), two, [back("C01", "f", 5), back("C02", "g", 5), back("C02", "h", 5)], day)
    record(second(), two, [back("C01", "f", 5)], date(2026, 3, 21))  # seen before
    return read_ledger(tmp_path / "generated.csv", SETTINGS)


def test_what_is_left_after_both(tmp_path):
    rows, day = months_ledger(tmp_path), date(2026, 3, 20)
    assert len(rows) == 5 + 5 + 3
    # talking: 13 s thrown away, 13 s of the first, 5 s of the second: 31. effects: 1 + 1 + 2.
    # money: talking 31 x 0.05 = 1.55, effects 4 x 2 = 8
    assert left_this_month(month_of(rows, day), SETTINGS) == [
        "used this month, [budget]: 9.55 of 20.00 EUR, 10.45 EUR left",
        "used this month, profile talking: 31 of 60 s, 29 s left",
        "used this month, profile effects: 4 of 10 generations, 6 generations left",
    ]
    assert left_this_month(month_of(rows, date(2026, 4, 1)), SETTINGS)[1] == (
        "used this month, profile talking: 0 of 60 s, 60 s left"
    )


def taken(clip, takes, state="delivered"):
    return Delivered(clip, f"clips/{clip}.mp4", takes, state, is_measured=False)


def test_the_whole_text_of_the_first_episode(tmp_path):
    """C01 is accepted; C02 has 2 of 4 takes back, C03 1 of 3, C04 1 of 2.

    What is to come: C02 2 x 5 s = 10 s or 0.50, C03 2 generations or 4.00; with pans nothing is counted.
    C02 needs 3.6 s + 0.6 s; 3 s hold 2.4 s of speech, so 1.2 of 3.6 s must go: 3 of 9 syllables, 4 x 2 s less. That
    C01 could be shorter matters no more. The passage costs 3 x 2.00 with effects and nothing with pans, 2 x 15 min.
    """
    month = month_of(months_ledger(tmp_path), date(2026, 3, 31))
    back = (taken("C01", 1, "accepted"), taken("C02", 2), taken("C03", 1), taken("C04", 1))
    plan = replace(first(), month=month, deliveries=back)
    assert (
        budget_text(plan, Path())["budget.txt"].decode()
        == """\
Where Does the Sea Go?: what to generate

profile  speaker    clips  ask s  takes  generate s  cost EUR
effects  (picture)      1      5      3          15      6.00
pans     (picture)      1     10      2          20      0.00
talking  TANSY          2      8      4          32      1.60
all                     4     23                 67      7.60

What is left of this month is enough for the takes that are not back.

What a month allows:
  all takes need 7.60 EUR, [budget] allows 20.00 EUR a month
  all takes need 32 s, profile talking allows 60 s a month
  all takes need 3 generations, profile effects allows 10 generations a month

Used and left this month (2026-03, from generated.csv):
  [budget]: 9.55 of 20.00 EUR, 10.45 EUR left
    the takes that are not back need 4.50 EUR, [budget] has 10.45 EUR left
  profile talking: 31 of 60 s, 29 s left
    the takes that are not back need 10 s, profile talking has 29 s left
  profile effects: 4 of 10 generations, 6 generations left
    the takes that are not back need 2 generations, profile effects has 6 generations left

How long generating takes, one after the other:
  effects: 12 min (3 generations of 4 min); 8 min of it still to come
  pans: 30 min (2 generations of 15 min); 15 min of it still to come

What would save (cut the syllables, ask for the shorter length):
  C02 (line 2): 3 syllables, 5 s -> 3 s, saves 8 s, 0.40 EUR

What would be cheaper with another profile that makes such clips ([[with NAME]]):
  pans in place of effects: line 3 6.00 -> 0.00; saves 6.00 EUR; 30 min of generating there
"""
    )


def test_the_whole_text_of_the_second_episode(tmp_path):
    """C01 is accepted, C02 has 2 of 3 takes back, C03 none of 4.

    What is to come: C03 4 x 8 s = 32 s or 1.60, C02 1 generation or 2.00. Of 60 s 31 are used: 3 s are lacking.
    C03 needs 5.42 s where 5 s are on the menu: 0.42 s of 0.25 + 0.35 s. Two frames of each, 1/12 s, stay: of the
    spare 1/6 and 4/15 s go 5/13 and 8/13 of 0.42 s, so 0.0885 and 0.0915 s are left. Or a syllable: 0.42 x 10 / 4.82
    is 0.87. Either saves 4 x 3 s.
    """
    month = month_of(months_ledger(tmp_path), date(2026, 3, 31))
    plan = replace(second(), month=month, deliveries=(taken("C01", 1, "accepted"), taken("C02", 2)))
    assert (
        budget_text(plan, Path())["budget.txt"].decode()
        == """\
Where Does the Sea Go?: what to generate

profile  speaker    clips  ask s  takes  generate s  cost EUR
effects  (picture)      1      5      3          15      6.00
talking  TANSY          2     13      4          52      2.60
all                     3     18                 67      8.60

What is left of this month is not enough: the takes that are not back need 32 s, profile talking has 29 s left, 3 s \
too little.

What a month allows:
  all takes need 8.60 EUR, [budget] allows 20.00 EUR a month
  all takes need 52 s, profile talking allows 60 s a month
  all takes need 3 generations, profile effects allows 10 generations a month

Used and left this month (2026-03, from generated.csv):
  [budget]: 9.55 of 20.00 EUR, 10.45 EUR left
    the takes that are not back need 3.60 EUR, [budget] has 10.45 EUR left
  profile talking: 31 of 60 s, 29 s left
    the takes that are not back need 32 s, profile talking has 29 s left, 3 s too little
  profile effects: 4 of 10 generations, 6 generations left
    the takes that are not back need 1 generation, profile effects has 6 generations left

How long generating takes, one after the other:
  effects: 12 min (3 generations of 4 min); 4 min of it still to come

What shorter handles would save (less silence at both ends, ask for the shorter length):
  C03 (line 3): 0.42 s less, so 0.09 s before and 0.09 s after, 8 s -> 5 s, saves 12 s, 0.60 EUR

What would save (cut the syllables, ask for the shorter length):
  C03 (line 3): 1 syllable, 8 s -> 5 s, saves 12 s, 0.60 EUR
"""
    )


def test_the_month_stands_in_plan_json_and_rows_without_a_cost_are_said(tmp_path):
    (tmp_path / "generated.csv").write_text("date,profile,seconds\n2026-03-01,talking,5\n", "utf-8")
    month = month_of(read_ledger(tmp_path / "generated.csv", SETTINGS), date(2026, 3, 31))
    told = budget_text(replace(first(), month=month), Path())["budget.txt"].decode()
    assert "[budget]: 0.00 of 20.00 EUR, 20.00 EUR left (1 generation without a cost is not counted)" in told
    assert replace(first(), month=month).to_json()["totals"]["month"] == {
        "month": "2026-03",
        "allowances": [
            {"profile": None, "unit": "money", "allowed": 20, "used": 0, "left": 20},
            {"profile": "talking", "unit": "seconds", "allowed": 60, "used": 5, "left": 55},
            {"profile": "effects", "unit": "generations", "allowed": 10, "used": 0, "left": 10},
        ],
    }
    assert "month" not in first().to_json()["totals"]


def test_what_budget_does_not_count_is_said_beside_it(tmp_path):
    """Effects has its own 12 EUR: 1 x 3 takes x 2.00 = 6.00 of them; [budget] pays talking alone, (3 + 5) x 4 x 0.05."""
    own = {**SETTINGS.profiles, "effects": replace(SETTINGS.profiles["effects"], money_a_month=F(12))}
    plan = replace(first(), settings=replace(SETTINGS, profiles=own))
    rows = budget_text(plan, Path())["budget.txt"].decode().splitlines()
    at = rows.index("  all takes need 1.60 EUR, [budget] allows 20.00 EUR a month")
    assert rows[at + 1] == "    without effects, which has an allowance of its own"
    assert "  all takes need 6.00 EUR, profile effects allows 12.00 EUR a month" in rows
    assert not any("without talking" in row for row in rows)
    both = {**own, "talking": replace(own["talking"], money_a_month=F(5))}
    text = budget_text(replace(plan, settings=replace(SETTINGS, profiles=both)), Path())["budget.txt"].decode()
    assert "    without talking, effects, which have allowances of their own" in text
    assert "of its own" not in budget_text(first(), Path())["budget.txt"].decode()
