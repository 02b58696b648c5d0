"""Frame sheets, tested where the layout has settled them: this mark, these millimetres."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sheet import plans
from timing.model import Origin, Plan
from timing.model.clock import FrameRate
from timing.model.settings import SheetSettings
from timing.plain.errors import SettingsError
from timing.sheet.document import lay_out
from timing.sheet.fonts import BOLD
from timing.sheet.frame.frame_sheet import WORDS_RIGHT
from timing.sheet.frame.score import passages_of
from timing.sheet.ink import Page, Pen
from timing.sheet.paper import ROWS_TOP, Layout, Panel, fitted, frame_layout, paper_size, without_music

RATES = [FrameRate.parse(text) for text in ("12", "16", "23.976", "24", "25", "29.97", "30", "48", "50", "60")]


def frame_pages(plan: Plan) -> list[Page]:
    return [page for page in lay_out(plan) if page.form is not None]


def numbers(page: Page, layout: Layout, panel: Panel) -> list[int]:
    """Return the printed frame numbers of a panel, from the top down."""
    right = panel.columns["frame"][1] - 2.8
    found = []
    for (style, size, _), texts in page.ink.texts.items():
        for x, y, text in texts:
            if text.isdigit() and abs(x + page.ink.face.width_mm(text, style, size) - right) < 0.01:
                found.append((y, int(text)))
    return [number for _, number in sorted(found)]


def syllable_rows(page: Page, layout: Layout, panel: Panel) -> list[tuple[int, int]]:
    """Return the rows that the right edges of the syllable boxes cover, first and one past the last."""
    edge = panel.columns["words"][1] - WORDS_RIGHT
    rows = []
    for x0, y0, x1, y1 in page.ink.lines.get(Pen(1.0), []):
        if abs(x0 - edge) < 1e-6 and abs(x1 - edge) < 1e-6:
            edges = [(y - ROWS_TOP) / layout.pitch for y in (y0, y1)]
            assert all(abs(value - round(value)) < 1e-6 for value in edges), "a box edge lies between two rows"
            rows.append((round(edges[0]), round(edges[1])))
    return sorted(rows)


@st.composite
def printed_plans(draw: st.DrawFn) -> Plan:
    rate = draw(st.sampled_from(RATES))
    talk = draw(st.lists(st.sampled_from(plans.TALK), min_size=1, max_size=4))
    frames = draw(st.lists(st.integers(1, 40), min_size=1, max_size=14))
    layout = draw(st.sampled_from(["page", "wide"]))
    rows = draw(st.sampled_from([None, 48, 72, 96]))
    paper = draw(st.sampled_from(["A4", "Letter"]))
    whole = draw(st.booleans())
    return plans.talk_plan(
        talk, rate=rate, frames=frames, layout=layout, rows=rows, paper=paper, every_frame=whole, parts=("frames",)
    )


@settings(max_examples=40, deadline=None)
@given(printed_plans())
def test_every_frame_stands_once_in_order_and_every_box_covers_its_frames(plan: Plan) -> None:
    usual = frame_layout(plan.settings.sheet, plan.rate)
    asked_for = plan.settings.sheet.rows is not None or plan.settings.sheet.every_frame
    pages = iter(frame_pages(plan))
    for passage in passages_of(plan, plan.settings.sheet.every_frame):
        expected_boxes = [
            (s.start_frame - passage.first, s.end_frame - passage.first)
            for line in plan.lines
            for s in line.syllables
            if passage.first <= s.start_frame < passage.end
        ]
        reach = max(c.start_frame - passage.first + plan.rate.frame_at(c.ask or 0) for c in passage.clips)
        layout = without_music(usual if asked_for else fitted(usual, passage.length, reach))
        seen: list[int] = []
        for sheet in range(-(-passage.length // layout.frames)):
            page = next(pages)
            for n, panel in enumerate(layout.panels):
                f0 = sheet * layout.frames + n * layout.rows
                seen += numbers(page, layout, panel)
                expected = sorted(
                    (max(a, f0) - f0, min(b, f0 + layout.rows) - f0)
                    for a, b in expected_boxes
                    if a < f0 + layout.rows and b > f0
                )
                assert syllable_rows(page, layout, panel) == expected
        assert seen[: passage.length] == list(range(1, passage.length + 1))
        assert seen == list(range(1, len(seen) + 1))  # what follows is the slack, still in order
    assert next(pages, None) is None


def test_the_rows_of_all_sheets_add_up_to_the_frames_of_all_clips() -> None:
    plan = plans.talk_plan(parts=("frames",))
    assert sum(p.length for p in passages_of(plan)) == sum(c.end_frame - c.start_frame for c in plan.clips)


# ISO 216 and ANSI/ASME Y14.1 size A.
@pytest.mark.parametrize(("name", "size"), [("A4", (210, 297)), ("letter", (8.5 * 25.4, 11 * 25.4))])
def test_paper_has_its_standard_size(name: str, size: tuple[float, float]) -> None:
    assert paper_size(name) == pytest.approx(size)
    assert paper_size(name, is_landscape=True) == pytest.approx(size[::-1])


@pytest.mark.parametrize("rows", [0, 5, 400])
def test_a_number_of_rows_nobody_can_write_on_is_refused(rows: int) -> None:
    if rows:
        with pytest.raises(SettingsError, match="24 to 120 rows"):
            frame_layout(SheetSettings(rows=rows), RATES[3])
    else:
        assert frame_layout(SheetSettings(rows=None), RATES[3]).rows == 72


# 100 frames a sheet = 4 s at 25 fps is the television form (RMIT University animation notes); the exposure sheet of
# E. Goldberg, Character Animation Crash Course! (2008), p. 67-68, holds 96 frames = 4 s at 24 fps.
@pytest.mark.parametrize(("fps", "frames"), [(24, 96), (25, 100)])
def test_a_wide_sheet_holds_four_seconds(fps: int, frames: int) -> None:
    assert frame_layout(SheetSettings(layout="wide"), FrameRate.parse(fps)).frames == frames


@given(
    st.integers(1, 2000), st.sampled_from(RATES), st.sampled_from(["A4", "Letter"]), st.sampled_from(["page", "wide"])
)
def test_a_fitted_layout_never_needs_more_sheets_and_stays_readable(
    length: int, rate: FrameRate, paper: str, name: str
) -> None:
    usual = frame_layout(SheetSettings(paper=paper, layout=name), rate)
    made = fitted(usual, length)
    assert -(-length // made.frames) <= -(-length // usual.frames)
    assert made.pitch >= min(2.9, usual.pitch)
    assert made.foot == pytest.approx(usual.foot)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("layout", ["page", "wide"])
def test_columns_fill_the_width_without_gaps_and_the_action_column_is_the_widest(paper: str, layout: str) -> None:
    made = frame_layout(SheetSettings(paper=paper, layout=layout), RATES[3])
    for panel in made.panels:
        edges = list(panel.columns.values())
        assert edges[0][0] == pytest.approx(panel.left)
        assert edges[-1][1] == pytest.approx(panel.right)
        assert all(a[1] == pytest.approx(b[0]) for a, b in itertools.pairwise(edges))
        assert max(panel.columns, key=lambda name: panel.columns[name][1] - panel.columns[name][0]) == "action"


def test_lips_close_on_the_frames_of_their_sound() -> None:
    rate = FrameRate(Fraction(24))
    line = plans.line("1", "*moon", 6, (10,), rate=rate)
    syllable = line.words[0].syllables[0]
    # The m lasts from frame 6 to 9 (1/8 s), the vowel follows.
    sung = replace(syllable, phones=("M", "UW", "N"), phone_starts=(Fraction(6, 24), Fraction(9, 24), Fraction(15, 24)))
    line = replace(line, words=(replace(line.words[0], syllables=(sung,)),))
    plan = plans.plan([line], [plans.clip(line, rate)], parts=("frames",))
    page, layout = frame_pages(plan)[0], without_music(frame_layout(plan.settings.sheet, rate))
    left = layout.panels[0].columns["mouth"][0] + 1.6
    blocks = [[p for p in shape if abs(p[0] - left) < 0.01] for shape in page.ink.fills[0.0]]
    tops = [(shape[0][1], shape[-1][1]) for shape in blocks if shape]
    assert tops == [pytest.approx((ROWS_TOP + 6 * layout.pitch + 0.2, ROWS_TOP + 9 * layout.pitch - 0.2))]
    vowels = [t for (_, size, _g), texts in page.ink.texts.items() if size == 9.5 for t in texts]
    assert [t[2] for t in vowels] == ["u"]
    assert ROWS_TOP + 9 * layout.pitch < vowels[0][1] < ROWS_TOP + 10 * layout.pitch + 0.5


def test_two_speakers_at_once_share_sheets_in_two_lanes() -> None:
    plan = plans.together_plan(parts=("frames",))
    assert len(passages_of(plan)) == 1
    page = frame_pages(plan)[0]
    texts = [text for group in page.ink.texts.values() for _, _, text in group]
    assert "C01 + C02" in texts
    assert {"Tansy", "Bram"} <= set(texts)


def test_each_part_of_a_split_line_has_sheets_of_its_own_that_count_from_its_first_frame() -> None:
    plan = plans.split_plan(parts=("frames",))
    assert [p.name for p in passages_of(plan)] == ["C02.1", "C02.2"]  # the picture passage has no sheet
    layout = without_music(frame_layout(plan.settings.sheet, plan.rate))
    firsts = [numbers(page, layout, layout.panels[0])[0] for page in frame_pages(plan)]
    assert firsts.count(1) == 2
    texts = [t for page in frame_pages(plan) for group in page.ink.texts.values() for _, _, t in group]
    line, (first, second) = plan.lines[1], plan.clips[1:]
    assert f"C02.2 goes on: “{line.words[second.words[0]].text}”" in texts
    assert f"after C02.1: “{line.words[first.words[1] - 1].text}”" in texts
    whole = [
        t
        for page in frame_pages(plans.split_plan(parts=("frames",), every_frame=True))
        for g in page.ink.texts.values()
        for *_, t in g
    ]
    assert whole.count("C02.2 begins here") == 1


@pytest.mark.parametrize(
    ("origin", "words"),
    [(Origin.ESTIMATED, "estimated from the words"), (Origin.MEASURED, "measured from the recording memo.m4a")],
)
def test_a_sheet_says_where_its_times_come_from(origin: Origin, words: str) -> None:
    plan = plans.talk_plan(parts=("frames", "strips"))
    lines = [
        replace(line, origin=origin, take="recordings/memo.m4a" if origin is Origin.MEASURED else None)
        for line in plan.lines
    ]
    for page in lay_out(replace(plan, lines=tuple(lines))):
        texts = [t for group in page.ink.texts.values() for *_, t in group]
        assert any(words in t for t in texts)


def test_words_that_nobody_could_read_have_no_mouth_and_say_so() -> None:
    plan = plans.talk_plan([("TANSY", "*θά-λασ-σα")], parts=("frames",))
    page = frame_pages(plan)[0]
    left = without_music(frame_layout(plan.settings.sheet, plan.rate)).panels[0].columns["mouth"][0]
    texts = [(x, t) for group in page.ink.texts.values() for x, _, t in group]
    assert "not timed: words not read" in [t for _, t in texts]
    assert not [t for x, t in texts if x > left + 3 and not t.isdigit() and t not in ("mouth", "frame sheet")]


def test_words_nobody_could_read_have_no_stress_and_a_missing_letter_is_explained_where_it_stands() -> None:
    plan = plans.talk_plan([("TANSY", "*海 is *ta-ken")], parts=("clips", "frames", "strips", "lines"))
    for page in lay_out(plan):
        texts = [t for group in page.ink.texts.values() for *_, t in group]
        assert any("¤" in t and "letter the font lacks" in t for t in texts) or "letter the font lacks" in texts
    page = frame_pages(plan)[0]
    assert "not read" in [t for group in page.ink.texts.values() for *_, t in group]
    bold = [t for (style, *_), group in page.ink.texts.items() if style == BOLD for *_, t in group]
    assert "ta-" in bold
    assert "¤" not in bold
    readable = frame_pages(plans.talk_plan(parts=("frames",)))[0]
    assert "letter the font lacks" not in [t for group in readable.ink.texts.values() for *_, t in group]


LONG_NAMES = ("BARTHOLOMEW THE EXTRAORDINARY FISHERMAN", "MORGANA-ELISABETH OF THE LIGHTHOUSE")


@pytest.mark.parametrize("layout", ["page", "wide"])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", LONG_NAMES)
def test_the_header_names_a_speaker_whole(name: str, paper: str, layout: str) -> None:
    plan = plans.split_plan(parts=("frames",), paper=paper, layout=layout)
    lines = tuple(replace(line, speaker=name) for line in plan.lines)
    plan = replace(plan, lines=lines, clips=tuple(replace(clip, speaker=name) for clip in plan.clips))
    for page in frame_pages(plan):
        texts = sorted((y, x, t) for group in page.ink.texts.values() for x, y, t in group)
        below = next(x for _, x, t in texts if t == "speaker")
        assert " ".join(t for y, x, t in texts if x == below and y < 19) == f"speaker {name.title()}"


def test_seconds_left_over_beyond_the_last_sheet_are_told_at_its_foot() -> None:
    rate = FrameRate(Fraction(24))
    line = plans.line("1", "*pools and *peb-bles", 6, (10, 10, 20, 18), rate=rate)  # 72 frames with its handles
    plan = plans.plan([line], [plans.clip(line, rate, 6, 8, 5)], parts=("frames",))
    (page,) = frame_pages(plan)
    texts = [t for group in page.ink.texts.values() for *_, t in group]
    assert "left over, to frame 120" in texts  # 5 s of 24 frames


def test_a_line_that_runs_over_the_foot_names_the_next_syllable() -> None:
    rate = FrameRate(Fraction(24))
    line = plans.line("1", "*pools and *peb-bles", 6, (30, 40, 20, 20), rate=rate)
    plan = plans.plan([line], [plans.clip(line, rate)], parts=("frames",))
    first, second = frame_pages(plan)
    texts = [[t for group in page.ink.texts.values() for _, _, t in group] for page in (first, second)]
    assert "C01 goes on: “peb-”" in texts[0]
    assert "C01 goes on" in texts[1]
    assert "(and)" in texts[1]


def test_two_who_go_on_over_the_foot_each_name_their_next_syllable_under_their_own_lane() -> None:
    rate = FrameRate(Fraction(24))
    one = plans.line("1", "*pools and *foam", 6, (30, 60, 20), "TANSY", rate=rate)
    two = replace(plans.line("2", "*moon and *shell", 20, (30, 40, 20), "BRAM", rate=rate), is_dual=True)
    plan = plans.plan([one, two], [plans.clip(one, rate), plans.clip(two, rate)], rate=rate, parts=("frames",))
    page = frame_pages(plan)[0]
    foot = [(x, y, t) for group in page.ink.texts.values() for x, y, t in group if t in ("“foam”", "“shell”")]
    assert sorted(t for *_, t in foot) == ["“foam”", "“shell”"]
    assert len({y for _, y, _ in foot}) == 1
    legend = min(y for group in page.ink.texts.values() for _, y, t in group if t == "handle")
    assert foot[0][1] < legend - 2  # clear of the legend below it


def test_a_sheet_says_where_it_begins_in_a_clip_whose_lead_is_cut() -> None:
    rate = FrameRate(Fraction(24))
    line = plans.line("1", "*moon", 24, (10,), rate=rate)
    whole = plans.clip(line, rate)
    # Half a second of handle is made, a quarter of it shown: 6 of 12 frames are cut.
    cut = replace(whole, head=Fraction(1, 2), start=line.start - Fraction(1, 4), start_frame=line.start_frame - 6)
    plan = plans.plan([line], [cut], parts=("frames", "strips"))
    for page in lay_out(plan):
        assert "frame 1 here is frame 7 of the clip as made" in " ".join(
            t for g in page.ink.texts.values() for *_, t in g
        )
    kept = replace(whole, head=line.start - whole.start)
    for page in lay_out(plans.plan([line], [kept], parts=("frames", "strips"))):
        assert not any("as made" in t for g in page.ink.texts.values() for *_, t in g)
