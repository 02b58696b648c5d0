"""Lines, songs and clips joined into one plan: places on the clock, totals, what concerns the whole.

In: timed drafts, fitted songs, the clips planned from them. Out: :class:`timing.model.Plan`.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from timing.clips.plan import ClipPlan
from timing.episode.placing import Draft, place_lines
from timing.episode.voices_at_once import with_voices_at_once
from timing.model import Clip, Finding, LineKind, Loudness, Passage, Plan, PlanLine, Script, Song, Totals
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.settings import EpisodeSettings
from timing.plain.errors import ScriptError
from timing.plain.figures import in_seconds
from timing.plain.limits import LONGEST_EPISODE_S
from timing.plain.names import readable
from timing.song.cuts import cut_findings
from timing.song.fit import FittedSong
from timing.store.store import Kind, Store, content_of

if TYPE_CHECKING:
    from timing.sound.decode import Pieces, Sound

MOST_CUTS_A_SECOND = 6  # three flashes a second are two cuts each: WCAG 2.3.1, see README "Cautions"
STRIP_VALUES_A_FRAME = 4
SOUNDS_KEPT = 2  # decoded at a time; lines of one recording usually stand together


def place(
    drafts: Sequence[Draft], fitted: Mapping[str, FittedSong], settings: EpisodeSettings
) -> tuple[tuple[PlanLine, ...], tuple[Song, ...]]:
    """Return the lines and the songs on the episode's clock."""
    lines, starts = place_lines(drafts, {k: f.song for k, f in fitted.items()}, settings)
    songs = tuple(fitted[song_id].moved(start).song for song_id, start in starts.items())
    last = max([*(line.end for line in lines), *(song.end for song in songs)], default=Fraction(0))
    if last > LONGEST_EPISODE_S:
        long = max(lines, key=lambda line: line.length)
        raise ScriptError(
            f"the episode would last {float(last) / 3600:,.0f} hours, and {LONGEST_EPISODE_S // 3600} are the most; "
            f"line {long.id} alone lasts {float(long.length):,.0f} s",
            long.where.path if long.where else None,
            long.where.line_number if long.where else None,
        )
    return with_voices_at_once(lines, songs), songs


def has_clip(line: PlanLine) -> bool:
    """True for whatever is generated: no sound cue, no wait in which nobody is said to wait.

    A picture passage beside a speech is seen in the speech's own clip, a voice off camera may be heard over another's.
    """
    if line.over is not None:
        return False
    if line.kind is not LineKind.PICTURE:
        return True
    is_held = line.passage is Passage.WAIT and line.speaker is None
    return not (line.is_dual or is_held or line.passage is Passage.SOUND)


def assemble(
    script: Script,
    settings: EpisodeSettings,
    lines: tuple[PlanLine, ...],
    songs: tuple[Song, ...],
    clip_plan: ClipPlan,
) -> Plan:
    """Return the plan, with the findings of its songs and of cuts that come close together."""
    lines = tuple(replace(n, findings=(*n.findings, *clip_plan.findings.get(n.id, ()))) for n in lines)
    clips = clip_plan.clips
    length = max([*(c.end for c in clips), *(s.end for s in songs), *(n.end for n in lines), Fraction(0)])
    frames = max([settings.rate.frame_at(length), *(c.end_frame for c in clips), *(n.end_frame for n in lines)])
    return Plan(
        title=settings.title or script.title or readable(Path(script.path).stem),
        language=settings.language,
        rate=settings.rate,
        frames=frames,
        length=length,
        lines=lines,
        clips=clips,
        songs=songs,
        totals=_totals(clips, settings),
        settings=settings,
        script_hash=script.text_hash,
        findings=(*(f for s in songs for f in _song_findings(s, clips)), *close_cuts([clip.start for clip in clips])),
    )


def _song_findings(song: Song, clips: Sequence[Clip]) -> tuple[Finding, ...]:
    # A clip that begins in a rest is free to; one that meets its neighbour is a cut.
    ends = {c.end for c in clips}
    cuts = [c.start for c in clips if c.start in ends and song.start < c.start < song.end]
    return (*song.findings, *(f for f in cut_findings(song, cuts) if f.code != FindingCode.CUTS_FLASH))


