"""captions.srt and captions.vtt from the timed words.

A caption begins with its first word and never overlaps the next. Lines break where the phrase does. Limits are those
of the captioning guides for children (see the constants); where the speech itself is too fast to keep them, the
caption stays whole and a finding says so.

Sources: W3C, "WebVTT: The Web Video Text Tracks Format", section "Syntax"; SubRip as the Matroska project describes
it; DCMP Captioning Guidelines and Captioning Key; BBC Subtitle Guidelines.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from timing.model import Break, Finding, LineKind, Plan, PlanLine, TimedWord
from timing.model.clock import Seconds, round_half_up
from timing.model.findings import FindingCode
from timing.plain.figures import in_seconds

ROW_CHARACTERS = 32  # DCMP, educational media
ROWS = 2
SHORTEST = Fraction(4, 3)  # DCMP Captioning Key: 40 frames of 30
LONGEST = Fraction(6)  # DCMP Captioning Key
AIM_WORDS_PER_S = Fraction(130, 60)  # DCMP: lower level, every word counted
MOST_WORDS_PER_S = Fraction(150, 60)  # DCMP: children's cultural films; above it a finding
LEAST_GAP_MS = 1000  # BBC 4.5: a gap of a second or none
LONGEST_RUN_ON = Fraction(3, 2)  # BBC 5: at most 1.5 s late with the speaker in shot
_OFF_SCREEN = re.compile(r"\b(?:o\.?\s?s|v\.?\s?o|o\.?\s?c|off|voice[- ]?over)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Caption:
    """One caption: ``rows`` are its printed lines, ``speakers`` who says each of them."""

    start_ms: int
    end_ms: int
    rows: tuple[str, ...]
    speakers: tuple[str | None, ...]
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        return "\n".join(self.rows)

    @property
    def words_per_s(self) -> Fraction:
        """Words shown for each second on screen, names counted as DCMP counts them."""
        return Fraction(1000 * len(self.text.replace("♪", " ").split()), self.end_ms - self.start_ms)


@dataclass(frozen=True, slots=True)
class _Draft:
    """A caption whose end may still move: ``latest`` is where it must stop."""

    start: Seconds
    end: Seconds
    rows: tuple[str, ...]
    speakers: tuple[str | None, ...]
    lines: tuple[str, ...]


def captions_srt(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"captions.srt": bytes}; empty where nobody speaks."""
    captions = make_captions(plan)
    if not captions:
        return {}
    blocks = [
        f"{number}\n{_clock(c.start_ms, ',')} --> {_clock(c.end_ms, ',')}\n{c.text}\n"
        for number, c in enumerate(captions, 1)
    ]
    return {"captions.srt": "\n".join(blocks).encode()}


def captions_vtt(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"captions.vtt": bytes}; empty where nobody speaks. Speakers stand in voice spans."""
    captions = make_captions(plan)
    if not captions:
        return {}
    blocks = [f"WEBVTT\n\nNOTE\n{_safe_note(plan.title)}\n"]
    for number, caption in enumerate(captions, 1):
        rows = "\n".join(_voice(row, who) for row, who in zip(caption.rows, caption.speakers, strict=True))
        blocks.append(f"{number}\n{_clock(caption.start_ms, '.')} --> {_clock(caption.end_ms, '.')}\n{rows}\n")
    return {"captions.vtt": "\n".join(blocks).encode()}


def caption_findings(plan: Plan) -> dict[str, tuple[Finding, ...]]:
    """Return by line id what of the guides' limits its captions cannot keep."""
    found: dict[str, dict[str, Finding]] = {}
    for caption in make_captions(plan):
        for finding in _limits_broken(caption):
            for line_id in caption.lines:
                mine = found.setdefault(line_id, {})
                known = mine.get(finding.code)  # one finding of a kind for a line: its worst caption
                if known is None or _badness(finding) > _badness(known):
                    mine[finding.code] = finding
    return {line_id: tuple(mine.values()) for line_id, mine in found.items()}


