"""The command line: arguments in, one call, a report out. Commands are loaded when they are called.

Exit codes: 0 done, 1 could not (or findings with --strict), 2 called wrongly or bad input.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

import click

from timing.plain.consoles import prepare
from timing.plain.errors import InputError, TimingError
from timing.plain.nearest import meant

# name -> what --help says of it; the module timing.commands.NAME holds the command itself
COMMANDS = {
    "demo": "Write the example episode into a folder and do the whole job on it.",
    "new": "Start an episode folder with a commented episode.toml.",
    "say": "Time one line of text, without any file.",
    "lines": "List every line with syllables, seconds, clips and findings.",
    "sheet": "Do the whole job: plan, printed sheets and tables.",
    "tempo": "Find tempo, beats and bars of a song's recording.",
    "listen": "Find the lines in the recordings and measure them.",
    "check": "Hold the clips that came back against the plan.",
    "proof": "Make a page to hear, watch and correct the timing on.",
    "dub": "Hold another language's words against the clips that exist.",
    "reel": "Make a film of the plan: the sheets running, with the sound.",
}


class LazyGroup(click.Group):
    """A group that imports a command only to run it, and shows errors as one sentence."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(f"timing.commands.{cmd_name}").command
        return command

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        if args and args[0] not in COMMANDS:
            hint = meant(args[0], COMMANDS, f"commands are {', '.join(COMMANDS)}")
            raise click.UsageError(f'there is no command "{args[0]}"; {hint}', ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except InputError as error:
            click.echo(f"Error: {error}", err=True)
            ctx.exit(2)
        except TimingError as error:
            click.echo(f"Error: {error}", err=True)
            ctx.exit(1)


def _show_version(ctx: click.Context, _option: click.Parameter, wanted: bool) -> None:
    if not wanted:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        click.echo(f"timing {version('timing-sheets')}")
    except PackageNotFoundError:
        click.echo("timing, run from its source folder")
    ctx.exit()


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_show_version, help="Show the version."
)
def cli() -> None:
    """Timing plans and printed sheets for short spoken and sung clips.

    \b
    timing demo                      see the whole job on the example
    timing say "Good night, sea."    how long is this line?
    timing new my-episode            start your own
    timing sheet my-episode          plan it, print it
    """


def main() -> None:
    """Run the program; ``timing.__main__`` calls it."""
    prepare()
    cli()
