"""What a file of picture or sound is: its rate, its length, the time code that it carries."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from timing.delivery.container import media_of
from timing.model import Media
from timing.store.store import Store


def write(path: Path, rate: Fraction, frames: int, code: str | None) -> None:
    with av.open(str(path), "w") as file:
        video = file.add_stream("mpeg4", rate=rate)
        video.width, video.height, video.pix_fmt = 64, 36, "yuv420p"
        if code:
            video.metadata["timecode"] = code
        for n in range(frames):
            frame = av.VideoFrame.from_ndarray(np.full((36, 64, 3), 90, np.uint8), "rgb24")
            frame.pts, frame.time_base = n, 1 / rate
            file.mux(video.encode(frame))
        file.mux(video.encode(None))


@pytest.mark.parametrize(
    ("name", "rate", "code", "starts"),
    [
        ("a.mov", Fraction(24), "10:00:00:12", Fraction(36000) + Fraction(1, 2)),
        ("b.mp4", Fraction(25), "01:00:00:00", Fraction(3600)),
        # Drop-frame: an hour of labels is 107,892 frames (SMPTE ST 12-1), and the first frame here is two later.
        ("c.mov", Fraction(30000, 1001), "01:00:00;02", Fraction(107894 * 1001, 30000)),
        ("d.mp4", Fraction(24), None, None),
    ],
)
def test_a_file_says_its_rate_its_length_and_its_first_code(
    tmp_path: Path, name: str, rate: Fraction, code: str | None, starts: Fraction | None
) -> None:
    write(tmp_path / name, rate, 30, code)
    store = Store.below(tmp_path / "out")
    assert media_of(tmp_path, store, name) == Media(rate, 30 / rate, starts)
    assert media_of(tmp_path, Store.below(tmp_path / "out"), name) == Media(rate, 30 / rate, starts)  # as kept


def test_what_cannot_be_opened_is_nothing(tmp_path: Path) -> None:
    (tmp_path / "x.mp4").write_text("no video")
    assert media_of(tmp_path, Store(), "x.mp4") is None
    assert media_of(tmp_path, Store(), "gone.mp4") is None
