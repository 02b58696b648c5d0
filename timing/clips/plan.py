"""Timed lines to clips: what to request for each, and what to do about lines no generation can hold.

In: placed lines (episode's clock) and the settings. Out: clips with need, ask, slack and takes, and the findings
that belong to each line. A clip's id is its line's ("12A" -> "C12A"), so it is as stable as the line; the parts of
a split line are C04.1, C04.2.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from timing.clips.sharing import planned_span, planning_stretch, shared_lines
from timing.clips.split import Part, handles, split_picture, split_words, syllables_to_cut, with_lead
from timing.language.registry import language_of
from timing.model import Break, Clip, Finding, LineKind, Origin, Passage, PlanLine, Song
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.settings import ClipProfile, EpisodeSettings
from timing.plain.figures import at_most, figure, in_seconds

REST_FOR_A_CUT_BEATS = Fraction(2, 5)
MOST_LINKS = 2  # clips in a row that start from a frame of the one before (our own choice: faults add up)
SHORTEST_GAP = Fraction(1, 2)  # between two clips: shorter ones are closed (our own choice)


@dataclass(frozen=True)
class ClipPlan:
    """The clips in order, and the findings to add to lines by line id."""

    clips: tuple[Clip, ...]
    findings: Mapping[str, tuple[Finding, ...]]


@dataclass(frozen=True, slots=True)
class Handles:
    """What a delivered file has before the first and after the last sound of its words."""

    head: Seconds
    tail: Seconds


def plan_clips(
    lines: Sequence[PlanLine],
    settings: EpisodeSettings,
    songs: Sequence[Song] = (),
    kept: Mapping[str, tuple[Part, ...]] | None = None,
    together: Mapping[str, int] | None = None,
) -> ClipPlan:
    """Return the clips of all lines, in the order of the lines.

    ``kept`` has the cuts that some have already, ``together`` how many lines came back as one clip, by the first.
    """
    kept = kept or {}
    by_id = {song.id: song for song in songs}
    clips: list[Clip] = []
    findings: dict[str, tuple[Finding, ...]] = {}
    for group in shared_lines(lines, settings, kept, together or {}):
        first = group[0]
        profile = with_lead(settings.profile_of(first), first.lead)
        if first.kind is LineKind.PICTURE:
            clips += _picture_clips(first, profile, settings)
        elif len(group) > 1:
            clips.append(_shared_clip(group, profile, settings))
        else:
            made, found = _line_clips(first, profile, settings, by_id.get(first.song or ""), kept.get(first.id))
            clips += made
            if found:
                findings[first.id] = tuple(found)
    shown = tuple(on_screen(clips, lines, settings, by_id))
    for clip in shown:
        if gaps := tuple(f for f in clip.findings if f.code == FindingCode.NO_PICTURE):
            findings[clip.line] = (*findings.get(clip.line, ()), *gaps)
    return ClipPlan(shown, findings)


def clip_id(line_id: str) -> str:
    """Return the clip id of a line: "4" -> "C04", "12A" -> "C12A".

    >>> clip_id("4"), clip_id("12A")
    ('C04', 'C12A')
    """
    digits = line_id.rstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return f"C{digits:0>2}{line_id[len(digits) :]}"


def cut_places(line: PlanLine, song: Song | None) -> list[Break]:
    """Return how good each word's end is for a cut; in a song a rest or a bar line makes a place better."""
    places = []
    for word, following in pairwise(line.words):
        place = word.break_after
        if song is not None and place is not Break.NEVER:
            rest = following.start - word.end
            beat = following.syllables[0].beat
            if rest * song.bpm / 60 > REST_FOR_A_CUT_BEATS:
                place = Break.SENTENCE
            elif beat == 1:
                place = max(place, Break.CLAUSE)
        places.append(place)
    return [*places, Break.SENTENCE]


