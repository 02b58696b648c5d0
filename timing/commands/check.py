"""``timing check``: do the clips that came back hold what the plan says?"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from timing.commands.options import (
    clipped,
    finish,
    json_option,
    out_option,
    print_findings,
    print_json,
    progress_bar,
    source_argument,
    strict_option,
)

if TYPE_CHECKING:
    from timing.clock import Seconds
    from timing.delivery.check import Check
    from timing.model import Plan

COLUMNS = "      clip    take  rate    frames  asked   head   tail   shift  drift %  words  file"


@click.command("check")
@source_argument
@out_option
@json_option
@strict_option
@click.pass_context
def command(ctx: click.Context, source: Path, out: Path | None, as_json: bool, strict: bool) -> None:
    """Hold the clips in SOURCE/clips against the plan of SOURCE (an episode folder).

    A clip is known by its id in the file's name (C04.mp4, "c04 take 2.mov"), else by its words. Lengths are in
    frames: head and tail are what is left before the first and after the last sound, shift is how late the clip is
    against the recording, words how well they fit (1: surely). The best take of each clip is marked *.
    """
    from timing.errors import InputError
    from timing.memory import read_memory, remember
    from timing.pipeline import make_plan
    from timing.script.source import open_source

    opened = open_source(source)
    if opened.is_lone_script or not (opened.folder / "clips").is_dir():
        raise InputError('has no clips; put them into a folder "clips" beside the script', opened.folder)
    made = make_plan(opened, out, progress_bar())
    plan, checks = made.plan, made.checks
    remember(plan, opened.folder, checks)
    generated = read_memory(opened.folder).generated
    found = [(check.file, finding) for check in checks for finding in check.findings]
    missing = missing_clips(plan, checks)
    if as_json:
        print_json(as_values(plan, checks, missing, generated))
    else:
        click.echo("\n".join(check_table(checks)))
        if missing:
            click.echo(f"not back yet: {', '.join(missing)}")
        planned = plan.totals.generate
        click.echo(f"generated so far: {float(generated):g} s of {float(planned):g} s planned with all takes")
        if found:
            click.echo(f"\n{len(found)} finding{'s' * (len(found) != 1)}:", err=True)
            print_findings(found)
    finish(ctx, [f for _, f in found], strict)


def missing_clips(plan: Plan, checks: Sequence[Check]) -> list[str]:
    """Return the clips of the plan that no file was found for."""
    back = {check.clip for check in checks}
    return [clip.id for clip in plan.clips if clip.id not in back]


def check_table(checks: Sequence[Check]) -> list[str]:
    """Return the table for people, one row a file."""
    if not checks:
        return ["there are no clips in the folder clips"]
    rows = [COLUMNS]
    for c in checks:
        drift = None if c.drift is None else c.drift * 100
        rows.append(
            f"{'*' if c.is_best else ' '}  {'!' if c.findings else ' '}  {c.clip or '?':7} {c.take:4}  "
            f"{_rate(c):6}  {_whole(c.frames)}  {_whole(c.asked_frames)}  {_number(c.head_frames)}  "
            f"{_number(c.tail_frames)}  {_number(c.shift_frames)}  {_number(drift, 7)}  "
            f"{_number(c.confidence, 5, 2)}  {clipped(c.file, 40).rstrip()}"
        )
    return rows


def as_values(plan: Plan, checks: Sequence[Check], missing: Sequence[str], generated: Seconds) -> dict[str, Any]:
    """Return the machine form: facts and findings of every file, clips not back, seconds generated."""
    return {
        "files": [
            {
                "file": c.file,
                "clip": c.clip,
                "take": c.take,
                "best": c.is_best,
                "rate": None if c.rate is None else str(c.rate),
                "frames": c.frames,
                "asked_frames": c.asked_frames,
                "head_frames": c.head_frames,
                "tail_frames": c.tail_frames,
                "shift_frames": c.shift_frames,
                "drift": c.drift,
                "confidence": c.confidence,
                "words": [
                    {"text": w.text, "start_s": round(float(w.start), 3), "end_s": round(float(w.end), 3)}
                    for w in (c.heard.words if c.heard else ())
                ],
                "findings": [{"code": f.code, "message": f.message, **f.facts} for f in c.findings],
            }
            for c in checks
        ],
        "missing": list(missing),
        "generated_s": float(generated),
        "planned_s": float(plan.totals.generate),
    }


def _rate(check: Check) -> str:
    if check.rate is None:
        return "sound"
    return f"{float(check.rate):.3f}".rstrip("0").rstrip(".")


def _whole(value: int | None) -> str:
    return f"{'' if value is None else value:>5}"


def _number(value: float | None, columns: int = 5, places: int = 1) -> str:
    return " " * columns if value is None else f"{value:{columns}.{places}f}"
