"""``timing sheet``: the whole job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import click

from timing.commands.findings import print_findings
from timing.commands.options import (
    all_findings,
    cut_option,
    finish,
    force_option,
    json_option,
    language_option,
    out_option,
    print_json,
    say_before,
    source_argument,
    strict_option,
    with_language,
)
from timing.commands.progress import busy, echo
from timing.model.settings import FEWEST_ROWS, MOST_ROWS, SHEET_PARTS, EpisodeSettings, SheetSettings
from timing.pipeline import Made, Written
from timing.plain.errors import OutputError
from timing.plain.figures import figure, in_seconds
from timing.script.source import Source


@click.command("sheet")
@source_argument
@out_option
@language_option
@cut_option
@click.option("--paper", type=click.Choice(["A4", "Letter"], case_sensitive=False), help="[default: A4]")
@click.option(
    "--layout",
    type=click.Choice(["page", "wide"]),
    help="page: upright, two clips side by side; wide: lying, one clip with more room to write [default: page].",
)
@click.option(
    "--rows", type=click.IntRange(FEWEST_ROWS, MOST_ROWS), help="Frame rows in one panel, in place of what fits."
)
@click.option("--parts", help=f"What to print, separated by commas: {', '.join(SHEET_PARTS)}.")
@click.option("--clip", "clips", multiple=True, help="Print only sheets with this clip (may be repeated).")
@click.option("--speaker", "speakers", multiple=True, help="Print only sheets with this speaker (may be repeated).")
@click.option("--scene", "scenes", multiple=True, help="Print only scenes whose heading holds this (may be repeated).")
@click.option("--every-frame", is_flag=True, help="Print silence and picture passages too.")
@click.option("--png", is_flag=True, help="Also write a picture of every page, for sending in a chat.")
@json_option
@strict_option
@force_option
@click.pass_context
def command(
    ctx: click.Context,
    source: Path,
    out: Path | None,
    language: str | None,
    cut: Path | None,
    paper: str | None,
    layout: str | None,
    rows: int | None,
    parts: str | None,
    clips: tuple[str, ...],
    speakers: tuple[str, ...],
    scenes: tuple[str, ...],
    every_frame: bool,
    png: bool,
    as_json: bool,
    strict: bool,
    force: bool,
) -> None:
    """Plan SOURCE (an episode folder or a script) and write sheets.pdf, tables, captions and the rest."""
    from timing.script.source import open_source

    opened = replace(with_language(open_source(source), language), cut=cut)
    say_before(opened, out)
    sheet = opened.settings.sheet
    sheet = replace(
        sheet,
        paper={"a4": "A4", "letter": "Letter"}[paper.lower()] if paper else sheet.paper,
        layout=layout or sheet.layout,
        rows=rows or sheet.rows,
        parts=_parts(parts) if parts else sheet.parts,
        only_clips=clips or sheet.only_clips,
        only_speakers=speakers or sheet.only_speakers,
        only_scenes=scenes or sheet.only_scenes,
        every_frame=every_frame or sheet.every_frame,
    )
    made, written = run(opened, sheet, out, force=force, png=png, tell=None if as_json else echo)
    report(made, written, as_json)
    if written.failed:  # the episode folder can only be read, say: what was made is told before
        raise written.failed
    finish(ctx, [f for _, f in all_findings(made.plan)], strict)


def run(
    source: Source,
    sheet: SheetSettings,
    out: Path | None = None,
    *,
    force: bool = False,
    png: bool = False,
    tell: Callable[[str], None] | None = None,
) -> tuple[Made, Written]:
    """Do the whole job on an opened source and return what was made and written.

    ``tell`` is told how many pages there are before anything is written.
    """
    from timing.pipeline import make_plan, write_plan

    settings: EpisodeSettings = replace(source.settings, sheet=sheet)
    source = replace(source, settings=settings)
    with busy("making the plan") as bar:
        made = make_plan(source, out, bar, keep_ids=True)
    made, left, failed = _counted(source, made)
    with busy("drawing the sheets"):
        folder = out or source.default_out
        written = write_plan(made.plan, folder, source.folder, made.previous, force, png, tell)
    told = [*written.reprint, *_budget(made)]
    try:
        told += _requests(source, made)
    except OutputError as error:
        failed = error
    return made, replace(written, reprint=(*told, *left), failed=failed)


def _budget(made: Made) -> list[str]:
    """Return the verdict against the allowance of a month, where episode.toml has one."""
    from timing.clips.budget import make_budget

    sentence = make_budget(made.plan).sentence()
    return [sentence] if sentence else []


def _counted(source: Source, made: Made) -> tuple[Made, list[str], OutputError | None]:
    """Enter what came back into the ledger; return the plan that knows this month, and what is left where it is new.

    With them the reason why the ledger cannot be written: then the plan is made all the same.
    """
    from timing.memory.ledger import left_this_month, record, this_month, today

    if source.is_lone_script:
        return made, [], None
    failed = None
    try:
        added = record(made.plan, source.folder, made.checks, today())
    except OutputError as error:
        added, failed = (), error
    month = this_month(source.folder, made.plan.settings)
    left = left_this_month(month, made.plan.settings) if added and month else []
    return replace(made, plan=replace(made.plan, month=month)), left, failed


def _requests(source: Source, made: Made) -> list[str]:
    """Keep the episode folder's clips.toml and the series' learnt.toml; return what is to be asked for (again)."""
    from timing.commands.series import teach, used
    from timing.export.cut_table import told_of_cut
    from timing.memory.clips_toml import read_memory, remember

    if source.is_lone_script:
        return [told] if (told := told_of_cut(made.plan, Fraction(0))) else []
    changes = remember(made.plan, source.folder, made.checks)
    teach(source, made)
    told = told_of_cut(made.plan, read_memory(source.folder).generated) if made.plan.cut else ""
    return [*changes.sentences(), *used(made.plan), *([told] if told else [])]


def report(made: Made, written: Written, as_json: bool) -> None:
    """Tell what was written, what to print again, and what was found."""
    plan = made.plan
    if as_json:
        for sentence in written.reprint:
            click.echo(sentence, err=True)
        print_json(plan.json_in_rows())
        return
    found = all_findings(plan) + [("", f) for f in written.findings]
    click.echo(f"{plan.title}: {len(plan.lines)} lines, {len(plan.clips)} clips, {in_seconds(plan.length, 1)}")
    totals = plan.totals
    click.echo(f"ask for {figure(totals.ask)} s, with retakes {figure(totals.generate)} s")
    folder = written.paths[0].parent
    shown = [p.relative_to(folder).as_posix() for p in written.paths]
    top = [name for name in shown if "/" not in name]
    inside = sorted({name.split("/")[0] + "/" for name in shown if "/" in name})
    click.echo(f"written to {folder}: {', '.join(top + inside)}")
    for sentence in written.reprint:
        click.echo(sentence)
    if unread := _unread(made):
        click.echo(f"not found in a recording, so estimated: line{'s' * (len(unread) > 1)} {', '.join(unread)}")
    if found:
        print_findings(found)


def _unread(made: Made) -> list[str]:
    """Return the spoken lines that neither a recording nor a clip that came back holds."""
    others = {line.id for line in made.plan.lines if line.song or line.delivered}
    return [line_id for line_id in made.heard.unread if line_id not in others] if made.heard else []


def _parts(text: str) -> tuple[str, ...]:
    wanted = tuple(part.strip().lower() for part in text.split(",") if part.strip())
    wrong = [part for part in wanted if part not in SHEET_PARTS]
    if wrong or not wanted:
        raise click.BadParameter(f'"{", ".join(wrong) or text}" is no part; choose from {", ".join(SHEET_PARTS)}')
    return wanted
