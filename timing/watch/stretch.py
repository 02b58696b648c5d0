"""Which frames of the episode are wanted: all, some clips', from one moment to another."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from timing.model import Clip, Plan
from timing.model.clock import Seconds
from timing.model.cut import without_number
from timing.plain.errors import SettingsError
from timing.plain.nearest import nearest

Stretch = tuple[int, int]  # frames of the episode from 0, end excluded


def stretches(
    plan: Plan, clips: Sequence[str] = (), begin: Seconds | None = None, end: Seconds | None = None
) -> tuple[Stretch, ...]:
    """Return the wanted stretches in the episode's order, none overlapping; raises SettingsError for an empty choice.

    A line that was split may be named without its part: C05 is C05.1 and C05.2.
    """
    first = 0 if begin is None else plan.rate.frame_at(begin)
    last = plan.frames if end is None else min(plan.frames, plan.rate.frame_at(end))
    if first >= last:
        raise SettingsError(
            f"from {_clock(begin or Fraction(0))} to {_clock(end if end is not None else plan.length)} nothing is left "
            f"to see; the episode lasts {_clock(plan.length)}"
        )
    if not clips:
        return ((first, last),)
    wanted = {name.strip().casefold() for name in clips}
    known = {name for clip in plan.clips for name in clip_names(clip)}
    for name in clips:
        if name.strip().casefold() not in known:
            raise SettingsError(f'there is no clip "{name}" in this episode{_near(name, plan)}')
    found: list[Stretch] = []
    for clip in sorted(plan.clips, key=lambda c: (c.start_frame, c.end_frame)):
        start, stop = max(first, clip.start_frame), min(last, clip.end_frame)
        if not wanted & clip_names(clip) or start >= stop:
            continue
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], stop))
        else:
            found.append((start, stop))
    if not found:
        raise SettingsError(f"{', '.join(clips)}: not seen between {_clock(begin or Fraction(0))} and the end chosen")
    return tuple(found)


def clip_names(clip: Clip) -> set[str]:
    """Return what a clip may be called: "C05.1", "C05", "C5.1", "C5", in small letters."""
    whole = without_number(clip.id).casefold()
    names = {clip.id.casefold(), whole, whole.split(".")[0]}
    return names | {re.sub(r"^c0+(?=\d)", "c", name) for name in names}


def moment(text: str) -> Seconds:
    """Return a moment as people write it; raises ValueError with one sentence.

    >>> moment("1:05.5"), moment("12,5")
    (Fraction(131, 2), Fraction(25, 2))
    """
    match = re.fullmatch(r"(?:(\d{1,6}):)?(\d{1,9}(?:[.,]\d{1,9})?)(?: ?s)?", text.strip())
    if not match or (match[1] and Fraction(match[2].replace(",", ".")) >= 60):
        raise ValueError(f'"{text}" is no moment; write seconds, 65.5, or minutes and seconds, 1:05.5')
    return 60 * int(match[1] or 0) + Fraction(match[2].replace(",", "."))


def _clock(moment: Seconds) -> str:
    minutes, rest = divmod(moment, 60)
    return f"{int(minutes)}:{float(rest):04.1f}"


def _near(name: str, plan: Plan) -> str:
    ids = [c.id for c in plan.clips]
    near = nearest(name, ids)
    if near:
        return f'; did you mean "{near[0]}"?'
    return f"; there are: {', '.join(ids[:8])}{' …' * (len(ids) > 8)}" if ids else ""
