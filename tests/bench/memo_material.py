"""Memos put together: readings by synthesisers or people, with all that happens on a phone's memo around them.

In: a :class:`Spec`. Out: a :class:`Memo`, the sounds of its files and where everything lies in them. The same spec
always gives the same memo. Voices are flite's and espeak-ng's, some of them brought to another size and tempo (the
samples played faster or slower, so pitch and formants move together).
"""

from __future__ import annotations

import json
import multiprocessing
import random
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np
from bad_sound import RATE_HZ, noisy, telephone
from memo_scripts import CHATTER, script

# By half and number: (engine, voice, words a minute, pitch of espeak-ng, how many times faster it is played).
VOICES = {
    "chosen": (("flite", "slt", 0, 0, 1.0), ("flite", "rms", 0, 0, 1.12), ("espeak", "en-us", 150, 50, 1.0)),
    "reported": (("flite", "awb", 0, 0, 1.0), ("flite", "slt", 0, 0, 0.9), ("espeak", "en+f2", 165, 60, 1.0)),
    "kept": (("flite", "kal16", 0, 0, 1.0), ("espeak", "en-gb-scotland+m3", 140, 40, 1.0)),
    "kept again": (("flite", "awb", 0, 0, 1.14), ("espeak", "en-029+f4", 160, 55, 1.0)),
}
FOREIGN_VOICES = {
    "pt": {"chosen": ("pt-br", 150, 50), "reported": ("pt", 130, 50), "kept": ("pt-br+f2", 170, 60)},
    "es": {"chosen": ("es", 150, 50), "reported": ("es-419", 130, 50), "kept again": ("es+f4", 165, 60)},
    "fr": {"chosen": ("fr", 150, 50), "reported": ("fr-be", 130, 50)},
    "de": {"chosen": ("de", 150, 50), "reported": ("de+f2", 170, 60)},
    "it": {"chosen": ("it", 150, 50), "reported": ("it+m3", 130, 40)},
}
_SPEECH = 3000.0  # root mean square of the speech in a memo, in int16 units: about -21 dB below full scale
_ROOM_DB = -48  # the quiet of a room beside the speech, in every memo


@dataclass(frozen=True)
class Spec:
    """One memo to be made. ``way``: "in order", "lived in" (see ``_events``), or "out of order" (lived in too)."""

    language: str = "en"
    half: str = "chosen"
    voice: int = 0
    way: str = "in order"
    sound: str = "clean"  # or "room", "phone", or "30 dB" of noise and so on
    files: int = 1
    seed: int = 1

    @property
    def name(self) -> str:
        said = f"{self.language} {self.half} voice {self.voice}, {self.way}, {self.sound}"
        return said + (f", {self.files} files" if self.files > 1 else "")


@dataclass(frozen=True)
class Reading:
    """Line ``line`` from ``start`` to ``end`` (seconds) of file ``file``; ``is_whole``: not broken off."""

    line: int
    file: int
    start: float
    end: float
    is_whole: bool = True


@dataclass
class Memo:
    """Files' samples, the script's lines, true readings in order, and stretches that belong to no line."""

    name: str
    language: str
    lines: list[str]
    files: list[np.ndarray] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    left_over: list[tuple[int, float, float]] = field(default_factory=list)


