"""How well a converted voice is told from another reading, and its delay and drift measured, on people's recordings.

    python tests/bench/bench_voices.py FOLDER [--half chosen|reported] [--show]

FOLDER holds recordings of people (one sentence a file; the same sentence by somebody else has the same name but for a
part that --other swaps, as "1054,1144"). Each is put into another voice (tests/bench/converted.py: pitch from 0.7 to
1.7, formants from 0.85 to 1.2), then moved by a known delay and drift, with a little noise and another level. Clips are
single sentences and, as clips are longer, two or three of one speaker with 0.3 s between. Limits were chosen on the half
``chosen`` (every second recording); figures are those of the other.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench.converted import RATE_HZ, Samples, moved, ways
from timing.delivery.conversion import convert_of
from timing.delivery.voices import DRIFT_FRAMES, LATE_FRAMES, SURE_ERRORS, is_same_reading
from timing.sound.decode import read_audio

GAP_S, HEAD_S = 0.3, 0.25
LONG_S = 3.0  # from which a clip is as long as clips are
DELAYS = (0.0, 0.02, -0.03, 0.12, -0.18, 0.3)
DRIFTS = (0.0, 0.0005, -0.001, 0.003, -0.006, 0.01)
MOST_DELAY_S, MOST_DRIFT = 0.005, 0.0005  # asked for
LONGEST_S = 12.0


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--half", choices=["chosen", "reported"], default="reported")
    parser.add_argument("--other", default="1054,1144", help="what differs in the names of two readers")
    parser.add_argument("--show", action="store_true", help="each pair")
    arguments = parser.parse_args()
    sounds = recordings(arguments.folder, arguments.half)
    clips = [*singles(sounds), *joined(sounds)]
    print(f"{len(sounds)} recordings, {len(clips)} clips, ways: {', '.join(ways())}")
    measured(clips, arguments.show)
    good(clips)
    others(sounds, clips, arguments.other.split(","))


def recordings(folder: Path, half: str) -> dict[str, Samples]:
    """Return every second recording at 16 kHz; long ones in pieces of five seconds."""
    found = {}
    paths = [p for p in sorted(folder.iterdir()) if p.suffix in (".flac", ".wav")]
    for path in paths[half == "reported" :: 2]:
        sound = read_audio(path, RATE_HZ).samples / 32768
        pieces = [sound] if len(sound) < LONGEST_S * RATE_HZ else np.array_split(sound, len(sound) // (5 * RATE_HZ))
        found |= {path.stem if len(pieces) == 1 else f"{path.stem}-{n}": piece for n, piece in enumerate(pieces)}
    return found


def clip(parts: list[Samples]) -> Samples:
    gap = np.zeros(int(GAP_S * RATE_HZ))
    return np.concatenate([np.zeros(int(HEAD_S * RATE_HZ)), *(x for part in parts for x in (part, gap))])


def singles(sounds: dict[str, Samples]) -> list[tuple[str, Samples]]:
    return [(name, clip([sound])) for name, sound in sounds.items()]


def joined(sounds: dict[str, Samples]) -> list[tuple[str, Samples]]:
    """Return clips of two and of three sentences of one speaker (known by the beginning of the name)."""
    by_speaker: dict[str, list[str]] = defaultdict(list)
    for name, sound in sounds.items():
        if len(sound) < 4.5 * RATE_HZ:
            by_speaker[name[: name.find("_", name.find("_") + 1)] if name.count("_") > 2 else name[:5]].append(name)
    found = []
    for names in by_speaker.values():
        for count in (2, 3):
            for n in range(0, len(names) - count + 1, 1 if count == 2 else 2):
                own = names[n : n + count]
                found.append(("+".join(own), clip([sounds[name] for name in own])))
    return found


def pairs(
    clips: list[tuple[str, Samples]], is_moved: bool
) -> Iterator[tuple[str, str, float, float, Samples, Samples]]:
    """Yield (name, way, delay, drift, own sound, voice); each clip once, every way in turn."""
    rng, known = np.random.default_rng(20), ways()
    for n, (name, own) in enumerate(clips):
        way = list(known)[n % len(known)]
        voice = known[way](
            own, float(rng.choice([0.7, 0.8, 1.25, 1.4, 1.7])), float(rng.choice([0.85, 0.92, 1.1, 1.2]))
        )
        delay, drift = (float(rng.choice(DELAYS)), float(rng.choice(DRIFTS))) if is_moved else (0.0, 0.0)
        voice = moved(voice, delay, drift) if is_moved else voice
        voice = voice * rng.uniform(0.4, 1.3)
        yield name, way, delay, drift, own, voice + rng.normal(0, 3e-4, len(voice))


def whole(sound: Samples) -> NDArray[np.int16]:
    return np.clip(sound * 32767, -32767, 32767).astype(np.int16)


def measured(clips: list[tuple[str, Samples]], show: bool) -> None:
    rows = []
    for name, way, delay, drift, own, voice in pairs(clips, True):
        found = convert_of(whole(own), whole(voice))
        seconds = len(own) / RATE_HZ
        if found is None or found.drift is None or found.drift_error is None:
            rows.append((way, seconds, np.nan, np.nan, np.nan, 0.0 if found is None else found.likeness, name))
            continue
        middle = (found.first_s + found.last_s) / 2
        late = found.delay_s + found.drift * middle - delay - drift * middle
        rows.append((way, seconds, late, found.drift - drift, found.drift_error, found.likeness, name))
    for title, own_rows in (
        (f"clips of {LONG_S:.0f} s and more", [r for r in rows if r[1] >= LONG_S]),
        (f"under {LONG_S:.0f} s", [r for r in rows if r[1] < LONG_S]),
        *((way, [r for r in rows if r[0] == way and r[1] >= LONG_S]) for way in ways()),
    ):
        if not own_rows:
            continue
        late = np.abs([r[2] for r in own_rows])
        drift = np.abs([r[3] for r in own_rows])
        within = int(np.sum((late <= MOST_DELAY_S) & (drift <= MOST_DRIFT)))
        print(
            f"{title}: {len(own_rows)} pairs, {within} within 5 ms and 0.05 %; delay median {np.nanmedian(late) * 1000:.2f} "
            f"worst {np.nanmax(late) * 1000:.2f} ms; drift median {np.nanmedian(drift) * 100:.3f} worst "
            f"{np.nanmax(drift) * 100:.3f} %; likeness from {min(r[5] for r in own_rows):.2f}"
        )
    if show:
        for way, seconds, late_s, off, error, likeness, name in rows:
            print(
                f"  {way:8} {seconds:5.2f} s {late_s * 1000:6.2f} ms {off * 100:7.3f} % (± {error * 100:.3f}) {likeness:.2f} {name}"
            )


def good(clips: list[tuple[str, Samples]]) -> None:
    """Conversions that lie where they should: what is said of them is a false alarm."""
    alarms = count = 0
    for name, way, _, _, own, voice in pairs(clips, False):
        count += 1
        found = convert_of(whole(own), whole(voice))
        if found is None or not is_same_reading(found):
            what = "another reading"
        else:
            drift, error = found.drift or 0.0, found.drift_error or 0.0
            off = abs(drift) * (found.last_s - found.first_s) * 24
            drifts = off >= DRIFT_FRAMES and abs(drift) >= SURE_ERRORS * error
            late = abs(found.delay_s + drift * found.first_s) * 24 >= LATE_FRAMES
            what = "drift" if drifts else "late" if late else ""
        alarms += bool(what)
        if what:
            print(f"  false alarm: {name} ({way}): {what}")
    print(f"good conversions: {count}, false alarms: {alarms}")


def others(sounds: dict[str, Samples], clips: list[tuple[str, Samples]], swap: list[str]) -> None:
    """Other readings, themselves converted: the same words by somebody else, the same with another rhythm, others."""
    rng = np.random.default_rng(21)
    kinds: dict[str, list[tuple[bool, float]]] = defaultdict(list)
    known = list(ways().values())

    def judged(kind: str, own: Samples, other: Samples) -> None:
        voice = known[len(kinds[kind]) % len(known)](other, float(rng.choice([0.8, 1.25, 1.4])), 1.1)
        found = convert_of(whole(own), whole(voice))
        kinds[kind].append((False, 0.0) if found is None else (is_same_reading(found), found.likeness))

    stems = {name.rsplit("_", 1)[0]: name for name in sounds}
    for name in sounds:
        stem = name.rsplit("_", 1)[0]
        twin = stems.get(stem.replace(swap[0], swap[1]) if swap[0] in stem else stem.replace(swap[1], swap[0]))
        if len(swap) == 2 and twin is not None and twin != name:
            judged("the same words by somebody else", clip([sounds[name]]), clip([sounds[twin]]))
    for _, own in clips[:: max(1, len(clips) // 40)]:
        # Slower and faster by a fifth, changing each quarter of a second, as somebody's second reading does.
        knots = np.cumsum(rng.uniform(0.8, 1.25, int(len(own) / RATE_HZ * 4) + 2)) * RATE_HZ / 4
        places = np.interp(
            np.arange(int(knots[-2])), np.concatenate([[0], knots[:-1]]), np.arange(len(knots)) * RATE_HZ / 4
        )
        judged("another rhythm", own, np.interp(places, np.arange(len(own)), own, right=0))
    for (_, own), (_, other) in zip(clips, clips[3:], strict=False):
        judged("other words", own, other)
    for kind, values in kinds.items():
        taken, most = sum(is_taken for is_taken, _ in values), max(alike for _, alike in values)
        print(f"{kind}: {len(values)}, taken for a conversion: {taken}; likeness up to {most:.2f}")


if __name__ == "__main__":
    main()
