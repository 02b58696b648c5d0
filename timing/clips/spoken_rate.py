"""The rate lines are spoken at, against what small children follow.

In: placed lines. Out: one finding for the episode. Kindergarten and second-grade children understood sentences at 2.6
and 3.4 syllables a second better than at 4.7, 5.3 and 6.3: M. D. Berry and R. L. Erickson, "Speaking rate: effects on
children's comprehension of normal speech", Journal of Speech and Hearing Research 16 (1973), abstract. That was
English; in a language that is spoken faster the figures are raised by as much as adults read it faster (our choice).
"""

from __future__ import annotations

from collections.abc import Sequence

from timing.language.record import ENGLISH_RATE
from timing.language.registry import language_of
from timing.model import Finding, LineKind, Origin, PlanLine
from timing.model.findings import FindingCode

FOLLOWED = 3.4  # syllables a second that children follow best
HARD = 4.7  # from here they understand less
LEAST_SYLLABLES = 5  # a shorter line says nothing about a rate
SHOWN = 8


def rate_findings(lines: Sequence[PlanLine], language: str) -> tuple[Finding, ...]:
    """Return the finding that names every line spoken faster than children follow, the fastest first; none without."""
    raised = language_of(language).usual_rate.value / ENGLISH_RATE
    rates = {n.id: n.rate for n in lines if n.kind is LineKind.SPOKEN and len(n.syllables) >= LEAST_SYLLABLES}
    fast = sorted((n for n in lines if rates.get(n.id, 0) >= HARD * raised), key=lambda n: (-rates[n.id], n.start))
    if not fast:
        return ()
    named = ", ".join(f"{n.id} ({rates[n.id]:.1f})" for n in fast[:SHOWN])
    rest = f"; also {', '.join(n.id for n in fast[SHOWN:])}" if len(fast) > SHOWN else ""
    how = "as estimated" if all(n.origin is Origin.ESTIMATED for n in fast) else "some of them measured"
    message = (
        f"{len(fast)} of {len(rates)} lines are spoken at {HARD * raised:.1f} syllables a second or faster ({how}), "
        f"where small children understand less; they follow best to {FOLLOWED * raised:.1f}. Slow them down or say "
        f'less (delivery = "young" or "slow" plans for it). The fastest first: line {named}{rest}'
    )
    facts = {
        "lines": [n.id for n in fast],
        "syllables_per_s": [round(rates[n.id], 2) for n in fast],
        "hard_from": round(HARD * raised, 2),
        "best_to": round(FOLLOWED * raised, 2),
    }
    return (Finding(FindingCode.FAST_FOR_CHILDREN, message, facts),)
