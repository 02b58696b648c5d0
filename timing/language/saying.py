"""The user's own word on how something is said (``[say]`` in episode.toml), and pieces fixed by hand in a lyric."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

from timing.language.english.breaks import sound_syllables
from timing.language.pronunciation import Pronunciation
from timing.model import is_vowel
from timing.model.settings import SayEntry
from timing.plain.errors import SettingsError


def said_by_user(
    entry: SayEntry,
    written: str,
    respell: Callable[[str], list[str]],
    divide: Callable[[str, list[str]], tuple[str, ...]],
) -> Pronunciation:
    """Return the pronunciation that an entry asks for; raises SettingsError where its pieces do not give the word.

    Sounds come from ``phones``, else from ``sounds_like``, else from the word read by rule; ``respell`` reads a
    spelling, ``divide`` finds the pieces of a word that has these sounds.
    """
    phones = [p for sounds in entry.phones for p in sounds.replace("-", " ").split()]
    if not phones:
        phones = respell(entry.sounds_like or "-".join(entry.syllables) or written)
    vowels = [i for i, p in enumerate(phones) if is_vowel(p.rstrip("012"))]
    pieces = entry.syllables or divide(written, phones)
    if not entry.syllables and len(pieces) != max(1, len(vowels)):
        pieces = _even_pieces(written, max(1, len(vowels)))
    if "".join(pieces).casefold() != written.casefold():
        raise SettingsError(
            f'say: the syllables {"-".join(pieces)} do not spell "{written}"; write for example "tan-sy"'
        )
    sounds = spread(phones, len(pieces))
    stress = entry.stress if entry.stress is not None else _given_stress(sounds)
    sounds = tuple(_stressed(piece, 1 if i == stress else 0) for i, piece in enumerate(sounds))
    at, cut = 0, []
    for piece in pieces:
        cut.append(written[at : at + len(piece)])
        at += len(piece)
    return Pronunciation(tuple(cut), sounds)


def spread(phones: Sequence[str], count: int) -> tuple[tuple[str, ...], ...]:
    """Return phones as ``count`` syllables.

    With fewer vowels than pieces the last vowel sounds on through the pieces left over (a held syllable); with more,
    the last piece takes the rest.
    """
    vowels = [i for i, p in enumerate(phones) if is_vowel(p.rstrip("012"))]
    if not vowels:
        return (tuple(phones), *((),) * (count - 1))
    sounds = list(sound_syllables(phones, vowels[:count]))
    last = phones[vowels[min(count, len(vowels)) - 1]]
    while len(sounds) < count:
        tail = sounds[-1][sounds[-1].index(last) + 1 :]
        sounds[-1] = sounds[-1][: len(sounds[-1]) - len(tail)]
        sounds.append((last, *tail))
    return tuple(sounds)


def _even_pieces(word: str, count: int) -> tuple[str, ...]:
    """Return a word in about even pieces, for a respelling that gives sounds but no breaks."""
    count = min(count, len(word)) or 1
    edges = [len(word) * i // count for i in range(count + 1)]
    return tuple(word[a:b] for a, b in itertools.pairwise(edges))


def _given_stress(sounds: Sequence[Sequence[str]]) -> int:
    return next((i for i, piece in enumerate(sounds) if any(p.endswith("1") for p in piece)), 0)


def _stressed(phones: Sequence[str], stress: int) -> tuple[str, ...]:
    return tuple(p.rstrip("012") + str(stress) if is_vowel(p.rstrip("012")) else p for p in phones)
