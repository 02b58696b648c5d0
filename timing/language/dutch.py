"""Dutch: pyphen's patterns made whole (one vowel a syllable), stress and sounds by the rules of its spelling.

Source of the rules: spelling and syllables as taught in school (from memory): a single consonant between vowels opens
the next syllable, a vowel at the end of a syllable is long, a diaeresis opens a syllable (zee-ën). Stress is on the
first syllable less a weak prefix, but for endings that draw it.
"""

from __future__ import annotations

import itertools
import re
from fractions import Fraction
from functools import cache

from timing.language.letter_rules import ignoring_apostrophes, letter_rules, onset_finder, repaired, said
from timing.language.manners import Manners
from timing.language.number_words import number_words
from timing.language.patterns import pattern_pieces
from timing.language.pronunciation import Pronunciation
from timing.language.record import Figure, Language
from timing.language.rules import Rules
from timing.language.script_words import ScriptWords
from timing.language.spoken import Currency, SpokenRules
from timing.language.ways import Ways

_VOWELS = "aeiouyäëïöüáéíóúàèìòùâêîôû"
_GROUPS = re.compile(
    "éé|óó|áá|úú|eeu|ieu|aai|ooi|oei|eau|aa|ee|oo|uu|ie|oe|eu(?!m)|ui|ij|ei|ou|au|(?<=t)io(?=n)|(?<!q)u|"
    f"[{_VOWELS.replace('u', '')}]"
)
_ONSETS = frozenset(
    "b c d f g h j k l m n p r s t v w x z bl br ch cl cr dr fl fr gl gr kl kn kr ph pl pr qu sch schr sj sl sp spr "
    "st str th tj tr tw vl vr wr zw".split()
)
_SOUNDS = letter_rules(r"""
isch(?=e?$) > IY S
sch > S HH
ch > HH
(?<=^aa)n(?=g) > N
(?<=^o)n(?=ge) > N
(?<=^i)n(?=ge) > N
ng > NG
nk > NG K
sj > SH
tj > CH
dj(?=e) > CH
tie(?=s?$) > T S IY
(?<=t)io(?=n) > Y AO
ti(?=on) > SH
qu > K W
ph > F
th > T
ck > K
dt$ > T
bb > B
dd > D
ff > F
gg > HH
kk > K
ll > L
mm > M
nn > N
pp > P
rr > R
ss > S
tt > T
zz > T S
cc(?=[ei]) > K S
c(?=[eiy]) > S
c > K
aai > AY
ooi > OY
oei > UW Y
eeu > EY W
ieu > IY W
eau > OW
aa > AA
ee > EY
oo > OW
uu > UW
ie > IY
oe > UW
eu(?!m) > ER
ui > AW
ij > AY
ei > AY
[ao]u > AW
(?<=[ei]eu)w(?![aeiou]) >
(?<=[ao]u)w(?![aeiou]) >
(?<=u)w(?![aeiou]) >
[aàáâä] > AA
[eë](?=[bcdfghjklmnpqrstvwxz]?[aeiouyëï]|$) > EY
éé > EY
óó > OW
áá > AA
úú > UW
é > EY
[eèêë] > EH
[iï](?=[bcdfghjklmnpqrstvwxz]?[aeiouyëï]|$) > IY
í > IY
[iï] > IH
[oö](?=[bcdfghjklmnpqrstvwxz]?[aeiouyëï]|$) > OW
ó > OW
[oôö] > AO
[uü](?=[bcdfghjklmnpqrstvwxz]?[aeiouyëï]|$) > UW
[uûü] > UH
y(?=[aeiou]) > Y
y > IY
b$ > P
d$ > T
b > B
d > D
f > F
g > HH
h > HH
j > Y
k > K
l > L
m > M
n > N
p > P
q > K
r > R
s > S
t > T
v > V
w > V
x > K S
z > Z
""")
# What an apostrophe leaves of a little word.
_CLIPPED = {"'t": "AH0 T", "'n": "AH0 N", "'s": "S", "'k": "K", "m'n": "M AH0 N", "z'n": "Z AH0 N", "d'r": "D AH0 R"}
_WEAK_WORDS = frozenset("de ze me je we te ne het een".split())  # said with the weak vowel
_WEAK_PREFIX = re.compile(r"(?:be|ge|ver|te)$")
_UNSTRESSED_PREFIX = re.compile(r"(?:be|ge|ver|te|ont|her|er)$")
_WEAK_END = re.compile(r"[^aeiouy]*[eë](?:n|r|l|m|s|t|d|nd|rs|ls|ns|rd|rt|ren)?$|[^aeiouy]*lijks?$|[^aeiouy]*igs?$")
# Endings of borrowed words draw the stress: to themselves, or to the syllable before the last.
_STRESSED_LAST = re.compile(
    r"(?:teit|iek|ist|aal|aai|eel|eur|eus|oen|ment|ant|ent|ier|ijn|[aeiou]tion|station|erij|[dgn]in|uur|eau|on)$"
)
_STRESSED_BEFORE_LAST = re.compile(
    r"(?:tie|sie|age|eert|eerd|[aeiou]tor|isme|iste|ine|ette)s?$|"
    r"(?:is|prob|stud|not|park|mark|trol|ag|tas|graf|fon|par|sent|cept|str)eren$"  # but kin-de-ren, fluis-te-ren
)


