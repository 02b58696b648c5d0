"""What the wheel brings and needs: every file by kind with its size and licence, every library with tried versions.

    python tests/bench/list_contents.py [--dry]

Builds the wheel into a folder of its own and lists what lies in it; for each library the versions that are allowed
(pyproject.toml) and the one that is installed here, which the tests ran with.
The list in DEVELOPERS.md is rewritten.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
import tomllib
import zipfile
from collections import defaultdict
from importlib.metadata import PackageNotFoundError, metadata, version
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# What lies in the wheel: (a pattern, what it is, its licence). The first that fits counts.
KINDS = (
    (r".*\.dist-info/.*", "the wheel's own record and licences", "-"),
    (r"timing/fonts/.*\.ttf", "Noto Sans Condensed, cut down", "OFL-1.1"),
    (r"timing/fonts/.*", "the typeface's licence", "OFL-1.1"),
    (r"timing/examples/.*", "the example episode, our own", "MIT"),
    (r"timing/language/english/data/.*", "English tables, made from CMUdict's data", "BSD-2-Clause"),
    (r"timing/hearing/data/.*", "weights learnt by our own benches", "MIT"),
    (r"timing/song/lyrics/data/.*", "weights learnt by our own benches", "MIT"),
    (r"timing/watch/page/.*", "the proof page's parts", "MIT"),
    (r".*\.py", "code", "MIT"),
    (r".*", "schema, changelog, licence, types", "MIT"),
)


def wheel_rows(folder: Path) -> list[str]:
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)],
        check=True, capture_output=True,
    )  # fmt: skip
    (wheel,) = folder.glob("*.whl")
    found: dict[tuple[str, str], list[int]] = defaultdict(list)
    with zipfile.ZipFile(wheel) as packed:
        for entry in packed.infolist():
            what, licence = next((w, lic) for pattern, w, lic in KINDS if re.fullmatch(pattern, entry.filename))
            found[what, licence].append(entry.file_size)
    rows = ["| in the wheel | files | kB | licence |", "| --- | --- | --- | --- |"]
    rows += [f"| {w} | {len(sizes)} | {sum(sizes) / 1000:.0f} | {lic} |" for (w, lic), sizes in found.items()]
    return [*rows, f"| the wheel itself | | {wheel.stat().st_size / 1000:.0f} | |"]


def library_rows() -> list[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    rows = ["| library | allowed | tried here | licence as it says |", "| --- | --- | --- | --- |"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["png"]]
    for text in sorted(wanted, key=str.casefold):
        name, allowed = re.fullmatch(r"([\w.-]+)\s*([^;]*)(?:;.*)?", text).groups()  # type: ignore[union-attr]
        try:
            tried, about = version(name), metadata(name)
            licence = about.get("License-Expression") or about.get("License") or ""
            classes = [c.rsplit(" :: ", 1)[1] for c in about.get_all("Classifier") or [] if c.startswith("License")]
            licence = (licence if len(licence) < 60 else "") or ", ".join(classes)
        except PackageNotFoundError:
            tried, licence = "not needed by this Python", ""
        rows.append(f"| {name} | {allowed.strip()} | {tried} | {' '.join(licence.split())} |")
    return rows


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--dry", action="store_true", help="leave DEVELOPERS.md as it is")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        rows = [*wheel_rows(Path(folder)), "", *library_rows()]
    rows.append("")
    rows.append(f"Tried with Python {sys.version.split()[0]} on {sys.platform}.")
    print("\n".join(rows))
    if not options.dry:
        path = ROOT / "DEVELOPERS.md"
        text = path.read_text("utf-8")
        start, end = text.index("<!-- contents -->"), text.index("<!-- /contents -->")
        path.write_text(text[:start] + "<!-- contents -->\n" + "\n".join(rows) + "\n" + text[end:], "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
