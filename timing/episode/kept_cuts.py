"""Where a line was cut for clips that came back: they stay its clips, however its estimate moves.

In: what is remembered of clips, the lines as they are now. Out: for each line of which something came back, the parts
it was asked for in. Without this a scratch recording of another line, which moves a speaker's pace, could cut a
finished line anew and ask for all of it again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from timing.clips.plan import clip_id
from timing.clips.split import Part
from timing.memory.line_ids import spoken_words
from timing.model import PlanLine

if TYPE_CHECKING:
    from timing.memory.clips import Earlier, Entry, Memory


def kept_cuts(memory: Memory, lines: Sequence[PlanLine]) -> Mapping[str, tuple[Part, ...]]:
    """Return the parts of each line that came back (all or one of them), by line id."""
    found = {}
    for line in lines:
        if line.words and (parts := _of_line(memory, line)):
            found[line.id] = parts
    return found


def _of_line(memory: Memory, line: PlanLine) -> tuple[Part, ...] | None:
    name = clip_id(line.id)
    ways: list[list[str]] = [[name]] if name in memory.clips else []
    numbered = [part for n in range(1, 100) if (part := f"{name}.{n}") in memory.clips]
    ways += [numbered[:count] for count in range(2, len(numbered) + 1)]
    best: tuple[tuple[int, int, int], tuple[Part, ...]] | None = None
    for way in ways:
        asked = _asked(memory, line, way)
        if asked is None or (parts := _parts(line, asked)) is None:
            continue
        accepted = sum(one.accepted is not None or one.state == "accepted" for one in asked)
        back = sum(bool(one.files) or one.accepted is not None for one in asked)
        current = sum(memory.clips[part].state != "dropped" for part in way)
        if back and (best is None or (accepted, current, back) > best[0]):
            best = ((accepted, current, back), parts)
    return best[1] if best else None


def _asked(memory: Memory, line: PlanLine, way: Sequence[str]) -> list[Entry | Earlier] | None:
    """Return what was asked for under each id so that all together are the line's words, None where they are not."""
    words = [word for timed in line.words for word in spoken_words(timed.text)]
    chosen: list[Entry | Earlier] = []
    at = 0
    for name in way:
        known = memory.clips[name]
        ever: list[Entry | Earlier] = [known, *known.earlier]
        for one in ever:
            speaker, _, text = one.wording.words.partition(": ")
            own = text.split()
            is_speaker = speaker.removesuffix(", sung") == (line.speaker or "nobody").upper()
            if own and is_speaker and words[at : at + len(own)] == own:
                chosen.append(one)
                at += len(own)
                break
        else:
            return None
    return chosen if at == len(words) else None


def _parts(line: PlanLine, asked: Sequence[Entry | Earlier]) -> tuple[Part, ...] | None:
    """Return the word ranges of what was asked for, None where one would end inside a word."""
    ends, count = {0: 0}, 0
    for index, word in enumerate(line.words, 1):
        count += len(spoken_words(word.text))
        ends[count] = index
    parts, at = [], 0
    for one in asked:
        end = at + len(one.wording.words.partition(": ")[2].split())
        if at not in ends or end not in ends:
            return None
        parts.append(Part(ends[at], ends[end], one.ask or None))
        at = end
    return (*parts[:-1], Part(parts[-1].first, len(line.words), parts[-1].ask))


def kept_together(memory: Memory, lines: Sequence[PlanLine]) -> Mapping[str, int]:
    """Return how many lines came back as one clip, by the id of the first of them."""
    found = {}
    for at, line in enumerate(lines):
        entry = memory.clips.get(clip_id(line.id))
        if entry is None or not (entry.files or entry.accepted is not None) or not line.words:
            continue
        asked = entry.wording.words.partition(": ")[2].split()
        words: list[str] = []
        for count, other in enumerate(lines[at:], 1):
            if (other.speaker, other.kind) != (line.speaker, line.kind):
                break
            words += [word for timed in other.words for word in spoken_words(timed.text)]
            if count > 1 and words == asked:
                found[line.id] = count
            if len(words) >= len(asked):
                break
    return found
