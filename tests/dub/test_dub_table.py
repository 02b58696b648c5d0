"""What stands under a line of the dub table, its sentences worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.dub.editions import edition_of, plan_with
from timing.model.dub import DubLine, Loss, PhraseStart
from timing.sheet.tables.dub_table import _row, facts, notes


def dub() -> DubLine:
    return edition_of(plan_with("Where does it go?"), {"1": "Wohin geht es denn?"}).lines[0]


@pytest.mark.parametrize(
    ("late", "told"),
    [("0.3", "0.3 s late"), ("-0.3", "0.3 s early"), ("1.5", "1.5 s late"), ("0", "on time"), ("0.04", "on time"),
     ("-0.05", "0.1 s early")],
)  # fmt: skip
def test_a_last_sound_is_early_late_or_on_time_to_a_tenth(late: str, told: str) -> None:
    assert notes(replace(dub(), losses=(), drift=Fraction(late)))[-1] == f"last sound {told}"


def test_phrases_after_the_first_are_held_against_the_clip() -> None:
    phrases = tuple(PhraseStart(text, Fraction(late)) for text, late in (("Wohin", "0"), ("geht", "0.2"), ("es", "-1")))
    one = replace(dub(), losses=(), phrases=phrases, drift=Fraction("0.6"))
    assert notes(one)[-1] == "phrases against the clip: “geht” 0.2 s late, “es” 1.0 s early · last sound 0.6 s late"
    alone = replace(one, phrases=phrases[:1])
    assert notes(alone)[-1] == "last sound 0.6 s late"
    assert notes(replace(one, drift=None))[-1] == "phrases against the clip: “geht” 0.2 s late, “es” 1.0 s early"


def test_words_to_do_without_are_named_with_their_seconds() -> None:
    one = replace(dub(), losses=(Loss("denn", Fraction("0.25"), 1), Loss("Wohin", Fraction("0.34"), 2)))
    assert "fits without one of: “denn” (0.3 s), “Wohin” (0.3 s)" in notes(one)


def test_free_time_is_news_from_a_second_on_and_closures_where_there_are_any() -> None:
    one = dub()
    window = replace(one.window, free=Fraction("0.99"), clips=("C01.1", "C01.2"), is_seen=False)
    base = replace(one, window=window, closures=0)
    assert facts(base) == "clip C01.1, C01.2 · window estimated · mouth not seen"
    told = replace(base, window=replace(window, free=Fraction(1), is_seen=True), closures=3, met=2)
    assert facts(told) == "clip C01.1, C01.2 · window estimated · 1.0 s free after it · lip closures met 2 of 3"


@pytest.mark.parametrize(("lose", "gain", "told"), [(2, 0, "lose 2"), (0, 3, "gain 3"), (0, 0, "–")])
def test_what_must_go_or_may_come(lose: int, gain: int, told: str) -> None:
    cells = _row(replace(dub(), lose=lose, gain=gain), None).cells
    assert cells[-1] == told
    assert cells[3] == "5 / 4"  # Wo-hin geht es denn; where does it go


def test_a_measured_length_has_no_range() -> None:
    one = dub()
    line = replace(one.line, low=Fraction(2), high=Fraction(2))
    assert _row(replace(one, line=line), None).cells[6] == ""
    assert _row(replace(one, line=replace(line, high=Fraction("2.26"))), None).cells[6] == "2.0–2.3"
