"""Options and printing that several commands share."""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from timing.model import Finding, Plan
from timing.plain.json_text import json_pieces

if TYPE_CHECKING:
    from timing.script.source import Source

Command = TypeVar("Command", bound=Callable[..., Any])

source_argument = click.argument("source", type=click.Path(path_type=Path))
json_option = click.option("--json", "as_json", is_flag=True, help="Print the machine form instead of the table.")
strict_option = click.option("--strict", is_flag=True, help="End with exit code 1 when there are findings.")
out_option = click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for results [default: SOURCE/out, or NAME-out beside a script].",
)
force_option = click.option("--force", is_flag=True, help="Replace files in the folder that the tool did not write.")


language_option = click.option(
    "-l", "--language", help="Language of the script, for example pt_BR [default: episode.toml's, else en_US]."
)


cut_option = click.option(
    "--cut",
    type=click.Path(path_type=Path),
    help="The real cut, an .edl or .otio [default: cut.edl or cut.otio in the episode folder].",
)


def with_language(source: Source, language: str | None) -> Source:
    """Return the source in another language; raises SettingsError for an unknown one."""
    if language is None:
        return source
    from timing.language import resolve

    return replace(source, settings=replace(source.settings, language=resolve(language)))


def say_before(source: Source, out: Path | None) -> None:
    """Say which script of a folder was taken where its name does not tell, and where the output is a mixture.

    It is one after a run was stopped while it replaced the files there.
    """
    from timing.plain.files import was_stopped

    if not source.is_lone_script and source.script.stem.lower() != "script":
        click.echo(f"script: {source.script}", err=True)
    folder = out or source.default_out
    if was_stopped(folder):
        click.echo(
            f"{folder}: a run was stopped while it replaced files here, so some are older than others; "
            "timing sheet writes them all anew",
            err=True,
        )


def print_json(value: object) -> None:
    # Where the stream is no Unicode (a Windows pipe), escapes keep the JSON whole and readable by every program.
    is_unicode = (getattr(sys.stdout, "encoding", None) or "utf-8").lower().startswith("utf")
    for piece in json_pieces(value, ascii_only=not is_unicode):
        click.echo(piece, nl=False)
    click.echo()


def finish(ctx: click.Context, findings: Sequence[Finding], strict: bool) -> None:
    """Set the exit code: 1 for findings with --strict."""
    if strict and findings:
        ctx.exit(1)


def all_findings(plan: Plan) -> list[tuple[str, Finding]]:
    """Return (where it belongs, finding) for the whole plan, lines in order, then clips, then the episode."""
    found = [(f"line {line.id}", f) for line in plan.lines for f in line.findings]
    shown = {id(f) for _, f in found}
    found += [(clip.id, f) for clip in plan.clips for f in clip.findings if id(f) not in shown]
    return found + [("", f) for f in plan.findings]


def as_typed(path: Path) -> str:
    """Return a path as it is typed in a command: in quotes where a shell would take it apart.

    >>> as_typed(Path("low-tide")), as_typed(Path("my episode"))
    ('low-tide', '"my episode"')
    """
    text = str(path)
    return text if re.fullmatch(r"[\w@%+=:,./\\-]+", text) else f'"{text}"'


def width(text: str) -> int:
    """Return the columns a terminal needs for ``text`` (wide characters take two, accents none)."""
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


def clipped(text: str, columns: int) -> str:
    """Return ``text`` on one line, cut with an ellipsis where it is too wide, padded to ``columns``.

    >>> clipped("Where does the sea go?", 10)
    'Where doe…'
    """
    text = " ".join(text.split())
    if width(text) > columns:
        kept = ""
        for character in text:
            if width(kept + character) > columns - 1:
                break
            kept += character
        text = kept + "…"
    return text + " " * (columns - width(text))
