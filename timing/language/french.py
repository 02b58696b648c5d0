"""French: syllables, the mute e, and sounds by the rules of its spelling.

A final e (es, ent of verbs in -aient, -èrent) is silent in speech; where it is sounded, in song before a
consonant, it
is a syllable of its own. Source: school grammar and the usual rules of setting verse to music (from memory).
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from timing.language.heard_as import ANY, CLOSE, END, NASAL, Hearing, Phones
from timing.language.letter_rules import ignoring_apostrophes, letter_rules, onset_finder, said
from timing.language.manners import Manners
from timing.language.number_words import number_words
from timing.language.pronunciation import Pronunciation
from timing.language.record import FITTED, READING_RATES, Figure, Language
from timing.language.rules import Rules
from timing.language.script_words import ScriptWords
from timing.language.spoken import Currency, SpokenRules

_V = "aeiouyàâäéèêëîïôöùûüœæ"
_C = "bcçdfghjklmnpqrstvwxz"
_ONSETS = frozenset(
    """b c ç d f g h j k l m n p q r s t v w x z ch ph th gn qu gu rh bl br cl cr dr fl fr gl gr pl pr tr vr
    chr chl phr
    phl thr""".split()
)
_MUTE = re.compile(rf"(?<=[{_C}'])(?<![qg]u)e(?:s|nt)?$|(?<=[qg]u)e(?:s|nt)?$|(?<=[éiuùôœaoy])e(?:s)?$")
_MUTE_VERB = re.compile(r"(?:aient|èrent|issent|assent|oient)$")
# Vowel letters that are one sound, the longest first; "ien" and the like keep their glide.
_GROUPS = re.compile(
    rf"""eaux?|œu|oeu|eau|a[iî]n(?![{_V}])|ein(?![{_V}])|oin(?![{_V}])|ou[iï](?=l?l?e?s?$)|(?<=c)uei(?=l)|ou(?=[aeiéè])|o[uùû]|a[iîy](?![{_V}])|ai
    |e[iî]|eu[ilx]?(?=[^a-z]|$)|eû|eu|o[iîy](?![{_V}])|oi|au|[aeiou][mn](?=[{_C}]|$)|u[iî]|oo|œ|æ|[aeiouyàâäéèêëîïôöùûü]""",
    re.VERBOSE,
)
_SOUNDS = letter_rules(rf"""
eaux$ > OW
eaux > OW
eau > OW
œu > ER
oeu > ER
œ > ER
tion > S Y OW N
ien(?![{_V}n]) > Y EH N
ienne > Y EH N
oin(?![{_V}n]) > W EH N
ain(?![{_V}n]) > EH N
aim(?![{_V}m]) > EH N
ein(?![{_V}n]) > EH N
ouill? > UW Y
euill? > ER Y
ueill? > ER Y
(?<=^t)- >
aill > AA Y
eill > EH Y
ail$ > AA Y
eil$ > EH Y
ill(?=es?$) > IY Y
(?<=[{_C}])ill > IY Y
ill > IY Y
oi > W AA
oî > W AA
oy(?=[{_V}]) > W AA Y
ay(?=[{_V}]) > EH Y
ou(?=[aeiéè]) > W
o[uùû] > UW
a[iî] > EH
e[iî] > EH
ez$ > EY
(?<=^m)er$ > EH R
(?<=^f)er$ > EH R
(?<=^v)er$ > EH R
(?<=^ch)er$ > EH R
(?<=^hiv)er$ > EH R
(?<=^am)er$ > EH R
ier(?<=^hier)$ > Y EH R
er$ > EY
et$ > EH
(?<=^[cdlmst])es$ > EY
^est$ > EH
sept$ > S EH T
e[uû] > ER
au > OW
un(?![{_V}n]) > AH N
um(?=[bp]) > AH N
in(?![{_V}n]) > EH N
im(?=[bp]) > EH N
yn(?![{_V}n]) > EH N
an(?![{_V}n]) > AA N
am(?=[bp]) > AA N
en(?![{_V}n]) > AA N
em(?=[bp]) > AA N
on(?![{_V}n]) > OW N
om(?=[bp]) > OW N
u[iî] > W IY
oo > UW
ch > SH
ph > F
th > T
gn > N Y
qu > K
gu(?=[eéèêiy]) > G
ge(?=[aoâô]) > ZH
g(?=[eéèêiy]) > ZH
cc(?=[eéèi]) > K S
c(?=[eéèêiîy]) > S
ç > S
sc(?=[eéiy]) > S
ss > S
(?<=[{_V}])s(?=[{_V}]) > Z
ieds?$ > Y EY
(?<=n)gt?s?$ >
(?<=oi)gts?$ >
[dtpxsz]+$ >
[dtpxsz]+(?='$) >
c > K
j > ZH
h >
il(?<=[aeu]il)(?<!quil)$ > Y
x > K S
y(?=[{_V}]) > Y
i(?=[aeoéèêuâô]) > Y
a > AA
[àâ] > AA
[éëê]e? > EY
è > EH
e(?=([bcdfglmnprt])\1) > EH
e(?=[lrs][bcdfgjkmnpqtvxz]|[lr]s) > EH
e(?=x|[clfr]$) > EH
e > AH
[iîïy] > IY
[oô] > OW
[uùûü] > UW
([bdfglmnprt])\1 > *
b > B
d > D
f > F
g > G
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
w > W
z > Z
""".replace("([bdfglmnprt])\\1 > *", "\n".join(f"{c * 2} > {c.upper()}" for c in "bdfglmnprt")))  # fmt: skip


def nuclei(word: str, sounds_weak_e: bool) -> list[tuple[int, int]]:
    """Return the vowel groups that make one syllable each, as offsets; a mute e only where it is sounded."""
    found: list[tuple[int, int]] = []
    at = 0
    while at < len(word):
        match = _GROUPS.match(word, at)
        if not match or (word[at] == "u" and word[at - 1 : at] in ("q", "g") and word[at + 1 : at + 2] in tuple(_V)):
            at += 1
            continue
        start, end = match.span()
        if word.startswith("pays") and start == 1:
            end = 2  # pa-ys, pa-ysage
        at = end
        if _is_silent(word, start, sounds_weak_e, bool(found)):
            continue
        if _is_glide(word, start, end):
            continue
        found.append((start, end))
    return found or [(0, len(word))]


def _is_silent(word: str, start: int, sounds_weak_e: bool, has_others: bool) -> bool:
    """True for a mute e that is not sounded."""
    if word[start] == "e" and word[start - 1 : start] == "g" and word[start + 1 : start + 2] in tuple("aoâô"):
        return True  # pigeon, mangeait
    if not has_others:
        return False
    mute = _MUTE.search(word)
    if mute and mute.start() == start and not (mute[0] == "ent" and not _is_verb_ending(word)):
        return not sounds_weak_e or bool(re.search(rf"[{_V}]$(?<![qg]u)", word[:start]))
    verb = _MUTE_VERB.search(word)
    return bool(verb and start == len(word) - 3 and (not sounds_weak_e or word.endswith("aient")))


def _is_verb_ending(word: str) -> bool:
    """Guess whether -ent is a plural verb's silent ending: never after m, and not in short adjectives and nouns."""
    if word in (
        "souvent",
        "couvent",
        "paravent",
        "auvent",
        "fervent",
        "content",
        "contingent",
        "astringent",
        "tangent",
        "mécontent",
        "excellent",
        "violent",
    ):
        return False
    return (
        bool(re.search(r"(?:ss|rr|ll|tt|nn|ch|v|[aeiou][gt]|pl|br|fl|èr|gu|ns|rl|mb|rd|nd|ng|gn|ou)ent$", word))
        and len(word) > 5
    )


def _is_glide(word: str, start: int, end: int) -> bool:
    """True for i, y or ou that lean on the next vowel: a-vion, but cri-er after two consonants."""
    following = word[end : end + 1]
    group = word[start:end]
    if following not in tuple(_V):
        return bool(re.match(r"ill?$", group)) or _is_final_il(word, start, end)
    if group == "ou":
        return not re.search(rf"[{_V}]$|[bcdfgptv][lr]$|^[a-z]$", word[:start])
    if group == "i":
        return word[end:] not in ("e", "es") and not re.search(r"[bcdfgptv][lr]$", word[:start])  # vie, amies
    if group == "y":
        return start == 0 or word[start - 1] in _V
    return False


def _is_final_il(word: str, start: int, end: int) -> bool:
    """True for the il of ail, soleil, œil."""
    before = word[start - 1 : start]
    is_hard = word[:start].endswith(("qu", "gu"))  # ai-guille
    return (
        word[start:end] == "i" and before != "" and before in _V and not is_hard and bool(re.match(r"ll?", word[end:]))
    )


@cache
def pronounce(word: str, sounds_weak_e: bool) -> tuple[Pronunciation, ...]:
    """Return the pronunciation of a word; ``sounds_weak_e`` gives a final mute e its syllable.

    >>> [pronounce("princesse", e)[0].pieces for e in (False, True)]
    [('prin', 'cesse'), ('prin', 'ces', 'se')]
    """
    return (ignoring_apostrophes(word, lambda plain: _read(plain, sounds_weak_e)),)


def _read(word: str, sounds_weak_e: bool) -> Pronunciation:
    plain = word.replace("aoû", "hoû")
    found = nuclei(plain, sounds_weak_e)
    cuts = [_onset(plain, left[1], right[0]) for left, right in itertools.pairwise(found)]
    last_full = len(found) - 1
    if sounds_weak_e and _MUTE.search(plain) and len(found) > 1:
        last_full -= 1
    one = said(plain, cuts, _SOUNDS, last_full)
    if not sounds_weak_e:
        one = Pronunciation(one.pieces, (*one.sounds[:-1], _without_mute(plain, one.sounds[-1])))
    edges = [0, *cuts, len(word)]
    return Pronunciation(tuple(word[a:b] for a, b in itertools.pairwise(edges)), one.sounds)


_ONSET = onset_finder(_ONSETS)


def _onset(word: str, low: int, high: int) -> int:
    """Return where the right syllable begins: glides and the u of qu go with it, n and m of a nasal stay left."""
    between = word[low:high]
    glide = re.search(r"(?:ou|[iyu])$", between)
    edge = high - len(glide[0]) if glide else high
    if word[low:edge].endswith("ge") and word[edge : edge + 1] in tuple("aoâô"):
        edge -= 1  # pi-geon
    if word[edge - 2 : edge] == "ll":
        return edge - 1  # pa-pil-lon
    return _ONSET(word, low, edge)


def _without_mute(word: str, phones: tuple[str, ...]) -> tuple[str, ...]:
    """Drop the vowel of a silent ending: lune is L UW N, nagent N AA ZH."""
    vowels = [i for i, p in enumerate(phones) if p[-1].isdecimal()]
    mute = _MUTE.search(word)
    is_verb = mute is not None and mute[0] == "ent" and _is_verb_ending(word)
    if len(vowels) > 1 and (_MUTE_VERB.search(word) or (mute and (is_verb or phones[vowels[-1]].startswith("AH")))):
        return phones[: vowels[-1]]
    return phones


_CARDINAL, _ORDINAL = number_words("fr", lambda said: "première" if said == "premier" else said)


def _clock(hour: int, minute: int) -> str:
    hours = "une heure" if hour == 1 else f"{_CARDINAL(hour)} heures"
    return hours if not minute else f"{hours} et demie" if minute == 30 else f"{hours} {_CARDINAL(minute)}"


def _fraction(top: int, bottom: int) -> str:
    name = {2: "demi", 3: "tiers", 4: "quart"}.get(bottom) or _ORDINAL(bottom, False)
    return f"{_CARDINAL(top)} {name}{'s' if top > 1 and not name.endswith('s') else ''}"


_FIGURES = SpokenRules(
    cardinal=_CARDINAL,
    ordinal=_ORDINAL,
    ordinal_mark=r"er|(?P<f>re|ère)|e|ème|nd|nde",
    year=_CARDINAL,
    clock=_clock,
    one=("un", "une"),
    decimal=",",
    point="virgule",
    money_and="",
    currencies={
        "€": Currency(("euro", "euros"), ("centime", "centimes")),
        "$": Currency(("dollar", "dollars"), ("cent", "cents")),
        "£": Currency(("+livre", "+livres"), ("penny", "pence")),
    },
    units={
        "km": ("kilomètre", "kilomètres"), "cm": ("centimètre", "centimètres"), "mm": ("millimètre", "millimètres"),
        "m": ("mètre", "mètres"), "kg": ("kilo", "kilos"), "g": ("gramme", "grammes"), "l": ("litre", "litres"),
        "ml": ("millilitre", "millilitres"), "min": ("+minute", "+minutes"), "s": ("+seconde", "+secondes"),
        "h": ("+heure", "+heures"), "km/h": ("kilomètre à l'heure", "kilomètres à l'heure"),
        "°c": ("degré celsius", "degrés celsius"),
    },
    symbols={"&": "et", "+": "plus", "=": "égale", "@": "arobase", "%": "pour cent", "×": "fois", "÷": "divisé par",
             "°": "degrés", "#": "numéro"},
    fractions={Fraction(1, 2): "un demi", Fraction(1, 4): "un quart"},
    and_a={Fraction(1, 2): "et demi", Fraction(1, 4): "un quart", Fraction(3, 4): "trois quarts"},
    fraction=_fraction,
    before_noun=lambda number, feminine: re.sub(r"\bun$", "une", number) if feminine else number,
    large=frozenset("mille million millions milliard milliards".split()),
    percent="pour cent",
    minus="moins",
    degree=("degré", "degrés"),
    to="à",
    number="numéro",
    letters={
        "b": "bé", "c": "cé", "d": "dé", "f": "effe", "g": "gé", "h": "hache", "j": "ji", "k": "ka", "l": "elle",
        "m": "emme", "n": "enne", "p": "pé", "q": "ku", "r": "erre", "s": "esse", "t": "té", "v": "vé",
        "w": "double vé", "x": "ixe", "y": "i grec", "z": "zède",
    },
    large_of="de",
)  # fmt: skip

# French nasal vowels are open and far back: without a consonant, or with a tail like a dark l, as low as theirs.
_BACK = ((rf"\b(?:AA|OW) N{END}", "AO"), (rf"\bEH N{END}", "AH"))
_BACK_TAIL = ((rf"\b(?:AA|OW) N{END}", "AO L"), (rf"\bEH N{END}", "UH L"))
# Endings that are silent or not by what follows or what is meant (handbooks of pronunciation, from memory).
_LIAISON = {"s": "Z", "x": "Z", "z": "Z", "d": "T", "t": "T", "p": "P", "r": "R"}
_BEGINS_WITH_VOWEL = re.compile("[aeiouyhàâæéèêëîïôœùû]")
_SOMETIMES_S = frozenset("tous plus six dix os fils hélas".split())


def endings(phones: Phones, word: str, following: str) -> Iterator[Phones]:
    """Return the other endings that a word may have before the word ``following`` ("" at the end).

    >>> list(endings(("L", "EY"), "les", "algues")), list(endings(("L", "EY"), "les", "vagues"))
    ([('L', 'EY', 'Z')], [])
    """
    sound = _LIAISON.get(word[-1:])
    if sound and phones[-1:] != (sound,) and _BEGINS_WITH_VOWEL.match(following):
        yield (*phones, sound)
    if word in _SOMETIMES_S:
        yield (*phones, "S")
    if word.endswith("ent") and phones[-2:] == ("AA", "N") and len(phones) > 3:
        yield phones[:-2]  # a verb's plural, or else a noun or an adverb


RULES = Rules(
    pronounce=pronounce,
    figures=_FIGURES,
    abbreviations={
        "m.": "~monsieur", "mme": "madame", "mme.": "madame", "mlle": "mademoiselle", "mlle.": "mademoiselle",
        "dr": "docteur", "dr.": "docteur", "etc.": "et cetera", "st": "~saint", "ste": "~sainte", "av.": "avenue",
        "p.ex.": "par exemple", "n°": "numéro",
    },
    function_words=frozenset(
        """le la les l un une des de du d au aux à en dans sur sous par pour avec sans et ou mais que qui ne
        pas je tu il
        elle on nous vous ils elles me te se lui leur mon ma mes ton ta tes son sa ses ce cette ces est
        sont""".split()
    ),
    never_after=frozenset(
        """le la les l un une des de du d au aux à en dans sur sous par pour avec sans et ou que qui ne je tu
        il elle on
        nous vous ils elles me te se mon ma mes ton ta tes son sa ses notre votre leur leurs ce cette ces très si
        monsieur madame docteur""".split()
    ),
    phrase_before=frozenset(
        "et ou mais que qui quand parce comme où si de du à au en dans sur avec pour par".split()
    ),
    elided=frozenset("l d c j m t s n qu".split()),
    counted_before=frozenset("partie chapitre acte scène tome volume épisode livre niveau leçon strophe étape".split()),
    behind_hyphen=frozenset("je tu il elle on nous vous ils elles le la les moi toi lui leur ce ci là y en".split()),
    before_hyphen=frozenset(
        "grand grande petit petite arc peut après avant demi quatre vingt dix trente quarante cinquante soixante "
        "cent là au ci moi toi lui eux elle nous vous belle beau arrière sous sur non tout porte".split()
    ),
    kept_hyphen="(?<=-t)-(?=(?:ils?|elles?|on)$)",
    silent_before="aeiouyhàâéèêëîïôùûœ",
)  # fmt: skip

# How scripts name songs, waits, sounds and what stands around a script: common practice, from memory.
SCRIPT_WORDS = ScriptWords(
    numbers=("un une", "deux", "trois", "quatre", "cinq", "six", "sept", "huit", "neuf", "dix"),
    counts={"bis": 2},
    times="fois",
    last="dernier dernière final",
    twofold="double",
    again="répéter répète répétez répétition reprendre reprend reprenez reprise encore",
    little="le la les du au on",
    the="le la les",
    everybody="tous toutes ensemble",
    persons="je tu elle il nous vous",
    begins_clause="mais",
    joint="et",
    song="chanson|comptine",
    sings="chante|chantent|chantant|chantée?s?",
    song_of="de|du|des|de la|de l['’]|d['’]|sur",
    lyrics="paroles",
    song_ends=r"(?:la\s+)?(?:chanson|musique)\s+(?:s['’]arrête|se termine)|fin\s+de\s+la\s+(?:chanson|comptine)",
    parts={
        "chorus": "refrain",
        "verse": "couplet strophe",
        "pre-chorus": "pré-refrain pre-refrain",
        "bridge": "pont",
        "intro": "introduction",
        "outro": "coda",
    },
    again_pairs=("encore une fois", "une fois de plus"),
    seconds="secondes?",
    full="entières|longues|bonnes",
    articles="un|une",
    long="longue|long",
    short="courte|brève|petite",
    pause="pause|silence",
    waiting="attend|attendent|attendre|attente|attendez|attendant",
    listening="écoutent?|écoutant",
    answers=r"réponses?|répond\w*|enfants?|spectateurs?|public",
    room="temps",
    to_me="moi|nous",
    sound="effets? sonores?|bruitages?|bruits?",
    music="musique",
    told_sound="(?:un )?bruits? d[eu]s? .+",
    told_music=r"musique(?: [\w'’-]+){1,3}",
    scene="scène|acte",
    slide="diapositive|page",
    ordinals="première|deuxième|troisième",
    facts={
        "titre": "title", "langue": "language", "auteur": "author", "autrice": "author", "durée": "duration",
        "personnages": "characters", "décor": "setting", "lieu": "setting", "âge": "audience", "thème": "theme",
        "public": "audience", "public cible": "note", "genre": "note",
    },
    opening="bien sûr|avec plaisir|voici|voilà",
    about="scénarios?|scripts?|épisodes?|histoires?|scènes?|chansons?|dialogues?|version",
    closing=(
        r"(?:veux-tu|voulez-vous|souhaites-tu|souhaitez-vous|aimerais-tu|aimeriez-vous) que|"
        r"si (?:tu veux|vous voulez|vous le souhaitez|tu le souhaites)|dis-moi|dites-moi|n['’]hésite|j['’]espère|"
        r"je peux aussi"
    ),
    end_mark="fin(?: de l['’]épisode)?|rideau",
    figures="nombre de mots|durée",
    notes=r"(?:notes?|conseils?|remarques?|objectifs?)(?: (?:de|pour|du) .+)?",
    cast=r"(?:personnages|distribution)(?: principa\w+)?",
)  # fmt: skip

LANGUAGE = Language(
    RULES,
    pace=Figure(0.91, FITTED),
    usual_rate=Figure(7.18, READING_RATES),
    hearing=Hearing(
        (_BACK, _BACK_TAIL, *ANY, (NASAL,), (NASAL, *CLOSE), ((r"\bUW\b", "IY"), (r"\bR\b", "HH"))), endings=endings
    ),
    script_words=SCRIPT_WORDS,
    manners=Manners(  # from memory
        {
            "strong": "crie|criant|hurle|hurlant|fort|fâché|furieu|pleure|pleurant|sanglot|appelle|appelant|rugi",
            "slow": "lentement|lent|prudemment|soigneusement|somnolent|bâille|bâillant|endormi",
            "narration": "narr|voix off|voix hors champ",
            "hushed": "chuchot|murmur",
            "quick": "vite|rapide|essoufflé|pressé|précipit|excité",
        },
        acting=frozenset(
            """rit sourit soupire chuchote murmure bâille crie pleure tousse chante surpris surprise effrayé effrayée
            content triste""".split()
        ),
        spoken_so=r"(?:à voix|en \w+ant|se \w+)\b.*|(?!comment|moment)\w{4,}ement",
        narrators="narrat|voix off|conteu",
    ),
    common_words=frozenset(  # from memory
        """le la les un une des et ou où de du au aux en dans sur avec pour par que qui ne pas je tu il elle
        nous vous ils elles mon ma mes ta tes sa ses est sont mais très quand comme ce cette ces oui bonjour
        merci c'est""".split()
    ),
    own_letters="çàâèéêëîïôùûœ",
    vowel_words={  # everyday words; ours
        "a": "chat",
        "ə": "le",
        "ɛ": "mer",
        "œ": "fleur",
        "e": "été",
        "i": "lit",
        "o": "eau",
        "u": "loup",
    },
)
