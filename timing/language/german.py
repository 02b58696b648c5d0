"""German: pyphen's patterns made whole (one vowel a syllable), stress and sounds by the rules of its spelling.

Patterns know where compounds join; what they leave at the edges (A-ber, O-ma) and between vowels is divided by the
rules of the Duden as taught in school (from memory): one consonant goes right, of several the last, ch, sch,
ck, ph, th
stay whole.
"""

from __future__ import annotations

import itertools
import re
from fractions import Fraction
from functools import cache

from timing.language.heard_as import ANY, VOWEL, Hearing
from timing.language.letter_rules import ignoring_apostrophes, letter_rules, onset_finder, repaired, said
from timing.language.manners import Manners
from timing.language.number_words import number_words
from timing.language.patterns import pattern_pieces
from timing.language.pronunciation import Pronunciation
from timing.language.record import FITTED, READING_RATES, Figure, Language
from timing.language.rules import Rules
from timing.language.script_words import ScriptWords
from timing.language.spoken import Currency, SpokenRules

_VOWELS = "aeiouyäöü"
_ONSETS = frozenset("b c d f g h j k l m n p q r s ß t v w x z ch sch ck ph th qu rh".split())
_GROUPS = re.compile(
    r"(?<=q)u|eau|[aäo]u(?![aou])|eu(?!m$|ms$)|ei|ai|ey|ay|ie(?!l?l?t$)|aa|ee|oo|(?<=[aeiouäöü])h(?=[^aeiouäöü])|[aeiouyäöüéèàâêî]"
)
_SOUNDS = letter_rules(r"""
tsch > CH
sch > SH
(?<![a-zäöüß])sp > SH P
(?<![a-zäöüß])st > SH T
(?<![a-zäöüß])ch(?=[rlo]) > K
chs > K S
ck > K
(?<=[aou])ch > HH
ch > SH
ph > F
th > T
qu > K V
pf > P F
tz > T S
ng > NG
nk > NG K
äu > OY
eu > OY
ei > AY
ai > AY
ey > AY
ay > AY
au > AW
ie > IY
[aeiouäöü]h(?=[^aeiouäöü]|$) > *
aa > AA
ee > EY
oo > OW
en$ > AH N
em$ > AH M
el$ > AH L
er$ > ER
e$ > AH
(?<=[a-zäöüß])er(?=[^aeiouäöü]) > ER
ß > S
ss > S
s(?=[aeiouäöü]) > Z
s > S
z > T S
c > K
v > F
w > V
j > Y
b$ > P
d$ > T
ig$ > IH SH
g$ > K
y > UW
x > K S
a > AA
ä > EH
e > EH
i > IH
o > AO
ö > ER
u > UH
ü > UW
é > EY
b > B
d > D
f > F
g > G
h > HH
k > K
l > L
m > M
n > N
p > P
q > K
r > R
t > T
""".replace("[aeiouäöü]h(?=[^aeiouäöü]|$) > *", "ah(?=[^aeiouäöü]|$) > AA\neh(?=[^aeiouäöü]|$) > EY\n"
            "ih(?=[^aeiouäöü]|$) > IY\noh(?=[^aeiouäöü]|$) > OW\nuh(?=[^aeiouäöü]|$) > UW\näh(?=[^aeiouäöü]|$) > EH\n"
            "öh(?=[^aeiouäöü]|$) > ER\nüh(?=[^aeiouäöü]|$) > UW"))  # fmt: skip
_WEAK_PREFIX = re.compile(r"(?:be|ge|er|ver|zer|ent|emp)$")
# Foreign endings draw the stress to themselves (school rules, from memory): the piece with the group's first letter is
# stressed. The last row holds only in these words.
_STRESSED_END = re.compile(r"(?:(ie)r(?:en|t|te|st)?|i(on)(?:en)?|(ent|ant|enz)|(ist)(?:en)?)$")
_STRESSED_LAST = re.compile(
    r"(?:i(on)|(ät)(?:en)?|(?<!purp)(ur)|(?<!ost)(?<!spieg)(?:er|el)(ei)|[bgktz](ei)"
    r"|(?:mus|fabr|polit|phys|krit|republ)(ik)|(?:id|all|arm)(ee))$"
)


