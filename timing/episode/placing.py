"""Lines onto the episode's clock.

In: timed lines (each from its own moment 0) and fitted songs, in script order. Out: PlanLines with frames, songs where
they play. Speeches follow one another with a gap, pictures begin where a speech's tail handle ends, and a song has one
place on the clock: all its sung lines hang on its bars, whatever stands between them in the script.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from timing.clips.plan import SHORTEST_GAP
from timing.episode.frame_edges import framed
from timing.model import Finding, LineKind, Origin, Passage, PlanLine, ScriptLine, Song, TimedLine, TimedWord
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.script import is_off_camera
from timing.model.settings import EpisodeSettings
from timing.plain.figures import in_seconds

LEAST_PICTURE = Fraction(1, 2)  # a shorter gap between sung lines is no picture passage (our own choice)


@dataclass(frozen=True)
class Draft:
    """One line before it is placed: ``timed`` is None for a picture passage; ``song`` names a sung line's song.

    ``timed`` of a sung line counts from the start of its song, of a spoken line from its first sound. ``gap`` is the
    silence before a line where it is known, ``delivered`` names the clips that came back from which its times are.
    ``reach`` is how much before its first sound and after its last one its clips can show; None where as much as the
    profile's handles.
    """

    id: str
    line: ScriptLine
    text: str
    timed: TimedLine | None = None
    song: str | None = None
    findings: tuple[Finding, ...] = ()
    gap: Seconds | None = None
    delivered: tuple[str, ...] = ()
    reach: tuple[Seconds, Seconds] | None = None


@dataclass
class _Clock:
    """Where the last thing ended: its sound (None after a picture) and its screen time."""

    sound_end: Seconds | None = None
    screen_end: Seconds = Fraction(0)
    tail: Seconds = Fraction(0)
    scene: str | None = None
    song_starts: dict[str, Seconds] = field(default_factory=dict)
    silence: Seconds = Fraction(0)  # asked for behind the last speech, beside the usual gap
    last: Draft | None = None  # the last speech


def place_lines(
    drafts: Sequence[Draft], songs: Mapping[str, Song], settings: EpisodeSettings
) -> tuple[tuple[PlanLine, ...], dict[str, Seconds]]:
    """Return the placed lines, and the moment at which each song (on its own clock until now) begins."""
    clock = _Clock()
    placed: list[PlanLine] = []
    last_of_song = {d.song: i for i, d in enumerate(drafts) if d.song}
    for i, draft in enumerate(drafts):
        gap = settings.gaps.line if draft.line.scene == clock.scene or not placed else settings.gaps.scene
        if draft.timed is None:
            placed.append(_picture(draft, placed, drafts[i + 1 :], clock, songs, settings))
        elif draft.song:
            if draft.song not in clock.song_starts:
                begins = clock.screen_end if clock.sound_end is None else clock.sound_end + gap + clock.silence
                clock.song_starts[draft.song] = _on_a_frame(begins, settings)
            start = clock.song_starts[draft.song] + draft.timed.start
            placed.append(_speech(draft, start, settings))
            song = songs[draft.song]
            done = last_of_song[draft.song] == i
            end = placed[-1].end
            if done and song.file:
                end = max(end, clock.song_starts[draft.song] + song.end)
            _advance(clock, end, settings.profile_of(draft.line).tail)
            clock.last = None
        elif over := _over(draft, placed, drafts[i + 1 :], clock, settings):
            placed.append(over)
        else:
            placed.append(_spoken(draft, placed, clock, gap if draft.gap is None else draft.gap, settings))
        clock.scene = draft.line.scene
    return tuple(placed), clock.song_starts


def _over(
    draft: Draft, placed: list[PlanLine], following: Sequence[Draft], clock: _Clock, settings: EpisodeSettings
) -> PlanLine | None:
    """Return a voice off camera laid over the passage before it, None where there is none or the voice needs a clip.

    A passage without a noted length lasts as long as what is heard over it; a noted one is never made longer.
    """
    last = placed[-1] if placed else None
    wants_a_clip = draft.line.profile or draft.line.still or draft.line.is_dual
    if last is None or wants_a_clip or not is_off_camera(draft.line.directions) or last.scene != draft.line.scene:
        return None
    at = next((n for n in reversed(range(len(placed))) if placed[n].id == (last.over or last.id)), len(placed) - 1)
    passage = placed[at]
    if passage.kind is not LineKind.PICTURE or passage.passage is not Passage.PICTURE or passage.is_dual:
        return None
    begins = (last.end if last.over else passage.start) + settings.gaps.line + _silence(draft, at_end=False)
    line = replace(_speech(draft, _on_a_frame(begins, settings), settings), over=passage.id)
    end = line.end + _silence(draft, at_end=True)
    if end <= passage.end:
        return line
    in_a_song = any(d.song in clock.song_starts for d in following if d.song)
    if passage.origin is Origin.PINNED or in_a_song:
        placed[at] = replace(passage, findings=(*passage.findings, _too_short(passage, line, end)))
        return None
    length = end + settings.gaps.line - passage.start
    rate, stop = settings.rate, passage.start + length
    placed[at] = replace(passage, end=stop, end_frame=rate.frame_at(stop), low=length, high=length)
    clock.screen_end = max(clock.screen_end, stop)
    return line


def _too_short(passage: PlanLine, line: PlanLine, end: Seconds) -> Finding:
    needs = float(end - passage.start)
    message = (
        f"the voice of {line.speaker or 'line ' + line.id} off camera (line {line.id}) would need "
        f"{in_seconds(needs, 1)} of this passage, which lasts {in_seconds(passage.length, 1)}: it has a clip of its "
        "own, without a mouth"
    )
    return Finding(FindingCode.OVER_TOO_SHORT, message, {"line": line.id, "needs_s": round(needs, 3)}, passage.where)


def _spoken(
    draft: Draft, placed: Sequence[PlanLine], clock: _Clock, gap: Seconds, settings: EpisodeSettings
) -> PlanLine:
    head, tail = _handles(draft, settings)
    if draft.line.is_dual and placed and placed[-1].kind is LineKind.SPOKEN:
        start = placed[-1].start
    elif clock.sound_end is None:
        start = clock.screen_end + head + _silence(draft, at_end=False)
    elif draft.gap is not None:
        start = clock.sound_end + gap
    else:
        start = clock.sound_end + _shown(gap + clock.silence + _silence(draft, at_end=False), clock.last, draft)
    if not draft.line.is_dual:
        start = _on_a_frame(start, settings)
    line = _speech(draft, start, settings)
    _advance(clock, line.end, tail)
    clock.silence, clock.last = _silence(draft, at_end=True), draft
    return line


def _handles(draft: Draft, settings: EpisodeSettings) -> tuple[Seconds, Seconds]:
    """Return what is shown before a line's first sound and after its last: the profile's handles, or what there is.

    Of a clip that came back whole frames of it are shown: it opens on the frame on which the one before ends.
    """
    profile = settings.profile_of(draft.line)
    if draft.reach is None:
        return profile.head, profile.tail
    before = _on_a_frame(draft.reach[0], settings) if draft.delivered else draft.reach[0]
    return min(profile.head, before), min(profile.tail, draft.reach[1])


def _shown(silence: Seconds, before: Draft | None, after: Draft) -> Seconds:
    """Return the silence between two speeches: where a clip that came back is too short for it, what can be shown.

    What would be left without a picture for less than ``SHORTEST_GAP`` is no pause, it flashes.
    """
    if before is None or before.reach is None or after.reach is None or not (before.delivered or after.delivered):
        return silence
    shown = before.reach[1] + after.reach[0]
    return shown if shown < silence < shown + SHORTEST_GAP else silence


def _silence(draft: Draft, at_end: bool) -> Seconds:
    """Return the short silence written before a speech's first word or behind its last one."""
    end = len(draft.line.text)
    marks = (p for p in draft.line.pauses if (p.offset >= end if at_end else p.offset == 0 < end))
    return sum((p.length for p in marks), Fraction(0))


