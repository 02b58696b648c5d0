"""Portuguese: syllables, stress and sounds by the rules of its spelling (sounds of Brazil).

Source: the Acordo Ortográfico de 1990, bases VIII to XVI, as taught in school (from memory).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from timing.language.heard_as import ANY, NASAL, WEAK, Hearing
from timing.language.letter_rules import (
    LetterRules,
    cuts_between,
    ignoring_apostrophes,
    letter_rules,
    onset_finder,
    said,
)
from timing.language.manners import ROMANCE_DOING, ROMANCE_MANNER, Manners
from timing.language.number_words import ending_in_a, number_words
from timing.language.pronunciation import Pronunciation
from timing.language.record import Figure, Language
from timing.language.rules import Rules
from timing.language.script_words import ScriptWords
from timing.language.spoken import Currency, SpokenRules

_VOWELS = "aeiouáéíóúâêôãõàü"
# y is a vowel unless one follows; the u of que is silent, that of quatro a glide: no syllable of its own.
_VOWEL = re.compile(
    rf"y(?![{_VOWELS}])|(?<![qg])[uü]|[uü](?![aeioáéíóâêôã])|[{_VOWELS.replace('u', '').replace('ü', '')}]"
)
_ONSETS = frozenset(
    """b c ç d f g h j k l m n p q r s t v w x y z ch lh nh qu gu br bl cr cl dr fr fl gr gl pr pl tr tl vr vl kr
    ps""".split()
)
_FALLING = frozenset(
    """ai ei oi ui au eu iu ou ão ãe õe ái éi ói úi áu éu íu óu âi êi ôi âu êu ôu ãi ay ey oy uy""".split()
)
SOUNDS = r"""
ch > SH
lh > L Y
nh > N Y
rr > HH
ss > S
sc(?=[eií]) > S
qu(?=[eiéíê]) > K
gu(?=[eiéíê]) > G
qu(?=[aoáóâôã]) > K W
gu(?=[aoáóâôã]) > G W
qü > K W
gü > G W
c(?=[eiéíê]) > S
ç > S
g(?=[eiéíê]) > ZH
j > ZH
[cqk] > K
(?<![a-zà-ú])r > HH
r > R
(?<=[aeiouáéíóúâêôãõ])s(?=[aeiouáéíóúâêôãõ]) > Z
s > S
z$ > S
z > Z
(?<=[^a-zà-ú]e)x(?=[aeiouáéíóú]) > Z
x > SH
h >
d(?=i|e$|es$) > JH
t(?=i|e$|es$) > CH
l(?![aeiouáéíóúâêôãõh]) > W
m$ > N
m(?=[^aeiouáéíóúâêôãõpbm]) > N
ão > AW N
ãe > AY N
õe > OY N
[aáâà][iy] > AY
[eéê][iy] > EY
[oóô][iy] > OY
[aáâà]u > AW
[eéê]u > EH W
ou > OW
[uú]i > UW Y
[ií]u > IY W
i(?=[aeo]s?$) > Y
u(?=[aeo]s?$) > W
ã > AH N
õ > OW N
e$ > IY
es$ > IY S
em$ > EY N
o$ > UW
os$ > UW S
[aáâà] > AA
[eéê] > EH
[iíy] > IY
[oóô] > OW
[uúü] > UW
b > B
d > D
f > F
g > G
l > L
m > M
n > N
p > P
t > T
v > V
w > W
"""
_SOUNDS = letter_rules(SOUNDS)


def nuclei(word: str) -> list[tuple[int, int]]:
    """Return the vowel groups that make one syllable each, as offsets."""
    found: list[tuple[int, int]] = []
    at = 0
    while at < len(word):
        if not _is_vowel(word, at):
            at += 1
            continue
        end = at + 1
        while end < len(word) and _is_vowel(word, end) and _joins(word, at, end):
            end += 1
        found.append((at, end))
        at = end
    return found


def _is_vowel(word: str, at: int) -> bool:
    return bool(_VOWEL.match(word, at))


def _joins(word: str, start: int, right: int) -> bool:
    left = right - 1
    pair = word[left : right + 1]
    if right - start > 1:
        return False
    # história, água: written accents say that the last two vowels are one syllable.
    if pair[0] in "iu" and pair[1] in "aeo" and re.fullmatch("s?", word[right + 1 :]):
        return bool(re.search("[áéíóúâêô]", word[:left]))
    if pair not in _FALLING or pair[0] == pair[1]:
        return False
    after = word[right + 1 :]
    # ra-i-nha, a-in-da, sa-ir, ju-iz
    return not (pair[1] in "iu" and re.match(r"nh|[mnlrz](?![aeiouáéíóúâêôãõ])", after))


@cache
def pronounce(word: str, sounds_weak_e: bool) -> tuple[Pronunciation, ...]:
    """Return the pronunciation of a word.

    >>> pronounce("história", False)[0].pieces, pronounce("padaria", False)[0].pieces
    (('his', 'tó', 'ria'), ('pa', 'da', 'ri', 'a'))
    """
    return (ignoring_apostrophes(word, _read),)


def _read(word: str) -> Pronunciation:
    return read_with(word, _SOUNDS)


def read_with(word: str, sounds: LetterRules) -> Pronunciation:
    """Return a word in its syllables, with stress, and with the sounds that ``sounds`` give its letters."""
    found = nuclei(word)
    cuts = cuts_between(word, found, onset_finder(_ONSETS))
    return said(word, cuts, sounds, _stress(word, found))


def _stress(word: str, found: list[tuple[int, int]]) -> int:
    for marks in ("áéíóúâêô", "ãõ"):
        marked = [i for i, (a, b) in enumerate(found) if any(c in marks for c in word[a:b])]
        if marked:
            return marked[-1]
    is_open = re.search(r"(?:[aeo]s?|[ae]m|ens)$", word) and not (found and re.search("[aeo][iu]s?$", word))
    return max(0, len(found) - (2 if is_open else 1))


_CARDINAL, _ORDINAL = number_words("pt_BR", ending_in_a)


def _feminine(number: str) -> str:
    """Return a number as it agrees with a feminine noun: vinte e uma horas, duas horas."""
    return re.sub(r"\bum$", "uma", re.sub(r"\bdois$", "duas", number))


def _clock(hour: int, minute: int) -> str:
    hours = _feminine(_CARDINAL(hour))
    if not minute:
        return f"{hours} hora{'s' if hour > 1 else ''}"
    return f"{hours} e meia" if minute == 30 else f"{hours} e {_CARDINAL(minute)}"


def _fraction(top: int, bottom: int) -> str:
    name = {2: "meio", 3: "terço"}.get(bottom) or _ORDINAL(bottom, False)
    return f"{_CARDINAL(top)} {name}{'s' if top > 1 else ''}"


_FIGURES = SpokenRules(
    cardinal=_CARDINAL,
    ordinal=_ORDINAL,
    ordinal_mark=r"\.?(?:[ºo°]|(?P<f>ª|a))",
    year=_CARDINAL,
    clock=_clock,
    one=("um", "uma"),
    before_noun=lambda number, feminine: _feminine(number) if feminine else number,
    decimal=",",
    point="vírgula",
    money_and="e",
    currencies={
        "€": Currency(("euro", "euros"), ("cêntimo", "cêntimos")),
        "R$": Currency(("real", "reais"), ("centavo", "centavos")),
        "$": Currency(("dólar", "dólares"), ("centavo", "centavos")),
        "£": Currency(("+libra", "+libras"), ("péni", "pence")),
    },
    units={
        "km": ("quilômetro", "quilômetros"), "cm": ("centímetro", "centímetros"), "mm": ("milímetro", "milímetros"),
        "m": ("metro", "metros"), "kg": ("quilo", "quilos"), "g": ("grama", "gramas"), "l": ("litro", "litros"),
        "ml": ("mililitro", "mililitros"), "min": ("minuto", "minutos"), "s": ("segundo", "segundos"),
        "h": ("+hora", "+horas"), "km/h": ("quilômetro por hora", "quilômetros por hora"),
        "°c": ("grau celsius", "graus celsius"),
    },
    symbols={"&": "e", "+": "mais", "=": "igual a", "@": "arroba", "%": "por cento", "×": "vezes",
             "÷": "dividido por", "°": "graus", "#": "número"},
    fractions={Fraction(1, 2): "meio", Fraction(1, 4): "um quarto"},
    and_a={Fraction(1, 2): "e meio", Fraction(1, 4): "e um quarto", Fraction(3, 4): "e três quartos"},
    fraction=_fraction,
    large=frozenset("mil milhão milhões bilhão bilhões".split()),
    percent="por cento",
    minus="menos",
    degree=("grau", "graus"),
    to="a",
    number="número",
    letters={
        "b": "bê", "c": "cê", "d": "dê", "f": "efe", "g": "gê", "h": "agá", "j": "jota", "k": "cá", "l": "ele",
        "m": "eme", "n": "ene", "p": "pê", "q": "quê", "r": "erre", "s": "esse", "t": "tê", "v": "vê", "w": "dáblio",
        "x": "xis", "y": "ípsilon", "z": "zê",
    },
    large_of="de",
)  # fmt: skip

RULES = Rules(
    pronounce=pronounce,
    figures=_FIGURES,
    abbreviations={
        "sr.": "senhor", "sra.": "senhora", "srta.": "senhorita", "dr.": "doutor", "dra.": "doutora", "d.": "~dona",
        "prof.": "professor", "profa.": "professora", "etc.": "etcétera", "av.": "avenida", "r.": "~rua",
        "p.ex.": "por exemplo", "sto.": "~santo", "sta.": "~santa", "n.º": "número",
    },
    function_words=frozenset(
        """o a os as um uma uns umas e ou mas que se de do da dos das em no na nos nas a ao à aos às por pelo pela com
        sem para pra me te lhe nos vos lhes meu minha teu tua seu sua é são""".split()
    ),
    never_after=frozenset(
        """o a os as um uma uns umas e ou que se de do da dos das em no na nos nas ao à aos às por pelo pela com sem
        para pra sobre entre meu minha teu tua seu sua nosso nossa muito não me te lhe senhor senhora doutor
        dona""".split()
    ),
    phrase_before=frozenset("e ou mas que quando porque onde se como de do da em no na com sem para por".split()),
    before_hyphen=frozenset(
        "guarda arco bem mal segunda terça quarta quinta sexta beija couve para porta quebra meio vice ex pré".split()
    ),
    behind_hyphen=frozenset("me te se lhe nos vos lhes o a os as lo la los las no na nas mos ma to ta".split()),
    counted_before=frozenset("parte capítulo ato cena volume episódio livro nível lição estrofe passo".split()),
)  # fmt: skip

# Not in the study of reading rates that the other languages come from.
BRAZIL_RATES = (
    "the middle of Brazilian dialects, 4.8 to 6.6 of their unit a second: "
    "A. R. Meireles and V. Gambarini (2012), abstract"
)

# How scripts name songs, waits, sounds and what stands around a script: common practice, from memory.
SCRIPT_WORDS = ScriptWords(
    numbers=("um uma", "dois duas", "três tres", "quatro", "cinco", "seis", "sete", "oito", "nove", "dez"),
    counts={"bis": 2},
    times="vezes vez",
    last="último ultimo última ultima",
    twofold="duplo dobro",
    again="repete repetir repita repetem repete-se volta voltar novamente repetição",
    little="o ao a",
    the="o a os as",
    everybody="todos todas ambos juntos",
    persons="eu você ele ela nós",
    begins_clause="mas",
    joint="e",
    song=r"can[cç][aã]o|cantiga",
    sings="canta|cantam|cantando|cantad[oa]s?",
    song_of="d[aeo]s?|sobre",
    lyrics="letra",
    song_ends=r"(?:a\s+)?(?:música|canção)\s+(?:acaba|termina|para)|fim\s+da\s+(?:música|canção|cantiga)",
    parts={
        "chorus": "refrão refrao coro estribilho",
        "verse": "verso estrofe",
        "pre-chorus": "pré-refrão pre-refrão",
        "bridge": "ponte",
        "intro": "introdução",
        "outro": "coda final",
    },
    again_pairs=("de novo", "mais uma vez", "outra vez"),
    seconds="segs?|segundos?",
    full="inteiros|longos",
    articles="um|uma",
    long="longa|longo",
    short="curta|curto|breve|pequena",
    pause="pausa|silêncio",
    waiting="esperam?|esperando|aguardam?|aguardando",
    listening="escutam?|escutando|ouvindo",
    answers=r"respostas?|respond\w*|crianças?|público",
    room="tempo",
    to_me="mim|por nós",
    sound="efeitos? sonoros?|som|ruídos?",
    music="música|musica",
    told_sound="(?:o )?som d[eao]s? .+",
    told_music=r"(?:começa |toca )?(?:uma )?(?:música|musica)(?: de fundo)?(?: [\w'’-]+){0,2}",
    scene="cena|ato",
    slide="diapositivo|página",
    ordinals="primeira|segunda|terceira",
    facts={
        "título": "title", "titulo": "title", "idioma": "language", "língua": "language", "autor": "author",
        "autora": "author", "duração": "duration", "personagens": "characters", "elenco": "characters",
        "cenário": "setting", "local": "setting", "lugar": "setting", "público": "audience", "idade": "audience",
        "tema": "theme", "público-alvo": "note", "faixa etária": "note",
    },
    opening="claro|com certeza|com prazer|aqui (?:está|vai|estão)|segue",
    about="roteiros?|guião|episódios?|histórias?|cenas?|músicas?|canção|diálogos?|versão",
    closing=(
        r"(?:você )?(?:quer|gostaria|deseja) que eu|se (?:quiser|precisar|desejar)|me (?:diga|avise)|"
        r"posso (?:também|ajustar)|espero que|fique à vontade|queres que"
    ),
    end_mark="fim(?: do episódio)?|cai o pano|pano",
    figures="(?:contagem|número) de palavras|tempo (?:total|estimado)|duração",
    notes=(
        r"notas?(?: (?:de|da|do|para) .+)?|dicas?(?: .+)?|observações|sugestões|objetivos?(?: .+)?"
    ),
    cast=r"(?:personagens|elenco)(?: principa\w+)?",
)  # fmt: skip

LANGUAGE = Language(
    RULES,
    pace=Figure(1.18, BRAZIL_RATES),
    usual_rate=Figure(5.7, BRAZIL_RATES),
    hearing=Hearing((*ANY, (NASAL,), (NASAL, *WEAK))),
    script_words=SCRIPT_WORDS,
    manners=Manners(  # from memory
        {
            "strong": "grita|gritando|gritou|forte|zangad|furios|chora|chorando|soluça|chama|chamando|ruge",
            "slow": "devagar|lento|lenta|cuidadosa|com cuidado|sonolent|boceja|bocejando",
            "narration": "narra|voz em off",
            "hushed": "sussurr|murmur|cochich",
            "quick": "rápid|rapida|depressa|apressad|ofegante|animad|empolgad|entusiasmad",
        },
        acting=frozenset(
            """rindo ri sorri suspira sussurra boceja grita chora tosse espirra acena pula canta assustado assustada
            animado animada surpreso surpresa triste feliz contente alegre baixinho gargalha ridendo""".split()
        ),
        spoken_so=rf"(?:em voz|se \w+)\b.*|{ROMANCE_DOING}|{ROMANCE_MANNER}",
        narrators="narra|voz em off|locutor",
    ),
    common_words=frozenset(  # from memory
        """os uma e ou de do das dos em nos nas ao à com por para que se meu minha seu sua é está são mas muito
        mais não como quando onde aonde eu você ele ela eles te lhe sim olá obrigado obrigada também isso
        este esta""".split()
    ),
    own_letters="ãõçáéíóúâêô",
    vowel_words={  # everyday words; ours
        "a": "mar",
        "ɐ": "lã",
        "au": "mau",
        "ai": "pai",
        "ɛ": "pé",
        "e": "rei",
        "i": "ilha",
        "o": "ovo",
        "oi": "boi",
        "u": "lua",
    },
)
