"""Every file the tool writes besides sheets.pdf and plan.json: one row each. A new export is one row here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from timing.model import Plan


@dataclass(frozen=True)
class Export:
    """``module``:``function`` takes (plan, folder) and returns {file name relative to out/: content}.

    ``folder`` is the episode's folder (or the script's), where recordings and songs are found.
    """

    name: str
    module: str
    function: str

    def files(self, plan: Plan, folder: Path) -> Mapping[str, bytes]:
        """Return the files of this export; empty where the plan has nothing for it."""
        write: Callable[[Plan, Path], Mapping[str, bytes]] = getattr(import_module(self.module), self.function)
        return write(plan, folder)


EXPORTS = (
    Export("clip table", "timing.export.table", "clips_csv"),
    Export("songs as MIDI", "timing.export.midi", "song_files"),
    Export("line table", "timing.export.table", "lines_csv"),
    Export("SubRip captions", "timing.export.captions", "captions_srt"),
    Export("WebVTT captions", "timing.export.captions", "captions_vtt"),
    Export("timeline", "timing.export.timeline", "episode_otio"),
    Export("edit decision list", "timing.export.editing", "episode_edl"),
    Export("the real cut", "timing.export.cut_table", "cut_csv"),
    Export("markers", "timing.export.editing", "markers_csv"),
    Export("requests", "timing.export.requests", "clip_requests"),
    Export("first pictures", "timing.clips.queue", "pictures_csv"),
    Export("queue", "timing.clips.queue", "queue_csv"),
    Export("stills at seams", "timing.watch.stills", "seam_stills"),
    Export("budget", "timing.clips.budget_text", "budget_text"),
    Export("guide track", "timing.episode.guide_sound", "guide_files"),
    Export("label files", "timing.episode.labels_out", "label_files"),
)
