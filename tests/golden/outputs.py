"""Everything an episode's run writes, as text that a person can read and compare.

Text files stand as they are. Files for machines are read back by a reader that is not ours (mido, wave, PDFium) and
written down: messages of a MIDI file, cues and clicks of a guide, every mark of each printed page; and what the
commands print, the reel shows and the proof page is given.
"""

from __future__ import annotations

import shutil
import struct
import wave
from datetime import date
from pathlib import Path

import mido
import numpy as np
from click.testing import CliRunner

from tests.golden.drawn import drawn
from tests.golden.seen import screens, watched
from timing.cli import cli
from timing.plain.resources import example_files

HERE = Path(__file__).parent
TEXTS = {".csv", ".srt", ".vtt", ".edl", ".otio", ".json", ".txt", ".toml"}
EPISODES = ("low-tide", "ebbe", "landed", "songbook", "messy")
EDITIONS = {"low-tide": ("pt", "de")}  # in other languages


def run_episode(name: str, folder: Path) -> dict[str, str]:
    """Do the whole job on an episode in ``folder`` and return its outputs by name, as text."""
    episode = folder / name
    _lay_out(name, episode)
    command = ["demo", str(episode)] if name == "low-tide" else ["sheet", str(episode)]
    done = CliRunner().invoke(cli, command)
    assert done.exit_code == 0, done.output
    told = done.output.replace(str(folder), "FOLDER")
    found = {"told.txt": told}
    for language in EDITIONS.get(name, ()):
        dubbed = CliRunner().invoke(cli, ["dub", str(episode), language])
        assert dubbed.exit_code == 0, dubbed.output
        found[f"screens/dub-{language}"] = _lasting(dubbed.output, folder)
    for path in sorted(p for p in episode.rglob("*") if p.is_file()):
        inside = path.relative_to(episode).as_posix()
        if "/." in inside or inside.startswith(("recordings/", "songs/", "clips/", "script", "episode.toml")):
            continue
        text = _as_text(path)
        if text is not None:
            found[inside] = _lasting(text, folder)
    if name == "ebbe":  # everything that can be printed, lying, on the other paper
        wide = ["--layout", "wide", "--paper", "letter", "--parts", "clips,strips,frames,bars,lines", "--every-frame"]
        CliRunner().invoke(cli, ["sheet", str(episode), "-o", str(folder / "wide"), *wide])
        found["wide.pdf"] = drawn((folder / "wide" / "sheets.pdf").read_bytes())
    seen = screens(name, episode) | (watched(episode) if name in ("ebbe", "landed") else {})
    found |= {key: _lasting(text, folder) for key, text in seen.items()}
    if name in SECOND_DAY:
        found |= _second_day(name, episode)
    return found


# What the people of an episode change overnight: texts replaced in files, label rows and notes written beside sounds.
SECOND_DAY = {
    "low-tide": {
        "script.fountain": [
            ("BRAM\nNobody has taken it.", "BRAM\nHm?\n\nBRAM\nNobody has taken it."),
            ("TANSY\nThe moon has no arms.\n\n", ""),
            ("very gently, all the way", "gently, all the way"),
            ("The pebbles are humming.", "the PEBBLES are humming!"),
        ],
        "recordings/3 bram.txt": "0.9\t4.0\t3\n1.6\t1.9\thas\n",
        "recordings/bram rest.txt": "# mine\n13,9\t14,8\tpockets\n",
        "songs/out-and-in.txt": "12.6\t12.6\tbar 5\n10.2\t11.8\tback\n2.4\t7.0\t13\n",
    },
    "landed": {
        "script.txt": [
            ("Somebody has taken the sea!", "Somebody has borrowed the sea!"),
            ("TANSY: Oh.\n", ""),
            ("BRAM (slowly): The moon", "BRAM: Hm, hm.\nBRAM (softly): The moon"),
            ("and comes back in again by itself", "and comes back in"),
        ],
        "clips.toml": [('[C03]\nstate = "delivered"', '# the one\n[C03]\naccepted = "C3 take 1.ogg"\nstate = "accepted"')],
        "clips/C3 take 1.txt": "0.95\t4.05\t3: Nobody has taken it.\n1.6\t1.9\thas\n",
        "episode.toml": [("[profile.seaside]", "[rest]\n6 = [\"said-differently\"]\n\n[profile.seaside]")],
    },
}  # fmt: skip


