"""Where to cut a line into clips: an exact optimum by dynamic programming.

In: the start and end of every word, how good the place after each word is for a cut, and a clip profile.
Out: word ranges. Every part, with its handles, fits a length on the profile's menu. Order of wishes:
parts that fit nothing are as few as possible (a single unit too long for the menu cannot be helped), then the
fewest clips, then the least seconds asked for, then the best cut places, then the most even parts.
A cut never falls where ``Break.NEVER`` stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from timing.model import Break
from timing.model.clock import Seconds
from timing.model.settings import ClipProfile

# Our own weights: one cut between words is worse than two at commas; order as the caption guides give it
# (sentence, clause, phrase; BBC Subtitle Guidelines, DCMP Captioning Key).
CUT_PENALTY = {Break.SENTENCE: 0, Break.CLAUSE: 2, Break.PHRASE: 3, Break.WORD: 5}


@dataclass(frozen=True, slots=True)
class Part:
    """Words ``first`` to ``last`` (exclusive) as one clip; ``ask`` is None when nothing on the menu holds it."""

    first: int
    last: int
    ask: Seconds | None


Cost = tuple[int, int, Seconds, int, Seconds]  # unfit, clips, asked, cut penalty, unevenness


def split_words(
    starts: Sequence[Seconds],
    ends: Sequence[Seconds],
    breaks: Sequence[Break],
    profile: ClipProfile,
    stretch: Fraction = Fraction(1),
    lead: Seconds = Fraction(0),
) -> tuple[Part, ...]:
    """Return the best parts of a line.

    ``breaks[i]`` stands after word i (the last one is not looked at). ``stretch`` scales lengths for fitting: 1.2
    asks for lengths that hold the speech even if it turns out 20 % longer. ``lead`` is as in :func:`handles`.
    """
    count = len(starts)
    best: list[tuple[Cost, Part | None]] = [((0, 0, Fraction(0), 0, Fraction(0)), None)]
    for last in range(1, count + 1):
        choice: tuple[Cost, Part | None] | None = None
        cut_allowed_since = False  # has a cut place been passed between first and last?
        for first in range(last - 1, -1, -1):
            length = (ends[last - 1] - starts[first]) * stretch
            head, tail = handles(starts, ends, first, last, profile, lead)
            ask = profile.ask_for(head + length + tail)
            if ask is None and cut_allowed_since:
                break  # longer ones fit even less, and this one could be cut
            if first and breaks[first - 1] == Break.NEVER:
                continue
            cost = _added(best[first][0], length, ask, breaks[first - 1] if first else None)
            if choice is None or cost < choice[0]:
                choice = (cost, Part(first, last, ask))
            cut_allowed_since = True
        if choice is None:  # no cut is possible before this word: it belongs to what follows
            choice = ((count + 1, 0, Fraction(0), 0, Fraction(0)), None)
        best.append(choice)
    return _traced(best)


def with_lead(profile: ClipProfile, lead: Seconds) -> ClipProfile:
    """Return the profile as it is for a line that a silence leads, which is seen: a longer head, where one can be had.

    >>> from timing.model.settings import ClipProfile
    >>> [with_lead(ClipProfile(), Fraction(n)).head for n in (2, 9)]
    [Fraction(9, 4), Fraction(1, 4)]
    """
    head = profile.head + lead
    return replace(profile, head=head) if lead and head + profile.tail < profile.longest else profile


def handles(
    starts: Sequence[Seconds], ends: Sequence[Seconds], first: int, last: int, profile: ClipProfile, lead: Seconds
) -> tuple[Seconds, Seconds]:
    """Return what the part of words ``first`` to ``last`` (exclusive) has before its first and after its last sound.

    At a seam the picture must not jump: a later part is shown from its very first frame, so it has no head but the
    ``lead`` it may begin with before its first sound, and the earlier one holds on until there. A pause that is longer
    than the profile's two handles together is not asked for.
    """
    head = profile.head if first == 0 else lead
    if last == len(starts):
        return head, profile.tail
    pause = starts[last] - ends[last - 1] - lead
    return head, min(max(profile.tail, pause), profile.head + profile.tail - lead)


def _added(cost: Cost, length: Seconds, ask: Seconds | None, cut: Break | None) -> Cost:
    penalty = 0 if cut is None else CUT_PENALTY[cut]
    # With a fixed number of parts the sum of squares is least when they are even.
    return (
        cost[0] + (ask is None),
        cost[1] + 1,
        cost[2] + (ask or Fraction(0)),
        cost[3] + penalty,
        cost[4] + length * length,
    )


def _traced(best: list[tuple[Cost, Part | None]]) -> tuple[Part, ...]:
    parts: list[Part] = []
    at = len(best) - 1
    while at:
        part = best[at][1]
        assert part is not None  # the whole line is always a possible part
        parts.append(part)
        at = part.first
    return tuple(reversed(parts))


def split_picture(length: Seconds, profile: ClipProfile) -> tuple[tuple[Seconds, Seconds], ...]:
    """Return (length, ask) of each clip of a passage without speech: fewest clips, then least asked for.

    The passage is shared out in proportion to what is asked for, so that no clip is longer than its ask.
    """
    count = -(-length // profile.longest)
    whole = max(0, count - 8)  # beyond eight clips all but the last eight take the longest length
    rest = length - whole * profile.longest
    sums: dict[Seconds, tuple[Seconds, ...]] = {Fraction(0): ()}
    for _ in range(count - whole):
        wider: dict[Seconds, tuple[Seconds, ...]] = {}
        for total, chosen in sums.items():
            for ask in profile.lengths:
                if total + ask not in wider:
                    wider[total + ask] = (*chosen, ask)
        sums = wider
    total = min(t for t in sums if t >= rest)
    asks = (profile.longest,) * whole + tuple(sorted(sums[total], reverse=True))
    asked = sum(asks, Fraction(0))
    return tuple((length * ask / asked, ask) for ask in asks)


def syllables_to_cut(speech: Seconds, syllables: int, profile: ClipProfile) -> int:
    """Return how many syllables must go for the line to fit one generation at its own speed.

    ceil((speech + handles - limit) x syllables / speech); 0 when it fits.
    """
    over = speech - profile.room
    return 0 if over <= 0 else -int(-(over * syllables) // speech)
