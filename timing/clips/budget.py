"""What an episode costs to generate, against what may be spent in a month.

In: a plan. Out: :class:`BudgetReport`: rows by profile and speaker, sums, what each allowance of a month holds, hours
of generating. Money is in the user's own unit; a clip that nothing on the menu holds asks for nothing and is
counted apart, and so is what has no price.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from timing.clips.queue import asked_for, takes_left
from timing.model import Clip, Plan
from timing.model.clock import Seconds
from timing.model.month import Allowance, Month


@dataclass(frozen=True, slots=True)
class Share:
    """What one speaker takes of one profile; ``cost`` None where a clip of it has no price."""

    profile: str
    speaker: str | None
    clips: int
    ask: Seconds
    takes: int
    generate: Seconds
    cost: Fraction | None
    unplaced: int = 0  # clips that no length on the menu holds


@dataclass(frozen=True, slots=True)
class Limit:
    """One allowance of a month: what all takes need of it, and the most takes at which it holds them.

    ``still`` is what the takes that are not back yet need, ``left`` what the ledger leaves of this month (None without
    a ledger). ``takes`` by profile is what is planned; ``takes_that_fit`` None where not even one of each clip fits.
    """

    allowance: Allowance
    needed: Fraction
    takes: tuple[tuple[str, int], ...]
    takes_that_fit: int | None
    still: Fraction = Fraction(0)
    left: Fraction | None = None

    @property
    def profile(self) -> str | None:
        return self.allowance.profile

    @property
    def unit(self) -> str:
        return self.allowance.unit

    @property
    def allowed(self) -> Fraction:
        return self.allowance.allowed

    @property
    def months(self) -> Fraction:
        return self.needed / self.allowed

    @property
    def lacking(self) -> Fraction:
        """By how much what is left of this month is too little; 0 where it is enough, or without a ledger."""
        return Fraction(0) if self.left is None else max(Fraction(0), self.still - self.left)


@dataclass(frozen=True, slots=True)
class Hours:
    """How long a profile's generations run one after the other; ``left`` of them are still to come."""

    profile: str
    generations: int
    minutes_each: Fraction
    left: int

    @property
    def minutes(self) -> Fraction:
        return self.generations * self.minutes_each


@dataclass(frozen=True, slots=True)
class BudgetReport:
    """The whole episode's budget. ``unpriced`` has the seconds, all takes, that ``cost`` leaves out, by profile."""

    shares: tuple[Share, ...]
    ask: Seconds
    generate: Seconds
    cost: Fraction | None
    currency: str
    limits: tuple[Limit, ...]
    unpriced: tuple[tuple[str, Seconds], ...]
    hours: tuple[Hours, ...]
    month: Month | None = None

    @property
    def binding(self) -> Limit | None:
        """The allowance that is used up first, None where none is known."""
        return max(self.limits, key=lambda limit: limit.months, default=None)

    @property
    def months(self) -> Fraction | None:
        return self.binding.months if self.binding else None

    def sentence(self) -> str:
        """Return the verdict for people, "" where no allowance is known."""
        limit = self.binding
        if limit is None:
            return ""
        if self.month and self.month.used:
            return self._for_this_month()
        over = [one for one in self.limits if one.months > 1]
        if not over:
            return f"It fits one month: {self.of(limit)}."
        more = "" if len(over) == 1 else f" ({len(over)} allowances are too small; this one by most)"
        months = ceil(limit.months)
        return f"One month is not enough{more}: {self.of(limit)}, so it takes {months} months. {_fewer(limit)}"

    def _for_this_month(self) -> str:
        """Return the verdict where something was generated this month already: what is left against what is to come."""
        short = max(self.limits, key=lambda one: one.lacking / one.allowed)
        if not short.lacking:
            return "What is left of this month is enough for the takes that are not back."
        over = sum(one.lacking > 0 for one in self.limits)
        more = "" if over == 1 else f" ({over} allowances are too small; this one by most)"
        return f"What is left of this month is not enough{more}: {self.still(short)}."

    def still(self, limit: Limit) -> str:
        """Return what the takes that are not back need of what is left of an allowance."""
        still, left, lacking = (
            limit.allowance.amount(n, self.currency) for n in (limit.still, limit.left or Fraction(0), limit.lacking)
        )
        told = f"the takes that are not back need {still}, {limit.allowance.name} has {left} left"
        return f"{told}, {lacking} too little" if limit.lacking else told

    def of(self, limit: Limit) -> str:
        """Return what an allowance is needed for: "936 of 900 s a month ([budget])"."""
        needed, allowed = (limit.allowance.amount(n, self.currency) for n in (limit.needed, limit.allowed))
        return f"all takes need {needed}, {limit.allowance.name} allows {allowed} a month"


