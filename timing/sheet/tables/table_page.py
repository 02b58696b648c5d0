"""A list on paper, for whoever needs one: title, columns, rows that wrap, lead somewhere and can be ticked or drawn in.

In: :class:`TableColumn` and :class:`TableRow`. Out: pages in the set's own hand. Nothing is cut: a cell wraps, a row is
never divided between pages, and the pages are filled evenly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from timing.model import Plan
from timing.sheet.fonts import BOLD, REGULAR, Typeface
from timing.sheet.furniture import BLANKS, SMALL, Mark, caution_square, footer, footer_text, header, legend
from timing.sheet.ink import Ink, Page
from timing.sheet.paper import FOOT, LEFT, RIGHT, paper_size
from timing.sheet.tables.came_back import state_box
from timing.sheet.wrapped import paginate, wrap

LEADING = 0.4  # mm a point
ABOVE, BELOW = 0.7, 0.8  # a row's text
MOST_WIDER = 2.0  # mm more for each row where a page has the room
GAP = 3.0  # between columns
BOX, HEAD = 4.2, 5.4
NOTE_SIZE, HEADING_SIZE, LEGEND_ROOM, BARE_ROOM = 9.0, 10.5, 9.0, 5.0


@dataclass(frozen=True)
class TableColumn:
    """One column; the one without a width takes what the others leave. A drawn one has room for a picture, 16 : 9."""

    head: str
    width: float | None
    align: str = "left"
    style: str = REGULAR
    size: float = 9.5
    is_drawn: bool = False


@dataclass(frozen=True)
class TableRow:
    """One row: a text for each column, in the column's style unless ``styles`` names another (by column's index).

    ``notes`` stand below it, those of ``cautions`` with the caution mark; ``target`` is the bookmark it leads to and
    ``key`` its own; ``state`` the tick box at the right ("" to be ticked, None for no box). A row with a ``heading``
    has that over the whole width in place of cells, and stands over what follows it.
    """

    cells: tuple[str, ...]
    styles: dict[int, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    target: str | None = None
    key: str | None = None
    state: str | None = None
    heading: str = ""


@dataclass(frozen=True)
class TableHead:
    """What stands over every page of a table, and what the pages are called."""

    kind: str
    title: str
    facts: tuple[tuple[str, str], ...]
    corner: tuple[str, str] | None
    key: str
    note: str = ""
    box_head: str = "got it"


def table_pages(
    plan: Plan, face: Typeface, head: TableHead, columns: Sequence[TableColumn], rows: Sequence[TableRow],
    marks: Sequence[Mark], first_page: int, is_lying: bool = False,
) -> list[Page]:  # fmt: skip
    """Return the pages of a table; the first one stands in the outline under the title."""
    return _TablePages(plan, face, head, columns, rows, marks, first_page, is_lying).pages()


class _TablePages:
    def __init__(
        self, plan: Plan, face: Typeface, head: TableHead, columns: Sequence[TableColumn], rows: Sequence[TableRow],
        marks: Sequence[Mark], first_page: int, is_lying: bool,
    ):  # fmt: skip
        self.plan, self.face, self.head, self.columns, self.rows = plan, face, head, columns, rows
        self.marks, self.first_page = list(marks), first_page
        self.width, self.height = paper_size(plan.settings.sheet.paper, is_lying)
        self.right = self.width - RIGHT
        self.boxes = any(row.state is not None for row in rows)
        self.places = self._places()
        self.top = self._header(Ink(face)) + HEAD

    def pages(self) -> list[Page]:
        heights = [self._height(row) for row in self.rows]
        room = self.height - FOOT - (LEGEND_ROOM if self.marks else BARE_ROOM) - self.top
        found: list[Page] = []
        headings = {n for n, row in enumerate(self.rows) if row.heading}
        for numbers in paginate(heights, lambda _: room, 0, headings):
            ink = Ink(self.face)
            y = self._header(ink) + HEAD
            self._heads(ink, y)
            keys = []
            wider = min(MOST_WIDER, (room - sum(heights[n] for n in numbers)) / max(1, len(numbers)))
            for n in numbers:
                heights[n] += max(0.0, wider)
                self._row(ink, y, heights[n], self.rows[n])
                y += heights[n]
                ink.line(LEFT, y, self.right, y, 0.25)
                keys += [key] if (key := self.rows[n].key) else []
            number = self.first_page + len(found)
            marks = [*self.marks, BLANKS] if ink.has_blanks else self.marks
            legend(ink, self.width, self.height, marks, footer_text(ink, self.plan, number))
            footer(ink, self.width, self.height, self.plan, number)
            key = self.head.key if not found else f"{self.head.key}{len(found) + 1}"
            outline = ((0, self.head.title, key),) if not found else ()
            found.append(Page(self.width, self.height, key, ink, extra_keys=tuple(keys), outline=outline))
        return found

    def _places(self) -> list[tuple[float, float]]:
        """Return (left, right) of each column."""
        stop = self.right - (BOX + GAP + 4 if self.boxes else 0)
        fixed = sum(column.width or 0 for column in self.columns) + GAP * (len(self.columns) - 1)
        places, x = [], LEFT
        for column in self.columns:
            width = stop - LEFT - fixed if column.width is None else column.width
            places.append((x, x + width))
            x += width + GAP
        return places

    def _header(self, ink: Ink) -> float:
        head = self.head
        return header(
            ink, self.width, self.height, self.plan, head.kind, head.title, head.facts, head.corner, head.note
        )

    def _heads(self, ink: Ink, y: float) -> None:
        for column, (left, right) in zip(self.columns, self.places, strict=True):
            x = right if column.align == "right" else left
            ink.text(x, y - 1.4, column.head, BOLD, SMALL, column.align)
        if self.boxes:
            ink.text(self.right, y - 1.4, self.head.box_head, BOLD, SMALL, "right")
        ink.line(LEFT, y, self.right, y, 1.2)

    def _heading(self, row: TableRow) -> list[str]:
        return wrap(self.face, row.heading, BOLD, HEADING_SIZE, self.right - LEFT)

    def _cell(self, row: TableRow, n: int) -> tuple[list[str], str]:
        left, right = self.places[n]
        style = row.styles.get(n, self.columns[n].style)
        size = self.columns[n].size
        return [k for part in row.cells[n].split("\n") for k in wrap(self.face, part, style, size, right - left)], style

    def _notes(self, row: TableRow) -> list[tuple[str, bool]]:
        """Return the lines under a row, the first of each caution marked."""
        left = self._note_x()
        found = []
        for text in row.notes:
            found += [(line, False) for line in wrap(self.face, text, REGULAR, NOTE_SIZE, self._note_stop() - left)]
        for text in row.cautions:
            lines = wrap(self.face, text, BOLD, NOTE_SIZE, self._note_stop() - left - 4.4)
            found += [(line, n == 0) for n, line in enumerate(lines)]
        return found

    def _note_x(self) -> float:
        return self.places[min(2, len(self.places) - 1)][0]

    def _note_stop(self) -> float:
        return self.right - (BOX + GAP if self.boxes else 0)

    def _body(self, row: TableRow) -> float:
        if row.heading:
            return 2 * ABOVE + len(self._heading(row)) * HEADING_SIZE * LEADING
        heights = [len(self._cell(row, n)[0]) * column.size * LEADING for n, column in enumerate(self.columns)]
        return ABOVE + max(heights)

    def _height(self, row: TableRow) -> float:
        notes = len(self._notes(row)) * NOTE_SIZE * LEADING
        drawn = 0 if row.heading else max((self._still(n) for n in range(len(self.columns))), default=0)
        return max(self._body(row) + notes + BELOW, BOX + 1.5, drawn + 2.6)

    def _still(self, n: int) -> float:
        """Return the height of the picture to draw in a column, 0 where there is none."""
        left, right = self.places[n]
        return (right - left) * 9 / 16 if self.columns[n].is_drawn else 0.0

    def _row(self, ink: Ink, y: float, height: float, row: TableRow) -> None:
        for n, line in enumerate(self._heading(row) if row.heading else ()):
            ink.text(LEFT, y + 2 * ABOVE + HEADING_SIZE * LEADING * (n + 0.85), line, BOLD, HEADING_SIZE)
        for n, column in enumerate(self.columns if not row.heading else ()):
            lines, style = self._cell(row, n)
            left, right = self.places[n]
            if column.is_drawn:
                ink.box(left, y + 1.3, right - left, self._still(n), 0.4)
            for k, line in enumerate(lines):
                base = y + ABOVE + column.size * LEADING * (k + 0.85)
                ink.text(right if column.align == "right" else left, base, line, style, column.size, column.align)
        at, cautious = y + self._body(row), len(row.cautions)
        for line, is_first in self._notes(row):
            base = at + NOTE_SIZE * LEADING * 0.85
            bold = cautious and (is_first or at > y + self._body(row) + self._plain(row))
            if is_first:
                caution_square(ink, self._note_x(), base + 0.4, 3.0)
            indent = 4.4 if bold else 0.0
            ink.text(self._note_x() + indent, base, line, BOLD if bold else REGULAR, NOTE_SIZE)
            at += NOTE_SIZE * LEADING
        if row.state is not None:
            state_box(ink, self.right - BOX, y + 0.8, BOX, row.state)
        if row.target:
            ink.link(LEFT, y, self.right, y + height, row.target)

    def _plain(self, row: TableRow) -> float:
        """Return the height of a row's notes that are no cautions."""
        room = self._note_stop() - self._note_x()
        lines = sum(len(wrap(self.face, text, REGULAR, NOTE_SIZE, room)) for text in row.notes)
        return lines * NOTE_SIZE * LEADING - 0.1
