"""What stands around a script and is no part of it: a chat's first and last words, cast lists, notes for the makers.

In: the lines of a plain script. Out: the same lines with those blank, and one finding that names them all. The phrases
are those of chat assistants and word processors, in every language with a record.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from timing.language.registry import all_script_words
from timing.language.script_words import either, plain_words
from timing.model import Finding, Where
from timing.model.findings import FindingCode
from timing.script.blocks import SourceLine
from timing.script.together import JOINTS

_WORDS = all_script_words()
_ARTICLE = rf"(?:{'|'.join(sorted(plain_words(_WORDS, 'the')))})"
_OPENING = re.compile(rf"{either(_WORDS, 'opening')}\b", re.IGNORECASE)
_ABOUT = re.compile(rf"\b{either(_WORDS, 'about')}\b", re.IGNORECASE)
_CLOSING = re.compile(either(_WORDS, "closing"), re.IGNORECASE)
_END_MARK = re.compile(either(_WORDS, "end_mark"), re.IGNORECASE)
_FIGURES = re.compile(rf"{either(_WORDS, 'figures')}\b.*", re.IGNORECASE)
_NOTES = re.compile(either(_WORDS, "notes"), re.IGNORECASE)
_NOTE_LINE = re.compile(
    r"(?:speaker|presenter|production|animation|director['’]?s?|animator['’]?s?|teacher['’]?s?)\s+notes?\s*:\s*\S", re.I
)
_CAST = re.compile(rf"(?:{_ARTICLE} )?{either(_WORDS, 'cast')}", re.IGNORECASE)
_ITEM = re.compile(
    r"\s*(?:[-*+•·–]\s+|\d{1,2}[.)]\s+)?[*_]*[^\W\d_][\w.'’ &-]{0,38}?[*_]*\s*(?:[:(,]|\s[–—-]\s|[–—])\S?.*"
)
_BULLET = re.compile(r"\s*(?:[-*+•·–]\s+|\d{1,2}[.)]\s+)\S.*")
_NAMED = re.compile(
    r"\s*(?:[-*+•·–]\s+|\d{1,2}[.)]\s+)?[*_]*"
    rf"(?:(?:{_ARTICLE}|{either(_WORDS, 'articles')})\s+)?"
    r"(?P<name>[^\W\d_][\w.'’ -]{0,38}?)[*_]*\s*(?:[:(,].*|\s[–—-]\s.*|[–—].*)?",
    re.IGNORECASE | re.DOTALL,
)
_BETWEEN_CAST = re.compile(rf"[,;](?![^(]*\))|\s(?:&|{'|'.join(sorted(JOINTS))})\s(?![^(]*\))")
CAST_WITHIN = 12  # written lines from the script's head
_RULE = re.compile(r"\s*(?:[-*_=]\s*){3,}")
_DRESS = re.compile(r"^[\s#>*_¡¿]+|[\s#*_]+$")


def set_aside(
    lines: list[SourceLine], path: str, is_speech: Callable[[str], bool]
) -> tuple[list[SourceLine], list[Finding], frozenset[str]]:
    """Return the lines with those blank that are no part of the script, what is said of them, once, and who is cast.

    ``is_speech``: a text that certainly is ``NAME: words``.
    """
    around = _Around(lines, is_speech)
    around.find()
    return around.kept(), around.told(path), frozenset(around.cast)


def without_chat(
    lines: list[SourceLine], path: str, is_speech: Callable[[str], bool]
) -> tuple[list[SourceLine], list[Finding]]:
    """Return the lines of a script that was pasted with a chat's first and last words around it, these blank."""
    around = _Around(lines, is_speech)
    around.find_chat()
    return around.kept(), around.told(path)


def line_ranges(numbers: list[int]) -> str:
    """Return line numbers as people write them.

    >>> line_ranges([3, 4, 5, 9])
    'lines 3-5, 9'
    """
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    shown = ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
    return f"line{'s' if len(numbers) > 1 else ''} {shown}"


def _cast_name(item: str) -> str | None:
    """Return the name that an item of a cast list begins with, in capitals.

    >>> _cast_name("- **The Toothbrush** (squeaky)"), _cast_name("Bram, an old rock"), _cast_name("they sing")
    ('TOOTHBRUSH', 'BRAM', None)
    """
    match = _NAMED.fullmatch(item.strip())
    if match is None or len(match["name"].split()) > 3 or not match["name"][:1].isupper():
        return None
    return match["name"].strip().upper()


