"""Paper, margins, rows and columns: the numbers every page is built from (millimetres, points).

A4 is ISO 216; Letter is ANSI/ASME Y14.1 size A (8.5 x 11 in). Nothing is scaled between them: column widths are
fixed, one column takes the spare width, the row pitch takes the spare height.
"""

from __future__ import annotations

from dataclasses import dataclass

from timing.model.clock import FrameRate
from timing.model.settings import FEWEST_ROWS, MOST_ROWS, SheetSettings
from timing.plain.errors import SettingsError

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
# A US three-hole punch reaches 16.7 mm in from the long edge (holes of 8 mm, 12.7 mm in: common practice); that edge
# is the left one of an upright page and the top of one that lies.
LEFT, RIGHT = 18.0, 8.0
TOP, LYING_TOP = 8.0, 18.0  # where the first ink may stand
FOOT = 7.2  # last baseline above the lower edge
GUTTER = 5.0  # between the panels of a sheet
HEAD_BAND = 4.6  # column heads, above the rows
ROWS_FOOT = 21.5  # under the rows: what goes on, the key of the vowels, the legend
LEAST_PITCH, MOST_PITCH = 2.6, 5.4  # mm a frame; what is chosen by itself
LEAST_WORD_PITCH = 2.95  # where syllables have one frame each
EASY_PITCH = 3.3  # rows beyond the cut are shown only where all lie as far apart
LEAST_READABLE_PITCH = 2.15  # one row of 6.5 point type
LINE_MM = 7.0  # a writing line that fits most hands


@dataclass(frozen=True)
class Column:
    """A column of the frame sheet: its width in a half page, a panel of a lying page, a whole upright page.

    A width of None takes what the others leave, 0 leaves the column out.
    """

    name: str
    head: str
    half: float | None
    wide: float | None
    full: float | None
    is_written: bool = False  # left blank for the pencil
    is_edge_heavy: bool = False


# Left to right: what is written lies left of the frame numbers, what is heard right of them.
COLUMNS = (
    Column("action", "action", None, None, None, is_written=True),
    Column("clip", "", 4.2, 6, 0, is_edge_heavy=True),
    Column("frame", "no.", 15, 16, 16),
    Column("sound", "sound", 7, 9, 9),
    Column("words", "words", 25, 31, 0, is_edge_heavy=True),
    Column("mouth", "mouth", 10.2, 12, 0),
    Column("music", "bar.beat", 9, 11, 10),
)
LANE = {"clip": 4.2, "words": 24.0, "mouth": 9.0}  # of each one who speaks at the same time, on a whole page
LEAST_ACTION = 20.0
DIGIT = 1.7  # mm of the column of numbers for each figure beyond 999, and beyond nine minutes


@dataclass(frozen=True)
class Panel:
    """The rows of one panel: where its columns stand, (left, right) by name."""

    columns: dict[str, tuple[float, float]]
    left: float
    right: float

    @property
    def width(self) -> float:
        return self.right - self.left


