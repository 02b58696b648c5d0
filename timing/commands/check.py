"""``timing check``: do the clips that came back hold what the plan says?"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any

import click

from timing.commands.options import (
    clipped,
    finish,
    json_option,
    out_option,
    print_json,
    say_before,
    source_argument,
    strict_option,
)
from timing.commands.progress import busy
from timing.delivery.matching import FOLDER_NAME
from timing.memory.clips import ASKED
from timing.model import LineKind
from timing.model.as_json import finding_json, voice_json
from timing.model.findings import FindingCode
from timing.model.plan import ACCEPTED
from timing.plain.errors import OutputError
from timing.plain.figures import at_most, figure, in_seconds
from timing.plain.nearest import nearest

if TYPE_CHECKING:
    from timing.delivery.three_lists import ThreeLists
    from timing.delivery.verdict import Check
    from timing.delivery.voices import ClipVoice
    from timing.model import Plan
    from timing.model.clock import Seconds
    from timing.script.source import Source

COLUMNS = "   clip    fps     frames asked  head  tail shift drift% words file"
FILE_COLUMNS = 17
OF_CHOICES = (
    FindingCode.ACCEPTED_MISSING,
    FindingCode.ACCEPTED_FOR_OTHER_WORDS,
    FindingCode.NOT_FOLLOWED,
    FindingCode.DIRECTIONS_CHANGED,
)
LEGEND = (
    "* best take  ! see the findings  lengths in frames, head and tail: before the",
    "first and after the last sound; shift, drift: against the recording (short: too",
    "little speech to tell); words: how surely they are the line's, from 0 to 1",
)


@click.command("check")
@source_argument
@out_option
@json_option
@strict_option
@click.pass_context
def command(ctx: click.Context, source: Path, out: Path | None, as_json: bool, strict: bool) -> None:
    """Hold the clips in SOURCE/clips against the plan of SOURCE (an episode folder).

    A clip is known by its id in the file's name (C04.mp4, "c04 take 2.mov"), else by its words. The best take of
    each clip is marked *; name another one as "accepted" in clips.toml to overrule that. Where the best take holds
    its whole line, its times are the line's on the next sheets and in the next tables.
    """
    from timing.commands.series import teach
    from timing.delivery.three_lists import three_lists
    from timing.memory.clips_toml import read_memory, remember
    from timing.memory.ledger import left_this_month, record, this_month, today
    from timing.pipeline import make_plan
    from timing.script.source import open_source

    opened = open_source(source)
    say_before(opened, out)
    if not opened.is_lone_script:
        read_memory(opened.folder)  # a slip in clips.toml is said before anything else is missing
    _expect_clips(opened)
    with busy("checking the clips") as bar:
        made = make_plan(opened, out, bar, keep_ids=True)
    plan, checks = made.plan, made.checks
    failed: OutputError | None = None
    try:
        remember(plan, opened.folder, checks)
        record(plan, opened.folder, checks, today())
        teach(opened, made)
    except OutputError as error:  # the folder can only be read, say: what was found is told before
        failed = error
    month = this_month(opened.folder, plan.settings)
    memory = read_memory(opened.folder)
    generated = memory.generated
    missing = missing_clips(plan, checks)
    lists = three_lists(plan.requested or plan, checks)
    if as_json:
        print_json(as_values(plan, checks, missing, generated) | values_of(lists) | values_of_voices(made.voices))
    else:
        rows = [*check_table(checks), *voice_rows(plan, made.voices), *_summary(plan, checks, missing, generated)]
        left = left_this_month(month, plan.settings) if month else []
        click.echo("\n".join([*rows, *left, *(told(lists) if checks else [])]))
        for finding in plan.findings:
            if finding.code in OF_CHOICES:
                click.echo(finding.message, err=True)
        if others := other_files(opened.folder):
            click.echo(f"not looked at, no sound or video by their names: {', '.join(others)}", err=True)
        found = [(check.file, finding) for check in checks for finding in check.findings]
        found += [("", finding) for one in made.voices for finding in one.voice.findings]
        if found:
            click.echo(f"\n{len(found)} finding{'s' * (len(found) != 1)}:", err=True)
        for file, finding in found:  # every one of them: each is about another file
            click.echo(f"  {_short(file)}: {finding.message}" if file else f"  {finding.message}", err=True)
    if failed:
        raise failed
    of_voices = [f for one in made.voices for f in one.voice.findings]
    finish(ctx, [*(f for check in checks for f in check.findings), *of_voices], strict)


def _expect_clips(source: Source) -> None:
    """Raise InputError where there can be no clips."""
    from timing.plain.errors import InputError

    if source.is_lone_script:
        message = "is a script by itself; clips lie in an episode folder: name the folder that has script and clips"
        raise InputError(message, source.script)
    if (source.folder / FOLDER_NAME).is_dir():
        return
    near = nearest(FOLDER_NAME, (p.name for p in source.folder.iterdir() if p.is_dir()))
    hint = f'; rename the folder "{near[0]}" to it' if near else ""
    raise InputError(f'has no clips; put them into a folder "{FOLDER_NAME}" beside the script{hint}', source.folder)


def other_files(folder: Path) -> list[str]:
    """Return the names of visible files in clips/ that are neither sound nor video by their endings."""
    from timing.delivery.matching import SUFFIXES

    base = folder / FOLDER_NAME
    paths = (p for p in base.rglob("*") if p.suffix.lower() not in SUFFIXES and p.is_file())
    names = (p.relative_to(base).as_posix() for p in paths)
    return sorted(name for name in names if not any(part.startswith(".") for part in name.split("/")))


def missing_clips(plan: Plan, checks: Sequence[Check]) -> list[str]:
    """Return the clips of the plan that no file was found for."""
    back = {check.clip for check in checks}
    return [clip.id for clip in plan.clips if clip.id not in back]


def check_table(checks: Sequence[Check]) -> list[str]:
    """Return the table for people, one row a file, at most 80 columns."""
    if not checks:
        return [f'the folder "{FOLDER_NAME}" has no sound or video yet; name each file after its clip, C04.mp4']
    rows = [COLUMNS]
    for c in checks:
        star = "*" if c.is_best and (c.is_whole or not c.findings) else " "
        rows.append(
            f"{star}{'!' if c.findings else ' '} {c.clip or '?':7} {_rate(c):7} "
            f"{_whole(c.frames):>6} {_whole(c.asked_frames):>5} {_number(c.head_frames)} {_number(c.tail_frames)} "
            f"{_number(c.shift_frames)} {_drift(c):>6} {_number(c.confidence, 5, 2)} "
            f"{clipped(_short(c.file), FILE_COLUMNS).rstrip()}".rstrip()
        )
    return [*rows, *LEGEND]


def voice_rows(plan: Plan, voices: Sequence[ClipVoice]) -> list[str]:
    """Return a line for each converted voice: how late it is, how much it drifts, how like its clip's own sound."""
    rows = []
    for one in voices:
        voice, frames = one.voice, float(plan.rate.fps)
        if voice.likeness is None:
            figures = "not used"
        else:
            late = float(voice.delay)
            drift = "too short to tell" if voice.drift is None else f"{voice.drift * 100:+.2f} %"
            figures = (
                f"delay {late * 1000:+.0f} ms ({late * frames:+.1f} frames), drift {drift}, "
                f"likeness {voice.likeness:.2f}{'' if voice.is_used else ', not used'}"
            )
        of = f" of {_short(one.of)}" if one.of else ""
        rows += wrap(f"voice: {_short(voice.file)}{of}: {figures}", 80, subsequent_indent="    ")
    return ["", *rows] if rows else []


