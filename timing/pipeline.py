"""The whole job in order: a script and its episode folder in, a plan and its files out.

    read the script · read its words · keep the ids · listen to the recordings · time every line ·
    fit the songs · place everything on the clock · plan the clips · lay the clips that came back over it · write

Each stage lives in its own folder and knows only the model; this module hands one stage's result to the next.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import partial
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timing.clips.plan import plan_clips
from timing.clips.replan import replan_clips
from timing.clips.spoken_rate import rate_findings
from timing.episode.assembly import assemble, close_cuts, has_clip, place, sound_strips
from timing.episode.clips_back import with_deliveries
from timing.episode.kept_cuts import kept_cuts, kept_together
from timing.episode.placing import Draft
from timing.episode.sung_lines import sung_song
from timing.language import assumptions, phones_for, read_line, resolve
from timing.memory.clips import Memory
from timing.memory.clips_toml import read_memory
from timing.memory.earlier_plan import PreviousPlan, read_previous
from timing.memory.labels import labels_below
from timing.memory.learnt_toml import read_learnt
from timing.memory.ledger import this_month
from timing.memory.line_ids import KnownLine
from timing.memory.lines_toml import FILE_NAME as LINES_FILE
from timing.memory.lines_toml import keep_rests, number_lines
from timing.memory.rest import AtRest, at_rest
from timing.model import (
    Finding,
    LineKind,
    Origin,
    Plan,
    ScriptLine,
    TimedLine,
    Timer,
    Utterance,
    Where,
)
from timing.model.as_json import finding_json
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.labels import Label, bars_meant, unused_label
from timing.model.learnt import FEWEST_CLIPS, FEWEST_LINES, LearntPace
from timing.model.settings import EpisodeSettings, SongSettings
from timing.plain.errors import ScriptError, SettingsError, TimingError
from timing.plain.json_text import json_bytes
from timing.plain.limits import MOST_SYLLABLES_SUNG
from timing.plain.nearest import meant
from timing.plain.series import SERIES_FILE
from timing.plain.words import bare_words
from timing.script import read_script
from timing.script.profiles import profile_findings, remarked, with_profiles
from timing.script.source import Source, open_source
from timing.script.unused import missing_pictures, unused
from timing.song.fit import FittedSong, SungLine
from timing.song.lyrics.lyrics import LyricLine, parse_lyric
from timing.song.performances import Sung, performances
from timing.store.store import Store, digest
from timing.timers.delivery import SpeakerFactor, calibrate, measured_pace
from timing.timers.measured import MeasuredTimer
from timing.timers.pinned import PinnedTimer
from timing.timers.speaker import pace_timer, usual_delivery

if TYPE_CHECKING:
    from timing.delivery.verdict import Check
    from timing.delivery.voices import ClipVoice
    from timing.recording.listen import Heard
    from timing.sheet.printed_set import SheetSet

Progress = Callable[[float, str], None]

# One file a clip, or a cut: of what is gone they go too.
PRUNED = ("requests/", "scratch/", "labels/", "stills/", "cut.csv")


@dataclass(frozen=True)
class Made:
    """A plan, what it was made from, what the recordings held, and a verdict on each clip that came back.

    ``estimates`` are the lengths that the text of each spoken line promises, before anybody is heard, by its id;
    ``paces`` how fast each speaker spoke in the recordings, by upper-case name; ``factors`` what that and the series'
    other episodes say of how long a line of theirs lasts.
    """

    plan: Plan
    source: Source
    previous: PreviousPlan
    heard: Heard | None = None
    checks: tuple[Check, ...] = ()
    estimates: Mapping[str, Seconds] = field(default_factory=dict)
    paces: Mapping[str, LearntPace] = field(default_factory=dict)
    factors: Mapping[str, SpeakerFactor] = field(default_factory=dict)
    voices: tuple[ClipVoice, ...] = ()


@dataclass(frozen=True)
class _Read:
    """One script line with its words; ``lyric`` for a sung one, ``song`` its song's id."""

    line: ScriptLine
    utterance: Utterance | None = None
    lyric: LyricLine | None = None
    song: str | None = None


