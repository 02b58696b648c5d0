"""Imports point one way: clock, model, settings, errors <- stages <- pipeline <- commands <- cli."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "timing"
CORE = {"clock", "model", "settings", "errors", "resources", "names", "metre", "media", "json_text", "letters"}
STAGES = {"script", "language", "timers", "recording", "song", "clips", "sheet", "export"}


def imports_of(path):
    """Return the top-level parts of ``timing`` that a module imports, wherever the import stands."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "timing":
            parts = node.module.split(".")
            found |= {parts[1]} if len(parts) > 1 else {alias.name for alias in node.names}
        elif isinstance(node, ast.Import):
            found |= {n.name.split(".")[1] for n in node.names if n.name.startswith("timing.")}
    return found


@pytest.mark.parametrize("stage", sorted(STAGES))
def test_stages_know_only_the_core(stage):
    modules = list((PACKAGE / stage).rglob("*.py"))
    assert modules
    for module in modules:
        assert imports_of(module) <= CORE | {stage}, module


@pytest.mark.parametrize("name", sorted(CORE))
def test_core_knows_no_stage(name):
    allowed = CORE | ({"plan_json"} if name == "model" else set())  # Plan.to_json, imported when called
    modules = list((PACKAGE / name).rglob("*.py")) or [PACKAGE / f"{name}.py"]
    for module in modules:
        assert imports_of(module) <= allowed, module


def test_help_loads_nothing_heavy():
    code = (
        "import sys, timing.cli\n"
        "try: timing.cli.cli(['--help'])\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'reportlab', 'pydub', 'av', 'pocketsphinx', 'pyphen', 'mido'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent)
    assert done.returncode == 0, done.stderr
