"""``timing reel``: the plan as a film."""

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
from timing.model.clock import Seconds
from timing.plain.figures import in_seconds

FILE_NAME = "reel.mp4"


def _moment(_ctx: click.Context, _option: click.Parameter, text: str | None) -> Seconds | None:
    from timing.watch.stretch import moment

    try:
        return None if text is None else moment(text)
    except ValueError as problem:
        raise click.BadParameter(str(problem)) from None


@click.command("reel")
@source_argument
@out_option
@language_option
@cut_option
@click.option("--clip", "clips", multiple=True, help="Show only this clip (may be repeated).")
@click.option("--from", "begin", callback=_moment, help="Begin here: seconds, or minutes:seconds, 1:05.5.")
@click.option("--to", "end", callback=_moment, help="End here.")
@click.option("--tall", is_flag=True, help="720 x 1280, for a phone held upright [default: 1280 x 720].")
@force_option
def command(
    source: Path,
    out: Path | None,
    language: str | None,
    cut: Path | None,
    clips: tuple[str, ...],
    begin: Seconds | None,
    end: Seconds | None,
    tall: bool,
    force: bool,
) -> None:
    """Write reel.mp4: the plan of SOURCE (an episode folder or a script) as a film, with the guide's sound.

    Every frame shows the clip, who speaks, the seconds asked for, where the times come from, the words with the
    syllable that is heard, and the numbers as on paper. The clip's take is seen if there is one, else its still in
    pictures/ (C05.png, or the first picture it starts from as pictures.csv names it, tansy-rock.png), else a card.
    What nobody has recorded runs silently at its estimated pace and says ~.
    """
    from timing.pipeline import make_plan
    from timing.plain.files import refuse_foreign, write_outputs
    from timing.script.source import open_source
    from timing.watch.reel import Reel
    from timing.watch.stretch import stretches

    opened = replace(with_language(open_source(source), language), cut=cut)
    say_before(opened, out)
    folder = out or opened.default_out
    if not force:
        refuse_foreign(folder, [FILE_NAME])
    with busy("making the plan") as bar:
        plan = make_plan(opened, out, bar, keep_ids=True).plan.shown
    with busy("filming") as bar:
        reel = Reel(plan, opened.folder, stretches(plan, clips, begin, end), tall)
        (path,) = write_outputs(folder, {FILE_NAME: reel.film(bar)}, force)
    long = in_seconds(reel.frames / plan.rate.fps, 1)
    click.echo(f"written to {path}: {reel.frames} frames at {plan.rate} a second, {long}")
    for note in reel.notes:
        click.echo(f"  {note}", err=True)
