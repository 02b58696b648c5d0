"""A person's word about a sound: which stretch is which line, where its words lie; and a line moved to that word.

In: labels of one sound (stretch and text, in the sound's own clock) and the words of the script's lines. Out: for
each line that is named, its edges and its pinned words; what fits nothing. The written form is described, read and
written in :mod:`timing.memory.labels`.

Conventions: a label that says what was measured (to half a millisecond) moves nothing; where one says otherwise, only
the words between it and the next label, or the line's edge, give way; where it takes much of them they are measured
anew.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise

from timing.model.basics import Finding, Origin, Where
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.timed import TimedLine, TimedWord
from timing.plain.errors import InputError
from timing.plain.figures import in_seconds
from timing.plain.numbers import exact

SAME = Fraction(1, 2000)
LEAST = Fraction(1, 100)  # seconds that a syllable gets where labels leave hardly any room

Again = Callable[[int, int, Seconds, Seconds], "Sequence[TimedWord] | None"]
"""(first word, word after the last, from, to) -> those words measured there; None where they cannot be."""


@dataclass(frozen=True, slots=True)
class Label:
    """One row: what lies from ``start`` to ``end`` (the same moment: only a beginning), seconds of the sound."""

    start: Seconds
    end: Seconds
    text: str
    where: Where = Where("labels")

    @property
    def middle(self) -> Seconds:
        return (self.start + self.end) / 2

    def error(self, message: str) -> InputError:
        return InputError(message, self.where.path, self.where.line_number)


@dataclass(frozen=True)
class LineLabels:
    """What is said of one line in one sound: ``line`` its own row, ``parts`` rows for words or syllables in it."""

    id: str
    line: Label | None = None
    parts: tuple[Label, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class ChosenReading:
    """The reading of a line that a person chose: in ``file``, the one near ``at``, or the stretch to ``until``."""

    file: str
    at: Seconds | None = None
    until: Seconds | None = None


def chosen_reading(text: str) -> ChosenReading:
    """Return what ``[takes]`` says of a line; raises ValueError with what to write.

    >>> chosen_reading("recordings/memo.m4a@31.27-36,56").until
    Fraction(914, 25)
    >>> chosen_reading("me@home.wav").file
    'me@home.wav'
    """
    file, _, place = text.rpartition("@")
    if not file or re.fullmatch(r".*[^\W\d]\w*\.\w+", place):
        return ChosenReading(text)
    match = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)(?:\s*[-–]\s*(\d+(?:[.,]\d+)?))?\s*", place)
    advice = f'write "{file}@41.5" for the reading near that second, or "{file}@41.5-44.2" for that stretch'
    if not match:
        raise ValueError(f'"@{place}" is no second and no stretch; {advice}')
    at, until = (None if n is None else exact(n.replace(",", ".")) for n in match.groups())
    if at is not None and until is not None and until <= at:
        raise ValueError(f'"@{place}" ends before it begins; {advice}')
    return ChosenReading(file, at, until)


def bare(text: str) -> str:
    """Return the letters and digits of a text, so that "Sea!" is the word "sea".

    >>> bare("“Sea’s!”")
    'seas'
    """
    return "".join(c for c in text.casefold() if c.isalnum())


def line_named(text: str, ids: Iterable[str]) -> str | None:
    """Return the line that a row's text names: "19", or "19: any words"; None for any other text.

    >>> line_named("12a: It goes out", ["12", "12A"]), line_named("12 shells", ["12"])
    ('12A', None)
    """
    match = re.fullmatch(r"\s*(?:line\s+)?0*(\d+[A-Za-z]*)\s*(?::.*)?", text, re.DOTALL)
    by_name = {line_id.upper(): line_id for line_id in ids}
    return by_name.get(match.group(1).upper()) if match else None


def sorted_out(labels: Sequence[Label], words_of: Mapping[str, Sequence[str]]) -> tuple[list[LineLabels], list[Label]]:
    """Return what is said of each line and the rows that lie in no line's row; ``words_of`` has each line's texts.

    Raises InputError for two rows of one line, and for a line's row without length.
    """
    own: dict[str, Label] = {}
    rest: list[Label] = []
    for label in sorted(labels, key=lambda one: (one.start, -one.end)):
        line_id = line_named(label.text, words_of)
        around = _around(label, own)
        if line_id is None or (around and bare(label.text) in map(bare, words_of[around])):
            rest.append(label)
            continue
        if line_id in own:
            raise label.error(f"line {line_id} has a row already ({own[line_id].where}); a line has one reading")
        if label.end <= label.start:
            raise label.error(f"the row of line {line_id} has no length; write where the line begins and where it ends")
        own[line_id] = label
    parts: dict[str, list[Label]] = {line_id: [] for line_id in own}
    loose: list[Label] = []
    for label in rest:
        around = _around(label, own)
        (parts[around] if around else loose).append(label)
    return [LineLabels(line_id, own[line_id], tuple(parts[line_id])) for line_id in own], loose


def _around(label: Label, own: Mapping[str, Label]) -> str | None:
    """Return the shortest line's row that a row lies in."""
    found = [i for i, row in own.items() if row is not label and row.start <= label.middle <= row.end]
    return min(found, key=lambda i: own[i].end - own[i].start, default=None)


