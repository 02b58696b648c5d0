"""Small editions made by hand: a plan with windows of chosen length, and its words in another language."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

from tests.export.plans import line, plan_of
from timing.dub.edition import make_edition
from timing.dub.texts import TextFile, Texts
from timing.model import Plan, ScriptLine, Where
from timing.model.dub import Edition
from timing.model.settings import ClipProfile, EpisodeSettings
from timing.store.store import Store
from timing.timers.delivery import SpeakerFactor


def plan_with(*texts: str, starts: str = "1 6 11 16", a_word: str = "0.5", **more: object) -> Plan:
    """Return a plan of spoken lines whose words last half a second each, beginning at ``starts``."""
    settings = EpisodeSettings(profiles={"default": ClipProfile(cost_per_s=Fraction(1, 20))})
    lines = [
        line(str(n), text, start, settings.rate, a_word=a_word, **more)
        for n, (text, start) in enumerate(zip(texts, starts.split(), strict=False), 1)
    ]
    return plan_of(lines, settings)


def edition_of(
    plan: Plan,
    words: Mapping[str, str],
    language: str = "de_DE",
    paces: Mapping[str, SpeakerFactor] | None = None,
    folder: Path = Path("nowhere"),
) -> Edition:
    """Return the edition with these words by line id."""
    lines = {
        own.id: ScriptLine(own.kind, words[own.id], Where("script.de.txt", n), own.speaker, own.scene, own.directions)
        for n, own in enumerate(plan.lines, 1)
        if own.id in words
    }
    file = TextFile(Path("script.de.txt"), "de", language)
    return make_edition(plan, paces or {}, file, Texts(lines), folder, Store()).edition
