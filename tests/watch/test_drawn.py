"""What the reel draws, pixel for pixel where that can be worked out; what is doubted and what is heard beside it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.export.plans import line, small_plan
from tests.sheet.approved import approved
from tests.sheet.drawn_lots import lot
from tests.watch.films import beeps, write_wav
from tests.watch.reel_marks import LOTS, SHAPES, marks, reel_mark
from timing.model import LineKind, Origin, PlanLine
from timing.model.clock import FrameRate
from timing.plain.errors import SettingsError
from timing.watch.doubts import doubts
from timing.watch.flashing import FlashGuard, relative_luminance
from timing.watch.marks import GROUND, INK, PAPER, Box, Fonts
from timing.watch.moments import Moments
from timing.watch.page_data import _wave
from timing.watch.paint import Painter
from timing.watch.screen import WIDE
from timing.watch.spare import Stretch, with_sound
from timing.watch.stretch import moment, stretches
from timing.watch.strip import Strip

RATE_HZ = 48_000
RATE = FrameRate(Fraction(24))


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("number", LOTS)
def test_the_reels_screens_of_plans_drawn_by_lot_are_as_approved(number: int, shape: str) -> None:
    plan, _ = lot(number)
    assert reel_mark(plan, SHAPES[shape]) == approved()[f"reel of lot {number}"][shape]


@pytest.mark.parametrize("shape", SHAPES)
def test_everything_stands_on_its_screen_and_on_its_strip(shape: str) -> None:
    of = SHAPES[shape]
    for number in range(0, 36, 7):
        for where, mark in marks(lot(number)[0], of):
            width = of.width if where == "screen" else sum(of.columns)
            right = mark.x1 if isinstance(mark, Box) else mark.x
            left = mark.x0 if isinstance(mark, Box) else mark.x
            assert 0 <= left <= right <= width, (number, mark)


def painter() -> tuple[Painter, Strip]:
    plan, fonts = small_plan(), Fonts.load(None)
    strip = Strip(plan, Moments(plan), fonts, WIDE)
    return Painter(WIDE, fonts, strip), strip


@pytest.mark.parametrize("frame", [0, 5, 47, 48, 100, 143, 300])
def test_the_running_sheet_is_the_strip_that_was_drawn_in_one_piece(frame: int) -> None:
    """Drawn whole, without tiles; 10 pixels a frame at 24; the frame's row begins 200 below the window's edge."""
    paint, strip = painter()
    whole = Image.new("RGB", (strip.width, 10 * strip.frames), (PAPER,) * 3)
    paint.draw(whole, strip.marks(0, strip.frames))
    shown = paint.paint((), (), frame, None)
    x, y = 832, 106  # of the wide screen's strip
    for row in (3, 60, 150, 195, 205, 330, 590):
        if row in range(198, 213):
            continue  # the reading line
        on_strip = 10 * frame - 200 + row
        got = np.asarray(shown.crop((x, y + row, x + strip.width, y + row + 1)))
        if 0 <= on_strip < 10 * strip.frames:
            assert (got == np.asarray(whole.crop((0, on_strip, strip.width, on_strip + 1)))).all(), row
        else:
            assert (got == GROUND).all(), row


def test_the_reading_line_holds_the_row_of_its_frame_between_two_strokes() -> None:
    paint, strip = painter()
    shown = np.asarray(paint.paint((), (), 100, None))[..., 0]
    right = 832 + strip.width + 7  # the strokes reach 8 pixels beyond the strip on both sides
    assert [y for y in range(280, 340) if shown[y, right] == INK] == [304, 305, 316, 317]
    assert shown[304, 832 + strip.width + 8] == GROUND
    assert (shown[304, 824], shown[304, 823]) == (INK, GROUND)


def test_many_frames_later_the_same_frame_is_drawn_alike() -> None:
    paint, _ = painter()
    first = np.asarray(paint.paint((), (), 10, None))
    for frame in range(20, 360, 24):  # more stretches than are kept
        paint.paint((), (), frame, None)
    assert (np.asarray(paint.paint((), (), 10, None)) == first).all()


def test_a_picture_stands_in_the_middle_of_its_area() -> None:
    """The wide screen's area is 784 x 441: 100 x 41 leave 342 on each side, 200 above and below."""
    paint, _ = painter()
    whole = paint.in_picture(Image.new("RGB", (100, 41), (9, 9, 9)))
    assert whole.size == (784, 441)
    dark = np.argwhere(np.asarray(whole)[..., 0] == 9)
    assert (*dark.min(axis=0), *dark.max(axis=0)) == (200, 342, 240, 441)
    assert (np.asarray(paint.in_picture(None)) == PAPER).all()
    full = Image.new("RGB", (784, 441), (9, 9, 9))
    assert paint.in_picture(full) is full
    shown = np.asarray(paint.paint((), (), 0, full))
    assert (shown[84, 24, 0], shown[524, 807, 0], shown[83, 24, 0], shown[525, 807, 0]) == (9, 9, GROUND, GROUND)


