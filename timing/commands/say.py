"""``timing say``: one line, no files."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from fractions import Fraction

import click

from timing.clips.plan import plan_clips
from timing.clips.sharing import planning_stretch
from timing.clips.split import syllables_to_cut
from timing.commands.options import json_option, print_json
from timing.episode.frame_edges import framed
from timing.language import read_line, resolve
from timing.model import Clip, LineKind, Plan, PlanLine, ScriptLine, Totals, Where
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.settings import DEFAULT_PROFILE, DELIVERIES, ClipProfile, EpisodeSettings
from timing.plain.errors import InputError, SettingsError
from timing.plain.figures import figure, in_seconds
from timing.plain.names import readable
from timing.plain.numbers import exact
from timing.script.reader import parse_script
from timing.timers.pace import PaceTimer


@click.command("say")
@click.argument("text", nargs=-1, required=True)
@click.option("-l", "--language", default="en_US", show_default=True, help="Language, for example en_US, pt_BR, de.")
@click.option(
    "-d", "--delivery", default="dialogue", show_default=True, help=f"How it is spoken: {', '.join(DELIVERIES)}."
)
@click.option("--lengths", help="What one generation can return, in seconds: 3,5,8 or 3-8 [default: 3-8].")
@click.option("--rate", default="24", show_default=True, help="Frames a second.")
@json_option
def command(text: tuple[str, ...], language: str, delivery: str, lengths: str | None, rate: str, as_json: bool) -> None:
    """Tell how long TEXT takes to say, what to ask for, and where to cut it.

    TEXT "-" reads standard input. Seconds are an estimate with its 80 % range; hyphens show the syllables,
    CAPITALS the stressed ones.
    """
    words = sys.stdin.read() if text == ("-",) else " ".join(text)
    line, clips = time_line(readable(" ".join(words.split())), language, delivery, menu(lengths), frame_rate(rate))
    if as_json:
        print_json(_as_json(line, clips))
        return
    click.echo("\n".join(report(line, clips, delivery, menu(lengths))))


def time_line(
    text: str, language: str, delivery: str, profile: ClipProfile, rate: FrameRate
) -> tuple[PlanLine, tuple[Clip, ...]]:
    """Return one spoken line on a clock of its own, and its clips; raises InputError where nothing is spoken."""
    settings = EpisodeSettings(language=resolve(language), rate=rate, profiles={DEFAULT_PROFILE: profile})
    spoken = as_script(text)
    utterance = read_line(spoken.text, settings.language, emphasis=spoken.emphasis, pauses=spoken.pauses)
    if not utterance.words:
        hint = "; what stands in brackets is a direction and is not said" if _asides(text) else ""
        raise InputError(f"there is no word to say in this text{hint}")
    timed = framed(
        PaceTimer(settings.language, delivery, None, spoken.directions).time(utterance).moved(profile.head), rate
    )
    first, last = timed.syllables[0].start_frame or 0, timed.syllables[-1].end_frame or 0
    line = PlanLine(
        "1", LineKind.SPOKEN, spoken.text, timed.origin, timed.start, timed.end, first, last, timed.low, timed.high,
        timed.words, speaker=spoken.speaker, directions=spoken.directions,
        findings=(*spoken.findings, *utterance.findings, *timed.findings),
    )  # fmt: skip
    return line, plan_clips([line], settings).clips


def as_script(text: str) -> ScriptLine:
    """Return the line as a script would hold it: name, directions and pauses apart from the words."""
    plain = ScriptLine(LineKind.SPOKEN, text, Where("say"))
    named = re.match(r"[A-Z][A-Z0-9 .'&-]*:\s", text)
    try:
        script = parse_script(text if named else f"SPEAKER: {text}", "say.txt")
    except InputError:
        return plain
    if len(script.lines) != 1 or script.lines[0].kind is not LineKind.SPOKEN:
        return plain
    line = script.lines[0]
    found = tuple(f for f in (*script.findings, *line.findings) if f.code != FindingCode.SPEAKER_DOUBTFUL)
    return replace(line, speaker=line.speaker if named else None, findings=found)


def menu(lengths: str | None) -> ClipProfile:
    """Return the profile of a menu as typed: "3,5,8" or "3-8"; raises SettingsError."""
    if lengths is None:
        return ClipProfile()
    try:
        if "-" in lengths:
            low, high = (exact(part) for part in lengths.split("-"))
            if low > high:
                raise SettingsError(f"--lengths {lengths}: {figure(low)} is more than {figure(high)}; turn them round")
            found = [low + n for n in range(int(high - low) + 1)] if high - low <= 1000 else []
        else:
            found = [exact(part) for part in lengths.replace(";", ",").split(",") if part.strip()]
        return ClipProfile(lengths=tuple(found))
    except (ValueError, ZeroDivisionError) as error:
        if "clip profile" in str(error):
            raise SettingsError(f"--lengths {lengths}: {str(error).split(': ', 1)[-1]}") from None
        raise SettingsError(f'--lengths "{lengths}" is no list of seconds; write 3,5,8 or 3-8') from None


def frame_rate(text: str) -> FrameRate:
    try:
        return FrameRate.parse(text)
    except ValueError as error:
        raise SettingsError(f"--rate: {error}") from None


def report(line: PlanLine, clips: tuple[Clip, ...], delivery: str, profile: ClipProfile) -> list[str]:
    """Return the four lines that people read."""
    count = len(line.syllables)
    frames = line.end_frame - line.start_frame
    speed = count / float(line.length)
    rows = [
        broken(line),
        f"{in_seconds(line.length, 1)} ({float(line.low):.1f} to {float(line.high):.1f}), {frames} frames · "
        f"{count} syllable{'s' * (count != 1)}, {speed:.1f} a second · {delivery}",
    ]
    stretch = planning_stretch(line, EpisodeSettings())
    handles = f"{figure(profile.head)} s before, {figure(profile.tail)} s after"
    if len(clips) == 1 and clips[0].ask is not None:
        clip = clips[0]
        rows.append(f"ask for {figure(clip.ask)} s: it needs {in_seconds(clip.need, 1)} with handles ({handles})")
        rows.append(_room(clip, line, stretch))
    elif len(clips) == 1:
        rows.append(clips[0].findings[0].message)
    else:
        lose = syllables_to_cut(line.length * stretch, count, profile)
        asks = " + ".join(figure(c.ask) for c in clips)
        rows.append(
            f"too long for one generation ({figure(profile.longest)} s): ask for {asks} s, "
            f"or cut about {lose} syllable{'s' * (lose != 1)}"
        )
        rows.append("cut here: " + " / ".join(c.text for c in clips))
    if line.speaker:
        rows.append(f"note: {line.speaker} was read as the speaker's name and is not said")
    if line.directions:
        rows.append(f"note: said {', '.join(f'({d})' for d in line.directions)}")
    told = " ".join(finding.message for finding in line.findings)
    if asides := [aside for aside in _asides(line.text) if aside not in told]:
        rows.append(f"note: in brackets, so not said: {', '.join(asides)}; write it between dashes if it is")
    rows += [f"note: {finding.message}" for finding in line.findings]
    return rows


def broken(line: PlanLine) -> str:
    """Return the line with its syllables broken by hyphens and the stressed ones of longer words in capitals.

    Where a token is said otherwise than written, what is said follows in brackets: 37 [thir-ty SEV-en].
    """
    shown = []
    for word in line.words:
        several = len(word.syllables) > 1
        as_said = any(s.said or not s.text for s in word.syllables)
        pieces = [s.said or s.text if as_said else s.text for s in word.syllables]
        pieces = [p.upper() if several and s.stress == 1 else p for p, s in zip(pieces, word.syllables, strict=True)]
        joined = "-".join([*(p.rstrip("-‐") or p for p in pieces[:-1]), pieces[-1]])  # "al-ways" has its hyphen already
        shown.append(f"{word.text} [{joined}]" if as_said else joined)
    return " ".join(shown)


def _asides(text: str) -> list[str]:
    return re.findall(r"\([^()]+\)|\[[^][]+\]", text)


def _room(clip: Clip, line: PlanLine, stretch: Fraction) -> str:
    assert clip.ask is not None
    spare = clip.ask - clip.head - line.length * stretch - clip.tail
    more = int(spare * len(line.syllables) / (line.length * stretch))
    if more <= 0:
        return "it fits one generation, with no room for another syllable"
    return f"it fits one generation; those {figure(clip.ask)} s hold about {more} more syllable{'s' * (more != 1)}"


def _as_json(line: PlanLine, clips: tuple[Clip, ...]) -> dict[str, object]:
    zero = Fraction(0)
    settings = EpisodeSettings()
    totals = Totals(zero, zero, zero, zero)
    plan = Plan(
        "", settings.language, settings.rate, line.end_frame, line.end, (line,), clips, (), totals, settings, ""
    )
    whole = plan.to_json()
    return {"line": whole["lines"][0], "clips": whole["clips"]}
