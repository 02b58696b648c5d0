"""A converted voice beside a clip: the same take in another timbre, or not; how late it is and how much it drifts.

Voices are made here from synthesised readings by a filter and resampling, so their delays and drifts are known.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from tests.delivery.deliveries import RATE_HZ, other_voice, reading, write_clip
from timing.cli import cli
from timing.delivery.conversion import convert_of
from timing.delivery.matching import delivered_files, files_below
from timing.delivery.voices import is_same_reading
from timing.export.guide import wav_bytes
from timing.memory.clips_toml import read_memory
from timing.model.placed import Voice

TEXT = "The moon has no arms, and still it pulls at all the water of the sea."
OTHER = "Nobody has taken it away, it went out for a walk along the evening sand."


def moved(sound, delay: float, drift: float = 0.0):
    """The sound ``delay`` seconds later and slower by ``drift``, on a clock that begins with it."""
    count = int(len(sound) * (1 + max(0, drift)) + max(0, delay) * RATE_HZ)
    places = (np.arange(count) - delay * RATE_HZ) / (1 + drift)
    return np.interp(places, np.arange(len(sound)), sound, left=0, right=0).astype(np.int16)


def voice_file(path: Path, sound) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(wav_bytes(sound, []))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """One line and its clip; the take is accepted."""
    (tmp_path / "script.txt").write_text(f"TANSY: {TEXT}\n")
    write_clip(tmp_path / "clips" / "C01.mp4", reading(TEXT, 6))
    (tmp_path / "clips.toml").write_text('[C01]\nstate = "asked"\naccepted = "C01.mp4"\n')
    return tmp_path


def run(folder: Path, command: str = "check") -> dict:
    result = CliRunner().invoke(cli, [command, str(folder), "--json"])
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def codes(folder: Path) -> list[str]:
    return [f["code"] for voice in run(folder)["voices"] for f in voice["findings"]]


@pytest.mark.parametrize(("delay", "drift"), [(0, 0), (0.12, 0), (-0.08, 0.003), (0.02, -0.006)])
def test_a_known_delay_and_drift_are_found(delay, drift):
    own = reading(TEXT, 6)
    found = convert_of(*(s[::3].astype(np.int16) for s in (own, moved(other_voice(own), delay, drift))))
    assert found is not None
    assert abs(found.delay_s - delay) < 0.003
    assert found.drift is not None
    assert abs(found.drift - drift) < 0.0005
    assert found.likeness > 0.85


def test_silence_and_a_blink_of_sound_are_no_conversion():
    own = reading(TEXT, 6)[::3]
    assert convert_of(own, np.zeros(16_000 * 5, np.int16)) is None
    assert convert_of(own[:4_000], own) is None


def test_a_voice_is_no_take_and_is_heard_in_place_of_the_clips_own_sound(folder):
    voice_file(folder / "clips" / "C01 voice.wav", moved(other_voice(reading(TEXT, 6)), 0.1))
    found = run(folder)
    assert [(f["file"], f["take"]) for f in found["files"]] == [("clips/C01.mp4", 1)]
    (voice,) = found["voices"]
    assert (voice["clip"], voice["of"], voice["file"], voice["used"]) == (
        "C01", "clips/C01.mp4", "clips/C01 voice.wav", True,
    )  # fmt: skip
    assert voice["delay_s"] == pytest.approx(0.1, abs=0.005)
    assert voice["drift"] == pytest.approx(0, abs=0.0005)
    assert [f["code"] for f in voice["findings"]] == ["voice-shift"]  # 0.1 s are 2.4 frames of 24
    assert "2.4 frames late" in voice["findings"][0]["message"]
    assert set(read_memory(folder).clips["C01"].files) == {"clips/C01.mp4"}
    assert "voice" not in (folder / "generated.csv").read_text("utf-8-sig")  # nothing was generated for it
    run(folder, "sheet")
    plan = json.loads((folder / "out" / "plan.json").read_text())
    (delivery,) = plan["deliveries"]
    assert (delivery["takes"], delivery["voice"]["file"]) == (1, "clips/C01 voice.wav")
    otio = json.loads((folder / "out" / "episode.otio").read_text())
    picture, sound = (track["children"][-1] for track in otio["tracks"]["children"])
    urls = [one["media_references"]["DEFAULT_MEDIA"]["target_url"] for one in (picture, sound)]
    assert urls == ["../clips/C01.mp4", "../clips/C01%20voice.wav"]
    # Of the file 0.1 s is let go by, so that the words lie where the clip has them: to the frame.
    starts = sound["source_range"]["start_time"]["value"]
    assert starts == round((delivery["speech_start_s"] + 0.1) * 24)


def test_a_voice_says_when_it_drifts_or_has_another_length(folder):
    own = other_voice(reading(TEXT, 6))
    voice_file(folder / "clips" / "C01 voice.wav", moved(own, 0, 0.01))  # about 5 s of speech: 50 ms, 1.2 frames
    assert "voice-drift" in codes(folder)
    voice_file(folder / "clips" / "C01 voice.wav", np.concatenate([own, np.zeros(RATE_HZ // 2, np.int16)]))
    assert codes(folder) == ["voice-length"]
    voice_file(folder / "clips" / "C01 voice.wav", own[: -RATE_HZ // 2])
    assert codes(folder) == ["voice-length"]
    voice_file(folder / "clips" / "C01 voice.wav", own)
    assert codes(folder) == []


def test_another_reading_is_no_conversion_and_is_not_used(folder):
    voice_file(folder / "clips" / "C01 voice.wav", reading(OTHER, 6))
    found = run(folder)
    assert found["voices"][0]["used"] is False
    assert codes(folder) == ["voice-other-reading"]
    run(folder, "sheet")
    assert "C01%20voice" not in (folder / "out" / "episode.otio").read_text()


def test_of_two_voices_one_is_taken_and_said_until_a_person_chooses(folder):
    own = other_voice(reading(TEXT, 6))
    voice_file(folder / "clips" / "C01 voice.wav", own)
    voice_file(folder / "clips" / "C01 voice 2.wav", np.roll(own, 3))
    found = run(folder)
    assert [(v["file"], v["used"]) for v in found["voices"]] == [
        ("clips/C01 voice.wav", False), ("clips/C01 voice 2.wav", True),
    ]  # fmt: skip
    assert codes(folder) == ["voices-several"]
    text = (folder / "clips.toml").read_text().replace("[C01]\n", '[C01]\nvoice = "C01 voice.wav" # mine\n')
    (folder / "clips.toml").write_text(text)
    assert [v["used"] for v in run(folder)["voices"]] == [True, False]
    assert codes(folder) == []
    assert 'voice = "C01 voice.wav" # mine' in (folder / "clips.toml").read_text()


def test_a_voice_of_any_name_may_be_listed_and_one_that_is_missing_is_told(folder):
    voice_file(folder / "clips" / "tansy new.wav", other_voice(reading(TEXT, 6)))
    text = (folder / "clips.toml").read_text()
    (folder / "clips.toml").write_text(text.replace("[C01]\n", '[C01]\nvoice = "tansy new.wav"\n'))
    found = run(folder)
    assert [f["file"] for f in found["files"]] == ["clips/C01.mp4"]
    assert [(v["file"], v["used"]) for v in found["voices"]] == [("clips/tansy new.wav", True)]
    (folder / "clips.toml").write_text(text.replace("[C01]\n", '[C01]\nvoice = "tansy now.wav"\n'))
    told = CliRunner().invoke(cli, ["check", str(folder)]).stderr
    assert "names the voice “tansy now.wav”, which is not in clips; did you mean tansy new.wav?" in told


def test_a_voice_without_a_take_and_one_that_cannot_be_read_are_told(folder):
    (folder / "clips" / "C01 voice.wav").write_bytes(b"RIFF nothing")
    assert codes(folder) == ["unreadable"]
    (folder / "clips" / "C01.mp4").unlink()
    voice_file(folder / "clips" / "C01 voice.wav", other_voice(reading(TEXT, 6)))
    assert codes(folder) == ["voice-alone"]


def test_names_of_voices(tmp_path):
    (tmp_path / "clips").mkdir()
    names = {
        "C04 voice.wav": True, "low-tide_C04_VOICE2.mp4": True, "C04.1-voice-bram.wav": True, "voice C04.m4a": True,
        "C04.mp4": False, "C04 voices.wav": False, "invoice C04.wav": False, "voice.wav": False,
    }  # fmt: skip
    for name in names:
        (tmp_path / "clips" / name).write_bytes(b"x")
    ids = ["C04", "C04.1"]
    assert {f.path.name: f.is_voice for f in files_below(tmp_path, ids)} == names
    assert {f.path.name for f in delivered_files(tmp_path, ids)} == {n for n, is_voice in names.items() if not is_voice}
    accepted = {f.path.name for f in delivered_files(tmp_path, ids, takes=["C04 voice.wav"])}
    assert "C04 voice.wav" in accepted  # a person's word: it is a take


def test_moments_of_a_voice_and_of_its_clip_by_hand():
    voice = Voice("clips/C01 voice.wav", Fraction(1, 10), 0.01)
    assert float(voice.at(Fraction(2))) == pytest.approx(2.12, abs=1 / 48_000)  # 2 x 1.01 + 0.1
    assert float(voice.in_clip(Fraction(212, 100))) == pytest.approx(2, abs=1 / 48_000)


def test_the_same_words_in_another_rhythm_are_another_reading():
    own = reading(TEXT, 6)
    # Now slower, now faster by a fifth each quarter of a second: loudness outlines are alike, pieces do not agree.
    knots = np.cumsum([RATE_HZ / 4 * (1.2 if n % 3 else 0.75) for n in range(26)])
    places = np.interp(np.arange(int(knots[-1])), [0, *knots], np.arange(27) * RATE_HZ / 4)
    other = np.interp(places, np.arange(len(own)), own, right=0).astype(np.int16)
    found = convert_of(own[::3], other_voice(other)[::3])
    assert found is None or not is_same_reading(found)
