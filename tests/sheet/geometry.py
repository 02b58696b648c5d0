"""What an eye would stumble over on a laid-out page: texts on texts or rules, what leaves the paper, type too small.

A text's extent is that of its letters: capitals 0.714 em (as Noto Sans), lower case without ascenders 0.54 em,
descenders 0.22 em; its width is the typeface's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from timing.sheet.fonts import MM_PER_POINT
from timing.sheet.ink import Ink, Page

LEAST_TYPE = 6.5
EDGE_MM = 6.35  # a quarter of an inch, which most office printers leave blank (common practice)
PUNCHED_MM = 16.7  # how far a US three-hole punch reaches: centre 12.7 mm in, hole 8 mm across (common practice)
TOUCH_MM = 0.12  # less is not seen
FLAT = set("acemnorsuvwxz-–—·.,_")
DEEP = set("gjpqyçQ,;()[]{}|/@")


@dataclass(frozen=True)
class Set:
    """A text as it stands on the page: its letters' extent, and how it is set."""

    text: str
    x0: float
    y0: float
    x1: float
    y1: float
    size: float
    style: str
    gray: float = 0.0

    def __str__(self) -> str:
        return f"“{self.text}” {self.size:g} pt at {self.x0:.1f}, {self.y1:.1f}"


def texts(page: Page) -> list[Set]:
    """Return every text of a page, the shared part's too."""
    return [text for ink in _inks(page) for text in _texts(ink)]


def _inks(page: Page) -> list[Ink]:
    return [page.ink, *(ink for _, ink in page.forms)]


def _texts(ink: Ink) -> Iterator[Set]:
    for (style, size, gray), placed in ink.texts.items():
        for x, y, text in placed:
            up, down = _reach(text, size)
            shown = text.rstrip()
            yield Set(text, x, y - up, x + ink.face.width_mm(shown, style, size), y + down, size, style, gray)
    for turned in ink.turned:
        up, down = _reach(turned.text, turned.size)
        length = ink.face.width_mm(turned.text, turned.style, turned.size)
        yield Set(turned.text, turned.x - up, turned.y - length, turned.x + down, turned.y, turned.size, turned.style)


def _reach(text: str, size: float) -> tuple[float, float]:
    up = 0.54 if all(c in FLAT for c in text) else 0.714
    down = 0.22 if any(c in DEEP for c in text) else 0.0
    return up * size * MM_PER_POINT, down * size * MM_PER_POINT


def _holds(shape: list[tuple[float, float]], text: Set) -> bool:
    xs, ys = [x for x, _ in shape], [y for _, y in shape]
    return min(xs) <= text.x0 and text.x1 <= max(xs) and min(ys) <= text.y0 and text.y1 <= max(ys)


def _rules(page: Page, has_shared: bool = True) -> np.ndarray:
    """Return every stroke as (x0, y0, x1, y1, half its weight in mm); with or without those of the shared grid."""
    found = [
        (*line, pen.weight * MM_PER_POINT / 2)
        for ink in (_inks(page) if has_shared else [page.ink])
        for pen, lines in ink.lines.items()
        for line in lines
    ]
    return np.array(found).reshape(-1, 5)


def _fills(page: Page) -> list[tuple[float, list[tuple[float, float]]]]:
    return [(gray, shape) for ink in _inks(page) for gray, shapes in ink.fills.items() for shape in shapes]


def faults(page: Page) -> list[str]:
    """Return a sentence for everything on the page that is on something else, off the paper, or too small."""
    placed = texts(page)
    found = [f"too small: {t}" for t in placed if t.size < LEAST_TYPE]
    found += [f"text on text: {placed[a]} and {placed[b]}" for a, b in _pairs(placed)]
    covers = [shape for gray, shape in _fills(page) if gray == 1]  # white boxes over the shared grid hide it
    free = [t for t in placed if not any(_holds(shape, t) for shape in covers)]
    kept = [t for t in placed if t not in free]
    found += [f"rule through text: {t}" for t in (*_struck(free, _rules(page)), *_struck(kept, _rules(page, False)))]
    found += [f"text on black: {t}" for t in _buried(placed, _fills(page))]
    found += list(_outside(page, placed))
    return found


def _corners(placed: Sequence[Set]) -> np.ndarray:
    return np.array([(t.x0, t.y0, t.x1, t.y1) for t in placed]).reshape(-1, 4)


