"""What recorded readings of an edition say: measured lines, and each speaker's own pace in that language.

In: the sounds in ``recordings.LANGUAGE`` and the utterances. Out: what listening hears, as for the original.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from timing.language import phones_for
from timing.memory.labels import labels_below
from timing.model import PlanLine, Utterance
from timing.model.clock import Seconds
from timing.model.settings import EpisodeSettings
from timing.recording.listen import Progress, ScriptedLine, listen
from timing.sound.decode import SOUND_SUFFIXES
from timing.store.store import Store
from timing.timers.delivery import SpeakerFactor, calibrate
from timing.timers.measured import MeasuredTimer
from timing.timers.speaker import pace_timer, usual_delivery

if TYPE_CHECKING:
    from timing.recording.results import Heard


def readings_folder(name: str) -> str:
    """Return the folder in which an edition's readings lie."""
    return f"recordings.{name}"


def heard_readings(
    folder: Path, name: str, settings: EpisodeSettings, lines: Sequence[tuple[PlanLine, Utterance]], store: Store,
    progress: Progress | None,
) -> Heard | None:  # fmt: skip
    """Return what the recordings of an edition hold, None where there is no folder of them."""
    below = readings_folder(name)
    if not (folder / below).is_dir():
        return None
    scripted = [ScriptedLine(line.id, utterance, line.song is not None) for line, utterance in lines]
    labels, idle = labels_below(folder, below, SOUND_SUFFIXES)
    pronounce = partial(phones_for, language=settings.language, say=settings.say)
    heard = listen(
        folder, scripted, language=settings.language, pronounce=pronounce, labels=labels, store=store,
        progress=progress, below=below,
    )  # fmt: skip
    return replace(heard, findings=(*idle, *heard.findings))


def paces_heard(
    lines: Sequence[tuple[PlanLine, Utterance]], heard: Heard | None, settings: EpisodeSettings
) -> Mapping[str, SpeakerFactor]:
    """Return what an edition's own readings say of each speaker, by upper-case name."""
    samples: dict[str, list[tuple[Seconds, Seconds]]] = {}
    for line, utterance in lines if heard else ():
        assert heard
        if line.song is not None or line.id not in heard.lines:
            continue
        speaker = (line.speaker or "").upper()
        plain = SpeakerFactor(usual_delivery(speaker, settings), 1.0, 0.0, 0)
        ruled = pace_timer(line, settings, plain).time(utterance).length
        measured = MeasuredTimer(heard.lines[line.id]).time(utterance).length
        samples.setdefault(speaker, []).append((ruled, measured))
    return {name: calibrate(pairs, usual_delivery(name, settings)) for name, pairs in samples.items()}
