"""Makes the pictures of the README from the example episode: ``python examples/make_pictures.py`` (extra: png)."""

from __future__ import annotations

import tempfile
from pathlib import Path

from timing.model import Plan
from timing.pipeline import plan_source
from timing.plain.resources import resource_folder
from timing.sheet import render_sheets
from timing.sheet.pictures import page_images
from timing.watch.reel import Reel

WANTED = {"clip-table": ("clips",), "frame-sheet": ("frames",), "bar-sheet": ("bars",)}
FRAME_SHEET_OF = "C05.1"
REEL_FRAME = 341  # of the episode, from 0: in the same clip


def main() -> None:
    from dataclasses import replace

    with tempfile.TemporaryDirectory() as empty:
        plan = plan_source(resource_folder("examples") / "low-tide", Path(empty))
    folder = Path(__file__).parent / "pictures"
    folder.mkdir(exist_ok=True)
    for name, parts in WANTED.items():
        only = (FRAME_SHEET_OF,) if name == "frame-sheet" else ()
        sheet = replace(plan.settings.sheet, parts=parts, only_clips=only)
        pdf = render_sheets(replace(plan, settings=replace(plan.settings, sheet=sheet))).pdf
        images = page_images(pdf, dpi=80)
        if images:
            (folder / f"{name}.png").write_bytes(images[0])
    write_reel_frame(plan, resource_folder("examples") / "low-tide", folder / "reel.png")


def write_reel_frame(plan: Plan, episode: Path, path: Path) -> None:
    """Write one frame of the reel, in few greys: a small file."""
    Reel(plan, episode, ((0, plan.frames),)).image(REEL_FRAME).convert("L").quantize(32).save(path, optimize=True)


if __name__ == "__main__":
    main()
