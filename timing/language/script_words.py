"""How scripts in a language name what is neither spoken nor seen: songs, waits, sounds, what stands around a script.

Scripts mix languages ("Refrão" under "Verse 1"), so a line is held against the words of every language that has a
record, English among them. The patterns that are made of them lie in ``timing/script``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

# The parts of a song, as every other room calls them.
PARTS = ("chorus", "verse", "pre-chorus", "bridge", "intro", "outro")
# What a script says about itself, as every other room calls it.
FACTS = ("title", "language", "author", "duration", "characters", "setting", "audience", "theme", "note")


@dataclass(frozen=True, eq=False)
class ScriptWords:
    """The words, all in small letters; from memory where nothing else is said.

    Each text is alternatives of a regular expression, parted by ``|``; those under "plain words" are words parted by
    spaces, to be looked up one by one.

    Plain words: ``numbers`` one to ten, each with its forms; ``counts`` how often ("twice"); ``times``, ``last``,
    ``twofold``, ``again`` beside the name of a song's part; ``little``, words without a meaning there; ``the``;
    ``everybody``, of those ``both`` that mean two, and ``performers`` beside them ("both characters"); ``by`` behind
    "sung"; ``then`` between singers; ``persons`` who are nobody's name, and ``begins_clause``, other words with which
    a sentence begins and no name ("then"); ``joint`` joins two names ("and").

    ``song`` names one, ``sings`` says that somebody does, ``song_of`` joins a song to what it is about, ``lyrics`` head
    its words, ``song_ends`` is a whole line; ``parts`` are named by ``PARTS``. ``again_pairs`` are several words that
    call a part back. ``seconds`` to ``to_me`` are those of waits: ``full`` stands between a number and its seconds,
    ``to_me`` tells that somebody in the story is spoken to. ``sound`` and ``music`` stand before a colon,
    ``told_sound`` and ``told_music`` are whole brackets. ``scene``, ``slide`` and ``ordinals`` head scenes. ``facts``
    are named by ``FACTS``. ``opening`` to ``labels`` stand around a script: a chat's first words (with ``about`` in
    them) and its closing ones, the end mark, figures about the script, headings of notes for the makers and of cast
    lists; ``labels`` ("moral: ...") and ``for_ages`` ("for ages 3 to 5") are lines of their own above the first speech.
    """

    numbers: tuple[str, ...] = ()
    counts: Mapping[str, int] = field(default_factory=dict)
    times: str = ""
    last: str = ""
    twofold: str = ""
    again: str = ""
    little: str = ""
    the: str = ""
    everybody: str = ""
    both: str = ""
    performers: str = ""
    by: str = ""
    then: str = ""
    persons: str = ""
    begins_clause: str = ""
    joint: str = ""
    song: str = ""
    sings: str = ""
    song_of: str = ""
    lyrics: str = ""
    song_ends: str = ""
    parts: Mapping[str, str] = field(default_factory=dict)
    again_pairs: tuple[str, ...] = ()
    seconds: str = ""
    full: str = ""
    articles: str = ""
    long: str = ""
    short: str = ""
    pause: str = ""
    waiting: str = ""
    listening: str = ""
    answers: str = ""
    room: str = ""
    to_me: str = ""
    sound: str = ""
    music: str = ""
    told_sound: str = ""
    told_music: str = ""
    scene: str = ""
    slide: str = ""
    ordinals: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)
    opening: str = ""
    about: str = ""
    closing: str = ""
    end_mark: str = ""
    figures: str = ""
    notes: str = ""
    cast: str = ""
    labels: str = ""
    for_ages: str = ""


def either(words: Iterable[ScriptWords], name: str) -> str:
    """Return the alternatives of all languages for one of the texts, as one group of a regular expression.

    >>> either([ScriptWords(song="song"), ScriptWords(song="lied"), ScriptWords()], "song")
    '(?:song|lied)'
    """
    return f"(?:{'|'.join(text for one in words if (text := getattr(one, name)))})"


def plain_words(words: Iterable[ScriptWords], name: str) -> frozenset[str]:
    """Return the plain words of all languages under one name.

    >>> sorted(plain_words([ScriptWords(times="times time"), ScriptWords(times="mal")], "times"))
    ['mal', 'time', 'times']
    """
    return frozenset(word for one in words for word in getattr(one, name).split())
