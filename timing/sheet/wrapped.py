"""Text that does not fit one line, and rows that do not fit one page."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from timing.sheet.fonts import Typeface

LEAST_NAME = 9.0  # points: what is read


def wrap(face: Typeface, text: str, style: str, size: float, room_mm: float) -> list[str]:
    """Return ``text`` in lines no wider than ``room_mm``; a single longer word breaks where the line ends."""
    lines = _lines(face, text, style, size, room_mm)
    return [part for line in lines for part in _broken(face, line, style, size, room_mm)]


def name_lines(face: Typeface, name: str, style: str, size: float, room_mm: float) -> tuple[list[str], float]:
    """Return a name whole, on one line or two, and the type size it needs: names are never cut short.

    Of several words it breaks between them; one very long word breaks where the line ends.
    """
    shown = face.printable(name)
    if face.width_mm(shown, style, size) <= room_mm:
        return [shown], size
    size = max(min(size, 10.0), LEAST_NAME)
    while size > LEAST_NAME:
        lines = _lines(face, name, style, size, room_mm)
        if len(lines) <= 2 and all(face.width_mm(line, style, size) <= room_mm for line in lines):
            return lines, size
        size -= 0.5
    lines = _lines(face, name, style, size, room_mm)
    return [part for line in lines for part in _broken(face, line, style, size, room_mm)], size


def _broken(face: Typeface, line: str, style: str, size: float, room_mm: float) -> list[str]:
    if face.width_mm(line, style, size) <= room_mm:
        return [line]
    found = [""]
    for character in line:
        if found[-1] and face.width_mm(found[-1] + character, style, size) > room_mm:
            cut = found[-1].rfind("-") + 1  # rather behind a hyphen than within a word
            kept, rest = (found[-1][:cut], found[-1][cut:]) if cut > 1 else (found[-1], "")
            found[-1:] = [kept, rest]
        found[-1] += character
    return found


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
) -> list[list[int]]:  # fmt: skip
    """Return the row numbers of each page: as few pages as there can be, filled evenly.

    ``heights`` are the rows', ``room(page)`` what a page holds, ``last_extra`` what the last one needs besides. A row
    of ``with_next`` does not end a page.
    """
    pages = _filled(heights, room, 1.0, last_extra, with_next)
    if len(pages) < 2:
        return pages
    for tenths in range(5, 10):  # the last page as full as the others, where that takes no more pages
        even = _filled(heights, room, tenths / 10, last_extra, with_next)
        if len(even) == len(pages) and even[-1]:
            return even
    return pages


def _filled(
    heights: Sequence[float], room: Callable[[int], float], share: float, last_extra: float,
    with_next: Collection[int],
) -> list[list[int]]:  # fmt: skip
    pages: list[list[int]] = [[]]
    used = 0.0
    for row, height in enumerate(heights):
        if pages[-1] and used + height > room(len(pages) - 1) * share:
            pages.append([])
            while len(pages[-2]) > 1 and pages[-2][-1] in with_next:
                pages[-1].insert(0, pages[-2].pop())
            used = sum(heights[r] for r in pages[-1])
        pages[-1].append(row)
        used += height
    if last_extra and pages[-1] and used + last_extra > room(len(pages) - 1):
        pages.append([])
        while len(pages[-2]) > 1 and (not pages[-1] or pages[-2][-1] in with_next):
            pages[-1].insert(0, pages[-2].pop())
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
