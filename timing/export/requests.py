"""requests/CLIP.txt: one text for each clip, ready to paste where the clip is made.

What is said stands as it is said (numbers in words, emphasis in capitals, pauses in seconds); words that a reader
may say wrongly are spelled out by syllables with the stress in capitals.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from timing.model import Clip, LineKind, Plan, PlanLine, Seam, TimedWord
from timing.plain.figures import at_most
from timing.plain.words import bare

SHOWN_PAUSE = Fraction(1, 4)  # shorter silences are the speaker's own business


def clip_requests(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"requests/C04.txt": bytes} for every clip, as it was asked for where it has come back."""
    asked = plan.requested or plan
    return {f"requests/{clip.id}.txt": request_text(asked, clip, plan).encode() for clip in asked.clips}


def request_text(plan: Plan, clip: Clip, now: Plan | None = None) -> str:
    """Return what to paste for one clip, facts first, then the words; ``now`` is the plan with what has come back."""
    seam = (now or plan).seam(clip)
    lines = [plan.line(line_id) for line_id in clip.lines or (clip.line,)]
    ask = "length: nothing on the menu holds it" if clip.ask is None else f"length: {at_most(clip.ask, 2)} s"
    rows = [f"{clip.id}  {plan.title}", ask + f", {clip.takes} takes"]
    is_unseen = all(line.is_off_camera for line in lines)
    if clip.speaker:
        rows.append(f"voice off camera: {clip.speaker}, not seen" if is_unseen else f"speaker: {clip.speaker}")
    directions = list(dict.fromkeys(d for line in lines for d in line.directions))
    if directions:
        rows.append(f"how: {', '.join(directions)}")
    if clip.kind is LineKind.PICTURE:
        doubts = [f"! {f.message}" for f in clip.findings]
        return "\n".join([*rows, *_heard_over(plan, clip), *_joins(plan, clip, seam), "", clip.text, *doubts, ""])
    first = clip.head
    mouth = "mouth closed after" if first <= 0 else "mouth closed before and after"
    mouth = "no mouth is seen" if is_unseen else mouth
    rows.append(
        f"{'singing' if clip.kind is LineKind.SUNG else 'speech'}: {at_most(clip.speech, 2)} s, "
        f"from {at_most(first, 2)} s to {at_most(first + clip.speech, 2)} s; "
        + (mouth if clip.speaker else "who sings is not named in the script")
    )
    rows += _joins(plan, clip, seam)
    rows += ["", *_said(plan, clip), *_spelled(_words(plan, clip))]
    rows += [f"! {f.message}" for f in clip.findings]
    return "\n".join([*rows, ""])


def _heard_over(plan: Plan, clip: Clip) -> list[str]:
    """Return what is heard over a picture, with its time in the clip, for the length and mood of what is to be seen."""
    rows = []
    for line in plan.heard_over(clip):
        first, last = max(Fraction(0), line.start - clip.start), min(clip.end, line.end) - clip.start
        who, place = line.speaker or "a voice", f"from {at_most(first, 2)} s to {at_most(last, 2)} s"
        rows.append(f"heard over it, nobody is seen to speak: {who}, “{line.text}”, {place}")
    return rows


def _said(plan: Plan, clip: Clip) -> list[str]:
    """Return the words; where several lines share the clip, each line's with the second at which it begins."""
    if len(clip.lines) < 2:
        return [said_words(plan, clip)]
    lines = [plan.line(line_id) for line_id in clip.lines]
    return [
        f"from {at_most(clip.head + line.start - clip.speech_start, 2)} s: {_as_spoken(line.words, clip.kind)}"
        for line in lines
    ]


def said_words(plan: Plan, clip: Clip) -> str:
    """Return a clip's words as they are said: emphasis in capitals, pauses in parentheses."""
    return _as_spoken(_words(plan, clip), clip.kind)


def _as_spoken(words: Sequence[TimedWord], kind: LineKind) -> str:
    parts: list[str] = []
    before: TimedWord | None = None
    for word in words:
        pause = word.start - before.end if before else Fraction(0)
        if before and pause >= SHOWN_PAUSE and kind is LineKind.SPOKEN:
            parts.append(f"(pause {at_most(pause, 2)} s)")
        parts.append(_as_said(word))
        before = word
    return " ".join(parts)


def _words(plan: Plan, clip: Clip) -> tuple[TimedWord, ...]:
    found: list[TimedWord] = []
    for line_id in clip.lines or (clip.line,):
        line: PlanLine = plan.line(line_id)
        found += line.words[clip.words[0] : clip.words[1]] if line_id == clip.line else line.words
    return tuple(found)


def _as_said(word: TimedWord) -> str:
    text, written = word.text, bare(word.text)
    if word.spoken and word.spoken.casefold() != written.casefold() and any(c.isdigit() for c in written):
        text = text.replace(written, word.spoken, 1)
    return text.upper() if word.is_emphasised else text


def _spelled(words: tuple[TimedWord, ...]) -> list[str]:
    """Return "frondle: FRON-dle" for each word pronounced by guess."""
    rows = {}
    for word in words:
        if word.is_guessed and len(word.syllables) > 1:
            pieces = [s.heard.strip('.,;:!?…"“”()') for s in word.syllables]
            shown = "-".join(
                p.upper() if s.stress == 1 else p.lower() for p, s in zip(pieces, word.syllables, strict=True)
            )
            rows["".join(pieces).casefold()] = f"say {''.join(pieces)}: {shown}"
    return ["", *rows.values()] if rows else []


def _joins(plan: Plan, clip: Clip, seam: Seam | None) -> list[str]:
    """Return what to give as first and last frame where a line is split."""
    part, parts = clip.part
    if parts == 1:
        return []
    rows = [f"part {part} of {parts}"]
    if seam is not None:
        rows.append(f"first frame: {seam_told(plan, seam)}")
    if part < parts and clip.kind is not LineKind.PICTURE:
        closed = "" if plan.line(clip.line).is_off_camera else "mouth closed; "
        rows.append(f"last frame: {closed}{clip.id.rpartition('.')[0]}.{part + 1} goes on from it")
    return rows


def seam_told(plan: Plan, seam: Seam) -> str:
    """Return what a later part starts from: where the cut leaves the earlier one, not that file's end."""
    name = f"the one in which {seam.clip} leaves the cut"
    number = f"frame {seam.frame + 1} of"
    rate = f"at {plan.rate.name} frames a second"
    if seam.still is not None:
        return f"{seam.still}, {name} ({number} {seam.file}, {rate})"
    if seam.file is not None:
        return f"{name}: {number} it as planned, {rate}; there is no still, for {seam.file} has no picture"
    return (
        f"{name}: {number} its take, as planned, {rate}; not the take's last one. There is no still yet: "
        f"accept a take of {seam.clip}, and the next run writes it"
    )
