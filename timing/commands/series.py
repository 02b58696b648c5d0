"""What an episode teaches the others of its series, and what it takes from them, told in words."""

from __future__ import annotations

from collections.abc import Mapping

from timing.model import LineKind, Plan
from timing.model.learnt import FEWEST_CLIPS, FEWEST_LINES, LearntPace, LearntTakes
from timing.pipeline import Made
from timing.plain.figures import at_most
from timing.script.source import Source


def teach(source: Source, made: Made) -> None:
    """Keep in the series' learnt.toml what this episode's recordings and accepted clips teach."""
    from timing.memory.clips_toml import read_memory
    from timing.memory.learnt_toml import keep_learnt, takes_needed
    from timing.memory.ledger import ledger_path, read_ledger

    if source.series is None or source.is_lone_script:
        return
    episode = source.folder.resolve().name
    rows = read_ledger(ledger_path(source.folder), made.plan.settings)
    takes = takes_needed(made.plan, read_memory(source.folder), rows, episode)
    keep_learnt(source.series, episode, made.paces, takes)


def used(plan: Plan) -> list[str]:
    """Return what of the plan follows learnt.toml, a sentence each, with the episodes it comes from."""
    settings, learnt = plan.settings, plan.settings.learnt
    told = []
    speakers = dict.fromkeys(
        line.speaker.upper() for line in plan.lines if line.speaker and line.kind is LineKind.SPOKEN
    )
    for speaker in speakers:
        pace, member = learnt.pace_of(speaker), settings.cast.get(speaker)
        if pace and pace.lines >= FEWEST_LINES and not (member and member.pace):
            told.append(f"estimates of {speaker}: pace {pace.pace:.2f}, learnt from {lines_of(learnt.paces[speaker])}")
    for name in dict.fromkeys(clip.profile for clip in plan.clips):
        takes, profile = learnt.takes_of(name), settings.profiles[name]
        if takes and takes.clips >= FEWEST_CLIPS and not profile.takes_noted:
            told.append(
                f"takes of profile {name}: {profile.takes}, learnt from {clips_of(learnt.takes[name])} "
                f"({at_most(takes.takes, 2)} each)"
            )
    return told


def paces_told(made: Made) -> list[str]:
    """Return, for each speaker who was recorded or is known from other episodes, the pace and where it comes from."""
    learnt = made.plan.settings.learnt
    speakers = [n for n in dict.fromkeys((line.speaker or "").upper() for line in made.plan.lines) if n]
    rows = []
    for speaker in speakers:
        here, others = made.paces.get(speaker), learnt.paces.get(speaker, {})
        parts = [f"{here.pace:.2f} in {here.lines} line{'s' * (here.lines != 1)} here"] if here else []
        if (pace := learnt.pace_of(speaker)) is not None:
            member = made.plan.settings.cast.get(speaker)
            why = f", fewer than {FEWEST_LINES}: not used" if pace.lines < FEWEST_LINES else ""
            why = ", not used: the cast has a pace of its own" if member and member.pace and not why else why
            parts.append(f"{pace.pace:.2f} learnt from {lines_of(others)}{why}")
        if parts:
            rows.append(f"  {speaker}: {'; '.join(parts)}")
    return ["", "pace, beside the estimate (1.10: a tenth longer):", *rows] if rows else []


def lines_of(rows: Mapping[str, LearntPace]) -> str:
    """Return what lines taught something.

    >>> lines_of({"low-tide": LearntPace(1.1, 9), "storm": LearntPace(1.0, 1)})
    '10 lines (low-tide 9, storm 1)'
    """
    count = sum(row.lines for row in rows.values())
    return f"{count} line{'s' * (count != 1)} ({', '.join(f'{e} {row.lines}' for e, row in rows.items())})"


def clips_of(rows: Mapping[str, LearntTakes]) -> str:
    count = sum(row.clips for row in rows.values())
    return f"{count} clip{'s' * (count != 1)} ({', '.join(f'{e} {row.clips}' for e, row in rows.items())})"
