"""What everything in the model is said with: origins, kinds, places in files, findings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum
from typing import Any

from timing.model.findings import FindingCode


class Origin(StrEnum):
    """Where a timing came from."""

    ESTIMATED = "estimated"  # from the text
    FITTED = "fitted"  # to a beat
    MEASURED = "measured"  # from a recording
    PINNED = "pinned"  # by the user


class LineKind(StrEnum):
    """What a line is: said, sung, or picture without speech."""

    SPOKEN = "spoken"
    SUNG = "sung"
    PICTURE = "picture"


class Passage(StrEnum):
    """What a line without words is: something seen, a silence to be held, or a sound to be laid."""

    PICTURE = "picture"
    WAIT = "wait"  # for an answer, or a mere pause; it has a clip where somebody is named who waits
    SOUND = "sound"  # a cue for the edit: no clip


class Break(IntEnum):
    """How good the place after a word is for a cut; the planner never cuts at NEVER."""

    NEVER = 0  # between article and noun, inside a name, inside one written token
    WORD = 1
    PHRASE = 2  # before a conjunction or a preposition
    CLAUSE = 3  # comma, semicolon, colon, dash
    SENTENCE = 4  # full stop, question or exclamation mark, ellipsis, end of the line


@dataclass(frozen=True, slots=True)
class Where:
    """A place in a file of the user's, for messages; lines count from 1."""

    path: str
    line_number: int | None = None

    def __str__(self) -> str:
        return self.path if self.line_number is None else f"{self.path}:{self.line_number}"


@dataclass(frozen=True, slots=True)
class Finding:
    """A fact kept with a line or clip and shown everywhere; it never stops the work.

    ``code`` says what kind it is, ``message`` is one sentence for people,
    ``facts`` plain JSON values for programs.
    """

    code: FindingCode
    message: str
    facts: Mapping[str, Any] = field(default_factory=dict)
    where: Where | None = None
