"""Cut lists and timelines of other people, read by us and by a general library.

    python tests/bench/bench_cut.py FOLDER [FOLDER ...] [--rate 24]

FOLDER holds .edl and .otio files, for example the folders ``tests/sample_data`` in the source packages of
OpenTimelineIO and otio-cmx3600-adapter on PyPI (both Apache License 2.0). Each file is read, refused with a reason, or
wrong: wrong is what the library reads and places otherwise, clip by clip, in frames. Not held against it are clips
beside a transition (the library takes their overlap away, we keep it), clips of changed speed, and files that the
library cannot read at all; those are listed. What is refused is listed with its reason, for a person to judge.
"""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

import opentimelineio as otio

from timing.cut.listed import CutList
from timing.cut.read import read_cut
from timing.model.clock import FrameRate
from timing.plain.errors import InputError

Row = tuple[float, float, float]  # start in the cut, length, start in the source; in frames


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--rate", default="24", help="the episode's frames a second")
    given = parser.parse_args()
    counts: Counter[str] = Counter()
    for path in sorted(p for folder in given.folders for p in folder.iterdir() if p.suffix in (".edl", ".otio")):
        verdict, told = judge(path, FrameRate.parse(given.rate))
        counts[verdict] += 1
        print(f"{verdict:8} {path.name}: {told}")
    print(", ".join(f"{count} {verdict}" for verdict, count in sorted(counts.items())), f"of {counts.total()}")


def judge(path: Path, rate: FrameRate) -> tuple[str, str]:
    try:
        ours = read_cut(path, [rate])
    except InputError as problem:
        return "refused", problem.message
    told = f"{len(ours.events)} events at {ours.rate}" + "".join(f"; {f.code.value}" for f in ours.findings[:3])
    try:
        options = {"rate": float(ours.rate.fps)} if path.suffix == ".edl" else {}
        theirs = otio.adapters.read_from_file(str(path), **options)
        if not isinstance(theirs, otio.schema.Timeline):
            return "read", f"{told} (the library has no timeline here)"
        expected = library_rows(theirs, ours)
    except Exception as problem:
        return "read", f"{told} (the library refuses it: {type(problem).__name__})"
    mine = Counter(our_rows(ours))
    missing = [row for row in dict.fromkeys(expected) if not mine[row]]
    if missing:
        return "wrong", f"{told}; the library has {missing[0]}, {len(missing)} of {len(expected)} clips"
    return "read", f"{told}; {len(expected)} clips as the library has them"


def our_rows(cut: CutList) -> list[Row]:
    seen = [event for event in cut.events if event.is_seen or event.is_heard]
    return [(_frames(cut, e.start), _frames(cut, e.end - e.start), _frames(cut, e.source)) for e in seen]


def _frames(cut: CutList, moment: object) -> float:
    return round(float(moment * cut.rate.fps), 2)  # type: ignore[operator]


def library_rows(timeline: otio.schema.Timeline, cut: CutList) -> list[Row]:
    """Return the library's clips that it places without a transition and at their own speed.

    An edit list's tracks begin where its first event does for the library, for us at the hour before it: that is the
    start of our first event. Parents with a range of their own trim what is in them.
    """
    found = []
    for clip in timeline.find_clips():
        if clip.effects or _beside_transition(clip) or any(not c.enabled for c in _chain(clip)):
            continue
        if any(parent.effects for parent in _chain(clip)):
            continue
        own = clip.trimmed_range()
        there = clip.transformed_time_range(own, timeline.tracks)
        start, end = there.start_time.to_seconds(), there.end_time_exclusive().to_seconds()
        first, last = start, end
        for parent in _chain(clip)[1:-1]:  # a range of its own trims what is in it
            limits = parent.transformed_time_range(parent.trimmed_range(), timeline.tracks)
            first = max(first, limits.start_time.to_seconds())
            last = min(last, limits.end_time_exclusive().to_seconds())
        if first < last:
            rows = (first, last - first, own.start_time.to_seconds() + first - start)
            found.append(tuple(round(seconds * float(cut.rate.fps), 2) for seconds in rows))
    if found and cut.file.endswith(".edl") and cut.events:
        off = min(row[0] for row in our_rows(cut))
        found = [(round(start + off, 2), length, source) for start, length, source in found]
    return found


def _chain(item: otio.core.Composable) -> list[otio.core.Composable]:
    found = [item]
    while found[-1].parent() is not None:
        found.append(found[-1].parent())
    return found


def _beside_transition(clip: otio.schema.Clip) -> bool:
    for item in _chain(clip)[:-1]:
        row = list(item.parent())
        at = next(n for n, other in enumerate(row) if other is item)
        if any(isinstance(row[n], otio.schema.Transition) for n in (at - 1, at + 1) if 0 <= n < len(row)):
            return True
    return False


if __name__ == "__main__":
    main()
