"""Throws generated input at every reader and reports what is not answered with a result or one clear sentence.

    python tests/bench/fuzz.py [--count 100000] [--seed 1] [--only script] [--minutes 10]

Each reader gets an equal share (whole episodes and deliveries a fiftieth of it, as each takes long): random text from
its own vocabulary, and mutated copies of good files. An answer is a result or a TimingError. Anything else (another
exception, more than LIMIT_S seconds of processor time, more than LIMIT_MB of memory) is printed with the input that
caused it, and the program ends with exit code 1; what does not end is ended after STOP_S seconds. Finds are kept as
cases in the tests. ``--minutes`` ends each reader after so long; how many inputs were really given is printed.

A folder is the whole job by ``timing sheet``; its pages are drawn for one in ten only, as they take most of the time.
"""

from __future__ import annotations

import argparse
import io
import os
import random
import re
import sys
import tempfile
import time
import traceback
import wave
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from timing.plain.errors import TimingError  # noqa: E402

LIMIT_S, STOP_S, LIMIT_MB = 5.0, 20, 1000
SLOW = {"delivery": 50, "episode": 50, "font": 50}  # of the share of the others
SCRIPT_BITS = (
    "TANSY BRAM: ~ @ ^ ( ) [[ ]] /* */ # ## === = > < * ** _ \\ INT. EXT. TO: | @2:3 =1 ~~ ♪ “ ” ’ … — - -- \ufeff \u200b "
    "\u202e 🦀 é ﬁ שלום ß İ [[4 s]] [[pause 0.8 s]] [[song x, bar 9]] [[2 bars]] [[-1 s]] 37 $5 7:30 1980s ½ 50% 10...9 1/0 Mr. "
    "sooo shhh ha-ha O'Er ev'ry b-b-but 12,345.67 €3 -5 °C & @ No. 1st 2nd XIV a.m. km www.x.y \x00 \x0c \x85 \u2028"
).split(" ") + [" ", "\n", "\n\n", "\t", "  \n", "\r\n", "\r", ":", "the sea ", "goes out "]
TOML_BITS = [
    "title", "rate", "=", "24", "23.976", '"x"', "[profile.a]", "[cast.TANSY]", "[song.s]", "[say]", "[sheet]", "[gaps]",
    "[budget]", "[takes]", "lengths", "[3, 5]", "[]", "-1", "1e999", "nan", "inf", "true", "{", "}", "head_s", "tail_s",
    "bpm", "metre", '"4/4"', '"0/0"', '"4/3"', "downbeat_s", "delivery", '"slow"', "pace", "language", '"pt_BR"', '"xx"',
    "\n", " ", ".", ",", "1979-05-27", "0x10", '"""', "#", "=\n", "9" * 400,
]  # fmt: skip
HUGE = [
    "1e99999999",
    "1e-99999999",
    "9" * 4400,
    "²",
    "٣",
    "½",
    "-1",
    "0",
    "1e29",
    "nan",
    "1/0",
    "0x10",
    "1_000",
    "2147483648",
]
TOML_BITS += [*HUGE, '"1e99999999"', '"²"', "ask_s", "[C01]", "[lines]", "[gone]"]
SCRIPT_BITS += [f"[[{n} s]]" for n in HUGE] + [f"[[song s, bar {n}]]" for n in HUGE] + [f"@{n}:{n}" for n in HUGE]
LYRIC_BITS = [
    "la",
    "-",
    "_",
    "|",
    "@",
    "1",
    ":",
    ".",
    "+",
    "/",
    "~",
    "=",
    " ",
    "twin-kle",
    "é",
    "@2:3",
    "=1",
    "0",
    "99999999",
]


def text_of(rng: random.Random, bits: list[str], longest: int = 60) -> str:
    return "".join(rng.choice(bits) for _ in range(rng.randint(0, longest)))


def mutated(rng: random.Random, content: bytes) -> bytes:
    data = bytearray(content)
    for _ in range(rng.randint(1, 12)):
        kind = rng.random()
        if not data:
            break
        at = rng.randrange(len(data))
        if kind < 0.5:
            data[at] = rng.randrange(256)
        elif kind < 0.65:
            del data[at : at + rng.randint(1, 40)]
        elif kind < 0.8:
            data[at:at] = bytes(rng.randrange(256) for _ in range(rng.randint(1, 20)))
        elif kind < 0.9:
            data = data[:at]
        else:
            data[at:at] = data[at : at + rng.randint(1, 60)] * rng.randint(1, 4)
    return bytes(data)