# --- doubts


def measured(**more: object) -> PlanLine:
    return replace(line("1", "The sea was here.", 1, RATE), origin=Origin.MEASURED, **more)  # type: ignore[arg-type]


def doubt(one: PlanLine, **more: object) -> tuple[float, tuple[str, ...], tuple[int, ...]] | None:
    found = doubts(replace(small_plan(), lines=(one,), songs=(), **more), None)  # type: ignore[arg-type]
    return (found[0].weight, found[0].reasons, found[0].words) if found else None


def with_confidence(*values: float) -> PlanLine:
    of = measured()
    return replace(of, words=tuple(replace(w, confidence=v) for w, v in zip(of.words, values, strict=True)))


def test_a_word_is_doubted_below_one_half_and_a_line_below_six_tenths() -> None:
    assert doubt(with_confidence(0.5, 0.9, 0.9, 0.9)) is None
    assert doubt(with_confidence(0.9, 0.499, 0.9, 0.9)) == (3.25, ("not sure where “sea” is",), (1,))
    assert doubt(measured(confidence=0.6)) is None
    assert doubt(measured(confidence=0.599)) == (4, ("found with 60 % confidence only",), ())
    # a picture is never doubted, nor the words of a line whose times are estimated
    assert doubt(replace(measured(confidence=0.1), kind=LineKind.PICTURE)) is None
    assert doubt(replace(with_confidence(0.1, 0.1, 0.1, 0.1), origin=Origin.ESTIMATED)) is None


def test_many_doubted_words_weigh_up_to_two_more_and_four_are_named() -> None:
    two = doubt(with_confidence(0.1, 0.9, 0.2, 0.9))
    assert two == (3.5, ("not sure where “The”, “was” are",), (0, 2))
    text = "One two three four five six seven eight nine ten."
    of = replace(line("1", text, 1, RATE), origin=Origin.MEASURED)
    found = doubt(replace(of, words=tuple(replace(w, confidence=0.1) for w in of.words)))
    assert found is not None
    assert found[0] == 5  # 3 and 10 / 4, but 2 at most
    assert found[1] == ("not sure where “One”, “two”, “three”, “four” … are",)


def test_a_bar_may_differ_by_a_tenth_of_the_usual_one() -> None:
    """Bars of 2.5 s: 2.75 is a tenth more; two bars alone have no usual one."""
    song = small_plan().songs[0]

    def told(*lengths: str) -> tuple[str, ...]:
        edges = [Fraction(12)]
        for length in lengths:
            edges.append(edges[-1] + Fraction(length))
        of = replace(small_plan(), lines=(), songs=(replace(song, downbeats=tuple(edges)),))
        return tuple(reason for d in doubts(of, None) for reason in d.reasons)

    assert told("2.5", "2.5", "2.75", "2.5") == ()
    assert told("2.5", "2.5", "2.76", "2.5") == ("bar 3 lasts 2.76 s, the others 2.50 s",)
    assert told("2.5", "4") == ()
    assert told("2.5", "2.5", "4") == ("bar 3 lasts 4.00 s, the others 2.50 s",)


# --- stretches of the episode


def test_a_choice_of_moments_is_of_whole_frames_within_the_episode() -> None:
    plan = small_plan()
    assert stretches(plan) == ((0, plan.frames),)
    assert stretches(plan, begin=Fraction(1), end=Fraction(2)) == ((24, 48),)
    assert stretches(plan, end=Fraction(10_000)) == ((0, plan.frames),)
    with pytest.raises(SettingsError, match=r"from 0:02\.0 to 0:02\.0 nothing is left to see"):
        stretches(plan, begin=Fraction(2), end=Fraction(2))


def test_moments_are_seconds_or_minutes_and_fewer_than_sixty_seconds() -> None:
    assert moment("65") == 65  # without minutes seconds may be many
    assert moment("1:59.99") == Fraction("119.99")
    assert moment("2 s") == 2
    with pytest.raises(ValueError, match="no moment"):
        moment("1:60")
    with pytest.raises(ValueError, match="no moment"):
        moment("noon")


# --- sounds


def test_the_outline_of_the_sound_is_the_root_of_its_highest_samples() -> None:
    """A hundredth of a second is 480 samples. A quarter of the highest: the root is 1/2, of 255 that is 127.5."""
    sound = np.zeros(480 * 3 + 1, np.int16)
    sound[5], sound[480], sound[959] = -8000, 2000, -1000
    assert list(_wave(sound)) == [255, 128, 0, 0]
    assert _wave(np.zeros(0, np.int16)) == b""


