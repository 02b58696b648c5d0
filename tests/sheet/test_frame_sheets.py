"""Frame sheets, tested where the layout has settled them: this mark, these millimetres."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sheet import plans
from tests.sheet.geometry import faults
from timing.model import Origin, Plan
from timing.model.basics import Passage as Happening
from timing.model.clock import FrameRate
from timing.model.settings import SheetSettings
from timing.plain.errors import SettingsError
from timing.sheet import render_sheets
from timing.sheet.document import lay_out
from timing.sheet.fonts import BOLD, load_typeface
from timing.sheet.frame.frame_sheet import WORDS_RIGHT
from timing.sheet.frame.score import Passage, ScoreWriter, passages_of
from timing.sheet.frame.sheets import FrameSheets
from timing.sheet.frame.slots import Slot, columns_of, pages_of, settled, shared_pitch
from timing.sheet.ink import Page, Pen
from timing.sheet.paper import (
    LEAST_PITCH,
    MOST_PITCH,
    Rows,
    frame_layout,
    line_step,
    paper_size,
    quarter_second,
    rows_for,
    rows_in,
)

RATES = [FrameRate.parse(text) for text in ("12", "16", "23.976", "24", "25", "29.97", "30", "48", "50", "60")]


def frame_pages(plan: Plan) -> list[Page]:
    return [page for page in lay_out(plan) if page.label.startswith("frame sheet")]


def texts_of(page: Page) -> list[str]:
    return [t for group in page.ink.texts.values() for *_, t in group]


def placed(plan: Plan) -> list[tuple[Page, Slot, list[Rows]]]:
    """Return every slot with its page and its panels' rows, in order."""
    sheets = FrameSheets(plan, load_typeface(None), ScoreWriter(plan), None)
    pages = frame_pages(plan)
    assert len(pages) == len(sheets.sheets_of)
    found = []
    for page, names in zip(pages, sheets.sheets_of, strict=True):
        for name in names:
            slot = sheets.slots[name]
            panels = sheets._panels(slot.passage)
            mine = panels if slot.halves == 2 else panels[slot.column : slot.column + 1]
            place = slot.rows, slot.top, slot.foot
            rows = [] if slot.is_picture else [rows_in(sheets.layout, p, slot.head, *place) for p in mine]
            found.append((page, slot, rows))
    return found


def numbers(page: Page, rows: Rows) -> list[int]:
    """Return the printed frame numbers of a panel's rows, from the top down."""
    right = rows.panel.columns["frame"][1] - 3.0
    found = []
    for (style, size, _), texts in page.ink.texts.items():
        for x, y, text in texts:
            is_here = rows.top < y < rows.foot and text.isdigit()
            if is_here and abs(x + page.ink.face.width_mm(text, style, size) - right) < 0.01:
                found.append((y, int(text)))
    return [number for _, number in sorted(found)]


def syllable_rows(page: Page, rows: Rows) -> list[tuple[int, int]]:
    """Return the rows that the right edges of the syllable boxes cover, first and one past the last."""
    edge = rows.panel.columns["words"][1] - WORDS_RIGHT
    found = []
    for x0, y0, x1, y1 in page.ink.lines.get(Pen(1.0), []):
        if abs(x0 - edge) < 1e-6 and abs(x1 - edge) < 1e-6 and rows.top - 0.01 < y0 < rows.foot:
            edges = [(y - rows.top) / rows.pitch for y in (y0, y1)]
            assert all(abs(value - round(value)) < 1e-6 for value in edges), "a box edge lies between two rows"
            found.append((round(edges[0]), round(edges[1])))
    return sorted(found)


@st.composite
def printed_plans(draw: st.DrawFn) -> Plan:
    rate = draw(st.sampled_from(RATES))
    talk = draw(st.lists(st.sampled_from(plans.TALK), min_size=1, max_size=4))
    frames = draw(st.lists(st.integers(1, 40), min_size=1, max_size=14))
    layout = draw(st.sampled_from(["page", "wide"]))
    rows = draw(st.sampled_from([None, 36, 48]))
    paper = draw(st.sampled_from(["A4", "Letter"]))
    whole = draw(st.booleans())
    return plans.talk_plan(
        talk, rate=rate, frames=frames, layout=layout, rows=rows, paper=paper, every_frame=whole, parts=("frames",)
    )


