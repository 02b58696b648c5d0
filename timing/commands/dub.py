"""``timing dub``: another language on the clips that exist."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from timing.commands.findings import print_findings
from timing.commands.options import (
    clipped,
    cut_option,
    finish,
    force_option,
    json_option,
    out_option,
    print_json,
    source_argument,
    strict_option,
)
from timing.commands.progress import busy
from timing.model import Finding
from timing.model.dub import DubLine, Edition, Verdict
from timing.plain.figures import figure

if TYPE_CHECKING:
    from timing.dub.edition import MadeEdition

COLUMNS = 80  # of a terminal
MOST_TO_RECORD = 8


@click.command("dub")
@source_argument
@click.argument("language")
@out_option
@cut_option
@json_option
@strict_option
@force_option
@click.pass_context
def command(
    ctx: click.Context,
    source: Path,
    language: str,
    out: Path | None,
    cut: Path | None,
    as_json: bool,
    strict: bool,
    force: bool,
) -> None:
    """Hold the words of SOURCE in another LANGUAGE (pt, German, fr_FR) against the clips that exist.

    The words lie beside the script: script.pt.fountain or script.pt.txt with the same cues in the same order, or
    lines.pt.csv with two columns, id and text. Everything goes to out/pt. Readings in recordings.pt/ take the place of
    estimates. Where there is a real cut, windows, captions and sheets are those of the cut.

    \b
    fits       not one in twenty like it would be too long, and it is likely not short
    too long   even the low end of its range is over the window and a tenth of it
    short      even the high end is under four fifths of the window
    record it  nobody can tell before it was read aloud; the riskiest stand first
    """
    from timing.api.edition import edition_of
    from timing.dub.outputs import write_edition
    from timing.script.source import open_source

    opened = replace(open_source(source), cut=cut)
    with busy("making the plan") as bar:
        made = edition_of(opened, language, out, bar, keep_ids=True)
        edition = made.edition
        paths = write_edition(edition, out or opened.default_out, force)
    found = edition_findings(edition)
    if as_json:
        from timing.export.dub import edition_json

        print_json(edition_json(edition))
    else:
        click.echo("\n".join([*table(edition), *_readings(made)]))
        click.echo(f"written to {paths[0].parent}: {', '.join(_names(paths))}", err=True)
        if found:
            click.echo("", err=True)
            print_findings(found, most=None)
    finish(ctx, [f for _, f in found], strict)


def edition_findings(edition: Edition) -> list[tuple[str, Finding]]:
    """Return (where it belongs, finding), lines in order, then the edition's own."""
    found = [(f"line {dub.id}", f) for dub in edition.lines for f in dub.findings]
    return found + [("", f) for f in edition.findings]


def table(edition: Edition) -> list[str]:
    """Return the rows of the table and its sums, at most 80 columns."""
    heads = f"{'line':<5} {'speaker':<9} {'window':>6} {'seconds':>15} {'syll.':>5} {'verdict':<9} {'risk':>5}"
    rows = [f"{heads} {'':<7} text"]
    for dub in edition.lines:
        change = f"lose {dub.lose}" if dub.lose else f"gain {dub.gain}" if dub.gain else ""
        row = (
            f"{dub.id:<5} {clipped(dub.original.speaker or '', 9)} {float(dub.window.length):>6.1f} "
            f"{_seconds(dub):>15} {len(dub.line.syllables):>5} {dub.verdict.value:<9} {_risk(dub):>5} {change:<7} "
        )
        rows.append(f"{row}{clipped(dub.line.text, COLUMNS - len(row))}".rstrip())
    counts = ", ".join(
        f"{sum(dub.verdict is verdict for dub in edition.lines)} {verdict.value}"
        for verdict in (Verdict.FITS, Verdict.TOO_LONG, Verdict.SHORT, Verdict.RECORD)
    )
    rows += ["", f"{len(edition.lines)} lines: {counts}."]
    if edition.cut_file is not None:
        left = f"; not in it: {', '.join(edition.not_in_cut)}" if edition.not_in_cut else ""
        rows.append(f"Windows and order are those of the real cut, {edition.cut_file}{left}.")
    if first := [dub.id for dub in edition.by_risk()]:
        more = f" and {len(first) - MOST_TO_RECORD} more" if len(first) > MOST_TO_RECORD else ""
        rows.append(f"Record first, the riskiest first: {', '.join(first[:MOST_TO_RECORD])}{more}.")
    return rows + _new_clips(edition)


def _readings(made: MadeEdition) -> list[str]:
    """Return what the edition's recordings hold: placed, unsure, left over, as ``timing listen`` says it."""
    if made.heard is None:
        return []
    from timing.commands.listen import told
    from timing.dub.windows import of_script
    from timing.recording.three_lists import three_lists

    words = {of_script(d.id): " ".join(w.spoken.casefold() for w in d.line.words) for d in made.edition.lines}
    return told(three_lists(made.heard, list(words.items())), made.heard, len(words))


def _new_clips(edition: Edition) -> list[str]:
    from timing.export.dub import cost_of, money

    clips = [clip for dub in edition.lines for clip in dub.new_clips]
    if not clips:
        return []
    asked = sum(float(clip.ask or 0) for clip in clips)
    generated = sum(float(clip.ask or 0) * clip.takes for clip in clips)
    cost = cost_of(edition)
    told = (
        f"Lines that are too long could have new clips: {len(clips)}, {figure(asked)} s, "
        f"with retakes {figure(generated)} s"
    )
    return [told + (f", cost {money(cost)}." if cost is not None else ".")]


def _risk(dub: DubLine) -> str:
    return f"{100 * dub.risk:.0f} %" if dub.verdict is Verdict.RECORD else ""


def _seconds(dub: DubLine) -> str:
    line = dub.line
    if line.low == line.high:
        return f"{float(line.length):.1f}"
    return f"~{float(line.length):.1f} ({float(line.low):.1f}-{float(line.high):.1f})"


def _names(paths: list[Path]) -> list[str]:
    folder = paths[0].parent
    names = [path.relative_to(folder).as_posix() for path in paths]
    return list(dict.fromkeys(name if "/" not in name else f"{name.split('/')[0]}/" for name in names))
