"""Italian: syllables, stress and sounds by the rules of its spelling.

Source: school grammar (from memory); s with a consonant opens the syllable (fi-ne-stra). Italian does not write most
of its stresses: the last but one is taken, with the common endings that go against it.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from timing.language.heard_as import Hearing
from timing.language.letter_rules import cuts_between, ignoring_apostrophes, letter_rules, said
from timing.language.manners import ROMANCE_DOING, ROMANCE_MANNER, Manners
from timing.language.number_words import ending_in_a, number_words
from timing.language.pronunciation import Pronunciation
from timing.language.record import FITTED, READING_RATES, Figure, Language
from timing.language.rules import Rules
from timing.language.script_words import ScriptWords
from timing.language.spoken import Currency, SpokenRules

_VOWELS = "aeiouàèéìíòóùú"
_STRONG, _WEAK, _MARKED = "aeoàèéòó", "iu", "ìíùú"
_PAIRS = frozenset(
    """b c d f g h l m n p q r s t v z ch gh gl gn qu gu sc sch br bl cr cl dr fr fl gr pr pl tr vr ps j k w x y
    ghi chi ci gi sci gli""".split()
)
_SOUNDS = letter_rules(r"""
sch > S K
sci(?=[aeouàèéòóù]) > SH
sc(?=[eièéìí]) > SH
gli(?=[aeouàèéòóù]) > L Y
gl(?=i) > L Y
gn > N Y
ch > K
gh > G
ci(?=[aeouàòóù]) > CH
gi(?=[aeouàòóù]) > JH
c(?=[eièéìí]) > CH
g(?=[eièéìí]) > JH
cq > K
qu > K W
gu(?=[aeiàèéì]) > G W
zz > T S
z > T S
(?<=[aeiou])s(?=[aeiou]) > Z
ss > S
h >
[ckq] > K
[aà]i(?![aeou]) > AY
[eèé]i(?![aeou]) > EY
[oòó]i(?![aeou]) > OY
[aà]u(?![aeio]) > AW
[eèé]u(?![aeio]) > EH W
i(?=[aeouàèéòóù]) > Y
u(?=[aeioàèéìòó]) > W
[aà] > AA
[eèé] > EH
[iìíy] > IY
[oòó] > OW
[uùú] > UW
j > Y
b > B
d > D
f > F
g > G
l > L
m > M
n > N
p > P
r > R
s > S
t > T
v > V
w > W
x > K S
""")
_VOWEL = re.compile(rf"(?<!q)u|[{_VOWELS.replace('u', '')}y]")
_SOFT_I = re.compile(r"(?:(?<=[cg])|(?<=gl))i(?=[aeouàèéòóù])")  # ciao, formaggio, figlio: the i only softens
# Words in which a stressed i or u stands beside a vowel and nothing shows it (zi-o, pa-u-ra).
_HIATUS = re.compile(
    r"(?:p(?=aur)|^(?:z|m|d|v|p|r|sp|tr|br|cr|sc)(?=i[aeo]$|ii$)|^[tsfd]?(?=u[aeo]$|ue$)|(?:log|graf|man|fon|energ|nostalg|mag|bug|"
    r"alleg?r|follo?|gelos|cortes|poes|fantas|mar|pizzer|librer|gelater|batter|galler|scheder|farmac|compagn|sinfon|"
    r"armon|malatt|geograf|econom|astronom|pol[ií]z|idraul)(?=i[aeo]$|ie$))"
)
_ANTEPENULT = re.compile(
    r"(?:issim[oaie]|[aei]bil[ei]|evol[ei]|[^aeiou]ic[oa]|ic(?:he|i)|ogic[oa]|ograf[oi]|[aeiou]log[oi]|udin[ei]|aggin[ei]|"
    r"esim[oaie]|ass[ei]r[oe]|zz[oa]ol[oa]|[^aeiou]ol[oi]|pest[ae]|albero|alberi|numero|camera|zucchero|povero|"
    r"favol[ae]|isol[ae]|tavol[oi]|pecor[ae]|nuvol[ae]|foglie|subito|piccol[oaie]|ultim[oaie]|prossim[oaie]|"
    r"[aei]vano|(?<!abban)(?<!per)(?<!pat)(?<!co)[^aeiou]ono|l[ei]ggere|v[ie]vere|prend(?:ere|imi)|essere|perdere|ridere|ridono|correre|chiedere)$"
)


def nuclei(word: str) -> list[tuple[int, int]]:
    """Return the vowel groups that make one syllable each, as offsets."""
    hiatus = {m.end() for m in _HIATUS.finditer(word)}
    found: list[tuple[int, int]] = []
    at = 0
    while at < len(word):
        if not _is_vowel(word, at):
            at += 1
            continue
        end = at + 1
        while end < len(word) and _is_vowel(word, end) and end - 1 not in hiatus and _joins(word, end - 1, end):
            end += 1
        found.append((at, end))
        at = end
    return found


def _is_vowel(word: str, at: int) -> bool:
    if _SOFT_I.match(word, at):  # but magia, bugia
        return any(m.end() == at for m in _HIATUS.finditer(word))
    return bool(_VOWEL.match(word, at))


def _joins(word: str, left: int, right: int) -> bool:
    a, b = word[left], word[right]
    if b in _MARKED and a not in _WEAK:
        return False
    if a in _MARKED:
        return False
    if a in _STRONG and b in _STRONG:
        return False
    if b == "i" and word[right + 1 : right + 2] in tuple("aeou"):
        return False  # a-iu-to, gio-ia
    return a != b


def _onset(word: str, low: int, high: int) -> int:
    """Return where the consonants of the right syllable begin; s before a consonant goes right."""
    # A softening i stands among the consonants: formag-gio, fi-glio.
    for k in range(low, high):
        rest = word[k:high].replace("i", "") if word[k:high].endswith("i") else word[k:high]
        is_s = rest[:1] == "s" and len(rest) > 1 and rest[1] not in "aeious"
        if word[k] not in "iu" and (rest in _PAIRS or (is_s and (rest[1:] in _PAIRS))):
            return k
    return max(low, high - 1)


@cache
def pronounce(word: str, sounds_weak_e: bool) -> tuple[Pronunciation, ...]:
    """Return the pronunciation of a word.

    >>> pronounce("formaggio", False)[0].pieces, pronounce("eroe", False)[0].pieces
    (('for', 'mag', 'gio'), ('e', 'ro', 'e'))
    """
    return (ignoring_apostrophes(word, _read),)


def _read(word: str) -> Pronunciation:
    found = nuclei(word)
    return said(word, cuts_between(word, found, _onset), _SOUNDS, _stress(word, found))


def _stress(word: str, found: list[tuple[int, int]]) -> int:
    marked = [i for i, (a, b) in enumerate(found) if re.search("[àèéìíòóùú]", word[a:b])]
    if marked:
        return marked[-1]
    back = 3 if _ANTEPENULT.search(word) else 2
    if not re.search("[aeiouy]$", word):
        back = 1
    return max(0, len(found) - back)


_CARDINAL, _ORDINAL = number_words("it", ending_in_a)


def _clock(hour: int, minute: int) -> str:
    hours = "una" if hour == 1 else _CARDINAL(hour)
    return hours if not minute else f"{hours} e mezza" if minute == 30 else f"{hours} e {_CARDINAL(minute)}"


def _fraction(top: int, bottom: int) -> str:
    name = "mezzo" if bottom == 2 else _ORDINAL(bottom, False)
    return f"{'un' if top == 1 else _CARDINAL(top)} {name if top == 1 else name[:-1] + 'i'}"


_FIGURES = SpokenRules(
    cardinal=_CARDINAL,
    ordinal=_ORDINAL,
    ordinal_mark=r"[º°]|(?P<f>ª)",
    year=_CARDINAL,
    clock=_clock,
    one=("un", "una"),
    decimal=",",
    point="virgola",
    money_and="e",
    currencies={
        "€": Currency(("euro", "euro"), ("centesimo", "centesimi")),
        "$": Currency(("dollaro", "dollari"), ("centesimo", "centesimi")),
        "£": Currency(("+sterlina", "+sterline"), ("penny", "pence")),
    },
    units={
        "km": ("chilometro", "chilometri"), "cm": ("centimetro", "centimetri"), "mm": ("millimetro", "millimetri"),
        "m": ("metro", "metri"), "kg": ("chilo", "chili"), "g": ("grammo", "grammi"), "l": ("litro", "litri"),
        "ml": ("millilitro", "millilitri"), "min": ("minuto", "minuti"), "s": ("secondo", "secondi"),
        "h": ("+ora", "+ore"), "km/h": ("chilometro all'ora", "chilometri all'ora"),
        "°c": ("grado celsius", "gradi celsius"),
    },
    symbols={"&": "e", "+": "più", "=": "uguale", "@": "chiocciola", "%": "per cento", "×": "per", "÷": "diviso",
             "°": "gradi", "#": "numero"},
    fractions={Fraction(1, 2): "mezzo", Fraction(1, 4): "un quarto"},
    and_a={Fraction(1, 2): "e mezzo", Fraction(1, 4): "e un quarto", Fraction(3, 4): "e tre quarti"},
    fraction=_fraction,
    large=frozenset("mila milione milioni miliardo miliardi".split()),
    percent="per cento",
    minus="meno",
    degree=("grado", "gradi"),
    to="a",
    number="numero",
    letters={
        "b": "bi", "c": "ci", "d": "di", "f": "effe", "g": "gi", "h": "acca", "j": "i lunga", "k": "cappa",
        "l": "elle", "m": "emme", "n": "enne", "p": "pi", "q": "cu", "r": "erre", "s": "esse", "t": "ti", "v": "vu",
        "w": "doppia vu", "x": "ics", "y": "ipsilon", "z": "zeta",
    },
    large_of="di",
    before_noun=lambda number, feminine: number.removesuffix("o") if number.endswith("uno") else number,
)  # fmt: skip

RULES = Rules(
    pronounce=pronounce,
    figures=_FIGURES,
    abbreviations={
        "sig.": "signor", "sig.ra": "signora", "sig.na": "signorina", "dott.": "dottor", "dr.": "dottor",
        "prof.": "professor", "ecc.": "eccetera", "s.": "~san", "p.es.": "per esempio", "n.": "#numero",
    },
    function_words=frozenset(
        """il lo la i gli le un uno una e ed o ma che di del dello della dei degli delle a al allo alla ai agli
        alle da
        dal dalla in nel nella con su sul sulla per tra fra non si mi ti ci vi se è sono""".split()
    ),
    never_after=frozenset(
        """il lo la i gli le un uno una e ed o che di del dello della dei degli delle a al allo alla ai agli
        alle da dal
        dalla in nel nello nella con su sul sulla per tra fra mio mia tuo tua suo sua nostro molto non mi ti ci vi si
        se signor signora""".split()
    ),
    phrase_before=frozenset("e ed o ma che quando perché dove se come di del della a al da in nel con per".split()),
    elided=frozenset("l un d c dell all nell sull dall quest quell bell".split()),
    counted_before=frozenset("parte capitolo atto scena volume episodio libro livello lezione strofa passo".split()),
)  # fmt: skip

# How scripts name songs, waits, sounds and what stands around a script: common practice, from memory.
SCRIPT_WORDS = ScriptWords(
    numbers=("un uno una", "due", "tre", "quattro", "cinque", "sei", "sette", "otto", "nove", "dieci"),
    counts={"bis": 2},
    times="volte volta",
    last="ultimo ultima finale",
    twofold="doppio",
    again="ripetere ripeti ripete ripetono ripetizione ancora nuovo",
    little="il lo la si",
    the="il lo la i gli le",
    everybody="tutti tutte insieme",
    persons="io tu lui lei noi",
    begins_clause="ma però",
    joint="e",
    song="canzone|canzoncina",
    sings="canta|cantano|cantando|cantat[oaie]",
    song_of="del|dello|della|dell['’]|dei|delle|di|sul|sulla",
    lyrics="testo",
    song_ends=r"(?:la\s+)?canzone\s+(?:finisce|termina)|fine\s+(?:della\s+)?canzone",
    parts={
        "chorus": "ritornello coro",
        "verse": "strofa",
        "pre-chorus": "pre-ritornello",
        "bridge": "ponte",
        "intro": "introduzione",
        "outro": "coda",
    },
    again_pairs=("di nuovo", "ancora una volta", "un'altra volta"),
    seconds="second[oi]",
    full="interi|lunghi",
    articles="un|una",
    long="lunga|lungo",
    short="corta|breve|piccola",
    pause="pausa|silenzio",
    waiting="aspettan?o?|aspettare|aspettando|attende|attendono|attendere|attendendo|attesa",
    listening="ascoltan?o?|ascoltando",
    answers=r"rispost[ae]|rispond\w*|bambin[oi]|pubblico",
    room="tempo",
    to_me="me|noi",
    sound="effett[oi] sonor[oi]|suon[oi]|rumor[ei]",
    music="musica",
    told_sound=r"(?:un )?(?:rumore|suono) d\w* .+",
    told_music=r"(?:parte |inizia )(?:la |una )?musica(?: \w+){0,2}",
    scene="scena|atto",
    slide="diapositiva|pagina",
    ordinals="prima|seconda|terza",
    facts={
        "titolo": "title", "lingua": "language", "autore": "author", "autrice": "author", "durata": "duration",
        "personaggi": "characters", "ambientazione": "setting", "luogo": "setting", "pubblico": "audience",
        "età": "audience", "tema": "theme", "genere": "note",
    },
    opening="certo|certamente|volentieri|ecco",
    about="copione|sceneggiatura|episodio|storia|scena|canzone|dialogo|versione",
    closing="(?:vuoi|vorresti|desideri) che|se (?:vuoi|ti va|desideri)|fammi sapere|dimmi se|spero che|posso anche",
    end_mark="fine(?: dell['’]episodio)?|sipario",
    figures="numero di parole|durata",
    notes="(?:note|consigli|suggerimenti|obiettivi)(?: (?:di|per) .+)?",
    cast=r"(?:personaggi|interpreti)(?: principa\w+)?",
)  # fmt: skip

LANGUAGE = Language(
    RULES,
    pace=Figure(1.09, FITTED),
    usual_rate=Figure(6.99, READING_RATES),
    hearing=Hearing(keeps_double=True),
    script_words=SCRIPT_WORDS,
    manners=Manners(  # from memory
        {
            "strong": "grida|gridando|urla|forte|arrabbiat|furios|piange|piangendo|singhiozz|chiama|rugg",
            "slow": "lentamente|lento|lenta|con cautela|assonnat|sbadigli",
            "narration": "narra|voce fuori campo",
            "hushed": "sussurr|mormor|bisbigli",
            "quick": "veloce|rapid|in fretta|affannat|eccitat|emozionat|entusiast",
        },
        acting=frozenset(
            """ride ridendo sorride sospira sbadiglia piange tossisce bisbiglia sorpreso sorpresa spaventato spaventata
            felice sottovoce canta grida""".split()
        ),
        spoken_so=rf"(?:con voce|a (?:bassa|alta) voce|si \w+)\b.*|{ROMANCE_DOING}|{ROMANCE_MANNER}",
        narrators="narrat|voce fuori campo|voce narrante",
    ),
    common_words=frozenset(  # from memory
        """il lo la gli le un uno una e ed di del della dei delle al alla dal in nel nella con per su che non
        ti ci si è sono ma molto più quando dove io tu lui lei noi voi mio mia ciao grazie sì questo questa
        tutto""".split()
    ),
    own_letters="àèéìòù",
    vowel_words={  # everyday words; ours
        "a": "mare",
        "au": "causa",
        "ai": "mai",
        "ɛ": "letto",
        "ei": "sei",
        "i": "riva",
        "o": "sole",
        "oi": "noi",
        "u": "luna",
    },
)
