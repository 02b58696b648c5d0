"""Short lists about English words that no dictionary of sounds holds; ours, from memory, unless a source is named."""

from __future__ import annotations

LETTER_NAMES = {
    "a": "EY1", "b": "B IY1", "c": "S IY1", "d": "D IY1", "e": "IY1", "f": "EH1 F", "g": "JH IY1", "h": "EY1 CH",
    "i": "AY1", "j": "JH EY1", "k": "K EY1", "l": "EH1 L", "m": "EH1 M", "n": "EH1 N", "o": "OW1", "p": "P IY1",
    "q": "K Y UW1", "r": "AA1 R", "s": "EH1 S", "t": "T IY1", "u": "Y UW1", "v": "V IY1", "w": "D AH1.B AH0 L.Y UW2",
    "x": "EH1 K S", "y": "W AY1", "z": "Z IY1",
}  # fmt: skip

# Unstressed in running speech unless they are stressed on purpose or end a phrase.
FUNCTION_WORDS = frozenset(
    """a an the and or but nor so as if of to in on at by for from with into onto up is are was were be been am do
    does did has have had can could will would shall should may might must i you he she it we they me him her us them
    my your his its our their that this than then there's it's i'm you're he's she's we're they're i'll you'll he'll
    she'll we'll they'll i've you've we've they've i'd you'd he'd she'd we'd they'd not who which what when where
    while because thou thy thine thee o'er""".split()
)
NEVER_AFTER = frozenset(
    # determiners and possessives
    """a an the my your his her its our their this that these those some any every each no another both either neither
    whose which what how thy
    """
    # prepositions, and words that measure the next
    """of to in on at by for from with into onto about over under through between behind beside below beneath above
    near than as across along around against among toward towards inside outside beyond until till since upon after
    before during without like very too so quite
    """
    # subjects, also with what leans on them
    """i you he she it we they who thou i'm you're he's she's it's we're they're that's there's here's what's who's
    where's how's let's i'll you'll he'll she'll it'll we'll they'll i've you've we've they've i'd you'd he'd she'd
    we'd they'd
    """
    # auxiliaries
    """is are was were be been being am has have had do does did can could will would shall should may might must
    cannot not isn't aren't wasn't weren't haven't hasn't hadn't don't doesn't didn't can't couldn't won't wouldn't
    shouldn't mustn't gonna wanna gotta
    """
    # conjunctions
    """and or but nor if when whenever because 'cause cuz while where wherever although though unless whether
    """
    # titles
    "mister missus miz doctor saint captain professor mount".split()
)
# After a particle, a pronoun or an auxiliary too: "out and in", "yes I can because I swim".
CONJUNCTIONS = frozenset("and or but nor because 'cause cuz while although though unless".split())
BEFORE_CONJUNCTION = frozenset(
    "a an the as than not so if when which who whose where that whether until till since".split()
)
PHRASE_BEFORE = frozenset(
    """and or but nor so because 'cause cuz if when whenever while until till since although though unless whether
    which who whose where wherever that than as of to in on at by for from with into onto about over under through
    between behind beside below beneath above near across along around against among toward towards inside outside
    beyond upon after before during without like""".split()
)

# One spelling, two words: (as usual, otherwise). The first is what is said unless episode.toml says differently.
HOMOGRAPHS = {
    "live": ("L IH1 V", "L AY1 V"), "lives": ("L IH1 V Z", "L AY1 V Z"), "wind": ("W IH1 N D", "W AY1 N D"),
    "read": ("R IY1 D", "R EH1 D"), "lead": ("L IY1 D", "L EH1 D"), "tear": ("T EH1 R", "T IH1 R"),
    "tears": ("T IH1 R Z", "T EH1 R Z"), "close": ("K L OW1 Z", "K L OW1 S"), "bow": ("B OW1", "B AW1"),
    "row": ("R OW1", "R AW1"), "sow": ("S OW1", "S AW1"), "wound": ("W UW1 N D", "W AW1 N D"),
    "dove": ("D AH1 V", "D OW1 V"), "bass": ("B EY1 S", "B AE1 S"), "minute": ("M IH1 N AH0 T", "M AY0 N UW1 T"),
    "record": ("R EH1 K ER0 D", "R AH0 K AO1 R D"), "present": ("P R EH1 Z AH0 N T", "P R IY0 Z EH1 N T"),
    "object": ("AA1 B JH EH0 K T", "AH0 B JH EH1 K T"), "desert": ("D EH1 Z ER0 T", "D IH0 Z ER1 T"),
    "content": ("K AA1 N T EH0 N T", "K AH0 N T EH1 N T"), "refuse": ("R AH0 F Y UW1 Z", "R EH1 F Y UW2 Z"),
    "produce": ("P R AH0 D UW1 S", "P R OW1 D UW0 S"), "rebel": ("R EH1 B AH0 L", "R IH0 B EH1 L"),
    "project": ("P R AA1 JH EH0 K T", "P R AA0 JH EH1 K T"), "contest": ("K AA1 N T EH0 S T", "K AH0 N T EH1 S T"),
    "use": ("Y UW1 Z", "Y UW1 S"), "invalid": ("IH0 N V AE1 L AH0 D", "IH1 N V AH0 L AH0 D"),
}  # fmt: skip

