"""Where the marks of the reel stand, in pixels worked out by hand from its layout; and the rule against flashes.

The wide screen has a frame of 10 pixels on its running sheet (240 a second at 24), whose columns begin at 0, 44, 100,
162, 332, 382 and end at 424. A row of 34-pixel words is 34 x 1.34 = 45.56 pixels high, its baseline 34 x 1.02 = 34.68 in.
"""

from __future__ import annotations

from array import array
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.export.plans import line, plan_of, small_plan
from timing.model import Delivered, Finding, Origin
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode as Code
from timing.plain.errors import SettingsError
from timing.recording.results import Heard, Take
from timing.sheet.frame.marks import Beat, Closure, Score, Span, Vowel
from timing.sheet.frame.marks import Box as Syllable
from timing.sound.decode import Pieces
from timing.watch import spare
from timing.watch.doubts import doubts
from timing.watch.flashing import FlashGuard, _Meter, relative_luminance
from timing.watch.frames import quarter_turns, upright
from timing.watch.marks import BOLD, INK, ITALIC, LIT, PAPER, REGULAR, Box, Fonts, Text
from timing.watch.moments import Moment, Moments, Piece, Speech
from timing.watch.page_data import _wave
from timing.watch.paint import Painter
from timing.watch.screen import TALL, WIDE, Screen
from timing.watch.stretch import clip_names, moment, stretches
from timing.watch.strip import COLUMNS, Strip
from timing.watch.track import part, sound_of


@pytest.fixture(scope="module")
def fonts():
    return Fonts.load(None)


def at(**more):
    plain = Moment(5, ("C01",), "C01", "Tansy", "ask 4 s", (), 6, 82, 6, "0:00+05", "1.2")
    return replace(plain, **more)


def speech(*words, current=None, **more):
    """Pieces of one syllable each, a blank after each word."""
    return Speech("1", "Tansy", "told", False, tuple(Piece(f"{w} ", True) for w in words), current, **more)


# The screen.


def test_the_figures_stand_in_a_row(fonts):
    """Wide: an eighth of 784 is more than 140, so steps of 140: at 24, 24 + 1.3, 2.3 and 3.3 of them."""
    marks = Screen(WIDE, fonts, "Sea").figures(at())
    assert marks[::2] == tuple(
        Text(pytest.approx(x), 666, caption, REGULAR, 15)
        for x, caption in ((24, "frame, as on paper"), (206, "episode frame"), (346, "clock"), (486, "bar.beat"))
    )
    assert marks[1::2] == tuple(
        Text(pytest.approx(x), 698, value, BOLD, 30)
        for x, value in ((24, "6 of 82"), (206, "6"), (346, "0:00+05"), (486, "1.2"))
    )
    assert Screen(TALL, fonts, "Sea").figures(at(bar_beat=""))[-1] == Text(
        pytest.approx(24 + 3.3 * 140), 704, "–", BOLD, 30
    )


def header(fonts, shape=WIDE, **more):
    screen = Screen(shape, fonts, "Where Does the Sea Go?")
    return screen.still(at(**more), "", True)


def test_the_head_names_clip_speaker_and_what_is_asked(fonts):
    title, name, who, ask, told = header(fonts, speeches=(speech("sea"),))[:5]
    assert title == Text(1256, 26, "Where Does the Sea Go?", REGULAR, 15, "right")
    assert name == Text(24, 60, "C01", BOLD, 42)
    x = 24 + fonts.width("C01", BOLD, 42) + 28
    assert who == Text(pytest.approx(x), 60, "Tansy", BOLD, 28)
    x += fonts.width("Tansy", BOLD, 28) + 28
    assert ask == Text(pytest.approx(x), 60, "ask 4 s", BOLD, 28)
    assert told == Text(1256, 60, "told", REGULAR, 22, "right")
    tall = header(fonts, TALL, speeches=(speech("sea"), replace(speech("sea"), told="so")))
    assert tall[4] == Text(24, 96, "told · so", REGULAR, 22)
    empty = header(fonts, clip_name="", who="", ask="")
    assert [m.text for m in empty[:2]] == ["Where Does the Sea Go?", "no clip here"]


def test_what_is_too_long_for_the_head_is_smaller_or_shortened(fonts):
    marks = header(fonts, clip_name="C105.12–C118.12–C119.12", who="Tansy " * 9, ask="ask 4 s " * 9)
    name, who, ask = marks[1:4]
    assert 24 <= name.size < 42
    assert fonts.width(who.text, BOLD, 28) <= 1232 * 0.28
    assert who.text.endswith("…")
    long_title = Screen(WIDE, fonts, "Where the sea goes " * 5).still(at(), "", True)[0]
    assert 1232 * 0.42 < fonts.width(long_title.text, REGULAR, 15) <= 1232 * 0.45
    half = header(fonts, clip_name="C101.1–C104.1")[1]
    assert fonts.width(half.text, BOLD, half.size) <= 1232 * 0.35
    assert half.size == 42 or fonts.width(half.text, BOLD, half.size + 1) > 1232 * 0.35
    assert ask.x + fonts.width(ask.text, BOLD, 28) <= 1256


