"""``timing new``: an episode folder to fill."""

from __future__ import annotations

from pathlib import Path

import click

from timing.commands.options import as_typed

SCRIPT = """\
Title: {title}

INT. SOMEWHERE - DAY

[[3 s]]
What the picture shows before anybody speaks.

SOMEBODY
What they say.

SOMEBODY ELSE
(whispered)
What they answer.
"""


@click.command("new")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
def command(folder: Path) -> None:
    """Start an episode in DIR: a commented episode.toml, a first script, folders for sound and clips."""
    from timing.plain.errors import OutputError
    from timing.plain.files import write_new
    from timing.plain.names import readable
    from timing.script.episode import TEMPLATE

    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder}: is a file; choose another name for the folder")
    for name in ("episode.toml", "script.fountain"):
        if (folder / name).exists():
            raise OutputError(f"{folder / name}: exists already and is left as it is; choose another folder")
    title = readable(folder.resolve().name).replace("-", " ").replace("_", " ").strip().capitalize() or "Episode"
    write_new(folder / "episode.toml", TEMPLATE.encode())
    write_new(folder / "script.fountain", SCRIPT.format(title=title).encode())
    for name in ("recordings", "songs", "clips"):
        (folder / name).mkdir(exist_ok=True)
    click.echo(f"{folder} is ready: write {folder / 'script.fountain'}, then run: timing sheet {as_typed(folder)}")
