"""Everything an episode can be told, as frozen types with their defaults; ``timing.script.episode`` reads them.

Units: seconds are exact ``Fraction`` values, lengths on paper millimetres, money in the user's own unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Protocol

from timing.model.basics import LineKind
from timing.model.clock import FrameRate, Seconds
from timing.model.findings import FindingCode
from timing.model.learnt import Learnt
from timing.model.metre import COMMON_TIME, Metre
from timing.model.month import Allowance
from timing.plain.csv_text import CsvForm
from timing.plain.figures import figure

DELIVERIES = ("narration", "dialogue", "strong", "slow", "young")
DEFAULT_PROFILE = "default"
SHEET_PARTS = ("clips", "pictures", "queue", "strips", "frames", "bars", "lines")  # in the order of the set
FEWEST_ROWS, MOST_ROWS = 24, 100  # frame rows in one panel of a sheet


@dataclass(frozen=True)
class ClipProfile:
    """What one generator can return: ``lengths`` is its menu in seconds, sorted, without doubles.

    ``head`` and ``tail`` are the handles kept silent before the first and after the last sound. The defaults
    (any whole second from 3 to 8, handles 0.25 and 0.35 s, 7 takes) are common practice.

    A generation's price is ``cost_per_s`` times its length, or ``price_each``, or the one of its length in
    ``price_by_length``; with ``unlimited`` it costs nothing more and is counted against no allowance. The three
    allowances are this profile's own, ``minutes_each`` is how long one generation takes.
    """

    name: str = DEFAULT_PROFILE
    lengths: tuple[Seconds, ...] = tuple(Fraction(n) for n in range(3, 9))
    head: Seconds = Fraction(1, 4)
    tail: Seconds = Fraction(7, 20)
    takes: int = 7
    cost_per_s: Fraction | None = None
    price_each: Fraction | None = None
    price_by_length: tuple[tuple[Seconds, Fraction], ...] = ()
    seconds_a_month: Seconds | None = None
    generations_a_month: int | None = None
    money_a_month: Fraction | None = None
    unlimited: bool = False
    minutes_each: Fraction | None = None
    takes_noted: bool = False  # ``takes`` is the user's word, not the default or what was learnt

    def __post_init__(self) -> None:
        if not self.lengths:
            raise ValueError(f'clip profile "{self.name}" has no lengths; give for example lengths = [3, 5, 8]')
        if any(n <= 0 for n in self.lengths):
            raise ValueError(f'clip profile "{self.name}": every length must be more than 0 seconds')
        if self.head < 0 or self.tail < 0:
            raise ValueError(f'clip profile "{self.name}": handles cannot be negative')
        if self.head + self.tail >= max(self.lengths):
            raise ValueError(
                f'clip profile "{self.name}": head and tail ({figure(self.head + self.tail)} s together) '
                f"leave no room in the longest length ({figure(max(self.lengths))} s)"
            )
        if self.takes < 1:
            raise ValueError(f'clip profile "{self.name}": takes must be 1 or more')
        object.__setattr__(self, "lengths", tuple(sorted(set(self.lengths))))
        self._check_prices()

    def _check_prices(self) -> None:
        """Raise ValueError for prices and allowances that contradict each other."""
        is_priced = self.cost_per_s is not None or self.price_each is not None or bool(self.price_by_length)
        if self.cost_per_s is not None and (self.price_each is not None or self.price_by_length):
            raise ValueError(f'clip profile "{self.name}": give either cost_per_s or price_each, not both')
        if self.unlimited and (is_priced or self.has_allowance):
            raise ValueError(
                f'clip profile "{self.name}": unlimited means that a generation costs nothing more; take out either '
                "unlimited or its price and allowance"
            )
        if self.money_a_month is not None and not is_priced:
            raise ValueError(f'clip profile "{self.name}": money_a_month needs a price: cost_per_s or price_each')
        priced = dict(self.price_by_length)
        if priced and (lacking := [n for n in self.lengths if n not in priced]):
            raise ValueError(f'clip profile "{self.name}": price_each has no price for {figure(lacking[0])} s')
        if extra := [n for n in priced if n not in self.lengths]:
            raise ValueError(
                f'clip profile "{self.name}": price_each has a price for {figure(extra[0])} s, which is no length of it'
            )

    @property
    def has_allowance(self) -> bool:
        return any(n is not None for n in (self.seconds_a_month, self.generations_a_month, self.money_a_month))

    def price(self, length: Seconds) -> Fraction | None:
        """Return what one generation of a length on the menu costs, None where no price is known."""
        if self.unlimited:
            return Fraction(0)
        if self.cost_per_s is not None:
            return self.cost_per_s * length
        return dict(self.price_by_length).get(length, self.price_each)

    @property
    def longest(self) -> Seconds:
        return self.lengths[-1]

    @property
    def room(self) -> Seconds:
        """The longest speech that fits one generation with its handles."""
        return self.longest - self.head - self.tail

    def ask_for(self, need: Seconds) -> Seconds | None:
        """Return the shortest length on the menu that holds ``need`` seconds, None when none does."""
        return next((n for n in self.lengths if n >= need), None)


class Line(Protocol):
    """A line as far as it decides what makes its clip; ``profile`` is its note ``[[with NAME]]``."""

    @property
    def kind(self) -> LineKind: ...
    @property
    def speaker(self) -> str | None: ...
    @property
    def profile(self) -> str | None: ...


@dataclass(frozen=True)
class CastMember:
    """One speaker. ``pace`` is a factor on the predicted length (1.1 = 10 % longer), None for the delivery's own."""

    name: str
    delivery: str | None = None
    pace: Fraction | None = None
    profile: str | None = None


