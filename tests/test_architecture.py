"""Imports point one way, from room to room and from module to module."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "timing"

# Each room and the rooms it may know besides itself; none knows one that stands below it here.
ROOMS = {
    "plain": set(),
    "model": {"plain"},
    "language": {"plain", "model"},
    "script": {"plain", "model", "language"},
    "timers": {"plain", "model", "language"},
    "clips": {"plain", "model", "language"},
    "sound": {"plain", "model"},
    "hearing": {"plain", "model", "language", "sound"},
    "store": {"plain", "model"},
    "recording": {"plain", "model", "language", "sound", "hearing", "store"},
    "song": {"plain", "model", "sound", "store"},
    "sheet": {"plain", "model", "language", "clips"},
    "export": {"plain", "model"},
    "delivery": {"plain", "model", "sound", "hearing", "store", "recording", "language"},
    "memory": {"plain", "model", "delivery"},
    "episode": {"plain", "model", "clips", "sound", "hearing", "store", "song", "delivery", "memory", "export"},
    "dub": {
        "plain", "model", "script", "language", "timers", "clips", "sound", "store", "recording", "song", "memory",
        "episode", "export", "sheet",
    },
    "cut": {"plain", "model", "delivery"},
    "watch": {"plain", "model", "clips", "sound", "recording", "sheet", "export", "episode"},
}  # fmt: skip
TOP = {"__init__.py", "__main__.py", "cli.py", "pipeline.py"}


def imports_of(path):
    """Return the names of the modules of ``timing`` that a module imports, wherever the import stands."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "timing":
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Import):
            found |= {n.name for n in node.names if n.name.startswith("timing.")}
    return found


def rooms_of(path):
    return {name.split(".")[1] for name in imports_of(path)}


@pytest.mark.parametrize("room", sorted(ROOMS))
def test_a_room_knows_only_the_rooms_above_it(room):
    modules = list((PACKAGE / room).rglob("*.py"))
    assert modules
    for module in modules:
        assert rooms_of(module) <= ROOMS[room] | {room}, module


def test_every_room_is_named_and_nothing_lies_loose():
    folders = {p.name for p in PACKAGE.iterdir() if (p / "__init__.py").is_file()}
    assert folders == set(ROOMS) | {"api", "commands"}
    assert {p.name for p in PACKAGE.glob("*.py")} == TOP


def test_every_room_says_at_its_door_what_goes_in_and_out():
    for door in PACKAGE.rglob("*/__init__.py"):
        assert ast.get_docstring(ast.parse(door.read_text("utf-8"))), door


def test_no_module_imports_itself_by_a_circle():
    names = {}
    for path in PACKAGE.rglob("*.py"):
        dotted = ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)
        names[dotted.removesuffix(".__init__")] = path
    graph = {}
    for name, path in names.items():
        wanted = imports_of(path)
        graph[name] = {w if w in names else w.rpartition(".")[0] for w in wanted} & set(names) - {name}
    done, under_way = set(), []

    def visit(name):
        assert name not in under_way, " -> ".join([*under_way[under_way.index(name) :], name])
        if name in done:
            return
        under_way.append(name)
        for other in sorted(graph[name]):
            visit(other)
        under_way.pop()
        done.add(name)

    for name in sorted(graph):
        visit(name)


def test_help_loads_nothing_heavy():
    code = (
        "import sys, timing.cli\n"
        "try: timing.cli.cli(['--help'])\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'reportlab', 'PIL', 'pydub', 'av', 'pocketsphinx', 'pyphen', 'mido'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent)
    assert done.returncode == 0, done.stderr
