"""Every file in cases/: a script, ``# output``, and what must be read from it.

The Fountain cases follow the syntax page of the open standard (fountain.io/syntax, version 1.1), feature by
feature and trap by trap; the expected lines were written by hand from its words.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.script.render import render
from timing.script import parse_script
from timing.script.decoding import decode

CASES = sorted((Path(__file__).parent / "cases").iterdir())


def test_there_are_cases() -> None:
    assert len([c for c in CASES if c.suffix == ".fountain"]) >= 15
    assert len([c for c in CASES if c.suffix == ".txt"]) >= 15


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case(case: Path) -> None:
    given, _, expected = decode(case.read_bytes(), case)[0].partition("\n# output\n")
    assert expected, "a case needs a line '# output'"
    assert render(parse_script(given, case.name)).strip() == expected.strip()
