"""Where our own timeline lays each file, in whole frames: what a real cut is measured against.

An edit lies on frames, speech does not. An event that stands as our timeline has it has not been moved, although its
sound lies up to a frame beside the plan's moment; one that stands three frames later was moved by three frames.
"""

from __future__ import annotations

from timing.model import Clip, LineKind, Plan, Sounding
from timing.model.clock import Seconds


def clip_laid_at(plan: Plan, clip: Clip) -> Seconds:
    """Return where the beginning of a clip's file lies on the episode's clock, laid on frames."""
    frame_at, source = plan.rate.frame_at, 0
    if clip.kind is not LineKind.PICTURE:
        back = plan.delivered(clip.id)
        sound = back.speech_start if back and back.is_measured and back.speech_start is not None else clip.head
        source = max(0, frame_at(sound) - (frame_at(clip.speech_start) - clip.start_frame))
    return plan.rate.moment_of(clip.start_frame - source)


def sound_laid_at(plan: Plan, sounding: Sounding) -> Seconds:
    """Return the same for a recording that is heard."""
    frame_at = plan.rate.frame_at
    return plan.rate.moment_of(frame_at(sounding.start) - frame_at(sounding.file_start))