def memo(spec: Spec, kept: Path) -> Memo:
    """Return a memo; what the synthesisers say is kept in the folder ``kept``."""
    dice = random.Random(f"{spec.name} {spec.seed}")
    lines = script(spec.language, spec.half)
    said = _Said(spec, kept, [*lines, *CHATTER[spec.language]])
    found = Memo(spec.name, spec.language, lines)
    events = _events(spec, len(lines), dice)
    cuts = {len(events) * k // spec.files for k in range(1, spec.files)}
    parts: list[np.ndarray] = [_quiet(dice.uniform(0.3, 1.5))]
    for number, (kind, line) in enumerate(events):
        if number in cuts:
            _close(found, parts, spec, dice)
            parts = [_quiet(dice.uniform(0.3, 1.5))]
        at = sum(map(len, parts)) / RATE_HZ
        file = len(found.files)
        gap = 0.2 * 25 ** dice.random()  # 0.2 to 5 s, shorter ones likelier
        if kind == "line":
            samples, start, end, _ = said(lines[line])
            found.readings.append(Reading(line, file, at + start, at + end))
        elif kind == "begun":
            samples, start, end, words = said(lines[line])
            cut = words[max(1, round(len(words) * dice.uniform(0.25, 0.6)))]
            samples, gap = samples[: int(cut * RATE_HZ)], dice.uniform(0.2, 0.9)
            found.readings.append(Reading(line, file, at + start, at + cut, False))
            found.left_over.append((file, at + start, at + cut))
        elif kind == "chatter":
            samples, start, end, _ = said(dice.choice(CHATTER[spec.language]))
            found.left_over.append((file, at + start, at + end))
        else:
            samples = cough(dice) if kind == "cough" else page(dice)
        parts += [samples, _quiet(gap)]
    _close(found, parts, spec, dice)
    return found


def _events(spec: Spec, count: int, dice: random.Random) -> list[tuple[str, int]]:
    """Return what happens: every line once, or with 10 % of lines missing, 15 % begun before, 12 % read twice.

    Of the gaps, 15 % hold talk, 10 % a cough, 12 % a page.
    """
    order = list(range(count))
    if spec.way == "out of order":
        dice.shuffle(order)
    found: list[tuple[str, int]] = []
    for line in order:
        if spec.way == "in order":
            found.append(("line", line))
            continue
        if dice.random() < 0.10:
            continue
        long = len(script(spec.language, spec.half)[line].split()) > 3
        found += [
            (kind, -1) for kind, share in (("chatter", 0.15), ("cough", 0.1), ("page", 0.12)) if dice.random() < share
        ]
        found += [("begun", line)] if long and dice.random() < 0.15 else []
        found.append(("line", line))
        found += [("line", line)] if dice.random() < 0.12 else []
    return found


def _close(found: Memo, parts: list[np.ndarray], spec: Spec, dice: random.Random) -> None:
    samples = np.concatenate([part.astype(float) for part in parts])
    noise = np.random.default_rng(dice.randrange(1 << 30))
    if spec.sound == "room":
        samples = in_a_room(samples, noise)
    samples = samples + noise.standard_normal(len(samples)) * _SPEECH * 10 ** (_ROOM_DB / 20)
    if spec.sound == "phone":
        samples = telephone(samples)
    elif spec.sound.endswith("dB"):
        samples = noisy(samples, float(spec.sound.split()[0]), noise)
    found.files.append(np.clip(np.round(samples), -32768, 32767).astype(np.int16))


def _quiet(seconds: float) -> np.ndarray:
    return np.zeros(int(seconds * RATE_HZ))


def cough(dice: random.Random) -> np.ndarray:
    """Return two bursts of noise with a throat's resonances, as loud as speech."""
    noise = np.random.default_rng(dice.randrange(1 << 30))
    parts = []
    for length, loud in ((0.22, 1.0), (0.3, 0.7)):
        count = int(length * RATE_HZ)
        burst = noise.standard_normal(count) * np.exp(-np.arange(count) / (0.07 * RATE_HZ)) * loud
        spectrum, hertz = np.fft.rfft(burst), np.fft.rfftfreq(count, 1 / RATE_HZ)
        shape = sum(1 / (1 + ((hertz - f) / w) ** 2) for f, w in ((550, 200), (1500, 400), (2600, 700)))
        parts += [np.fft.irfft(spectrum * shape, count), np.zeros(int(0.08 * RATE_HZ))]
    both = np.concatenate(parts)
    return both / np.abs(both).max() * 4 * _SPEECH


def page(dice: random.Random) -> np.ndarray:
    """Return the rustle of a page turned: bright noise in uneven crackles."""
    noise = np.random.default_rng(dice.randrange(1 << 30))
    count = int(dice.uniform(0.4, 0.8) * RATE_HZ)
    crackle = np.repeat(noise.random(count // 160 + 1) ** 3, 160)[:count] * np.hanning(count)
    bright = np.diff(noise.standard_normal(count + 1))
    return bright * crackle * 1.5 * _SPEECH


def in_a_room(samples: np.ndarray, noise: np.random.Generator) -> np.ndarray:
    """Return the samples as a phone on the table of a bare room hears them: 0.45 s of decay, 3 dB below what is direct."""
    count = int(0.45 * RATE_HZ)
    tail = noise.standard_normal(count) * 10 ** (-3 * np.arange(count) / count)
    tail[: int(0.004 * RATE_HZ)] = 0
    tail *= 10 ** (-3 / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1
    size = 1 << (len(samples) + count).bit_length()
    return np.fft.irfft(np.fft.rfft(samples, size) * np.fft.rfft(tail, size), size)[: len(samples)]


class _Said:
    """A voice's readings: (samples, start, end, where each word begins), seconds in the samples."""

    def __init__(self, spec: Spec, kept: Path, texts: list[str]):
        if spec.language == "en":
            engine, voice, rate, pitch, faster = VOICES[spec.half][spec.voice]
        else:
            engine, faster = "espeak", 1.0
            voice, rate, pitch = FOREIGN_VOICES[spec.language][spec.half]
        self.faster = faster
        self.found = _flite(voice, tuple(texts)) if engine == "flite" else _espeak(kept, voice, rate, pitch, texts)

    def __call__(self, text: str) -> tuple[np.ndarray, float, float, list[float]]:
        samples, words = self.found[text]
        samples = samples.astype(float)
        if self.faster != 1:
            count = int(len(samples) / self.faster)
            samples = np.interp(np.arange(count) * self.faster, np.arange(len(samples)), samples)
        loud = np.sqrt(np.mean(samples[np.abs(samples) > 200] ** 2))
        samples *= _SPEECH / loud
        words = [word / self.faster for word in words]
        return samples, words[0], _sounding(samples, 35)[1], words


def _sounding(samples: np.ndarray, range_db: float = 30) -> tuple[float, float]:
    """Return where a reading with next to no noise begins and ends: 10 ms within ``range_db`` of its loudest."""
    hop = RATE_HZ // 100
    power = np.square(samples[: len(samples) // hop * hop].astype(float)).reshape(-1, hop).mean(axis=1)
    loud = np.flatnonzero(power > power.max() * 10 ** (-range_db / 10))
    return int(loud[0]) / 100, (int(loud[-1]) + 1) / 100


@lru_cache(maxsize=16)
def _flite(voice: str, texts: tuple[str, ...]) -> dict[str, tuple[np.ndarray, list[float]]]:
    from tests.recording import flite

    found = {}
    for text in texts:
        samples, words = flite.say(text, voice)
        found[text] = samples, [word.start for word in words]
    return found


def _espeak(kept: Path, voice: str, rate: int, pitch: int, texts: list[str]) -> dict:
    """Return what espeak-ng says; one fresh process a voice, as its sound depends on what it said before."""
    missing = [text for text in texts if not _kept_at(kept, voice, rate, pitch, text).exists()]
    if missing:
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            said = pool.starmap(_say_by_espeak, [(text, voice, rate, pitch) for text in missing], chunksize=1)
        for text, (samples, words) in zip(missing, said, strict=True):
            path = _kept_at(kept, voice, rate, pitch, text)
            path.parent.mkdir(parents=True, exist_ok=True)
            np.savez_compressed(path, samples=samples, words=np.array([start for _, start in words]))
    found = {}
    for text in texts:
        with np.load(_kept_at(kept, voice, rate, pitch, text)) as one:
            found[text] = one["samples"], [float(w) for w in one["words"]]
    return found


def _say_by_espeak(text: str, voice: str, rate: int, pitch: int):
    import espeak

    return espeak.say(text, voice, rate, pitch)


def _kept_at(kept: Path, voice: str, rate: int, pitch: int, text: str) -> Path:
    from hashlib import sha1

    return kept / "said" / f"{voice}-{rate}-{pitch}-{sha1(text.encode()).hexdigest()[:12]}.npz"


def human(folder: Path, sound: str, seed: int = 1) -> Memo:
    """Return every sentence of a folder of labelled human speech as one memo, many voices one after another.

    The folder has cases.json (see ``bench_listen``); fast speech of more than 15 s is not one line and stays out. Where
    no words are labelled, a line's edges are those of its sound.
    """
    from timing.sound.decode import read_audio

    cases = [c for c in json.loads((folder / "cases.json").read_text()) if c["seconds"] < 15]
    spec = Spec(sound=sound, seed=seed)
    dice = random.Random(seed)
    found = Memo(f"people, {sound}", "en", [case["text"] for case in cases])
    parts = [_quiet(0.5)]
    for line, case in enumerate(cases):
        samples = read_audio(folder / case["file"]).samples.astype(float)
        samples *= _SPEECH / np.sqrt(np.mean(samples[np.abs(samples) > np.abs(samples).max() / 20] ** 2))
        at = sum(map(len, parts)) / RATE_HZ
        words = case.get("words")
        start, end = (words[0]["s"], words[-1]["e"]) if words else _sounding(samples)
        found.readings.append(Reading(line, 0, at + start, at + end))
        parts += [samples, _quiet(0.2 * 25 ** dice.random())]
    _close(found, parts, spec, dice)
    return found
