"""The reel, read back by other programs: counted by ffprobe, heard through ffmpeg's decoder, judged by WCAG 2.3.1."""

from __future__ import annotations

import io
import itertools
import struct
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from tests.export.plans import line, plan_of, small_plan
from tests.watch.films import beeps, counted, most_flashes, pictures_of, sound_of, write_video, write_wav
from timing.cli import cli
from timing.export.guide import guide_samples
from timing.model import Delivered, LineKind, Origin, Plan
from timing.model.clock import FrameRate
from timing.model.settings import EpisodeSettings
from timing.plain.errors import OutputError, SettingsError
from timing.watch import film, track
from timing.watch.marks import GROUND, LIT, Text
from timing.watch.moments import Moments
from timing.watch.reel import Reel
from timing.watch.screen import TALL, WIDE
from timing.watch.stills import _png
from timing.watch.stretch import moment, stretches


def reel_of(plan: Plan, folder: Path, *stretch: tuple[int, int], tall: bool = False) -> Reel:
    return Reel(plan, folder, stretch or ((0, plan.frames),), tall)


def written(reel: Reel, folder: Path) -> Path:
    path = folder / "reel.mp4"
    path.write_bytes(reel.film())
    return path


def two_seconds(rate: str = "24") -> Plan:
    """One line of five words of 0.2 s from 0.5 s on: everything ends at 1.5 s + 0.35 s of handle."""
    settings = EpisodeSettings(rate=FrameRate.parse(rate))
    return plan_of([line("1", "Out it goes, little sea.", "0.5", settings.rate, a_word="0.2")], settings)


@pytest.mark.parametrize("rate", ["12", "23.976", "25", "29.97", "60"])
def test_the_film_has_exactly_the_plans_frames_at_its_rate(rate: str, tmp_path: Path) -> None:
    plan = two_seconds(rate)
    exact = {"23.976": Fraction(24000, 1001), "29.97": Fraction(30000, 1001)}.get(rate) or Fraction(rate)
    by_hand = {"12": 22, "23.976": 44, "25": 46, "29.97": 55, "60": 111}  # 1.85 s x rate, nearest, halves up
    frames, fps, pix_fmt = counted(written(reel_of(plan, tmp_path), tmp_path))
    assert (frames, fps, pix_fmt) == (by_hand[rate], exact, "yuv420p")


def test_the_index_stands_before_the_sound_and_picture(tmp_path: Path) -> None:
    data = written(reel_of(two_seconds(), tmp_path, (0, 12)), tmp_path).read_bytes()
    names, at = [], 0
    while at < len(data):  # ISO/IEC 14496-12: size, name, content
        size, name = struct.unpack(">I4s", data[at : at + 8])
        names.append(name)
        at += size
    assert names.index(b"moov") < names.index(b"mdat")


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    first, second = (reel_of(small_plan(), tmp_path, (10, 40)).film() for _ in range(2))
    assert first == second


def test_the_sound_is_the_guides_within_a_millisecond(tmp_path: Path) -> None:
    plan = small_plan()
    start, end = 9 * 24, 15 * 24  # four clicks of count-in and the first beats
    heard = sound_of(written(reel_of(plan, tmp_path, (start, end)), tmp_path)).astype(float)
    guide = guide_samples(plan, lambda name: np.zeros(1, np.int16))[start * 2000 : end * 2000].astype(float)
    assert abs(len(heard) - len(guide)) <= 1024
    size = 1 << 20
    match = np.fft.irfft(np.fft.rfft(heard, size) * np.conj(np.fft.rfft(guide, size)))
    lag = int(np.argmax(match))
    assert min(lag, size - lag) <= 48  # samples at 48 kHz


@pytest.mark.parametrize("at_once", [1000, 1 << 20])
def test_a_song_is_heard_under_the_guide_at_its_level(tmp_path: Path, monkeypatch, at_once: int) -> None:
    """By hand: a song of -20000 throughout stands at 0.16 of full scale: 0.16 x 32767 = 5242.72, cut to whole."""
    monkeypatch.setattr(track, "_SAMPLES_AT_ONCE", at_once)
    plan = small_plan()
    song = replace(plan.songs[0], file="songs/sea.wav")
    write_wav(tmp_path / "songs" / "sea.wav", np.full(2 * RATE + 500, -20_000, np.int16))
    heard, notes = track.sound_of(replace(plan, songs=(song,)), tmp_path)
    guide = guide_samples(plan, lambda name: np.zeros(1, np.int16))
    by_hand, first = np.zeros(len(guide), int), round(song.start * RATE)
    by_hand[first : first + 2 * RATE + 500] = -5242
    assert notes == []
    assert np.array_equal(heard.astype(int) - guide, by_hand)