def nuclei(word: str) -> list[tuple[int, int]]:
    """Return the vowel groups that make one syllable each, as offsets."""
    found = []
    for match in _GROUPS.finditer(word):
        if match[0] == "h" or (match[0] == "u" and match.start() and word[match.start() - 1] == "q"):
            continue
        if match[0] == "y" and word[match.end() : match.end() + 1] in tuple(_VOWELS):
            continue
        found.append(match.span())
    return found


@cache
def pronounce(word: str, sounds_weak_e: bool) -> tuple[Pronunciation, ...]:
    """Return the pronunciation of a word.

    >>> pronounce("abermal", False)[0].pieces, pronounce("land", False)[0].pieces
    (('a', 'ber', 'mal'), ('land',))
    """
    return (ignoring_apostrophes(word, _read),)


def _read(word: str) -> Pronunciation:
    cuts = repaired(pattern_pieces("de_DE")(word), nuclei, onset_finder(_ONSETS))
    edges = [0, *cuts, len(word)]
    pieces = [word[a:b] for a, b in itertools.pairwise(edges)]
    return said(word, cuts, _SOUNDS, _stress(word, pieces))


def _stress(word: str, pieces: list[str]) -> int:
    tail = _STRESSED_LAST.search(word) or _STRESSED_END.search(word)
    if tail and tail.lastindex:
        place = tail.start(tail.lastindex)
        return next(i for i, end in enumerate(itertools.accumulate(map(len, pieces))) if end > place)
    return 1 if len(pieces) > 1 and _WEAK_PREFIX.fullmatch(pieces[0]) else 0


_CARDINAL, _ORDINAL = number_words("de")


def _clock(hour: int, minute: int) -> str:
    hours = "ein" if hour == 1 else _CARDINAL(hour)
    return f"{hours} Uhr" + (f" {_CARDINAL(minute)}" if minute else "")


def _year(value: int) -> str:
    century, rest = divmod(value, 100)
    if 1100 <= value < 2000:
        return f"{_CARDINAL(century)}hundert{_CARDINAL(rest) if rest else ''}"
    return _CARDINAL(value)


def _fraction(top: int, bottom: int) -> str:
    if bottom == 2:
        return f"{_CARDINAL(top)} halbe"
    name = {3: "Drittel", 4: "Viertel", 7: "Siebtel"}.get(bottom) or _CARDINAL(bottom) + (
        "tel" if bottom < 20 else "stel"
    )
    return f"{'ein' if top == 1 else _CARDINAL(top)} {name}"


_WEAK_BEFORE = frozenset("am im vom zum beim den dem des".split())  # am dritten
_FIGURES = SpokenRules(
    cardinal=_CARDINAL,
    ordinal=lambda value, feminine: _ORDINAL(value, False),
    ordinal_mark=r"te[nrsm]?|ste[nrsm]?",
    year=_year,
    clock=_clock,
    one=("ein", "eine"),
    decimal=",",
    point="Komma",
    money_and="",
    currencies={
        "€": Currency(("Euro", "Euro"), ("Cent", "Cent")),
        "$": Currency(("Dollar", "Dollar"), ("Cent", "Cent")),
        "£": Currency(("Pfund", "Pfund"), ("Penny", "Pence")),
    },
    units={
        "km": ("Kilometer", "Kilometer"), "cm": ("Zentimeter", "Zentimeter"), "mm": ("Millimeter", "Millimeter"),
        "m": ("Meter", "Meter"), "kg": ("Kilo", "Kilo"), "g": ("Gramm", "Gramm"), "l": ("Liter", "Liter"),
        "ml": ("Milliliter", "Milliliter"), "min": ("+Minute", "+Minuten"), "s": ("+Sekunde", "+Sekunden"),
        "h": ("+Stunde", "+Stunden"), "km/h": ("Stundenkilometer", "Stundenkilometer"),
        "°c": ("Grad Celsius", "Grad Celsius"),
    },
    symbols={"&": "und", "+": "plus", "=": "gleich", "@": "at", "%": "Prozent", "×": "mal", "÷": "durch",
             "°": "Grad", "#": "Nummer"},
    fractions={Fraction(1, 2): "ein halb", Fraction(1, 4): "ein Viertel"},
    and_a={Fraction(1, 2): "einhalb", Fraction(1, 4): "ein Viertel", Fraction(3, 4): "drei Viertel"},
    fraction=_fraction,
    large=frozenset("tausend million millionen milliarde milliarden".split()),
    percent="Prozent",
    minus="minus",
    degree=("Grad", "Grad"),
    to="bis",
    number="Nummer",
    ordinal_dot=True,
    ordinal_after=lambda ordinal, before: ordinal + "n" * (before in _WEAK_BEFORE),
    clock_word="uhr",
    letters={
        "b": "be", "c": "tse", "d": "de", "f": "eff", "g": "ge", "h": "ha", "j": "jott", "k": "ka", "l": "ell",
        "m": "emm", "n": "enn", "p": "pe", "q": "ku", "r": "err", "s": "ess", "t": "te", "v": "vau", "w": "we",
        "x": "ix", "y": "üpsilon", "z": "zett",
    },
)  # fmt: skip

