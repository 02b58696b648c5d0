"""A timeline of OpenTimelineIO (.otio), read from its JSON.

In: the text of the file. Out: its events. Schema names with any version are understood: Timeline, Stack, Track (and its
old name Sequence), Clip (one reference or several), Gap (Filler), Transition; a source range trims whatever carries it.
Tracks of a stack lie over one another, the later on top; what is disabled is a gap. A LinearTimeWarp, a held frame and
any other effect on time leave their clip without words, and are findings.

Source: OpenTimelineIO documentation, "File Format Specification" and "Serialized Data"; time ranges as
"Time Ranges" there describes them.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any
from urllib.parse import unquote, urlsplit

from timing.cut.listed import MOST_EVENTS, CutList, Listed
from timing.model import Finding, Where
from timing.model.clock import FrameRate, Seconds
from timing.model.findings import FindingCode
from timing.plain.errors import InputError

DEEPEST = 40  # compositions within compositions; people nest two or three
MOST_SECONDS = 10**6
_NTSC = (24000, 30000, 48000, 60000, 120000)
_TIME_EFFECTS = ("LinearTimeWarp", "FreezeFrame", "TimeEffect")
_PLAIN_EFFECTS = ("Effect",)

Json = Mapping[str, Any]
Range = tuple[Seconds, Seconds]  # start, length


def read_timeline(text: str, path: str, rates: Sequence[FrameRate]) -> CutList:
    """Return the cut; ``rates`` are the episode's own and its delivery rate. Raises InputError."""
    try:
        top = json.loads(text)
    except (ValueError, RecursionError) as problem:
        raise InputError(f"is no timeline: its JSON cannot be read ({problem})", path) from None
    reader = _Reader(path)
    timeline = reader.timeline(top)
    events = reader.stack(timeline)
    if not events:
        trimmed = ", or its tracks are trimmed to where none of them is" * bool(reader.count)
        raise InputError(f"holds no clip that is on{trimmed}", path)
    length = reader.length(timeline, 0)
    rate = reader.rate(rates[0])
    found = [*reader.findings]
    if not any(rate.fps == own.fps for own in rates):
        message = f"counts {rate} frames a second; the episode has {rates[0]}"
        facts = {"rate": rate.name, "episode": rates[0].name}
        found.insert(0, Finding(FindingCode.CUT_RATE, message, facts, Where(path)))
    return CutList(path, rate, tuple(events), length, tuple(found))