def values_of_voices(voices: Sequence[ClipVoice]) -> dict[str, Any]:
    """Return the converted voices as plain values."""
    return {"voices": [{"clip": one.clip, "of": one.of, **voice_json(one.voice)} for one in voices]}


def _summary(plan: Plan, checks: Sequence[Check], missing: Sequence[str], generated: Seconds) -> list[str]:
    """Return what the clips mean for the next step, in sentences of at most 80 columns where ids allow it."""
    rows = [""]
    timed = [line.id for line in plan.lines if line.delivered]
    if timed:
        rows.append(f"timed by these clips, on the next sheets too: line{'s' * (len(timed) > 1)} {', '.join(timed)}")
    spoken = {clip.id for clip in plan.clips if clip.kind is LineKind.SPOKEN}
    old = [d.clip for d in plan.deliveries if d.state == ASKED]
    lacking = [d.clip for d in plan.deliveries if d.clip in spoken and not d.is_measured and d.clip not in old]
    if old:
        rows.append(f"to be asked for again, their words were changed: {', '.join(old)}")
    if lacking:
        rows.append(f"back, but no take holds the whole line: {', '.join(lacking)}")
    if accepted := [f"{d.clip} ({_short(d.file)})" for d in plan.deliveries if d.state == ACCEPTED]:
        rows.append(f"accepted: {', '.join(accepted)}")
    if missing:
        rows.append(f"not back yet: {', '.join(missing)}")
    planned = plan.totals.generate
    rows.append(f"generated so far: {figure(generated)} s of {figure(planned)} s planned with all takes")
    return [part for row in rows for part in (wrap(row, 80) or [""])]


