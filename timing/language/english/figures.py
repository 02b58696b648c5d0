"""How English says figures, signs and abbreviations (American usage; common practice where no source is named)."""

from __future__ import annotations

from fractions import Fraction

from timing.language.spoken import Currency, SpokenRules

_ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
).split()
_TENS = "zero ten twenty thirty forty fifty sixty seventy eighty ninety".split()
_SCALES = ((10**12, "trillion"), (10**9, "billion"), (10**6, "million"), (1000, "thousand"), (100, "hundred"))
_IRREGULAR = {
    "one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth", "nine": "ninth",
    "twelve": "twelfth",
}  # fmt: skip


def cardinal(value: int) -> str:
    """Return a whole number in words, without "and" and without hyphens.

    >>> cardinal(1342)
    'one thousand three hundred forty two'
    """
    if value < 20:
        return _ONES[value]
    if value < 100:
        return _TENS[value // 10] + (f" {_ONES[value % 10]}" if value % 10 else "")
    size, name = next(scale for scale in _SCALES if value >= scale[0])
    rest = f" {cardinal(value % size)}" if value % size else ""
    return f"{cardinal(value // size)} {name}{rest}"


def ordinal(value: int, feminine: bool = False) -> str:
    """Return a whole number as an ordinal.

    >>> [ordinal(n) for n in (1, 12, 20, 103)]
    ['first', 'twelfth', 'twentieth', 'one hundred third']
    """
    *start, last = cardinal(value).split()
    last = _IRREGULAR.get(last) or (last[:-1] + "ieth" if last.endswith("y") else last + "th")
    return " ".join([*start, last])


def year(value: int) -> str:
    """Return a year as it is usually read.

    >>> [year(n) for n in (1905, 1980, 2000, 2007, 2026)]
    ['nineteen oh five', 'nineteen eighty', 'two thousand', 'two thousand seven', 'twenty twenty six']
    """
    century, rest = divmod(value, 100)
    if 2000 <= value < 2010:
        return cardinal(value)
    if not rest:
        return f"{cardinal(century)} hundred"
    return f"{cardinal(century)} {'oh ' if rest < 10 else ''}{cardinal(rest)}"


def clock(hour: int, minute: int) -> str:
    """Return a time of day in words."""
    if not minute:
        return f"{cardinal(hour)} o'clock" if hour <= 12 else f"{cardinal(hour)} hundred"
    return f"{cardinal(hour)} {'oh ' if minute < 10 else ''}{cardinal(minute)}"


def decade(value: int, has_century: bool) -> str:
    """Return "nineteen eighties" for 1980, "eighties" for 80."""
    century, rest = divmod(value, 100)
    last = "hundreds" if not rest else _TENS[rest // 10][:-1] + "ies" if rest > 10 else "tens"
    if value == 2000:
        return "two thousands"
    return f"{cardinal(century)} {last}" if has_century else last


def fraction(top: int, bottom: int) -> str:
    """Return a fraction in words: "three quarters", "five sixths"."""
    names = {2: "half", 4: "quarter"}
    name = names.get(bottom) or ordinal(bottom)
    plural = "halves" if bottom == 2 else name + "s"
    return f"{cardinal(top)} {name if top == 1 else plural}"


_FRACTIONS = {Fraction(1, 2): "half", Fraction(1, 4): "one quarter"}
FIGURES = SpokenRules(
    cardinal=cardinal,
    ordinal=ordinal,
    ordinal_mark="st|nd|rd|th",
    year=year,
    clock=clock,
    one=("one", "one"),
    decimal=".",
    point="point",
    money_and="",
    currencies={
        "$": Currency(("dollar", "dollars"), ("cent", "cents")),
        "£": Currency(("pound", "pounds"), ("penny", "pence")),
        "€": Currency(("euro", "euros"), ("cent", "cents")),
        "¥": Currency(("yen", "yen"), ("sen", "sen")),
        "¢": Currency(("cent", "cents"), ("cent", "cents")),
    },
    units={
        "km": ("kilometer", "kilometers"), "cm": ("centimeter", "centimeters"), "mm": ("millimeter", "millimeters"),
        "m": ("meter", "meters"), "mi": ("mile", "miles"), "ft": ("foot", "feet"),
        "yd": ("yard", "yards"), "kg": ("kilogram", "kilograms"), "g": ("gram", "grams"),
        "mg": ("milligram", "milligrams"), "lb": ("pound", "pounds"), "lbs": ("pound", "pounds"),
        "oz": ("ounce", "ounces"), "l": ("liter", "liters"), "ml": ("milliliter", "milliliters"),
        "tsp": ("teaspoon", "teaspoons"), "tbsp": ("tablespoon", "tablespoons"), "s": ("second", "seconds"),
        "sec": ("second", "seconds"), "secs": ("second", "seconds"), "min": ("minute", "minutes"),
        "mins": ("minute", "minutes"), "hr": ("hour", "hours"), "hrs": ("hour", "hours"), "h": ("hour", "hours"),
        "mph": ("mile per hour", "miles per hour"), "km/h": ("kilometer per hour", "kilometers per hour"),
        "kph": ("kilometer per hour", "kilometers per hour"), "°c": ("degree celsius", "degrees celsius"),
        "°f": ("degree fahrenheit", "degrees fahrenheit"), "fps": ("frame per second", "frames per second"),
        "bpm": ("beat per minute", "beats per minute"), "x": ("time", "times"),
    },
    symbols={
        "&": "and", "+": "plus", "=": "equals", "@": "at", "%": "percent", "×": "times",
        "÷": "divided by", "°": "degrees",
        "#": "number", "/": "slash", "w/": "with", "w/o": "without",
    },
    fractions=_FRACTIONS,
    and_a={
        Fraction(1, 2): "and a half", Fraction(1, 4): "and a quarter", Fraction(3, 4): "and three quarters",
        Fraction(1, 3): "and a third", Fraction(2, 3): "and two thirds",
    },
    fraction=fraction,
    large=frozenset("hundred thousand million billion trillion".split()),
    percent="percent",
    minus="minus",
    degree=("degree", "degrees"),
    to="to",
    number="number",
    letters={"w": "double u"},
    decimals_one_by_one=True,
    slashed={Fraction(1, 2): "one half"},
    on_the_hour=" o'clock",
    decade=decade,
    clock_halves=frozenset(("am", "pm", "a.m", "p.m")),
)  # fmt: skip

ABBREVIATIONS = {
    "mr.": "mister", "mrs.": "missus", "ms.": "miz", "dr.": "doctor", "prof.": "professor", "capt.": "captain",
    "sgt.": "sergeant", "lt.": "lieutenant", "gen.": "~general", "col.": "~colonel", "rev.": "~reverend",
    "st.": "~saint", "mt.": "~mount", "ft.": "feet", "jr.": "junior", "sr.": "senior",
    "vs.": "versus", "vs": "versus",
    "etc.": "et cetera", "etc": "et cetera", "e.g.": "for example", "i.e.": "that is", "no.": "#number",
    "nos.": "#numbers", "ave.": "avenue", "rd.": "road", "blvd.": "boulevard", "approx.": "approximately",
    "dept.": "department", "est.": "established", "inc.": "incorporated", "co.": "company", "ltd.": "limited",
    "oz.": "ounces", "lb.": "pounds", "lbs.": "pounds", "hr.": "hour", "hrs.": "hours", "min.": "minutes",
    "sec.": "seconds", "jan.": "january", "feb.": "february", "aug.": "august", "sept.": "september",
    "oct.": "october", "nov.": "november", "dec.": "december", "mr": "mister", "mrs": "missus", "dr": "doctor",
    "a.m.": "A M", "p.m.": "P M", "o'": "o",
}  # fmt: skip
