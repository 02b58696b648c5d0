"""What the paper must say in words: what to draw, who, what may not be trusted, what has changed."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction

import pytest

from tests.sheet import plans
from tests.sheet.geometry import Set, texts
from tests.sheet.hard_set import PASSAGE, came_back, cued, hard_set, pictures
from timing.model import Cut, CutEvent, Delivered, Finding, LineKind, Plan, Voice
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.settings import EpisodeSettings
from timing.sheet import render_sheets
from timing.sheet.document import PARTS, lay_out
from timing.sheet.figures import sum_printed, tenths
from timing.sheet.fonts import ITALIC, MM_PER_POINT
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


ROOM = READ * 0.93 * MM_PER_POINT + 0.5  # mm from the top of a capital to the foot of a g, and a little air
WORD_BARS = (0.6, 2.0)  # mm: the bar at the left of a syllable's box, thick where it is stressed
ONE_LANE = ("one frame each at 25", "long line at 60", "ninety syllables", "came back", "cues", "5/4, held")


@pytest.mark.parametrize("name", ONE_LANE)
def test_a_syllable_that_has_the_room_is_set_large_enough_to_be_read(name: str) -> None:
    """Its box is as high as its rows; what has no room stands in the band above in full."""
    small, checked = [], 0
    for page in lay_out(replace(CASES[name], settings=only_frames(CASES[name]))):
        placed = texts(page)
        for shape in page.ink.fills.get(0.0, []):
            left, right = min(x for x, _ in shape), max(x for x, _ in shape)
            top, foot = min(y for _, y in shape), max(y for _, y in shape)
            if not any(abs(right - left - width) < 0.01 for width in WORD_BARS) or foot - top < ROOM:
                continue
            inside = [t for t in placed if left + 2 < t.x0 < left + 7 and top < t.y1 <= foot + 1 and t.style != ITALIC]
            fitting = [t for t in inside if page.ink.face.width_mm(t.text, t.style, READ) <= 16]
            checked += len(fitting)
            small += [str(t) for t in fitting if t.size < READ]
    assert checked
    assert not small


def only_frames(plan: Plan) -> EpisodeSettings:
    return replace(plan.settings, sheet=replace(plan.settings.sheet, parts=("frames",)))


def _is_turned(page: Page, text: Set) -> bool:
    return any(turned.text == text.text for turned in page.ink.turned)


def on_rows(page: Page, text: str) -> list[int]:
    """Return the frame numbers beside which a text begins in its panel: those of the row its box's top edge is on."""
    found = []
    for t in texts(page):
        if not t.text.startswith(text) or t.size != 9:
            continue
        numbers = [n for n in texts(page) if n.text.isdigit() and n.size < 9 and 0 < n.x0 - t.x0 < 60]
        above = [n for n in numbers if n.y1 <= t.y1 + 1.5]
        found += [int(max(above, key=lambda n: n.y1).text)] if above else []
    return found


def test_a_sound_stands_on_the_sheet_of_the_clip_in_which_it_falls_at_its_frame() -> None:
    sheets = first_sheets(cued())
    # By hand: PLOP! is frame 131 of the episode, C05 is seen from 131 (137 less a head of 6): its frame 1.
    assert "frame 1 sound: PLOP!" in told(sheets["C05"])
    assert on_rows(sheets["C05"], "sound: PLOP!") == [1]
    # The gulls are frame 0 of the episode, and so is C02.
    assert "frame 1 sound: gulls, far away" in told(sheets["C02"])
    # C08 is seen from 425 - 10 = 415: the two at 440 are its frame 26; the second stands under the first.
    assert "frame 26 sound: one pebble falls on another, twice" in told(sheets["C08"])
    assert "frame 26 sound: and the echo of it from the far side of the bay" in told(sheets["C08"])
    assert on_rows(sheets["C08"], "sound: one")[0] in (26, 27)  # the text's own row, under the edge at 26


def test_a_wait_is_rows_with_the_mouth_at_rest_and_a_wait_without_a_clip_stands_behind_the_one_before() -> None:
    plan = cued()
    sheets = first_sheets(plan)
    assert "Bram waits" in told(sheets["C06.1"])
    for clip in ("C06.1", "C06.2"):
        numbers = {t.text for page in lay_out(plan) for t in texts(page) if f"sheet-{clip}" in page.key}
        assert {str(n + 1) for n in range(120)} <= numbers or clip not in sheets[clip].key
    assert "then wait: wait for the children to answer" in told(sheets["C02"])


def test_every_line_without_a_clip_has_a_row_of_the_clip_table() -> None:
    page = lay_out(cued(parts=("clips",)))[0]
    assert "sound: PLOP! · frame 132, 00:00:05:11 · in C05" in told(page)  # 131 = 5 x 24 + 11, counted from 1
    # The wait is the stretch without a clip from frame 60 to 131 (59 = 2 x 24 + 11, counted from 1): one row says both.
    assert "no clip line 3, wait: wait for the children to answer" in told(page)
    assert "3.0 s · 60–131, 00:00:02:11" in told(page)
    assert "nobody speaks" not in told(page)
    count = next(t for t in texts(page) if t.text == "lines")
    assert any(t.text == "11" and abs(t.x0 - count.x0) < 1 for t in texts(page))  # as `timing sheet` counts them


