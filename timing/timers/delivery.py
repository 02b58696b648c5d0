"""How a line is delivered, and what that does to its length.

In: a delivery named in plain words, a speaker's own factor, directions beside the line.
Out: the log-normal spread of the length: ``length = predicted x exp(mu + speaker + line)`` with
``speaker ~ N(0, speaker_sd)`` and ``line ~ N(0, line_sd)``, all in natural logarithms.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from timing.language.registry import all_manners, manners_of
from timing.model.learnt import LearntPace
from timing.plain.errors import SettingsError

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


# Fitted with these very rules (tests/bench/bench_words.py) on public recordings, aligned lengths: 8 narrators
# (73 lines
# of audio books), 18 actors saying lines at normal strength (324) and strongly (275), 2 actresses speaking slowly and
# carefully (350; the spread between speakers is assumed, two are too few). Nobody has measured speech to young
# audiences where we could read it: "young" lies between strong and slow and is our own estimate.
TABLE = {
    "narration": Delivery("narration", 1.14, 0.11, 0.136, "8 narrators, 73 lines"),
    "dialogue": Delivery("dialogue", 0.91, 0.07, 0.14, "18 actors, 324 lines"),
    "strong": Delivery("strong", 1.03, 0.075, 0.175, "18 actors, 275 lines"),
    "slow": Delivery("slow", 1.73, 0.10, 0.19, "2 careful speakers, 350 lines"),
    "young": Delivery("young", 1.41, 0.17, 0.18, "our estimate"),
}

# Directions that change the pace within a delivery: our own estimates, no source.
_CHANGES = {"hushed": 1.10, "quick": 0.85}


@dataclass(frozen=True)
class SpeakerFactor:
    """What recorded lines say of one speaker: a factor on the rules' length, which takes the place of the delivery's,
    and what spread (sd of the logarithm) remains."""

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
        raise SettingsError(f'"{name}" is not a delivery; choose one of {", ".join(TABLE)}') from None


def _changes(directions: Sequence[str], language: str) -> list[str]:
    """Return what directions change, each as often as they say so; they are read in the line's language and English."""
    known = manners_of(language)
    return [kind for said in directions for kind in dict.fromkeys(k for m in known for k in m.changed_by(said))]


def delivery_for(
    member_delivery: str | None, speaker: str | None, directions: Sequence[str] = (), language: str = "en_US"
) -> str:
    """Return the delivery of a line: a direction beside it wins, then the cast's own, then what the name says.

    >>> delivery_for(None, "BRAM", ("gritando",), "pt_BR")
    'strong'
    >>> delivery_for(None, "NARRATOR"), delivery_for(None, "TANSY"), delivery_for(None, "BRAM", ("shouted",))
    ('narration', 'dialogue', 'strong')
    """
    for kind in _changes(directions, language):
        if kind in TABLE:
            return kind
    if member_delivery:
        return delivery_named(member_delivery).name
    tells = speaker and any(manners.names_a_narrator(speaker) for manners in all_manners())
    return "narration" if tells else "dialogue"


def calibrate(
    samples: Sequence[tuple[float | Fraction, float | Fraction]], delivery: str, learnt: LearntPace | None = None
) -> SpeakerFactor:
    """Return the factor of a speaker from (predicted_s, measured_s) pairs of recorded lines.

    ``learnt`` is what other episodes' lines say, each of which counts like one of these.

    ``predicted_s`` is the length by the rules alone: what a :class:`~timing.timers.pace.PaceTimer` gives whose factor
    is 1. The mean of the logarithms is shrunk towards the delivery's with the weight of three lines, and the range
    narrows by what is then known of the speaker; without samples both are the delivery's own. Pairs that are not
    positive are left out.

    >>> found = calibrate([(2.0, 2.4)] * 9, "dialogue")
    >>> round(found.factor, 3), found.source
    (1.12, 'from 9 recorded lines')
    """
    row = delivery_named(delivery)
    usual = math.log(row.factor)
    logs = _logs(samples)
    more = learnt.lines if learnt else 0
    lines = len(logs) + more
    weight = lines / (lines + PRIOR_LINES)
    beyond = sum(log - usual for log in logs) + (more * math.log(learnt.pace) if learnt else 0.0)
    mean = beyond / lines if lines else 0.0
    spread = math.sqrt(row.line_sd**2 + row.speaker_sd**2 * (1 - weight))
    return SpeakerFactor(row.name, math.exp(usual + weight * mean), spread, lines)


def measured_pace(
    samples: Sequence[tuple[float | Fraction, float | Fraction]], delivery: str, pace: Fraction | None = None
) -> LearntPace | None:
    """Return how long a speaker's recorded lines last, as a factor on what the delivery promises; None without any.

    The pairs are those of :func:`calibrate`; ``pace`` is the cast's factor that their predictions hold already.

    >>> measured_pace([(2.0, 2.0 * 0.91 * 1.1)] * 4, "dialogue")
    LearntPace(pace=1.1, lines=4)
    """
    logs = _logs(samples)
    if not logs:
        return None
    mean = sum(logs) / len(logs) - math.log(delivery_named(delivery).factor)
    return LearntPace(round(math.exp(mean) * float(pace or 1), 6), len(logs))


def _logs(samples: Sequence[tuple[float | Fraction, float | Fraction]]) -> list[float]:
    return [math.log(float(measured) / float(rule)) for rule, measured in samples if rule > 0 and measured > 0]


def direction_factor(directions: Sequence[str], language: str = "en_US") -> float:
    """Return how much longer a direction makes a line beyond its delivery; our own estimates.

    >>> direction_factor(("whispered",)), direction_factor(("quickly",)), direction_factor(("flüsternd",), "de_DE")
    (1.1, 0.85, 1.1)
    """
    return math.prod(_CHANGES.get(kind, 1.0) for kind in _changes(directions, language))
