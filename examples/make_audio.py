"""Makes the sound of the example episode: scratch takes and the song.

Run from the project's folder: ``python examples/make_audio.py``. It needs the system speech synthesiser ``flite``
(Debian package ``flite``; nobody else needs it, for the audio itself is kept beside the script). The "phone memos" are
synthetic voices with a little room noise; one file holds several lines with a false start and a retake, the others one
line each. The song is chords, bass, a soft beat and a hummed melody at 96 bpm, bar 1 after one bar of introduction.
"""

from __future__ import annotations

import subprocess
import tempfile
import wave
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

EPISODE = Path(__file__).parent / "low-tide"
SECOND = Path(__file__).parent / "shore" / "high-tide"
SALT = "Nobody did. The rain washes it out of the stones, and the rivers carry it down, a little every day."
RATE_HZ = 48_000
VOICES = {"TANSY": ("slt", 0.95), "BRAM": ("rms", 1.05)}

# file name -> what is said in it, in order; None is half a second of silence
TAKES: dict[str, list[tuple[str, str] | None]] = {
    "tansy in the kitchen.ogg": [
        ("TANSY", "Bram, wake up! Somebody has taken the sea!"),
        None,
        ("TANSY", "The moon has"),  # a false start
        None,
        ("TANSY", "The moon has no arms."),
        None,
        ("TANSY", "I counted thirty seven puddles. Is that where it went?"),
        None,
        ("TANSY", "There it is! My toes are wet!"),
    ],
    "3 bram.ogg": [("BRAM", "Nobody has taken it. It went out for a walk.")],
    "5 bram long one.ogg": [
        (
            "BRAM",
            "It goes out and it comes back in, twice a day, every day, because the moon is pulling at the water, "
            "very gently, all the way from up there in the sky.",
        )
    ],
    "bram rest.ogg": [
        ("BRAM", "It has no arms, and it needs no arms. It pulls, and the water follows."),
        None,
        ("BRAM", "Those are rock pools. They are the sea's little pockets."),
        None,
        ("BRAM", "Those are rock pools. They are the sea's little pockets."),  # a retake
    ],
}

BPM = 96
BAR_S = 4 * 60 / BPM
CHORDS = ["C", "F", "G", "C", "Am", "F", "G", "C", "C"] * 2 + ["C"]
PITCHES = {"C": (48, 60, 64, 67), "F": (53, 57, 60, 65), "G": (43, 59, 62, 67), "Am": (45, 57, 60, 64)}
MELODY = [  # (bar, beat, beats, MIDI note); bar 0 holds the pick-up
    (1, 1, 1, 67), (1, 2, 1, 64), (1, 3, 2, 67), (2, 1, 1, 69), (2, 2, 1, 67), (2, 3, 2, 64),
    (3, 1, 1, 62), (3, 2, 1, 64), (3, 3, 2, 65), (4, 1, 1, 64), (4, 2, 2, 60),
    (5, 1, 1, 67), (5, 2, 1, 64), (5, 3, 2, 67), (6, 1, 1, 69), (6, 2, 1, 71), (6, 3, 2, 72),
    (7, 1, 1, 71), (7, 2, 1, 69), (7, 3, 2, 67), (8, 1, 1, 62), (8, 2, 2.5, 60),
]  # fmt: skip


def spoken(voice: str, text: str) -> np.ndarray:
    """Return a line said by the synthesiser, at the project's rate."""
    name, stretch = VOICES[voice]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        arguments = ["flite", "-voice", name, "--setf", f"duration_stretch={stretch}", "-t", text, "-o", str(path)]
        subprocess.run(arguments, check=True)
        with wave.open(str(path)) as source:
            samples = np.frombuffer(source.readframes(source.getnframes()), "<i2").astype(float) / 32768
            rate_hz = source.getframerate()
    places = np.arange(int(len(samples) * RATE_HZ / rate_hz)) * rate_hz / RATE_HZ
    return np.interp(places, np.arange(len(samples)), samples)


def take(parts: list[tuple[str, str] | None], seed: int) -> np.ndarray:
    silence = np.zeros(int(0.7 * RATE_HZ))
    pieces = [silence]
    for part in parts:
        pieces += [silence if part is None else spoken(*part)]
    sound = np.concatenate([*pieces, silence])
    noise = np.random.default_rng(seed).normal(0, 0.0012, len(sound))
    return np.clip(0.8 * sound + noise, -1, 1)


def tone(midi: float, length_s: float, partials: tuple[float, ...], attack_s: float, decay_s: float) -> np.ndarray:
    time = np.arange(int(length_s * RATE_HZ)) / RATE_HZ
    base = 440 * 2 ** ((midi - 69) / 12)
    sound = sum(level * np.sin(2 * np.pi * base * (n + 1) * time) for n, level in enumerate(partials))
    shape = np.minimum(time / attack_s, 1) * np.exp(-time / decay_s)
    return sound * shape * np.minimum((length_s - time) / 0.03, 1)


