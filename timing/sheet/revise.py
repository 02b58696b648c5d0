"""Which sheet of paper is still true: numbers, letters and what to print again.

In: what each sheet of the new set says, row by row, and the register of the last set. Out: a label for every
sheet, the rows that changed, plain sentences, and the new register (kept in plan.json).

A sheet is the same when it says the same relative to what it counts from (a clip, a song), wherever that now lies
in the episode: neither its place on the episode's clock nor its page number belong to what it says. A sheet that is
the same keeps its label. Any other piece of paper gets a label no paper had before: the number it replaces or
stands behind, and the next free letter (added scenes take a letter, removed ones are left out: B. Lemay, "Exposure
Sheets"). Sheets behind the last one simply count on.
"""

from __future__ import annotations

import hashlib
import json
import re
import zlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

VERSION = 2
PART_NAMES = {"frames": "frame sheet", "bars": "bar sheet", "strips": "strip sheet"}
SLOT_END = "|"
NOTHING_EARLIER = (
    "No earlier set here to compare: if you have printed one, print all of this one and throw the other away."
)
OWN_PACE = (
    "Own pace: nothing of these clips changed, but how fast their speaker speaks, which estimated lines take from "
    "the recorded ones and their marks."
)
ESTIMATED = "estimated"
# Of what a sheet says, in the order in which a change is told; with one of ALL_FOLLOWS everything behind it changes.
REASONS = {"words": "words", "direction": "direction", "takes": "what came back", "origin": "recording",
           "times": "times", "ask": "what to ask for", "cues": "sounds and waits", "sound": "sound"}  # fmt: skip
ALL_FOLLOWS = ("words", "takes", "origin", "times")
_DIGITS = "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-_"
_PAIRS = [low + high for high in _DIGITS for low in _DIGITS]


@dataclass
class Sheet:
    """One sheet: where it belongs, a short digest of every row, and (once labelled) its label and changed rows.

    ``facts`` names what stands on it, ``aspects`` has for each of these, between bars, a digest of every one of
    ``REASONS`` and how it is timed, from which a changed sheet knows why. ``is_fresh``: to be printed since the last
    set.
    """

    part: str
    anchor: str
    index: int
    rows: tuple[str, ...]
    facts: str = ""
    label: str = ""
    changed: frozenset[int] = frozenset()
    aspects: str = ""
    is_fresh: bool = False

    @property
    def place(self) -> tuple[str, str, int]:
        return self.part, self.anchor, self.index

    @property
    def digest(self) -> str:
        return hashlib.sha256("\n".join((self.facts, *self.rows)).encode()).hexdigest()[:12]


@dataclass
class Revision:
    """A labelled set. ``register`` is plain JSON; ``sentences`` are empty for a first or an unchanged set."""

    sheets: list[Sheet]
    register: dict[str, Any]
    sentences: tuple[str, ...] = ()

    _by_place: dict[tuple[str, str, int], Sheet] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._by_place = {sheet.place: sheet for sheet in self.sheets}

    def sheet(self, part: str, anchor: str, index: int) -> Sheet:
        return self._by_place[part, anchor, index]


def row_digest(marks: Iterable[str]) -> str:
    """Return four characters that stand for what a row says; "" for a row that says nothing."""
    text = "\n".join(sorted(marks))
    if not text:
        return ""
    number = zlib.crc32(text.encode())
    return _PAIRS[number & 4095] + _PAIRS[number >> 12 & 4095]


def clip_news(
    clips: Mapping[str, tuple[str, str]], previous: Mapping[str, Any] | None
) -> tuple[dict[str, str], dict[str, Any]]:
    """Return what is new of each clip since the last set, and what the register keeps of the clips.

    ``clips`` has the words and the seconds asked for by clip id. The same clips as last time have the news they had:
    a rerun without a change writes the same bytes.
    """
    now = {clip_id: list(facts) for clip_id, facts in clips.items()}
    known = (previous or {}).get("clips")
    if not isinstance(known, Mapping) or not isinstance(known.get("asked"), Mapping):
        return {}, {"asked": now, "news": {}}
    before = known["asked"]
    if before == now:
        news = {str(k): str(v) for k, v in dict(known.get("news", {})).items()}
        return news, {"asked": now, "news": news}
    news = {}
    for clip_id, (words, ask) in clips.items():
        was = before.get(clip_id)
        if was is None:
            news[clip_id] = "new since the last set"
        elif was[0] != words:
            news[clip_id] = "words changed since the last set: ask again"
        elif was[1] != ask:
            news[clip_id] = f"now {ask} since the last set, was {was[1]}"
    return news, {"asked": now, "news": news}


