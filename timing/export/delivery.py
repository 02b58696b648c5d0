"""The two rates of one episode: the native one, at which it is cut, and the one it is delivered at.

Editing files are written at the native rate; where episode.toml names a delivery rate, they are written a second
time below ``delivery/`` with every frame edge moved to the nearest edge of that rate, counted from the start of the
episode. So 24 -> 60 is exact for even frames and half a delivery frame off for odd ones, however long the episode.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from timing.model import Plan
from timing.model.clock import FrameRate, Seconds


@dataclass(frozen=True)
class Target:
    """One rate to write for; ``prefix`` goes before the file name."""

    rate: FrameRate
    native: FrameRate
    prefix: str

    def frame(self, native_frame: int) -> int:
        """Return the edge of this rate nearest to an edge of the native rate."""
        return self.native.convert(native_frame, self.rate)

    def frame_at(self, moment: Seconds) -> int:
        """Return the edge of this rate for a moment, by way of the native picture frame it falls on."""
        return self.frame(self.native.frame_at(moment))

    def seconds(self, frame: int) -> Fraction:
        return self.rate.moment_of(frame)


def targets(plan: Plan) -> tuple[Target, ...]:
    """Return the rates to write an editing file for: the native one, then the delivery rate where it differs."""
    native = Target(plan.rate, plan.rate, "")
    delivery = plan.settings.delivery_rate
    if delivery is None or delivery == plan.rate:
        return (native,)
    return native, Target(delivery, plan.rate, "delivery/")


def at_each_rate(plan: Plan, name: str, write: Callable[[Plan, Target], bytes]) -> dict[str, bytes]:
    """Return {prefix + name: content} for every rate."""
    return {target.prefix + name: write(plan, target) for target in targets(plan)}