def nuclei(word: str) -> list[tuple[int, int]]:
    """Return the vowel groups that make one syllable each, as offsets."""
    found = []
    for match in _GROUPS.finditer(word):
        is_y_before_vowel = match[0] == "y" and word[match.end() : match.end() + 1] in tuple("aeiou")
        if not is_y_before_vowel:
            found.append(match.span())
    return found


@cache
def pronounce(word: str, sounds_weak_e: bool) -> tuple[Pronunciation, ...]:
    """Return the pronunciation of a word.

    >>> [pronounce(word, False)[0].pieces for word in ("zeeën", "verhaal")], pronounce("water", False)[0].phones
    ([('zee', 'ën'), ('ver', 'haal')], ('V', 'AA', 'T', 'AH', 'R'))
    """
    if word in _CLIPPED:
        return (Pronunciation((word,), (tuple(_CLIPPED[word].split()),)),)
    return (ignoring_apostrophes(word, _read),)


def _read(word: str) -> Pronunciation:
    cuts = repaired(pattern_pieces("nl_NL")(word), nuclei, onset_finder(_ONSETS))
    pieces = [word[a:b] for a, b in itertools.pairwise([0, *cuts, len(word)])]
    stress = _stress(word, pieces)
    found = said(word, cuts, _SOUNDS, stress)
    sounds = tuple(
        tuple(re.sub(r"^[A-Z]+0$", "AH0", p) for p in phones) if _is_weak(pieces, number, stress) else phones
        for number, phones in enumerate(found.sounds)
    )
    if word in _WEAK_WORDS:
        sounds = tuple(tuple(re.sub(r"^[A-Z]+1$", "AH1", p) for p in phones) for phones in sounds)
    return Pronunciation(found.pieces, sounds)


def _is_weak(pieces: list[str], number: int, stress: int) -> bool:
    """True for a syllable with the weak vowel: wa-ter, ge-lo-pen, vro-lijk."""
    count = len(pieces)
    if number == stress:
        return False
    if number == 0:
        return bool(_WEAK_PREFIX.fullmatch(pieces[0]))
    meets_vowel = number + 1 < count and pieces[number + 1][0] in _VOWELS  # o-ce-aan
    return bool(_WEAK_END.fullmatch(pieces[number])) and not meets_vowel


def _stress(word: str, pieces: list[str]) -> int:
    count = len(pieces)
    if _STRESSED_LAST.search(word) and not word.endswith(("son", "ton")):
        return count - 1
    if count > 2 and _STRESSED_BEFORE_LAST.search(word):
        return count - 2
    return 1 if count > 1 and _UNSTRESSED_PREFIX.fullmatch(pieces[0]) else 0


_CARDINAL, _ORDINAL = number_words("nl")


def _clock(hour: int, minute: int) -> str:
    """7:30 is half eight, 7:15 a quarter past seven."""
    this, following = _CARDINAL(hour), _CARDINAL(hour % 12 + 1 if hour <= 12 else (hour + 1) % 24)
    spoken = {0: f"{this} uur", 15: f"kwart over {this}", 30: f"half {following}", 45: f"kwart voor {following}"}
    return spoken.get(minute) or f"{this} uur {_CARDINAL(minute)}"


def _year(value: int) -> str:
    century, rest = divmod(value, 100)
    if 1100 <= value < 2000:
        return f"{_CARDINAL(century)}honderd{_CARDINAL(rest) if rest else ''}"
    return _CARDINAL(value)


def _fraction(top: int, bottom: int) -> str:
    if bottom == 2:
        return f"{_CARDINAL(top)} halve"
    name = "kwart" if bottom == 4 else _ORDINAL(bottom, False)
    return f"{'een' if top == 1 else _CARDINAL(top)} {name}"