RULES = Rules(
    pronounce=pronounce,
    figures=_FIGURES,
    abbreviations={
        "z.b.": "zum Beispiel", "u.a.": "unter anderem", "usw.": "und so weiter", "bzw.": "beziehungsweise",
        "dr.": "Doktor", "prof.": "Professor", "nr.": "Nummer", "str.": "Straße", "st.": "~Sankt", "fr.": "~Frau",
        "hr.": "~Herr", "ca.": "circa", "d.h.": "das heißt", "etc.": "et cetera",
    },
    function_words=frozenset(
        """der die das den dem des ein eine einen einem einer eines und oder aber dass ob wenn als wie in im ins an am
        auf aus bei beim mit nach von vom zu zum zur für um über unter vor ich du er sie es wir ihr man mich dich ihn
        ihm uns euch sich mein dein sein ihr unser ist sind war bin bist hat habe wird nicht""".split()
    ),
    never_after=frozenset(
        """der die das den dem des ein eine einen einem einer eines und oder dass ob wenn als in im ins an am auf aus
        bei beim mit nach von vom zu zum zur für um über unter vor durch gegen ohne mein meine dein deine sein seine
        ihr ihre unser unsere kein keine sehr ich du er wir man herr frau doktor""".split()
    ),
    phrase_before=frozenset(
        "und oder aber denn dass ob wenn weil als wie "
        "in im an am auf aus bei mit nach von zu zum zur für um über".split()
    ),
    counted_before=frozenset(
        "teil kapitel akt szene band folge episode buch stufe lektion strophe runde schritt".split()
    ),
    capitalises_nouns=True,
)  # fmt: skip

