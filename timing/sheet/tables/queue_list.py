"""The page of the queue: in which order to generate, profile by profile, and what waits for what.

Rows and their numbers are those of queue.csv (:func:`timing.clips.queue.queue`).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from itertools import groupby
from math import ceil

from timing.clips.queue import Queued, asked_for, queue
from timing.model import Clip, LineKind, Plan
from timing.plain.figures import at_most
from timing.sheet.fonts import BOLD, Typeface
from timing.sheet.frame.score import display_name
from timing.sheet.ink import Page
from timing.sheet.tables.table_page import TableColumn, TableHead, TableRow, table_pages

COLUMNS = (
    TableColumn("order", 8, "right"),
    TableColumn("clip", 15, style=BOLD, size=10.5),
    TableColumn("takes", 8, "right", size=10.5),
    TableColumn("ask s", 9, "right", BOLD, 10.5),
    TableColumn("who, first words", None, size=9),
    TableColumn("from picture", 54, size=9),
    TableColumn("waits for", 24, size=9),
)
NOTE = "~ length estimated from the words: record the line first, then ask"
FIRST_WORDS = 3


def pages(
    plan: Plan, face: Typeface, shown: Collection[str], first_page: int, link_of: Callable[[Clip], str | None]
) -> Iterator[Page]:
    """Yield the pages of what is still to be generated of the clips ``shown``; none where nothing is."""
    clips = {clip.id: clip for clip in asked_for(plan).clips}
    numbered = [(n, row) for n, row in enumerate(queue(plan), 1) if row.clip in shown]
    rows: list[TableRow] = []
    for profile, group in groupby(numbered, key=lambda pair: pair[1].profile):
        members = list(group)
        rows.append(TableRow((), heading=_sums(plan, profile, [row for _, row in members])))
        rows += [_row(n, row, clips[row.clip], link_of) for n, row in members]
    if not rows:
        return
    takes = str(sum(row.takes for _, row in numbered))
    head = TableHead(
        "what to generate next, from the top", "Queue", (), ("takes to make", takes), "queue", NOTE, "done"
    )
    yield from table_pages(plan, face, head, COLUMNS, rows, (), first_page)


def _row(number: int, row: Queued, clip: Clip, link_of: Callable[[Clip], str | None]) -> TableRow:
    ask = f"{'~' * row.is_estimated}{at_most(row.ask, 2)}"
    picture = row.picture or (f"seam of {_before(clip)}" if clip.part[0] > 1 else "–")
    cells = (str(number), row.clip, str(row.takes), ask, _who(clip), picture, row.waits_for or "–")
    return TableRow(cells, target=link_of(clip), state="")


def _before(clip: Clip) -> str:
    """Return the part before a later part of a split line, in whose last frame of the cut it starts."""
    return f"{clip.id.rsplit('.', 1)[0]}.{clip.part[0] - 1}"


def _who(clip: Clip) -> str:
    words = clip.text.split()
    first = " ".join(words[:FIRST_WORDS]) + (" …" if len(words) > FIRST_WORDS else "")
    name = display_name(clip.speaker) or ("picture" if clip.kind is LineKind.PICTURE else "")
    return f"{name}: {first}" if name else first


def _sums(plan: Plan, profile: str, rows: Sequence[Queued]) -> str:
    """Return a profile's heading: how many takes, seconds, and hours where a take's are known."""
    takes = sum(row.takes for row in rows)
    told = [profile, f"{takes} take{'s' * (takes != 1)}", f"{at_most(sum(row.ask * row.takes for row in rows), 2)} s"]
    each = plan.settings.profiles[profile].minutes_each
    if each is not None:
        hours, minutes = divmod(ceil(each * takes), 60)
        told.append(f"{hours} h {minutes} min at {at_most(each, 1)} min each")
    return " · ".join(told)