def bars_meant(labels: Iterable[Label]) -> tuple[dict[int, Label], list[Label]]:
    """Return the rows of bars by the bar's number, and all other rows; raises InputError for two of one bar.

    >>> bars_meant([Label(Fraction(2), Fraction(2), "Bar 5"), Label(Fraction(2), Fraction(3), "bars")])[0].keys()
    dict_keys([5])
    """
    bars: dict[int, Label] = {}
    rest = []
    for label in labels:
        match = re.fullmatch(r"\s*bar\s+(\d{1,5})\s*", label.text, re.IGNORECASE)
        if match is None:
            rest.append(label)
        elif (bar := int(match.group(1))) in bars and label.start == bars[bar].start:
            continue  # a song that is sung again has its bars where they were
        elif bar in bars:
            raise label.error(f"bar {bar} has a row already ({bars[bar].where}); take one of them away")
        else:
            bars[bar] = label
    return bars, rest


@dataclass(frozen=True, slots=True)
class _Unit:
    """Something that a row may be about: what it is called and where it was heard."""

    names: frozenset[str]
    start: Seconds


def words_meant(parts: Sequence[Label], words: Sequence[TimedWord]) -> tuple[dict[int, Label], list[Label]]:
    """Return the rows of words by the word's index, and those whose text is no word of the line.

    A word that the line has several times is the one nearest to its row, each row taking another; of several rows
    for one word the nearest counts.
    """
    return _meant(parts, [_Unit(frozenset((bare(w.text), bare(w.spoken))), w.start) for w in words])


def _meant(parts: Sequence[Label], units: Sequence[_Unit]) -> tuple[dict[int, Label], list[Label]]:
    found: dict[int, Label] = {}
    strange = []
    for text, rows in _by_text(parts).items():
        places = [i for i, unit in enumerate(units) if text and text in unit.names]
        pairs = _nearest([row.start for row in rows], [units[i].start for i in places])
        found.update((places[place], rows[row]) for row, place in pairs)
        taken = {row for row, _ in pairs}
        strange += [row for n, row in enumerate(rows) if n not in taken]
    return found, strange


def _by_text(parts: Sequence[Label]) -> dict[str, list[Label]]:
    found: dict[str, list[Label]] = {}
    for label in parts:
        found.setdefault(bare(label.text), []).append(label)
    return found


def _nearest(some: Sequence[Seconds], others: Sequence[Seconds]) -> list[tuple[int, int]]:
    """Return pairs of as many as there are of both, in order, the sum of their distances least."""
    if len(some) > len(others):
        return [(a, b) for b, a in _nearest(others, some)]
    best: list[tuple[Seconds, tuple[tuple[int, int], ...]] | None] = [(Fraction(0), ()), *[None] * len(some)]
    for other, moment in enumerate(others):
        for n in range(len(some), 0, -1):
            before = best[n - 1]
            if before is None:
                continue
            cost = before[0] + abs(moment - some[n - 1])
            here = best[n]
            if here is None or cost < here[0]:
                best[n] = (cost, (*before[1], (n - 1, other)))
    last = best[-1]
    return list(last[1]) if last else []


