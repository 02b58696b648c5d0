"""Two who speak at once: ``TANSY and BRAM: Hello!`` as one speech of each.

In: the blocks of a script. Out: the same, with a speech under a joined name given to each of its speakers, the later
ones together with the first. A joined name is one whose parts all speak elsewhere in the script by themselves.
"""

from __future__ import annotations

import re
from dataclasses import replace

from timing.language.registry import all_script_words
from timing.language.script_words import plain_words
from timing.model import Finding, Where
from timing.model.findings import FindingCode
from timing.script.blocks import Block, BlockKind, PartKind

JOINTS = plain_words(all_script_words(), "joint")  # "and", "y"
_JOINT = re.compile(rf"\s*(?:[&/+,]|(?<!\S)(?:{'|'.join(sorted(JOINTS))})(?!\S))\s*", re.IGNORECASE)


def joined_names(text: str) -> list[str]:
    """Return the names that a speaker's name joins, one where it joins none.

    >>> joined_names("TANSY and BRAM"), joined_names("Sandy")
    (['TANSY', 'BRAM'], ['Sandy'])
    """
    return list(dict.fromkeys(name for name in _JOINT.split(text) if name))


def each_apart(blocks: list[Block], path: str) -> tuple[list[Block], list[Finding]]:
    """Return the blocks with joined names taken apart, and what is said of them; sung speeches stay as they are."""
    known = {b.speaker.upper() for b in blocks if b.kind is BlockKind.SPEECH and b.speaker}
    made: list[Block] = []
    findings = []
    for block in blocks:
        names = _names(block, known)
        if not names:
            made.append(block)
            continue
        for number, name in enumerate(names):
            own = block.findings if number == 0 else []
            made.append(
                replace(block, speaker=name, parts=list(block.parts), findings=own, is_dual=block.is_dual or number > 0)
            )
        message = f'"{block.speaker}" was read as {" and ".join(names)} speaking at once'
        findings.append(
            Finding(FindingCode.SPEAK_TOGETHER, message, {"speakers": names}, Where(path, block.line_number))
        )
    return made, findings


def _names(block: Block, known: set[str]) -> list[str]:
    """Return the speakers that a block's name joins; empty where it is one name."""
    if block.kind is not BlockKind.SPEECH or not block.speaker:
        return []
    if any(part.kind is PartKind.LYRIC for part in block.parts):
        return []  # sung lines follow one another in their bars
    names = joined_names(block.speaker)
    return names if len(names) > 1 and all(n.upper() in known for n in names) else []
