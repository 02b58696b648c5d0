"""Lines whose words were changed in the script after they were recorded: their earlier words fit the recording better.

In: a reading of a line that had other words before. Out: the reading with a finding that names the new words, in place
of those on how it was read; unchanged where the words of now fit about as well. Each wording is followed through the
same sound, so what is compared is how likely that sound is with one text and with the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from difflib import SequenceMatcher
from fractions import Fraction

from timing.model import Finding, Origin, Utterance
from timing.model.findings import FindingCode
from timing.plain.words import bare, letters_of
from timing.recording.listener import Candidate, HeardFile, Listener
from timing.store.store import Kind

# By how much earlier words must fit the sound better (units of about 0.1 nat). Of 18 synthesised readings of changed
# lines all gain 200 to 4000 with the words that were read and lose 70 to 4800 with the others; "I am" against "I'm" is
# the least and changes no time.
BETTER = 300.0
_MOST_EARLIER = 3  # wordings that are asked, the last ones
_INSTEAD_OF = frozenset(
    {FindingCode.NOT_SAID, FindingCode.SAID_DIFFERENTLY, FindingCode.EXTRA_WORDS, FindingCode.UNCLEAR}
)
_GAINS: Kind[list[float]] = Kind("earlier-words", 1, list, lambda kept: [float(gain) for gain in kept])


def told(listener: Listener, file: HeardFile, heard: Candidate) -> Candidate:
    """Return a reading with finding "script-changed" where it holds earlier words of its line."""
    scripted = listener.lines[listener.by_id[heard.take.line_id]]
    line = heard.line
    if line is None or line.origin is Origin.PINNED or scripted.is_sung or not scripted.earlier:
        return heard
    earlier = scripted.earlier[-_MOST_EARLIER:]
    gains = _gains(listener, file, heard, scripted.utterance, earlier)
    best = max(range(len(gains)), key=gains.__getitem__)
    if gains[best] < BETTER:
        return heard
    kept = tuple(f for f in line.findings if f.code not in _INSTEAD_OF)
    line = replace(line, findings=(_finding(scripted.utterance, earlier[best]), *kept))
    return replace(heard, take=replace(heard.take, is_outdated=True), line=line)


def _gains(
    listener: Listener, file: HeardFile, heard: Candidate, now: Utterance, earlier: Sequence[Utterance]
) -> list[float]:
    """Return by how much each earlier wording fits the reading's sound better than the words of now."""
    from timing.hearing.aligner import MARGIN, LineAligner
    from timing.hearing.followed_words import is_foreign, tokens_of

    start, end = max(Fraction(0), heard.take.start - MARGIN), heard.take.end + MARGIN
    tokens = [tokens_of(utterance, listener.pronounce) for utterance in (now, *earlier)]
    if any(is_foreign(one) for one in tokens):
        return [0.0] * len(earlier)

    def made() -> list[float]:
        samples = file.opened.clear.cut(start, end)
        aligner = LineAligner([now, *earlier], listener.pronounce)
        found = [aligner.recogniser.align_scored(samples, aligner.order(k)) for k in range(len(tokens))]
        fits = [None if one is None else float(one[1].sum()) for one in found]
        return [0.0 if fits[0] is None or fit is None else round(fit - fits[0], 1) for fit in fits[1:]]

    return listener.store.made(_GAINS, (file.content, start, end, *tokens), made)


def _finding(now: Utterance, was: Utterance) -> Finding:
    new, old = ([letters_of(w.text) for w in one.words] for one in (now, was))
    blocks = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    which = [i for kind, _, _, low, high in blocks if kind in ("insert", "replace") for i in range(low, high)]
    named = ", ".join(f"“{bare(now.words[i].text)}”" for i in which)
    what = f"{named} {'is' if len(which) == 1 else 'are'} not in it" if which else "words were taken out since"
    message = f"the script was changed after the recording, which says “{was.text}”: {what}; read the line again"
    return Finding(FindingCode.SCRIPT_CHANGED, message, {"words": which, "was": was.text})