def revise(
    sheets: Sequence[Sheet], design: str, previous: Mapping[str, Any] | None, printed: Collection[str] = (),
    was_printed: bool = False,
) -> Revision:  # fmt: skip
    """Label ``sheets`` against the register of the last set; ``design`` names paper, layout and rate.

    ``was_printed``: there may have been sets before, though their register is not here.

    The same content as last time gives the last set again, its marks of change included: a rerun without a change
    writes the same bytes.
    """
    old = readable(previous)
    content = hashlib.sha256(
        json.dumps([design, [[*s.place, s.digest] for s in sheets]], ensure_ascii=False).encode()
    ).hexdigest()[:16]
    if old is None:
        return _first_set(sheets, design, content, (NOTHING_EARLIER,) if was_printed else ())
    if old["content"] == content:
        return _same_set(sheets, old)
    if old["design"] != design:
        sentence = "Paper, layout, rows or frame rate have changed: print the whole set, throw the old one away."
        return _first_set(sheets, design, content, (sentence,))
    return _changed_set(sheets, design, content, old, printed)


def readable(previous: Mapping[str, Any] | None) -> Mapping[str, Any] | None:
    """Return a register this version can read; anything else counts as no register."""
    if not isinstance(previous, Mapping) or previous.get("version") != VERSION:
        return None
    needed = {"design": str, "content": str, "sheets": list, "letters": dict, "reprint": list}
    if any(not isinstance(previous.get(key), kind) for key, kind in needed.items()):
        return None
    if not all(isinstance(one, str) for one in previous["reprint"]):
        return None
    counts = [previous["letters"], previous.get("highest", {})]
    if not all(isinstance(c, Mapping) and all(_is_count(n) for n in c.values()) for c in counts):
        return None
    return previous if all(map(_is_entry, previous["sheets"])) else None


def _is_entry(sheet: Any) -> bool:
    """True where a sheet of a register has what :func:`_done` writes."""
    if not isinstance(sheet, Mapping):
        return False
    texts = all(isinstance(sheet.get(key), str) for key in ("part", "anchor", "label", "hash", "facts", "rows"))
    return (
        texts
        and _is_count(sheet.get("index"))
        and re.fullmatch(r"[0-9]{1,6}( [A-Z]{1,6})?", sheet["label"]) is not None
        and isinstance(sheet.get("aspects", ""), str)
        and isinstance(sheet.get("changed"), list)
        and all(_is_count(row) for row in sheet["changed"])
    )


def _is_count(found: Any) -> bool:
    return isinstance(found, int) and not isinstance(found, bool) and 0 <= found < 1_000_000


def _first_set(sheets: Sequence[Sheet], design: str, content: str, sentences: tuple[str, ...]) -> Revision:
    counts: dict[str, int] = {}
    for sheet in sheets:
        counts[sheet.part] = counts.get(sheet.part, 0) + 1
        sheet.label = str(counts[sheet.part])
    return _done(sheets, design, content, {}, sentences)


def _same_set(sheets: Sequence[Sheet], old: Mapping[str, Any]) -> Revision:
    known = {(s["part"], s["anchor"], s["index"]): s for s in old["sheets"]}
    for sheet in sheets:
        entry = known[sheet.place]
        sheet.label, sheet.changed = entry["label"], frozenset(entry["changed"])
        sheet.is_fresh = entry.get("fresh") is True
    return Revision(list(sheets), dict(old), tuple(old["reprint"]))


