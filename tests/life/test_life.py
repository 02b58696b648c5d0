"""The life of an episode: whatever people do to it in whatever order, nothing is lost and nothing moves.

A model beside the tool remembers what people did: who says which words, which recording or clip is whose, what was
accepted. After every step the tool is run on the folder and must agree; now and then a folder without any results,
given the same memory, must give the same plan and the same memory, byte for byte.

``LIFE_STEPS=50000`` runs that many steps with fresh examples; without it about 2,000, always the same ones.
"""

from __future__ import annotations

import os
import secrets
import shutil
import tempfile
import threading
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from tests.life import fakes
from timing.episode.labels_out import label_files
from timing.memory.clips import Changes
from timing.memory.clips_toml import read_memory, remember
from timing.memory.line_ids import spoken_words
from timing.model import LineKind, Origin, Plan, PlanLine
from timing.pipeline import make_plan
from timing.plain.files import write_outputs
from timing.plain.json_text import json_bytes
from timing.script.source import open_source

STEPS_A_LIFE = 40
STEPS = int(os.environ.get("LIFE_STEPS", "2000"))
MEMORY = ("lines.toml", "clips.toml")
WORDS = (
    "kelp moon rock tide foam crab shell gull wave sand pebble limpet barnacle anchor lantern harbour island whale "
    "starfish seaweed lagoon current driftwood urchin mussel oyster coral dolphin puffin cormorant breeze thunder "
    "lighthouse sailor rope bucket spade castle towel picnic blanket sandwich apple ginger teapot kettle biscuit "
    "morning evening midnight shadow whisper giggle tumble wobble sparkle puddle ripple splash bubble trickle"
).split()
MARKS = ("{}.", "{}!", "“{}”", "{} ...", "{}?")


CLOSE = Fraction(1, 2000)  # a label that differs by less moves nothing
Row = tuple[Fraction, Fraction, str]


def _rows(path: Path) -> list[Row]:
    """Return the rows of a label file, read without the tool."""
    cells = [row.split("\t") for row in path.read_text("utf-8").splitlines() if row]
    return [(Fraction(a.replace(",", ".")), Fraction(b.replace(",", ".")), text.rstrip(".!?")) for a, b, text in cells]


def _row_of(word: str, rows: list[Row]) -> Row | None:
    """Return the row of a word; no word stands twice in these scripts."""
    said = spoken_words(word)
    return next((row for row in rows if spoken_words(row[2]) == said), None)


@dataclass
class Line:
    """One line as its writer knows it: the same object as long as it is the same line to a person."""

    speaker: str
    words: tuple[str, ...]
    mark: str = "{}."
    direction: str = ""
    id: str | None = None
    shown: tuple[str, tuple[str, ...]] | None = None  # the words at the last run

    @property
    def key(self) -> tuple[str, tuple[str, ...]]:
        return self.speaker, self.words

    @property
    def text(self) -> str:
        text = self.mark.format(" ".join(self.words).capitalize())
        return f"{self.speaker}: ({self.direction}) {text}" if self.direction else f"{self.speaker}: {text}"


@dataclass
class Clip:
    """A file in clips/ and what a person knows of it."""

    name: str
    words: tuple[str, ...]
    key: tuple[str, tuple[str, ...]]
    is_accepted: bool = False


@dataclass
class Model:
    """What people did and were told."""

    lines: list[Line] = field(default_factory=list)
    ids: dict[str, set[str]] = field(default_factory=dict)  # the ids that a person saw for words
    back: dict[str, Clip] = field(default_factory=dict)  # by file name
    removed: list[Line] = field(default_factory=list)
    used: int = 0


