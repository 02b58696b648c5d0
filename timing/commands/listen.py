"""``timing listen``: what the recordings hold, line by line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from timing.commands.findings import print_findings
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
from timing.model import Finding, LineKind, Origin, PlanLine, TimedLine
from timing.model.as_json import decimal_s, finding_json
from timing.model.clock import Seconds
from timing.plain.figures import in_seconds
from timing.recording.results import Take

if TYPE_CHECKING:
    from timing.recording.results import Heard
    from timing.recording.three_lists import ThreeLists


@click.command("listen")
@source_argument
@out_option
@json_option
@strict_option
@click.pass_context
def command(ctx: click.Context, source: Path, out: Path | None, as_json: bool, strict: bool) -> None:
    """Find the lines of SOURCE (an episode folder) in its recordings and measure them.

    Recordings lie in SOURCE/recordings, under any name; one that begins with a line's number is heard for that line
    first. The last complete reading of a line counts (marked *): files in the order of their names, 2 before 10. To
    choose another, write a row into a label file beside the recording, as the lists at the end say, or under [takes]
    in episode.toml, 12 = "recordings/memo.m4a@41.5". Seconds are measured from the first sound to the last; change is
    against the estimate that the plan makes of the text.
    """
    from timing.commands.series import paces_told, teach
    from timing.pipeline import make_plan
    from timing.plain.errors import InputError
    from timing.recording.three_lists import three_lists
    from timing.script.source import open_source

    opened = open_source(source)
    say_before(opened, out)
    with busy("listening") as bar:
        made = make_plan(opened, out, bar, keep_ids=True)
    if made.heard is None:
        raise InputError('has no recordings; put them into a folder "recordings" beside the script', opened.folder)
    teach(opened, made)
    lines = [line for line in made.plan.lines if line.kind is not LineKind.PICTURE]
    found = findings_of(lines, made.heard)
    lists = three_lists(made.heard, [(line.id, _words(line)) for line in lines])
    if as_json:
        paces = {who: {"pace": round(p.pace, 3), "lines": p.lines} for who, p in made.paces.items()}
        print_json(as_values(lines, made.heard, made.estimates, lists) | {"paces": paces})
    else:
        rows = [
            *listen_table(lines, made.heard, made.estimates), *paces_told(made), *told(lists, made.heard, len(lines))
        ]  # fmt: skip
        click.echo("\n".join(rows))
        if found:
            click.echo("", err=True)
            print_findings(found)
    finish(ctx, [f for _, f in found], strict)


def findings_of(lines: Sequence[PlanLine], heard: Heard) -> list[tuple[str, Finding]]:
    """Return (line, finding) for everything heard that a person should know."""
    found = [
        (f"line {line.id}", finding)
        for line in lines
        if line.id in heard.lines
        for finding in heard.lines[line.id].findings
    ]
    return found + [("", finding) for finding in heard.findings]


def listen_table(lines: Sequence[PlanLine], heard: Heard, estimates: Mapping[str, Seconds]) -> list[str]:
    """Return the rows: each reading of each line, the one that counts marked *."""
    rows = [f"{'line':<5} {'seconds':>7} {'change':>7} {'sure':>5}  {'take':<34} text"]
    for line in lines:
        timed = heard.lines.get(line.id)
        if timed is None:
            continue
        estimate = estimates.get(line.id)
        change = f"{100 * float(timed.length / estimate - 1):+.0f} %" if estimate else ""
        for take in heard.takes:
            if take.line_id != line.id:
                continue
            if take.is_chosen:
                flag = "!" if timed.findings else " "
                head = f"{line.id:<5} {float(timed.length):>7.2f} {change:>7} {_percent(_sure(take, timed)):>5}"
                rows.append(f"{head} {flag}*{clipped(take.name, 32)} {clipped(line.text, 17)}".rstrip())
            else:
                length = f"{float(take.end - take.start):.2f}" if take.is_complete else "begun"
                rows.append(f"{'':<5} {length:>7} {'':>15} {take.name}".rstrip())
    spoken, sung = ({line.id for line in lines if bool(line.song) is which} for which in (False, True))
    back = {line.id for line in lines if line.delivered}
    if unread := [i for i in heard.unread if i in spoken - back]:
        rows += ["", f"Not found in any recording, so estimated: {', '.join(unread)}."]
    if timed_by_clips := [i for i in heard.unread if i in spoken & back]:
        rows += ["", f"Not found in any recording, timed by the clips that came back: {', '.join(timed_by_clips)}."]
    if unsung := [i for i in heard.unread if i in sung]:
        rows += ["", f"Sung, so laid on the song's beat: {', '.join(unsung)}."]
    total = sum((heard.lines[line.id].length for line in lines if line.id in heard.lines), Seconds(0))
    rows += ["", f"{len(heard.lines)} of {len(lines)} lines measured, {in_seconds(total, 1)}."]
    return rows


def _sure(take: Take, timed: TimedLine) -> float | None:
    """Return how sure a line is: that the reading is this line's, and that its words fit; the lesser of the two."""
    if timed.origin is Origin.PINNED or timed.confidence is None:
        return timed.confidence
    return min(take.confidence, timed.confidence)


