"""Chat time stamps, as they come along when a script is pasted out of a messenger.

    [21:05, 4/11/2026] Mel: TANSY: Where is it?        4/11/26, 9:05 PM - Mel: TANSY: Where is it?
    12:01 - Mel: TANSY: Where is it?                   Mel, [4/11/2026 21:05]     (on a line of its own)

A sender is the writer, not a character: stamp and sender go, what follows is script on its own, as after a blank
line. Only where nobody is named but by the stamps is the chat itself the dialogue, and the senders are kept.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace

from timing.model import Finding, Where
from timing.model.findings import FindingCode
from timing.script.blocks import SourceLine
from timing.script.fountain import is_upper

_DATE = (
    r"(?:\d{1,4}[./-]\d{1,2}[./-]\d{1,4}|\d{1,2}\.?\s[^\W\d]{3,9}\.?(?:,?\s\d{4})?"
    r"|[^\W\d]{3,9}\.?\s\d{1,2}(?:,?\s\d{4})?|[Tt]oday|[Yy]esterday)"
)
_TIME = r"(?:\d{1,2}[:.]\d{2}(?:[:.]\d{2})?(?:\s?[AaPp]\.?\s?[Mm]\.?)?)"
_BOTH = rf"(?:{_DATE},?\s(?:at\s)?{_TIME}|{_TIME},?\s{_DATE})"
_SENDER = r"~?\s?(?P<{}>[^\s:\[\]()*][^:\n\[\]]{{0,39}}?)"
_STAMPS = tuple(
    re.compile(rf"\s*{pattern}\s*(?P<words>.*)", re.DOTALL)
    for pattern in (
        rf"\[(?P<at>{_BOTH}|{_TIME})\]\s*[-–—]?\s*{_SENDER.format('sender')}:(?:\s|$)",
        rf"(?P<at>{_BOTH}|{_TIME})\s+[-–—]\s+{_SENDER.format('sender')}:(?:\s|$)",
        rf"(?P<at>{_BOTH}|{_TIME})\s+{_SENDER.format('sender')}:(?:\s|$)",
        rf"\[(?P<at>{_BOTH})\](?P<sender>)",
        rf"(?P<at>{_BOTH})\s+[-–—](?P<sender>)\s",
    )
)
# A head on a line of its own, its message below; it counts where its sender has another stamp.
_HEADS = tuple(
    re.compile(rf"\s*{pattern}\s*(?P<words>)")
    for pattern in (
        rf"{_SENDER.format('sender')},?\s*[\[(](?P<at>{_BOTH})[\])]",
        rf"{_SENDER.format('sender')}\s+[-–—]\s+(?P<at>{_BOTH})",
        rf"(?P<sender>[^\W\d][\w.'’ -]{{0,39}}?)\s{{2,}}(?P<at>{_BOTH}|\d{{1,2}}:\d{{2}}\s?[AaPp][Mm])",
    )
)


@dataclass(frozen=True, slots=True)
class _Message:
    sender: str
    words: str
    is_certain: bool  # a date, or a time and a dash: a mere "[10:32] Tansy:" may time a speech
    is_head: bool = False


def without_stamps(
    lines: list[SourceLine], path: str, speaker_of: Callable[[str], str | None]
) -> tuple[list[SourceLine], list[Finding]]:
    """Return the lines without chat stamps, and a finding that says who was taken for the writer.

    ``speaker_of`` gives the name, as written, where a text looks like ``NAME: words``.
    """
    stamped = {n: found for n, line in enumerate(lines) if (found := _message(line.text))}
    often = Counter(m.sender for m in stamped.values())
    stamped = {n: m for n, m in stamped.items() if not m.is_head or not m.sender or often[m.sender] > 1}
    if not stamped:
        return lines, []
    bare = [stamped[n].words if n in stamped else line.text for n, line in enumerate(lines)]
    names = Counter(name for text in bare if (name := speaker_of(text)))
    has_speakers = any(count > 1 or is_upper(name) for name, count in names.items())
    named = {name.upper() for name in names}
    certain = {m.sender for m in stamped.values() if (m.is_certain and not is_upper(m.sender)) or speaker_of(m.words)}
    writers = {s for s in often if s and s in certain and s.upper() not in named}
    if not has_speakers:
        writers = set()
    out: list[SourceLine] = []
    for n, line in enumerate(lines):
        if n not in stamped:
            out.append(line)
            continue
        message = stamped[n]
        if message.sender and message.sender not in writers:
            kept = f"{message.sender}: {message.words}" if message.words else f"{message.sender}:"
            out.append(replace(line, text=kept))
        else:
            out += [SourceLine(line.number, ""), replace(line, text=message.words)]
    if not writers:
        return out, []
    who = ", ".join(sorted(writers))
    first = lines[min(n for n, m in stamped.items() if m.sender in writers)].number
    sentence = f"chat time stamps with {who} were left out: the sender was taken for the writer, not for a character"
    return out, [Finding(FindingCode.CHAT_STAMPS, sentence, {"senders": sorted(writers)}, Where(path, first))]


def _message(text: str) -> _Message | None:
    if not any(c.isdigit() for c in text[:80]) or len(text) > 20_000:
        return None
    for pattern in _STAMPS:
        if match := pattern.match(text):
            has_dash = re.match(r"\s*[-–—]", text[match.end("at") :]) is not None
            is_certain = has_dash or re.search(_DATE, match["at"]) is not None
            return _Message(match["sender"].strip(), match["words"].strip(), is_certain)
    for pattern in _HEADS:
        if match := pattern.fullmatch(text):
            return _Message(match["sender"].strip(), "", True, True)
    return None