def test_a_card_stands_in_the_pictures_place(fonts):
    screen = Screen(WIDE, fonts, "Sea")
    marks = screen.still(at(), "", False)
    box, name, who, none = marks[-4:]
    assert box == Box(24, 84, 808, 525, PAPER)
    assert name == Text(416, pytest.approx(84 + 441 * 0.45), "C01", BOLD, 84, "centre")
    assert who == Text(416, pytest.approx(84 + 441 * 0.62), "Tansy", BOLD, 40, "centre")
    assert none == Text(416, 501, "no picture yet", REGULAR, 20, "centre")
    assert screen.still(at(clips=(), clip_name=""), "", False)[-1] == box
    long = screen.still(at(clip_name="C01–" * 5, who="Tansy " * 9), "", False)
    assert 600 < fonts.width(long[-3].text, BOLD, 84) <= 704
    assert 650 < fonts.width(long[-2].text, BOLD, 40) <= 704


def test_the_picture_is_named_where_there_is_room(fonts):
    caption, name = Screen(WIDE, fonts, "Sea").still(at(), "C01.mp4", True)[-2:]
    assert caption == Text(pytest.approx(24 + 4.15 * 140), 666, "picture", REGULAR, 15)
    assert name == Text(pytest.approx(24 + 4.15 * 140), 694, "C01.mp4", REGULAR, 18)
    (long,) = [
        m for m in Screen(TALL, fonts, "Sea").still(at(), "x" * 50, True) if isinstance(m, Text) and m.size == 18
    ]
    assert long.x + fonts.width(long.text, REGULAR, 18) <= 696  # 605 to 696 has room for it


def words_of(fonts, *speeches, shape=WIDE):
    """The marks after the words' paper."""
    marks = list(Screen(shape, fonts, "Sea").still(at(speeches=tuple(speeches)), "", True))
    area = shape.words
    return marks[marks.index(Box(*area, PAPER)) + 1 :]


def test_a_row_of_words_stands_in_the_middle_and_the_syllable_heard_is_lit(fonts):
    """From 541 to 641: (100 - 45.56) / 2 = 27.22 down, the baseline at 541 + 27.22 + 34.68 = 602.9."""
    marks = words_of(fonts, speech("Out", "goes", current=1))
    x = 24 + 12 + 26
    after = x + fonts.width("Out ", REGULAR, 34) + fonts.width(" ", REGULAR, 34)
    width = fonts.width("goes", REGULAR, 34)
    assert marks == [
        Box(pytest.approx(after - 3), 569, pytest.approx(after + width + 3), 614, LIT),
        Box(pytest.approx(after - 3), 609, pytest.approx(after + width + 3), 614, INK),
        Text(x, 603, "Out ", REGULAR, 34),
        Text(pytest.approx(after), 603, "goes ", REGULAR, 34),
    ]
    estimated = words_of(fonts, replace(speech("Out"), is_estimated=True))
    assert estimated[0] == Text(36, 601, "~", BOLD, 32)  # (537 + 645) / 2 + 10


def test_two_who_speak_at_once_have_half_the_room_each_and_a_name(fonts):
    marks = words_of(fonts, speech("Out"), replace(speech("In"), who="Bram"))
    assert marks[0] == Text(36, 561, "Tansy", BOLD, 18)
    assert marks[2] == Text(36, 615, "Bram", BOLD, 18)  # 537 + 108 / 2 + 24
    # From 541 to 587: a row of 45.56 fits; its baseline 541 + 0.22 + 34.68.
    assert marks[1] == Text(162, 576, "Out ", REGULAR, 34)
    assert marks[3] == Text(162, 630, "In ", REGULAR, 34)
    name = words_of(fonts, replace(speech("a"), who="Tansy the limpet"), speech("b"))[0]
    assert name.text.endswith("…")
    assert fonts.width(name.text + "t", BOLD, 18) > 80
    assert fonts.width(name.text, BOLD, 18) <= 92


def test_many_words_are_smaller_and_then_shown_around_the_one_that_is_heard(fonts):
    many = [f"word{n}" for n in range(60)]
    for current in (0, 30, 59):
        marks = [m for m in words_of(fonts, speech(*many, current=current)) if isinstance(m, Text)]
        assert {m.size for m in marks} == {20}
        # 100 pixels hold three rows of 26.8.
        assert len({m.y for m in marks}) == 3
        assert any(m.text == f"word{current} " for m in marks)
        rows = sorted({m.y for m in marks})
        own = next(m.y for m in marks if m.text == f"word{current} ")
        assert rows.index(own) == {0: 0, 30: 1, 59: 2}[current]