def test_a_sung_clip_says_who_sings_or_that_nobody_is_named() -> None:
    assert "sung, nobody is named" in told(first_sheets(cued())["C12"])
    plan = plans.song_plan(plans.song())
    assert "Both sings" in told(first_sheets(plan)["C01"])


def test_the_band_names_the_accepted_take() -> None:
    plan = plans.talk_plan(parts=("frames",))
    back = Delivered("C03", "clips/C03 take 4.mp4", 5, "accepted", True, Fraction(1, 4))
    assert "accepted: C03 take 4.mp4" in told(first_sheets(replace(plan, deliveries=(back,)))["C03"])


def test_the_converted_voice_stands_beside_its_take_and_its_doubts_below() -> None:
    plan = plans.talk_plan(parts=("clips", "frames", "lines"))
    late = Finding(FindingCode.VOICE_SHIFT, "C03 voice.wav: lies 3.0 frames late")
    for voice, names_it in ((Voice("clips/C03 voice.wav", is_used=True, findings=(late,)), True),
                            (Voice("clips/C03 voice.wav", findings=(late,)), False)):  # fmt: skip
        back = Delivered("C03", "clips/C03.mp4", 1, "delivered", True, Fraction(1, 4), voice=voice)
        pages = [page for page in lay_out(replace(plan, deliveries=(back,))) if "C03.mp4" in told(page)]
        assert len(pages) == 3
        for page in pages:
            assert ("back: C03.mp4, voice: C03 voice.wav" in told(page)) is names_it
            assert "came back: C03 voice.wav: lies 3.0 frames late" in told(page)


def test_the_other_line_of_a_shared_clip_stands_in_its_row_and_its_band() -> None:
    rate = FrameRate(Fraction(24))
    one = plans.line("1", "*Is it *gone?", 6, (4,), "TANSY")
    two = plans.line("2", "*Gone.", one.end_frame + 12, (6,), "BRAM")
    clip = plans.clip(one, rate)
    clip = replace(clip, lines=("1", "2"), text="Is it gone? Gone.", end_frame=two.end_frame + 8,
                   end=rate.moment_of(two.end_frame + 8), speech_end=two.end)  # fmt: skip
    table, sheet = lay_out(plans.plan([one, two], [clip], parts=("clips", "frames")))
    assert "and line 2, Bram: Gone." in told(table)
    assert "Tansy: Is it gone?" in told(sheet)
    assert "Bram: Gone." in told(sheet)


def test_a_sound_has_its_frames_of_the_real_cut() -> None:
    """By hand, 24 frames a second: C05 is laid from frame 131 to 175 of the plan, the sound at its first frame.

    The cut shows C05 from its start at frame 200, and once more from 10 frames later on at frame 300, without it; then
    from the start at 400. C02 and with it the gulls are not in the cut.
    """
    rate = FrameRate(Fraction(24))

    def event(start: int, end: int, planned: int) -> CutEvent:
        a, b = rate.moment_of(start), rate.moment_of(end)
        return CutEvent("C05", a, b, start, end, Fraction(0), "C05", planned=rate.moment_of(planned))

    events = (event(200, 244, 131), event(300, 334, 141), event(400, 401, 131), event(500, 520, 132))
    cut = Cut("edit.edl", rate, rate.moment_of(600), 600, events)
    assert cut.frames_of("C05", rate.moment_of(131), rate) == (200, 400)
    assert cut.frames_of("C05", rate.moment_of(174), rate) == (243, 333)
    assert cut.frames_of("C05", rate.moment_of(175), rate) == ()
    page = lay_out(replace(cued(parts=("clips",)), cut=cut))[0]
    assert "sound: PLOP! · frame 201, 00:00:08:08 and frame 401, 00:00:16:16 · in C05" in told(page)
    assert "sound: gulls, far away · not in the cut · in C02" in told(page)


def test_a_long_caution_stands_whole_on_a_strip() -> None:
    long = "has 96 frames, 120 were asked for, and " + "its sound is late in places that nobody would look for, " * 5
    plan = plans.talk_plan(parts=("strips",))
    back = Delivered(
        "C02", "clips/C02.mp4", 1, "delivered", True, Fraction(0), findings=(Finding(FindingCode.TOO_SHORT, long),)
    )
    pages = lay_out(replace(plan, deliveries=(back,)))
    assert squeezed(long) in squeezed(" ".join(told(page) for page in pages))


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
        said = {"delivered": "came back", "accepted": "accepted all the same"}[state]
        for page in lay_out(replace(plan, deliveries=(back,))):
            if f"{said}: is not what was asked" in told(page):
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
        assert "all the same" not in told(page)


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
    assert made.count.startswith(f"{made.pages} pages: clip table ")
    assert ", first pictures 1, queue 2, frame sheets 24" in made.count  # 48 clips, two on a sheet
    assert "--parts clips,pictures,queue,strips" in made.count
    fewer = int(made.count.rsplit(" ", 1)[1])
    strips = plans.talk_plan(list(plans.TALK) * 8, parts=("clips", "pictures", "queue", "strips"))
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