def test_beeps_are_heard_on_the_frames_whose_word_is_marked(tmp_path: Path) -> None:
    plan = two_seconds()
    one = replace(plan.lines[0], take="recordings/a.wav", take_start=Fraction(0), origin=Origin.MEASURED)
    plan = replace(plan, lines=(one,))
    write_wav(tmp_path / "recordings" / "a.wav", beeps([n * 0.2 for n in range(5)], 1.2))
    path = written(reel_of(plan, tmp_path), tmp_path)
    heard = np.abs(sound_of(path).astype(int))
    loud = np.flatnonzero(heard > 0.5 * heard.max())
    onsets = [loud[0], *(b for a, b in itertools.pairwise(loud) if b - a > 4800)]
    by_hand = [12, 17, 22, 26, 31]  # 0.5, 0.7, 0.9, 1.1, 1.3 s x 24, nearest frame edge
    assert [round(onset / 2000) for onset in onsets] == by_hand
    assert abs(onsets[0] - 0.5 * RATE) < 240  # a take begins with a fade of 5 ms
    assert all(abs(onset - moment * RATE) < 48 for onset, moment in zip(onsets[1:], (0.7, 0.9, 1.1, 1.3), strict=True))
    area = WIDE.words
    lit = [np.argwhere(p[area.y0 : area.y1, area.x0 : area.x1].min(axis=-1) > LIT - 8) for p in pictures_of(path)]
    lefts = [int(found[:, 1].min()) if len(found) > 200 else None for found in lit]
    changes = [n for n in range(1, len(lefts)) if lefts[n] is not None and lefts[n] != lefts[n - 1]]
    assert [n for n in changes if lefts[n - 1] is None or abs(lefts[n] - lefts[n - 1]) > 4] == by_hand


RATE = 48_000


def texts(reel: Reel, frame: int) -> list[str]:
    """Every text the layout puts on a frame, the running sheet left out."""
    at = reel.moments.at(frame)
    marks = (*reel.screen.still(at, "", False), *reel.screen.figures(at))
    return [mark.text for mark in marks if isinstance(mark, Text)]


# small_plan(): line 1 at 1 s, line 2 (a picture passage) 5 to 7 s, line 3 at 7.3 s, a sung line at 12 s; a word lasts
# 0.4 s, handles 0.25 and 0.35 s; 96 bpm in 4/4 from 12 s on: a beat every 0.625 s = 15 frames. Worked out by hand.
BY_HAND = {
    0: ("no clip here", "1 of 18", "1", "0:00+00", "–"),  # the clip begins at 0.75 s = frame 18
    18: ("C01", "1 of 82", "19", "0:00+18", "–"),  # and ends at 1 + 7 x 0.4 + 0.35 s = frame 99.6, so 100
    99: ("C01", "82 of 82", "100", "0:04+03", "–"),
    120: ("C02", "1 of 48", "121", "0:05+00", "–"),
    167: ("C02", "48 of 48", "168", "0:06+23", "–"),
    200: ("C03", "32 of 111", "201", "0:08+08", "–"),  # from 7.05 s = 169.2 to 7.3 + 4 + .35 s = 279.6: 169 to 280
    288: ("C04", "7 of 72", "289", "0:12+00", "1.1"),  # 11.75 s = frame 282 to 12 + 2.4 + .35 s = frame 354
    303: ("C04", "22 of 72", "304", "0:12+15", "1.2"),
    348: ("C04", "67 of 72", "349", "0:14+12", "2.1"),
    479: ("no clip here", "126 of 126", "480", "0:19+23", "3.4"),
}


@pytest.mark.parametrize("frame", BY_HAND)
def test_the_numbers_on_a_frame_are_those_worked_out_by_hand(frame: int, tmp_path: Path) -> None:
    shown = texts(reel_of(small_plan(), tmp_path), frame)
    for value in BY_HAND[frame]:
        assert value in shown


def test_a_frame_says_who_what_is_asked_and_where_the_times_come_from(tmp_path: Path) -> None:
    reel = reel_of(small_plan(), tmp_path)
    assert "~ ask 4 s" in texts(reel, 30)  # 3.4 s with handles
    assert "Tansy" in texts(reel, 30)
    assert "~ estimated from the words" in texts(reel, 30)
    speech = reel.moments.at(30).speeches[0]  # 1.25 s: the first word, from 1 to 1.4 s
    assert (speech.pieces[speech.current or 0].text, speech.is_estimated) == ("The", True)
    assert reel.moments.at(20).speeches[0].current is None  # in the handle


