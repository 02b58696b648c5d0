"""learnt.toml, beside series.toml: what each episode taught about its speakers' pace and its profiles' takes.

Read strictly, written with people's comments, their rows and their own keys; a row is one episode's and only that
episode's runs change it. A row of any other name is a person's and counts like an episode's.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from timing.memory.clips import ACCEPTED, Memory
from timing.memory.kept_text import kept_text
from timing.memory.ledger import Row
from timing.model import Plan
from timing.model.learnt import Learnt, LearntPace, LearntTakes
from timing.plain.errors import SettingsError
from timing.plain.nearest import nearest
from timing.plain.numbers import exact
from timing.plain.toml_lines import KeyLines, syntax_message

FILE_NAME = "learnt.toml"
HEAD = """\
# What the episodes of this series taught; the next one uses it. Each row is written anew by its own episode's runs.
# A row of your own counts like an episode's. Comments stay.
#   pace:   how long a speaker's recorded lines last beside the estimate, 1.1 = a tenth longer
#   takes:  how many were generated for each clip that was accepted
"""
_PACES, _TAKES = (Fraction(1, 4), Fraction(4)), (Fraction(1), Fraction(1000))
_MOST = 10**6


def read_learnt(series: Path) -> Learnt:
    """Return what the episodes of a series taught, nothing where there is no file; raises SettingsError for slips."""
    path = series / FILE_NAME
    text = kept_text(path)
    return Learnt() if text is None else _Reader(text, path).read()


class _Reader:
    def __init__(self, text: str, path: Path):
        self.text, self.path, self.places = text, path, KeyLines(text)

    def error(self, message: str, *keys: str) -> SettingsError:
        return SettingsError(message, self.path, self.places.find(keys) if keys else None)

    def read(self) -> Learnt:
        try:
            content = tomllib.loads(self.text, parse_float=exact)
        except tomllib.TOMLDecodeError as error:
            number, message = syntax_message(str(error), self.text)
            raise SettingsError(f"cannot be read: {message}; mend it, or restore it", self.path, number) from None
        except (ValueError, RecursionError) as error:
            raise self.error(f"cannot be read: {error}; mend it, or restore it") from None
        self._refuse_slips(content, ("pace", "takes"))
        paces = self._rows(content, "pace", ("pace", "lines"), _PACES)
        takes = self._rows(content, "takes", ("takes", "clips"), _TAKES)
        return Learnt(
            {who.upper(): {e: LearntPace(float(p), n) for e, (p, n) in rows.items()} for who, rows in paces.items()},
            {name: {e: LearntTakes(t, n) for e, (t, n) in rows.items()} for name, rows in takes.items()},
        )

    def _refuse_slips(self, table: Mapping[str, Any], known: Sequence[str], *inside: str) -> None:
        for key in table:
            if key not in known and (near := nearest(key, known)):
                place = f"[{'.'.join(inside)}] " if inside else ""
                raise self.error(f'{place}there is no key "{key}"; did you mean "{near[0]}"?', *inside, key)

    def _rows(
        self, content: Mapping[str, Any], kind: str, keys: tuple[str, str], limits: tuple[Fraction, Fraction]
    ) -> dict[str, dict[str, tuple[Fraction, int]]]:
        value, count = keys
        example = f"EPISODE = {{ {value} = {'1.1' if kind == 'pace' else '4.5'}, {count} = 9 }}"
        tables = content.get(kind, {})
        if not isinstance(tables, Mapping):
            raise self.error(f"{kind} is a table for each name, such as [{kind}.NAME]", kind)
        found: dict[str, dict[str, tuple[Fraction, int]]] = {}
        for name, rows in tables.items():
            if not isinstance(rows, Mapping):
                raise self.error(f"[{kind}] {name} is a table of rows: {example}", kind, name)
            for episode, row in rows.items():
                where = f"[{kind}.{name}] {episode}"
                if not isinstance(row, Mapping):
                    raise self.error(f"{where} is a row such as {example}", kind, name, episode)
                self._refuse_slips(row, keys, kind, name, episode)
                if not _is_number(row.get(value)) or not limits[0] <= row[value] <= limits[1]:
                    low, high = (f"{float(n):g}" for n in limits)
                    raise self.error(f"{where}: {value} is a number from {low} to {high}", kind, name, episode)
                if type(row.get(count)) is not int or not 1 <= row[count] <= _MOST:
                    raise self.error(f"{where}: {count} is a whole number, 1 or more", kind, name, episode)
                found.setdefault(name, {})[episode] = (Fraction(row[value]), row[count])
        return found


def _is_number(value: Any) -> bool:
    return isinstance(value, int | Fraction) and not isinstance(value, bool)


def takes_needed(plan: Plan, memory: Memory, rows: Sequence[Row], episode: str) -> dict[str, LearntTakes]:
    """Return, by profile, how many takes the accepted clips of an episode needed.

    Of a clip the files that came back count, or its rows in the series' ledger where there are more: those thrown
    away stand there alone. A row of a person's says whose clip it was as ``EPISODE/C04``.
    """
    needed: dict[str, list[int]] = {}
    for clip in (plan.requested or plan).clips:
        entry = memory.clips.get(clip.id)
        if entry is None or entry.state != ACCEPTED:
            continue
        own = sum(_is_of(row, episode, clip.id) for row in rows)
        needed.setdefault(clip.profile, []).append(max(1, len(entry.files), own))
    return {name: LearntTakes(Fraction(sum(counts), len(counts)), len(counts)) for name, counts in needed.items()}


def _is_of(row: Row, episode: str, clip: str) -> bool:
    return row.clip == f"{episode}/{clip}" or (row.clip == clip and row.file.startswith(f"{episode}/"))


def keep_learnt(series: Path, episode: str, paces: Mapping[str, LearntPace], takes: Mapping[str, LearntTakes]) -> bool:
    """Write what this episode teaches into the series' learnt.toml; True where something changed.

    What it taught before and does not teach now (a recording was taken away) stays. A file that cannot be read is an
    error and stays as it is.
    """
    from timing.plain.files import locked, replace_file

    likely = sorted((who, p) for who, p in paces.items() if _PACES[0] < round(p.pace, 3) < _PACES[1])
    rows = [("pace", who, {"lines": p.lines, "pace": round(p.pace, 3)}) for who, p in likely]
    rows += [("takes", n, {"clips": t.clips, "takes": round(float(t.takes), 2)}) for n, t in sorted(takes.items())]
    if not rows or not _changed(series, episode, rows):
        return False
    with locked(series):
        if changed := _changed(series, episode, rows):
            path = series / FILE_NAME
            old = path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n") if path.exists() else HEAD
            replace_file(path, _with_rows(old, episode, changed).encode())
    return True


_Rows = Sequence[tuple[str, str, Mapping[str, Any]]]


def _changed(series: Path, episode: str, rows: _Rows) -> _Rows:
    """Return the rows that learnt.toml does not have as they are."""
    learnt = read_learnt(series)
    kept: dict[tuple[str, str], Mapping[str, Any]] = {}
    for who, paces in learnt.paces.items():
        if row := paces.get(episode):
            kept["pace", who] = {"lines": row.lines, "pace": round(row.pace, 3)}
    for name, takes in learnt.takes.items():
        if one := takes.get(episode):
            kept["takes", name] = {"clips": one.clips, "takes": round(float(one.takes), 2)}
    return [(kind, name, facts) for kind, name, facts in rows if kept.get((kind, name)) != facts]


def _with_rows(text: str, episode: str, rows: _Rows) -> str:
    import tomlkit
    from tomlkit.items import Table

    document = tomlkit.parse(text)
    for kind, name, facts in rows:
        if kind not in document:
            document[kind] = tomlkit.table(is_super_table=True)
        outer: Any = document[kind]
        fold = str.upper if kind == "pace" else str
        key = next((key for key in outer if fold(key) == name), name)
        if key not in outer:
            outer[key] = tomlkit.table()
        table: Table = outer[key]
        if episode in table:
            for fact, value in facts.items():
                table[episode][fact] = value
        else:
            row = tomlkit.inline_table()
            row.update(facts)
            table[episode] = row
    return tomlkit.dumps(document)