def _pairs(placed: Sequence[Set]) -> list[tuple[int, int]]:
    box = _corners(placed)
    wide = np.minimum(box[:, None, 2], box[None, :, 2]) - np.maximum(box[:, None, 0], box[None, :, 0])
    high = np.minimum(box[:, None, 3], box[None, :, 3]) - np.maximum(box[:, None, 1], box[None, :, 1])
    return [(a, b) for a, b in np.argwhere((wide > TOUCH_MM) & (high > TOUCH_MM)) if a < b]


def _struck(placed: Sequence[Set], rules: np.ndarray) -> list[Set]:
    """Return the texts that a stroke runs through: each stroke is walked in steps of a third of a millimetre."""
    if not len(rules) or not placed:
        return []
    box = _corners(placed)
    found: set[int] = set()
    half = rules[:, 4]
    straight = (np.abs(rules[:, 0] - rules[:, 2]) < 0.01) | (np.abs(rules[:, 1] - rules[:, 3]) < 0.01)
    lo = np.minimum(rules[:, :2], rules[:, 2:4])
    hi = np.maximum(rules[:, :2], rules[:, 2:4])
    level = np.abs(rules[:, 1] - rules[:, 3]) < 0.01
    lo = lo - np.stack([np.where(level, 0, half), np.where(level, half, 0)], 1)
    hi = hi + np.stack([np.where(level, 0, half), np.where(level, half, 0)], 1)
    wide = np.minimum(box[:, None, 2], hi[None, :, 0]) - np.maximum(box[:, None, 0], lo[None, :, 0])
    high = np.minimum(box[:, None, 3], hi[None, :, 1]) - np.maximum(box[:, None, 1], lo[None, :, 1])
    hit = (wide > TOUCH_MM) & (high > TOUCH_MM) & straight[None, :]
    found |= set(np.argwhere(hit.any(1))[:, 0].tolist())
    for x0, y0, x1, y1, _ in rules[~straight]:
        steps = np.linspace(0, 1, max(2, int(max(abs(x1 - x0), abs(y1 - y0)) * 3)))
        xs, ys = x0 + (x1 - x0) * steps, y0 + (y1 - y0) * steps
        on = (
            (xs[None] > box[:, :1] + TOUCH_MM) & (xs[None] < box[:, 2:3] - TOUCH_MM)
            & (ys[None] > box[:, 1:2] + TOUCH_MM) & (ys[None] < box[:, 3:4] - TOUCH_MM)
        ).any(1)  # fmt: skip
        found |= set(np.argwhere(on)[:, 0].tolist())
    return [placed[n] for n in sorted(found) if placed[n].gray < 1]


def _buried(placed: Sequence[Set], fills: list[tuple[float, list[tuple[float, float]]]]) -> list[Set]:
    black = [t for t in placed if t.gray < 1]
    fills = [(gray, shape) for gray, shape in fills if gray < 1]
    if not black or not fills:
        return []
    box = _corners(black)
    found: set[int] = set()
    corners = np.array(
        [(min(x for x, _ in s), min(y for _, y in s), max(x for x, _ in s), max(y for _, y in s)) for _, s in fills]
    )
    wide = np.minimum(box[:, None, 2], corners[None, :, 2]) - np.maximum(box[:, None, 0], corners[None, :, 0])
    high = np.minimum(box[:, None, 3], corners[None, :, 3]) - np.maximum(box[:, None, 1], corners[None, :, 1])
    for n in np.argwhere((wide > TOUCH_MM) & (high > TOUCH_MM))[:, 0].tolist():
        found.add(n)
    return [black[n] for n in sorted(found)]


def _outside(page: Page, placed: Sequence[Set]) -> Iterator[str]:
    left = PUNCHED_MM
    top = PUNCHED_MM if page.width > page.height else EDGE_MM
    right, foot = page.width - EDGE_MM, page.height - EDGE_MM
    for t in placed:
        if t.x0 < left - 0.01 or t.x1 > right or t.y0 < top or t.y1 > foot:
            yield f"over the margin: {t}"
    for x0, y0, x1, y1, half in _rules(page):
        if min(x0, x1) - half < left - 0.3 or max(x0, x1) + half > right or min(y0, y1) < top or max(y0, y1) > foot:
            yield f"over the margin: a rule from {x0:.1f}, {y0:.1f} to {x1:.1f}, {y1:.1f}"
    for _, shape in _fills(page):
        if any(x < left or x > right or y < top or y > foot for x, y in shape):
            yield f"over the margin: a shape at {shape[0][0]:.1f}, {shape[0][1]:.1f}"
