"""Which clip an event of the cut is: by its file, its reel, the clip's id, the words in the file.

In: what the list calls a source, the plan and the files that came back. Out: the clip and the file, a recording, a
song, or nothing. Files in ``clips/`` whose names say nothing are known by their words already: the verdict on each says
whose they are.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from timing.cut.listed import Listed
from timing.delivery.matching import clip_in_name
from timing.delivery.verdict import Check
from timing.model import Plan

REEL_CHARACTERS = 8  # what CMX 3600 leaves of a reel's name


@dataclass(frozen=True, slots=True)
class Known:
    """What a source is: ``clip`` and the ``file`` that came back for it, or a recording, or a song."""

    clip: str | None = None
    file: str | None = None
    recording: str | None = None
    song: str | None = None


@dataclass
class Sources:
    """Everything that an episode's cut may be made of."""

    plan: Plan
    checks: Sequence[Check]
    _ids: list[str] = field(default_factory=list)
    _files: dict[str, Check] = field(default_factory=dict)
    _reels: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._ids = [clip.id for clip in self.plan.clips]
        for check in sorted(self.checks, key=lambda c: c.is_best):  # of two files with one name the best one counts
            path = PurePosixPath(check.file)
            self._files[path.name.casefold()] = check
        for check in sorted(self.checks, key=lambda c: c.is_best):
            self._files.setdefault(PurePosixPath(check.file).stem.casefold(), check)
        self._reels = {_reel(clip_id): clip_id for clip_id in self._ids}
        self._recordings = {_base(line.take): line.take for line in self.plan.lines if line.take}
        self._songs: Mapping[str, str] = {
            name.casefold(): song.id
            for song in self.plan.songs
            for name in (song.id, f"song {song.id}", _base(song.file or song.id))
        }

    def of(self, event: Listed) -> Known:
        """Return what an event shows or lets hear; nothing of it is set for what nobody knows."""
        names = [form for name in event.names for form in dict.fromkeys((_base(name), name.casefold().strip()))]
        for name in names:
            if (check := self._files.get(name)) and check.clip in self._ids:
                return Known(check.clip, check.file)
        for name in names:
            if name in self._songs:
                return Known(song=self._songs[name])
            if name in self._recordings and not event.is_seen:
                return Known(recording=self._recordings[name])
        clip = next((self._reels[_reel(name)] for name in names if _reel(name) in self._reels), None)
        clip = clip or next((c for name in names if (c := clip_in_name(name, self._ids))), None)
        if clip is None and event.clip_id in self._ids:
            clip = event.clip_id
        back = self.plan.delivered(clip) if clip else None
        return Known(clip, back.file if back else None)


def _base(name: str) -> str:
    """Return the last part of a path, small."""
    return name.replace("\\", "/").rstrip("/").rpartition("/")[2].casefold().strip()


def _reel(name: str) -> str:
    return re.sub(r"[^a-z0-9]", "_", name.casefold())[:REEL_CHARACTERS]