def plan_source(source: Path | str, out: Path | None = None, progress: Progress | None = None) -> Plan:
    """Return the plan of an episode folder or a script file; ``out`` is where its results lie.

    Nothing is written. Raises InputError for anything that cannot be read.
    """
    return make_plan(open_source(Path(source)), out, progress).plan


def make_plan(
    source: Source, out: Path | None = None, progress: Progress | None = None, keep_ids: bool = False
) -> Made:
    """Return the plan of an opened source and what it was made from; see :func:`plan_source`.

    With ``keep_ids`` the ids are remembered before anything else is done, so that one that is shown never moves.
    """
    settings = _with_learnt(replace(source.settings, language=_language(source)), source)
    script = read_script(source.script)
    previous = read_previous((out or source.default_out) / "plan.json")
    previous = replace(previous, was_worked_on=(source.memory_folder / LINES_FILE).is_file())
    script = replace(script, lines=with_profiles(script.lines, settings))
    script = replace(script, findings=(*script.findings, *remarked(script, settings)))
    lines_read, said = _read_lines(script.lines, settings)
    read = _bind_songs(lines_read, settings)
    read, settings = _performed(read, settings)
    known = [_known(r) for r in read]
    plans = [folder / "plan.json" for folder in (source.default_out, out or source.default_out)]
    ids, remembered = number_lines(source.memory_folder, known, plans, keep_ids)
    store = Store.below(out or source.default_out)
    heard = _listen(source, read, ids, remembered.lines, store, progress)
    fitted, loose = _fit_songs(read, ids, settings, source.folder, store)
    factors = _speaker_factors(read, ids, heard, settings)
    timed = _time(read, ids, heard, fitted, settings, factors)
    drafts = [
        Draft(line_id, r.line, k.text, t, r.song if t else None, _reading_findings(r))
        for line_id, r, k, t in zip(ids, read, known, timed, strict=True)
    ]
    del timed
    if heard is None:  # whatever is not needed any more goes: of a day of speech each copy is hundreds of megabytes
        read = [replace(r, utterance=None, lyric=None) for r in read]
    lines, songs = place(drafts, fitted, settings)
    if not (source.folder / "clips").is_dir():
        drafts = []
    seen = [n for n in lines if has_clip(n)]
    memory = Memory() if source.is_lone_script else read_memory(source.folder)
    kept, together = kept_cuts(memory, lines), kept_together(memory, seen)
    chosen = profile_findings(seen, settings, Where(str(source.folder / "episode.toml")))
    asked = plan_clips(seen, settings, songs, kept, together)
    plan = assemble(script, settings, lines, songs, asked)
    back = with_deliveries(plan, drafts, source.folder, store, progress)
    if back.handles:
        lines, songs = place(back.drafts, fitted, settings)
        shown = replan_clips(asked, lines, settings, songs, back.handles)
        plan = replace(assemble(script, settings, lines, songs, shown), requested=plan)
    plan = replace(plan, deliveries=back.deliveries)
    idle = unused(
        settings,
        {r.line.speaker for r in read if r.line.speaker},
        ids,
        said,
        {r.song for r in read if r.song},
        source.folder,
    )
    if not source.is_lone_script:
        idle = (*idle, *missing_pictures(script.lines, source.folder))
    estimated = any(line.kind is LineKind.SPOKEN and line.origin is Origin.ESTIMATED for line in plan.lines)
    assumed = assumptions(settings.language) if estimated else ()
    plan = replace(
        plan,
        retired_ids=tuple(line.id for line in remembered.gone),
        month=None if source.is_lone_script else this_month(source.folder, settings),
        folder=str(source.folder),
        loudness=sound_strips(plan, source.folder, store),
        findings=(
            *script.findings,
            *assumed,
            *idle,
            *loose,
            *chosen,
            *(heard.findings if heard else ()),
            *back.findings,
            *plan.findings,
            *rate_findings(plan.lines, settings.language),
        ),
    )
    plan = _in_the_cut(plan, source, back.checks, store)
    plan = _named_from_folder(_with_caption_findings(plan), source.folder)
    rested = at_rest(plan, settings.rest, remembered.rests, source.folder)
    if keep_ids:
        keep_rests(source.memory_folder, ids, rested.kept)
    checks = rested.without_checks(plan, back.checks)
    estimates = _estimates(read, ids, settings) if heard else {}
    return Made(
        rested.without(plan), source, previous, _heard_without(heard, rested), checks, estimates,
        _measured_paces(read, ids, heard, settings), factors, back.voices,
    )  # fmt: skip


