"""How one word is said: its printed pieces with the sounds of each."""

from __future__ import annotations

from dataclasses import dataclass

from timing.model import is_vowel


@dataclass(frozen=True, slots=True)
class Pronunciation:
    """``pieces`` join to the word; ``sounds`` has one tuple of ARPABET phones a piece, vowels with stress digits."""

    pieces: tuple[str, ...]
    sounds: tuple[tuple[str, ...], ...]
    is_guessed: bool = False

    @property
    def stresses(self) -> tuple[int, ...]:
        """The stress of each piece: 0 none, 1 primary, 2 secondary."""
        return tuple(stress_of(phones) for phones in self.sounds)

    @property
    def phones(self) -> tuple[str, ...]:
        """All phones in order, without stress digits."""
        return tuple(p.rstrip("012") for piece in self.sounds for p in piece)


def stress_of(phones: tuple[str, ...]) -> int:
    """Return the strongest stress among some phones: 1 before 2 before 0.

    >>> stress_of(("B", "AH0", "T")), stress_of(("F", "AY2", "ER0"))
    (0, 2)
    """
    digits = {p[-1] for p in phones if is_vowel(p.rstrip("012"))}
    return 1 if "1" in digits else 2 if "2" in digits else 0
