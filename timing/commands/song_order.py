"""Which tempo to order a song at: what each tempo near a wish makes of its lines, their clips and the cost.

In: an opened source, the song's id, a wish in felt beats a minute. Out: an :class:`Order` for each tempo at which
every beat or every bar lasts whole frames, and for the wish itself; as a table or as plain values. The song is planned
as one still to be made, all else of the episode as it is.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from timing.model.clock import FrameRate, Seconds
from timing.model.findings import FindingCode
from timing.model.metre import Metre
from timing.plain.errors import InputError
from timing.plain.nearest import meant
from timing.song.frames import WholeFrameTempo, whole_frame_tempos_within

if TYPE_CHECKING:
    from timing.model import Plan
    from timing.script.source import Source

BEATS_WITHIN, BARS_WITHIN = Fraction(1, 5), Fraction(3, 50)  # of the wish; our own choice of what is still "near"
SLOWEST, FASTEST = 20, 400


@dataclass(frozen=True, slots=True)
class Order:
    """One tempo; ``tempo.frames`` is 0 for a wish that falls on no whole frames.

    ``song`` is its length, ``lines`` (id, length) of its sung lines, ``asks`` how many of their clips ask for each
    length (None: no length on the menu holds it), ``generate`` and ``cost`` those of the whole episode; ``too_fast``
    counts lines with a syllable too short to draw.
    """

    tempo: WholeFrameTempo
    song: Seconds
    lines: tuple[tuple[str, Seconds], ...]
    asks: tuple[tuple[Seconds | None, int], ...]
    generate: Seconds
    cost: Fraction | None
    too_fast: int


def orders(source: Source, name: str | None, wish: Fraction, metre: Metre | None = None) -> tuple[str, list[Order]]:
    """Return the song's id and what each tempo makes of it, slowest first; raises InputError."""
    from timing.model.settings import SongSettings
    from timing.pipeline import make_plan

    if not SLOWEST <= wish <= FASTEST:
        raise InputError(f"{float(wish):g} is no tempo; give {SLOWEST} to {FASTEST} beats a minute")
    sung = list(dict.fromkeys(song.id for song in make_plan(source).plan.songs))
    song_id = chosen(name, sung)
    settings = source.settings.songs.get(song_id) or SongSettings(song_id)
    metre = metre or settings.metre
    found = []
    for tempo in candidates(wish, source.settings.rate, metre):
        made = replace(settings, file=None, vocal=None, instrumental=None, bpm=tempo.bpm, metre=metre)
        songs = {**source.settings.songs, song_id: made}
        plan = make_plan(replace(source, settings=replace(source.settings, songs=songs))).plan
        found.append(_order(tempo, song_id, plan.requested or plan))
    return song_id, found


def candidates(wish: Fraction, rate: FrameRate, metre: Metre) -> list[WholeFrameTempo]:
    """Return the wish and the tempos near it on whole frames, slowest first."""
    near = whole_frame_tempos_within(wish, rate, metre, BEATS_WITHIN, BARS_WITHIN)
    if all(tempo.bpm != wish for tempo in near):
        near.append(WholeFrameTempo(wish, 0, "beat"))
    return sorted(near, key=lambda tempo: tempo.bpm)


def chosen(name: str | None, sung: list[str]) -> str:
    """Return which of the script's songs is meant; raises InputError."""
    if not sung:
        raise InputError("nothing in this script is sung; mark lyrics with ~ (see: What to write)")
    if name is None:
        if len(sung) > 1:
            raise InputError(f"which song? give --song {sung[0]} (there are: {', '.join(sung)})")
        return sung[0]
    if name not in sung:
        advice = meant(name, sung, f"there are: {', '.join(sung)}")
        raise InputError(f'the script has no lines of a song "{name}"; {advice}')
    return name


def _order(tempo: WholeFrameTempo, song_id: str, plan: Plan) -> Order:
    (song,) = (song for song in plan.songs if song.id == song_id)
    lines = [line for line in plan.lines if line.song == song_id and line.words]
    ids = {line.id for line in lines}
    asks = Counter(clip.ask for clip in plan.clips if clip.line in ids)
    return Order(
        tempo,
        song.end - song.start,
        tuple((line.id, line.length) for line in lines),
        tuple(sorted(asks.items(), key=lambda pair: (pair[0] is None, pair[0] or 0))),
        plan.totals.generate,
        plan.totals.cost,
        sum(any(f.code is FindingCode.SUNG_TOO_FAST for f in line.findings) for line in lines),
    )


def table(song_id: str, wish: Fraction, rate: FrameRate, found: list[Order]) -> list[str]:
    """Return what people read; the last column is what the whole episode has to generate."""
    rows = [("bpm", "frames", "song s", "a line s", "clips x ask s", "whole episode, cost")]
    least = min(order.generate for order in found)
    for order in found:
        lengths = [float(length) for _, length in order.lines]
        cost = "" if order.cost is None else f", {float(order.cost):.2f}"
        asks = ", ".join(f"{n} x {float(ask):g}" if ask else f"{n} too long" for ask, n in order.asks)
        frames = f"{order.tempo.frames} a {order.tempo.of}" if order.tempo.frames else "not whole"
        marks = [
            *(["as wished"] if order.tempo.bpm == wish else []),
            *(["least"] if order.generate == least else []),
            *([f"{order.too_fast} lines too fast to draw"] if order.too_fast else []),
        ]
        rows.append(
            (
                f"{float(order.tempo.bpm):.3f}",
                frames,
                f"{float(order.song):.2f}",
                f"{min(lengths):.2f}-{max(lengths):.2f}",
                asks,
                f"{float(order.generate):g} s{cost}" + (f"  <- {', '.join(marks)}" if marks else ""),
            )
        )
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]) - 1)]
    head = f'song "{song_id}" at tempos near {float(wish):g} bpm, {rate} frames a second'
    return [head, *("  ".join([*(c.ljust(w) for c, w in zip(r, widths, strict=False)), r[-1]]) for r in rows)]


def as_plain(song_id: str, wish: Fraction, rate: FrameRate, found: list[Order]) -> dict[str, object]:
    """Return the machine form."""
    return {
        "song": song_id,
        "wish_bpm": float(wish),
        "rate": str(rate),
        "tempos": [
            {
                "bpm": round(float(order.tempo.bpm), 6),
                "frames": order.tempo.frames or None,
                "of": order.tempo.of if order.tempo.frames else None,
                "song_s": round(float(order.song), 6),
                "lines": [{"id": line, "seconds": round(float(length), 6)} for line, length in order.lines],
                "clips": [{"ask_s": None if a is None else float(a), "count": n} for a, n in order.asks],
                "generate_s": float(order.generate),
                "cost": None if order.cost is None else float(order.cost),
                "lines_too_fast": order.too_fast,
            }
            for order in found
        ],
    }
