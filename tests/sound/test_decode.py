"""Every common container gives the same sound at the same moments; what cannot be read says so in one sentence."""

from __future__ import annotations

import math
from fractions import Fraction

import av
import numpy as np
import pytest

from tests.recording.sounds import DATA, write_wav
from timing.plain.errors import RecordingError
from timing.sound.decode import SONG_RATE_HZ, Pieces, blocks, pieces, read_audio, read_stereo, resample
from timing.sound.levels import measure, sound_regions

PIPS_S = (0.5, 1.25, 2.0)


def pips(rate_hz: int, seconds: float = 3.0) -> np.ndarray:
    """Three short tones whose middles lie 25 ms after PIPS_S: known moments, whatever the format does."""
    samples = np.zeros(int(rate_hz * seconds))
    at = np.arange(int(0.05 * rate_hz)) / rate_hz
    for start in PIPS_S:
        first = int(start * rate_hz)
        samples[first : first + len(at)] = np.sin(2 * np.pi * 1000 * at) * np.hanning(len(at))
    return (samples * 20000).astype(np.int16)


def encode(path, codec: str, rate_hz: int, layout: str) -> None:
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=rate_hz, layout=layout)
        frame = av.AudioFrame.from_ndarray(pips(rate_hz)[None], format="s16", layout="mono")
        frame.sample_rate = rate_hz
        size = stream.codec_context.frame_size or 1024
        resampler = av.AudioResampler(stream.codec_context.format, layout, rate_hz, frame_size=size)
        for block in [*resampler.resample(frame), *resampler.resample(None), None]:
            for packet in stream.encode(block):
                container.mux(packet)


def middles(samples: np.ndarray, rate_hz: int = 16_000) -> list[float]:
    """The energy-weighted middle of each pip, in seconds."""
    power = samples.astype(float) ** 2
    found = []
    for start in PIPS_S:
        first = int((start - 0.2) * rate_hz)
        part = power[first : first + int(0.5 * rate_hz)]
        found.append((first + (part * np.arange(len(part))).sum() / part.sum()) / rate_hz)
    return found


FORMATS = [
    ("pcm8.wav", "pcm_u8", 8000, "mono"),
    ("pcm16.wav", "pcm_s16le", 44100, "stereo"),
    ("pcm24.wav", "pcm_s24le", 96000, "stereo"),
    ("pcm32.wav", "pcm_s32le", 22050, "mono"),
    ("float.wav", "pcm_f32le", 48000, "stereo"),
    ("double.wav", "pcm_f64le", 44100, "mono"),
    ("pcm.aiff", "pcm_s16be", 44100, "mono"),
    ("lossless.flac", "flac", 48000, "mono"),
    ("layer3.mp3", "libmp3lame", 44100, "stereo"),
    ("speech.opus", "libopus", 48000, "mono"),
    ("web.webm", "libopus", 48000, "stereo"),
    ("film.mov", "pcm_s16be", 48000, "mono"),
]


@pytest.mark.parametrize(("name", "codec", "rate_hz", "layout"), FORMATS, ids=[f[0] for f in FORMATS])
def test_every_format_keeps_its_moments_and_its_length(tmp_path, name, codec, rate_hz, layout):
    encode(tmp_path / name, codec, rate_hz, layout)
    sound = read_audio(tmp_path / name)
    assert sound.rate_hz == 16_000
    assert sound.samples.dtype == np.int16
    assert sound.channels == (2 if layout == "stereo" else 1)
    assert sound.source_rate_hz == rate_hz
    assert sound.seconds == pytest.approx(3, abs=0.002)
    assert middles(sound.samples) == pytest.approx([s + 0.025 for s in PIPS_S], abs=0.001)


@pytest.mark.parametrize("skipped", [1024, 2112])
def test_what_an_edit_list_cuts_off_is_cut_off(tmp_path, skipped):
    """AAC in MP4 carries priming samples (1024 here, 2112 from phones); ISO/IEC 14496-12 8.6.6: elst takes them away.

    This muxer writes media_time 0, so the same file is read with and without samples to skip.
    """
    encode(tmp_path / "memo.m4a", "aac", 44100, "mono")
    content = bytearray((tmp_path / "memo.m4a").read_bytes())
    plain = middles(read_audio(tmp_path / "memo.m4a").samples)
    entry = content.find(b"elst") + 4 + 4 + 4  # version and flags, count; then duration, media time
    assert int.from_bytes(content[entry + 4 : entry + 8], "big") == 0
    content[entry + 4 : entry + 8] = skipped.to_bytes(4, "big")
    (tmp_path / "edited.m4a").write_bytes(content)
    edited = middles(read_audio(tmp_path / "edited.m4a").samples)
    assert np.subtract(plain, edited) == pytest.approx([skipped / 44100] * 3, abs=0.001)


def test_length_comes_from_decoded_samples_not_from_the_header(tmp_path):
    """A raw AAC file's header only guesses its length."""
    encode(tmp_path / "raw.aac", "aac", 44100, "mono")
    assert read_audio(tmp_path / "raw.aac").seconds == pytest.approx(3, abs=3 * 1024 / 44100)


