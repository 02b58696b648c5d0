"""What would cost less: fewer syllables, shorter handles, another profile, one generation for two lines.

In: a plan. Out: each kind of saving, most first. Clips that are accepted, or whose takes are all back, cannot save
anything any more. Money is in the user's own unit, seconds are generated ones, all takes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from timing.clips.plan import cut_places
from timing.clips.queue import asked_for, takes_left
from timing.clips.sharing import planned_span, planning_stretch, shared_lines
from timing.clips.split import split_picture, split_words, with_lead
from timing.model import Clip, LineKind, Plan, PlanLine, TimedWord
from timing.model.clock import Seconds
from timing.model.settings import ClipProfile

MOST_CUT = Fraction(1, 2)  # a line that loses more than half its syllables is another line
# What a shaved handle keeps: an edit that cuts there hardly ever loses a sound (our own choice).
LEAST_HANDLE_FRAMES = 2


@dataclass(frozen=True, slots=True)
class Saving:
    """Cutting ``syllables`` from a line lets its clip ask for ``to`` instead of ``ask`` seconds."""

    clip: str
    line: str
    syllables: int
    ask: Seconds
    to: Seconds
    saves: Seconds
    cost: Fraction | None


@dataclass(frozen=True, slots=True)
class Shave:
    """Handles of ``head`` and ``tail`` seconds let a clip ask for ``to`` instead of ``ask``; ``less`` is what goes."""

    clip: str
    line: str
    less: Seconds
    head: Seconds
    tail: Seconds
    ask: Seconds
    to: Seconds
    saves: Seconds
    cost: Fraction | None


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Another profile that makes such clips costs less; ``lines`` are (line, cost now, cost there)."""

    profile: str
    other: str
    lines: tuple[tuple[str, Fraction, Fraction], ...]
    minutes: Fraction | None  # how long the other one generates, where that is known

    @property
    def cost(self) -> Fraction:
        return sum((now - there for _, now, there in self.lines), Fraction(0))


@dataclass(frozen=True, slots=True)
class Together:
    """Lines that one generation of ``to`` seconds holds for less than one each (``asks``)."""

    lines: tuple[str, ...]
    asks: tuple[Seconds, ...]
    to: Seconds
    saves: Seconds
    cost: Fraction | None


@dataclass(frozen=True, slots=True)
class Repeated:
    """Clips ``others`` in which the same is sung as in ``clip``, word for word on the same frames; all their takes."""

    clip: str
    others: tuple[str, ...]
    saves: Seconds
    cost: Fraction | None


@dataclass(frozen=True)
class Savings:
    """Every saving there is, by kind."""

    syllables: tuple[Saving, ...] = ()
    handles: tuple[Shave, ...] = ()
    elsewhere: tuple[Elsewhere, ...] = ()
    together: tuple[Together, ...] = ()
    repeated: tuple[Repeated, ...] = ()


def make_savings(plan: Plan) -> Savings:
    """Return what would cost less in a plan."""
    plan = asked_for(plan)
    clips = [c for c in plan.clips if c.ask is not None and takes_left(plan, c)]
    limited = [c for c in clips if not plan.settings.profiles[c.profile].unlimited]
    cuts = [s for c in limited if (s := _fewer_syllables(plan, c))]
    shaves = [h for c in limited if (h := _shorter_handles(plan, c))]
    return Savings(
        tuple(sorted(cuts, key=lambda s: (-s.saves, s.syllables, s.clip))),
        tuple(sorted(shaves, key=lambda s: (-s.saves, s.less, s.clip))),
        tuple(_elsewhere(plan, {c.line for c in clips})),
        tuple(_together(plan, {c.line for c in clips})),
        tuple(_repeated(plan, clips)),
    )


