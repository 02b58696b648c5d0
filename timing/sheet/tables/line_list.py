"""The line list, for the writer: which lines are too long, and by how many syllables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from timing.model import Clip, Delivered, LineKind, Plan, PlanLine
from timing.model.findings import FindingCode
from timing.plain.figures import figure
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.frame.score import display_name
from timing.sheet.furniture import caution_square, footer, header
from timing.sheet.ink import Ink, Page
from timing.sheet.origin import timed_by
from timing.sheet.paper import FOOT, LEFT, RIGHT, paper_size
from timing.sheet.tables.came_back import ACCEPTED, DELIVERED, state_box, take_line
from timing.sheet.wrapped import name_lines, paginate, wrap

LINE_HEIGHT, ROW_EXTRA = 4.6, 4.0
ROWS_TOP = 27.1
X_LINE, X_CLIP, X_SPEAKER, X_TEXT = LEFT + 8, LEFT + 10, LEFT + 24, LEFT + 41
FROM_RIGHT = {"timed": 119, "syllables": 88, "seconds": 75, "rate": 64, "room": 52, "fit": 49}
TIMED_ROOM, BOX, SMALL = 21.0, 4.4, 3.8
NOTE = (
    "room for = syllables that fit one generation at this line’s own speed (of the longest estimate), handles kept · "
    "tempo = the song decides"
)


@dataclass(frozen=True)
class _Row:
    """One line, broken into what its columns hold."""

    line: PlanLine
    clips: Sequence[Clip]
    text: Sequence[str]
    names: tuple[list[str], float]
    hints: Sequence[str]  # where to break the line, under what to do to make it fit
    takes: Sequence[str]  # what came back, under both
    timed: Sequence[str]  # where its time is from
    state: str  # of its clips in clips.toml, as far as all of them have come

    @property
    def height(self) -> float:
        name_height = len(self.names[0]) * self.names[1] * 0.37 + 2.6
        small = len(self.hints) + len(self.takes)
        fit_height = 8.6 + SMALL * small - (0.6 if small else 0)
        timed_height = len(self.timed) * 2.7 + 3.0
        return max(LINE_HEIGHT * len(self.text) + ROW_EXTRA, fit_height, name_height, timed_height)


def pages(
    plan: Plan, face: Typeface, lines: Sequence[PlanLine], clips: Sequence[Clip], first_page: int,
    link_of: Callable[[Clip], str | None],
) -> list[Page]:  # fmt: skip
    """Return the list's pages; a row is never cut in two, and leads to its clip's first sheet."""
    width, height = paper_size(plan.settings.sheet.paper, is_landscape=True)
    by_line: dict[str, list[Clip]] = {}
    for clip in clips:
        for line_id in clip.lines or (clip.line,):
            by_line.setdefault(line_id, []).append(clip)
    x = {name: width - RIGHT - back for name, back in FROM_RIGHT.items()}
    backs = {back.clip: back for back in plan.deliveries}
    rows = [_row_of(plan, face, n, by_line.get(n.id, []), backs, x) for n in lines if n.kind is not LineKind.PICTURE]
    found: list[Page] = []
    for numbers in paginate([row.height for row in rows], lambda _: height - FOOT - 5 - ROWS_TOP, 0):
        ink, y = _open(plan, face, width, height, found, first_page, x)
        for row in (rows[n] for n in numbers):
            _draw(ink, y, row, x, plan)
            target = link_of(row.clips[0]) if row.clips else None
            if target:
                ink.link(LEFT, y, width - RIGHT, y + row.height, target)
            y += row.height
            ink.line(LEFT, y, width - RIGHT, y, 0.25)
    return found


def _row_of(
    plan: Plan,
    face: Typeface,
    line: PlanLine,
    clips: Sequence[Clip],
    backs: Mapping[str, Delivered],
    x: dict[str, float],
) -> _Row:
    style = ITALIC if line.kind is LineKind.SUNG else REGULAR
    text = wrap(face, line.text, style, 10, x["timed"] - 4 - X_TEXT)
    finding = next((f for f in line.findings if f.code == FindingCode.TOO_LONG), None)
    room = FROM_RIGHT["fit"] - 5 - BOX - 2
    hints = _hint_lines(face, finding.facts["break_after"], clips, room) if finding else []
    back = [backs[clip.id] for clip in clips if clip.id in backs]
    room += 0 if finding else 5
    takes = [take_line(face, b, REGULAR, 7, room, b.clip if len(clips) > 1 else "") for b in back]
    state = ""
    if back and len(back) == len(clips):
        state = ACCEPTED if all(b.state == ACCEPTED for b in back) else DELIVERED
    names = name_lines(face, display_name(line.speaker) or "–", REGULAR, 9.5, X_TEXT - X_SPEAKER - 1.5)
    timed = wrap(face, timed_by(plan, line, names_file=False), REGULAR, 7, TIMED_ROOM)
    return _Row(line, clips, text, names, hints, takes, timed, state)


def _hint_lines(face: Typeface, places: Sequence[str], clips: Sequence[Clip], room: float) -> list[str]:
    told = "or break after " + ", ".join(f"“{p}”" for p in places)
    return wrap(face, f"{told}: ask for {_asks(clips)} s" if clips else told, REGULAR, 8, room)


def _asks(clips: Sequence[Clip]) -> str:
    return " + ".join(figure(clip.ask, "–") for clip in clips)


def _open(
    plan: Plan, face: Typeface, width: float, height: float, found: list[Page], first_page: int, x: dict[str, float]
) -> tuple[Ink, float]:
    ink = Ink(face)
    longest = {float(p.longest) for p in plan.settings.profiles.values()}
    limit = "–".join(f"{n:g}" for n in dict.fromkeys((min(longest), max(longest))))
    header(ink, width, plan, "one line a row", "Line list", [("fps", str(plan.rate))], ("one generation", f"{limit} s"))
    y = ROWS_TOP - 1.6
    heads = (
        ("line", X_LINE, "right"), ("clip", X_CLIP, "left"), ("speaker", X_SPEAKER, "left"), ("text", X_TEXT, "left"),
        ("time from", x["timed"], "left"),
        ("syllables", x["syllables"], "right"), ("seconds", x["seconds"], "right"), ("syll. / s", x["rate"], "right"),
        ("room for", x["room"], "right"), ("to fit", x["fit"], "left"), ("got it", width - RIGHT, "right"),
    )  # fmt: skip
    for text, at, align in heads:
        ink.text(at, y, text, align=align)
    y = ROWS_TOP
    ink.line(LEFT, y, width - RIGHT, y, 1.2)
    ink.text(LEFT, height - FOOT, NOTE, REGULAR, 7)
    at = LEFT + ink.width(NOTE, REGULAR, 7) + 4
    for state, label in ((DELIVERED, "came back"), (ACCEPTED, "accepted")):
        state_box(ink, at, height - FOOT - 2.2, 2.6, state)
        ink.text(at + 3.6, height - FOOT, label, REGULAR, 7)
        at += 6.6 + ink.width(label, REGULAR, 7)
    footer(ink, width, height, plan, first_page + len(found))
    key = "lines" if not found else f"lines{len(found) + 1}"
    found.append(Page(width, height, key, ink, outline=((0, "Line list", key),) if not found else ()))
    return ink, y


def syllable_room(line: PlanLine, limit: Fraction, fits_by_high: bool = False) -> int:
    """Return how many syllables ``limit`` seconds of speech hold at the line's own speed.

    ``fits_by_high``: at that of its longest estimate, by which lengths are asked for.
    """
    length = max(line.length, line.high) if fits_by_high else line.length
    return floor(len(line.syllables) / length * limit)


def _draw(ink: Ink, y: float, row: _Row, x: dict[str, float], plan: Plan) -> None:
    line, clips, names = row.line, row.clips, row.names
    style = ITALIC if line.kind is LineKind.SUNG else REGULAR
    base = y + 5.6
    finding = next((f for f in line.findings if f.code in (FindingCode.TOO_LONG, FindingCode.NO_LENGTH_HOLDS_IT)), None)
    ink.text(X_LINE, base, line.id, REGULAR, 9.5, "right")
    name = clips[0].id.split(".")[0] if clips else "–"
    ink.text(X_CLIP, base, name, BOLD, ink.face.fit(name, BOLD, 10.5, X_SPEAKER - X_CLIP - 1, 7))
    top = max(base - (len(names[0]) - 1) / 2 * names[1] * 0.37, y + 0.9 + names[1] * 0.27)
    for n, part in enumerate(names[0]):
        ink.text(X_SPEAKER, top + n * names[1] * 0.37, part, REGULAR, names[1])
    for n, part in enumerate(row.text):
        ink.text(X_TEXT, base + LINE_HEIGHT * n, part, style, 10)
    first = base - min(len(row.timed) - 1, 2) / 2 * 2.7
    for n, part in enumerate(row.timed):
        ink.text(x["timed"], first + n * 2.7, part, REGULAR, 7)
    count, length = len(line.syllables), float(line.length)
    ink.text(x["syllables"], base, str(count), REGULAR, 10.5, "right")
    ink.text(x["seconds"], base, f"{length:.1f}", BOLD if finding else REGULAR, 10.5, "right")
    ink.text(x["rate"], base, f"{count / length:.1f}", REGULAR, 10.5, "right")
    if line.kind is LineKind.SUNG:
        ink.text(x["room"], base, "tempo", ITALIC, 8.5, "right")
    else:
        room = syllable_room(line, plan.settings.profile_of(line).room, plan.settings.fit_by == "high")
        ink.text(x["room"], base, str(room), REGULAR, 10.5, "right")
    if clips:
        state_box(ink, x["fit"] + FROM_RIGHT["fit"] - BOX, y + 2.1, BOX, row.state)
    small = x["fit"] + (5 if finding else 0)
    for n, text in enumerate((*row.hints, *row.takes)):
        ink.text(small, base + 4.2 + SMALL * n, text, REGULAR, 8 if n < len(row.hints) else 7)
    if finding is None:
        ink.text(x["fit"], base, f"fits {_asks(clips)} s" if clips else "–", REGULAR, 9.5)
        return
    ink.fill(LEFT - 3.2, y + 0.4, 1.8, row.height - 0.8)
    caution_square(ink, x["fit"], base + 0.2)
    cut = int(finding.facts.get("syllables_to_cut", 0))
    advice = f"cut about {cut} syllable{'s' * (cut != 1)}" if cut and line.kind is LineKind.SPOKEN else "split"
    ink.text(x["fit"] + 5, base, advice if finding.code == FindingCode.TOO_LONG else "one word too long", BOLD, 10.5)
