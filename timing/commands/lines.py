"""``timing lines``: every line as a table."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

import click

from timing.clips.plan import clip_id
from timing.commands.findings import print_findings
from timing.commands.options import (
    all_findings,
    clipped,
    cut_option,
    finish,
    json_option,
    language_option,
    out_option,
    print_json,
    say_before,
    source_argument,
    strict_option,
    with_language,
)
from timing.commands.progress import busy
from timing.commands.series import used
from timing.model import Clip, LineKind, Plan, PlanLine
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.plain.figures import figure, in_seconds
from timing.plain.nearest import meant

if TYPE_CHECKING:
    from timing.script.source import Source


@click.command("lines")
@source_argument
@out_option
@language_option
@cut_option
@json_option
@strict_option
@click.option("-w", "--wide", is_flag=True, help="Show each line's syllables in full, whatever the terminal's width.")
@click.option(
    "--findings",
    "kind",
    metavar="KIND",
    help="Print only the findings, every one in full: of one KIND (too-long), or all of them (all).",
)
@click.pass_context
def command(
    ctx: click.Context,
    source: Path,
    out: Path | None,
    language: str | None,
    cut: Path | None,
    as_json: bool,
    strict: bool,
    wide: bool,
    kind: str | None,
) -> None:
    """List every line of SOURCE (an episode folder or a script) with its seconds, clips and findings.

    Seconds marked ~ are estimates with their 80 % range; without a mark they are measured, in a recording or in a clip
    that came back, or follow a beat. A clip marked ! is too long for one generation and is split. The numbers of an
    episode folder's lines are kept in its lines.toml, so that one that was shown never moves to another line.
    """
    from timing.script.source import open_source

    opened = replace(with_language(open_source(source), language), cut=cut)
    say_before(opened, out)
    plan = _planned(opened, out)
    found = all_findings(plan)
    if as_json:
        print_json(plan.json_in_rows())
    elif kind is not None:
        print_findings(found, _kind_of_finding(kind), most=None)
    else:
        click.echo("\n".join(table(plan, wide)))
        if found:
            click.echo("", err=True)
            print_findings(found)
    finish(ctx, [f for _, f in found], strict)


def _planned(source: Source, out: Path | None) -> Plan:
    """Return the plan with its line numbers kept; a lone script's only where it was given numbers to keep before."""
    from timing.memory.lines_toml import FILE_NAME
    from timing.pipeline import make_plan
    from timing.plain.errors import OutputError

    keep = not source.is_lone_script or (source.memory_folder / FILE_NAME).exists()
    try:
        with busy("making the plan") as bar:
            return make_plan(source, out, bar, keep).plan
    except OutputError as error:  # a folder that can only be read can still be listed
        click.echo(f"the line numbers are not kept: {error}", err=True)
        return make_plan(source, out).plan


def _kind_of_finding(typed: str) -> str | None:
    """Return the code of a kind, None for all of them; raises BadParameter with the nearest one."""
    if typed == "all":
        return None
    if typed in list(FindingCode):
        return typed
    advice = meant(typed, [code.value for code in FindingCode], "timing lines shows the codes there are")
    raise click.BadParameter(f'there is no finding "{typed}"; {advice}')


def table(plan: Plan, wide: bool = False) -> list[str]:
    """Return the rows of the table, at most 80 columns unless ``wide``."""
    clips: dict[str, list[Clip]] = {}
    for clip in plan.clips:
        for line_id in clip.lines:
            clips.setdefault(line_id, []).append(clip)
    rows = [f"{'line':<5} {'speaker':<9} {'syll.':>5} {'seconds':>15}  {'clip':<7} {'ask s':<6} text"]
    for line in plan.lines:
        own = clips.get(line.id, [])
        asks = "+".join(figure(c.ask) for c in own)
        name = own[0].id.split(".")[0] if own else f"on {clip_id(line.over)}" if line.over else "-"
        flag = (
            "!" if any(f.code in (FindingCode.TOO_LONG, FindingCode.NO_LENGTH_HOLDS_IT) for f in line.findings) else " "
        )
        text = _broken(line) if wide and line.words else line.text
        rows.append(
            f"{line.id:<5} {clipped(line.speaker or _kind(line), 9)} {len(line.syllables) or '':>5} "
            f"{_seconds(line):>15} {flag}{name:<7} {asks:<6} {text if wide else clipped(text, 26)}".rstrip()
        )
    totals = plan.totals
    empty = sum(end - start for start, end in plan.gaps)
    paused = sum((n.length for n in plan.lines if n.words and not n.over), Seconds(0)) - totals.speech
    if paused >= Seconds(1, 20):
        rows += [
            "",
            f"{in_seconds(paused, 1)} of the seconds above are pauses where a line is cut: in no clip's speech.",
        ]
    timed = [line.id for line in plan.lines if line.delivered]
    if timed:
        told = f"Measured in the clips that came back: line{'s' * (len(timed) > 1)} {', '.join(timed)}."
        rows += ["", *(wrap(told, 80) if not wide else [told])]
    rows += [
        "",
        f"{len(plan.clips)} clips: {in_seconds(totals.speech, 1)} speech, {in_seconds(totals.screen, 1)} on screen, "
        f"ask for {figure(totals.ask)} s,",
        f"with retakes {figure(totals.generate)} s ({_takes(plan)})"
        + (f", cost {float(totals.cost):.2f}" if totals.cost is not None else "")
        + (f" and {figure(totals.unpriced)} s without a price" if totals.cost is not None and totals.unpriced else "")
        + ".",
        f"The episode runs {int(plan.length // 60)}:{float(plan.length % 60):04.1f}, {plan.frames} frames"
        + (f"; {empty} of them ({in_seconds(empty / float(plan.rate.fps), 1)}) have no clip." if empty else "."),
    ]
    if follows := used(plan):
        rows += ["", *(part for sentence in follows for part in ([sentence] if wide else wrap(sentence, 80)))]
    return rows


def _takes(plan: Plan) -> str:
    takes = sorted({clip.takes for clip in plan.clips})
    return f"{takes[0]} takes each" if len(takes) == 1 else f"{takes[0]} to {takes[-1]} takes each" if takes else "none"


def _seconds(line: PlanLine) -> str:
    length = f"{float(line.length):.1f}"
    if line.low == line.high:
        return length
    return f"~{length} ({float(line.low):.1f}-{float(line.high):.1f})"


def _kind(line: PlanLine) -> str:
    return f"({line.shown_kind})" if line.kind is LineKind.PICTURE else ""


def _broken(line: PlanLine) -> str:
    from timing.commands.say import broken

    return broken(line)
