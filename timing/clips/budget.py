"""What an episode costs to generate, against what may be spent in a month, and where words could save.

In: a plan. Out: :class:`BudgetReport`: rows by profile and speaker, sums, what each allowance of a month holds, hours
of generating, savings. Money is in the user's own unit; a clip that nothing on the menu holds asks for nothing and is
counted apart, and so is what has no price.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from pathlib import Path

from timing.model import Clip, LineKind, Plan
from timing.model.clock import Seconds
from timing.model.settings import ClipProfile
from timing.plain.figures import at_most

MOST_CUT = Fraction(1, 2)  # a line that loses more than half its syllables is another line


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
class Saving:
    """Cutting ``syllables`` from a line lets its clip ask for ``to`` instead of ``ask`` seconds."""

    clip: str
    line: str
    syllables: int
    ask: Seconds
    to: Seconds
    saves: Seconds  # generated seconds, all takes
    cost: Fraction | None


@dataclass(frozen=True, slots=True)
class Limit:
    """One allowance of a month: what it allows, what all takes need of it, and the most takes at which it holds them.

    ``profile`` None: [budget]. ``unit``: "seconds", "generations" or "money". ``takes`` by profile is what is planned;
    ``takes_that_fit`` None where not even one take of each clip fits.
    """

    profile: str | None
    unit: str
    allowed: Fraction
    needed: Fraction
    takes: tuple[tuple[str, int], ...]
    takes_that_fit: int | None

    @property
    def months(self) -> Fraction:
        return self.needed / self.allowed


@dataclass(frozen=True, slots=True)
class Hours:
    """How long a profile's generations run one after the other."""

    profile: str
    generations: int
    minutes_each: Fraction

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
    savings: tuple[Saving, ...]

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
        over = [one for one in self.limits if one.months > 1]
        if not over:
            return f"It fits one month: {self.of(limit)}."
        more = "" if len(over) == 1 else f" ({len(over)} allowances are too small; this one by most)"
        months = ceil(limit.months)
        return f"One month is not enough{more}: {self.of(limit)}, so it takes {months} months. {_fewer(limit)}"

    def of(self, limit: Limit) -> str:
        """Return what an allowance is needed for: "936 of 900 s a month ([budget])"."""
        unit = f" {self.currency}" if self.currency else ""
        name = "[budget]" if limit.profile is None else f"profile {limit.profile}"
        needed, allowed = at_most(limit.needed, 2), at_most(limit.allowed, 2)
        if limit.unit == "money":
            needed, allowed = _money(limit.needed), _money(limit.allowed)
        what = {"seconds": " s", "generations": " generations", "money": unit}[limit.unit]
        return f"all takes need {needed}{what}, {name} allows {allowed}{what} a month"


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
        tuple(_savings(plan)),
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
    """Return every allowance, [budget] first; that one is for profiles without an allowance of their own."""
    profiles = [p for p in plan.settings.profiles.values() if not p.unlimited]
    shared = plan.settings.budget
    own_count = {p.name for p in profiles if p.seconds_a_month is not None or p.generations_a_month is not None}
    own_money = {p.name for p in profiles if p.money_a_month is not None}
    wanted: list[tuple[str | None, str, Fraction | int | None, list[ClipProfile]]] = [
        (None, "seconds", shared.seconds_a_month, [p for p in profiles if p.name not in own_count]),
        (None, "money", shared.money_a_month, [p for p in profiles if p.name not in own_money]),
    ]
    for p in profiles:
        wanted += [
            (p.name, "seconds", p.seconds_a_month, [p]),
            (p.name, "generations", p.generations_a_month, [p]),
            (p.name, "money", p.money_a_month, [p]),
        ]
    found = []
    for name, unit, allowed, own in wanted:
        clips = [c for c in plan.clips if c.profile in {p.name for p in own}]
        if allowed is not None and (unit != "money" or not clips or any(_price(plan, c) is not None for c in clips)):
            found.append(_limit(plan, name, unit, Fraction(allowed), clips))
    return found


def _limit(plan: Plan, name: str | None, unit: str, allowed: Fraction, clips: Sequence[Clip]) -> Limit:
    one_take: Callable[[Clip], Fraction] = {
        "seconds": lambda c: c.ask or Fraction(0),
        "generations": lambda c: Fraction(c.ask is not None),
        "money": lambda c: _price(plan, c) or Fraction(0),
    }[unit]

    def needed(most: int) -> Fraction:
        return sum((one_take(c) * min(most, c.takes) for c in clips), Fraction(0))

    takes = max((c.takes for c in clips), default=0)
    fitting = next((most for most in range(takes, 0, -1) if needed(most) <= allowed), None)
    return Limit(name, unit, allowed, needed(takes), tuple(sorted({(c.profile, c.takes) for c in clips})), fitting)


