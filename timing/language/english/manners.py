"""The words of English directions."""

from __future__ import annotations

from timing.language.manners import Manners

# What changes how long a line takes, in full: a mistyped one is told by the nearest.
CHANGE_WORDS = {
    "strong": tuple(
        "shout shouted shouting yell yelled yelling scream screamed screaming strong strongly loud loudly angry "
        "angrily cry cries cried crying sob sobbed sobbing call called calling bellow bellowed bellowing roar "
        "roared roaring furious furiously panicked panicking".split()
    ),
    "slow": tuple("slow slowly careful carefully sleepy sleepily drowsy drowsily yawn yawned yawning".split()),
    "narration": tuple("voice-over voiceover narrates narrating narrated narration narrator reading".split()),
    "hushed": tuple("whisper whispered whispering hush hushed murmur murmured murmuring".split()),
    "quick": tuple(
        "quick quickly fast hurry hurries hurried hurriedly hurrying rapid rapidly breathless breathlessly excited "
        "excitedly rush rushed rushing briskly".split()
    ),
}
_PHRASES = {
    "strong": r"anger|panick",
    "slow": r"sing(?:ing)?-?song",
    "narration": r"v\.?\s?o\b",
    "hushed": r"under (?:his|her|their) breath",
    "quick": r"in one breath",
}
_ACTING = (
    "laughs laugh laughed giggles giggle giggled sighs sigh sighed whispers whisper gasps gasp sniffs sniff "
    "sobs cries "
    "yawns shrugs nods waves smiles grins winks points shouts yells coughs sneezes hiccups gulps burps hums sings "
    "claps groans moans snorts chuckles pauses turns looks jumps runs leans bows aside excited sad happy surprised "
    "scared worried proud tired quiet soft bored confused offscreen off-screen o.s. v.o. beat pause "
    "yawn shrug nod wave smile grin wink point shout yell cough sneeze hiccup gulp burp hum clap groan moan "
    "snort chuckle "
    "lean bow".split()
)


def _doing(word: str) -> tuple[str, ...]:
    """Return a word and how its -ing form may be spelt: giggle, giggling; nod, nodding."""
    return word, f"{word}ing", f"{word.removesuffix('e')}ing", f"{word}{word[-1]}ing"


MANNERS = Manners(
    {kind: "|".join((*words, _PHRASES[kind])) for kind, words in CHANGE_WORDS.items()},
    acting=frozenset(form for word in _ACTING for form in _doing(word)),
    narrators=r"narrat|voice.?over|v\.?o\.?$|storytell|announcer",
)
