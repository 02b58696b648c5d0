"""Marks on a page: what the layout settles and the drawing copies.

Lengths are millimetres from the top left corner of the page, type in points, rule weights in points, ``gray`` 0
(black) to 1 (white). Marks are kept grouped by pen and by font, the way they are written: grey fills lie lowest,
then lines, then solid fills, then text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from operator import itemgetter
from typing import NamedTuple

from timing.sheet.fonts import BOLD, MM_PER_POINT, Typeface

CAP_HEIGHT_EM = 0.714  # Noto Sans
ROW = 1.3  # mm between the baselines of what is read as one row
EASE = 1.0  # mm that a text may begin before its region

Dash = tuple[float, ...]
HANDLE: Dash = (2.4, 1.4)
DOTTED: Dash = (0.9, 2.1)
INNER: Dash = (1.5, 1.5)
BREAK: Dash = (4.0, 2.0)
BEAT: Dash = (0.8, 1.6)


class Pen(NamedTuple):
    weight: float
    dash: Dash = ()


class Type(NamedTuple):
    style: str
    size: float
    gray: float = 0.0


class Region(NamedTuple):
    """A part of a page that is read from its head to its foot before the next one."""

    x0: float
    y0: float
    x1: float
    y1: float


class Turned(NamedTuple):
    """Text that reads upwards; x, y is the left end of its baseline."""

    x: float
    y: float
    text: str
    style: str
    size: float


class Link(NamedTuple):
    """A rectangle that leads to a named place in the document."""

    x0: float
    y0: float
    x1: float
    y1: float
    target: str


def cap_mm(size: float) -> float:
    """Return the height of a capital letter at ``size`` points."""
    return size * CAP_HEIGHT_EM * MM_PER_POINT


@dataclass
class Ink:
    """The marks of one page (or of the part that many pages share)."""

    face: Typeface
    lines: dict[Pen, list[tuple[float, float, float, float]]] = field(default_factory=dict)
    fills: dict[float, list[list[tuple[float, float]]]] = field(default_factory=dict)  # by gray
    texts: dict[Type, list[tuple[float, float, str]]] = field(default_factory=dict)
    turned: list[Turned] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    has_blanks: bool = False  # letters the typeface lacks stand on the page as a ruled line to write on

    def line(self, x0: float, y0: float, x1: float, y1: float, weight: float, dash: Dash = ()) -> None:
        self.lines.setdefault(Pen(weight, dash), []).append((x0, y0, x1, y1))

    def box(self, x: float, y: float, width: float, height: float, weight: float, dash: Dash = ()) -> None:
        pen = self.lines.setdefault(Pen(weight, dash), [])
        right, foot = x + width, y + height
        pen += [(x, y, right, y), (right, y, right, foot), (right, foot, x, foot), (x, foot, x, y)]

    def fill(self, x: float, y: float, width: float, height: float, gray: float = 0.0) -> None:
        self.polygon([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], gray)

    def polygon(self, points: list[tuple[float, float]], gray: float = 0.0) -> None:
        self.fills.setdefault(gray, []).append(points)

    def text(
        self, x: float, y: float, text: str, style: str = BOLD, size: float = 7, align: str = "left",
        gray: float = 0.0,
    ) -> None:  # fmt: skip
        """Set ``text`` with its baseline at ``y``; ``align`` says which end of it stands at ``x``."""
        shown = self.face.printable(text)
        if not shown:
            return
        self.has_blanks = self.has_blanks or self.face.has_blanks(text)
        if align != "left":
            width = self.face.width_mm(shown, style, size)
            x -= width if align == "right" else width / 2
        self.texts.setdefault(Type(style, size, gray), []).append((x, y, shown))

    def upward(self, x: float, y: float, text: str, style: str = BOLD, size: float = 7) -> None:
        shown = self.face.printable(text)
        self.has_blanks = self.has_blanks or self.face.has_blanks(text)
        self.turned.append(Turned(x, y, shown, style, size))

    def link(self, x0: float, y0: float, x1: float, y1: float, target: str) -> None:
        self.links.append(Link(x0, y0, x1, y1, target))

    def place(self, other: Ink, dx: float, dy: float) -> None:
        """Add the marks of ``other``, moved."""
        for pen, lines in other.lines.items():
            moved = [(x0 + dx, y0 + dy, x1 + dx, y1 + dy) for x0, y0, x1, y1 in lines]
            self.lines.setdefault(pen, []).extend(moved)
        for gray, shapes in other.fills.items():
            self.fills.setdefault(gray, []).extend([(x + dx, y + dy) for x, y in shape] for shape in shapes)
        for kind, texts in other.texts.items():
            is_there = dx == dy == 0
            moved_texts = texts if is_there else [(x + dx, y + dy, text) for x, y, text in texts]
            self.texts.setdefault(kind, []).extend(moved_texts)
        self.turned += [t._replace(x=t.x + dx, y=t.y + dy) for t in other.turned]
        self.links += [Link(a + dx, b + dy, c + dx, d + dy, target) for a, b, c, d, target in other.links]
        self.has_blanks = self.has_blanks or other.has_blanks

    def said(self) -> str:
        """Return everything that is written, in a fixed order: what two inks must share to say the same."""
        placed = (f"{t.style}{t.size:g} {x:.2f} {y:.2f} {text}" for t, at in self.texts.items() for x, y, text in at)
        return "\n".join(sorted(placed))

    def width(self, text: str, style: str = BOLD, size: float = 7) -> float:
        return self.face.width_mm(self.face.printable(text), style, size)


@dataclass
class Page:
    """One laid-out page: its own marks, and the names and marks of the parts it shares with others.

    ``key`` is its bookmark; ``outline`` its entries as (level, title, bookmark). ``regions`` are read one after
    another, between what stands above the first of them and what is left.
    """

    width: float
    height: float
    key: str
    ink: Ink
    forms: tuple[tuple[str, Ink], ...] = ()
    extra_keys: tuple[str, ...] = ()
    outline: tuple[tuple[int, str, str], ...] = ()
    label: str = ""  # the page label
    regions: tuple[Region, ...] = ()


def as_read(ink: Ink, regions: Sequence[Region] = ()) -> list[tuple[float, float, str, Type]]:
    """Return the texts (x, y, text, type) in the order in which they are read: by regions, in each row by row."""
    head = min((region.y0 for region in regions), default=0.0)
    bounds = [(n, r.x0 - EASE, r.x1, r.y0, r.y1) for n, r in enumerate(regions, 1)]
    placed = []
    for kind, texts in ink.texts.items():
        for x, y, text in texts:
            for n, x0, x1, y0, y1 in bounds:  # noqa: B007 (asked for after the loop)
                if x0 <= x < x1 and y0 <= y <= y1:
                    break
            else:
                n = 0 if y < head else len(bounds) + 1
            placed.append((n, y, x, text, kind))
    placed.sort()
    found: list[tuple[float, float, str, Type]] = []
    row: list[tuple[float, float, str, Type]] = []
    region, top = -1, 0.0
    for n, y, x, text, kind in placed:
        if n != region or y - top > ROW:
            row.sort(key=_across)
            found += row
            row, region, top = [], n, y
        row.append((x, y, text, kind))
    row.sort(key=_across)
    return found + row


_across = itemgetter(0)
