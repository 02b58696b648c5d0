"""stills/C05.2.png: the frame in which the cut leaves the accepted take of C05.1, for the clip that goes on from it.

In: the plan with what came back. Out: one PNG for each later part of a split line whose earlier part is accepted: the
decoded frame itself, neither scaled nor turned.
"""

from __future__ import annotations

import io
from pathlib import Path

from timing.model import Plan
from timing.model.clock import Seconds
from timing.watch.frames import Frames, NoPicture


def seam_stills(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"stills/C05.2.png": bytes} for every clip whose earlier part is accepted and can be shown."""
    found: dict[str, bytes] = {}
    for clip in plan.clips:
        seam = plan.seam(clip)
        if seam is not None and seam.still is not None and seam.file is not None:
            image = _png(folder / seam.file, plan.rate.moment_of(seam.frame))
            found |= {seam.still: image} if image is not None else {}
    return found


def _png(path: Path, moment: Seconds) -> bytes | None:
    try:
        frames = Frames(path)
    except NoPicture:
        return None  # which timing check says of the file
    try:
        frame = frames.at(moment)
        if frame is None:
            return None
        out = io.BytesIO()
        frame.to_image().save(out, "PNG")
        return out.getvalue()
    finally:
        frames.close()