def _totals(clips: Sequence[Clip], settings: EpisodeSettings) -> Totals:
    zero = Fraction(0)
    priced = [(c, settings.profiles[c.profile].price(c.ask)) for c in clips if c.ask is not None]
    known = [c.takes * price for c, price in priced if price is not None]
    return Totals(
        speech=sum((c.speech for c in clips), zero),
        screen=_on_screen(clips),
        ask=sum((c.ask or zero for c in clips), zero),
        generate=sum(((c.ask or zero) * c.takes for c in clips), zero),
        cost=sum(known, zero) if known else None,
        unpriced=sum(((c.ask or zero) * c.takes for c, price in priced if price is None), zero),
    )


def _on_screen(clips: Sequence[Clip]) -> Seconds:
    """Return how long clips are seen; time in which several are seen at once counts once."""
    shown = at = Fraction(0)
    for start, end in sorted((c.start, c.end) for c in clips):
        shown += max(Fraction(0), end - max(start, at))
        at = max(at, end)
    return shown


def close_cuts(changes: Collection[Seconds]) -> list[Finding]:
    """Return the flashing caution where more than six cuts fall within any one second.

    ``changes`` are the moments at which another picture begins, the first of the episode among them.
    """
    cuts = sorted(set(changes))[1:]
    worst = max(((bisect_left(cuts, at + 1) - i, at) for i, at in enumerate(cuts)), default=(0, Fraction(0)))
    if worst[0] <= MOST_CUTS_A_SECOND:
        return []
    return [
        Finding(
            FindingCode.CUTS_CLOSE,
            f"{worst[0]} cuts within one second from {in_seconds(worst[1], 1)}: several cuts close together can flash; "
            "keep to six or fewer and have the finished film tested before children see it",
            {"cuts": worst[0], "from_s": round(float(worst[1]), 3)},
        )
    ]


LOUDNESS: Kind[tuple[float, ...]] = Kind("loudness", 1, list, tuple)
"""Depends on the file's content, the stretch (None: all of it) and the values a second."""


def sound_strips(plan: Plan, folder: Path, store: Store) -> tuple[Loudness, ...]:
    """Return how loud recordings and songs are, for the sound column of the sheets; ``folder`` is where they lie."""
    heard = [s for s in plan.soundings() if plan.line(s.line).song is None]
    if not heard and not any(song.file for song in plan.songs):
        return ()
    values_per_s = STRIP_VALUES_A_FRAME * plan.rate.nominal
    step = Fraction(1, values_per_s)
    stretches: dict[str, list[tuple[Seconds, Seconds]]] = {}
    for s in heard:
        stretches.setdefault(s.file, []).append((s.file_start, s.file_start + s.length))
    read = lru_cache(maxsize=SOUNDS_KEPT)(lambda name: _pieces(folder / name, stretches[name]))

    def outline(name: str, start: Seconds | None, length: Seconds | None) -> tuple[float, ...]:
        def make() -> tuple[float, ...]:
            from timing.sound.decode import SPEECH_RATE_HZ
            from timing.sound.levels import loudness

            if start is None or length is None:
                sound = _decoded(folder / name)
                return loudness(sound.samples, sound.rate_hz, values_per_s)
            first, last = (max(0, int(moment * SPEECH_RATE_HZ)) for moment in (start, start + length))
            return loudness(read(name)[first:last], SPEECH_RATE_HZ, values_per_s)

        try:
            content = content_of(folder / name)
        except OSError:
            return make()  # which says what is wrong with the file
        return store.made(LOUDNESS, (content, start, length, values_per_s), make)

    strips = [Loudness(s.start, step, outline(s.file, s.file_start, s.length)) for s in heard]
    strips += [Loudness(song.start, step, outline(song.file, None, None)) for song in plan.songs if song.file]
    return tuple(strips)


def _pieces(path: Path, stretches: Sequence[tuple[Seconds, Seconds]]) -> Pieces:
    from timing.sound.decode import SPEECH_RATE_HZ, pieces

    return pieces(path, SPEECH_RATE_HZ, stretches)


def _decoded(path: Path) -> Sound:
    from timing.sound.decode import read_audio

    return read_audio(path)
