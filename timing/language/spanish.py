"""Spanish: syllables, stress and sounds by the rules of its spelling (Latin American s for z and soft c).

Source of the rules: the Real Academia's Ortografía as taught in school (from memory).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from timing.language.letter_rules import cuts_between, ignoring_apostrophes, letter_rules, onset_finder, said
from timing.language.manners import ROMANCE_DOING, ROMANCE_MANNER, Manners
from timing.language.number_words import ending_in_a, number_words
from timing.language.pronunciation import Pronunciation
from timing.language.record import FITTED, READING_RATES, Figure, Language
from timing.language.rules import Rules
from timing.language.script_words import ScriptWords
from timing.language.spoken import Currency, SpokenRules

_STRONG, _WEAK, _STRESSED_WEAK = "aeoáéóà", "iuü", "íú"
_VOWELS = _STRONG + _WEAK + _STRESSED_WEAK
# y is a vowel unless one follows; the u of que and gui is silent.
_VOWEL = re.compile(rf"y(?![{_VOWELS}])|(?<![qg])u|u(?![eiéí])|[{_VOWELS.replace('u', '')}]")
_BOTH_CLOSED = frozenset("uí üí iú".split())  # two closed vowels that differ are one syllable: cuí-da-te, viu-da
_ONSETS = frozenset(
    "b c d f g h j k l m n ñ p q r s t v w x y z ch ll rr qu gu br bl cr cl dr fr fl gr gl pr pl tr kr kl".split()
)
_SOUNDS = letter_rules("""
ch > CH
ll > Y
rr > R
qu(?=[eiéí]) > K
gu(?=[eiéí]) > G
gü > G W
gu(?=[aoáó]) > G W
c(?=[eiéí]) > S
g(?=[eiéí]) > HH
ñ > N Y
[cqk] > K
[zsç] > S
j > HH
g > G
h >
x > K S
[vb] > B
w > W
y(?=[aeiouáéíóú]) > Y
[aá][iy](?![aeiouáéíóú]) > AY
[eé][iy](?![aeiouáéíóú]) > EY
[oó][iy](?![aeiouáéíóú]) > OY
[aá]u(?![aeiouáéíóú]) > AW
[eé]u(?![aeiouáéíóú]) > EH W
i(?=[aeouáéóú]) > Y
[uü](?=[aeioáéíó]) > W
[aáà] > AA
[eé] > EH
[iíy] > IY
[oó] > OW
[uúü] > UW
d > D
f > F
l > L
m > M
n > N
p > P
r > R
t > T
""")


def nuclei(word: str) -> list[tuple[int, int]]:
    """Return the vowel groups that make one syllable each, as offsets."""
    found: list[tuple[int, int]] = []
    at = 0
    while at < len(word):
        if not _is_vowel(word, at):
            at += 1
            continue
        end = at + 1
        while end < len(word) and _is_vowel(word, end) and _joins(word, end - 1, end):
            end += 1
        found.append((at, end))
        at = end
    return found


def _is_vowel(word: str, at: int) -> bool:
    return bool(_VOWEL.match(word, at))


def _joins(word: str, left: int, right: int) -> bool:
    a, b = word[left], word[right]
    if a in _STRESSED_WEAK or b in _STRESSED_WEAK:
        return a + b in _BOTH_CLOSED
    return (a in _WEAK or b in _WEAK + "y") and a != b


@cache
def pronounce(word: str, sounds_weak_e: bool) -> tuple[Pronunciation, ...]:
    """Return the pronunciation of a word.

    >>> pronounce("cumpleaños", False)[0].pieces
    ('cum', 'ple', 'a', 'ños')
    """
    return (ignoring_apostrophes(word, _read),)


def _read(word: str) -> Pronunciation:
    found = nuclei(word)
    cuts = cuts_between(word, found, onset_finder(_ONSETS))
    return said(word, cuts, _SOUNDS, _stress(word, found))


def _stress(word: str, found: list[tuple[int, int]]) -> int:
    marked = [i for i, (a, b) in enumerate(found) if re.search("[áéíóú]", word[a:b])]
    if marked:
        return marked[-1]
    return max(0, len(found) - (2 if re.search(f"[{_VOWELS}ns]$", word) else 1))


_CARDINAL, _ORDINAL = number_words("es", ending_in_a)


def _clock(hour: int, minute: int) -> str:
    said_hour = _before_noun(_CARDINAL(hour), True)
    return said_hour if not minute else f"{said_hour} y media" if minute == 30 else f"{said_hour} y {_CARDINAL(minute)}"


def _fraction(top: int, bottom: int) -> str:
    name = {2: "medio", 3: "tercio"}.get(bottom) or _ORDINAL(bottom, False)
    return f"{'un' if top == 1 else _CARDINAL(top)} {name}{'s' if top > 1 else ''}"


def _before_noun(number: str, feminine: bool) -> str:
    """Return a number as it agrees with its noun: veintiún kilómetros, treinta y una horas."""
    if not re.search(r"(?:^|\s|veinti)uno$", number):
        return number
    if feminine:
        return number[:-1] + "a"
    return number.removesuffix("veintiuno") + "veintiún" if number.endswith("veintiuno") else number[:-1]


_FIGURES = SpokenRules(
    cardinal=_CARDINAL,
    ordinal=_ORDINAL,
    ordinal_mark=r"\.?(?:[ºo°]|(?P<f>ª|a)|er|do|ro|to|mo|vo|no)",
    year=_CARDINAL,
    clock=_clock,
    one=("un", "una"),
    decimal=",",
    point="coma",
    money_and="con",
    currencies={
        "€": Currency(("euro", "euros"), ("céntimo", "céntimos")),
        "$": Currency(("dólar", "dólares"), ("centavo", "centavos")),
        "£": Currency(("+libra", "+libras"), ("penique", "peniques")),
        "¥": Currency(("yen", "yenes"), ("sen", "sen")),
    },
    units={
        "km": ("kilómetro", "kilómetros"), "cm": ("centímetro", "centímetros"), "mm": ("milímetro", "milímetros"),
        "m": ("metro", "metros"), "kg": ("kilo", "kilos"), "g": ("gramo", "gramos"), "l": ("litro", "litros"),
        "ml": ("mililitro", "mililitros"), "min": ("minuto", "minutos"), "s": ("segundo", "segundos"),
        "h": ("+hora", "+horas"), "km/h": ("kilómetro por hora", "kilómetros por hora"),
        "°c": ("grado centígrado", "grados centígrados"),
    },
    symbols={"&": "y", "+": "más", "=": "igual a", "@": "arroba", "%": "por ciento", "×": "por", "÷": "entre",
             "°": "grados", "#": "número"},
    fractions={Fraction(1, 2): "medio", Fraction(1, 4): "un cuarto"},
    and_a={Fraction(1, 2): "y medio", Fraction(1, 4): "y cuarto", Fraction(3, 4): "y tres cuartos"},
    fraction=_fraction,
    large=frozenset("mil millón millones".split()),
    percent="por ciento",
    minus="menos",
    degree=("grado", "grados"),
    to="a",
    number="número",
    letters={
        "b": "be", "c": "ce", "d": "de", "f": "efe", "g": "ge", "h": "hache", "j": "jota", "k": "ka", "l": "ele",
        "m": "eme", "n": "ene", "ñ": "eñe", "p": "pe", "q": "cu", "r": "erre", "s": "ese", "t": "te", "v": "uve",
        "w": "uve doble", "x": "equis", "y": "ye", "z": "zeta",
    },
    large_of="de",
    before_noun=_before_noun,
)  # fmt: skip

RULES = Rules(
    pronounce=pronounce,
    figures=_FIGURES,
    abbreviations={
        "sr.": "señor", "sra.": "señora", "srta.": "señorita", "dr.": "doctor", "dra.": "doctora", "d.": "~don",
        "dña.": "doña", "ud.": "usted", "uds.": "ustedes", "etc.": "etcétera",
        "p.ej.": "por ejemplo", "n.º": "número",
        "avda.": "avenida", "prof.": "profesor", "sto.": "~santo", "sta.": "~santa",
    },
    function_words=frozenset(
        """el la los las lo un una unos unas y e o u ni que de del a al en con por para sin me te se nos os le
        les mi tu
        su mis tus sus si es son""".split()
    ),
    never_after=frozenset(
        """el la los las lo un una unos unas de del a al en con por para sin sobre entre mi tu su mis tus sus nuestro
        nuestra muy y e o u ni que me te se nos le les no señor señora doctor don doña""".split()
    ),
    phrase_before=frozenset(
        "y e o u pero ni que porque cuando donde si como de del a al en con por para sin".split()
    ),
    counted_before=frozenset("parte capítulo acto escena tomo episodio libro nivel lección estrofa ronda paso".split()),
)  # fmt: skip

# How scripts name songs, waits, sounds and what stands around a script: common practice, from memory.
SCRIPT_WORDS = ScriptWords(
    numbers=("un uno una", "dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve", "diez"),
    counts={"bis": 2},
    times="vez veces",
    last="último ultimo última ultima final",
    twofold="doble",
    again="repite repetir repiten repetición vuelve nuevo",
    little="el al la le se",
    the="el la los las",
    everybody="todos todas ambos juntos",
    persons="yo tú él ella nosotros",
    begins_clause="pero",
    joint="y",
    song="canci[oó]n",
    sings="canta|cantan|cantando|cantad[oa]s?",
    song_of="del?|de la|sobre",
    lyrics="letra",
    song_ends=r"(?:la\s+)?canción\s+(?:acaba|termina)|fin(?:al)?\s+de\s+la\s+canción",
    parts={
        "chorus": "estribillo coro",
        "verse": "estrofa verso",
        "pre-chorus": "pre-estribillo pre-coro",
        "bridge": "puente",
        "intro": "introducción",
        "outro": "coda final",
    },
    again_pairs=("otra vez", "una vez más", "de nuevo"),
    seconds="segs?|segundos?",
    full="enteros|largos",
    articles="un|una",
    long="larga|largo",
    short="corta|corto|breve|pequeña",
    pause="pausa|silencio",
    waiting="esperan?|esperando",
    listening="escuchan?|escuchando",
    answers=r"respuestas?|respond\w*|niñ[oa]s?|público",
    room="tiempo",
    to_me="mí|conmigo",
    sound="efectos? (?:de sonido|sonoros?)|sonidos?|ruidos?",
    music="música|musica",
    told_sound="(?:un )?(?:sonido|ruido) del? .+",
    told_music=r"(?:suena )(?:la |una )?música(?: \w+){0,2}",
    scene="escena|acto",
    slide="diapositiva|lámina|página",
    ordinals="primera|segunda|tercera",
    facts={
        "título": "title", "titulo": "title", "idioma": "language", "autor": "author", "autora": "author",
        "personajes": "characters", "escenario": "setting", "lugar": "setting", "público": "audience",
        "audiencia": "audience", "edad": "audience", "tema": "theme", "duración": "duration",
        "público objetivo": "note",
    },
    opening="por supuesto|con gusto|claro|aquí (?:tienes|está|va)",
    about="gui[oó]n|episodios?|historias?|escenas?|canci[oó]n|diálogos?|versión",
    closing=(
        r"¿?(?:quieres|te gustaría|quisieras|desea[s]?) que|si (?:quieres|lo deseas|necesitas)|avísame|dime si|"
        r"puedo también|espero que"
    ),
    end_mark="fin(?:al)?(?: del episodio)?|telón",
    figures="(?:número|conteo|recuento) de palabras|tiempo (?:total|estimado)|duración",
    notes=r"notas?(?: (?:de|del|para) .+)?|consejos?(?: .+)?|sugerencias|objetivos?(?: .+)?",
    cast=r"(?:personajes|reparto)(?: principa\w+)?",
)  # fmt: skip

LANGUAGE = Language(
    RULES,
    pace=Figure(0.89, FITTED),
    usual_rate=Figure(7.82, READING_RATES),
    script_words=SCRIPT_WORDS,
    manners=Manners(  # from memory
        {
            "strong": "grita|gritando|gritó|fuerte|enfadad|enojad|furios|llora|llorando|solloza|llama|llamando|ruge",
            "slow": "despacio|lento|lenta|cuidadosa|con cuidado|somnolient|adormilad|bosteza",
            "narration": "narra|voz en off",
            "hushed": "susurr|murmur|cuchiche",
            "quick": "rápid|deprisa|apresurad|corriendo|emocionad|entusiasmad",
        },
        acting=frozenset(
            """ríe riendo sonríe suspira susurra bosteza grita llora tose estornuda salta canta sorprendido sorprendida
            asustado asustada contento contenta triste feliz alegre animado animada""".split()
        ),
        spoken_so=rf"(?:(?:a|en) voz|se \w+)\b.*|{ROMANCE_DOING}|{ROMANCE_MANNER}",
        narrators="narra|voz en off|locutor",
    ),
    common_words=frozenset(  # from memory
        """el la los las un una unos y de del al en con por para que qué se lo mis tu su es está pero muy más
        como cuando donde dónde adónde yo te le nos sí hola gracias soy eres este esta todo todos también
        amigo""".split()
    ),
    own_letters="ñ¿¡áéíóú",
    vowel_words={  # everyday words; ours
        "a": "mar",
        "au": "jaula",
        "ai": "baile",
        "e": "mesa",
        "ei": "reina",
        "i": "isla",
        "o": "sol",
        "oi": "hoy",
        "u": "luna",
    },
)