def test_a_sound_track_that_starts_late_is_padded(tmp_path):
    """Half a second of picture before the first sound stays half a second."""
    path = tmp_path / "late.mkv"
    with av.open(str(path), "w") as container:
        picture = container.add_stream("mpeg4", rate=10)
        picture.width = picture.height = 64
        stream = container.add_stream("pcm_s16le", rate=16000, layout="mono")
        for number in range(30):
            frame = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8), format="rgb24")
            frame.pts = number
            for packet in picture.encode(frame):
                container.mux(packet)
        for packet in picture.encode(None):
            container.mux(packet)
        block = av.AudioFrame.from_ndarray(pips(16000)[None, :32000], format="s16", layout="mono")
        block.sample_rate, block.pts, block.time_base = 16000, 8000, Fraction(1, 16000)
        for packet in [*stream.encode(block), *stream.encode(None)]:
            container.mux(packet)
    sound = read_audio(path)
    assert sound.seconds == pytest.approx(2.5, abs=0.002)
    first = np.flatnonzero(np.abs(sound.samples) > 2000)[0] / 16000
    assert first == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"not a sound " * 50, "cannot be read as sound"),
        (b"RIFF\x24\0\0\0WAVEfmt ", "cannot be read"),
    ],
)
def test_a_file_that_is_no_sound_is_one_clear_sentence(tmp_path, content, says):
    path = tmp_path / "memo.wav"
    path.write_bytes(content)
    with pytest.raises(RecordingError, match=says) as caught:
        read_audio(path)
    assert str(path) in str(caught.value)
    assert "\n" not in str(caught.value)