def wave_bytes(rng: random.Random) -> bytes:
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(rng.choice([1, 2, 6]))
        file.setsampwidth(rng.choice([1, 2, 3, 4]))
        file.setframerate(rng.choice([8000, 16000, 44100, 192000]))
        file.writeframes(rng.randbytes(rng.choice([0, 12, 2400])))
    return out.getvalue()


def midi_bytes() -> bytes:
    import mido

    file = mido.MidiFile(charset="utf-8")
    track = mido.MidiTrack()
    file.tracks.append(track)
    track.append(mido.MetaMessage("set_tempo", tempo=625_000))
    track.append(mido.MetaMessage("time_signature", numerator=4, denominator=4))
    for syllable in ("Out ", "and ", "in "):
        track.append(mido.MetaMessage("lyrics", text=syllable))
        track.append(mido.Message("note_on", note=60, velocity=80))
        track.append(mido.Message("note_off", note=60, time=480))
    out = io.BytesIO()
    file.save(file=out)
    return out.getvalue()


MUSICXML = b"""<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>T</part-name>
</score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats>
<beat-type>4</beat-type></time></attributes><note><pitch><step>C</step><octave>4</octave></pitch><duration>2</duration>
<lyric number="1"><syllabic>begin</syllabic><text>wa</text></lyric></note><note><pitch><step>D</step><octave>4</octave>
</pitch><duration>2</duration><lyric number="1"><syllabic>end</syllabic><text>ter</text></lyric></note></measure></part>
</score-partwise>"""


def video_bytes() -> bytes:
    """Return a second of picture and sound as a clip comes back."""
    from fractions import Fraction

    import av
    import numpy as np

    out = io.BytesIO()
    with av.open(out, "w", format="mp4") as file:
        picture = file.add_stream("mpeg4", rate=24)
        picture.width = picture.height = 64
        sound = file.add_stream("aac", rate=16000)
        for number in range(24):
            frame = av.VideoFrame.from_ndarray(np.full((64, 64, 3), 10 * number, np.uint8), format="rgb24")
            file.mux(picture.encode(frame))
        wave_ = (8000 * np.sin(np.arange(16000) * 0.2)).astype(np.int16)[None, :]
        block = av.AudioFrame.from_ndarray(wave_, format="s16", layout="mono")
        block.sample_rate, block.pts, block.time_base = 16000, 0, Fraction(1, 16000)
        for stream, last in ((sound, block), (sound, None), (picture, None)):
            file.mux(stream.encode(last))
    return out.getvalue()


def deliveries(folder: Path) -> Callable[[random.Random], object]:
    """Return a reader of clips folders with whole and broken files under odd names."""
    from timing.delivery.check import check_deliveries
    from timing.pipeline import plan_source

    script = folder / "script.txt"
    script.write_text("TANSY: Where does the sea go?\nBRAM: Out and in.\n", "utf-8")
    plan, clip = plan_source(script), video_bytes()
    (folder / "clips").mkdir()

    def read(rng: random.Random) -> object:
        for old in (folder / "clips").iterdir():
            old.unlink()
        for _ in range(rng.randint(1, 3)):
            content = clip if rng.random() < 0.6 else wave_bytes(rng)
            name = rng.choice(["C01", "C01 take 2", "c02", "C99", "C01.1", "x", "maré ♪"])
            suffix = rng.choice([".mp4", ".mov", ".wav", ".webm", ".gif"])
            content = mutated(rng, content) if rng.random() < 0.8 else content
            (folder / "clips" / (name + suffix)).write_bytes(content)
        return check_deliveries(plan, folder)

    return read