def _with_learnt(settings: EpisodeSettings, source: Source) -> EpisodeSettings:
    """Return the settings with what the other episodes of the series taught; the user's own ``takes`` hold."""
    if source.series is None:
        return settings
    learnt = read_learnt(source.series).without(source.folder.resolve().name)
    profiles = dict(settings.profiles)
    for name, profile in profiles.items():
        found = learnt.takes_of(name)
        if found and found.clips >= FEWEST_CLIPS and not profile.takes_noted:
            profiles[name] = replace(profile, takes=ceil(found.takes))
    return replace(settings, profiles=profiles, learnt=learnt)


def _in_the_cut(plan: Plan, source: Source, checks: Sequence[Check], store: Store) -> Plan:
    """Return the plan with the real cut beside it, as it is where there is none."""
    from timing.cut.read import cut_file, read_cut

    path = source.cut or (None if source.is_lone_script else cut_file(source.folder))
    if path is None:
        return plan
    from timing.cut.follow import in_the_cut
    from timing.delivery.container import media_of
    from timing.episode.frame_edges import framed
    from timing.sheet.frame.score import passages_of

    rates = [rate for rate in (plan.rate, plan.settings.delivery_rate) if rate is not None]
    rows = {clip.id: (p.first, p.length) for p in passages_of(plan) for clip in p.clips}
    listed = read_cut(path, rates, path.name)
    plan = in_the_cut(plan, listed, checks, partial(media_of, source.folder, store), framed, rows)
    assert plan.cut is not None
    # What flashes is what is watched.
    seen = [moment for event in plan.cut.events if event.is_seen for moment in (event.start, event.end)]
    found = [f for f in plan.findings if f.code is not FindingCode.CUTS_CLOSE]
    plan = replace(plan, findings=(*found, *close_cuts([m for m in seen if m < plan.cut.length])))
    assert plan.in_cut is not None
    return replace(plan, in_cut=replace(plan.in_cut, loudness=sound_strips(plan.in_cut, source.folder, store)))


def _heard_without(heard: Heard | None, rested: AtRest) -> Heard | None:
    if heard is None:
        return None
    lines = {i: replace(line, findings=rested.left(i, line.findings)) for i, line in heard.lines.items()}
    said = tuple(f for f in heard.findings if rested.left(str(f.facts.get("line", "")), [f]))
    return replace(heard, lines=lines, findings=said)


def _language(source: Source) -> str:
    """Return the code of the script's language, which may be written as a name ("German")."""
    try:
        return resolve(source.settings.language)
    except SettingsError as error:
        shared = source.series if "language" in source.settings.shared else None
        path = shared / SERIES_FILE if shared else source.folder / "episode.toml"
        raise SettingsError(f"language: {error.message}", path) from None


def _with_caption_findings(plan: Plan) -> Plan:
    from timing.export.captions import caption_findings
    from timing.export.midi import alike_findings

    plan = replace(plan, findings=(*plan.findings, *alike_findings(plan)))
    found = caption_findings(plan)
    if not plan.settings.caption_speed:  # who watches cannot read yet
        found = {n: tuple(f for f in own if f.code is not FindingCode.CAPTION_FAST) for n, own in found.items()}
    return replace(plan, lines=tuple(replace(n, findings=(*n.findings, *found.get(n.id, ()))) for n in plan.lines))