def test_a_passage_is_in_italics_word_by_word(fonts):
    passage = Speech("2", "", "told", False, (Piece("A wave breaks.", True),), None, True)
    marks = words_of(fonts, passage)
    assert [(m.text, m.style) for m in marks] == [("A", ITALIC), ("wave", ITALIC), ("breaks.", ITALIC)]


def test_words_stay_whole_where_they_fit_a_row(fonts):
    halves = Speech(
        "1",
        "T",
        "t",
        False,
        tuple(Piece(t, o) for t, o in [("unbe", True), ("liev", False), ("able", False)] * 12),
        None,
    )
    rows = {}
    for mark in words_of(fonts, halves):
        rows.setdefault(mark.y, []).append(mark.text)
    assert all(len(row) % 3 == 0 for row in rows.values())
    giant = Speech("1", "T", "t", False, (Piece("x" * 200, True),), None)
    (mark,) = words_of(fonts, giant)
    assert mark.text.endswith("…")
    assert mark.x + fonts.width(mark.text, REGULAR, mark.size) <= 796


# The running sheet.


@pytest.fixture
def strip(fonts):
    plan = small_plan()
    return Strip(plan, Moments(plan), fonts, WIDE)


def test_a_frame_is_ten_pixels_at_24_and_the_strip_runs_alike_at_every_rate(strip, fonts):
    assert [strip.y(n) for n in (0, 1, 24, 480)] == [0, 10, 240, 4800]
    assert strip.width == 424
    plan = small_plan("30")
    assert Strip(plan, Moments(plan), fonts, WIDE).y(30) == 240
    heads = list(strip.heads())
    assert [(m.x, m.y, m.text, m.size, m.align) for m in heads] == [
        (x, -7, name, 14, "centre") for x, name in zip((22, 72, 131, 247, 357, 403), COLUMNS, strict=True)
    ]


def test_the_ruler_numbers_frames_as_on_paper(strip):
    """Frame 18 is the first of C01; a second is ruled thick, a quarter of it (6 frames) thin, others have a tick."""
    marks = list(strip._ruler(18, 26))
    assert marks == [
        Box(44, 180, 162, 181), Text(91, 191, "1", REGULAR, 13, "right"),
        Box(94, 190, 100, 191, 110),
        Box(94, 200, 100, 201, 110), Text(91, 211, "3", REGULAR, 13, "right"),
        Box(94, 210, 100, 211, 110),
        Box(94, 220, 100, 221, 110), Text(91, 231, "5", REGULAR, 13, "right"),
        Box(94, 230, 100, 231, 110),
        Box(44, 240, 162, 243), Text(47, 258, "0:01", BOLD, 15),  # its number would stand on the clock's
        Box(94, 250, 100, 251, 110),
    ]  # fmt: skip
    assert list(strip._ruler(-6, 1)) == [Box(44, 0, 162, 3), Text(47, 18, "0:00", BOLD, 15)]
    assert list(strip._ruler(480, 490)) == []
    last = list(strip._ruler(479, 490))
    assert last[0] == Box(94, 4790, 100, 4791, 110)


def test_at_60_a_second_only_as_many_numbers_as_there_is_room_for(fonts):
    # 4 pixels a frame: of the parts of 60 the least from 3.75 frames on is 4; 20 pixels are 5 frames.
    plan = small_plan("60")
    strip = Strip(plan, Moments(plan), fonts, WIDE)
    texts = [m.text for m in strip._ruler(45, 120) if isinstance(m, Text)]
    assert texts == ["1", "5", "9", "13", "0:01", *(str(n) for n in range(21, 76, 4))]
    assert sum(isinstance(m, Box) and m.gray == 110 for m in strip._ruler(61, 75)) == 14


def test_columns_are_ruled_from_top_to_foot(strip):
    marks = list(strip._columns(10, 20))
    assert [(m.x0, m.y0, m.x1, m.y1) for m in marks] == [
        (0, 100, 2, 200), (44, 100, 45, 200), (100, 100, 101, 200), (162, 100, 164, 200), (332, 100, 333, 200),
        (382, 100, 383, 200), (423, 100, 424, 200),
    ]  # fmt: skip
    assert list(strip._columns(470, 480))[-1] == Box(0, 4800, 424, 4803)
    assert list(strip._columns(470, 500))[-1] == Box(0, 4800, 424, 4803)
    assert next(iter(strip._columns(-5, 1))).y0 == 0


def test_the_sounds_outline_reaches_over_its_column(strip):
    # 58 of the 62 pixels at full height; the power of 0.7 lifts soft sounds: 0.25 -> 0.379.
    from timing.sheet.frame.marks import VALUES_A_FRAME

    values = (
        [0.0] * VALUES_A_FRAME
        + [0.1] * (VALUES_A_FRAME - 1)
        + [1.0]
        + [0.25] * VALUES_A_FRAME
        + [0.0041] * VALUES_A_FRAME
        + [0.0039] * VALUES_A_FRAME
    )
    strip.score.sound = array("f", values)
    marks = list(strip._sound(0, 9))
    assert [(m.x0, m.y0, m.y1, m.gray) for m in marks] == [(101, 10, 20, 172), (101, 20, 30, 172), (101, 30, 40, 172)]
    assert [m.x1 for m in marks] == [pytest.approx(159), pytest.approx(101 + 58 * 0.25**0.7), 103]
    assert list(strip._sound(-3, 2)) == marks[:1]