def episodes(folder: Path) -> Callable[[random.Random], object]:
    """Return the whole job on generated episode folders; a file outside ``out`` is a find."""
    from timing.pipeline import make_plan, write_plan
    from timing.script.source import open_source

    script, settings = folder / "script.txt", folder / "episode.toml"
    own = {"script.txt", "episode.toml", "out"}
    parts = (
        'rate = 25', 'rate = "29.97"\ndrop_frame = true', 'title = "../x <b>&"', 'language = "pt_BR"', '[gaps]\nline_s = 0',
        "[song.s]\nbpm = 96\nmetre = '4/4'", "[song.'../con']\nbpm = 60.5\nmetre = '6/8'", "[profile.p]\nlengths = [3]",
        "[cast.TANSY]\ndelivery = 'slow'", "[say]\nsea = 'S IY1'", "[sheet]\nlayout = 'wide'", "[budget]\nseconds_a_month = 40",
        "[takes]\n1 = 'recordings/x.wav@3'",
    )  # fmt: skip
    lines = ("TANSY: ", "BRAM: ", "~ ", "# ", "=1+1: ", "../x: ", "[[song s, bar 9]]\n~ ", "[[2 bars]]\n", "[[4 s]]\n")

    words = [bit for bit in SCRIPT_BITS if not set(bit) & set("\0@|=~_")]  # marks are what the reader "lyric" is for

    def read(rng: random.Random) -> object:
        text = "\n".join(rng.choice(lines) + text_of(rng, words, 12) for _ in range(rng.randint(1, 8)))
        script.write_text(text, "utf-8", errors="replace")
        settings.write_text(
            "\n".join(sorted(rng.sample(parts, rng.randint(0, 5)), key=lambda part: part[0] == "[")), "utf-8"
        )
        opened = open_source(folder)
        made = make_plan(opened, folder / "out")
        done = write_plan(made.plan, folder / "out", folder, made.previous)
        outside = {p.name for p in folder.iterdir()} - own
        assert not outside, f"files outside out/: {outside}"
        assert all((folder / "out").resolve() in p.resolve().parents for p in done.paths), "a path leads out"
        return done

    return read


LINES_TOML = """[lines]
1 = { speaker = "TANSY", text = "Where does the sea go?", was = ["Where is it?"] }
1A = { speaker = "BRAM", text = "Out and in.", rest = { brisk = "12345678" } }
[gone]
2 = { text = "A gull crosses.", kind = "picture" }
"""
CLIPS_TOML = """[C01]
state = "delivered"
words = "TANSY: Where does the sea go?"
ask_s = 3
generated_s = 6.5
files = { "C01 take 2.mp4" = "12345678" }
accepted = "C01 take 2.mp4"
[[C01.earlier]]
words = "TANSY: Where is it?"
"""
PLAN_JSON = """{"timing_plan": 1, "retired_ids": ["7"], "lines": [{"id": "1", "kind": "spoken", "speaker": "TANSY", "text": "Sea"}],
"sheets": {"version": 1, "design": "", "content": "", "letters": {"frames 1": 1}, "highest": {}, "reprint": [], "sheets": [
{"part": "frames", "anchor": "C01", "index": 0, "label": "1", "hash": "", "facts": "", "rows": "a b", "changed": [0]}]}}"""
RECORD_JSON = (
    '{"requests/C01.txt": ["00"], "requests/../../victim.txt": ["%s"], "/etc/hostname": ["00"], "plan.json": ["00"]}'
)
SERIES_TOML = """rate = 24
[cast.TANSY]
delivery = "dialogue"
pace = 1.1
[profile.talking]
lengths = [3, 5, 8]
takes = 5
price_each = { 3 = 0.5, 5 = 1, 8 = 2 }
[gaps]
line_s = 0.6
"""
EPISODE_TOML = """title = "Tide"
csv_separator = ";"
delivery_rate = 60
[takes]
1 = "recordings/memo.wav@0.5-2"
[rest]
1 = ["brisk"]
[song.tide]
file = "songs/tide.wav"
bpm = 96
metre = "4/4"
downbeat_s = 0.5
[budget]
seconds_a_month = 300
"""
LEARNT_TOML = """[pace.TANSY]
tide = { pace = 1.1, lines = 12 }
[takes.talking]
tide = { takes = 5.5, clips = 8 }
"""
LEDGER_CSV = """date,profile,clip,seconds,cost,file,note,content
2026-03-31,talking,C01,3,0.5,clips/C01.mp4,"a note; =1+1",12345678
"""
LABELS_TXT = "0.500\t1.500\t1: Where does the sea go\n0.6\t0.7\tsea\n1,6\t1,9\t1A\n# a note\n0.1\t0.1\tbar 1\n"
WORDS = re.compile(r'"[^"\n]*"|[0-9.]+|[\w-]+|\s+|.')