def _words(line: PlanLine) -> str:
    return " ".join(word.spoken.casefold() for word in line.words)


def told(lists: ThreeLists, heard: Heard, count: int) -> list[str]:
    """Return the three lists in words, with the row to write where something is to be decided."""
    from timing.recording.three_lists import label_file, label_row

    rows = [*_obeyed(heard), "", f"placed ({len(lists.placed)} of {count}): {', '.join(lists.placed) or 'none'}"]
    rows.append(
        f"unsure ({len(lists.unsure)})" + (": write the row that is right, and it is settled" * bool(lists.unsure))
    )
    for one in lists.unsure:
        rows.append(f"  line {one.line_id}: {one.why}")
        for take, line_id in (
            (one.this, one.line_id),
            (one.that, one.line_id),
            (one.or_line and one.this, one.or_line),
        ):
            if isinstance(take, Take) and line_id:
                rows.append(f"    {label_file(take.file)}:  {label_row(take.start, take.end, line_id)}")
    rows.append(f"left over ({len(lists.left_over)})" + ": speech that was given to no line" * bool(lists.left_over))
    for left in lists.left_over:
        beside = " and ".join(f"{word} line {i}" for word, i in (("after", left.after), ("before", left.before)) if i)
        where = f"{left.file} {float(left.start):.1f} to {in_seconds(left.end, 1)}"
        rows.append(f"  {where}{', ' + beside if beside else ''}")
        for line_id in left.nearest:
            rows.append(
                f"    if it is line {line_id}, {label_file(left.file)}:  {label_row(left.start, left.end, line_id)}"
            )
    return rows


def _obeyed(heard: Heard) -> list[str]:
    """Return the rows of label files that were followed: where each stands, and what it says."""
    if not heard.obeyed:
        return []
    rows = ["", f"as you wrote ({len(heard.obeyed)})"]
    for line_id, label in heard.obeyed:
        is_line = label.text.partition(":")[0].strip() == line_id
        what = f"line {line_id}" if is_line else f"“{label.text}” in line {line_id}"
        until = f" to {float(label.end):.3f}" if label.end > label.start else ""
        rows.append(f"  {label.where}: {what}, {float(label.start):.3f}{until} s")
    return rows


def _percent(share: float | None) -> str:
    return "" if share is None else f"{100 * share:.0f} %"


def as_values(
    lines: Sequence[PlanLine], heard: Heard, estimates: Mapping[str, Seconds], lists: ThreeLists
) -> dict[str, Any]:
    """Return what was heard as plain values; seconds rounded to the microsecond, as in plan.json."""
    entries = []
    for line in lines:
        timed, estimate = heard.lines.get(line.id), estimates.get(line.id)
        entries.append(
            {
                "id": line.id,
                "text": line.text,
                "take": timed.take if timed else None,
                "take_start_s": decimal_s(timed.take_start) if timed else None,
                "seconds": decimal_s(timed.length) if timed else None,
                "estimate_s": decimal_s(estimate),
                "confidence": timed.confidence if timed else None,
                "findings": [finding_json(f) for f in timed.findings] if timed else [],
                "takes": [
                    {
                        "name": take.name,
                        "start_s": decimal_s(take.start),
                        "end_s": decimal_s(take.end),
                        "complete": take.is_complete,
                        "chosen": take.is_chosen,
                        "confidence": take.confidence,
                        "instead": [
                            {
                                "line": r.line_id,
                                "start_s": decimal_s(r.start),
                                "end_s": decimal_s(r.end),
                                "confidence": r.confidence,
                            }
                            for r in take.rivals
                        ],
                    }
                    for take in heard.takes
                    if take.line_id == line.id
                ],
            }
        )
    return {
        "lines": entries,
        "unread": list(heard.unread),
        "placed": list(lists.placed),
        "unsure": [
            {
                "id": one.line_id,
                "why": one.why,
                "readings": [_stretch(t) for t in (one.this, one.that) if t],
                "or_line": one.or_line,
            }
            for one in lists.unsure
        ],
        "left_over": [
            {
                "file": left.file,
                "start_s": decimal_s(left.start),
                "end_s": decimal_s(left.end),
                "after": left.after,
                "before": left.before,
                "nearest": list(left.nearest),
            }
            for left in lists.left_over
        ],
        "obeyed": [
            {
                "where": str(label.where),
                "line": line_id,
                "text": label.text,
                "start_s": decimal_s(label.start),
                "end_s": decimal_s(label.end),
            }
            for line_id, label in heard.obeyed
        ],
        "findings": [finding_json(f) for f in heard.findings],
    }


def _stretch(take: Take) -> dict[str, Any]:
    return {"file": take.file, "start_s": decimal_s(take.start), "end_s": decimal_s(take.end)}