def test_a_clips_bracket(strip, fonts):
    """Speech thick from 24 to 92, handles dashed each 10 pixels, a bar at its first and last frame."""
    marks = list(strip._bracket(Span("C01", "TANSY", "ask 4 s", 18, 24, 92, 100, 114, 0), 1))
    assert marks[0] == Box(5, 240, 11, 920)
    dashes = [m for m in marks if isinstance(m, Box) and m.x1 - m.x0 == 3]
    assert dashes == [Box(5, y, 8, y + 6) for y in (*range(180, 240, 10), *range(920, 1000, 10))]
    assert marks[-3:] == [Box(5, 180, 42, 183), Box(5, 997, 42, 1000), Text(14, 198, "C01", BOLD, 13)]
    second = list(strip._bracket(Span("C02", "BRAM", "", 18, 18, 20, 20, 20, 1), 2))
    assert second[0] == Box(27, 180, 33, 200)
    assert second[1] == Box(27, 180, 42, 183)
    (short,) = [m for m in strip._bracket(Span("C123456", "", "", 18, 18, 20, 20, 20, 1), 2) if isinstance(m, Text)]
    assert short.text.endswith("…")


def test_a_syllables_block(strip):
    """One lane: from 162 + 7 to 332 - 5; a stressed one has a thick left side, a word is opened and closed."""
    stressed = list(strip._syllable(Syllable(10, 15, "sea", True, True, True, 0), 1))
    assert stressed == [
        Box(169, 100, 327, 102), Box(169, 149, 327, 150), Box(325, 100, 327, 150), Box(169, 100, 176, 147),
        Text(181, 118, "sea", BOLD, 20),
    ]  # fmt: skip
    weak = list(strip._syllable(Syllable(10, 12, "ter", False, False, False, 0), 1))
    assert weak == [
        Box(177, 100, 327, 101, 110),
        Box(325, 100, 327, 120),
        Box(169, 100, 171, 120),
        Text(191, 117, "ter", REGULAR, 18),
    ]
    quick = list(strip._syllable(Syllable(10, 11, "a", False, True, False, 1), 2))
    assert quick[0] == Box(254, 100, 327, 102)  # the second of two lanes: 162 + 85 + 7
    assert quick[-1] == Text(266, 112, "a", REGULAR, 12)


def test_the_mouths_column(strip):
    score = Score(
        closures=[Closure(10, 12, False, 0), Closure(20, 22, True, 1)], vowels=[Vowel(15, "a", 0), Vowel(15, "o", 1)]
    )
    assert list(strip._mouth(score)) == [
        Box(337, 101, 346, 119),
        Box(347, 201, 356, 202), Box(347, 218, 356, 219), Box(347, 201, 348, 219), Box(355, 201, 356, 219),
        Text(352, 162, "a", REGULAR, 17), Text(362, 162, "o", REGULAR, 17),
    ]  # fmt: skip


def test_bars_and_beats(strip):
    score = Score(beats=[Beat(10, 3, 1), Beat(20, 3, 2), Beat(25, 3, 0), Beat(30, -1, 1)])
    assert list(strip._music(score)) == [
        Box(382, 100, 424, 104), Text(420, 121, "3.1", BOLD, 16, "right"),
        Box(pytest.approx(382 + 16.8), 200, 424, 202), Text(420, 217, ".2", REGULAR, 14, "right"),
        Box(416, 250, 424, 251, 110), Box(382, 300, 424, 304),
    ]  # fmt: skip


def test_a_stretch_begins_at_its_own_first_frame(strip):
    whole, part_ = set(strip.marks(0, 480)), list(strip.marks(18, 60))
    inside = [m for m in part_ if isinstance(m, Text) and m.size == 15]
    assert (47, 78, "0:01") in [(m.x, m.y, m.text) for m in inside]  # (24 - 18) x 10 + 18
    moved = [
        m._replace(y=m.y + 180) if isinstance(m, Text) else m._replace(y0=m.y0 + 180, y1=m.y1 + 180) for m in part_
    ]
    assert all(m in whole for m in moved if isinstance(m, Text))


# The painter.