def _changed_set(
    sheets: Sequence[Sheet], design: str, content: str, old: Mapping[str, Any], printed: Collection[str]
) -> Revision:
    letters: dict[str, int] = dict(old["letters"])
    known = {(s["part"], s["anchor"], s["index"]): s for s in old["sheets"]}
    highest: dict[str, int] = {}
    for entry in old["sheets"]:
        highest[entry["part"]] = max(highest.get(entry["part"], 0), _number(entry["label"]))
    highest |= {part: max(highest.get(part, 0), n) for part, n in old.get("highest", {}).items()}
    last_old = {part: _last(part, old) for part in PART_NAMES}
    places = {sheet.place for sheet in sheets}
    replaced: dict[str, list[tuple[str, str, str]]] = {}
    added: dict[str, list[tuple[str, str]]] = {}
    before: dict[str, str] = {}
    survivors = {part: sum(s.part == part and s.place in known for s in sheets) for part in PART_NAMES}
    for sheet in sheets:
        entry = known.get(sheet.place)
        behind = before.get(sheet.part, "")
        if entry is not None:
            survivors[sheet.part] -= 1
            if entry["hash"] == sheet.digest:
                sheet.label = entry["label"]
            else:
                sheet.label = _next_label(sheet.part, _number(entry["label"]), letters)
                sheet.changed = _changed_rows(sheet, entry)
                sheet.is_fresh = True
                replaced.setdefault(sheet.part, []).append((entry["label"], sheet.label, _why(sheet, entry)))
        else:
            is_behind_all = survivors[sheet.part] == 0 and (last_old[sheet.part] or "0") == (behind or "0")
            if is_behind_all or _number(behind or "0") > highest.get(sheet.part, 0):
                highest[sheet.part] = highest.get(sheet.part, 0) + 1
                sheet.label = str(highest[sheet.part])
                last_old[sheet.part] = sheet.label
            else:
                sheet.label = _next_label(sheet.part, _number(behind or "0"), letters)
            sheet.changed = frozenset(at for at, row in enumerate(sheet.rows) if row)
            sheet.is_fresh = True
            added.setdefault(sheet.part, []).append((behind, sheet.label))
        before[sheet.part] = sheet.label
    gone: dict[str, list[str]] = {}
    for place, entry in known.items():
        if place not in places:
            gone.setdefault(entry["part"], []).append(entry["label"])
    sentences = tuple(
        text
        for part in printed or PART_NAMES
        if part in PART_NAMES
        if (text := _sentence(part, replaced.get(part, []), added.get(part, []), gone.get(part, [])))
    )
    if any("own pace" in text for text in sentences):
        sentences = (*sentences, OWN_PACE)
    return _done(sheets, design, content, letters, sentences, highest)


def _last(part: str, old: Mapping[str, Any]) -> str:
    labels = [s["label"] for s in old["sheets"] if s["part"] == part]
    return labels[-1] if labels else ""


def _number(label: str) -> int:
    return int(label.split(" ")[0] or 0)


def _next_label(part: str, number: int, letters: dict[str, int]) -> str:
    """Return the number with the next letter nobody had: A to Z, then AA.

    >>> letters = {}
    >>> _next_label("frames", 6, letters), _next_label("frames", 6, letters)
    ('6 A', '6 B')
    """
    key = f"{part} {number}"
    letters[key] = count = letters.get(key, 0) + 1
    letter = ""
    while count:
        count, rest = divmod(count - 1, 26)
        letter = chr(ord("A") + rest) + letter
    return f"{number} {letter}"


def _changed_rows(sheet: Sheet, entry: Mapping[str, Any]) -> frozenset[int]:
    was = str(entry["rows"]).split(" ")
    if sheet.part == "frames":
        return _changed_in_slots(sheet, was, str(entry["facts"]).split(" "))
    if sheet.part == "strips":  # a row is a clip: one that only moved up or down is not changed
        return frozenset(at for at, row in enumerate(sheet.rows) if row not in was)
    longest = max(len(was), len(sheet.rows))
    old_rows = [*was, *[""] * (longest - len(was))]
    return frozenset(at for at, row in enumerate(sheet.rows) if row != old_rows[at])


def _changed_in_slots(sheet: Sheet, was: Sequence[str], names: Sequence[str]) -> frozenset[int]:
    """Return the changed rows of a sheet that clips share: each clip's rows are held against its own."""
    old = dict(zip(names, _slots(was), strict=False))
    changed, at = [], 0
    for name, rows in zip(sheet.facts.split(" "), _slots(sheet.rows), strict=False):
        before = old.get(name, [])
        changed += [at + n for n, row in enumerate(rows) if row != (before[n] if n < len(before) else "")]
        at += len(rows) + 1
    return frozenset(changed)


