"""Eighty scripts as they are pasted, and what their authors mean: who says how much, what is sung again, what is set aside.

Of our own, in the ways of chat assistants, word processors, song sites and slides, in English, Portuguese of both
countries, Spanish, French, German, Italian and Dutch; ten of them laid out as tables, plays, captions, chord sheets. What
is expected was written down with each script, before it was read.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from timing.model import LineKind, Passage, Script
from timing.model.findings import FindingCode
from timing.script import parse_script

PASTED = sorted((Path(__file__).parent / "pasted").iterdir())


def meant(script: Script) -> str:
    spoken = [line for line in script.lines if line.kind is LineKind.SPOKEN]
    sung = [line for line in script.lines if line.kind is LineKind.SUNG]
    passages = Counter(line.passage for line in script.lines if line.kind is LineKind.PICTURE)
    names = Counter(line.speaker for line in spoken)
    aside = [n for f in script.findings if f.code is FindingCode.SET_ASIDE for n in f.facts["lines"]]
    rows = [
        "speakers " + (", ".join(f"{name} {count}" for name, count in sorted(names.items())) or "-"),
        f"spoken {len(spoken)}",
        f"sung {len(sung)} again {sum(line.again is not None for line in sung)}",
        *(f"{passage} {passages[passage]}" for passage in Passage),
        "aside " + (" ".join(map(str, aside)) or "-"),
    ]
    return "\n".join(rows)


def test_there_are_eighty() -> None:
    assert len(PASTED) >= 80


@pytest.mark.parametrize("path", PASTED, ids=lambda path: path.stem)
def test_it_is_read_as_its_author_means_it(path: Path) -> None:
    given, _, expected = path.read_text("utf-8").partition("\n# output\n")
    assert meant(parse_script(given, path.name)) == expected.strip()
