"""Reading figures and signs aloud: one written token in, the words that are said out.

A language describes its ways in one :class:`SpokenRules` record; this module applies it. A token is read with a
glance at its neighbours ("5 km", "$5 million", "2 ½"). What is not a figure or a sign is left to the word reader.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

Many = tuple[str, str]  # singular and plural; a leading "+" marks a feminine noun


@dataclass(frozen=True)
class Currency:
    """A unit of money and its hundredth, each singular and plural."""

    unit: Many
    cent: Many


@dataclass(frozen=True)
class SpokenRules:
    """How one language says figures and signs. Functions take numbers and return words parted by spaces."""

    cardinal: Callable[[int], str]
    ordinal: Callable[[int, bool], str]  # number, is it feminine
    ordinal_mark: str  # regular expression after the figure; group "f" where it is feminine
    year: Callable[[int], str]
    clock: Callable[[int, int], str]
    one: tuple[str, str]  # before a noun, masculine and feminine
    decimal: str  # the decimal sign, "." or ","
    point: str
    money_and: str  # between units and cents: "one dollar fifty"
    currencies: Mapping[str, Currency]
    units: Mapping[str, Many]
    symbols: Mapping[str, str]
    fractions: Mapping[Fraction, str]  # alone: "half"
    and_a: Mapping[Fraction, str]  # after a whole number: "and a half"
    fraction: Callable[[int, int], str]
    large: frozenset[str]  # "million" and the like, which stand before the currency
    percent: str
    minus: str
    degree: Many
    to: str  # between the ends of a range
    number: str  # "#1"
    letters: Mapping[str, str] = field(default_factory=dict)  # names of letters where they are not the letter itself
    decade: Callable[[int, bool], str] | None = None  # "1980s", was the century written
    before_noun: Callable[[str, bool], str] = lambda number, feminine: number  # numbers that agree: "dois, duas"
    large_of: str = ""  # "un millón de dólares"
    ordinal_dot: bool = False  # "3." before a word is an ordinal
    ordinal_after: Callable[[str, str], str] = lambda ordinal, before: ordinal  # ... which the word before may change
    decimals_one_by_one: bool = False  # "three point one four"
    slashed: Mapping[Fraction, str] = field(default_factory=dict)  # 1/2 where it is said otherwise than ½
    clock_halves: frozenset[str] = frozenset()  # "am", "pm"
    on_the_hour: str = ""  # an ending of a time of day that gives way to such a half: " o'clock"
    clock_word: str = ""  # written after a time and said within it: "7:30 Uhr"


_VULGAR = {
    "½": Fraction(1, 2), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3), "¼": Fraction(1, 4), "¾": Fraction(3, 4),
    "⅕": Fraction(1, 5), "⅖": Fraction(2, 5), "⅗": Fraction(3, 5), "⅘": Fraction(4, 5), "⅙": Fraction(1, 6),
    "⅛": Fraction(1, 8), "⅜": Fraction(3, 8), "⅝": Fraction(5, 8), "⅞": Fraction(7, 8),
}  # fmt: skip
_VULGAR_SIGNS = "".join(_VULGAR)
_THREE = re.compile(r"\d{3}(?:,\d+)?")
_HAS_FIGURE = re.compile(r"\d|[" + _VULGAR_SIGNS + "]")


def has_figure(token: str) -> bool:
    """True when a token holds a figure or a fraction sign."""
    return bool(_HAS_FIGURE.search(token))


def noun(forms: Many, is_one: bool) -> str:
    """Return the singular or plural of a counted noun."""
    return (forms[0] if is_one else forms[1]).lstrip("+")


@dataclass(frozen=True)
class Reader:
    """Reads one language's figures and signs."""

    rules: SpokenRules

    def joins(self, token: str, after: str) -> bool:
        """True when a figure and the token after it are said as one: "5 €", "21 km", "7:30 Uhr"."""
        if self.has_spaced_thousands:
            if re.fullmatch(r"[-−+]?\d{1,3}(?: \d{3})*", token) and _THREE.fullmatch(after):
                return True
            token = token.replace(" ", "")
        if not re.fullmatch(rf"[-−+]?[\d.,:]*[\d{_VULGAR_SIGNS}]", token):
            return bool(re.fullmatch(r"(?:US|R|A|CA)?\$|[£€¥]", token)) and has_figure(after[:1])
        if (
            self.rules.clock_halves
            and re.fullmatch(r"\d{1,2}(?::\d\d)?", token)
            and after.lower() in self.rules.clock_halves
        ):
            return True
        if ":" in token:
            return after.lower() == self.rules.clock_word != ""
        return after in self.rules.currencies or after in self.rules.units

    @property
    def has_spaced_thousands(self) -> bool:
        """Languages with a decimal comma write a space between thousands: "1 000" (ISO 80000-1, 7.3.1)."""
        return self.rules.decimal == ","

    def say(self, token: str, before: str = "", after: str = "") -> str | None:
        """Return what is said for a token, None where it is an ordinary word; neighbours are bare tokens."""
        rules = self.rules
        if rules.clock_word and ":" in token:
            token = re.sub(rf"{rules.clock_word}$", "", token, flags=re.IGNORECASE)
        if token in rules.symbols:
            return rules.symbols[token]
        if before and has_figure(before[-1:]) and (unit := rules.units.get(token) or rules.units.get(token.lower())):
            value = before.lstrip("-−+")
            return noun(unit, value == "1")
        if not has_figure(token):
            sign = token.lower() if token.startswith("°") else token
            return noun(rules.units[sign], False) if sign in rules.units and len(sign) > 1 and sign.islower() else None
        for way in (
            self._money,
            self._clock,
            self._ordinal,
            self._decade,
            self._fraction,
            self._with_unit,
            self._range,
        ):
            said = way(token, before, after)
            if said is not None:
                return " ".join(said.split())
        return self._mixed(token, before)

    # --- whole and decimal numbers ---------------------------------------------------------------------------

    def number(self, text: str, may_be_year: bool = True) -> str | None:
        """Return a written number in words: 1,500 · 3.5 · 2026 · 007; None where it is none."""
        rules = self.rules
        group, dot = ("," if rules.decimal == "." else "."), re.escape(rules.decimal)
        sign = rules.minus + " " if text[:1] in "-−" else ""
        text = text.lstrip("-−+")
        text = re.sub(r"(?<=\d)['’\u00a0\u202f\u2009](?=\d{3})", "", text)
        grouped = re.fullmatch(rf"\d{{1,3}}(?:{re.escape(group)}\d{{3}})+(?:{dot}\d+)?", text)
        if grouped:
            text = text.replace(group, "")
        if re.fullmatch(r"\d+", text):
            if (len(text) > 1 and text[0] == "0") or len(text) > 15:
                return sign + self.digits(text)
            value = int(text)
            is_year = may_be_year and not grouped and not sign and len(text) == 4 and 1010 <= value < 2100
            return sign + (rules.year(value) if is_year else rules.cardinal(value))
        parts = re.fullmatch(rf"(\d+){dot}(\d+)", text) or re.fullmatch(r"(\d+)[.,](\d+)", text)
        if not parts:
            return None
        whole = self.digits(parts[1]) if len(parts[1]) > 15 else rules.cardinal(int(parts[1]))
        tail = parts[2]
        said = (
            self.digits(tail)
            if tail[0] == "0" or len(tail) > 2 or rules.decimals_one_by_one
            else rules.cardinal(int(tail))
        )
        return f"{sign}{whole} {rules.point} {said}"

    def digits(self, text: str) -> str:
        """Return the figures one by one."""
        return " ".join(self.rules.cardinal(int(c)) for c in text if c.isdecimal())

    def counted(self, text: str, forms: Many) -> str | None:
        """Return a number with the noun it counts: "one dollar", "two dollars"."""
        if text.lstrip("-−+") == "1":
            sign = self.rules.minus + " " if text[0] in "-−" else ""
            return f"{sign}{self.rules.one[forms[0].startswith('+')]} {noun(forms, True)}"
        said = self.number(text, may_be_year=False)
        if said is None:
            return None
        return f"{self.rules.before_noun(said, forms[0].startswith('+'))} {noun(forms, False)}"

    # --- the kinds of token ----------------------------------------------------------------------------------

    def _money(self, token: str, before: str, after: str) -> str | None:
        if not self.rules.currencies:
            return None
        if "R$" not in self.rules.currencies or not token.startswith("R$"):
            token = re.sub(r"^(?:US|R|A|CA)(?=\$)", "", token)
        signs = "|".join(re.escape(s) for s in sorted(self.rules.currencies, key=len, reverse=True))
        found = re.fullmatch(rf"([-−]?)({signs})([\d.,]*\d)([kKmM]?)", token)
        if found:
            minus, sign, amount, size = found.groups()
        else:
            found = re.fullmatch(rf"([-−]?)([\d.,]*\d)({signs})", token)
            if not found:
                return None
            (minus, amount, sign), size = found.groups(), ""
        currency = self.rules.currencies[sign]
        start = self.rules.minus + " " if minus else ""
        if after.lower().strip(".,;:!?…") in self.rules.large:
            said = self.number(amount, False)
            return None if said is None else start + (self.rules.one[0] if amount == "1" else said)
        if size:
            big = sorted(self.rules.large, key=len)
            said = self.number(amount, False)
            word = {"k": self.rules.cardinal(1000).split()[-1], "m": next((w for w in big if w.startswith("mi")), "")}
            return None if said is None else f"{start}{said} {word[size.lower()]} {noun(currency.unit, False)}"
        cents = re.fullmatch(r"(\d[\d.,]*?)?[.,](\d\d)", amount)
        if not cents:
            return start + (self.counted(amount, currency.unit) or self.digits(amount))
        units, hundredths = cents[1] or "0", int(cents[2])
        whole = self.counted(units, currency.unit) or self.digits(units)
        if not hundredths:
            return start + whole
        if units.strip("0") == "":
            return start + (self.counted(str(hundredths), currency.cent) or "")
        return f"{start}{whole} {self.rules.money_and} {self.rules.cardinal(hundredths)}"

    def _clock(self, token: str, before: str, after: str) -> str | None:
        found = re.fullmatch(r"([01]?\d|2[0-4])[:hH]([0-5]\d)([ap]\.?m\.?)?", token)
        if found:
            said = self.rules.clock(int(found[1]), int(found[2]))
            half = found[3] or ("x" if re.fullmatch(r"[ap]\.?m\.?", after.lower()) else "")
            if half:
                said = said.removesuffix(self.rules.on_the_hour)
            return said + (f" {half[0].upper()} M" if half and half != "x" else "")
        found = re.fullmatch(r"(\d{1,2})([ap])\.?m\.?", token.lower())
        if found:
            return f"{self.rules.cardinal(int(found[1]))} {found[2].upper()} M"
        return None

    def _ordinal(self, token: str, before: str, after: str) -> str | None:
        found = re.fullmatch(rf"(\d[\d,.]*?)(?:{self.rules.ordinal_mark})", token, re.IGNORECASE)
        if not found:
            return None
        feminine = bool(found.groupdict().get("f"))
        return self.rules.ordinal(int(re.sub(r"\D", "", found[1])), feminine)

    def _decade(self, token: str, before: str, after: str) -> str | None:
        found = re.fullmatch(r"['’]?(\d\d)?(\d0)['’]?s", token)
        if not found or not self.rules.decade:
            return None
        return self.rules.decade(int((found[1] or "") + found[2]), bool(found[1]))

    def _fraction(self, token: str, before: str, after: str) -> str | None:
        found = re.fullmatch(rf"(\d*)([{_VULGAR_SIGNS}])", token)
        if found:
            whole, value = found[1], _VULGAR[found[2]]
        else:
            found = re.fullmatch(r"(\d{1,2})[/⁄](\d{1,2})", token)
            if not found or not int(found[2]) or token == "24/7":
                return " ".join(self.rules.cardinal(int(n)) for n in (24, 7)) if token == "24/7" else None
            top, bottom = int(found[1]), int(found[2])
            whole, value = "", Fraction(top, bottom)
            if value >= 1 or value.denominator != bottom or value not in self.rules.fractions:
                return self.rules.fraction(top, bottom)
        joined = self.rules.and_a.get(value)
        if whole and joined:
            return f"{self.rules.cardinal(int(whole))} {joined}"
        if joined and re.fullmatch(r"\d+", before):
            return joined
        said = self.rules.fractions.get(value) or self.rules.fraction(value.numerator, value.denominator)
        is_slashed = "/" in token or "⁄" in token
        return self.rules.slashed.get(value, said) if is_slashed else said

    def _with_unit(self, token: str, before: str, after: str) -> str | None:
        found = re.fullmatch(rf"([-−+]?[\d.,]*[\d{_VULGAR_SIGNS}])\s*([^\d\s.,]+)", token)
        if not found:
            return None
        amount, sign = found.groups()
        if sign == "%":
            said = self.number(amount, False) or self._fraction(amount, "", "")
            return said and f"{said} {self.rules.percent}"
        unit = self.rules.units.get(sign) or self.rules.units.get(sign.lower())
        if sign == "°":
            unit = self.rules.degree
        if not unit:
            return None
        if amount[-1] in _VULGAR_SIGNS:
            said = self._fraction(amount, "", "")
            return said and f"{said} {noun(unit, False)}"
        return self.counted(amount, unit)

    def _range(self, token: str, before: str, after: str) -> str | None:
        found = re.fullmatch(r"(\d{1,4})[-–](\d{1,4})(%|°)?", token)
        if found and (len(found[1]), len(found[2])) != (3, 4):  # a telephone number
            ends = self.number(found[1]), self.number(found[2])
            tail = {"%": self.rules.percent, "°": noun(self.rules.degree, False), None: ""}[found[3]]
            return f"{ends[0]} {self.rules.to} {ends[1]} {tail}"
        if re.fullmatch(r"\d(?:-\d){2,}|\+?\d{2,4}(?:-\d{2,4}){1,}", token):
            return self.digits(token)
        return None

    def _mixed(self, token: str, before: str) -> str | None:
        """Figures with letters or signs around them: 3D, #1, 10+2, R2."""
        whole = self.number(token, may_be_year=before not in self.rules.currencies)
        if whole is not None:
            return whole
        said = []
        for piece in re.findall(rf"\d[\d.,]*\d|\d|[{_VULGAR_SIGNS}]|[^\W\d_]+|[^\w\s]", token):
            if has_figure(piece):
                said.append(self.number(piece) or self._fraction(piece, "", "") or self.digits(piece))
            elif piece == "#":
                said.append(self.rules.number)
            elif piece in self.rules.symbols:
                said.append(self.rules.symbols[piece])
            elif piece.isalpha():
                said.append(self.letters(piece) if len(piece) == 1 or (piece.isupper() and len(piece) < 4) else piece)
        return " ".join(said) or None

    def letters(self, text: str) -> str:
        """Return a run of letters as the names of its letters."""
        return " ".join(self.rules.letters.get(c.lower(), c.upper()) for c in text if c.isalpha())
