"""A plan's own edit decision list as its real cut."""

from __future__ import annotations

from pathlib import Path

from timing.export.editing import episode_edl
from timing.model import Plan


def as_its_own_cut(folder: Path, plan: Plan) -> None:
    """Write cut.edl as the plan would be cut."""
    (folder / "cut.edl").write_bytes(episode_edl(plan, folder)["episode.edl"].replace(b"\r\n", b"\n"))