_FIGURES = SpokenRules(
    cardinal=_CARDINAL,
    ordinal=_ORDINAL,
    ordinal_mark="e|de|ste",
    year=_year,
    clock=_clock,
    one=("een", "een"),
    decimal=",",
    point="komma",
    money_and="",
    currencies={
        "€": Currency(("euro", "euro"), ("cent", "cent")),
        "$": Currency(("dollar", "dollar"), ("cent", "cent")),
        "£": Currency(("pond", "pond"), ("penny", "pence")),
    },
    units={
        "km": ("kilometer", "kilometer"), "cm": ("centimeter", "centimeter"), "mm": ("millimeter", "millimeter"),
        "m": ("meter", "meter"), "kg": ("kilo", "kilo"), "g": ("gram", "gram"), "l": ("liter", "liter"),
        "ml": ("milliliter", "milliliter"), "min": ("minuut", "minuten"), "s": ("seconde", "seconden"),
        "u": ("uur", "uur"), "km/h": ("kilometer per uur", "kilometer per uur"),
        "km/u": ("kilometer per uur", "kilometer per uur"), "°c": ("graad celsius", "graden celsius"),
    },
    symbols={"&": "en", "+": "plus", "=": "is", "@": "apenstaartje", "%": "procent", "×": "keer", "÷": "gedeeld door",
             "°": "graden", "#": "nummer"},
    fractions={Fraction(1, 2): "een half", Fraction(1, 4): "een kwart", Fraction(3, 4): "driekwart"},
    and_a={Fraction(1, 2): "en een half", Fraction(1, 4): "en een kwart", Fraction(3, 4): "en driekwart"},
    fraction=_fraction,
    large=frozenset("duizend miljoen miljard".split()),
    percent="procent",
    minus="min",
    degree=("graad", "graden"),
    to="tot",
    number="nummer",
    clock_word="uur",
    letters={
        "b": "bee", "c": "see", "d": "dee", "f": "eff", "g": "gee", "h": "haa", "j": "jee", "k": "kaa", "l": "ell",
        "m": "emm", "n": "enn", "p": "pee", "q": "kuu", "r": "err", "s": "ess", "t": "tee", "v": "vee", "w": "wee",
        "x": "iks", "y": "ij", "z": "zett",
    },
)  # fmt: skip


class DutchWays(Ways):
    """How Dutch reads tokens: "tv's" has a plural s, and a long vowel before a consonant is written twice."""

    plural_s = "S"

    def usual_length(self, text: str, start: int, end: int) -> int:
        return 2 if text[start] in "aeou" and (text[end:] or text[start] == "e") else 1


RULES = Rules(
    pronounce=pronounce,
    figures=_FIGURES,
    abbreviations={
        "dhr.": "de heer", "mevr.": "mevrouw", "mw.": "mevrouw", "dr.": "dokter", "prof.": "professor",
        "bijv.": "bijvoorbeeld", "bv.": "bijvoorbeeld", "d.w.z.": "dat wil zeggen", "enz.": "enzovoort",
        "etc.": "et cetera", "ca.": "circa", "nr.": "nummer", "st.": "~sint", "blz.": "bladzijde",
        "o.a.": "onder andere",
    },
    function_words=frozenset(
        """de het een en of maar dat die dit deze als dan om te in op aan bij met van voor uit naar over door tot onder
        ik je jij u hij ze zij we wij jullie hen hun me mij hem haar ons mijn jouw zijn is was ben bent zal kan er niet
        't 'n 's m'n z'n d'r""".split()
    ),
    never_after=frozenset(
        """de het een en of dat die dit deze als om te in op aan bij met van voor uit naar over door tot onder tussen
        achter naast zonder mijn jouw zijn haar ons onze hun geen elke elk ieder iedere heel zeer zo ik je jij u hij ze
        zij we wij meneer mevrouw dokter 't 'n m'n z'n d'r""".split()
    ),
    phrase_before=frozenset(
        """en of maar want dat omdat als toen terwijl waar wie om in op aan bij met van voor uit naar over door
        tot""".split()
    ),
    elided=frozenset(("'t", "'n", "'s", "'k")),
    counted_before=frozenset("deel hoofdstuk akte scène band aflevering boek niveau les couplet ronde stap".split()),
    own_ways=DutchWays(pronounce),
)  # fmt: skip

