"""A song that is performed more than once: which sung line belongs to which performance.

In: the sung lines of an episode in script order, what stands between them. Out: the id of each line's performance. The
first performance has its song's own id, further ones a number behind it ("out-and-in-2"), and each its own place on
the clock. A performance goes on over speeches and pictures while its bars go forward. It ends where a cue goes back
to bars that are sung already after something else was heard or seen, or for the voice that is singing itself, which
cannot be in two bars at once; another voice that is cued back at once sings beside the first.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sung:
    """One line of the episode: ``song`` None for what is not sung; ``bar`` where a cue stands before it."""

    song: str | None = None
    bar: int | None = None
    speaker: str | None = None
    bars: int = 2  # that a line of this song is given
    is_dual: bool = False


@dataclass(slots=True)
class _Performance:
    id: str
    next_bar: int = 1
    speaker: str | None = None


def performances(lines: Sequence[Sung], taken: Collection[str] = ()) -> list[str | None]:
    """Return the performance of each line, None for one that is not sung; ``taken`` ids are not given to any.

    >>> performances([Sung("sea", 1), Sung(), Sung("sea"), Sung(), Sung("sea", 1)])
    ['sea', None, 'sea', None, 'sea-2']
    """
    ids = {line.song for line in lines if line.song} | set(taken)
    running: dict[str, _Performance] = {}
    found: list[str | None] = []
    before: str | None = None
    for line in lines:
        if line.song is None:
            found.append(None)
            before = None
            continue
        now = running.setdefault(line.song, _Performance(line.song))
        goes_back = line.bar is not None and line.bar < now.next_bar
        is_alone = before != line.song or line.speaker == now.speaker
        if goes_back and is_alone and not line.is_dual:
            now = running[line.song] = _Performance(_free(line.song, ids))
            ids.add(now.id)
        bar = now.next_bar if line.bar is None else line.bar
        now.next_bar, now.speaker = max(now.next_bar, bar + line.bars), line.speaker
        found.append(now.id)
        before = line.song
    return found


def _free(song: str, ids: Collection[str]) -> str:
    number = 2
    while f"{song}-{number}" in ids:
        number += 1
    return f"{song}-{number}"
