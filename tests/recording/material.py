"""Lines of our own to be read by synthesisers, and Utterances made from plain text without the language stage."""

from __future__ import annotations

import re

from timing.hearing.dictionary import look_up
from timing.model import Break, Syllable, Utterance, Word, is_vowel

LINES = """Look, Bram! The sea is going away again.
It goes out twice a day, and twice a day it comes back.
I counted seven shells on the sand this morning.
Where does all that water go when it leaves us?
The moon pulls the water, gently, all the way around the world.
Hold on tight to your rock, little limpet!
One, two, three, four, five, six waves before lunch.
Oh no, my bucket has a hole in it!
Can you hear the gulls calling over the harbor?
I am not afraid of the dark, but I like the light better.
When the tide is low, we can walk to the other side.
Please, please, please tell me another story.
Yesterday a starfish fell asleep on my roof.
That is the funniest thing I have ever heard.
Everybody come and see what I have found under the seaweed.
My house is on my back, so I am always at home.
Wait for me, I have only got ten legs!
Did you know that a crab can walk sideways?
Slowly, slowly, the water creeps over the stones.
Shall we sing the song about the big blue whale?
The wind is cold today, so put on your warmest shell.
I think I can see a boat, far away, near the island.
There are twenty four pebbles in my pocket.
Nobody told me that the sea would be so loud.
Quick, hide behind the rock before the wave arrives!
Thank you for helping me look for my lost shoe.
What a beautiful evening for a picnic on the beach.
The fish swim in, the fish swim out, and we stay here.
Maybe tomorrow the water will be warm enough to swim.
Open your eyes and tell me what you see.
A limpet never hurries, and a limpet never worries.
Good night, moon, and good night, sleepy waves.
I would rather have a sandwich than a jellyfish.
How many steps is it from here to the lighthouse?
The sun dries the sand, and the rain makes it wet again.
Let us build a castle with a tower and a deep moat.
You are my best friend, even when you are grumpy.
Suddenly the whole beach was covered with tiny bubbles.
Jump over the puddle, then run to the wooden gate!
Goodbye, everyone, we will see you at high tide.""".splitlines()


def words_in(text: str) -> list[str]:
    return re.findall(r"[a-z']+", text.lower())


def syllables_in(text: str, phones: tuple[str, ...]) -> tuple[Syllable, ...]:
    """Return one syllable for each vowel, one consonant before it, the letters shared out evenly."""
    starts = [0]
    for i, phone in enumerate(phones):
        if is_vowel(phone) and any(is_vowel(p) for p in phones[:i]):
            starts.append(i - 1 if i - 1 > starts[-1] and not is_vowel(phones[i - 1]) else i)
    ends = [*starts[1:], len(phones)]
    cut = [round(k * len(text) / len(starts)) for k in range(len(starts) + 1)]
    return tuple(
        Syllable(text[cut[k] : cut[k + 1]], phones=phones[a:b])
        for k, (a, b) in enumerate(zip(starts, ends, strict=True))
    )


def utterance_of(text: str, language: str = "en_US", pronounce=None) -> Utterance:
    words = []
    for match in re.finditer(r"\S+", text):
        spoken = " ".join(words_in(match[0])) if language.startswith("en") else match[0].casefold().strip(".,!?")
        found = (pronounce or pronounce_english)(spoken) if " " not in spoken else ()
        phones = tuple(found[0]) if found else ()
        last = match[0][-1]
        kind = Break.SENTENCE if last in ".!?" else Break.CLAUSE if last == "," else Break.WORD
        words.append(
            Word(match[0], spoken, syllables_in(match[0], phones), match.start(), match.end(), kind,
                 last if last in ",.!?" else "")
        )  # fmt: skip
    return Utterance(text, tuple(words), language)


_INVENTED = {"limpet": "L IH M P AH T", "bram": "B R AE M", "tansy": "T AE N Z IY"}  # not in the dictionary


def pronounce_english(word: str) -> tuple[tuple[str, ...], ...]:
    """Return pronunciations from the recogniser's own dictionary; KeyError for a word that is in no list."""
    return look_up(word) or (tuple(_INVENTED[word].split()),)
