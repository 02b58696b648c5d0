"""Findings for people, on standard error: grouped by kind, the worst kind first, each said once, none left out.

In: (where it belongs, finding) in the order of the plan. Out: under a heading for each kind its sentences; one that
several lines share is said once with all of them. Of a long kind the first are said in full and the others named, and
``--findings KIND`` says those too.
"""

from __future__ import annotations

from collections.abc import Iterable

import click

from timing.model import Finding
from timing.model.findings import FindingCode

SHOWN_OF_A_KIND = 5

# The worst first: what can hurt, what spoils a generation, what is lost or misplaced, what may have been read wrongly.
# Kinds that are not here follow in the order of the enumeration, the harmless ones below come last.
_WORST = (
    FindingCode.CUTS_FLASH, FindingCode.CUTS_CLOSE,
    FindingCode.NO_LENGTH_HOLDS_IT, FindingCode.TOO_LONG, FindingCode.NO_DIALOGUE,
    FindingCode.WRONG_LINE, FindingCode.OUTDATED, FindingCode.CUT_OFF_START, FindingCode.CUT_OFF_END,
    FindingCode.CUT_TAKES_WORDS, FindingCode.CUT_OUTSIDE, FindingCode.CUT_RATE, FindingCode.CUT_SPEED,
    FindingCode.CUT_LENGTHS, FindingCode.CUT_APART, FindingCode.CUT_LEFT_OUT,
    FindingCode.TOO_SHORT, FindingCode.UNREADABLE, FindingCode.SILENT, FindingCode.DAMAGED, FindingCode.NOT_SAID,
    FindingCode.SCRIPT_CHANGED, FindingCode.SAID_DIFFERENTLY, FindingCode.UNCLEAR, FindingCode.ROUGH,
    FindingCode.UNPLACED,
    FindingCode.CHOSEN_MISSING, FindingCode.TAKE_MISSING, FindingCode.SINGING_NOT_FOUND,
    FindingCode.TEMPO_ASSUMED, FindingCode.AFTER_THE_SONG, FindingCode.LINE_DOES_NOT_FIT_BARS,
    FindingCode.AGAIN_UNKNOWN, FindingCode.WORDS_NOT_READ, FindingCode.OTHER_LANGUAGE,
    FindingCode.NOTE_NOT_UNDERSTOOD, FindingCode.NOT_CLOSED, FindingCode.SPEECH_OR_PICTURE,
    FindingCode.READ_AS_PICTURE, FindingCode.SPEAKER_DOUBTFUL, FindingCode.SPEAKER_NEAR, FindingCode.SET_ASIDE,
)  # fmt: skip
_HARMLESS = (
    FindingCode.CHAT_STAMPS, FindingCode.SHARED, FindingCode.UNSPOKEN_EMOJI, FindingCode.SPEAK_TOGETHER,
    FindingCode.READ_AS_PLAIN,
)  # fmt: skip


def _badness(code: FindingCode) -> tuple[int, int]:
    if code in _WORST:
        return 0, _WORST.index(code)
    order = list(FindingCode).index(code)
    return (2, order) if code in _HARMLESS else (1, order)


def print_findings(
    found: Iterable[tuple[str, Finding]], kind: str | None = None, most: int | None = SHOWN_OF_A_KIND
) -> None:
    """Print findings; ``kind``: only those of this kind; ``most`` sentences of a kind in full, None for every one."""
    kinds: dict[FindingCode, dict[str, list[str]]] = {}
    count = 0
    for owner, finding in found:
        if kind is None or finding.code == kind:
            place = owner or (str(finding.where) if finding.where else "")
            message = finding.message + (f" ({finding.where})" if finding.where and owner else "")
            owners = kinds.setdefault(finding.code, {}).setdefault(message, [])
            count += place not in owners
            owners += [place] * (place not in owners)
    click.echo(f"{count} finding{'s' * (count != 1)}:", err=True)
    for code in sorted(kinds, key=_badness):
        _print_kind(code, kinds[code], most)


def _print_kind(code: FindingCode, sentences: dict[str, list[str]], most: int | None) -> None:
    click.echo(f"{code.value} ({sum(map(len, sentences.values()))}): {code.meaning}", err=True)
    shown = list(sentences.items())
    # One more than are shown would take the same room as saying that there is one.
    if most is None or len(shown) <= most + 1:
        most = len(shown)
    for message, owners in shown[:most]:
        places = _together(owners)
        click.echo(f"  {places + ': ' if places else ''}{message}", err=True)
    rest = [owner for _, owners in shown[most:] for owner in owners]
    if rest:
        click.echo(f"  also {_together(rest)}; all of them in full: timing lines … --findings {code.value}", err=True)


def _together(owners: list[str]) -> str:
    """Return places in one phrase: ["line 3", "line 7", "C04"] -> "lines 3, 7, C04".

    >>> _together(["line 3", "line 7", "C04"]), _together(["line 3"]), _together([""])
    ('lines 3, 7, C04', 'line 3', '')
    """
    owners = list(dict.fromkeys(owner for owner in owners if owner))
    lines = [owner.removeprefix("line ") for owner in owners if owner.startswith("line ")]
    others = [owner for owner in owners if not owner.startswith("line ")]
    if not lines:
        return ", ".join(others)
    return ", ".join([f"line{'s' * (len(lines) > 1)} {', '.join(lines)}", *others])