def _line_clips(
    line: PlanLine,
    profile: ClipProfile,
    settings: EpisodeSettings,
    song: Song | None,
    kept: tuple[Part, ...] | None = None,
) -> tuple[list[Clip], list[Finding]]:
    stretch = planning_stretch(line, settings)
    breaks = cut_places(line, song)
    if kept:
        parts = tuple(_asked_now(line, part, profile, stretch) for part in kept)
    else:
        starts, ends = [w.start for w in line.words], [w.end for w in line.words]
        parts = split_words(starts, ends, breaks, profile, stretch, _lead(line, profile))
    clips = [_speech_clip(line, part, i, len(parts), breaks, profile) for i, part in enumerate(parts)]
    findings = []
    if line.lead and profile.head < line.lead:
        message = (
            f"the {figure(line.lead)} s of silence before these words fit no generation with them, so nothing is seen; "
            f"({line.speaker} waits {figure(line.lead)} seconds) on a line before the name gives them a clip"
        )
        findings.append(Finding(FindingCode.NO_PICTURE, message, {"seconds": float(line.lead)}))
    if len(parts) > 1:
        findings.append(_too_long(line, clips, profile, stretch))
    clips = [_with_master(clip) for clip in clips]
    findings += [f for c in clips for f in c.findings]
    rate = line.rate
    usual = language_of(settings.language).usual_rate.value
    if line.kind is LineKind.SPOKEN and len(line.syllables) >= 5 and round(rate, 1) > round(usual, 1):
        how = "spoken" if line.origin is Origin.MEASURED else "as estimated, spoken"
        findings.append(
            Finding(
                FindingCode.BRISK,
                f"{how} at {rate:.1f} syllables a second; {usual:.1f} is usual, small children need less",
                {"syllables_per_s": round(rate, 2), "usual_per_s": usual},
            )
        )
    return clips, findings


def _asked_now(line: PlanLine, part: Part, profile: ClipProfile, stretch: Fraction) -> Part:
    """Return a part that is kept with the length it takes now; what nothing on the menu holds keeps the one it had."""
    length = (line.words[part.last - 1].end - line.words[part.first].start) * stretch
    ask = profile.ask_for(length + sum(_handles(line, part, profile)))
    return replace(part, ask=part.ask if ask is None else ask)


def _lead(line: PlanLine, profile: ClipProfile) -> Seconds:
    """Return how long before its first sound a later part may begin: in a song the picture is cut on the beat."""
    return profile.head if line.kind is LineKind.SUNG else Fraction(0)


def _handles(line: PlanLine, part: Part, profile: ClipProfile) -> tuple[Seconds, Seconds]:
    starts, ends = [w.start for w in line.words], [w.end for w in line.words]
    return handles(starts, ends, part.first, part.last, profile, _lead(line, profile))


def _with_master(clip: Clip) -> Clip:
    """Return the clip, with a finding where it would be the third in a row to start from another one's frame."""
    if clip.part[0] == 1 or (clip.part[0] - 1) % (MOST_LINKS + 1):
        return clip
    message = (
        f"{clip.id} would be the third in a row that starts from the frame of the one before, and each takes on its "
        f"faults: start it from a master picture again, and let the view change where {clip.follows} leaves the cut"
    )
    return replace(clip, findings=(*clip.findings, Finding(FindingCode.MASTER_PICTURE, message, {"clip": clip.id})))


def _speech_clip(
    line: PlanLine, part: Part, index: int, count: int, breaks: Sequence[Break], profile: ClipProfile
) -> Clip:
    words = line.words[part.first : part.last]
    speech = words[-1].end - words[0].start
    findings: tuple[Finding, ...] = ()
    if part.ask is None:
        high = float(speech * line.high / line.length) if line.length else float(speech)
        findings = (
            Finding(
                FindingCode.NO_LENGTH_HOLDS_IT,
                f"“{words[0].text}” takes up to {in_seconds(high, 1)} and cannot be cut; the longest generation, "
                f"{figure(profile.longest)} s with handles, does not hold it",
                {"speech_s": round(float(speech), 6), "limit_s": float(profile.longest)},
            ),
        )
    name = clip_id(line.id)
    head, tail = _handles(line, part, profile)
    return Clip(
        id=name if count == 1 else f"{name}.{index + 1}",
        kind=line.kind,
        line=line.id,
        part=(index + 1, count),
        text=line.text if count == 1 else " ".join(w.text for w in words),
        profile=profile.name,
        speech=speech,
        need=head + speech + tail,
        ask=part.ask,
        takes=profile.takes,
        start=words[0].start - head,
        end=words[-1].end + tail,
        start_frame=0,
        end_frame=0,
        speech_start=words[0].start,
        speech_end=words[-1].end,
        head=head,
        tail=tail,
        high=speech * line.high / line.length if line.length else speech,
        words=(part.first, part.last),
        speaker=line.speaker,
        scene=line.scene,
        cut=breaks[part.last - 1] if index + 1 < count else None,
        lines=(line.id,),
        findings=findings,
    )


