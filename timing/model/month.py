"""What a month allows, and what of it the ledger says is used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from timing.model.clock import Seconds
from timing.plain.figures import at_most


@dataclass(frozen=True, slots=True)
class Allowance:
    """What a month allows of the profiles in ``counted``; ``profile`` None: [budget].

    ``unit``: "seconds", "generations" or "money".
    """

    profile: str | None
    unit: str
    allowed: Fraction
    counted: tuple[str, ...]

    @property
    def name(self) -> str:
        return "[budget]" if self.profile is None else f"profile {self.profile}"

    def amount(self, value: Fraction, currency: str) -> str:
        """Return an amount with its unit, money with two decimals.

        >>> Allowance("talking", "seconds", Fraction(60), ("talking",)).amount(Fraction(7, 2), "EUR")
        '3.5 s'
        """
        if self.unit == "money":
            return f"{float(value):.2f} {currency}".rstrip()
        unit = "s" if self.unit == "seconds" else "generation" if value == 1 else "generations"
        return f"{at_most(value, 2)} {unit}"


@dataclass(frozen=True, slots=True)
class Used:
    """What was generated with one profile; ``unpriced`` of the generations have no cost in the ledger."""

    seconds: Seconds = Fraction(0)
    generations: int = 0
    money: Fraction = Fraction(0)
    unpriced: int = 0


@dataclass(frozen=True)
class Month:
    """What the ledger says of one month, by profile; ``name`` as in "2026-03"."""

    name: str
    used: Mapping[str, Used] = field(default_factory=dict)

    def of(self, allowance: Allowance) -> Fraction:
        """Return what is used of an allowance, in its unit."""
        own = [self.used[name] for name in allowance.counted if name in self.used]
        return sum((Fraction(getattr(used, allowance.unit)) for used in own), Fraction(0))

    def left(self, allowance: Allowance) -> Fraction:
        return max(Fraction(0), allowance.allowed - self.of(allowance))

    def told(self, allowance: Allowance, currency: str) -> str:
        """Return what is used and left of an allowance.

        >>> month = Month("2026-03", {"talking": Used(Fraction(31), 7)})
        >>> month.told(Allowance("talking", "seconds", Fraction(60), ("talking",)), "")
        '31 of 60 s, 29 s left'
        """
        used, allowed = self.of(allowance), allowance.allowed
        over = used - allowed
        bare = f"{float(used):.2f}" if allowance.unit == "money" else at_most(used, 2)
        of = f"{bare} of {allowance.amount(allowed, currency)}"
        lacking = self._unpriced(allowance)
        if over > 0:
            return f"{of}, {allowance.amount(over, currency)} more than allowed{lacking}"
        return f"{of}, {allowance.amount(self.left(allowance), currency)} left{lacking}"

    def _unpriced(self, allowance: Allowance) -> str:
        count = sum(self.used[name].unpriced for name in allowance.counted if name in self.used)
        if allowance.unit != "money" or not count:
            return ""
        return f" ({count} generation{'s' * (count != 1)} without a cost {'is' if count == 1 else 'are'} not counted)"