@dataclass
class _Reader:
    path: str
    findings: list[Finding] = field(default_factory=list)
    count: int = 0
    counted: Counter[Fraction] = field(default_factory=Counter)

    # --- plain values ----------------------------------------------------------------------------------

    def wrong(self, message: str) -> InputError:
        return InputError(message, self.path)

    def schema(self, value: Any) -> str:
        if not isinstance(value, dict) or not isinstance(value.get("OTIO_SCHEMA"), str):
            raise self.wrong("is no timeline of OpenTimelineIO: an object in it has no OTIO_SCHEMA")
        name: str = value["OTIO_SCHEMA"].split(".")[0]
        return {"Sequence": "Track", "Filler": "Gap"}.get(name, name)

    def objects(self, value: Any, what: str) -> list[Any]:
        if value is None:
            return []
        if not isinstance(value, list):
            raise self.wrong(f"{what} is no list")
        return value

    def time(self, value: Any) -> tuple[Seconds, Fraction]:
        """Return a RationalTime as exact seconds, and its rate."""
        count, fps = (self.number(value.get(key) if isinstance(value, dict) else None) for key in ("value", "rate"))
        if not (abs(count) < 10**12 and 0 < fps <= 10**9):  # a sound may count in samples; NaN is neither
            raise self.wrong("a time in it is far too long, or its rate is none")
        rate = _exact_rate(fps)
        seconds = Fraction(count).limit_denominator(10**6) / rate
        if abs(seconds) > MOST_SECONDS:
            raise self.wrong(f"a time in it is {float(seconds):,.0f} s; it cannot be right")
        return seconds, rate

    def number(self, value: Any) -> int | float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.wrong("a time in it has no value and rate")
        return value

    def range(self, value: Any) -> Range | None:
        """Return a TimeRange as (start, length) in seconds, None where there is none."""
        if value is None:
            return None
        if not isinstance(value, dict):
            raise self.wrong("a range in it is none")
        start, _ = self.time(value.get("start_time"))
        length, _ = self.time(value.get("duration"))
        if length < 0:
            raise self.wrong("a range in it is shorter than nothing")
        return start, length

    def name(self, item: Json) -> str:
        name = item.get("name")
        return name if isinstance(name, str) else ""

    # --- structure -------------------------------------------------------------------------------------

    def timeline(self, top: Any) -> Json:
        """Return the stack of the timeline in the file, which may lie in a collection."""
        schema = self.schema(top)
        if schema == "SerializableCollection":
            held = [one for one in self.objects(top.get("children"), "children") if self.schema(one) == "Timeline"]
            if len(held) != 1:
                raise self.wrong(f"holds {len(held)} timelines; export the one that is the cut")
            return self.timeline(held[0])
        if schema == "Timeline":
            stack: Json = top.get("tracks")
            if self.schema(stack) != "Stack":
                raise self.wrong("its tracks are no stack")
            return stack
        if schema == "Stack":
            stack = top
            return stack
        if schema == "Track":
            return {"OTIO_SCHEMA": "Stack.1", "children": [top]}
        raise self.wrong(f"begins with {schema or 'nothing'}, not with a timeline")

    def length(self, item: Any, depth: int) -> Seconds:
        """Return how long an item lasts, in its parent."""
        if depth > DEEPEST:
            raise self.wrong(f"nests more than {DEEPEST} compositions in one another")
        schema = self.schema(item)
        if schema == "Transition":
            return Fraction(0)
        if trimmed := self.range(item.get("source_range")):
            return trimmed[1]
        if schema in ("Stack", "Track"):
            lengths = [self.length(child, depth + 1) for child in self.objects(item.get("children"), "children")]
            return max(lengths, default=Fraction(0)) if schema == "Stack" else sum(lengths, Fraction(0))
        if schema == "Timeline":
            return self.length(self.timeline(item), depth + 1)
        if schema == "Clip" and (available := self.range((self.reference(item) or {}).get("available_range"))):
            return available[1]
        raise self.wrong(f"“{self.name(item) or schema}” has no length: neither a source range nor an available one")

    def reference(self, clip: Json) -> Json | None:
        """Return the media that a clip uses."""
        if clip.get("media_references") is not None:
            held = clip["media_references"]
            key = clip.get("active_media_reference_key", "DEFAULT_MEDIA")
            found = held.get(key) if isinstance(held, dict) and isinstance(key, str) else None
        else:
            found = clip.get("media_reference")
        return found if isinstance(found, dict) else None

    def stack(self, stack: Json) -> list[Listed]:
        """Return the events of the outermost stack: its tracks from below, each from the start of the cut."""
        window = self.range(stack.get("source_range"))
        found: list[Listed] = []
        layer = 0
        for number, child in enumerate(self.objects(stack.get("children"), "children"), 1):
            if child.get("enabled") is False if isinstance(child, dict) else False:
                continue
            is_track = self.schema(child) == "Track"
            is_sound = is_track and child.get("kind") == "Audio"
            place = self.name(child) or f"track {number}"
            own = list(self.items(child, place, is_sound, 0))
            found += [replace(event, layer=event.layer + layer) for event in own]
            layer += 0 if is_sound else 1 + max((event.layer for event in own), default=0)
        if window is None:
            window = Fraction(0), self.length(stack, 0)
        return [e for event in found if (e := _trimmed(event, window)) is not None]

    def items(self, item: Any, place: str, is_sound: bool, depth: int) -> Iterator[Listed]:
        """Yield the events of an item, from its own start in its parent."""
        if depth > DEEPEST:
            raise self.wrong(f"nests more than {DEEPEST} compositions in one another")
        schema = self.schema(item)
        if item.get("enabled") is False or schema in ("Gap", "Transition"):
            return
        if schema == "Clip":
            yield self.clip(item, place, is_sound)
            return
        if schema == "Timeline":
            yield from self.items(self.timeline(item), place, is_sound, depth + 1)
            return
        if schema not in ("Stack", "Track"):
            raise self.wrong(f"“{schema}” in {place} is not known")
        speed = self.speed(item, place)
        own = self.tracks(item, place, is_sound, depth) if schema == "Stack" else self.row(item, place, is_sound, depth)
        window = self.range(item.get("source_range"))
        for event in own:
            if (cut := _trimmed(event, window)) is not None:
                yield cut if speed == 1 else replace(cut, speed=speed)

    def tracks(self, stack: Json, place: str, is_sound: bool, depth: int) -> Iterator[Listed]:
        for layer, child in enumerate(self.objects(stack.get("children"), "children")):
            sound = is_sound or (isinstance(child, dict) and child.get("kind") == "Audio")
            for event in self.items(child, place, sound, depth + 1):
                yield replace(event, layer=event.layer + layer)

    def row(self, track: Json, place: str, is_sound: bool, depth: int) -> Iterator[Listed]:
        """Yield the events of a track; a transition lets the one before go on and the one after begin earlier."""
        children = self.objects(track.get("children"), "children")
        at = Fraction(0)
        for n, child in enumerate(children):
            length = self.length(child, depth + 1)
            before = self.transition(children[n - 1]) if n else None
            after = self.transition(children[n + 1]) if n + 1 < len(children) else None
            for number, event in enumerate(self.items(child, f"{place}, item {n + 1}", is_sound, depth + 1)):
                moved = replace(event, start=event.start + at, end=event.end + at)
                if before and not number:
                    moved = replace(moved, start=moved.start - before[0], source=moved.source - before[0])
                if after and event.end == length:
                    moved = replace(moved, end=moved.end + after[1])
                yield moved
            at += length

    def transition(self, item: Any) -> Range | None:
        """Return (how far it begins before the cut, how far it goes on after it), None for anything else."""
        if self.schema(item) != "Transition":
            return None
        lengths = (self.time(item[key])[0] if item.get(key) else Fraction(0) for key in ("in_offset", "out_offset"))
        begins, goes_on = lengths
        return max(Fraction(0), begins), max(Fraction(0), goes_on)

    def clip(self, clip: Json, place: str, is_sound: bool) -> Listed:
        self.count += 1
        if self.count > MOST_EVENTS:
            raise self.wrong(f"has more than {MOST_EVENTS:,} clips")
        media = self.reference(clip) or {}
        available = self.range(media.get("available_range"))
        window = self.range(clip.get("source_range")) or available
        if window is None:
            self.length(clip, 0)  # which says so
            raise self.wrong(f"“{self.name(clip)}” has no length")
        if not is_sound:
            self.counted[self.time((clip.get("source_range") or media["available_range"]).get("duration"))[1]] += 1
        own = clip.get("metadata")
        ours = own.get("timing") if isinstance(own, dict) else None
        ours = ours if isinstance(ours, dict) else {}
        names = (_file_name(media.get("target_url")), self.name(clip), self.name(media))
        speed = self.speed(clip, f"{place}, {names[1] or names[0]}")
        return Listed(
            tuple(dict.fromkeys(name for name in names if name)) or (place,),
            Fraction(0), window[1], window[0], place, not is_sound, is_sound, 0, speed,
            available[0] if available else None, _text(ours.get("clip")), _text(ours.get("line")),
        )  # fmt: skip

    def rate(self, usual: FrameRate) -> FrameRate:
        """Return the rate that most lengths of pictures count in; ``usual`` where they count in no picture rate."""
        for fps, _ in self.counted.most_common():
            try:
                return FrameRate(fps)
            except ValueError:
                continue
        return usual

    def speed(self, item: Json, place: str) -> Fraction:
        """Return how fast an item runs; anything but 1 is said."""
        speed = Fraction(1)
        for effect in self.objects(item.get("effects"), "effects"):
            schema = self.schema(effect)
            if effect.get("enabled") is False or schema in _PLAIN_EFFECTS:
                continue
            if schema == "FreezeFrame":
                speed = Fraction(0)
            elif schema == "LinearTimeWarp":
                scalar = effect.get("time_scalar", 1)
                if isinstance(scalar, bool) or not isinstance(scalar, int | float) or not abs(scalar) < 10**6:
                    raise self.wrong(f"{place}: a change of speed in it is no number")
                speed *= Fraction(scalar).limit_denominator(10**6)
            else:
                speed = Fraction(-1) if speed == 1 else speed  # some other change of time
        if speed != 1:
            known = speed >= 0 and not any(
                self.schema(e) not in (*_TIME_EFFECTS[:2], *_PLAIN_EFFECTS)
                for e in self.objects(item.get("effects"), "effects")
            )
            how = (
                "holds one frame"
                if speed == 0
                else f"runs at {float(100 * speed):.0f} %"
                if known
                else "has its time changed"
            )
            message = f"{place}: {how}; speed changes are not followed, so its words have no place in the cut"
            facts = {"name": self.name(item), "speed": round(float(speed), 4)}
            self.findings.append(Finding(FindingCode.CUT_SPEED, message, facts, Where(self.path)))
        return speed


def _exact_rate(fps: float) -> Fraction:
    """Return the exact rate that a decimal stands for: 23.976 and 23.976023976 are 24000/1001."""
    near = Fraction(fps).limit_denominator(1)
    for top in _NTSC:
        if abs(fps - top / 1001) < 0.005:
            return Fraction(top, 1001)
    return near if abs(fps - near) < 1e-6 and near else Fraction(fps).limit_denominator(10**4)


def _trimmed(event: Listed, window: Range | None) -> Listed | None:
    """Return an event as it is seen through a window of its parent, on a clock that begins with the window."""
    if window is None:
        return event
    first, last = window[0], window[0] + window[1]
    start, end = max(event.start, first), min(event.end, last)  # a transition may reach out of its track
    if start >= end:
        return None
    return replace(event, start=start - first, end=end - first, source=event.source + start - event.start)


def _file_name(url: Any) -> str:
    """Return the name of the file that a URL or a path leads to, "" where there is none."""
    if not isinstance(url, str) or len(url) > 4000:
        return ""
    try:
        path = urlsplit(url).path if "://" in url else url
    except ValueError:
        path = url
    return unquote(path).replace("\\", "/").rstrip("/").rpartition("/")[2]


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) and value else None
