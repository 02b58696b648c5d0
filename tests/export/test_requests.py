"""Requests and budget: checked against sums done by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from tests.export.plans import line, plan_of, small_plan
from timing.clips.budget import make_budget
from timing.clips.budget_text import budget_text
from timing.clips.savings import make_savings
from timing.export.requests import clip_requests, request_text, said_words
from timing.model import LineKind
from timing.model.clock import FrameRate
from timing.model.placed import Delivered
from timing.model.settings import Budget, CastMember, ClipProfile, EpisodeSettings

FOLDER = Path()
RATE = FrameRate(Fraction(24))
PRICED = ClipProfile("own", (Fraction(3), Fraction(5), Fraction(8)), takes=7, cost_per_s=Fraction(1, 10))


def test_a_request_has_speaker_words_seconds_and_directions() -> None:
    plan = plan_of([line("1", "Where does the sea go?", 1, RATE, directions=("softly",))])
    text = request_text(plan, plan.clips[0])
    assert "speaker: TANSY" in text
    assert "length: 3 s, 7 takes" in text  # 5 words of 0.4 s and handles of 0.6 s: 2.6 s
    assert "how: softly" in text
    assert "speech: 2 s, from 0.25 s to 2.25 s" in text
    assert "\nWhere does the sea go?\n" in text


def test_a_split_line_says_which_frame_to_begin_and_end_with() -> None:
    plan = plan_of([line("4", "One two. Three four.", 1, RATE)])
    clip = plan.clips[0]
    first = replace(clip, id="C04.1", part=(1, 2), words=(0, 2))
    second = replace(clip, id="C04.2", part=(2, 2), words=(2, 4))
    plan = replace(plan, clips=(first, second))
    assert "last frame: mouth closed; C04.2 goes on from it" in request_text(plan, first)
    # C04.1 is seen from 1 - 0.25 s, frame 18, to 1 + 4 x 0.4 + 0.35 = 2.95 s, frame 71: 53 frames of its file.
    told = request_text(plan, second)
    assert "first frame: the one in which C04.1 leaves the cut: frame 53 of its take, as planned, at 24 fr" in told
    assert "no still yet: accept a take of C04.1" in told
    back = replace(plan, deliveries=(Delivered("C04.1", "clips/C04.1 b.mp4", state="accepted"),))
    told = request_text(plan, second, back)
    assert "first frame: stills/C04.2.png, the one in which C04.1 leaves the cut (frame 53 of clips/C04.1 b.mp4" in told
    unseen = replace(back, deliveries=(replace(back.deliveries[0], has_picture=False),))
    assert "there is no still, for clips/C04.1 b.mp4 has no picture" in request_text(plan, second, unseen)
    assert said_words(plan, first) == "One two."
    assert said_words(plan, second) == "Three four."


def test_words_stand_as_said_with_pauses_and_emphasis() -> None:
    one = line("1", "I have $5 now.", 1, RATE)
    words = list(one.words)
    words[2] = replace(words[2], spoken="five dollars", is_emphasised=True)
    words[3] = words[3].moved(Fraction(1, 2))
    plan = plan_of([replace(one, words=tuple(words))])
    plain = replace(words[2], text="5", is_emphasised=True, spoken="five",
                    syllables=(replace(words[2].syllables[0], text="5"),))  # fmt: skip
    assert said_words(plan_of([replace(one, words=(*words[:2], plain, words[3]))]), plan.clips[0]) == (
        "I have FIVE (pause 0.5 s) now."
    )


def test_there_is_one_request_for_each_clip() -> None:
    plan = small_plan()
    assert sorted(clip_requests(plan, FOLDER)) == [f"requests/C0{n}.txt" for n in (1, 2, 3, 4)]


def settings(**budget: object) -> EpisodeSettings:
    profiles = {"default": ClipProfile(), "own": PRICED}
    return EpisodeSettings(
        profiles=profiles,
        cast={"TANSY": CastMember("TANSY", profile="own")},
        budget=Budget(**budget),  # type: ignore[arg-type]
    )


def test_the_budget_adds_up_by_profile_and_speaker() -> None:
    plan = plan_of(
        [
            line("1", "One two three four five.", 1, RATE),  # 2.6 s: 3 s
            line("2", "One two three four five six.", 5, RATE),  # 3.0 s: 3 s
            line("3", "One two three four five six.", 9, RATE, speaker="BRAM"),  # default profile: 3 s
            line("4", "A wave.", 13, RATE, LineKind.PICTURE),  # 2 s: 3 s
        ],
        settings(seconds_a_month=Fraction(42), money_a_month=Fraction(42, 10)),
    )
    report = make_budget(plan)
    shares = {(s.profile, s.speaker): (s.clips, s.ask, s.generate, s.cost) for s in report.shares}
    assert shares[("own", "TANSY")] == (2, 6, 42, Fraction("4.2"))
    assert shares[("default", "BRAM")] == (1, 3, 21, None)
    assert shares[("default", None)] == (1, 3, 21, None)
    assert (report.ask, report.generate, report.cost) == (12, 84, Fraction("4.2"))
    assert report.months == 2  # 84 s of 42; money: 4.2 of 4.2
    assert report.binding is not None
    assert report.binding.takes_that_fit == 3  # 12 s x 3 = 36, x 4 = 48
    assert report.sentence() == (
        "One month is not enough: all takes need 84 s, [budget] allows 42 s a month, so it takes 2 months. "
        "It would fit one with fewer takes of each clip: default 3 in place of 7, own 3 in place of 7."
    )
    assert report.unpriced == (("default", 42),)  # two clips of 3 s, 7 takes
    text = budget_text(plan, FOLDER)["budget.txt"].decode()
    assert "The cost leaves out what has no price: 42 s with profile default." in text
    assert "4.20 +" in text.split("all ")[1].splitlines()[0]


def test_a_saving_is_a_cut_that_drops_to_a_shorter_length() -> None:
    # Eight one-syllable words of 0.4 s need 3.2 + 0.6 = 3.8 s: 5 s is asked for. 3 s holds 2.4 s, six words: cut two.
    plan = plan_of([line("1", "One two three four five six seven eight.", 1, RATE)], settings())
    (saving,) = make_savings(plan).syllables
    assert (saving.syllables, saving.ask, saving.to) == (2, 5, 3)
    assert saving.saves == 14
    assert saving.cost == Fraction("1.4")


@given(st.lists(st.integers(1, 20), min_size=1, max_size=8), st.integers(1, 500))
def test_the_takes_that_fit_really_are_the_most(counts: list[int], allowance: int) -> None:
    lines = [line(str(n), " ".join(["sea"] * c), 20 * n, RATE) for n, c in enumerate(counts, 1)]
    plan = plan_of(lines, settings(seconds_a_month=Fraction(allowance)))
    report = make_budget(plan)
    asked = sum(c.ask or 0 for c in plan.clips)
    fitting = [takes for takes in range(1, 8) if asked * takes <= allowance]
    assert report.binding is not None
    assert report.binding.takes_that_fit == (max(fitting) if fitting else None)


def test_the_text_has_the_verdict_and_the_savings_in_order() -> None:
    plan = plan_of(
        [line("1", "One two three four five six seven eight.", 1, RATE)], settings(seconds_a_month=Fraction(20))
    )
    text = budget_text(plan, FOLDER)["budget.txt"].decode()
    assert "all takes need 35 s, [budget] allows 20 s a month, so it takes 2 months." in text  # 7 takes of 5 s
    assert "It would fit one with fewer takes of each clip: own 4 in place of 7." in text  # 4 x 5 = 20
    assert "C01 (line 1): 2 syllables, 5 s -> 3 s, saves 14 s, 1.40" in text
