"""Which file in clips/ is which clip: by the clip's id in its name, as people and programs write it.

"C04.mp4", "c04 take 2.mov", "low-tide_C05.1_v3.webm", "C05-2.wav" are C04, C04, C05.1, C05.2. A name that holds
no id of the plan is left to the words in its sound. "C04 voice.wav" is no take of C04 but its sound in another voice.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from timing.plain.names import natural_key, with_readable_names
from timing.store.store import content_of

FOLDER_NAME = "clips"
SUFFIXES = frozenset(".mp4 .m4v .mov .webm .mkv .avi .wav .flac .mp3 .m4a .aac .ogg .opus .gif".split())
_VOICE = re.compile(r"(?<![a-z])voice(?![a-z])", re.IGNORECASE)
_ID = re.compile(r"(?<![a-z0-9])(c[0-9]{1,9}[a-z]{0,2})(?:[._-]([0-9]{1,2}))?(?![a-z0-9])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ClipFile:
    """One file that came back; ``clip`` None where its name does not say."""

    path: Path
    name: str  # relative to the episode folder, with forward slashes
    clip: str | None
    is_voice: bool = False  # a clip's sound in another voice, and no take of it

    @property
    def content(self) -> str:
        """The SHA-256 of its bytes in hex; "" where they cannot be read."""
        try:
            return content_of(self.path)
        except OSError:
            return ""


def content_sum(content: str) -> str:
    """Return the short form of a file's hash that clips.toml keeps."""
    return content[:8]


def delivered_files(
    folder: Path, clip_ids: Iterable[str], voices: Mapping[str, str] | None = None, takes: Collection[str] = ()
) -> list[ClipFile]:
    """Return the takes in ``folder``/clips in the order in which people count: take 2 before take 10.

    Converted voices are left out: what is named "C04 voice" and what a person listed (``voices``: the file by clip id);
    what a person accepted (``takes``) is a take whatever it is called.
    """
    return [file for file in files_below(folder, clip_ids, voices, takes) if not file.is_voice]


def files_below(
    folder: Path, clip_ids: Iterable[str], voices: Mapping[str, str] | None = None, takes: Collection[str] = ()
) -> list[ClipFile]:
    """Return takes and converted voices, as :func:`delivered_files`."""
    ids = list(clip_ids)
    listed = {_full(name): clip_id for clip_id, name in (voices or {}).items()}
    accepted = {_full(name) for name in takes}
    base = folder / FOLDER_NAME
    if not base.is_dir():
        return []
    paths = sorted(
        with_readable_names(p for p in base.rglob("*") if p.suffix.lower() in SUFFIXES and not _is_hidden(p, base)),
        key=lambda p: natural_key(p.relative_to(base).as_posix()),
    )
    found = []
    for path in paths:
        if path.is_file():
            name, clip = path.relative_to(folder).as_posix(), clip_in_name(path.stem, ids)
            if name in listed:
                found.append(ClipFile(path, name, listed[name], True))
            else:
                is_voice = clip is not None and _VOICE.search(path.stem) is not None and name not in accepted
                found.append(ClipFile(path, name, clip, is_voice))
    return found


def _full(name: str) -> str:
    return name if name.startswith(f"{FOLDER_NAME}/") else f"{FOLDER_NAME}/{name}"


def by_clip(files: Sequence[ClipFile]) -> dict[str, dict[str, str]]:
    """Return the files that came back by clip id: the name and the short hash of each."""
    found: dict[str, dict[str, str]] = {}
    for file in files:
        if file.clip is not None:
            found.setdefault(file.clip, {})[file.name] = content_sum(file.content)
    return found


def clip_in_name(stem: str, clip_ids: Iterable[str]) -> str | None:
    """Return the clip id that a file's name holds, None where there is none or more than one.

    >>> clip_in_name("low-tide_c05.1_v3", ["C05.1", "C05.2"])
    'C05.1'
    >>> clip_in_name("C04-2", ["C04"])   # the second take of C04
    'C04'
    """
    known = {clip_id.upper(): clip_id for clip_id in clip_ids}
    found = {known[form] for forms in _forms(stem) if (form := next((f for f in forms if f in known), None))}
    return found.pop() if len(found) == 1 else None


def ids_in_name(stem: str) -> list[str]:
    """Return what looks like clip ids in a file's name, as ids are written, whether there are such clips or not.

    >>> ids_in_name("low-tide c9 and C12A"), ids_in_name("voice")
    (['C09', 'C12A'], [])
    """
    return list(dict.fromkeys(forms[-1] for forms in _forms(stem)))


def _forms(stem: str) -> list[list[str]]:
    """Return for each id in a name the ids it may stand for, the likeliest first: "c4-2" C4.2, C4, C04.2, C04."""
    found = []
    for base, part in _ID.findall(stem):
        digits = re.sub(r"[^0-9]", "", base)
        padded = f"C{int(digits):02d}{base[1 + len(digits) :]}"
        forms = []
        for form in (base.upper(), padded.upper()):  # "C4" is C04
            forms += [f"{form}.{int(part)}", form] if part else [form]
        found.append(forms)
    return found


def _is_hidden(path: Path, base: Path) -> bool:
    return any(part.startswith(".") for part in path.relative_to(base).parts)
