"""Label files: the person's word about a sound, as plain text beside it. Files in, labels out, and back.

The form. ``recordings/NAME.txt`` lies beside ``recordings/NAME.m4a`` (so too in ``clips/`` and ``songs/``); UTF-8, one
row a stretch, three columns parted by tabs:

    12.480000⇥17.904000⇥19: It goes out and it comes back in
    13.120000⇥13.395000⇥goes
    2.500000⇥2.500000⇥bar 1

- start and end in seconds of that sound, a decimal point or a comma; the same moment twice says where something
  begins, and nothing about its end (not for a line);
- the text is a line's id, ``19`` or ``19: any words``: this stretch is that line's chosen reading, and these are its
  edges; or a word of that line, inside its stretch: there it lies. A word without a row of its line belongs to the
  line that was heard around it;
- beside a song: ``bar 5`` (its start is the bar's first beat), sung lines by id, and in them words or syllables;
- empty rows and rows that begin with ``#`` or with a backslash are passed over.

What is said so has origin "pinned", wins over every measurement, and is kept while its words stand in the script.
``out/labels/`` holds what the tool believes in the same form: corrected and moved beside the sound it counts.
Source of the row's form: common practice of general audio software; the ids and bars are our own.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from pathlib import Path

from timing.model import Finding, Where
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.labels import Label
from timing.plain.errors import InputError
from timing.plain.inputs import read_regular
from timing.plain.names import natural_key
from timing.plain.numbers import exact

SUFFIX = ".txt"
_ROW = re.compile(r"\s*(\S+)[\t ]\s*(\S+)[\t ]\s*(\S.*?)\s*")
_NUMBER = re.compile(r"[+-]?\d{1,9}(?:[.,]\d{1,30})?|[+-]?[.,]\d{1,30}")
_LOOSE = re.compile(r"\s*(?P<start>[\d.:]+)[\s,;]+(?P<end>[\d.:]+)[\s,;]+(?P<text>\S.*?)\s*")


def read_labels(path: Path, name: str | None = None) -> tuple[Label, ...]:
    """Return the labels in a file, in its order; ``name`` is how messages call it (its path if None).

    Raises InputError with file and line for a row that cannot be read.
    """
    name = name or str(path)
    try:
        text = read_regular(path).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = error.object[: error.start].count(b"\n") + 1
        raise InputError("is not UTF-8 text; save these labels as UTF-8", name, number) from None
    except OSError as error:
        raise InputError(f"cannot be read ({error.strerror}); check its permissions", name) from None
    return parse_labels(text, name)


def parse_labels(text: str, name: str = "labels.txt") -> tuple[Label, ...]:
    """Return the labels in a text; raises InputError with file and line.

    >>> parse_labels("1,5\\t2,25\\tsea")[0].end
    Fraction(9, 4)
    """
    found = []
    for number, row in enumerate(text.splitlines(), 1):
        if not row.strip() or row.lstrip()[0] in "#\\":
            continue
        match = _ROW.fullmatch(row)
        if not match:
            raise InputError(f"this row has no three columns; {_as_typed(row)}", name, number)
        start, end = (_seconds(match.group(n), row, name, number) for n in (1, 2))
        if end < start:
            raise InputError(
                f"this row ends at {float(end):g} s, before it begins ({float(start):g} s); swap the two", name, number
            )
        found.append(Label(start, end, match.group(3), Where(name, number)))
    return tuple(found)


def _as_typed(row: str) -> str:
    """Return what to type in place of a row that cannot be read: it itself where it can be told what it means.

    >>> _as_typed("1:05, 66.5, 19")
    'type seconds, tab, seconds, tab, text:\\n65\\t66.5\\t19'
    """
    meant = "12.48\t17.9\t19"
    if match := _LOOSE.fullmatch(row[:200]):
        moments = [_clock(match[side]) for side in ("start", "end")]
        if all(moments):
            meant = "\t".join((*filter(None, moments), match["text"]))
    return f"type seconds, tab, seconds, tab, text:\n{meant}"


def _clock(text: str) -> str | None:
    """Return "1:05.5" in seconds, None for what is no moment."""
    match = re.fullmatch(r"(?:(?P<minutes>\d{1,4}):)?(?P<seconds>\d{1,6}(?:\.\d{1,9})?)", text)
    if match is None:
        return None
    return f"{60 * int(match['minutes'] or 0) + float(match['seconds']):.9g}"


def _seconds(text: str, row: str, name: str, number: int) -> Seconds:
    if not _NUMBER.fullmatch(text):
        raise InputError(f'"{text[:40]}" is no number of seconds; {_as_typed(row)}', name, number)
    try:
        value = exact(text.replace(",", "."))
    except ValueError as error:
        raise InputError(f"{error}; {_as_typed(row)}", name, number) from None
    if value < 0:
        raise InputError(f"{text} s lies before the sound begins; {_as_typed(row)}", name, number)
    return value


def write_labels(labels: Iterable[Label]) -> bytes:
    """Return label rows as a file holds them, seconds to the microsecond, in order of their starts.

    >>> from fractions import Fraction
    >>> write_labels([Label(Fraction(1, 3), Fraction(1), "19: Wait!")])
    b'0.333333\\t1.000000\\t19: Wait!\\n'
    """
    rows = sorted(labels, key=lambda label: (label.start, -label.end))
    texts = (" ".join(label.text.split()) for label in rows)
    return "".join(f"{_decimal(n.start)}\t{_decimal(n.end)}\t{t}\n" for n, t in zip(rows, texts, strict=True)).encode()


def _decimal(moment: Seconds) -> str:
    micro = (2 * moment.numerator * 1_000_000 + moment.denominator) // (2 * moment.denominator)
    return f"{micro // 1_000_000}.{micro % 1_000_000:06d}"


def labels_below(
    folder: Path, below: str, suffixes: Collection[str]
) -> tuple[dict[str, tuple[Label, ...]], tuple[Finding, ...]]:
    """Return the labels of each sound under ``folder``/``below``, by the sound's name relative to ``folder``.

    A file of labels beside which no sound lies is a finding; any other text without one is none of ours. Raises
    InputError for a row that cannot be read, and where two sounds of one name leave open which is meant.
    """
    found: dict[str, tuple[Label, ...]] = {}
    findings = []
    root = folder / below
    paths = root.rglob(f"*{SUFFIX}") if root.is_dir() else ()
    for path in sorted(paths, key=lambda p: natural_key(p.relative_to(folder).as_posix())):
        name = path.relative_to(folder).as_posix()
        if not path.is_file() or any(part.startswith(".") for part in name.split("/")):
            continue
        sounds = [p for p in sorted(path.parent.iterdir()) if p.stem == path.stem and p.suffix.lower() in suffixes]
        if len(sounds) > 1:
            both = " and ".join(p.name for p in sounds)
            raise InputError(f"lies beside {both}, and it cannot be told which it is about; rename one of them", name)
        if sounds:
            found[sounds[0].relative_to(folder).as_posix()] = read_labels(path, name)
        elif _holds_labels(path, name):
            message = f"{name} lies beside no sound of that name, so its labels are not used"
            findings.append(Finding(FindingCode.LABEL_UNUSED, message, {"file": name}))
    return found, tuple(findings)


def _holds_labels(path: Path, name: str) -> bool:
    try:
        return bool(read_labels(path, name))
    except InputError:
        return False
