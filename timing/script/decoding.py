"""Bytes of a script -> text, with nothing odd left in it that could break the reading.

In: the bytes of a file. Out: text with ``\\n`` line ends, in composed form (NFC), and findings.
Order of trial: byte-order mark (UTF-8, UTF-16), UTF-8, then Windows-1252 (the usual rest in old word-processor
files) with a finding that names the first line concerned. The five bytes that Windows-1252 leaves undefined
are read as the replacement character and said so.
"""

from __future__ import annotations

import codecs
import re
import unicodedata
from pathlib import Path

from timing.model import Finding, Where
from timing.model.findings import FindingCode
from timing.plain.errors import ScriptError

_CONTAINERS = (
    (b"PK\x03\x04", "a zip container (perhaps a word-processor document); save it as plain text"),
    (b"%PDF", "a PDF; export it as plain text or Fountain"),
    (b"{\\rtf", "a rich-text document; save it as plain text"),
    (b"\xd0\xcf\x11\xe0", "an old word-processor document; save it as plain text"),
)
_UTF16 = {codecs.BOM_UTF16_LE: "utf-16-le", codecs.BOM_UTF16_BE: "utf-16-be"}

# Spaces of every width become the plain space, hyphens that only differ in line breaking the plain hyphen.
_ODD = {
    **dict.fromkeys(map(ord, "\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"), " "),
    **dict.fromkeys(map(ord, "\u202f\u205f\u3000"), " "),
    **dict.fromkeys(map(ord, "\u2010\u2011\ufe63\uff0d"), "-"),
    # Invisible: zero width space, soft hyphen, word joiner, byte-order mark inside, direction marks.
    **dict.fromkeys(map(ord, "\u200b\u00ad\u2060\ufeff\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e"), None),
    **dict.fromkeys(map(ord, "\u2066\u2067\u2068\u2069"), None),
    ord("\uff1a"): ":",  # full-width colon
    # Control characters carry no text; tab and line feed stay.
    **dict.fromkeys([n for n in (*range(0x20), *range(0x7F, 0xA0)) if n not in (9, 10)], None),
}
_LINE_ENDS = re.compile("\r\n|[\r\u0085\u2028\u2029\x0b\x0c]")


def decode(data: bytes, path: Path) -> tuple[str, tuple[Finding, ...]]:
    """Return the text of a script file and what had to be guessed about its encoding.

    Raises ScriptError for a file that is no text at all.

    >>> decode("caf\\u00e9".encode("utf-16"), Path("s.txt"))[0]
    'café'
    >>> decode(b"one\\ncaf\\xe9", Path("s.txt"))[1][0].where.line_number
    2
    """
    for start, what in _CONTAINERS:
        if data.startswith(start):
            raise ScriptError(f"this is {what}", path)
    text, findings = _decoded(data, path)
    if "\0" in text:
        raise ScriptError("this is not a text file (it holds zero bytes); save the script as plain text, UTF-8", path)
    return clean(text), findings


def clean(text: str) -> str:
    """Return ``text`` with plain line ends, spaces and hyphens and without invisible characters."""
    return unicodedata.normalize("NFC", _LINE_ENDS.sub("\n", text).translate(_ODD))


def _decoded(data: bytes, path: Path) -> tuple[str, tuple[Finding, ...]]:
    for mark, codec in _UTF16.items():
        if data.startswith(mark):
            try:
                return data[len(mark) :].decode(codec), ()
            except UnicodeDecodeError as error:
                line_number = data[: error.start].decode(codec, "replace").count("\n") + 1
                raise ScriptError(
                    "the UTF-16 text is damaged here; save the script again as UTF-8", path, line_number
                ) from None
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError as error:
        line_number = len(re.findall(rb"\r\n|\r|\n", data[: error.start])) + 1
    if b"\0" in data:  # text without NULs only: UTF-16 without a mark, or no text
        raise ScriptError("this is not a text file (it holds zero bytes); save the script as plain text, UTF-8", path)
    text = data.decode("cp1252", "replace")
    undefined = text.count("\ufffd")
    message = f"line {line_number} is not UTF-8; the file was read as Windows-1252: check accents and quotes"
    if undefined:
        message += f" ({undefined} characters could not be read)"
    facts = {"encoding": "cp1252", "line": line_number, "unreadable": undefined}
    return text, (Finding(FindingCode.ENCODING_GUESSED, message, facts, Where(str(path), line_number)),)