@settings(max_examples=40, deadline=None)
@given(printed_plans())
def test_every_frame_stands_once_in_order_and_every_box_covers_its_frames(plan: Plan) -> None:
    seen: dict[str, list[int]] = {}
    for page, slot, panels in placed(plan):
        passage = slot.passage
        expected_boxes = [
            (s.start_frame - passage.first, s.end_frame - passage.first)
            for line in plan.lines
            for s in line.syllables
            if passage.first <= s.start_frame < passage.end
        ]
        for n, rows in enumerate(panels):
            f0 = slot.first + n * slot.rows
            seen.setdefault(passage.anchor, []).extend(numbers(page, rows))
            expected = sorted(
                (max(a, f0) - f0, min(b, f0 + slot.rows) - f0)
                for a, b in expected_boxes
                if a < f0 + slot.rows and b > f0
            )
            assert syllable_rows(page, rows) == expected
            assert rows.foot <= page.height - 21
    passages = passages_of(plan, plan.settings.sheet.every_frame)
    assert list(seen) == [p.anchor for p in passages]
    for passage in passages:
        found = seen[passage.anchor]
        assert found[: passage.length] == list(range(1, passage.length + 1))
        assert found == list(range(1, len(found) + 1))  # what follows is the slack, still in order


def test_the_rows_of_all_sheets_add_up_to_the_frames_of_all_clips() -> None:
    plan = plans.talk_plan(parts=("frames",))
    assert sum(p.length for p in passages_of(plan)) == sum(c.end_frame - c.start_frame for c in plan.clips)


# ISO 216 and ANSI/ASME Y14.1 size A.
@pytest.mark.parametrize(("name", "size"), [("A4", (210, 297)), ("letter", (8.5 * 25.4, 11 * 25.4))])
def test_paper_has_its_standard_size(name: str, size: tuple[float, float]) -> None:
    assert paper_size(name) == pytest.approx(size)
    assert paper_size(name, is_landscape=True) == pytest.approx(size[::-1])


@pytest.mark.parametrize("rows", [5, 99, 400])
def test_a_number_of_rows_nobody_can_read_is_refused(rows: int) -> None:
    with pytest.raises(SettingsError, match="rows that can be read"):
        frame_layout(SheetSettings(rows=rows, paper="Letter"), RATES[3])


@given(
    st.integers(1, 2000), st.sampled_from(RATES), st.sampled_from(["A4", "Letter"]), st.sampled_from(["page", "wide"])
)
def test_a_clip_takes_as_few_sheets_as_can_be_written_on(length: int, rate: FrameRate, paper: str, name: str) -> None:
    layout = frame_layout(SheetSettings(paper=paper, layout=name), rate)
    panels = 2 if name == "wide" else 1
    sheets, rows = rows_for(layout, 28, length, 0, panels, None)
    assert sheets * rows * panels >= length
    assert rows * LEAST_PITCH <= layout.room(28) + 0.01
    assert (sheets - 1) * int(layout.room(28) / LEAST_PITCH) * panels < length  # one sheet fewer would not hold it


def test_lines_to_write_on_are_even_at_every_rate_and_wide_enough_for_a_hand() -> None:
    """25 is a standard rate (EBU, PAL): its second has no half, so the seconds' marks may not bend the lines."""
    for rate in RATES:
        for paper in ("A4", "Letter"):
            layout = frame_layout(SheetSettings(paper=paper), rate)
            panel = layout.panels()[0]
            for length in (30, 61, 74):
                _, count = rows_for(layout, 28, length, 0, 1, None)
                rows = rows_in(layout, panel, 28, count)
                plan = plans.plan([], [])
                assert plan.rate.nominal == 24
                from timing.sheet.frame.frame_sheet import grid

                left, right = panel.columns["action"]
                full = sorted(
                    y0
                    for lines in grid(load_typeface(None), rows, 0).lines.values()
                    for x0, y0, x1, y1 in lines
                    if y0 == y1 and abs(x0 - left) < 0.01 and abs(x1 - right) < 0.01
                )
                steps = [b - a for a, b in itertools.pairwise(full)]
                assert max(steps) - min(steps) < 0.01, rate
                assert 5.0 <= steps[0] <= 11.0, rate