# How scripts name songs, waits, sounds and what stands around a script: common practice, from memory.
SCRIPT_WORDS = ScriptWords(
    numbers=("een één", "twee", "drie", "vier", "vijf", "zes", "zeven", "acht", "negen", "tien"),
    counts={"bis": 2, "tweemaal": 2, "driemaal": 3},
    times="keer maal",
    last="laatste",
    twofold="dubbele dubbel",
    again="herhaal herhalen herhaald herhaling nogmaals opnieuw weer",
    little="de het naar",
    the="de het",
    everybody="allemaal iedereen allen beiden samen",
    persons="ik jij je hij zij wij jullie",
    begins_clause="maar",
    joint="en",
    song="liedje|lied",
    sings="zingt|zingen|zingend|gezongen",
    song_of="van|over",
    lyrics="liedtekst|songtekst",
    song_ends=r"(?:het\s+)?lied(?:je)?\s+(?:eindigt|stopt|is afgelopen)|einde?\s+(?:van\s+het\s+)?lied(?:je)?",
    parts={
        "chorus": "refrein",
        "verse": "couplet strofe",
        "pre-chorus": "pre-refrein",
        "bridge": "brug",
        "intro": "voorspel",
        "outro": "naspel",
    },
    again_pairs=("nog een keer", "nog eens"),
    seconds="seconden?",
    full="hele|volle|lange",
    articles="een",
    long="lange",
    short="korte|kleine",
    pause="pauze|stilte",
    waiting="wacht|wachten|wachtend",
    listening="luistert|luisteren|luisterend",
    answers=r"antwoord\w*|kinderen|publiek|kijkers?",
    room="tijd",
    to_me="mij|ons",
    sound="geluid(?:en)?|geluidseffect(?:en)?",
    music="muziek",
    told_sound=r"(?:het )?geluid van .+",
    told_music=r"(?:\w+ )?muziek(?: (?:speelt|begint|stopt))?",
    scene="scène|akte",
    slide="dia|pagina",
    ordinals="eerste|tweede|derde",
    facts={
        "titel": "title", "taal": "language", "auteur": "author", "schrijver": "author", "duur": "duration",
        "personages": "characters", "plaats": "setting", "leeftijd": "audience", "doelgroep": "audience",
        "thema": "theme", "genre": "note",
    },
    opening="natuurlijk|zeker|graag|hier (?:is|zijn|komt)",
    about="scripts?|scenario|aflevering|verhaal|scène|liedje|dialoog|versie",
    closing="wil je dat ik|zal ik|als je wilt|laat me weten|ik hoop|ik kan ook",
    end_mark="einde(?: van de aflevering)?|doek",
    figures="aantal woorden|totale duur|duur",
    notes="(?:opmerkingen|aanwijzingen|tips|leerdoelen)(?: (?:voor|over) .+)?",
    cast="personages|rolverdeling|rollen",
)  # fmt: skip

# Dutch was not in the study of reading rates: read as fast as its nearest neighbour there, German, at 5.97 syllables a
# second, to which the pace is fitted (tests/bench/bench_words.py --languages).
LANGUAGE = Language(
    RULES,
    pace=Figure(0.97, "our guess: as many syllables a second as German", is_assumed=True),
    usual_rate=Figure(5.97, "the rate of German", is_assumed=True),
    script_words=SCRIPT_WORDS,
    manners=Manners(  # from memory
        {
            "strong": "roept|roepend|schreeuw|gilt|gillend|brul|luid|boos|woedend|huilt|huilend|snik",
            "slow": "langzaam|voorzichtig|slaperig|gaapt|gapend",
            "narration": "vertel",
            "hushed": "fluister|mompel",
            "quick": "snel|gehaast|haastig|vlug|ademloos|opgewonden",
        },
        acting=frozenset(
            """lacht glimlacht zucht fluistert gaapt roept schreeuwt huilt hoest niest zingt giechelt zwaait knikt
            springt luid verdrietig blij verrast opgewonden snel langzaam""".split()
        ),
        spoken_so=r"(?:met \w+ stem|zich \w+)\b.*",
        narrators="vertel",
    ),
    common_words=frozenset(  # from memory
        """het een en van dat die niet ik je jij hij zij wij jullie ze zijn maar ook met voor naar uit bij aan om als
        dan wat waar wie hoe waarom deze dit heeft hebben wordt worden mijn jouw geen wel nog heel ja nee
        dank""".split()
    ),
    own_letters="ëï",
    vowel_words={  # everyday words; ours
        "a": "maan",
        "ə": "de",
        "ɔ": "zon",
        "au": "blauw",
        "ai": "kraai",
        "ɛ": "bed",
        "œ": "deur",
        "e": "zee",
        "ɪ": "vis",
        "i": "fiets",
        "o": "boot",
        "oi": "hooi",
        "u": "boek",
    },
)