def test_a_measured_line_carries_no_sign_of_an_estimate(tmp_path: Path) -> None:
    plan = small_plan()
    measured = replace(plan.lines[0], origin=Origin.MEASURED, take="recordings/a.wav", take_start=Fraction(0))
    shown = texts(reel_of(replace(plan, lines=(measured, *plan.lines[1:])), tmp_path), 30)
    assert "ask 4 s" in shown
    assert "~" not in shown


def test_two_who_speak_at_once_are_both_there_by_name(tmp_path: Path) -> None:
    rate = FrameRate(Fraction(24))
    plan = plan_of([line("1", "Wait for me!", 1, rate), line("2", "The tide, the tide!", 1, rate, speaker="BRAM")])
    shown = texts(reel_of(plan, tmp_path), 36)
    assert {"Tansy", "Bram", "Wait ", "tide!"} <= {*shown, *(t + " " for t in shown)}


@pytest.mark.parametrize("shape", [WIDE, TALL])
def test_nothing_runs_out_of_its_screen(shape: object, tmp_path: Path) -> None:
    rate = FrameRate(Fraction(24))
    long = line("1", "Unbelievably " * 40 + "wet.", 1, rate, speaker="THE LONGEST-NAMED LIMPET OF THE WHOLE WIDE SHORE")
    reel = reel_of(
        plan_of([long, line("2", "A wave. " * 60, 30, rate, LineKind.PICTURE)]), tmp_path, tall=shape is TALL
    )
    for frame in (0, 30, 200, 320, 725):
        at = reel.moments.at(frame)
        for mark in (*reel.screen.still(at, "a very long name of a take.mp4", False), *reel.screen.figures(at)):
            if isinstance(mark, Text):
                width = reel.fonts.width(mark.text, mark.style, mark.size)
                left = mark.x - {"left": 0, "centre": width / 2, "right": width}[mark.align]
                assert 0 <= left <= left + width <= reel.shape.width, mark
                assert 0 < mark.y <= reel.shape.height, mark


def test_the_decoded_frame_is_what_was_drawn_on_its_grey_ground(tmp_path: Path) -> None:
    reel = reel_of(small_plan(), tmp_path, (290, 300))
    shown = pictures_of(written(reel, tmp_path))[3].astype(int)
    drawn = np.asarray(reel_of(small_plan(), tmp_path).image(293)).astype(int)
    assert np.abs(shown - drawn).mean() < 2.5
    assert abs(int(shown[710, 400].mean()) - GROUND) <= 2
    area = WIDE.figures  # another number there would not be the same picture
    other = np.asarray(reel_of(small_plan(), tmp_path).image(300)).astype(int)
    part = (slice(area.y0, area.y1), slice(area.x0, area.x0 + 300))
    assert np.abs(shown[part] - other[part]).mean() > 2 * np.abs(shown[part] - drawn[part]).mean()


def with_take(plan: Plan, clip: str, file: str, **more: object) -> Plan:
    return replace(plan, deliveries=(Delivered(clip, file, state="accepted", **more),))  # type: ignore[arg-type]


