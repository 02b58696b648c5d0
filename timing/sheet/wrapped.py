"""Text that does not fit one line, and rows that do not fit one page."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from timing.sheet.fonts import Typeface

LEAST_NAME = 6.5  # points


def wrap(face: Typeface, text: str, style: str, size: float, room_mm: float) -> list[str]:
    """Return ``text`` in lines no wider than ``room_mm``; a single longer word is shortened."""
    return [face.shorten(line, style, size, room_mm) for line in _lines(face, text, style, size, room_mm)]


def name_lines(face: Typeface, name: str, style: str, size: float, room_mm: float) -> tuple[list[str], float]:
    """Return a name whole, on one line or two, and the type size it needs: names are never cut short.

    Of several words it breaks between them; one very long word breaks where the line ends.
    """
    shown = face.printable(name)
    if face.width_mm(shown, style, size) <= room_mm:
        return [shown], size
    size = min(size, 8.0)
    while size > LEAST_NAME:
        lines = _lines(face, name, style, size, room_mm)
        if len(lines) <= 2 and all(face.width_mm(line, style, size) <= room_mm for line in lines):
            return lines, size
        size -= 0.5
    lines = _lines(face, name, style, size, room_mm)
    return [part for line in lines for part in _broken(face, line, style, size, room_mm)], size


def _broken(face: Typeface, line: str, style: str, size: float, room_mm: float) -> list[str]:
    found = [""]
    for character in line:
        if found[-1] and face.width_mm(found[-1] + character, style, size) > room_mm:
            found.append("")
        found[-1] += character
    return found


def two_lines(face: Typeface, text: str, style: str, size: float, room_mm: float) -> list[str]:
    """Return ``text`` on one line or two; what is still too wide loses its middle."""
    lines = _lines(face, text, style, size, room_mm)
    lines = [*lines[:1], " ".join(lines[1:])] if len(lines) > 1 else lines
    return [shorten_middle(face, line, style, size, room_mm) for line in lines]


def shorten_middle(face: Typeface, text: str, style: str, size: float, room_mm: float) -> str:
    """Return ``text`` with its middle left out where it is too wide: of a file name both ends tell something."""
    shown = face.printable(text)
    keep = len(shown)
    while keep > 4 and face.width_mm(shown, style, size) > room_mm:
        keep -= 1
        whole = face.printable(text)
        shown = f"{whole[: keep - keep // 2]}…{whole[len(whole) - keep // 2 :]}"
    return shown


def paginate(
    heights: Sequence[float], room: Callable[[int], float], last_extra: float, with_next: Collection[int] = (),
    fewest: int = 3,
) -> list[list[int]]:  # fmt: skip
    """Return the row numbers of each page.

    ``heights`` are the rows', ``room(page)`` what a page holds, ``last_extra`` what the last one needs besides. A row
    of ``with_next`` does not end a page; a last page has ``fewest`` rows or more, where there are as many.
    """
    pages: list[list[int]] = [[]]
    used = 0.0
    for row, height in enumerate(heights):
        if pages[-1] and used + height > room(len(pages) - 1):
            pages.append([])
            while len(pages[-2]) > 1 and pages[-2][-1] in with_next:
                pages[-1].insert(0, pages[-2].pop())
            used = sum(heights[r] for r in pages[-1])
        pages[-1].append(row)
        used += height
    if pages[-1] and used + last_extra > room(len(pages) - 1):
        pages.append([])
    if len(pages) > 1:
        before, last = pages[-2], pages[-1]
        while len(before) > fewest and (len(last) < fewest or before[-1] in with_next):
            last.insert(0, before.pop())
    return pages


def _lines(face: Typeface, text: str, style: str, size: float, room_mm: float) -> list[str]:
    found = [""]
    for word in text.split():
        longer = f"{found[-1]} {word}".strip()
        if found[-1] and face.width_mm(face.printable(longer), style, size) > room_mm:
            found.append(word)
        else:
            found[-1] = longer
    return [face.printable(line) for line in found]