def respelled(rng: random.Random, text: str) -> str:
    """Return a file of the tool's with values changed for others, huge and of another kind."""
    odd = [
        *HUGE,
        '"/../../victim"',
        '"..\\\\x"',
        '"C:x"',
        "[]",
        "{}",
        "null",
        "true",
        '"\\u0000"',
        '"' + "x" * 300 + '"',
        "[" * 3000,
    ]
    parts = WORDS.findall(text)
    for _ in range(rng.randint(0, 3)):
        at = rng.randrange(len(parts))
        parts[at] = rng.choice([rng.choice(odd), rng.choice(odd), "", parts[at] * 2])
    return "".join(parts)


def memories(folder: Path) -> Callable[[random.Random], object]:
    """Return a reader of what the tool remembers: the files beside the script and in the output folder."""
    from timing.memory.clips_toml import read_memory
    from timing.memory.earlier_plan import lines_of_plan, read_previous
    from timing.memory.labels import read_labels
    from timing.memory.learnt_toml import read_learnt
    from timing.memory.ledger import read_ledger
    from timing.memory.lines_toml import read_lines
    from timing.sheet.revise import readable

    kinds = {
        "lines.toml": LINES_TOML, "clips.toml": CLIPS_TOML, "plan.json": PLAN_JSON, "learnt.toml": LEARNT_TOML,
        "generated.csv": LEDGER_CSV, "memo.txt": LABELS_TXT,
    }  # fmt: skip
    others = {
        "lines.toml": lambda: read_lines(folder),
        "clips.toml": lambda: read_memory(folder),
        "learnt.toml": lambda: read_learnt(folder),
        "generated.csv": lambda: read_ledger(folder / "generated.csv"),
        "memo.txt": lambda: read_labels(folder / "memo.txt"),
    }

    def read(rng: random.Random) -> object:
        name = rng.choice(sorted(kinds))
        content = respelled(rng, kinds[name]).encode() if rng.random() < 0.7 else mutated(rng, kinds[name].encode())
        (folder / name).write_bytes(content)
        if name in others:
            return others[name]()
        readable(read_previous(folder / name).sheets)
        return lines_of_plan(folder / name)

    return read


def folders(folder: Path) -> Callable[[random.Random], object]:
    """Return the whole job on folders with hostile memory; whatever is written or lost outside ``out`` is a find."""
    import hashlib
    import shutil
    from contextlib import nullcontext, redirect_stderr, redirect_stdout
    from unittest.mock import patch

    from timing.commands.sheet import command
    from timing.sheet.printed_set import SheetSet

    undrawn = SheetSet(b"%PDF-1.4\n", {"version": 1, "sheets": []})
    victim = folder / "victim.txt"
    kinds = {
        "lines.toml": LINES_TOML, "clips.toml": CLIPS_TOML, "out/plan.json": PLAN_JSON,
        "out/.written.json": RECORD_JSON % hashlib.sha256(b"mine").hexdigest(),
        "episode.toml": EPISODE_TOML, "generated.csv": LEDGER_CSV, "recordings/memo.txt": LABELS_TXT,
        "clips/C01.txt": LABELS_TXT, "songs/tide.txt": LABELS_TXT, "../series.toml": SERIES_TOML,
        "../learnt.toml": LEARNT_TOML,
    }  # fmt: skip
    sounds = ("recordings/memo.wav", "recordings/1 tansy.wav", "clips/C01.wav", "songs/tide.wav")
    links = [
        "out/requests",
        "out/.store",
        "out/plan.json",
        "out/.lock",
        "out/.written.json",
        "lines.toml",
        "clips.toml",
    ]

    def read(rng: random.Random) -> object:
        victim.write_bytes(b"mine")
        base = folder / "series" / "ep"
        shutil.rmtree(base.parent, ignore_errors=True)
        for name in ("out", "recordings", "clips", "songs"):
            (base / name).mkdir(parents=True, exist_ok=True)
        (folder / "elsewhere").mkdir(exist_ok=True)
        (base / "script.txt").write_text("TANSY: Where does the sea go?\n\nBRAM: Out and in.\n", "utf-8")
        for name, text in kinds.items():
            if rng.random() < 0.4:
                (base / name).write_text(text if rng.random() < 0.5 else respelled(rng, text), "utf-8")
        for name in sounds:
            if rng.random() < 0.15:
                content = wave_bytes(rng)
                (base / name).write_bytes(mutated(rng, content) if rng.random() < 0.3 else content)
        for name in links:
            if rng.random() < 0.08 and not (base / name).exists():
                (base / name).symlink_to(rng.choice([folder / "elsewhere", victim, Path("/dev/zero"), folder / "none"]))
        drawn = nullcontext() if rng.random() < 0.1 else patch("timing.sheet.render_sheets", lambda *_: undrawn)
        told = io.StringIO()
        try:
            with drawn, redirect_stdout(told), redirect_stderr(told):
                return command.main([str(base), "--force"], standalone_mode=False)
        finally:
            assert victim.read_bytes() == b"mine", "a file outside was changed"
            assert not list((folder / "elsewhere").iterdir()), "a file was written elsewhere"
            assert {p.name for p in folder.iterdir()} == {"victim.txt", "series", "elsewhere"}, (
                "a file was written above"
            )
            beside = {p.name for p in base.parent.iterdir()} - {"series.toml", "learnt.toml", "generated.csv", ".lock"}
            assert beside == {"ep"}, f"files beside the episode: {beside}"

    return read


