"""Where our own timeline lays each file, in whole frames: what a real cut is measured against.

An edit lies on frames, speech does not. An event that stands as our timeline has it has not been moved, although its
sound lies up to a frame beside the plan's moment; one that stands three frames later was moved by three frames.
"""

from __future__ import annotations

from timing.model import Clip, Plan, Sounding
from timing.model.clock import Seconds


def clip_laid_at(plan: Plan, clip: Clip) -> Seconds:
    """Return where the beginning of a clip's file lies on the episode's clock, laid on frames."""
    back = plan.delivered(clip.id)
    sound = back.speech_start if back is not None and back.is_measured else None
    return plan.rate.moment_of(clip.start_frame - clip.source_frame(plan.rate, sound))


def sound_laid_at(plan: Plan, sounding: Sounding) -> Seconds:
    """Return the same for a recording that is heard."""
    frame_at = plan.rate.frame_at
    return plan.rate.moment_of(frame_at(sounding.start) - frame_at(sounding.file_start))
