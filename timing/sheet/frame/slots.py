"""Which rows stand on which sheet of paper: short clips side by side and below each other, a long one over several.

A slot is what one clip (or what is seen with it) takes of one sheet: a column, which is half of an upright page, or a
part of it where its neighbour is short too; the whole page where several speak at once, and of a lying one. A sheet
keeps the slots it had in the last set, so that a new clip moves nothing behind it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from timing.sheet.frame.score import Passage
from timing.sheet.paper import HEAD_BAND, MOST_PITCH

HALVES = 2  # of a page
APART = 2.4  # mm from the rows of a clip to the band of the one below it


@dataclass(frozen=True)
class Slot:
    """Panels ``index`` of ``count`` of a passage; ``halves`` of a page it takes; a picture passage has no rows.

    Its first row is the passage's frame ``first``. ``planned`` are the rows of a panel that has its column to itself,
    ``rows`` those it has where it stands, from ``top`` to ``foot``; ``head`` is the height over them, ``least`` how
    close they may lie, all in mm. ``low_head`` is the head in a column that is shared, None for what shares none.
    """

    passage: Passage
    index: int
    count: int
    planned: int
    panels: int
    halves: int
    is_picture: bool = False
    head: float = 0.0
    least: float = 0.0
    first: int = 0
    low_head: float | None = None
    rows: int = 0
    column: int = 0
    top: float = 0.0
    foot: float = 0.0

    @property
    def name(self) -> str:
        return f"{self.passage.anchor}/{self.index + 1}"

    @property
    def frames(self) -> int:
        return self.rows * self.panels

    @property
    def left(self) -> int:
        """The passage's frames from the first row on."""
        return self.passage.length - self.first

    @property
    def is_first(self) -> bool:
        return self.index == 0

    @property
    def is_last(self) -> bool:
        return self.index + 1 == self.count

    @property
    def all_names(self) -> list[str]:
        """The names of all slots of its passage."""
        return [f"{self.passage.anchor}/{index + 1}" for index in range(self.count)]


def shared_pitch(column: Sequence[Slot], room: float) -> float | None:
    """Return how far apart rows lie where these slots share a column of ``room`` mm; None where they cannot."""
    heads = 0.0
    for slot in column:
        if slot.low_head is None:
            return None
        heads += slot.low_head + HEAD_BAND
    pitch = (room - heads - APART * (len(column) - 1)) / sum(slot.left for slot in column)
    return min(pitch, MOST_PITCH) if pitch >= max(slot.least for slot in column) else None


def columns_of(slots: Sequence[Slot], room: float) -> list[Sequence[Slot]] | None:
    """Return the slots in the columns of one page, so that rows lie as far apart as they can; None for too many."""
    if any(slot.halves == HALVES for slot in slots):
        return [slots] if len(slots) == 1 else None
    best: tuple[float, list[Sequence[Slot]]] | None = None
    for cut in range(1, len(slots) + 1):
        columns = [column for column in (slots[:cut], slots[cut:]) if column]
        pitches = [MOST_PITCH if len(c) == 1 else shared_pitch(c, room) for c in columns]
        least = None if None in pitches else min(p for p in pitches if p)
        if least is not None and (best is None or least > best[0]):
            best = least, columns
    return best[1] if best else None


def settled(columns: Sequence[Sequence[Slot]], top: float, foot: float) -> list[Slot]:
    """Return the slots of a page in their places between ``top`` and ``foot``, in mm."""
    found = []
    for number, column in enumerate(columns):
        if len(column) == 1:
            found.append(replace(column[0], rows=column[0].planned, column=number, top=top, foot=foot))
            continue
        y, pitch = top, shared_pitch(column, foot - top) or 0.0
        for slot in column:
            head = slot.low_head or 0.0
            end = y + head + HEAD_BAND + slot.left * pitch
            found.append(replace(slot, rows=slot.left, column=number, head=head, top=y, foot=end))
            y = end + APART
    return found


def pages_of(
    items: Sequence[tuple[str, int]], capacity: int, previous: Sequence[Sequence[str]] = ()
) -> list[list[str]]:
    """Return the names on each page; ``items`` are (name, how much of a page's ``capacity`` it takes), in order."""
    sizes = dict(items)
    return pages_that_hold(list(sizes), lambda page: sum(sizes[name] for name in page) <= capacity, previous)


def pages_that_hold(
    names: Sequence[str], holds: Callable[[Sequence[str]], bool], previous: Sequence[Sequence[str]] = ()
) -> list[list[str]]:
    """Return the names on each page, in order; ``holds`` says whether a page has room for these.

    ``previous`` are the pages of the last set. A page keeps the names it had; an added one goes where its
    predecessor is, and only a page that overflows breaks in two, so that nothing behind it moves.
    """
    home = {name: n for n, page in enumerate(previous) for name in page}
    groups: list[tuple[int, list[str]]] = []
    for name in names:
        place = home.get(name, groups[-1][0] if groups else -1)
        if groups and groups[-1][0] == place:
            groups[-1][1].append(name)
        else:
            groups.append((place, [name]))
    pages: list[list[str]] = []
    for _, members in groups:
        page: list[str] = []
        for name in members:
            if page and not holds([*page, name]):
                pages.append(page)
                page = []
            page.append(name)
        pages.append(page)
    return pages


def known_pages(previous: Mapping[str, Any] | None, part: str) -> list[list[str]]:
    """Return which names stood on each page of a part in the last set."""
    return [str(s["facts"]).split(" ") for s in (previous or {}).get("sheets", ()) if s["part"] == part]
