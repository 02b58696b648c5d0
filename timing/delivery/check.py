"""One delivered file held against its clip: container, rate, length, sound, words, edges, sync.

Figures are in the plan's frames. What is said is found with the recording stage's aligner; where there is a scratch
(or a finished song), the clip's timing is compared with it. Limits are our own and stand beside each check.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from timing.clock import Seconds
from timing.delivery.container import Container, read_container
from timing.delivery.matching import Delivered, delivered_files
from timing.delivery.sync import RATE_HZ, Sync, compare
from timing.delivery.words import clip_utterance
from timing.errors import RecordingError
from timing.model import Clip, Finding, LineKind, Plan, TimedLine

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.recording.decode import Sound

SAME_RATE = Fraction(1, 5000)  # 24 and 23.976 are five times as far apart
LATE_FRAMES = 1.0  # mouth and sound may be a frame apart (ITU-R BS.1204: 1 to 2 frames)
DRIFT = 0.004
DRIFT_FRAMES = 0.3
EDGE_S = 0.03  # speech that begins or ends this near an edge of the sound is cut off, if it is loud there
CUT_SHARE = 0.55  # a last word shorter than this share of its own sounds' usual length is cut off
WRONG_CONFIDENCE = 0.6
RIGHT_CONFIDENCE = 0.75
SURE_LIKENESS = 0.85  # of loudness outlines: the same reading
WEIGHTS = {
    "wrong-line": 100,
    "silent": 100,
    "unreadable": 100,
    "not-said": 30,
    "cut-off-end": 30,
    "cut-off-start": 30,
}

Progress = Callable[[float, str], None]


@dataclass(frozen=True, slots=True)
class Check:
    """The verdict on one file; lengths in frames of the plan's rate, None where it could not be told."""

    file: str
    clip: str | None
    take: int = 1
    rate: Fraction | None = None
    frames: int | None = None
    asked_frames: int | None = None
    head_frames: float | None = None
    tail_frames: float | None = None
    shift_frames: float | None = None
    drift: float | None = None
    confidence: float | None = None
    is_best: bool = False
    heard: TimedLine | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def badness(self) -> float:
        """How far from good, for choosing a take: findings first, then words, then sync."""
        faults = sum(WEIGHTS.get(f.code, 5) for f in self.findings)
        return faults + 2 * (1 - (self.confidence or 0)) + abs(self.shift_frames or 0) / 10


def check_deliveries(plan: Plan, folder: Path, progress: Progress | None = None) -> list[Check]:
    """Return a verdict for every file in clips/, in order of clip and name; the best take of each clip is marked."""
    files = delivered_files(folder, [clip.id for clip in plan.clips])
    checker = Checker(plan, folder)
    found = []
    for number, file in enumerate(files):
        if progress:
            progress(number / len(files), file.name)
        found.append(checker.check(file))
    if progress:
        progress(1.0, "")
    return _with_best(found, [clip.id for clip in plan.clips])


def _with_best(checks: list[Check], order: list[str]) -> list[Check]:
    place = {clip_id: n for n, clip_id in enumerate(order)}
    checks = sorted(checks, key=lambda c: (place.get(c.clip or "", len(order)), c.file))
    best: dict[str, Check] = {}
    counts: dict[str, int] = {}
    out = []
    for check in checks:
        clip_id = check.clip
        if clip_id is not None:
            counts[clip_id] = counts.get(clip_id, 0) + 1
            check = replace(check, take=counts[clip_id])
            if clip_id not in best or check.badness < best[clip_id].badness:
                best[clip_id] = check
        out.append(check)
    chosen = {check.file for check in best.values()}
    return [replace(c, is_best=c.file in chosen) for c in out]