# How scripts name songs, waits, sounds and what stands around a script: common practice, from memory.
SCRIPT_WORDS = ScriptWords(
    numbers=("ein eine einer eins", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun", "zehn"),
    counts={"bis": 2, "zweimal": 2, "dreimal": 3, "viermal": 4},
    times="mal",
    last="letzter letzte",
    twofold="doppelter",
    again="wiederholen wiederholt wiederholung wdh nochmal nochmals einmal",
    little="den der das zum des sich",
    the="der die das",
    everybody="alle beide zusammen",
    persons="ich du er sie wir ihr",
    begins_clause="und aber",
    joint="und",
    song="lied",
    sings="singt|singen|singend|gesungen",
    song_of="vom|von|über|des|der",
    lyrics="liedtext|songtext",
    song_ends=r"(?:das\s+)?lied\s+(?:endet|ist (?:aus|zu ende))|(?:ende|schluss)\s+(?:des\s+liedes|vom\s+lied|lied)",
    parts={
        "chorus": "refrain kehrreim",
        "verse": "strophe vers",
        "pre-chorus": "vorrefrain",
        "bridge": "brücke",
        "intro": "vorspiel",
        "outro": "nachspiel schluss",
    },
    again_pairs=("noch einmal",),
    seconds="sekunden?",
    full="ganze|volle|lange",
    articles="eine?",
    long="lange",
    short="kurze|kleine",
    pause="pause|stille",
    waiting="warte|wartet|warten|wartend",
    listening="lauscht|hört",
    answers=r"antwort\w*|kinder[ns]?|publikums?|zuschauer\w*",
    room="zeit",
    to_me="mich|mir|auf uns",
    sound="geräusche?|soundeffekte?",
    music="musik",
    told_sound=r"geräusch(?:e)? (?:von|der|des) .+|\w*geräusche?",
    told_music=r"(?:\w+ )?musik(?: \w+)?",
    scene="szene|akt",
    slide="folie|seite",
    ordinals="erste|zweite|dritte",
    facts={
        "titel": "title", "sprache": "language", "autor": "author", "autorin": "author", "dauer": "duration",
        "länge": "duration", "figuren": "characters", "schauplatz": "setting", "ort": "setting",
        "zielgruppe": "audience", "alter": "audience", "thema": "theme", "genre": "note",
    },
    opening="natürlich|gerne?|klar|hier (?:ist|sind|kommt)",
    about="drehbuch|skript|folge|geschichte|szene|lied|dialog|fassung|version",
    closing=(
        r"(?:möchtest|willst) du|möchten sie|soll ich|wenn du (?:möchtest|magst|willst)|sag(?:en sie)? mir|"
        r"lass mich wissen|ich hoffe|gerne? kann ich|ich kann auch"
    ),
    end_mark="ende(?: der folge)?|vorhang",
    figures="wortzahl|wörter|gesamtlänge|dauer",
    notes="(?:hinweise?|anmerkungen|tipps|lernziele?)(?: (?:für|zur) .+)?",
    cast="figuren|personen|charaktere|besetzung|rollen",
)  # fmt: skip

LANGUAGE = Language(
    RULES,
    pace=Figure(0.9, FITTED),
    usual_rate=Figure(5.97, READING_RATES),
    hearing=Hearing((*ANY, ((r"\bER\b", "EH R"),), ((r"\bER\b", "AH"), (rf"({VOWEL}) R\b", r"\1 AH")))),
    script_words=SCRIPT_WORDS,
    manners=Manners(  # from memory
        {
            "strong": "ruft|rufend|schrei|brüll|laut|kräftig|wütend|zornig|weint|weinend|schluchz",
            "slow": "langsam|vorsichtig|schläfrig|verschlafen|müde|gähn",
            "narration": "erzähl|sprecher|aus dem off",
            "hushed": "flüster|gemurmel|murmel|wisper",
            "quick": "schnell|hastig|eilig|rasch|atemlos|aufgeregt|gehetzt",
        },
        acting=frozenset(
            """lacht lächelt seufzt flüstert gähnt ruft schreit weint hustet niest singt kichert winkt nickt leise laut
            traurig fröhlich überrascht ängstlich aufgeregt schnell langsam""".split()
        ),
        spoken_so=r"(?:mit \w+ stimme|sich \w+)\b.*|\w{4,}(?:end|nd)(?<=(?:ernd|elnd|.end))",
        narrators="erzähl|sprecher",
    ),
    common_words=frozenset(  # from memory
        """der das dem den des ein eine einen einem einer und oder aber nicht ist sind ich du sie es wir ihr
        mit auf aus bei nach von zu zum zur für über unter wo wohin wenn dass wie auch noch nur sehr mein
        dein kein ja danke""".split()
    ),
    own_letters="äöüß",
    vowel_words={  # everyday words; ours
        "a": "Mann",
        "ə": "Katze",
        "ɔ": "Sonne",
        "au": "Haus",
        "ai": "Eis",
        "ɛ": "Bett",
        "ø": "schön",
        "e": "See",
        "ɪ": "Fisch",
        "i": "Biene",
        "o": "Boot",
        "oi": "Heu",
        "ʊ": "Mund",
        "u": "Schuh",
    },
)