def unused_label(label: Label, why: str) -> Finding:
    """Return the finding for a label that fits nothing; ``why`` ends the sentence."""
    message = f"the label “{label.text}” at {in_seconds(label.start, 2)} {why}"
    facts = {"text": label.text, "start_s": round(float(label.start), 6)}
    return Finding(FindingCode.LABEL_UNUSED, message, facts, label.where)


# --- a line moved to what is said of it ---------------------------------------------------------------------


def with_pins(line: TimedLine, edges: Label | None, pins: Mapping[int, Label], again: Again) -> TimedLine:
    """Return ``line`` (in the sound's clock) with its edges and words where the labels have them.

    Words without a label lie where they were, or are measured again where a label beside them moved. Raises
    InputError for labels that contradict each other.
    """
    start, end = (edges.start, edges.end) if edges else (line.start, line.end)
    if abs(start - line.start) <= SAME:
        start = line.start
    if abs(end - line.end) <= SAME:
        end = line.end
    _check(pins, edges)
    pins = _settled(pins, line.words)
    told = {i for i, pin in pins.items() if not _says_the_same(pin, line.words[i])}
    kept = {
        i
        for i in pins.keys() - told
        if line.words[i].start >= start and line.words[i].end <= end and not _covered(line.words[i], i, told, pins)
    }
    fixed = sorted(told | kept)
    words = list(line.words)
    beginning = {i for i in told if pins[i].end == pins[i].start}  # nothing is said of where these end
    alone = {i for i in beginning if words[i].end >= pins[i].start + LEAST * len(words[i].syllables)}
    for i in told:
        until = words[i].end if i in alone else pins[i].end
        begin = max(pins[i].start, words[i - 1].end) if i - 1 in kept else pins[i].start  # apart by a rounding only
        until = min(until, line.words[i + 1].start) if i + 1 in kept else until
        words[i] = words[i] if i in beginning - alone else fitted(words[i], begin, until, Origin.PINNED)
    for i in kept:
        words[i] = fitted(words[i], words[i].start, words[i].end, Origin.PINNED)
    for before, after in zip([None, *fixed], [*fixed, None], strict=True):
        first = 0 if before is None else before + 1
        low = start if before is None else words[before].end
        begins = before in beginning - alone
        if before is not None and begins:  # where it ends is measured with those after it
            first, low = before, pins[before].start
        last = len(words) if after is None else after
        high = end if after is None else pins[after].start if after in told else words[after].start
        is_moved = (
            (before is None and start != line.start)
            or (after is None and end != line.end)
            or before in told - alone
            or after in told
        )
        if first < last and is_moved:
            stay = None if begins else _as_they_were(words[first:last], low, high)
            blamed = next((pins[i] for i in (after, before) if i is not None), edges)
            words[first:last] = stay or _between(words[first:last], first, low, high, again, blamed)
            if begins or before is None:
                words[first] = fitted(words[first], low, words[first].end, Origin.PINNED if begins else None)
            if after is None:
                words[last - 1] = fitted(words[last - 1], words[last - 1].start, high)
        elif first == last and before in beginning and after is None and edges and end != line.end:
            words[before] = fitted(words[before], words[before].start, max(end, words[before].start + LEAST))
    length = words[-1].end - words[0].start
    return replace(line, words=tuple(words), origin=Origin.PINNED, low=length, high=length)


def _settled(pins: Mapping[int, Label], words: Sequence[TimedWord]) -> dict[int, Label]:
    """Return the rows with the measured moment where they are rounded from it, none reaching into the next one.

    Where two overlap, an edge was moved and the one beside it left alone: the moved one counts, of two moved ones the
    beginning of the later word. A row in which nothing was moved gives way, as any word without a row does.
    """
    found = {}
    for i in sorted(pins):
        start, end = pins[i].start, pins[i].end
        is_beginning = start == end
        start = words[i].start if abs(start - words[i].start) <= SAME else start
        end = words[i].end if abs(end - words[i].end) <= SAME else end
        found[i] = replace(pins[i], start=start, end=start if is_beginning else end)
    for after, before in pairwise(sorted(found, reverse=True)):
        row, following = found[before], found[after]
        if not row.start < row.end > following.start or _says_the_same(following, words[after]):
            continue
        if following.start == words[after].start and row.end < following.end:
            found[after] = replace(following, start=row.end)
        elif following.start > row.start:
            found[before] = replace(row, end=following.start)
        else:
            raise following.error(f"“{following.text}” begins where “{row.text}” does; correct the seconds")
    return found


