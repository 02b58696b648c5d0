"""Whether a line fits its window, by how much it does not, and what its words cost to say.

In: a length with its 80 % range (equal ends where it was measured) and a window. Out: a verdict, syllables, losses.

A line is too long when even the low end of its range is over the window and a tenth of it, short when the high end is
under four fifths; both limits are the product's own. It fits when not one in twenty like it would be too long and its
likely length is not short: a voice that has time left slows down, one that has too little cannot. All else is
undecided.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from timing.model import Break, TimedWord
from timing.model.clock import Seconds
from timing.model.dub import Loss, Verdict, Window
from timing.timers.delivery import Z80

OVER = Fraction(11, 10)  # of the window: the most a line may take
UNDER = Fraction(4, 5)  # of the window: the least
Z95 = 1.645  # 95 % of a normal distribution lie below so many standard deviations; chosen on half of our readings
MOST_LOSSES = 3
TORSO = Fraction(5, 4)  # a run that begins or ends within a phrase counts as so much longer; our own choice


def verdict(low: Seconds, likely: Seconds, high: Seconds, window: Window) -> Verdict:
    """Return the verdict on a length; measured ones (low = likely = high) are always decided.

    >>> two = Window(Fraction(0), Fraction(2))
    >>> lengths = (("2.3", 3, 4), (1, "1.2", "1.5"), ("1.4", "1.65", 2), ("1.8", 2, "2.3"))
    >>> [verdict(*map(Fraction, three), two).value for three in lengths]
    ['too long', 'short', 'fits', 'record it']
    """
    if low > window.room * OVER:
        return Verdict.TOO_LONG
    if window.is_seen and high < window.length * UNDER:
        return Verdict.SHORT
    is_short = window.is_seen and likely < window.length * UNDER
    return Verdict.FITS if _surely_within(likely, high, window.room * OVER) and not is_short else Verdict.RECORD


def _surely_within(likely: Seconds, high: Seconds, limit: Seconds) -> bool:
    """True where a length with this upper end of its 80 % range is over the limit once in twenty times at most."""
    if high == likely:
        return likely <= limit
    once_in_twenty = float(likely) * math.exp(math.log(high / likely) * Z95 / Z80)
    return once_in_twenty <= float(limit)


def risk(low: Seconds, likely: Seconds, high: Seconds, window: Window) -> float:
    """Return the chance, 0 to 1, that the length lies outside what the window takes.

    Lengths spread as the timers' do: normally in their logarithm, 80 % of them between ``low`` and ``high``.
    """
    most, least = window.room * OVER, window.length * UNDER if window.is_seen else Fraction(0)
    if low == high:
        return float(not least <= likely <= most)
    sd = math.log(high / low) / (2 * Z80)
    middle = math.log(low * high) / 2
    over = 0.5 * math.erfc((math.log(most) - middle) / sd / math.sqrt(2))
    under = 0.5 * math.erfc((middle - math.log(least)) / sd / math.sqrt(2)) if least else 0.0
    return over + under


def syllables_to_change(length: Seconds, syllables: int, window: Window) -> tuple[int, int]:
    """Return (to lose, to gain): how many syllables at the line's own rate bring it to its room, or fill its window.

    >>> window = Window(Fraction(0), Fraction(2))
    >>> syllables_to_change(Fraction(3), 12, window), syllables_to_change(Fraction(3, 2), 6, window)
    ((4, 0), (0, 2))
    """
    each = length / syllables
    if length > window.room:
        return math.ceil((length - window.room) / each), 0
    return 0, max(0, math.floor((window.length - length) / each))


def losses(words: Sequence[TimedWord], excess: Seconds) -> tuple[Loss, ...]:
    """Return runs of words whose loss frees ``excess`` seconds, the shortest first, none sharing a word.

    A run takes from its first sound to the first sound of what follows (the last one: from the end of what stands
    before it). Where a phrase is hardly longer than other runs it comes first: it can go without leaving a torso.
    A run of function words alone ("he", "of the") is none.
    """
    if excess <= 0 or len(words) < 2:
        return ()
    runs = [run for first in range(len(words)) if (run := _run(words, first, excess))]
    found: list[tuple[int, int]] = []
    for _, first, last in sorted(runs):
        if all(last <= a or first >= b for a, b in found):
            found.append((first, last))
        if len(found) == MOST_LOSSES:
            break
    return tuple(_loss(words, first, last) for first, last in found)


def _run(words: Sequence[TimedWord], first: int, excess: Seconds) -> tuple[Fraction, int, int] | None:
    """Return (weight, first, last) of the best run from ``first`` that is long enough, None if only all of it is."""
    best: tuple[Fraction, int, int] | None = None
    for last in range(first + 1, len(words) + (first > 0)):
        taken = _taken(words, first, last)
        if best and taken > best[0]:
            break
        if taken >= excess and not all(word.is_function for word in words[first:last]):
            opens = first == 0 or words[first - 1].break_after >= Break.PHRASE
            closes = last == len(words) or words[last - 1].break_after >= Break.PHRASE
            option = (taken * TORSO ** ((not opens) + (not closes)), first, last)
            best = min(best, option) if best else option
    return best


def _taken(words: Sequence[TimedWord], first: int, last: int) -> Seconds:
    if last < len(words):
        return words[last].start - words[first].start
    return words[-1].end - (words[first - 1].end if first else words[0].start)


def _loss(words: Sequence[TimedWord], first: int, last: int) -> Loss:
    lost = words[first:last]
    return Loss(
        " ".join(word.text for word in lost), _taken(words, first, last), sum(len(word.syllables) for word in lost)
    )


def closures(words: Sequence[TimedWord]) -> tuple[Seconds, ...]:
    """Return the moments at which the lips close for a p, b or m; doubled ones ("hum me") count once."""
    starts = [
        (start, end)
        for word in words
        for syllable in word.syllables
        for phone, start, end in syllable.sounds()
        if phone in ("P", "B", "M")
    ]
    kept = [span for before, span in pairwise([(Fraction(-1), Fraction(-1)), *starts]) if span[0] > before[1]]
    return tuple(start for start, _ in kept)
