"""Where a series lies: one folder above its episodes, known by its ``series.toml``."""

from __future__ import annotations

from pathlib import Path

SERIES_FILE = "series.toml"


def series_folder(folder: Path) -> Path | None:
    """Return the folder of the series that an episode folder belongs to, None where it belongs to none."""
    is_plain = folder.name not in ("", "..") and not folder.is_symlink()
    above = folder.parent if is_plain else folder.resolve().parent
    return above if (above / SERIES_FILE).exists() else None


def episodes_below(folder: Path) -> list[str]:
    """Return the names of the episode folders in the folder of a series, in order; none where it cannot be read."""
    try:
        found = [p for p in folder.iterdir() if p.is_dir()]
        return sorted(p.name for p in found if (p / "episode.toml").is_file() or any(p.glob("script.*")))
    except OSError:
        return []
