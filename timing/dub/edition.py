"""An edition: the words in another language laid into the windows of the clips that exist.

In: the original's plan, what recordings say of its speakers, the words by line. Out: :class:`Edition`.

A line is spoken at its speaker's pace: what readings in that language say, else what the original's readings say (a
character's tempo is its own), else the delivery's. Only the first narrows the range: another voice speaks.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from pathlib import Path

from timing.clips.plan import plan_clips
from timing.dub.readings import heard_readings, paces_heard
from timing.dub.songs import sing, stress_findings
from timing.dub.texts import TextFile, Texts
from timing.dub.verdicts import OVER, UNDER, closures, losses, risk, syllables_to_change, verdict
from timing.dub.windows import clauses_of, of_script, phrases_of, windows_of
from timing.episode.frame_edges import framed
from timing.language import assumptions, read_line
from timing.model import Clip, Finding, LineKind, Plan, PlanLine, ScriptLine, TimedLine, Utterance
from timing.model.clock import Seconds
from timing.model.dub import DubLine, Edition, PhraseStart, Verdict, Window
from timing.model.findings import FindingCode
from timing.model.settings import EpisodeSettings
from timing.plain.figures import figure, in_seconds
from timing.recording.listen import Progress
from timing.recording.results import Heard
from timing.song.lyrics.lyrics import parse_lyric
from timing.store.store import Store
from timing.timers.delivery import SpeakerFactor, delivery_named
from timing.timers.measured import MeasuredTimer
from timing.timers.speaker import pace_timer

NEAR_FRAMES = 2  # a closure so near another is seen as the same (limits of lip sync: ITU-R BS.1204, 83 ms)


@dataclass(frozen=True)
class MadeEdition:
    """An edition, and what its own recordings held; None where it has none."""

    edition: Edition
    heard: Heard | None = None


_Pair = tuple[PlanLine, ScriptLine, Utterance]


def make_edition(
    plan: Plan,
    paces: Mapping[str, SpeakerFactor],
    file: TextFile,
    texts: Texts,
    folder: Path,
    store: Store,
    progress: Progress | None = None,
) -> MadeEdition:
    """Return an episode's edition in the language of ``file``.

    ``paces`` are those of the speakers, by upper-case name; ``folder`` is the episode's. Where there is a real
    cut the edition is one of the cut: its windows, on its clock. Raises SettingsError or ScriptError for words that
    cannot be read.
    """
    settings = replace(plan.settings, language=file.language)  # [say] too: invented words are the same everywhere
    said = {
        line.id: (text, words)
        for line in plan.lines
        if (text := texts.lines.get(line.id)) is not None and (words := _read(text, settings)).words
    }
    without = tuple(line.id for line in plan.lines if line.words and line.id not in said)
    spoken = [(line, said[line.id][1]) for line in plan.lines if line.id in said]
    heard = heard_readings(folder, file.name, settings, spoken, store, progress)
    own = paces_heard(spoken, heard, settings)
    factors = {name: _of_another_voice(factor) for name, factor in paces.items()} | dict(own)
    cut, plan = plan.cut, plan.shown
    windows = windows_of(plan)
    made = [
        _line(
            plan, settings, (line, *said[of_script(line.id)]), windows[line.id], factors,
            heard.lines.get(of_script(line.id)) if heard else None,
        )
        for line in plan.lines
        if line.words and of_script(line.id) in said
    ]  # fmt: skip
    assumed = assumptions(file.language) if any(dub.line.low < dub.line.high for dub in made) else ()
    by_id = {dub.id: dub.line for dub in made}
    lines = tuple(by_id.get(line.id, replace(line, words=(), findings=())) for line in plan.lines)
    clips = tuple(_with_own_words(clip, by_id.get(clip.line)) for clip in plan.clips)
    edition_plan = replace(
        plan, language=file.language, settings=settings, lines=lines, clips=clips, deliveries=(), loudness=(),
        requested=None, findings=(),
    )  # fmt: skip
    missing = (_no_text(without),) if without else ()
    findings = (*texts.findings, *assumed, *missing, *(heard.findings if heard else ()))
    edition = Edition(file.name, file.language, plan, edition_plan, tuple(made), without, findings)
    if cut is not None:
        seen = {of_script(dub.id) for dub in made}
        edition = replace(edition, cut_file=cut.file, not_in_cut=tuple(id_ for id_ in said if id_ not in seen))
    return MadeEdition(edition, heard)


def _read(text: ScriptLine, settings: EpisodeSettings) -> Utterance:
    read = partial(read_line, language=settings.language, say=settings.say, mute_e=settings.mute_e)
    if text.kind is LineKind.SUNG:
        lyric = parse_lyric(text.text, text.where)
        return read(lyric.text, sung=True, splits=lyric.splits)
    return read(text.text, emphasis=text.emphasis, pauses=text.pauses)


def _of_another_voice(factor: SpeakerFactor) -> SpeakerFactor:
    """Return a speaker's factor with the range of a voice that nobody has heard: the edition is spoken by another."""
    row = delivery_named(factor.delivery)
    return replace(factor, sd=math.hypot(row.speaker_sd, row.line_sd))