class Checker:
    """Checks files of one plan; recordings and songs are read once."""

    def __init__(self, plan: Plan, folder: Path):
        from timing.language import phones_for

        self.plan, self.folder = plan, folder
        self.clips: Mapping[str, Clip] = {clip.id: clip for clip in plan.clips}
        self.pronounce = partial(phones_for, language=plan.language, say=plan.settings.say)
        self.source = lru_cache(maxsize=4)(self._read)

    def _read(self, name: str) -> NDArray[np.int16]:
        from timing.recording.decode import read_audio

        return read_audio(self.folder / name, RATE_HZ).samples

    def check(self, file: Delivered) -> Check:
        """Return the verdict on one file; a file that cannot be read is a finding."""
        try:
            container = read_container(file.path)
            sound = self._sound(file, container)
        except RecordingError as error:
            return Check(file.name, file.clip, findings=(Finding("unreadable", f"{error.message}"),))
        clip = self.clips.get(file.clip or "")
        if clip is None:
            clip = self._by_words(sound)
            if clip is None:
                message = "its name holds no clip's id and its words are no line's; name it after its clip, C04.mp4"
                return Check(file.name, None, findings=(Finding("unknown-clip", message),))
        rate = self.plan.rate
        asked = rate.frame_at(clip.ask if clip.ask is not None else clip.need)
        check = Check(file.name, clip.id, rate=container.rate, asked_frames=asked)
        check = self._container(check, clip, container, sound)
        if clip.kind is LineKind.PICTURE:
            return check
        if sound is None:
            message = "has no sound, and its line is to be heard in it"
            return replace(check, findings=(*check.findings, Finding("silent", message)))
        return self._sounding(check, clip, sound)

    def _sound(self, file: Delivered, container: Container) -> Sound | None:
        from timing.recording.decode import read_audio

        return read_audio(file.path, RATE_HZ) if container.has_sound else None

    # --- container ------------------------------------------------------------------------------------

    def _container(self, check: Check, clip: Clip, container: Container, sound: Sound | None) -> Check:
        rate, found = self.plan.rate, list(check.findings)
        if container.rate is not None and abs(container.rate / rate.fps - 1) > SAME_RATE:
            message = f"runs at {_rate(container.rate)} frames a second, not {rate}; have it made again or convert it"
            found.append(Finding("rate", message, {"rate": str(container.rate)}))
        seconds = container.seconds if container.rate is not None else (sound.seconds if sound else container.seconds)
        if seconds is None:
            return replace(check, findings=tuple(found))
        frames = rate.frame_at(seconds)
        need = rate.frame_at(clip.end) - rate.frame_at(clip.start)
        asked = check.asked_frames or need
        if frames < need:
            message = f"has {frames} frames, {need - frames} fewer than the cut shows of it"
            found.append(Finding("too-short", message, {"frames": frames, "needed": need}))
        elif abs(frames - asked) > 1:
            message = f"has {frames} frames, {asked} were asked for"
            found.append(Finding("length", message, {"frames": frames, "asked": asked}))
        return replace(check, frames=frames, findings=tuple(found))

    # --- sound ----------------------------------------------------------------------------------------

    def _sounding(self, check: Check, clip: Clip, sound: Sound) -> Check:
        from timing.recording.levels import measure

        levels = measure(sound)
        if levels.is_silent:
            return replace(check, findings=(*check.findings, Finding("silent", "its sound is silent")))
        found = [*check.findings, *(f for f in levels.findings() if f.code in ("clipped", "damaged"))]
        reference = self._reference(clip)
        sync = compare(reference, sound.samples) if reference is not None else None
        if sync is not None:
            found += self._sync_findings(sync)
            check = replace(check, shift_frames=round(self._frames(sync.shift_s), 2), drift=round(sync.drift, 4))
        if clip.kind is LineKind.SUNG:  # sung words are followed in the song, not in each clip
            return replace(check, findings=tuple(found))
        return self._spoken(replace(check, findings=tuple(found)), clip, sound, sync)

    def _frames(self, seconds: float) -> float:
        return seconds * float(self.plan.rate.fps)

    def _reference(self, clip: Clip) -> NDArray[np.int16] | None:
        """Return what the clip should sound like, from its own moment 0: its scratch, or its bars of the song."""
        import numpy as np

        line = self.plan.line(clip.line)
        name: str | None = None
        at = Fraction(0)
        if line.take is not None and line.take_start is not None:
            name, at = line.take, line.take_start + clip.speech_start - line.start
        elif line.song is not None:
            song = next((s for s in self.plan.songs if s.id == line.song), None)
            if song is not None and song.file:
                name, at = song.file, clip.speech_start - song.start
        if name is None:
            return None
        try:
            samples = self.source(name)
        except RecordingError:
            return None
        first, last = int(at * RATE_HZ), int((at + clip.speech) * RATE_HZ)
        piece = samples[max(0, first) : max(0, last)]
        return np.concatenate([np.zeros(int(clip.head * RATE_HZ), np.int16), piece]) if len(piece) else None

    def _sync_findings(self, sync: Sync) -> list[Finding]:
        found = []
        moved = self._frames(sync.end_s - sync.start_s)
        drifts = abs(sync.drift) >= DRIFT and abs(moved) >= DRIFT_FRAMES
        if drifts:
            how = "slow" if sync.drift > 0 else "fast"
            message = (
                f"drifts: it runs {abs(sync.drift) * 100:.1f} % {how} against the recording, "
                f"{abs(moved):.1f} frames from first to last sound"
            )
            found.append(Finding("drift", message, {"drift": round(sync.drift, 4), "frames": round(moved, 2)}))
        shift = self._frames(sync.start_s if drifts else sync.shift_s)
        if abs(shift) >= LATE_FRAMES:
            what = "late" if shift > 0 else "early"
            message = f"is {abs(shift):.1f} frames {what} against the recording; slip it by that in the cut"
            found.append(Finding("shift", message, {"frames": round(shift, 2)}))
        return found

    # --- words ----------------------------------------------------------------------------------------

    def _spoken(self, check: Check, clip: Clip, sound: Sound, sync: Sync | None) -> Check:
        heard = self._align(clip, sound)
        found = list(check.findings)
        if heard is not None and any(f.code in ("clipped", "damaged") for f in found):
            # Words in a spoilt sound are not told apart well enough to blame them.
            return replace(check, confidence=heard.confidence)
        is_same_reading = sync is not None and sync.likeness >= SURE_LIKENESS
        if heard is None or ((heard.confidence or 0) < WRONG_CONFIDENCE and not is_same_reading):
            found = [f for f in found if f.code not in ("shift", "drift")]  # against another line they mean nothing
            check = replace(check, shift_frames=None, drift=None)
            other = self._by_words(sound, but=clip.id)
            what = f"these are the words of {other.id}" if other else "no line of the script fits them well"
            message = f"does not hold its line: {what}"
            facts = {"clip": other.id} if other else {}
            confidence = heard.confidence if heard else 0.0
            return replace(check, confidence=confidence, findings=(*found, Finding("wrong-line", message, facts)))
        start, end = heard.start, heard.end
        edges = self._edge_findings(clip, sound, heard)
        cut = {i for f in edges for i in f.facts.get("words", ())}
        found += edges
        found += [f for f in heard.findings if not (f.code == "unclear" or set(f.facts.get("words", ())) <= cut)]
        return replace(
            check,
            head_frames=round(self._frames(float(start)), 1),
            tail_frames=round(self._frames(float(sound.seconds - end)), 1),
            confidence=heard.confidence,
            heard=heard,
            findings=tuple(found),
        )

    def _align(self, clip: Clip, sound: Sound) -> TimedLine | None:
        from timing.recording.aligner import align_line

        utterance = clip_utterance(self.plan, clip)
        if not utterance.words:
            return None
        try:
            return align_line(sound, utterance, self.pronounce)
        except (RecordingError, ValueError):  # words pressed into a sound of others can end up without time
            return None

    def _by_words(self, sound: Sound | None, but: str | None = None) -> Clip | None:
        """Return the spoken clip whose words fit the sound best, None where none fits well."""
        from timing.recording.levels import sound_edges

        if sound is None:
            return None
        candidates = [c for c in self.plan.clips if c.kind is LineKind.SPOKEN and c.id != but]
        for clip in candidates:  # a recording of the line tells at once
            reference = self._reference(clip)
            sync = compare(reference, sound.samples) if reference is not None else None
            if sync is not None and sync.likeness >= SURE_LIKENESS:
                return clip
        first, last = sound_edges(sound)
        best: tuple[float, Clip] | None = None
        for clip in candidates:
            if not clip.speech / 2 < last - first < clip.speech * 2:
                continue
            heard = self._align(clip, sound)
            missing = {i for f in (heard.findings if heard else ()) for i in f.facts.get("words", ())}
            if heard and heard.confidence and len(missing) * 3 <= len(heard.words):
                best = max(best or (0.0, clip), (heard.confidence, clip), key=lambda pair: pair[0])
        return best[1] if best and best[0] >= RIGHT_CONFIDENCE else None

    def _edge_findings(self, clip: Clip, sound: Sound, heard: TimedLine) -> list[Finding]:
        """Return cut-off-start and cut-off-end: loud up to the edge, or a last word far too short."""
        found = []
        last = len(heard.words) - 1
        missing = {i for f in heard.findings for i in f.facts.get("words", ())}
        if _is_loud(sound, Fraction(0)):
            message = f"begins in the middle of speech: “{heard.words[0].text}” is cut off"
            found.append(Finding("cut-off-start", message, {"words": [0]}))
        if _is_loud(sound, sound.seconds - Fraction(EDGE_S)) or last in missing or self._is_short(clip, heard):
            message = f"ends too soon: “{heard.words[last].text}” is cut off"
            found.append(Finding("cut-off-end", message, {"words": [last]}))
        return found

    def _is_short(self, clip: Clip, heard: TimedLine) -> bool:
        """True where the last word took far less of its line than planned."""
        if len(heard.words) < 2:
            return False
        planned = self.plan.line(clip.line).words[clip.words[0] : clip.words[1]]
        if len(planned) != len(heard.words):
            return False
        rest_heard = heard.words[-2].end - heard.words[0].start
        rest_planned = planned[-2].end - planned[0].start
        pace = min(Fraction(3, 2), rest_heard / rest_planned) if rest_planned > 0 else Fraction(1)
        usual = (planned[-1].end - planned[-1].start) * pace
        return heard.words[-1].end - heard.words[-1].start < usual * Fraction(CUT_SHARE)


def _is_loud(sound: Sound, at: Seconds) -> bool:
    """True where speech is going on in the 30 ms from ``at``: within 20 dB of the loud windows."""
    from timing.recording.levels import window_db

    levels = window_db(sound.samples, sound.rate_hz)
    here = window_db(sound.cut(at, at + Fraction(EDGE_S)), sound.rate_hz)
    if not len(here) or not len(levels):
        return False
    loud = sorted(float(v) for v in levels)[int(len(levels) * 0.95)]
    return float(max(here)) > max(loud - 20, -60.0)


def _rate(value: Fraction) -> str:
    from timing.clock import FrameRate

    try:
        return str(FrameRate(value))
    except ValueError:
        return f"{float(value):g}"
