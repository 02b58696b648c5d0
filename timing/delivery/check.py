"""One delivered file held against its clip: container, rate, length, sound, words, edges, sync.

Figures are in the plan's frames. What is said is found with the recording stage's aligner; where there is a scratch
(or a finished song), the clip's timing is compared with it. Limits are our own and stand beside each check.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from timing.delivery.container import Container, read_container
from timing.delivery.edges import EDGE_S, edge_findings
from timing.delivery.kept_verdicts import verdict_kind
from timing.delivery.labelled import clip_meant, with_labels
from timing.delivery.matching import ClipFile, content_sum, delivered_files, ids_in_name
from timing.delivery.search import ClipSearch
from timing.delivery.sync import RATE_HZ, Sync, compare
from timing.delivery.verdict import Check, with_best
from timing.delivery.words import clip_utterance
from timing.model import Clip, Finding, LineKind, Plan, TimedLine, Utterance
from timing.model.clock import Seconds
from timing.model.findings import FindingCode
from timing.model.labels import Label
from timing.plain.errors import RecordingError
from timing.plain.figures import figure
from timing.plain.words import bare

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from timing.sound.decode import Sound
    from timing.store.store import Store

MOST_TRIED = 3  # lines that a sound might hold in place of its own

SAME_RATE = Fraction(1, 5000)  # 24 and 23.976 are five times as far apart
LATE_FRAMES = 1.0  # mouth and sound may be a frame apart (ITU-R BS.1204: 1 to 2 frames)
DRIFT = 0.004
DRIFT_FRAMES = 0.2  # from first to last sound; less is the method's own error on short lines
SURE_ERRORS = 2.0  # a drift within twice its standard error may be none
WRONG_CONFIDENCE = 0.6
RIGHT_CONFIDENCE = 0.75
SURE_LIKENESS = 0.85  # of loudness outlines: the same reading
# Any syllable has the outline of any other, so a likeness tells nothing of less speech than this (our own choice; most
# one-word lines are shorter), nor where the recording explains less than this share of what sounds in the clip.
LEAST_ALIKE, LEAST_SHARE = Fraction(1), Fraction(1, 2)
UNCLEAR = 0.5  # confidence of a word in the recording: the clip, which says it in the same way, is not blamed
CLEARLY = 0.1  # by how much another line must fit better than a clip's own
DOUBTFUL_SHARE = 0.25  # of a line's words missing or said differently: it may be another line
OF_WORDS = {
    FindingCode.NOT_SAID: "not said in this take; take another one or ask again",
    FindingCode.SAID_DIFFERENTLY: "said differently in this take; listen to it",
}
Progress = Callable[[float, str], None]


def check_deliveries(
    plan: Plan,
    folder: Path,
    progress: Progress | None = None,
    store: Store | None = None,
    accepted: Mapping[str, str] | None = None,
    outdated: Mapping[str, Collection[str]] | None = None,
    labels: Mapping[str, Sequence[Label]] | None = None,
    takes: Sequence[ClipFile] | None = None,
) -> list[Check]:
    """Return a verdict for every file in clips/, in order of clip and name; the best take of each clip is marked.

    ``plan`` is the one that was asked for. Verdicts are kept in ``store`` by content. ``accepted`` names
    the file a person chose, by clip id: it is that clip's and the best one, whatever was measured; ``outdated`` has
    the short hashes of what came back for older words; ``labels`` are a person's word about a file, by its name;
    ``takes`` are the files, where they are known already.
    """
    from timing.store.store import Store

    owners = {name: clip_id for clip_id, name in (accepted or {}).items()}
    files = delivered_files(folder, [clip.id for clip in plan.clips]) if takes is None else takes
    files = [replace(file, clip=owners.get(file.name, file.clip)) for file in files]
    checker = Checker(plan, folder)
    kept = store or Store()
    found = []
    for number, file in enumerate(files):
        if progress:
            progress(number / len(files), file.name)
        said = (labels or {}).get(file.name, ())
        if said:
            file = replace(file, clip=clip_meant(plan, said, file.clip))
        check = _checked(checker, file, kept)
        if said:
            check = checker.with_labels(file, check, said, kept)
        if check.clip is not None and content_sum(check.content) in (outdated or {}).get(check.clip, ()):
            message = f"came back before the words of {check.clip} were changed; ask for it again"
            check = replace(check, findings=(Finding(FindingCode.OUTDATED, message), *check.findings))
        found.append(check)
    if progress:
        progress(1.0, "")
    return with_best(found, [clip.id for clip in plan.clips], accepted or {})


def _checked(checker: Checker, file: ClipFile, store: Store) -> Check:
    """Return the verdict on one file, kept or new.

    A verdict for which other lines were listened for is kept under everything that is spoken, any other under its
    own line alone: a changed line leaves the verdicts on the others as they are.
    """
    content = file.content
    if not content:
        return checker.check(file)
    kind = verdict_kind(checker.plan, file.name, content)
    made: list[Check] = []

    def check() -> Check:
        if not made:
            made.append(checker.check(file))
        return made[0]

    def alone() -> Check | None:
        found = check()
        return None if checker.looked_around else found

    found = store.made(kind, checker.key(file, content, False), alone) if file.clip else None
    found = found or store.made(kind, checker.key(file, content, True), check)
    assert found is not None
    return found


class Checker:
    """Checks files of one plan; recordings and songs are read once."""

    def __init__(self, plan: Plan, folder: Path):
        from timing.language import phones_for

        self.plan, self.folder = plan, folder
        self.clips: Mapping[str, Clip] = {clip.id: clip for clip in plan.clips}
        self.pronounce = partial(phones_for, language=plan.language, say=plan.settings.say)
        self.source = lru_cache(maxsize=4)(self._read)
        self.search = ClipSearch(plan, self.pronounce)
        self.looked_around = False  # whether the last verdict hangs on other lines than its own
        self._contents = lru_cache(maxsize=None)(lambda name: ClipFile(folder / name, name, None).content)

    def key(self, file: ClipFile, content: str, whole: bool) -> tuple[object, ...]:
        """Return everything that a verdict depends on."""
        clips = self.plan.clips if whole or file.clip is None else [self.clips[file.clip]]
        facts = [self._facts(clip) for clip in clips if whole or clip.id == file.clip]
        say = sorted((word, repr(how)) for word, how in self.plan.settings.say.items())
        return (content, file.clip, whole, self.plan.language, say, self.plan.rate, facts)

    def _facts(self, clip: Clip) -> tuple[object, ...]:
        words = clip_utterance(self.plan, clip).words if clip.kind is not LineKind.PICTURE else ()
        first, zero = self.plan.line(clip.line), clip.speech_start
        own = [(w.start - zero, w.end - zero) for w in first.words[slice(*clip.words)] if clip.kind is LineKind.SPOKEN]
        reference = self._reference_place(clip)
        source = (self._contents(reference[0]), reference[1]) if reference else None
        shown = self.plan.rate.frame_at(clip.end) - self.plan.rate.frame_at(clip.start)
        known = sorted(self._known(clip))
        return (clip.id, clip.kind.value, words, own, known, clip.speech, clip.head, clip.ask, clip.need, shown, source)

    def _read(self, name: str) -> NDArray[np.int16]:
        from timing.sound.decode import read_audio

        return read_audio(self.folder / name, RATE_HZ).samples

    def check(self, file: ClipFile) -> Check:
        """Return the verdict on one file; a file that cannot be read is a finding."""
        self.looked_around = False
        rate = None
        try:
            container = read_container(file.path)
            rate = container.rate
            sound = self._sound(file, container)
        except RecordingError as error:
            found = Finding(FindingCode.UNREADABLE, f"{error.message}")
            return Check(file.name, file.clip, rate=rate, findings=(found,))
        clip = self.clips.get(file.clip or "")
        if clip is None:
            clip = self._by_words(sound) if sound is not None else None
            if clip is None:
                return Check(file.name, None, rate=container.rate, findings=(self._unknown(file),))
        asked = self.plan.rate.frame_at(clip.ask if clip.ask is not None else clip.need)
        check = Check(file.name, clip.id, rate=container.rate, asked_frames=asked)
        check = self._container(check, clip, container, sound)
        if clip.kind is LineKind.PICTURE:
            return check
        if sound is None:
            message = "has no sound, and its line is to be heard in it"
            return replace(check, findings=(*check.findings, Finding(FindingCode.SILENT, message)))
        return self._sounding(check, clip, sound)

    def with_labels(self, file: ClipFile, check: Check, labels: Sequence[Label], store: Store) -> Check:
        """Return the verdict with what a person's labels say of the file."""
        try:
            sound = self._sound(file, read_container(file.path))
        except RecordingError:
            sound = None
        return with_labels(self.plan, self.pronounce, check, sound, labels, store) if sound is not None else check

    def _unknown(self, file: ClipFile) -> Finding:
        named = ids_in_name(file.path.stem)
        of_now = [clip_id for clip_id in named if clip_id in self.clips]
        if len(of_now) > 1:
            message = f"its name holds several clips' ids, {' and '.join(of_now)}; name it after one of them"
        elif named:
            message = f"there is no clip {named[0]} in the script as it is, and its words are no line's; keep it aside"
        else:
            message = "its name holds no clip's id and its words are no line's; name it after its clip, C04.mp4"
        return Finding(FindingCode.UNKNOWN_CLIP, message, {"named": named})

    def _sound(self, file: ClipFile, container: Container) -> Sound | None:
        from timing.sound.decode import read_audio

        return read_audio(file.path, RATE_HZ) if container.has_sound else None

    # --- container ------------------------------------------------------------------------------------

    def _container(self, check: Check, clip: Clip, container: Container, sound: Sound | None) -> Check:
        rate, found = self.plan.rate, list(check.findings)
        if container.rate is not None and abs(container.rate / rate.fps - 1) > SAME_RATE:
            message = f"runs at {_rate(container.rate)} frames a second, not {rate}; have it made again or convert it"
            found.append(Finding(FindingCode.RATE, message, {"rate": str(container.rate)}))
        seconds = container.seconds if container.rate is not None else (sound.seconds if sound else container.seconds)
        if seconds is None:
            return replace(check, findings=tuple(found))
        frames = rate.frame_at(seconds)
        need = rate.frame_at(clip.end) - rate.frame_at(clip.start)
        asked = check.asked_frames or need
        if frames < need:
            message = f"has {frames} frames, {need - frames} fewer than the cut shows of it"
            found.append(Finding(FindingCode.TOO_SHORT, message, {"frames": frames, "needed": need}))
        elif abs(frames - asked) > 1:
            message = f"has {frames} frames, {asked} were asked for"
            found.append(Finding(FindingCode.LENGTH, message, {"frames": frames, "asked": asked}))
        return replace(check, frames=frames, findings=tuple(found))

    # --- sound ----------------------------------------------------------------------------------------

    def _sounding(self, check: Check, clip: Clip, sound: Sound) -> Check:
        from timing.sound.levels import measure

        levels = measure(sound)
        if levels.is_silent:
            return replace(check, findings=(*check.findings, Finding(FindingCode.SILENT, "its sound is silent")))
        found = [
            *check.findings,
            *(_of_sound(f) for f in levels.findings() if f.code in (FindingCode.CLIPPED, FindingCode.DAMAGED)),
        ]
        reference = self._reference(clip)
        sync = compare(reference, sound.samples) if reference is not None else None
        if sync is not None:
            found += self._sync_findings(sync, clip)
            check = replace(
                check,
                shift_frames=round(self._frames(sync.shift_s), 2),
                drift=None if sync.drift is None else round(sync.drift, 4),
                drift_error=None if sync.drift_error is None else round(sync.drift_error, 4),
            )
        if clip.kind is LineKind.SUNG:  # sung words are followed in the song, not in each clip
            return replace(check, findings=tuple(found))
        return self._spoken(replace(check, findings=tuple(found)), clip, sound, sync)

    def _frames(self, seconds: float) -> float:
        return seconds * float(self.plan.rate.fps)

    def _reference_place(self, clip: Clip) -> tuple[str, Seconds] | None:
        """Return the file in which a clip's scratch (or its bars of the song) lies, and where its speech begins."""
        line = self.plan.line(clip.line)
        if line.take is not None and line.take_start is not None:
            return line.take, line.take_start + clip.speech_start - line.start
        song = next((s for s in self.plan.songs if s.id == line.song), None) if line.song else None
        return (song.file, clip.speech_start - song.start) if song and song.file else None

    def _reference(self, clip: Clip) -> NDArray[np.int16] | None:
        """Return what the clip should sound like, from its own moment 0."""
        import numpy as np

        place = self._reference_place(clip)
        if place is None:
            return None
        name, at = place
        try:
            samples = self.source(name)
        except RecordingError:
            return None
        first, last = int(at * RATE_HZ), int((at + clip.speech) * RATE_HZ)
        piece = samples[max(0, first) : max(0, last)]
        return np.concatenate([np.zeros(int(clip.head * RATE_HZ), np.int16), piece]) if len(piece) else None

    def _sync_findings(self, sync: Sync, clip: Clip) -> list[Finding]:
        found = []
        moved = self._frames(sync.end_s - sync.start_s)
        drift, error = sync.drift or 0.0, sync.drift_error or 0.0
        drifts = abs(drift) >= max(DRIFT, SURE_ERRORS * error) and abs(moved) >= DRIFT_FRAMES
        if drifts:
            how = "slow" if drift > 0 else "fast"
            message = (
                f"drifts: it runs {abs(drift) * 100:.1f} % {how} against the recording, "
                f"{abs(moved):.1f} frames from first to last sound"
            )
            facts = {"drift": round(drift, 4), "error": round(error, 4), "frames": round(moved, 2)}
            found.append(Finding(FindingCode.DRIFT, message, facts))
        shift = self._frames(sync.start_s if drifts else sync.shift_s)
        if abs(shift) >= LATE_FRAMES:
            what = "late" if shift > 0 else "early"
            advice = "slip it by that in the cut"
            if clip.follows and shift > 0:  # it is shown from its first frame, so that the picture does not jump
                advice = f"the pause behind {clip.follows} grows by that"
            message = f"is {abs(shift):.1f} frames {what} against the recording; {advice}"
            found.append(Finding(FindingCode.SHIFT, message, {"frames": round(shift, 2)}))
        return found

    # --- words ----------------------------------------------------------------------------------------

    def _spoken(self, check: Check, clip: Clip, sound: Sound, sync: Sync | None) -> Check:
        heard = self._align(clip, sound)
        found = list(check.findings)
        if heard is not None and any(f.code in (FindingCode.CLIPPED, FindingCode.DAMAGED) for f in found):
            # Words in a spoilt sound are not told apart well enough to blame them.
            return self._as_followed(replace(check, confidence=heard.confidence), heard, sound)
        is_same_reading = self._is_same_reading(sync, clip, sound)
        other = None if is_same_reading or _is_clear(heard) else self._by_words(sound, clip, heard)
        sure = heard.confidence or 0.0 if heard else 0.0
        if heard is None or other or (sure < WRONG_CONFIDENCE and not is_same_reading):
            found = [
                f for f in found if f.code not in (FindingCode.SHIFT, FindingCode.DRIFT)
            ]  # against another line they mean nothing
            check = replace(check, shift_frames=None, drift=None, drift_error=None)
            what = f"these are the words of {other.id}" if other else "no line of the script fits its words well"
            message = f"does not hold its line: {what}"
            facts = {"clip": other.id} if other else {}
            found.append(Finding(FindingCode.WRONG_LINE, message, facts))
            return self._as_followed(replace(check, confidence=sure, findings=tuple(found)), heard, sound)
        planned = self.plan.line(clip.line).words[slice(*clip.words)]
        edges = edge_findings(sound, heard, planned, sync is not None, clip.head < EDGE_S)
        cut = {i for f in edges for i in f.facts.get("words", ())}
        found += edges
        # What the recording has as well is the reading that was wanted: the clip only repeats it. The word beside one
        # that is cut off is followed into the gap, and cannot be judged.
        unjudged = cut | {i + (-1 if i else 1) for i in cut} | (self._known(clip) if sync is not None else frozenset())
        # Nor can the same reading hold more than the recording does.
        left_out = {FindingCode.UNCLEAR, FindingCode.EXTRA_WORDS} if is_same_reading else {FindingCode.UNCLEAR}
        found += [f for f in (_without(f, unjudged) for f in heard.findings) if f and f.code not in left_out]
        tail = sound.seconds - heard.end
        return replace(
            check,
            head_frames=round(self._frames(float(heard.start)), 1),
            tail_frames=round(self._frames(float(tail)), 1),
            confidence=heard.confidence,
            heard=heard,
            findings=tuple(found),
            tail=max(Fraction(0), tail),
        )

    @staticmethod
    def _as_followed(check: Check, heard: TimedLine | None, sound: Sound) -> Check:
        """Return a doubtful verdict with its words as far as they could be followed: a person may accept it anyway."""
        tail = None if heard is None else max(Fraction(0), sound.seconds - heard.end)
        return replace(check, heard=heard, tail=tail)

    @staticmethod
    def _is_same_reading(sync: Sync | None, clip: Clip, sound: Sound) -> bool:
        """True where a clip's sound is surely its recording, in whatever voice."""
        from timing.sound.levels import sound_regions

        if sync is None or sync.likeness < SURE_LIKENESS or clip.speech < LEAST_ALIKE:
            return False
        sounding = sum((end - start for start, end in sound_regions(sound)), Fraction(0))
        return clip.speech >= LEAST_SHARE * sounding

    def _known(self, clip: Clip) -> frozenset[int]:
        """Return the words of a clip that its own recording lacks, has differently, or says unclearly itself."""
        line, (first, last) = self.plan.line(clip.line), clip.words
        wrong = {i for f in line.findings if f.code in OF_WORDS for i in f.facts.get("words", ())}
        wrong |= {i for i, word in enumerate(line.words) if word.confidence is not None and word.confidence < UNCLEAR}
        return frozenset(i - first for i in wrong if first <= i < last)

    def _align(self, clip: Clip, sound: Sound) -> TimedLine | None:
        from timing.hearing.aligner import align_line

        utterance = clip_utterance(self.plan, clip)
        if not utterance.words:
            return None
        try:
            return align_line(sound, utterance, self.pronounce)
        except (RecordingError, ValueError):  # words pressed into a sound of others can end up without time
            return None

    def _by_words(self, sound: Sound, own: Clip | None = None, heard: TimedLine | None = None) -> Clip | None:
        """Return the clip whose words the sound holds, None where none fits well (or not better than ``own`` does)."""
        self.looked_around = True
        words = _texts(clip_utterance(self.plan, own)) if own else ()
        alike: list[tuple[float, Clip]] = []
        for clip in self.plan.clips:  # a recording of the line tells at once
            if clip.kind is LineKind.PICTURE or (own and clip.id == own.id):
                continue
            reference = self._reference(clip)
            sync = compare(reference, sound.samples) if reference is not None else None
            if sync is not None and self._is_same_reading(sync, clip, sound):
                alike.append((sync.likeness, clip))
        if alike:
            return max(alike, key=lambda found: found[0])[1]
        for clip in self.search.find(sound)[:MOST_TRIED]:
            if own and (clip.id == own.id or _texts(clip_utterance(self.plan, clip)) == words):
                continue
            other = self._align(clip, sound)
            if other is None or (other.confidence or 0) < WRONG_CONFIDENCE or _faulty(other) * 3 > len(other.words):
                continue
            if heard is None or _fit(other) > _fit(heard) + CLEARLY:
                return clip
        return None