def _no_text(ids: Sequence[str]) -> Finding:
    message = f"no words yet for line{'s' * (len(ids) > 1)} {', '.join(ids)}"
    return Finding(FindingCode.DUB_NO_TEXT, message, {"lines": list(ids)})


def _with_own_words(clip: Clip, line: PlanLine | None) -> Clip:
    """Return a part of a split line with those of the new words that begin while it is seen."""
    if line is None or clip.part[1] == 1:
        return clip
    part, parts = clip.part
    first = 0 if part == 1 else sum(word.start < clip.start for word in line.words)
    last = len(line.words) if part == parts else sum(word.start < clip.end for word in line.words)
    return replace(clip, words=(first, max(first, last)))


# --- one line --------------------------------------------------------------------------------------------


def _line(
    plan: Plan, settings: EpisodeSettings, pair: _Pair, window: Window, factors: Mapping[str, SpeakerFactor],
    heard: TimedLine | None,
) -> DubLine:  # fmt: skip
    original, text, utterance = pair
    if original.kind is LineKind.SUNG and heard is None:
        return _sung(plan, pair, window)
    factor = factors.get((original.speaker or "").upper())
    told_in = settings.language if text.directions != original.directions and text.directions else plan.language
    said_so = replace(original, directions=text.directions or original.directions)
    timer = MeasuredTimer(heard) if heard else pace_timer(said_so, settings, factor, told_in)
    timed = timer.time(utterance)
    line = _on_clock(plan, original, text, utterance, timed.moved(window.start - timed.start))
    found = verdict(line.low, line.length, line.high, window)
    lose, gain = syllables_to_change(line.length, len(line.syllables), window)
    dub = DubLine(
        original, line, window, found, risk(line.low, line.length, line.high, window), lose, gain,
        losses(line.words, line.length - window.room) if found in (Verdict.TOO_LONG, Verdict.RECORD) else (),
    )  # fmt: skip
    if found is Verdict.TOO_LONG and line.id == of_script(line.id):
        dub = replace(dub, new_clips=plan_clips([replace(line, findings=())], settings).clips)
    if heard:
        dub = replace(dub, phrases=_phrases(original, line), drift=line.length - window.length)
    return _judged(plan, dub)


def _sung(plan: Plan, pair: _Pair, window: Window) -> DubLine:
    """Return a sung line on the original's notes; its verdict counts syllables against notes, by the same limits."""
    original, text, utterance = pair
    timed = sing(original, utterance)
    line = _on_clock(plan, original, text, utterance, timed)
    line = replace(line, findings=(*line.findings, *stress_findings(timed, text.where)))
    shared = len(parse_lyric(text.text, text.where).marks.joins)  # "e~a": two words on one note
    count, notes = len(line.syllables) - shared, len(original.syllables)
    found = Verdict.TOO_LONG if count > notes * OVER else Verdict.SHORT if count < notes * UNDER else Verdict.FITS
    dub = DubLine(original, line, window, found, 0.0, max(0, count - notes), max(0, notes - count))
    return _judged(plan, dub)


