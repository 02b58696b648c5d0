"""Marks on a screen: what a layout settles and the painter copies.

Lengths are pixels from the top left corner; a text stands on its baseline; ``gray`` runs from 0 (black) to 255.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from timing.sheet.fonts import BOLD, ITALIC, REGULAR, Typeface, font_files, load_typeface

__all__ = ["BOLD", "GROUND", "INK", "ITALIC", "PAPER", "REGULAR", "Box", "Fonts", "Mark", "Text"]

# One grey for the ground of every frame, a lighter one to read on, dark grey marks: nothing large ever changes.
GROUND, PAPER, INK, LIT = 176, 196, 24, 226


class Text(NamedTuple):
    x: float
    y: float
    text: str
    style: str
    size: int
    align: str = "left"
    gray: int = INK


class Box(NamedTuple):
    """A filled rectangle; the right and lower edges are not part of it."""

    x0: float
    y0: float
    x1: float
    y1: float
    gray: int = INK


Mark = Text | Box


@dataclass
class Fonts:
    """The sheets' typeface at pixel sizes: widths, what can be shown, and text cut to a width."""

    face: Typeface
    files: dict[str, Path]
    _sizes: dict[tuple[str, int], Any] = field(default_factory=dict)

    @classmethod
    def load(cls, family: str | None) -> Fonts:
        """Return the bundled family, or the user's own; raises SettingsError for one that cannot be used."""
        return cls(load_typeface(family), font_files(family))

    def cut(self, style: str, size: int) -> Any:
        from PIL import ImageFont

        if (style, size) not in self._sizes:
            plain = ImageFont.Layout.BASIC  # the same everywhere, whatever shaping library is installed
            self._sizes[style, size] = ImageFont.truetype(str(self.files[style]), size, layout_engine=plain)
        return self._sizes[style, size]

    def width(self, text: str, style: str, size: int) -> float:
        return _width(self.cut(style, size), self.shown(text))

    def shown(self, text: str) -> str:
        """Return ``text`` with a visible sign for every character that the typeface lacks."""
        return self.face.printable(text)

    def shortened(self, text: str, style: str, size: int, room: float) -> str:
        """Return ``text``, cut with an ellipsis where it is wider than ``room``."""
        text = self.shown(text)
        if self.width(text, style, size) <= room:
            return text
        while text and self.width(text.rstrip() + "…", style, size) > room:
            text = text[:-1]
        return text.rstrip() + "…"

    def fit(self, text: str, style: str, size: int, room: float, least: int) -> int:
        """Return the largest size from ``size`` down to ``least`` at which ``text`` fits."""
        while size > least and self.width(text, style, size) > room:
            size -= 1
        return size


@lru_cache(maxsize=20_000)
def _width(font: Any, text: str) -> float:
    return float(font.getlength(text))
