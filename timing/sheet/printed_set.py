"""The printed set as a value: its bytes, and what is known about it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from timing.model import Finding


@dataclass(frozen=True)
class SheetSet:
    """The printed set and what is known about it.

    ``register`` (plain JSON) says which sheets exist, their labels and what each is a digest of; hand it back as
    ``previous`` next time. ``reprint`` are sentences for people: what to print again, what to throw away;
    ``count`` says how many pages there are, and what would take about half of them.
    """

    pdf: bytes
    register: dict[str, Any] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    reprint: tuple[str, ...] = ()
    pages: int = 0
    count: str = ""
