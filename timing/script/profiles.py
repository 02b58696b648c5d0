"""``[[with NAME]]`` held against the profiles of episode.toml, and what in both has no effect.

In: the script's lines and the settings. Out: the same lines with the profiles' own names; findings. A name that is no
profile is an error: a clip would be asked for from the wrong generator.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from timing.model import Finding, LineKind, Script, ScriptLine, Where
from timing.model.findings import FindingCode
from timing.model.settings import DEFAULT_PROFILE, ClipProfile, EpisodeSettings, Line
from timing.plain.errors import ScriptError
from timing.plain.nearest import VERY_CLOSE, meant, nearest


def with_profiles(lines: Sequence[ScriptLine], settings: EpisodeSettings) -> tuple[ScriptLine, ...]:
    """Return the lines with each noted profile by its own name; several words that name none were a remark.

    Raises ScriptError for one word that is no profile, and for several that nearly are one.
    """
    return tuple(replace(line, profile=_named(line, settings)) if line.profile else line for line in lines)


def remarked(script: Script, settings: EpisodeSettings) -> tuple[Finding, ...]:
    """Return a finding for each remark of a word or two that names a profile or a first picture of the script.

    "[[using effects]]" and "[[effects]]" where there is a profile effects were meant to be "[[with effects]]".
    """
    profiles = {name.casefold(): f"with {name}" for name in settings.profiles if name != DEFAULT_PROFILE}
    stills = {line.still.casefold(): f"picture {line.still}" for line in script.lines if line.still}
    known = {**stills, **profiles}
    findings = []
    for remark in script.remarks:
        words = remark.text.split()
        name = words[-1].casefold().strip("\"'“”.,:")
        near = nearest(name, known, like=VERY_CLOSE) if len(words) < 3 else []
        if near:
            message = f"[[{remark.text}]] was not understood: did you mean [[{known[near[0].casefold()]}]]?"
            facts = {"note": remark.text}
            findings.append(Finding(FindingCode.NOTE_NOT_UNDERSTOOD, message, facts, remark.where))
    return tuple(findings)


def _named(line: ScriptLine, settings: EpisodeSettings) -> str | None:
    name = line.profile or ""
    known = {profile.casefold(): profile for profile in settings.profiles}
    if name.casefold() in known:
        return known[name.casefold()]
    own = [profile for profile in settings.profiles if profile != DEFAULT_PROFILE]
    if " " in name and not nearest(name, own, like=VERY_CLOSE):
        return None
    advice = meant(name, own, f"there are: {', '.join(sorted(own))}" if own else f"name one: [profile.{name}]")
    said = "neither episode.toml nor series.toml has a" if settings.shared else "episode.toml has no"
    message = f'[[with {name}]]: {said} clip profile "{name}"; {advice}'
    raise ScriptError(message, line.where.path, line.where.line_number)


def profile_findings(lines: Sequence[Line], settings: EpisodeSettings, where: Where) -> tuple[Finding, ...]:
    """Return what about profiles has no effect, and which clips fell to the tool's own menu; ``where``: episode.toml.

    ``lines`` are those that have clips.
    """
    findings = []

    def found(code: FindingCode, message: str, name: str) -> None:
        findings.append(Finding(code, message, {"name": name}, where))

    used = {settings.profile_of(line).name for line in lines}
    for key, name, kind, what in (
        ("picture_profile", settings.picture_profile, LineKind.PICTURE, "picture passage"),
        ("song_profile", settings.song_profile, LineKind.SUNG, "sung line"),
    ):
        if (
            name
            and key not in settings.shared
            and not any(n.kind is kind and settings.profile_by_name(n) is None for n in lines)
        ):
            found(FindingCode.PROFILE_UNUSED, f"{key}: there is no {what} without a profile of its own", key)
    own = [name for name, profile in settings.profiles.items() if profile != ClipProfile()]
    for name in own:
        if name not in used and f"profile.{name}" not in settings.shared:
            found(FindingCode.PROFILE_UNUSED, f"[profile.{name}]: no clip is made with it", name)
    assumed = [n for n in lines if own and settings.profile_of(n) == ClipProfile()]
    if assumed:
        found(FindingCode.PROFILE_ASSUMED, _assumed(assumed), DEFAULT_PROFILE)
    return tuple(findings)


def _assumed(lines: Sequence[Line]) -> str:
    kinds = {n.kind for n in lines}
    keys = [
        key
        for kind, key in (
            (LineKind.PICTURE, "picture_profile"), (LineKind.SUNG, "song_profile"), (LineKind.SPOKEN, "default_profile")
        )
        if kind in kinds
    ]  # fmt: skip
    count = f"{len(lines)} line{'s' * (len(lines) != 1)}"
    return (
        f"no profile was chosen for {count}, so any whole second from 3 to 8 was asked for, without a price; "
        f"name one: {', '.join(keys)}"
    )
