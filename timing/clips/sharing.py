"""Which short neighbours are asked for as one clip: those for which that is cheaper.

In: the lines in order, the settings, what came back already. Out: groups of lines, one clip (or a split line) each.
Lines may share where one speaker speaks or sings them in one scene (sung ones in one song) with one profile and all of
them, with the silence between, fit one generation. The cheapest grouping of each run is found by dynamic programming;
where it costs the same apart they stay apart, for in one clip all lines have to be good in the same take.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from timing.clips.split import Part, with_lead
from timing.model import LineKind, PlanLine
from timing.model.clock import Seconds
from timing.model.settings import EpisodeSettings

MOST_LINES = 12  # in one generation

Cost = tuple[Fraction, Fraction, int]  # money, seconds asked for (of an unlimited profile generations), lines together


def planning_stretch(line: PlanLine, settings: EpisodeSettings) -> Fraction:
    """Return what lengths are multiplied by for fitting: the high end of the range over the likely length."""
    if settings.fit_by != "high" or line.length <= 0:
        return Fraction(1)
    return max(Fraction(1), line.high / line.length)


def planned_span(group: Sequence[PlanLine], settings: EpisodeSettings) -> Seconds:
    """Return how long neighbours last together, with the silence between them, each at its planned length."""
    span = group[-1].end - group[0].start
    return span + sum((n.length * (planning_stretch(n, settings) - 1) for n in group), Fraction(0))


def shared_lines(
    lines: Sequence[PlanLine],
    settings: EpisodeSettings,
    kept: Mapping[str, tuple[Part, ...]],
    together: Mapping[str, int],
) -> Iterator[Sequence[PlanLine]]:
    """Yield the lines in groups of one clip each, or one line each.

    ``kept`` has lines that came back by themselves, ``together`` how many lines came back in one clip, by the first.
    """
    if not settings.share_short_lines:
        yield from ([line] for line in lines)
        return
    at = 0
    while at < len(lines):
        count = min(together.get(lines[at].id, 1), len(lines) - at)
        if count > 1:
            yield lines[at : at + count]
        else:
            count = _run(lines, at, settings, kept, together)
            yield from cheapest_groups(lines[at : at + count], settings)
        at += count


def _run(
    lines: Sequence[PlanLine],
    at: int,
    settings: EpisodeSettings,
    kept: Mapping[str, tuple[Part, ...]],
    together: Mapping[str, int],
) -> int:
    """Return how many lines from ``at`` on may share with their neighbours."""
    end = at + 1
    while end < len(lines) and may_share(lines[end - 1], lines[end], settings):
        if lines[end].id in together or lines[end].id in kept or lines[end - 1].id in kept:
            break
        end += 1
    return end - at


def may_share(a: PlanLine, b: PlanLine, settings: EpisodeSettings) -> bool:
    """True for neighbours that one generation could hold, were it long enough."""
    return (
        a.kind is b.kind
        and a.kind is not LineKind.PICTURE
        and (a.speaker, a.scene, a.song, a.still) == (b.speaker, b.scene, b.song, b.still)
        and a.is_off_camera == b.is_off_camera
        and not (a.is_dual or b.is_dual)
        and settings.profile_of(a) == settings.profile_of(b)
    )


def cheapest_groups(run: Sequence[PlanLine], settings: EpisodeSettings) -> list[Sequence[PlanLine]]:
    """Return a run of lines that may share in the groups that cost least."""
    best: list[tuple[Cost, int]] = [
        ((Fraction(0), Fraction(0), 0), 0)
    ]  # what the first n lines cost, where the last group begins
    for end in range(1, len(run) + 1):
        choices = []
        for begin in range(end - 1, max(-1, end - 1 - MOST_LINES), -1):
            cost = _cost(run[begin:end], settings)
            if cost is None:
                break  # with still more lines it fits even less
            before = best[begin][0]
            choices.append(((before[0] + cost[0], before[1] + cost[1], before[2] + cost[2]), begin))
        best.append(min(choices, key=lambda choice: (choice[0], -choice[1])))
    groups: list[Sequence[PlanLine]] = []
    end = len(run)
    while end:
        begin = best[end][1]
        groups.append(run[begin:end])
        end = begin
    return groups[::-1]


def _cost(group: Sequence[PlanLine], settings: EpisodeSettings) -> Cost | None:
    """Return what one generation of a group costs, None for several lines that none holds."""
    profile = with_lead(settings.profile_of(group[0]), group[0].lead)
    ask = profile.ask_for(profile.head + planned_span(group, settings) + profile.tail)
    if ask is None:
        # A line by itself that is too long is split, which nothing here can change.
        return None if len(group) > 1 else (Fraction(0), Fraction(0), 0)
    length = Fraction(1) if profile.unlimited else ask
    return profile.price(ask) or Fraction(0), length, 0 if len(group) == 1 else len(group)
