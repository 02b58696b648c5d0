"""The line list, for the writer: which lines are too long, and by how many syllables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from math import floor

from timing.model import Clip, LineKind, Plan, PlanLine
from timing.sheet.clip_table import wrap
from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface
from timing.sheet.furniture import caution_square, footer, header
from timing.sheet.ink import Ink, Page
from timing.sheet.paper import FOOT, LEFT, RIGHT, paper_size
from timing.sheet.score import display_name

LINE_HEIGHT, ROW_EXTRA = 4.6, 4.0
X_LINE, X_CLIP, X_SPEAKER, X_TEXT = LEFT + 8, LEFT + 10, LEFT + 24, LEFT + 41
FROM_RIGHT = {"syllables": 92, "seconds": 78, "rate": 66, "room": 53, "fit": 50}
NOTE = "room for = syllables that fit one generation at this line’s own speed, handles kept · tempo = the song decides"


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
    found: list[Page] = []
    y = height
    ink = Ink(face)
    for line in lines:
        if line.kind is LineKind.PICTURE:
            continue
        style = ITALIC if line.kind is LineKind.SUNG else REGULAR
        text = wrap(face, line.text, style, 10, x["syllables"] - 13 - X_TEXT)
        own = by_line.get(line.id, [])
        finding = next((f for f in line.findings if f.code == "too-long"), None)
        hints = _hint_lines(face, finding.facts["break_after"], FROM_RIGHT["fit"] - 5) if finding else []
        rows = max(len(text), 1 + len(hints) if finding else 1)
        tall = LINE_HEIGHT * rows + ROW_EXTRA
        if y + tall > height - FOOT - 5:
            ink, y = _open(plan, face, width, height, found, first_page, x)
        _row(ink, y, tall, line, text, style, own, x, hints, plan)
        target = link_of(own[0]) if own else None
        if target:
            ink.link(LEFT, y, width - RIGHT, y + tall, target)
        y += tall
        ink.line(LEFT, y, width - RIGHT, y, 0.25)
    if not found:
        _open(plan, face, width, height, found, first_page, x)
    return found


def _hint_lines(face: Typeface, places: Sequence[str], room: float) -> list[str]:
    return wrap(face, "or break after " + ", ".join(f"“{p}”" for p in places), REGULAR, 8, room)


def _open(
    plan: Plan, face: Typeface, width: float, height: float, found: list[Page], first_page: int, x: dict[str, float]
) -> tuple[Ink, float]:
    ink = Ink(face)
    longest = {float(p.longest) for p in plan.settings.profiles.values()}
    limit = "–".join(f"{n:g}" for n in dict.fromkeys((min(longest), max(longest))))
    header(ink, width, plan, "one line a row", "Line list", [("fps", str(plan.rate))], ("one generation", f"{limit} s"))
    y = 25.5
    heads = (
        ("line", X_LINE, "right"), ("clip", X_CLIP, "left"), ("speaker", X_SPEAKER, "left"), ("text", X_TEXT, "left"),
        ("syllables", x["syllables"], "right"), ("seconds", x["seconds"], "right"), ("syll. / s", x["rate"], "right"),
        ("room for", x["room"], "right"), ("to fit", x["fit"], "left"),
    )  # fmt: skip
    for text, at, align in heads:
        ink.text(at, y, text, align=align)
    y += 1.6
    ink.line(LEFT, y, width - RIGHT, y, 1.2)
    ink.text(LEFT, height - FOOT, NOTE, REGULAR, 7)
    footer(ink, width, height, plan, first_page + len(found))
    key = "lines" if not found else f"lines{len(found) + 1}"
    found.append(Page(width, height, key, ink, outline=((0, "Line list", key),) if not found else ()))
    return ink, y


def syllable_room(line: PlanLine, limit: Fraction) -> int:
    """Return how many syllables ``limit`` seconds of speech hold at the line's own speed."""
    return floor(len(line.syllables) / line.length * limit)


def _row(
    ink: Ink, y: float, height: float, line: PlanLine, text: Sequence[str], style: str, clips: Sequence[Clip],
    x: dict[str, float], hints: Sequence[str], plan: Plan,
) -> None:  # fmt: skip
    base = y + 5.6
    finding = next((f for f in line.findings if f.code in ("too-long", "no-length-holds-it")), None)
    ink.text(X_LINE, base, line.id, REGULAR, 9.5, "right")
    name = clips[0].id.split(".")[0] if clips else "–"
    ink.text(X_CLIP, base, name, BOLD, ink.face.fit(name, BOLD, 10.5, X_SPEAKER - X_CLIP - 1, 7))
    speaker = ink.face.printable(display_name(line.speaker) or "–")
    ink.text(X_SPEAKER, base, ink.face.shorten(speaker, REGULAR, 9.5, X_TEXT - X_SPEAKER - 1.5), REGULAR, 9.5)
    for n, part in enumerate(text):
        ink.text(X_TEXT, base + LINE_HEIGHT * n, part, style, 10)
    count, length = len(line.syllables), float(line.length)
    ink.text(x["syllables"], base, str(count), REGULAR, 10.5, "right")
    ink.text(x["seconds"], base, f"{length:.1f}", BOLD if finding else REGULAR, 10.5, "right")
    ink.text(x["rate"], base, f"{count / length:.1f}", REGULAR, 10.5, "right")
    if line.kind is LineKind.SUNG:
        ink.text(x["room"], base, "tempo", ITALIC, 8.5, "right")
    else:
        room = syllable_room(line, plan.settings.profile_of(line.speaker).room)
        ink.text(x["room"], base, str(room), REGULAR, 10.5, "right")
    if finding is None:
        asks = " + ".join("–" if c.ask is None else f"{float(c.ask):g}" for c in clips)
        ink.text(x["fit"], base, f"fits {asks} s" if asks else "–", REGULAR, 9.5)
        return
    ink.fill(LEFT - 3.2, y + 0.4, 1.8, height - 0.8)
    caution_square(ink, x["fit"], base + 0.2)
    cut = int(finding.facts.get("syllables_to_cut", 0))
    advice = f"cut about {cut} syllable{'s' * (cut != 1)}" if cut and line.kind is LineKind.SPOKEN else "split"
    ink.text(x["fit"] + 5, base, advice if finding.code == "too-long" else "one word too long", BOLD, 10.5)
    for n, hint in enumerate(hints):
        ink.text(x["fit"] + 5, base + LINE_HEIGHT + 3.8 * n, hint, REGULAR, 8)
