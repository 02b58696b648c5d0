"""Converted voices beside the clips: which belongs to which take, and how it lies against that take's own sound.

In: the voices in clips/, the verdicts on the takes. Out: one :class:`ClipVoice` for each voice, with findings. A voice
is never a take: it is the best take's words (or the accepted one's) in another timbre, and is heard in its place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from timing.delivery.matching import FOLDER_NAME, ClipFile
from timing.delivery.verdict import Check
from timing.model import Finding, Plan, Voice
from timing.model.findings import FindingCode
from timing.plain.errors import RecordingError
from timing.plain.names import natural_key
from timing.plain.nearest import nearest
from timing.store.store import Kind, Store

if TYPE_CHECKING:
    from timing.delivery.conversion import Conversion

# Our own choice, on one half of converted recordings of people: conversions are alike by 0.85 and more and all their
# pieces agree; the same words read by somebody else are alike by 0.70 at most, in another rhythm 0.7 of them agree.
SAME_READING, SAME_PIECES = 0.75, 0.85
LATE_FRAMES = 1.0  # mouth and sound may be a frame apart (as for takes)
DRIFT_FRAMES, SURE_ERRORS = 0.5, 2.0  # from the first to the last sound; and twice its standard error
LONGER_S = Fraction(3, 20)  # what encoders add at the ends of a file is less


@dataclass(frozen=True, slots=True)
class ClipVoice:
    """One voice: of ``clip``, held against the take ``of`` (None: there is none)."""

    clip: str
    of: str | None
    voice: Voice


def check_voices(
    plan: Plan,
    folder: Path,
    voices: Sequence[ClipFile],
    checks: Sequence[Check],
    store: Store,
    listed: Mapping[str, str] | None = None,
) -> list[ClipVoice]:
    """Return every voice in the order of the clips; of several beside one clip the listed one, else the last, is used.

    ``listed`` are the files that a person named as voices, by clip id; one that is not there is a finding of its own.
    """
    by_clip: dict[str, list[ClipFile]] = {}
    for file in voices:
        if file.clip is not None:
            by_clip.setdefault(file.clip, []).append(file)
    found = []
    for clip in plan.clips:
        own = sorted(by_clip.get(clip.id, []), key=lambda file: natural_key(file.path.stem))  # "voice" before "voice 2"
        wish = (listed or {}).get(clip.id)
        if wish is not None and not any(file.name in (wish, f"{FOLDER_NAME}/{wish}") for file in own):
            found.append(_missing(clip.id, wish, folder))
        chosen = next((f for f in own if wish and f.name in (wish, f"{FOLDER_NAME}/{wish}")), own[-1] if own else None)
        takes = sorted((c for c in checks if c.clip == clip.id), key=lambda c: not c.is_best)
        for file in own:
            one = _held(plan, folder, file, takes, store)
            if len(own) > 1:
                one = _one_of_several(one, own, file is chosen, wish is not None)
            found.append(one)
    return found


def is_same_reading(found: Conversion) -> bool:
    """True for a conversion, False for the same words (or others) said again."""
    return found.likeness >= SAME_READING and found.agreed >= SAME_PIECES


def _missing(clip: str, name: str, folder: Path) -> ClipVoice:
    there = [p.name for p in (folder / FOLDER_NAME).iterdir()] if (folder / FOLDER_NAME).is_dir() else []
    near = next(iter(nearest(name, sorted(there))), None)
    advice = f"; did you mean {near}?" if near else ""
    message = f"{clip}: clips.toml names the voice “{name}”, which is not in {FOLDER_NAME}{advice}"
    return ClipVoice(clip, None, Voice(name, findings=(Finding(FindingCode.VOICE_ALONE, message, {"clip": clip}),)))


def _one_of_several(one: ClipVoice, own: Sequence[ClipFile], is_chosen: bool, is_said: bool) -> ClipVoice:
    voice = one.voice if is_chosen else replace(one.voice, is_used=False)
    if is_chosen and not is_said:
        names = ", ".join(_short(file.name) for file in own)
        message = (
            f"{one.clip} has {len(own)} converted voices, {names}: {_short(voice.file)} is taken; to take another one "
            f'write voice = "{_short(own[0].name)}" under its clip in clips.toml'
        )
        several = Finding(FindingCode.VOICES_SEVERAL, message, {"clip": one.clip})
        voice = replace(voice, findings=(several, *voice.findings))
    return replace(one, voice=voice)


def _held(plan: Plan, folder: Path, file: ClipFile, takes: Sequence[Check], store: Store) -> ClipVoice:
    """Return a voice held against the take that counts; where it is another one's, that is said."""
    clip, plain = file.clip or "", Voice(file.name)

    def told(code: FindingCode, message: str, of: str | None = None) -> ClipVoice:
        finding = Finding(code, f"{_short(file.name)}: {message}", {"clip": clip, "file": file.name})
        return ClipVoice(clip, of, replace(plain, findings=(finding,)))

    if not takes:
        return told(FindingCode.VOICE_ALONE, f"no take of {clip} is in {FOLDER_NAME}, so it is held against nothing")
    for take in takes:
        try:
            compared, longer = _compared(folder, file, take, store)
        except RecordingError as error:
            if error.path is not None and Path(error.path).name == file.path.name:
                return told(FindingCode.UNREADABLE, error.message, takes[0].file)
            continue
        if compared is None or not is_same_reading(compared):
            continue
        if take is not takes[0]:
            message = f"is the voice of {_short(take.file)}, and {_short(takes[0].file)} is the take that counts"
            return told(FindingCode.VOICE_OTHER_READING, message, take.file)
        voice = Voice(
            file.name, Fraction(round(compared.delay_s * 1_000_000), 1_000_000), compared.drift,
            round(compared.likeness, 3), True,
        )  # fmt: skip
        return ClipVoice(clip, take.file, replace(voice, findings=tuple(_findings(plan, voice, compared, longer))))
    message = (
        f"is another reading of the line than {_short(takes[0].file)}, no conversion of it, so it is not used; "
        "convert the take itself, or name this file as a take"
    )
    return told(FindingCode.VOICE_OTHER_READING, message, takes[0].file)


