"""Where the script's lines lie in a take: any order, false starts, retakes, chatter, lines missing.

In: a sound and the words of every line. Out: readings in order of time.

``find_lines`` searches a memo for a whole script: all candidates for every line (``line_candidates``), then the
likeliest way through them (``memo_path``). How much worse than free sounds a right line fits hangs on the voice, the
room, the noise and the language, so it is learnt from the memo itself and the search made again.

``locate`` searches a short sound for lines word by word, in any order: a grammar whose hub leads to the first word of
every line. A line may be left before its end (a false start) and begun again, one word of it may be passed over, and
between lines, only there, free phones take up whatever else is said. Long sounds are worked through in windows of
45 seconds that end at pauses; a reading that a window cuts off is begun again with the next one, so memory stays flat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from timing.hearing.recogniser import ANY, STEPS_PER_S, HeardWord, Phones, Recogniser, moment
from timing.model.clock import Seconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.hearing.line_candidates import Candidate, Prepared
    from timing.sound.decode import Sound

# Units of about 0.1 nat a sounding step, for ``line_candidates``; chosen on the first half of bench_memo.
_ALLOWANCE, _FOREIGN_ALLOWANCE = 18.0, 24.0  # at first
_ABOVE_USUAL = 11.0  # so much above what the lines found cost in the middle
_ALLOWANCES = 10.0, 30.0
_FEW, _MORE = 3, 6.0  # with fewer lines than this found, so much more
_NEAR_ENOUGH = 3.0
_ROUNDS = 3
_VARIANTS = 4  # pronunciations of a word that are searched for; all count when it is followed closely
_RIVALS = 2
_TO_THE_PAUSE = Fraction(3, 5)

# Arc weights (our own choice, on takes put together from synthesised readings).
_ENTER = 1e-2  # from the hub into any line
_NEXT = 1.0  # straight from a line into the one that follows in the script
_SKIP = 1e-8  # one word passed over
_LEAVE = 1e-8  # a line left before its end
_CHATTER, _CHATTER_ON = 1e-4, 0.3
_WINDOW, _SHORTEST_WINDOW = 45, 20  # seconds
_MARGIN = Fraction(3, 10)
_FALSE_START = 0.25  # share of a line's words that make a false start worth telling
_COMPLETE = 0.6  # share of a line's words that a complete reading has, the last or last but one among them


@dataclass(frozen=True, slots=True)
class Rival:
    """Another line in the same place, or the same line in another place, and how likely that is."""

    line: int
    start: Seconds
    end: Seconds
    confidence: float


@dataclass(frozen=True, slots=True)
class Place:
    """One reading of line ``line`` in a take: (token, start, end) for each word heard, in the take's clock.

    ``confidence`` is how likely it is this line's reading; ``rivals`` are what it may be instead, the likeliest first.
    Of a place that ``find_lines`` gives, only the outer edges are heard: the words share the time by their sounds.
    """

    line: int
    words: tuple[tuple[int, Seconds, Seconds], ...]
    is_complete: bool
    has_last: bool = True
    confidence: float = 1.0
    rivals: tuple[Rival, ...] = ()

    @property
    def start(self) -> Seconds:
        return self.words[0][1]

    @property
    def end(self) -> Seconds:
        return self.words[-1][2]


@dataclass(frozen=True, slots=True)
class Words:
    """Which words of the vocabulary make up a line."""

    first: int
    count: int


def find_lines(
    sound: Sound,
    lines: Sequence[tuple[int, Sequence[Sequence[Phones]]]],
    regions: Sequence[tuple[Seconds, Seconds]],
    is_foreign: bool = False,
    is_noisy: bool = False,
    is_narrow: bool = False,
) -> tuple[Place, ...]:
    """Return where ``lines`` (number, each word's pronunciations; in the script's order) are read in ``sound``.

    ``regions`` are the stretches that hold sound, in order; ``is_foreign``: the lines are not English; ``is_noisy``:
    the pauses sound too, so that the regions do not tell where a reading begins; ``is_narrow``: a telephone's band.
    """
    from timing.hearing.line_candidates import Prepared, candidates
    from timing.hearing.line_states import LineStates
    from timing.hearing.memo_path import PACE, likeliest, pace_of

    if not lines or not regions:
        return ()
    states = LineStates([[tuple(word[:_VARIANTS]) for word in words] for _, words in lines])
    prepared = Prepared(sound.samples, regions, is_narrow)
    allowance = _FOREIGN_ALLOWANCE if is_foreign else _ALLOWANCE
    stretches = [(int(start * STEPS_PER_S), int(end * STEPS_PER_S)) for start, end in regions]
    pace = PACE
    for number in range(1, _ROUNDS + 1):
        found = candidates(prepared, states, allowance)
        path, chance = likeliest(found, len(lines), stretches, pace)
        whole = [found[i] for i in path if found[i].is_whole]
        pace = pace_of(whole)
        learnt = _learnt(prepared, whole, allowance)
        # A memo of chatter teaches nothing: asked for less and less, some of it would pass for lines.
        if abs(learnt - allowance) <= _NEAR_ENOUGH or (number > 1 and len(whole) < _FEW):
            break
        allowance = learnt
    spans = _spans([found[i] for i in path], () if is_noisy else regions)
    return tuple(_place(found, i, chance, lines, span) for i, span in zip(path, spans, strict=True))


def _learnt(prepared: Prepared, readings: Sequence[Candidate], allowance: float) -> float:
    """Return the allowance that suits a memo in which ``readings`` were found with another one."""
    if len(readings) < _FEW:
        return min(allowance + _MORE, _ALLOWANCES[1])
    costs = [allowance - r.evidence / max(1, prepared.sounding_between(r.start, r.end)) for r in readings]
    return min(max(sorted(costs)[len(costs) // 2] + _ABOVE_USUAL, _ALLOWANCES[0]), _ALLOWANCES[1])


def _spans(readings: Sequence[Candidate], regions: Sequence[tuple[Seconds, Seconds]]) -> list[tuple[Seconds, Seconds]]:
    """Return from where to where each reading goes: out to the pause, where that is near and no other reading's.

    A first or last word that fits badly is otherwise left outside.
    """
    spans = [(moment(r.start), moment(r.end)) for r in readings]
    out = []
    for i, (start, end) in enumerate(spans):
        low = spans[i - 1][1] if i else Fraction(0)
        high = spans[i + 1][0] if i + 1 < len(spans) else end + _TO_THE_PAUSE
        begins = [a for a, b in regions if a < start < b and start - a <= _TO_THE_PAUSE and a >= low]
        ends = [b for a, b in regions if a < end < b and b - end <= _TO_THE_PAUSE and b <= high]
        is_whole = readings[i].is_whole
        out.append((begins[0] if begins else start, ends[0] if ends and is_whole else end))
    return out


def _place(
    found: Sequence[Candidate],
    index: int,
    chance: Sequence[float] | NDArray[np.float64],
    lines: Sequence[tuple[int, Sequence[Sequence[Phones]]]],
    span: tuple[Seconds, Seconds],
) -> Place:
    own = found[index]
    number, words = lines[own.line]
    start, end = span
    sounds = [len(word[0]) for word in words[: own.words]]
    edges = [start + (end - start) * Fraction(sum(sounds[:k]), sum(sounds)) for k in range(own.words + 1)]
    others = []
    for i, other in enumerate(found):
        shared = min(own.end, other.end) - max(own.start, other.start)
        is_here = 2 * shared > min(own.end - own.start, other.end - other.start)
        if i != index and other.is_whole and is_here != (other.line == own.line):
            others.append(
                Rival(lines[other.line][0], moment(other.start), moment(other.end), round(float(chance[i]), 2))
            )
    others.sort(key=lambda rival: -rival.confidence)
    return Place(
        number,
        tuple((k, edges[k], edges[k + 1]) for k in range(own.words)),
        own.is_whole,
        own.is_whole,
        round(float(chance[index]), 2),
        tuple(r for r in others[:_RIVALS] if r.confidence > 0),
    )


def locate(
    recogniser: Recogniser,
    sound: Sound,
    lines: Sequence[tuple[int, Words]],
    regions: Sequence[tuple[Seconds, Seconds]],
) -> tuple[Place, ...]:
    """Return the readings of ``lines`` (number, words; in the script's order) in ``sound``.

    ``regions`` are the stretches that hold sound, in order.
    """
    if not regions or not lines:
        return ()
    grammar = _grammar([words for _, words in lines])
    owner = {words.first + k: (number, k, words.count) for number, words in lines for k in range(words.count)}
    found: list[Place] = []
    at, end = regions[0][0] - _MARGIN, regions[-1][1] + _MARGIN
    while at < end:
        stop = _window_end(at, end, regions)
        start = max(Fraction(0), at)
        heard = recogniser.follow(sound.cut(start, stop), *grammar)
        places = _readings(heard or (), owner, start)
        if stop < end and places and not places[-1].is_complete and places[-1].start - at > 5:
            at = places.pop().start - _MARGIN
        else:
            at = stop
        found += places
    return tuple(found)


def _window_end(at: Seconds, end: Seconds, regions: Sequence[tuple[Seconds, Seconds]]) -> Seconds:
    if end - at <= _WINDOW:
        return end
    pauses = [
        (begin - last, (last + begin) / 2)
        for (_, last), (begin, _) in pairwise(regions)
        if at + _SHORTEST_WINDOW < (last + begin) / 2 < at + _WINDOW
    ]
    return max(pauses)[1] if pauses else at + _WINDOW


def _readings(heard: Sequence[HeardWord], owner: dict[int, tuple[int, int, int]], offset: Seconds) -> list[Place]:
    """Part the words heard into readings: a new one begins with another line or an earlier word."""
    groups: list[list[HeardWord]] = []
    for word in heard:
        if word.index < 0:
            continue
        last = groups[-1][-1].index if groups else None
        same = last is not None and owner[last][0] == owner[word.index][0] and word.index > last
        if same:
            groups[-1].append(word)
        else:
            groups.append([word])
    places = []
    for group in groups:
        line, _, count = owner[group[0].index]
        tokens = [owner[w.index][1] for w in group]
        is_complete = len(tokens) >= _COMPLETE * count and tokens[-1] >= count - (2 if count > 3 else 1)
        if not is_complete and len(tokens) < max(2, _FALSE_START * count):
            continue  # a word or two of a line turn up by chance in any chatter
        words = tuple((k, w.start + offset, w.end + offset) for k, w in zip(tokens, group, strict=True))
        places.append(Place(line, words, is_complete, tokens[-1] == count - 1))
    return places


def _grammar(lines: Sequence[Words]) -> tuple[int, list[tuple[int, int, float, int | None]]]:
    """Return (states, arcs). State 0 is the hub, 1 the chatter; then one state after each word; the last is the end.

    Words, not empty arcs, lead from place to place: empty ones multiply (each pair of states they join becomes one).
    """
    hub, chatter = 0, 1
    arcs: list[tuple[int, int, float, int | None]] = [
        (hub, chatter, _CHATTER, ANY),
        (chatter, chatter, _CHATTER_ON, ANY),
        (chatter, hub, 1.0, None),
    ]
    after: list[int] = []  # the state after the first word of each line
    state = 2
    for words in lines:
        after.append(state)
        state += words.count
    for number, words in enumerate(lines):
        base = after[number]
        arcs.append((hub, base, _ENTER, words.first))
        if words.count > 2:
            arcs.append((hub, base + 1, _ENTER * _SKIP, words.first + 1))
        for k in range(1, words.count):
            arcs.append((base + k - 1, base + k, 1.0, words.first + k))
            if k + 1 < words.count:
                arcs.append((base + k - 1, base + k + 1, _SKIP, words.first + k + 1))
            arcs.append((base + k - 1, hub, _LEAVE, None))
        last = base + words.count - 1
        arcs.append((last, hub, 1.0, None))
        if number + 1 < len(lines):
            arcs.append((last, after[number + 1], _NEXT, lines[number + 1].first))
    arcs.append((hub, state, 1.0, None))
    return state + 1, arcs
