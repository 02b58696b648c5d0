"""What every page carries: header, footer, the legend of its marks."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from timing.model import Plan
from timing.sheet.fonts import BOLD, REGULAR, Typeface
from timing.sheet.ink import DOTTED, HANDLE, INNER, Ink, cap_mm
from timing.sheet.paper import FOOT, LEFT, LYING_TOP, RIGHT, TOP
from timing.sheet.wrapped import wrap

FACT_GAP = 5.5
SMALL = 7.0  # points, bold: captions and legends, what is only looked up; thin strokes vanish on a copy
READ = 9.0  # what is read
LEGEND_LEADING = 3.4


def episode_name(plan: Plan) -> str:
    """Return code and title, as they head every page."""
    code = plan.settings.code
    return f"{code} {plan.title}" if code and not plan.title.startswith(code) else plan.title


def page_top(width: float, height: float) -> float:
    """Return where the first ink of a page may stand: below the holes of a page that lies."""
    return LYING_TOP if width > height else TOP


def header(
    ink: Ink, width: float, height: float, plan: Plan, kind: str, title: str, facts: Sequence[tuple[str, str]],
    corner: tuple[str, str] | None = None, note: str = "",
) -> float:  # fmt: skip
    """Draw the band at the top and return where it ends: episode, kind of page, ``title`` large, facts, corner.

    Whatever is too long wraps; the band grows, nothing is left out.
    """
    right, face, y = width - RIGHT, ink.face, page_top(width, height)
    stop = right
    if corner:
        caption, value = corner
        ink.text(right, y + 2.4, caption, BOLD, SMALL, "right")
        ink.text(right, y + 8.4, value, BOLD, 16, "right")
        stop -= max(ink.width(value, BOLD, 16), ink.width(caption, BOLD, SMALL)) + 5
    for line in wrap(face, episode_name(plan), BOLD, 11, stop - LEFT):
        y += 4.2
        ink.text(LEFT, y, line, BOLD, 11)
    for line in wrap(face, " · ".join(filter(None, (kind, note))), REGULAR, READ, stop - LEFT):
        y += 3.9
        ink.text(LEFT, y, line, REGULAR, READ)
    y = _titled(ink, title, facts, y, stop)
    y = max(y + 2.4, page_top(width, height) + 11.4)
    ink.line(LEFT, y, right, y, 1.2)
    return y


def _titled(ink: Ink, title: str, facts: Sequence[tuple[str, str]], y: float, stop: float) -> float:
    """Set the title and the facts behind it, on as many rows as they need; return the last baseline."""
    needs = [max(ink.width(value, BOLD, 10.5), ink.width(caption, BOLD, SMALL)) for caption, value in facts]
    size = 20.0 if ink.width(title, BOLD, 20) <= (stop - LEFT) / 2 else 14.0
    lines = wrap(ink.face, title, BOLD, size, stop - LEFT)
    for n, line in enumerate(lines):
        y += size * 0.38 + (1.2 if n == 0 else 0)
        ink.text(LEFT, y, line, BOLD, size)
    x = LEFT + ink.width(lines[-1], BOLD, size) + 6
    for (caption, value), need in zip(facts, needs, strict=True):
        shown = [value]
        if x + need > stop:
            x, y = LEFT, y + 9.2
            shown = wrap(ink.face, value, BOLD, 10.5, stop - LEFT)
        ink.text(x, y - 5.2, caption, BOLD, SMALL)
        for n, line in enumerate(shown):
            y += 4.2 * (n > 0)
            ink.text(x, y, line, BOLD, 10.5)
        x += min(need, stop - LEFT) + FACT_GAP
    return y


def slim_room(face: Typeface, width: float, kind: str, corner: tuple[str, str]) -> float:
    """Return the width that a slim header has for the title, beside the kind of page and its corner."""
    caption, value = corner
    beside = face.width_mm(value, BOLD, 14) + face.width_mm(caption, REGULAR, READ) + face.width_mm(kind, REGULAR, READ)
    return width - RIGHT - LEFT - beside - 1.5 - 5 - 5


def slim_header(
    ink: Ink, width: float, height: float, plan: Plan, kind: str, corner: tuple[str, str], room: float
) -> float:  # fmt: skip
    """Draw the one-line head of a frame sheet and return where it ends; a title wider than ``room`` wraps."""
    right, y = width - RIGHT, page_top(width, height)
    caption, value = corner
    ink.text(right, y + 4.6, value, BOLD, 14, "right")
    x = right - ink.width(value, BOLD, 14) - 1.5
    ink.text(x, y + 4.6, caption, REGULAR, READ, "right")
    x -= ink.width(caption, REGULAR, READ) + 5
    ink.text(x, y + 4.6, kind, REGULAR, READ, "right")
    for n, line in enumerate(title_lines(ink.face, plan, room)):
        y += 4.2 * (n > 0)
        ink.text(LEFT, y + 4.6, line, BOLD, 10)
    ink.line(LEFT, y + 6.2, right, y + 6.2, 1.2)
    return y + 6.2


def title_lines(face: Typeface, plan: Plan, room: float) -> list[str]:
    return wrap(face, episode_name(plan), BOLD, 10, room)


def footer(ink: Ink, width: float, height: float, plan: Plan, page_number: int) -> None:
    """Draw the origin of the paper: episode, script version, page. No date: the same input, the same bytes."""
    ink.text(width - RIGHT, height - FOOT, footer_text(ink, plan, page_number), BOLD, SMALL, "right")


def footer_text(ink: Ink, plan: Plan, page_number: int) -> str:
    """Return what stands in the right corner at the foot."""
    name = plan.settings.code or ink.face.shorten(ink.face.printable(plan.title), BOLD, SMALL, 30)
    return f"{name} · script {plan.script_hash} · p. {page_number}"


def legend_line(ink: Ink, width: float, height: float, plan: Plan, page_number: int, text: str) -> None:
    """Draw a legend in words at the foot, on as many lines as it needs, clear of the footer beside the last."""
    room = width - RIGHT - LEFT - ink.width(footer_text(ink, plan, page_number), BOLD, SMALL) - 3
    if ink.has_blanks:
        text += f" · {BLANKS.label}"
    lines = wrap(ink.face, text, BOLD, SMALL, room)
    for n, line in enumerate(lines):
        ink.text(LEFT, height - FOOT - LEGEND_LEADING * (len(lines) - 1 - n), line, BOLD, SMALL)


def clock(frames: int, second: int) -> str:
    """Return minutes and seconds of a frame count.

    >>> clock(360, 24)
    '0:15'
    """
    minutes, seconds = divmod(frames // second, 60)
    return f"{minutes}:{seconds:02d}"


def caution_square(ink: Ink, x: float, y: float, size: float = 3.4) -> None:
    """Draw the one alarm mark, a solid square with a white exclamation mark, standing on ``y``."""
    ink.fill(x, y - size, size, size)
    ink.text(x + size / 2, y - size * 0.17, "!", BOLD, max(6.5, round(size / 0.3528 * 0.9, 1)), "center", gray=1.0)


def changed_bar(ink: Ink, width: float, y0: float, y1: float) -> None:
    """Draw the bar in the right margin beside what is not as in the last set.

    It stays 6.6 mm from the edge: printers leave up to about 6.35 mm blank (common practice).
    """
    ink.fill(width - RIGHT + 0.6, y0, 0.8, y1 - y0)


class Mark:
    """One entry of the legend, drawn at real size."""

    def __init__(self, draw: Callable[[Ink, float, float], None], label: str):
        self.draw, self.label = draw, label


def legend_rows(face: Typeface, marks: Sequence[Mark], room: float, last_room: float) -> list[list[Mark]]:
    """Return the marks in rows, the last one short enough for the footer beside it."""

    def width(mark: Mark) -> float:
        return 7.0 + face.width_mm(face.printable(mark.label), BOLD, SMALL)

    rows: list[list[Mark]] = [[]]
    used = 0.0
    for mark in marks:
        if rows[-1] and used + width(mark) > room:
            rows.append([])
            used = 0.0
        rows[-1].append(mark)
        used += width(mark)
    behind: list[Mark] = []
    while len(rows[-1]) > 1 and sum(map(width, rows[-1])) > last_room:
        behind.insert(0, rows[-1].pop())
    return [*rows, behind] if behind else rows


def legend(ink: Ink, width: float, height: float, marks: Sequence[Mark], corner: str) -> float:
    """Draw the marks in rows at the foot, beside the footer's text; return the top of the first row."""
    room = width - LEFT - RIGHT
    rows = legend_rows(ink.face, marks, room, room - ink.width(corner, BOLD, SMALL) - 3)
    for n, row in enumerate(rows):
        x, y = LEFT, height - FOOT - LEGEND_LEADING * (len(rows) - 1 - n)
        for mark in row:
            mark.draw(ink, x, y)
            ink.text(x + 5, y, mark.label, BOLD, SMALL)
            x += 7 + ink.width(mark.label, BOLD, SMALL)
    return height - FOOT - LEGEND_LEADING * len(rows)