def _badness(finding: Finding) -> float:
    return float(finding.facts.get("words_a_minute", 0)) - float(finding.facts.get("seconds", 0))


def _limits_broken(caption: Caption) -> list[Finding]:
    seconds = (caption.end_ms - caption.start_ms) / 1000
    shown = " ".join(caption.text.split())
    shown = shown if len(shown) <= 32 else shown[:29] + "..."
    found = []
    if caption.words_per_s > MOST_WORDS_PER_S:
        a_minute = round(float(caption.words_per_s * 60))
        message = f'caption "{shown}" asks for {a_minute} words a minute; children read about 130, 150 at most'
        facts = {"words_a_minute": a_minute, "at_s": caption.start_ms / 1000}
        found.append(Finding(FindingCode.CAPTION_FAST, message, facts))
    elif Fraction(caption.end_ms - caption.start_ms, 1000) < Fraction(5, 6):
        message = f'caption "{shown}" is on screen for {in_seconds(seconds, 2)} only, less than 5/6 s'
        found.append(Finding(FindingCode.CAPTION_SHORT, message, {"seconds": seconds, "at_s": caption.start_ms / 1000}))
    if caption.end_ms - caption.start_ms > LONGEST * 1000:
        message = f'caption "{shown}" is on screen for {in_seconds(seconds, 2)}, more than {LONGEST} s'
        facts = {"seconds": seconds, "at_s": caption.start_ms / 1000}
        found.append(Finding(FindingCode.CAPTION_LASTS, message, facts))
    if len(caption.rows) > ROWS or any(len(row) > ROW_CHARACTERS for row in caption.rows):
        message = f'caption "{shown}" needs more than {ROWS} lines of {ROW_CHARACTERS} characters'
        found.append(Finding(FindingCode.CAPTION_LONG, message, {"at_s": caption.start_ms / 1000}))
    return found


# --- making ----------------------------------------------------------------------------------------------


def make_captions(plan: Plan) -> tuple[Caption, ...]:
    """Return the captions of a plan in order, none overlapping; where there is a real cut, on its clock."""
    plan = plan.shown
    spoken = sorted((line for line in plan.lines if line.words), key=lambda line: line.start)  # else as written
    drafts: list[_Draft] = []
    for group in _together(spoken):
        drafts += _together_drafts(group) if len(group) > 1 else _line_drafts(group[0])
    return tuple(_placed(drafts, plan))


def _together(lines: Sequence[PlanLine]) -> list[list[PlanLine]]:
    """Return lines in groups that sound at the same time (two voices at once), most of them alone."""
    groups: list[list[PlanLine]] = []
    end = Fraction(-1)
    for line in lines:
        if groups and line.start < end:
            groups[-1].append(line)
        else:
            groups.append([line])
        end = max(end, line.end)
    return groups


def _together_drafts(group: Sequence[PlanLine]) -> list[_Draft]:
    rows: list[str] = []
    speakers: list[str | None] = []
    if len({n.text for n in group}) == 1 and all(n.speaker for n in group):  # the same words at once
        group_name = " and ".join(dict.fromkeys(n.speaker or "" for n in group))
        shown: list[PlanLine] = [replace(group[0], speaker=group_name)]
    else:
        shown = list(group)
    for line in shown:
        name = f"{line.speaker}: " if line.speaker else ""
        for row in _wrap(_chunks(line), _room(line), name):
            rows.append(_marked(row, line))
            speakers.append(line.speaker)
    start, end = min(n.start for n in group), max(n.end for n in group)
    return [_Draft(start, end, tuple(rows), tuple(speakers), tuple(n.id for n in group))]


