"""budget.txt: what an episode costs to generate, in words and figures for people.

In: a plan. Out: the text: a table by profile and speaker, the verdict, what a month allows and has left, the hours,
how many takes it took so far, what would save.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from pathlib import Path

from timing.clips.budget import BudgetReport, Limit, make_budget
from timing.clips.savings import Savings, make_savings
from timing.model import Plan
from timing.model.clock import Seconds
from timing.plain.figures import at_most, down_to_hundredths, up_to_hundredths


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
    out += [*_month(plan, report), *_hours(report), *_takes(plan), *_savings(make_savings(plan), unit)]
    return {"budget.txt": ("\n".join(out) + "\n").encode()}


def _month(plan: Plan, report: BudgetReport) -> Iterator[str]:
    """Yield what a month allows, and what of it is left where there is a ledger."""
    if len(report.limits) > 1:
        yield from ("", "What a month allows:")
        for limit in report.limits:
            yield f"  {report.of(limit)}"
            yield from _not_counted(plan, limit)
    if report.month is not None and report.limits:
        yield from ("", f"Used and left this month ({report.month.name}, from generated.csv):")
        for limit in report.limits:
            yield f"  {limit.allowance.name}: {report.month.told(limit.allowance, report.currency)}"
            yield f"    {report.still(limit)}"
            yield from _not_counted(plan, limit)


def _not_counted(plan: Plan, limit: Limit) -> Iterator[str]:
    """Yield which of the profiles in use [budget] does not count: without that its 0.00 looks like a slip."""
    used = {c.profile for c in plan.clips} | set(plan.month.used if plan.month else ())
    limited = [p.name for p in plan.settings.profiles.values() if not p.unlimited]
    others = [name for name in limited if name in used and name not in limit.allowance.counted]
    if limit.profile is None and others:
        have = "has an allowance of its own" if len(others) == 1 else "have allowances of their own"
        yield f"    without {', '.join(others)}, which {have}"


def _hours(report: BudgetReport) -> Iterator[str]:
    if report.hours:
        yield from ("", "How long generating takes, one after the other:")
    for h in report.hours:
        told = f"  {h.profile}: {_time(h.minutes)} ({h.generations} generations of {_n(h.minutes_each)} min)"
        yield told if h.left == h.generations else f"{told}; {_time(h.left * h.minutes_each)} of it still to come"


def _takes(plan: Plan) -> Iterator[str]:
    """Yield how many takes other episodes of the series needed, where they taught that."""
    learnt = plan.settings.learnt
    own = [name for name in learnt.takes if name in plan.settings.profiles]
    known = [(name, found) for name in own if (found := learnt.takes_of(name))]
    if known:
        yield from ("", "How many takes an accepted clip needed in other episodes (learnt.toml):")
    for name, found in known:
        planned = plan.settings.profiles[name].takes
        clips = f"{found.clips} clip{'s' * (found.clips != 1)}"
        yield f"  {name}: {_n(found.takes)} ({clips}); {planned} are planned"


def _savings(savings: Savings, unit: str) -> Iterator[str]:
    def saves(seconds: Seconds, cost: Fraction | None) -> str:
        return f"saves {_n(seconds)} s" + (f", {_money(cost)}{unit}" if cost is not None else "")

    if savings.handles:
        yield from (
            "",
            "What shorter handles would save (less silence at both ends, ask for the shorter length):",
        )
    for h in savings.handles:
        less, head = up_to_hundredths(h.less), Fraction(round(h.head * 100), 100)
        tail = down_to_hundredths(h.head + h.less + h.tail - less - head)  # with what is printed beside it, the whole
        yield (
            f"  {h.clip} (line {h.line}): {_n(less)} s less, so {_n(head)} s before and {_n(tail)} s after, "
            f"{_n(h.ask)} s -> {_n(h.to)} s, {saves(h.saves, h.cost)}"
        )
    if savings.syllables:
        yield from ("", "What would save (cut the syllables, ask for the shorter length):")
    for s in savings.syllables:
        many = "syllable" if s.syllables == 1 else "syllables"
        yield (
            f"  {s.clip} (line {s.line}): {s.syllables} {many}, {_n(s.ask)} s -> {_n(s.to)} s, {saves(s.saves, s.cost)}"
        )
    if savings.together:
        yield from ("", "What one generation for several lines would save (share_short_lines = true):")
    for t in savings.together:
        yield f"  lines {', '.join(t.lines)}: {' + '.join(map(_n, t.asks))} s -> {_n(t.to)} s, {saves(t.saves, t.cost)}"
    if savings.repeated:
        yield from ("", "What is sung again word for word; where it may look the same, one clip can be shown again:")
    for r in savings.repeated:
        yield f"  {r.clip} in place of {', '.join(r.others)}: {saves(r.saves, r.cost)}"
    if savings.elsewhere:
        yield from ("", "What would be cheaper with another profile that makes such clips ([[with NAME]]):")
    for e in savings.elsewhere:
        lines = ", ".join(f"line {line} {_money(now)} -> {_money(there)}" for line, now, there in e.lines)
        hours = f"; {_time(e.minutes)} of generating there" if e.minutes is not None else ""
        yield f"  {e.other} in place of {e.profile}: {lines}; saves {_money(e.cost)}{unit}{hours}"


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
    return at_most(value, 2)


def _money(value: Fraction | None) -> str:
    return "" if value is None else f"{float(value):.2f}"