def _fewer(limit: Limit) -> str:
    """Return at how many takes a month is enough, by profile."""
    most = limit.takes_that_fit
    if most is None:
        return "Not even 1 take of each clip would fit one."
    fewer = [f"{name} {most} in place of {takes}" for name, takes in limit.takes if takes > most]
    return f"It would fit one with fewer takes of each clip: {', '.join(fewer)}."


def make_budget(plan: Plan) -> BudgetReport:
    """Return the budget of a plan."""
    shares = tuple(_shares(plan))
    prices = [(c, _price(plan, c)) for c in plan.clips if c.ask is not None]
    known = [c.takes * price for c, price in prices if price is not None]
    unpriced: dict[str, Seconds] = {}
    for clip, price in prices:
        if price is None:
            unpriced[clip.profile] = unpriced.get(clip.profile, Fraction(0)) + (clip.ask or 0) * clip.takes
    return BudgetReport(
        shares,
        sum((s.ask for s in shares), Fraction(0)),
        sum((s.generate for s in shares), Fraction(0)),
        sum(known, Fraction(0)) if known else None,
        plan.settings.budget.currency,
        tuple(_limits(plan)),
        tuple(sorted(unpriced.items())),
        tuple(_hours(plan)),
        plan.month,
    )


def _price(plan: Plan, clip: Clip) -> Fraction | None:
    return None if clip.ask is None else plan.settings.profiles[clip.profile].price(clip.ask)


def _shares(plan: Plan) -> list[Share]:
    groups: dict[tuple[str, str, int], list[Clip]] = {}
    for clip in plan.clips:
        groups.setdefault((clip.profile, clip.speaker or "", clip.takes), []).append(clip)
    found = []
    for (profile, speaker, takes), clips in sorted(groups.items()):
        ask = sum((c.ask or Fraction(0) for c in clips), Fraction(0))
        prices = [_price(plan, c) for c in clips if c.ask is not None]
        known = [price for price in prices if price is not None]
        cost = sum(known, Fraction(0)) * takes if known and len(known) == len(prices) else None
        unplaced = sum(c.ask is None for c in clips)
        found.append(Share(profile, speaker or None, len(clips), ask, takes, ask * takes, cost, unplaced))
    return found


# --- allowances ------------------------------------------------------------------------------------------


def _limits(plan: Plan) -> list[Limit]:
    """Return every allowance, [budget] first; money only where something has a price, or there is nothing to pay."""
    found = []
    for allowance in plan.settings.allowances:
        clips = [c for c in plan.clips if c.profile in allowance.counted]
        if allowance.unit != "money" or not clips or any(_price(plan, c) is not None for c in clips):
            found.append(_limit(plan, allowance, clips))
    return found


def _limit(plan: Plan, allowance: Allowance, clips: Sequence[Clip]) -> Limit:
    one_take: Callable[[Clip], Fraction] = {
        "seconds": lambda c: c.ask or Fraction(0),
        "generations": lambda c: Fraction(c.ask is not None),
        "money": lambda c: _price(plan, c) or Fraction(0),
    }[allowance.unit]

    def needed(most: int) -> Fraction:
        return sum((one_take(c) * min(most, c.takes) for c in clips), Fraction(0))

    takes = max((c.takes for c in clips), default=0)
    fitting = next((most for most in range(takes, 0, -1) if needed(most) <= allowance.allowed), None)
    asked = asked_for(plan)
    still = sum(
        (one_take(c) * takes_left(asked, c) for c in asked.clips if c.profile in allowance.counted), Fraction(0)
    )
    left = plan.month.left(allowance) if plan.month else None
    planned = tuple(sorted({(c.profile, c.takes) for c in clips}))
    return Limit(allowance, needed(takes), planned, fitting, still, left)


def _hours(plan: Plan) -> list[Hours]:
    found, asked = [], asked_for(plan)
    for profile in plan.settings.profiles.values():
        own = [c for c in asked.clips if c.profile == profile.name and c.ask is not None]
        if profile.minutes_each is not None and own:
            left = sum(takes_left(asked, c) for c in own)
            found.append(Hours(profile.name, sum(c.takes for c in own), profile.minutes_each, left))
    return found