def _line_drafts(line: PlanLine) -> list[_Draft]:
    chunks = _chunks(line)
    name = f"{line.speaker}: " if line.speaker and any(_OFF_SCREEN.search(d) for d in line.directions) else ""
    drafts = []
    room = _room(line)
    for a, b in _divide(tuple(line.words), chunks, room, name):
        rows = _wrap(chunks[a:b], room, name if a == 0 else "")
        drafts.append(
            _Draft(
                line.words[a].start,
                line.words[b - 1].end,
                tuple(_marked(row, line) for row in rows),
                (line.speaker,) * len(rows),
                (line.id,),
            )
        )
    return drafts


def _marked(row: str, line: PlanLine) -> str:
    """A sung row stands between note signs (common practice in captioning)."""
    return f"♪ {row} ♪" if line.kind is LineKind.SUNG else row


def _room(line: PlanLine) -> int:
    """Return the characters a row holds beside its note signs."""
    return ROW_CHARACTERS - len(_marked("", line))


@dataclass(frozen=True, slots=True)
class _Chunk:
    """One word as printed with what follows it up to the next, and how good a break comes after it."""

    text: str
    glue: str  # "" where no space stood after it
    after: Break


def _chunks(line: PlanLine) -> list[_Chunk]:
    starts, at = [], 0
    for word in line.words:
        found = line.text.find(word.text, at)
        found = at if found < 0 else found
        starts.append(found)
        at = found + len(word.text)
    if any(line.text[s : s + len(w.text)] != w.text for s, w in zip(starts, line.words, strict=True)):
        return [_Chunk(w.text, " ", w.break_after) for w in line.words]  # the print and the words differ
    starts = [0, *starts[1:], len(line.text)]
    chunks = []
    for word, (a, b) in zip(line.words, pairwise(starts), strict=True):
        raw = line.text[a:b]
        chunks.append(_Chunk(" ".join(raw.split()), " " if raw[-1:].isspace() else "", word.break_after))
    return chunks


def _joined(chunks: Sequence[_Chunk]) -> str:
    return "".join(c.text + c.glue for c in chunks).strip()


def _divide(words: Sequence[TimedWord], chunks: Sequence[_Chunk], room: int, name: str) -> list[tuple[int, int]]:
    """Return half-open word ranges, one a caption: the cheapest way through the possible breaks."""
    best: list[tuple[int, int]] = [(0, 0)]  # cost, where the last caption begins
    for b in range(1, len(words) + 1):
        options = []
        for a in range(b - 1, -1, -1):
            length = len(_joined(chunks[a:b])) + (len(name) if a == 0 else 0)
            if length > ROWS * room + 20 and a < b - 1:
                break
            options.append((best[a][0] + _cost(words, chunks, a, b, room, name), a))
        best.append(min(options))
    ranges, b = [], len(words)
    while b:
        a = best[b][1]
        ranges.append((a, b))
        b = a
    return ranges[::-1]


def _cost(words: Sequence[TimedWord], chunks: Sequence[_Chunk], a: int, b: int, room: int, name: str) -> int:
    """How bad one caption is; our own weights: fitting first, then break places, then enough time."""
    rows = _wrap(chunks[a:b], room, name if a == 0 else "")
    cost = 10  # every caption costs a little, so that few are made
    if len(rows) > ROWS or max(map(len, rows)) > room:
        cost += 1000
    if b < len(words):
        cost += {Break.SENTENCE: 0, Break.CLAUSE: 8, Break.PHRASE: 20, Break.WORD: 60}.get(
            words[b - 1].break_after, 500
        )
    seconds = words[b - 1].end - words[a].start
    if seconds > LONGEST:
        cost += 200
    elif seconds < SHORTEST:
        cost += 30
    return cost


