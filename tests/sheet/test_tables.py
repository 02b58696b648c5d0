"""The clip table, the line list and the strips."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.sheet import plans
from tests.sheet.geometry import faults
from tests.sheet.geometry import texts as texts_on
from tests.sheet.hard_set import LONG_NAME, long_names
from timing.model import Delivered, Finding, Origin, TimedSyllable, TimedWord
from timing.model.clock import FrameRate
from timing.sheet.document import lay_out
from timing.sheet.frame.score import display_name, syllable_text
from timing.sheet.frame.slots import pages_of
from timing.sheet.ink import Page
from timing.sheet.paper import RIGHT
from timing.sheet.tables.clip_rows import ClipRow, GapRow, Row, SplitRow, rows_of
from timing.sheet.tables.clip_table import FROM_RIGHT
from timing.sheet.tables.fit_bar import kept_handles
from timing.sheet.tables.line_list import syllable_room


def texts(page: Page) -> list[str]:
    return [text for group in page.ink.texts.values() for _, _, text in group]


def test_a_split_line_has_a_flagged_row_and_a_row_for_each_part_with_its_own_ask() -> None:
    plan = plans.split_plan(parts=("clips",))
    rows = rows_of(plan, plan.clips)
    assert [type(row) for row in rows] == [ClipRow, SplitRow, ClipRow, ClipRow]
    shown = texts(lay_out(plan)[0])
    assert {"C02.1", "C02.2", "5", "6"} <= set(shown)
    assert "2 clips, each going on from the one before; break after “every day,”" in " ".join(shown)


@pytest.mark.parametrize("shift", [0, 30])
def test_the_rows_of_the_clip_table_are_every_frame_once(shift: int) -> None:
    plan = plans.talk_plan()
    later = [
        replace(c, start_frame=c.start_frame + shift * n, end_frame=c.end_frame + shift * n)
        for n, c in enumerate(plan.clips)
    ]
    plan = replace(plan, clips=tuple(later), frames=later[-1].end_frame + shift)
    frames: list[int] = []
    for row in rows_of(plan, plan.clips):
        assert not isinstance(row, SplitRow)
        of = row if isinstance(row, GapRow) else row.clip
        frames += range(of.start_frame, of.end_frame)
    assert frames == list(range(plan.frames))
    assert any(isinstance(row, GapRow) for row in rows_of(plan, plan.clips)) or not shift
    assert not any(isinstance(row, GapRow) for row in rows_of(plan, plan.clips[:2]))


@given(starts=st.lists(st.tuples(st.integers(0, 90), st.integers(1, 60)), min_size=1, max_size=9))
def test_rows_hold_every_frame_and_only_those_that_say_so_hold_it_twice(starts: list[tuple[int, int]]) -> None:
    first = plans.talk_plan().clips[0]
    line = plans.talk_plan().lines[0]
    made, at = [], 0
    for n, (skip, length) in enumerate(starts):
        at = max(0, at + skip - 20)  # some begin before the one before them ends
        made.append(replace(first, id=f"C{n:02d}", line=str(n), start_frame=at, end_frame=at + length))
        at += length
    made.sort(key=lambda c: c.start_frame)
    lines = tuple(replace(line, id=clip.line) for clip in made)
    plan = replace(plans.talk_plan(), lines=lines, clips=tuple(made), frames=max(c.end_frame for c in made) + 7)
    held: dict[int, list[Row]] = {}
    for row in rows_of(plan, plan.clips):
        assert not isinstance(row, SplitRow)
        of = row if isinstance(row, GapRow) else row.clip
        for frame in range(of.start_frame, of.end_frame):
            held.setdefault(frame, []).append(row)
    assert sorted(held) == list(range(plan.frames))
    for rows in held.values():
        for row in rows:
            others = {other.clip.id for other in rows if isinstance(other, ClipRow) and other is not row}
            assert others <= set(row.beside) if isinstance(row, ClipRow) else not others


def test_a_long_name_is_printed_whole() -> None:
    talk = [("BARTHOLOMEW THE ELDER", "*Hello"), ("DONAUDAMPFSCHIFFFAHRTSGESELLSCHAFT", "*Ahoy")]
    for part in ("clips", "lines"):
        (page,) = lay_out(plans.talk_plan(talk, parts=(part,)))
        shown = "".join(texts(page)).replace(" ", "").casefold()
        assert "bartholomewtheelder" in shown
        assert "donaudampfschifffahrtsgesellschaft" in shown


def test_the_last_page_of_a_table_has_three_rows_or_more() -> None:
    for count in range(20, 32):
        for pages in (
            lay_out(plans.talk_plan(list(plans.TALK)[:1] * count, parts=(part,))) for part in ("clips", "lines")
        ):
            ids = [t for t in texts(pages[-1]) if t.startswith("C") and t[1:].isdigit()]
            assert len(pages) == 1 or len(ids) >= 3


def test_a_clip_that_came_back_is_marked_and_named() -> None:
    plan = plans.talk_plan(parts=("clips",))
    back = Delivered(plan.clips[1].id, "clips/C02 take 2.mp4", 3, is_measured=True)
    shown = texts(lay_out(replace(plan, deliveries=(back,)))[0])
    assert "3 takes back, best: C02 take 2.mp4" in shown
    assert "!" not in shown[: shown.index("look here: too long, or do not trust")] or shown.count("!") == 1
    chosen = texts(lay_out(replace(plan, deliveries=(replace(back, state="accepted"),)))[0])
    assert "accepted: C02 take 2.mp4" in chosen


def test_a_clip_says_its_time_code_what_it_needs_and_what_of_it_is_on_screen() -> None:
    """Labels of SMPTE ST 12-1 at 24 frames a second: frame 96 is 4 s, out is the frame after the last."""
    plan = plans.split_plan(parts=("clips",))
    part = plan.clips[1]
    cut_short = replace(part, tail=part.tail + Fraction(1, 4), need=part.need + Fraction(1, 4))
    plan = replace(plan, clips=(plan.clips[0], cut_short, plan.clips[2]))
    shown = texts(lay_out(plan)[0])
    assert "1–96 · 00:00:00:00–00:00:04:00" in shown
    out = FrameRate(Fraction(24)).timecode(part.end_frame)
    assert f"97–{part.end_frame} · 00:00:04:00–{out} · on screen {float(part.end - part.start):.1f} s" in shown
    assert f"needs {float(cut_short.need):.1f}" in shown
    assert f"parts need {float(cut_short.need + plan.clips[2].need):.1f}" in shown  # the line, in its parts


def test_handles_that_a_neighbour_takes_are_not_counted_as_shown() -> None:
    of = plans.clip(plans.line("1", "*Look!", 6), FrameRate(Fraction(24)))
    assert kept_handles(of) == (6 / 24, 8 / 24)
    assert kept_handles(replace(of, end=of.speech_end + Fraction(1, 24))) == (6 / 24, 1 / 24)
    assert kept_handles(replace(of, start=of.speech_start + 1)) == (0, 8 / 24)


def test_speeches_at_the_same_time_say_so_and_their_frames_count_once() -> None:
    plan = plans.together_plan(parts=("clips",))
    rows = [row for row in rows_of(plan, plan.clips) if isinstance(row, ClipRow)]
    assert [row.beside for row in rows] == [("C02",), ("C01",)]
    shown = texts(lay_out(plan)[0])
    assert sum("together with" in text for text in shown) == 2
    gaps = sum(row.end_frame - row.start_frame for row in rows_of(plan, plan.clips) if isinstance(row, GapRow))
    assert f"{(plan.frames - gaps) / 24:.1f} s" in shown


@pytest.mark.parametrize(("gap", "what"), [(6, "C01 can run on"), (200, "fill with a picture")])
def test_frames_without_a_clip_are_left_to_the_clip_before_if_it_is_long_enough(gap: int, what: str) -> None:
    first, second = plans.talk_plan(list(plans.TALK)[:2]).clips
    assert first.slack is not None
    assert first.slack * 24 > 6
    second = replace(second, start_frame=second.start_frame + gap, end_frame=second.end_frame + gap)
    plan = plans.talk_plan(list(plans.TALK)[:2], parts=("clips",))
    plan = replace(plan, clips=(first, second), frames=second.end_frame)
    assert any(text.startswith(f"nobody speaks: {what}") for text in texts(lay_out(plan)[0]))


def test_the_line_list_asks_for_every_part_and_names_what_came_back() -> None:
    plan = plans.split_plan(parts=("lines",))
    backs = (
        Delivered("C02.1", "clips/C02.1.mp4", 2, is_measured=True),
        Delivered("C02.2", "clips/a/C02.2.mp4", state="accepted", is_measured=True),
    )
    for deliveries, strokes in (((), 1), (backs[:1], 1), (backs, 2)):  # the legend's stroke, and the line's own
        page = lay_out(replace(plan, deliveries=deliveries))[0]
        shown = texts(page)
        assert any("ask for 5 + 6 s" in text for text in (" ".join(shown), *shown))
        slanted = [1 for x0, y0, x1, y1 in page.ink.lines[0.8, ()] if x0 != x1 and y0 != y1]
        assert len(slanted) == strokes
    assert {"C02.1: 2 takes back, best: C02.1.mp4", "C02.2: accepted: C02.2.mp4"} <= set(shown)


def test_first_words_are_whole_words() -> None:
    text = "*Hippopotamus *rhinoceros *chimpanzee *crocodile *salamander *alligator"
    words = set(text.replace("*", "").split())
    for layout in ("page", "wide"):
        shown = texts(lay_out(plans.talk_plan([("TANSY", text)] * 2, parts=("clips",), layout=layout))[0])
        first = next(t for t in shown if t.startswith("Hippo"))
        assert set(first.replace(" …", "").split()) <= words


def test_the_outline_of_the_fit_bar_is_as_long_as_what_is_asked_for() -> None:
    plan = plans.talk_plan([("TANSY", "*Bram, *wake *up!")], parts=("clips",))
    page = lay_out(plan)[0]
    outline = [
        line
        for line in page.ink.lines[0.9, ()]
        if line[0] == page.width - RIGHT - FROM_RIGHT["bar"] and line[1] == line[3]
    ]
    assert outline[0][2] - outline[0][0] == pytest.approx(4.5 * 5)  # 4.5 mm a second, 5 s asked for


def test_a_picture_passage_is_one_row_with_its_frames() -> None:
    shown = texts(lay_out(plans.split_plan(parts=("clips",)))[0])
    assert "picture" in shown
    assert any(text.startswith("1–96") for text in shown)


def test_many_clips_go_on_the_next_page_and_only_the_last_has_the_totals() -> None:
    pages = lay_out(plans.talk_plan(list(plans.TALK) * 12, parts=("clips",)))
    assert len(pages) > 2
    for page in pages[:-1]:
        assert "lines to split" not in texts(page)
        assert "got it" in texts(page)
    assert "lines to split" in texts(pages[-1])
    assert "50 mm if printed at 100 %" in texts(pages[0])
    assert "50 mm if printed at 100 %" not in texts(pages[1])
    ids = [t for page in pages for t in texts(page) if t.startswith("C") and t[1:].isdigit()]
    assert sorted(ids) == sorted(f"C{n:02d}" for n in range(1, 73))


def test_the_check_ruler_is_50_mm_long() -> None:
    page = lay_out(plans.talk_plan(parts=("clips",)))[0]
    level = [x1 - x0 for x0, y0, x1, y1 in page.ink.lines[0.5, ()] if y0 == y1 and x1 - x0 > 20]
    assert level == [pytest.approx(50)]


def test_room_for_syllables_is_the_lines_own_speed_times_the_room() -> None:
    line = plans.line("1", "*a *b *c *d", 0, (6,))  # 4 syllables in a second
    assert syllable_room(line, Fraction(37, 5)) == 29  # 4 x 7.4 = 29.6


def test_an_over_long_line_says_how_many_syllables_to_cut() -> None:
    shown = texts(lay_out(plans.split_plan(parts=("lines",)))[0])
    assert "cut about 9 syllables" in shown


def test_a_clip_added_to_a_full_strip_sheet_moves_nothing_on_the_others() -> None:
    some = [(f"C{n:02d}", 1) for n in range(1, 17)]
    before = pages_of([item for item in some if item[0] != "C03"], 4)
    assert [len(page) for page in before] == [4, 4, 4, 3]
    after = pages_of(some, 4, before)
    assert after[-2:] == before[-2:]
    assert [clip_id for page in after for clip_id in page] == [clip_id for clip_id, _ in some]


def test_strips_hold_four_rows_a_page() -> None:
    plan = plans.talk_plan(list(plans.TALK) * 2, parts=("strips",))
    assert len(lay_out(plan)) == 3


def test_cuts_that_come_close_together_are_warned_of_on_the_first_page() -> None:
    plan = plans.talk_plan(parts=("clips",))
    message = "8 cuts within one second from 2.0 s: several cuts close together can flash"
    page = lay_out(replace(plan, findings=(Finding("cuts-close", message),)))[0]
    assert any(text.startswith("8 cuts within one second") for text in texts(page))
    assert not any("cuts within" in text for text in texts(lay_out(plan)[0]))


def test_strips_leave_no_syllable_out_however_short() -> None:
    plan = plans.talk_plan(
        [("BRAM", "It is the *sea of the *moon at *night in the *bay")], frames=(1, 2, 1), parts=("strips",)
    )
    shown = texts(lay_out(plan)[0])
    for syllable in plan.lines[0].syllables:
        assert syllable.text in shown


def test_a_strip_of_one_part_shows_none_of_the_next_parts_words() -> None:
    plan = plans.split_plan(parts=("strips",))
    page = lay_out(plan)[0]
    line = plan.lines[1]
    first, second = plan.clips[1:]
    own, rest = ([s.text for w in line.words[slice(*clip.words)] for s in w.syllables] for clip in (first, second))
    shown = [text.strip("()-") for text in texts(page)]
    words = {s.text for s in line.syllables}
    assert sum(text in words for text in shown) == len(own) + len(rest)


def test_a_plan_of_nothing_still_has_a_clip_table() -> None:
    shown = texts(lay_out(plans.plan([], []))[0])
    assert "Clip table" in shown
    assert "0 s" in shown


def test_speeches_that_share_a_generation_are_one_row_with_both_texts() -> None:
    rate = FrameRate(Fraction(24))
    one, two = plans.line("1", "*Look!", 6), plans.line("2", "*No *sea.", 20)
    shared = replace(
        plans.clip(one, rate), end_frame=40, end=rate.moment_of(40), lines=("1", "2"), text="Look! No sea.",
        speech=two.end - one.start, speech_end=two.end,
    )  # fmt: skip
    plan = plans.plan([one, two], [shared], parts=("clips", "frames"))
    table, sheet = lay_out(plan)
    assert "Look! No sea." in texts(table)
    assert f"{float(two.end - one.start):.1f}" in texts(table)
    assert {"Look!", "No", "sea."} <= set(texts(sheet))


def test_a_figure_is_printed_with_what_is_heard_of_it() -> None:
    """Trade practice: the sheet shows what the mouth says; "7" alone would hide two syllables."""
    moments = [Fraction(n, 4) for n in range(5)]
    pieces = zip((("7,", "sev"), ("", "en")), moments, moments[1:], strict=False)
    word = TimedWord(
        "7,", "seven", tuple(TimedSyllable(t, a, b, Origin.ESTIMATED, 1, (), s) for (t, s), a, b in pieces)
    )
    assert [syllable_text(word, i) for i in range(2)] == ["7, (sev-)", "en"]
    assert word.broken == "7, [sev-en]"
    one = TimedWord("5", "five", (TimedSyllable("5", moments[0], moments[1], Origin.ESTIMATED, said="five"),))
    assert syllable_text(one, 0) == "5 (five)"
    halves = zip(("al-", "ways"), moments, moments[1:], strict=False)  # split by hand in the script
    by_hand = TimedWord("al-ways", "always", tuple(TimedSyllable(t, a, b, Origin.ESTIMATED) for t, a, b in halves))
    assert by_hand.broken == "al-ways"
    plain = plans.words("lim-pet", (5,), 0, FrameRate.parse(24))[0]
    assert (plain.broken, syllable_text(plain, 0)) == ("lim-pet", "lim-")


def test_a_name_of_sixty_letters_stands_above_the_words_and_a_short_one_beside_them() -> None:
    """The long name of the hard set is 64 letters: about 95 mm of 9 point type, two lines of the room before the seconds."""
    plan = long_names(parts=("clips",))
    page = lay_out(replace(plan, lines=plan.lines[:6], clips=plan.clips[:6]))[0]
    placed = [t for t in texts_on(page) if 30 < t.y1 < 200]
    rows = sorted(t.y1 for t in placed if re.fullmatch(r"C0\d", t.text))
    words = [t for t in placed if t.text.startswith("(whispered")]
    assert len(rows) == len(words) == 6
    for row, word, clip in zip(rows, words, plan.clips, strict=False):
        name = [t for t in placed if 31 < t.x0 < 33 and row - 1 < t.y1 < word.y1 + 0.5]
        if clip.speaker == "TANSY":
            assert abs(word.y1 - row) < 1
        else:
            assert " ".join(t.text for t in sorted(name, key=lambda t: t.y1)) == display_name(LONG_NAME)
            assert len(name) == 2
    assert max(b - a for a, b in itertools.pairwise(rows)) < 24  # seven lines of the narrow column were 28
    assert not faults(page)
