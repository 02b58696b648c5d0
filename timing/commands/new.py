"""``timing new``: an episode folder to fill."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from timing.commands.options import as_typed, clipped
from timing.plain.names import readable

if TYPE_CHECKING:
    from timing.model.settings import EpisodeSettings


@click.command("new")
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
@click.option("--series", "is_series", is_flag=True, help="Start a series: DIR gets a series.toml for its episodes.")
def command(folder: Path, is_series: bool) -> None:
    """Start an episode in DIR: a commented episode.toml, a first script, folders for sound and clips.

    In the folder of a series the episode starts from its series.toml.
    """
    from timing.plain.errors import OutputError
    from timing.plain.files import write_new
    from timing.plain.series import SERIES_FILE, series_folder
    from timing.script.episode import TEMPLATE, read_episode
    from timing.script.template import SERIES_TEMPLATE, episode_template

    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder}: is a file; choose another name for the folder")
    if is_series:
        write_new(folder / SERIES_FILE, SERIES_TEMPLATE.encode())
        first = as_typed(folder / "first-episode")
        click.echo(f"{folder} is ready: write {folder / SERIES_FILE}, then run: timing new {first}")
        return
    for name in ("episode.toml", "script.fountain", SERIES_FILE):
        if (folder / name).exists():
            raise OutputError(f"{folder / name}: exists already and is left as it is; choose another folder")
    above = series_folder(folder)
    shared = read_episode(folder / "episode.toml", above / SERIES_FILE) if above else None
    title = readable(folder.resolve().name).replace("-", " ").replace("_", " ").strip().capitalize() or "Episode"
    write_new(folder / "episode.toml", (episode_template(_told(shared)) if shared else TEMPLATE).encode())
    write_new(folder / "script.fountain", _script(title, tuple(shared.cast) if shared else ()).encode())
    for name in ("recordings", "songs", "clips"):
        (folder / name).mkdir(exist_ok=True)
    click.echo(f"{folder} is ready: write {folder / 'script.fountain'}, then run: timing sheet {as_typed(folder)}")


def _told(shared: EpisodeSettings) -> list[str]:
    """Return what a series gives an episode, in words."""
    from timing.model.settings import DEFAULT_PROFILE

    lists = (
        ("cast", list(shared.cast)),
        ("profiles", [name for name in shared.profiles if name != DEFAULT_PROFILE]),
        ("[say]", list(shared.say)),
    )
    return [
        f"{what}: {', '.join(clipped(readable(name), 40).strip() for name in names[:12])}"
        for what, names in lists
        if names
    ]


def _script(title: str, cast: Sequence[str]) -> str:
    """Return a first script; the series' own speakers speak it."""
    first, second = [*cast[:2], "SOMEBODY", "SOMEBODY ELSE"][:2]
    from timing.script.template import SAMPLE

    return SAMPLE.format(title=title, first=first, second=second if second != first else "SOMEBODY ELSE")