def _named_from_folder(plan: Plan, folder: Path) -> Plan:
    """Return the plan, its findings naming the folder's files as seen from there: where it lies does not show."""

    def named(findings: Sequence[Finding]) -> tuple[Finding, ...]:
        return tuple(
            replace(f, where=replace(f.where, path=Path(f.where.path).relative_to(folder).as_posix()))
            if f.where and Path(f.where.path).is_relative_to(folder)
            else f
            for f in findings
        )

    lines = tuple(replace(line, findings=named(line.findings)) for line in plan.lines)
    return replace(plan, lines=lines, findings=named(plan.findings))


# --- reading ---------------------------------------------------------------------------------------------


def _read_lines(lines: Sequence[ScriptLine], settings: EpisodeSettings) -> tuple[list[_Read], set[str]]:
    """Return the lines with their words, and every word of the script, as it is written and as it is said."""
    read: list[_Read] = []
    said: set[str] = set()
    for line in lines:
        one = _read(line, settings)
        if one.utterance is not None:
            words = one.utterance.words
            said.update(form for w in words for form in (w.text, *bare_words(w.text), *bare_words(w.spoken)))
            one = replace(one, utterance=one.utterance.packed())
        read.append(one)
    return read, said


def _read(line: ScriptLine, settings: EpisodeSettings) -> _Read:
    if line.kind is LineKind.PICTURE:
        return _Read(line)
    read = partial(read_line, language=settings.language, say=settings.say, mute_e=settings.mute_e)
    if line.kind is LineKind.SUNG:
        lyric = parse_lyric(line.text, line.where)
        utterance = read(lyric.text, sung=True, splits=lyric.splits)
        if (count := sum(len(word.syllables) for word in utterance.words)) > MOST_SYLLABLES_SUNG:
            raise ScriptError(
                f"this sung line has {count} syllables; {MOST_SYLLABLES_SUNG} are the most: divide it",
                line.where.path,
                line.where.line_number,
            )
        return _Read(line, utterance, lyric) if utterance.words else _Read(_as_picture(line, "sung"))
    utterance = read(line.text, emphasis=line.emphasis, pauses=line.pauses)
    return _Read(line, utterance) if utterance.words else _Read(_as_picture(line, "spoken"))


def _as_picture(line: ScriptLine, verb: str) -> ScriptLine:
    note = Finding(
        FindingCode.NOTHING_SPOKEN, f"no word of “{line.text[:40]}” is {verb}: planned as picture", where=line.where
    )
    return replace(line, kind=LineKind.PICTURE, findings=(*line.findings, note))


def _known(read: _Read) -> KnownLine:
    text = read.lyric.text if read.lyric else read.line.text
    return KnownLine(read.line.kind.value, read.line.speaker, text)


def _reading_findings(read: _Read) -> tuple[Finding, ...]:
    return (*read.line.findings, *(read.utterance.findings if read.utterance else ()))


def _bind_songs(read: Sequence[_Read], settings: EpisodeSettings) -> list[_Read]:
    """Return the lines with every sung one bound to a song: the cue's, the one before it, or the only one."""
    only = next(iter(settings.songs)) if len(settings.songs) == 1 else None
    current: str | None = None
    blocks = 0
    bound = []
    for before, this in zip([None, *read], read, strict=False):
        if this.lyric is None:
            bound.append(this)
            continue
        cue = this.line.cue
        if cue and cue.song:
            current = _named_song(cue.song, settings, this.line)
        elif current is None or (current not in settings.songs and (before is None or before.lyric is None)):
            if only:
                current = only
            else:
                blocks += 1
                current = f"song-{blocks}"
        bound.append(replace(this, song=current))
    if any(r.line.length and r.line.length.unit == "bars" for r in read) and not any(r.song for r in bound):
        line = next(r.line for r in read if r.line.length and r.line.length.unit == "bars")
        raise ScriptError(
            "a length in bars needs a song; write seconds or frames instead, [[4 s]]",
            line.where.path,
            line.where.line_number,
        )
    return bound


