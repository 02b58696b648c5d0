"""episode.otio: the cut for OpenTimelineIO, written as its JSON.

Schema names and versions are those that library 0.18 writes (Timeline.1, Stack.1, Track.1, Clip.2, Gap.1, Marker.2,
MissingReference.1, ExternalReference.1, RationalTime.1, TimeRange.1); the tests open the file with the library.
Markers: words and findings on the clips (in the clip's own time), bars and scenes on the whole stack.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path, PurePosixPath
from typing import Any

from timing.export.cutting import Event, cut_tracks
from timing.export.delivery import Target, at_each_rate
from timing.model import LineKind, Media, Passage, Plan, Sounding
from timing.model.clock import round_half_up
from timing.plain.json_text import json_bytes

Json = dict[str, Any]


def episode_otio(plan: Plan, folder: Path) -> dict[str, bytes]:
    """Return {"episode.otio": bytes}, and the same at the delivery rate."""
    return at_each_rate(plan, "episode.otio", _otio)


def _otio(plan: Plan, target: Target) -> bytes:
    tracks = [
        _track(f"Picture {n}" if n > 1 else "Picture", "Video", _children(plan, track, target))
        for n, track in enumerate(cut_tracks(plan, target), 1)
    ]
    tracks += [
        _track(f"Scratch {n}" if n > 1 else "Scratch", "Audio", children)
        for n, children in enumerate(_takes(plan, target), 1)
    ]
    tracks += [_track(f"Song {song.id}", "Audio", _song(song, target)) for song in plan.songs if song.file]
    stack = _composition("Stack.1", "tracks", tracks) | {"markers": _stack_markers(plan, target)}
    timeline = {
        "OTIO_SCHEMA": "Timeline.1",
        "name": plan.title,
        "global_start_time": _time(0, target),
        "metadata": {"timing": {"rate": target.rate.name, "drop_frame": target.rate.drop_frame}},
        "tracks": stack,
    }
    return json_bytes(timeline, indent=2, sort_keys=True)


# --- schema objects --------------------------------------------------------------------------------------


def _time(frames: int, target: Target) -> Json:
    return _at(frames, target.rate.fps)


def _at(frames: int, fps: Fraction) -> Json:
    return {"OTIO_SCHEMA": "RationalTime.1", "rate": float(fps), "value": float(frames)}


def _range(start: int, length: int, target: Target) -> Json:
    return {
        "OTIO_SCHEMA": "TimeRange.1",
        "start_time": _time(start, target),
        "duration": _time(length, target),
    }


def _composition(schema: str, name: str, children: list[Json]) -> Json:
    return {
        "OTIO_SCHEMA": schema,
        "name": name,
        "children": children,
        "effects": [],
        "enabled": True,
        "markers": [],
        "metadata": {},
        "source_range": None,
    }


def _track(name: str, kind: str, children: list[Json]) -> Json:
    return _composition("Track.1", name, children) | {"kind": kind}


def _item(schema: str, name: str, source_range: Json, metadata: Json | None = None) -> Json:
    return {
        "OTIO_SCHEMA": schema,
        "name": name,
        "source_range": source_range,
        "effects": [],
        "enabled": True,
        "markers": [],
        "metadata": {"timing": metadata} if metadata else {},
    }


def _gap(length: int, target: Target) -> Json:
    return _item("Gap.1", "", _range(0, length, target))


def _clip(name: str, source_range: Json, reference: Json, metadata: Json, markers: list[Json]) -> Json:
    return _item("Clip.2", name, source_range, metadata) | {
        "active_media_reference_key": "DEFAULT_MEDIA",
        "media_references": {"DEFAULT_MEDIA": reference},
        "markers": markers,
    }


def _reference(url: str | None, name: str, available: Json | None) -> Json:
    found: Json = {
        "OTIO_SCHEMA": "ExternalReference.1" if url else "MissingReference.1",
        "name": name,
        "available_range": available,
        "available_image_bounds": None,
        "metadata": {},
    }
    return found | ({"target_url": url} if url else {})


def _marker(name: str, start: int, length: int, target: Target, colour: str, comment: str = "") -> Json:
    return {
        "OTIO_SCHEMA": "Marker.2",
        "name": name,
        "marked_range": _range(start, length, target),
        "color": colour,
        "comment": comment,
        "metadata": {},
    }


# --- contents --------------------------------------------------------------------------------------------


def _children(plan: Plan, events: list[Event], target: Target) -> list[Json]:
    children, at = [], 0
    for event in events:
        if event.start > at:
            children.append(_gap(event.start - at, target))
        children.append(_picture(plan, event, target))
        at = event.end
    return children


def _picture(plan: Plan, event: Event, target: Target) -> Json:
    clip = event.clip
    metadata: Json = {
        "clip": clip.id,
        "kind": clip.kind.value,
        "lines": list(clip.lines),
        "part": list(clip.part),
        "speaker": clip.speaker,
        "text": clip.text,
        "ask_s": None if clip.ask is None else float(clip.ask),
        "takes": clip.takes,
    }
    shift = event.source - event.start  # from the episode's frames to the clip's own
    markers = [_marker("finding", event.source, 0, target, "RED", f.message) for f in clip.findings]
    for line_id in clip.lines:
        line = plan.line(line_id)
        words = line.words[clip.words[0] : clip.words[1]] if line_id == clip.line else line.words
        for word in words:
            start = max(event.start, target.frame_at(word.start))
            end = min(event.end, max(start + 1, target.frame_at(word.end)))
            if start < end:
                markers.append(_marker(word.text, start + shift, end - start, target, "GREEN", line_id))
        if clip.part[0] == 1:
            markers += [_marker("finding", event.source, 0, target, "RED", f.message) for f in line.findings]
    if event.back is None:
        reference = _reference(None, clip.id, _range(0, event.available, target))
        return _clip(clip.id, _range(event.source, event.length, target), reference, metadata, markers)
    media = event.back.media
    for marker in markers:
        marker["marked_range"] = _in_file(media, marker["marked_range"], target)
    source = _in_file(media, _range(event.source, event.length, target), target)
    reference = _reference(_url(event.back.file, target), PurePosixPath(event.back.file).name, _available(media))
    return _clip(clip.id, source, reference, metadata, markers)


def _in_file(media: Media | None, of_file: Json, target: Target) -> Json:
    """Return a range of a file, counted from its first frame at the target's rate, as the file itself counts.

    It begins on the file's own code and rate, on a frame of its own; it lasts what the cut has room for.
    """
    if media is None or media.rate is None:
        return of_file
    begin = Fraction(of_file["start_time"]["value"]) / target.rate.fps
    first = round_half_up(begin * media.rate) + round_half_up((media.starts or 0) * media.rate)
    return of_file | {"start_time": _at(first, media.rate)}


def _available(media: Media | None) -> Json | None:
    """Return all that a file has, in its own rate and code; None where that is not known."""
    if media is None or media.rate is None or media.seconds is None:
        return None
    return {
        "OTIO_SCHEMA": "TimeRange.1",
        "start_time": _at(round_half_up((media.starts or 0) * media.rate), media.rate),
        "duration": _at(round_half_up(media.seconds * media.rate), media.rate),
    }


def _takes(plan: Plan, target: Target) -> list[list[Json]]:
    """Return the audio tracks of scratch takes and of clips that came back, each as gaps and clips."""
    tracks: list[list[tuple[int, int, Sounding]]] = []
    for one in sorted(plan.soundings(), key=lambda s: s.start):
        start, end = plan.rate.frame_at(one.start), plan.rate.frame_at(one.start + one.length)
        for track in tracks:
            if start >= track[-1][1]:
                track.append((start, end, one))
                break
        else:
            tracks.append([(start, end, one)])
    return [_take_children(plan, track, target) for track in tracks]


def _take_children(plan: Plan, track: list[tuple[int, int, Sounding]], target: Target) -> list[Json]:
    children, at = [], 0
    media_of = {back.file: back.media for back in plan.deliveries}
    for first, last, one in track:
        start, end = target.frame(first), target.frame(last)
        if end <= start:
            continue
        if start > at:
            children.append(_gap(start - at, target))
        media = media_of.get(one.file)
        source = _in_file(media, _range(target.rate.frame_at(one.file_start), end - start, target), target)
        reference = _reference(_url(one.file, target), PurePosixPath(one.file).name, _available(media))
        name = f"{one.line} {plan.line(one.line).speaker or ''}".strip()
        children.append(_clip(name, source, reference, {"line": one.line}, []))
        at = end
    return children


def _song(song: Any, target: Target) -> list[Json]:
    start, end = target.frame_at(song.start), target.frame_at(song.end)
    clip = _clip(song.id, _range(0, end - start, target), _reference(_url(song.file, target), song.id, None), {}, [])
    return [_gap(start, target), clip] if start > 0 else [clip]


def _url(path: str | None, target: Target) -> str | None:
    """Return a URL from the written file (in out/, or a folder below it) to a file of the episode folder."""
    from urllib.parse import quote

    return None if path is None else "../" * (1 + target.prefix.count("/")) + quote(path.replace("\\", "/"))


def _stack_markers(plan: Plan, target: Target) -> list[Json]:
    markers, scene = [], None
    for line in plan.lines:
        if line.scene and line.scene != scene:
            scene = line.scene
            markers.append(_marker(scene, target.frame(line.start_frame), 0, target, "BLUE"))
        if line.kind is LineKind.PICTURE:
            if line.passage is not Passage.PICTURE:
                first, last = target.frame(line.start_frame), target.frame(line.end_frame)
                markers.append(_marker(line.passage.value, first, last - first, target, "YELLOW", line.text))
            markers += [
                _marker("finding", target.frame(line.start_frame), 0, target, "RED", f.message) for f in line.findings
            ]
    for song in plan.songs:
        for bar, moment in enumerate(song.downbeats, 1):
            markers.append(_marker(f"bar {bar}", target.frame_at(moment), 0, target, "CYAN", song.id))
    return markers
