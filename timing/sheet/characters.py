"""Characters that the printed set cannot show as they are written, each found with its line."""

from __future__ import annotations

import unicodedata

from timing.model import Finding, Plan
from timing.model.findings import FindingCode
from timing.sheet.fonts import Typeface

# Unicode blocks' first letters of names; these scripts join or reorder their letters, which needs a shaping engine.
_SHAPED = {
    "ARABIC": "Arabic", "SYRIAC": "Syriac", "NKO": "N'Ko", "MONGOLIAN": "Mongolian", "DEVANAGARI": "Devanagari",
    "BENGALI": "Bengali", "GURMUKHI": "Gurmukhi", "GUJARATI": "Gujarati", "ORIYA": "Odia", "TAMIL": "Tamil",
    "TELUGU": "Telugu", "KANNADA": "Kannada", "MALAYALAM": "Malayalam", "SINHALA": "Sinhala", "THAI": "Thai",
    "LAO": "Lao", "TIBETAN": "Tibetan", "MYANMAR": "Myanmar", "KHMER": "Khmer",
}  # fmt: skip


def character_findings(plan: Plan, face: Typeface) -> tuple[Finding, ...]:
    """Return one finding a line for what the font lacks, and one for a script the sheets cannot set.

    Characters are named as Unicode names them.
    """
    findings = []
    for line in plan.lines:
        text = unicodedata.normalize("NFC", f"{line.speaker or ''} {line.text}")
        lacking = list(dict.fromkeys(c for c in text if face.lacks(c) and unicodedata.category(c) != "Cf"))
        scripts = list(dict.fromkeys(name for c in text if (name := _unsettable(c))))
        if scripts:
            findings.append(
                Finding(
                    FindingCode.SCRIPT_NEEDS_SHAPING,
                    f"line {line.id}: {' and '.join(scripts)} cannot be set on the sheets, which print letters one "
                    "by one from left to right; there is a ruled line in its place: write the words by hand. "
                    "The times hold only in a language the tool can read",
                    {"line": line.id, "scripts": scripts},
                    line.where,
                )
            )
        elif lacking:
            named = ", ".join(f"“{c}” ({unicodedata.name(c, f'U+{ord(c):04X}').lower()})" for c in lacking[:6])
            more = f" and {len(lacking) - 6} more" if len(lacking) > 6 else ""
            findings.append(
                Finding(
                    FindingCode.FONT_LACKS,
                    f"line {line.id}: the font has no {named}{more}; there is a ruled line in its place: write by hand",
                    {"line": line.id, "characters": lacking},
                    line.where,
                )
            )
    return tuple(findings)


def _unsettable(character: str) -> str:
    """Return the script's name when it runs from right to left or needs shaping, else ""."""
    if ord(character) < 0x590:
        return ""
    name = unicodedata.name(character, "").split(" ")[0]
    if name in _SHAPED:
        return _SHAPED[name]
    if unicodedata.bidirectional(character) in ("R", "AL"):
        return name.capitalize() + " (right to left)"
    return ""