def _word(ink: Ink, x: float, y: float) -> None:
    ink.box(x + 0.3, y - 2.3, 3.6, 2.6, 1)
    ink.fill(x + 0.3, y - 2.3, 0.6, 2.6)


def _stress(ink: Ink, x: float, y: float) -> None:
    ink.box(x + 0.3, y - 2.3, 3.6, 2.6, 1)
    ink.fill(x + 0.3, y - 2.3, 1.6, 2.6)


def lips_mark(ink: Ink, x: float, y0: float, y1: float, width: float = 3.0) -> None:
    ink.fill(x, y0, width, y1 - y0)


def teeth_mark(ink: Ink, x: float, y0: float, y1: float, width: float = 3.0) -> None:
    ink.box(x + 0.15, y0 + 0.1, width - 0.3, y1 - y0 - 0.2, 0.7)
    ink.line(x + 0.15, y1 - 0.1, x + width - 0.15, y0 + 0.1, 0.7)


def left_over_line(ink: Ink, x: float, y0: float, y1: float) -> None:
    """Draw what was asked for beyond the cut: a thin line, unlike the dashes of a handle."""
    ink.line(x, y0, x, y1, 0.4)


def _sound(ink: Ink, x: float, y: float) -> None:
    ink.polygon([(x + 1, y), (x + 2, y - 1.9), (x + 3.2, y - 1.2), (x + 4, y)], 0.5)


