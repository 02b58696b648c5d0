"""What every page carries: header, footer, the legend of its marks."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from timing.model import Plan
from timing.sheet.fonts import BOLD, REGULAR, REPLACEMENT
from timing.sheet.ink import DOTTED, HANDLE, Ink, cap_mm
from timing.sheet.paper import FOOT, HEADER_RULE, LEFT, RIGHT, Layout, Panel
from timing.sheet.wrapped import name_lines, two_lines

TITLE_X = LEFT + 62
FACT_GAP = 5.5
LEAST_GAP, LEAST_LEGEND = 1.0, 6.0  # between two marks of a legend; its type
GOES_ON = 9.0  # how far the words under a sheet's foot reach to the left of their column
NAMES, NAME_ROOM = ("speaker", "delivered"), 22.0  # facts that may wrap, and the width they have at least


def episode_name(plan: Plan) -> str:
    """Return code and title, as they head every page."""
    code = plan.settings.code
    return f"{code} {plan.title}" if code and not plan.title.startswith(code) else plan.title


def header(
    ink: Ink, width: float, plan: Plan, kind: str, title: str, facts: Sequence[tuple[str, str]],
    corner: tuple[str, str] | None = None, note: str = "",
) -> None:  # fmt: skip
    """Draw the band at the top: episode, kind of page and a note to it, ``title`` large, facts, what is in the corner.

    The title gives way to the facts, down to 12 points; the names among the facts (speakers, files) are set smaller and
    on up to three lines, never cut off. Nothing runs into its neighbour.
    """
    right = width - RIGHT
    ink.text(LEFT, 11.6, ink.face.shorten(episode_name(plan), BOLD, 11, TITLE_X - LEFT - 3), BOLD, 11)
    _notes(ink, kind, note)
    stop = right
    if corner:
        caption, value = corner
        ink.text(right, 10.6, caption, REGULAR, 6.5, "right")
        ink.text(right, 17, value, BOLD, 16, "right")
        stop -= max(ink.width(value, BOLD, 16), ink.width(caption, REGULAR, 6.5)) + 4
    needs = [max(ink.width(value, BOLD, 10.5), ink.width(caption, REGULAR, 6.5)) for caption, value in facts]
    least = [
        min(need, NAME_ROOM) if caption in NAMES else need for (caption, _), need in zip(facts, needs, strict=True)
    ]
    title_room = min(74.0, stop - TITLE_X - 5 - sum(least) - FACT_GAP * max(0, len(facts) - 1))
    size = ink.face.fit(title, BOLD, 22, title_room, 12)
    title = ink.face.shorten(title, BOLD, size, stop - TITLE_X - 4)
    ink.text(TITLE_X, 17, title, BOLD, size)
    x = TITLE_X + ink.width(title, BOLD, size) + 5
    spare = stop - x - sum(least) - FACT_GAP * (len(facts) - 1)
    for (caption, value), need, fewest in zip(facts, needs, least, strict=True):
        room = min(need, fewest + max(0.0, spare))
        spare -= room - fewest
        if x + min(room, 9) > stop:
            break
        ink.text(x, 10.6, caption, REGULAR, 6.5)
        if caption in NAMES:
            _name(ink, x, value, min(room, stop - x))
        else:
            ink.text(x, 16.4, ink.face.shorten(value, BOLD, 10.5, min(room, stop - x)), BOLD, 10.5)
        x += room + FACT_GAP
    ink.line(LEFT, HEADER_RULE, right, HEADER_RULE, 1.2)


def _notes(ink: Ink, kind: str, note: str) -> None:
    """Set the kind of page and the note to it under the episode's name, the note on two lines where it is long."""
    if not note:
        ink.text(LEFT, 16.6, kind, REGULAR, 8)
        return
    room = TITLE_X - LEFT - 2
    size = ink.face.fit(ink.face.printable(note), REGULAR, 7.5, room, 6.5)
    lines = two_lines(ink.face, note, REGULAR, size, room)
    first, step = (15.0, 3.2) if len(lines) == 1 else (14.4, 2.2)
    ink.text(LEFT, first, kind, REGULAR, 8 if len(lines) == 1 else 7)
    for n, line in enumerate(lines, 1):
        ink.text(LEFT, first + n * step, line, REGULAR, size)


def _name(ink: Ink, x: float, name: str, room: float) -> None:
    lines, size = name_lines(ink.face, name, BOLD, 10.5, room + 0.01)
    if len(lines) > 3:
        lines = [*lines[:2], ink.face.shorten(" ".join(lines[2:]), BOLD, size, room)]
    first, step = {1: (16.4, 0.0), 2: (14.3, 3.2)}.get(len(lines), (13.2, 2.5))
    for n, line in enumerate(lines):
        ink.text(x, first + n * step, line, BOLD, size)


def footer(ink: Ink, width: float, height: float, plan: Plan, page_number: int) -> None:
    """Draw the origin of the paper: episode, script version, page. No date: the same input, the same bytes."""
    ink.text(width - RIGHT, height - FOOT, footer_text(ink, plan, page_number), REGULAR, 6.5, "right")


