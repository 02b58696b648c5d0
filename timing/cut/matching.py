"""Which clip an event of the cut is: by its file, its reel, the clip's id, the words in the file.

In: what the list calls a source, the plan and the files that came back. Out: the clip and the file, a recording, a
song, or nothing. Files in ``clips/`` whose names say nothing are known by their words already: the verdict on each says
whose they are.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from timing.cut.listed import Listed
from timing.delivery.matching import clip_in_name
from timing.delivery.verdict import Check
from timing.model import Plan, Voice

REEL_CHARACTERS = 8  # what CMX 3600 leaves of a reel's name


@dataclass(frozen=True, slots=True)
class Known:
    """What a source is: ``clip`` and the ``file`` that came back for it, or a recording, or a song.

    ``voice``: the source is that file's sound in another voice.
    """

    clip: str | None = None
    file: str | None = None
    recording: str | None = None
    song: str | None = None
    voice: Voice | None = None


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
            self._files[_base(check.file)] = check
        for form in (_stem, _plain, lambda name: _plain(_stem(name))):
            for check in sorted(self.checks, key=lambda c: not c.is_best):
                self._files.setdefault(form(_base(check.file)), check)
        spoken = [back for back in self.plan.deliveries if back.voice is not None]
        self._voices = {
            form: back
            for back in spoken
            if back.voice
            for form in (_base(back.voice.file), _plain(_base(back.voice.file)))
        }
        self._reels = {_reel(clip_id): clip_id for clip_id in self._ids}
        self._recordings = {_base(line.take): line.take for line in self.plan.lines if line.take}
        self._songs: Mapping[str, str] = {
            name.casefold(): song.id
            for song in self.plan.songs
            for name in (song.id, f"song {song.id}", _base(song.file or song.id))
        }

    def of(self, event: Listed) -> Known:
        """Return what an event shows or lets hear; nothing of it is set for what nobody knows."""
        names = [form for name in event.names for form in dict.fromkeys((_base(name), _small(name)))]
        for name in names:
            if other := self._voices.get(name) or self._voices.get(_plain(name)):
                return Known(other.clip, other.file, voice=other.voice)
            check = self._files.get(name) or self._files.get(_plain(name))
            if check is not None and check.clip in self._ids:
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


def _small(name: str) -> str:
    """Return a name in small letters, accents composed: some systems write them apart."""
    return unicodedata.normalize("NFC", name).casefold().strip()


def _base(name: str) -> str:
    """Return the last part of a path, small."""
    return _small(name.replace("\\", "/").rstrip("/").rpartition("/")[2])


def _stem(name: str) -> str:
    return PurePosixPath(name).stem


def _plain(name: str) -> str:
    """Return a name as a list in plain ASCII leaves it recognisable: no accents, any other sign as an underscore.

    >>> _plain("c01 – “prise” é.mp4") == _plain('c01 - "prise" e.mp4')
    True
    """
    apart = unicodedata.normalize("NFKD", name)
    return "".join(c if c.isalnum() else "_" for c in apart if not unicodedata.combining(c))


def _reel(name: str) -> str:
    return re.sub(r"[^a-z0-9]", "_", name.casefold())[:REEL_CHARACTERS]