def _inner(ink: Ink, x: float, y: float) -> None:
    ink.line(x + 0.6, y - 0.9, x + 4.2, y - 0.9, 0.35, INNER)


WORD = Mark(_word, "word")
STRESS = Mark(_stress, "stressed, bold")
SYLLABLE = Mark(_inner, "syllable of the same word")
LIPS = Mark(lambda ink, x, y: lips_mark(ink, x + 0.9, y - 2.1, y), "lips closed")
TEETH = Mark(lambda ink, x, y: teeth_mark(ink, x + 0.9, y - 2.2, y + 0.1), "lip on teeth")
SILENCE = Mark(lambda ink, x, y: ink.line(x + 2.6, y - 2.4, x + 2.6, y + 0.3, 0.9, DOTTED), "mouth at rest")
SPEECH_MARK = Mark(lambda ink, x, y: ink.line(x + 2.6, y - 2.4, x + 2.6, y + 0.3, 2.4), "speech")
HANDLE_MARK = Mark(lambda ink, x, y: ink.line(x + 2.6, y - 2.5, x + 2.6, y + 0.4, 1.2, HANDLE), "handle")
SOUND = Mark(_sound, "sound")
FAULT = Mark(lambda ink, x, y: caution_square(ink, x + 1.4, y + 0.3, 2.6), "do not trust")
BLANKS = Mark(lambda ink, x, y: ink.line(x + 0.6, y, x + 4.4, y, 0.4), "ruled line: write by hand")
CHANGED = Mark(lambda ink, x, y: ink.fill(x + 2.6, y - 2.3, 0.8, 2.6), "changed")


def left_over(beyond: int | None) -> Mark:
    """Return the entry for what is left over of the seconds asked for; ``beyond`` is its last frame, if not shown."""
    label = "left over" if beyond is None else f"left over, to frame {beyond}"
    return Mark(lambda ink, x, y: left_over_line(ink, x + 2.6, y - 2.5, y + 0.4), label)


def middle(y: float, height: float, size: float) -> float:
    """Return the baseline that sets figures in the middle of a row."""
    return y + height / 2 + cap_mm(size) / 2
