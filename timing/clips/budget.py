"""What an episode costs to generate, against what may be spent in a month, and where words could save.

In: a plan. Out: :class:`BudgetReport`: rows by profile and speaker, sums, months, savings. Money is in the user's
own unit; a clip that nothing on the menu holds asks for nothing and is counted apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from pathlib import Path

from timing.model import Clip, LineKind, Plan
from timing.model.clock import Seconds

MOST_CUT = Fraction(1, 2)  # a line that loses more than half its syllables is another line


@dataclass(frozen=True, slots=True)
class Share:
    """What one speaker takes of one profile; ``cost`` None where the profile has no price."""

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
class BudgetReport:
    """The whole episode's budget; ``months`` None where no allowance is known (0 clips: 0 months)."""

    shares: tuple[Share, ...]
    ask: Seconds
    generate: Seconds
    cost: Fraction | None
    currency: str
    months: Fraction | None
    takes_that_fit: int | None  # takes a clip at which it fits one month, None where not even one does or no limit
    savings: tuple[Saving, ...]

    def sentence(self) -> str:
        """Return the verdict for people, "" where no allowance is known."""
        if self.months is None:
            return ""
        shown = f"{float(self.months):.1f}" if abs(self.months - 1) > Fraction(1, 20) else f"{float(self.months):.2f}"
        if self.months <= 1:
            return f"This episode takes {shown} months of the allowance: it fits."
        most = max((s.takes for s in self.shares), default=0)
        if self.takes_that_fit is None:
            return f"This episode takes {shown} months at {most} takes; not even 1 take of each clip would fit one."
        return f"This episode takes {shown} months at {most} takes; {self.takes_that_fit} would fit one."


def make_budget(plan: Plan) -> BudgetReport:
    """Return the budget of a plan."""
    shares = tuple(_shares(plan))
    generate = sum((s.generate for s in shares), Fraction(0))
    costs = [s.cost for s in shares if s.cost is not None]
    cost = sum(costs, Fraction(0)) if costs else None
    allowance = plan.settings.budget
    months = _months(generate, cost, plan)
    return BudgetReport(
        shares,
        sum((s.ask for s in shares), Fraction(0)),
        generate,
        cost,
        allowance.currency,
        months,
        _takes_that_fit(plan) if months is not None else None,
        tuple(_savings(plan)),
    )


def _shares(plan: Plan) -> list[Share]:
    groups: dict[tuple[str, str, int], list[Clip]] = {}
    for clip in plan.clips:
        groups.setdefault((clip.profile, clip.speaker or "", clip.takes), []).append(clip)
    found = []
    for (profile, speaker, takes), clips in sorted(groups.items()):
        ask = sum((c.ask or Fraction(0) for c in clips), Fraction(0))
        price = plan.settings.profiles[profile].cost_per_s
        unplaced = sum(c.ask is None for c in clips)
        cost = None if price is None else ask * takes * price
        found.append(Share(profile, speaker or None, len(clips), ask, takes, ask * takes, cost, unplaced))
    return found


def _months(generate: Seconds, cost: Fraction | None, plan: Plan) -> Fraction | None:
    """The longer of the two: seconds against the allowance of seconds, money against that of money."""
    allowance = plan.settings.budget
    found = []
    if allowance.seconds_a_month:
        found.append(generate / allowance.seconds_a_month)
    if allowance.money_a_month and cost is not None:
        found.append(cost / allowance.money_a_month)
    return max(found, default=None)


def _takes_that_fit(plan: Plan) -> int | None:
    """The most takes of every clip (none more than its profile's) that fit one month, None where not even 1 does."""
    for takes in range(max((c.takes for c in plan.clips), default=0), 0, -1):
        generate, cost = Fraction(0), Fraction(0)
        priced = False
        for clip in plan.clips:
            seconds = (clip.ask or 0) * min(takes, clip.takes)
            generate += seconds
            price = plan.settings.profiles[clip.profile].cost_per_s
            if price is not None:
                priced = True
                cost += seconds * price
        months = _months(generate, cost if priced else None, plan)
        if months is not None and months <= 1:
            return takes
    return None


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
    cost = None if profile.cost_per_s is None else saves * profile.cost_per_s
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
    rows.append(("all", "", clips, _n(report.ask), "", _n(report.generate), _money(report.cost)))
    widths = [max(len(row[i]) for row in rows) for i in range(len(head))]
    out = [f"{plan.title}: what to generate", ""]
    for row in rows:
        cells = [c.ljust(w) if i < 2 else c.rjust(w) for i, (c, w) in enumerate(zip(row, widths, strict=True))]
        out.append("  ".join(cells).rstrip())
    unplaced = sum(s.unplaced for s in report.shares)
    if unplaced:
        out += ["", f"{unplaced} clips fit no length on the menu and are not counted."]
    if report.sentence():
        out += ["", report.sentence()]
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


def _n(value: Fraction) -> str:
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


def _money(value: Fraction | None) -> str:
    return "" if value is None else f"{float(value):.2f}"
