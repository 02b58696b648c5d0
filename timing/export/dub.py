"""An edition's table and what its new clips cost: dub.csv, dub.json, new-clips.csv.

Seconds have two decimals in tables (microseconds in JSON), halves up; windows lie on the episode's clock.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from timing.export.table import seconds_text
from timing.model import Clip
from timing.model.as_json import decimal, decimal_s, finding_json, line_json
from timing.model.dub import DubLine, Edition, Verdict
from timing.plain.csv_text import csv_bytes

VERSION = 1


def dub_csv(edition: Edition) -> bytes:
    """Return dub.csv: one row for each line with words; those without a text in this language say so."""
    known = {dub.id: dub for dub in edition.lines}
    rows = []
    for line in edition.original.lines:
        if dub := known.get(line.id):
            rows.append([value(dub) for _, value in COLUMNS])
        elif line.id in edition.without_text:
            cells = {"line": line.id, "speaker": line.speaker or "", "original": line.text, "verdict": "no text yet"}
            rows.append([cells.get(name, "") for name, _ in COLUMNS])
    return csv_bytes([name for name, _ in COLUMNS], rows, edition.plan.settings.csv)


def losses_text(dub: DubLine) -> str:
    """Return the words whose loss would make a line fit, with what saying them takes."""
    return " | ".join(f"“{loss.text}” {seconds_text(loss.seconds)} s" for loss in dub.losses)


def pauses_text(dub: DubLine) -> str:
    """Return the pauses of a window, each with the second of the window at which it begins."""
    start = dub.window.start
    return " | ".join(f"{seconds_text(b - a)} s at {seconds_text(a - start)}" for a, b in dub.window.pauses)


COLUMNS: tuple[tuple[str, Callable[[DubLine], object]], ...] = (
    ("line", lambda d: d.id),
    ("clips", lambda d: " ".join(d.window.clips)),
    ("speaker", lambda d: d.original.speaker or ""),
    ("original", lambda d: d.original.text),
    ("text", lambda d: d.line.text),
    ("verdict", lambda d: d.verdict.value),
    ("lose", lambda d: d.lose or ""),
    ("gain", lambda d: d.gain or ""),
    ("syllables", lambda d: len(d.line.syllables)),
    ("original_syllables", lambda d: len(d.original.syllables)),
    ("seconds", lambda d: seconds_text(d.line.length)),
    ("low_s", lambda d: seconds_text(d.line.low)),
    ("high_s", lambda d: seconds_text(d.line.high)),
    ("origin", lambda d: d.line.origin.value),
    ("window_s", lambda d: seconds_text(d.window.length)),
    ("window_from", lambda d: d.window.origin.value),
    ("mouth_seen", lambda d: "yes" if d.window.is_seen else "no"),
    ("free_after_s", lambda d: seconds_text(d.window.free)),
    ("pauses", pauses_text),
    ("risk_percent", lambda d: _percent(d.risk)),
    ("shorten_first", losses_text),
    ("lips_closed", lambda d: d.closures),
    ("lips_met", lambda d: d.met),
    ("phrases_late_s", lambda d: " | ".join(f"“{p.text}” {_signed(p.late)}" for p in d.phrases)),
    ("drift_s", lambda d: "" if d.drift is None else _signed(d.drift)),
    ("new_clip_s", lambda d: " + ".join(seconds_text(c.ask) for c in d.new_clips)),
    ("start_s", lambda d: seconds_text(d.window.start)),
    ("end_s", lambda d: seconds_text(d.window.end)),
    ("take", lambda d: d.line.take or ""),
    ("findings", lambda d: " | ".join(f.message for f in d.findings)),
)


def _percent(share: float) -> int:
    return int(share * 100 + 0.5)


def _signed(value: Fraction) -> str:
    """Return seconds with a sign, as words so that no spreadsheet takes them for a formula.

    >>> _signed(Fraction(1, 4)), _signed(Fraction(-1, 4)), _signed(Fraction(0))
    ('0.25 late', '0.25 early', '0.00')
    """
    return seconds_text(abs(value)) + (" late" if value > 0 else " early" if value < 0 else "")


# --- new clips -------------------------------------------------------------------------------------------


def price_of(edition: Edition, clip: Clip) -> Fraction | None:
    """Return what all takes of a new clip cost, None where no price is known or nothing on the menu holds it."""
    price = None if clip.ask is None else edition.plan.settings.profiles[clip.profile].price(clip.ask)
    return None if price is None else price * clip.takes


def new_clips_csv(edition: Edition) -> bytes:
    """Return new-clips.csv: what each line that is too long would take as a clip of its own, and the sum."""
    clips = [clip for dub in edition.lines for clip in dub.new_clips]
    heads = ["clip", "line", "speaker", "text", "profile", "ask_s", "takes", "generate_s", "cost"]
    rows: list[list[object]] = [
        [
            clip.id, clip.line, clip.speaker or "", clip.text, clip.profile, seconds_text(clip.ask), clip.takes,
            seconds_text(clip.ask * clip.takes if clip.ask is not None else None), money(price_of(edition, clip)),
        ]
        for clip in clips
    ]  # fmt: skip
    if clips:
        asked = [clip for clip in clips if clip.ask is not None]
        total = sum(((c.ask or Fraction(0)) for c in asked), Fraction(0))
        generated = sum(((c.ask or Fraction(0)) * c.takes for c in asked), Fraction(0))
        rows.append(["all", "", "", "", "", seconds_text(total), "", seconds_text(generated), money(cost_of(edition))])
    return csv_bytes(heads, rows, edition.plan.settings.csv)


def cost_of(edition: Edition) -> Fraction | None:
    """Return what all new clips of an edition cost with their takes, None where a price is not known."""
    prices = [price_of(edition, clip) for dub in edition.lines for clip in dub.new_clips]
    known = [price for price in prices if price is not None]
    return sum(known, Fraction(0)) if known and len(known) == len(prices) else None


def money(amount: Fraction | None) -> str:
    return "" if amount is None else f"{float(amount):.2f}"


# --- for programs ----------------------------------------------------------------------------------------


def edition_json(edition: Edition) -> dict[str, Any]:
    """Return an edition as plain values; ``words`` and the rest of a line are written as plan.json writes them."""
    counts = {verdict.value: sum(d.verdict is verdict for d in edition.lines) for verdict in Verdict}
    return {
        "timing_edition": VERSION,
        "name": edition.name,
        "language": edition.language,
        "episode": {"title": edition.original.title, "rate": edition.original.rate.name},
        "verdicts": counts,
        "without_text": list(edition.without_text),
        "record_first": [dub.id for dub in edition.by_risk()],
        "new_clips_cost": decimal(cost_of(edition)),
        "lines": [_line_json(edition, dub) for dub in edition.lines],
        "findings": [finding_json(f) for f in edition.findings],
    }


def _line_json(edition: Edition, dub: DubLine) -> dict[str, Any]:
    window = dub.window
    return {
        "id": dub.id,
        "original": dub.original.text,
        "verdict": dub.verdict.value,
        "risk": round(dub.risk, 3),
        "lose": dub.lose,
        "gain": dub.gain,
        "window": {
            "start_s": decimal_s(window.start),
            "end_s": decimal_s(window.end),
            "pauses_s": [[decimal_s(a), decimal_s(b)] for a, b in window.pauses],
            "free_s": decimal_s(window.free),
            "mouth_seen": window.is_seen,
            "origin": window.origin.value,
            "clips": list(window.clips),
        },
        "shorten_first": [
            {"text": loss.text, "seconds": decimal_s(loss.seconds), "syllables": loss.syllables} for loss in dub.losses
        ],
        "lips_closed": dub.closures,
        "lips_met": dub.met,
        "new_clips": [
            {"id": c.id, "ask_s": decimal_s(c.ask), "takes": c.takes, "cost": decimal(price_of(edition, c))}
            for c in dub.new_clips
        ],
        "phrases": [{"text": p.text, "late_s": decimal_s(p.late)} for p in dub.phrases],
        "drift_s": decimal_s(dub.drift),
        "line": line_json(dub.line) | {"findings": [finding_json(f) for f in dub.findings]},
    }