def reshaped(rng: random.Random, xml: str) -> str:
    """Return well-formed XML with values and elements changed, dropped, doubled or moved."""
    parts = re.findall(r"<measure.*?</measure>|<note>.*?</note>|<[^>]*>|[^<]+", xml.replace("\n", ""))
    odd = [*HUGE, "0", "-1", "9999999999", "1e9", "4+3", "x", "", "1/0", "start", "stop", "none", "whole"]
    changed = []
    for part in parts:
        if rng.random() < 0.3:
            part = re.sub(r">([^<>]+)<", lambda m: f">{rng.choice([m[1], rng.choice(odd)])}<", part)
        if "<note>" in part and rng.random() < 0.4:
            extra = rng.choice(
                ["<grace/>", "<chord/>", "<rest/>", '<tie type="start"/>', "<backup/>", "<voice>2</voice>"]
            )
            part = part.replace("<note>", "<note>" + extra, 1) * rng.randint(1, 3)
        if "<measure" in part and rng.random() < 0.4:
            barline = '<barline><repeat direction="backward" times="99"/></barline></measure>'
            part = part.replace("</measure>", barline) * rng.randint(1, 3)
        changed.append(part)
    return "".join(changed)


def readers(folder: Path) -> dict[str, Callable[[random.Random], object]]:
    from timing.language import read_line
    from timing.model import Where
    from timing.script import read_script
    from timing.script.episode import TEMPLATE, parse_episode
    from timing.song.lyrics.lyrics import parse_lyric
    from timing.sound.decode import read_audio

    good_script = (ROOT / "examples" / "low-tide" / "script.fountain").read_bytes()
    template = "\n".join(line.removeprefix("# ") for line in TEMPLATE.splitlines()).encode()
    tune = midi_bytes()

    def file(name: str, content: bytes) -> Path:
        path = folder / name
        path.write_bytes(content)
        return path

    def script(rng: random.Random) -> object:
        content = mutated(rng, good_script) if rng.random() < 0.4 else text_of(rng, SCRIPT_BITS).encode()
        return read_script(file(rng.choice(["a.fountain", "a.txt", "a.md"]), content))

    def settings(rng: random.Random) -> object:
        text = mutated(rng, template).decode("utf-8", "replace") if rng.random() < 0.5 else text_of(rng, TOML_BITS, 25)
        return parse_episode(text, "episode.toml")

    def lyric(rng: random.Random) -> object:
        return parse_lyric(text_of(rng, LYRIC_BITS, 25), Where("a.txt", 1))

    def words(rng: random.Random) -> object:
        language = rng.choice(["en_US", "pt_BR", "es", "fr", "de", "it", "nl", "ru"])
        utterance = read_line(text_of(rng, SCRIPT_BITS, 12).replace("\n", " "), language, sung=rng.random() < 0.2)
        if utterance.words:
            from timing.timers.pace import PaceTimer

            return PaceTimer(language).time(utterance)
        return None

    def sound(rng: random.Random) -> object:
        content = wave_bytes(rng)
        return read_audio(file("a.wav", mutated(rng, content) if rng.random() < 0.7 else content))

    def font(rng: random.Random) -> object:
        from timing.plain.resources import resource_folder
        from timing.sheet.fonts import load_typeface

        regular = min(resource_folder("fonts").glob("*.ttf"), key=lambda path: path.stat().st_size)
        return load_typeface(str(file("My.ttf", mutated(rng, regular.read_bytes()))))

    def midi(rng: random.Random) -> object:
        from timing.song.tunes.reader import read_tune

        return read_tune(file("a.mid", mutated(rng, tune)))

    def xml(rng: random.Random) -> object:
        from timing.song.tunes.reader import read_tune

        if rng.random() < 0.3:
            return read_tune(file(rng.choice(["a.musicxml", "a.xml", "a.mxl"]), mutated(rng, MUSICXML)))
        return read_tune(file("a.musicxml", reshaped(rng, MUSICXML.decode()).encode()))

    return {
        "script": script,
        "settings": settings,
        "lyric": lyric,
        "words": words,
        "sound": sound,
        "font": font,
        "midi": midi,
        "xml": xml,
        "memory": memories(made_in(folder, "memory")),
        "folder": folders(made_in(folder, "folder")),
        "delivery": deliveries(made_in(folder, "delivery")),
        "episode": episodes(made_in(folder, "episode")),
    }