def _performed(read: Sequence[_Read], settings: EpisodeSettings) -> tuple[list[_Read], EpisodeSettings]:
    """Return the lines with each performance of a song as a song of its own, and the settings that know them all."""
    usual = SongSettings("").bars_a_line
    sung = [
        Sung(
            r.song,
            r.line.cue.bar if r.line.cue else None,
            r.line.speaker,
            known.bars_a_line if (known := settings.songs.get(r.song)) else usual,
            r.line.is_dual,
        )
        if r.song
        else Sung()
        for r in read
    ]
    found = performances(sung, settings.songs)
    songs = dict(settings.songs)
    for r, song_id in zip(read, found, strict=True):
        if song_id and song_id != r.song and (own := settings.songs.get(r.song or "")):
            number = song_id.rpartition("-")[2]
            songs[song_id] = replace(own, id=song_id, title=f"{own.title} ({number})" if own.title else None)
    lines = [replace(r, song=song_id) for r, song_id in zip(read, found, strict=True)]
    return lines, replace(settings, songs=songs)


def _named_song(name: str, settings: EpisodeSettings, line: ScriptLine) -> str:
    by_name = {song.casefold(): song for song in settings.songs}
    if name.casefold() in by_name or not settings.songs:
        return by_name.get(name.casefold(), name)
    hint = meant(name, settings.songs, f"it knows {', '.join(settings.songs)}")
    raise ScriptError(
        f'episode.toml has no song "{name}"; {hint}',
        line.where.path,
        line.where.line_number,
    )


# --- listening and timing --------------------------------------------------------------------------------


def _listen(
    source: Source,
    read: Sequence[_Read],
    ids: Sequence[str],
    remembered: Sequence[KnownLine],
    store: Store,
    progress: Progress | None,
) -> Heard | None:
    if not (source.folder / "recordings").is_dir() or source.is_lone_script:
        return None
    from timing.recording.listen import ScriptedLine, listen
    from timing.sound.decode import SOUND_SUFFIXES

    settings = source.settings
    lines = [
        ScriptedLine(line_id, r.utterance, r.lyric is not None, _earlier(known, settings))
        for line_id, r, known in zip(ids, read, remembered, strict=True)
        if r.utterance is not None
    ]
    pronounce = partial(phones_for, language=settings.language, say=settings.say)
    labels, idle = labels_below(source.folder, "recordings", SOUND_SUFFIXES)
    heard = listen(
        source.folder,
        lines,
        language=settings.language,
        pronounce=pronounce,
        chosen=settings.takes,
        labels=labels,
        store=store,
        progress=progress,
    )
    return replace(heard, findings=(*idle, *heard.findings))


def _earlier(known: KnownLine, settings: EpisodeSettings) -> tuple[Utterance, ...]:
    """Return what a spoken line said before its words were changed, the last last."""
    texts = known.was if known.kind == LineKind.SPOKEN else ()
    read = partial(read_line, language=settings.language, say=settings.say, mute_e=settings.mute_e)
    return tuple(utterance for utterance in map(read, texts) if utterance.words)


def _fit_songs(
    read: Sequence[_Read], ids: Sequence[str], settings: EpisodeSettings, folder: Path, store: Store
) -> tuple[dict[str, FittedSong], tuple[Finding, ...]]:
    """Return each song with its lines, and a finding for each label beside a song that fits nothing."""
    from timing.sound.decode import SOUND_SUFFIXES

    fitted: dict[str, FittedSong] = {}
    pronounce = partial(phones_for, language=settings.language, say=settings.say)
    songs = dict.fromkeys(r.song for r in read if r.song)
    labels, found = labels_below(folder, "songs", SOUND_SUFFIXES) if songs else ({}, ())
    unfit: dict[Label, list[str]] = {}  # of each row the songs that it fits nothing of
    readers: Counter[Label] = Counter()  # a song that is sung again reads the same rows
    for song_id in songs:
        own = [(i, r) for i, r in zip(ids, read, strict=True) if r.song == song_id and r.utterance and r.lyric]
        sung = [
            SungLine(r.utterance, r.lyric.marks, r.line.cue, r.line.where) for _, r in own if r.utterance and r.lyric
        ]
        song = settings.songs.get(song_id) or SongSettings(song_id)
        files = dict.fromkeys(name for name in (song.file, song.vocal) if name)
        said = [label for name in files for label in labels.get(name, ())]
        readers.update(said)
        bars, rows = bars_meant(said)
        fitted[song_id], strange = sung_song(
            song, folder, sung, settings.rate, pronounce, store, bars, [i for i, _ in own], rows
        )
        strange += [label for bar, label in bars.items() if not 1 <= bar <= fitted[song_id].song.bars]
        for label in strange:
            unfit.setdefault(label, []).append(song_id)
    idle = [
        unused_label(label, f"fits no bar, line or word of the song “{names[0]}”")
        for label, names in unfit.items()
        if len(names) == readers[label]
    ]
    return fitted, (*found, *idle)


