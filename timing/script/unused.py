"""Settings that name what the script does not have: each is a finding, for the plan is whole without them.

In: the settings, and what the script turned out to hold. Out: findings that point at episode.toml.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from timing.model import Finding, ScriptLine, Where
from timing.model.findings import FindingCode
from timing.model.labels import chosen_reading
from timing.model.settings import EpisodeSettings
from timing.plain.nearest import ends_otherwise, nearest, one_slip
from timing.plain.series import SERIES_FILE
from timing.plain.stills import STILL_FOLDER, stills_below
from timing.plain.words import folded


def unused(
    settings: EpisodeSettings,
    speakers: Collection[str],
    line_ids: Collection[str],
    words: Collection[str],
    songs: Collection[str],
    folder: Path,
) -> tuple[Finding, ...]:
    """Return a finding for every setting that does nothing; what the whole series shares may be for another episode.

    ``speakers`` who speak or sing, ``line_ids`` of the plan, ``words`` as written or as said (any case), ``songs``
    by id, as the script's sung lines use them; recordings are looked for in ``folder``, nothing is opened.

    >>> from timing.model.settings import CastMember
    >>> found = unused(EpisodeSettings(cast={"TANYS": CastMember("TANYS")}), ["TANSY"], [], [], [], Path("."))
    >>> found[0].message
    '[cast.TANYS]: nobody of that name speaks in the script; did you mean TANSY?'
    """
    where = Where("episode.toml")  # not where the folder lies: the plan is the same bytes wherever that is
    findings: list[Finding] = []

    def found(code: FindingCode, message: str, name: str, known: Collection[str] = (), where: Where = where) -> None:
        near = next(iter(nearest(name, sorted(known))), None)
        advice = f"; did you mean {near}?" if near else ""
        facts = {"name": name, "near": near} if near else {"name": name}
        findings.append(Finding(code, message + advice, facts, where))

    spoken = {speaker.upper() for speaker in speakers}
    uncast = spoken - {name.upper() for name in settings.cast}
    for name in settings.cast:
        is_shared = f"cast.{name}" in settings.shared
        is_slip = any(one_slip(name.upper(), speaker) or ends_otherwise(name, speaker) for speaker in uncast)
        if name.upper() not in spoken and (is_slip or not is_shared):
            message = f"[cast.{name}]: nobody of that name speaks in the script"
            known, place = (sorted(uncast), Where(SERIES_FILE)) if is_shared else (speakers, where)
            found(FindingCode.CAST_UNUSED, message, name, known, place)
    for line_id, take in settings.takes.items():
        if line_id not in line_ids:
            found(FindingCode.TAKE_UNUSED, f"[takes] {line_id}: there is no line {line_id}", line_id)
        take = chosen_reading(take).file
        if not (folder / take).is_file():
            found(FindingCode.TAKE_MISSING, f"[takes] {line_id}: there is no file {take}", take, _beside(folder, take))
    for line_id in settings.rest:
        if line_id not in line_ids:
            found(FindingCode.REST_UNUSED, f"[rest] {line_id}: there is no line {line_id}", line_id)
    for name in settings.songs:
        if name not in songs:
            found(FindingCode.SONG_UNUSED, f"[song.{name}]: no sung line belongs to this song", name, songs)
    said = {folded(word) for word in words}
    for word, entry in settings.say.items():
        if folded(word) not in said and f"say.{word}" not in settings.shared:
            found(FindingCode.SAY_UNUSED, f'[say]: "{entry.word}" is not said in the script', entry.word, said)
    return tuple(findings)


def missing_pictures(lines: Sequence[ScriptLine], folder: Path) -> tuple[Finding, ...]:
    """Return a finding for each first picture that notes name and that is not among the stills of the folder.

    None while there are no stills at all: the page of first pictures lists what is to be drawn.
    """
    there = {path.stem.casefold(): path.stem for path in stills_below(folder)}
    if not there:
        return ()
    found: dict[str, Finding] = {}
    for line in lines:
        name = line.still
        if name is None or name.casefold() in there or name.casefold() in found:
            continue
        near = next(iter(nearest(name, sorted(there.values()))), None)
        advice = f"did you mean {near}?" if near else f"draw it and save it there as {name}.png"
        message = f"[[picture {name}]]: there is no such picture in the folder {STILL_FOLDER}; {advice}"
        facts = {"name": name, "near": near} if near else {"name": name}
        found[name.casefold()] = Finding(FindingCode.PICTURE_MISSING, message, facts, line.where)
    return tuple(found.values())


def _beside(folder: Path, take: str) -> list[str]:
    """Return the files in the folder where a recording was looked for, named as in the settings."""
    try:
        return [(Path(take).parent / path.name).as_posix() for path in (folder / take).parent.iterdir()]
    except OSError:
        return []