class Life(RuleBasedStateMachine):
    steps = 0  # of all lives

    def __init__(self) -> None:
        super().__init__()
        self.top = Path(tempfile.mkdtemp(prefix="life-"))
        self.folder = self.top / "low-tide"
        self.folder.mkdir()
        self.model = Model()
        self.language = "en_US"
        self.out: Path | None = None
        self.plan: Plan | None = None
        self.owners: dict[str, Line] = {}  # whose an id is, for good
        self.takes: dict[str, tuple[str, Line, tuple[str, tuple[str, ...]]]] = {}  # recordings named after lines
        self.answered: set[tuple[str, str, tuple[str, ...]]] = set()  # (clip, key) of which something is back
        self.asked: dict[str, tuple[tuple[str, tuple[str, ...]], object]] = {}

    def teardown(self) -> None:
        shutil.rmtree(self.top, ignore_errors=True)

    # --- what people do ---------------------------------------------------------------------------------

    @initialize(count=st.integers(2, 4))
    def begin(self, count: int) -> None:
        for _ in range(count):
            self.model.lines.append(self._new_line())
        (self.folder / "episode.toml").write_text('rate = "24"\n')
        self._run()

    def _new_line(self) -> Line:
        """Return a line of words that no other line has (four of the list, a new place in it each time)."""
        at = self.model.used
        self.model.used += 4
        words = tuple(WORDS[(at + n) % len(WORDS)] + "s" * ((at + n) // len(WORDS)) for n in range(4))
        return Line("TANSY" if at % 8 else "BRAM", words)

    def _pick(self, data: st.DataObject) -> Line:
        return data.draw(st.sampled_from(self.model.lines), label="line")

    @precondition(lambda self: len(self.model.lines) < 6)
    @rule(data=st.data())
    def insert(self, data: st.DataObject) -> None:
        at = data.draw(st.integers(0, len(self.model.lines)))
        self.model.lines.insert(at, self._new_line())
        self._run()

    @precondition(lambda self: len(self.model.lines) > 1)
    @rule(data=st.data())
    def remove(self, data: st.DataObject) -> None:
        line = self._pick(data)
        self.model.lines.remove(line)
        self.model.removed.append(line)
        self._run()

    @precondition(lambda self: self.model.removed and len(self.model.lines) < 7)
    @rule(data=st.data())
    def put_back(self, data: st.DataObject) -> None:
        line = data.draw(st.sampled_from(self.model.removed))
        self.model.removed.remove(line)
        self.model.lines.insert(data.draw(st.integers(0, len(self.model.lines))), line)
        self._run()

    @precondition(lambda self: len(self.model.lines) > 1)
    @rule(data=st.data())
    def take_out_and_put_back(self, data: st.DataObject) -> None:
        line = self._pick(data)
        at = self.model.lines.index(line)
        self.model.lines.remove(line)
        self._run()
        self.model.lines.insert(at, line)
        self._run()

    @rule(data=st.data())
    def move(self, data: st.DataObject) -> None:
        line = self._pick(data)
        self.model.lines.remove(line)
        self.model.lines.insert(data.draw(st.integers(0, len(self.model.lines))), line)
        self._run()

    @rule(data=st.data(), mark=st.sampled_from(MARKS))
    def punctuate(self, data: st.DataObject, mark: str) -> None:
        self._pick(data).mark = mark
        self._run()

    @rule(data=st.data(), direction=st.sampled_from(["", "whispered", "shouted"]))
    def direct(self, data: st.DataObject, direction: str) -> None:
        self._pick(data).direction = direction
        self._run()

    @rule(data=st.data())
    def reword(self, data: st.DataObject) -> None:
        """Change one word of a line for a new one: it stays the same line."""
        line = self._pick(data)
        at = data.draw(st.integers(0, len(line.words) - 1))
        fresh = WORDS[self.model.used % len(WORDS)] + "s" * (1 + self.model.used // len(WORDS))
        self.model.used += 1
        self._words_of(line, (*line.words[:at], fresh, *line.words[at + 1 :]))
        self._run()

    @precondition(lambda self: any(line.shown for line in self.model.lines))
    @rule(data=st.data())
    def unsay(self, data: st.DataObject) -> None:
        """Put the first words that a line ever had back."""
        line = self._pick(data)
        self._words_of(line, line.first if hasattr(line, "first") else line.words)
        self._run()

    def _words_of(self, line: Line, words: tuple[str, ...]) -> None:
        if not hasattr(line, "first"):
            line.first = line.words  # type: ignore[attr-defined]
        line.words = words

    @rule(data=st.data(), is_right=st.booleans())
    def record(self, data: st.DataObject, is_right: bool) -> None:
        line = self._pick(data)
        (self.folder / "recordings").mkdir(exist_ok=True)
        name = f"{line.id} take.wav"
        words = line.words if is_right else ("something", "else")
        left = (self.folder / "recordings" / name).with_suffix(".txt")
        if left.exists() and not left.with_suffix(".wav").exists():
            left.unlink()  # rows of a sound that went; with another reading's rows they would be refused, rightly
        (self.folder / "recordings" / name).write_text(" ".join(words))
        self._run()

    @precondition(lambda self: list((self.folder / "recordings").glob("*.wav")))
    @rule(data=st.data(), how=st.sampled_from(["delete", "rename", "rename with labels", "replace"]))
    def change_recording(self, data: st.DataObject, how: str) -> None:
        path = data.draw(st.sampled_from(sorted((self.folder / "recordings").glob("*.wav"))))
        if how == "delete":
            path.unlink()
        elif how.startswith("rename"):
            new = path.with_name(f"{path.stem} b{path.suffix}"[-60:])
            path.rename(new)
            if how == "rename with labels" and path.with_suffix(".txt").exists():
                path.with_suffix(".txt").rename(new.with_suffix(".txt"))
        else:
            path.write_text(path.read_text() + " again")
        self._run()

    @rule(data=st.data(), is_doubtful=st.booleans(), number=st.integers(1, 11), is_named=st.booleans())
    def deliver(self, data: st.DataObject, is_doubtful: bool, number: int, is_named: bool) -> None:
        line = self._pick(data)
        (self.folder / "clips").mkdir(exist_ok=True)
        stem = f"{self._clip_of(line)} take {number}" if is_named else f"voice {self.model.used}"
        self.model.used += not is_named
        content = " ".join((*line.words, *("take again".split() * number), *(["doubt"] if is_doubtful else [])))
        (self.folder / "clips" / f"{stem}.mp4").write_text(content)
        self.model.back[f"{stem}.mp4"] = Clip(f"{stem}.mp4", line.words, line.key)
        self._run()

    def _clip_of(self, line: Line) -> str:
        assert self.plan
        return next(clip.id for clip in self.plan.clips if clip.line == line.id)

    def _own_files(self, line: Line) -> list[str]:
        """The files that are now there for a line's words under its clip's name."""
        head = f"{self._clip_of(line)} take"
        return sorted(n for n, clip in self.model.back.items() if n.startswith(head) and clip.key == line.key)

    @precondition(lambda self: any(self._own_files(line) for line in self.model.lines))
    @rule(data=st.data())
    def accept(self, data: st.DataObject) -> None:
        line = data.draw(st.sampled_from([n for n in self.model.lines if self._own_files(n)]))
        name = data.draw(st.sampled_from(self._own_files(line)))
        path, clip_id = self.folder / "clips.toml", self._clip_of(line)
        text = path.read_text()
        head, _, rest = text.partition(f"[{clip_id}]\n")
        body, mark, after = rest.partition("\n[")
        kept = "\n".join(row for row in body.split("\n") if not row.startswith("accepted ="))
        path.write_text(f'{head}[{clip_id}]\naccepted = "{name}"  # chosen by Ada\n{kept}{mark}{after}')
        for clip in self.model.back.values():
            if clip.key == line.key and clip.name in self._own_files(line):
                clip.is_accepted = clip.name == name
        self._run()

    @precondition(lambda self: self.model.back)
    @rule(data=st.data())
    def rename_clip(self, data: st.DataObject) -> None:
        name = data.draw(st.sampled_from(sorted(self.model.back)))
        new = f"{name[:-4]} x.mp4"
        if len(new) > 60 or new in self.model.back:
            return
        (self.folder / "clips" / name).rename(self.folder / "clips" / new)
        labels = (self.folder / "clips" / name).with_suffix(".txt")
        if labels.exists():
            labels.rename(labels.with_name(f"{labels.stem} x.txt"))
        clip = self.model.back.pop(name)
        clip.name = new
        self.model.back[new] = clip
        self._run()

    @precondition(lambda self: self._sounds())
    @rule(data=st.data(), tenths=st.integers(3, 40), has_word=st.booleans(), is_doubled=st.booleans())
    def label(self, data: st.DataObject, tenths: int, has_word: bool, is_doubled: bool) -> None:
        """Say by hand that a stretch of a recording, or of a clip, is a line, and perhaps where a word of it lies."""
        sound = data.draw(st.sampled_from(self._sounds()))
        line = self._pick(data)
        if sound.parent.name == "clips":
            known = self.model.back[sound.name]
            if known.key not in [one.key for one in self.model.lines]:
                return
            line = next(one for one in self.model.lines if one.key == known.key)
        else:
            for other in self._label_files("recordings"):  # a line has one reading
                if any(text.startswith(f"{line.id}:") for _, _, text in _rows(other)):
                    other.unlink()
        start = tenths / 10
        rows = [f"{start:.6f}\t{start + 2:.6f}\t{line.id}: {' '.join(line.words)}"]
        if has_word:
            n = data.draw(st.integers(0, len(line.words) - 1))
            rows.append(f"{start + n / 2 + 0.1:.6f}\t{start + n / 2 + 0.4:.6f}\t{line.words[n]}")
        sound.with_suffix(".txt").write_text("\n".join(rows) + "\n")
        self._run()
        if is_doubled:  # saying it twice says nothing else
            sound.with_suffix(".txt").write_text("\n".join(rows).replace(".", ",") + "\n\n")
            before = self._times()
            self._run()
            assert self._times() == before

    @precondition(lambda self: self._label_files("clips") or self._label_files("recordings"))
    @rule(data=st.data())
    def take_labels_away(self, data: st.DataObject) -> None:
        files = [*self._label_files("clips"), *self._label_files("recordings")]
        data.draw(st.sampled_from(files)).unlink()
        self._run()

    @rule(is_kept=st.booleans())
    def put_proposals_beside(self, is_kept: bool) -> None:
        """What the tool believes, moved beside the sounds, moves nothing."""
        assert self.plan
        before, new = self._times(), []
        for name, content in label_files(self.plan, self.folder).items():
            path = self.folder / name.removeprefix("labels/")
            if not path.exists():
                path.write_bytes(content)
                new.append(path)
        self._run()
        assert self._times() == before
        if not is_kept:
            for path in new:
                path.unlink()
            self._run()
            assert self._times() == before

    @precondition(lambda self: self._label_files("clips") or self._label_files("recordings"))
    @rule(data=st.data())
    def move_a_word(self, data: st.DataObject) -> None:
        """Let a word that a label speaks of begin 80 ms later: no other line changes that was measured.

        What is only estimated follows its speaker's measured pace, and with a first word that moves.
        """
        path = data.draw(st.sampled_from([*self._label_files("clips"), *self._label_files("recordings")]))
        rows = _rows(path)
        words = [n for n, (start, end, text) in enumerate(rows) if ":" not in text and end - start > Fraction(1, 8)]
        if not words:
            return
        n = data.draw(st.sampled_from(words))
        rows[n] = (rows[n][0] + Fraction(2, 25), *rows[n][1:])
        own = {text.partition(":")[0] for _, _, text in rows if ":" in text}
        path.write_text("".join(f"{float(start):.6f}\t{float(end):.6f}\t{text}\n" for start, end, text in rows))
        before = self._times()
        self._run()
        after = self._times()
        assert self.plan
        own |= {line.id for line in self.plan.lines if line.origin is Origin.ESTIMATED}
        assert {i: t for i, t in before.items() if i not in own} == {i: t for i, t in after.items() if i not in own}

    def _sounds(self) -> list[Path]:
        recordings = sorted((self.folder / "recordings").glob("*.wav"))
        return recordings + [self.folder / "clips" / name for name in sorted(self.model.back)]

    def _label_files(self, below: str) -> list[Path]:
        return sorted((self.folder / below).glob("*.txt"))

    def _times(self) -> dict[str, list[object]]:
        """Return where the words of each line lie, counted from its beginning, by the line's id."""
        assert self.plan
        return {
            line.id: [line.take, line.take_start, *((w.start - line.start, w.end - line.start) for w in line.words)]
            for plan in (self.plan.requested or self.plan, self.plan)
            for line in plan.lines
        }

    @rule()
    def throw_results_away(self) -> None:
        for folder in (self.folder / "out", self.top / "elsewhere"):
            shutil.rmtree(folder, ignore_errors=True)
        self._run()

    @rule(content=st.sampled_from(["", "{", '{"timing_plan": 9}']))
    def damage_the_plan(self, content: str) -> None:
        (self.folder / "out").mkdir(exist_ok=True)
        (self.folder / "out" / "plan.json").write_text(content)
        self._run(is_written=False)

    @rule(is_elsewhere=st.booleans())
    def write_elsewhere(self, is_elsewhere: bool) -> None:
        self.out = self.top / "elsewhere" if is_elsewhere else None
        self._run()

    @rule(language=st.sampled_from(["en_US", "en_GB", "de"]))
    def change_language(self, language: str) -> None:
        (self.folder / "episode.toml").write_text(f'language = "{language}"\nrate = "24"\n')
        self._run()

    @rule()
    def run_twice_at_once(self) -> None:
        runs = [threading.Thread(target=self._sheet, args=(self.folder,)) for _ in range(2)]
        for run in runs:
            run.start()
        for run in runs:
            run.join()
        self._run()

    @rule()
    def begin_in_a_fresh_folder(self) -> None:
        """The same memory without any results gives the same plan and the same memory."""
        before = self._sheet(self.folder)[0]
        fresh = self.top / "fresh" / "low-tide"
        shutil.copytree(self.folder, fresh, ignore=shutil.ignore_patterns("out"))
        plan, changes = self._sheet(fresh)
        here, there = (json_bytes(p.to_json(), indent=1).decode() for p in (before, plan))
        assert here.split("\n") == there.split("\n")
        for name in MEMORY:
            assert (fresh / name).read_bytes() == (self.folder / name).read_bytes(), name
        assert (changes.new, changes.again, changes.dropped) == ((), (), ())
        shutil.rmtree(fresh.parent)

    # --- what must be true ------------------------------------------------------------------------------

    def _sheet(self, folder: Path, is_written: bool = True) -> tuple[Plan, Changes]:
        """Do what ``timing sheet`` does, without drawing."""
        source = open_source(folder)
        out = self.out if folder == self.folder else None
        made = make_plan(source, out, keep_ids=True)
        if is_written:
            write_outputs(
                out or source.default_out, {"plan.json": json_bytes(made.plan.to_json(), indent=1)}, force=True
            )
        return made.plan, remember(made.plan, folder, made.checks)

    def _run(self, is_written: bool = True) -> None:
        text = "".join(f"{line.text}\n\n" for line in self.model.lines)
        (self.folder / "script.txt").write_text(text, "utf-8")
        self.plan, changes = self._sheet(self.folder, is_written)
        self._ids_stay(self.plan)
        self._nothing_is_asked_for_twice(self.plan, changes)
        self._clips_stay(self.plan)
        self._recordings_stay(self.plan)
        self._labels_hold(self.plan)
        for line in self.model.lines:
            line.shown = line.key

    def _ids_stay(self, plan: Plan) -> None:
        assert len(plan.lines) == len(self.model.lines)
        for line, planned in zip(self.model.lines, plan.lines, strict=True):
            assert planned.kind is LineKind.SPOKEN
            if line.id is not None:
                assert planned.id == line.id, (line, planned.id)
            line.id = planned.id
            assert self.owners.setdefault(planned.id, line) is line

    def _nothing_is_asked_for_twice(self, plan: Plan, changes: Changes) -> None:
        for line in self.model.lines:
            clips = [clip for clip in plan.clips if clip.line == line.id]
            now = (line.key, [(clip.id, clip.text.casefold(), clip.ask) for clip in clips])
            for clip in clips:
                told = clip.id in (*changes.new, *changes.again)
                if (clip.id, *line.key) in self.answered or (
                    line.id in self.asked and self._same(self.asked[line.id], now)
                ):
                    assert not told, (clip.id, changes)
            self.asked[line.id or ""] = now
        for delivery in plan.deliveries:
            clip = next(c for c in plan.clips if c.id == delivery.clip)
            owner = next(n for n in self.model.lines if n.id == clip.line)
            known = self.model.back.get(delivery.file.removeprefix("clips/"))
            if known is not None and known.key == owner.key and known.name.startswith(f"{clip.id} "):
                self.answered.add((clip.id, *owner.key))

    @staticmethod
    def _same(before: object, now: object) -> bool:
        def bare(value: object) -> str:
            return "".join(c for c in repr(value) if c.isalnum())

        return bare(before) == bare(now)

    def _clips_stay(self, plan: Plan) -> None:
        """What was accepted is used, with its doubts, while its words stand; others' clips are no line's."""
        for line in self.model.lines:
            clip_id = self._clip_of(line)
            wanted = [n for n in self._own_files(line) if self.model.back[n].is_accepted]
            back = plan.delivered(clip_id)
            if wanted:
                assert back is not None, (line, wanted)
                assert (back.file, back.state, back.is_measured) == (f"clips/{wanted[0]}", "accepted", True)
                assert plan.line(line.id or "").delivered == (f"clips/{wanted[0]}",)
            elif back is not None and back.is_measured:
                known = self.model.back[back.file.removeprefix("clips/")]
                assert known.words == line.words

    def _recordings_stay(self, plan: Plan) -> None:
        """A recording named after a line is that line's, except where a person gave it to another."""
        asked = plan.requested or plan
        told = {name for name, _ in self._told("recordings")}
        for line in self.model.lines:
            planned = asked.line(line.id or "")
            if planned.take:
                assert planned.take.startswith(f"recordings/{line.id} ") or planned.take in told
            else:
                assert not list((self.folder / "recordings").glob(f"{line.id} take*.wav"))

    def _told(self, below: str) -> list[tuple[str, list[Row]]]:
        """Return what lies beside a sound: its name, and the rows; ours is read by hand."""
        paths = [p for suffix in ("wav", "mp4") for p in (self.folder / below).glob(f"*.{suffix}")]
        return [(f"{below}/{p.name}", _rows(p.with_suffix(".txt"))) for p in paths if p.with_suffix(".txt").exists()]

    def _labels_hold(self, plan: Plan) -> None:
        """What a person said of a sound is what the plan says, to half a millisecond."""
        ids = {line.id for line in self.model.lines}
        asked = plan.requested or plan
        for name, rows in self._told("recordings"):
            for start, end, text in rows:
                line_id, is_line, _ = text.partition(":")
                if not is_line or line_id not in ids:
                    continue
                line = asked.line(line_id)
                assert (line.take, line.origin) == (name, Origin.PINNED)
                assert line.take_start is not None
                first, last = (_row_of(line.words[n].text, rows) for n in (0, -1))  # says more than the line's row
                assert abs(line.take_start - (first[0] if first else start)) <= CLOSE
                assert abs(line.take_start + line.length - (last[1] if last else end)) <= CLOSE
                self._words_hold(line, rows, line.take_start - line.start)
        beside = dict(self._told("clips"))
        for back in plan.deliveries:
            rows = beside.get(back.file, [])
            clip = next(c for c in plan.clips if c.id == back.clip)
            own = [start for start, _, text in rows if text.startswith(f"{clip.line}:")]
            known = self.model.back[back.file.removeprefix("clips/")]
            line = plan.line(clip.line)
            owner = next(n for n in self.model.lines if n.id == clip.line)
            if own and known.key == owner.key:
                assert back.is_measured
                assert back.speech_start is not None
                first = _row_of(line.words[0].text, rows)
                assert abs(back.speech_start - (first[0] if first else own[0])) <= CLOSE
                self._words_hold(line, rows, back.speech_start - clip.speech_start)

    @staticmethod
    def _words_hold(line: PlanLine, rows: list[Row], by: Fraction) -> None:
        for word in line.words:
            row = _row_of(word.text, rows)
            assert row is None or abs(word.start + by - row[0]) <= CLOSE, (line.id, word.text)

    @invariant()
    def memory_can_be_read(self) -> None:
        Life.steps += 1
        if (self.folder / "clips.toml").exists():
            read_memory(self.folder)
        assert not list(self.folder.glob(".part-*"))


@pytest.fixture(autouse=True)
def ears(monkeypatch: pytest.MonkeyPatch) -> None:
    fakes.put_in_place(monkeypatch)


def test_the_life_of_an_episode() -> None:
    """Walk lives of about forty steps, each batch from another seed, until there are as many as wanted."""
    by_hand = "LIFE_STEPS" in os.environ
    first = secrets.randbelow(1 << 30) if by_hand else 0
    chosen = settings(
        max_examples=10,
        stateful_step_count=STEPS_A_LIFE,
        derandomize=True,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        phases=(Phase.generate, *([Phase.shrink] if "LIFE_SHRINK" in os.environ else [])),
    )
    Life.steps, batch = 0, 0
    while Life.steps < STEPS:
        run_state_machine_as_test(seed(first + batch)(Life), settings=chosen)
        batch += 1
        if by_hand:
            print(f"{Life.steps} steps", flush=True)  # seen with -s