def test_the_line_to_write_on_is_the_one_worked_out_by_hand() -> None:
    # 3.2 mm a frame at 24: two frames are 6.4 mm, three 9.6; 7 is nearest to the first.
    assert line_step(3.2, quarter_second(24), 24) == 2
    # 60 a second at 3 mm: two frames (6 mm) miss the quarters of 15, three (9 mm) meet them.
    assert line_step(3.0, quarter_second(60), 60) == 3


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("layout", ["page", "wide"])
def test_columns_fill_the_width_without_gaps_and_the_action_column_is_the_widest(paper: str, layout: str) -> None:
    made = frame_layout(SheetSettings(paper=paper, layout=layout), RATES[3])
    for panel in made.panels():
        edges = list(panel.columns.values())
        assert edges[0][0] == pytest.approx(panel.left)
        assert edges[-1][1] == pytest.approx(panel.right)
        assert all(a[1] == pytest.approx(b[0]) for a, b in itertools.pairwise(edges))
        assert max(panel.columns, key=lambda name: panel.columns[name][1] - panel.columns[name][0]) == "action"


# 5 + 5 minutes of a page's two halves: two clips of three seconds share an upright sheet, at 24 and at 25.
@pytest.mark.parametrize("fps", [24, 25])
def test_two_clips_of_three_seconds_share_a_sheet(fps: int) -> None:
    rate = FrameRate.parse(fps)
    layout = frame_layout(SheetSettings(), rate)
    assert rows_for(layout, 29, 3 * fps, 0, 1, None)[0] == 1


def slot(name: str, frames: int, head: float = 20.0, least: float = 2.6, low_head: float | None = 20.0) -> Slot:
    """Return a slot whose passage has so many frames."""
    return Slot(Passage(name, 0, frames, ()), 0, 1, frames, 1, 1, False, head, least, 0, low_head)


def test_clips_share_a_column_where_their_rows_stay_as_far_apart_as_they_must() -> None:
    """By hand, 250 mm: two heads of 20 + 4.6 mm and 2.4 mm between clips leave 198.4 mm, 2.6 mm each for 76 rows."""
    room = 250.0
    assert shared_pitch([slot("A", 36), slot("B", 40)], room) == pytest.approx(198.4 / 76)
    assert shared_pitch([slot("A", 37), slot("B", 40)], room) is None
    assert shared_pitch([slot("A", 36), slot("B", 40, least=2.95)], room) is None
    assert shared_pitch([slot("A", 36), slot("B", 40, low_head=None)], room) is None  # goes on: nothing below it
    assert shared_pitch([slot("A", 10), slot("B", 20)], room) == MOST_PITCH  # 6.6 mm would be waste


def test_clips_stand_side_by_side_while_there_are_two_and_share_where_rows_stay_widest() -> None:
    """By hand: 20 and 30 frames get (250 - 51.6) / 50 = 3.97 mm, 30 and 40 only 2.83, so the first two share."""

    def names(*slots: Slot) -> list[list[str]] | None:
        columns = columns_of(slots, 250.0)
        return columns and [[one.passage.anchor for one in column] for column in columns]

    a, b, c = slot("A", 20), slot("B", 30), slot("C", 40)
    assert names(a) == [["A"]]
    assert names(a, b) == [["A"], ["B"]]
    assert names(a, b, c) == [["A", "B"], ["C"]]
    assert names(c, b, a) == [["C"], ["B", "A"]]
    assert names(c, c, c) is None  # 80 rows are too many for a column
    assert names(a, b, a, b) == [["A", "B"], ["A", "B"]]
    assert names(replace(a, halves=2)) == [["A"]]
    assert names(replace(a, halves=2), b) is None


def test_clips_of_one_column_follow_each_other_down_to_its_foot() -> None:
    """By hand: rows of 3.968 mm; 20 + 4.6 + 20 rows end at 103.96 mm, the next clip begins 2.4 mm below."""
    above, below, beside = settled([[slot("A", 20), slot("B", 30)], [slot("C", 40)]], 0.0, 250.0)
    assert (above.top, above.foot, above.rows, above.column) == (0.0, pytest.approx(103.96), 20, 0)
    assert (below.top, below.foot, below.rows, below.column) == (pytest.approx(106.36), pytest.approx(250.0), 30, 0)
    assert (beside.top, beside.foot, beside.rows, beside.column) == (0.0, 250.0, 40, 1)