def song() -> np.ndarray:
    """Return the whole song, stereo, shape (2, samples): one bar of introduction, then bars 1 to 18."""
    bars = 19
    sound = np.zeros((2, int((bars * BAR_S + 1.5) * RATE_HZ)))

    def add(at_s: float, piece: np.ndarray, left: float, right: float) -> None:
        start = round(at_s * RATE_HZ)
        piece = piece[: sound.shape[1] - start]
        sound[0, start : start + len(piece)] += left * piece
        sound[1, start : start + len(piece)] += right * piece

    beat_s = 60 / BPM
    noise = np.random.default_rng(96)
    for bar in range(bars):
        chord = PITCHES[CHORDS[(bar - 1) % len(CHORDS)]] if bar else PITCHES["C"]
        at = bar * BAR_S
        add(at, tone(chord[0] - 12, 2 * beat_s, (1, 0.4, 0.15), 0.006, 0.7), 0.22, 0.22)
        add(at + 2 * beat_s, tone(chord[0] - 12, 2 * beat_s, (1, 0.4, 0.15), 0.006, 0.5), 0.15, 0.15)
        for beat in range(4):
            for note in chord[1:]:
                add(at + beat * beat_s, tone(note, beat_s, (1, 0.3, 0.2, 0.1), 0.004, 0.35), 0.03, 0.055)
            knock = tone(38 if beat in (0, 2) else 62, 0.12, (1,), 0.001, 0.03)
            add(at + beat * beat_s, knock, 0.25 if beat == 0 else 0.15, 0.25 if beat == 0 else 0.15)
            hiss = noise.normal(0, 1, int(0.05 * RATE_HZ)) * np.exp(-np.arange(int(0.05 * RATE_HZ)) / (0.01 * RATE_HZ))
            add(at + (beat + 0.5) * beat_s, hiss, 0.02, 0.03)
    for verse in (0, 9):
        for bar, beat, beats, note in MELODY:
            at = BAR_S + (bar - 1 + verse) * BAR_S + (beat - 1) * beat_s
            hum = tone(note, beats * beat_s, (1, 0.5, 0.35, 0.12), 0.03, 2.5)
            add(at, hum, 0.13, 0.1)
    return 0.6 * sound / np.abs(sound).max()


def write_opus(path: Path, sound: np.ndarray, kbit: int) -> None:
    """Write mono or stereo sound (values -1 to 1) as Opus in Ogg."""
    channels = np.atleast_2d(sound)
    path.parent.mkdir(parents=True, exist_ok=True)
    with av.open(str(path), "w", format="ogg") as container:
        stream = container.add_stream("libopus", rate=RATE_HZ)
        stream.layout = "stereo" if len(channels) == 2 else "mono"
        stream.bit_rate = kbit * 1000
        data = np.ascontiguousarray((channels.T.reshape(1, -1) * 32000).astype("<i2"))
        frame = av.AudioFrame.from_ndarray(data, format="s16", layout=stream.layout.name)
        frame.sample_rate = RATE_HZ
        frame.time_base = Fraction(1, RATE_HZ)
        frame.pts = 0
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            container.mux(packet)


def in_another_voice(sound: np.ndarray, formants: float) -> np.ndarray:
    """Return the same reading in another timbre: the spectrum of each moment is stretched, its timing stays."""
    size, hop = 1024, 256
    window = np.hanning(size + 1)[:size]
    padded = np.concatenate([np.zeros(size), sound, np.zeros(size)])
    made, weight = np.zeros(len(padded)), np.zeros(len(padded))
    bins = np.arange(size // 2 + 1)
    for at in range(0, len(padded) - size, hop):
        spectrum = np.fft.rfft(padded[at : at + size] * window)
        level = np.interp(bins / formants, bins, np.abs(spectrum), right=0.0)
        piece = np.fft.irfft(level * np.exp(1j * np.angle(spectrum)), size)
        made[at : at + size] += piece * window
        weight[at : at + size] += window**2
    made = made[size : size + len(sound)] / np.maximum(weight[size : size + len(sound)], 1e-3)
    return 0.8 * made / np.abs(made).max()


def came_back() -> None:
    """Write the clip of the second episode that is back, as a generator returns it, and its converted voice."""
    said = spoken("BRAM", SALT)
    clip = np.zeros(8 * RATE_HZ)
    head = int(0.3 * RATE_HZ)
    clip[head : head + len(said)] = 0.8 * said
    clip += np.random.default_rng(3).normal(0, 0.0012, len(clip))
    write_opus(SECOND / "clips" / "C03 take 1.ogg", clip, 24)
    write_opus(SECOND / "clips" / "C03 voice.ogg", in_another_voice(clip, 1.2), 24)


def main() -> None:
    came_back()
    for number, (name, parts) in enumerate(TAKES.items()):
        write_opus(EPISODE / "recordings" / name, take(parts, number), 24)
    write_opus(EPISODE / "songs" / "out-and-in.ogg", song(), 64)


if __name__ == "__main__":
    main()
