"""The proof page: one HTML file, made of the readable files in ``page/`` and of what they are given.

Nothing in it asks the network for anything, and a content policy forbids it to: scripts and styles are named by their
hash, sound and typeface lie in the file. What a script's lines or names hold stays text: it travels as JSON in which
no "<" stands, and the page sets it as text only.
"""

from __future__ import annotations

import base64
import hashlib
import json
from pathlib import Path
from typing import Any

from timing.export.guide import RATE_HZ
from timing.model import Plan
from timing.model.clock import round_half_up
from timing.recording.results import Heard
from timing.sheet.fonts import BOLD, REGULAR, font_files
from timing.watch.film import sound_file
from timing.watch.page_data import page_data
from timing.watch.spare import Stretch, left_over, other_readings, with_sound
from timing.watch.track import sound_of

PAGE = Path(__file__).with_name("page")
SCRIPTS = ("plan", "sound", "places", "facts", "sheet", "lists", "labels", "hands")  # in this order, as one script
GAP_S = 1  # silence between the episode and the spare stretches


def proof_page(plan: Plan, folder: Path, heard: Heard | None = None) -> tuple[bytes, list[str]]:
    """Return the page and sentences for people; the same plan and sounds give the same bytes.

    Where there is a real cut the page runs as it does. ``folder`` is where recordings and songs lie, ``heard`` what the
    recordings hold. Raises OutputError where the av library has no encoder for the sound.
    """
    import numpy as np

    left = left_over(heard, plan)  # what the cut leaves out is no unknown speech
    plan = plan.shown
    track, notes = sound_of(plan, folder)
    readings = other_readings(heard)
    wanted = [Stretch(t.file, t.start, t.end) for t in readings] + list(left)
    begin = plan.rate.moment_of(plan.frames) + GAP_S
    placed, spare = with_sound(wanted, folder, begin)
    gap = np.zeros(round_half_up(begin * RATE_HZ) - len(track), np.int16)
    sound = np.concatenate([track, gap, spare])
    pairs = [(take, one) for take in readings for one in placed if (one.file, one.start) == (take.file, take.start)]
    rest = [one for one in placed if (one.file, one.start) in {(s.file, s.start) for s in left}]
    data = page_data(plan, folder, sound, pairs, rest, heard)
    return _page(data, sound_file(sound, RATE_HZ), plan.language), notes


def _page(data: dict[str, Any], sound: bytes, language: str) -> bytes:
    script, style = "".join(_file(f"{name}.js") for name in SCRIPTS), _fonts() + _file("proof.css")
    policy = (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; font-src data:; "
        "media-src blob:; base-uri 'none'; form-action 'none'"
    )
    filled = {
        "POLICY": policy,
        "STYLE": style,
        "SCRIPT": script,
        "DATA": safe_json(data),
        "SOUND": base64.b64encode(sound).decode(),
        "LANGUAGE": safe_json(language.replace("_", "-")).strip('"'),
    }
    pieces = _file("proof.html").split("@@")  # text, name, text, name, text ...
    return "".join(filled[piece] if n % 2 else piece for n, piece in enumerate(pieces)).encode()


def safe_json(value: object) -> str:
    r"""Return JSON that may stand inside a script element: nothing in it can end the element or begin a comment.

    >>> safe_json({"line": "</script><!--"})
    '{"line":"\\u003c/script\\u003e\\u003c!--"}'
    """
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    # A lone half of a surrogate pair, from a damaged script, is no text that can be written.
    return text.encode("utf-8", "replace").decode()


def _file(name: str) -> str:
    return (PAGE / name).read_text("utf-8")


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _fonts() -> str:
    """Return the sheets' typeface as style rules, so that sound signs are there on every machine."""
    files = font_files()
    rules = []
    for cut, weight in ((REGULAR, 400), (BOLD, 700)):
        data = base64.b64encode(files[cut].read_bytes()).decode()
        rules.append(
            f'@font-face{{font-family:"Sheet";font-weight:{weight};'
            f'src:url(data:font/ttf;base64,{data}) format("truetype")}}\n'
        )
    return "".join(rules)
