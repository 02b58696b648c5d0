"""The typeface: found, measured, checked for missing characters.

In: a family (the bundled Noto Sans Condensed, or a user's own TrueType files). Out: widths in millimetres, the
text as it can be printed, and the characters that cannot. A glyph the font lacks would vanish without a word on
the page, so every string passes through :meth:`Typeface.printable`: what cannot be shown is a line to write on.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from timing.plain.errors import SettingsError
from timing.plain.inputs import require_regular
from timing.plain.resources import resource_folder

REGULAR, BOLD, ITALIC = "R", "B", "I"
MM_PER_POINT = 25.4 / 72
BLANK = "_"  # joins to a ruled line, to write by hand what the font lacks
LEAST_BLANK = 5  # of them for a word

_BUNDLED = {
    REGULAR: "NotoSans-Condensed.ttf",
    BOLD: "NotoSans-CondensedBold.ttf",
    ITALIC: "NotoSans-CondensedItalic.ttf",
}
# Endings under which a family's other cuts are found beside its regular one.
_ENDINGS = {
    REGULAR: ("", "-Regular", "Regular"),
    BOLD: ("-Bold", "Bold", " Bold", "_Bold"),
    ITALIC: ("-Italic", "Italic", "-Oblique", "Oblique", " Italic", "_Italic"),
}


@dataclass
class Typeface:
    """Three cuts of one family, registered with the PDF library under the names "R", "B" and "I"."""

    cuts: dict[str, Any]
    missing: dict[str, set[str]] = field(default_factory=dict)  # what cannot be shown -> where it was met
    _widths: dict[tuple[str, str], float] = field(default_factory=dict)
    _printable: dict[str, str] = field(default_factory=dict)
    _lacks: dict[str, bool] = field(default_factory=dict)
    _blanks: set[str] = field(default_factory=set)  # texts printed with a line to write on

    def width_mm(self, text: str, style: str, size: float) -> float:
        """Return the printed width of ``text`` at ``size`` points."""
        if (per_point := self._widths.get((style, text))) is None:
            per_point = self.cuts[style].stringWidth(text, 1000) * MM_PER_POINT / 1000
            if not text[:1].isdigit():  # words come again, frame numbers do not: remembering them all costs memory
                self._widths[style, text] = per_point
        return float(per_point * size)

    def lacks(self, character: str) -> bool:
        """True when any of the cuts has no glyph for ``character``."""
        if (known := self._lacks.get(character)) is None:
            code = ord(character)
            known = any(code not in cut.face.charToGlyph for cut in self.cuts.values()) and not character.isspace()
            self._lacks[character] = known
        return known

    def printable(self, text: str) -> str:
        """Return ``text`` composed (NFC), with a ruled line in place of letters the font lacks."""
        if (known := self._printable.get(text)) is None:
            composed = unicodedata.normalize("NFC", text)
            shown = "".join(c for c in composed if c not in "\n\r\t\ufeff\u200b")
            if any(self.lacks(c) for c in shown):
                shown = " ".join(self._with_blanks(word) for word in shown.split(" "))
            known = self._printable[text] = shown
            if 2 * BLANK in shown:
                self._blanks.add(text)
        return known

    def has_blanks(self, text: str) -> bool:
        """True for a text that was printed with a line to write on."""
        self.printable(text)
        return text in self._blanks

    def _with_blanks(self, word: str) -> str:
        """Return a word with a ruled line for what is lacking: for all of it where that is most of its letters."""
        lacking = [self.lacks(c) and unicodedata.category(c) != "Cf" for c in word]
        if 2 * sum(lacking) > len(word):
            return BLANK * max(LEAST_BLANK, len(word))
        pieces = (BLANK * 2 if lacks else "" if self.lacks(c) else c for c, lacks in zip(word, lacking, strict=True))
        return "".join(pieces)

    def fit(self, text: str, style: str, size: float, room_mm: float, least: float) -> float:
        """Return the largest size, in half-point steps from ``size`` down to ``least``, that fits ``room_mm``."""
        per_point = self.width_mm(text, style, 1)
        while size > least and per_point * size > room_mm:
            size -= 0.5
        return max(size, least)

    def shorten(self, text: str, style: str, size: float, room_mm: float) -> str:
        """Return ``text``, cut with an ellipsis where it is wider than ``room_mm``."""
        if self.width_mm(text, style, size) <= room_mm:
            return text
        while text and self.width_mm(text.rstrip() + "…", style, size) > room_mm:
            text = text[:-1]
        return text.rstrip() + "…"


def load_typeface(family: str | None = None) -> Typeface:
    """Return the bundled family, or the user's own TrueType family.

    ``family`` is the path of the regular cut ("fonts/My.ttf") or of the family without its ending ("fonts/My"); bold
    and italic are looked for beside it ("My-Bold.ttf", "My-Italic.ttf") and replaced by the regular cut when absent.
    Raises SettingsError for a family that is not there or has no TrueType outlines.
    """
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    files = font_files(family)
    by_file: dict[Path, Any] = {}  # a cut that stands in for another is embedded once
    by_name: dict[str, Any] = {}  # and so are two files of one PostScript name, which a PDF cannot tell apart
    for style, path in files.items():
        if path in by_file:
            continue
        try:
            require_regular(path)
            by_file[path] = TTFont(style, str(path))
        except TTFError as problem:
            raise SettingsError(f"this font cannot be used ({problem}); give a TrueType file (.ttf)", path) from None
        except Exception as problem:  # the library trusts every number in the file
            raise SettingsError(f"this font cannot be used ({problem}); give a TrueType file (.ttf)", path) from None
        by_file[path] = by_name.setdefault(str(by_file[path].face.name), by_file[path])
        pdfmetrics.registerFont(by_file[path])
    return Typeface({style: by_file[path] for style, path in files.items()})


def font_files(family: str | None = None) -> dict[str, Path]:
    """Return the file of each cut; ``family`` as in :func:`load_typeface`, which see for what it raises."""
    if family is not None:
        return _user_files(family)
    folder = resource_folder("fonts")
    return {style: folder / name for style, name in _BUNDLED.items()}


def _user_files(family: str) -> dict[str, Path]:
    given = Path(family)
    stem = given.with_suffix("") if given.suffix.lower() == ".ttf" else given
    base = stem.name.removesuffix("-Regular").removesuffix("Regular")
    found = {
        style: next((p for e in endings if (p := stem.with_name(base + e + ".ttf")).is_file()), None)
        for style, endings in _ENDINGS.items()
    }
    regular = given if given.is_file() else found[REGULAR]
    if regular is None:
        raise SettingsError("font not found; give the path of a TrueType file (.ttf)", family)
    return {REGULAR: regular, BOLD: found[BOLD] or regular, ITALIC: found[ITALIC] or regular}