def _as_they_were(words: Sequence[TimedWord], low: Seconds, high: Seconds) -> list[TimedWord] | None:
    """Return words where they lie, cut back to a stretch that takes little of them, None where it takes more.

    A word told by a person a little earlier or later says nothing against the measurement of those around it; one that
    takes half of its neighbour shows that these words were heard in the wrong place.
    """
    found = []
    for word in words:
        start, end = max(word.start, low), min(word.end, high)
        if end - start < max(LEAST * len(word.syllables), (word.end - word.start) / 2):
            return None
        found.append(word if (start, end) == (word.start, word.end) else fitted(word, start, end))
    return found


@dataclass(frozen=True, slots=True)
class Syllables:
    """What a row of a sung line is about: ``count`` syllables from the ``first`` on, counted in the line from 0."""

    first: int
    count: int


def syllables_meant(line: TimedLine, parts: Sequence[Label]) -> tuple[dict[Syllables, Label], list[Label]]:
    """Return the rows by the word or the syllable of a sung line that they are about, and the rows of neither."""
    units, places = [], []
    at = 0
    for word in line.words:
        count = len(word.syllables)
        units.append(_Unit(frozenset((bare(word.text), bare(word.spoken))), word.start))
        places.append(Syllables(at, count))
        for n, syllable in enumerate(word.syllables if count > 1 else ()):
            units.append(_Unit(frozenset((bare(syllable.heard), bare(syllable.text))), syllable.start))
            places.append(Syllables(at + n, 1))
        at += count
    meant, strange = _meant(parts, units)
    return {places[index]: label for index, label in meant.items()}, strange


def with_syllables(line: TimedLine, edges: Label | None, meant: Mapping[Syllables, Label]) -> TimedLine:
    """Return a sung line with its edges, words and syllables where the labels have them.

    The others keep what was measured of them, as far as the labels leave room. Raises InputError for labels that
    contradict each other.
    """
    single = _syllables_as_words(line)
    pins: dict[int, Label] = {}
    for part, label in sorted(meant.items(), key=lambda item: -item[0].count):
        first, count = part.first, part.count
        if count == 1 or label.end == label.start:
            pins[first] = label
            continue
        old, end = single[first].start, single[first + count - 1].end
        factor = (label.end - label.start) / (end - old)
        for n in range(first, first + count):
            pins[n] = replace(
                label,
                start=label.start + (single[n].start - old) * factor,
                end=label.start + (single[n].end - old) * factor,
            )
    return with_pinned_syllables(line, edges, pins)


def is_moved(line: TimedLine, edges: Label | None, meant: Mapping[Syllables, Label]) -> bool:
    """True where a row says otherwise than the line itself, by more than half a millisecond."""
    single = _syllables_as_words(line)
    rows = [(label, single[n.first].start, single[n.first + n.count - 1].end) for n, label in meant.items()]
    rows += [(edges, line.start, line.end)] if edges else []
    return any(
        abs(row.start - start) > SAME or (row.end != row.start and abs(row.end - end) > SAME)
        for row, start, end in rows
    )


def with_pinned_syllables(line: TimedLine, edges: Label | None, pins: Mapping[int, Label]) -> TimedLine:
    """Return a line with some syllables, by their index in the line, where the labels have them."""
    single = _syllables_as_words(line)
    moved = with_pins(replace(line, words=single), edges, pins, _keeping(single))
    words, at = [], 0
    for word in line.words:
        own = moved.words[at : at + len(word.syllables)]
        words.append(replace(word, syllables=tuple(one.syllables[0] for one in own)))
        at += len(own)
    return replace(moved, words=tuple(words))


