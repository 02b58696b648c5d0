"""episode.toml, over a series.toml, -> :class:`timing.model.settings.EpisodeSettings`.

Every key is optional. A key nobody knows is an error that offers the nearest one that is known; a value of the
wrong kind is one sentence with file and line. Numbers are read exactly as written (``96.5`` is 193/2).
The keys are those of :data:`timing.script.template.TEMPLATE`, which explains each of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeVar

from timing.model import VOWELS
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.settings import (
    DEFAULT_PROFILE,
    DELIVERIES,
    FEWEST_ROWS,
    MOST_ROWS,
    Budget,
    CastMember,
    ClipProfile,
    EpisodeSettings,
    Gaps,
    SayEntry,
    SheetSettings,
    SongSettings,
)
from timing.plain.csv_text import SEPARATORS, CsvForm
from timing.plain.errors import SettingsError
from timing.plain.figures import figure
from timing.plain.limits import LONGEST_GAP_S, MOST_SAYINGS
from timing.plain.nearest import meant
from timing.plain.toml_lines import KeyLines
from timing.script import values
from timing.script.notes import slug
from timing.script.settings_files import SettingsFile, SettingsText, parse_settings_file, read_settings_file
from timing.script.template import TEMPLATE
from timing.script.unused import unused

__all__ = ["FILE_NAME", "TEMPLATE", "parse_episode", "read_episode", "unused"]

FILE_NAME = "episode.toml"
_gap = values.between(Fraction(0), Fraction(LONGEST_GAP_S))
_T = TypeVar("_T")
_D = TypeVar("_D")


def read_episode(path: Path, series: Path | None = None) -> EpisodeSettings:
    """Return the settings in an episode.toml, over those of a series.toml; raises SettingsError with file and line.

    Either file may be missing where the other one is there.
    """
    is_there = series is None or Path(path).exists()
    own = read_settings_file(path) if is_there else SettingsFile(path, {}, KeyLines(""))
    if series is None:
        return _Episode(SettingsText(own)).read()
    shared = read_settings_file(series)
    both = SettingsText(own, shared)
    _Episode(SettingsText(shared)).read()  # it has to make sense by itself: what is wrong then is between the two
    return _Episode(both).read()


def parse_episode(text: str, path: Path | str) -> EpisodeSettings:
    """Return the settings in the text of an episode.toml; ``path`` is named in messages."""
    return _Episode(SettingsText(parse_settings_file(text, path))).read()


class _Table:
    """One table of the file, read key by key; what is left over is unknown."""

    def __init__(self, values: Mapping[str, Any], path: tuple[str, ...], owner: _Episode):
        self.values, self.path, self.owner = values, path, owner
        self.known: set[str] = set()

    def error(self, key: str | None, message: str, about: str = "") -> SettingsError:
        """Return an error at ``key`` (None: the table); what it or ``about`` names may stand in the other file."""
        path = self.path if key is None else (*self.path, key)
        file, line = self.owner.text.place(path)
        return SettingsError(message + self.owner.text.elsewhere(self.path, f"{message} {about}", file), file, line)

    def name(self, key: str) -> str:
        """How messages call a key: "rate", "song.out-and-in.bpm"."""
        return ".".join((*self.path, key))

    def get(self, key: str, read: Callable[[Any, str], _T], default: _D) -> _T | _D:
        """Return the value of ``key`` as ``read`` makes it, or the default where the key is absent."""
        self.known.add(key)
        if key not in self.values:
            return default
        try:
            return read(self.values[key], self.name(key))
        except ValueError as error:
            raise self.error(key, str(error)) from None

    def table(self, key: str) -> _Table:
        self.known.add(key)
        value = self.values.get(key, {})
        if not isinstance(value, Mapping):
            raise self.error(key, f"{self.name(key)} is a table: write [{self.name(key)}] on a line of its own")
        return _Table(value, (*self.path, key), self.owner)

    def tables(self, key: str) -> dict[str, _Table]:
        """Return the named tables below ``key``: [song.out-and-in] [song.lullaby]."""
        outer = self.table(key)
        for name, value in outer.values.items():
            if not isinstance(value, Mapping):
                raise outer.error(name, f"{outer.name(name)}: name what it is for, as in [{key}.NAME], then its keys")
        return {name: outer.table(name) for name in outer.values}

    def finish(self) -> None:
        """Raise SettingsError for the first key that was never asked for."""
        for key in self.values:
            if key in self.known:
                continue
            place = f" in [{'.'.join(self.path)}]" if self.path else ""
            advice = meant(key, self.known, f"known are: {', '.join(sorted(self.known))}")
            raise self.error(key, f'there is no key "{key}"{place}; {advice}')


class _Episode:
    """Reads the whole of it."""

    def __init__(self, text: SettingsText):
        self.text = text

    def read(self) -> EpisodeSettings:
        top = _Table(self.text.content, (), self)
        plain = EpisodeSettings()
        profiles = self._profiles(top)
        self._check_currency(top)
        default_profile = top.get("default_profile", values.text_value, self._default_profile(profiles))
        if default_profile not in profiles:
            raise top.error("default_profile", values.unknown(default_profile, profiles, "clip profile"))
        for key in ("picture_profile", "song_profile"):
            if (name := top.get(key, values.text_value, None)) is not None and name not in profiles:
                raise top.error(key, values.unknown(name, profiles, "clip profile"))
        settings = EpisodeSettings(
            title=top.get("title", values.title, None),
            code=top.get("code", values.text_value, None),
            language=top.get("language", values.language_code, plain.language),
            rate=self._rate(top, "rate", plain.rate),
            delivery_rate=self._rate(top, "delivery_rate", None),
            cast=self._cast(top, profiles),
            profiles=profiles,
            default_profile=default_profile,
            picture_profile=top.get("picture_profile", values.text_value, None),
            song_profile=top.get("song_profile", values.text_value, None),
            songs=self._songs(top),
            say=self._say(top.table("say")),
            gaps=self._gaps(top.table("gaps")),
            budget=self._budget(top.table("budget")),
            sheet=self._sheet(top),
            fit_by=top.get("fit_by", values.one_of("high", "likely"), plain.fit_by),
            share_short_lines=top.get("share_short_lines", values.flag, False),
            caption_speed=top.get("caption_speed", values.flag, False),
            caption_gap_frames=top.get("caption_gap_frames", values.whole(0, 12), 0),
            csv=CsvForm(
                top.get("csv_separator", values.one_of(*SEPARATORS), plain.csv.separator),
                top.get("csv_decimal", values.one_of(".", ","), plain.csv.decimal),
            ),
            mute_e=top.get("mute_e", values.flag, True),
            takes=self._takes(top.table("takes")),
            rest=self._rest(top.table("rest")),
        )
        top.finish()
        return replace(settings, shared=self._shared(settings))

    def _shared(self, settings: EpisodeSettings) -> frozenset[str]:
        """Return the names of what the series says and this episode does not."""
        named = [("cast", name) for name in settings.cast] + [("say", name) for name in settings.say]
        named += [("profile", name) for name in settings.profiles]
        keys = (("picture_profile",), ("song_profile",), ("language",))
        return frozenset(".".join(path) for path in (*named, *keys) if self.text.is_shared(*path))

    def _check_currency(self, top: _Table) -> None:
        """Raise SettingsError for an episode in another currency: the ledger is one for the whole series."""
        series, budget = self.text.series, top.table("budget")
        shared = series.content.get("budget", {}) if series else {}
        theirs = shared.get("currency") if isinstance(shared, Mapping) else None
        own = budget.values.get("currency")
        if series and isinstance(theirs, str) and isinstance(own, str) and own.strip() != theirs.strip():
            message = (
                f'currency is "{own}" here and "{theirs}" in {series.path}:{series.line_of(("budget", "currency"))}; '
                "all episodes of a series are counted in one"
            )
            raise budget.error("currency", message)

    def _rate(self, top: _Table, key: str, default: Any) -> Any:
        drop_key = "drop_frame" if key == "rate" else "delivery_drop_frame"
        drop = top.get(drop_key, values.flag, False)
        rate = top.get(key, values.frame_rate, default)
        if not drop:
            return rate
        if rate is None:
            raise top.error(drop_key, f"{drop_key} needs {key}")
        try:
            return replace(rate, drop_frame=True)
        except ValueError as error:
            raise top.error(drop_key, str(error), key) from None

    def _profiles(self, top: _Table) -> dict[str, ClipProfile]:
        found = {DEFAULT_PROFILE: ClipProfile()}
        for name, table in top.tables("profile").items():
            if twin := next((n for n in found if n != name and n.casefold() == name.casefold()), None):
                raise table.error(
                    None, f'there is a clip profile "{twin}" too; write both names alike, or one of them anew'
                )
            found[name] = self._profile(name, table)
        return found

    @staticmethod
    def _default_profile(profiles: Mapping[str, ClipProfile]) -> str:
        """The one profile the user wrote is everybody's; with several, the one called "default" is."""
        own = [name for name in profiles if name != DEFAULT_PROFILE]
        return own[0] if len(own) == 1 and profiles[DEFAULT_PROFILE] == ClipProfile() else DEFAULT_PROFILE

    @staticmethod
    def _profile(name: str, table: _Table) -> ClipProfile:
        plain = ClipProfile()
        lengths = table.get("lengths", values.lengths, None)
        low = table.get("shortest_s", values.positive, None)
        high = table.get("longest_s", values.positive, None)
        step = table.get("step_s", values.positive, None)
        if low is not None or high is not None or step is not None:
            if lengths:
                raise table.error("lengths", "give either lengths or shortest_s, longest_s and step_s, not both")
            lengths = _range(table, low, high, step)
        head = table.get("head_s", values.not_negative, plain.head)
        tail = table.get("tail_s", values.not_negative, plain.tail)
        takes = table.get("takes", values.whole(1, 1000), plain.takes)
        cost = table.get("cost_per_s", values.not_negative, None)
        price = table.get("price_each", values.prices, None)
        allowed = table.get("generations_a_month", values.whole(1, 10**6), None)
        seconds = table.get("seconds_a_month", values.allowance, None)
        money = table.get("money_a_month", values.allowance, None)
        for key in ("price", "cost"):
            if key in table.values:
                raise table.error(key, f"{key} of what? write cost_per_s (a second) or price_each (a generation)")
        unlimited = table.get("unlimited", values.flag, False)
        minutes = table.get("minutes_each", values.positive, None)
        table.finish()
        each, by_length = (None, price) if isinstance(price, tuple) else (price, ())
        try:
            return ClipProfile(
                name, lengths or plain.lengths, head, tail, takes, cost, each, by_length, seconds, allowed, money,
                unlimited, minutes, "takes" in table.values,
            )  # fmt: skip
        except ValueError as error:
            raise table.error(None, str(error)) from None

    @staticmethod
    def _cast(top: _Table, profiles: Mapping[str, ClipProfile]) -> dict[str, CastMember]:
        found = {}
        for name, table in top.tables("cast").items():
            profile = table.get("profile", values.text_value, None)
            if profile is not None and profile not in profiles:
                raise table.error("profile", values.unknown(profile, profiles, "clip profile"))
            found[name.upper()] = CastMember(
                name.upper(),
                table.get("delivery", values.one_of(*DELIVERIES), None),
                table.get("pace", values.pace, None),
                profile,
            )
            table.finish()
        return found

    def _songs(self, top: _Table) -> dict[str, SongSettings]:
        songs: dict[str, SongSettings] = {}
        written: dict[str, str] = {}
        for name, table in top.tables("song").items():
            song_id = slug(name)
            if song_id in songs:
                message = f'"{name}" and "{written[song_id]}" are one name for a song; call one of them something else'
                raise top.table("song").error(name, message)
            songs[song_id], written[song_id] = self._song(song_id, table), name
        return songs

    @staticmethod
    def _song(name: str, table: _Table) -> SongSettings:
        plain = SongSettings(name)
        song = SongSettings(
            name,
            file=table.get("file", values.file_name, None),
            bpm=table.get("bpm", values.between(Fraction(20), Fraction(400)), None),
            metre=table.get("metre", values.metre, plain.metre),
            downbeat=table.get("downbeat_s", values.not_negative, None),
            first_bar=table.get("first_bar", values.whole(-999, 9999), plain.first_bar),
            offset=table.get("offset_ms", values.number, Fraction(0)) / 1000,
            half_beat_shift=table.get("half_beat_shift", values.flag, False),
            vocal=table.get("vocal", values.file_name, None),
            instrumental=table.get("instrumental", values.file_name, None),
            tune=table.get("tune", values.file_name, None),
            title=table.get("title", values.title, None),
            bars_a_line=table.get("bars_a_line", values.whole(1, 64), plain.bars_a_line),
        )
        table.finish()
        return song

    @staticmethod
    def _gaps(table: _Table) -> Gaps:
        plain = Gaps()
        gaps = Gaps(
            line=table.get("line_s", _gap, plain.line),
            scene=table.get("scene_s", _gap, plain.scene),
            picture=table.get("picture_s", values.positive, plain.picture),
        )
        table.finish()
        return gaps

    @staticmethod
    def _budget(table: _Table) -> Budget:
        budget = Budget(
            seconds_a_month=table.get("seconds_a_month", values.allowance, None),
            money_a_month=table.get("money_a_month", values.allowance, None),
            currency=table.get("currency", values.text_value, ""),
        )
        table.finish()
        return budget

    @staticmethod
    def _sheet(top: _Table) -> SheetSettings:
        table = top.table("sheet")
        plain = SheetSettings()
        paper = values.one_of("A4", "Letter", fold=True)
        sheet = SheetSettings(
            paper=table.get("paper", paper, top.get("paper", paper, plain.paper)),
            layout=table.get("layout", values.one_of("page", "wide"), plain.layout),
            rows=table.get("rows", values.whole(FEWEST_ROWS, MOST_ROWS), None),
            parts=table.get("parts", values.sheet_parts, plain.parts),
            every_frame=table.get("every_frame", values.flag, False),
            only_clips=table.get("only_clips", values.texts, ()),
            only_speakers=table.get("only_speakers", values.texts, ()),
            only_scenes=table.get("only_scenes", values.texts, ()),
            font=table.get("font", values.file_name, None),
        )
        table.finish()
        return sheet

    @staticmethod
    def _say(table: _Table) -> dict[str, SayEntry]:
        if len(table.values) > MOST_SAYINGS:
            raise table.error(None, f"[say] has {len(table.values):,} words; {MOST_SAYINGS:,} are the most")
        found = {}
        for word in table.values:
            if isinstance(table.values[word], Mapping):
                found[word.casefold()] = _say_entry(word, table.table(word))
            else:
                found[word.casefold()] = SayEntry(word, sounds_like=table.get(word, values.text_value, None))
        return found

    @staticmethod
    def _rest(table: _Table) -> dict[str, tuple[FindingCode, ...]]:
        return {line_id: table.get(line_id, values.finding_codes, ()) for line_id in table.values}

    @staticmethod
    def _takes(table: _Table) -> dict[str, str]:
        return {line_id: table.get(line_id, values.reading, "") for line_id in table.values}


