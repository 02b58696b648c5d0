"""What the paper must say in words: what to draw, who, what may not be trusted, what has changed."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction

import pytest

from tests.sheet import plans
from tests.sheet.geometry import Set, texts
from tests.sheet.hard_set import PASSAGE, came_back, hard_set, pictures
from timing.model import Delivered, Finding, LineKind, Plan
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.sheet import render_sheets
from timing.sheet.document import PARTS, lay_out
from timing.sheet.figures import sum_printed, tenths
from timing.sheet.frame.score import display_name
from timing.sheet.ink import Page

READ = 9.0  # points: what is read; type of 6.5 is for what is only looked up


def told(page: Page) -> str:
    return " ".join(t.text for t in texts(page))


def squeezed(text: str) -> str:
    return "".join(text.split()).casefold()


def first_sheets(plan: Plan) -> dict[str, Page]:
    """Return the sheet on which each clip's band stands, by clip id."""
    pages = [p for p in lay_out(plan) if p.label.startswith("frame sheet")]
    keys = {key: page for page in pages for key in page.extra_keys}
    return {clip.id: keys[f"clip-{clip.id}"] for clip in plan.clips}


CASES = {name: plan for name, plan in hard_set(parts=tuple(PARTS)) if name != "120 bars"}


@pytest.mark.parametrize("plan", CASES.values(), ids=CASES)
def test_every_clips_first_sheet_says_the_whole_line_who_how_where_and_how_many_seconds(plan: Plan) -> None:
    lines = {line.id: line for line in plan.lines}
    sheets = first_sheets(plan)
    for clip in plan.clips:
        line, placed = lines[clip.line], texts(sheets[clip.id])
        read = squeezed("".join(t.text for t in placed if t.size >= READ))
        words = clip.text if clip.part[1] > 1 and clip.kind is not LineKind.PICTURE else line.text
        face = sheets[clip.id].ink.face
        for expected in (words, line.scene or "", display_name(line.speaker), *line.directions):
            assert squeezed(face.printable(expected)) in read, (clip.id, expected)
        if clip.ask is not None:
            assert squeezed(f"ask {float(clip.ask):g} s") in read


@pytest.mark.parametrize("plan", CASES.values(), ids=CASES)
def test_words_and_names_are_set_large_enough_to_be_read(plan: Plan) -> None:
    """A syllable of a single frame, and one of several at once, may be smaller: its line stands above in full."""
    names = {display_name(line.speaker) for line in plan.lines if line.speaker}
    for page in lay_out(plan):
        for t in texts(page):
            if t.text in names:
                assert t.size >= READ or _is_turned(page, t), (page.key, str(t))


def _is_turned(page: Page, text: Set) -> bool:
    return any(turned.text == text.text for turned in page.ink.turned)


def test_a_picture_passage_has_its_words_a_place_to_draw_and_each_of_its_clips() -> None:
    plan = pictures(FrameRate(Fraction(24)))
    sheets = first_sheets(plan)
    page = sheets["C03.1"]
    assert "23 × ask 8 s" in told(page)
    for n in range(1, 24):
        assert f"C03.{n} " in told(page) + " "
        assert f"{n} of 23" in told(page)
    assert "first picture" in told(page)
    assert squeezed(PASSAGE) in squeezed(told(sheets["C04"]))


SPOILING = [code for code in FindingCode if code.spoils]


@pytest.mark.parametrize("code", SPOILING)
def test_a_take_that_does_not_hold_its_line_is_cautioned_of_on_every_page_that_names_it(code: FindingCode) -> None:
    plan = plans.talk_plan(parts=("clips", "frames", "lines", "strips"))
    for state in ("delivered", "accepted"):
        back = Delivered("C03", "clips/C03.mp4", 2, state, findings=(Finding(code, "is not what was asked"),))
        seen = {"Clip table": 0, "frame sheet": 0, "Line list": 0, "strip sheet": 0}
        for page in lay_out(replace(plan, deliveries=(back,))):
            if "came back: is not what was asked" in told(page):
                kind = next(k for k in seen if k in told(page))
                seen[kind] += 1
                assert any(t.text == "!" and t.gray == 1 for t in texts(page))
                assert f"fits {float(plan.clips[2].ask or 0):g} s" not in told(page)
        assert min(seen.values()) == 1, seen


def test_a_take_without_a_fault_has_no_caution() -> None:
    plan = plans.talk_plan(parts=("clips", "frames", "lines"))
    back = Delivered("C03", "clips/C03.mp4", 1, "accepted", True, Fraction(1, 4))
    for page in lay_out(replace(plan, deliveries=(back,))):
        assert "came back: " not in told(page)