def _without(finding: Finding, words: Collection[int]) -> Finding | None:
    """Return a finding about words as it is said of a clip, without ``words``; None where it names no other."""
    said = OF_WORDS.get(finding.code)
    if said is None:
        return finding
    pairs = zip(finding.facts["words"], finding.facts["texts"], strict=True)
    kept = {i: text for i, text in pairs if i not in words}
    named = ", ".join(f"“{bare(text)}”" for text in kept.values())
    facts = {"words": list(kept), "texts": list(kept.values())}
    return Finding(finding.code, f"{named}: {said}", facts) if kept else None


def _of_sound(finding: Finding) -> Finding:
    if finding.code != FindingCode.CLIPPED:
        return finding
    share = 100 * finding.facts["clipped_share"]
    return replace(finding, message=f"its sound is clipped ({share:.2f} % of samples at the limit); take another one")


def _faulty(line: TimedLine) -> int:
    """Return how many of a line's words are missing or said differently."""
    return len({i for f in line.findings for i in f.facts.get("words", ())})


def _is_clear(heard: TimedLine | None) -> bool:
    if heard is None or (heard.confidence or 0.0) < RIGHT_CONFIDENCE:
        return False
    return _faulty(heard) < DOUBTFUL_SHARE * len(heard.words) or _faulty(heard) < 2


def _fit(line: TimedLine) -> float:
    return (line.confidence or 0.0) * (1 - _faulty(line) / len(line.words))


def _texts(utterance: Utterance) -> tuple[str, ...]:
    return tuple(w.spoken.casefold() for w in utterance.words)


def _rate(value: Fraction) -> str:
    from timing.model.clock import FrameRate

    try:
        return str(FrameRate(value))
    except ValueError:
        return figure(value)
