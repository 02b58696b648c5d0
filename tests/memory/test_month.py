"""One invented month: two episodes, three profiles (one unlimited), five takes thrown away; every figure by hand."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

from tests.export.plans import line, plan_of
from timing.clips.budget import budget_text, make_budget
from timing.delivery.verdict import Check
from timing.memory.ledger import left_this_month, month_of, read_ledger, record
from timing.model import LineKind
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
    return plan_of([line("1", NINE, 1, RATE), line("2", "A shell.", 8, RATE, LineKind.PICTURE)], SETTINGS)


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


def test_what_is_left_after_both(tmp_path):
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
    rows = read_ledger(tmp_path / "generated.csv", SETTINGS)
    assert len(rows) == 5 + 5 + 3
    # talking: 13 s thrown away, 13 s of the first, 5 s of the second: 31. effects: 1 + 1 + 2.
    # money: talking 31 x 0.05 = 1.55, effects 4 x 2 = 8
    assert left_this_month(month_of(rows, day), SETTINGS) == [
        "used this month, [budget]: 9.55 of 20 EUR, 10.45 EUR left",
        "used this month, profile talking: 31 of 60 s, 29 s left",
        "used this month, profile effects: 4 of 10 generations, 6 generations left",
    ]
    assert left_this_month(month_of(rows, date(2026, 4, 1)), SETTINGS)[1] == (
        "used this month, profile talking: 0 of 60 s, 60 s left"
    )
