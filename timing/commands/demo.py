"""``timing demo``: the embedded example, the whole job."""

from __future__ import annotations

from pathlib import Path

import click

from timing.commands.options import as_typed, force_option


@click.command("demo")
@click.argument("folder", type=click.Path(path_type=Path), default=Path("low-tide"), metavar="[DIR]")
@click.option("--paper", type=click.Choice(["A4", "Letter"], case_sensitive=False), default="A4", show_default=True)
@force_option
def command(folder: Path, paper: str, force: bool) -> None:
    """Write the example episode to DIR [default: low-tide] and do the whole job on it."""
    from dataclasses import replace

    from timing.commands.sheet import report, run
    from timing.plain.files import write_outputs
    from timing.plain.resources import example_files, example_heard
    from timing.script.source import open_source

    write_outputs(folder, example_files(), force)
    write_outputs(folder / "out" / ".store", example_heard(), force=True)
    source = open_source(folder)
    paper = {"a4": "A4", "letter": "Letter"}[paper.lower()]
    made, written = run(source, replace(source.settings.sheet, paper=paper), force=force)
    report(made, written, as_json=False)
    click.echo(f"Open {folder / 'out' / 'sheets.pdf'}; then change {folder / 'script.fountain'} and run:")
    click.echo(f"timing sheet {as_typed(folder)}")
    click.echo("Its words in two more languages lie beside the script; whether they fit the same clips says:")
    click.echo(f"timing dub {as_typed(folder)} pt")