def test_a_take_whose_words_could_not_be_followed_says_that_its_times_are_not_used() -> None:
    plan = plans.talk_plan(parts=("clips",))
    back = Delivered("C03", "clips/C03.mp4", 1, "delivered", False)
    assert "its times are not used" in told(lay_out(replace(plan, deliveries=(back,)))[0])


def test_words_that_are_said_differently_or_not_at_all_are_marked_and_the_sheet_says_so() -> None:
    page = first_sheets(came_back())["C01"]
    assert "measured from the recording 1 tansy.ogg, some words estimated, 2 words not as written" in told(page)
    assert "not said" in told(page)
    assert "said differently" in told(page)


def test_frame_sheets_carry_no_frame_of_the_episode() -> None:
    """They count from their clip: a line that grows somewhere else leaves them true."""
    one = plans.talk_plan(parts=("frames",))
    talk = [("TANSY", "*One *line *more, *in *front."), *plans.TALK]
    ids = ["0A", *(str(n + 1) for n in range(len(plans.TALK)))]
    two = plans.talk_plan(talk, ids, parts=("frames",))

    def bands(plan: Plan) -> dict[str, str]:
        from timing.sheet.fonts import load_typeface
        from timing.sheet.frame.score import ScoreWriter
        from timing.sheet.frame.sheets import FrameSheets

        sheets = FrameSheets(plan, load_typeface(None), ScoreWriter(plan), None)
        return {anchor: band.ink.said() for anchor, band in sheets.bands.items()}

    before, after = bands(one), bands(two)
    assert {anchor: after[anchor] for anchor in before} == before


def test_removed_new_and_changed_clips_are_told_on_paper() -> None:
    ids = [str(n + 1) for n in range(len(plans.TALK))]
    first = render_sheets(plans.talk_plan(plans.TALK, ids))
    register = json.loads(json.dumps(first.register))
    talk = [("TANSY", "*Bram, *wake *up! *Some-bo-dy *stole the *sea!"), *plans.TALK[1:2], *plans.TALK[3:]]
    talk.append(("BRAM", "*New *line."))
    plan = plans.talk_plan(talk, ["1", "2", "4", "5", "6", "7"], parts=("clips",))
    plan = replace(plan, retired_ids=("3",))
    page = lay_out(plan, register)[0]
    assert "omitted: C03" in told(page)
    assert "words changed since the last set: ask again" in told(page)
    assert "new since the last set" in told(page)
    again = render_sheets(plan, register)
    third = lay_out(plan, json.loads(json.dumps(again.register)))[0]
    assert told(third) == told(page)  # a rerun says the same


def test_capitals_and_marks_are_not_other_words() -> None:
    first = render_sheets(plans.talk_plan([("TANSY", "*Bram, *wake *up!")]))
    page = lay_out(plans.talk_plan([("TANSY", "*bram, *wake *up.")]), json.loads(json.dumps(first.register)))[0]
    assert "ask again" not in told(page)


def test_sums_are_sums_of_what_is_printed_halves_up() -> None:
    # 0.25 + 0.25: each is printed 0.3, so the sum below them is 0.6 and not 0.5.
    parts = [Fraction(1, 4), Fraction(1, 4)]
    assert [tenths(p) for p in parts] == ["0.3", "0.3"]
    assert tenths(sum_printed(parts)) == "0.6"


def test_the_number_of_pages_is_said_and_what_would_halve_it() -> None:
    plan = plans.talk_plan(list(plans.TALK) * 8)
    made = render_sheets(plan)
    assert made.pages == len(lay_out(plan))
    assert made.count.startswith(f"{made.pages} pages: ")
    assert "--parts clips,strips,bars" in made.count
    fewer = int(made.count.rsplit(" ", 1)[1])
    strips = plans.talk_plan(list(plans.TALK) * 8, parts=("clips", "strips", "bars"))
    assert fewer == len(lay_out(strips))


def test_the_key_of_the_vowels_has_words_of_the_language() -> None:
    for language, word in (
        ("de_DE", "Schuh"),
        ("fr_FR", "loup"),
        ("es_ES", "luna"),
        ("it_IT", "luna"),
        ("pt_BR", "lua"),
    ):
        plan = replace(plans.talk_plan(parts=("frames",)), language=language)
        line = plan.lines[0]
        sound = replace(line.words[0].syllables[0], phones=("M", "UW"), phone_starts=())
        line = replace(line, words=(replace(line.words[0], syllables=(sound,)), *line.words[1:]))
        page = lay_out(replace(plan, lines=(line, *plan.lines[1:])))[0]
        assert f"u {word}" in told(page) or f"u as in {word}" in told(page), language