def _slots(rows: Sequence[str]) -> list[list[str]]:
    """Return a sheet's rows by slots; each ends with SLOT_END."""
    found: list[list[str]] = [[]]
    for row in rows:
        if row == SLOT_END:
            found.append([])
        else:
            found[-1].append(row)
    return found[:-1]


def _why(sheet: Sheet, entry: Mapping[str, Any]) -> str:
    """Return why a sheet is not the one before, "words, times"; empty where the register does not tell."""
    now, then = [""], [""]
    if sheet.part != "bars":
        now, then = sheet.facts.split(" "), str(entry["facts"]).split(" ")
    new, old = sheet.aspects.split("|"), str(entry.get("aspects", "")).split("|")
    if not sheet.aspects or len(old) != len(then):
        return ""
    found = [] if set(now) == set(then) else ["other clips on it"]
    for name, digests in zip(now, new, strict=True):
        if name in then:
            found += _reasons(digests.split(" "), old[then.index(name)].split(" "))
    return ", ".join(dict.fromkeys(found)) or "layout"


def _reasons(new: Sequence[str], old: Sequence[str]) -> list[str]:
    """Return what differs; of what follows from something else only that, for with other words all else changes."""
    differ = [about for about, a, b in zip(REASONS, new, old, strict=False) if a != b]
    first = differ[0] if differ else ""
    if first == "times" and new[-1] == old[-1] == ESTIMATED:
        return ["own pace"]
    return [REASONS[first]] if first in ALL_FOLLOWS else [REASONS[about] for about in differ]


def _sentence(
    part: str, replaced: Sequence[tuple[str, str, str]], added: Sequence[tuple[str, str]], gone: Sequence[str]
) -> str:
    steps = []
    if replaced:
        steps += _runs(replaced)
    if added:
        runs: list[tuple[str, list[str]]] = []
        for behind, label in added:
            if runs and behind == runs[-1][1][-1]:
                runs[-1][1].append(label)
            else:
                runs.append((behind, [label]))
        steps += [f"print {_listed(new)}, new, " + (f"behind {at}" if at else "in front") for at, new in runs]
    if gone:
        steps.append("throw away " + _listed(gone))
    return f"{PART_NAMES[part].capitalize()}s: {'; '.join(steps)}." if steps else ""


def _runs(replaced: Sequence[tuple[str, str, str]]) -> list[str]:
    """Return "print 23 A in place of 23 (words)"; for neighbours "print 23 A to 66 A in place of 23 to 66"."""
    runs: list[list[tuple[str, str, str]]] = []
    for old, new, why in replaced:
        last = runs[-1][-1] if runs else None
        follows = last and old.isdigit() and last[0].isdigit() and int(old) == int(last[0]) + 1
        if last and follows and why == last[2] and new.removeprefix(old) == last[1].removeprefix(last[0]):
            runs[-1].append((old, new, why))
        else:
            runs.append([(old, new, why)])
    told = []
    for run in runs:
        first, last = run[0], run[-1]
        to = (f" to {last[1]}", f" to {last[0]}") if len(run) > 1 else ("", "")
        told.append(f"print {first[1]}{to[0]} in place of {first[0]}{to[1]}" + (f" ({first[2]})" if first[2] else ""))
    return told


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names)


def _done(
    sheets: Sequence[Sheet], design: str, content: str, letters: dict[str, int], sentences: tuple[str, ...],
    highest: dict[str, int] | None = None,
) -> Revision:  # fmt: skip
    register = {
        "version": VERSION,
        "design": design,
        "content": content,
        "letters": letters,
        "highest": highest or {},
        "reprint": list(sentences),
        "sheets": [
            {
                "part": s.part, "anchor": s.anchor, "index": s.index, "label": s.label,
                "hash": s.digest, "facts": s.facts,
                "rows": " ".join(s.rows), "changed": sorted(s.changed), "aspects": s.aspects,
                **({"fresh": True} if s.is_fresh else {}),
            }
            for s in sheets
        ],
    }  # fmt: skip
    return Revision(list(sheets), register, sentences)