def _on_clock(plan: Plan, original: PlanLine, text: ScriptLine, utterance: Utterance, timed: TimedLine) -> PlanLine:
    """Return the new words in the place of the old ones; the take is a reading of the new ones, if any."""
    settled = framed(timed, plan.rate)
    first, last = settled.syllables[0].start_frame, settled.syllables[-1].end_frame
    assert first is not None
    assert last is not None
    return replace(
        original, text=utterance.text, words=settled.words, origin=timed.origin, start=timed.start, end=timed.end,
        start_frame=first, end_frame=last, low=timed.low, high=timed.high, confidence=timed.confidence,
        take=timed.take, take_start=timed.take_start, where=text.where, delivered=(),
        findings=(*text.findings, *utterance.findings, *timed.findings),
    )  # fmt: skip


def _phrases(original: PlanLine, line: PlanLine) -> tuple[PhraseStart, ...]:
    """Return how late each phrase begins, parted as written, else as spoken; none where the two do not match."""
    for parted in (clauses_of, phrases_of):
        there, here = parted(original.words), parted(line.words)
        if len(there) == len(here):
            break
    else:
        return ()
    return tuple(
        PhraseStart(
            " ".join(word.text for word in new[:3]), (new[0].start - line.start) - (old[0].start - original.start)
        )
        for old, new in zip(there, here, strict=True)
    )


def _judged(plan: Plan, dub: DubLine) -> DubLine:
    """Return a line with its lip closures counted and what is to be said of it."""
    wanted, there = (
        [plan.rate.frame_at(moment) for moment in closures(line.words)] for line in (dub.original, dub.line)
    )
    met = sum(any(abs(frame - other) <= NEAR_FRAMES for other in there) for frame in wanted)
    findings = (*dub.line.findings, *_verdict_findings(plan, dub))
    return replace(dub, closures=len(wanted), met=met, findings=findings)


def _verdict_findings(plan: Plan, dub: DubLine) -> tuple[Finding, ...]:
    line, window = dub.line, dub.window
    facts = {
        "seconds": round(float(line.length), 6),
        "low_s": round(float(line.low), 6),
        "high_s": round(float(line.high), 6),
        "window_s": round(float(window.length), 6),
        "room_s": round(float(window.room), 6),
        "lose": dub.lose,
        "gain": dub.gain,
    }
    if dub.original.kind is LineKind.SUNG and line.low == line.high and dub.lose:
        notes = len(dub.original.syllables)
        message = f"{notes + dub.lose} syllables on {notes} notes: {dub.lose} must go, or share a note (write e~a)"
        return (Finding(FindingCode.DUB_SYLLABLES, message, facts, line.where),)
    length = _length(line)
    if dub.verdict is Verdict.TOO_LONG:
        or_else = _new_clip(dub, plan.settings)
        told = f"{length} for a room of {_s(window.room)}: about {_count(dub.lose)} must go{or_else}"
        return (Finding(FindingCode.DUB_TOO_LONG, told, facts, line.where),)
    if dub.verdict is Verdict.SHORT:
        told = f"{length} while the mouth moves for {_s(window.length)}: there is room for {_count(dub.gain)} more"
        return (Finding(FindingCode.DUB_SHORT, told, facts, line.where),)
    return ()


def _new_clip(dub: DubLine, settings: EpisodeSettings) -> str:
    """Say what a new clip would take instead, in seconds and in money."""
    asked = [(clip, clip.ask) for clip in dub.new_clips if clip.ask is not None]
    if not asked or len(asked) < len(dub.new_clips):
        return ""
    seconds = " + ".join(figure(ask) for _, ask in asked)
    takes = asked[0][0].takes
    told = f"; or a new clip of {seconds} s, {takes} take{'s' * (takes != 1)}"
    prices = [(clip.takes, settings.profiles[clip.profile].price(ask)) for clip, ask in asked]
    cost = sum((count * price for count, price in prices if price is not None), Fraction(0))
    return told + (f", cost {float(cost):.2f}" if all(price is not None for _, price in prices) else "")


def _length(line: PlanLine) -> str:
    if line.low == line.high:
        return f"takes {_s(line.length)}"
    return f"takes {_s(line.length)} as estimated ({float(line.low):.1f} to {_s(line.high)})"


def _s(moment: Seconds) -> str:
    return in_seconds(moment, 1)


def _count(syllables: int) -> str:
    return f"{syllables} syllable{'s' * (syllables != 1)}"
