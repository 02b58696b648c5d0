"""The script as read: lines with their notes, not yet words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from timing.model.basics import Finding, LineKind, Passage, Where
from timing.model.clock import Seconds

# The trade's extensions of a name: voice over, off screen, off camera; "off" in French, German, Spanish, Portuguese.
OFF_CAMERA = frozenset("vo os oc off voiceover offscreen offcamera offstage".split())


def is_off_camera(directions: Iterable[str]) -> bool:
    """True where one of a speech's directions says that who speaks is not seen.

    >>> is_off_camera(("V.O.",)), is_off_camera(("o.s., softly",)), is_off_camera(("softly",))
    (True, True, False)
    """
    parts = (part for direction in directions for part in direction.split(","))
    return any("".join(c for c in part.casefold() if c.isalpha()) in OFF_CAMERA for part in parts)


@dataclass(frozen=True, slots=True)
class PauseMark:
    """A silence asked for by the user (``[[pause 0.8 s]]``) before the character at ``offset``."""

    offset: int
    length: Seconds


@dataclass(frozen=True, slots=True)
class NotedLength:
    """A length written in a note: one of seconds, frames or bars (``[[4 s]]`` ``[[36 frames]]`` ``[[2 bars]]``)."""

    amount: Fraction
    unit: str  # "s", "frames", "bars"

    def __post_init__(self) -> None:
        if self.unit not in ("s", "frames", "bars") or self.amount <= 0:
            raise ValueError(f"not a length: {self.amount} {self.unit}")


@dataclass(frozen=True, slots=True)
class SongCue:
    """``[[song out-and-in, bar 9]]``: the sung lines from here belong to this song, the first one to this bar."""

    song: str | None
    bar: int | None


@dataclass(frozen=True, slots=True)
class ScriptLine:
    """One line of the script, as read; what reads it is in ``timing.script``.

    ``text`` is without mark-up (emphasis stars, notes, the ``~`` of a lyric) but, for a sung line, with its
    lyric marks (hyphens, ``_``, ``|``, ``@bar:beat``, ``=N``), which ``timing.song.lyrics.lyrics`` reads.
    ``emphasis`` and ``pauses`` are offsets into ``text``. ``again``: the place that brought back a sung line written
    elsewhere (``[[again chorus]]``); ``where`` is where its words are written. ``passage`` tells apart what has no
    words; ``speaker`` of a wait is who waits. ``profile`` (``[[with NAME]]``) is what makes its clip, ``still``
    (``[[picture NAME]]``) the first picture it starts from; both as written, None where the note is not there.
    """

    kind: LineKind
    text: str
    where: Where
    speaker: str | None = None
    scene: str | None = None
    directions: tuple[str, ...] = ()
    emphasis: tuple[tuple[int, int], ...] = ()
    pauses: tuple[PauseMark, ...] = ()
    length: NotedLength | None = None
    cue: SongCue | None = None
    is_dual: bool = False  # spoken together with the speech before
    findings: tuple[Finding, ...] = ()
    again: Where | None = None
    passage: Passage = Passage.PICTURE
    profile: str | None = None
    still: str | None = None
    at_offset: int | None = None  # of a sound cue within a speech: its place in the text of the speech before it


@dataclass(frozen=True, slots=True)
class Remark:
    """A note of the writer's own, ``[[ask Ada]]``: nothing comes of it, unless it turns out to name something."""

    text: str
    where: Where


@dataclass(frozen=True, slots=True)
class Script:
    """A whole script in order; ``text_hash`` is the first six hex digits of the SHA-256 of its bytes."""

    lines: tuple[ScriptLine, ...]
    path: str
    text_hash: str
    title: str | None = None
    facts: Mapping[str, str] = field(default_factory=dict)  # the title page's keys, lower case
    findings: tuple[Finding, ...] = ()
    remarks: tuple[Remark, ...] = ()
