"""A line that is not in the episode's language: told by the very common words of a few neighbours.

In: the words of a line read as English, and which of them no dictionary knew. Out: the neighbour's code or None.
The lists are ours, from memory: words so common that most sentences have some, less those that are English words or
sung without a meaning (na, tra, mi).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

# Code: (name, common words, letters that English does not write).
NEIGHBOURS = {
    "es": (
        "Spanish",
        """el la los las un una unos y de del al en con por para que qué se lo mis tu su es está pero muy más como
        cuando donde dónde adónde yo te le nos sí hola gracias soy eres este esta todo todos también amigo""",
        "ñ¿¡áéíóú",
    ),
    "pt": (
        "Portuguese",
        """os uma e ou de do das dos em nos nas ao à com por para que se meu minha seu sua é está são mas muito
        mais não como quando onde aonde eu você ele ela eles te lhe sim olá obrigado obrigada também isso este esta""",
        "ãõçáéíóúâêô",
    ),
    "fr": (
        "French",
        """le la les un une des et ou où de du au aux en dans sur avec pour par que qui ne pas je tu il elle nous vous
        ils elles mon ma mes ta tes sa ses est sont mais très quand comme ce cette ces oui bonjour merci c'est""",
        "çàâèéêëîïôùûœ",
    ),
    "it": (
        "Italian",
        """il lo la gli le un uno una e ed di del della dei delle al alla dal in nel nella con per su che non ti
        ci si è sono ma molto più quando dove io tu lui lei noi voi mio mia ciao grazie sì questo questa tutto""",
        "àèéìòù",
    ),
    "de": (
        "German",
        """der das dem den des ein eine einen einem einer und oder aber nicht ist sind ich du sie es wir ihr mit auf aus
        bei nach von zu zum zur für über unter wo wohin wenn dass wie auch noch nur sehr mein dein kein ja danke""",
        "äöüß",
    ),
}
_FEWEST_WORDS = 3


def neighbour_of(words: Sequence[str], unknown: Collection[str], own: Collection[str]) -> str | None:
    """Return the code of the language that a line looks like, None where it looks like the episode's own.

    ``words`` are the line's, lower case with accents, ``unknown`` those that no dictionary held, ``own`` the common
    words of the episode's language. At least two different common words of the neighbour (or one and a letter
    of its own), and half of the line either such words or unknown (a third where no word is common at home), decide.

    >>> neighbour_of("adónde va el mar cuando la marea".split(), {"adónde", "cuando", "marea"}, {"the"})
    'es'
    """
    if len(words) < _FEWEST_WORDS or not unknown:
        return None
    best: tuple[int, str] | None = None
    for code, (_, listed, letters) in NEIGHBOURS.items():
        common = set(listed.split())
        hits = [w for w in words if w in common and w not in own]
        marks = sum(any(c in letters for c in w) for w in words)
        fitting = sum(w in unknown or w in common for w in words)
        is_enough = len(set(hits)) + bool(marks) >= 2 and bool(hits)
        at_home = sum(w in own and w not in common for w in words)
        score = 2 * len(hits) + marks
        if (
            is_enough
            and (2 if at_home else 3) * fitting >= len(words)
            and at_home < len(hits)
            and (best is None or score > best[0])
        ):
            best = (score, code)
    return best[1] if best else None