@dataclass(frozen=True)
class SongSettings:
    """One finished song, or one still to be made (``file`` None).

    ``downbeat`` is the time in the file of one first beat of a bar, in the steady part; ``first_bar`` the number of
    the bar that begins there. ``offset`` is added to all measured beats; ``vocal`` is the file in which the singing
    is heard (a vocal-only stem, or the song itself); ``instrumental`` the song without the singing; ``tune`` a MIDI or
    MusicXML file.
    """

    id: str
    file: str | None = None
    bpm: Fraction | None = None
    metre: Metre = COMMON_TIME
    downbeat: Seconds | None = None
    first_bar: int = 1
    offset: Seconds = Fraction(0)
    half_beat_shift: bool = False
    vocal: str | None = None
    instrumental: str | None = None
    tune: str | None = None
    title: str | None = None
    bars_a_line: int = 2


@dataclass(frozen=True)
class SayEntry:
    """How one word is said: the user's word, which always wins over dictionary and guess.

    ``syllables`` as printed pieces joined by hyphens in the file; ``stress`` the index of the main-stressed
    syllable from 0 (None: not said); ``phones`` ARPABET with or without stress digits, one tuple a syllable or
    empty; ``sounds_like`` an ordinary respelling, read by the language's own rules.
    """

    word: str
    syllables: tuple[str, ...] = ()
    stress: int | None = None
    phones: tuple[str, ...] = ()
    sounds_like: str | None = None


@dataclass(frozen=True)
class Gaps:
    """Silences the tool puts between lines, in seconds (settings; our own defaults).

    0.6 s between speeches equals the default handles, so that clips meet without overlap; it is also the pause
    between sentences found most natural by Liu et al., Frontiers in Psychology (2022).
    """

    line: Seconds = Fraction(3, 5)
    scene: Seconds = Fraction(3, 2)
    picture: Seconds = Fraction(3)  # an action passage without a noted length


@dataclass(frozen=True)
class Budget:
    """What may be generated in a month: seconds, money, or neither known."""

    seconds_a_month: Seconds | None = None
    money_a_month: Fraction | None = None
    currency: str = ""