# Preferred to what the dictionary lists first, or missing there.
USUAL = {word: readings[0] for word, readings in HOMOGRAPHS.items()} | {
    "ha": "HH AA1", "yay": "Y EY1", "yum": "Y AH1 M", "ew": "Y UW1", "uh": "AH1", "ah": "AA1", "ooh": "UW1",
    "boing": "B OY1 NG", "splish": "S P L IH1 SH", "kerplunk": "K ER0 P L AH1 NG K", "plonk": "P L AA1 NG K",
    "oink": "OY1 NG K", "gloop": "G L UW1 P", "bloop": "B L UW1 P", "blub": "B L AH1 B", "glub": "G L AH1 B",
    "glug": "G L AH1 G", "plip": "P L IH1 P", "clop": "K L AA1 P", "squish": "S K W IH1 SH", "whirr": "W ER1",
    "sploosh": "S P L UW1 SH", "splosh": "S P L AA1 SH", "woohoo": "W UW1 HH UW2", "boohoo": "B UW1 HH UW2",
    "atchoo": "AH0 CH UW1", "eww": "Y UW1", "eek": "IY1 K", "aww": "AO1", "aah": "AA1", "arr": "AA1 R",
    "oopsie": "UW1 P S IY0", "mwah": "M W AA1", "muah": "M W AA1", "peekaboo": "P IY1 K AH0 B UW2",
    "aha": "AA0 HH AA1", "wow": "W AW1", "ow": "AW1", "whee": "W IY1",
    "miz": "M IH1 Z", "missus": "M IH1 S IH0 Z", "cuz": "K AH0 Z", "'cause": "K AH0 Z", "'til": "T IH1 L",
    "'tis": "T IH1 Z", "'twas": "T W AH1 Z", "'em": "AH0 M", "'bout": "B AW1 T", "ma'am": "M AE1 M", "o'er": "AO1 R",
    "ne'er": "N EH1 R", "e'er": "EH1 R", "y'all": "Y AO1 L", "a": "AH0", "the": "DH AH0", "i": "AY1", "o": "OW1",
}  # fmt: skip

# Endings for words made of known ones: their sounds (None: as the last sound asks) and whether the stem changes.
ENDINGS: dict[str, tuple[str | None, bool]] = {
    "ness": ("N AH0 S", False), "less": ("L AH0 S", False), "ful": ("F AH0 L", False), "ly": ("L IY0", False),
    "ship": ("SH IH2 P", False), "like": ("L AY2 K", False), "some": ("S AH0 M", False), "ment": ("M AH0 N T", False),
    "er": ("ER0", True), "ers": ("ER0 Z", True), "ing": ("IH0 NG", True), "ings": ("IH0 NG Z", True),
    "y": ("IY0", True), "est": ("AH0 S T", True), "ish": ("IH0 SH", True), "ist": ("AH0 S T", True),
    "able": ("AH0 B AH0 L", True), "ism": ("IH2 Z AH0 M", True), "al": ("AH0 L", True), "ous": ("AH0 S", True),
    "ward": ("W ER0 D", False), "wise": ("W AY2 Z", False), "man": ("M AH0 N", False), "men": ("M EH0 N", False),
    "'s": (None, False), "s": (None, False), "es": (None, False), "ed": (None, True), "edly": ("IH0 D L IY0", True),
    "ization": ("AH0 Z EY1 SH AH0 N", True), "ize": ("AY2 Z", True), "hood": ("HH UH2 D", False),
    "ity": ("AH0 T IY0", True), "ess": ("AH0 S", True),
}  # fmt: skip

# Weak forms of function words as they are said in running speech (the list in P. Roach, "English Phonetics
# and Phonology", chapter 12, from memory); the dictionary has the careful ones.
WEAK_FORMS = {
    "and": ("AH N", "AH N D", "N"), "as": ("AH Z",), "at": ("AH T",), "but": ("B AH T",), "can": ("K AH N",),
    "for": ("F ER",), "from": ("F R AH M",), "had": ("HH AH D", "AH D"), "has": ("HH AH Z", "AH Z"),
    "have": ("HH AH V", "AH V"), "he": ("IY",), "her": ("ER", "HH ER"), "him": ("IH M",), "his": ("IH Z",),
    "must": ("M AH S T", "M AH S"), "of": ("AH V", "AH"), "shall": ("SH AH L",), "some": ("S AH M",),
    "than": ("DH AH N",), "that": ("DH AH T",), "them": ("DH AH M", "AH M"), "to": ("T AH", "T UH"),
    "was": ("W AH Z",), "were": ("W ER",), "you": ("Y AH",), "your": ("Y ER",),
}  # fmt: skip
