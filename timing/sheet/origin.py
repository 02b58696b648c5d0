"""Where a line's timing came from, in plain words, and which of its words nobody could read.

Every page says it with the same words: :func:`timed_by`. A word in letters that the episode's language does not use
has no known sounds and no known syllables; whatever the plan holds for it is a placeholder.
"""

from __future__ import annotations

from pathlib import PurePosixPath

from timing.language.registry import is_written_in
from timing.model import LineKind, Origin, Plan, PlanLine, TimedWord
from timing.model.findings import FindingCode

NOT_READ = "not timed: words not read"


def is_read(plan: Plan, word: TimedWord) -> bool:
    """True for a word the tool could read: in letters of the episode's language, or with an entry under [say]."""
    if is_written_in(word.text, plan.language):
        return True
    return word.spoken.casefold() in plan.settings.say


def unread_words(plan: Plan, line: PlanLine) -> tuple[TimedWord, ...]:
    """Return the words of a line that nobody could read; their syllables and sounds are placeholders."""
    return tuple(word for word in line.words if not is_read(plan, word))


def said_how(line: PlanLine) -> str:
    """Return the script's directions for a line, to stand before other facts: "(shouted) · "."""
    return " ".join(f"({d})" for d in line.directions) + " · " if line.directions else ""


def timed_by(plan: Plan, line: PlanLine, names_file: bool = True) -> str:
    """Return where the line's timing came from: "measured from the recording 3 bram.ogg".

    Without ``names_file`` the name of the recording or clip is left out, for a narrow column.
    """
    if line.kind is LineKind.PICTURE:
        return "length noted in the script" if line.origin is Origin.PINNED else "length assumed"
    unread = len(unread_words(plan, line))
    if line.origin is Origin.ESTIMATED:
        if unread == len(line.words):
            return NOT_READ
        told = "estimated from the words"
        if line.delivered:
            told += f", in part {_in_clips(line, names_file)}"
    elif line.origin is Origin.MEASURED and line.delivered:
        told = _in_clips(line, names_file)
        if any(clip.line == line.id and not _is_used(plan, clip.id) for clip in plan.clips):
            told += " and from the recording"
    elif line.origin is Origin.MEASURED:
        told = "measured from the recording"
        if names_file and line.take:
            told += f" {PurePosixPath(line.take).name}"
        if any(s.origin is Origin.ESTIMATED for s in line.syllables):
            told += ", some words estimated"
    elif line.origin is Origin.PINNED:
        told = _by_hand(line, names_file) if line.take or line.delivered or line.song else "as noted in the script"
    else:
        song = next((song for song in plan.songs if song.id == line.song), None)
        told = "on an assumed beat" if song and song.origin is Origin.ESTIMATED else "on the beat"
    if faulty := _not_as_written(line):
        told += f", {faulty} word{'s' * (faulty > 1)} not as written"
    if unread:
        told += ", words not read" if unread == len(line.words) else ", some words not read"
    return told


def _not_as_written(line: PlanLine) -> int:
    """Return how many words of a measured line are said differently or not at all where its times are from."""
    codes = (FindingCode.NOT_SAID, FindingCode.SAID_DIFFERENTLY, FindingCode.SCRIPT_CHANGED)
    return len({word for f in line.findings if f.code in codes for word in f.facts.get("words", ())})


def _in_clips(line: PlanLine, names_file: bool) -> str:
    names = [PurePosixPath(name).name for name in line.delivered] if names_file else []
    return " ".join([f"measured in the clip{'s' * (len(line.delivered) > 1)}", ", ".join(names)]).strip()


def _by_hand(line: PlanLine, names_file: bool) -> str:
    """Return that a person's labels say where a line lies, and in which sound."""
    names = [line.take] if line.take else list(line.delivered)
    where = ", ".join(PurePosixPath(name).name for name in names)
    return f"as labelled by hand in {where}" if where and names_file else "as labelled by hand"


def _is_used(plan: Plan, clip_id: str) -> bool:
    back = plan.delivered(clip_id)
    return back is not None and back.is_measured