def _say_entry(word: str, table: _Table) -> SayEntry:
    """``{ syllables = "plip-per-ing", stress = 1, sounds = "P L IH1 P …", like = "plippering" }``."""
    syllables = table.get("syllables", values.text_value, None)
    pieces = tuple(p for p in (syllables or "").split("-") if p)
    if syllables is not None and "".join(pieces).casefold() != word.replace("-", "").casefold():
        raise table.error("syllables", f'the syllables "{syllables}" do not join to the word "{word}"')
    sounds: tuple[str, ...] = table.get("sounds", values.sounds, ())
    count = len(pieces) or sum(1 for s in sounds if s.rstrip("012") in VOWELS) or 30
    stress = table.get("stress", values.whole(1, count), None)
    entry = SayEntry(
        word, pieces, None if stress is None else stress - 1, sounds, table.get("like", values.text_value, None)
    )  # fmt: skip
    table.finish()
    if entry == SayEntry(word):
        raise table.error(None, f'"{word}" in [say] says nothing; write for example {word} = "ordinary respelling"')
    return entry


def _range(table: _Table, low: Fraction | None, high: Fraction | None, step: Fraction | None) -> tuple[Seconds, ...]:
    if low is None or high is None:
        missing = "shortest_s" if low is None else "longest_s"
        raise table.error(None, f"{table.name(missing)} is missing; a range needs shortest_s and longest_s")
    step = Fraction(1) if step is None else step
    if low > high:
        raise table.error("shortest_s", f"shortest_s ({figure(low)}) is more than longest_s ({figure(high)})")
    count = int((high - low) / step)
    if count > values.MOST_LENGTHS:
        raise table.error("step_s", f"step_s is too small: it makes more than {values.MOST_LENGTHS} lengths")
    return tuple(low + n * step for n in range(count + 1))
