"""What each line's clip offers another language: when the mouth moves, when it rests, and what comes after.

In: the plan, whose times are those of the clips that came back where they are measured. Out: a window a line.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from timing.model import Break, Clip, Plan, PlanLine, TimedWord
from timing.model.clock import Seconds
from timing.model.dub import Window

# A shorter silence is no rest of the mouth: our own limit. A pause is a fact and never a verdict: in 319.57 h of
# professional work timing is often broken for naturalness (Brannon, Virkar and Thompson, TACL 11, 2023, abstract).
LEAST_PAUSE = Fraction(3, 10)
# Directions of the trade that say the speaker is not in the picture.
_UNSEEN = re.compile(r"\b(?:v\.?\s?o|o\.?\s?s|o\.?\s?c|off|voice[- ]?over|off[- ]?screen)\b", re.IGNORECASE)


def used_range(plan: Plan, clip: Clip) -> tuple[Seconds, Seconds]:
    """Return from when to when a clip is seen on the episode's clock; every window asks here."""
    return clip.start, clip.end


def of_script(line_id: str) -> str:
    """Return the script's id of a line that a cut may repeat.

    >>> of_script("12A"), of_script("12A (2)")
    ('12A', '12A')
    """
    return line_id.partition(" (")[0]


def windows_of(plan: Plan) -> Mapping[str, Window]:
    """Return the window of every line with words, by its id."""
    spoken = [line for line in plan.lines if line.words]
    starts = sorted(line.start for line in spoken)
    clips: dict[str, list[Clip]] = {}
    for clip in plan.clips:
        for line_id in clip.lines or (clip.line,):
            clips.setdefault(line_id, []).append(clip)
    return {line.id: _window(plan, line, clips.get(line.id, []), starts) for line in spoken}


def _window(plan: Plan, line: PlanLine, clips: list[Clip], starts: list[Seconds]) -> Window:
    seen = [used_range(plan, clip) for clip in clips]
    start, end = line.start, line.end
    if seen:  # words that were trimmed away are not in the picture
        start = max(start, min(a for a, _ in seen))
        end = min(end, max(b for _, b in seen))
    if end <= start:
        start, end = line.start, line.end
    after = bisect_right(starts, line.start)
    while after < len(starts) and starts[after] < line.end:  # who speaks at the same time is not the next one
        after += 1
    following = starts[after] if after < len(starts) else max(plan.length, line.end)
    return Window(
        start,
        end,
        pauses_of(line.words),
        max(Fraction(0), following - end),
        not any(_UNSEEN.search(direction) for direction in line.directions),
        line.origin,
        tuple(clip.id for clip in clips),
    )


def pauses_of(words: Sequence[TimedWord]) -> tuple[tuple[Seconds, Seconds], ...]:
    """Return the silences of 0.3 s and more between words, (start, end), in order."""
    return tuple(
        (before.end, after.start) for before, after in pairwise(words) if after.start - before.end >= LEAST_PAUSE
    )


def phrases_of(words: Sequence[TimedWord]) -> list[tuple[TimedWord, ...]]:
    """Return the words from one such silence to the next."""
    return _parted(words, lambda before, after: after.start - before.end >= LEAST_PAUSE)


def clauses_of(words: Sequence[TimedWord]) -> list[tuple[TimedWord, ...]]:
    """Return the words from one comma or stop to the next."""
    return _parted(words, lambda before, _: before.break_after >= Break.CLAUSE)


def _parted(
    words: Sequence[TimedWord], is_parted: Callable[[TimedWord, TimedWord], bool]
) -> list[tuple[TimedWord, ...]]:
    found: list[list[TimedWord]] = [[words[0]]]
    for before, after in pairwise(words):
        if is_parted(before, after):
            found.append([])
        found[-1].append(after)
    return [tuple(phrase) for phrase in found]