Compared = tuple["Conversion | None", Fraction]


def _compared(folder: Path, file: ClipFile, take: Check, store: Store) -> Compared:
    """Return how a voice lies against a take, and by how many seconds it is longer; raises RecordingError."""
    from timing.delivery.conversion import RATE_HZ, Conversion, convert_of
    from timing.sound.decode import read_audio

    def make() -> Compared:
        own, voice = read_audio(folder / take.file, RATE_HZ), read_audio(file.path, RATE_HZ)
        return convert_of(own.samples, voice.samples), voice.seconds - own.seconds

    def plain(compared: Compared) -> object:
        found, longer = compared
        return [None if found is None else [getattr(found, name) for name in Conversion.__slots__], str(longer)]

    def again(kept: object) -> Compared:
        found, longer = kept if isinstance(kept, list) else (None, "")
        return None if found is None else Conversion(*found), Fraction(longer)

    kind: Kind[Compared] = Kind("voice", 3, plain, again)
    return store.made(kind, (take.content, file.content), make) if take.content and file.content else make()


def _findings(plan: Plan, voice: Voice, compared: Conversion, longer: Fraction) -> list[Finding]:
    """Return what is wrong with a voice that is the same reading."""
    frames, name, found = float(plan.rate.fps), _short(voice.file), []
    facts = {"file": voice.file}
    if abs(longer) > LONGER_S:
        how = "longer" if longer > 0 else "shorter"
        message = f"{name}: is {abs(float(longer)):.2f} s {how} than the clip it was made from; see what is lacking"
        message = message if longer < 0 else message.replace("see what is lacking", "see what was added")
        found.append(Finding(FindingCode.VOICE_LENGTH, message, {**facts, "seconds": round(float(longer), 3)}))
    drift, error = compared.drift or 0.0, compared.drift_error or 0.0
    moved = drift * (compared.last_s - compared.first_s) * frames
    if abs(moved) >= DRIFT_FRAMES and abs(drift) >= SURE_ERRORS * error:
        how = "slow" if drift > 0 else "fast"
        message = (
            f"{name}: drifts, it runs {abs(drift) * 100:.2f} % {how} against its clip, "
            f"{abs(moved):.1f} frames from first to last sound; convert it again at the clip's own speed"
        )
        found.append(Finding(FindingCode.VOICE_DRIFT, message, {**facts, "drift": round(drift, 5)}))
    shift = (compared.delay_s + drift * compared.first_s) * frames
    if abs(shift) >= LATE_FRAMES:
        what = "late" if shift > 0 else "early"
        message = (
            f"{name}: is {abs(shift):.1f} frames {what} against its clip; the timeline written here has it slipped back"
        )
        found.append(Finding(FindingCode.VOICE_SHIFT, message, {**facts, "frames": round(shift, 2)}))
    return found


def _short(name: str) -> str:
    return name.removeprefix(f"{FOLDER_NAME}/")
