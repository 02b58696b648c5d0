"""``timing demo``: the embedded example, the whole job."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import click

from timing.commands.options import as_typed, force_option


@click.command("demo")
@click.argument("folder", type=click.Path(path_type=Path), required=False, metavar="[DIR]")
@click.option("--paper", type=click.Choice(["A4", "Letter"], case_sensitive=False), default="A4", show_default=True)
@click.option("--series", "is_series", is_flag=True, help="A series of two: DIR [default: shore] holds both episodes.")
@force_option
def command(folder: Path | None, paper: str, is_series: bool, force: bool) -> None:
    """Write the example episode to DIR [default: low-tide] and do the whole job on it.

    With --series a second episode lies beside it, which speaks as the first one's recordings taught.
    """
    from timing.plain.files import write_outputs
    from timing.plain.resources import example_files

    folder = folder or Path("shore" if is_series else "low-tide")
    if not is_series:
        _episode(folder, paper, force, example_files())
        return
    shared = example_files("shore")
    own = {name.removeprefix("low-tide/"): shared.pop(name) for name in list(shared) if name.startswith("low-tide/")}
    write_outputs(folder, shared, force)
    _episode(folder / "low-tide", paper, force, example_files() | own)
    click.echo("")
    _episode(folder / "high-tide", paper, force, {})


def _episode(folder: Path, paper: str, force: bool, files: Mapping[str, bytes]) -> None:
    """Write an episode's files (none where they are there already) and do the whole job on it."""
    from dataclasses import replace

    from timing.commands.sheet import report, run
    from timing.plain.files import write_outputs
    from timing.plain.resources import example_heard
    from timing.script.source import open_source

    if files:
        write_outputs(folder, files, force)
        write_outputs(folder / "out" / ".store", example_heard(), force=True)
    source = open_source(folder)
    paper = {"a4": "A4", "letter": "Letter"}[paper.lower()]
    made, written = run(source, replace(source.settings.sheet, paper=paper), force=force)
    report(made, written, as_json=False)
    click.echo(f"Open {folder / 'out' / 'sheets.pdf'}; then change {folder / 'script.fountain'} and run:")
    click.echo(f"timing sheet {as_typed(folder)}")
    click.echo("Its words in two more languages lie beside the script; whether they fit the same clips says:")
    click.echo(f"timing dub {as_typed(folder)} pt")