def middle_greys(reel: Reel, frames: range) -> list[int]:
    area = reel.shape.picture
    at = ((area.x0 + area.x1) // 2, (area.y0 + area.y1) // 2)
    return [reel.image(frame).getpixel(at)[0] for frame in frames]


@pytest.mark.parametrize("rate", ["12", "23.976", "30", "60"])
def test_a_take_at_any_rate_repeats_its_pictures_and_blends_none(rate: str, tmp_path: Path) -> None:
    fps = FrameRate.parse(rate).fps
    greys = [80 + 2 * n for n in range(40)]
    write_video(tmp_path / "clips" / "C02.mp4", fps, greys)
    plan = with_take(small_plan(), "C02", "clips/C02.mp4")  # the passage from frame 120 to 168
    count = min(16, int(40 * 24 / fps))
    shown = middle_greys(reel_of(plan, tmp_path), range(120, 120 + count))
    # The picture a player shows at that moment; one that is less than a thousandth of a second late counts as there.
    expected = [greys[n if rate == "23.976" else int(n * fps / 24)] for n in range(count)]
    assert np.abs(np.array(shown) - expected).max() <= 1


def test_a_take_lies_where_its_speech_is(tmp_path: Path) -> None:
    greys = [80 + 2 * n for n in range(60)]
    write_video(tmp_path / "clips" / "C03.mp4", Fraction(24), greys)
    # Speech begins at 7.3 s on the clock and 0.8 s into the file, so the file begins at 6.5 s = frame 156.
    plan = with_take(small_plan(), "C03", "clips/C03.mp4", is_measured=True, speech_start=Fraction(4, 5))
    shown = middle_greys(reel_of(plan, tmp_path), range(170, 174))
    assert np.abs(np.array(shown) - [greys[n - 156] for n in range(170, 174)]).max() <= 1


def test_without_a_take_the_still_is_seen_and_a_broken_one_is_told(tmp_path: Path) -> None:
    (tmp_path / "pictures").mkdir()
    Image.new("RGB", (400, 300), (90, 120, 150)).save(tmp_path / "pictures" / "c02.png")
    (tmp_path / "pictures" / "C03.jpg").write_bytes(b"no picture")
    reel = reel_of(small_plan(), tmp_path)
    area = WIDE.picture
    assert reel.image(130).getpixel(((area.x0 + area.x1) // 2, area.y0 + 40)) == (90, 120, 150)
    reel.image(200)
    assert len(reel.notes) == 1
    assert "pictures/C03.jpg" in reel.notes[0]


def test_a_first_picture_is_seen_in_every_clip_that_starts_from_it(tmp_path: Path) -> None:
    plan = small_plan()  # here 1 and 3 are spoken by Tansy on the rock, 2 is a passage, 4 is sung
    plan = replace(plan, clips=tuple(replace(c, speaker="TANSY") if c.id == "C03" else c for c in plan.clips))
    plan = replace(plan, lines=tuple(replace(n, still="bay wide") if n.id == "2" else n for n in plan.lines))
    (tmp_path / "pictures").mkdir()
    for name, colour in (
        ("Tansy-Rock.png", (90, 120, 150)),
        ("Bay Wide.jpg", (60, 60, 60)),
        ("c03.png", (150, 120, 90)),
    ):
        Image.new("RGB", (400, 300), colour).save(tmp_path / "pictures" / name, quality=100)
    reel, area = reel_of(plan, tmp_path), WIDE.picture
    seen = [reel.image(frame).getpixel(((area.x0 + area.x1) // 2, area.y0 + 40)) for frame in (30, 130, 200)]
    assert seen == [(90, 120, 150), (60, 60, 60), (150, 120, 90)]  # the clip's own before the shared one
    (tmp_path / "pictures" / "c03.png").unlink()
    again = reel_of(plan, tmp_path).image(200).getpixel(((area.x0 + area.x1) // 2, area.y0 + 40))
    assert again == (90, 120, 150)


@pytest.mark.parametrize(
    ("matrix", "corner"),
    [
        # ISO/IEC 14496-12, 6.2.2: p' = a x + c y + tx, q' = b x + d y + ty. By hand: the stored top left corner (0, 0)
        # comes to (tx, ty), which is the top right of a picture turned by a quarter with the clock ...
        ((0, 1, -1, 0, 90, 0), "top right"),
        ((0, -1, 1, 0, 0, 160), "bottom left"),  # ... against it
        ((-1, 0, 0, -1, 160, 90), "bottom right"),  # ... and turned by half
        ((1, 0, 0, 1, 0, 0), "top left"),
    ],
)
def test_a_phones_turned_video_is_seen_upright(matrix: tuple[int, ...], corner: str, tmp_path: Path) -> None:
    path = tmp_path / "clips" / "C02.mp4"
    write_video(path, Fraction(24), [60] * 6, corner=220)
    data = bytearray(path.read_bytes())
    at = data.index(b"tkhd") + 4 + 40  # version 0: 40 bytes before the matrix, which is a b u, c d v, x y w
    a, b, c, d, x, y = matrix
    data[at : at + 36] = struct.pack(
        ">9i", *(n << 16 for n in (a, b)), 0, *(n << 16 for n in (c, d)), 0, x << 16, y << 16, 1 << 30
    )
    path.write_bytes(data)
    picture = reel_of(with_take(small_plan(), "C02", "clips/C02.mp4"), tmp_path).image(122)
    area = WIDE.picture
    wide, high = (90, 160) if 0 in matrix[:1] else (160, 90)
    scale = min(area.width / wide, area.height / high)
    left, top = area.x0 + (area.width - wide * scale) / 2, area.y0 + (area.height - high * scale) / 2
    places = {
        f"{row} {column}": picture.getpixel((int(left + x * wide * scale), int(top + y * high * scale)))[0]
        for row, y in (("top", 0.12), ("bottom", 0.88))
        for column, x in (("left", 0.12), ("right", 0.88))
    }
    assert max(places, key=lambda name: places[name]) == corner
    still = Image.open(io.BytesIO(_png(path, Fraction(0)) or b""))  # the frame that a seam starts from
    column, row = int(0.88 * wide) if "right" in corner else int(0.12 * wide), 10 if "top" in corner else high - 10
    assert still.size == (wide, high)
    assert still.getpixel((column, row))[0] > 200
    assert sorted(places.values())[:3] == pytest.approx([60] * 3, abs=6)


def test_a_take_that_flashes_is_held_and_said(tmp_path: Path) -> None:
    write_video(tmp_path / "clips" / "C02.mp4", Fraction(24), [20, 235] * 24)
    reel = reel_of(with_take(small_plan(), "C02", "clips/C02.mp4"), tmp_path, (116, 170))
    path = written(reel, tmp_path)
    assert most_flashes(pictures_of(tmp_path / "clips" / "C02.mp4"), 24) == 12  # what was planted
    assert most_flashes(pictures_of(path), 24) <= 3
    assert any("C02" in note and "flashes" in note for note in reel.notes)


def test_a_take_that_flashes_three_times_a_second_passes(tmp_path: Path) -> None:
    greys = ([60] * 4 + [200] * 4) * 6  # 24 frames a second: three pairs in each second
    write_video(tmp_path / "clips" / "C02.mp4", Fraction(24), greys)
    reel = reel_of(with_take(small_plan(), "C02", "clips/C02.mp4"), tmp_path)
    assert np.abs(np.array(middle_greys(reel, range(120, 168))) - greys).max() <= 1
    assert not reel.notes


def test_a_red_take_that_flashes_is_held_too(tmp_path: Path) -> None:
    from timing.watch.flashing import FlashGuard

    red, dark = Image.new("RGB", (64, 36), (255, 0, 0)), Image.new("RGB", (64, 36), (120, 120, 120))
    guard = FlashGuard(Fraction(24), 0.375)
    held = [guard.admit(picture)[1] for picture in [red, dark] * 12]
    assert not any(held[:6])
    assert any(held[6:])


def test_the_running_sheet_itself_never_flashes(tmp_path: Path) -> None:
    pictures = pictures_of(written(reel_of(small_plan(), tmp_path, (282, 354)), tmp_path))
    assert most_flashes(pictures, 24) == 0
    ground = [p[76:84].mean() for p in pictures]  # a band nothing is drawn on
    assert max(ground) - min(ground) < 1


def test_parts_of_the_episode_are_chosen_by_clip_and_clock(tmp_path: Path) -> None:
    plan = small_plan()
    assert stretches(plan, ["c1"]) == ((18, 100),)
    assert stretches(plan, ["C01", "C03"]) == ((18, 100), (169, 280))
    assert stretches(plan, [], moment("0:02"), moment("5,5")) == ((48, 132),)
    with pytest.raises(SettingsError, match="did you mean"):
        stretches(plan, ["C11"])
    with pytest.raises(SettingsError, match="nothing is left"):
        stretches(plan, [], Fraction(9), Fraction(3))
    frames, _, _ = counted(written(reel_of(plan, tmp_path, (18, 30), (169, 181), tall=True), tmp_path))
    assert frames == 24


def test_a_library_without_an_encoder_is_one_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(film, "VIDEO_ENCODERS", ("no-such-encoder",))
    with pytest.raises(OutputError, match=r"cannot write H\.264 pictures; install"):
        reel_of(two_seconds(), tmp_path).film()


def test_the_command_writes_the_reel_and_keeps_a_file_that_is_not_ours(tmp_path: Path) -> None:
    script = tmp_path / "sea.txt"
    script.write_text("TANSY: Where does the sea go?\n", "utf-8")
    done = CliRunner().invoke(cli, ["reel", str(script), "--to", "0.5"], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    assert "12 frames at 24 a second" in done.output
    assert counted(tmp_path / "sea-out" / "reel.mp4")[0] == 12
    (tmp_path / "sea-out" / "reel.mp4").write_bytes(b"mine")
    again = CliRunner().invoke(cli, ["reel", str(script), "--to", "0.5"])
    assert again.exit_code == 1
    assert (tmp_path / "sea-out" / "reel.mp4").read_bytes() == b"mine"
    wrong = CliRunner().invoke(cli, ["reel", str(script), "--from", "noon"])
    assert wrong.exit_code == 2
    assert "write seconds" in wrong.output


def test_moments_count_frames_between_clips_by_themselves() -> None:
    assert Moments(small_plan()).at(110).number == 11  # the gap runs from frame 100 to 120
