"""Paper, margins, rows and columns: the numbers every page is built from (millimetres, points).

A4 is ISO 216; Letter is ANSI/ASME Y14.1 size A (8.5 x 11 in). Nothing is scaled between them: column widths are
fixed, one column takes the spare width, the row pitch takes the spare height.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from timing.model.clock import FrameRate
from timing.model.settings import FEWEST_ROWS, MOST_ROWS, SheetSettings
from timing.plain.errors import SettingsError

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
LEFT, RIGHT = 14.0, 8.0  # margins; the left one is the hole punch's
HEADER_RULE = 19.4
FOOT = 7.2  # last baseline above the lower edge
GUTTER = 5.0  # between the panels of the wide layout
ROWS_TOP = 25.4
HEAD_BAND = 5.0  # column heads, above the rows
ROWS_FOOT = 14.5
LEAST_FITTED_PITCH, MOST_FITTED_PITCH = 2.9, 5.4


@dataclass(frozen=True)
class Column:
    """A column of the frame sheet; ``width`` None takes what the others leave."""

    name: str
    head: str
    page_width: float | None
    wide_width: float | None
    is_written: bool = False  # left blank for the pencil
    is_edge_heavy: bool = False


# Left to right: what is written lies left of the frame numbers, what is heard right of them.
COLUMNS = (
    Column("action", "action", None, None, is_written=True),
    Column("notes", "camera / notes", 27, 0, is_written=True),
    Column("clip", "clip", 9.5, 7.5, is_edge_heavy=True),
    Column("time", "time", 9.5, 9.5),
    Column("frame", "frame", 9.5, 9),
    Column("sound", "sound", 11, 9),
    Column("words", "words", 37, 31, is_edge_heavy=True),
    Column("mouth", "mouth", 14, 12),
    Column("music", "bar.beat", 13, 11),
)


@dataclass(frozen=True)
class Panel:
    """The rows of one panel: where its columns stand, (left, right) by name."""

    columns: dict[str, tuple[float, float]]
    left: float
    right: float


@dataclass(frozen=True)
class Layout:
    """A frame sheet before anything is on it."""

    name: str
    width: float
    height: float
    rows: int  # in one panel
    panels: tuple[Panel, ...]
    pitch: float
    second: int  # rows from heavy rule to heavy rule
    quarter: int

    @property
    def frames(self) -> int:
        """Frames on one sheet."""
        return self.rows * len(self.panels)

    @property
    def foot(self) -> float:
        return ROWS_TOP + self.rows * self.pitch


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


def usual_rows(layout: str, nominal: int) -> int:
    """Return a panel's rows: as many whole seconds as stay writable.

    >>> [usual_rows("page", fps) for fps in (24, 25, 30)], [usual_rows("wide", fps) for fps in (24, 25, 30)]
    ([72, 75, 90], [48, 50, 60])
    """
    most = 60 if layout == "wide" else 90
    return nominal * (most // nominal) if nominal <= most else most


def frame_layout(settings: SheetSettings, rate: FrameRate) -> Layout:
    """Return the frame sheet's layout; raises SettingsError for a layout or number of rows that cannot be."""
    if settings.layout not in ("page", "wide"):
        raise SettingsError(f'layout "{settings.layout}" is not known; choose page or wide')
    is_wide = settings.layout == "wide"
    rows = settings.rows or usual_rows(settings.layout, rate.nominal)
    if not FEWEST_ROWS <= rows <= MOST_ROWS:
        raise SettingsError(f"a sheet has {FEWEST_ROWS} to {MOST_ROWS} rows, not {rows}")
    width, height = paper_size(settings.paper, is_wide)
    inner = width - LEFT - RIGHT
    if is_wide:
        panel_width = (inner - GUTTER) / 2
        panels = tuple(_panel(LEFT + n * (panel_width + GUTTER), panel_width, True) for n in (0, 1))
    else:
        panels = (_panel(LEFT, inner, False),)
    pitch = (height - ROWS_TOP - ROWS_FOOT) / rows
    return Layout(settings.layout, width, height, rows, panels, pitch, rate.nominal, quarter_second(rate.nominal))


def fitted(layout: Layout, length: int, reach: int = 0) -> Layout:
    """Return the layout for a passage of ``length`` frames: its rows spread evenly over as few sheets as it needs.

    A few rows too many for a sheet move closer, by a fifth at most and only while every frame number keeps its size:
    a sheet of paper for a tail handle would be turned over for nothing. Rows left over are given back as height, up
    to the room of large handwriting. Frames up to ``reach`` (what was asked for beyond the cut) are shown where that
    takes no further sheet. Rows end on a quarter of a second.

    >>> page = frame_layout(SheetSettings(), FrameRate.parse(24))
    >>> [fitted(page, length).rows for length in (30, 72, 78, 100, 150)], fitted(page, 50, 72).rows
    ([48, 72, 78, 54, 75], 72)
    """
    panels, room = len(layout.panels), layout.height - ROWS_TOP - ROWS_FOOT
    fewer = length // layout.frames
    closer = -(-length // (max(1, fewer) * panels))
    if fewer and closer * 5 <= layout.rows * 6 and room / closer >= min(LEAST_FITTED_PITCH, layout.pitch):
        rows = closer
    else:
        sheets = -(-length // layout.frames)
        shown = max(min(max(length, reach), sheets * layout.frames), int(room / MOST_FITTED_PITCH) * sheets * panels)
        rows = min(-(-shown // (sheets * panels * layout.quarter)) * layout.quarter, layout.rows)
    return replace(layout, rows=rows, pitch=room / rows)


def without_music(layout: Layout) -> Layout:
    """Return the layout for a passage with no song in it: the column of its beats is the action's."""
    panels = tuple(_panel(p.left, p.right - p.left, layout.name == "wide", ("music",)) for p in layout.panels)
    return replace(layout, panels=panels)


def _panel(left: float, width: float, is_wide: bool, without: tuple[str, ...] = ()) -> Panel:
    widths = {c.name: c.wide_width if is_wide else c.page_width for c in COLUMNS if c.name not in without}
    spare = width - sum(w for w in widths.values() if w)
    columns, x = {}, left
    for name, fixed in widths.items():
        if fixed == 0:
            continue
        columns[name] = (x, x + (spare if fixed is None else fixed))
        x = columns[name][1]
    return Panel(columns, left, left + width)
