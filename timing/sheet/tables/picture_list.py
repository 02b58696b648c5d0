"""The page of first pictures: what is to be drawn before anything can be generated, with room to sketch it.

Rows are those of pictures.csv (:func:`timing.clips.queue.first_pictures`), in its order.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

from timing.clips.queue import FirstPicture, asked_for, first_pictures
from timing.model import Clip, LineKind, Plan
from timing.plain.figures import at_most
from timing.sheet.fonts import BOLD, Typeface
from timing.sheet.frame.score import display_name
from timing.sheet.ink import Page
from timing.sheet.tables.table_page import TableColumn, TableHead, TableRow, table_pages

COLUMNS = (
    TableColumn("picture", 30, style=BOLD, size=10),
    TableColumn("who and where", None, size=9.5),
    TableColumn("mouth", 13, size=9.5),
    TableColumn("clips that start from it", 24, size=9.5),
    TableColumn("hold s", 8, "right", BOLD, 10.5),
    TableColumn("sheet", 9, "right", size=10.5),
    TableColumn("room to draw", 41, is_drawn=True),
)
NOTE = "mouth: at the first frame; hold: the longest clip that starts from it, in seconds"


def pages(
    plan: Plan, face: Typeface, shown: Collection[str], first_page: int, label_of: Callable[[Clip], str],
    link_of: Callable[[Clip], str | None],
) -> Iterator[Page]:  # fmt: skip
    """Yield the pages of the first pictures that the clips ``shown`` start from; none where there are none."""
    clips = {clip.id: clip for clip in asked_for(plan).clips}
    pictures = [p for p in first_pictures(asked_for(plan)) if any(clip_id in shown for clip_id in p.clips)]
    rows = []
    for picture in pictures:
        first = clips[next(clip_id for clip_id in picture.clips if clip_id in shown)]
        cells = (
            picture.id, _who(picture, first), picture.mouth or "–", ", ".join(picture.clips),
            at_most(picture.longest, 2), label_of(first), "",
        )  # fmt: skip
        rows.append(TableRow(cells, target=link_of(first), state=""))
    if not rows:
        return
    head = TableHead(
        "one a row, before its clips are made", "First pictures", (), ("pictures", str(len(rows))), "pictures", NOTE
    )
    yield from table_pages(plan, face, head, COLUMNS, rows, (), first_page)


def _who(picture: FirstPicture, first: Clip) -> str:
    """Return who is seen and where; of a passage, all of its words."""
    names = ", ".join(display_name(name) for name in picture.who.split(", ") if name)
    if not names:
        names = "nobody named, sung" if first.kind is LineKind.SUNG else "picture"
    return "\n".join(filter(None, (names, picture.scene, picture.text)))
