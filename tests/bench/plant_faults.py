"""Plants one small fault at a time in the code and asks whether any test notices.

usage: python tests/bench/plant_faults.py cover                     which test runs which line (once, some minutes)
       python tests/bench/plant_faults.py plant --count 100 --seed 1 [--only timing/export] [--list] [--part 1/2]

Faults: a comparison moved by one (``<`` for ``<=``, ``==`` for ``!=``), a number one off (a fraction of it for one
with a point), a flag turned, ``and`` for ``or``, a plus for a minus, a term dropped, the first two arguments of a call
swapped (not those of ``max`` and ``min``, which do not care). Places are drawn with a seed from all such places of the
package, so the same seed gives the same sample. For each, the quickest tests that run its line are run (of a name set
once, the tests that run a line which uses it), then the golden episodes that run it, then the other tests that do,
until one fails or hangs: as many as need ``--seconds`` of the processor without the fault. Each trial is a forked
process in which the libraries are loaded already, so this tool runs where processes can be forked. Works on a copy of
the checkout; nothing in it is changed. Needs the extra ``dev``.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib
import itertools
import json
import math
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COVER = ROOT / ".hypothesis" / "plant_faults.json"  # a folder that is never committed
NEXT = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
LIBRARIES = (
    "click", "jsonschema", "mido", "numpy", "opentimelineio", "PIL.Image", "pikepdf", "pocketsphinx",
    "pydub", "pypdf", "pypdfium2", "pyphen", "pytest", "reportlab.pdfgen.canvas", "scipy.signal", "soundfile", "xml.etree.ElementTree",
)  # fmt: skip
STARTS_S = 20.0  # for a trial to find its tests
# Whole episodes and pages see most; those that listen to recordings take their turn by the time they need.
BROAD, BROAD_S = ("tests/golden/test_golden.py", "tests/sheet/test_geometry.py", "tests/watch/test_drawn.py"), 10.0
QUICK_S = 3.0  # the first tests of a line take no longer than this together


@dataclass(frozen=True)
class Fault:
    """One place and what stands there instead; columns are of bytes, as ``ast`` gives them."""

    path: str
    line: int
    start: tuple[int, int]
    end: tuple[int, int]
    new: str
    kind: str

    def planted(self, source: str) -> str:
        lines = [line.encode() for line in source.splitlines(keepends=True)]
        (a, b), (c, d) = self.start, self.end
        middle = lines[a - 1][:b] + self.new.encode() + lines[c - 1][d:]
        return b"".join([*lines[: a - 1], middle, *lines[c:]]).decode()


def faults_of(path: Path, name: str) -> Iterator[Fault]:
    """Yield every fault that could be planted in one module."""
    tree = ast.parse(path.read_text("utf-8"))
    skipped = set()
    for node in ast.walk(tree):
        for part in ("annotation", "returns", "decorator_list"):
            inside = getattr(node, part, None)
            for one in inside if isinstance(inside, list) else [inside]:
                if one is not None:
                    skipped |= {id(n) for n in ast.walk(one)}
    for node in ast.walk(tree):
        if id(node) in skipped or not hasattr(node, "lineno"):
            continue
        for new, kind in _others(node):
            place = (node.lineno, node.col_offset), (node.end_lineno, node.end_col_offset)
            yield Fault(name, node.lineno, *place, f"({new})" if kind != "number" else new, kind)


def _others(node: ast.AST) -> Iterator[tuple[str, str]]:
    if isinstance(node, ast.Compare) and len(node.ops) == 1:
        yield ast.unparse(ast.Compare(node.left, [NEXT[type(node.ops[0])]()], node.comparators)), "comparison"
    elif isinstance(node, ast.BoolOp):
        other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield ast.unparse(ast.BoolOp(other, node.values)), "and for or"
    elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub):
        if not any(isinstance(side, ast.Constant | ast.JoinedStr) for side in (node.left, node.right)):
            other = ast.Sub() if isinstance(node.op, ast.Add) else ast.Add()
            yield ast.unparse(ast.BinOp(node.left, other, node.right)), "plus for minus"
        yield ast.unparse(node.left), "term dropped"
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield str(not node.value), "flag"
    elif isinstance(node, ast.Constant) and isinstance(node.value, int):
        yield str(node.value + 1), "number"
    elif isinstance(node, ast.Constant) and isinstance(node.value, float):
        yield repr(node.value * 1.25 if node.value else 0.1), "number"
    elif isinstance(node, ast.Call) and len(node.args) > 1:
        first, second = node.args[:2]
        plain = all(isinstance(n, ast.Name | ast.Attribute | ast.Subscript) for n in (first, second))
        is_even_handed = isinstance(node.func, ast.Name) and node.func.id in ("max", "min")
        if plain and not is_even_handed and ast.dump(first) != ast.dump(second):
            yield ast.unparse(ast.Call(node.func, [second, first, *node.args[2:]], node.keywords)), "arguments swapped"


def cover() -> None:
    """Run all tests once and write down which of them run which line, and how long each takes."""
    with tempfile.TemporaryDirectory() as folder:
        copy = _copy(Path(folder))
        arguments = ["-q", "-n", "2", "-p", "no:randomly", "--cov=timing", "--cov-context=test", "--cov-report="]
        report = copy / "times.xml"
        subprocess.run([sys.executable, "-m", "pytest", *arguments, f"--junitxml={report}"], cwd=copy, env=_env(copy))
        import xml.etree.ElementTree as ET

        import coverage

        seconds = {}
        for case in ET.parse(report).iter("testcase"):
            seconds[f"{case.get('classname')}.{case.get('name')}"] = float(case.get("time", 0))
        data = coverage.CoverageData(str(copy / ".coverage"))
        data.read()
        lines: dict[str, dict[int, list[str]]] = {}
        for file in data.measured_files():
            name = Path(file).relative_to(copy).as_posix()
            lines[name] = {n: sorted({c.rpartition("|")[0] for c in found if c}) for n, found in
                           data.contexts_by_lineno(file).items()}  # fmt: skip
    COVER.parent.mkdir(exist_ok=True)
    tests = sorted({t for found in lines.values() for own in found.values() for t in own})
    index = {t: i for i, t in enumerate(tests)}
    slim = {f: {n: [index[t] for t in own] for n, own in found.items()} for f, found in lines.items()}
    times = [seconds.get(_dotted(t), 1.0) for t in tests]
    COVER.write_text(json.dumps({"tests": tests, "seconds": times, "lines": slim}))


def _dotted(node_id: str) -> str:
    name, bracket, values = node_id.partition("[")
    return name.replace("/", ".").replace(".py::", ".").replace("::", ".") + bracket + values


def plant(count: int, seed: int, only: str, seconds: float, just_list: bool, part: int = 1, parts: int = 1) -> int:
    """Plant ``count`` faults one after another and say which survive; return how many did."""
    found = []
    for path in sorted((ROOT / "timing").rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        if name.startswith(only):
            found += list(faults_of(path, name))
    sample = random.Random(seed).sample(found, min(count, len(found)))
    print(f"{len(sample)} of {len(found)} possible faults, seed {seed}")
    if just_list:
        for fault in sample:
            print(f"{fault.path}:{fault.line} {fault.kind}: {fault.new[:80]}")
        return 0
    known = json.loads(COVER.read_text())
    survivors = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = _copy(Path(folder))
        for name in LIBRARIES:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)
        _forget_what_is_gone(known, copy)
        if _fails(copy, [BROAD[0] + "::test_every_output_is_as_approved[messy]"], 600):
            raise SystemExit("the golden episode messy fails without any fault; mend it first")
        for number, fault in list(enumerate(sample, 1))[part - 1 :: parts]:
            began = time.monotonic()
            noticed = _noticed(fault, copy, known, seconds)
            survivors += not noticed
            word = "noticed " if noticed else "SURVIVED"
            took = time.monotonic() - began
            print(
                f"{number:3} {word} {took:5.1f} s  {fault.path}:{fault.line} {fault.kind}: {fault.new[:70]}", flush=True
            )
    looked_at = len(range(part - 1, len(sample), parts))
    print(f"noticed {looked_at - survivors} of {looked_at}")
    return survivors


def _forget_what_is_gone(known: dict, copy: Path) -> None:
    """Take tests out of the map that cannot be found: asking for one would look like a fault that was noticed."""
    collect = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider", "tests", "timing"]
    env = _env(copy) | {"PYTHONDONTWRITEBYTECODE": ""}  # what is compiled now need not be for each trial
    told = subprocess.run(collect, cwd=copy, env=env, capture_output=True, text=True).stdout
    there = set(told.splitlines())
    gone = {n for n, test in enumerate(known["tests"]) if test not in there}
    print(f"{len(gone)} of {len(known['tests'])} tests of the map are not there any more")
    for lines in known["lines"].values():
        for number, own in lines.items():
            lines[number] = [test for test in own if test not in gone]


def _noticed(fault: Fault, copy: Path, known: dict, seconds: float) -> bool:
    running = sorted(_running(fault, known), key=lambda t: known["seconds"][t])
    tests = [known["tests"][t] for t in running]
    needs = dict(zip(tests, (known["seconds"][t] for t in running), strict=True))
    quick = sum(so_far <= QUICK_S for so_far in itertools.accumulate(needs.values()))
    broad = [name for name in tests if name.startswith(BROAD) and needs[name] < BROAD_S]
    tests = list(dict.fromkeys([*tests[:quick], *broad, *tests]))
    within = sum(so_far <= seconds for so_far in itertools.accumulate(needs[name] for name in tests))
    tests = tests[:within]
    if not tests:
        return False
    path = copy / fault.path
    before, stat = path.read_text("utf-8"), path.stat()
    path.write_text(fault.planted(before), "utf-8")
    try:
        compile(path.read_text("utf-8"), fault.path, "exec")
        return _fails(copy, tests, STARTS_S + 3 * sum(needs[name] for name in tests))
    finally:
        path.write_text(before, "utf-8")
        os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))  # so that its compiled form is used again


def _running(fault: Fault, known: dict) -> list[int]:
    """Return the tests (places in ``known``'s list) that run a fault's line, or use the name it is part of."""
    own = known["lines"].get(fault.path, {}).get(str(fault.line))
    if own != []:
        return own or []
    # run once, when the module is imported: by whoever runs a line that says its name, else whoever runs the module
    found: set[int] = set()
    for name in _names_set(ROOT / fault.path, fault.line):
        says = re.compile(rf"\b{name}\b")
        for path, lines in known["lines"].items():
            text = (ROOT / path).read_text("utf-8").splitlines()
            found |= {t for n, tests in lines.items() if says.search(text[int(n) - 1]) for t in tests}
    return sorted(found or {t for tests in known["lines"].get(fault.path, {}).values() for t in tests})


def _names_set(path: Path, line: int) -> list[str]:
    """Return the module's names that the statement around a line sets: constants, tables."""
    for node in ast.parse(path.read_text("utf-8")).body:
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.lineno <= line <= (node.end_lineno or 0):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            return [n.id for target in targets for n in ast.walk(target) if isinstance(n, ast.Name)]
    return []


def _fails(copy: Path, tests: list[str], seconds: float) -> bool:
    """Say whether a run of tests fails, or needs more than ``seconds`` of the processor: it hangs."""
    sys.stdout.flush()
    child = os.fork()
    if not child:
        _trial(copy, tests, seconds)
    _, status = os.waitpid(child, 0)
    return status != 0


def _trial(copy: Path, tests: list[str], seconds: float) -> None:
    """Run tests in this (forked) process and end it; never return into its parent's work."""
    status = 1
    try:
        os.setsid()
        resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(seconds), math.ceil(seconds) + 5))
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in range(3):
            os.dup2(nowhere, stream)
        os.chdir(copy)
        os.environ.update(_env(copy))
        sys.path.insert(0, str(copy))
        sys.dont_write_bytecode = True
        import pytest

        arguments = ["-q", "-x", "-p", "no:randomly", "-p", "no:cacheprovider", "-p", "no:xdist"]
        status = int(pytest.main([*arguments, *tests]))
    finally:
        sys.stdout.flush()
        os._exit(status)


def _copy(folder: Path) -> Path:
    copy = folder / "checkout"
    left_out = shutil.ignore_patterns(".git", ".hypothesis", "__pycache__", ".venv*", "*.egg-info")
    shutil.copytree(ROOT, copy, ignore=left_out)
    return copy


def _env(copy: Path) -> dict[str, str]:
    return os.environ | {"PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1", "OPENBLAS_NUM_THREADS": "1"}


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("what", choices=["cover", "plant"])
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="timing/")
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--part", default="1/1", help="2/3: the second third of the sample, for several processes")
    parser.add_argument("--list", action="store_true")
    given = parser.parse_args()
    if given.what == "cover":
        cover()
    else:
        part, parts = map(int, given.part.split("/"))
        sys.exit(bool(plant(given.count, given.seed, given.only, given.seconds, given.list, part, parts)))
