"""Prices and allowances by profile; every figure worked out by hand beside it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from tests.export.plans import line, plan_of
from timing.clips.budget import make_budget
from timing.clips.budget_text import budget_text
from timing.clips.savings import make_savings
from timing.model import LineKind
from timing.model.clock import FrameRate
from timing.model.settings import Budget, CastMember, ClipProfile, EpisodeSettings
from timing.plain.errors import SettingsError
from timing.script.episode import parse_episode

RATE = FrameRate(Fraction(24))
F = Fraction
NO_BUDGET = Budget()
TALKING = ClipProfile("talking", (F(3), F(5), F(8)), takes=7, cost_per_s=F(1, 10), seconds_a_month=F(60))
EFFECTS = ClipProfile(
    "effects", (F(5), F(10)), takes=3, price_by_length=((F(5), F(10)), (F(10), F(20))), generations_a_month=4,
    minutes_each=F(3, 2),
)  # fmt: skip
PANS = ClipProfile("pans", (F(10),), takes=2, unlimited=True, minutes_each=F(15))


def plan(budget=NO_BUDGET, profiles=(TALKING, EFFECTS, PANS)):
    """Two speeches of 3 s (2.6 s needed), two passages of 2 s with effects, one with pans."""
    settings = EpisodeSettings(
        profiles={p.name: p for p in profiles}, default_profile="talking", picture_profile="effects", budget=budget,
        cast={"TANSY": CastMember("TANSY")},
    )  # fmt: skip
    return plan_of(
        [
            line("1", "One two three four five.", 1, RATE),
            line("2", "One two three four five.", 5, RATE),
            line("3", "A wave.", 9, RATE, LineKind.PICTURE),
            line("4", "A shell.", 12, RATE, LineKind.PICTURE),
            line("5", "The bay.", 15, RATE, LineKind.PICTURE, profile="pans"),
        ],
        settings,
    )


def text_of(one):
    return budget_text(one, Path())["budget.txt"].decode()


def test_prices_are_by_second_or_by_generation():
    report = make_budget(plan())
    costs = {(s.profile, s.speaker): s.cost for s in report.shares}
    assert costs[("talking", "TANSY")] == F("4.2")  # 2 clips x 3 s x 7 takes x 0.10
    assert costs[("effects", None)] == 60  # 2 clips x 3 takes x 10 each
    assert costs[("pans", None)] == 0  # unlimited
    assert report.cost == F("64.2")
    assert report.unpriced == ()


def test_each_profile_is_held_against_its_own_allowance_and_the_tightest_binds():
    report = make_budget(plan(Budget(money_a_month=F(100), currency="EUR")))
    limits = {(x.profile, x.unit): (x.needed, x.allowed) for x in report.limits}
    assert limits == {
        (None, "money"): (F("64.2"), 100),
        ("talking", "seconds"): (42, 60),
        ("effects", "generations"): (6, 4),
    }
    assert report.binding is not None
    assert (report.binding.profile, report.months) == ("effects", F(3, 2))
    assert report.sentence() == (
        "One month is not enough: all takes need 6 generations, profile effects allows 4 generations a month, so it "
        "takes 2 months. It would fit one with fewer takes of each clip: effects 2 in place of 3."
    )  # 2 clips x 2 takes = 4


def test_takes_are_said_by_profile():
    """Where one profile has 3 takes and one 7, "at 7 takes" would be wrong."""
    shared = [ClipProfile("talking", (F(3),), takes=7), ClipProfile("effects", (F(5),), takes=3), PANS]
    report = make_budget(plan(Budget(seconds_a_month=F(60)), shared))
    assert report.binding is not None
    assert report.binding.needed == 2 * 3 * 7 + 2 * 5 * 3  # 72 s; pans are unlimited
    # at 5 takes: 2 x 3 x 5 + 2 x 5 x 3 = 60
    assert report.sentence().endswith("It would fit one with fewer takes of each clip: talking 5 in place of 7.")


def test_what_fits_is_said_in_one_sentence_and_not_even_one_take_too():
    talking = ClipProfile("talking", (F(3),), takes=7, seconds_a_month=F(42))
    assert make_budget(plan(profiles=[talking, PANS, ClipProfile("effects")])).sentence() == (
        "It fits one month: all takes need 42 s, profile talking allows 42 s a month."
    )
    tiny = ClipProfile("talking", (F(3),), takes=7, seconds_a_month=F(5))
    said = make_budget(plan(profiles=[tiny, PANS, ClipProfile("effects")])).sentence()
    assert said.endswith("Not even 1 take of each clip would fit one.")


def test_hours_of_generating_are_said_by_profile():
    text = text_of(plan())
    assert "effects: 9 min (6 generations of 1.5 min)" in text
    assert "pans: 30 min (2 generations of 15 min)" in text


NINE = "One two three four five six seven eight nine."  # 9 x 0.4 s and 0.6 s: 4.2 s


def of(lines, profiles, **more):
    own = {"default_profile": profiles[0].name} | more
    return plan_of(lines, EpisodeSettings(profiles={p.name: p for p in profiles}, **own))


def test_a_speakers_line_may_be_cheaper_with_the_profile_of_another_speaker():
    """5 s x 0.10 x 7 takes is 3.50; 8 s of the other menu, at 2 a generation and 1 take, is 2. Pans cannot speak."""
    dear = ClipProfile("dear", (F(5),), cost_per_s=F(1, 10))
    cheap = ClipProfile("cheap", (F(8),), takes=1, price_each=F(2), minutes_each=F(20))
    cast = {"TANSY": CastMember("TANSY"), "BRAM": CastMember("BRAM", profile="cheap")}
    lines = [
        line("1", NINE, 1, RATE),
        line("2", NINE, 8, RATE, speaker="BRAM"),
        line("3", "The bay.", 15, RATE, LineKind.PICTURE),
    ]
    one = of(lines, [dear, cheap, PANS], cast=cast, picture_profile="pans")
    (found,) = make_savings(one).elsewhere
    assert (found.profile, found.other, found.lines, found.cost, found.minutes) == (
        "dear", "cheap", (("1", F("3.5"), 2),), F("1.5"), 20
    )  # fmt: skip
    assert "  cheap in place of dear: line 1 3.50 -> 2.00; saves 1.50; 20 min of generating there" in text_of(one)


def test_nothing_is_cheaper_elsewhere_where_the_other_profile_does_not_hold_the_line_or_has_no_price():
    dear = ClipProfile("dear", (F(5),), cost_per_s=F(1, 10))
    cast = {"BRAM": CastMember("BRAM", profile="other")}
    lines = [line("1", NINE, 1, RATE), line("2", "One two.", 8, RATE, speaker="BRAM")]
    for other in (ClipProfile("other", (F(1),), price_each=F(1)), ClipProfile("other", (F(8),))):
        assert make_savings(of(lines, [dear, other], cast=cast)).elsewhere == ()


def test_lines_that_could_share_a_generation_are_a_saving():
    """Sung lines of 4.3 s ask for 8 s each; from 1 s to 9.6 s with handles is 9.2 s, so 10 s: 6 s less, 7 times."""
    profile = ClipProfile("own", (F(8), F(10)), cost_per_s=F(1, 10))
    lines = [
        line(str(n), "Out and in", at, RATE, LineKind.SUNG, a_word=F("4.3") / 3, song="tide")
        for n, at in ((1, "1"), (2, "5.3"))
    ]
    one = of(lines, [profile])
    assert "  lines 1, 2: 8 + 8 s -> 10 s, saves 42 s, 4.20" in text_of(one)
    assert make_savings(of(lines, [profile], share_short_lines=True)).together == ()


def test_what_costs_nothing_cannot_be_saved():
    free = ClipProfile("own", (F(3), F(5)), unlimited=True)
    savings = make_savings(of([line("1", NINE, 1, RATE)], [free]))
    assert (savings.syllables, savings.handles, savings.elsewhere) == ((), (), ())


def test_handles_are_shaved_down_to_two_frames_and_no_further():
    """At 24 frames 2 frames are 1/12 s: of 0.25 + 0.35 s go 0.4333 s at most."""
    profile = ClipProfile("own", (F(5), F(8)))

    def shaves(seconds):
        return make_savings(of([line("1", "One", 1, RATE, a_word=seconds)], [profile])).handles

    assert shaves("4.83")[0].tail + shaves("4.83")[0].head == F("0.17")  # 0.43 of 0.6
    assert shaves("4.84") == ()  # 0.44 s would have to go
    assert shaves("4.4") == ()  # fits 5 s as it is


def test_a_total_that_leaves_something_out_says_so():
    unpriced = [TALKING, ClipProfile("effects", (F(5),), takes=3), PANS]
    text = text_of(plan(profiles=unpriced))
    assert "The cost leaves out what has no price: 30 s with profile effects." in text  # 2 x 5 s x 3
    assert "4.20 +" in text


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ("price_each = 2\ncost_per_s = 1", "give either cost_per_s or price_each, not both"),
        ("price_each = {3 = 2}", "price_each has no price for 5 s"),
        ("price_each = {3 = 2, 5 = 3, 8 = 4}", "price_each has a price for 8 s, which is no length of it"),
        ('price_each = "2 EUR"', "is the price of one generation"),
        ("price_each = {2.5 = 2}", 'put a length with a point into quotes: {"2.5" = 10}'),
        ("price_each = {long = 2}", '"long" is no length in seconds'),
        ("price_each = -1", "cannot be negative"),
        ("price = 2", "price of what? write cost_per_s (a second) or price_each (a generation)"),
        ("cost = 0.05", "cost of what? write cost_per_s (a second) or price_each (a generation)"),
        ('money_a_month = "30 EUR"', "is a number"),
        ('cost_per_s = "0.05 EUR"', "is a number"),
        ("seconds_a_month = 0", "must be more than 0, not 0; without this line nothing is limited"),
        ("generations_a_month = 0", "whole number from 1"),
        ("money_a_month = 5", "money_a_month needs a price"),
        ("unlimited = true\ncost_per_s = 1", "take out either unlimited or its price"),
        ("unlimited = true\nseconds_a_month = 1", "take out either unlimited or its price"),
        ("unlimited = 1", "is true or false"),
        ("minutes_each = 0", "must be more than 0"),
    ],
)
def test_prices_and_allowances_that_clash_are_one_sentence(keys, message):
    with pytest.raises(SettingsError) as error:
        parse_episode(f"[profile.x]\nlengths = [3, 5]\n{keys}\n", "episode.toml")
    assert message in error.value.message


def test_a_price_by_length_is_read_exactly():
    profile = parse_episode('[profile.x]\nlengths = [2.5, 5]\nprice_each = {"2.5" = 1.1, 5 = 2}\n', "e").profiles["x"]
    assert (profile.price(F(5, 2)), profile.price(F(5))) == (F("1.1"), 2)


def test_a_chorus_that_is_sung_again_can_be_bought_once():
    """ "Out and in again" 3 times: 4 words of 0.4 s and 0.6 s of handles are 2.2 s, so 3 s, 7 takes, 0.10 a second:
    two of them fewer save 2 x 3 x 7 = 42 s and 4.20. Sung a little later in the beat, or spoken, it is another clip."""
    sung = {"kind": LineKind.SUNG, "rate": RATE}
    settings = EpisodeSettings(profiles={"talking": TALKING}, default_profile="talking")
    words = "Out and in again"
    lines = [
        *(line(str(n + 1), words, 1 + 4 * n, **sung) for n in range(3)),
        line("4", words, 14, a_word="0.45", **sung),
        line("5", "Out and out again", 18, **sung),
        line("6", words, 22, speaker="BRAM", **sung),
        line("7", words, 26, RATE),
        line("8", words, 30, RATE),
    ]
    one = plan_of(lines, settings)
    (found,) = make_savings(one).repeated
    assert (found.clip, found.others, found.saves, found.cost) == ("C01", ("C02", "C03"), 42, F("4.2"))
    assert "  C01 in place of C02, C03: saves 42 s, 4.20\n" in text_of(one)
    assert "sung again" not in text_of(plan())
