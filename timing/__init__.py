"""Timing plans and printed sheets for short spoken and sung clips, in a few functions.

>>> import timing
>>> timing.spoken_form("I counted 3 crabs.")
'I counted three crabs'
>>> timing.syllabify("limpet")
['lim', 'pet']

``plan(source)`` does the whole job on an episode folder or a script, ``write(plan, folder)`` writes its files. Names
are loaded when they are first used. Whatever can go wrong is a ``TimingError``: ``InputError`` (``ScriptError``,
``SettingsError``, ``RecordingError``) for what was given, ``OutputError`` for what could not be written.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from timing.api.align import align
    from timing.api.edition import edition, write_edition
    from timing.api.episode import plan, write
    from timing.api.estimate import Estimate, estimate
    from timing.api.find_tempo import find_tempo
    from timing.api.set_to_beat import set_to_beat
    from timing.language import spoken_form, syllabify
    from timing.model import BeatGrid, Plan, TimedLine, TimedSyllable
    from timing.model.dub import Edition
    from timing.plain.errors import InputError, OutputError, RecordingError, ScriptError, SettingsError, TimingError

_HOMES = {
    "Estimate": "timing.api.estimate",
    "estimate": "timing.api.estimate",
    "syllabify": "timing.language",
    "spoken_form": "timing.language",
    "find_tempo": "timing.api.find_tempo",
    "set_to_beat": "timing.api.set_to_beat",
    "align": "timing.api.align",
    "plan": "timing.api.episode",
    "edition": "timing.api.edition",
    "write_edition": "timing.api.edition",
    "Edition": "timing.model.dub",
    "write": "timing.api.episode",
    "BeatGrid": "timing.model",
    "Plan": "timing.model",
    "TimedLine": "timing.model",
    "TimedSyllable": "timing.model",
    "TimingError": "timing.plain.errors",
    "InputError": "timing.plain.errors",
    "ScriptError": "timing.plain.errors",
    "SettingsError": "timing.plain.errors",
    "RecordingError": "timing.plain.errors",
    "OutputError": "timing.plain.errors",
}

__all__ = [
    "BeatGrid",
    "Edition",
    "Estimate",
    "InputError",
    "OutputError",
    "Plan",
    "RecordingError",
    "ScriptError",
    "SettingsError",
    "TimedLine",
    "TimedSyllable",
    "TimingError",
    "align",
    "edition",
    "estimate",
    "find_tempo",
    "plan",
    "set_to_beat",
    "spoken_form",
    "syllabify",
    "write",
    "write_edition",
]


def __getattr__(name: str) -> Any:
    if name == "__version__":
        from importlib.metadata import version

        return version("timing-sheets")
    if name not in _HOMES:
        raise AttributeError(f"module 'timing' has no attribute {name!r}")
    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
