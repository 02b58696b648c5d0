"""What independent libraries read in everything that is written: the client table.

    python tests/bench/bench_clients.py [OUT] [--dry]

OUT is an output folder; without one the example is made. Each row is one library on one file (tests/export/clients.py);
the table in DEVELOPERS.md is rewritten. Ends with exit code 1 where a library disagrees.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))


def table(out: Path) -> tuple[list[str], int]:
    """Return the rows of the table, and how many clients disagree."""
    from tests.export.clients import CLIENTS

    plan = json.loads((out / "plan.json").read_text("utf-8"))
    rows, wrong = [], 0
    for client in CLIENTS:
        if not client.is_there:
            found = "not installed"
        else:
            try:
                found = client.check(out, plan)
            except Exception as problem:  # whatever a library raises is its verdict
                found, wrong = f"**{type(problem).__name__}: {problem}**".replace("|", "/"), wrong + 1
        rows.append(f"| `{client.file}` | {client.name} | {found} |")
        print(rows[-1], flush=True)
    return rows, wrong


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("out", nargs="?", type=Path)
    parser.add_argument("--dry", action="store_true", help="leave DEVELOPERS.md as it is")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        out = options.out
        if out is None:
            command = [sys.executable, "-m", "timing", "demo", str(Path(name) / "low-tide")]
            environment = {**os.environ, "PYTHONPATH": str(ROOT)}
            subprocess.run(command, check=True, capture_output=True, env=environment)
            out = Path(name) / "low-tide" / "out"
        rows, wrong = table(out)
    if not options.dry:
        path = ROOT / "DEVELOPERS.md"
        text = path.read_text("utf-8")
        start, end = text.index("<!-- clients -->"), text.index("<!-- /clients -->")
        head = "<!-- clients -->\n| file | read by | what agrees with plan.json |\n| --- | --- | --- |\n"
        path.write_text(text[:start] + head + "\n".join(rows) + "\n" + text[end:], "utf-8")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
