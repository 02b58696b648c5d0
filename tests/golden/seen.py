"""What is seen on screens: the commands' tables, what the reel shows, what the proof page is given; as text."""

from __future__ import annotations

import json
import re
from pathlib import Path

from click.testing import CliRunner

from timing.cli import cli
from timing.pipeline import make_plan
from timing.script.source import open_source
from timing.sheet.furniture import episode_name
from timing.watch.marks import Box, Fonts, Mark
from timing.watch.moments import Moments
from timing.watch.screen import TALL, WIDE, Screen
from timing.watch.strip import Strip

COMMANDS = {
    "low-tide": (
        ("lines",), ("lines", "--wide"), ("lines", "--findings", "all"), ("listen",), ("check",),
        ("tempo", "{}/songs/out-and-in.ogg", "--in", "{}"), ("tempo", "{}/songs/out-and-in.ogg", "--bpm", "96"),
        ("tempo", "96", "--in", "{}"),
    ),
    "ebbe": (("lines",), ("lines", "--wide"), ("lines", "--findings", "all"), ("tempo", "60", "--in", "{}")),
    "songbook": (("lines", "--wide"), ("lines", "--findings", "all"), ("tempo", "104", "--in", "{}", "--song", "box")),
    "messy": (("lines", "--wide"), ("lines", "--findings", "all")),
    "landed": (("lines",), ("lines", "--findings", "all"), ("listen",), ("check",)),
}  # fmt: skip
SAYINGS = (
    (
        "say",
        "Then the tide, the very long tide, goes all the way out past the rocks, and comes back in again by itself.",
    ),
    ("say", "The moon's pull (whispers) moves 3 1/2 boats — slowly!", "--delivery", "young", "--lengths", "5,10"),
    ("say", "Ganz leise zieht der Mond am Wasser.", "-l", "de", "--rate", "25"),
)
EVERY_FRAMES = 61  # a prime, so that the samples fall differently into seconds and beats


def screens(name: str, episode: Path) -> dict[str, str]:
    """Return what each command prints about an episode that was planned, by command."""
    found = {}
    for command in COMMANDS[name]:
        words = [word.format(episode) for word in command]
        if not any("{}" in word for word in command):
            words.insert(1, str(episode))
        found["screens/" + re.sub(r"\W+", "-", " ".join(command).replace("{}", "")).strip("-")] = _printed(words)
    if name == "ebbe":
        found |= {f"screens/say-{n}": _printed(list(saying)) for n, saying in enumerate(SAYINGS, 1)}
    return found


def _printed(words: list[str]) -> str:
    done = CliRunner().invoke(cli, words, terminal_width=100)
    return f"{done.output}(exit code {done.exit_code})\n"


def watched(episode: Path) -> dict[str, str]:
    """Return the marks of the reel's frames, and the data of the proof page, of an episode."""
    plan = make_plan(open_source(episode), None).plan
    fonts, moments = Fonts.load(None), Moments(plan)
    rows = []
    for shape, word in ((WIDE, "wide"), (TALL, "tall")):
        screen, strip = Screen(shape, fonts, episode_name(plan)), Strip(plan, moments, fonts, shape)
        rows += [f"--- {word}: the strip's heads", *map(_row, strip.heads())]
        for frame in range(0, plan.frames, EVERY_FRAMES if word == "wide" else 7 * EVERY_FRAMES):
            moment = moments.at(frame)
            rows.append(f"--- {word}, frame {frame}")
            rows += map(_row, screen.still(moment, "C01.png" if frame % 2 else "", bool(frame % 2)))
            rows += map(_row, screen.figures(moment))
            rows += map(_row, strip.marks(frame, frame + 12))
    page = _printed(["proof", str(episode), "-o", str(episode.parent / "watched")])
    html = (episode.parent / "watched" / "proof.html").read_text("utf-8")
    (data,) = (json.loads(text) for text in re.findall(r"<script[^>]*application/json[^>]*>(.*?)</script>", html, re.S))
    return {
        "reel": "\n".join(rows) + "\n",
        "proof": page + json.dumps(_plain(data), ensure_ascii=False, indent=1) + "\n",
    }


def _row(mark: Mark) -> str:
    if isinstance(mark, Box):
        return f"box {mark.x0:.0f} {mark.y0:.0f} {mark.x1:.0f} {mark.y1:.0f} gray {mark.gray}"
    return f"{mark.x:.0f} {mark.y:.0f} {mark.size} {mark.style} {mark.align} gray {mark.gray} {mark.text}"


def _plain(value: object) -> object:
    """Leave out long strings (sound waves in a code), which no eye can read."""
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return f"({len(value)} characters)" if isinstance(value, str) and len(value) > 2000 else value