class _Around:
    def __init__(self, lines: list[SourceLine], is_speech: Callable[[str], bool]):
        self.lines, self.is_speech = lines, is_speech
        self.taken: dict[str, list[int]] = {}
        self.all_taken: set[int] = set()
        self.cast: set[str] = set()  # in capitals, without an article

    def kept(self) -> list[SourceLine]:
        """Return the lines, those that were taken blank."""
        return [replace(line, text="") if i in self.all_taken else line for i, line in enumerate(self.lines)]

    def told(self, path: str) -> list[Finding]:
        """Return what is said of the lines that were taken, once."""
        if not self.taken:
            return []
        numbers = [self.lines[i].number for i in sorted(self.all_taken)]
        ranges = {what: line_ranges([self.lines[i].number for i in at]) for what, at in self.taken.items()}
        parts = "; ".join(f"{what} ({at})" for what, at in ranges.items())
        message = f"left out, neither spoken nor seen: {parts}; write a speech as NAME: words if it is one"
        return [Finding(FindingCode.SET_ASIDE, message, {"lines": numbers}, Where(path, numbers[0]))]

    def find_chat(self) -> None:
        self._opening()
        self._closing(is_alone=True)

    def find(self) -> None:
        self._opening()
        self._cast_lists()
        self._makers_notes()
        self._closing()

    def _bare(self, i: int) -> str:
        return _DRESS.sub("", self.lines[i].text).strip()

    def _is_heading(self, i: int) -> bool:
        text = self.lines[i].text.strip()
        return bool(text) and (text.startswith("#") or text.rstrip("* _").endswith(":") or text[:2] in ("**", "__"))

    def _take(self, what: str, numbers: list[int]) -> None:
        new = [i for i in numbers if i not in self.all_taken and self.lines[i].text.strip()]
        if new:
            self.taken.setdefault(what, []).extend(new)
            self.all_taken.update(new)

    def _written(self) -> list[int]:
        return [i for i, line in enumerate(self.lines) if line.text.strip()]

    def _opening(self) -> None:
        for i in self._written()[:2]:
            text = self._bare(i)
            is_about = _ABOUT.search(text) is not None or text.endswith(":")
            if not (_OPENING.match(text) and is_about) or (self.is_speech(self.lines[i].text) and text[-1:] != ":"):
                return
            self._take("a chat's first words", [i])

    def _cast_lists(self) -> None:
        for i in self._written():
            head = self._bare(i).rstrip(":").rstrip("*_ ")
            if _CAST.fullmatch(head) and self._is_heading(i) and (items := self._items(i + 1)):
                self._take("a cast list", [i, *items])
                self.cast |= {name for j in items if (name := _cast_name(self.lines[j].text))}
        self._cast_line()

    def _cast_line(self) -> None:
        """Take "Cast: TANSY (a crab), BRAM (a rock)", one line near the head of the script."""
        for i in self._written()[:CAST_WITHIN]:
            head, _, rest = self._bare(i).partition(":")
            if i in self.all_taken or not rest.strip() or not _CAST.fullmatch(head.strip("*_ ")):
                continue
            if ";" in rest:  # "TANSY, a crab; BRAM, a rock"
                rest = "; ".join(part.split(",")[0] + " ()" for part in rest.split(";") if part.strip(" ."))
            items = [item for item in re.split(_BETWEEN_CAST, rest) if item.strip()]
            names = [name for item in items if (name := _cast_name(item))]
            if len(names) == len(items) and (len(items) > 1 or "(" in rest):
                self._take("a cast list", [i])
                self.cast |= set(names)

    def _items(self, start: int) -> list[int]:
        """Return the places of a list's items: down to a blank line, over which only bullets go on."""
        items: list[int] = []
        after_blank = False
        for i in range(start, len(self.lines)):
            text = self.lines[i].text
            if not text.strip():
                after_blank = bool(items)
                continue
            bullet = _BULLET.fullmatch(text) is not None
            if _RULE.fullmatch(text) or text.lstrip().startswith("#") or (after_blank and not bullet):
                break
            if items and not bullet and not _ITEM.fullmatch(text) and text[:1] in " \t":
                items.append(i)  # a wrapped item
                continue
            if not (bullet or _ITEM.fullmatch(text)):
                break
            after_blank = False
            items.append(i)
        return items

    def _makers_notes(self) -> None:
        """Take a heading "Production Notes" with all below it, down to the next heading or rule."""
        self._take("notes for the makers", [i for i in self._written() if self._is_note(self._bare(i))])
        for i in self._written():
            head = self._bare(i).rstrip(":").rstrip("*_ ")
            if i in self.all_taken or not (_NOTES.fullmatch(head) and self._is_heading(i)):
                continue
            own = [i]
            is_marked = self.lines[i].text.lstrip().startswith("#")
            for j in range(i + 1, len(self.lines)):
                text = self.lines[j].text
                if _RULE.fullmatch(text) or text.lstrip().startswith("#"):
                    break
                if not is_marked and text.strip() and self.is_speech(text) and not _BULLET.fullmatch(text):
                    break
                own.append(j)
            self._take("notes for the makers", own)

    @staticmethod
    def _is_note(text: str) -> bool:
        """True for "Speaker notes: slowly" and "Notas: despacio"; "Note:" may be said, and is left to the reader."""
        head, _, rest = text.partition(":")
        is_headed = _NOTES.fullmatch(head.rstrip("*_ ")) is not None and head.casefold() not in ("note", "notes")
        return _NOTE_LINE.match(text) is not None or (is_headed and bool(rest.strip()) and len(head.split()) < 4)

    def _closing(self, is_alone: bool = False) -> None:
        """Take what stands behind the script; ``is_alone``: only below a blank line, for under a name it is spoken."""
        taken = set(self.all_taken)
        for i in reversed(self._written()):
            text = self._bare(i)
            before = self.lines[i - 1].text if i else ""
            is_after_blank = not before.strip() or _RULE.fullmatch(before) is not None
            if i in taken or _RULE.fullmatch(self.lines[i].text):
                continue
            if is_alone and not is_after_blank:
                return
            is_handed_over = _OPENING.match(text) and _ABOUT.search(text) and not self.is_speech(self.lines[i].text)
            if (_CLOSING.match(text) or (is_handed_over and i > 2)) and is_after_blank:
                self._take("a chat's closing words", [i])
            elif _FIGURES.fullmatch(text.strip("()[]*_ ")):
                self._take("figures about the script", [i])
            elif _END_MARK.fullmatch(text.strip("()[]*_ .!—–-")):
                self._take("the end mark", [i])
            else:
                return
