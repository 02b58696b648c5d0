"""Old consoles: letters a terminal lacks are written plainly instead of stopping the program.

Windows consoles and pipes may write in a code page such as cp1252 or cp437 that lacks ellipses, curly quotes or notes.
"""

from __future__ import annotations

import codecs
import sys
import unicodedata

# One column each, so that tables stay in line.
_PLAIN = {
    ord(letter): plain
    for letters, plain in (
        ("“”„«»", '"'), ("‘’‚", "'"), ("–—−‑", "-"), ("…", "."), ("·•", "*"), ("→", ">"), ("←", "<"), ("×✗", "x"),
        ("♪♫", "#"), ("✓", "+"), ("⁄", "/"), ("\u00a0\u202f\u2009", " "),
    )
    for letter in letters
}  # fmt: skip


def _plainly(error: UnicodeError) -> tuple[str, int]:
    """Return what stands for the letters an encoding lacks: a plain sign, the letter without its accent, or "?"."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    shown = ""
    for letter in error.object[error.start : error.end]:
        plain = unicodedata.normalize("NFKD", letter.translate(_PLAIN)).translate(_PLAIN)
        plain = "".join(c for c in plain if not unicodedata.combining(c))
        shown += plain if plain and plain.isascii() else "" if unicodedata.combining(letter) else "?"
    return shown, error.end


def prepare() -> None:
    """Make standard output and error write what they can, and plain signs for the rest."""
    codecs.register_error("timing.plainly", _plainly)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="timing.plainly")
