"""Which rows stand on which sheet of paper: short clips side by side, a long one over several panels.

A slot is what one clip (or what is seen with it) takes of one sheet: half an upright page, the whole of it where
several speak at once, or the whole of a lying one. A sheet keeps the slots it had in the last set, so that a new clip
moves nothing behind it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from timing.sheet.frame.score import Passage

HALVES = 2  # of a page


@dataclass(frozen=True)
class Slot:
    """Panels ``index`` of ``count`` of a passage; ``halves`` of a page it takes; a picture passage has no rows.

    ``head`` is the height over the rows, ``least`` how close rows may lie, both in mm.
    """

    passage: Passage
    index: int
    count: int
    rows: int  # in one panel
    panels: int
    halves: int
    is_picture: bool = False
    head: float = 0.0
    least: float = 0.0

    @property
    def name(self) -> str:
        return f"{self.passage.anchor}/{self.index + 1}"

    @property
    def frames(self) -> int:
        return self.rows * self.panels

    @property
    def first(self) -> int:
        """The passage's frame in the first row."""
        return self.index * self.frames

    @property
    def is_first(self) -> bool:
        return self.index == 0


def pages_of(
    items: Sequence[tuple[str, int]], capacity: int, previous: Sequence[Sequence[str]] = ()
) -> list[list[str]]:
    """Return the names on each page; ``items`` are (name, how much of a page's ``capacity`` it takes), in order.

    ``previous`` are the pages of the last set. A page keeps the items it had; an added one goes where its
    predecessor is, and only a page that overflows breaks in two, so that nothing behind it moves.
    """
    home = {name: n for n, page in enumerate(previous) for name in page}
    groups: list[tuple[int, list[tuple[str, int]]]] = []
    for name, size in items:
        place = home.get(name, groups[-1][0] if groups else -1)
        if groups and groups[-1][0] == place:
            groups[-1][1].append((name, size))
        else:
            groups.append((place, [(name, size)]))
    pages: list[list[str]] = []
    for _, members in groups:
        page: list[str] = []
        used = 0
        for name, size in members:
            if page and used + size > capacity:
                pages.append(page)
                page, used = [], 0
            page.append(name)
            used += size
        pages.append(page)
    return pages


def known_pages(previous: Mapping[str, Any] | None, part: str) -> list[list[str]]:
    """Return which names stood on each page of a part in the last set."""
    return [str(s["facts"]).split(" ") for s in (previous or {}).get("sheets", ()) if s["part"] == part]