def _too_long(line: PlanLine, clips: Sequence[Clip], profile: ClipProfile, stretch: Fraction) -> Finding:
    planned = line.length * stretch
    with_handles = planned + profile.head + profile.tail
    lose = syllables_to_cut(planned, len(line.syllables), profile)
    after = [" ".join(w.text for w in line.words[max(c.words[0], c.words[1] - 3) : c.words[1]]) for c in clips[:-1]]
    asks = [None if c.ask is None else float(c.ask) for c in clips]
    if stretch > 1:
        likely = float(line.length + profile.head + profile.tail)
        size = f"{in_seconds(likely, 1)} with handles, up to {in_seconds(with_handles, 1)}"
    else:
        size = f"{in_seconds(with_handles, 1)} with handles"
    places = ", ".join(f"“{a}”" for a in after)
    tempo = "" if line.kind is LineKind.SUNG else f"; or cut about {lose} syllable{'s' * (lose != 1)}"
    return Finding(
        FindingCode.TOO_LONG,
        f"{size}: too long for one generation ({figure(profile.longest)} s); "
        f"make {len(clips)} clips, break after {places}{tempo}",
        {
            "seconds": round(float(with_handles), 6),
            "limit_s": float(profile.longest),
            "syllables_to_cut": lose,
            "break_after": after,
            "parts_s": [round(float(c.need), 6) for c in clips],
            "asks_s": asks,
        },
    )


def _picture_clips(line: PlanLine, profile: ClipProfile, settings: EpisodeSettings) -> list[Clip]:
    parts = split_picture(line.length, profile)
    clips, at = [], line.start
    for i, (length, ask) in enumerate(parts):
        name = clip_id(line.id)
        clips.append(
            Clip(
                id=name if len(parts) == 1 else f"{name}.{i + 1}",
                kind=LineKind.PICTURE,
                line=line.id,
                part=(i + 1, len(parts)),
                text=_shown_text(line),
                profile=profile.name,
                speech=Fraction(0),
                need=length,
                ask=ask,
                takes=profile.takes,
                start=at,
                end=at + length,
                start_frame=0,
                end_frame=0,
                speech_start=at,
                speech_end=at,
                head=Fraction(0),
                tail=Fraction(0),
                high=Fraction(0),
                speaker=line.speaker if line.passage is Passage.WAIT else None,
                scene=line.scene,
                lines=(line.id,),
            )
        )
        at += length
    return [_with_master(clip) for clip in clips]


def _shown_text(line: PlanLine) -> str:
    """Return what a clip without words shows; of a wait, who listens."""
    if line.passage is Passage.WAIT and line.speaker:
        return f"{line.speaker} listens, mouth closed ({line.text})"
    return line.text


# --- lines that share one generation ----------------------------------------------------------------------


def _shared_clip(group: Sequence[PlanLine], profile: ClipProfile, settings: EpisodeSettings) -> Clip:
    first = group[0]
    alone = _speech_clip(first, Part(0, len(first.words), None), 0, 1, [Break.SENTENCE] * len(first.words), profile)
    speech = group[-1].end - first.start
    planned = planned_span(group, settings)
    begins = {line.id: profile.head + line.start - first.start for line in group}
    where = ", ".join(f"line {line_id} begins at {at_most(at, 2)} s" for line_id, at in begins.items())
    who = f" of {first.speaker}" if first.speaker else ""
    return replace(
        alone,
        text=" / ".join(line.text for line in group),
        speech=speech,
        need=profile.head + speech + profile.tail,
        ask=profile.ask_for(profile.head + planned + profile.tail),
        end=group[-1].end + profile.tail,
        speech_end=group[-1].end,
        high=planned,
        lines=tuple(line.id for line in group),
        findings=(
            Finding(
                FindingCode.SHARED,
                f"one generation holds lines {', '.join(begins)}{who}: {where}",
                {"begins_s": {line_id: round(float(at), 6) for line_id, at in begins.items()}},
            ),
        ),
    )


# --- what a clip shows on the episode's clock -------------------------------------------------------------


