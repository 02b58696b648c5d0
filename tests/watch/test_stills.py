"""The still at a seam is the very frame in which the cut leaves the accepted take: films with numbered frames.

What a frame is shown at is worked out by hand from the films' own moments; the frame itself is compared, pixel by
pixel, with what the decoding library gives when the whole film is read.
"""

from __future__ import annotations

import io
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.export.plans import line, plan_of
from tests.watch.numbered import decoded, film, number_in
from timing.model import LineKind
from timing.model.clock import FrameRate
from timing.model.placed import Delivered
from timing.model.settings import EpisodeSettings
from timing.watch.stills import seam_stills

F = Fraction
COUNT = 60


def passage(rate: FrameRate, frames: int, file: str, **more):
    """A passage in two clips, the first of which is in the cut for ``frames`` frames; its take is accepted."""
    one = line("5", "The bay.", 0, rate, LineKind.PICTURE)
    plan = plan_of([one], EpisodeSettings(rate=rate))
    first = replace(plan.clips[0], id="C05.1", part=(1, 2), end=rate.moment_of(frames), end_frame=frames)
    second = replace(first, id="C05.2", part=(2, 2), start_frame=frames, end_frame=2 * frames)
    return replace(plan, clips=(first, second), deliveries=(Delivered("C05.1", file, state="accepted", **more),))


def still(plan, folder: Path) -> np.ndarray:
    (found,) = seam_stills(plan, folder).items()
    assert found[0] == "stills/C05.2.png"
    return np.asarray(Image.open(io.BytesIO(found[1])))


def check(folder: Path, name: str, rate: FrameRate, frames: int, expected: int) -> None:
    image = still(passage(rate, frames, name), folder)
    if name != "lossy.mp4":
        assert number_in(image) == expected
    every = decoded(folder / name)
    assert len(every) == COUNT
    assert np.array_equal(image, every[expected])
    assert sum(np.array_equal(image, other) for other in every) == 1


@pytest.mark.parametrize("fps", [16, 24, 25, 30])
def test_a_film_at_the_plans_rate_gives_the_last_frame_of_the_cut(tmp_path, fps):
    film(tmp_path / "a.mkv", COUNT, F(fps))
    check(tmp_path, "a.mkv", FrameRate(F(fps)), 37, 36)  # 37 frames are shown: the last of them is frame 36 from 0
    film(tmp_path / "b.mov", COUNT, F(fps), codec="png", pixels="rgb24")
    check(tmp_path, "b.mov", FrameRate(F(fps)), 1, 0)


@pytest.mark.parametrize(("fps", "expected"), [(16, 24), (24, 36), (25, 37), (30, 45)])
def test_a_film_at_another_rate_gives_what_is_on_the_screen_then(tmp_path, fps, expected):
    # At 24 frames a second frame 36 begins at 1.5 s: frames 24, 36, 37 (of 37.5) and 45 of these films are seen then.
    film(tmp_path / "a.mkv", COUNT, F(fps))
    check(tmp_path, "a.mkv", FrameRate(F(24)), 37, expected)


@pytest.mark.parametrize("fps", [F(16), F(24), F(25), F(30), F(30_000, 1001)])
def test_frames_stored_in_another_order_are_counted_as_they_are_shown(tmp_path, fps):
    film(tmp_path / "b.mp4", COUNT, fps, codec="libx264rgb", pixels="rgb24", options={"qp": "0", "bf": "3"})
    check(tmp_path, "b.mp4", FrameRate(fps), 38, 37)
    film(tmp_path / "lossy.mp4", COUNT, fps, codec="libx264", pixels="yuv420p", options={"bf": "3", "g": "40"})
    check(tmp_path, "lossy.mp4", FrameRate(fps), 38, 37)


def test_frames_of_different_lengths_are_found_by_their_moments(tmp_path):
    # Frames 0 to 9 stand 0.1 s each, all others 0.04 s: frame 9 + n is seen from 0.9 + 0.1 + 0.04 (n - 1) s on.
    times = [F(n, 10) for n in range(10)] + [1 + F(4 * n, 100) for n in range(COUNT - 10)]
    film(tmp_path / "v.mkv", COUNT, F(25), times=times)
    rate = FrameRate(F(24))
    check(tmp_path, "v.mkv", rate, 13, 5)  # its last frame begins at 12/24 = 0.5 s
    check(tmp_path, "v.mkv", rate, 12, 4)  # at 11/24 = 0.458 s
    check(tmp_path, "v.mkv", rate, 37, 22)  # at 1.5 s: 10 + 12.5 frames of 0.04 s


@pytest.mark.parametrize("name", ["late.mkv", "late.ts"])
def test_a_film_whose_clock_does_not_begin_at_nothing(tmp_path, name):
    more = {"codec": "libx264rgb", "pixels": "rgb24", "options": {"qp": "0", "bf": "3"}} if name == "late.mkv" else {
        "codec": "libx264", "pixels": "yuv444p", "options": {"qp": "0", "bf": "2"}
    }  # fmt: skip
    film(tmp_path / name, COUNT, F(24), begins=F(3, 2), sound_from=F(3, 2) if name == "late.mkv" else None, **more)
    check(tmp_path, name, FrameRate(F(24)), 37, 36)


def test_a_picture_that_begins_after_its_sound_is_counted_from_the_sound(tmp_path):
    # 6 frames of sound alone: what is seen 36 frames into the film is its frame 30.
    film(tmp_path / "a.mkv", COUNT, F(24), begins=F(1, 4), sound_from=F(0))
    check(tmp_path, "a.mkv", FrameRate(F(24)), 37, 30)


def test_a_take_that_is_too_short_gives_its_last_frame(tmp_path):
    film(tmp_path / "a.mkv", COUNT, F(24))
    check(tmp_path, "a.mkv", FrameRate(F(24)), COUNT + 10, COUNT - 1)


def test_a_take_that_was_not_accepted_or_has_no_picture_gives_none(tmp_path):
    film(tmp_path / "a.mkv", 10, F(24))
    plan = passage(FrameRate(F(24)), 5, "a.mkv")
    for back in ({"state": "delivered"}, {"has_picture": False}, {"file": "gone.mkv"}):
        assert not seam_stills(replace(plan, deliveries=(replace(plan.deliveries[0], **back),)), tmp_path)