def _repeated(plan: Plan, clips: Sequence[Clip]) -> Iterable[Repeated]:
    """Return the sung clips that ask for the same again: a chorus need be bought once where it may look the same."""
    alike: dict[tuple[object, ...], list[Clip]] = {}
    for clip in clips:
        words = tuple((w.text, plan.rate.frame_at(w.start - clip.speech_start)) for w in _words(plan, clip))
        if clip.kind is LineKind.SUNG and words:
            alike.setdefault((clip.speaker, clip.scene, clip.profile, clip.ask, words), []).append(clip)
    for first, *others in alike.values():
        if others and first.ask is not None:
            costs = [_cost(plan.settings.profiles[clip.profile], [clip.ask or Fraction(0)]) for clip in others]
            known = [cost for cost in costs if cost is not None]
            saves = sum(((clip.ask or Fraction(0)) * clip.takes for clip in others), Fraction(0))
            cost = sum(known, Fraction(0)) if len(known) == len(costs) else None
            yield Repeated(first.id, tuple(clip.id for clip in others), saves, cost)


def _words(plan: Plan, clip: Clip) -> Iterable[TimedWord]:
    return (w for line_id, first, last in plan.words_of(clip) for w in plan.line(line_id).words[first:last])


def _shorter(plan: Plan, clip: Clip) -> tuple[Seconds, Seconds, Fraction | None] | None:
    """Return the next shorter length of a clip's menu, the seconds and the money it saves; None where there is none."""
    profile = plan.settings.profiles[clip.profile]
    shorter = [n for n in profile.lengths if clip.ask is not None and n < clip.ask]
    if not shorter or clip.ask is None:
        return None
    before, after = profile.price(clip.ask), profile.price(shorter[-1])
    cost = None if before is None or after is None else (before - after) * clip.takes
    return shorter[-1], (clip.ask - shorter[-1]) * clip.takes, cost


def _speech(plan: Plan, clip: Clip) -> Seconds:
    """Return how long a clip's speech is taken to be when its length is chosen."""
    return clip.high if plan.settings.fit_by == "high" else clip.speech


def _fewer_syllables(plan: Plan, clip: Clip) -> Saving | None:
    shorter = _shorter(plan, clip)
    if clip.kind is not LineKind.SPOKEN or clip.ask is None or len(clip.lines) > 1 or shorter is None:
        return None
    to, saves, cost = shorter
    syllables = sum(len(w.syllables) for w in plan.line(clip.line).words[clip.words[0] : clip.words[1]])
    speech = _speech(plan, clip)
    too_much = speech - (to - clip.head - clip.tail)
    if not syllables or not speech or too_much <= 0:
        return None
    cut = ceil(too_much * syllables / speech)
    return None if cut > syllables * MOST_CUT else Saving(clip.id, clip.line, cut, clip.ask, to, saves, cost)


def _shorter_handles(plan: Plan, clip: Clip) -> Shave | None:
    """Return what to leave of the handles, each giving by how much it is longer than the least."""
    shorter = _shorter(plan, clip)
    if clip.kind is LineKind.PICTURE or clip.ask is None or shorter is None:
        return None
    to, saves, cost = shorter
    less = clip.head + _speech(plan, clip) + clip.tail - to
    least = LEAST_HANDLE_FRAMES / plan.rate.fps
    lead = plan.line(clip.line).lead if clip.part[0] == 1 else Fraction(0)  # a wait that is seen is no handle
    spare = [max(Fraction(0), handle - least) for handle in (clip.head - lead, clip.tail)]
    if not 0 < less <= sum(spare):
        return None
    head, tail = (h - less * s / sum(spare) for h, s in zip((clip.head, clip.tail), spare, strict=True))
    return Shave(clip.id, clip.line, less, head, tail, clip.ask, to, saves, cost)


# --- with another profile ---------------------------------------------------------------------------------


def _elsewhere(plan: Plan, open_lines: set[str]) -> Iterable[Elsewhere]:
    """Return, for each two profiles, the lines that would cost less with the other one."""
    found: dict[tuple[str, str], list[tuple[str, Fraction, Fraction]]] = {}
    minutes: dict[tuple[str, str], Fraction | None] = {}
    for line in plan.lines:
        own = [c for c in plan.clips if c.line == line.id]
        if line.id not in open_lines or any(len(c.lines) > 1 or c.ask is None for c in own):
            continue
        profile = plan.settings.profiles[own[0].profile]
        now = _cost(profile, [c.ask for c in own if c.ask is not None])
        others = [(there, other, asks) for other, asks, there in _ways(plan, line, profile.name)]
        if now is None or not others:
            continue
        there, other, asks = min(others, key=lambda way: way[0])
        if there < now:
            key = profile.name, other.name
            found.setdefault(key, []).append((line.id, now, there))
            each = other.minutes_each
            before = minutes.get(key, Fraction(0))
            minutes[key] = None if each is None or before is None else before + each * other.takes * len(asks)
    all_of_them = [Elsewhere(a, b, tuple(lines), minutes[a, b]) for (a, b), lines in found.items()]
    return sorted(all_of_them, key=lambda e: (-e.cost, e.profile, e.other))


