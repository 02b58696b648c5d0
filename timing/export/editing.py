"""episode.edl and markers.csv: the cut as an edit decision list in the CMX 3600 style, and a list of markers.

EDL: fixed-width fields, OUT exclusive, source and record lengths equal. The format states no frame rate, so a
comment does. It knows one picture track; clips that sound together go into a second file.
Sources: SMPTE ST 258 in scope; layout as published in an edit-controller manual's sample and read by the
OpenTimelineIO project's EDL adapter.
"""

from __future__ import annotations

import csv
import io
import re
from fractions import Fraction
from pathlib import Path, PurePosixPath

from timing.export.cutting import Event, cut_tracks
from timing.export.delivery import Target, at_each_rate, targets
from timing.model import LineKind, Media, Passage, Plan
from timing.model.clock import FrameRate
from timing.plain.csv_text import harmless

REEL_CHARACTERS = 8


def episode_edl(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"episode.edl": bytes}, further tracks as episode-2.edl, and the same at the delivery rate."""
    files = {}
    for target in targets(plan):
        for number, track in enumerate(cut_tracks(plan, target), 1):
            name = "episode.edl" if number == 1 else f"episode-{number}.edl"
            files[target.prefix + name] = _edl(plan, target, track, number)
    return files


def reel_name(clip_id: str) -> str:
    """Return a clip's reel name: eight characters, no points.

    >>> reel_name("C05.1")
    'C05_1'
    """
    return re.sub(r"[^A-Za-z0-9]", "_", clip_id)[:REEL_CHARACTERS]


def _edl(plan: Plan, target: Target, track: list[Event], number: int) -> bytes:
    rate = target.rate
    title = _ascii(plan.title) + (f" {number}" if number > 1 else "")
    out = [f"TITLE: {title[:70]}", f"FCM: {'DROP FRAME' if rate.drop_frame else 'NON-DROP FRAME'}"]
    at = 0
    events: list[tuple[str, int, int, int, Event | None]] = []
    for event in track:
        if event.start > at:
            events.append(("BL", 0, at, event.start, None))
        events.append((reel_name(event.clip.id), event.source, event.start, event.end, event))
        at = event.end
    for index, (reel, source, start, end, shown) in enumerate(events, 1):
        media = shown.back.media if shown and shown.back else None
        begins = source + _first_code(media, rate)
        codes = [begins, begins + end - start, start, end]
        times = " ".join(rate.timecode(frame) for frame in codes)
        out.append(f"{index:03d}  {reel:<8} V     C        {times}")
        if shown:
            name = PurePosixPath(shown.back.file).name if shown.back else shown.clip.id
            out.append(f"* FROM CLIP NAME: {_ascii(name)}")
            if media and media.rate is not None and media.rate != rate.fps:
                out += _own_rate(media, media.rate, Fraction(source) / rate.fps)
            if shown.clip.speaker:
                out.append(f"* SPEAKER: {_ascii(shown.clip.speaker)}")
        if index == 1:  # readers take comments after an event only
            out.append(f"* RATE: {rate} FRAMES A SECOND")
    return ("\r\n".join(out) + "\r\n").encode("ascii")


def _first_code(media: Media | None, rate: FrameRate) -> int:
    """Return the frame that a file's own first time code names in a list of this rate; 0 where it carries none."""
    if media is None or media.starts is None or media.rate is None:
        return 0
    if media.rate == rate.fps:
        return rate.frame_at(media.starts)
    try:
        counted = FrameRate(media.rate)
        code = counted.timecode(counted.frame_at(media.starts))
        seconds, _, frames = code.rpartition(":")
        scaled = int(frames) * rate.nominal // counted.nominal
        return rate.frame_of(f"{seconds}:{scaled:02d}")
    except ValueError:
        return 0


def _own_rate(media: Media, fps: Fraction, source: Fraction) -> list[str]:
    """Return comments for a clip of another rate: a cut list has one rate for all its codes."""
    try:
        own = FrameRate(fps)
    except ValueError:
        return []
    first = own.timecode(own.frame_at(source) + own.frame_at(media.starts or Fraction(0)))
    return [f"* SOURCE RATE: {own} FRAMES A SECOND, SOURCE IN AT THAT RATE: {first}"]


# Signs that plain ASCII has in another shape; letters that no accent makes.
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("‘’‚‛′", "'"), **dict.fromkeys("“”„‟″«»", '"'), **dict.fromkeys("‐‑‒–—―−", "-"), "×": "x",
        "ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "đ": "d",
        "Đ": "D", "ð": "d", "þ": "th", "ı": "i", "¿": "", "¡": "",
    }
)  # fmt: skip


def _ascii(text: str) -> str:
    """Return text in plain ASCII, as the format wants: accents off, quotes straight, what it has not as underscores.

    >>> _ascii("“Où va la mer?” – Bÿe…")
    '"Ou va la mer?" - Bye...'
    """
    import unicodedata

    plain = unicodedata.normalize("NFKD", text.translate(_PLAIN))
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join("".join(c if c.isascii() else "_" for c in plain).split()) or "UNTITLED"


def markers_csv(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"markers.csv": bytes}: all that has a place, by frame (from 0) and time code."""
    return at_each_rate(plan, "markers.csv", _markers)


def _markers(plan: Plan, target: Target) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["frame", "timecode", "seconds", "frames_long", "kind", "name", "text"])
    for start, end, kind, name, text in sorted(_marked(plan, target), key=lambda m: (m[0], _ORDER.index(m[2]), m[3])):
        seconds = f"{float(target.seconds(start)):.3f}"
        cells = [start, target.rate.timecode(start), seconds, end - start, kind, name, text]
        writer.writerow([harmless(cell) for cell in cells])
    return ("\ufeff" + out.getvalue()).encode()


_ORDER = ("scene", "clip", "line", "wait", "sound", "word", "bar", "finding")


def _marked(plan: Plan, target: Target) -> list[tuple[int, int, str, str, str]]:
    found: list[tuple[int, int, str, str, str]] = []
    scene = None
    for clip in plan.clips:
        found.append((target.frame(clip.start_frame), target.frame(clip.end_frame), "clip", clip.id, clip.text))
        found += [_finding_row(target.frame(clip.start_frame), clip.id, f.message) for f in clip.findings]
    for line in plan.lines:
        start, end = target.frame(line.start_frame), target.frame(line.end_frame)
        if line.scene and line.scene != scene:
            scene = line.scene
            found.append((start, start, "scene", "", scene))
        if line.kind is LineKind.PICTURE and line.passage is not Passage.PICTURE:
            name = f"{line.id} {line.speaker or ''}".strip()
            found.append((start, end, line.passage.value, name, line.text))
        else:
            kind = "picture" if line.kind is LineKind.PICTURE else line.speaker or ""
            found.append((start, end, "line", f"{line.id} {kind}".strip(), line.text))
        for word in line.words:
            first, last = target.frame_at(word.start), target.frame_at(word.end)
            found.append((first, max(last, first + 1), "word", line.id, word.text))
        found += [_finding_row(start, line.id, f.message) for f in line.findings]
    for song in plan.songs:
        for bar, moment in enumerate(song.downbeats, 1):
            frame = target.frame_at(moment)
            found.append((frame, frame, "bar", f"{song.id} {bar}", ""))
    return found


def _finding_row(frame: int, name: str, message: str) -> tuple[int, int, str, str, str]:
    return (frame, frame, "finding", name, message)
