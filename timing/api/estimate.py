"""How long is this line? Reading and pace joined, for callers that have only a text."""

from __future__ import annotations

from dataclasses import dataclass

from timing.api.values import Number, number
from timing.model import TimedWord

PACES = (0.25, 4)  # the limits of episode.toml's pace


@dataclass(frozen=True)
class Estimate:
    """Likely, low and high length of a line in seconds (80 % range) and its timed words."""

    seconds: float
    low_s: float
    high_s: float
    words: tuple[TimedWord, ...]

    def __repr__(self) -> str:
        spoken = " ".join(w.spoken for w in self.words)
        return f"Estimate({self.seconds:.2f} s, {self.low_s:.2f} to {self.high_s:.2f} s: {spoken!r})"


def estimate(text: str, language: str = "en_US", delivery: str = "dialogue", pace: Number | None = None) -> Estimate:
    """Return the length of ``text`` spoken aloud; a text without a spoken word has length 0.

    ``delivery`` is narration, dialogue, strong, slow or young; ``pace`` multiplies the length (1.1 = 10 % longer).
    Raises SettingsError for an unknown language or delivery, InputError for a pace that cannot be.

    >>> estimate("Where does the sea go?").seconds > 0.5
    True
    """
    from timing.language import read_line
    from timing.timers.pace import PaceTimer

    utterance = read_line(text, language)
    factor = None if pace is None else number(pace, "a pace", *PACES)
    timer = PaceTimer(language, delivery, factor)
    if not utterance.words:
        return Estimate(0.0, 0.0, 0.0, ())
    line = timer.time(utterance)
    return Estimate(float(line.length), float(line.low), float(line.high), tuple(line.words))
