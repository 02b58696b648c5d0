"""Ids that stay with their lines when a script is edited.

In: the lines that are remembered and the lines of the script as it is now. Out: an id for each line. Recordings,
deliveries and printed sheets hang on these ids, so: a line keeps its id while its text is the same or similar, moved
lines keep theirs too, a removed id is never given to other words but comes back with its own, and an added line takes
a letter after the line before it (12A, 12B; trade habit for added scenes: B. Lemay, "Exposure Sheets").
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher

from timing.plain.nearest import CLOSE, nearest

# In ordinary digits and few enough of each to be part of a file's name on every system.
LINE_ID = re.compile(r"[0-9]{1,9}[A-Z]{0,40}")

LONGEST_RUNS = 500_000  # pairs of equal lines; beyond, repeated lines are told apart by their neighbours alone
SIMILAR = 0.5  # share of words in common from which a reworded line is still the same line (our own choice)


def spoken_words(text: str) -> tuple[str, ...]:
    """Return a text as its words tell it from others: without capitals, punctuation and marks.

    >>> spoken_words("“All” of it -- at ONCE?")
    ('all', 'of', 'it', 'at', 'once')
    """
    return tuple(re.findall(r"\w+", unicodedata.normalize("NFKC", text).casefold()))


@dataclass(frozen=True, slots=True)
class KnownLine:
    """What identifies a line: kind, speaker and text; ``id`` where it has one already, ``was`` its earlier texts."""

    kind: str
    speaker: str | None
    text: str
    id: str = ""
    was: tuple[str, ...] = ()

    @property
    def words(self) -> tuple[str, ...]:
        return spoken_words(self.text)

    @property
    def key(self) -> tuple[str, str, tuple[str, ...]]:
        # A line without a word (an emoji) is known by its characters.
        return self.kind, (self.speaker or "").casefold(), self.words or (self.text.casefold(),)

    def with_text_of(self, now: KnownLine) -> KnownLine:
        """Return this line as it stands in the script now; other words than before are kept in ``was``."""
        if now.words == self.words:
            was = self.was
        else:
            was = tuple(text for text in self.was if spoken_words(text) not in (now.words, self.words))
            was += (self.text,) if self.text else ()
        return KnownLine(now.kind, now.speaker, now.text, self.id, was)


def natural_order(line_id: str) -> tuple[int, str]:
    """Return what ids are sorted by, as they stand in a script to which lines were added: 2, 2A, 2AA, 2B, 10."""
    match = re.match(r"[0-9]{1,9}", line_id)
    return (int(match.group()), line_id[match.end() :]) if match else (0, line_id)


def assign_ids(
    before: Sequence[KnownLine],
    now: Sequence[KnownLine],
    retired: Iterable[str] = (),
    gone: Sequence[KnownLine] = (),
) -> list[str]:
    """Return an id for each line of ``now``.

    ``before`` are the lines that stood in the script last, in its order. ``gone`` stood in it earlier: their ids go to
    nothing but their own words. ``retired`` ids, whose words nobody knows, are never given again.
    """
    known = [*before, *gone]
    matched = _match(before, now, gone)
    taken = set(retired) | {line.id for line in known}
    if not taken:
        return [str(n + 1) for n in range(len(now))]
    highest = max((natural_order(i)[0] for i in taken), default=0)
    last_kept = max((i for i, old in enumerate(matched) if old is not None), default=-1)
    ids: list[str] = []
    for i, old in enumerate(matched):
        if old is not None:
            new = known[old].id
        elif i > last_kept:
            highest += 1  # lines added at the end simply go on counting
            new = str(highest)
        else:
            following = next(known[old].id for old in matched[i + 1 :] if old is not None)
            new = _lettered(ids[-1] if ids else "0", following, taken)
        taken.add(new)
        ids.append(new)
    return ids


def _lettered(after: str, following: str, taken: set[str]) -> str:
    """Return the first free id between two: 12 -> 12A, 12A -> 12B, but 12A before 12B -> 12AA."""
    match = re.fullmatch(r"([0-9]+)([A-Z]+)", after)
    if match and not re.fullmatch(rf"{match.group(1)}[A-Z]+", following):
        stem = after[:-1]
        for letter in range(ord(after[-1]) + 1, ord("Z") + 1):
            if stem + chr(letter) not in taken:
                return stem + chr(letter)
    return _first_free(after, taken)


def _first_free(after: str, taken: set[str]) -> str:
    prefix = after
    while True:
        for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ":
            if prefix + letter not in taken:
                return prefix + letter
        prefix += "Z"


def _match(before: Sequence[KnownLine], now: Sequence[KnownLine], gone: Sequence[KnownLine]) -> list[int | None]:
    """Return for each line of ``now`` the index of the line it was in ``before`` + ``gone``, None for a new one."""
    found: list[int | None] = [None] * len(now)
    free = set(range(len(before)))
    _match_same_text(before, now, found, free)
    _match_words_put_back(before, now, gone, found, free)
    _match_reworded(before, now, found, free)
    return found


def _match_words_put_back(
    before: Sequence[KnownLine],
    now: Sequence[KnownLine],
    gone: Sequence[KnownLine],
    found: list[int | None],
    free: set[int],
) -> None:
    """Pair lines with the ids that had their words earlier: those of removed lines, and of reworded ones.

    Of several ids the one that stands in its place among the neighbours, then the first.
    """
    known = [*before, *gone]
    had: dict[tuple[str, str, tuple[str, ...]], list[int]] = defaultdict(list)
    for j in (*sorted(free), *range(len(before), len(known))):
        earlier = [replace(known[j], text=text).key for text in known[j].was]
        for key in {*earlier, *([known[j].key] if j >= len(before) and known[j].text else [])}:
            had[key].append(j)
    if not had:
        return
    slips: dict[tuple[str, tuple[str, ...]], list[tuple[str, int]]] = defaultdict(list)
    for (kind, speaker, words), places in had.items():
        slips[kind, words] += [(speaker, j) for j in places if j >= len(before)]
    used: set[int] = set()
    for i, line in enumerate(now):
        if found[i] is not None:
            continue
        options = [j for j in had.get(line.key, ()) if j not in used]
        if not options and (near := slips.get((line.kind, line.key[2]))):  # removed while its name was misspelt
            options = [j for speaker, j in near if j not in used and nearest(line.key[1], [speaker], like=CLOSE)]
        if not options:
            continue
        after = next((known[j].id for j in reversed(found[:i]) if j is not None), "")
        following = next((known[j].id for j in found[i + 1 :] if j is not None), None)

        def fit(j: int, after: str = after, following: str | None = following) -> tuple[bool, bool, tuple[int, str]]:
            order = natural_order(known[j].id)
            is_between = natural_order(after) < order and (following is None or order < natural_order(following))
            return not is_between, j >= len(before), order

        found[i] = best = min(options, key=fit)
        used.add(best)
        free.discard(best)


def _match_same_text(
    before: Sequence[KnownLine], now: Sequence[KnownLine], found: list[int | None], free: set[int]
) -> None:
    """Pair lines of the same text: unique ones wherever they stand, repeated ones in their order."""
    old, new = defaultdict(list), defaultdict(list)
    for i, line in enumerate(before):
        old[line.key].append(i)
    for i, line in enumerate(now):
        new[line.key].append(i)
    counts = [(len(old.get(key, ())), len(places)) for key, places in new.items()]
    runs = _equal_runs(before, now) if any(a and a != b and max(a, b) > 1 for a, b in counts) else {}
    in_runs = set(runs.values())
    for key, places in new.items():
        candidates = old.get(key, [])
        if len(candidates) == len(places):
            pairs = list(zip(places, candidates, strict=True))
        else:
            pairs = [(here, runs[here]) for here in places if here in runs]
            left = [here for here in places if here not in runs]
            pairs += _by_neighbours(left, [c for c in candidates if c not in in_runs], before, now)
        for here, there in pairs:
            found[here] = there
            free.discard(there)


def _equal_runs(before: Sequence[KnownLine], now: Sequence[KnownLine]) -> dict[int, int]:
    """Return, for lines of ``now`` in the longest runs equal to runs of ``before``, their places there.

    A chorus that is sung once more, or once less, keeps together: its lines are not shared out between two others. One
    equal line by itself tells nothing. A changed speaker parts no run: the line beside it keeps its own.
    """
    old, new = [(line.kind, line.key[2]) for line in before], [(line.kind, line.key[2]) for line in now]
    often = Counter(old)
    if sum(often[key] for key in new) > LONGEST_RUNS:
        return {}
    blocks = SequenceMatcher(a=new, b=old, autojunk=False).get_matching_blocks()
    pairs = [(block.a + i, block.b + i) for block in blocks if block.size > 1 for i in range(block.size)]
    return {here: there for here, there in pairs if now[here].key == before[there].key}


def _by_neighbours(
    places: list[int], candidates: list[int], before: Sequence[KnownLine], now: Sequence[KnownLine]
) -> list[tuple[int, int]]:
    """Pair repeated lines whose number changed ("La la la"): order-keeping, most equal neighbours, latest cut."""

    def score(here: int, there: int) -> int:
        total = 1
        for step in (-1, 1):
            a, b = here + step, there + step
            inside = 0 <= a < len(now) and 0 <= b < len(before)
            edge = (a < 0 and b < 0) or (a == len(now) and b == len(before))
            total += 2 * (edge or (inside and now[a].key == before[b].key))
        return total

    best: list[list[tuple[int, tuple[tuple[int, int], ...]]]] = [[(0, ())] * (len(candidates) + 1)]
    for i, here in enumerate(places):
        row: list[tuple[int, tuple[tuple[int, int], ...]]] = [(0, ())]
        for j, there in enumerate(candidates):
            take = (best[i][j][0] + score(here, there), (*best[i][j][1], (here, there)))
            row.append(max(take, best[i][j + 1], row[j], key=lambda c: c[0]))
        best.append(row)
    return list(best[-1][-1][1])


def _match_reworded(
    before: Sequence[KnownLine], now: Sequence[KnownLine], found: list[int | None], free: set[int]
) -> None:
    """Pair what is left by likeness, in order within each gap between already paired lines, then anywhere."""
    gap: list[int] = []
    previous = -1
    for i in range(len(now) + 1):
        if i < len(now) and found[i] is None:
            gap.append(i)
            continue
        following = len(before) if i == len(now) else found[i]
        assert following is not None
        if i < len(now) and following >= len(before):
            continue  # it was away: it parts no gap
        between = [j for j in range(previous + 1, following) if j in free]
        for here, there in _alike_in_order(gap, between, before, now):
            found[here] = there
            free.discard(there)
        gap = []
        previous = following if i < len(now) else previous
    loose = [i for i, old in enumerate(found) if old is None]
    scored = sorted(
        ((likeness(before[j], now[i]), -abs(i - j), i, j) for i in loose for j in free), key=lambda s: (-s[0], -s[1])
    ) if len(loose) * len(free) <= 250_000 else []  # fmt: skip
    for score, _, i, j in scored:
        if score >= SIMILAR and found[i] is None and j in free:
            found[i] = j
            free.discard(j)


def _alike_in_order(
    here: list[int], there: list[int], before: Sequence[KnownLine], now: Sequence[KnownLine]
) -> list[tuple[int, int]]:
    if len(here) * len(there) > 250_000:
        return []
    best: list[list[tuple[float, tuple[tuple[int, int], ...]]]] = [[(0.0, ())] * (len(there) + 1)]
    for i, a in enumerate(here):
        row: list[tuple[float, tuple[tuple[int, int], ...]]] = [(0.0, ())]
        for j, b in enumerate(there):
            like = likeness(before[b], now[a])
            options = [best[i][j + 1], row[j]]
            if like >= SIMILAR:
                options.append((best[i][j][0] + like, (*best[i][j][1], (a, b))))
            row.append(max(options, key=lambda c: c[0]))
        best.append(row)
    return list(best[-1][-1][1])


def likeness(a: KnownLine, b: KnownLine) -> float:
    """Return 0 to 1: the share of words two lines have in common (Dice); 0 across kinds.

    A change of speaker alone keeps most of it: the take may be another voice, the line is the same.
    """
    if a.kind != b.kind:
        return 0.0
    mine, yours = Counter(a.words), Counter(b.words)
    both = sum(mine.values()) + sum(yours.values())
    common = 2 * sum((mine & yours).values()) / both if both else 0.0
    same_speaker = (a.speaker or "").casefold() == (b.speaker or "").casefold()
    return common if same_speaker else common * 0.7