def _time(
    read: Sequence[_Read],
    ids: Sequence[str],
    heard: Heard | None,
    fitted: Mapping[str, FittedSong],
    settings: EpisodeSettings,
    factors: Mapping[str, SpeakerFactor],
) -> list[TimedLine | None]:
    sung = {song_id: iter(song.lines) for song_id, song in fitted.items()}
    timed: list[TimedLine | None] = []
    for line_id, r in zip(ids, read, strict=True):
        if r.utterance is None:
            timed.append(None)
        elif r.song:
            timed.append(next(sung[r.song]))
        else:
            speaker = (r.line.speaker or "").upper()
            own = heard.lines.get(line_id) if heard else None
            timer: Timer = MeasuredTimer(own) if own else pace_timer(r.line, settings, factors.get(speaker))
            if noted := r.line.length:
                timer = PinnedTimer(timer, noted.amount / (settings.rate.fps if noted.unit == "frames" else 1))
            timed.append(timer.time(r.utterance).packed())
    return timed


def _estimates(read: Sequence[_Read], ids: Sequence[str], settings: EpisodeSettings) -> dict[str, Seconds]:
    factors = _speaker_factors(read, ids, None, settings)
    return {
        line_id: pace_timer(r.line, settings, factors.get((r.line.speaker or "").upper())).time(r.utterance).length
        for line_id, r in zip(ids, read, strict=True)
        if r.utterance is not None and not r.song
    }


def _speaker_factors(
    read: Sequence[_Read], ids: Sequence[str], heard: Heard | None, settings: EpisodeSettings
) -> dict[str, SpeakerFactor]:
    """Return what the measured lines say of each speaker, here and in the series' other episodes, by upper-case name.

    A pace of the user's own counts instead of what other episodes taught.
    """
    samples = _samples(read, ids, heard, settings)
    factors = {}
    for name in {*samples, *settings.learnt.paces}:
        learnt, member = settings.learnt.pace_of(name), settings.cast.get(name)
        if learnt and (learnt.lines < FEWEST_LINES or (member and member.pace)):
            learnt = None
        if learnt or samples.get(name):
            factors[name] = calibrate(samples.get(name, ()), usual_delivery(name, settings), learnt)
    return factors


def _measured_paces(
    read: Sequence[_Read], ids: Sequence[str], heard: Heard | None, settings: EpisodeSettings
) -> dict[str, LearntPace]:
    """Return how fast each speaker spoke in the recordings, by upper-case name."""
    found = {}
    for name, pairs in _samples(read, ids, heard, settings).items():
        member = settings.cast.get(name)
        if name and (pace := measured_pace(pairs, usual_delivery(name, settings), member.pace if member else None)):
            found[name] = pace
    return found


def _samples(
    read: Sequence[_Read], ids: Sequence[str], heard: Heard | None, settings: EpisodeSettings
) -> dict[str, list[tuple[Seconds, Seconds]]]:
    """Return (by the rules alone, as measured) for each recorded line, by upper-case speaker."""
    samples: dict[str, list[tuple[Seconds, Seconds]]] = {}
    for line_id, r in zip(ids, read, strict=True):
        if heard is None or r.utterance is None or r.song or line_id not in heard.lines:
            continue
        speaker = (r.line.speaker or "").upper()
        usual = usual_delivery(speaker, settings)
        plain = pace_timer(r.line, settings, SpeakerFactor(usual, 1.0, 0.0, 0)).time(r.utterance)
        measured = MeasuredTimer(heard.lines[line_id]).time(r.utterance)
        samples.setdefault(speaker, []).append((plain.length, measured.length))
    return samples