def on_screen(
    clips: Sequence[Clip],
    lines: Sequence[PlanLine],
    settings: EpisodeSettings,
    songs: Mapping[str, Song],
    handles: Mapping[str, Handles] | None = None,
) -> list[Clip]:
    """Return the clips with their handles cut back where they would run into a neighbour, and framed.

    ``handles`` by clip id are those of the files that came back: more than they have cannot be shown.
    """
    dual = {line.id for line in lines if line.is_dual}
    song_of = {line.id: songs.get(line.song or "") for line in lines}
    order = sorted((i for i, c in enumerate(clips) if c.line not in dual), key=lambda i: clips[i].speech_start)
    beside = [[i for i, c in enumerate(clips) if c.line == line_id] for line_id in sorted(dual)]
    made = list(clips)
    if order and made[order[0]].start <= 1 / settings.rate.fps:
        made[order[0]] = replace(made[order[0]], start=min(made[order[0]].start, Fraction(0)))
    for before, after in (pair for row in (order, *beside) for pair in pairwise(row)):
        a, b = made[before], made[after]
        if a.end < b.start:
            made[before], made[after] = _closed(a, b, 1 / settings.rate.fps, handles or {})
        sound_end, next_sound = _shown_until(a), _shown_from(b)
        if a.end <= b.start or sound_end >= next_sound + 1 / settings.rate.fps:
            continue
        gap = max(
            Fraction(0), next_sound - sound_end
        )  # a speech begins on a frame, which may round to before its moment
        wanted = a.tail + b.head
        share = Fraction(1, 2) if a.line == b.line or not wanted else a.tail / wanted
        # Where the handles are unequal the middle of a pause may lie beyond one of them: they meet where both reach.
        meet = min(max(sound_end + gap * share, b.start), a.end)
        song = song_of[a.line]
        if song is not None and song is song_of[b.line]:
            meet = _on_beat(meet, max(sound_end, b.start), min(next_sound, a.end), song)
        elif a.line == b.line:  # a later part is shown from its very first frame
            meet = max(sound_end, b.start)
        made[before] = replace(a, end=min(a.end, meet))
        made[after] = replace(b, start=min(max(b.start, meet), next_sound))
    rate = settings.rate
    framed = []
    for clip in made:
        start = max(Fraction(0), clip.start)
        opens = rate.frame_at(start)
        shown = replace(clip, start=start, start_frame=opens, end_frame=max(opens + 1, rate.frame_at(clip.end)))
        framed.append(_from_its_first_frame(shown))
    return framed


def _from_its_first_frame(clip: Clip) -> Clip:
    """Return a later part of a line with as much before its first sound as is shown of it, others as they are."""
    if clip.follows is None or clip.kind is LineKind.PICTURE:
        return clip
    head = clip.speech_start - clip.start
    return replace(clip, head=head, need=head + clip.speech + clip.tail)


def _shown_until(clip: Clip) -> Seconds:
    """Return until when a clip must be shown: its last sound, of a picture passage its end."""
    return clip.end if clip.kind is LineKind.PICTURE else clip.speech_end


def _shown_from(clip: Clip) -> Seconds:
    return clip.start if clip.kind is LineKind.PICTURE else clip.speech_start


def _closed(a: Clip, b: Clip, frame: Seconds, handles: Mapping[str, Handles]) -> tuple[Clip, Clip]:
    """Return two neighbours with the gap between them filled from what is asked for anyway, where it is enough.

    A few frames without a picture would flash. Gaps inside one line are closed at any length, others up to
    ``SHORTEST_GAP``.
    """
    gap = b.start - a.end
    if gap <= frame:  # a picture keeps its length where it can
        return (a, replace(b, start=a.end)) if a.kind is LineKind.PICTURE else (replace(a, end=b.start), b)
    if a.line != b.line and gap >= SHORTEST_GAP:
        return a, b
    after = min(gap, _spare(a, handles)[1])
    before = min(gap - after, _spare(b, handles)[0])
    if after + before < gap:
        note = Finding(
            FindingCode.NO_PICTURE,
            f"{in_seconds(gap, 1)} between {a.id} and {b.id} have no clip: hold a frame there, a short black flashes",
            {"seconds": round(float(gap), 6), "before": b.id},
        )
        return replace(a, findings=(*a.findings, note)), b
    return replace(a, end=a.end + after), replace(b, start=b.start - before)


def _spare(clip: Clip, handles: Mapping[str, Handles]) -> tuple[Seconds, Seconds]:
    """Return how much more of a clip there is before and after what is shown; a picture keeps its length."""
    if clip.kind is LineKind.PICTURE:
        return Fraction(0), Fraction(0)
    if own := handles.get(clip.id):
        shown = clip.speech_start - clip.start, clip.end - clip.speech_end
        return max(Fraction(0), own.head - shown[0]), max(Fraction(0), own.tail - shown[1])
    spare = max(Fraction(0), (clip.ask or 0) - (clip.end - clip.start))
    return spare, spare


def _on_beat(wish: Seconds, first: Seconds, last: Seconds, song: Song) -> Seconds:
    """Return the bar line between two moments nearest to ``wish``, else the beat, else ``wish`` itself."""
    for places in (song.downbeats, song.beats):
        inside = places[bisect_left(places, first) : bisect_right(places, last)]
        if inside:
            return min(inside, key=lambda beat: abs(beat - wish))
    return wish
