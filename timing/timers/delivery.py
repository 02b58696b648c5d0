"""How a line is delivered, and what that does to its length.

In: a delivery named in plain words, a speaker's own factor, directions beside the line.
Out: the log-normal spread of the length: ``length = predicted x exp(mu + speaker + line)`` with
``speaker ~ N(0, speaker_sd)`` and ``line ~ N(0, line_sd)``, all in natural logarithms.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from timing.errors import SettingsError
from timing.settings import DELIVERIES

Z80 = 1.2816  # 80 % of a normal distribution lie within this many standard deviations
PRIOR_LINES = 3  # a delivery counts as much as three measured lines of the speaker


@dataclass(frozen=True)
class Delivery:
    """One row: factor = exp(mu) on the rules' length, spread between speakers and between lines."""

    name: str
    factor: float
    speaker_sd: float
    line_sd: float
    source: str


TABLE = {
    "narration": Delivery("narration", 1.19, 0.10, 0.14, "9 narrators, 74 lines"),
    "dialogue": Delivery("dialogue", 0.97, 0.07, 0.14, "24 actors, 379 lines"),
    "strong": Delivery("strong", 1.10, 0.08, 0.18, "24 actors, 368 lines"),
    "slow": Delivery("slow", 1.50, 0.17, 0.18, "our estimate"),
}

_NARRATORS = re.compile(r"^(narrat|voice.?over|v\.?o\.?$|storytell|announcer|narrador|erzähl|sprecher)", re.I)
_WORDS = {
    "strong": r"shout|yell|scream|strong|loud|angry|excited|cry|sob|call|bellow|roar|furious|panick",
    "slow": r"slow|careful|sleepy|drows|yawn|patient|sing-?song|whisper",
    "narration": r"\bv\.?\s?o\b|voice-?over|narrat|reading",
}


@dataclass(frozen=True)
class SpeakerFactor:
    """What measured lines say of one speaker: a factor on the predicted length, and what spread remains."""

    delivery: str
    factor: float
    sd: float
    lines: int

    @property
    def source(self) -> str:
        return f"from {self.lines} recorded line{'s' if self.lines != 1 else ''}"


def delivery_named(name: str) -> Delivery:
    """Return the row of a delivery; raises SettingsError for an unknown name."""
    try:
        return TABLE[name.strip().lower()]
    except KeyError:
        raise SettingsError(f'"{name}" is not a delivery; choose one of {", ".join(DELIVERIES)}') from None


def delivery_for(member_delivery: str | None, speaker: str | None, directions: Sequence[str] = ()) -> str:
    """Return the delivery of a line: a direction beside it wins, then the cast's own, then what the name says.

    >>> delivery_for(None, "NARRATOR"), delivery_for(None, "TANSY"), delivery_for(None, "BRAM", ("shouted",))
    ('narration', 'dialogue', 'strong')
    """
    for direction in directions:
        for name, pattern in _WORDS.items():
            if re.search(pattern, direction, re.I):
                return name
    if member_delivery:
        return delivery_named(member_delivery).name
    return "narration" if speaker and _NARRATORS.search(speaker.strip()) else "dialogue"


def calibrate(samples: Sequence[tuple[float | Fraction, float | Fraction]], delivery: str) -> SpeakerFactor:
    """Return the factor of a speaker from (predicted_s, measured_s) pairs, shrunk towards the delivery's."""
    row = delivery_named(delivery)
    mu = math.log(row.factor)
    logs = [math.log(float(m) / float(p)) for p, m in samples if p > 0 and m > 0]
    n = len(logs)
    weight = n / (n + PRIOR_LINES)
    factor = math.exp(mu + weight * ((sum(logs) / n if n else mu) - mu))
    return SpeakerFactor(row.name, factor, math.sqrt(row.line_sd**2 + row.speaker_sd**2 * (1 - weight)), n)
