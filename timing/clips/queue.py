"""In which order to generate, and the first pictures that clips start from.

In: a plan. Out: :class:`FirstPicture` and :class:`Queued` rows, and ``pictures.csv`` and ``queue.csv`` made of them.
A first picture is the one that a note names (``[[picture bay-wide]]``), else there is one for each scene and speaker,
one for each scene and singers of a song, and one for each passage. A later part of a split line has none: it starts
from the frame in which the part before it is left in the cut.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from hashlib import sha256
from pathlib import Path

from timing.model import Clip, LineKind, Origin, Plan
from timing.model.clock import Seconds
from timing.plain.csv_text import csv_bytes
from timing.plain.figures import at_most

LONGEST_ID = 40  # letters of a first picture's own id
ACCEPTED, ASKED_AGAIN = "accepted", "asked"  # states of clips.toml: done; what is back was for other words


@dataclass(frozen=True, slots=True)
class FirstPicture:
    """One still: who and where, how the mouth is at the first frame ("" where nobody is seen to speak).

    ``clips`` start from it, ``longest`` is the longest of them: so long the still must hold. ``id`` is the note's name,
    else who and where ("tansy-rock-at-low-tide"), for a passage "P" and its line: what a still is called hangs on no
    other line, so that one put in before it renames nothing.
    """

    id: str
    who: str
    scene: str | None
    mouth: str
    clips: tuple[str, ...]
    longest: Seconds
    text: str


@dataclass(frozen=True, slots=True)
class Queued:
    """So many ``takes`` of a clip, in their place; ``waits_for`` is what has to be seen or accepted before."""

    clip: str
    profile: str
    takes: int
    ask: Seconds
    picture: str
    waits_for: str
    is_estimated: bool


def first_pictures(plan: Plan) -> tuple[FirstPicture, ...]:
    """Return the first pictures in the order of the clips that need them."""
    groups: dict[tuple[object, ...], list[Clip]] = {}
    for clip in plan.clips:
        if clip.part[0] == 1:
            groups.setdefault(_start(plan, clip), []).append(clip)
    names = _names(plan, [clips[0] for clips in groups.values()])
    found = []
    for name, (key, clips) in zip(names, groups.items(), strict=True):
        first = clips[0]
        speakers = [c.speaker for c in clips if c.speaker and not plan.line(c.line).is_off_camera]
        found.append(
            FirstPicture(
                id=name,
                who=", ".join(dict.fromkeys(speakers)),
                scene=first.scene,
                mouth=_mouth([c for c in clips if not plan.line(c.line).is_off_camera]),
                clips=tuple(c.id for c in clips),
                longest=max((c.ask or c.need for c in clips), default=Fraction(0)),
                text=first.text if key[0] == "passage" else "",
            )
        )
    return tuple(found)


def _names(plan: Plan, firsts: Sequence[Clip]) -> list[str]:
    """Return an id for each first picture, none twice; ``firsts`` are the first clips that start from them."""
    noted = {still.casefold() for clip in firsts if (still := plan.line(clip.line).still)}
    found: list[str] = []
    for clip in firsts:
        still = plan.line(clip.line).still
        name = whole = still or _name(clip)
        number = 2
        while name.casefold() in {one.casefold() for one in found} | (set() if still else noted):
            name, number = f"{whole}-{number}", number + 1  # headings that differ in signs only, or a note's very name
        found.append(name)
    return found


def _name(clip: Clip) -> str:
    """Return what a first picture is called that no note names."""
    if not clip.speaker and clip.kind is LineKind.PICTURE:
        return f"P{clip.id.split('.')[0][1:]}"
    who = [clip.speaker or "nobody", "sings"] if clip.kind is LineKind.SUNG else [clip.speaker or "nobody"]
    scene = re.sub(r"(?i)^\s*(int|ext|est|i/e)\b[./]*\s*", "", clip.scene or "")
    name = "-".join(re.findall(r"[^\W_]+", " ".join([*who, scene]).casefold()))
    if len(name) <= LONGEST_ID:
        return name
    # The rest of a long heading is told apart by a sum of it, not by a number: that would hang on other lines.
    return (
        f"{name[: LONGEST_ID - 4].rpartition('-')[0] or name[: LONGEST_ID - 5]}-{sha256(name.encode()).hexdigest()[:4]}"
    )


def _start(plan: Plan, clip: Clip) -> tuple[object, ...]:
    """Return what clips that share a first picture have in common."""
    line = plan.line(clip.line)
    if line.still:
        return ("note", line.still.casefold())
    if line.is_off_camera:
        return ("passage", clip.id)
    if clip.kind is LineKind.SUNG:
        return ("song", clip.scene, clip.speaker)
    return ("speaker", clip.scene, clip.speaker) if clip.speaker else ("passage", clip.id)


def _mouth(clips: Sequence[Clip]) -> str:
    """Return how the mouth is at the first frame: a clip with a head begins before its first sound."""
    heard = [c for c in clips if c.speaker]
    if not heard:
        return ""
    at_once = [c.id for c in heard if c.kind is not LineKind.PICTURE and c.head <= 0]
    if not at_once:
        return "closed"
    return "open" if len(at_once) == len(heard) else f"closed; open for {' '.join(at_once)}"


def queue(plan: Plan) -> tuple[Queued, ...]:
    """Return what is still to be generated, in order.

    Profiles without a limit come first, then the others as they stand in episode.toml. Within a profile: lines whose
    length is known before estimated ones; one take of each first picture before anything else that starts from it;
    long clips before short ones; a later part of a split line after the earlier one. Accepted clips and those whose
    takes are all back are left out, and so is what no length on the menu holds.
    """
    plan = asked_for(plan)
    settings = plan.settings
    by_limit = sorted(settings.profiles.values(), key=lambda p: not p.unlimited)
    rank = {profile.name: n for n, profile in enumerate(by_limit)}
    picture_of = {clip: picture.id for picture in first_pictures(plan) for clip in picture.clips}
    place = {clip.id: n for n, clip in enumerate(plan.clips)}
    trials = _trials(plan, picture_of)
    rows = []
    for clip in plan.clips:
        left = takes_left(plan, clip)
        if not left or clip.ask is None:
            continue
        picture = picture_of.get(clip.id, "")
        trial = trials.get((clip.profile, picture))
        is_estimated = plan.line(clip.line).origin is Origin.ESTIMATED
        counts = [(0, 1), (1, left - 1)] if trial == clip.id else [(1, left)]
        for phase, takes in counts:
            if takes:
                waits = _waits(plan, clip, trial if phase else "")
                row = Queued(clip.id, clip.profile, takes, clip.ask, picture, waits, is_estimated)
                order = (rank[clip.profile], is_estimated, phase, clip.part[0], -clip.ask, place[clip.id])
                rows.append((order, row))
    return tuple(row for _, row in sorted(rows, key=lambda pair: pair[0]))


def asked_for(plan: Plan) -> Plan:
    """Return the plan that is asked for, with what is known to be back."""
    return replace(plan.requested, deliveries=plan.deliveries) if plan.requested else plan


def takes_left(plan: Plan, clip: Clip) -> int:
    """Return how many takes of a clip are still to be generated: none of an accepted one."""
    back = plan.delivered(clip.id)
    if back is None or back.state == ASKED_AGAIN:
        return clip.takes
    return 0 if back.state == ACCEPTED else max(0, clip.takes - back.takes)


def _trials(plan: Plan, picture_of: dict[str, str]) -> dict[tuple[str, str], str]:
    """Return the clip that tries a first picture, by profile and picture; none where something of it is back.

    One whose length is known rather than an estimated one, of these the longest.
    """
    found: dict[tuple[str, str], list[Clip]] = {}
    for clip in plan.clips:
        if clip.id in picture_of:
            found.setdefault((clip.profile, picture_of[clip.id]), []).append(clip)
    trials = {}
    for key, clips in found.items():
        if any(takes_left(plan, c) < c.takes for c in clips):
            continue
        known = [c for c in clips if c.ask is not None]
        known.sort(key=lambda c: (plan.line(c.line).origin is Origin.ESTIMATED, -(c.ask or 0)))
        if known:
            trials[key] = known[0].id
    return trials


def _waits(plan: Plan, clip: Clip, trial: str | None) -> str:
    """Return what has to be seen or accepted before, in words; ``trial`` is the clip that tries its first picture."""
    if clip.follows is not None:
        back = plan.delivered(clip.follows)
        return "" if back and back.state == ACCEPTED else f"{clip.follows} accepted"
    if trial == clip.id:
        return "its first take"
    return f"one take of {trial}" if trial else ""


# --- the files -------------------------------------------------------------------------------------------


def pictures_csv(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"pictures.csv": bytes}: one row for each first picture."""
    heads = ("picture", "who", "scene", "mouth", "clips", "longest_s", "text")
    rows = [
        (p.id, p.who, p.scene or "", p.mouth, " ".join(p.clips), at_most(p.longest, 2), p.text)
        for p in first_pictures(asked_for(plan))
    ]
    return {"pictures.csv": csv_bytes(heads, rows, plan.settings.csv)}


def queue_csv(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"queue.csv": bytes}: one row for each thing to generate, in order; ``minutes`` where they are known."""
    heads = ("order", "profile", "clip", "takes", "ask_s", "picture", "waits_for", "estimated", "minutes")
    rows = []
    for n, row in enumerate(queue(plan), 1):
        minutes = plan.settings.profiles[row.profile].minutes_each
        rows.append(
            (
                n, row.profile, row.clip, row.takes, at_most(row.ask, 2), row.picture, row.waits_for,
                "yes" if row.is_estimated else "", "" if minutes is None else at_most(minutes * row.takes, 1),
            )
        )  # fmt: skip
    return {"queue.csv": csv_bytes(heads, rows, plan.settings.csv)}
