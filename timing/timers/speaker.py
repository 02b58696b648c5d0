"""Which timer a spoken line gets: its speaker's delivery and pace, and what stands beside the line."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Protocol

from timing.model.settings import EpisodeSettings
from timing.timers.delivery import SpeakerFactor, delivery_for, delivery_named, direction_factor
from timing.timers.pace import PaceTimer


class Spoken(Protocol):
    """A line as far as it decides its pace."""

    @property
    def speaker(self) -> str | None: ...
    @property
    def directions(self) -> tuple[str, ...]: ...


def pace_timer(
    line: Spoken, settings: EpisodeSettings, factor: SpeakerFactor | None, told_in: str | None = None
) -> PaceTimer:
    """Return the timer of a line in the settings' language; ``factor`` is what recordings say of its speaker.

    ``told_in`` is the language of the directions, where it is another.
    """
    member = settings.cast.get((line.speaker or "").upper())
    told_in = told_in or settings.language
    delivery = delivery_for(member.delivery if member else None, line.speaker, line.directions, told_in)
    if factor:
        # A speaker's factor belongs to the usual delivery; a shouted line keeps its own relation to it.
        ratio = delivery_named(delivery).factor / delivery_named(factor.delivery).factor
        factor = replace(factor, factor=factor.factor * ratio)
    pace = member.pace if member else None
    if told_in == settings.language:
        return PaceTimer(settings.language, delivery, pace, line.directions, factor)
    told = Fraction(str(direction_factor(line.directions, told_in)))
    return PaceTimer(settings.language, delivery, (pace or 1) * told, (), factor)


def usual_delivery(speaker: str, settings: EpisodeSettings) -> str:
    """Return the delivery of a speaker (upper-case name) where nothing stands beside the line."""
    member = settings.cast.get(speaker)
    return delivery_for(member.delivery if member else None, speaker)