def test_stretches_of_recordings_lie_one_behind_the_other(tmp_path: Path) -> None:
    """A second is heard on each side where there is one; 0.4 s of silence lie between two."""
    write_wav(tmp_path / "a.wav", beeps([0.5, 6.0], 10))
    found, sound = with_sound(
        [Stretch("a.wav", Fraction(1, 2), Fraction(1)), Stretch("a.wav", Fraction(6), Fraction(7))],
        tmp_path,
        Fraction(5),
    )
    assert [(one.at, one.low, one.high) for one in found] == [
        (5 + Fraction(1, 2), 0, 2),  # from the file's beginning to 1 s behind its end
        (5 + Fraction("2.4") + 1, 5, 8),
    ]
    assert len(sound) == (2 + Fraction("0.4") + 3 + Fraction("0.4")) * RATE_HZ
    at = int((Fraction("2.4") + 1) * RATE_HZ)
    assert (
        np.abs(sound[at : at + 1900]).max() == np.abs(sound).max() == 6553
    )  # a fifth of full scale, for ears in headphones
    assert not sound[2 * RATE_HZ : int(2.4 * RATE_HZ)].any()


def test_a_quarter_of_an_hour_is_heard_beside_the_lines_and_no_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("timing.watch.spare.LONGEST_IN_ALL_S", 5)
    write_wav(tmp_path / "a.wav", beeps([1.0], 10))
    one = Stretch("a.wav", Fraction(2), Fraction(5))  # 5 s with what is around it
    found, sound = with_sound([one, one], tmp_path, Fraction(0))
    assert len(sound) == int(5.4 * RATE_HZ)
    assert (found[0].at, found[1].high) == (1, 0)  # the second is listed, without sound


# --- flashes


def test_luminance_is_that_of_the_standard() -> None:
    """WCAG 2.2, relative luminance: white 1, black 0, red 0.2126; sRGB 188 is (0.7373 + 0.055) / 1.055 to the 2.4."""
    rgb = np.array([[255, 255, 255], [0, 0, 0], [255, 0, 0], [0, 255, 0], [188, 188, 188], [10, 10, 10]], np.uint8)
    wanted = [1, 0, 0.2126, 0.7152, ((188 / 255 + 0.055) / 1.055) ** 2.4, 10 / 255 / 12.92]
    assert relative_luminance(rgb) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize(
    ("dark", "light", "flashes"),
    [(0, 255, True), (0, 89, False), (0, 90, True), (231, 255, True), (232, 255, False)],
)
def test_a_change_counts_from_a_tenth_of_the_luminance_where_the_darker_is_below_eight_tenths(
    dark: int, light: int, flashes: bool
) -> None:
    """89: 0.0999, 90: 0.1022; 231: 0.7991, 232: 0.8069 (each ((v / 255 + 0.055) / 1.055) ^ 2.4)."""
    guard = FlashGuard(Fraction(24), 1.0)
    grays = [Image.new("RGB", (64, 36), (v, v, v)) for v in (dark, light)]
    held = [guard.admit(grays[n % 2])[1] for n in range(20)]
    assert any(held) is flashes
    assert not any(held[:7])  # six changes, three pairs, are not too many


def test_three_pairs_in_a_second_pass_and_the_next_change_does_not() -> None:
    """At 24 frames a second a change every four frames makes six in 24 frames; one every three makes eight."""
    grays = [Image.new("RGB", (64, 36), (v, v, v)) for v in (0, 255)]

    def held(each: int) -> list[int]:
        guard = FlashGuard(Fraction(24), 1.0)
        return [n for n in range(96) if guard.admit(grays[n // each % 2])[1]]

    assert held(4) == []
    assert held(3)[0] == 21  # the seventh change comes on frame 21 (3, 6, ... 18 are six)


# --- stills


def test_a_clip_looks_for_its_own_still_then_its_lines_then_the_one_it_shares(tmp_path: Path) -> None:
    from timing.watch.pictures import STILL_FOLDER, Pictures

    plan = small_plan()
    part = replace(plan.clips[0], id="C01.2", part=(2, 2))
    folder = tmp_path / STILL_FOLDER
    folder.mkdir()
    for name, size in (("c01.2.png", (40, 10)), ("C01.jpg", (10, 40)), ("C01.3.png", (9, 9))):
        Image.new("RGB", size, (200, 200, 200)).save(folder / name)
    notes: list[str] = []
    found = Pictures(plan, tmp_path, (80, 80), notes)
    assert [path.name for path in found._still_files(part)] == ["c01.2.png", "C01.jpg"]
    seen = found._still(part)
    assert seen.image is not None
    assert (seen.name, seen.image.size) == ("c01.2.png", (80, 20))  # as large as fits
    (folder / "c01.2.png").write_bytes(b"no picture")
    seen = found._still(part)
    assert seen.image is not None
    assert (seen.name, seen.image.size) == ("C01.jpg", (20, 80))
    found._still(part)
    assert notes == [f"{STILL_FOLDER}/c01.2.png: is no picture that can be shown; save it as PNG or JPEG"]  # once
    assert found.of(None, 0).name == ""