def _second_day(name: str, episode: Path) -> dict[str, str]:
    for inside, change in SECOND_DAY[name].items():
        path = episode / inside
        if isinstance(change, str):
            path.write_text(change, encoding="utf-8")
            continue
        text = path.read_text("utf-8")
        for old, new in change:
            assert old in text, old
            text = text.replace(old, new, 1)
        path.write_text(text, encoding="utf-8")
    done = CliRunner().invoke(cli, ["sheet", str(episode)])
    found = {"told.txt": f"{done.output}(exit code {done.exit_code})\n"}
    for inside in ("lines.toml", "clips.toml", "out/lines.csv", "out/clips.csv", "out/plan.json", "out/sheets.pdf"):
        if (text := _as_text(episode / inside)) is not None:
            found[inside] = text
    return {f"second/{key}": _lasting(text, episode.parent) for key, text in found.items()}


def _lasting(text: str, folder: Path) -> str:
    """Return a text without what is another on another day or in another folder."""
    today = date.today()
    text = text.replace(str(folder), "FOLDER").replace(today.isoformat(), "TODAY")
    return text.replace(f"({today:%Y-%m},", "(MONTH,").replace(f'"{today:%Y-%m}"', '"MONTH"')


def _lay_out(name: str, episode: Path) -> None:
    if name == "low-tide":
        return
    shutil.copytree(HERE / name, episode, ignore=shutil.ignore_patterns("expected"))
    if name == "landed":
        sounds = example_files()
        (episode / "recordings").mkdir()
        (episode / "clips").mkdir()
        # The example's own readings: Bram's third line is this episode's third, once as a clip that came back.
        (episode / "clips" / "C3 take 1.ogg").write_bytes(sounds["recordings/3 bram.ogg"])
        (episode / "clips" / "C06 take 1.ogg").write_bytes(sounds["recordings/5 bram long one.ogg"])  # another line
        (episode / "clips" / "C06 take 2.ogg").write_bytes(sounds["recordings/bram rest.ogg"])  # too long by far
        (episode / "recordings" / "6 bram.ogg").write_bytes(sounds["recordings/bram rest.ogg"])


def _as_text(path: Path) -> str | None:
    if path.suffix in TEXTS:
        return path.read_text("utf-8-sig").replace("\r\n", "\n")
    if path.suffix == ".mid":
        file = mido.MidiFile(path, charset="utf-8")
        rows = [f"ticks a quarter: {file.ticks_per_beat}"]
        rows += [str(message) for track in file.tracks for message in track]
        return "\n".join(rows) + "\n"
    if path.suffix == ".wav":
        return _sound(path)
    if path.suffix == ".pdf":
        return drawn(path.read_bytes())
    return None


def _sound(path: Path) -> str:
    """Return a WAV file's facts, its loudest sample of every half second, and its cue points."""
    with wave.open(str(path)) as file:
        rate, count = file.getframerate(), file.getnframes()
        samples = np.frombuffer(file.readframes(count), "<i2").astype(int)
    rows = [f"{rate} Hz, {count} samples"]
    half = rate // 2
    loudest = [int(np.abs(samples[at : at + half]).max()) for at in range(0, count, half)]
    rows.append("loudest of each half second: " + " ".join(str(round(n, -2)) for n in loudest))
    data = path.read_bytes()
    at = data.find(b"cue ")
    if at >= 0:
        cues = struct.unpack_from("<I", data, at + 8)[0]
        places = [struct.unpack_from("<II4sIII", data, at + 12 + 24 * n)[1] for n in range(cues)]
        rows.append("cues at samples: " + " ".join(map(str, places)))
    return "\n".join(rows) + "\n"


def expected_folder(name: str) -> Path:
    return HERE / "expected" / name


def rewrite(name: str, found: dict[str, str]) -> None:
    """Write what a run gave as what is expected: read every change before it is kept."""
    folder = expected_folder(name)
    if folder.exists():
        shutil.rmtree(folder)
    for inside, text in found.items():
        path = folder / f"{inside}.txt"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