def short_and_long(length: int) -> FrameSheets:
    """Return the sheets of a clip of ``length`` frames, then one of 28: four syllables and handles of 14 frames."""
    rate = FrameRate(Fraction(24))
    first = plans.line("1", "*Peb-bles, *foam and *mos-sy *pools.", 6, [(length - 14) // 7] * 6 + [99], rate=rate)
    over = first.end_frame + 8 - length
    last = first.syllables[-1].end_frame - over - first.syllables[-1].start_frame
    first = plans.line("1", "*Peb-bles, *foam and *mos-sy *pools.", 6, [(length - 14) // 7] * 6 + [last], rate=rate)
    then = plans.line("2", "*No-bo-dy *has", first.end_frame + 14, (3, 3, 4, 4), "BRAM", rate=rate)
    plan = plans.plan([first, then], [plans.clip(first, rate), plans.clip(then, rate)], parts=("frames",))
    return FrameSheets(plan, load_typeface(None), ScoreWriter(plan), None)


def test_the_last_rows_of_a_long_clip_share_their_column_with_a_short_one() -> None:
    sheets = short_and_long(110)
    assert sheets.sheets_of == [["C01/1", "C01/2", "C02/1"]]
    head, tail, short = (sheets.slots[name] for name in sheets.sheets_of[0])
    assert (head.column, tail.column, short.column) == (0, 1, 1)
    assert (head.first, head.rows) == (0, tail.first)
    assert tail.rows == 110 - head.rows < head.rows
    assert tail.foot < short.top


def test_the_rows_of_a_long_clip_are_spread_evenly_where_nothing_shares_its_last_column() -> None:
    sheets = short_and_long(150)  # its last rows leave no room for the next clip
    assert sheets.sheets_of == [["C01/1", "C01/2"], ["C02/1"]]
    first, last = (sheets.slots[name] for name in sheets.sheets_of[0])
    assert first.rows == last.rows == last.first


def test_a_clip_chosen_rows_for_shares_no_column() -> None:
    plan = plans.talk_plan([("TANSY", "*Bram!")] * 3, rows=40, parts=("frames",))
    sheets = FrameSheets(plan, load_typeface(None), ScoreWriter(plan), None)
    assert sheets.sheets_of == [["C01/1", "C02/1"], ["C03/1"]]
    free = replace(plan, settings=replace(plan.settings, sheet=SheetSettings(parts=("frames",))))
    assert len(FrameSheets(free, load_typeface(None), ScoreWriter(free), None).sheets_of) == 1


def test_numbers_of_four_figures_and_minutes_of_two_stand_clear_of_each_other() -> None:
    """12 frames a second: number 1009 stands beside 1:24, number 7201 beside 10:00."""
    rate = FrameRate.parse("12")
    for at in (1000, 7195):
        seen, shown = plans.picture("1", 0, at, rate)
        said = plans.line("2", "*No-bo-dy has *ta-ken it.", at + 6, (4,), "BRAM", rate=rate)
        plan = plans.plan([seen, said], [shown, plans.clip(said, rate)], rate=rate, parts=("frames",), every_frame=True)
        page = lay_out(plan)[-1]
        told = texts_of(page)
        assert ("1009" in told and "1:24" in told) if at == 1000 else ("7201" in told and "10:00" in told)
        assert not faults(page)


def test_sounds_a_frame_apart_stand_below_each_other_with_no_rule_through_either() -> None:
    rate = FrameRate(Fraction(24))
    said = plans.line("1", "*No-bo-dy has *ta-ken it.", 6, (6,), "BRAM")
    far, near = (
        replace(plans.picture(name, at, at + 1, rate)[0], text=text, passage=Happening.SOUND)
        for name, at, text in (("2", 12, "gulls, far away over the bay"), ("3", 13, "a pebble"))
    )
    plan = plans.plan([said, far, near], [plans.clip(said, rate)], parts=("frames",))
    (page,) = lay_out(plan)
    assert "sound: a pebble" in texts_of(page)
    assert not faults(page)


def test_a_title_of_any_length_stands_clear_of_what_is_below_and_beside_it() -> None:
    plan = plans.talk_plan(plans.TALK[:1], parts=("frames",))
    heads = set()
    for count in range(40, 80, 2):
        named = replace(plan, title="sea foam " * (count // 9) + "sea foam "[: count % 9])
        (page,) = lay_out(named)
        assert not faults(page), count
        heads.add(sum(y < 30 for y, text in head_texts(page) if text.startswith("E01") or "sea" in text))
    assert heads == {1, 2}  # lines of the title


def head_texts(page: Page) -> list[tuple[float, str]]:
    return [(y, text) for kind, placed in page.ink.texts.items() if kind.size == 10 for _, y, text in placed]


def test_the_bar_of_a_changed_band_stands_beside_all_of_it() -> None:
    """A band of a lying page goes over both panels: the bar of what changed in it lies in the right margin."""
    plan = plans.talk_plan(plans.TALK[:1], parts=("frames",), layout="wide")
    before = render_sheets(plan).register
    told = replace(plan.lines[0], directions=("in a whisper",))
    (page,) = lay_out(replace(plan, lines=(told,)), before)
    bars = [shape for shape in page.ink.fills[0.0] if shape[1][0] - shape[0][0] == pytest.approx(0.8)]
    in_rows = [shape for shape in bars if shape[0][1] < page.height - 21]
    assert {round(shape[0][0], 2) for shape in in_rows} == {297 - 8 + 0.6}


def test_a_set_printed_before_keeps_its_sheets() -> None:
    plan = plans.talk_plan([("TANSY", "*Bram!")] * 3, parts=("frames",))
    before = {"sheets": [{"part": "frames", "facts": "C01/1 C02/1"}, {"part": "frames", "facts": "C03/1"}]}
    sheets = FrameSheets(plan, load_typeface(None), ScoreWriter(plan), before)
    assert sheets.sheets_of == [["C01/1", "C02/1"], ["C03/1"]]


def test_a_new_clip_goes_beside_its_neighbour_and_moves_no_other_sheet() -> None:
    before = pages_of([(name, 1) for name in "ACDEF"], 2)
    assert before == [["A", "C"], ["D", "E"], ["F"]]
    after = pages_of([(name, 1) for name in "ABCDEF"], 2, before)
    assert after == [["A", "B"], ["C"], ["D", "E"], ["F"]]


def test_lips_close_on_the_frames_of_their_sound() -> None:
    rate = FrameRate(Fraction(24))
    line = plans.line("1", "*moon", 6, (10,), rate=rate)
    syllable = line.words[0].syllables[0]
    # The m lasts from frame 6 to 9 (1/8 s), the vowel follows.
    sung = replace(syllable, phones=("M", "UW", "N"), phone_starts=(Fraction(6, 24), Fraction(9, 24), Fraction(15, 24)))
    line = replace(line, words=(replace(line.words[0], syllables=(sung,)),))
    plan = plans.plan([line], [plans.clip(line, rate)], parts=("frames",))
    page, _, (rows,) = placed(plan)[0]
    left = rows.panel.columns["mouth"][0] + 1.3
    blocks = [[p for p in shape if abs(p[0] - left) < 0.01] for shape in page.ink.fills[0.0]]
    tops = [(shape[0][1], shape[-1][1]) for shape in blocks if shape]
    assert tops == [pytest.approx((rows.top + 6 * rows.pitch + 0.2, rows.top + 9 * rows.pitch - 0.2))]
    vowels = [t for texts in page.ink.texts.values() for t in texts if t[2] == "u"]
    assert len(vowels) == 1
    assert rows.top + 9 * rows.pitch < vowels[0][1] < rows.top + 10 * rows.pitch + 0.5


def test_two_speakers_at_once_share_sheets_in_two_lanes() -> None:
    plan = plans.together_plan(parts=("frames",))
    assert len(passages_of(plan)) == 1
    page = frame_pages(plan)[0]
    texts = [text for group in page.ink.texts.values() for _, _, text in group]
    assert {"Tansy", "Bram", "C01", "C02"} <= set(texts)
    assert len(placed(plan)) == 1
    assert placed(plan)[0][1].halves == 2  # each has words wide enough to read


def test_each_part_of_a_split_line_has_sheets_of_its_own_that_count_from_its_first_frame() -> None:
    plan = plans.split_plan(parts=("frames",))
    assert [p.name for p in passages_of(plan)] == ["C01", "C02.1", "C02.2"]
    firsts = [numbers(page, rows[0])[0] for page, _, rows in placed(plan) if rows]
    assert firsts.count(1) == 2
    told = " ".join(t for page in frame_pages(plan) for t in texts_of(page))
    line, (first, second) = plan.lines[1], plan.clips[1:]
    assert f"C02.2 goes on: “{line.words[second.words[0]].text}”" in told
    # C02.1 is seen from frame 96 of the episode to 229, where C02.2 follows: 229 - 96 = 133 frames of it.
    assert f"starts from frame 133 of C02.1: “{line.words[first.words[1] - 1].text}”" in told


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
        if page.label.startswith(("frame", "strip")):
            assert any(words in t for t in texts_of(page)) or "goes on · 2 of 2" in texts_of(page)


def test_words_that_nobody_could_read_have_no_mouth_and_say_so() -> None:
    plan = plans.talk_plan([("TANSY", "*θά-λασ-σα")], parts=("frames",))
    page, _, (rows,) = placed(plan)[0]
    left, right = rows.panel.columns["mouth"]
    texts = [(x, y, t) for group in page.ink.texts.values() for x, y, t in group]
    assert "not timed: words not read" in [t for *_, t in texts]
    assert not [t for x, y, t in texts if left < x < right and rows.top < y < rows.foot]


def test_words_nobody_could_read_have_no_stress_and_missing_letters_leave_a_line_to_write_on() -> None:
    plan = plans.talk_plan([("TANSY", "*海 is *ta-ken")], parts=("clips", "frames", "strips", "lines"))
    for page in lay_out(plan):
        told = " ".join(texts_of(page))
        assert "_____" in told, page.key
        assert "write by hand" in told
    page = frame_pages(plan)[0]
    assert "not read" in texts_of(page)
    bold = [t for (style, *_), group in page.ink.texts.items() if style == BOLD for *_, t in group]
    assert "ta-" in bold
    assert "_____" not in bold
    readable = frame_pages(plans.talk_plan(parts=("frames",)))[0]
    assert not any("write by hand" in t for t in texts_of(readable))


LONG_NAMES = ("BARTHOLOMEW THE EXTRAORDINARY FISHERMAN", "MORGANA-ELISABETH OF THE LIGHTHOUSE")


@pytest.mark.parametrize("layout", ["page", "wide"])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", LONG_NAMES)
def test_the_band_names_a_speaker_whole(name: str, paper: str, layout: str) -> None:
    plan = plans.split_plan(parts=("frames",), paper=paper, layout=layout)
    lines = tuple(replace(line, speaker=name) for line in plan.lines)
    plan = replace(plan, lines=lines, clips=tuple(replace(clip, speaker=name) for clip in plan.clips))
    told = " ".join(t for page in frame_pages(plan) for t in texts_of(page))
    assert told.count(name.title()) == 3  # the picture clip's and those of the two parts


def test_seconds_left_over_beyond_the_last_sheet_are_told_at_its_foot() -> None:
    rate = FrameRate(Fraction(24))
    line = plans.line("1", "*pools and *peb-bles", 6, (10, 10, 20, 18), rate=rate)  # 72 frames with its handles
    plan = plans.plan([line], [plans.clip(line, rate, 6, 8, 5)], parts=("frames",), layout="wide", rows=36)
    (page,) = frame_pages(plan)
    assert "left over, to frame 120" in texts_of(page)  # 5 s of 24 frames


def test_a_line_that_runs_over_the_foot_names_the_next_syllable() -> None:
    rate = FrameRate(Fraction(24))
    line = plans.line("1", "*pools and *peb-bles", 6, (30, 40, 20, 20), rate=rate)
    plan = plans.plan([line], [plans.clip(line, rate)], parts=("frames",), rows=72)
    (page,) = frame_pages(plan)  # 124 frames: two panels of one sheet
    assert {"“peb-”", "goes on · 2 of 2", "(and)"} <= set(texts_of(page))


def test_two_who_go_on_over_the_foot_each_name_their_next_syllable_under_their_own_lane() -> None:
    rate = FrameRate(Fraction(24))
    one = plans.line("1", "*pools and *foam", 6, (30, 60, 20), "TANSY", rate=rate)
    two = replace(plans.line("2", "*moon and *shell", 20, (30, 40, 20), "BRAM", rate=rate), is_dual=True)
    plan = plans.plan([one, two], [plans.clip(one, rate), plans.clip(two, rate)], rate=rate, parts=("frames",), rows=72)
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