def _hours(plan: Plan) -> list[Hours]:
    found = []
    for profile in plan.settings.profiles.values():
        count = sum(c.takes for c in plan.clips if c.profile == profile.name and c.ask is not None)
        if profile.minutes_each is not None and count:
            found.append(Hours(profile.name, count, profile.minutes_each))
    return found


def _savings(plan: Plan) -> list[Saving]:
    found = []
    for clip in plan.clips:
        saving = _saving(plan, clip)
        if saving:
            found.append(saving)
    return sorted(found, key=lambda s: (-s.saves, s.syllables, s.clip))


def _saving(plan: Plan, clip: Clip) -> Saving | None:
    if clip.kind is not LineKind.SPOKEN or clip.ask is None or len(clip.lines) > 1:
        return None
    profile = plan.settings.profiles[clip.profile]
    shorter = [n for n in profile.lengths if n < clip.ask]
    syllables = sum(len(w.syllables) for w in plan.line(clip.line).words[clip.words[0] : clip.words[1]])
    speech = clip.high if plan.settings.fit_by == "high" else clip.speech
    if not shorter or not syllables or not speech:
        return None
    room = shorter[-1] - clip.head - clip.tail
    too_much = speech - room
    if too_much <= 0:
        return None
    cut = ceil(too_much * syllables / speech)
    if cut > syllables * MOST_CUT:
        return None
    saves = (clip.ask - shorter[-1]) * clip.takes
    before, after = profile.price(clip.ask), profile.price(shorter[-1])
    cost = None if before is None or after is None else (before - after) * clip.takes
    return Saving(clip.id, clip.line, cut, clip.ask, shorter[-1], saves, cost)


# --- the text --------------------------------------------------------------------------------------------


def budget_text(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"budget.txt": bytes}: a table by profile and speaker, the verdict, what would save."""
    report = make_budget(plan)
    unit = f" {report.currency}" if report.currency else ""
    head = ("profile", "speaker", "clips", "ask s", "takes", "generate s", f"cost{unit}")
    rows = [head]
    for s in report.shares:
        rows.append(
            (
                s.profile,
                s.speaker or "(picture)",
                str(s.clips),
                _n(s.ask),
                str(s.takes),
                _n(s.generate),
                _money(s.cost),
            )
        )
    clips = str(sum(s.clips for s in report.shares))
    total = _money(report.cost) + (" +" if report.unpriced and report.cost is not None else "")
    rows.append(("all", "", clips, _n(report.ask), "", _n(report.generate), total))
    widths = [max(len(row[i]) for row in rows) for i in range(len(head))]
    out = [f"{plan.title}: what to generate", ""]
    for row in rows:
        cells = [c.ljust(w) if i < 2 else c.rjust(w) for i, (c, w) in enumerate(zip(row, widths, strict=True))]
        out.append("  ".join(cells).rstrip())
    unplaced = sum(s.unplaced for s in report.shares)
    if unplaced:
        out += ["", f"{unplaced} clips fit no length on the menu and are not counted."]
    if report.unpriced and report.cost is not None:
        out += ["", f"The cost leaves out what has no price: {_unpriced(report)}."]
    elif report.unpriced:
        out += ["", f"Nothing has a price: {_unpriced(report)}."]
    if report.sentence():
        out += ["", report.sentence()]
    if len(report.limits) > 1:
        out += ["", "What a month allows:", *(f"  {report.of(limit)}" for limit in report.limits)]
    if report.hours:
        out += ["", "How long generating takes, one after the other:"]
        out += [
            f"  {h.profile}: {_time(h.minutes)} ({h.generations} generations of {_n(h.minutes_each)} min)"
            for h in report.hours
        ]
    if report.savings:
        out += ["", "What would save (cut the syllables, ask for the shorter length):"]
        for saving in report.savings:
            money = f", {_money(saving.cost)}{unit}" if saving.cost is not None else ""
            many = "syllable" if saving.syllables == 1 else "syllables"
            out.append(
                f"  {saving.clip} (line {saving.line}): {saving.syllables} {many}, {_n(saving.ask)} s -> "
                f"{_n(saving.to)} s, saves {_n(saving.saves)} s{money}"
            )
    return {"budget.txt": ("\n".join(out) + "\n").encode()}


def _unpriced(report: BudgetReport) -> str:
    return ", ".join(f"{_n(seconds)} s with profile {name}" for name, seconds in report.unpriced)


def _time(minutes: Fraction) -> str:
    """Return a time as people say it.

    >>> _time(Fraction(45)), _time(Fraction(750))
    ('45 min', '12 h 30 min')
    """
    whole = ceil(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"


def _n(value: Fraction) -> str:
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


def _money(value: Fraction | None) -> str:
    return "" if value is None else f"{float(value):.2f}"
