"""Every kind of finding is listed once, in words, wherever people or programs look for it."""

import json
import re
from pathlib import Path

from timing.model.findings import FindingCode

ROOT = Path(__file__).parent.parent.parent


def test_the_readme_lists_every_code_with_its_meaning():
    text = (ROOT / "README.md").read_text("utf-8")
    listed = text[text.index("<!-- findings -->") : text.index("<!-- /findings -->")]
    rows = re.findall(r"^\| `([a-z-]+)` \| (.+?)( \*)? \|$", listed, re.M)
    assert [(c.value, c.meaning, c.spoils) for c in FindingCode] == [(a, b, bool(star)) for a, b, star in rows]


def test_the_schema_allows_exactly_the_codes():
    schema = json.loads((ROOT / "timing" / "model" / "plan.schema.json").read_text("utf-8"))
    assert schema["$defs"]["finding_code"]["enum"] == [c.value for c in FindingCode]


def test_a_meaning_is_one_sentence():
    for code in FindingCode:
        assert re.fullmatch(r"[^\s].*[.]", code.meaning), code
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", code.value), code


def test_no_stage_compares_codes_as_text():
    words = "|".join(re.escape(c.value) for c in FindingCode)
    text_compared = re.compile(rf"\.code\s*(==|!=|in)\s*[({{\[]?\s*[\"']({words})[\"']")
    for path in (ROOT / "timing").rglob("*.py"):
        assert not text_compared.search(path.read_text("utf-8")), path
