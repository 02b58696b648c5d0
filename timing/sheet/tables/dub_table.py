"""The dub table, for the writer: each line of an edition, what its clip offers, whether the words fit."""

from __future__ import annotations

from collections.abc import Callable

from timing.language.registry import name_of
from timing.model import LineKind
from timing.model.clock import Seconds
from timing.model.dub import DubLine, Edition, Verdict
from timing.sheet.figures import tenths
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.frame.score import display_name
from timing.sheet.ink import Page
from timing.sheet.tables.table_page import TableColumn, TableHead, TableRow, table_pages

COLUMNS = (
    TableColumn("line", 8, "right"),
    TableColumn("speaker", 20),
    TableColumn("words", None, size=10.5),
    TableColumn("syllables", 13, "right", size=10.5),
    TableColumn("window s", 12, "right", size=10.5),
    TableColumn("length s", 12, "right", style=BOLD, size=10.5),
    TableColumn("range s", 17, "right", size=9),
    TableColumn("verdict", 17, style=BOLD, size=10.5),
    TableColumn("syllables to", 18, size=10.5),
)
WORDS, LENGTH = 2, 5
NOTE = "window: while the mouth moves; length: as estimated, measured where no range stands beside it"
FREE_TOLD = 10  # tenths of a second: less time after a line is no news


def table(edition: Edition, face: Typeface, first_page: int, link_of: Callable[[DubLine], str | None]) -> list[Page]:
    """Return the pages of the dub table; a row leads to the line's first sheet."""
    rows = [_row(dub, link_of(dub)) for dub in edition.lines]
    counts = [(verdict.value, str(sum(dub.verdict is verdict for dub in edition.lines))) for verdict in Verdict]
    head = TableHead(
        "one line a row", f"Dub table: {name_of(edition.language)}", tuple(counts), None, "dub-table", NOTE
    )
    return table_pages(edition.plan, face, head, COLUMNS, rows, [], first_page, is_lying=True)


def _row(dub: DubLine, target: str | None) -> TableRow:
    line, original = dub.line, dub.original
    is_sung = original.kind is LineKind.SUNG
    fits = dub.verdict is Verdict.FITS
    change = f"lose {dub.lose}" if dub.lose else f"gain {dub.gain}" if dub.gain else "–"
    cells = (
        dub.id, display_name(original.speaker) or "–", line.text,
        f"{len(line.syllables)} / {len(original.syllables)}", tenths(dub.window.length), tenths(line.length),
        "" if line.low == line.high else f"{tenths(line.low)}–{tenths(line.high)}", dub.verdict.value, change,
    )  # fmt: skip
    styles = {WORDS: ITALIC if is_sung else REGULAR, LENGTH: REGULAR if fits else BOLD}
    return TableRow(cells, styles, tuple(notes(dub)), tuple(f.message for f in dub.findings), target)


def notes(dub: DubLine) -> list[str]:
    """Return what stands under a line: the original, its window in words, what to shorten, what was measured."""
    found = [dub.original.text, facts(dub)]
    if dub.losses:
        words = ", ".join(f"“{loss.text}” ({tenths(loss.seconds)} s)" for loss in dub.losses)
        found.append(f"fits without one of: {words}")
    if dub.phrases:
        late = ", ".join(f"“{p.text}” {_signed(p.late)}" for p in dub.phrases[1:])
        found.append(" · ".join(filter(None, (f"phrases against the clip: {late}" if late else "", _drift(dub)))))
    elif dub.drift is not None:
        found.append(_drift(dub))
    return found


def facts(dub: DubLine) -> str:
    """Return what a window offers, in words."""
    window = dub.window
    told = [f"clip {', '.join(window.clips)}" if window.clips else "", f"window {window.origin.value}"]
    if not window.is_seen:
        told.append("mouth not seen")
    for start, end in window.pauses:
        told.append(f"rests {tenths(end - start)} s after {tenths(start - window.start)} s")
    if window.free * 10 >= FREE_TOLD:
        told.append(f"{tenths(window.free)} s free after it")
    if dub.closures:
        told.append(f"lip closures met {dub.met} of {dub.closures}")
    return " · ".join(filter(None, told))


def _signed(value: Seconds) -> str:
    told = tenths(abs(value))
    return "on time" if told == tenths(Seconds(0)) else f"{told} s {'late' if value > 0 else 'early'}"


def _drift(dub: DubLine) -> str:
    return f"last sound {_signed(dub.drift)}" if dub.drift is not None else ""