def made_in(folder: Path, name: str) -> Path:
    (folder / name).mkdir()
    return folder / name


class TooLong(BaseException):
    """What is being read does not end."""


def limited() -> None:
    """Let this process map no more than four times LIMIT_MB (libraries map far more than they use)."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (4 * LIMIT_MB * 1024 * 1024, resource.RLIM_INFINITY))


def ended_after(seconds: float) -> None:
    """End what runs from here with TooLong after so many seconds of processor time, 0 for never."""
    import signal

    def stop(*_: object) -> None:
        raise TooLong

    if hasattr(signal, "SIGPROF"):
        signal.signal(signal.SIGPROF, stop)
        signal.setitimer(signal.ITIMER_PROF, seconds)


def peak_mb() -> float:
    """Return the most memory that this process has had, 0 where the system does not tell."""
    try:
        import resource
    except ImportError:
        return 0.0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1024 * 1024 if sys.platform == "darwin" else 1024)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    parser.add_argument("--minutes", type=float, default=0, help="of each reader, at most [default: no end]")
    options = parser.parse_args()
    finds: dict[str, int] = {}
    slowest, total = (0.0, ""), 0
    limited()
    memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None  # small files by the thousand
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        every = {k: v for k, v in readers(Path(folder)).items() if not options.only or k in options.only.split(",")}
        for name, read in every.items():
            refused = given = 0
            until = time.monotonic() + 60 * (options.minutes or 10**6)
            count = options.count // len(every) // SLOW.get(name, 1)
            for number in range(count):
                if time.monotonic() > until:
                    break
                given += 1
                rng = random.Random(f"{options.seed}/{name}/{number}")
                began = time.process_time()
                try:
                    ended_after(STOP_S)
                    read(rng)
                except TimingError:
                    refused += 1
                except (Exception, TooLong) as error:
                    last = traceback.extract_tb(error.__traceback__)[-1]
                    place = (
                        f"{name}: {type(error).__name__} {str(error)[:80]} at {Path(last.filename).name}:{last.lineno}"
                    )
                    if place not in finds:
                        print(f"FOUND {place}  (seed {options.seed}/{name}/{number})", flush=True)
                    finds[place] = finds.get(place, 0) + 1
                finally:
                    ended_after(0)
                took = time.process_time() - began
                if peak_mb() > LIMIT_MB and "memory" not in finds:
                    finds["memory"] = 1
                    print(f"LARGE {peak_mb():.0f} MB by now  (seed {options.seed}/{name}/{number})", flush=True)
                slowest = max(slowest, (took, f"{options.seed}/{name}/{number}"))
                if took > LIMIT_S:
                    finds[f"{name}: slow"] = finds.get(f"{name}: slow", 0) + 1
                    print(f"SLOW {took:.1f} s  (seed {options.seed}/{name}/{number})", flush=True)
            total += given
            print(f"{name}: {given} inputs, {refused} refused in words", flush=True)
    print(
        f"{total} inputs, {sum(finds.values())} finds of {len(finds)} kinds; slowest {slowest[0]:.2f} s "
        f"({slowest[1]}); at most {peak_mb():.0f} MB"
    )
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main())
