"""What may not be trusted, in words: a take that came back with faults, a reading that is not what is written.

The same words with the same mark stand on the clip table, the line list and the frame sheet.
"""

from __future__ import annotations

from timing.model import Clip, Delivered, LineKind, Plan, PlanLine
from timing.model.findings import FindingCode

ACCEPTED = "accepted"  # a state of clips.toml
# Of a scratch recording: what makes its words or times other than they look.
OF_READINGS = frozenset(
    (FindingCode.NOT_SAID, FindingCode.SAID_DIFFERENTLY, FindingCode.SCRIPT_CHANGED, FindingCode.EXTRA_WORDS,
     FindingCode.UNCLEAR, FindingCode.ROUGH, FindingCode.SINGING_NOT_FOUND)
)  # fmt: skip


def is_doubtful(back: Delivered, kind: LineKind) -> bool:
    """True for a take that does not hold its line, or not all of it, or whose words could not be followed."""
    return any(f.code.spoils for f in back.findings) or (kind is LineKind.SPOKEN and not back.is_measured)


def of_take(plan: Plan, clip: Clip) -> list[str]:
    """Return what is wrong with the best take of a clip, what makes it useless first; empty where nothing is."""
    back = plan.delivered(clip.id)
    if back is None:
        return []
    told = [f.message for f in sorted(back.findings, key=lambda f: not f.code.spoils)]
    told += [f.message for f in back.voice.findings] if back.voice else []
    if is_doubtful(back, clip.kind) and not any(f.code.spoils for f in back.findings):
        told.insert(0, "its words could not be followed; its times are not used")
    return told


def of_reading(line: PlanLine) -> list[str]:
    """Return what is wrong with the recording that a line's times are from; empty where nothing is."""
    if not line.take and not line.song:
        return []
    return [f.message for f in line.findings if f.code in OF_READINGS]


def of_clip(plan: Plan, clip: Clip) -> list[str]:
    """Return every caution that belongs on a clip's first sheet; of a take that a person accepted, that it is."""
    back = plan.delivered(clip.id)
    state = "accepted all the same" if back and back.state == ACCEPTED else "came back"
    of_best = of_take(plan, clip)
    take = [f"{state}: {text}" for text in of_best]
    reading = [text for line in plan.lines_of(clip) for text in of_reading(line)]
    return take + [text for text in reading if text not in of_best]
