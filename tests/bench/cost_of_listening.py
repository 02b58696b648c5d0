"""What listening costs beside the bare recogniser: processor seconds on the same lines, in one process.

The bare recogniser follows each line's words (``set_align_text``), then their phones (``set_alignment``), and does
nothing else. Its acoustic model, words and pronunciations are those of the project. "Stock" are the library's own
beams and silence probability; "unpruned" are the settings with which lines are followed here (no pruning: pruned, it
loses held notes and ends in nothing on foreign sounds). Everything is run in turn, and the least of the runs counts.
"""

from __future__ import annotations

import os
import resource
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from tests.recording import flite
from tests.recording.material import LINES, pronounce_english, utterance_of
from tests.recording.sounds import write_wav
from timing.hearing.aligner import align_line
from timing.hearing.followed_words import tokens_of
from timing.hearing.recogniser import Phones
from timing.recording.listen import listen
from timing.recording.results import ScriptedLine
from timing.sound.decode import Sound

VOICES = ("slt", "rms", "awb")
PAUSE_SAMPLES = 12_000


class Bare:
    """The library alone, with every word of the lines in its dictionary under a number."""

    def __init__(self, lines: Sequence[Sequence[Sequence[Phones]]], **settings: float):
        import pocketsphinx

        self._texts, entries = [], []
        for words in lines:
            names = []
            for pronunciations in words:
                names.append(f"w{len(entries)}")
                entries.append(pronunciations)
            self._texts.append(" ".join(names))
        with tempfile.NamedTemporaryFile("w", suffix=".dict", delete=False) as file:
            for index, pronunciations in enumerate(entries):
                for number, phones in enumerate(pronunciations, 1):
                    file.write(f"w{index}{'' if number == 1 else f'({number})'} {' '.join(phones)}\n")
        model = os.path.join(pocketsphinx.get_model_path(), "en-us", "en-us")
        self._decoder = pocketsphinx.Decoder(
            hmm=model, dict=file.name, lm=None, samprate=16000, loglevel="FATAL", bestpath=False, cmn="batch",
            **settings,
        )  # fmt: skip
        os.unlink(file.name)

    def both_passes(self, number: int, samples: np.ndarray) -> int:
        """Follow line ``number`` twice and return how many phones came out."""
        self._decoder.set_align_text(self._texts[number])
        self._pass(samples)
        self._decoder.set_alignment()
        self._pass(samples)
        return sum(1 for word in self._decoder.get_alignment() for _ in word)

    def _pass(self, samples: np.ndarray) -> None:
        self._decoder.start_utt()
        self._decoder.process_raw(samples.tobytes(), full_utt=True)
        self._decoder.end_utt()


def cost(runs: int = 3) -> None:
    """Print processor seconds of each way over the same lines, and their ratio to the bare recogniser's."""
    utterances = [utterance_of(text) for text in LINES]
    tokens = [[t.pronunciations for t in tokens_of(u, pronounce_english)] for u in utterances]
    sounds = [flite.say(text, VOICES[n % len(VOICES)])[0] for n, text in enumerate(LINES)]
    seconds = sum(map(len, sounds)) / 16_000
    lines = [ScriptedLine(f"{n}", u) for n, u in enumerate(utterances, 1)]
    pause = np.zeros(PAUSE_SAMPLES, np.int16)
    with tempfile.TemporaryDirectory() as name:
        root = Path(name)
        folders = {kind: root / kind for kind in ("named", "other", "take")}
        for folder in folders.values():
            (folder / "recordings").mkdir(parents=True)
        for n, sound in enumerate(sounds, 1):
            write_wav(folders["named"] / "recordings" / f"{n}.wav", sound)
            write_wav(folders["other"] / "recordings" / f"memo {n}.wav", sound)
        write_wav(folders["take"] / "recordings" / "memo.wav", np.concatenate([x for s in sounds for x in (s, pause)]))

        def bare(**settings: float) -> Callable[[], object]:
            def run() -> object:
                recogniser = Bare(tokens, **settings)
                return [recogniser.both_passes(n, s) for n, s in enumerate(sounds)]

            return run

        def listened(kind: str) -> Callable[[], object]:
            def run() -> None:
                heard = listen(folders[kind], lines, language="en_US", pronounce=pronounce_english)
                missing = len(lines) - len(heard.lines)
                if missing:
                    print(f"  ({kind}: {missing} lines not found)")

            return run

        def aligned() -> object:
            return [align_line(Sound(s), u, pronounce_english) for s, u in zip(sounds, utterances, strict=True)]

        ways = {
            "bare recogniser, two passes, stock": bare(),
            "bare recogniser, two passes, unpruned": bare(silprob=1.0, beam=0.0, wbeam=0.0, pbeam=0.0),
            "align_line, one line a call": aligned,
            "listen, files named after their lines": listened("named"),
            "listen, files of other names": listened("other"),
            "listen, all in one take": listened("take"),
        }
        least = dict.fromkeys(ways, float("inf"))
        peaks: dict[str, float] = {}
        for _ in range(runs):
            for label, way in ways.items():
                begun = time.process_time()
                way()
                least[label] = min(least[label], time.process_time() - begun)
                peaks.setdefault(label, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
    stock, unpruned = (least[label] for label in list(ways)[:2])
    print(f"{len(LINES)} lines, {seconds:.0f} s of speech; least of {runs} runs")
    print(f"{'':38s} {'CPU s':>6s} {'of real time':>13s} {'/ stock':>8s} {'/ unpruned':>11s} {'peak MB so far':>15s}")
    for label, took in least.items():
        share = f"{took / seconds:13.3f} {took / stock:8.2f} {took / unpruned:11.2f}"
        print(f"{label:38s} {took:6.2f} {share} {peaks[label]:15.0f}")
