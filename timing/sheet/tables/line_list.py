"""The line list, for the writer: which lines are too long, and by how many syllables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from math import floor

from timing.model import Clip, Delivered, LineKind, Plan, PlanLine
from timing.model.findings import FindingCode
from timing.plain.figures import figure
from timing.sheet import cautions
from timing.sheet.figures import tenths
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.frame.score import display_name
from timing.sheet.furniture import FAULT, Mark
from timing.sheet.ink import Ink, Page
from timing.sheet.origin import said_how, timed_by
from timing.sheet.tables.came_back import ACCEPTED, DELIVERED, DOUBTFUL, state_box, state_of, take_line
from timing.sheet.tables.table_page import TableColumn, TableHead, TableRow, table_pages

COLUMNS = (
    TableColumn("line", 8, "right"),
    TableColumn("clip", 14, style=BOLD, size=10.5),
    TableColumn("speaker", 22),
    TableColumn("text", None, size=10),
    TableColumn("time from", 30, size=9),
    TableColumn("syllables", 11, "right", size=10.5),
    TableColumn("seconds", 11, "right", size=10.5),
    TableColumn("syll. / s", 10, "right", size=10.5),
    TableColumn("room for", 13, "right", size=10.5),
    TableColumn("to fit", 33),
)
TEXT, SECONDS, ROOM, FIT = 3, 6, 8, 9
NOTE = "room for: syllables that one generation holds at the line’s own speed; tempo: the song decides"


def pages(
    plan: Plan, face: Typeface, lines: Sequence[PlanLine], clips: Sequence[Clip], first_page: int,
    link_of: Callable[[Clip], str | None],
) -> list[Page]:  # fmt: skip
    """Return the list's pages; a row leads to its clip's first sheet."""
    by_line: dict[str, list[Clip]] = {}
    for clip in clips:
        for line_id in clip.lines or (clip.line,):
            by_line.setdefault(line_id, []).append(clip)
    backs = {back.clip: back for back in plan.deliveries}
    rows = [
        _row(plan, face, line, by_line.get(line.id, []), backs, link_of)
        for line in lines
        if line.kind is not LineKind.PICTURE
    ]
    longest = {float(p.longest) for p in plan.settings.profiles.values()}
    limit = "–".join(f"{n:g}" for n in dict.fromkeys((min(longest), max(longest))))
    corner = ("one generation", f"{limit} s")
    head = TableHead("one line a row", "Line list", (("fps", str(plan.rate)),), corner, "lines", NOTE)
    marks = [box_mark(DELIVERED, "came back"), box_mark(ACCEPTED, "accepted"), FAULT]
    return table_pages(plan, face, head, COLUMNS, rows, marks, first_page, is_lying=True)


def box_mark(state: str, label: str) -> Mark:
    """Return the legend's entry for a tick box."""

    def draw(ink: Ink, x: float, y: float) -> None:
        state_box(ink, x + 1.2, y - 2.3, 2.6, state)

    return Mark(draw, label)


def syllable_room(line: PlanLine, limit: Fraction, fits_by_high: bool = False) -> int:
    """Return how many syllables ``limit`` seconds of speech hold at the line's own speed.

    ``fits_by_high``: at that of its longest estimate, by which lengths are asked for.
    """
    length = max(line.length, line.high) if fits_by_high else line.length
    return floor(len(line.syllables) / length * limit)


def _row(
    plan: Plan, face: Typeface, line: PlanLine, clips: Sequence[Clip], backs: Mapping[str, Delivered],
    link_of: Callable[[Clip], str | None],
) -> TableRow:  # fmt: skip
    is_sung = line.kind is LineKind.SUNG
    finding = next((f for f in line.findings if f.code in (FindingCode.TOO_LONG, FindingCode.NO_LENGTH_HOLDS_IT)), None)
    count = len(line.syllables)
    if is_sung:
        room = "tempo"
    else:
        limit = plan.settings.profile_of(line).room
        room = str(syllable_room(line, limit, plan.settings.fit_by == "high"))
    fit, told = _to_fit(line, clips)
    back = [backs[clip.id] for clip in clips if clip.id in backs]
    notes = [text for b in back for text in take_line(face, b, REGULAR, 9, 220, b.clip if len(clips) > 1 else "")]
    doubts = [
        f"{clip.id}: {text}" if len(clips) > 1 else text for clip in clips for text in cautions.of_clip(plan, clip)
    ]
    styles = {TEXT: ITALIC if is_sung else REGULAR, ROOM: ITALIC if is_sung else REGULAR}
    if finding:
        styles |= {SECONDS: BOLD, FIT: BOLD}
    cells = (
        line.id, clips[0].id.split(".")[0] if clips else "–", display_name(line.speaker) or "–",
        said_how(line).removesuffix(" · ") + (" " if line.directions else "") + line.text,
        timed_by(plan, line, names_file=False), str(count), tenths(line.length),
        tenths(count / line.length), room, fit,
    )  # fmt: skip
    return TableRow(
        cells, styles, tuple(notes), tuple(dict.fromkeys((*told, *doubts))),
        link_of(clips[0]) if clips else None, None, _state(clips, backs) if clips else None,
    )  # fmt: skip


def _state(clips: Sequence[Clip], backs: Mapping[str, Delivered]) -> str:
    """Return the box of a line: as far as all of its clips have come, with a caution where one may not be trusted."""
    states = [state_of(backs.get(clip.id), clip.kind) for clip in clips]
    if DOUBTFUL in states:
        return DOUBTFUL
    if all(states):
        return ACCEPTED if all(s == ACCEPTED for s in states) else DELIVERED
    return ""


def _to_fit(line: PlanLine, clips: Sequence[Clip]) -> tuple[str, list[str]]:
    """Return what to do so that a line fits one generation, and more about it."""
    for finding in line.findings:
        if finding.code == FindingCode.TOO_LONG:
            cut = int(finding.facts.get("syllables_to_cut", 0))
            is_cut = cut and line.kind is LineKind.SPOKEN
            fit = f"cut about {cut} syllable{'s' * (cut != 1)}" if is_cut else "split"
            places = ", ".join(f"“{place}”" for place in finding.facts["break_after"])
            return fit, [f"too long: {'or ' if is_cut else ''}break after {places}: ask for {_asks(clips)} s"]
        if finding.code == FindingCode.NO_LENGTH_HOLDS_IT:
            return "one word too long", [finding.message]
    return (f"planned for {_asks(clips)} s" if clips else "–"), []


def _asks(clips: Sequence[Clip]) -> str:
    return " + ".join(figure(clip.ask, "–") for clip in clips)
