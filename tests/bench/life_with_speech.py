"""The life of an episode with sound that is really heard: a few steps of what tests/life walks with texts for sound.

    python tests/bench/life_with_speech.py [--steps 20] [--seed 1]

A script, recordings and clips in a synthesised voice (flite); lines come and go, commas come and go, results are thrown
away, proposals of labels are put beside the sounds. After every step the plan is made and must be that of a folder
without results; ids stay with their lines, recordings and clips with theirs. Prints each step with its seconds.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.recording import flite  # noqa: E402
from tests.recording.sounds import write_wav  # noqa: E402
from timing.episode.labels_out import label_files  # noqa: E402
from timing.memory.clips_toml import remember  # noqa: E402
from timing.model import Origin, Plan  # noqa: E402
from timing.pipeline import make_plan  # noqa: E402
from timing.plain.files import write_outputs  # noqa: E402
from timing.plain.json_text import json_bytes  # noqa: E402
from timing.script.source import open_source  # noqa: E402

SENTENCES = [
    "Where does the sea go when nobody is looking?",
    "It goes out and it comes back in.",
    "Hold on to your shell, the little wave is coming!",
    "The moon has no arms, and still it pulls the water.",
    "I counted seven puddles and twelve limpets this morning.",
    "Nobody told the crabs about it.",
    "Then let us wait here until the evening.",
    "My bucket is full of sand and seaweed.",
]


class Walk:
    """The folder, and what a person knows of it: texts in order, ids as they were shown, whose each file is."""

    def __init__(self, top: Path, seed: int):
        self.top, self.folder, self.dice = top, top / "low-tide", random.Random(seed)
        self.folder.mkdir()
        self.texts, self.spare = SENTENCES[:4], SENTENCES[4:]
        self.ids: dict[str, str] = {}
        self.recorded: set[str] = set()
        self.back: set[str] = set()

    def step(self) -> str:
        doing = self.dice.choice(
            [self.insert, self.remove, self.comma, self.record, self.deliver, self.forget, self.move]
        )
        doing()
        return doing.__name__

    def insert(self) -> None:
        if self.spare:
            self.texts.insert(self.dice.randrange(len(self.texts) + 1), self.spare.pop(0))

    def remove(self) -> None:
        if len(self.texts) > 2:
            self.spare.append(self.texts.pop(self.dice.randrange(len(self.texts))))

    def comma(self) -> None:
        n = self.dice.randrange(len(self.texts))
        self.texts[n] = self.texts[n].replace(" and", ", and") if ", and" not in self.texts[n] else self.texts[n]

    def record(self) -> None:
        self.recorded.add(self._say("recordings", "{} take.wav"))

    def deliver(self) -> None:
        self.back.add(self._say("clips", "C{:0>2} take 1.wav"))

    def _say(self, below: str, name: str) -> str:
        text = self.dice.choice([t for t in self.texts if bare(t) in self.ids])
        path = self.folder / below / name.format(self.ids[bare(text)])
        path.parent.mkdir(exist_ok=True)
        write_wav(path, flite.say(text, "slt")[0])
        return bare(text)

    def forget(self) -> None:
        shutil.rmtree(self.folder / "out", ignore_errors=True)

    def move(self) -> None:
        """Put every proposal beside its sound: nothing moves."""
        before = self.plan()
        for name, content in label_files(before, self.folder).items():
            (self.folder / name.removeprefix("labels/")).write_bytes(content)
        for old, new in zip(before.lines, self.plan().lines, strict=True):
            assert [(w.start, w.end) for w in old.words] == [(w.start, w.end) for w in new.words], old.id
        for below in ("recordings", "clips"):
            for path in (self.folder / below).glob("*.txt"):
                path.unlink()

    def plan(self, folder: Path | None = None) -> Plan:
        folder = folder or self.folder
        (folder / "script.txt").write_text("".join(f"TANSY: {text}\n\n" for text in self.texts), "utf-8")
        source = open_source(folder)
        made = make_plan(source, keep_ids=True)
        write_outputs(source.default_out, {"plan.json": json_bytes(made.plan.to_json(), indent=1)}, force=True)
        remember(made.plan, folder, made.checks)
        return made.plan

    def hold(self) -> None:
        plan = self.plan()
        asked = plan.requested or plan
        for text, line in zip(self.texts, asked.lines, strict=True):
            assert self.ids.setdefault(bare(text), line.id) == line.id, (text, line.id)
            if bare(text) in self.recorded:
                assert line.take == f"recordings/{line.id} take.wav", (text, line.take)
                assert line.origin is Origin.MEASURED
            if bare(text) in self.back:
                assert plan.line(line.id).delivered, text
        fresh = self.top / "fresh" / "low-tide"
        shutil.copytree(self.folder, fresh, ignore=shutil.ignore_patterns("out"))
        assert self.plan(fresh).to_json() == self.plan().to_json()
        shutil.rmtree(fresh.parent)


def bare(text: str) -> str:
    return text.replace(",", "")


def main() -> None:
    parser = argparse.ArgumentParser(description="A few steps of an episode's life with sound that is really heard.")
    parser.add_argument("--steps", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        walk = Walk(Path(name), options.seed)
        walk.hold()
        for number in range(options.steps):
            begin = time.process_time()
            done = walk.step()
            walk.hold()
            print(f"{number + 1:3d} {done:8s} {time.process_time() - begin:6.2f} s", flush=True)


if __name__ == "__main__":
    main()