def _on_a_frame(moment: Seconds, settings: EpisodeSettings) -> Seconds:
    """Return the frame edge nearest to ``moment``.

    Gaps are ours to choose, so speech begins on a frame edge: then a line's frames, seen from its own first frame, are
    the same wherever it lies, and an added line leaves every printed sheet but its own as it was.
    """
    return settings.rate.moment_of(settings.rate.frame_at(moment))


def _advance(clock: _Clock, sound_end: Seconds, tail: Seconds) -> None:
    clock.sound_end = sound_end if clock.sound_end is None else max(clock.sound_end, sound_end)
    clock.tail = tail
    clock.silence = Fraction(0)
    clock.screen_end = max(clock.screen_end, clock.sound_end + tail)


def _speech(draft: Draft, start: Seconds, settings: EpisodeSettings) -> PlanLine:
    assert draft.timed is not None
    timed = framed(draft.timed.moved(start - draft.timed.start), settings.rate)
    first, last = timed.syllables[0].start_frame, timed.syllables[-1].end_frame
    assert first is not None
    assert last is not None
    return PlanLine(
        id=draft.id,
        kind=draft.line.kind,
        text=draft.text,
        origin=timed.origin,
        start=timed.start,
        end=timed.end,
        start_frame=first,
        end_frame=last,
        low=timed.low,
        high=timed.high,
        words=timed.words,
        scene=draft.line.scene,
        speaker=draft.line.speaker,
        confidence=timed.confidence,
        take=timed.take,
        take_start=timed.take_start,
        song=draft.song,
        directions=draft.line.directions,
        is_dual=draft.line.is_dual,
        where=draft.line.where,
        findings=(*draft.findings, *timed.findings),
        delivered=draft.delivered,
        profile=draft.line.profile,
        still=draft.line.still,
        lead=_lead(draft),
    )