def told(lists: ThreeLists) -> list[str]:
    """Return the three lists in words, with the row to write where something is to be decided."""
    from timing.delivery.three_lists import label_file

    rows = ["", f"placed ({len(lists.placed)}): {', '.join(lists.placed) or 'none'}"]
    advice = ": write the row that is right, and it is settled" if lists.unsure else ""
    rows.append(f"unsure ({len(lists.unsure)}){advice}")
    for one in lists.unsure:
        rows.append(f"  {_short(one.file)} is {one.clip} by its name; {one.why}")
        rows += [f"    {label_file(one.file)}:  {row}" for row in one.rows]
    advice = ": files that are no clip" if lists.left_over else ""
    rows.append(f"left over ({len(lists.left_over)}){advice}")
    for left in lists.left_over:
        long = f" ({in_seconds(left.seconds, 1)})" if left.seconds is not None else ""
        near = f"; not back yet, nearest in length: {', '.join(left.nearest)}" if left.nearest else ""
        rows.append(f"  {_short(left.file)}{long}{near}")
    return [
        part for row in rows for part in ([row] if "\t" in row else wrap(row, 80, subsequent_indent="    ") or [""])
    ]


def values_of(lists: ThreeLists) -> dict[str, Any]:
    """Return the three lists as plain values."""
    return {
        "placed": list(lists.placed),
        "unsure": [{"file": u.file, "clip": u.clip, "why": u.why, "or_clip": u.other} for u in lists.unsure],
        "left_over": [{"file": n.file, "seconds": n.seconds, "nearest": list(n.nearest)} for n in lists.left_over],
    }


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
                "drift_error": c.drift_error,
                "whole": c.is_whole,
                "confidence": c.confidence,
                "words": [
                    {"text": w.text, "start_s": round(float(w.start), 3), "end_s": round(float(w.end), 3)}
                    for w in (c.heard.words if c.heard else ())
                ],
                "findings": [finding_json(f) for f in c.findings],
            }
            for c in checks
        ],
        "missing": list(missing),
        "timed_lines": [line.id for line in plan.lines if line.delivered],
        "generated_s": float(generated),
        "planned_s": float(plan.totals.generate),
    }


def _rate(check: Check) -> str:
    if check.rate is None:
        return "-" if check.frames is None else "sound"
    return at_most(check.rate, 3)


def _short(file: str) -> str:
    return file.removeprefix(f"{FOLDER_NAME}/")


def _drift(check: Check) -> str:
    """Return the drift in per cent, "short" where the clip was compared but holds too little speech."""
    if check.drift is None:
        return "" if check.shift_frames is None else "short"
    return _number(check.drift * 100)


def _whole(value: int | None) -> str:
    return "" if value is None else str(value)


def _number(value: float | None, columns: int = 5, places: int = 1) -> str:
    return " " * columns if value is None else f"{round(value, places) + 0.0:{columns}.{places}f}"
