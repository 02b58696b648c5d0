"""The stills that clips start from, as people put them into the folder ``pictures`` of an episode."""

from __future__ import annotations

from pathlib import Path

STILL_FOLDER = "pictures"
STILL_SUFFIXES = (".png", ".jpg", ".jpeg", ".webp", ".tif", ".tiff", ".bmp")


def stills_below(folder: Path) -> list[Path]:
    """Return the pictures in an episode folder's ``pictures``, sorted; empty where there are none."""
    try:
        return sorted(
            p for p in (folder / STILL_FOLDER).iterdir() if p.suffix.lower() in STILL_SUFFIXES and p.is_file()
        )
    except OSError:
        return []