def test_missing_files_folders_and_half_files_are_named(tmp_path):
    with pytest.raises(RecordingError, match="no such file"):
        read_audio(tmp_path / "none.wav")
    with pytest.raises(RecordingError, match="is a folder"):
        read_audio(tmp_path)
    encode(tmp_path / "memo.m4a", "aac", 44100, "mono")
    whole = (tmp_path / "memo.m4a").read_bytes()
    (tmp_path / "half.m4a").write_bytes(whole[: len(whole) // 2])  # the index at the end is gone
    with pytest.raises(RecordingError, match=r"half\.m4a"):
        read_audio(tmp_path / "half.m4a")
    write_wav(tmp_path / "nothing.wav", np.zeros(0, np.int16))
    with pytest.raises(RecordingError, match=r"nothing\.wav"):
        read_audio(tmp_path / "nothing.wav")


def test_stereo_keeps_its_sides_and_resampling_keeps_its_moments(tmp_path):
    left = pips(44100)
    write_wav(tmp_path / "song.wav", np.stack([left, np.zeros_like(left)], 1), 44100)
    stereo, facts = read_stereo(tmp_path / "song.wav")
    assert facts.channels == 2
    assert np.array_equal(stereo[:, 0], left)
    assert not stereo[:, 1].any()
    assert middles(resample(left, 44100, 16000)) == pytest.approx(middles(left, 44100), abs=0.0005)


def test_levels_of_a_full_scale_sine_are_those_of_the_textbook(tmp_path):
    """The mean power of a sine is half its peak's: 10 log10(1/2) = -3.01 dB."""
    tone = np.round(32767 * np.sin(2 * np.pi * 440 * np.arange(32000) / 16000)).astype(np.int16)
    levels = measure(read_audio(write_wav(tmp_path / "tone.wav", tone)))
    assert levels.rms_dbfs == pytest.approx(10 * math.log10(0.5), abs=0.02)
    assert levels.peak_dbfs == pytest.approx(0, abs=0.01)


@pytest.mark.parametrize(("snr_db", "codes"), [(30, []), (8, ["noisy"])])
def test_noise_is_measured_and_told(tmp_path, snr_db, codes):
    dice = np.random.default_rng(1)
    voice = np.where(np.arange(48000) // 8000 % 2, 1, 0) * np.sin(np.arange(48000) / 4) * 8000
    noise = dice.standard_normal(48000) * 8000 / math.sqrt(2) / 10 ** (snr_db / 20)
    levels = measure(read_audio(write_wav(tmp_path / "a.wav", np.clip(voice + noise, -32768, 32767))))
    assert levels.snr_db == pytest.approx(snr_db, abs=1.5)
    assert [f.code for f in levels.findings()] == codes


def test_clipping_quiet_and_silence_are_told(tmp_path):
    mary = read_audio(DATA / "mary.wav")
    loud = np.clip(mary.samples.astype(int) * 12, -32768, 32767)
    assert "clipped" in [f.code for f in measure(read_audio(write_wav(tmp_path / "loud.wav", loud))).findings()]
    soft = measure(read_audio(write_wav(tmp_path / "soft.wav", mary.samples // 60)))
    assert [f.code for f in soft.findings()] == ["quiet"]
    silent = measure(read_audio(write_wav(tmp_path / "still.wav", np.zeros(16000))))
    assert [f.code for f in silent.findings()] == ["silent"]


def test_the_edges_of_sound_are_found_in_room_noise(tmp_path, room):
    tone = (np.sin(np.arange(16000) / 3) * 5000).astype(np.int16)
    path = write_wav(tmp_path / "a.wav", np.concatenate([room(1), tone, room(0.7)]))
    ((start, end),) = sound_regions(read_audio(path))
    assert [float(start), float(end)] == pytest.approx([1, 2], abs=0.03)


def test_a_song_streams_by_as_the_same_sound_that_is_read_whole(tmp_path):
    """One decoder: a block at a time or whole, soundfile's (libsndfile's) samples are the judge."""
    import soundfile

    tone = (np.sin(2 * np.pi * 300 * np.arange(SONG_RATE_HZ * 8) / SONG_RATE_HZ) * 0.5).astype(np.float32)
    for name in ("a.wav", "a.flac"):
        soundfile.write(tmp_path / name, tone, SONG_RATE_HZ)
        parts = list(blocks(tmp_path / name))
        assert len(parts) == 3  # 8 s are 176,400 samples; a block holds 65,536 or a little more
        theirs, _ = soundfile.read(tmp_path / name)
        assert np.abs(np.concatenate(parts) - theirs).max() < 1e-4
        assert np.abs(read_audio(tmp_path / name, SONG_RATE_HZ).samples / 32768 - theirs).max() < 1e-4


@pytest.mark.parametrize("content", [b"", b"not a sound " * 50, b"RIFF\x24\0\0\0WAVEfmt "])
def test_a_broken_song_is_refused_in_the_words_of_a_broken_recording(tmp_path, content):
    path = tmp_path / "song.wav"
    path.write_bytes(content)
    with pytest.raises(RecordingError) as of_song:
        list(blocks(path))
    with pytest.raises(RecordingError) as of_speech:
        read_audio(path)
    assert str(of_song.value) == str(of_speech.value)


def test_damage_in_the_middle_is_counted_and_the_rest_is_kept(tmp_path):
    """MPEG frames stand alone: 2,000 of some 24,000 bytes spoil about a twelfth of three seconds."""
    encode(tmp_path / "whole.mp3", "libmp3lame", 44100, "mono")
    data = bytearray((tmp_path / "whole.mp3").read_bytes())
    third = len(data) // 3
    data[third : third + 2000] = b"\xff" * 2000
    (tmp_path / "torn.mp3").write_bytes(bytes(data))
    whole, torn = read_audio(tmp_path / "whole.mp3"), read_audio(tmp_path / "torn.mp3")
    assert torn.damaged_blocks > 0
    assert torn.seconds == pytest.approx(float(whole.seconds) * 11 / 12, abs=0.15)
    assert sum(len(b) for b in blocks(tmp_path / "torn.mp3")) / SONG_RATE_HZ == pytest.approx(
        float(torn.seconds), abs=0.1
    )


@pytest.mark.parametrize("stretches", [[(0.5, 0.9)], [(2.5, 9), (0, 0.2), (0.1, 1)], [(1, 1)], []])
def test_parts_of_a_recording_are_cut_like_the_whole_of_it(tmp_path, stretches):
    path = write_wav(tmp_path / "a.wav", pips(44_100), 44_100)
    whole = read_audio(path, 48_000).samples
    some = pieces(path, 48_000, [(Fraction(a), Fraction(b)) for a, b in stretches])
    for a, b in stretches:
        first, last = round(a * 48_000), round(b * 48_000)
        assert np.array_equal(some[first:last], whole[first:last])


def test_what_was_not_kept_of_a_recording_cannot_be_cut():
    some = Pieces([(10, np.ones(5, np.int16)), (100, np.ones(5, np.int16))])
    assert len(some[12:15]) == 3
    assert len(some[103:200]) == 2  # as far as the sound goes
    for part in (slice(5, 8), slice(12, 20), slice(50, 60)):
        with pytest.raises(IndexError, match="not kept"):
            some[part]


def test_memory_holds_a_recording_once_or_twice_however_long_it_is(tmp_path):
    """Eight minutes at 16 kHz, 16 bits, are 15.4 MB; beside it some pieces that do not grow with it."""
    import tracemalloc

    from timing.hearing.sound_features import band_energies
    from timing.sound.clean import for_following

    speech = np.tile(read_audio(DATA / "mary.wav").samples, 33)[: 480 * 16_000]
    path = write_wav(tmp_path / "long.wav", np.resize(speech, 480 * 16_000))
    del speech
    peaks = []
    tracemalloc.start()
    try:
        sound = read_audio(path)
        levels = measure(sound)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.reset_peak()
        clear = for_following(sound, levels)
        peaks.append(tracemalloc.get_traced_memory()[1])
        del sound
        tracemalloc.reset_peak()
        band_energies(clear.samples)
        peaks.append(tracemalloc.get_traced_memory()[1])
    finally:
        tracemalloc.stop()
    assert max(peaks) < 2.2 * 15.4e6 + 40e6
