"""Settings that name what the script does not have: each is a finding, for the plan is whole without them.

In: the settings, and what the script turned out to hold. Out: findings that point at episode.toml.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from difflib import get_close_matches
from pathlib import Path

from timing.model import Finding, Where
from timing.model.findings import FindingCode
from timing.model.settings import EpisodeSettings


def unused(
    settings: EpisodeSettings,
    speakers: Collection[str],
    line_ids: Collection[str],
    words: Collection[str],
    songs: Collection[str],
    folder: Path,
) -> tuple[Finding, ...]:
    """Return a finding for every setting that does nothing.

    ``speakers`` who speak or sing, ``line_ids`` of the plan, ``words`` as written or as said (any case), ``songs``
    by id, as the script's sung lines use them; recordings are looked for in ``folder``, nothing is opened.

    >>> from timing.model.settings import CastMember
    >>> found = unused(EpisodeSettings(cast={"TANYS": CastMember("TANYS")}), ["TANSY"], [], [], [], Path("."))
    >>> found[0].message
    '[cast.TANYS]: nobody of that name speaks in the script; did you mean TANSY?'
    """
    where = Where(str(folder / "episode.toml"))
    findings: list[Finding] = []

    def found(code: FindingCode, message: str, name: str, known: Collection[str] = ()) -> None:
        near = _near(name, known)
        advice = f"; did you mean {near}?" if near else ""
        facts = {"name": name, "near": near} if near else {"name": name}
        findings.append(Finding(code, message + advice, facts, where))

    spoken = {speaker.upper() for speaker in speakers}
    for name in settings.cast:
        if name.upper() not in spoken:
            found(FindingCode.CAST_UNUSED, f"[cast.{name}]: nobody of that name speaks in the script", name, speakers)
    for line_id, take in settings.takes.items():
        if line_id not in line_ids:
            found(FindingCode.TAKE_UNUSED, f"[takes] {line_id}: there is no line {line_id}", line_id)
        take = re.sub(r"@\d+(\.\d+)?$", "", take)  # a reading in the file, by its second
        if not (folder / take).is_file():
            found(FindingCode.TAKE_MISSING, f"[takes] {line_id}: there is no file {take}", take, _beside(folder, take))
    for name in settings.songs:
        if name not in songs:
            found(FindingCode.SONG_UNUSED, f"[song.{name}]: no sung line belongs to this song", name, songs)
    said = {_bare(word) for word in words}
    for word, entry in settings.say.items():
        if _bare(word) not in said:
            found(FindingCode.SAY_UNUSED, f'[say]: "{entry.word}" is not said in the script', entry.word, said)
    return tuple(findings)


def _near(name: str, known: Collection[str]) -> str | None:
    folded = {one.casefold(): one for one in sorted(known)}
    return next((folded[near] for near in get_close_matches(name.casefold(), folded, 1, 0.7)), None)


def _bare(word: str) -> str:
    """Return a word as two spellings of it agree: small letters, straight quotes, no marks around it."""
    return word.casefold().replace("\u2019", "'").strip(" .,;:!?\u2026\"'\u201c\u201d()-\u2013\u2014")


def _beside(folder: Path, take: str) -> list[str]:
    """Return the files in the folder where a recording was looked for, named as in the settings."""
    try:
        return [(Path(take).parent / path.name).as_posix() for path in (folder / take).parent.iterdir()]
    except OSError:
        return []