def footer_text(ink: Ink, plan: Plan, page_number: int) -> str:
    """Return what stands in the right corner at the foot."""
    name = plan.settings.code or ink.face.shorten(plan.title, REGULAR, 6.5, 30)
    return f"{name} · script {plan.script_hash} · p. {page_number}"


def legend_line(ink: Ink, width: float, height: float, plan: Plan, page_number: int, text: str) -> None:
    """Draw a legend in words at the foot, as large as the footer beside it leaves room for."""
    room = width - RIGHT - LEFT - ink.width(footer_text(ink, plan, page_number), REGULAR, 6.5) - 3
    if ink.has_replaced:
        text += f" · {REPLACEMENT} {REPLACED.label}"
    ink.text(LEFT, height - FOOT, text, REGULAR, ink.face.fit(text, REGULAR, 7, room, LEAST_LEGEND))


def replaced_note(ink: Ink, width: float, height: float) -> None:
    """Explain the mark for a letter the font lacks, over the footer of a page on which it stands."""
    if ink.has_replaced:
        ink.text(width - RIGHT, height - FOOT - 3.6, f"{REPLACEMENT} {REPLACED.label}", REGULAR, 7, "right")


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
    ink.text(x + size / 2, y - 0.55, "!", BOLD, round(size / 0.3528 * 0.9, 1), "center", gray=1.0)


def changed_bar(ink: Ink, width: float, y0: float, y1: float) -> None:
    """Draw the bar in the right margin beside what is not as in the last set.

    It stays 6.6 mm from the edge: printers leave up to about 6.35 mm blank (common practice).
    """
    ink.fill(width - RIGHT + 0.6, y0, 0.8, y1 - y0)


class Mark:
    """One entry of the legend, drawn at real size."""

    def __init__(self, draw: Callable[[Ink, float, float], None], label: str):
        self.draw, self.label = draw, label


def legend(ink: Ink, height: float, marks: Sequence[Mark], note: str = "", room: float | None = None) -> None:
    """Draw the marks in a row at the foot; closer together and smaller where they would be wider than ``room``."""
    y, x, gap, size = height - FOOT, LEFT, 4.0, 7.0
    if room is not None and marks:
        while True:
            taken = sum(5 + ink.width(mark.label, REGULAR, size) for mark in marks)
            gap = min(gap, (room - taken) / len(marks))
            if gap >= LEAST_GAP or size <= LEAST_LEGEND:
                break
            size, gap = size - 0.5, 4.0
        gap = max(gap, LEAST_GAP)
    for mark in marks:
        mark.draw(ink, x, y)
        ink.text(x + 5, y, mark.label, REGULAR, size)
        x += 5 + ink.width(mark.label, REGULAR, size) + gap
    ink.text(x, y, note, REGULAR, 7)


def vowel_key(ink: Ink, layout: Layout, panel: Panel, key: str) -> None:
    """Say under a panel how the vowels in its mouth column sound, clear of what goes on under its words."""
    if key:
        room = panel.columns["words"][0] - GOES_ON - panel.left
        text = f"mouth: {key}"
        size = ink.face.fit(text, REGULAR, 7, room, 6)
        ink.text(panel.left, layout.height - FOOT - 3.6, ink.face.shorten(text, REGULAR, size, room), REGULAR, size)


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


WORD = Mark(_word, "word, first to last frame")
STRESS = Mark(_stress, "stressed (also bold)")
LIPS = Mark(lambda ink, x, y: lips_mark(ink, x + 0.5, y - 2.1, y), "lips closed m b p")
TEETH = Mark(lambda ink, x, y: teeth_mark(ink, x + 0.5, y - 2.2, y + 0.1), "lip on teeth f v")
SILENCE = Mark(lambda ink, x, y: ink.line(x + 2, y - 2.4, x + 2, y + 0.3, 0.9, DOTTED), "mouth at rest")
HANDLE_MARK = Mark(lambda ink, x, y: ink.line(x + 2, y - 2.5, x + 2, y + 0.4, 1.2, HANDLE), "handle")
FAULT = Mark(lambda ink, x, y: caution_square(ink, x + 0.8, y + 0.3, 2.6), "wrong in the clip")
REPLACED = Mark(lambda ink, x, y: ink.text(x + 1.4, y, REPLACEMENT, REGULAR, 8), "letter the font lacks")
CHANGED = Mark(lambda ink, x, y: ink.fill(x + 2, y - 2.3, 0.8, 2.6), "changed")


def left_over(beyond: int | None) -> Mark:
    """Return the entry for what is left over of the seconds asked for; ``beyond`` is its last frame, if not shown."""
    label = "left over" if beyond is None else f"left over, to frame {beyond}"
    return Mark(lambda ink, x, y: ink.line(x + 2, y - 2.5, x + 2, y + 0.4, 0.9, DOTTED), label)


def middle(y: float, height: float, size: float) -> float:
    """Return the baseline that sets figures in the middle of a row."""
    return y + height / 2 + cap_mm(size) / 2