def _lead(draft: Draft) -> Seconds:
    """Return the silence at the head of a speech in which its speaker is seen: its clip begins with it."""
    is_seen = draft.line.kind is LineKind.SPOKEN and draft.line.speaker and not is_off_camera(draft.line.directions)
    return _silence(draft, at_end=False) if is_seen and not draft.line.is_dual else Fraction(0)


def _picture(
    draft: Draft,
    placed: Sequence[PlanLine],
    following: Sequence[Draft],
    clock: _Clock,
    songs: Mapping[str, Song],
    settings: EpisodeSettings,
) -> PlanLine:
    start = clock.screen_end if clock.sound_end is None else clock.sound_end + clock.tail + clock.silence
    noted = draft.line.length
    length = settings.gaps.picture if noted is None else _length_of(draft, clock, songs, settings)
    findings = draft.findings
    under = False
    next_sung = next((d for d in following if d.timed is not None), None)
    if draft.line.passage is Passage.SOUND and noted is None:
        said = next((line for line in reversed(placed) if line.passage is not Passage.SOUND), None)
        if said is not None and draft.line.at_offset is not None and said.words:
            start = _word_at(said, draft.line.at_offset).start
        return _sound(draft, start, settings)
    if next_sung and next_sung.song in clock.song_starts and next_sung.timed:
        # Between two lines of one song the bars decide how much room there is.
        begins = clock.song_starts[next_sung.song] + next_sung.timed.start
        room = begins - settings.profile_of(next_sung.line).head - start
        if draft.line.passage is Passage.WAIT:
            message = "between two lines of a song the bars decide how long it is; this wait does not move them"
            findings = (*findings, Finding(FindingCode.PAUSE_ALONE, message, where=draft.line.where))
        if noted is None and room >= LEAST_PICTURE:
            length = room
        elif noted is None:
            under = True
            start, length = begins, next_sung.timed.length
            findings = (
                *findings,
                Finding(
                    FindingCode.PICTURE_UNDER_SONG,
                    "no room between the sung lines: this picture has no clip of its own; "
                    "note a length, [[2 s]], to ask for one",
                ),
            )
    rate = settings.rate
    first = rate.frame_at(start)
    line = PlanLine(
        id=draft.id,
        kind=LineKind.PICTURE,
        text=draft.text,
        origin=Origin.ESTIMATED if noted is None else Origin.PINNED,
        start=start,
        end=start + length,
        start_frame=first,
        end_frame=max(first + 1, rate.frame_at(start + length)),
        low=length,
        high=length,
        scene=draft.line.scene,
        speaker=draft.line.speaker,
        directions=draft.line.directions,
        is_dual=under,
        where=draft.line.where,
        findings=findings,
        passage=draft.line.passage,
        profile=draft.line.profile,
        still=draft.line.still,
    )
    if not under:
        clock.screen_end = max(clock.screen_end, line.end)
        clock.sound_end = None
    return line


def _word_at(line: PlanLine, offset: int) -> TimedWord:
    """Return the first word of a line that begins at or behind a place in its text (the last one where none does)."""
    at = 0
    for word in line.words:
        found = line.text.find(word.text, at)
        if found >= offset:
            return word
        at = found + len(word.text) if found >= 0 else at
    return line.words[-1]


def _sound(draft: Draft, start: Seconds, settings: EpisodeSettings) -> PlanLine:
    """Return a sound cue where it falls: a mark of one frame, which takes no time of its own."""
    rate = settings.rate
    first = rate.frame_at(start)
    length = 1 / rate.fps
    return PlanLine(
        draft.id, LineKind.PICTURE, draft.text, Origin.ESTIMATED, start, start + length, first, first + 1,
        length, length, scene=draft.line.scene, where=draft.line.where, findings=draft.findings,
        passage=Passage.SOUND,
    )  # fmt: skip


def _length_of(draft: Draft, clock: _Clock, songs: Mapping[str, Song], settings: EpisodeSettings) -> Seconds:
    noted = draft.line.length
    assert noted is not None
    if noted.unit == "s":
        return noted.amount
    if noted.unit == "frames":
        return noted.amount / settings.rate.fps
    # The song playing now, else the first one of the episode: the pipeline has made sure that there is one.
    song = songs[list(clock.song_starts)[-1]] if clock.song_starts else next(iter(songs.values()))
    return song.metre.bars_s(noted.amount, song.bpm)
