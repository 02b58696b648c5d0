"""``timing proof``: the plan as a page to hear, watch and correct."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from timing.commands.options import (
    cut_option,
    force_option,
    language_option,
    out_option,
    say_before,
    source_argument,
    with_language,
)
from timing.commands.progress import busy

FILE_NAME = "proof.html"


@click.command("proof")
@source_argument
@out_option
@language_option
@cut_option
@force_option
def command(source: Path, out: Path | None, language: str | None, cut: Path | None, force: bool) -> None:
    """Write proof.html: the sheets of SOURCE (an episode folder or a script) run past a reading line with the sound.

    One file for any current browser, from the disk, without a network. What is doubtful stands first. Edges of words
    and lines can be moved, left-over speech given to a line, another reading chosen, the bars of a song tapped; the
    page saves that as label files to be put beside the sounds, where the next run obeys them.
    """
    from timing.pipeline import make_plan
    from timing.plain.files import refuse_foreign, write_outputs
    from timing.script.source import open_source
    from timing.watch.proof import proof_page

    opened = replace(with_language(open_source(source), language), cut=cut)
    say_before(opened, out)
    folder = out or opened.default_out
    if not force:
        refuse_foreign(folder, [FILE_NAME])
    with busy("making the page") as bar:
        made = make_plan(opened, out, bar, keep_ids=True)
        page, notes = proof_page(made.plan, opened.folder, made.heard)
    (path,) = write_outputs(folder, {FILE_NAME: page}, force)
    click.echo(f"written to {path}: open it in a browser")
    for note in notes:
        click.echo(f"  {note}", err=True)