@dataclass(frozen=True)
class SheetSettings:
    """How the printed set looks. ``rows`` None means the layout's own number for the rate."""

    paper: str = "A4"  # or "Letter"
    layout: str = "page"  # or "wide"
    rows: int | None = None  # in one panel; None: what fits
    parts: tuple[str, ...] = ("clips", "pictures", "queue", "frames", "bars")
    every_frame: bool = False  # print silence too
    only_clips: tuple[str, ...] = ()
    only_speakers: tuple[str, ...] = ()
    only_scenes: tuple[str, ...] = ()
    font: str | None = None  # a TrueType family: path without -Bold.ttf, -Italic.ttf


@dataclass(frozen=True)
class EpisodeSettings:
    """episode.toml over series.toml, checked; every field has a default so that a lone script is enough."""

    title: str | None = None
    code: str | None = None
    language: str = "en_US"
    rate: FrameRate = FrameRate(Fraction(24))
    delivery_rate: FrameRate | None = None
    cast: Mapping[str, CastMember] = field(default_factory=dict)  # by upper-case name
    profiles: Mapping[str, ClipProfile] = field(default_factory=lambda: {DEFAULT_PROFILE: ClipProfile()})
    default_profile: str = DEFAULT_PROFILE
    picture_profile: str | None = None  # for passages
    song_profile: str | None = None  # for sung lines
    songs: Mapping[str, SongSettings] = field(default_factory=dict)
    say: Mapping[str, SayEntry] = field(default_factory=dict)  # by lower-case word
    gaps: Gaps = Gaps()
    budget: Budget = Budget()
    sheet: SheetSettings = SheetSettings()
    fit_by: str = "high"  # ask for a length by the "high" or the "likely" estimate
    share_short_lines: bool = False
    caption_speed: bool = False  # say which captions are faster than children read
    caption_gap_frames: int = 0  # at least so many of the delivery's frames between two captions
    csv: CsvForm = CsvForm()
    mute_e: bool = True  # French: final e is silent in speech
    takes: Mapping[str, str] = field(default_factory=dict)  # line id -> recording, chosen by the user
    rest: Mapping[str, tuple[FindingCode, ...]] = field(default_factory=dict)  # line id -> findings put to rest
    shared: frozenset[str] = frozenset()  # what series.toml alone says: "cast.TANSY", "profile.pans", "language"
    learnt: Learnt = Learnt()

    @property
    def allowances(self) -> tuple[Allowance, ...]:
        """Every allowance of a month, [budget]'s first: that one is for profiles without one of their own."""
        limited = [p for p in self.profiles.values() if not p.unlimited]
        counted = tuple(p.name for p in limited if p.seconds_a_month is None and p.generations_a_month is None)
        paid = tuple(p.name for p in limited if p.money_a_month is None)
        wanted: list[tuple[str | None, str, Fraction | int | None, tuple[str, ...]]] = [
            (None, "seconds", self.budget.seconds_a_month, counted),
            (None, "money", self.budget.money_a_month, paid),
        ]
        for p in limited:
            wanted += [
                (p.name, "seconds", p.seconds_a_month, (p.name,)),
                (p.name, "generations", p.generations_a_month, (p.name,)),
                (p.name, "money", p.money_a_month, (p.name,)),
            ]
        return tuple(Allowance(name, unit, Fraction(n), own) for name, unit, n, own in wanted if n is not None)

    def profile_by_name(self, line: Line) -> str | None:
        """Return the profile that a line's note names, else its speaker's, None where neither says one."""
        member = self.cast.get((line.speaker or "").upper())
        return line.profile or (member.profile if member else None)

    def profile_of(self, line: Line) -> ClipProfile:
        """Return what makes a line's clip: what is named for it, else its kind's profile, else the default one."""
        by_kind = {LineKind.PICTURE: self.picture_profile, LineKind.SUNG: self.song_profile}.get(line.kind)
        return self.profiles[self.profile_by_name(line) or by_kind or self.default_profile]