def _wrap(chunks: Sequence[_Chunk], room: int, first: str = "") -> list[str]:
    """Return the rows of one caption, ``room`` characters each.

    One where it fits, else two broken by phrase and balanced, else more.
    """
    whole = first + _joined(chunks)
    if len(whole) <= room or len(chunks) == 1:
        return [whole]
    best: tuple[tuple[int, int, int], int] | None = None
    for at in range(1, len(chunks)):
        upper, lower = len(first + _joined(chunks[:at])), len(_joined(chunks[at:]))
        over = max(0, upper - room) + max(0, lower - room)
        place = {Break.NEVER: 40, Break.WORD: 12, Break.PHRASE: 4, Break.CLAUSE: 0, Break.SENTENCE: 0}
        option = ((over, place[chunks[at - 1].after] + abs(upper - lower) // 2, at), at)
        best = option if best is None or option < best else best
    assert best is not None
    if best[0][0] == 0:
        return [first + _joined(chunks[: best[1]]), _joined(chunks[best[1] :])]
    return _fill(chunks, room, first)


def _fill(chunks: Sequence[_Chunk], room: int, first: str) -> list[str]:
    rows, row = [], first
    for chunk in chunks:
        if row.strip() and len(row + chunk.text) > room:
            rows.append(row.strip())
            row = ""
        row += chunk.text + chunk.glue
    return [*rows, row.strip()]


def _placed(drafts: Sequence[_Draft], plan: Plan) -> list[Caption]:
    """Give each caption time to be read, as far as the next one leaves it, on frame edges."""
    rate = plan.rate
    delivery = plan.settings.delivery_rate or rate
    apart_ms = round_half_up(plan.settings.caption_gap_frames / delivery.fps * 1000)

    def edge_ms(moment: Seconds) -> int:
        return round_half_up(rate.moment_of(rate.frame_at(moment)) * 1000)

    found: list[Caption] = []
    for draft, after in zip(drafts, (*drafts[1:], None), strict=False):
        start_ms = max(edge_ms(draft.start), found[-1].end_ms + apart_ms if found else 0)
        limit_ms = edge_ms(after.start) - apart_ms if after else edge_ms(max(plan.length, draft.end + LONGEST_RUN_ON))
        end_ms = _end_ms(draft, start_ms, limit_ms, edge_ms, is_last=after is None)
        found.append(Caption(start_ms, max(end_ms, start_ms + 1), draft.rows, draft.speakers, draft.lines))
    return found


def _end_ms(draft: _Draft, start_ms: int, limit_ms: int, edge_ms: Callable[[Seconds], int], is_last: bool) -> int:
    """Return when a caption goes: when its words are read, never before they are said, at ``limit_ms`` at the latest.

    It stays on to the next one where less than a second would lie between them, as far as it does not stand too long
    or too late by that; else it goes a second before, where its words have been said by then.
    """
    said_ms, latest_ms = edge_ms(draft.end), edge_ms(draft.end + LONGEST_RUN_ON)
    words = len(" ".join(draft.rows).replace("♪", " ").split())
    wanted = min(max(SHORTEST, words / AIM_WORDS_PER_S), LONGEST)
    end_ms = min(max(said_ms, min(edge_ms(draft.start + wanted), latest_ms)), limit_ms)
    if is_last or limit_ms - end_ms >= LEAST_GAP_MS:
        return end_ms
    if limit_ms <= latest_ms and limit_ms - start_ms <= LONGEST * 1000:
        return limit_ms
    sooner_ms = limit_ms - LEAST_GAP_MS
    return sooner_ms if sooner_ms >= max(said_ms, start_ms + round_half_up(SHORTEST * 1000)) else limit_ms


# --- writing ---------------------------------------------------------------------------------------------


def _clock(ms: int, mark: str) -> str:
    """Return HH:MM:SS with thousandths after ``mark``.

    >>> _clock(3_723_004, ",")
    '01:02:03,004'
    """
    total, thousandths = divmod(ms, 1000)
    minutes, secs = divmod(total, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{secs:02d}{mark}{thousandths:03d}"


def _voice(row: str, speaker: str | None) -> str:
    text = row.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    if not speaker:
        return text
    name = re.sub(r"[&<>\s]+", " ", speaker).strip()
    return f"<v {name}>{text}</v>" if name else text


def _safe_note(text: str) -> str:
    return " ".join(re.sub("-{2,}>", "->", text).split())
