"""What is seen and heard in the cut: numbered frames and beeps of a take, each on its frame of the cut."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np

from tests.cut.test_follow import RATE, event, in_cut, three_speeches
from tests.watch.films import RATE_HZ, beeps, write_video, write_wav
from timing.delivery.verdict import Check
from timing.model import Delivered, Media, Origin
from timing.watch.pictures import Pictures
from timing.watch.track import sound_of


def grey(n: int) -> int:
    return 20 + 2 * n


def test_the_reel_shows_the_frames_that_the_cut_shows(tmp_path: Path) -> None:
    """Of C01 the cut shows frames 12 to 31 from frame 5 on, of C02 (a picture of nothing said) frames 3 to 12 then."""
    for name in ("C01", "C02"):
        write_video(tmp_path / f"clips/{name}.mp4", RATE.fps, [grey(n) for n in range(72)])
    plan = three_speeches()
    backs = (
        Delivered("C01", "clips/C01.mp4", is_measured=True, speech_start=Fraction(1, 2)),
        Delivered("C02", "clips/C02.mp4"),
    )
    checks = tuple(Check(f"clips/{name}.mp4", name, is_best=True) for name in ("C01", "C02"))
    media = {f"clips/{name}.mp4": Media(RATE.fps, Fraction(3)) for name in ("C01", "C02")}
    text = event(1, "AX", 12, 5, 20, name="C01.mp4") + event(2, "AX", 3, 25, 10, name="C02.mp4")
    there = in_cut(replace(plan, deliveries=backs), text, checks, media).in_cut
    assert there is not None
    pictures = Pictures(there, tmp_path, (160, 90))
    first, second = there.clips
    for clip, frame, source in ((first, 5, 12), (first, 24, 31), (second, 25, 3), (second, 34, 12)):
        image = pictures.of(clip, frame).image
        assert image is not None
        assert abs(int(np.asarray(image).mean()) - grey(source)) <= 1, frame
    pictures.close()


def test_a_beep_is_heard_where_the_cut_has_its_word(tmp_path: Path) -> None:
    """A beep at 0.5 s of the take, where "The" begins. The cut shows the take from its frame 6 (0.25 s) on frame 36."""
    write_wav(tmp_path / "clips/C01.wav", beeps([0.5], 4))
    plan = three_speeches()
    line = replace(plan.lines[0], origin=Origin.MEASURED, take="clips/C01.wav", take_start=Fraction(1, 2))
    back = Delivered("C01", "clips/C01.wav", is_measured=True, speech_start=Fraction(1, 2))
    plan = replace(plan, lines=(line, *plan.lines[1:]), deliveries=(back,))
    checks = (Check("clips/C01.wav", "C01", is_best=True),)
    media = {"clips/C01.wav": Media(None, Fraction(4))}
    text = event(1, "C02", 0, 0, 36) + event(2, "AX", 6, 36, 60, name="C01.wav")
    there = in_cut(plan, text, checks, media).in_cut
    assert there is not None
    assert next(n for n in there.lines if n.id == "1").start == Fraction(42, 24)
    track, notes = sound_of(there, tmp_path)
    assert not notes
    loud = np.flatnonzero(np.abs(track.astype(int)) > 2000)
    assert abs(loud[0] - 1.75 * RATE_HZ) < 300  # a take begins with a fade of 5 ms