def test_what_runs_past_is_the_strip_itself(fonts):
    """The window is put together from drawn pieces of 48 frames: the same as all of it drawn at once."""
    plan = small_plan()
    moments = Moments(plan)
    strip = Strip(plan, moments, fonts, WIDE)
    painter = Painter(WIDE, fonts, strip)
    for frame in (0, 30, 290, 300, 291, 479):
        image = painter.paint((), (), frame, None)
        window = Image.new("RGB", (424, WIDE.strip.height), (176,) * 3)
        top = strip.y(frame) - 200
        y0, y1 = max(0, top), min(4800, top + WIDE.strip.height)
        sheet = Image.new("RGB", (424, y1 - y0), (PAPER,) * 3)
        first = max(0, y0 // 10 - 20)
        painter.draw(sheet, strip.marks(first, 480), dy=first * 10 - y0)
        window.paste(sheet, (0, y0 - top))
        painter.draw(window, [Box(-8, 198, 432, 200), Box(-8, 210, 432, 212)])
        shown = np.asarray(image)[WIDE.strip.y0 : WIDE.strip.y1, WIDE.strip.x0 : WIDE.strip.x0 + 424].astype(int)
        wanted = np.asarray(window).astype(int)
        same = (shown == wanted).all(axis=2)
        assert same.mean() > 0.995, frame
        rows = slice(196, 216)
        assert np.array_equal(shown[rows], wanted[rows]), frame


def test_boxes_end_before_their_right_and_lower_edge(fonts, strip):
    painter = Painter(WIDE, fonts, strip)
    image = Image.new("RGB", (20, 20), (0, 0, 0))
    painter.draw(image, [Box(2, 3, 5, 4, 100), Box(7, 7, 7, 9, 100), Box(9.4, 9.6, 11.4, 12.4, 50)], 1, 2)
    lit = np.argwhere(np.asarray(image)[..., 0] > 0).tolist()
    assert lit == [[5, 3], [5, 4], [5, 5], [12, 10], [12, 11], [13, 10], [13, 11]]


def test_a_small_picture_stands_in_the_middle_of_its_place(fonts, strip):
    painter = Painter(WIDE, fonts, strip)
    small = Image.new("RGB", (101, 51), (9, 9, 9))
    whole = np.asarray(painter.in_picture(small))
    assert whole.shape == (441, 784, 3)
    dark = np.argwhere(whole[..., 0] == 9)
    assert dark.min(axis=0).tolist() == [195, 341]
    assert dark.max(axis=0).tolist() == [245, 441]
    full = Image.new("RGB", (784, 441), (9, 9, 9))
    assert painter.in_picture(full) is full
    assert np.asarray(painter.in_picture(None)).min() == PAPER


# Flashes.


def test_relative_luminance_of_wcag():
    # WCAG 2.2: black 0, white 1, the primaries by their weights; (119 / 255 + .055) / 1.055 to the power of 2.4 = 0.1845.
    table = {(0, 0, 0): 0, (255, 255, 255): 1, (255, 0, 0): 0.2126, (0, 255, 0): 0.7152, (0, 0, 255): 0.0722,
             (119, 119, 119): 0.18447, (10, 10, 10): 10 / 255 / 12.92, (11, 11, 11): ((11 / 255 + 0.055) / 1.055) ** 2.4}  # fmt: skip
    for rgb, value in table.items():
        assert relative_luminance(np.array(rgb, np.uint8)) == pytest.approx(value, abs=1e-5)


def met(eighths):
    """How often values, in eighths, change direction by an eighth or more where the darker is below six of them."""
    meter = _Meter(np.array([eighths[0] / 8]), 0.125, 0.75)
    for value in eighths[1:]:
        meter.keep(np.array([value / 8]), 100)
    return int(meter.recent(100)[0])


@pytest.mark.parametrize(
    ("values", "changes"),
    [
        ([2, 3], 1), ([2, 2.9], 0), ([2, 3, 2], 2), ([2, 3, 4], 1), ([2, 2.5, 3], 1), ([2, 3, 2.1], 1),
        ([2, 3.5, 3, 2.5], 2), ([6, 7.5, 6], 0), ([5.9, 7, 5.9], 2), ([2, 3, 5, 4.1], 1), ([2, 3, 5, 4], 2),
        ([5, 4, 3, 4], 2),
    ],
)  # fmt: skip
def test_changes_in_opposite_directions_are_counted_from_extreme_to_extreme(values, changes):
    assert met(values) == changes


def test_only_the_last_frames_count_and_a_held_picture_changes_nothing():
    meter = _Meter(np.array([0.0]), 0.1, None)
    for n in range(1, 6):
        meter.keep(np.array([n % 2 * 0.5]), 4)
    assert [int(meter.recent(k)[0]) for k in (1, 2, 4, 9)] == [1, 2, 4, 4]
    meter.keep(None, 4)
    assert [int(meter.recent(k)[0]) for k in (1, 2)] == [0, 1]


def held(guard, pictures):
    return [guard.admit(p)[1] for p in pictures]


def flashing(rows, count=24, top=200, low=60):
    """Pictures in which so many of 18 rows of cells flash."""
    made = []
    for n in range(count):
        picture = np.full((36, 64, 3), low, np.uint8)
        if n % 2:
            picture[: 2 * rows] = top
        made.append(Image.fromarray(picture))
    return made


def test_the_seventh_change_within_a_second_is_held():
    found = held(FlashGuard(F(24), 1.0), flashing(18))
    assert found[:7] == [False] * 7  # the first picture and six changes
    assert found[7]
    slow = [p for pair in flashing(18, 14) for p in [pair] * 4]  # a change each 4 frames: six in 24
    assert not any(held(FlashGuard(F(24), 1.0), slow))
    faster = [p for pair in flashing(18, 14) for p in [pair] * 3]
    assert any(held(FlashGuard(F(24), 1.0), faster))
    assert not any(held(FlashGuard(F(18), 1.0), faster))  # at 18 a second they are six again


def test_a_flash_over_less_than_the_area_passes():
    """A quarter of 341 x 256 of 1024 x 768 is 2.775 % of the screen: of 576 cells of a picture that fills it 15."""
    for rows, is_held in ((0, False), (1, True)):
        assert any(held(FlashGuard(F(24), 1.0), flashing(rows))) is is_held
    # A picture of a twentieth of the screen: 319 cells, nearly ten rows of 32.
    for rows, is_held in ((9, False), (10, True)):
        assert any(held(FlashGuard(F(24), 0.05), flashing(rows))) is is_held


def whether_held(one, other, count=24):
    pictures = [Image.new("RGB", (64, 36), one if n % 2 else other) for n in range(count)]
    return any(held(FlashGuard(F(24), 1.0), pictures))


def lightness(value):
    return float(relative_luminance(np.array((value,) * 3, np.uint8)))


def test_a_tenth_of_the_greatest_luminance_is_a_change_where_the_darker_is_below_eight_tenths():
    enough = next(v for v in range(60, 256) if lightness(v) - lightness(60) >= 0.1)
    assert whether_held((60,) * 3, (enough,) * 3)
    assert not whether_held((60,) * 3, (enough - 1,) * 3)
    light = next(v for v in range(256) if lightness(v) >= 0.8)
    assert not whether_held((light,) * 3, (255,) * 3)
    assert whether_held((light - 1,) * 3, (255,) * 3)


@pytest.mark.parametrize(
    ("colour", "is_held"),
    [
        # R / (R + G + B) of linear light: 1 / (1 + 2 x 0.122) = 0.804, 1 / (1 + 2 x 0.127) = 0.797.
        ((255, 0, 0), True), ((255, 98, 98), True), ((255, 100, 100), False),
        # (R - G - B) x 320: 71 is 0.0630 of linear light, 20.2; 70 is 0.0612, 19.6. Neither is a change of lightness.
        ((71, 0, 0), True), ((70, 0, 0), False),
    ],
)  # fmt: skip
def test_saturated_red_is_told_by_its_share(colour, is_held):
    # The grey beside it is as light, so that only red changes.
    light = float(relative_luminance(np.array(colour, np.uint8)))
    same = min(range(256), key=lambda v: abs(lightness(v) - light))
    assert whether_held(colour, (same,) * 3) is is_held


# Stretches, moments, turns.


def test_parts_of_the_episode():
    plan = small_plan()  # C01 18 to 100, C02 120 to 168, C03 169 to 280, C04 282 to 354; 480 frames
    assert stretches(plan) == ((0, 480),)
    assert stretches(plan, [], F(10), F(99)) == ((240, 480),)
    assert stretches(plan, ["C02", "C03"]) == ((120, 168), (169, 280))
    assert stretches(plan, ["C01"], F(1)) == ((24, 100),)
    assert stretches(plan, ["C01"], F(1), F(2)) == ((24, 48),)
    touching = replace(plan, clips=tuple(replace(c, start_frame=168) if c.id == "C03" else c for c in plan.clips))
    assert stretches(touching, ["C02", "C03"]) == ((120, 280),)
    with pytest.raises(
        SettingsError, match=r"from 0:20\.0 to 0:20\.0 nothing is left to see; the episode lasts 0:20\.0"
    ):
        stretches(plan, [], F(20))
    with pytest.raises(SettingsError, match=r"C01: not seen between 0:10\.0 and the end chosen"):
        stretches(plan, ["C01"], F(10))
    with pytest.raises(SettingsError, match=r"there are: C01, C02, C03, C04$"):
        stretches(plan, ["zzz"])
    many = plan_of([line(str(n), "a", 9 * n, FrameRate(F(24))) for n in range(1, 10)])
    with pytest.raises(SettingsError, match="C07, C08 …"):
        stretches(many, ["zzz"])


def test_names_of_clips_and_moments_as_people_write_them():
    assert clip_names(replace(small_plan().clips[0], id="C05.1")) == {"c05.1", "c05", "c5.1", "c5"}
    assert clip_names(replace(small_plan().clips[0], id="C04 (2)")) == {"c04 (2)", "c04", "c4 (2)", "c4"}
    assert [moment(t) for t in ("90", "1:00", "0:59.9", " 2,5 s ")] == [90, 60, F(599, 10), F(5, 2)]
    for text in ("1:60", "-1", "1:2:3", ""):
        with pytest.raises(ValueError, match="no moment"):
            moment(text)


def test_quarter_turns():
    class Turned:
        rotation = 0

    for rotation, turns in ((0, 0), (90, 1), (-90, 3), (180, 2), (270, 3), (360, 0), (89.6, 1)):
        Turned.rotation = rotation
        assert quarter_turns(Turned) == turns
    image = Image.fromarray(np.array([[[1] * 3, [2] * 3]], np.uint8))
    assert [np.asarray(upright(image, t))[..., 0].tolist() for t in range(4)] == [
        [[1, 2]],
        [[2], [1]],
        [[2, 1]],
        [[1], [2]],
    ]
    assert quarter_turns(object()) == 0


def test_moments_on_the_edges_of_clips():
    moments = Moments(small_plan())
    assert [[c.id for c in moments.clips_on(n)] for n in (17, 18, 99, 100, 168, 169)] == [
        [],
        ["C01"],
        ["C01"],
        [],
        [],
        ["C03"],
    ]
    assert [moments.number_on(n) for n in (17, 18, 99, 100)] == [None, 1, 82, None]
    assert [moments.bar_beat(n) for n in (287, 288, 302, 303, 347, 348)] == ["", "1.1", "1.1", "1.2", "1.4", "2.1"]
    plan = small_plan()
    assert moments.asked(plan.clips[0]) == "~ ask 4 s"
    assert moments.asked(replace(plan.clips[0], ask=None)) == "too long for one generation"
    edited = Moments(replace(plan, on_paper={"C01": (12, 96)}))
    assert (edited.at(18).number, edited.at(18).of) == (7, 96)


# What is looked at first.


def about(*findings, plan=None, heard=None, **more):
    plan = plan or small_plan()
    first = replace(plan.lines[0], findings=tuple(findings), **more)
    return doubts(replace(plan, lines=(first, *plan.lines[1:])), heard)


def test_doubts_weigh_by_their_reason():
    def f(code, **facts):
        return Finding(code, code.value, facts)

    (one,) = about(f(Code.NOISY), f(Code.NOT_SAID, words=[2, 99]), f(Code.CAPTION_FAST))
    assert (one.weight, one.reasons, one.words, one.start) == (8, ("not-said", "noisy"), (2,), 1 + 2 * F(2, 5))
    assert about(f(Code.CAPTION_FAST)) == ()
    assert about() == ()
    measured = {"origin": Origin.MEASURED}
    assert about(confidence=0.6, **measured) == ()
    (low,) = about(confidence=0.594, **measured)
    assert (low.weight, low.reasons) == (4, ("found with 59 % confidence only",))
    assert about(confidence=0.1) == ()  # an estimate has none
    plan = small_plan()
    words = tuple(replace(w, confidence=0.49 if n < 5 else 0.5) for n, w in enumerate(plan.lines[0].words))
    (five,) = about(words=words, **measured)
    assert (five.weight, five.words) == (3 + 5 / 4, (0, 1, 2, 3, 4))
    assert five.reasons == ("not sure where “The”, “sea”, “goes”, “out” … are",)
    (one,) = about(words=(words[0], *(replace(w, confidence=1.0) for w in words[1:])), **measured)
    assert one.reasons == ("not sure where “The” is",)
    many = tuple(replace(w, confidence=0.1) for w in (*words, *words))
    (most,) = about(words=tuple(many[:7]), **measured)
    assert most.weight == 3 + 7 / 4
    heard = Heard({})
    found = about(heard=heard)
    assert [(d.line, d.weight) for d in found] == [("1", 1), ("3", 1)]
    assert "not recorded" in found[0].reasons[0]


def test_what_spoils_a_line_comes_before_what_moves_it_and_that_before_what_makes_it_noisy():
    by_weight = {
        9: "ROUGH UNCLEAR WRONG_LINE",
        8: "NOT_SAID CUT_OFF_START CUT_OFF_END SCRIPT_CHANGED BARS_UNKNOWN DOWNBEAT_OFF_BEAT",
        7: "SINGING_NOT_FOUND TEMPO_OCTAVE HALF_BEAT_UNSURE THIRD_BEAT_UNSURE",
        6: "SAID_DIFFERENTLY CHOSEN_MISSING NAMED_WRONGLY TEMPO_UNSURE METRE_GUESSED WEAK_PULSE",
        5: "BARS_RESTART BEAT_BREAKS TEMPO_ASSUMED",
        4: "EXTRA_WORDS SHIFT DRIFT",
        3: "TEMPO_CHANGES",
        2: "NOISY DAMAGED",
    }
    for weight, names in by_weight.items():
        for name in names.split():
            (one,) = about(Finding(Code[name], "x"))
            assert one.weight == weight, name


def test_a_bar_a_tenth_longer_than_the_others_is_doubted():
    plan = small_plan()
    song = plan.songs[0]

    def uneven(*bars):
        return [d for d in doubts(replace(plan, songs=(replace(song, downbeats=tuple(map(F, bars))),)), None) if d.song]

    assert uneven(10, 12, 14, F(161, 10)) == []
    (one,) = uneven(10, 12, 14, F(1621, 100))
    assert (one.weight, one.start) == (4, 14)
    assert one.reasons == ("bar 3 lasts 2.21 s, the others 2.00 s",)
    (two,) = uneven(10, 12, 15, 17, 19, 20)
    assert two.reasons == ("bar 2 lasts 3.00 s, and 1 more, the others 2.00 s",)
    assert two.start == 12
    assert uneven(10, 12, 15) == []  # of two nobody knows which is the odd one
    assert uneven(10) == []


# Sounds.


def test_the_outline_of_the_pages_sound_by_hand():
    # A hundredth of a second are 480 samples; the root of the highest, 255 at the top.
    sound = np.zeros(480 * 2 + 1, np.int16)
    sound[5], sound[480], sound[960] = -400, 100, 25
    assert list(_wave(sound)) == [255, 128, 64]
    assert _wave(sound[:0]) == b""


def test_spare_stretches_lie_behind_one_another_with_a_second_around(monkeypatch):
    sound = np.zeros(48_000 * 6, np.int16)
    sound[48_000 * 3] = 1000
    monkeypatch.setattr(spare, "pieces", lambda path, rate, stretches: Pieces([(0, sound)]))
    one = spare.Stretch("a.wav", F(3), F(4))
    early = spare.Stretch("a.wav", F(1, 2), F(1))
    placed, track = spare.with_sound([one, early], Path(), F(10))
    assert (placed[0].at, placed[0].low, placed[0].high) == (11, 2, 5)  # from 2 to 5 s, at 10 s of the page
    assert (placed[1].at, placed[1].low, placed[1].high) == (10 + 3 + F(2, 5) + F(1, 2), 0, 2)
    assert len(track) == 48_000 * 5 + 2 * 19_200
    assert track[48_000] == int(0.2 * 32767)  # the highest at the voices' level
    monkeypatch.setattr(spare, "LONGEST_IN_ALL_S", 4)
    placed, track = spare.with_sound([one, early], Path(), F(10))
    assert (placed[1].at, len(track)) == (None, 48_000 * 3 + 19_200)


def test_readings_that_were_not_chosen_are_spare():
    takes = [
        Take("1", "a.wav", F(0), F(1), c, 0.9, chosen) for c, chosen in ((True, True), (True, False), (False, False))
    ]
    assert spare.other_readings(Heard({}, tuple(takes))) == (takes[1],)
    assert spare.other_readings(None) == ()
    assert spare.left_over(None, small_plan()) == ()


def test_a_song_is_heard_under_the_voices_from_where_it_is_played(tmp_path, monkeypatch):
    from timing.watch import track as module

    plan = small_plan()
    monkeypatch.setattr(module, "guide_track", lambda plan, folder: np.full(48_000 * 20, 100, np.int16))
    sound = np.full(48_000 * 30, 500, np.int16)
    monkeypatch.setattr(module, "read_audio", lambda path, rate: type("S", (), {"samples": sound}))
    got, notes = sound_of(plan, tmp_path)
    level = 100 + int(0.16 * 32767)
    assert notes == []
    assert (got[48_000 * 12 - 1], got[48_000 * 12], got[-1]) == (100, level, level)
    played = replace(plan, songs=(replace(plan.songs[0], heard_from=F(14), end=F(16)),))
    got, _ = sound_of(played, tmp_path)
    assert [int(v) for v in got[[48_000 * 14 - 1, 48_000 * 14, 48_000 * 16 - 1, 48_000 * 16]]] == [
        100,
        level,
        level,
        100,
    ]
    early = replace(plan, songs=(replace(plan.songs[0], start=F(-1)),))
    assert sound_of(early, tmp_path)[0][0] == level
    assert part(np.arange(100_000), F(1), F(2)).tolist()[:1] == [48_000]
    assert len(part(np.arange(100_000), F(1), F(2))) == 48_000


def test_a_plan_with_a_settled_font_and_a_take_that_is_not_accepted(tmp_path):
    from tests.watch.films import write_video
    from timing.watch.pictures import Pictures

    write_video(tmp_path / "clips" / "C02.mp4", F(24), [80] * 4)
    plan = replace(small_plan(), deliveries=(Delivered("C02", "clips/C02.mp4"),))
    pictures = Pictures(plan, tmp_path, (784, 441))
    clip = plan.clips[1]
    seen = pictures.of(clip, 120)
    assert (seen.name, seen.image.size) == ("C02.mp4 (not accepted)", (784, 441))
    accepted = Pictures(
        replace(plan, deliveries=(Delivered("C02", "clips/C02.mp4", state="accepted"),)), tmp_path, (320, 200)
    )
    seen = accepted.of(clip, 120)
    assert (seen.name, seen.image.size) == ("C02.mp4", (320, 180))  # 160 x 90 as large as fits
    assert accepted.of(None, 3).image is None