# --- writing ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Written:
    """What was written, and which printed sheets are to be replaced; ``failed`` is what then went wrong."""

    paths: tuple[Path, ...]
    reprint: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    failed: TimingError | None = None


def write_plan(
    plan: Plan,
    out: Path,
    folder: Path,
    previous: PreviousPlan | None = None,
    force: bool = False,
    pictures: bool = False,
    tell: Callable[[str], None] | None = None,
) -> Written:
    """Write everything under ``out``, whole or not at all; raises OutputError when a file is not ours.

    ``folder`` is where recordings and songs lie; ``pictures`` adds a PNG of every page;
    ``tell`` is told how many pages there are before anything is written.
    """
    from timing.plain.files import write_outputs
    from timing.store.made_files import made_files, state_of

    # The memory's own files change with a run, and what they say is in the plan.
    store, on = Store.below(out), (_everything(plan), state_of(folder, out, but=("clips.toml", "lines.toml")))
    sheets = _printed(plan, previous or PreviousPlan(), store, on, out)
    if tell and sheets.count:
        tell(sheets.count)
    as_json = plan.json_in_rows()
    as_json["sheets"] = sheets.register
    as_json["findings"] += [finding_json(f) for f in sheets.findings]
    files: dict[str, bytes] = {"sheets.pdf": sheets.pdf}
    files |= made_files(store, "exports", on, out, lambda: (_exported(plan, folder), None))[0]
    if pictures:
        from timing.sheet.pictures import page_images

        for number, image in enumerate(page_images(sheets.pdf), 1):
            files[f"pages/page-{number:03d}.png"] = image
    files["plan.json"] = json_bytes(as_json, indent=1)  # the last: until it is there, which sheets changed is not told
    is_known = previous is not None and previous.sheets == sheets.register
    reprint = tuple(f"{told} (As the last run said.)" for told in sheets.reprint) if is_known else sheets.reprint
    return Written(tuple(write_outputs(out, files, force, PRUNED)), reprint, sheets.findings)


def _everything(plan: Plan) -> str:
    """Return a digest of all that a plan holds, and of the plan that was asked for; line by line, as it can be long."""
    parts = {f.name: getattr(plan, f.name) for f in fields(plan) if f.name not in ("requested", "in_cut", "folder")}
    lines, clips = parts.pop("lines"), parts.pop("clips")
    others = (_everything(other) for other in (plan.requested, plan.in_cut) if other is not None)
    return digest(*parts.values(), *map(digest, lines), "clips", *map(digest, clips), *others)


def _printed(plan: Plan, previous: PreviousPlan, store: Store, on: tuple[object, ...], out: Path) -> SheetSet:
    from timing.sheet import render_sheets
    from timing.sheet.printed_set import SheetSet
    from timing.store.made_files import made_files
    from timing.store.plain_values import from_finding, to_finding

    def make() -> tuple[Mapping[str, bytes], Any]:
        made = render_sheets(plan, previous.sheets, previous.was_worked_on)
        return {"sheets.pdf": made.pdf}, [
            made.register, [from_finding(f) for f in made.findings], [*made.reprint], made.pages, made.count,
        ]  # fmt: skip

    made = made_files(store, "sheets", (*on, previous.sheets, previous.was_worked_on), out, make)
    files, (register, findings, reprint, pages, count) = made
    if register != previous.sheets:  # the same plan after this set gives this set again
        made_files(store, "sheets", (*on, register, True), out, lambda: made)
    found = tuple(to_finding(f) for f in findings)
    return SheetSet(files["sheets.pdf"], register, found, tuple(reprint), pages, count)


def _exported(plan: Plan, folder: Path) -> dict[str, bytes]:
    from timing.export.registry import EXPORTS

    return {name: content for export in EXPORTS for name, content in export.files(plan, folder).items()}