def _syllables_as_words(line: TimedLine) -> tuple[TimedWord, ...]:
    return tuple(replace(w, text=s.heard or w.text, syllables=(s,)) for w in line.words for s in w.syllables)


def _keeping(words: Sequence[TimedWord]) -> Again:
    """Return what gives words back as they were, those that reach out of the room sharing what is left of it."""

    def again(first: int, last: int, low: Seconds, high: Seconds) -> Sequence[TimedWord] | None:
        own = words[first:last]
        begin = next((n for n, w in enumerate(own) if w.start >= low + n * LEAST), len(own))
        stop = next((len(own) - n for n, w in enumerate(reversed(own)) if w.end <= high - n * LEAST), 0)
        if begin >= stop:
            return None
        return [
            *_shared(own[:begin], low, own[begin].start if begin else low),
            *own[begin:stop],
            *_shared(own[stop:], own[stop - 1].end, high),
        ]

    return again


def _shared(words: Sequence[TimedWord], low: Seconds, high: Seconds) -> list[TimedWord]:
    step = (high - low) / max(1, len(words))
    return [fitted(word, low + n * step, low + (n + 1) * step) for n, word in enumerate(words)]


def _check(pins: Mapping[int, Label], edges: Label | None) -> None:
    rows = [pins[i] for i in sorted(pins)]
    for row in rows:
        if edges and not (edges.start - SAME <= row.start and row.end <= edges.end + SAME):
            raise row.error(
                f"“{row.text}” ({_span(row)}) lies partly outside its line's row ({_span(edges)}); move one of them"
            )
    for before, after in pairwise(rows):
        if after.start < before.start - SAME:
            raise after.error(
                f"“{after.text}” begins before “{before.text}” does, which is said first; correct the seconds"
            )


def _span(label: Label) -> str:
    return f"{float(label.start):.3f} to {in_seconds(label.end, 3)}"


def _says_the_same(pin: Label, word: TimedWord) -> bool:
    at_end = pin.end == pin.start or abs(pin.end - word.end) <= SAME
    return abs(pin.start - word.start) <= SAME and at_end


def _covered(word: TimedWord, index: int, told: Iterable[int], pins: Mapping[int, Label]) -> bool:
    """True where a label that moved another word reaches into this one."""
    return any(
        (pins[i].start < word.end - SAME and i > index) or (pins[i].end > word.start + SAME and i < index) for i in told
    )


def _between(
    words: Sequence[TimedWord], first: int, low: Seconds, high: Seconds, again: Again, blamed: Label | None
) -> list[TimedWord]:
    """Return words measured again from ``low`` to ``high``, shared out evenly where that cannot be done."""
    count = sum(len(w.syllables) for w in words)
    if high - low < LEAST * count:
        said = " ".join(w.text for w in words)
        message = f"there is no room left for “{said}” ({float(low):.3f} to {in_seconds(high, 3)}); move a label"
        raise blamed.error(message) if blamed else InputError(message)
    found = again(first, first + len(words), low, high)
    inside = found and found[0].start >= low - SAME and found[-1].end <= high + SAME
    if found and inside:
        a, b = max(low, found[0].start), min(high, found[-1].end)
        if found[0].end > a and found[-1].start < b:
            out = list(found)
            out[0] = fitted(out[0], a, out[0].end)
            out[-1] = fitted(out[-1], out[-1].start, b)
            return out
    step, at, out = (high - low) / count, low, []
    for word in words:
        long = step * len(word.syllables)
        out.append(replace(fitted(word, at, at + long, Origin.ESTIMATED), confidence=0.0))
        at += long
    return out


def fitted(word: TimedWord, start: Seconds, end: Seconds, origin: Origin | None = None) -> TimedWord:
    """Return a word from ``start`` to ``end``, its syllables and sounds in the same proportions."""
    old, factor = word.start, (end - start) / (word.end - word.start)

    def at(moment: Seconds) -> Seconds:
        return start + (moment - old) * factor

    syllables = tuple(
        replace(
            s, start=at(s.start), end=at(s.end), phone_starts=tuple(at(p) for p in s.phone_starts),
            origin=origin or s.origin,
        )
        for s in word.syllables
    )  # fmt: skip
    return replace(word, syllables=syllables)