@dataclass(frozen=True)
class Layout:
    """A frame sheet before anything is on it; ``top`` is where the header ends."""

    name: str
    width: float
    height: float
    top: float
    second: int  # rows from heavy rule to heavy rule
    quarter: int

    @property
    def foot(self) -> float:
        """The lower end of the rows."""
        return self.height - ROWS_FOOT

    def room(self, band: float) -> float:
        """Return the height that rows have under a band of this height."""
        return self.foot - self.top - band - HEAD_BAND

    def panels(
        self, lanes: int = 1, has_music: bool = False, is_full: bool = False, has_mouth: bool = True, frames: int = 0
    ) -> tuple[Panel, ...]:
        """Return the panels of a sheet, left to right: one over the whole width, or two halves.

        ``frames`` is the highest number that stands in them.
        """
        more = DIGIT * (max(0, len(str(frames)) - 3) + max(0, len(str(frames // self.second // 60)) - 1))
        inner = self.width - LEFT - RIGHT
        if is_full:
            return (_panel(LEFT, inner, "full", lanes, has_music, has_mouth, more),)
        kind = "wide" if self.name == "wide" else "half"
        width = (inner - GUTTER) / 2
        return tuple(
            _panel(LEFT + n * (width + GUTTER), width, kind, lanes, has_music, has_mouth, more) for n in (0, 1)
        )


@dataclass(frozen=True)
class Rows:
    """The rows of one panel on paper, and every how many frames a line to write on runs."""

    panel: Panel
    top: float
    count: int
    pitch: float
    second: int
    quarter: int
    line: int

    @property
    def foot(self) -> float:
        return self.top + self.count * self.pitch


def paper_size(paper: str, is_landscape: bool = False) -> tuple[float, float]:
    """Return (width, height); raises SettingsError for a paper that is not A4 or Letter."""
    size = next((size for name, size in PAPERS.items() if name.lower() == paper.lower()), None)
    if size is None:
        raise SettingsError(f'paper "{paper}" is not known; choose {" or ".join(PAPERS)}')
    return (size[1], size[0]) if is_landscape else size


def quarter_second(nominal: int) -> int:
    """Return the frames between lighter rules: the largest whole part of a second up to a quarter of it.

    >>> [quarter_second(fps) for fps in (24, 25, 30, 48, 50, 60)]
    [6, 5, 6, 12, 10, 15]
    """
    divisor = next(n for n in range(max(1, nominal // 4), 0, -1) if nominal % n == 0)
    return divisor if divisor > 1 else max(1, nominal // 4)


def line_step(pitch: float, quarter: int, second: int) -> int:
    """Return every how many frames a line to write on runs: even ones, near 7 mm, best where the quarters fall on them.

    >>> line_step(3.2, 6, 24), line_step(5.4, 3, 12), line_step(3.3, 5, 25), line_step(3.0, 15, 60)
    (2, 1, 2, 3)
    """
    steps = [n for n in range(1, 9) if 5.0 <= n * pitch <= 11.0] or [max(1, round(LINE_MM / pitch))]
    return min(steps, key=lambda n: (quarter % n != 0, second % n != 0, abs(n * pitch - LINE_MM)))


def frame_layout(settings: SheetSettings, rate: FrameRate, top: float | None = None) -> Layout:
    """Return the frame sheet's layout; raises SettingsError for a layout or number of rows that cannot be."""
    if settings.layout not in ("page", "wide"):
        raise SettingsError(f'layout "{settings.layout}" is not known; choose page or wide')
    is_wide = settings.layout == "wide"
    width, height = paper_size(settings.paper, is_wide)
    above = (LYING_TOP if is_wide else TOP) + 6.5 if top is None else top
    layout = Layout(settings.layout, width, height, above, rate.nominal, quarter_second(rate.nominal))
    if settings.rows is not None:
        most = min(MOST_ROWS, int(layout.room(32) / LEAST_READABLE_PITCH))
        if not FEWEST_ROWS <= settings.rows <= most:
            raise SettingsError(
                f"{settings.rows} rows: a panel of a {layout.name} {settings.paper} sheet has {FEWEST_ROWS} to {most} "
                "rows that can be read"
            )
    return layout


def rows_for(
    layout: Layout, band: float, length: int, reach: int, panels: int, asked: int | None, least: float = LEAST_PITCH
) -> tuple[int, int]:
    """Return (sheets, rows in one panel) for a passage of ``length`` frames under a band of this height.

    As many rows as can be written on, spread evenly over as few sheets as they need; rows left over are given back as
    height, up to the room of large handwriting. Frames up to ``reach`` (what was asked for beyond the cut) are shown
    where that takes no further sheet. ``asked`` is the number of rows a person wants, ``least`` how close
    they may lie.
    """
    if asked is not None:
        return -(-length // (asked * panels)), asked
    room = layout.room(band)
    most = int(room / least)
    sheets = -(-length // (most * panels))
    fewest = int(room / MOST_PITCH)
    easy = sheets * int(room / EASY_PITCH) * panels
    shown = max(length, min(reach, easy), fewest * sheets * panels)
    each = -(-shown // (sheets * panels))
    return sheets, max(min(-(-each // layout.quarter) * layout.quarter, most), each)


def rows_in(
    layout: Layout, panel: Panel, band: float, count: int, above: float | None = None, foot: float | None = None
) -> Rows:
    """Return the rows of a panel under a band of this height, which begins at ``above``, or where the header ends."""
    top = (layout.top if above is None else above) + band + HEAD_BAND
    pitch = ((layout.foot if foot is None else foot) - top) / count
    return Rows(
        panel, top, count, pitch, layout.second, layout.quarter, line_step(pitch, layout.quarter, layout.second)
    )


def _panel(left: float, width: float, kind: str, lanes: int, has_music: bool, has_mouth: bool, more: float) -> Panel:
    widths: dict[str, float | None] = {c.name: getattr(c, kind) for c in COLUMNS}
    if kind == "full":
        widths |= {name: each * lanes for name, each in LANE.items()}
    widths["frame"] = (widths["frame"] or 0) + more
    if not has_music:
        del widths["music"]
    if not has_mouth:
        del widths["mouth"]
    spare = width - sum(w for w in widths.values() if w)
    if spare < LEAST_ACTION:  # many at once: their lanes give way to the pencil
        shrunk = [name for name in LANE if name in widths]
        total = sum(widths[name] or 0 for name in shrunk)
        widths |= {n: (widths[n] or 0) * (total - LEAST_ACTION + spare) / total for n in shrunk}
        spare = LEAST_ACTION
    columns, x = {}, left
    for name, fixed in widths.items():
        columns[name] = (x, x + (spare if fixed is None else fixed))
        x = columns[name][1]
    return Panel(columns, left, left + width)