def _ways(plan: Plan, line: PlanLine, used: str) -> Iterable[tuple[ClipProfile, list[Seconds], Fraction]]:
    """Yield (profile, lengths asked for, cost) for each other profile that makes such clips and holds the line."""
    for name in sorted(_makers(plan, line.kind) - {used}):
        profile = plan.settings.profiles[name]
        asks = _asks(plan, line, profile)
        cost = None if asks is None else _cost(profile, asks)
        if asks is not None and cost is not None:
            yield profile, asks, cost


def _makers(plan: Plan, kind: LineKind) -> set[str]:
    """Return the profiles that make clips of a kind: here, or by a setting. Who speaks sings too."""
    settings = plan.settings
    found = {c.profile for c in plan.clips if c.kind is kind}
    if kind is LineKind.PICTURE:
        return found | ({settings.picture_profile} if settings.picture_profile else set())
    found |= {member.profile for member in settings.cast.values() if member.profile}
    if kind is LineKind.SUNG:
        found |= {c.profile for c in plan.clips if c.kind is LineKind.SPOKEN}
        found |= {settings.song_profile} if settings.song_profile else set()
    return found


def _asks(plan: Plan, line: PlanLine, profile: ClipProfile) -> list[Seconds] | None:
    """Return what would be asked for with a profile, None where it does not hold the line."""
    if line.kind is LineKind.PICTURE:
        return [ask for _, ask in split_picture(line.length, profile)]
    stretch = planning_stretch(line, plan.settings)
    profile = with_lead(profile, line.lead)
    if whole := profile.ask_for(profile.head + line.length * stretch + profile.tail):
        return [whole]  # the fewest clips there can be: no need to look for cuts
    song = next((s for s in plan.songs if s.id == line.song), None)
    starts, ends = [w.start for w in line.words], [w.end for w in line.words]
    parts = split_words(starts, ends, cut_places(line, song), profile, stretch)
    asks = [part.ask for part in parts if part.ask is not None]
    return asks if len(asks) == len(parts) else None


def _cost(profile: ClipProfile, asks: Sequence[Seconds]) -> Fraction | None:
    prices = [price for ask in asks if (price := profile.price(ask)) is not None]
    return sum(prices, Fraction(0)) * profile.takes if len(prices) == len(asks) else None


# --- in one generation ------------------------------------------------------------------------------------


def _together(plan: Plan, open_lines: set[str]) -> Iterable[Together]:
    """Return the lines that would share a generation, were they allowed to."""
    settings = plan.settings
    if settings.share_short_lines:
        return []
    shown = {line_id for c in plan.clips for line_id in c.lines}
    lines = [n for n in plan.lines if n.id in shown]
    by_line = {c.line: c for c in plan.clips if c.part == (1, 1)}
    found = []
    for group in shared_lines(lines, replace(settings, share_short_lines=True), {}, {}):
        own = [by_line.get(n.id) for n in group]
        profile = with_lead(settings.profile_of(group[0]), group[0].lead)
        to = profile.ask_for(profile.head + planned_span(group, settings) + profile.tail)
        asks = tuple(c.ask for c in own if c is not None and c.ask is not None)
        if len(group) < 2 or to is None or len(asks) < len(group) or not {n.id for n in group} <= open_lines:
            continue
        before, after = _cost(profile, asks), _cost(profile, [to])
        cost = None if before is None or after is None else before - after
        found.append(Together(tuple(n.id for n in group), asks, to, (sum(asks) - to) * profile.takes, cost))
    return sorted(found, key=lambda t: (-(t.cost or 0), -t.saves))
