"""guide.wav and the clips' sounds, read back by Python's wave module and, for the cue points, by wavinfo."""

from __future__ import annotations

import io
import wave
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.export.plans import line, plan_of, small_plan
from timing.export.guide import RATE_HZ, clicks, clip_sounds, guide_samples, guide_wav
from timing.model import Plan
from timing.model.clock import FrameRate

TAKE_S = 6
RATE = FrameRate(Fraction(24))


def loud(name: str) -> NDArray[np.int16]:
    """A take at full scale all through."""
    return np.full(TAKE_S * RATE_HZ, 32767, np.int16)


def ramp(name: str) -> NDArray[np.int16]:
    """A take whose samples tell their place: hundredths of a second."""
    return (np.arange(TAKE_S * RATE_HZ) // (RATE_HZ // 100)).astype(np.int16) + 1


def samples(data: bytes) -> NDArray[np.int16]:
    with wave.open(io.BytesIO(data)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, 48_000)
        return np.frombuffer(file.readframes(file.getnframes()), "<i2")


def plan_with_takes() -> Plan:
    plan = small_plan()
    lines = tuple(
        replace(n, take="recordings/a.wav", take_start=Fraction(1)) if n.id in "13" else n for n in plan.lines
    )
    return replace(plan, lines=lines)


def test_the_guide_is_as_long_as_the_episode_and_never_over_minus_12_dbfs() -> None:
    plan = plan_with_takes()
    sound = samples(guide_wav(plan, loud))
    assert len(sound) == plan.frames * 2000  # 48 kHz at 24 frames a second: 2000 samples a frame
    assert 0 < np.max(np.abs(sound.astype(int))) / 32767 <= 10 ** (-12 / 20)


def test_many_loud_takes_at_once_come_to_minus_12_dbfs_and_one_to_a_fifth() -> None:
    """10 to the -0.6 is 0.25119 of full scale: 8230; two takes of a fifth each are 0.4 and would be over it."""
    plan = plan_with_takes()
    first = plan.lines[0]
    other = replace(first, id="7", take="recordings/b.wav")
    both = replace(plan, lines=(first, other), songs=())
    assert int(np.abs(guide_samples(both, loud).astype(int)).max()) == pytest.approx(8230, abs=2)
    alone = replace(plan, lines=(first,), songs=())
    assert int(np.abs(guide_samples(alone, loud).astype(int)).max()) == pytest.approx(0.2 * 32767, abs=2)


def test_two_loud_takes_at_once_stay_under_the_limit() -> None:
    plan = plan_of([line(str(n), "Wait for me now!", 1, RATE, take="a", take_start=Fraction(1)) for n in (1, 2, 3)])
    assert np.max(np.abs(samples(guide_wav(plan, loud)).astype(int))) / 32767 <= 10 ** (-12 / 20)


def test_takes_lie_in_their_places_and_elsewhere_is_silence() -> None:
    plan = plan_with_takes()
    sound = samples(guide_wav(plan, loud))
    for one in plan.lines:
        first, last = int(one.start * RATE_HZ), int(one.end * RATE_HZ)
        if one.take:
            assert np.abs(sound[first + 500 : last - 500]).min() > 0
    assert not sound[: RATE_HZ - 1].any()
    assert not sound[4 * RATE_HZ : 7 * RATE_HZ].any()


def test_clicks_fall_on_every_beat_after_a_bar_of_count_in() -> None:
    song = small_plan().songs[0]
    found = clicks(song)
    beat = Fraction(60, 96)
    assert [moment for moment, _ in found] == [12 + n * beat for n in range(-4, 12)]
    assert [n for n, (_, accent) in enumerate(found) if accent] == [0, 4, 8, 12]
    sound = samples(guide_wav(small_plan(), loud))
    for moment, _ in found:
        at = int(moment * RATE_HZ)
        assert np.abs(sound[at : at + 48]).max() > 1000
        assert not sound[at - 480 : at].any()


def test_cue_points_are_read_back_at_clips_and_bars(tmp_path: Path) -> None:
    wavinfo = pytest.importorskip("wavinfo")
    path = tmp_path / "guide.wav"
    path.write_bytes(guide_wav(plan_with_takes(), loud))
    cues = wavinfo.WavInfoReader(str(path)).cues
    labels = {label.name: label.text for label in cues.labels}
    found = [(labels[cue.name], cue.sample_offset) for cue in cues.cues]
    expected = [(c.id, c.start_frame * 2000) for c in plan_with_takes().clips]
    expected += [(f"out-and-in bar {n}", (288 + 60 * (n - 1)) * 2000) for n in (1, 2, 3)]
    assert sorted(found) == sorted(expected)


def test_a_clips_sound_is_cut_with_handles_to_the_length_asked_for() -> None:
    plan = plan_with_takes()
    files = clip_sounds(plan, ramp)
    assert sorted(files) == ["scratch/C01.wav", "scratch/C03.wav"]
    clip = plan.clips[0]
    sound = samples(files["scratch/C01.wav"])
    assert clip.ask is not None
    assert len(sound) == clip.ask * RATE_HZ
    # The take's second 1 is the first sound; it lies behind the head handle of 0.25 s.
    assert sound[int(0.25 * RATE_HZ)] == 101
    assert sound[int(0.05 * RATE_HZ)] == 81
    speech_end = int((Fraction(1, 4) + clip.speech) * RATE_HZ)
    assert sound[speech_end] == 101 + int(clip.speech * 100)
    assert not sound[speech_end + int(0.36 * RATE_HZ) :].any()


def test_a_handle_holds_no_neighbours_words() -> None:
    first = line("1", "One two.", 1, RATE, take="a", take_start=Fraction(1))
    second = line("2", "Three four.", "2.4", RATE, take="a", take_start=Fraction("1.9"))
    sound = samples(clip_sounds(plan_of([first, second]), ramp)["scratch/C01.wav"])
    # Line 1 is heard in the take from 1.0 to 1.8, line 2 from 1.9: the clip may reach 1.85, the middle.
    assert sound.max() <= 186
    assert sound.max() >= 183


def test_a_handle_before_the_beginning_of_the_take_is_silence() -> None:
    plan = plan_of([line("1", "One two.", 1, RATE, take="a", take_start=Fraction(1, 10))])
    sound = samples(clip_sounds(plan, ramp)["scratch/C01.wav"])
    assert not sound[: int(0.14 * RATE_HZ)].any()
    assert sound[int(0.25 * RATE_HZ)] == 11
