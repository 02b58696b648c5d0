"""How a script is laid out where it comes from: as a table, with tabs, as a play is printed, with chords, as captions.

In: the lines of a plain script. Out: the same lines as ``NAME: words``, what is no part of the script blank, and one
finding that names those lines. The ways are common practice, from memory: tables of chat assistants, tabs of word
processors, printed plays of Spanish ("TANSY.- ...") and French ("TANSY, bâillant. – ...") theatres, song sites with
chords over their lines, and caption files of the open SubRip form.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from timing.model import Finding, Where
from timing.model.findings import FindingCode
from timing.script.blocks import SourceLine
from timing.script.together import JOINTS

_NAME = r"[^\W\d_a-zà-öø-ÿ][^\Wa-zà-öø-ÿ.,:|]*(?:[ '’-][^\Wa-zà-öø-ÿ.,:|]+){0,4}"  # in capitals
_NAMES = rf"{_NAME}(?:\s(?:&|{'|'.join(sorted(JOINTS))})\s{_NAME})*"  # "TANSY und BRAM"
_PLAY = re.compile(rf"\s*(?P<name>{_NAMES})(?:,\s*(?P<how>[^.:]{{1,60}}))?\.\s*[-–—]+\s*(?P<words>\S.*)", re.DOTALL)
_TABBED = re.compile(rf"\s*(?P<name>{_NAME}):?\t+\s*(?P<words>\S.*)", re.DOTALL)
_ROW = re.compile(r"\s*\|.*\|\s*")
_UNDER_HEAD = re.compile(r"\s*\|(?:\s*:?-{2,}:?\s*\|)+\s*")
_ARROW = re.compile(r"\s*\d{1,2}:\d{2}:\d{2}[,.]\d{1,3}\s*-->\s*\d{1,2}:\d{2}:\d{2}[,.]\d{1,3}.*")
_CHORD = r"[A-H][#b♯♭]?(?:maj|min|mi|dim|aug|sus|add|m|M)?\d{0,2}(?:sus\d|add\d{1,2})?(?:/[A-H][#b♯♭]?)?"
_CHORDS = re.compile(rf"\s*(?:\|\s*)?{_CHORD}(?:[\s|]+{_CHORD})*[\s|]*")
_TUNING = re.compile(r"\s*(?:key|capo|tuning|strumming|tonalidade|tom|tono|tonalité|tonart|tonalità)\s*:.{0,60}", re.I)
LEAST = 2  # lines of a kind before a script is taken to be laid out so


def laid_out(lines: list[SourceLine], path: str) -> tuple[list[SourceLine], list[Finding]]:
    """Return the lines as ``NAME: words`` and what is said of those that were left out."""
    taken: dict[str, list[int]] = {}
    out = list(lines)
    for what, read in (
        ("a table's head", _table), ("times of captions", _captions), ("chords", _chords),
        ("", _play), ("", _tabs),
    ):  # fmt: skip
        read(out, taken.setdefault(what, []))
    numbers = sorted({lines[i].number for at in taken.values() for i in at})
    if not numbers:
        return out, []
    from timing.script.set_aside import line_ranges

    parts = "; ".join(f"{what} ({line_ranges([lines[i].number for i in at])})" for what, at in taken.items() if at)
    message = f"left out, neither spoken nor seen: {parts}"
    return out, [Finding(FindingCode.SET_ASIDE, message, {"lines": numbers}, Where(path, numbers[0]))]


Reader = Callable[[list[SourceLine], list[int]], None]


def _blank(out: list[SourceLine], at: list[int], i: int) -> None:
    out[i] = replace(out[i], text="")
    at.append(i)


def _table(out: list[SourceLine], taken: list[int]) -> None:
    """| TANSY | Where is the sea? | curious |: who, what is said, and how; the head and the rule below it go."""
    rules = [i for i, line in enumerate(out) if _UNDER_HEAD.fullmatch(line.text)]
    for rule in rules:
        if not rule or not _ROW.fullmatch(out[rule - 1].text):
            continue
        _blank(out, taken, rule - 1)
        _blank(out, taken, rule)
        for i in range(rule + 1, len(out)):
            if not _ROW.fullmatch(out[i].text):
                break
            cells = [cell.strip() for cell in out[i].text.strip().strip("|").split("|")]
            while cells and re.fullmatch(r"#?\d+[.)]?", cells[0]):  # numbers of lines or shots
                cells.pop(0)
            if len(cells) < 2 or not cells[0]:
                text = " ".join(filter(None, cells))
            else:
                how = f" ({cells[2]})" if len(cells) > 2 and cells[2] else ""
                text = f"{cells[0].strip('*_ :')}{how}: {cells[1]}"
            out[i] = replace(out[i], text=text)


def _captions(out: list[SourceLine], taken: list[int]) -> None:
    arrows = [i for i, line in enumerate(out) if _ARROW.fullmatch(line.text)]
    for i in arrows if len(arrows) >= LEAST else ():
        if i and re.fullmatch(r"\s*\d{1,5}\s*", out[i - 1].text):
            _blank(out, taken, i - 1)
        _blank(out, taken, i)
        if i + 1 < len(out) and (heard := re.fullmatch(r"\s*\[([^\[\]]+)\]\s*", out[i + 1].text)):
            out[i + 1] = replace(out[i + 1], text=f"SFX: {heard[1]}")  # brackets of a caption: what is heard


def _chords(out: list[SourceLine], taken: list[int]) -> None:
    """Lines of chords over the words, and what stands above them about key and capo."""
    found = [
        i
        for i, line in enumerate(out[:-1])
        if _are_chords(line.text) and out[i + 1].text.strip() and not _are_chords(out[i + 1].text)
    ]
    if len(found) < LEAST:
        return
    found += [i for i in {*range(len(out))} - {*found} if _are_chords(out[i].text)]
    found += [i for i, line in enumerate(out[: min(found)]) if _TUNING.fullmatch(line.text)]
    for i in sorted(found):
        _blank(out, taken, i)


def _are_chords(text: str) -> bool:
    """True for "C   G7  Am", not for a line of an alphabet song, "A B C D".

    >>> _are_chords("C            G"), _are_chords("A B C D"), _are_chords("Am I late")
    (True, False, False)
    """
    names = text.split()
    if len(names) < 2 or _CHORDS.fullmatch(text) is None:
        return False
    return "".join(names) not in "ABCDEFGH"


def _play(out: list[SourceLine], taken: list[int]) -> None:
    del taken
    found = [(i, match) for i, line in enumerate(out) if (match := _PLAY.fullmatch(line.text))]
    for i, match in found if len(found) >= LEAST else ():
        how = f" ({match['how'].strip()})" if match["how"] else ""
        out[i] = replace(out[i], text=f"{match['name'].strip()}{how}: {match['words']}")


def _tabs(out: list[SourceLine], taken: list[int]) -> None:
    del taken
    found = [(i, match) for i, line in enumerate(out) if (match := _TABBED.fullmatch(line.text))]
    for i, match in found if len(found) >= LEAST else ():
        out[i] = replace(out[i], text=f"{match['name'].strip()}: {match['words']}")
